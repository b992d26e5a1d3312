"""Writes the workbook in which a page is typed: one sheet a table, rendered from the contract."""

from __future__ import annotations

import itertools
import os
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from towdb.contract.model import Field, Table, contract
from towdb.errors import UsageError, did_you_mean
from towdb.files.replace import replace
from towdb.invisible import has_unseen
from towdb.record.workbook.cells import escaped
from towdb.record.workbook.layout import (
    HOW_TO,
    LISTS,
    NAMED_BY,
    SHOWN,
    UNTYPED,
    Layout,
    layout,
)
from towdb.record.workbook.mark import UNKNOWN, Mark
from towdb.record.workbook.notes import example, example_title, how_to, note, wrapped

if TYPE_CHECKING:
    from openpyxl import Workbook

Row = Mapping[str, str | None]

_LAST_ROW = 1_048_576
# Ids typed on a sheet are offered on the others, from its first rows.
_OFFERED = 300
# As many as one cell can have.
_MOST_CHARACTERS = 32_767
_DARK, _PALE, _GREY, _WHITE, _BLACK = "1F4E5F", "DCE6EA", "ECECEC", "FFFFFF", "000000"
_KINDS: dict[str, dict[str, Any]] = {
    "title": {"bold": True, "size": 16, "color": _DARK},
    "head": {"bold": True, "color": _DARK},
    "point": {},
}


def write_template(
    path: str | os.PathLike[str],
    known: Mapping[str, Sequence[str]] | None = None,
    rows: Mapping[str, Sequence[Row]] | None = None,
    every_table: bool = False,
    mark: Mark = UNKNOWN,
) -> None:
    """Write the workbook in which a page is typed.

    Parameters
    ----------
    path : path
        The file, ending in ``.xlsx``; an existing file is refused.
    known : mapping, optional
        Ids on record, by table: cells that name such a row offer them.
    rows : mapping, optional
        Rows to begin with, by table. Who entered and checked them is left out.
    every_table : bool, default False
        Show the sheets of all tables, not only those that the page of a manual needs.
    mark : Mark, optional
        The last change of the record that the workbook is written from.

    Raises
    ------
    UsageError
        If the file exists or cannot be written, or a table, column or text cannot be kept in a
        workbook.
    """
    try:
        import openpyxl
    except ImportError:
        raise UsageError("workbooks need openpyxl; install towdb[xlsx]") from None
    known, rows = known or {}, rows or {}
    _check(Path(path), known, rows)
    book = openpyxl.Workbook()
    book.properties.creator = book.properties.title = "towdb"
    _write_how_to(book.active, mark)
    lists = _Lists(book.create_sheet(LISTS), known)
    for name in contract().tables:
        sheet = book.create_sheet(name, index=len(book.sheetnames) - 1)
        shown = every_table or name in SHOWN or rows.get(name)
        sheet.sheet_state = "visible" if shown else "hidden"
        _Sheet(sheet, layout(name)).fill(lists, rows.get(name, ()))
    replace(Path(path), lambda beside: _save(book, beside))


def _save(book: Workbook, beside: Path) -> None:
    with beside.open("wb") as stream:
        book.save(stream)


def _check(path: Path, known: Mapping[str, Any], rows: Mapping[str, Sequence[Row]]) -> None:
    if path.suffix.lower() != ".xlsx":
        raise UsageError(f"{path}: the name of a workbook must end in .xlsx; choose such a name")
    tables = contract().tables
    for name in (*known, *rows):
        if name not in tables:
            raise UsageError(f"the contract has no table {name!r}{did_you_mean(name, tables)}")
    for name, ids in known.items():
        for key in ids:
            _check_text(key, name, tables[name].key)
    for name, table_rows in rows.items():
        for row in table_rows:
            _check_row(layout(name), row)
    if os.path.lexists(path):
        # Somebody may have typed for days into it.
        raise UsageError(f"{path}: already exists and was not changed; choose another name")


def _check_text(text: str, table: str, column: str) -> None:
    if has_unseen(text) or len(escaped(text)) > _MOST_CHARACTERS:
        raise UsageError(f"{table}, {column}: {text[:40]!r} cannot be kept in a cell of a workbook")


def _check_row(lay: Layout, row: Row) -> None:
    table = lay.table
    for column, text in row.items():
        if column not in table.columns:
            close = did_you_mean(column, table.columns)
            raise UsageError(f"{table.name} has no column {column!r}{close}")
        _check_text(text or "", table.name, column)
    if not any(row.get(c) for c in lay.columns if c not in lay.header):
        raise UsageError(f"a row of {table.name} has no cell outside the page header; leave it out")


