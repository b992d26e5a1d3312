"""What people and programs do to a workbook, and how it is reported: sheet, row and column."""

from __future__ import annotations

import os
import re
import tracemalloc
import zipfile
from collections.abc import Callable, Mapping
from datetime import date, datetime, timedelta
from datetime import time as clock
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.comments import Comment
from openpyxl.styles import PatternFill
from openpyxl.utils.datetime import CALENDAR_MAC_1904
from openpyxl.worksheet.formula import ArrayFormula

from tests.helpers.typed_workbooks import DAY, bare_book, column_of, read, typed_workbook
from towdb.errors import Finding, UsageError
from towdb.record.workbook import file
from towdb.record.workbook.read import Entered, read_workbook

SOURCE = {
    "source_id": "quillon-om-2021",
    "kind": "owner_manual",
    "title": "Quillon Pika Owner's Manual",
    "issuer": "Quillon Motor Works",
    "issuer_role": "vehicle_maker",
    "published_on": "2020-09-01",
    "model_year_from": "2021",
    "invented": "yes",
}
HEADER = {"source_id": "quillon-om-2021", "locator": "p. 214", "eligibility_id": "pika-manual"}
LIMIT = {
    "quantity": "speed",
    "bound": "at_most",
    "scope": "always",
    "stated": "number",
    "value": "65",
    "unit": "mph",
    "quote": "at up to 65 mph",
}
STEPS = {**HEADER, "phase": "before"}
STEP = {
    "printed_no": "1",
    "kind": "do",
    "component": "parking_brake",
    "action": "set",
    "quote": "Set the parking brake.",
}
GOOD = [
    ("source", SOURCE),
    ("towing_limit", HEADER),
    ("towing_limit", LIMIT),
    ("procedure_step", STEPS),
    ("procedure_step", STEP),
]
Place = tuple[str | None, int | None, str | None]


def saved(book: Any, folder: Path, name: str = "entry.xlsx") -> Entered:
    book.save(folder / name)
    return read(folder / name)


def place(finding: Finding) -> Place:
    assert finding.file.startswith("entry")
    assert finding.message
    assert finding.remedy
    return finding.table, finding.line, finding.column


def only(entered: Entered) -> Finding:
    assert len(entered.findings) == 1, entered.findings
    return entered.findings[0]


def test_a_good_workbook_is_read_without_a_finding(tmp_path: Path) -> None:
    entered = saved(bare_book(GOOD), tmp_path)
    assert entered.findings == []
    assert entered.ok
    (row,) = entered.rows["towing_limit"]
    assert (row.sheet, row.row) == ("towing_limit", 3)
    assert row.cells["towing_limit_id"] == "pika-manual-speed-always"
    assert row.made == {"towing_limit_id", "basis"}
    assert [step.cells["step_no"] for step in entered.rows["procedure_step"]] == ["1"]


# ------------------------------------------------------------------ what is typed into one cell

CELLS: dict[str, tuple[str, str, Any, str]] = {
    "date in a figure": ("towing_limit", "value", datetime(2025, 4, 3), "into a date"),
    "date in a text": ("procedure_step", "printed_no", date(2025, 4, 3), "into a date"),
    "time in a figure": ("towing_limit", "value", clock(1, 30), "into a date or time"),
    "duration": ("towing_limit", "value", timedelta(hours=30), "into a date or time"),
    "time of day in a date": ("source", "published_on", datetime(2020, 9, 1, 9), "time of day"),
    "number for a date": ("source", "published_on", 44075, "not a date"),
    "date backwards": ("source", "published_on", "01.09.2020", "not a date"),
    "no such day": ("source", "published_on", "2021-02-29", "no such day"),
    "formula": ("towing_limit", "value", "=60+5", "formula"),
    "formula in a text": ("source", "title", '="Pika"', "formula"),
    "array formula": ("towing_limit", "value", ArrayFormula("K3", "=SUM(A1:A2)"), "formula"),
    "error": ("towing_limit", "value", "#N/A", "error of the spreadsheet"),
    "truth in a figure": ("towing_limit", "value", True, "TRUE or FALSE"),
    "truth in a word": ("towing_limit", "bound", False, "TRUE or FALSE"),
    "fraction in a text": ("procedure_step", "printed_no", 4.1, "into a number"),
    "broken year": ("source", "model_year_from", 2021.5, "not a whole number"),
    "thousands": ("towing_limit", "value", "4,400", "not a number"),
    "decimal comma": ("towing_limit", "value", "12,2", "not a number"),
    "figure with unit": ("towing_limit", "value", "65 mph", "not a number"),
    "unbelievable": ("source", "model_year_from", "1021", "not believable"),
    "misspelt word": ("towing_limit", "scope", "allways", "did you mean always?"),
    "broad guess": ("procedure_step", "component", "gearbox", "unknown word"),
    "misspelt basis": ("towing_limit", "basis", "hearsay", "unknown word"),
    "step that is no number": ("procedure_step", "step_no", "3a", "not a whole number"),
    "own id with blanks": ("towing_limit", "towing_limit_id", "speed limit", "not an id"),
    "unknown unit": ("towing_limit", "unit", "knots", "unknown word"),
    "id with blanks": ("source", "source_id", "Quillon OM 2021", "not an id"),
    "too long": ("towing_limit", "quote", "x" * 301, "301 characters"),
    "invisible": ("source", "title", "Pi\u200bka", "invisible"),
    "filler": ("source", "title", "Pi\u034fka", "invisible character, U+034F"),
    "escaped control character": ("source", "title", "Pika_x0007_", "invisible"),
}


