"""Lines of a sheet turned into rows: page headers applied, and omitted cells filled in."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from towdb.contract.grammar import Fault, fold
from towdb.record.workbook.layout import DEFAULTS, NAMED_BY, Layout

_MOST_OF_ID = 80


@dataclass(frozen=True)
class Line:
    """One line of a sheet: its number, and its filled cells by column; None: not readable."""

    number: int
    cells: Mapping[str, str | None]


@dataclass(frozen=True)
class EnteredRow:
    """One row as it was typed.

    Attributes
    ----------
    sheet : str
        Name of the sheet, which is that of the table.
    row : int
        Its row on the sheet.
    cells : dict
        Every column of the table: the text as in a reference folder, None if empty.
    made : frozenset of str
        Columns that nobody typed: the tool filled them.
    """

    sheet: str
    row: int
    cells: dict[str, str | None]
    made: frozenset[str]


@dataclass(frozen=True)
class LineFault:
    """What is wrong with a row, in which column."""

    line: int
    column: str | None
    key: str | None
    fault: Fault


def enter(
    lay: Layout, lines: Sequence[Line], entry: Mapping[str, str], absent: Sequence[str] = ()
) -> tuple[list[EnteredRow], list[LineFault]]:
    """Turn the lines of a sheet into rows.

    Parameters
    ----------
    lay : Layout
        The layout of the table on its sheet.
    lines : sequence of Line
        Its lines from the top.
    entry : mapping
        Who entered them, and when.
    absent : sequence of str
        Columns that the sheet lacks; they are not reported for every row.

    Returns
    -------
    tuple
        Rows, and what is wrong with them.
    """
    header, numbers = _Header(lay), _Numbers(lay)
    rows: list[EnteredRow] = []
    faults: list[LineFault] = []
    for line in lines:
        if line.cells.keys() <= set(lay.header):
            header.change(line)
            continue
        cells = dict.fromkeys(lay.table.columns) | header.over(line) | dict(line.cells)
        filled = {column for column, text in cells.items() if text is not None}
        _make(lay, cells, line, numbers)
        faults += _missing(lay, cells, line, absent, header)
        made = frozenset(c for c in lay.made if cells[c] is not None) - filled
        rows.append(EnteredRow(lay.table.name, line.number, cells | dict(entry), made))
    return rows, [*faults, *header.unused(), *_same_ids(lay, rows)]


class _Header:
    """The page header that applies at a line: each cell with the line where it was typed."""

    def __init__(self, lay: Layout) -> None:
        self.columns = lay.header
        self.held: dict[str, tuple[str | None, int]] = {}
        self.idle: dict[tuple[int, str], None] = {}

    def _kept(self, line: Line) -> dict[str, tuple[str | None, int]]:
        # The cells to the left of the first one that the line fills itself.
        first = next((n for n, c in enumerate(self.columns) if c in line.cells), None)
        return {c: self.held[c] for c in self.columns[:first] if c in self.held}

    def change(self, line: Line) -> None:
        """Take a line that fills nothing but columns of the header."""
        own = {c: (text, line.number) for c, text in line.cells.items()}
        self.held = self._kept(line) | own
        self.idle |= dict.fromkeys((line.number, c) for c in own)

    def over(self, line: Line) -> dict[str, str | None]:
        """The cells that a row takes from the header."""
        cells = self._kept(line)
        for column, (_, number) in cells.items():
            self.idle.pop((number, column), None)
        return {column: text for column, (text, _) in cells.items()}

    def unused(self) -> Iterator[LineFault]:
        """Cells of page headers that apply to no row."""
        for number, column in self.idle:
            yield LineFault(number, column, None, _IDLE)


class _Numbers:
    """Numbers the steps of a phase in the order of the rows."""

    def __init__(self, lay: Layout) -> None:
        self.inside = [c for c in (*lay.parents, lay.group) if c]
        self.last: dict[tuple[str | None, ...], int] = {}

    def next(self, cells: Mapping[str, str | None], typed: str | None) -> str | None:
        """The number of a row: as typed, else one more than that of the row before it."""
        place = tuple(cells[c] for c in self.inside)
        if None in place:
            return typed
        number = typed or str(self.last.get(place, 0) + 1)
        if number.isdecimal():
            self.last[place] = int(number)
        return number


def _make(lay: Layout, cells: dict[str, str | None], line: Line, numbers: _Numbers) -> None:
    for column in lay.made:
        # A cell that could not be read is not empty.
        if column in DEFAULTS and column not in line.cells:
            cells[column] = DEFAULTS[column]
        elif column == "step_no" and (column not in line.cells or cells[column]):
            cells[column] = numbers.next(cells, cells[column])
        elif column == lay.table.key and column not in line.cells:
            cells[column] = _made_id(lay, cells)


def _made_id(lay: Layout, cells: Mapping[str, str | None]) -> str | None:
    parent = cells[lay.parents[0]]
    words = [_plain(cells[c] or "") for c in NAMED_BY[lay.table.name]]
    if not parent or not any(words):
        return None
    return "-".join([parent, *filter(None, words)])


def _plain(text: str) -> str:
    return re.sub("[^a-z0-9.]+", "-", fold(text)).strip("-")


def _missing(
    lay: Layout,
    cells: Mapping[str, str | None],
    line: Line,
    absent: Sequence[str],
    header: _Header,
) -> Iterator[LineFault]:
    key = cells[lay.table.key]
    empty = [c for c in lay.columns if c in lay.table.required and cells[c] is None]
    # A cell that cannot be made is not reported if a cell that it is made from is missing.
    silent = lay.made if any(c not in lay.made for c in empty) else ()
    for column in empty:
        if column in (*line.cells, *absent, *silent):
            continue
        remedy = "fill it in from the page"
        if header.held.get(column, (None, 0))[0]:
            remedy += "; a cell filled further left in this row restarts the page header"
        yield LineFault(
            line.number, column, key, Fault("required", "empty, and every row needs it", remedy)
        )
    if key and len(key) > _MOST_OF_ID:
        yield LineFault(line.number, lay.table.key, key, _TOO_LONG)


def _same_ids(lay: Layout, rows: Sequence[EnteredRow]) -> Iterator[LineFault]:
    first: dict[str, EnteredRow] = {}
    for row in rows:
        key = row.cells[lay.table.key]
        if key is None:
            continue
        other = first.setdefault(key, row)
        if other is not row:
            message = f"row {other.row} has the same id"
            yield LineFault(
                row.row, lay.table.key, key, Fault("unique", message, "type an id in the newer row")
            )


_IDLE = Fault(
    "header",
    "a page header that applies to no row",
    "type rows below it, or remove it",
)
_TOO_LONG = Fault(
    "length", f"the id made for it has more than {_MOST_OF_ID} characters", "type a shorter one"
)
