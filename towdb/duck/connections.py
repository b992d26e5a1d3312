"""Settings of a connection: how statements are planned."""

from __future__ import annotations

from collections.abc import Iterable

import duckdb

# To plan the statements for a few rows takes longer than to run them as they are written.
NO_OPTIMIZER = ("SET threads = 1", "PRAGMA disable_optimizer")
OPTIMIZER = ("RESET threads", "PRAGMA enable_optimizer")


def settle(con: duckdb.DuckDBPyConnection, statements: Iterable[str]) -> None:
    """Run settings, or macros, in order."""
    for statement in statements:
        con.execute(statement)
