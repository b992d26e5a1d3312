"""What a sheet of a workbook contains beside its values, read as XML.

openpyxl reads large sheets row by row, and then reports no merged cells, no hidden rows, and no
formulas whose results were not saved. Each of them would leave cells empty without an error.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import IO, Any
from xml.parsers import expat

# A workbook has no more (ECMA-376 leaves it open; every spreadsheet ends here).
MOST_ROWS = 1_048_576
# A row is filled up to its last cell: millions of them out to the last column would take hours.
MOST_COLUMNS = 1_000
# Shown in an error; the rest is counted.
_SHOWN = 5
_PLACE = re.compile("([A-Z]{1,3})([0-9]{1,7})")
_PIECE = 1 << 20


class DamagedError(Exception):
    """A sheet that no spreadsheet would write, or that is too large to read."""


@dataclass
class Scan:
    """What was found on a sheet.

    Attributes
    ----------
    filled : int
        How many cells are not empty.
    columns : int
        The last column that is not empty.
    merged : list of str
        The ranges that are merged.
    hidden_rows, hidden_columns : int
        How many rows with cells, and columns, are not shown.
    formulas : set of (int, int)
        Row and column, from 1 on, of each formula.
    unsaved : set of (int, int)
        Those formulas whose result is not in the file.
    """

    filled: int = 0
    columns: int = 0
    merged: list[str] = field(default_factory=list)
    hidden_rows: int = 0
    hidden_columns: int = 0
    formulas: set[tuple[int, int]] = field(default_factory=set)
    unsaved: set[tuple[int, int]] = field(default_factory=set)

    def merged_ranges(self) -> str:
        """The first of the ranges that are merged, for an error."""
        more = len(self.merged) - _SHOWN
        return ", ".join(self.merged[:_SHOWN]) + (f" and {more:,} more" if more > 0 else "")


class _FoundError(Exception):
    """What was looked for is there: not a fault, but the end of a search."""


def scan_sheet(stream: IO[bytes]) -> Scan:
    """Read a sheet to its end.

    Raises
    ------
    DamagedError
        If it is not a sheet.
    """
    reader = _Reader()
    _parse(reader, stream)
    return reader.scan


def is_filled(stream: IO[bytes]) -> bool:
    """Whether any cell of a sheet is not empty."""
    try:
        _parse(_Reader(stop=True), stream)
    except _FoundError:
        return True
    return False


def _parse(reader: _Reader, stream: IO[bytes]) -> None:
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartElementHandler, parser.EndElementHandler = reader.begin, reader.end
    parser.CharacterDataHandler = reader.text
    parser.StartDoctypeDeclHandler = _refuse_doctype
    try:
        while piece := stream.read(_PIECE):
            parser.Parse(piece, False)
        parser.Parse(b"", True)
    except (expat.ExpatError, ValueError, OverflowError):
        raise DamagedError("its XML is damaged") from None


def _refuse_doctype(*_: Any) -> None:
    raise DamagedError("it declares entities, which no spreadsheet writes")


class _Reader:
    def __init__(self, stop: bool = False) -> None:
        self.scan, self.stop = Scan(), stop
        self.row = self.column = 0
        self.is_hidden = self.has_cells = False
        self.is_formula = self.is_value = self.is_text = False
        self.value = False
        self.starts: dict[str, Callable[[dict[str, str]], None]] = {
            "row": self.begin_row, "c": self.begin_cell, "f": self.begin_formula,
            "v": self.begin_value, "is": self.begin_value, "mergeCell": self.begin_merged,
            "col": self.begin_column,
        }  # fmt: skip
        self.ends: dict[str, Callable[[], None]] = {
            "row": self.end_row, "c": self.end_cell, "v": self.end_value, "is": self.end_value,
        }  # fmt: skip

    def begin(self, name: str, attributes: dict[str, str]) -> None:
        start = self.starts.get(name.rpartition(":")[2])
        if start:
            start(attributes)

    def end(self, name: str) -> None:
        end = self.ends.get(name.rpartition(":")[2])
        if end:
            end()

    def text(self, _: str) -> None:
        self.value = self.value or self.is_value

    def begin_row(self, attributes: dict[str, str]) -> None:
        row = int(attributes.get("r", self.row + 1))
        # openpyxl drops a row that is out of order.
        if not self.row < row <= MOST_ROWS:
            raise DamagedError(f"its rows are out of order at row {row}")
        self.row, self.column, self.has_cells = row, 0, False
        self.is_hidden = attributes.get("hidden") in ("1", "true")

    def end_row(self) -> None:
        self.scan.hidden_rows += self.is_hidden and self.has_cells

    def begin_cell(self, attributes: dict[str, str]) -> None:
        row, column = self.row, self.column + 1
        if "r" in attributes:
            match = _PLACE.fullmatch(attributes["r"])
            if match is None:
                raise DamagedError(f"it has a cell at {attributes['r'][:20]!r}")
            row, column = int(match[2]), _number(match[1])
        if row != self.row or column <= self.column:
            raise DamagedError(f"its cells are out of order in row {self.row}")
        self.column = column
        self.is_text = attributes.get("t") == "str"
        self.is_formula = self.is_value = self.value = False

    def begin_formula(self, _: dict[str, str]) -> None:
        self.is_formula = True

    def begin_value(self, _: dict[str, str]) -> None:
        self.is_value = True

    def end_value(self) -> None:
        self.is_value = False

    def end_cell(self) -> None:
        if self.is_formula:
            place = self.row, self.column
            self.scan.formulas.add(place)
            # Only a result that is a text may be empty.
            if not (self.value or self.is_text):
                self.scan.unsaved.add(place)
        if not (self.value or self.is_formula):
            return
        self.scan.filled += 1
        self.scan.columns = max(self.scan.columns, self.column)
        self.has_cells = True
        if self.stop:
            raise _FoundError
        if self.column > MOST_COLUMNS:
            raise DamagedError(f"it has more than {MOST_COLUMNS:,} columns")

    def begin_merged(self, attributes: dict[str, str]) -> None:
        self.scan.merged.append(attributes.get("ref", "?")[:20])

    def begin_column(self, attributes: dict[str, str]) -> None:
        if attributes.get("hidden") in ("1", "true"):
            first, last = int(attributes.get("min", 1)), int(attributes.get("max", 1))
            # To hide all columns after the last one hides nothing.
            self.scan.hidden_columns += max(0, min(last, MOST_COLUMNS) - first + 1)


def _number(letters: str) -> int:
    total = 0
    for letter in letters:
        total = total * 26 + ord(letter) - 64
    return total
