"""Errors of DuckDB as faults of the file, the disk or the memory that caused them."""

from __future__ import annotations

import errno
import os
import re
import tempfile
from pathlib import Path

import duckdb

from towdb.errors import UsageError

# How DuckDB names a file of what does not fit in memory, and one that it cannot read.
_LAID_ASIDE = "duckdb_temp_"
_PARQUET = re.compile(r"file [\"']([^\"']*\.parquet)[\"']", re.IGNORECASE)
_KIND = re.compile(r"^[A-Za-z -]{1,40} Error: ")


def unreadable(error: duckdb.Error, what: str, remedy: str) -> UsageError:
    """Why something cannot be read, as `UsageError`; a full disk or another file is named as such.

    Raises
    ------
    KeyboardInterrupt
        If it is Ctrl-C, which DuckDB reports as an error of what it was reading.
    """
    refuse_interrupt(error)
    text = str(error)
    if _LAID_ASIDE in text:
        return UsageError(
            f"{tempfile.gettempdir()}: has no room for what does not fit in memory"
            f" ({reason(error)}); make room there, or name another folder in TMPDIR"
        )
    if isinstance(error, duckdb.OutOfMemoryException):
        return UsageError(
            f"there is not enough memory ({reason(error)}); close other programs, or use fewer"
            " cars at once"
        )
    # A Parquet file is read column by column: what is damaged further on shows late.
    if match := _PARQUET.search(text):
        is_named = what == f"{Path(match[1]).name}:"
        what, remedy = what if is_named else f"{match[1]}:", "write it again"
    return UsageError(f"{what} cannot be read: {reason(error)}; {remedy}")


def refuse_interrupt(error: duckdb.Error) -> None:
    """Raise KeyboardInterrupt if that is what DuckDB met in Python, and nothing else went wrong."""
    if reason(error).rstrip(": ").endswith("KeyboardInterrupt"):
        raise KeyboardInterrupt


def unwritten(error: duckdb.Error, target: Path) -> Exception:
    """Why a file cannot be filled: an `OSError` if it is the file, else what was to be read."""
    if target.name in str(error):
        return OSError(errno.EIO, reason(error))
    return unreadable(error, "the data to be written", "check the input files")


def reason(error: duckdb.Error) -> str:
    """What went wrong, in one line; for a full disk, in the words of the system."""
    text = str(error)
    full = (os.strerror(code) for code in (errno.ENOSPC, errno.EFBIG, errno.EDQUOT))
    first = _KIND.sub("", text.splitlines()[0], count=1)[:160]
    return next((phrase for phrase in full if phrase in text), first)
