"""`open`: a release as people query it."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any

import duckdb

from towdb.duck.limits import UNLIMITED, Limits
from towdb.duck.select import Rows, guard, let_go, query_fault, select
from towdb.errors import UsageError
from towdb.reference.named_tables import name_tables
from towdb.reference.opening import attach, digest_of, enter_macros
from towdb.reference.release_info import ReleaseInfo

if TYPE_CHECKING:
    import pandas as pd


class Reference:
    """A release, opened read-only. Use it as a context manager, or close it.

    Attributes
    ----------
    path : Path
        The file.
    release_id, contract_version, towdb_version : str
        As the file states them.
    invented : bool
        Whether it has invented rows.
    """

    def __init__(self, path: str | os.PathLike[str], limits: Limits = UNLIMITED) -> None:
        self.path, self._limits = Path(path), limits
        self._con, release_info = attach(self.path)
        self.release_id, self.contract_version, self.towdb_version, self.invented = release_info
        self._digest = digest_of(self._con, "reference")
        limits.enter(self._con)
        guard(self._con)

    def again(self) -> tuple[duckdb.DuckDBPyConnection, ReleaseInfo]:
        """As `attach`, of this release and no other.

        Raises
        ------
        UsageError
            If another file took its place.
        """
        con, release_info = attach(self.path)
        try:
            self.require_same(con, "reference")
        except BaseException:
            con.close()
            raise
        return con, release_info

    def require_same(self, con: duckdb.DuckDBPyConnection, catalog: str) -> None:
        """Refuse the file if it is another release by now.

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
            # What a connection may read cannot be changed: other files need another connection.
            con, _ = self.again()
            self._limits.enter(con)
        else:
            # A cursor of its own, so that a result that is still being read stays whole.
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


def _cursor(con: duckdb.DuckDBPyConnection) -> duckdb.DuckDBPyConnection:
    try:
        cursor = con.cursor()
        cursor.execute("USE reference.towdb_data")
        enter_macros(cursor)
    except duckdb.Error as error:
        raise UsageError(query_fault(error)) from None
    return cursor


def _then_close(
    rows: Iterator[Sequence[Any]], con: duckdb.DuckDBPyConnection
) -> Iterator[Sequence[Any]]:
    try:
        yield from rows
    finally:
        let_go(con)


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
        If the file does not exist, or is not a release that this towdb can read.
    """
    return Reference(reference, Limits(time_limit_s, memory_limit))


def path_of(reference: Reference | str | os.PathLike[str]) -> Path:
    """The file of a release."""
    return reference.path if isinstance(reference, Reference) else Path(reference)


def attached(
    reference: Reference | str | os.PathLike[str],
) -> tuple[duckdb.DuckDBPyConnection, ReleaseInfo]:
    """As `attach`, of a file or of the very release that was opened."""
    return reference.again() if isinstance(reference, Reference) else attach(Path(reference))