@pytest.mark.parametrize("case", CELLS)
def test_a_cell_that_cannot_be_read_is_told(case: str, tmp_path: Path) -> None:
    table, column, value, message = CELLS[case]
    book = bare_book(GOOD)
    line = 2 if table == "source" else 3
    book[table].cell(line, column_of(book[table], column)).value = value
    entered = saved(book, tmp_path)
    finding = only(entered)
    assert place(finding) == (table, line, column)
    assert message in finding.message
    assert entered.rows[table][-1].cells[column] is None
    assert not entered.ok


@pytest.mark.parametrize(
    ("value", "shown_as"), [(0.15, "0%"), (0.155, "0.00%"), (15, '0"%"')], ids=str
)
def test_a_percentage_is_not_guessed_at(value: float, shown_as: str, tmp_path: Path) -> None:
    book = bare_book(GOOD)
    cell = book["towing_limit"].cell(3, column_of(book["towing_limit"], "value"))
    cell.value, cell.number_format = value, shown_as
    finding = only(saved(book, tmp_path))
    assert place(finding) == ("towing_limit", 3, "value")
    assert "percentage" in finding.message


@pytest.mark.parametrize(("value", "shown_as"), [(7, "000"), (1234, "#,##0"), (1.1, "0.00")])
def test_a_number_that_looks_otherwise_is_no_text(
    value: float, shown_as: str, tmp_path: Path
) -> None:
    book = bare_book(GOOD)
    cell = book["procedure_step"].cell(3, column_of(book["procedure_step"], "printed_no"))
    cell.value, cell.number_format = value, shown_as
    assert place(only(saved(book, tmp_path))) == ("procedure_step", 3, "printed_no")


@pytest.mark.parametrize(
    ("table", "column", "typed", "stored"),
    [
        ("towing_limit", "unit", "Miles", "mi"),
        ("towing_limit", "unit", "DEGF", "degF"),
        ("towing_limit", "bound", " At Most ", "at_most"),
        ("towing_limit", "scope", "between-engine-runs", "between_engine_runs"),
        ("towing_limit", "value", 65.0, "65"),
        ("towing_limit", "value", 12.2, "12.2"),
        ("towing_limit", "value", "065", None),
        ("towing_limit", "value", -10, "-10"),
        ("procedure_step", "printed_no", 4, "4"),
        ("procedure_step", "step_no", 7, "7"),
        ("source", "published_on", datetime(2020, 9, 1), "2020-09-01"),
        ("source", "published_on", date(2020, 9, 1), "2020-09-01"),
        ("source", "invented", True, "yes"),
        ("source", "invented", "N", "no"),
        ("source", "market", "USA | uk", "us | gb"),
        ("source", "market", "NOT  usa", "not us"),
        ("source", "market", "Any", "any"),
        ("source", "title", "a\r\nb\xa0", "a\nb"),
        ("source", "title", "=1+1 (invented)", "=1+1 (invented)"),
        ("source", "source_id", "Quillon-OM-2021", "quillon-om-2021"),
    ],
)
def test_what_is_typed_and_what_is_stored(
    table: str, column: str, typed: Any, stored: str | None, tmp_path: Path
) -> None:
    book = bare_book(GOOD)
    line = 2 if table == "source" else 3
    cell = book[table].cell(line, column_of(book[table], column))
    cell.value = typed
    cell.data_type = "s" if isinstance(typed, str) else cell.data_type
    entered = saved(book, tmp_path)
    assert entered.rows[table][-1].cells[column] == stored
    assert [f.column for f in entered.findings] == ([] if stored else [column])


