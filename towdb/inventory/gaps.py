"""`gaps`: what a reference lacks for an inventory, ordered by how many cars wait for it."""

from __future__ import annotations

import datetime
import os
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import duckdb

from towdb.contract.typed import read_date
from towdb.duck.connections import settle, spilling
from towdb.errors import UsageError
from towdb.intake.candidates import InventoryRows, load_candidates
from towdb.intake.headers import MappingLike
from towdb.intake.rejects import aside_path
from towdb.intake.unreadable import RowsRead, Unreadable, finish
from towdb.intake.versions import candidates_on_record
from towdb.inventory.cars import ReferenceLike
from towdb.reference.opening import release_read
from towdb.reference.query import attached, path_of
from towdb.report.result_tables import Row, Tables
from towdb.screening import engine
from towdb.screening.configure import prepare
from towdb.screening.reference_gaps import enter_gaps, gaps_found

if TYPE_CHECKING:
    import pandas as pd

_AGE = re.compile(r"([0-9]{1,4}) *(years?|months?|days?|[ymd])")
# No document of a car is older.
_MOST_YEARS = 200


@dataclass(frozen=True)
class Gaps(Tables):
    """The result of `gaps`.

    Attributes
    ----------
    on : date
        The date for withdrawals, and from which ages are counted.
    older_than : date or None
        Sources from before this day are listed.
    release_id : str
        The release that was queried.
    invented : bool
        Whether it has invented rows.
    is_inventory : bool
        Whether cars were given; else each version of a car on record counts.
    cars, unnamed : int
        How many cars there are, and how many of them have no make or no model.
    notes : tuple of str
        What a person should know about how the inventory was read.
    tables : dict
        Columns and rows of ``gaps`` and ``sources``.
    read : RowsRead or None
        How many rows were read, how many of them set aside, and how many cells left empty; None:
        without an inventory.
    """

    on: datetime.date
    older_than: datetime.date | None
    release_id: str
    invented: bool
    is_inventory: bool
    cars: int
    unnamed: int
    notes: tuple[str, ...]
    tables: dict[str, tuple[list[str], list[Row]]]
    read: RowsRead | None

    @property
    def gaps(self) -> pd.DataFrame:
        """One row a configuration and what is lacking, what most cars wait for first."""
        return self.frame("gaps")

    @property
    def sources(self) -> pd.DataFrame:
        """Sources older than the given age, those on which most cars rest first."""
        return self.frame("sources")

    def document(self) -> dict[str, Any]:
        """Everything as one document, as ``--format json`` gives it."""
        return {
            "read": None if self.read is None else self.read.record(),
            "on": self.on.isoformat(),
            "older_than": self.older_than and self.older_than.isoformat(),
            "reference": {"release_id": self.release_id, "invented": self.invented},
            "of": "inventory" if self.is_inventory else "reference",
            "cars": self.cars,
            "unnamed": self.unnamed,
            "notes": list(self.notes),
            **self.all_records(),
        }


def gaps(
    inventory: Any = None,
    *,
    reference: ReferenceLike,
    older_than: str | None = None,
    on: datetime.date | str | None = None,
    mapping: MappingLike | None = None,
    set_aside: str | os.PathLike[str] | None = None,
    leave_unreadable: bool = False,
) -> Gaps:
    """List which configurations lack a statement, steps, a weight or a check.

    A page that was read and does not mention towing counts as read.

    Parameters
    ----------
    inventory : path, DataFrame or Arrow table, optional
        The cars. None: each version of a car on record, and the model years between them that
        are not on record.
    reference : Reference or path
        The release.
    older_than : str, optional
        An age such as ``3y``, ``18m`` or ``90d``: sources that are older are listed too.
    on : date or str, optional
        Date for withdrawals, and from which ages are counted; today by default.
    mapping : path or mapping, optional
        A mapping file (TOML), or the content of one: other people's headers and words.
    set_aside : path, optional
        A CSV or Parquet file. Rows that cannot be read are written there unchanged, with the
        reason, and the rest are counted; without it they are refused.
    leave_unreadable : bool
        Whether a cell that cannot be read is left empty and counted where no verdict reads it: a
        date of listing, or a name that two cars have.

    Returns
    -------
    Gaps

    Raises
    ------
    UsageError
        If an input cannot be used; all its faults are listed.
    """
    date = read_date(on)
    if inventory is None and not (mapping is None and set_aside is None and not leave_unreadable):
        raise UsageError(
            "a mapping, rows set aside and cells left empty go with an inventory; name one"
        )
    how = Unreadable(aside_path(set_aside, inventory), leave_unreadable)
    path = path_of(reference)
    con, (release_id, _, _, invented) = attached(reference)
    try:
        settle(con, [spilling()])
        before = None if older_than is None else _before(con, date, older_than)
        with release_read(path):
            loaded = (
                _on_record(con)
                if inventory is None
                else load_candidates(con, inventory, mapping, whole=how.aside is not None)
            )
            engine.enter_call(con, date)
            prepare(con, loaded, {}, how)
            for name in (*engine.OF_THE_CAR, "weights/towed"):
                engine.create_relation(con, name)
            enter_gaps(con, loaded, {})
            tables = {"gaps": gaps_found(con), "sources": _sources(con, before)}
            cars, unnamed = (
                (con.execute(sql).fetchone() or (0,))[0]
                for sql in (
                    "SELECT COUNT(*) FROM candidate",
                    engine.relation_sql("reference_gaps/unnamed"),
                )
            )
            read = finish(con, loaded, how, cars)[1]
    finally:
        con.close()
    return Gaps(
        date, before, release_id, invented, inventory is not None, cars, unnamed,
        tuple(loaded.notes), tables, None if inventory is None else read,
    )  # fmt: skip


def _before(con: duckdb.DuckDBPyConnection, on: datetime.date, age: str) -> datetime.date:
    match = _AGE.fullmatch(age.strip().lower())
    if match is None:
        raise UsageError(f"older than {age[:40]!r}: not an age; write it as 3y, 18m or 90d")
    number, unit = int(match[1]), match[2][0]
    days, months = (number, 0) if unit == "d" else (0, number * (12 if unit == "y" else 1))
    if days > _MOST_YEARS * 366 or months > _MOST_YEARS * 12:
        raise UsageError(f"older than {age[:40]!r}: not believable; at most {_MOST_YEARS} years")
    found = con.execute(
        "SELECT CAST($1::DATE - to_months($2::INTEGER) - to_days($3::INTEGER) AS DATE)",
        [on, months, days],
    ).fetchone() or (on,)
    # Python has no day before the year 1, and no document is that old.
    return found[0] if isinstance(found[0], datetime.date) else datetime.date.min


def _on_record(con: duckdb.DuckDBPyConnection) -> InventoryRows:
    loaded = candidates_on_record(con, None)
    con.execute(
        "INSERT INTO inventory_rows BY NAME SELECT CAST(row_number() OVER () + (SELECT COUNT(*)"
        " FROM inventory_rows)"
        " AS INTEGER) AS candidate_no, make || ' ' || model || ' ' || model_year AS candidate, *"
        f" FROM ({engine.relation_sql('reference_gaps/unspoken')})"
    )
    return loaded


def _sources(
    con: duckdb.DuckDBPyConnection, before: datetime.date | None
) -> tuple[list[str], list[Row]]:
    if before is None:
        return ["source_id", "title", "dated", "cars"], []
    con.execute(engine.relation_sql("reference_gaps/old_source"), [before])
    return [column[0] for column in con.description or ()], con.fetchall()
