"""Inventories as workbooks: the same cars as in CSV, and what a spreadsheet does to cells."""

from __future__ import annotations

import csv
import datetime
import re
import sys
import zipfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import openpyxl
import pandas as pd
import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.command import Command
from tests.intake.test_files import loaded as typed_and_rows
from towdb.errors import UsageError

SHORTLIST = DEMO / "shortlist.csv"
COACH = DEMO / "coach.toml"
ON = "2026-01-31"
Rows = Sequence[Any]


def write_book(path: Path, **sheets: Rows) -> Path:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


def changed(path: Path, edit: Callable[[str, bytes], bytes]) -> Path:
    """A workbook whose parts were edited behind the back of openpyxl."""
    with zipfile.ZipFile(path) as archive:
        parts = {name: edit(name, archive.read(name)) for name in archive.namelist()}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
    return path


def of_sheet(old: bytes, new: bytes) -> Callable[[str, bytes], bytes]:
    def edit(name: str, data: bytes) -> bytes:
        if not name.startswith("xl/worksheets/sheet"):
            return data
        assert old in data
        return data.replace(old, new)

    return edit


def calculated(path: Path, new: bytes = b"<v>4400</v>") -> Path:
    """A workbook as a spreadsheet saves it: with results, and not to be calculated again."""

    def edit(name: str, data: bytes) -> bytes:
        if name == "xl/workbook.xml":
            assert b' fullCalcOnLoad="1"' in data
            return data.replace(b' fullCalcOnLoad="1"', b"")
        return re.sub(rb"<v ?/>|<v></v>", new, data) if "worksheets" in name else data

    return changed(path, edit)


def loaded(source: Any, **more: Any) -> tuple[list[dict[str, str]], list[str]]:
    """The cells that are not empty, row by row, and what a person should know."""
    typed, rows = typed_and_rows(source, **more)
    return rows, typed.notes


def refused(source: Any, **more: Any) -> str:
    with pytest.raises(UsageError) as error:
        loaded(source, **more)
    return str(error.value)


def findings(source: Any, **more: Any) -> list[tuple[Any, ...]]:
    with towdb.check_inventory(source, **more) as checked:
        return [(f.file, f.line, f.column, f.value, f.message) for f in checked.found()]


# ---------------------------------------------------------------- the same cars


@pytest.fixture(scope="module")
def shortlist(tmp_path_factory: pytest.TempPathFactory) -> Path:
    with SHORTLIST.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.reader(stream))
    return write_book(tmp_path_factory.mktemp("book") / "cars.xlsx", Stock=rows, Empty=[])


def test_a_workbook_gives_the_answers_of_its_csv(shortlist: Path, demo_release: Path) -> None:
    asked: dict[str, Any] = {"coach": COACH, "reference": demo_release, "on": ON}
    with towdb.screen(SHORTLIST, **asked) as ours, towdb.screen(shortlist, **asked) as theirs:
        assert ours.records("verdict") == theirs.records("verdict") != []
        assert ours.summary(["make"]).document() == theirs.summary(["make"]).document()
        assert theirs.notes == ()
    assert [f[1:] for f in findings(SHORTLIST)] == [f[1:] for f in findings(shortlist)]
    for verb in (towdb.weights, towdb.gaps):
        asked = {"reference": demo_release, "on": ON}
        assert verb(SHORTLIST, **asked).document() == verb(shortlist, **asked).document()


def test_the_commands_take_workbooks(type_in: Command, shortlist: Path, demo_release: Path) -> None:
    said = type_in("inventory", "check", shortlist)
    assert (said.status, said.err) == (0, "")
    assert f"{len(SHORTLIST.read_text('utf-8').splitlines()) - 1:,} row(s)" in said.out
    screen = ("--coach", COACH, "--reference", demo_release, "--on", ON, "--format", "csv")
    assert type_in("screen", shortlist, *screen).out == type_in("screen", SHORTLIST, *screen).out
    named = f"{shortlist}#stock"
    assert type_in("screen", named, *screen).out == type_in("screen", SHORTLIST, *screen).out


def test_workbooks_among_other_files(tmp_path: Path) -> None:
    write_book(tmp_path / "b.xlsx", Cars=[["candidate", "lot"], ["b", "east"]])
    (tmp_path / "a.csv").write_text("candidate\na\n", "utf-8")
    (tmp_path / "~$b.xlsx").write_bytes(b"of an open workbook")
    rows, _ = loaded(tmp_path)
    assert rows == [{"candidate": "a"}, {"candidate": "b", "lot": "east"}]
    assert loaded(tmp_path / "*.[xy]lsx")[0] == rows[1:]
    folder = tmp_path / "stock" / "model_year=2021"
    folder.mkdir(parents=True)
    write_book(folder / "c.xlsx", Cars=[["candidate"], ["c"]])
    assert loaded(tmp_path / "stock")[0] == [{"candidate": "c", "model_year": "2021"}]


