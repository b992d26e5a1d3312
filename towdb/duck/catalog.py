"""What an attached file contains, without reading any of its rows."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import duckdb

from towdb.duck.sql_files import sql_text

_SQL = Path(__file__).parent / "sql"


class Column(NamedTuple):
    """A column of a table in an attached file."""

    schema: str
    table: str
    name: str
    type: str
    default: str | None


def columns_in(con: duckdb.DuckDBPyConnection, catalog: str) -> list[Column]:
    """All columns of an attached file, in order."""
    return [Column(*row) for row in con.execute(sql_text(_SQL, "columns"), [catalog]).fetchall()]


def what_runs(con: duckdb.DuckDBPyConnection, catalog: str) -> list[str]:
    """What an attached file contains besides tables: it could run, and anybody may have made it."""
    rows = con.execute(sql_text(_SQL, "running"), [catalog]).fetchall()
    return [f"{what} {name[:60]}" for what, name in rows]
