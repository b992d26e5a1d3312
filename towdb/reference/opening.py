"""A release file is opened as a stranger's: it may have tables only, and nothing in it is run."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import duckdb

from towdb.contract.ddl import FOLD, IS_WITHDRAWN, VOCABULARY_RELATIONS
from towdb.contract.model import contract
from towdb.duck.catalog import Column, columns_in, what_runs
from towdb.duck.connections import connect, settle
from towdb.duck.faults import refuse_interrupt, unreadable
from towdb.duck.literals import literal
from towdb.errors import UsageError
from towdb.reference.digests import cheaply_changed
from towdb.reference.relations import COPIED, DERIVED
from towdb.reference.release_info import METADATA, ReleaseInfo, read_release_info

AGAIN = "build it again with: towdb build FOLDER -o FILE.duckdb"
_TYPE = re.compile(r"VARCHAR|BOOLEAN|DATE|INTEGER|BIGINT|DOUBLE|DECIMAL\([0-9]+,[0-9]+\)")
_NAME = re.compile(r"[a-z][a-z0-9_]*")
_MACROS = tuple(
    sql.replace("MACRO towdb_data.", "TEMP MACRO IF NOT EXISTS ") for sql in (FOLD, IS_WITHDRAWN)
)


def attach(path: Path) -> tuple[duckdb.DuckDBPyConnection, ReleaseInfo]:
    """A connection of its own to a release, read-only, and the release's own row.

    Raises
    ------
    UsageError
        If the file does not exist, is not a release that this towdb can read, contains anything
        that could run, or was changed after it was built.
    """
    con = connect()
    try:
        release_info = attach_beside(con, path, "reference")
        con.execute("SET search_path = 'reference.towdb_data'")
        enter_macros(con)
    except BaseException:
        con.close()
        raise
    return con, release_info


def enter_macros(con: duckdb.DuckDBPyConnection) -> None:
    """Create the macros that queries call; a release brings none."""
    settle(con, _MACROS)


def digest_of(con: duckdb.DuckDBPyConnection, catalog: str) -> str:
    """The digest by which two files are known to be the same release."""
    (digest,) = con.execute(f"SELECT digest FROM {catalog}.towdb_data.release").fetchall()[0]
    return str(digest)


def attach_beside(con: duckdb.DuckDBPyConnection, path: Path, catalog: str) -> ReleaseInfo:
    """Attach a release under a name, as `attach` does, to a connection of `connect`."""
    if not path.is_file():
        raise UsageError(f"{path}: there is no such release; build one with: towdb build")
    try:
        con.execute(f"ATTACH {literal(str(path))} AS {catalog} (READ_ONLY)")
        columns = _refuse_what_runs(con, path, catalog)
        found = read_release_info(con, catalog)
    except duckdb.Error as error:
        refuse_interrupt(error)
        found = None
        if "newer version of DuckDB" in str(error):
            raise UsageError(
                f"{path}: was written by a newer DuckDB; install it (pip install --upgrade duckdb),"
                " or build the release again"
            ) from None
    if found is None:
        raise UsageError(f"{path}: is not a towdb release; build one with: towdb build")
    if str(found[1]).split(".")[0] != contract().version.split(".")[0]:
        raise UsageError(
            f"{path}: was built for contract {found[1]}, this towdb reads"
            f" {contract().version}; use a towdb of that version, or build the release again"
        )
    with release_read(path):
        _refuse_what_was_changed(con, path, catalog, columns, found)
    return found


def _refuse_what_runs(con: duckdb.DuckDBPyConnection, path: Path, catalog: str) -> Sequence[Column]:
    # Before any table is read, and before columns are listed: a view may take the place of each
    # table, and DuckDB opens what a view names to list its columns.
    columns: list[Column] = []
    found = what_runs(con, catalog)
    if not found:
        columns = columns_in(con, catalog)
        found = [
            f"column {column.table[:60]}.{column.name[:60]} {column.type[:60]}"
            + ("" if column.default is None else f" of {column.default[:60]}")
            for column in columns
            if column.default is not None
            or not (_TYPE.fullmatch(column.type) and _NAME.fullmatch(column.name))
        ]
    if found:
        raise UsageError(
            f"{path}: contains {_few(found)}; a release has plain tables only, because anything"
            f" else in a file could run. If an earlier towdb built it, {AGAIN}; else do not use it"
        )
    return columns


def _refuse_what_was_changed(
    con: duckdb.DuckDBPyConnection,
    path: Path,
    catalog: str,
    columns: Sequence[Column],
    release_info: ReleaseInfo,
) -> None:
    tables = {(column.schema, column.table) for column in columns}
    if ("towdb_data", "digest") not in tables:
        raise UsageError(
            f"{path}: was built by an earlier towdb, without digests of its tables, so that"
            f" nobody can see whether it was changed; {AGAIN}"
        )
    for schema, table in sorted(tables):
        if schema != "towdb_data" or table not in _known_tables():
            raise UsageError(
                f"{path}: contains table {schema[:60]}.{table[:60]}, unknown to this towdb;"
                f" use the towdb that built it ({release_info[2]}), or {AGAIN}"
            )
    refuse_changed(path, list(cheaply_changed(con, catalog, columns, release_info)))


def _known_tables() -> set[str]:
    return {*contract().tables, *DERIVED, *METADATA, *VOCABULARY_RELATIONS, *COPIED}


def _few(what: Sequence[str]) -> str:
    return ", ".join(what[:5]) + (f" and {len(what) - 5} more" if len(what) > 5 else "")


def refuse_changed(path: Path, what: Sequence[str]) -> None:
    """Refuse a release of which this was changed after it was built, if anything was."""
    if what:
        raise UsageError(f"{path}: was changed after it was built ({_few(what)}); {AGAIN}")


@contextmanager
def release_read(path: Path) -> Iterator[None]:
    """While a release is read: DuckDB's errors as `UsageError`."""
    # What passed when it was attached may still be damaged further on, or vanish.
    try:
        yield
    except duckdb.Error as error:
        raise unreadable(error, f"{path}: the release", "build it again") from None