def test_a_word_is_of_the_vocabulary_that_the_property_demands(tmp_path: Path) -> None:
    header = {"source_id": "s", "locator": "p. 1", "vehicle_group_id": "g"}
    rows: list[tuple[str, dict[str, Any]]] = [
        ("vehicle_property", header),
        ("vehicle_property", {"property": "Brake-Assist", "word": "Vacuum", "quote": "q"}),
        ("vehicle_property", {"property": "steering_lock", "word": True, "quote": "q"}),
        ("vehicle_property", {"property": "rear_lamps", "word": "combined turn", "quote": "q"}),
    ]
    entered = saved(bare_book(rows), tmp_path)
    assert entered.findings == []
    words = [row.cells["word"] for row in entered.rows["vehicle_property"]]
    assert words == ["vacuum", "yes", "combined_turn"]


# ------------------------------------------------------------------ what is done to a sheet


def hide_row(sheet: Any) -> None:
    sheet.row_dimensions[3].hidden = True


def hide_column(sheet: Any) -> None:
    sheet.column_dimensions[sheet.cell(1, column_of(sheet, "quote")).column_letter].hidden = True


def hide_columns_together(sheet: Any) -> None:
    sheet.column_dimensions.group("A", "P", hidden=True)


def hide_sheet(sheet: Any) -> None:
    sheet.parent.create_sheet("mine")
    sheet.sheet_state = "hidden"


def merge(sheet: Any) -> None:
    sheet.merge_cells("A3:B3")


def annotate(sheet: Any) -> None:
    sheet.cell(3, column_of(sheet, "value")).comment = Comment("or 60? smudged", "Imre")


def annotate_an_empty_cell(sheet: Any) -> None:
    sheet["B9"].comment = Comment("p. 215 is missing", "Imre")


def name_a_column_wrongly(sheet: Any) -> None:
    sheet.cell(1, column_of(sheet, "also_value")).value = "also_valu"


def add_a_column(sheet: Any) -> None:
    sheet.cell(1, 30).value = "my remarks"


def add_a_nameless_column(sheet: Any) -> None:
    sheet.cell(3, 30).value = "see p. 215"


def name_the_person(sheet: Any) -> None:
    sheet.cell(1, 30).value = "checked_by"


def name_a_column_twice(sheet: Any) -> None:
    sheet.cell(1, 30).value = "Quote"


def drop_a_column(sheet: Any) -> None:
    sheet.delete_cols(column_of(sheet, "bound"))


def drop_the_names(sheet: Any) -> None:
    sheet.delete_rows(1)


def put_a_title_above(sheet: Any) -> None:
    sheet.insert_rows(1)
    sheet["A1"].value = "Limits of the Pika"


def write_behind_the_rows(sheet: Any) -> None:
    sheet["C40"].value = "   222"


SHEETS: dict[str, tuple[Callable[[Any], None], list[tuple[int | None, str | None]], str]] = {
    "hidden row": (hide_row, [(3, None)], "row is hidden"),
    "hidden column": (hide_column, [(None, "quote")], "column is hidden"),
    "hidden sheet": (hide_sheet, [(None, None)], "sheet is hidden"),
    "merged cells": (merge, [(3, "A")], "merged"),
    "note": (annotate, [(3, "value")], "note"),
    "note on nothing": (annotate_an_empty_cell, [(9, "locator")], "note"),
    "misspelt column": (name_a_column_wrongly, [(1, "also_valu")], "did you mean also_value?"),
    "own column": (add_a_column, [(1, "my remarks")], "no column my remarks"),
    "nameless column": (add_a_nameless_column, [(3, "AD")], "no name"),
    "person": (name_the_person, [(1, "checked_by")], "the record fills in who entered"),
    "column twice": (name_a_column_twice, [(1, "quote")], "twice"),
    "lost column": (drop_a_column, [(1, "bound")], "column bound is missing"),
    "header that holds for nothing": (
        write_behind_the_rows,
        [(40, "file_page")],
        "a page header that applies to no row",
    ),
}