def test_places_and_empty_rows(tmp_path: Path) -> None:
    rows = [[], ["candidate", None, "gvwr"], [], ["a", None, "x"], ["", "", ""], [None, None, "y"]]
    path = write_book(tmp_path / "cars.xlsx", Cars=rows)
    assert [fault[:4] for fault in findings(path, mapping={})] == [
        ("cars.xlsx", 4, "gvwr", "x"), ("cars.xlsx", 6, "gvwr", "y"),
    ]  # fmt: skip
    assert "cars.xlsx, line 2: unknown column ''" in refused(path)


def test_cells_beside_the_header_are_not_lost(tmp_path: Path) -> None:
    path = write_book(tmp_path / "cars.xlsx", Cars=[["candidate"], ["a"], ["b", None, "4400 lb"]])
    assert refused(path).startswith("cars.xlsx, line 3: 3 cells where the header has 1;")


# ---------------------------------------------------------------- what a cell holds


MOMENT = datetime.datetime(2021, 3, 14)


@pytest.mark.parametrize(
    ("column", "value", "shown_as", "expected"),
    [
        ("gvwr", "4,400 lb", "General", "4,400 lb"),
        ("gvwr", 4400, '#,##0 "lb"', "4400 lb"),
        ("gvwr", 1995.8, "0.00\\ \\k\\g", "1995.8 kg"),
        ("gvwr", 1995.8, "0 kg", "1995.8 kg"),
        ("gvwr", 4400, '[>9999]0.0," k";0" lb"', None),
        ("gvwr", 4400, '#,##0.0," k"', None),
        ("gvwr", 0.44, "0%", None),
        ("as_weighed", 1995.8000000000002, "General", "1995.8"),
        ("model_year", 2021, "General", "2021"),
        ("model_year", 2021.0, "0.00", "2021"),
        ("model_year", datetime.datetime(2021, 1, 1), "yyyy", "2021"),
        ("model_year", MOMENT, "yyyy\\-mm\\-dd", None),
        ("built_on", MOMENT, "m/d/yyyy", "2021-03-14"),
        # Nobody typed a day: whoever types March 2021 gets the first of it.
        ("built_on", datetime.datetime(2021, 3, 1), "mmm\\-yy", "2021-03"),
        ("built_on", datetime.datetime(2021, 1, 1), "yyyy", None),
        ("listed_on", MOMENT, "[$-409]d\\-mmm\\-yyyy;@", "2021-03-14"),
        ("listed_on", MOMENT.replace(hour=9), "m/d/yy", "2021-03-14"),
        ("listed_on", MOMENT.replace(hour=9), "m/d/yy h:mm", None),
        ("listed_on", datetime.time(9, 30), "h:mm", None),
        ("options_complete", True, "General", "yes"),
        ("options_complete", False, "General", "no"),
        ("trim", True, "General", None),
        ("trim", datetime.datetime(2021, 3, 2), "d\\-mmm", None),
        ("trim", "#N/A", "General", None),
        ("gvwr", "#DIV/0!", "General", None),
        ("model", 500, "General", "500"),
        ("model", 7, "000", "007"),
        ("engine", 2.0, "0.0", "2.0"),
        ("engine", 2.5, "General", "2.5"),
        ("engine", 2.5, "0", None),
        ("engine", 2.5, "0.00 \"l\"", None),
        ("lot", 1234, "#,##0", "1234"),
        ("lot", 12345678901234567, "0", None),
        ("price", 21900.5, '[$€-407]\\ #,##0.00', "€21900.5"),
        ("price", 21900, '_("$"* #,##0.00_);_("$"* \\(#,##0.00\\)', "$21900"),
        ("make", "a_x000D_b", "General", "a\rb"),
    ],
)  # fmt: skip
def test_what_was_typed(
    tmp_path: Path, column: str, value: Any, shown_as: str, expected: str | None
) -> None:
    path = write_book(tmp_path / "cars.xlsx", Cars=[["candidate", column], ["a", value]])
    book = openpyxl.load_workbook(path)
    book.active["B2"].number_format = shown_as
    book.save(path)
    if expected is not None:
        assert loaded(path)[0] == [{"candidate": "a", column: expected}]
        return
    # Whatever it shows, such a cell is an error, once; and what shows it is not read as a text.
    ((file, line, name, _, message),) = findings(path)
    assert (file, line, name) == ("cars.xlsx", 2, column)
    assert message
    # A column that is left aside is not looked at.
    theirs = write_book(tmp_path / "theirs.xlsx", Cars=[["candidate", "x"], ["a", value]])
    assert findings(theirs, mapping={}) == []


