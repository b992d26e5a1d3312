"""Release metadata: what a release records about itself, in tables beside its rows."""

from __future__ import annotations

from typing import NamedTuple

import duckdb


class ReleaseInfo(NamedTuple):
    """The row of ``release``, without its digest.

    Attributes
    ----------
    release_id : str
        Content address of the rows.
    contract_version, towdb_version : str
        The contract that the rows keep, and the towdb that built the file.
    invented : bool
        Whether any row comes from an invented source.
    """

    release_id: str
    contract_version: str
    towdb_version: str
    invented: bool


# Table to its meaning, and that of its columns.
METADATA = {
    "release": (
        "What the file is: one row.",
        {
            "release_id": "content address: the same rows give the same id, whatever they came in",
            "contract_version": "contract that the rows keep",
            "towdb_version": "towdb that built the file",
            "invented": "whether any row comes from an invented source",
            "digest": "one over this row and the digests of all tables",
        },
    ),
    "digest": (
        "The content of each table of the file when it was built, in figures.",
        {
            "table_name": "name of the table",
            "columns": "its columns, each with its type",
            "row_count": "how many rows it has",
            "digest": "SHA-256 of its rows, in any order",
        },
    ),
    "finding": (
        "Warnings of the check that the folder passed.",
        {
            "file": "name of the file",
            "line": "first physical line of the record, the header being 1",
            "table": "table of the record; empty: the fault is of a whole file",
            "key": "key of the record",
            "column": "column of the cell; empty: the fault is of a whole record",
            "value": "content of the cell",
            "rule": "name of the rule that it breaks",
            "severity": "warning",
            "message": "what is wrong",
            "remedy": "what to do",
        },
    ),
}


def write_release_info(
    con: duckdb.DuckDBPyConnection, catalog: str, info: ReleaseInfo, digest: str
) -> None:
    """Create ``release``, one row, in an attached file whose other tables are filled."""
    con.execute(
        f"CREATE TABLE {catalog}.towdb_data.release AS SELECT $1 AS release_id,"
        " $2 AS contract_version, $3 AS towdb_version, CAST($4 AS BOOLEAN) AS invented,"
        " $5 AS digest",
        [*info, digest],
    )


def read_release_info(con: duckdb.DuckDBPyConnection, catalog: str) -> ReleaseInfo | None:
    """The row of ``release`` of an attached file; None: it has none."""
    con.execute(f"SELECT {', '.join(ReleaseInfo._fields)} FROM {catalog}.towdb_data.release")
    row = con.fetchone()
    return None if row is None else ReleaseInfo(*row)
