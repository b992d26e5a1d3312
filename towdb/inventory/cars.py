"""The cars of an inventory as relations: what each weighs, what it is grouped by, what it costs."""

from __future__ import annotations

import datetime
import os
import re
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import duckdb

from towdb.contract.grammar import Fault
from towdb.contract.rounding import rounding_macros
from towdb.duck.connections import connect, settle, spilling
from towdb.errors import UsageError
from towdb.intake.candidates import InventoryRows, load_candidates
from towdb.intake.cells import READINGS, WEIGHTS, Reading
from towdb.intake.grouping import enter_groups, enter_labels
from towdb.intake.headers import MappingLike
from towdb.intake.one_file import reading_errors
from towdb.intake.unreadable import REFUSED, RowsRead, Unreadable, finish, sift
from towdb.inventory.sql_files import sql
from towdb.reference.opening import release_read
from towdb.reference.query import Reference, attached, path_of
from towdb.screening import engine
from towdb.screening.configure import prepare

ReferenceLike = Reference | str | os.PathLike[str]
_PRICE = re.compile(
    r"(?P<before>[^\d\s.,+-]*)\s*(?P<figure>[+-]?(?:\d{1,3}(?:[, ]\d{3})+|\d+)(?:\.\d{1,2})?)"
    r"\s*(?P<after>[^\d\s.,+-]*)"
)
# Without a release, nothing on record is known of any car.
_NOTHING_ON_RECORD = (
    "permission_outcome", "permission_reason", "procedure_outcome", "procedure_reason",
    "gvwr_least_kg", "gvwr_most_kg", "gvwr_largest_rating_kg", "gvwr_smallest_high_kg",
    "gvwr_checked_least_kg", "gvwr_checked_most_kg", "gvwr_is_certain",
    "gvwr_is_certain_and_checked", "curb_least_kg", "curb_most_kg", "curb_largest_low_kg",
    "curb_checked_least_kg", "curb_is_certain",
)  # fmt: skip


@dataclass(frozen=True)
class ReleaseUsed:
    """The release that an answer rests on."""

    release_id: str | None
    invented: bool


@contextmanager
def weighed_cars(
    inventory: Any,
    *,
    by: Sequence[str],
    weigh_by: str,
    reference: ReferenceLike | None,
    on: datetime.date,
    mapping: MappingLike | None,
    how: Unreadable = REFUSED,
) -> Iterator[tuple[duckdb.DuckDBPyConnection, ReleaseUsed, tuple[str, ...], RowsRead]]:
    """A connection with ``car_group`` and ``weighed``: what the cars of an inventory weigh.

    With a reference, a car without a gross rating or a curb weight gets the one on record. With the
    connection come the release, what a person should know about how the cars were read, and how
    many rows they were. `how` is what to do with cells that cannot be read.
    """
    if reference is None:
        con, release_used = (
            connect(),
            ReleaseUsed(None, False),
        )
    else:
        con, (release_id, _, _, invented) = attached(reference)
        release_used = ReleaseUsed(release_id, invented)
    try:
        settle(con, (spilling(), *rounding_macros().values()))
        loaded = load_candidates(con, inventory, mapping, whole=how.aside is not None)
        # Parquet is read column by column: damage further on in a file shows late.
        with reading_errors(loaded.name):
            engine.enter_call(con, on, has_release=reference is not None)

            def also(reading: Reading) -> Collection[str]:
                return _read_also(reading, by, weigh_by, how)

            if reference is None:
                _enter_weights(con, loaded, how, also)
            else:
                with release_read(path_of(reference)):
                    prepare(con, loaded, {}, how, also)
                    for name in engine.OF_THE_CAR:
                        engine.create_relation(con, name)
            enter_labels(con, loaded, by, {})
            if weigh_by == "price":
                _enter_prices(con, loaded)
            _weigh(con, by, weigh_by, "VIEW" if reference is None else "TABLE")
            ((cars,),) = con.execute("SELECT COALESCE(SUM(cars), 0) FROM weighed").fetchall()
            yield con, release_used, tuple(loaded.notes), finish(con, loaded, how, int(cars))[1]
    finally:
        con.close()


def _weigh(con: duckdb.DuckDBPyConnection, by: Sequence[str], weigh_by: str, kind: str) -> None:
    """Create ``weighed``; ``candidate``, a table or a view, has classes of cars from now on."""
    _enter_car_classes(con, by, weigh_by)
    con.execute(f"DROP {kind} candidate")
    con.execute(
        "CREATE TEMP VIEW candidate AS SELECT car_class_no AS candidate_no, '' AS candidate, *"
        " EXCLUDE (car_class_no, group_no, cars, counted) FROM car_class"
    )
    engine.create_relation(con, "weights/towed")
    con.execute(f"CREATE TEMP TABLE weighed AS {sql('weighed')}")


