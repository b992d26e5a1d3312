"""Database files that are ours: which may be replaced, and what is left of those never finished."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

import duckdb

from towdb.contract.ddl import literal
from towdb.errors import UsageError
from towdb.reference.opening import connect, what_runs

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
    # DuckDB would wait for ever for what comes out of a pipe.
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
        raise UsageError(f"{path}: exists and is no {kind} of towdb; it is left as it is")


def sync_folder(folder: Path) -> None:
    """Lay the names in a folder on the disk: a rename must survive a power cut, too."""
    # Not every system can open a folder.
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def remove_left(files: Iterable[Path], own: re.Pattern[str]) -> None:
    """Remove what processes that have ended left behind.

    Parameters
    ----------
    files : iterable of Path
        Where to look.
    own : Pattern
        How such a file is called; its first group is the number of the process.
    """
    for left in files:
        match = own.fullmatch(left.name)
        if match and not _is_running(int(match[1])):
            with suppress(OSError):
                if left.is_dir():
                    shutil.rmtree(left, ignore_errors=True)
                else:
                    left.unlink(missing_ok=True)


def _is_running(process: int) -> bool:
    if os.name != "posix":
        return True
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        pass
    return True
