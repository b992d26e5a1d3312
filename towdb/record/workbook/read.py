"""Reads a workbook in which pages were typed into rows and findings; nothing is guessed."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from towdb.contract.grammar import Fault, fault, fold
from towdb.contract.model import Field, Table, Vocabulary, contract
from towdb.errors import Finding, UsageError, did_you_mean
from towdb.record.workbook.cells import cell_text, demanded_vocabulary, is_filled
from towdb.record.workbook.file import open_workbook
from towdb.record.workbook.layout import HOW_TO, LISTS, UNTYPED, Layout, layout
from towdb.record.workbook.mark import UNKNOWN, Mark, read_mark
from towdb.record.workbook.notes import how_to_texts
from towdb.record.workbook.rows import EnteredRow, Line, enter


@dataclass(frozen=True)
class Entered:
    """The content of a workbook.

    Attributes
    ----------
    rows : dict
        Rows by table, in the order of the sheets. If it has errors they are for display
        only: a cell that could not be read is None.
    findings : list of Finding
        What is wrong. `table` is the sheet, `line` the row on it.
    mark : Mark
        When it was written.
    """

    rows: dict[str, list[EnteredRow]]
    findings: list[Finding]
    mark: Mark = UNKNOWN

    @property
    def ok(self) -> bool:
        """Whether no finding is an error."""
        return all(finding.severity != "error" for finding in self.findings)


def read_workbook(path: str | os.PathLike[str], entered_by: str, entered_on: date) -> Entered:
    """Read a workbook in which pages were typed.

    Parameters
    ----------
    path : path
        The file.
    entered_by : str
        Who typed it.
    entered_on : date
        When.

    Returns
    -------
    Entered

    Raises
    ------
    UsageError
        If there is no such file, or the person or the day is empty or wrong.
    """
    entry = {"entered_by": entered_by.strip(), "entered_on": entered_on.isoformat()}
    for column, text in entry.items():
        wrong = fault(contract().tables["source"].field(column), text)
        if wrong or not text:
            raise UsageError(
                f"{column} {text!r}: {wrong.message if wrong else 'must not be empty'}"
            )
    file = Path(path).name
    book = open_workbook(path)
    if isinstance(book, Fault):
        entered = Entered({}, [])
        _Findings(entered.findings, file, None).note(book)
        return entered
    entered = Entered({}, [], _mark(book))
    titles: dict[str, str] = {}
    order = {title: number for number, title in enumerate(book.sheetnames)}
    for sheet in book.worksheets:
        noted = _Findings(entered.findings, file, sheet.title)
        name = _table(sheet, titles, noted)
        if name:
            found = _Sheet(sheet, layout(name), noted)
            rows, faults = enter(found.lay, found.lines(), entry, found.absent)
            for one in faults:
                noted.note(one.fault, one.line, one.column, key=one.key)
            if rows:
                entered.rows[name] = rows
        entered.findings.sort(key=lambda finding: (order[finding.table], finding.line or 0))
    if not titles and not entered.findings:
        _Findings(entered.findings, file, None).note(_NO_TABLE)
    return entered


def _mark(book: Any) -> Mark:
    if HOW_TO not in book.sheetnames:
        return UNKNOWN
    found = (read_mark(cell.value) for cell in book[HOW_TO]._cells.values())
    return next(filter(None, found), UNKNOWN)


@dataclass(frozen=True)
class _Findings:
    """Notes what is wrong with one sheet."""

    findings: list[Finding]
    file: str
    sheet: str | None

    def note(
        self,
        wrong: Fault,
        line: int | None = None,
        column: str | None = None,
        value: object = None,
        key: str | None = None,
        severity: str = "error",
    ) -> None:
        """Add a finding."""
        text = None if value is None else str(value)
        self.findings.append(
            Finding(
                self.file,
                line,
                self.sheet,
                key,
                column,
                text,
                wrong.rule,
                severity,
                wrong.message,
                wrong.remedy,
            )
        )


def _table(sheet: Any, titles: dict[str, str], noted: _Findings) -> str | None:
    """The table of a sheet; None if the sheet is not to be read."""
    filled = [cell for cell in sheet._cells.values() if is_filled(cell) or cell.comment]
    name = _name(sheet.title)
    if name in contract().tables:
        if name in titles:
            wrong = Fault("table", f"the sheet {titles[name]} has the same table", "keep one")
            noted.note(wrong)
            return None
        titles[name] = sheet.title
        return name
    if sheet.title == LISTS and sheet.sheet_state != "visible":
        return None
    if sheet.title == HOW_TO:
        known = how_to_texts()
        filled = [
            cell
            for cell in filled
            if cell.comment or not (cell.value in known or read_mark(cell.value))
        ]
        for cell in filled[:1]:
            noted.note(_NOT_READ, cell.row, cell.column_letter, cell.value, severity="warning")
    elif filled:
        close = did_you_mean(name, contract().tables)
        wrong = Fault(
            "table",
            f"the contract has no table {sheet.title}{close}",
            "rename the sheet, or empty it",
        )
        noted.note(wrong, filled[0].row, filled[0].column_letter, filled[0].value)
    return None


class _Sheet:
    """One sheet of a table: its columns, and its filled cells by row."""

    def __init__(self, sheet: Any, lay: Layout, noted: _Findings) -> None:
        self.sheet, self.lay, self.noted = sheet, lay, noted
        self.rows: dict[int, dict[int, Any]] = {}
        # The public iterators would create every cell of the rectangle around the filled ones.
        for (row, number), cell in sorted(sheet._cells.items()):
            if is_filled(cell):
                self.rows.setdefault(row, {})[number] = cell
        self.columns = self._read_names(self.rows.pop(1, {}))
        self.absent: list[str] = []
        if self.rows and not self.columns:
            noted.note(_NO_NAMES, 1)
        elif self.rows:
            self._note_absent()
        self._note_unread()

    def lines(self) -> list[Line]:
        """The lines with their filled cells by column; None for a cell that cannot be read."""
        if not self.columns:
            return []
        return [Line(row, self._cells(row, cells)) for row, cells in self.rows.items()]

    def _cells(self, row: int, cells: Mapping[int, Any]) -> dict[str, str | None]:
        by_name = {self.columns[n]: cell for n, cell in cells.items() if n in self.columns}
        read: dict[str, str | None] = {}
        for column, cell in by_name.items():
            field = self.lay.table.field(column)
            text = cell_text(field, cell, _demanded(self.lay.table, field, by_name))
            if isinstance(text, Fault):
                # An array formula is an object, and its text a part of it.
                self.noted.note(text, row, column, getattr(cell.value, "text", cell.value))
                read[column] = None
            else:
                read[column] = text
        return read

    def _read_names(self, cells: Mapping[int, Any]) -> dict[int, str]:
        columns: dict[int, str] = {}
        table = self.lay.table
        for number, cell in cells.items():
            name = _name(str(cell.value))
            if name in UNTYPED:
                self.noted.note(_WHO, 1, name)
            elif name not in table.columns:
                close = did_you_mean(name, self.lay.columns)
                wrong = f"{table.name} has no column {cell.value}{close}"
                self.noted.note(Fault("header", wrong, "rename or remove it"), 1, str(cell.value))
            elif name in columns.values():
                wrong = f"column {name} occurs twice"
                self.noted.note(Fault("header", wrong, "keep one of them"), 1, name)
            else:
                columns[number] = name
        return columns

    def _note_absent(self) -> None:
        self.absent += [c for c in self.lay.columns if c not in self.columns.values()]
        for column in self.absent:
            if column in self.lay.table.required and column not in self.lay.made:
                wrong = Fault("header", f"the column {column} is missing", "add it in row 1")
                self.noted.note(wrong, 1, column)
        nameless = {number for cells in self.rows.values() for number in cells}
        for number in sorted(nameless - self.columns.keys()):
            row = next(row for row, cells in self.rows.items() if number in cells)
            cell = self.rows[row][number]
            if self.sheet.cell(1, number).value is None:
                self.noted.note(_NAMELESS, row, cell.column_letter, cell.value)

    def _note_unread(self) -> None:
        """Report what a person did to the sheet that a reader of rows would miss."""
        if self.rows and self.sheet.sheet_state != "visible":
            self.noted.note(_HIDDEN_SHEET)
        for merged in sorted(self.sheet.merged_cells.ranges, key=str):
            self.noted.note(_MERGED, merged.min_row, _letter(merged.min_col), merged.coord)
        for row in self.rows:
            shape = self.sheet.row_dimensions.get(row)
            if shape is not None and (shape.hidden or shape.ht == 0):
                self.noted.note(_HIDDEN_ROW, row)
        for number in sorted({n for cells in self.rows.values() for n in cells} & self._hidden()):
            self.noted.note(_HIDDEN_COLUMN, None, self.columns.get(number, _letter(number)))
        for (row, number), cell in sorted(self.sheet._cells.items()):
            if cell.comment and row > 1:
                name = self.columns.get(number, _letter(number))
                self.noted.note(_NOTE, row, name, cell.comment.text)

    def _hidden(self) -> set[int]:
        hidden: set[int] = set()
        for shape in self.sheet.column_dimensions.values():
            if shape.hidden or shape.width == 0:
                hidden.update(range(shape.min, shape.max + 1))
        return hidden


def _name(text: str) -> str:
    return re.sub("[ -]+", "_", fold(text))


def _letter(number: int) -> str:
    from openpyxl.utils import get_column_letter

    return str(get_column_letter(number))


def _demanded(table: Table, field: Field, cells: Mapping[str, Any]) -> Vocabulary | None:
    if field.type != "word" or field.vocabulary:
        return None
    for column in ("property", "quantity"):
        if column in cells:
            vocabulary = contract().vocabularies[table.field(column).vocabulary or ""]
            name = cell_text(table.field(column), cells[column])
            return None if isinstance(name, Fault) else demanded_vocabulary(vocabulary.words, name)
    return None


_NO_TABLE = Fault("table", "no sheet is a table of the contract", "type into the template")
_NOT_READ = Fault("table", "typed on a sheet that is not read", "type it on the sheet of a table")
_WHO = Fault("header", "the record fills in who entered and checked a row", "remove the column")
_NO_NAMES = Fault("header", "row 1 has no column names", "put the template's first row back")
_NAMELESS = Fault("header", "the column has no name in row 1", "name the column, or empty it")
_HIDDEN_SHEET = Fault("hidden", "the sheet is hidden, and rows are typed on it", "show it")
_HIDDEN_ROW = Fault("hidden", "the row is hidden, and something is typed in it", "show it")
_HIDDEN_COLUMN = Fault("hidden", "the column is hidden, and something is typed in it", "show it")
_MERGED = Fault("merged", "merged cells: only one of them could be read", "undo the merging")
_NOTE = Fault("note", "a note, which is not read", "type its text into a cell, or delete it")
