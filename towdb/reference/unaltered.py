"""Whether a release is still what was built: all rows, the id, and what is derived from them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import duckdb
import pandas as pd

from towdb.contract.ddl import as_text
from towdb.contract.model import contract
from towdb.duck.catalog import columns_in
from towdb.duck.connections import connect
from towdb.errors import UsageError
from towdb.reference.digests import changed, recorded
from towdb.reference.filling import fill
from towdb.reference.folder import TextTable
from towdb.reference.identity import release_id
from towdb.reference.opening import AGAIN, release_read
from towdb.reference.release_info import ReleaseInfo
from towdb.reference.rules import stage
from towdb.version import __version__


class Alteration(NamedTuple):
    """What is not as it was built: the table, None for the whole file, and what is wrong."""

    rule: str
    table: str | None
    wrong: str


def text_tables(con: duckdb.DuckDBPyConnection, catalog: str, name: str) -> dict[str, TextTable]:
    """The tables of the contract in an attached release, as the text that they were read from."""
    present: dict[str, set[str]] = {}
    for column in columns_in(con, catalog):
        present.setdefault(column.table, set()).add(column.name)
    tables = {}
    for table in contract().tables.values():
        listed = ", ".join(
            f"{as_text(field) if field.name in present.get(table.name, ()) else 'NULL'}"
            f' AS "{field.name}"'
            for field in table.fields
        )
        rows = []
        if table.name in present:
            rows = con.execute(f"SELECT {listed} FROM {catalog}.towdb_data.{table.name}").fetchall()
        index = pd.RangeIndex(1, len(rows) + 1)
        frame = pd.DataFrame(rows, columns=list(table.columns), index=index, dtype="str")
        tables[table.name] = TextTable(table, name, frame.astype("str"))
    return tables


def altered(
    con: duckdb.DuckDBPyConnection,
    catalog: str,
    release_info: ReleaseInfo,
    tables: dict[str, TextTable],
) -> Iterator[Alteration]:
    """What is not as it was built in an attached release, of which these are the tables."""
    for name in changed(con, catalog):
        yield Alteration("digest", name, "is not as it was when the release was built")
    if release_id(tables) != release_info[0]:
        yield Alteration(
            "release_id", None, f"its rows are not those of release {release_info[0][:12]}"
        )


def derived_otherwise(
    con: duckdb.DuckDBPyConnection,
    catalog: str,
    release_info: ReleaseInfo,
    tables: dict[str, TextTable],
) -> Iterator[Alteration]:
    """Where an attached release of this very towdb differs from what follows from its rows.

    Digests that were made up along with the rows show only here.
    """
    if release_info[2] != __version__ or release_info[1] != contract().version:
        return
    listed = {table.table_name: table for table in recorded(con, catalog)}
    with connect() as own:
        stage(own, tables)
        own.execute("ATTACH ':memory:' AS again")
        # The findings name files and lines of a folder, which is not here.
        fill(own, "again", pd.DataFrame({"file": pd.Series(dtype="str")}), release_info[0])
        for table in recorded(own, "again"):
            if table.table_name != "finding" and listed.get(table.table_name) != table:
                yield Alteration("derived", table.table_name, "does not follow from the rows")


def require_unaltered(
    con: duckdb.DuckDBPyConnection, path: Path, catalog: str, release_info: ReleaseInfo
) -> None:
    """Compare every row of a release that is attached with what it was built with.

    Raises
    ------
    UsageError
        If anything was changed; it is named.
    """
    with release_read(path):
        found = list(altered(con, catalog, release_info, text_tables(con, catalog, path.name)))
    if found:
        listed = "; ".join(f"{f'table {a.table} ' if a.table else ''}{a.wrong}" for a in found[:5])
        raise UsageError(f"{path}: was changed after it was built ({listed}); {AGAIN}")
