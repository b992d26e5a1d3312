"""What happens to cells that cannot be read: refused, their rows set aside, or left empty.

Only a cell that no verdict reads is left empty. A cell that decides something is never taken for
one that was not filled in: an unreadable weight is not a missing weight.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import duckdb

from towdb.duck.literals import literal, quoted
from towdb.intake.cells import LEAVABLE, Reading, cell_fault
from towdb.intake.load import InventoryRows
from towdb.intake.rejects import SetAside, mark_aside, write_aside
from towdb.wording.inventories import left_empty_line, read_line


@dataclass(frozen=True)
class Unreadable:
    """What to do with cells that cannot be read; by default they are refused.

    Attributes
    ----------
    aside : Path or None
        Where their rows are set aside.
    is_left_empty : bool
        Whether such cells are left empty where no verdict reads them.
    """

    aside: Path | None = None
    is_left_empty: bool = False


REFUSED = Unreadable()


@dataclass(frozen=True)
class RowsRead:
    """How many rows an answer was made from, and what was left out on the way.

    Attributes
    ----------
    rows : int
        How many rows the inventory has.
    set_aside : int
        How many of them were set aside, because they cannot be read.
    left_empty : Mapping
        Column to how many of its cells were left empty, because they cannot be read and no verdict
        reads them.
    file : Path or None
        Where rows were set aside.
    """

    rows: int
    set_aside: int = 0
    left_empty: Mapping[str, int] = field(default_factory=dict)
    file: Path | None = None

    def line(self) -> str:
        """All of it as one line, the first of a summary."""
        return read_line(self.record())

    def left_line(self) -> str:
        """The cells that were left empty, by column; empty if there are none."""
        return left_empty_line(self.left_empty)

    def record(self) -> dict[str, Any]:
        """All of it as part of a document."""
        return {
            "rows": self.rows,
            "set_aside": self.set_aside,
            "set_aside_in": None if self.file is None else str(self.file),
            "left_empty": dict(self.left_empty),
        }


READ_COLUMNS = ("rows_read", "rows_set_aside", "cells_left_empty")


def with_rows_read(
    columns: list[str], rows: list[tuple[Any, ...]], kind: str, read: RowsRead | None
) -> tuple[list[str], list[tuple[Any, ...]]]:
    """A table for CSV whose first row is what was read: it has ``read`` in the column `kind`.

    A line above the header would keep programs from reading the table.
    """
    if read is None:
        return columns, rows
    left = ", ".join(f"{column} {count}" for column, count in read.left_empty.items())
    first = tuple("read" if column == kind else None for column in columns)
    rest = (None,) * len(READ_COLUMNS)
    return [*columns, *READ_COLUMNS], [
        (*first, read.rows, read.set_aside, left or None),
        *((*row, *rest) for row in rows),
    ]


def sift(reading: Reading, how: Unreadable, rested_on: Collection[str] = ()) -> None:
    """Deal with cells that cannot be read, before anything is computed from ``inventory_rows``.

    With rows set aside or cells left empty, ``inventory_rows_whole`` is from now on what was typed,
    and ``inventory_rows`` what is left of it. `rested_on` names columns on which this answer rests
    beside the verdicts: they are not left empty.

    Raises
    ------
    UsageError
        If cells cannot be read that are neither to be set aside nor left empty.
    """
    con, loaded, left = reading.con, reading.loaded, _left(reading, how, rested_on)
    if how.aside is None:
        reading.refuse(left)
    else:
        _keep_bad(reading, left)
        mark_aside(con, "FROM bad_cell")
    if how.aside is None and not left:
        return
    if left:
        _keep_left(reading)
    con.execute(f"ALTER {loaded.kind} inventory_rows RENAME TO inventory_rows_whole")
    empty = ", ".join(
        f"CASE WHEN {_is_left(reading, column)} THEN NULL ELSE {quoted(column)} END"
        f" AS {quoted(column)}"
        for column in left
    )
    con.execute(
        f"CREATE TEMP VIEW inventory_rows AS SELECT *{f' REPLACE ({empty})' if left else ''} FROM"
        f" inventory_rows_whole{_but_aside(how)}"
    )
    for column in left:
        # A car without a name has no cell to leave empty, even if another is named like its row.
        ((count,),) = reading.fetch(
            f"SELECT COUNT(*) FROM inventory_rows_whole{_but_aside(how)}"
            f" WHERE {_is_left(reading, column)} AND trim({quoted(column)}) <> ''"
        )
        loaded.left_empty |= {column: count} if count else {}


def _keep_bad(reading: Reading, left: Collection[str]) -> None:
    """Create ``bad_cell``: the cells for which rows are set aside, each with what is wrong."""
    reading.con.execute(
        "CREATE TEMP TABLE bad_cell (candidate_no INTEGER, column_name VARCHAR, value VARCHAR,"
        " rule VARCHAR, message VARCHAR, remedy VARCHAR)"
    )
    if rows := reading.bad_rows(left):
        reading.con.execute(f"INSERT INTO bad_cell {rows}")


def bad_cells(con: duckdb.DuckDBPyConnection) -> dict[int, str]:
    """The cells for which each row was set aside, with value and fault, by the row's number."""
    found: dict[int, list[str]] = {}
    con.execute(
        "SELECT candidate_no, column_name, value, message, remedy FROM bad_cell"
        " ORDER BY candidate_no, column_name, message"
    )
    for number, *cell in con.fetchall():
        found.setdefault(number, []).append(cell_fault(*cell))
    return {number: " · ".join(faults) for number, faults in found.items()}


