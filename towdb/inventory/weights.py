"""`weights`: how weights are distributed over an inventory, and the share within each rating."""

from __future__ import annotations

import datetime
import math
import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

import duckdb

from towdb.contract.model import contract
from towdb.contract.typed import read_date, typed_mass
from towdb.errors import UsageError, did_you_mean
from towdb.intake.grouping import read_by
from towdb.intake.headers import MappingLike
from towdb.intake.rejects import aside_path
from towdb.intake.unreadable import RowsRead, Unreadable
from towdb.inventory.cars import ReferenceLike, weighed_cars
from towdb.inventory.shares import Mark, coach_marks, enter_points
from towdb.inventory.sql_files import sql
from towdb.report.result_tables import Row, Tables

if TYPE_CHECKING:
    import pandas as pd

WEIGH_BY = ("count", "price")
TABLES = ("distribution", "histogram", "curve", "shares")
QUANTILES = {
    "count": "Hyndman and Fan 1996, type 7",
    "price": "Hyndman and Fan 1996, type 1, of the price",
}
# Most bars of a histogram and points of a curve, and the steps between two of them.
_BARS, _POINTS = 40, 200
_STEPS_LB = (50, 100, 200, 250, 500, 1000, 2000, 2500, 5000, 10_000, 20_000, 50_000, 100_000)


@dataclass(frozen=True)
class Weights(Tables):
    """The result of `weights`.

    Attributes
    ----------
    by : tuple of str
        The attributes that cars were grouped by.
    weigh_by : str
        ``count`` or ``price``: whether cars count by number or by price.
    on : date
        The date of the answer, and for withdrawals where a reference was given.
    release_id : str or None
        The release whose weights count where a car has none.
    invented : bool
        Whether that release has invented rows.
    cars, unpriced : int
        How many cars there are, and how many of them have no price, where they count by it.
    marks : tuple of Mark
        The ratings at which shares were requested.
    coaches_unknown : tuple of str
        Coaches of the reference for which it is not known what they can pull.
    step_lb : int
        How far apart the points of the curve are, ratings aside.
    notes : tuple of str
        What a person should know about how the inventory was read.
    tables : dict
        Columns and rows of each of `TABLES`.
    read : RowsRead
        How many rows were read, how many of them set aside, and how many cells left empty.
    """

    by: tuple[str, ...]
    weigh_by: str
    on: datetime.date
    release_id: str | None
    invented: bool
    cars: int
    unpriced: int
    marks: tuple[Mark, ...]
    coaches_unknown: tuple[str, ...]
    step_lb: int
    notes: tuple[str, ...]
    tables: dict[str, tuple[list[str], list[Row]]]
    read: RowsRead

    @property
    def distribution(self) -> pd.DataFrame:
        """One row a group and weight: cars, missing, and how the weight is distributed."""
        return self.frame("distribution")

    @property
    def histogram(self) -> pd.DataFrame:
        """One row a weight and bin of all cars; ``from_lb`` is in the bin, ``to_lb`` is not."""
        return self.frame("histogram")

    @property
    def curve(self) -> pd.DataFrame:
        """The towable share curve: what share of all cars is within each weight, and may be."""
        return self.frame("curve")

    @property
    def shares(self) -> pd.DataFrame:
        """The same at each rating that was given, for each group too."""
        return self.frame("shares")

    def document(self) -> dict[str, Any]:
        """Everything as one document, as ``--format json`` gives it."""
        return {
            "read": self.read.record(),
            "on": self.on.isoformat(),
            "reference": {"release_id": self.release_id, "invented": self.invented},
            "cars": self.cars,
            "by": list(self.by),
            "weigh_by": self.weigh_by,
            "unpriced": self.unpriced,
            "quantiles": QUANTILES[self.weigh_by],
            "ratings": [mark.record() for mark in self.marks],
            "curve_step_lb": self.step_lb,
            "coaches_of_unknown_capacity": list(self.coaches_unknown),
            "notes": list(self.notes),
            **self.all_records(),
        }

    def plot(self, path: str | os.PathLike[str], *, units: str = "lb") -> None:
        """Draw the histogram and the share curve into a PNG or SVG file.

        Raises
        ------
        UsageError
            If the name ends otherwise, matplotlib is not installed, or it cannot be written.
        """
        from towdb.report.plots import draw_weights

        draw_weights(self.document(), Path(path), units)


