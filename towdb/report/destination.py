"""Where a result goes, and in which format."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TextIO

from towdb.errors import UsageError
from towdb.files.replace import replace


def choose_format(wanted: str | None, output: Path | None, offered: Sequence[str]) -> str:
    """The format of a result: as wanted, else from the end of the file's name, else a table.

    Raises
    ------
    UsageError
        If the command does not offer it, or it contradicts the end of the name.
    """
    by_name = output.suffix.lower().removeprefix(".") if output is not None else None
    by_name = "table" if by_name == "txt" else by_name
    chosen = wanted or ("table" if by_name is None else by_name)
    if chosen not in offered or (by_name is not None and by_name not in offered):
        ends = ", ".join(f".{'txt' if name == 'table' else name}" for name in offered)
        what = f"no format {chosen!r} here" if chosen not in offered else "unknown ending"
        where = f"{output}: " if output is not None else ""
        raise UsageError(
            f"{where}{what}; choose {', '.join(offered)}, or a name that ends in {ends}"
        )
    if by_name and by_name != chosen:
        raise UsageError(
            f"{output}: the name ends in {output.suffix if output else ''}, but --format is"
            f" {chosen}; make them agree"
        )
    return chosen


def write_text(text: str, output: Path | None) -> None:
    """Write a text as it is, to standard output or a file.

    Raises
    ------
    UsageError
        If the file cannot be written.
    """
    deliver(lambda stream: stream.writelines([text]), output)


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