def _left(reading: Reading, how: Unreadable, rested_on: Collection[str]) -> list[str]:
    if not how.is_left_empty:
        return []
    bad = {*reading.bad, *_unread_columns(reading)} - set(rested_on)
    return [name for name in LEAVABLE if name in bad]


def _unread_columns(reading: Reading) -> list[str]:
    if not reading.loaded.unread:
        return []
    return [name for (name,) in reading.fetch("SELECT DISTINCT column_name FROM unread_cell")]


def _but_aside(how: Unreadable) -> str:
    return "" if how.aside is None else " ANTI JOIN aside USING (candidate_no)"


def _is_left(reading: Reading, column: str) -> str:
    name = literal(column)
    tests = [f"{quoted(column)} IN (SELECT raw FROM left_text WHERE column_name = {name})"]
    if column == "candidate":
        tests.append("candidate_no IN (FROM left_name)")
    if reading.loaded.unread:
        tests.append(
            f"candidate_no IN (SELECT candidate_no FROM unread_cell WHERE column_name = {name})"
        )
    return f"({' OR '.join(tests)})"


def _keep_left(reading: Reading) -> None:
    """Create ``left_text`` and ``left_name``: a later reading replaces ``bad_text``."""
    reading.con.execute("CREATE TEMP TABLE left_text AS SELECT column_name, raw FROM bad_text")
    reading.con.execute("CREATE TEMP TABLE left_name (candidate_no INTEGER)")
    if reading.is_named_twice():
        # A car without a name is called by its row: no other car may have that name.
        reading.con.execute(
            "INSERT INTO left_name SELECT candidate_no FROM bad_name UNION SELECT candidate_no"
            " FROM inventory_rows WHERE regexp_full_match(trim(candidate), 'row [0-9]+')"
            " AND trim(candidate) <> 'row ' || candidate_no"
        )


def finish(
    con: duckdb.DuckDBPyConnection, loaded: InventoryRows, how: Unreadable, cars: int
) -> tuple[SetAside | None, RowsRead]:
    """Write the rows that were set aside; return what was read, of which `cars` are left.

    Raises
    ------
    UsageError
        If the file cannot be written; what was there stays.
    """
    reject_file = None if how.aside is None else write_aside(con, loaded, how.aside)
    rows = 0 if reject_file is None else reject_file.rows
    return reject_file, RowsRead(cars + rows, rows, loaded.left_empty, how.aside)
