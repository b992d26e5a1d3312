"""Workbooks as a person leaves them: the template, with cells typed into it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from pathlib import Path
from typing import Any

import openpyxl

from towdb.contract.model import contract
from towdb.record.workbook.layout import layout
from towdb.record.workbook.read import Entered, read_workbook
from towdb.record.workbook.template import write_template

PERSON, DAY = "Imre Solvang", date(2025, 3, 14)
Typed = Iterable[tuple[str, Mapping[str, Any]]]


def read(path: Path) -> Entered:
    """The workbook as the record reads it."""
    return read_workbook(path, PERSON, DAY)


def column_of(sheet: Any, name: str) -> int:
    """The number of a column by its name in row 1."""
    return [cell.value for cell in sheet[1]].index(name) + 1


def type_rows(book: Any, rows: Typed) -> int:
    """Type rows one below the other, each on its sheet; how many cells that took."""
    typed = 0
    next_line = {sheet.title: sheet.max_row + 1 for sheet in book.worksheets}
    for name, row in rows:
        for column, value in row.items():
            cell = book[name].cell(next_line[name], column_of(book[name], column))
            cell.value = value
            if isinstance(value, str):
                # A cell formatted as text keeps what is typed.
                cell.data_type = "s"
            typed += 1
        next_line[name] += 1
    return typed


def bare_book(rows: Typed) -> Any:
    """A workbook with the sheets that are needed, their names in row 1, and rows typed into it."""
    rows = list(rows)
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name in dict.fromkeys(name for name, _ in rows):
        book.create_sheet(name).append(layout(name).columns)
    type_rows(book, rows)
    return book


def typed_workbook(folder: Path, rows: Typed, name: str = "entry.xlsx", **template: Any) -> Path:
    """The template with rows typed into it."""
    path = folder / name
    write_template(path, **template)
    book = openpyxl.load_workbook(path)
    type_rows(book, rows)
    book.save(path)
    return path


def as_a_spreadsheet_would(rows: Typed) -> Typed:
    """The rows in cells that are not formatted as text: numbers and dates as such."""
    for name, row in rows:
        fields = contract().tables[name]
        yield name, {c: _value(fields.field(c).type, text) for c, text in row.items()}


def _value(kind: str, text: str) -> Any:
    if kind in ("number", "integer") and re.fullmatch(r"[0-9]+(\.[0-9]+)?", text):
        return float(text)
    if kind == "date":
        return datetime.fromisoformat(text)
    if kind == "yes_no":
        return text.startswith("y")
    return text
