"""Connections to DuckDB, and how they are set."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable
from pathlib import Path

import duckdb

from towdb.duck.literals import literal

# For a few rows, planning the statements takes longer than running them as they are written.
NO_OPTIMIZER = ("SET threads = 1", "PRAGMA disable_optimizer")
OPTIMIZER = ("RESET threads", "PRAGMA enable_optimizer")
# With millions of cars, what goes beyond this is written to disk, which costs a few seconds.
FRUGAL = "SET memory_limit = '1500MB'"
# What DuckDB would fetch or load by itself when a query or a file seems to want it.
_SETTINGS: dict[str, str | bool | int | float | list[str]] = {
    "python_enable_replacements": False,
    "autoinstall_known_extensions": False,
    "autoload_known_extensions": False,
    "allow_community_extensions": False,
}


def connect() -> duckdb.DuckDBPyConnection:
    """A connection in memory that sees no variables of Python, and loads no extension by itself."""
    return duckdb.connect(config=_SETTINGS)


def settle(con: duckdb.DuckDBPyConnection, statements: Iterable[str]) -> None:
    """Run settings, or macros, in order."""
    for statement in statements:
        con.execute(statement)


def spilling() -> str:
    """The setting that puts what does not fit in memory into a folder of its own."""
    # The working folder may be read-only. DuckDB makes the folder if it is needed, and removes it.
    name = f"towdb-{os.getpid()}-{os.urandom(4).hex()}"
    return f"SET temp_directory = {literal(str(Path(tempfile.gettempdir(), name)))}"
