"""How the cars of an inventory were read, beside what was found."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from towdb.intake.unreadable import RowsRead


def how_read_lines(notes: Iterable[str], set_aside: int, file: Path | None) -> Iterator[str]:
    """What a person should know of it, and how many rows were set aside where."""
    yield from (f"Note: {note}" for note in notes)
    if file is not None:
        yield f"{set_aside:,} row(s) set aside in {file}"


def rows_read_lines(notes: Iterable[str], read: RowsRead | None) -> Iterator[str]:
    """The same of an answer, and which cells were left empty."""
    if read is None:
        yield from how_read_lines(notes, 0, None)
        return
    yield from how_read_lines(notes, read.set_aside, read.file)
    if read.left_empty:
        yield read.left_line()
