"""Where a result goes and in which format; files are replaced in one step."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import TextIO

from towdb.errors import UsageError

# How a file is called while it is filled; what a process that ended left behind goes by its number.
WRITING = re.compile(r"\.towdb-(\d{1,9})-[0-9a-f]{8}\.writing")


def choose_format(wanted: str | None, output: Path | None, offered: Sequence[str]) -> str:
    """The format of a result: as wanted, else from the end of the file's name, else a table.

    Raises
    ------
    UsageError
        If the verb does not offer it, or name and wish contradict each other.
    """
    by_name = output.suffix.lower().removeprefix(".") if output is not None else None
    by_name = "table" if by_name == "txt" else by_name
    chosen = wanted or ("table" if by_name is None else by_name)
    if chosen not in offered or (by_name is not None and by_name not in offered):
        ends = ", ".join(f".{'txt' if name == 'table' else name}" for name in offered)
        what = f"no format {chosen!r} here" if chosen not in offered else "no format has this end"
        where = f"{output}: " if output is not None else ""
        raise UsageError(
            f"{where}{what}; choose {', '.join(offered)}, or a name that ends in {ends}"
        )
    if by_name and by_name != chosen:
        raise UsageError(
            f"{output}: the name ends in {output.suffix if output else ''}, but --format says"
            f" {chosen}; let them agree"
        )
    return chosen


def deliver(write: Callable[[TextIO], None], output: Path | None) -> None:
    """Write a result to standard output, or to a file that is replaced once it is whole.

    Raises
    ------
    UsageError
        If the file cannot be written; what was there stays.
    """
    if output is None:
        write(sys.stdout)
        return

    def fill(path: Path) -> None:
        with path.open("w", encoding="utf-8", errors="backslashreplace", newline="") as stream:
            write(stream)

    replace(output, fill)


def check_place(output: Path) -> None:
    """Look whether a file can be put there, before what it is to hold is worked out.

    Raises
    ------
    UsageError
        If a folder or a read-only file lies there, or there is no folder for it.
    """
    if output.is_dir():
        raise UsageError(f"{output}: is a folder; name a file in it")
    # An existing file that may not be written to is not ours to replace.
    if output.exists() and not os.access(output, os.W_OK):
        raise UsageError(f"{output}: cannot be written (it is read-only)")
    if not output.parent.is_dir():
        raise UsageError(f"{output}: cannot be written (there is no such folder); make it first")


def replace(output: Path, fill: Callable[[Path], None]) -> None:
    """Have a file filled beside its place, and put it there once it is whole.

    Raises
    ------
    UsageError
        If the file cannot be written; what was there stays.
    """
    # Short: a name as long as names may be has no room for more.
    beside = output.with_name(f".towdb-{os.getpid()}-{os.urandom(4).hex()}.writing")
    try:
        check_place(output)
        fill(beside)
        with beside.open("rb+") as stream:
            os.fsync(stream.fileno())
        beside.replace(output)
    except OSError as error:
        raise UsageError(f"{output}: cannot be written ({error.strerror})") from None
    finally:
        with suppress(OSError):
            beside.unlink(missing_ok=True)
