"""Database files of towdb: how they are stored, and which of them may be replaced."""

from __future__ import annotations

from pathlib import Path

import duckdb

from towdb.duck.catalog import what_runs
from towdb.duck.connections import connect
from towdb.duck.literals import literal
from towdb.errors import UsageError

# Read by DuckDB 1.5 and later; a newer format would shut older clients out.
STORAGE_VERSION = "v1.5.0"


def require_own(path: Path, table: str, kind: str) -> None:
    """Refuse to take the place of a file that is not of this kind.

    Parameters
    ----------
    path : Path
        A file that exists.
    table : str
        With its schema: the table in which such a file names its release.
    kind : str
        What such a file is called in messages.

    Raises
    ------
    UsageError
        If it is something else, or is open in another program.
    """
    found = None
    # DuckDB would wait for ever for the content of a pipe.
    if path.is_file():
        try:
            with connect() as con:
                con.execute(f"ATTACH {literal(str(path))} AS own (READ_ONLY)")
                # A view of that name would be run, and the file is anybody's.
                con.execute(
                    "SELECT 1 FROM duckdb_tables() WHERE database_name = 'own'"
                    " AND schema_name || '.' || table_name = $1",
                    [table],
                )
                if con.fetchall() and not what_runs(con, "own"):
                    con.execute(f"SELECT release_id FROM own.{table}")
                    found = con.fetchone()
        except duckdb.Error as error:
            if "Could not set lock" in str(error):
                raise UsageError(f"{path}: is open in another program; close it there") from None
    if found is None:
        raise UsageError(
            f"{path}: already exists and is not a towdb {kind}; it was not changed."
            " Choose another name"
        )