@pytest.mark.parametrize("case", SHEETS)
def test_what_is_done_to_a_sheet_is_told(case: str, tmp_path: Path) -> None:
    act, places, message = SHEETS[case]
    book = bare_book(GOOD)
    act(book["towing_limit"])
    entered = saved(book, tmp_path)
    assert [place(f) for f in entered.findings] == [("towing_limit", *where) for where in places]
    assert message in entered.findings[0].message


def test_columns_hidden_together_are_told_one_by_one(tmp_path: Path) -> None:
    book = bare_book(GOOD)
    hide_columns_together(book["towing_limit"])
    found = saved(book, tmp_path).findings
    assert {f.column for f in found} == HEADER.keys() | LIMIT.keys()
    assert {f.rule for f in found} == {"hidden"}


@pytest.mark.parametrize("act", [drop_the_names, put_a_title_above])
def test_a_sheet_without_names_is_not_read(act: Callable[[Any], None], tmp_path: Path) -> None:
    book = bare_book(GOOD)
    act(book["towing_limit"])
    entered = saved(book, tmp_path)
    assert "towing_limit" not in entered.rows
    assert {f.table for f in entered.findings} == {"towing_limit"}
    assert "row 1 has no column names" in [f.message for f in entered.findings]


def test_blank_rows_and_looks_are_no_content(tmp_path: Path) -> None:
    book = bare_book([("towing_limit", HEADER), ("towing_limit", LIMIT)])
    sheet = book["towing_limit"]
    for line in range(4, 400):
        sheet.cell(line, 1).fill = PatternFill("solid", start_color="FFFF00")
        sheet.cell(line, 2).value = "  "
        sheet.row_dimensions[line].hidden = line > 10
    sheet.insert_rows(3)
    entered = saved(book, tmp_path)
    assert entered.findings == []
    assert [row.row for row in entered.rows["towing_limit"]] == [4]


def test_a_renamed_sheet_is_told_with_the_nearest_name(tmp_path: Path) -> None:
    book = bare_book(GOOD)
    book["towing_limit"].title = "towing_limits"
    finding = only(saved(book, tmp_path))
    assert place(finding) == ("towing_limits", 1, "A")
    assert "did you mean towing_limit?" in finding.message


def test_capitals_and_blanks_do_not_rename_a_sheet(tmp_path: Path) -> None:
    book = bare_book(GOOD)
    book["towing_limit"].title = "Towing Limit"
    entered = saved(book, tmp_path)
    assert entered.findings == []
    assert len(entered.rows["towing_limit"]) == 1


def test_two_sheets_of_one_table_are_told(tmp_path: Path) -> None:
    book = bare_book(GOOD)
    book.copy_worksheet(book["towing_limit"]).title = "towing limit"
    finding = only(saved(book, tmp_path))
    assert finding.table == "towing limit"
    assert "towing_limit has the same table" in finding.message


def test_a_sheet_of_ones_own_is_told_unless_it_is_empty(tmp_path: Path) -> None:
    book = bare_book(GOOD)
    book.create_sheet("empty")
    book.create_sheet("scratch")["C7"].value = "65 or 60?"
    assert place(only(saved(book, tmp_path))) == ("scratch", 7, "C")


def test_what_is_typed_beside_the_instructions_is_told(tmp_path: Path) -> None:
    path = typed_workbook(tmp_path, GOOD)
    book = openpyxl.load_workbook(path)
    book["how to"]["H3"].value = "ask Dunya about p. 215"
    entered = saved(book, tmp_path)
    finding = only(entered)
    assert place(finding) == ("how to", 3, "H")
    assert finding.severity == "warning"
    assert entered.ok


def test_the_lists_are_not_read_unless_somebody_shows_them(tmp_path: Path) -> None:
    path = typed_workbook(tmp_path, GOOD)
    book = openpyxl.load_workbook(path)
    assert read(path).findings == []
    book["lists"].sheet_state = "hidden"
    assert saved(book, tmp_path).findings == []
    book["lists"].sheet_state = "visible"
    assert only(saved(book, tmp_path)).table == "lists"


# ------------------------------------------------------------------ page headers and ids


