"""`open`: a release as people query it."""

from __future__ import annotations

import json
import os
import threading
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any

import duckdb

from towdb.contract.ddl import literal
from towdb.duck.interrupt import Allowance
from towdb.duck.limits import UNLIMITED, Limits
from towdb.errors import UsageError
from towdb.reference.named_tables import name_tables
from towdb.reference.opening import (
    Stamp,
    attach,
    digest_of,
    enter_macros,
)

if TYPE_CHECKING:
    import pandas as pd

# Functions that run a text of SQL, which nobody has looked at.
_RUNNING_TEXT = ("query", "json_execute_serialized_sql")
_READING_NODES = ("SELECT_NODE", "SET_OPERATION_NODE", "RECURSIVE_CTE_NODE", "CTE_NODE")


@dataclass
class Rows:
    """An answer: names of its columns, and its rows as they are fetched."""

    columns: list[str]
    rows: Iterator[Sequence[Any]]

    def frame(self) -> pd.DataFrame:
        """All of it as a DataFrame."""
        import pandas as pd

        return pd.DataFrame(list(self.rows), columns=self.columns)


class Reference:
    """A release, opened read-only. Use it as a context manager, or close it.

    Attributes
    ----------
    path : Path
        The file.
    release_id, contract_version, towdb_version : str
        What the file says of itself.
    invented : bool
        Whether it holds invented rows.
    """

    def __init__(self, path: str | os.PathLike[str], limits: Limits = UNLIMITED) -> None:
        self.path, self._limits = Path(path), limits
        self._con, stamp = attach(self.path)
        self.release_id, self.contract_version, self.towdb_version, self.invented = stamp
        self._digest = digest_of(self._con, "reference")
        limits.enter(self._con)
        guard(self._con)

    def again(self) -> tuple[duckdb.DuckDBPyConnection, Stamp]:
        """As `attach`, of this release and no other.

        Raises
        ------
        UsageError
            If another file took its place.
        """
        con, stamp = attach(self.path)
        try:
            self.require_same(con, "reference")
        except BaseException:
            con.close()
            raise
        return con, stamp

    def require_same(self, con: duckdb.DuckDBPyConnection, catalog: str) -> None:
        """Refuse the release that lies in the file today, if it is another one.

        Raises
        ------
        UsageError
            If it is.
        """
        if digest_of(con, catalog) != self._digest:
            raise UsageError(
                f"{self.path}: was replaced after it was opened as release"
                f" {self.release_id[:12]}; open it again"
            )

    def rows(self, query: str, parameters: Sequence[Any] = (), /, **tables: Any) -> Rows:
        """Run one SELECT, with its `$1`, `$2` …, and fetch its rows one by one.

        Raises
        ------
        UsageError
            If the query cannot be run, or a table cannot be read.
        """
        if tables:
            # What a connection may read is settled for good: other files, another connection.
            con, _ = self.again()
            self._limits.enter(con)
        else:
            # Of its own, so that an answer that is still being read stays whole.
            con = _cursor(self._con)
        try:
            if tables:
                guard(con, name_tables(con, tables))
            answer = select(con, query, parameters, self._limits)
        except BaseException:
            con.close()
            raise
        return Rows(answer.columns, _then_close(answer.rows, con))

    def sql(self, query: str, /, **tables: Any) -> pd.DataFrame:
        """Run one SELECT over the release.

        Parameters
        ----------
        query : str
            One SELECT. Tables and views need no schema: ``select * from statement``.
        **tables : path, DataFrame or Arrow table
            More tables to query, by name: ``inventory="stock.parquet"``. CSV is read as DuckDB
            reads it.

        Returns
        -------
        DataFrame

        Raises
        ------
        UsageError
            If the query cannot be run, or a table cannot be read.
        """
        return self.rows(query, **tables).frame()

    def close(self) -> None:
        """Close the release."""
        let_go(self._con)

    def __enter__(self) -> Reference:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


def guard(
    con: duckdb.DuckDBPyConnection, paths: Sequence[str] = (), folder: str | None = None
) -> None:
    """Let queries see what the connection holds, these files and this folder; for good."""
    try:
        if folder:
            con.execute(f"SET allowed_directories = [{literal(folder)}]")
        if paths:
            con.execute(f"SET allowed_paths = [{', '.join(map(literal, paths))}]")
        con.execute("SET enable_external_access = false")
        con.execute("SET lock_configuration = true")
    except duckdb.Error as error:
        raise UsageError(_reason(error)) from None


def _cursor(con: duckdb.DuckDBPyConnection) -> duckdb.DuckDBPyConnection:
    try:
        cursor = con.cursor()
        cursor.execute("USE reference.towdb_data")
        enter_macros(cursor)
    except duckdb.Error as error:
        raise UsageError(_reason(error)) from None
    return cursor


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
        raise UsageError("the query is no text: it holds a broken character") from None
    except duckdb.OutOfMemoryException:
        raise limits.over_memory() from None
    except duckdb.Error as error:
        raise UsageError(_reason(error)) from None
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
        raise UsageError(_reason(error)) from None


def _then_close(
    rows: Iterator[Sequence[Any]], con: duckdb.DuckDBPyConnection
) -> Iterator[Sequence[Any]]:
    try:
        yield from rows
    finally:
        let_go(con)


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


def open(
    reference: str | os.PathLike[str],
    *,
    time_limit_s: float | None = None,
    memory_limit: str | None = None,
) -> Reference:
    """Open a release.

    Parameters
    ----------
    reference : path
        A file that `build` made.
    time_limit_s : float, optional
        Seconds that a query may run; as long as it takes by default.
    memory_limit : str, optional
        Memory that DuckDB may take for queries, as ``2GB``.

    Raises
    ------
    UsageError
        If there is no such file, or it is no release that this towdb can read.
    """
    return Reference(reference, Limits(time_limit_s, memory_limit))


def path_of(reference: Reference | str | os.PathLike[str]) -> Path:
    """The file of a release."""
    return reference.path if isinstance(reference, Reference) else Path(reference)


def attached(
    reference: Reference | str | os.PathLike[str],
) -> tuple[duckdb.DuckDBPyConnection, Stamp]:
    """As `attach`, of a file or of the very release that was opened."""
    return reference.again() if isinstance(reference, Reference) else attach(Path(reference))


def distinct_names(names: list[str]) -> list[str]:
    """The names, each once: what stands twice gets a number."""
    # Two columns of one name would overwrite each other in a JSON object or a frame.
    taken: list[str] = []
    for name in names:
        number, candidate = 0, name
        while candidate in taken:
            number += 1
            candidate = f"{name}_{number}"
        taken.append(candidate)
    return taken


def _reason(error: duckdb.Error) -> str:
    lines = [line.strip() for line in str(error).splitlines() if line.strip()]
    return f"the query cannot be run: {' '.join(lines[:2])[:400]}"