def test_a_cell_that_is_not_read_never_reaches_a_verdict(
    tmp_path: Path, demo_release: Path
) -> None:
    # As a text, TRUE would be a trim that no group names: `not sport` would take it.
    rows = [["candidate", "trim", "gvwr"], ["a", True, "4400 lb"], ["b", "base", "4400 lb"]]
    path = write_book(tmp_path / "cars.xlsx", Cars=rows)
    asked: dict[str, Any] = {"coach": COACH, "reference": demo_release, "on": ON}
    wrong = "trim: 'TRUE': the spreadsheet turned it into TRUE or FALSE; format the cell as text"
    with pytest.raises(UsageError, match=f"cars.xlsx, line 2, {wrong}"):
        towdb.screen(path, **asked)
    with pytest.raises(UsageError, match=wrong):
        towdb.weights(path)
    aside = tmp_path / "aside.csv"
    with towdb.screen(path, set_aside=aside, **asked) as screening:
        assert [row["candidate"] for row in screening.records("verdict")] == ["b"]
    kept = pd.read_csv(aside, dtype="str")
    assert kept[["candidate", "trim", "line"]].values.tolist() == [["a", "TRUE", "2"]]
    assert kept["reason"][0].startswith("trim: the spreadsheet turned it into TRUE or FALSE; ")


def test_left_empty_is_a_cell_that_is_not_read_only_where_no_verdict_reads_it(
    tmp_path: Path, demo_release: Path
) -> None:
    asked: dict[str, Any] = {"coach": COACH, "reference": demo_release, "on": ON}
    header = ["candidate", "lot", "gvwr", "trim"]
    path = write_book(tmp_path / "lots.xlsx", Cars=[header, ["a", True, "4400 lb", "Trail"]])
    with pytest.raises(UsageError, match=r"lots\.xlsx, line 2, lot: 'TRUE'"):
        towdb.screen(path, **asked)
    with towdb.screen(path, leave_unreadable=True, **asked) as screening:
        assert screening.read is not None
        assert screening.read.left_empty == {"lot": 1}
        assert len(screening.records("verdict")) == 1
    # A trim or a weight that nobody can read is not one that was left out.
    for column in ("trim", "gvwr"):
        cells = ["a", True, "4400 lb", "Trail"]
        cells[header.index(column)] = True
        path = write_book(tmp_path / f"{column}.xlsx", Cars=[header, cells])
        with pytest.raises(UsageError, match=f"{column}: 'TRUE'") as refused:
            towdb.screen(path, leave_unreadable=True, **asked)
        assert "lot" not in str(refused.value)
        aside = tmp_path / f"{column}.csv"
        with towdb.screen(path, leave_unreadable=True, set_aside=aside, **asked) as screening:
            assert screening.records("verdict") == []


# ---------------------------------------------------------------- formulas


def test_formulas(tmp_path: Path) -> None:
    rows = [["candidate", "gvwr", "load"], ["a", "4400 lb", "=1+1"], ["b", "=C2*2", ""]]
    unsaved = "a formula whose result is not in the file"
    # Left empty, a load would be none at all.
    path = write_book(tmp_path / "cars.xlsx", Cars=rows)
    assert [fault[1:] for fault in findings(path)] == [
        (2, "load", "(formula)", unsaved), (3, "gvwr", "(formula)", unsaved),
    ]  # fmt: skip
    calculated(path)
    read, _ = loaded(path)
    assert read == [
        {"candidate": "a", "gvwr": "4400 lb", "load": "4400"}, {"candidate": "b", "gvwr": "4400"},
    ]  # fmt: skip
    # Programs that never calculate write 0 for each, and that it is to be calculated.
    path = write_book(tmp_path / "zeros.xlsx", Cars=rows)
    changed(path, lambda _, data: re.sub(rb"</f><v ?/?>(</v>)?", b"</f><v>0</v>", data))
    assert [fault[4] for fault in findings(path)] == [unsaved, unsaved]


def test_a_formula_whose_result_is_empty(tmp_path: Path) -> None:
    path = write_book(tmp_path / "cars.xlsx", Cars=[["candidate", "lot"], ["a", '=IF(1,"")']])
    changed(path, of_sheet(b'<c r="B2">', b'<c r="B2" t="str">'))
    calculated(path, new=b"<v></v>")
    assert loaded(path)[0] == [{"candidate": "a"}]