def test_a_row_takes_only_what_stands_left_of_its_own_cell(tmp_path: Path) -> None:
    rows = [
        ("procedure_step", {**STEPS, "file_page": "222"}),
        ("procedure_step", STEP),
        ("procedure_step", {"locator": "p. 215", **STEP}),
        ("procedure_step", {"phase": "after", **STEP}),
    ]
    entered = saved(bare_book(rows), tmp_path)
    where = ("source_id", "locator", "file_page", "eligibility_id", "phase")
    assert [tuple(row.cells[c] for c in where) for row in entered.rows["procedure_step"]] == [
        ("quillon-om-2021", "p. 214", "222", "pika-manual", "before"),
        ("quillon-om-2021", "p. 215", None, None, None),
        ("quillon-om-2021", "p. 214", "222", "pika-manual", "after"),
    ]
    assert [place(f) for f in entered.findings] == [
        ("procedure_step", 4, "eligibility_id"),
        ("procedure_step", 4, "phase"),
    ]
    assert all("restarts the page header" in f.remedy for f in entered.findings)


def test_a_header_cell_that_is_replaced_before_any_row_is_told(tmp_path: Path) -> None:
    rows = [
        ("towing_limit", HEADER),
        ("towing_limit", {"eligibility_id": "pika-automatic"}),
        ("towing_limit", LIMIT),
    ]
    finding = only(saved(bare_book(rows), tmp_path))
    assert place(finding) == ("towing_limit", 2, "eligibility_id")


def test_a_row_above_the_first_header_takes_nothing(tmp_path: Path) -> None:
    rows = [("towing_limit", LIMIT), ("towing_limit", HEADER), ("towing_limit", LIMIT)]
    entered = saved(bare_book(rows), tmp_path)
    assert [place(f) for f in entered.findings] == [
        ("towing_limit", 2, c) for c in ("source_id", "locator", "eligibility_id")
    ]


def test_a_header_that_cannot_be_read_holds_for_no_row(tmp_path: Path) -> None:
    book = bare_book(GOOD)
    book["towing_limit"]["D2"].value = "=A2"
    entered = saved(book, tmp_path)
    assert [(f.line, f.column, f.rule) for f in entered.findings] == [
        (2, "eligibility_id", "formula"),
        (3, "eligibility_id", "required"),
    ]
    assert entered.rows["towing_limit"][0].cells["towing_limit_id"] is None
    assert entered.findings[1].remedy == "fill it in from the page"


def test_two_rows_of_one_made_id_are_told(tmp_path: Path) -> None:
    rows = [*GOOD, ("towing_limit", {**LIMIT, "bound": "at_least"})]
    finding = only(saved(bare_book(rows), tmp_path))
    assert place(finding) == ("towing_limit", 4, "towing_limit_id")
    assert finding.key == "pika-manual-speed-always"
    assert finding.message == "row 3 has the same id"


def test_a_made_id_is_not_cut_off(tmp_path: Path) -> None:
    long = "p" * 70
    rows = [("towing_limit", {**HEADER, "eligibility_id": long}), ("towing_limit", LIMIT)]
    finding = only(saved(bare_book(rows), tmp_path))
    assert place(finding) == ("towing_limit", 3, "towing_limit_id")
    assert "more than 80" in finding.message


def test_an_empty_step_number_follows_the_one_above(tmp_path: Path) -> None:
    lines = [
        STEPS,
        {**STEP, "component": "key"},
        {**STEP, "component": "doors", "step_no": "5"},
        {**STEP, "component": "hood"},
        {**STEP, "phase": "after"},
        {**STEP, "component": "lamps"},
    ]
    entered = saved(bare_book([("procedure_step", line) for line in lines]), tmp_path)
    numbers = [row.cells["step_no"] for row in entered.rows["procedure_step"]]
    assert numbers == ["1", "5", "6", "1", "7"]


# ------------------------------------------------------------------ files


def test_a_workbook_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="cannot be read"):
        read(tmp_path / "entry.xlsx")
    with pytest.raises(UsageError, match="is a folder, not a file"):
        read(tmp_path)


@pytest.mark.parametrize("person", ["", "  ", "x" * 81, "Imre\x07"])
def test_nobody_enters_a_page(person: str, tmp_path: Path) -> None:
    bare_book(GOOD).save(tmp_path / "entry.xlsx")
    with pytest.raises(UsageError, match="entered_by"):
        read_workbook(tmp_path / "entry.xlsx", person, DAY)


