"""Columns and rows as CSV for people, whose spreadsheet may run a cell as a formula."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any, TextIO

from towdb.report.text import plain

# A spreadsheet would take these as a formula, some of them in full width too; the guide to commands
# documents that reports are escaped so.
_SIGNS = "=+@\uff1d\uff0b\uff0d\uff20-"
_FORMULA = (*_SIGNS, "\t", "\r")
# Where a program that reads other separators than commas begins a new cell, or a new row.
_NEW_CELL = re.compile(f'([;\t\r\n]"*)(?=[{_SIGNS}])')


def write_csv(columns: Sequence[str], rows: Iterable[Sequence[Any]], stream: TextIO) -> None:
    """CSV for people: what a spreadsheet would run as a formula gets ``'`` before it."""
    writer = csv.writer(_Lines(stream), lineterminator="\r\n")
    writer.writerow([_harmless(name) for name in columns])
    writer.writerows([_csv_cell(cell) for cell in row] for row in rows)


class _Lines:
    # The csv module quotes a return inside a cell only if it ends its lines with one.
    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def write(self, line: str) -> None:
        self._stream.write(line.removesuffix("\r\n") + "\n")


def _csv_cell(value: Any) -> Any:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Decimal):
        return plain(value)
    return _harmless(value) if isinstance(value, str) else value


def _harmless(text: str) -> str:
    inner = _NEW_CELL.sub(r"\1'", text)
    return f"'{inner}" if text.startswith(_FORMULA) else inner