# ---------------------------------------------------------------- sheets


def test_which_of_several_sheets_is_not_guessed(tmp_path: Path) -> None:
    path = write_book(
        tmp_path / "cars.xlsx",
        May=[["candidate"], ["m"]], June=[["candidate"], ["j"]], Empty=[],
    )  # fmt: skip
    assert refused(path) == (
        "cars.xlsx: the workbook has 2 sheets: May, June; name one, as cars.xlsx#May"
    )
    assert loaded(f"{path}#June")[0] == [{"candidate": "j"}]
    assert loaded(f"{tmp_path}/c*.xlsx#may")[0] == [{"candidate": "m"}]
    assert refused(f"{path}#Mai") == (
        "cars.xlsx#Mai: the workbook has no sheet of this name; did you mean May?; it has"
        " May, June, Empty"
    )
    assert refused(f"{path}#Empty") == "cars.xlsx#Empty: is empty; write the column names first"
    book = openpyxl.load_workbook(path)
    book["June"].sheet_state = "hidden"
    book.save(path)
    rows, notes = loaded(path)
    assert (rows, notes) == ([{"candidate": "m"}], ["cars.xlsx: hidden sheets were not read: June"])
    assert loaded(f"{path}#June")[0] == [{"candidate": "j"}]


def test_no_answer_is_written_over_the_workbook(type_in: Command, tmp_path: Path) -> None:
    write_book(tmp_path / "cars.xlsx", May=[["candidate"], ["m"]])
    line = type_in.refused(
        "inventory", "check", "cars.xlsx#May", "-o", "cars.xlsx", "--format", "csv"
    )
    assert "cars.xlsx" in line
    assert loaded(tmp_path / "cars.xlsx")[0] == [{"candidate": "m"}]
    (tmp_path / "link.csv").symlink_to("cars.xlsx")
    line = type_in.refused("inventory", "check", "cars.xlsx#May", "-o", "link.csv")
    assert line == "towdb: link.csv: is the inventory itself; name another file"


def test_merged_cells_are_refused(tmp_path: Path) -> None:
    # All but the first of them are empty, and an empty load is none.
    rows = [["candidate", "load"], ["a", "300 lb"], ["b", None], ["c", None]]
    path = write_book(tmp_path / "cars.xlsx", Cars=rows)
    book = openpyxl.load_workbook(path)
    book.active.merge_cells("B2:B4")
    book.save(path)
    assert refused(path) == (
        "cars.xlsx: cells are merged: B2:B4; all but the first of them are empty: unmerge them"
        " and fill each cell"
    )


def test_hidden_rows_are_read_and_named(tmp_path: Path) -> None:
    rows = [["candidate", "lot", "gvwr"], ["a", "x", "1"], ["b", "x", ""], ["c", "y", ""]]
    path = write_book(tmp_path / "cars.xlsx", Cars=rows)
    book = openpyxl.load_workbook(path)
    for row in (2, 3, 9):
        book.active.row_dimensions[row].hidden = True
    book.active.column_dimensions["B"].hidden = True
    book.save(path)
    read, notes = loaded(path)
    assert len(read) == 3
    assert notes == [
        "cars.xlsx: 2 row(s) and 1 column(s) hidden in the workbook, read like the others"
    ]


def test_a_sheet_that_says_less_of_itself_than_it_holds(tmp_path: Path) -> None:
    path = write_book(tmp_path / "cars.xlsx", Cars=[["candidate", "lot"], ["a", "x"], ["b", "y"]])
    changed(path, of_sheet(b'<dimension ref="A1:B3"', b'<dimension ref="A1:A2"'))
    assert [row["lot"] for row in loaded(path)[0]] == ["x", "y"]


def test_many_rows(tmp_path: Path) -> None:
    from towdb.intake.load import _BATCH

    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("Cars")
    sheet.append(["candidate", "gvwr"])
    for number in range(_BATCH + 10):
        sheet.append([f"c{number}", True if number % _BATCH == 5 else "4400 lb"])
    book.save(tmp_path / "cars.xlsx")
    with towdb.check_inventory(tmp_path / "cars.xlsx") as checked:
        assert checked.rows == _BATCH + 10
        assert [finding.line for finding in checked.found()] == [7, _BATCH + 7]


