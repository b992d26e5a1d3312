"""Figures in tables for a screen."""

from __future__ import annotations

from collections.abc import Iterable


def to_the_right(rows: list[list[str]], columns: Iterable[int]) -> list[list[str]]:
    """Rows with their figures aligned."""
    wide = {i: max(len(row[i]) for row in rows) for i in columns} if rows else {}
    return [
        [cell.rjust(wide[i]) if i in wide else cell for i, cell in enumerate(row)] for row in rows
    ]


def counted(count: int, what: str) -> str:
    """A number of things in words: 1 row, 2 rows."""
    return f"{count:,} {what}" if count == 1 else f"{count:,} {what}s"


def percent(share: float | None) -> str:
    """A share for reading; less than all never shows as 100 %, more than nothing never as 0 %."""
    if share is None:
        return ""
    if 0 < share < 0.001:
        return "< 0.1 %"
    if 0.999 < share < 1:
        return "> 99.9 %"
    return f"{share * 100:.1f} %"
