"""A user's own tables beside a release: files and frames, each by a name."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import duckdb

from towdb.duck.literals import literal
from towdb.errors import UsageError


def name_tables(con: duckdb.DuckDBPyConnection, tables: Mapping[str, Any]) -> list[str]:
    """Make each table known by its name; the files that they are.

    Raises
    ------
    UsageError
        If a name is taken or not usable, or a table cannot be read.
    """
    con.execute(
        "SELECT table_name FROM duckdb_tables() WHERE database_name = 'reference'"
        " UNION ALL SELECT view_name FROM duckdb_views() WHERE database_name = 'reference'"
    )
    taken = {name for (name,) in con.fetchall()}
    paths: list[str] = []
    for name, table in tables.items():
        if not re.fullmatch("[a-z_][a-z0-9_]*", name):
            raise UsageError(f"table {name}: write the name in small letters, digits and _")
        if name in taken:
            raise UsageError(f"table {name}: the release has one of this name; choose another")
        if isinstance(table, (str, os.PathLike)):
            paths += _name_file(con, name, Path(table))
        else:
            _name_frame(con, name, table)
    return paths


def _name_file(con: duckdb.DuckDBPyConnection, name: str, path: Path) -> tuple[str, ...]:
    readers = {".csv": "read_csv", ".parquet": "read_parquet"}
    reader = readers.get(path.suffix.lower())
    if reader is None:
        raise UsageError(f"table {name}: {path}: name a file that ends in .csv or .parquet")
    if not path.is_file():
        what = "is a folder; name a file in it" if path.is_dir() else "there is no such file"
        raise UsageError(f"table {name}: {path}: {what}")
    # Absolute: that is how DuckDB compares it with what is allowed.
    resolved = str(path.resolve())
    read = f"{reader}({literal(as_name(resolved))}, hive_partitioning = false)"
    try:
        con.execute(f'CREATE TEMP VIEW "{name}" AS FROM {read}')
    except duckdb.Error as error:
        reason = str(error).splitlines()[0][:160]
        raise UsageError(f"table {name}: {path}: cannot be read: {reason}") from None
    return resolved, as_name(resolved)


def _name_frame(con: duckdb.DuckDBPyConnection, name: str, table: Any) -> None:
    try:
        register_frame(con, name, table)
    except (duckdb.Error, TypeError):
        raise UsageError(
            f"table {name}: a {type(table).__name__} is not a table; pass a path, a DataFrame or an"
            " Arrow table"
        ) from None


class _Stream:
    """Any table as Arrow's C stream, from its first row whenever it is read."""

    def __init__(self, table: Any) -> None:
        self._table = table

    def __arrow_c_stream__(self, requested_schema: object = None) -> object:
        return self._table.__arrow_c_stream__(requested_schema)


def register_frame(con: duckdb.DuckDBPyConnection, name: str, table: Any) -> None:
    """Make a frame known to a connection by a name.

    Raises
    ------
    duckdb.Error, TypeError
        If it is not a frame.
    """
    try:
        con.register(name, table)
    except (duckdb.Error, TypeError):
        # DuckDB reads frames of polars by way of pyarrow, which need not be there.
        if not hasattr(table, "__arrow_c_stream__"):
            raise
        con.register(name, _Stream(table))


def as_name(path: str) -> str:
    """A path as DuckDB takes it for that one file, whatever characters it contains."""
    return re.sub(r"([*?\[])", r"[\1]", path)