def _enter_car_classes(con: duckdb.DuckDBPyConnection, by: Sequence[str], weigh_by: str) -> None:
    """Create ``car_group`` and ``car_class``: cars that weigh alike and are grouped alike, counted.

    Millions of cars make far fewer classes, and a class is weighed as one car.
    """
    enter_groups(con, by)
    joins, counted = ["LEFT JOIN grouped AS g ON g.candidate_no = c.candidate_no"], "COUNT(*)"
    if weigh_by == "price":
        joins.append("JOIN price AS p ON p.candidate_no = c.candidate_no")
        counted = "SUM(p.price)"
    # A car without a price counts nothing, and is not in a class with one that has a price.
    priced = ", p.price IS NULL" if weigh_by == "price" else ""
    alike = "c.configuration_no, c.as_weighed_kg, c.gvwr_kg, c.curb_kg, c.load_kg"
    con.execute(
        "CREATE TEMP TABLE car_class AS SELECT CAST(row_number() OVER () AS INTEGER) AS"
        " car_class_no, *"
        f" FROM (SELECT g.group_no, {alike}, COUNT(*) AS cars, {counted} AS counted"
        f" FROM candidate AS c {' '.join(joins)} GROUP BY g.group_no, {alike}{priced})"
    )


def _enter_weights(
    con: duckdb.DuckDBPyConnection,
    loaded: InventoryRows,
    how: Unreadable,
    also: Callable[[Reading], Collection[str]],
) -> None:
    """Create ``candidate`` and ``configuration_answer`` only from what was typed."""
    reading = Reading(con, loaded, {})
    # A car that appears twice would count twice.
    reading.names()
    reading.units()
    select, joins = [], []
    for column, exact in WEIGHTS.items():
        reading.weights(column)
        weight, join = reading.weighed(column, exact)
        select.append(weight)
        joins += join
    sift(reading, how, also(reading))
    con.execute(
        "CREATE TEMP VIEW candidate AS SELECT t.candidate_no, '' AS candidate, 1 AS"
        f" configuration_no, {', '.join(select)} FROM inventory_rows AS t {' '.join(joins)}"
    )
    nothing = ", ".join(
        f"CAST(NULL AS {'DECIMAL(18,10)' if name.endswith('_kg') else 'INTEGER'}) AS {name}"
        for name in _NOTHING_ON_RECORD
    )
    con.execute(
        f"CREATE TEMP TABLE configuration_answer AS SELECT 1 AS configuration_no, {nothing}"
    )


def _read_also(
    reading: Reading, by: Sequence[str], weigh_by: str, how: Unreadable
) -> tuple[str, ...]:
    """Read what cars are grouped and counted by; return what the answer rests on beside weights."""
    for column in by:
        # A text is never wrong, and what the release needs has been read.
        if column in READINGS and not reading.is_read(column):
            into, convert = READINGS[column]
            reading.read(column, into, convert)
    if weigh_by != "price":
        return ()
    _read_prices(reading, how)
    return ("price",)


def _read_prices(reading: Reading, how: Unreadable) -> None:
    """Create ``read_price``: raw text, and the figure that it means."""
    kinds = {"raw": "VARCHAR", "price": "DECIMAL(18,2)"}
    reading.create("read_price", kinds)
    marks: dict[str, str] = {}
    prices = "SELECT DISTINCT price FROM inventory_rows WHERE trim(price) <> ''"
    for raws in reading.distinct(prices) if reading.has("price") else ():
        rows, bad = [], []
        for (raw,) in raws:
            figure = _price(reading.loaded.meant("price", raw), raw, marks)
            if isinstance(figure, Fault):
                bad.append((raw, None, figure))
            elif figure is not None:
                rows.append([raw, figure])
        reading.enter("read_price", kinds, rows)
        reading.blame("price", bad)
    named = sorted(mark for mark in marks if mark)
    for mark in named[1:]:
        wrong = f"prices in {named[0]} and in {mark} do not add up"
        fault = Fault("unit", wrong, "give all of them in one currency")
        if how.aside is not None:
            # Which currency is wrong is not known: setting one text aside would not correct it.
            raise UsageError(f"{reading.loaded.name}, price: {fault.message}; {fault.remedy}")
        reading.blame("price", [(marks[mark], None, fault)])


def _enter_prices(con: duckdb.DuckDBPyConnection, loaded: InventoryRows) -> None:
    """Create the view ``price``: `candidate_no` and `price`, null where none is given."""
    has_price = "price" in loaded.columns
    joined = "LEFT JOIN read_price AS r ON r.raw = t.price" if has_price else ""
    cell = "r.price" if has_price else "CAST(NULL AS DECIMAL(18,2)) AS price"
    con.execute(
        f"CREATE TEMP VIEW price AS SELECT t.candidate_no, {cell} FROM inventory_rows AS t {joined}"
    )


def _price(text: str, raw: str, marks: dict[str, str]) -> str | Fault | None:
    """A price as a plain figure; `marks` keeps a text of each currency."""
    match = _PRICE.fullmatch(text)
    if not text:
        return None
    if match is None:
        return Fault("type", "not a price", "write it as 21900 or 21,900.00")
    if match["figure"].startswith("-"):
        return Fault("range", "a price is not below 0", "write the asking price")
    marks.setdefault((match["before"] + match["after"]).casefold(), raw)
    return re.sub("[, +]", "", match["figure"])
