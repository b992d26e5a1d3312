"""`open`: a release as people query it."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any

import duckdb

from towdb.contract.ddl import literal
from towdb.contract.model import contract
from towdb.errors import UsageError

if TYPE_CHECKING:
    import pandas as pd


@dataclass
class Rows:
    """An answer: names of its columns, and its rows as they are fetched."""

    columns: list[str]
    rows: Iterator[Sequence[Any]]


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
        # A query asks about the release and nothing else of this machine.
        self._con.execute("SET enable_external_access = false")
        self._con.execute("SET lock_configuration = true")

    def rows(self, query: str, parameters: Sequence[Any] = ()) -> Rows:
        """Run one SELECT, with its `$1`, `$2` …, and fetch its rows one by one.

        Raises
        ------
        UsageError
            If the query cannot be run.
        """
        try:
            statements = self._con.extract_statements(query)
            if len(statements) != 1 or statements[0].type != duckdb.StatementType.SELECT:
                raise UsageError("write one SELECT statement; a release is only read")
            result = self._con.execute(statements[0], list(parameters))
            columns = _distinct([column[0] for column in result.description or ()])
        except duckdb.Error as error:
            raise UsageError(_reason(error)) from None
        return Rows(columns, self._fetch(result))

    def sql(self, query: str) -> pd.DataFrame:
        """Run one SELECT over the release.

        Parameters
        ----------
        query : str
            One SELECT. Tables and views need no schema: ``select * from statement``.

        Returns
        -------
        DataFrame

        Raises
        ------
        UsageError
            If the query cannot be run.
        """
        import pandas as pd

        answer = self.rows(query)
        return pd.DataFrame(list(answer.rows), columns=answer.columns)

    def close(self) -> None:
        """Close the release."""
        self._con.close()

    def __enter__(self) -> Reference:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def _fetch(self, result: duckdb.DuckDBPyConnection) -> Iterator[Sequence[Any]]:
        try:
            while batch := result.fetchmany(10_000):
                yield from batch
        except duckdb.Error as error:
            raise UsageError(_reason(error)) from None


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
    except duckdb.Error:
        found = None
    if found is None:
        con.close()
        raise UsageError(f"{path}: is no release of towdb; build one with: towdb build")
    if found[1].split(".")[0] != contract().version.split(".")[0]:
        con.close()
        raise UsageError(
            f"{path}: was built for contract {found[1]}, this towdb reads"
            f" {contract().version}; use a towdb of that version, or build the release anew"
        )
    return con, found


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


def _distinct(names: list[str]) -> list[str]:
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
