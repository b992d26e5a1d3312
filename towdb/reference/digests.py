"""The content of a release in figures: columns, rows and digest of each table, and one over all.

Digests are of the rows in any order, and the same on every DuckDB that reads a release.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

import duckdb

from towdb.duck.catalog import Column, columns_in
from towdb.reference.release_info import ReleaseInfo, write_release_info

# These contain the digests, and are covered by the one over all.
UNCOUNTED = ("release", "digest")


class TableDigest(NamedTuple):
    """One table: its columns with their types, how many rows it has, and their digest."""

    table_name: str
    columns: str
    row_count: int
    digest: str


def _by_table(columns: Iterable[Column]) -> dict[str, list[Column]]:
    found: dict[str, list[Column]] = {}
    for column in columns:
        if column.table not in UNCOUNTED:
            found.setdefault(column.table, []).append(column)
    return found


def _listed(columns: Iterable[Column]) -> str:
    return ", ".join(f"{column.name} {column.type}" for column in columns)


def digests(con: duckdb.DuckDBPyConnection, catalog: str) -> list[TableDigest]:
    """The digests of the tables of a release that is attached, by name; every row is read."""
    found = []
    for table, columns in sorted(_by_table(columns_in(con, catalog)).items()):
        sql = _digest_sql(catalog, table, [column.name for column in columns])
        ((row_count, digest),) = con.execute(sql).fetchall()
        found.append(TableDigest(table, _listed(columns), row_count, digest))
    return found


def _digest_sql(catalog: str, table: str, columns: Sequence[str]) -> str:
    # The length before each cell: 'a' beside 'bc' is something else than 'ab' beside 'c'.
    cells = ", ".join(
        f"COALESCE(length(CAST(\"{c}\" AS VARCHAR)) || ':' || CAST(\"{c}\" AS VARCHAR), '-')"
        for c in columns
    )
    return (
        "SELECT COUNT(*), sha256(COALESCE(string_agg(one, '' ORDER BY one), ''))"
        f" FROM (SELECT sha256(concat({cells})) AS one FROM {catalog}.towdb_data.{table})"
    )


def over_all(about: Iterable[object], tables: Iterable[TableDigest]) -> str:
    """The digest of a release's own row, and of the digests of its tables."""
    parts = [[str(each) for each in about], *([*map(str, table)] for table in sorted(tables))]
    return hashlib.sha256(json.dumps(parts).encode("utf-8")).hexdigest()


def recorded(con: duckdb.DuckDBPyConnection, catalog: str) -> list[TableDigest]:
    """The digests that a release got when it was built."""
    rows = con.execute(
        f"SELECT table_name, columns, row_count, digest FROM {catalog}.towdb_data.digest"
    ).fetchall()
    return sorted(TableDigest(*row) for row in rows)


def enter_digests(con: duckdb.DuckDBPyConnection, catalog: str, about: ReleaseInfo) -> None:
    """Create ``digest`` and ``release`` of a release whose other tables are filled."""
    found = digests(con, catalog)
    con.execute(
        f"CREATE TABLE {catalog}.towdb_data.digest"
        " (table_name VARCHAR, columns VARCHAR, row_count BIGINT, digest VARCHAR)"
    )
    con.executemany(f"INSERT INTO {catalog}.towdb_data.digest VALUES ($1, $2, $3, $4)", found)
    write_release_info(con, catalog, about, over_all(about, found))


def cheaply_changed(
    con: duckdb.DuckDBPyConnection,
    catalog: str,
    columns: Iterable[Column],
    about: Iterable[object],
) -> Iterator[str]:
    """What was changed since a release was built, as far as it shows without reading its rows.

    `columns` are those in it, of known tables only; `about` is the release's own row.
    """
    known = recorded(con, catalog)
    (built_with,) = con.execute(f"SELECT digest FROM {catalog}.towdb_data.release").fetchone() or (
        "",
    )
    if built_with != over_all(about, known):
        yield "its description of itself and of its tables"
    present = {table: _listed(found) for table, found in _by_table(columns).items()}
    # The sizes in duckdb_tables() still count rows that were deleted.
    counts = " UNION ALL ".join(
        f"SELECT '{name}', COUNT(*) FROM {catalog}.towdb_data.{name}" for name in sorted(present)
    )
    sizes = dict(con.execute(counts).fetchall()) if counts else {}
    listed = {table.table_name: table for table in known}
    for name in sorted(present.keys() | listed.keys()):
        table = listed.get(name)
        now = (present.get(name), sizes.get(name))
        if table is None or (table.columns, table.row_count) != now:
            yield f"table {name}"


def changed(con: duckdb.DuckDBPyConnection, catalog: str) -> list[str]:
    """The tables whose rows are no longer those that the release was built with."""
    then = {table.table_name: table for table in recorded(con, catalog)}
    now = {table.table_name: table for table in digests(con, catalog)}
    return sorted(name for name in then.keys() | now.keys() if then.get(name) != now.get(name))
