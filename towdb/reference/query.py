"""`open`: a release as people query it."""

from __future__ import annotations

import json
import os
import re
import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any

import duckdb

from towdb.contract.ddl import literal
from towdb.contract.model import contract
from towdb.errors import UsageError
from towdb.reference.interruptible import interruptibly
from towdb.reference.trouble import unreadable

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

    def __init__(self, path: str | os.PathLike[str]) -> None:
        self.path = Path(path)
        self._con, stamp = attach(self.path)
        self.release_id, self.contract_version, self.towdb_version, self.invented = stamp
        guard(self._con)

    def rows(self, query: str, parameters: Sequence[Any] = (), /, **tables: Any) -> Rows:
        """Run one SELECT, with its `$1`, `$2` …, and fetch its rows one by one.

        Raises
        ------
        UsageError
            If the query cannot be run, or a table cannot be read.
        """
        if tables:
            # What a connection may read is settled for good: other files, another connection.
            con, _ = attach(self.path)
        else:
            # Of its own, so that an answer that is still being read stays whole.
            con = _cursor(self._con)
        try:
            if tables:
                guard(con, _name_tables(con, tables))
            answer = select(con, query, parameters)
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


def attach(path: Path) -> tuple[duckdb.DuckDBPyConnection, tuple[str, str, str, bool]]:
    """A connection of its own to a release, read-only, and what the release says of itself.

    Raises
    ------
    UsageError
        If there is no such file, or it is no release that this towdb can read.
    """
    if not path.is_file():
        raise UsageError(f"{path}: there is no such release; build one with: towdb build")
    con = duckdb.connect(config={"python_enable_replacements": False})
    try:
        con.execute(f"ATTACH {literal(str(path))} AS reference (READ_ONLY)")
        con.execute(
            "SELECT release_id, contract_version, towdb_version, invented"
            " FROM reference.towdb_data.release"
        )
        found = con.fetchone()
        con.execute("SET search_path = 'reference.towdb_data'")
    except duckdb.Error as error:
        found = None
        if "newer version of DuckDB" in str(error):
            con.close()
            raise UsageError(
                f"{path}: was written by a newer DuckDB; install it (pip install --upgrade duckdb),"
                " or build the release anew"
            ) from None
    if found is None:
        con.close()
        raise UsageError(f"{path}: is no release of towdb; build one with: towdb build")
    if str(found[1]).split(".")[0] != contract().version.split(".")[0]:
        con.close()
        raise UsageError(
            f"{path}: was built for contract {found[1]}, this towdb reads"
            f" {contract().version}; use a towdb of that version, or build the release anew"
        )
    return con, found


@contextmanager
def release_read(path: Path) -> Iterator[None]:
    """While a release is read: what DuckDB finds wrong with it, as a `UsageError`."""
    # What passed when it was attached may still be damaged further on, or vanish.
    try:
        yield
    except duckdb.Error as error:
        raise unreadable(error, f"{path}: the release", "build it anew") from None


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
    except duckdb.Error as error:
        raise UsageError(_reason(error)) from None
    return cursor


def select(con: duckdb.DuckDBPyConnection, query: str, parameters: Sequence[Any] = ()) -> Rows:
    """Run one SELECT on a guarded connection.

    Raises
    ------
    UsageError
        If it is anything else, or cannot be run.
    """
    try:
        query.encode()
        statements = con.extract_statements(query)
        if (
            len(statements) != 1
            or statements[0].type != duckdb.StatementType.SELECT
            or not _only_reads(con, query)
        ):
            raise UsageError("write one SELECT statement; nothing else is run here")
        result = interruptibly(con, lambda: con.execute(statements[0], list(parameters)))
        columns = distinct_names([column[0] for column in result.description or ()])
    except UnicodeEncodeError:
        raise UsageError("the query is no text: it holds a broken character") from None
    except duckdb.Error as error:
        raise UsageError(_reason(error)) from None
    return Rows(columns, _fetch(result))


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


def _fetch(result: duckdb.DuckDBPyConnection) -> Iterator[Sequence[Any]]:
    try:
        while batch := interruptibly(result, lambda: result.fetchmany(10_000)):
            yield from batch
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


def _name_tables(con: duckdb.DuckDBPyConnection, tables: Mapping[str, Any]) -> list[str]:
    """Make each table known by its name; the files that they are."""
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
    said = str(path.resolve())
    read = f"{reader}({literal(as_name(said))}, hive_partitioning = false)"
    try:
        con.execute(f'CREATE TEMP VIEW "{name}" AS FROM {read}')
    except duckdb.Error as error:
        reason = str(error).splitlines()[0][:160]
        raise UsageError(f"table {name}: {path}: cannot be read: {reason}") from None
    return said, as_name(said)


def _name_frame(con: duckdb.DuckDBPyConnection, name: str, table: Any) -> None:
    try:
        register_frame(con, name, table)
    except (duckdb.Error, TypeError):
        raise UsageError(
            f"table {name}: a {type(table).__name__} is no table; give a path, a DataFrame or an"
            " Arrow table"
        ) from None


class _Stream:
    """Any table as Arrow's C stream, begun anew whenever it is read."""

    def __init__(self, table: Any) -> None:
        self._table = table

    def __arrow_c_stream__(self, requested_schema: object = None) -> object:
        return self._table.__arrow_c_stream__(requested_schema)


def register_frame(con: duckdb.DuckDBPyConnection, name: str, table: Any) -> None:
    """Make a frame known to a connection by a name.

    Raises
    ------
    duckdb.Error, TypeError
        If it is none.
    """
    try:
        con.register(name, table)
    except (duckdb.Error, TypeError):
        # DuckDB reads frames of polars by way of pyarrow, which need not be there.
        if not hasattr(table, "__arrow_c_stream__"):
            raise
        con.register(name, _Stream(table))


def as_name(path: str) -> str:
    """A path as DuckDB takes it for that one file, whatever characters it holds."""
    return re.sub(r"([*?\[])", r"[\1]", path)


def open(reference: str | os.PathLike[str]) -> Reference:
    """Open a release.

    Parameters
    ----------
    reference : path
        A file that `build` made.

    Raises
    ------
    UsageError
        If there is no such file, or it is no release that this towdb can read.
    """
    return Reference(reference)


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