def weights(
    inventory: Any,
    *,
    by: Iterable[str] | str = (),
    ratings: Iterable[str] | str = (),
    reference: ReferenceLike | None = None,
    weigh_by: str = "count",
    on: datetime.date | str | None = None,
    mapping: MappingLike | None = None,
    set_aside: str | os.PathLike[str] | None = None,
    leave_unreadable: bool = False,
) -> Weights:
    """Show how weights are distributed over an inventory, and the share within each rating.

    Parameters
    ----------
    inventory : path, DataFrame or Arrow table
        The cars: columns of the contract, as a person types them.
    by : str or several, optional
        Attributes to group by: ``drivetrain``, ``model_year``, ``make``, …
    ratings : str or several, optional
        Ratings with their units, such as ``5000 lb``.
    reference : Reference or path, optional
        A release: a car without a gross rating gets the one on record, and the weights that its
        coaches can pull are marked.
    weigh_by : str
        ``count``, or ``price``: each car counts its price.
    on : date or str, optional
        Date for withdrawals and effective dates; today by default.
    mapping : path or mapping, optional
        A mapping file (TOML), or the content of one: other people's headers and words.
    set_aside : path, optional
        A CSV or Parquet file. Rows that cannot be read are written there unchanged, with the
        reason, and the rest are counted; without it they are refused.
    leave_unreadable : bool
        Whether a cell that cannot be read is left empty and counted where neither a verdict nor
        this answer reads it: a date of listing, or a name that two cars have.

    Returns
    -------
    Weights

    Raises
    ------
    UsageError
        If an input cannot be used; all its faults are listed.
    """
    named = read_by(by)
    if weigh_by not in WEIGH_BY:
        close = did_you_mean(weigh_by, WEIGH_BY)
        raise UsageError(f"weigh by {weigh_by[:40]!r}: not possible{close}; choose count or price")
    given = read_ratings(ratings)
    date = read_date(on)
    with weighed_cars(
        inventory,
        by=named,
        weigh_by=weigh_by,
        reference=reference,
        on=date,
        mapping=mapping,
        how=Unreadable(aside_path(set_aside, inventory), leave_unreadable),
    ) as (con, release_used, notes, read):
        coaches, unknown = coach_marks(con, release_used)
        marks = (*given, *coaches)
        con.execute(f"CREATE TEMP TABLE stated AS {sql('stated')}")
        tables, step = _tables(con, named, weigh_by, marks)
        cars, unpriced = _one(
            con, "SELECT SUM(cars), SUM(cars) FILTER (WHERE counted IS NULL) FROM weighed"
        )
    return Weights(
        named, weigh_by, date, release_used.release_id, release_used.invented, int(cars or 0),
        int(unpriced or 0), marks, unknown, step, notes, tables, read,
    )  # fmt: skip


def read_ratings(ratings: Iterable[str] | str) -> tuple[Mark, ...]:
    """Ratings as a person types them.

    Raises
    ------
    UsageError
        If one is not a weight; all that are wrong are listed.
    """
    believable = contract().candidate.field("gvwr")
    marks, faults = [], []
    for text in dict.fromkeys([ratings] if isinstance(ratings, str) else ratings):
        mass = typed_mass(text, None, believable)
        if isinstance(mass, Decimal):
            marks.append(Mark(text.strip(), mass, None))
        else:
            faults.append(f"rating {text[:60]!r}: {mass.message}; {mass.remedy}")
    if faults:
        raise UsageError("\n".join(faults))
    return tuple(marks)


def _tables(
    con: duckdb.DuckDBPyConnection, by: Sequence[str], weigh_by: str, marks: Sequence[Mark]
) -> tuple[dict[str, tuple[list[str], list[Row]]], int]:
    least, most = _one(
        con, "SELECT lb(min(kg)), lb(max(kg)) FROM (SELECT min(low_kg) AS kg FROM weighed"
        " UNION ALL SELECT min(high_kg) FROM weighed UNION ALL SELECT max(high_kg) FROM weighed"
        " UNION ALL SELECT max(low_kg) FROM weighed)",
    )  # fmt: skip
    step = step_for(least, most, _POINTS)
    enter_points(con, marks, least, most, step)
    lightest, heaviest = _one(con, "SELECT lb(min(kg)), lb(max(kg)) FROM stated")
    distribution = _grouped(con, by, "distribution", [weigh_by])
    share = _grouped(con, by, "share", [])
    columns, rows = share
    at = {name: place for place, name in enumerate(columns)}
    names = [name for name in columns if name != "is_rating"]
    shown = [at[name] for name in names]
    curve = [name for name in names if name not in ("scope", *by)]
    tables = {
        "distribution": distribution,
        "histogram": _rows(con, sql("histogram"), [step_for(lightest, heaviest, _BARS)]),
        "curve": (curve, [tuple(row[at[n]] for n in curve) for row in rows
                          if row[at["scope"]] == "all"]),
        "shares": (names, [tuple(row[i] for i in shown) for row in rows if row[at["is_rating"]]]),
    }  # fmt: skip
    return tables, step


def step_for(least: float | None, most: float | None, parts: int) -> int:
    """The smallest round step of which so many span a range."""
    span = 0.0 if least is None or most is None else most - least
    return next((step for step in _STEPS_LB if math.ceil(span / step) < parts), _STEPS_LB[-1])


def _grouped(
    con: duckdb.DuckDBPyConnection, by: Sequence[str], name: str, parameters: Sequence[Any]
) -> tuple[list[str], list[Row]]:
    # Names of groups come before figures; `scope` marks all cars, as a group may have no name.
    named = "".join(f"g.{column}, " for column in by)
    return _rows(
        con,
        f"SELECT CASE s.group_no WHEN 0 THEN 'all' ELSE 'group' END AS scope, {named}"
        f"s.* EXCLUDE (group_no) FROM ({sql(name)}) AS s"
        " LEFT JOIN car_group AS g ON g.group_no = s.group_no ORDER BY s.group_no"
        + {"distribution": ", list_position(['as_weighed', 'gvwr', 'curb_weight', 'towed'],"
           " s.weight)", "share": ", s.rating_lb"}[name],
        parameters,
    )  # fmt: skip


def _rows(
    con: duckdb.DuckDBPyConnection, sql: str, parameters: Sequence[Any] = ()
) -> tuple[list[str], list[Row]]:
    con.execute(sql, list(parameters))
    columns = [column[0] for column in con.description or ()]
    return columns, con.fetchall()


def _one(con: duckdb.DuckDBPyConnection, sql: str) -> Row:
    row: Row = con.execute(sql).fetchone() or ()
    return row