class _Sheet:
    """One sheet of a table, to be filled."""

    def __init__(self, sheet: Any, lay: Layout) -> None:
        self.sheet, self.lay = sheet, lay

    def fill(self, lists: _Lists, rows: Sequence[Row]) -> None:
        """Write header, notes and lists, and the rows to begin with."""
        self.sheet.freeze_panes = "A2"
        self.sheet.row_dimensions[1].height = 32
        for_print(self.sheet)
        self.sheet.print_title_rows = "1:1"
        for number, column in enumerate(self.lay.columns, 1):
            field = self.lay.table.field(column)
            self._style_column(number, field)
            self._head(self.sheet.cell(1, number), field)
            self._offer(number, field, lists)
        for line, row in enumerate(with_page_headers(self.lay, rows), 2):
            for number, column in enumerate(self.lay.columns, 1):
                if row.get(column):
                    cell = put(self.sheet.cell(line, number), row[column])
                    dress(cell, self.lay.table.field(column), self.lay)
            self._heighten(line, row)

    def _heighten(self, line: int, row: Row) -> None:
        fields = [self.lay.table.field(column) for column in row]
        lines = [
            len(textwrap.wrap(row[field.name] or "", int(_width(field))))
            for field in fields
            if field.type in ("text", "text_list")
        ]
        if max(lines, default=1) > 1:
            self.sheet.row_dimensions[line].height = 15 * max(lines)

    def _style_column(self, number: int, field: Field) -> None:
        from openpyxl.utils import get_column_letter

        column = self.sheet.column_dimensions[get_column_letter(number)]
        column.width = _width(field)
        dress(column, field, self.lay)

    def _head(self, cell: Any, field: Field) -> None:
        from openpyxl.comments import Comment
        from openpyxl.styles import Alignment

        lay = self.lay
        must = field.name in lay.table.required and field.name not in lay.made
        cell.value = field.name
        cell.fill = _fill(_DARK if must else _PALE)
        made = field.name in lay.made
        cell.font = _font(bold=must, italic=made, color=_WHITE if must else _BLACK)
        cell.alignment = Alignment(wrap_text=True, vertical="center")
        text = note(lay, field)
        lines = sum(len(textwrap.wrap(line, 52)) or 1 for line in text.splitlines())
        cell.comment = Comment(text, "towdb", height=18 * lines + 14, width=380)

    def _offer(self, number: int, field: Field, lists: _Lists) -> None:
        from openpyxl.utils import get_column_letter
        from openpyxl.worksheet.datavalidation import DataValidation

        formula = lists.formula(self.lay.table, field)
        if formula is None:
            return
        letter = get_column_letter(number)
        rule = DataValidation(type="list", formula1=formula, allow_blank=True)
        rule.add(f"{letter}2:{letter}{_LAST_ROW}")
        # Short forms, new ids and cells such as "a | b" are in no list.
        vocabulary = contract().vocabularies.get(field.vocabulary or "")
        closed = vocabulary and not vocabulary.aliases and not vocabulary.is_open
        rule.showErrorMessage = field.type == "word" and bool(closed)
        rule.errorStyle = "warning"
        rule.errorTitle = field.name
        rule.error = "Not a word of the list. Keep it anyway?"
        self.sheet.add_data_validation(rule)


class _Lists:
    """The lists that cells offer: each a column of a hidden sheet."""

    def __init__(self, sheet: Any, known: Mapping[str, Sequence[str]]) -> None:
        self.sheet, self.known = sheet, known
        sheet.sheet_state = "veryHidden"
        sheet.protection.sheet = True
        self.places: dict[tuple[str, ...], str] = {}

    def formula(self, table: Table, field: Field) -> str | None:
        """The place of the words or ids that a field offers; None if it offers none."""
        items = tuple(self._items(table, field))
        if items and items not in self.places:
            from openpyxl.utils import get_column_letter

            number = len(self.places) + 1
            for line, item in enumerate(items, 1):
                put(self.sheet.cell(line, number), item, formula=isinstance(item, _Formula))
            letter = get_column_letter(number)
            self.places[items] = f"{LISTS}!${letter}$1:${letter}${len(items)}"
        return self.places.get(items)

    def _items(self, table: Table, field: Field) -> Iterator[str]:
        spec = contract()
        for target in spec.references(field, table):
            yield from self.known.get(target, ())
            yield from _typed_ids(target)
        if field.name == "property":
            words = spec.vocabularies["property"].words.values()
            yield from (word.name for word in words if table.name in word.tables)
        elif field.type == "word" and field.vocabulary is None:
            yield from dict.fromkeys(_demanded_words(table))
        elif field.vocabulary or field.type == "yes_no":
            yield from ["any"] if field.type == "words" else []
            yield from spec.vocabularies[field.vocabulary or "yes_no"].words


class _Formula(str):
    """A text that the spreadsheet calculates."""


