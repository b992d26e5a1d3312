"""The template is the contract, rendered; its notes are true, and its rows are read back."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.conftest import ROOT
from tests.helpers.folders import BASE, read_table
from tests.helpers.typed_workbooks import bare_book, read, typed_workbook
from towdb.contract.grammar import fault
from towdb.contract.model import Field, contract
from towdb.errors import UsageError
from towdb.record.workbook.cells import known_words
from towdb.record.workbook.layout import NAMED_BY, SHOWN, UNTYPED, layout
from towdb.record.workbook.notes import EXAMPLES, PAGES, how_to_texts
from towdb.record.workbook.template import write_template

TABLES = list(contract().tables)
COLUMNS = [(name, column) for name in TABLES for column in layout(name).columns]
Rows = dict[str, list[dict[str, str | None]]]


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Any:
    path = tmp_path_factory.mktemp("template") / "entry.xlsx"
    write_template(path, known={"source": ["quillon-om-2021", "tarnec-dg-2018"]})
    return openpyxl.load_workbook(path)


def head(book: Any, table: str, column: str) -> Any:
    return book[table].cell(1, layout(table).columns.index(column) + 1)


def offered(book: Any, table: str, column: str) -> tuple[Any, list[Any]] | None:
    """The rule of a column that offers a list, and the list."""
    letter = head(book, table, column).column_letter
    rules = [
        rule
        for rule in book[table].data_validations.dataValidation
        if str(rule.sqref) == f"{letter}2:{letter}1048576"
    ]
    if not rules:
        return None
    (rule,) = rules
    sheet, cells = rule.formula1.split("!")
    return rule, [row[0].value for row in book[sheet][cells.replace("$", "")]]


def test_there_is_a_sheet_a_table_and_six_and_one_are_shown(book: Any) -> None:
    assert book.sheetnames == ["how to", *TABLES, "lists"]
    shown = [sheet.title for sheet in book.worksheets if sheet.sheet_state == "visible"]
    assert set(shown) == {"how to", *SHOWN}
    assert len(SHOWN) == 7
    assert book["lists"].sheet_state == "veryHidden"
    assert book.active.title == "how to"


def test_all_sheets_are_shown_on_request_and_those_with_rows(tmp_path: Path) -> None:
    write_template(tmp_path / "all.xlsx", every_table=True)
    states = {s.title: s.sheet_state for s in openpyxl.load_workbook(tmp_path / "all.xlsx")}
    assert {states[name] for name in TABLES} == {"visible"}
    coach = {"coach_id": "c", "source_id": "s"}
    write_template(tmp_path / "coach.xlsx", rows={"coach": [coach]})
    states = {s.title: s.sheet_state for s in openpyxl.load_workbook(tmp_path / "coach.xlsx")}
    assert (states["coach"], states["equipment"]) == ("visible", "hidden")


@pytest.mark.parametrize("table", TABLES)
def test_every_column_of_the_contract_has_its_place(table: str, book: Any) -> None:
    names = [cell.value for cell in book[table][1]]
    assert sorted([*names, *UNTYPED]) == sorted(contract().tables[table].columns)
    assert book[table].freeze_panes == "A2"
    header = layout(table).header
    assert tuple(names[: len(header)]) == header


@pytest.mark.parametrize("table", NAMED_BY)
def test_made_ids_are_made_of_what_the_contract_has(table: str) -> None:
    assert layout(table).parents
    assert set(NAMED_BY[table]) <= set(contract().tables[table].columns)


@pytest.mark.parametrize(("table", "column"), COLUMNS)
def test_a_note_says_what_the_column_means(table: str, column: str, book: Any) -> None:
    field = contract().tables[table].field(column)
    text = head(book, table, column).comment.text
    assert field.meaning in text
    assert f"right: {field.good}" in text
    assert not fault(field, known_words(field, field.good))
    for bad in re.findall("^wrong: (.*)$", text, re.MULTILINE):
        assert fault(field, known_words(field, bad))
    for taken in re.findall("^also accepted: .*, as (.*)$", text, re.MULTILINE):
        assert not fault(field, taken)
        assert taken == known_words(field, field.bad)
    for unit in filter(None, (field.unit, field.unit_in)):
        assert unit in text
    must = column in contract().tables[table].required and column not in layout(table).made
    assert ("Must be filled." in text) == must
    assert head(book, table, column).font.bold == must


def words_of(field: Field) -> list[str] | None:
    name = field.vocabulary or ("yes_no" if field.type == "yes_no" else None)
    return list(contract().vocabularies[name].words) if name else None


@pytest.mark.parametrize(("table", "column"), COLUMNS)
def test_cells_offer_the_words_of_the_vocabulary(table: str, column: str, book: Any) -> None:
    field = contract().tables[table].field(column)
    found, words = offered(book, table, column), words_of(field)
    if words is None:
        # Ids are offered of the tables whose ids are typed; a step's is made.
        targets = contract().references(field, contract().tables[table])
        assert (found is not None) == (column == "word" or bool(set(targets) - set(NAMED_BY)))
        return
    assert found is not None
    rule, items = found
    assert rule.type == "list"
    assert len(rule.formula1) <= 255
    vocabulary = contract().vocabularies[field.vocabulary or "yes_no"]
    if column == "property":
        assert items == [w.name for w in vocabulary.words.values() if table in w.tables]
    else:
        assert items == [*(["any"] if field.type == "words" else []), *words]
    # A list that refused short forms would refuse what is read.
    if rule.showErrorMessage:
        assert field.type == "word"
        assert not vocabulary.aliases
        assert not vocabulary.is_open
        assert rule.errorStyle == "warning"


def test_cells_offer_the_ids_on_record_and_those_just_typed(book: Any) -> None:
    found = offered(book, "vehicle_group", "source_id")
    assert found is not None
    rule, items = found
    assert not rule.showErrorMessage
    assert items[:3] == [
        "quillon-om-2021",
        "tarnec-dg-2018",
        '=INDEX(source!$A:$A,2)&""',
    ]
    statement = offered(book, "towing_limit", "eligibility_id")
    assert statement is not None
    assert statement[1][0] == '=INDEX(eligibility!$E:$E,2)&""'
    assert head(book, "eligibility", "eligibility_id").column_letter == "E"
    assert offered(book, "source", "source_id") is None


def test_a_property_offers_the_words_that_it_may_demand(book: Any) -> None:
    found = offered(book, "vehicle_property", "word")
    assert found is not None
    assert found[1] == [
        *("vacuum", "hydraulic", "electric", "none", "yes", "no"),
        *("combined_turn", "separate_turn", "bulb", "led"),
    ]


def test_cells_keep_what_is_typed_as_text(book: Any) -> None:
    for table, column in COLUMNS:
        letter = head(book, table, column).column_letter
        expected = "yyyy-mm-dd" if contract().tables[table].field(column).type == "date" else "@"
        assert book[table].column_dimensions[letter].number_format == expected


# ------------------------------------------------------------------ the first sheet


def test_the_first_sheet_says_what_the_developers_guide_says() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    section = guide.partition("## How a page is entered\n")[2].partition("\n### ")[0]
    points = [" ".join(point.split()).replace("`", "") for point in section.split("\n- ")]
    assert [point for point in points if point] == list(PAGES)


def test_the_first_sheet_holds_what_is_taken_for_its_own(book: Any) -> None:
    texts = {cell.value for row in book["how to"] for cell in row if cell.value is not None}
    assert texts == how_to_texts()


def test_the_examples_are_read_as_they_are_explained(tmp_path: Path) -> None:
    rows = [(table, row) for table, lines in EXAMPLES.items() for row in lines]
    bare_book(rows).save(tmp_path / "entry.xlsx")
    entered = read(tmp_path / "entry.xlsx")
    assert entered.findings == []
    steps = [row.cells["procedure_step_id"] for row in entered.rows["procedure_step"]]
    (fuse,) = entered.rows["fuse_pull"]
    assert fuse.cells["procedure_step_id"] in steps
    told = " ".join(how_to_texts())
    assert steps[1] is not None
    assert steps[1] in told


# ------------------------------------------------------------------ rows to begin with


def test_the_good_example_of_every_field_is_read_again(tmp_path: Path) -> None:
    tables = contract().tables
    rows: Rows = {name: [{f.name: f.good for f in tables[name].fields}] for name in TABLES}
    write_template(tmp_path / "entry.xlsx", rows=rows)
    entered = read(tmp_path / "entry.xlsx")
    assert entered.findings == []
    for name, (row,) in rows.items():
        (found,) = entered.rows[name]
        typed = {c: text for c, text in row.items() if c not in UNTYPED}
        assert {c: found.cells[c] for c in typed} == typed
        assert found.made == set()


def base_rows() -> Rows:
    return {
        table: [{c: text or None for c, text in row.items()} for row in read_table(BASE, table)]
        for table in TABLES
    }


def test_a_whole_reference_is_read_again(tmp_path: Path) -> None:
    rows = base_rows()
    write_template(tmp_path / "entry.xlsx", rows=rows)
    entered = read(tmp_path / "entry.xlsx")
    assert entered.findings == []
    for table, expected in rows.items():
        found = [{c: row.cells[c] for c in expected[0]} for row in entered.rows[table]]
        entry = {"entered_by": "Imre Solvang", "entered_on": "2025-03-14"}
        nobody = {"checked_by": None, "checked_on": None}
        assert found == [{**row, **entry, **nobody} for row in expected]


def test_what_rows_share_stands_once_in_a_page_header(tmp_path: Path) -> None:
    rows = base_rows()["procedure_step"]
    write_template(tmp_path / "entry.xlsx", rows={"procedure_step": rows})
    sheet = openpyxl.load_workbook(tmp_path / "entry.xlsx")["procedure_step"]
    phases = list(dict.fromkeys((row["eligibility_id"], row["phase"]) for row in rows))
    sources = [cell.value for cell in sheet["A"][1:] if cell.value]
    assert len(sources) == len(phases)
    assert sheet.max_row == 1 + len(rows) + len(phases)


def test_no_text_becomes_anything_else(tmp_path: Path) -> None:
    texts = ["=1+1", "#N/A", "+1", "-1", "@x", "_x0041_", "'quoted", "1e5", "2021-01-01", "TRUE"]
    rows = [{"source_id": f"s-{n}", "title": text} for n, text in enumerate(texts)]
    write_template(tmp_path / "entry.xlsx", rows={"source": rows})
    found = read(tmp_path / "entry.xlsx").rows["source"]
    assert [row.cells["title"] for row in found] == texts


def test_a_statement_is_copied_by_copying_its_rows(tmp_path: Path) -> None:
    steps = [row for row in base_rows()["procedure_step"] if row["eligibility_id"] == "key"]
    copied = [{**row, "procedure_step_id": None, "eligibility_id": "key-2022"} for row in steps]
    write_template(tmp_path / "entry.xlsx", rows={"procedure_step": [*steps, *copied]})
    entered = read(tmp_path / "entry.xlsx")
    assert entered.findings == []
    ids = [row.cells["procedure_step_id"] for row in entered.rows["procedure_step"]]
    assert len(set(ids)) == len(ids) == 2 * len(steps)
    assert all(str(key).startswith("key-2022-") for key in ids[len(steps) :])


# ------------------------------------------------------------------ refusals


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"known": {"sauce": []}}, "no table 'sauce'; did you mean source?"),
        ({"known": {"source": ["ok", "a\x07"]}}, "cannot be kept in a cell"),
        ({"rows": {"sauce": []}}, "no table 'sauce'"),
        ({"rows": {"source": [{"titel": "x"}]}}, "no column 'titel'; did you mean title?"),
        ({"rows": {"source": [{"title": "a\x07"}]}}, "cannot be kept in a cell"),
        ({"rows": {"source": [{"title": "a\ufffe"}]}}, "cannot be kept in a cell"),
        ({"rows": {"source": [{"title": "a\ud800"}]}}, "cannot be kept in a cell"),
        ({"rows": {"source": [{"title": "x" * 32_768}]}}, "cannot be kept in a cell"),
        ({"rows": {"source": [{"title": None}]}}, "has no cell outside the page header"),
        ({"rows": {"towing_limit": [{"source_id": "s"}]}}, "has no cell outside the page header"),
    ],
)
def test_what_has_no_place_is_refused(given: dict[str, Any], message: str, tmp_path: Path) -> None:
    path = tmp_path / "entry.xlsx"
    path.write_text("what was there")
    with pytest.raises(UsageError, match=re.escape(message)):
        write_template(path, **given)
    assert path.read_text() == "what was there"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("name", ["entry.xls", "entry", "no/entry.xlsx", "."])
def test_where_no_workbook_can_be_written(name: str, tmp_path: Path) -> None:
    with pytest.raises(UsageError):
        write_template(tmp_path / name)
    assert list(tmp_path.iterdir()) == []


def test_a_template_as_it_comes_holds_nothing(tmp_path: Path) -> None:
    entered = read(typed_workbook(tmp_path, []))
    assert (entered.rows, entered.findings) == ({}, [])


@pytest.mark.parametrize("arguments", [["--help"], ["check", "--help"]])
def test_the_command_line_does_not_import_openpyxl(arguments: list[str]) -> None:
    program = (
        "import sys; from towdb.cli import _status, app\n"
        f"sys.argv[1:] = {arguments!r}\n"
        "_status(app)\n"
        "sys.exit('imported openpyxl' if 'openpyxl' in sys.modules else 0)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, cwd=ROOT, check=False
    )
    assert done.returncode == 0, done.stderr


def test_the_record_does_not_import_openpyxl_before_it_is_used() -> None:
    program = (
        "import sys, towdb.record.workbook, towdb.record.workbook.template\n"
        "sys.exit('imported openpyxl' if 'openpyxl' in sys.modules else 0)\n"
    )
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, check=False)
    assert done.returncode == 0
