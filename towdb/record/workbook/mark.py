"""The change at which a workbook was written: kept on its first sheet, read at its import."""

from __future__ import annotations

import re
from typing import NamedTuple

from sqlalchemy import Connection, select

from towdb.record.store.record import Change
from towdb.record.store.tables import metadata

_LINE = re.compile(r"Written at change ([0-9]{1,18}) of the record \(([0-9T:.Z-]*)\)\. .*")


class Mark(NamedTuple):
    """The last change of the record when a workbook was written from it; 0, "" before the first.

    Its time distinguishes one record from another.
    """

    number: int
    at: str

    @property
    def line(self) -> str:
        """The line on the first sheet."""
        return (
            f"Written at change {self.number} of the record ({self.at}). Keep this line: rows"
            " changed since then are not overwritten."
        )

    def seen(self, con: Connection) -> int:
        """The last change that the person who typed can have seen; 0 if it is not known."""
        change = metadata().tables["change"]
        at = con.scalar(select(change.c.at).where(change.c.number == self.number))
        return self.number if at == self.at else 0


# For a workbook written without a record or by an earlier towdb, or one that lost its line.
UNKNOWN = Mark(0, "")


def mark_of(change: Change | None) -> Mark:
    """The mark of a workbook that is written after a change; None: before the first."""
    return Mark(change.number, change.at) if change else UNKNOWN


def read_mark(text: object) -> Mark | None:
    """The mark in a line of the first sheet; None if the line is something else."""
    found = _LINE.fullmatch(text) if isinstance(text, str) else None
    return Mark(int(found[1]), found[2]) if found else None
