"""Next year's rows, drafted in a workbook."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path


def drafted_lines(path: Path, year: int, drafted: Mapping[str, int]) -> Iterator[str]:
    """What was drafted for the year after `year`, and what to do with it."""
    told = ", ".join(f"{count:,} {name}" for name, count in drafted.items() if count)
    yield f"{path}: {told}, drafted for {year + 1}"
    yield "Compare each row with the new manual, type its source, page and quote, then import it."