# ---------------------------------------------------------------- no workbook


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "is empty; write the column names first"),
        (b"candidate\na\n", "is damaged, or not a workbook; open it in a spreadsheet"),
        (b"PK\x03\x04" + b"x" * 100, "is damaged, or not a workbook; open it"),
        (bytes.fromhex("d0cf11e0a1b11ae1") + b"x" * 99, "an older workbook, or one with a pass"),
    ],
)
def test_what_is_no_workbook(tmp_path: Path, data: bytes, says: str) -> None:
    path = tmp_path / "cars.xlsx"
    path.write_bytes(data)
    assert refused(path).startswith(f"cars.xlsx: {says}")


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        # openpyxl drops such rows and cells without a word.
        (b'<row r="3"', b'<row r="2"', "its rows are out of order at row 2"),
        (b'r="B3"', b'r="A3"', "its cells are out of order in row 3"),
        (b'<row r="3"', b'<row r="9999999"', "its rows are out of order at row 9999999"),
        (b'r="B3"', b'r="ZZZ3"', "it has more than 1,000 columns"),
        (b'r="B3"', b'r="?"', "it has a cell at '?'"),
        (b"</sheetData>", b"", "its XML is damaged"),
        (b"<worksheet", b"<!DOCTYPE a><worksheet", "it declares entities, which no spreadsheet"),
    ],
)
def test_a_sheet_that_no_spreadsheet_wrote(
    tmp_path: Path, old: bytes, new: bytes, says: str
) -> None:
    path = write_book(tmp_path / "cars.xlsx", Cars=[["candidate", "lot"], ["a", "x"], ["b", "y"]])
    changed(path, of_sheet(old, new))
    assert refused(path).startswith(f"cars.xlsx: not readable as a workbook: {says}")


@pytest.mark.parametrize("part", ["xl/workbook.xml", "xl/styles.xml"])
def test_a_damaged_part(tmp_path: Path, part: str) -> None:
    path = write_book(tmp_path / "cars.xlsx", Cars=[["candidate", "lot"], ["a", "x"]])
    changed(path, lambda name, data: data[: len(data) // 2] if name == part else data)
    assert refused(path).startswith("cars.xlsx: is damaged, or not a workbook; open it")


def with_shared_strings(path: Path) -> Path:
    """A workbook as spreadsheets write it: each text once, in a part of its own."""
    texts: list[bytes] = []

    def shared(match: re.Match[bytes]) -> bytes:
        texts.append(match[1])
        return b't="s"><v>%d</v>' % (len(texts) - 1)

    def edit(name: str, data: bytes) -> bytes:
        if name.startswith("xl/worksheets/sheet"):
            return re.sub(rb't="inlineStr"><is>(.*?)</is>', shared, data)
        if name == "[Content_Types].xml":
            return data.replace(
                b"</Types>",
                b'<Override PartName="/xl/sharedStrings.xml" ContentType="application/vnd.'
                b'openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"/></Types>',
            )
        return data

    changed(path, edit)
    assert texts
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr(
            "xl/sharedStrings.xml",
            b'<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
            + b"".join(b"<si>" + text + b"</si>" for text in texts)
            + b"</sst>",
        )
    return path


def test_texts_in_a_part_of_their_own(tmp_path: Path) -> None:
    path = write_book(tmp_path / "cars.xlsx", Cars=[["candidate", "lot"], ["a", "east"]])
    with_shared_strings(path)
    assert loaded(path)[0] == [{"candidate": "a", "lot": "east"}]
    changed(
        path,
        lambda name, data: data.replace(b"<si><t>east</t></si>", b"") if "Str" in name else data,
    )
    assert refused(path).startswith("cars.xlsx: is damaged, or not a workbook; open it")


def test_a_workbook_that_unpacks_to_more_than_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from towdb.intake import xlsx as workbook

    path = write_book(tmp_path / "cars.xlsx", Cars=[["candidate"], ["a"]])
    monkeypatch.setattr(workbook, "MAX_UNPACKED", 1000)
    assert refused(path).startswith("cars.xlsx: unpacks to more than 0 MB; save it as CSV")


def test_without_openpyxl(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write_book(tmp_path / "cars.xlsx", Cars=[["candidate"], ["a"]])
    monkeypatch.setitem(sys.modules, "openpyxl", None)
    assert refused(path) == (
        "cars.xlsx: workbooks need openpyxl; install towdb[xlsx], or save it as CSV"
    )


def test_a_workbook_under_another_name(tmp_path: Path) -> None:
    path = write_book(tmp_path / "cars.xlsx", Cars=[["candidate"], ["a"]]).rename(
        tmp_path / "cars.csv"
    )
    assert refused(path).endswith("or give an inventory a name that ends in .xlsx")