UNREADABLE = "is not a readable workbook: "
COMPOUND = bytes.fromhex("d0cf11e0a1b11ae1") + bytes(600)
FILES: dict[str, tuple[str, bytes, str]] = {
    "text": ("entry.xlsx", b"source_id,kind\n", UNREADABLE),
    "empty": ("entry.xlsx", b"", UNREADABLE),
    "cut off": ("entry.xlsx", b"PK\x03\x04" + bytes(40), UNREADABLE),
    "older kind": ("entry.xls", COMPOUND, "older format"),
    "renamed older kind": ("entry.xlsx", COMPOUND, "older format"),
    "encrypted": (
        "entry.xlsx",
        COMPOUND + "EncryptedPackage".encode("utf-16-le"),
        "encrypted",
    ),
    "csv": ("entry.csv", b"source_id,kind\n", "format that is read: .csv"),
    "no ending": ("entry", b"source_id,kind\n", "no ending"),
}


@pytest.mark.parametrize("case", FILES)
def test_a_file_that_is_no_workbook_is_told(case: str, tmp_path: Path) -> None:
    name, content, message = FILES[case]
    (tmp_path / name).write_bytes(content)
    entered = read(tmp_path / name)
    finding = only(entered)
    assert place(finding) == (None, None, None)
    assert (finding.rule, finding.severity) == ("file", "error")
    assert message in finding.message
    assert entered.rows == {}


def repacked(folder: Path, parts: Mapping[str, bytes], drop: str = "", name: str = "") -> Entered:
    """The good workbook with parts put in or taken out."""
    bare_book(GOOD).save(folder / "good.xlsx")
    target = folder / (name or "entry.xlsx")
    with (
        zipfile.ZipFile(folder / "good.xlsx") as good,
        zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as out,
    ):
        for part in good.namelist():
            if part != drop and part not in parts:
                out.writestr(part, good.read(part))
        for part, content in parts.items():
            out.writestr(part, content)
    return read(target)


def test_a_workbook_packed_anew_is_read(tmp_path: Path) -> None:
    assert repacked(tmp_path, {}).findings == []


NAMESPACE = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
WORKSHEET = f'<worksheet xmlns="{NAMESPACE}">'.encode()
PARTS: dict[str, tuple[str, bytes, str]] = {
    "macros": ("xl/vbaProject.bin", b"\0", "macros"),
    "macros in the contents": (
        "[Content_Types].xml",
        b"<Types>application/vnd.ms-excel.sheet.macroEnabled.main+xml</Types>",
        "macros",
    ),
    "picture": ("xl/media/image1.png", b"\x89PNG", "pictures"),
    "text box": ("xl/drawings/drawing1.xml", b"<xdr/>", "pictures"),
    "other workbooks": ("xl/externalLinks/externalLink1.xml", b"<x/>", "other workbooks"),
    "entities": (
        "xl/workbook.xml",
        b'<!DOCTYPE a [<!ENTITY b "b"><!ENTITY c "&b;&b;">]><a>&c;</a>',
        "entities",
    ),
    "no sheet": ("xl/workbook.xml", b"<workbook/>", "no sheet is a table"),
    "broken sheet": ("xl/worksheets/sheet1.xml", b"<worksheet><sheetData>", UNREADABLE),
    "strange number": (
        "xl/worksheets/sheet1.xml",
        WORKSHEET + b'<sheetData><row r="1"><c r="A1"><v>INF</v></c></row></sheetData></worksheet>',
        UNREADABLE,
    ),
    "merged without end": (
        "xl/worksheets/sheet1.xml",
        WORKSHEET
        + b'<sheetData/><mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells></worksheet>',
        "merged",
    ),
    "empty cells without end": (
        "xl/worksheets/sheet1.xml",
        WORKSHEET + b"<sheetData><row>" + b"<c/>" * file.MAX_TAGS + b"</row>",
        "unpacks to more",
    ),
    "bomb": ("xl/media/zeros.bin", bytes(file.MAX_UNPACKED + 1), "unpacks to more"),
}


@pytest.mark.parametrize("case", PARTS)
def test_a_workbook_that_is_not_safe_is_not_opened(case: str, tmp_path: Path) -> None:
    part, content, message = PARTS[case]
    entered = repacked(tmp_path, {part: content})
    assert message in only(entered).message
    assert entered.rows == {}


