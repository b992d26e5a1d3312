"""Cells whose typed text cannot be recovered, whatever they show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import duckdb

from towdb.contract.grammar import Fault

# Its columns are those of `Reading.bad_rows`.
_TABLE = (
    "CREATE TEMP TABLE IF NOT EXISTS unread_cell (candidate_no INTEGER, column_name VARCHAR,"
    " value VARCHAR, rule VARCHAR, message VARCHAR, remedy VARCHAR)"
)
_ENTER = (
    "INSERT INTO unread_cell SELECT unnest($1::INTEGER[]), unnest($2::VARCHAR[]),"
    " unnest($3::VARCHAR[]), unnest($4::VARCHAR[]), unnest($5::VARCHAR[]), unnest($6::VARCHAR[])"
)


@dataclass(frozen=True)
class UnreadCell:
    """The line of a cell, our column, what it shows, and why it is not read."""

    line: int
    column: str
    shown: str
    wrong: Fault


def enter_unread(con: duckdb.DuckDBPyConnection, cells: Sequence[tuple[int, UnreadCell]]) -> None:
    """Add cells to ``unread_cell``, each with the number of its car."""
    if cells:
        con.execute(_TABLE)
        rows = [
            (number, c.column, c.shown, c.wrong.rule, c.wrong.message, c.wrong.remedy)
            for number, c in cells
        ]
        con.execute(_ENTER, [list(column) for column in zip(*rows, strict=True)])
