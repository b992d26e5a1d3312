"""`differences`: what was added, removed and changed between two releases, field by field."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import duckdb

from towdb.contract.ddl import as_text
from towdb.contract.model import Table, contract
from towdb.duck.faults import unreadable
from towdb.duck.literals import literal
from towdb.reference.opening import attach_beside
from towdb.reference.query import Reference
from towdb.reference.unaltered import require_unaltered

COLUMNS = ("table", "key", "change", "column", "before", "after")
Record = dict[str, Any]


def differences(before: Reference, after: Reference) -> list[Record]:
    """What is in only one of two releases, or differs between them.

    Parameters
    ----------
    before, after : Reference
        The releases.

    Returns
    -------
    list of dict
        Keys as in `COLUMNS`. `change` is ``added``, ``removed`` or ``changed``; a changed record
        has one entry a field, with the values as text.

    Raises
    ------
    UsageError
        If one of them was changed after it was built, or was replaced.
    """
    con, release_info = before.again()
    try:
        require_unaltered(con, before.path, "reference", release_info)
        if before.path.samefile(after.path):
            return []
        release_info = attach_beside(con, after.path, "other")
        after.require_same(con, "other")
        require_unaltered(con, after.path, "other", release_info)
        return list(_records(con))
    except duckdb.Error as error:
        raise unreadable(error, "a release", "build it again") from None
    finally:
        con.close()


def _records(con: duckdb.DuckDBPyConnection) -> Iterator[Record]:
    for table in contract().tables.values():
        con.execute(_cells_sql(con, table))
        for row in con.fetchall():
            yield dict(zip(COLUMNS, (table.name, *row), strict=True))


def _cells_sql(con: duckdb.DuckDBPyConnection, table: Table) -> str:
    # A missing key column means that the record is not there; a key never changes by itself.
    both = [_long(con, catalog, table) for catalog in ("reference", "other")]
    return (
        f"WITH before AS ({both[0]}), after AS ({both[1]}),"
        " joined AS (SELECT COALESCE(b.key, a.key) AS key, COALESCE(b.field, a.field) AS field,"
        " b.value AS before, a.value AS after, COALESCE(b.nr, a.nr) AS nr"
        " FROM before AS b FULL JOIN after AS a ON a.key = b.key AND a.field = b.field),"
        f" record AS (SELECT key, CASE WHEN before IS NULL THEN 'added' WHEN after IS NULL"
        f" THEN 'removed' END AS change FROM joined WHERE field = {literal(table.key)})"
        " SELECT r.key, COALESCE(r.change, 'changed'),"
        " CASE WHEN r.change IS NULL THEN j.field END,"
        " CASE WHEN r.change IS NULL THEN j.before END,"
        " CASE WHEN r.change IS NULL THEN j.after END"
        f" FROM joined AS j JOIN record AS r ON r.key = j.key"
        f" WHERE (r.change IS NOT NULL AND j.field = {literal(table.key)})"
        " OR (r.change IS NULL AND j.before IS DISTINCT FROM j.after)"
        " ORDER BY r.key, j.nr"
    )


def _long(con: duckdb.DuckDBPyConnection, catalog: str, table: Table) -> str:
    con.execute(
        "SELECT column_name FROM duckdb_columns() WHERE database_name = $1"
        " AND schema_name = 'towdb_data' AND table_name = $2",
        [catalog, table.name],
    )
    present = {name for (name,) in con.fetchall()}
    parts = [
        f"SELECT {table.key} AS key, {literal(field)} AS field, {number} AS nr,"
        f" {as_text(table.field(field))} AS value FROM {catalog}.towdb_data.{table.name}"
        for number, field in enumerate(table.columns)
        if field in present
    ]
    return " UNION ALL ".join(parts) or (
        "SELECT '' AS key, '' AS field, 0 AS nr, '' AS value LIMIT 0"
    )