@pytest.mark.parametrize(
    ("row", "stored", "told"),
    [
        ('<row r="2"><c r="A2"><v>0.30000000000000004</v></c></row>', None, {"type"}),
        ('<row r="2"><c r="A2"><v>1.1000000000000001</v></c></row>', "1.1", set()),
        ('<row r="2"><c r="A2"><v>1E+2</v></c></row>', "100", set()),
        ('<row r="2"><c r="A2"><v>1e400</v></c></row>', None, {"type"}),
        ('<row r="2" ht="0" customHeight="1"><c r="A2"><v>65</v></c></row>', "65", {"hidden"}),
        ('<row r="2"><c r="A2" t="str"><v>65</v></c></row>', "65", set()),
        ('<row r="2"><c r="A2"><f>B2</f><v>65</v></c></row>', None, {"formula"}),
        ('<row r="1048576"><c r="A1048576"><v>65</v></c></row>', "65", set()),
        ('<row r="2"><c r="A2"><v>65</v></c><c r="XFD2" s="0"/></row>', "65", set()),
    ],
)
def test_what_only_other_programs_write(
    row: str, stored: str | None, told: set[str], tmp_path: Path
) -> None:
    name = '<row r="1"><c r="A1" t="str"><v>value</v></c></row>'
    sheet = WORKSHEET + f"<sheetData>{name}{row}</sheetData></worksheet>".encode()
    # The second sheet is that of limits; of its columns only the value is there.
    entered = repacked(tmp_path, {"xl/worksheets/sheet2.xml": sheet})
    assert entered.rows["towing_limit"][0].cells["value"] == stored
    assert {f.rule for f in entered.findings} - {"header"} == told


def test_a_workbook_with_macros_by_its_ending(tmp_path: Path) -> None:
    assert "macros" in only(repacked(tmp_path, {}, name="entry.xlsm")).message


def test_a_workbook_without_its_list_of_parts(tmp_path: Path) -> None:
    assert UNREADABLE in only(repacked(tmp_path, {}, drop="[Content_Types].xml")).message


def is_told_plainly(entered: Entered) -> bool:
    """Whether it is one finding about the whole file that states what is wrong and what to do."""
    plain = all(
        f.rule == "file" and f.message.startswith(UNREADABLE) and f.remedy and f.line is None
        for f in entered.findings
    )
    return plain and len(entered.findings) == 1 and entered.rows == {}


def test_a_workbook_that_is_cut_short_anywhere(tmp_path: Path) -> None:
    bare_book(GOOD).save(tmp_path / "good.xlsx")
    good = (tmp_path / "good.xlsx").read_bytes()
    for size in (*range(0, len(good), 61), len(good) - 1):
        (tmp_path / "entry.xlsx").write_bytes(good[:size])
        assert is_told_plainly(read(tmp_path / "entry.xlsx")), size


def test_a_workbook_with_any_byte_of_its_sheets_damaged(tmp_path: Path) -> None:
    bare_book(GOOD).save(tmp_path / "good.xlsx")
    good = (tmp_path / "good.xlsx").read_bytes()
    with zipfile.ZipFile(tmp_path / "good.xlsx") as archive:
        part = archive.getinfo("xl/worksheets/sheet1.xml")
    # The name in front of it is as long as in the list of parts; then comes what is packed.
    begin = part.header_offset + 30 + len(part.filename)
    for at in range(begin, begin + part.compress_size, 3):
        damaged = bytearray(good)
        damaged[at] ^= 0x55
        (tmp_path / "entry.xlsx").write_bytes(bytes(damaged))
        assert is_told_plainly(read(tmp_path / "entry.xlsx")), at


@pytest.mark.parametrize("number", [1, 2, 3])
def test_a_workbook_of_which_a_sheet_is_lost_is_not_read_without_it(
    tmp_path: Path, number: int
) -> None:
    # openpyxl would read the others: the limits of a statement would be gone without a word.
    name = f"xl/worksheets/sheet{number}.xml"
    title = bare_book(GOOD).sheetnames[number - 1]
    for entered in (
        repacked(tmp_path, {}, drop=name),
        *(repacked(tmp_path, {name: content}) for content in (b"<a/>", b"<html><body/></html>")),
    ):
        assert is_told_plainly(entered)
        assert repr(title) in only(entered).message
    for content in (b"", b"\0\xff" * 50, WORKSHEET):
        assert is_told_plainly(repacked(tmp_path, {name: content}))


