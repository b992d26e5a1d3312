"""Labels: what the cars of an inventory are grouped by, as the contract reads it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import duckdb

from towdb.contract.model import contract
from towdb.contract.typed import Span
from towdb.errors import UsageError, did_you_mean
from towdb.intake.candidates import InventoryRows
from towdb.intake.cells import Reading
from towdb.reference.opening import enter_macros

# Each car has its own, or a list of them.
_OF_ONE_CAR = ("candidate", "vin", "price", "options", "confirmed", "procedure", "weight_unit")
GROUPING = tuple(
    field.name
    for field in contract().candidate.fields
    if field.type != "weight" and field.name not in _OF_ONE_CAR
)


def read_by(by: Iterable[str] | str) -> tuple[str, ...]:
    """The attributes that cars are grouped by.

    Raises
    ------
    UsageError
        If there is no such attribute, or one is named twice.
    """
    named = (by,) if isinstance(by, str) else tuple(by)
    faults = []
    for name in dict.fromkeys(named):
        if name not in GROUPING:
            close = did_you_mean(name, GROUPING) or f"; choose one of {', '.join(GROUPING)}"
            # A line break in what was typed must not break the message.
            shown = " ".join(name[:60].split())
            faults.append(f"cannot group by {shown!r}{close}")
        elif named.count(name) > 1:
            faults.append(f"by {name}: named twice; keep one of them")
    if faults:
        raise UsageError("\n".join(faults))
    return named


def enter_labels(
    con: duckdb.DuckDBPyConnection,
    loaded: InventoryRows,
    columns: Sequence[str],
    assumed: dict[str, str],
) -> None:
    """Create the view ``label``: `candidate_no`, and these columns as people group by them.

    Empty cells and missing columns are null. Words are the contract's; a free text is
    the first of its spellings.

    Raises
    ------
    UsageError
        If cells cannot be read; all of them are listed.
    """
    enter_macros(con)
    reading = Reading(con, loaded, assumed)
    select, joins = ["t.candidate_no"], []
    for column in columns:
        select.append(reading.looked_up(column, "label", "VARCHAR"))
        if reading.is_given(column):
            _read(reading, column)
            joins.append(reading.joined(column, f"label_{column}"))
    reading.refuse()
    con.execute(
        f"CREATE OR REPLACE TEMP VIEW label AS SELECT {', '.join(select)} FROM inventory_rows AS t"
        f" {' '.join(joins)}"
    )


def enter_groups(con: duckdb.DuckDBPyConnection, by: Sequence[str]) -> None:
    """Create ``car_group``, numbered from 1, and ``grouped``: `candidate_no` and its `group_no`.

    ``label`` exists. Without attributes there is no group, and no car is in one.
    """
    columns = ", ".join(by)
    if not by:
        con.execute("CREATE OR REPLACE TEMP TABLE car_group AS SELECT 1 AS group_no LIMIT 0")
        con.execute(
            "CREATE OR REPLACE TEMP VIEW grouped AS SELECT 1 AS candidate_no, 1 AS group_no LIMIT 0"
        )
        return
    con.execute(
        "CREATE OR REPLACE TEMP TABLE car_group AS"
        f" SELECT CAST(row_number() OVER (ORDER BY {columns}) AS INTEGER) AS group_no, {columns}"
        f" FROM (SELECT DISTINCT {columns} FROM label)"
    )
    same = " AND ".join(f"g.{name} IS NOT DISTINCT FROM l.{name}" for name in by)
    con.execute(
        "CREATE OR REPLACE TEMP VIEW grouped AS SELECT l.candidate_no, g.group_no"
        f" FROM label AS l JOIN car_group AS g ON {same}"
    )


def _read(reading: Reading, column: str) -> None:
    con, name = reading.con, f"label_{column}"
    con.execute(f"DROP TABLE IF EXISTS {name}")
    if contract().candidate.field(column).type in ("text", "words"):
        # There may be as many texts as cars: they stay in the database.
        con.execute("DROP TABLE IF EXISTS label_word")
        kinds = {"theirs": "VARCHAR", "ours": "VARCHAR"}
        reading.create("label_word", kinds)
        words = reading.loaded.by.words.get(column, {}) if reading.loaded.by else {}
        reading.enter("label_word", kinds, list(words.items()))
        con.execute(
            f"CREATE TEMP TABLE {name} AS SELECT raw,"
            " min(said) OVER (PARTITION BY fold(said)) AS label"
            " FROM (SELECT raw, trim(COALESCE(w.ours, raw)) AS said"
            f" FROM (SELECT DISTINCT {reading.cell(column)} AS raw FROM inventory_rows AS t) AS d"
            " LEFT JOIN label_word AS w ON w.theirs = fold(d.raw)) WHERE said <> ''"
        )
    else:
        reading.read(column, {"label": "VARCHAR"}, lambda value: [_label(value)], name)


def _label(value: Any) -> str:
    if isinstance(value, Span):
        return f"{value.low:%Y-%m}"
    return str(value)
