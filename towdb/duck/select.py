"""One SELECT that a person wrote: guarded, within limits, its rows fetched as they are read."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import duckdb

from towdb.duck.interrupt import Allowance
from towdb.duck.limits import UNLIMITED, Limits
from towdb.duck.literals import literal
from towdb.errors import UsageError

if TYPE_CHECKING:
    import pandas as pd

# Functions that run a text as SQL, which nothing has checked.
_RUNNING_TEXT = ("query", "json_execute_serialized_sql")
_READING_NODES = ("SELECT_NODE", "SET_OPERATION_NODE", "RECURSIVE_CTE_NODE", "CTE_NODE")


@dataclass
class Rows:
    """A result: names of its columns, and its rows as they are fetched."""

    columns: list[str]
    rows: Iterator[Sequence[Any]]

    def frame(self) -> pd.DataFrame:
        """All of it as a DataFrame."""
        import pandas as pd

        return pd.DataFrame(list(self.rows), columns=self.columns)


def guard(
    con: duckdb.DuckDBPyConnection, paths: Sequence[str] = (), folder: str | None = None
) -> None:
    """Let queries read the connection's own data, these files and this folder only; for good."""
    try:
        if folder:
            con.execute(f"SET allowed_directories = [{literal(folder)}]")
        if paths:
            con.execute(f"SET allowed_paths = [{', '.join(map(literal, paths))}]")
        con.execute("SET enable_external_access = false")
        con.execute("SET lock_configuration = true")
    except duckdb.Error as error:
        raise UsageError(query_fault(error)) from None


def select(
    con: duckdb.DuckDBPyConnection,
    query: str,
    parameters: Sequence[Any] = (),
    limits: Limits = UNLIMITED,
) -> Rows:
    """Run one SELECT on a guarded connection.

    Raises
    ------
    UsageError
        If it is anything else, cannot be run, or takes more than the limits allow.
    """
    allowance = Allowance(limits.time_s)
    try:
        query.encode()
        statements = con.extract_statements(query)
        if (
            len(statements) != 1
            or statements[0].type != duckdb.StatementType.SELECT
            or not _only_reads(con, query)
        ):
            raise UsageError("write one SELECT statement; nothing else is run here")
        result = allowance.spend(con, lambda: con.execute(statements[0], list(parameters)))
        columns = distinct_names([column[0] for column in result.description or ()])
    except UnicodeEncodeError:
        raise UsageError("the query is not text: it has a broken character; retype it") from None
    except duckdb.OutOfMemoryException:
        raise limits.over_memory() from None
    except duckdb.Error as error:
        raise UsageError(query_fault(error)) from None
    return Rows(columns, _fetch(result, allowance, limits))


def _only_reads(con: duckdb.DuckDBPyConnection, query: str) -> bool:
    # From DuckDB 2 on a SELECT may write: WITH a AS (COPY …), (DELETE …), (INSERT …), (UPDATE …).
    con.execute("SELECT json_serialize_sql($1)", [query])
    (text,) = con.fetchone() or ("{}",)
    try:
        tree = json.loads(text)
    except RecursionError:
        raise UsageError("the query cannot be run: it is nested too deeply") from None
    if tree.get("error", True):
        return False
    parts: list[Any] = [tree]
    while parts:
        part = parts.pop()
        if isinstance(part, dict):
            kind, function = part.get("type"), part.get("function_name")
            if isinstance(kind, str) and kind.endswith("_NODE") and kind not in _READING_NODES:
                return False
            if isinstance(function, str) and function.lower() in _RUNNING_TEXT:
                return False
            parts += part.values()
        elif isinstance(part, list):
            parts += part
    return True


def _fetch(
    result: duckdb.DuckDBPyConnection, allowance: Allowance, limits: Limits
) -> Iterator[Sequence[Any]]:
    try:
        while batch := allowance.spend(result, lambda: result.fetchmany(10_000)):
            yield from batch
    except duckdb.OutOfMemoryException:
        raise limits.over_memory() from None
    except duckdb.Error as error:
        raise UsageError(query_fault(error)) from None


def let_go(con: duckdb.DuckDBPyConnection) -> None:
    """Close a connection, and wait no longer than a second for a query without end."""
    closed = threading.Event()

    def close() -> None:
        with suppress(duckdb.Error):
            con.interrupt()
            con.close()
        closed.set()

    # Interrupted or not, such a query was seen to keep the connection busy for half a minute.
    threading.Thread(target=close, daemon=True).start()
    closed.wait(1)


def distinct_names(names: list[str]) -> list[str]:
    """The names, each once: a repeated name gets a number."""
    # Two columns of one name would overwrite each other in a JSON object or a frame.
    taken: list[str] = []
    for name in names:
        number, candidate = 0, name
        while candidate in taken:
            number += 1
            candidate = f"{name}_{number}"
        taken.append(candidate)
    return taken


def query_fault(error: duckdb.Error) -> str:
    """What is wrong with a query, in one line."""
    lines = [line.strip() for line in str(error).splitlines() if line.strip()]
    return f"the query cannot be run: {' '.join(lines[:2])[:400]}"