def _typed_ids(name: str) -> Iterator[str]:
    # An id that somebody has just typed on its own sheet; INDEX survives deleted rows.
    from openpyxl.utils import get_column_letter

    if name in NAMED_BY:
        return
    lay = layout(name)
    letter = get_column_letter(lay.columns.index(lay.table.key) + 1)
    for line in range(2, _OFFERED + 2):
        place = f"INDEX({name}!${letter}:${letter},{line})"
        yield _Formula(f'={place}&""')


def _demanded_words(table: Table) -> Iterator[str]:
    spec = contract()
    for field in table.fields:
        if field.name in ("property", "quantity") and field.vocabulary:
            for word in spec.vocabularies[field.vocabulary].words.values():
                if word.vocabulary and (not word.tables or table.name in word.tables):
                    yield from spec.vocabularies[word.vocabulary].words


def with_page_headers(lay: Layout, rows: Sequence[Row]) -> Iterator[Row]:
    """Rows as a person would type them: what consecutive ones share is in a page header."""
    rows = [{c: text for c, text in row.items() if text and c not in UNTYPED} for row in rows]
    # Only a filled first cell starts a new header; without it a row keeps its cells.
    if not lay.header or not all(row.get(lay.header[0]) for row in rows):
        yield from rows
        return
    for shared, group in itertools.groupby(rows, key=lambda row: _shared(lay, row)):
        yield dict(shared)
        for row in group:
            yield {c: text for c, text in row.items() if c not in lay.header}


def _shared(lay: Layout, row: Row) -> tuple[tuple[str, str | None], ...]:
    return tuple((c, row[c]) for c in lay.header if c in row)


def put(cell: Any, text: str | None, formula: bool = False) -> Any:
    """Write a text into a cell as text, whatever it looks like."""
    cell.value = escaped(text or "")
    # Otherwise a text that begins with = would be a formula, and #N/A an error.
    cell.data_type = "f" if formula else "s"
    return cell


def for_print(sheet: Any) -> None:
    """Print a sheet as wide as the paper."""
    sheet.page_setup.orientation = "landscape"
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.page_setup.fitToHeight = 0


def dress(part: Any, field: Field, lay: Layout) -> None:
    """Give a column, or a cell of it, its format."""
    from openpyxl.styles import Alignment

    # As text nothing is turned into a date, a share or another number.
    part.number_format = "yyyy-mm-dd" if field.type == "date" else "@"
    side = {"number": "right", "integer": "center"}.get(field.type, "left")
    text = field.type in ("text", "text_list")
    part.alignment = Alignment(
        horizontal=side,
        vertical="top",
        wrap_text=text,
        shrink_to_fit=not text,
    )
    part.font = _font(italic=field.name in lay.made)
    if field.name in lay.header:
        part.fill = _fill(_GREY)


def _width(field: Field) -> float:
    name = len(field.name) + 2
    match field.type:
        case "number" | "integer" | "date" | "yes_no":
            return max(9, name)
        case "id" | "ids":
            return max(20, name)
        case "text" | "text_list" if field.name == "quote":
            return 50
        case "text" | "text_list":
            return max(12, name, min(26, len(field.good)))
    words = contract().vocabularies[field.vocabulary].words if field.vocabulary else ("",)
    return max(12, name, min(20, max(map(len, words)) + 2))


def _write_how_to(sheet: Any, mark: Mark) -> None:
    sheet.title = HOW_TO
    sheet.sheet_view.showGridLines = False
    sheet.protection.sheet = True
    for_print(sheet)
    line = 1
    for kind, text in how_to():
        if kind == "example":
            line = _write_example(sheet, line + 1, text)
            continue
        line += kind == "head"
        for part in wrapped(kind, text):
            put(sheet.cell(line, 1), part).font = _font(**_KINDS[kind])
            line += 1
        if kind == "title" and mark != UNKNOWN:
            put(sheet.cell(line, 1), mark.line).font = _font()


def _write_example(sheet: Any, line: int, name: str) -> int:
    lay = layout(name)
    columns, rows = example(name)
    put(sheet.cell(line, 1), example_title(name)).font = _font()
    for number, column in enumerate(columns, 1):
        head = put(sheet.cell(line + 1, number), column)
        head.font, head.fill = _font(bold=True), _fill(_PALE)
        widest = max(len(row[number - 1] or "") for row in rows) if column != "quote" else 0
        dimension = sheet.column_dimensions[head.column_letter]
        dimension.width = min(30, max(dimension.width, len(column) + 2, widest + 2))
        for below, row in enumerate(rows, line + 2):
            cell = sheet.cell(below, number)
            if column in lay.header:
                cell.fill = _fill(_GREY)
            if row[number - 1]:
                put(cell, row[number - 1]).font = _font()
    return line + len(rows) + 2


def _font(**looks: Any) -> Any:
    from openpyxl.styles import Font

    return Font(**{"name": "Calibri", "size": 11, **looks})


def _fill(color: str) -> Any:
    from openpyxl.styles import PatternFill

    return PatternFill("solid", start_color=color)
