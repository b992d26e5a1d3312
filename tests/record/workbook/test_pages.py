"""Eight invented pages, typed as a person would, become a reference that passes every check."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from tests.helpers.eight_pages import PAGES
from tests.helpers.folders import write_table
from tests.helpers.typed_workbooks import (
    as_a_spreadsheet_would,
    bare_book,
    read,
    type_rows,
    typed_workbook,
)
from towdb import check
from towdb.contract.model import contract
from towdb.record.workbook.read import Entered
from towdb.record.workbook.template import write_template

ALL = [row for page in PAGES.values() for row in page.rows()]
MOST_CELLS = 2_000


@pytest.fixture(scope="module")
def entered(tmp_path_factory: pytest.TempPathFactory) -> Entered:
    return read(typed_workbook(tmp_path_factory.mktemp("pages"), ALL))


def as_folder(entered: Entered, folder: Path) -> Path:
    folder.mkdir()
    for table, rows in entered.rows.items():
        cells = [{c: text or "" for c, text in row.cells.items()} for row in rows]
        write_table(folder, table, cells)
    return folder


def test_eight_pages_make_a_reference_without_errors(entered: Entered, tmp_path: Path) -> None:
    assert entered.findings == []
    found = check(as_folder(entered, tmp_path / "reference")).found
    assert [finding for finding in found if finding.severity == "error"] == []
    # Nobody has checked the rows, and no file is attached; there is nothing else to report.
    assert {f.rule for f in found} <= {
        "rows_are_checked",
        "sources_have_a_file_hash",
        "flat_towed_groups_have_a_checked_gvwr",
    }


def test_eight_pages_take_few_cells(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_template(tmp_path / "entry.xlsx")
    book = openpyxl.load_workbook(tmp_path / "entry.xlsx")
    typed = type_rows(book, ALL)
    with capsys.disabled():
        print(f" {typed:,} typed cells for {len(PAGES)} pages;", end="")
    assert typed <= MOST_CELLS


@pytest.mark.parametrize("name", PAGES)
def test_quotes_stand_on_the_page(name: str) -> None:
    page = " ".join(PAGES[name].text.split())
    quotes = [row["quote"] for _, row in PAGES[name].rows() if "quote" in row]
    assert quotes
    for quote in quotes:
        assert all(fragment in page for fragment in quote.split(" … ")), quote


def test_every_row_has_its_page_and_its_person(entered: Entered) -> None:
    for table, rows in entered.rows.items():
        assert rows, table
        for row in rows:
            assert list(row.cells) == list(contract().tables[table].columns)
            assert row.cells["entered_by"] == "Imre Solvang"
            assert row.cells["entered_on"] == "2025-03-14"
            assert row.cells["checked_by"] is row.cells["checked_on"] is None
            if table != "source":
                assert row.cells["locator"]
                assert row.cells["basis"] == "cited"


def test_short_forms_are_stored_as_words(entered: Entered) -> None:
    groups = {row.cells["vehicle_group_id"]: row.cells for row in entered.rows["vehicle_group"]}
    assert groups["sallow-2021-manual"]["drivetrain"] == "front_wheel_drive"
    assert groups["sallow-2021-manual"]["transmission"] == "manual"
    assert groups["teal-others"]["transmission"] == "not planetary_automatic"
    assert groups["plover-gas"]["parking_brake"] == "electric"
    properties = {r.cells["vehicle_property_id"]: r.cells for r in entered.rows["vehicle_property"]}
    assert properties["sallow-2021-gvwr"]["unit"] == "lb"
    assert properties["plover-gas-brake-assist-without-engine"]["word"] == "no"
    assert properties["teal-fwd-4at-rear-lamps"]["word"] == "combined_turn"


def test_steps_are_numbered_and_named_in_place(entered: Entered) -> None:
    steps = [
        (row.cells["step_no"], row.cells["procedure_step_id"])
        for row in entered.rows["procedure_step"]
        if row.cells["eligibility_id"] == "plover-gas-4down" and row.cells["phase"] == "after"
    ]
    assert steps == [
        ("1", "plover-gas-4down-after-9-battery"),
        ("2", "plover-gas-4down-after-10-parking-brake"),
        ("3", "plover-gas-4down-after-11-ignition"),
        ("4", "plover-gas-4down-after-11-brake-pedal"),
        ("5", "plover-gas-4down-after-11-transfer-case"),
        ("6", "plover-gas-4down-after-electronic-mode"),
    ]


def test_numbers_dates_and_truths_are_read_like_text(entered: Entered, tmp_path: Path) -> None:
    bare_book(as_a_spreadsheet_would(ALL)).save(tmp_path / "entry.xlsx")
    again = read(tmp_path / "entry.xlsx")
    assert again.findings == []
    assert again.rows == entered.rows


def test_each_page_can_be_typed_alone(entered: Entered, tmp_path: Path) -> None:
    rows: dict[str, list[dict[str, str | None]]] = {}
    for number, page in enumerate(PAGES.values()):
        bare_book(page.rows()).save(tmp_path / f"{number}.xlsx")
        alone = read(tmp_path / f"{number}.xlsx")
        assert alone.findings == []
        for table, found in alone.rows.items():
            rows.setdefault(table, []).extend(row.cells for row in found)
    assert rows == {table: [row.cells for row in found] for table, found in entered.rows.items()}


def test_a_row_put_in_between_renames_no_other(entered: Entered, tmp_path: Path) -> None:
    extra = {
        "printed_no": "2",
        "kind": "verify",
        "component": "lamps",
        "action": "check",
        "quote": "Couple the vehicle.",
    }
    place = next(n for n, (_, row) in enumerate(ALL) if row.get("quote") == "Couple the vehicle.")
    longer = [*ALL[:place], ("procedure_step", extra), *ALL[place:]]
    bare_book(longer).save(tmp_path / "longer.xlsx")
    again = read(tmp_path / "longer.xlsx")
    before = [row.cells["procedure_step_id"] for row in entered.rows["procedure_step"]]
    after = [row.cells["procedure_step_id"] for row in again.rows["procedure_step"]]
    after.remove("sallow-manual-before-2-lamps")
    assert after == before
    assert again.findings == []