def test_a_workbook_that_lost_its_texts(tmp_path: Path) -> None:
    # Each text is the number of one in a part of its own (ECMA-376 Part 1, 18.4.9).
    cell = b'<c r="A1" t="s"><v>0</v></c>'
    sheet = WORKSHEET + b'<sheetData><row r="1">' + cell + b"</row></sheetData></worksheet>"
    assert is_told_plainly(repacked(tmp_path, {"xl/worksheets/sheet2.xml": sheet}))


@pytest.mark.parametrize("part", ["word/document.xml", "content.xml", "notes.txt"])
def test_another_file_that_is_packed_alike(tmp_path: Path, part: str) -> None:
    with zipfile.ZipFile(tmp_path / "entry.xlsx", "w") as archive:
        archive.writestr(part, "<a/>")
    assert is_told_plainly(read(tmp_path / "entry.xlsx"))


def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "entry.xlsx")
    with pytest.raises(UsageError, match="is a named pipe, not a file"):
        read(tmp_path / "entry.xlsx")


def test_a_large_file_is_not_even_read(tmp_path: Path) -> None:
    with (tmp_path / "entry.xlsx").open("wb") as stream:
        stream.truncate(file.MAX_FILE + 1)
    assert "larger than" in only(read(tmp_path / "entry.xlsx")).message


def test_a_bomb_that_lies_about_its_size(tmp_path: Path) -> None:
    path = tmp_path / "entry.xlsx"
    size = 5 * file.MAX_UNPACKED
    with (
        zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive,
        archive.open("xl/zeros.xml", "w") as stream,
    ):
        for _ in range(size // 1_000_000):
            stream.write(bytes(1_000_000))
    lie = path.read_bytes().replace(size.to_bytes(4, "little"), (10).to_bytes(4, "little"))
    path.write_bytes(lie)
    with zipfile.ZipFile(path) as archive:
        assert archive.getinfo("xl/zeros.xml").file_size == 10
    tracemalloc.start()
    try:
        assert is_told_plainly(read(path))
        assert tracemalloc.get_traced_memory()[1] < size / 10
    finally:
        tracemalloc.stop()


def test_a_file_of_too_many_parts(tmp_path: Path) -> None:
    parts = {f"xl/part{number}.xml": b"" for number in range(file.MAX_PARTS)}
    assert only(repacked(tmp_path, parts)).rule == "file"


def test_a_part_that_stands_twice(tmp_path: Path) -> None:
    repacked(tmp_path, {})
    path = tmp_path / "entry.xlsx"
    with zipfile.ZipFile(path, "a") as archive, pytest.warns(UserWarning, match="Duplicate name"):
        archive.writestr("xl/worksheets/sheet1.xml", WORKSHEET + b"<sheetData/></worksheet>")
    assert is_told_plainly(read(path))
    assert "occurs twice" in only(read(path)).message


def test_days_are_counted_from_the_workbooks_own_first_day(tmp_path: Path) -> None:
    book = bare_book(GOOD)
    book.epoch = CALENDAR_MAC_1904
    book["source"].cell(2, column_of(book["source"], "published_on")).value = date(2020, 9, 1)
    (row,) = saved(book, tmp_path).rows["source"]
    assert row.cells["published_on"] == "2020-09-01"


def test_findings_stand_in_the_order_of_the_sheets(tmp_path: Path) -> None:
    rows = [*GOOD, ("towing_limit", {**LIMIT, "value": "x"}), ("towing_limit", {"locator": "p. 9"})]
    book = bare_book(rows)
    book["source"]["B2"].value = "book"
    book["towing_limit"].row_dimensions[4].hidden = True
    places = [place(f)[:2] for f in saved(book, tmp_path).findings]
    assert places == [
        ("source", 2),
        *[("towing_limit", 4)] * 3,
        ("towing_limit", 5),
    ]


def test_a_password_on_the_parts(tmp_path: Path) -> None:
    repacked(tmp_path, {})
    path = tmp_path / "entry.xlsx"
    data = bytearray(path.read_bytes())
    # Bit 0 of the general purpose flags: the part is encrypted (APPNOTE 4.4.4).
    for match in re.finditer(b"PK\x01\x02", bytes(data)):
        data[match.start() + 8] |= 1
    path.write_bytes(bytes(data))
    assert "encrypted" in only(read(path)).message
