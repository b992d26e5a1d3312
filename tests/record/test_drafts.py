"""Drafts of next year's rows, which do not enter by themselves."""

from __future__ import annotations

import itertools
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.helpers.shop import (
    IMRE,
    base_rows,
    errors,
    fill,
    keys,
    row_of,
    typed,
)
from tests.helpers.typed_workbooks import column_of, read
from towdb.contract.model import contract
from towdb.errors import UsageError
from towdb.record.drafts import CITATION, carry_forward
from towdb.record.entry import import_path, import_rows
from towdb.record.store.record import Record
from towdb.record.store.tables import ENTRY


def sheet_rows(path: Path, table: str) -> list[dict[str, Any]]:
    """The rows typed on a sheet of a workbook: the cells below a key."""
    sheet = openpyxl.load_workbook(path)[table]
    names = [cell.value for cell in sheet[1]]
    at = names.index(contract().tables[table].key)
    known = {f"{key}-2022" for key in keys(base_rows(), table)}
    return [
        dict(zip(names, row, strict=True))
        for row in sheet.iter_rows(min_row=2, values_only=True)
        if row[at] in known
    ]


def test_drafts_have_no_citation_and_do_not_enter_as_they_are(shop: Record, tmp_path: Path) -> None:
    before = shop.rows()
    path = tmp_path / "pika-2022.xlsx"
    drafted = carry_forward(shop, "quillon", " PIKA", 2021, path)
    assert shop.rows() == before
    assert drafted["eligibility"] >= 3
    for table, count in drafted.items():
        rows = sheet_rows(path, table)
        assert len(rows) == count
        for row in rows:
            assert [row.get(c) for c in (*CITATION, *ENTRY)] == [None] * 9
            years = {str(row[c]) for c in ("model_year_from", "model_year_to") if c in row}
            assert years <= {"2022"}
    result = import_path(shop, path, who=IMRE)
    assert not result.ok
    # Every drafted row lacks its page; an empty basis is `cited`, as in the notes of a workbook.
    for column in ("source_id", "locator", "quote"):
        lacking = {(table, line) for _, line, table, c, _ in errors(result) if c == column}
        assert len(lacking) == sum(drafted.values()), column
    assert shop.rows() == before
    assert shop.last_change() == 1


def test_drafts_point_at_each_other(shop: Record, tmp_path: Path) -> None:
    path = tmp_path / "pika-2022.xlsx"
    carry_forward(shop, "Quillon", "Pika", 2021, path)
    statements = {row["eligibility_id"]: row for row in sheet_rows(path, "eligibility")}
    assert statements["button-2022"]["same_steps_as"] == "key-2022"
    assert statements["button-2022"]["vehicle_group_id"] == "pika-button-2022"
    assert statements["late-2022"]["overrides"] == "key-2022"
    (fuse,) = sheet_rows(path, "fuse_pull")
    assert fuse["procedure_step_id"] == "before-3-2022"
    assert {row["eligibility_id"] for row in sheet_rows(path, "procedure_step")} == {"key-2022"}
    # The figures are still there, to be compared with the new page.
    speed = next(r for r in sheet_rows(path, "towing_limit")
                 if r["towing_limit_id"] == "key-speed-2022")  # fmt: skip
    assert (str(speed["value"]), speed["unit"]) == ("65", "mph")


def test_drafts_keep_phase_and_step_order(shop: Record, tmp_path: Path) -> None:
    # Twelve steps before towing, whose ids as text run 1, 10, 11, 12, 2, 3 …
    step = row_of(base_rows(), "procedure_step", "before-1")
    twelve = {f"before-{n}": {"step_no": str(n), "printed_no": str(n)} for n in range(5, 13)}
    fill(shop, {"procedure_step": [
        {**step, "procedure_step_id": key, **cells} for key, cells in twelve.items()
    ]})  # fmt: skip
    path = tmp_path / "pika-2022.xlsx"
    carry_forward(shop, "Quillon", "Pika", 2021, path)
    this_year = {
        f"{row['procedure_step_id']}-2022": (row["phase"], row["step_no"], row["printed_no"])
        for row in shop.rows()["procedure_step"]
    }
    # Read as an import reads it, once the pages are typed: numbered as this year's page is.
    entered = read(path).rows["procedure_step"]
    found = {
        str(row.cells["procedure_step_id"]): tuple(
            row.cells[c] for c in ("phase", "step_no", "printed_no")
        )
        for row in entered
    }
    assert found == this_year
    # And top to bottom as on the page, which is what the person compares.
    phases = ["once", "before", "en_route", "after"]
    placed = [(phases.index(phase or ""), int(number or 0)) for phase, number, _ in found.values()]
    assert placed == sorted(placed)


def test_drafts_of_two_statements_are_not_mingled(shop: Record, tmp_path: Path) -> None:
    step = row_of(base_rows(), "procedure_step", "before-1")
    own = [{"procedure_step_id": f"button-{n}", "step_no": str(n), "eligibility_id": "key-lifted"}
           for n in (1, 2)]  # fmt: skip
    fill(shop, {"procedure_step": [{**step, **cells} for cells in own]})
    path = tmp_path / "pika-2022.xlsx"
    carry_forward(shop, "Quillon", "Pika", 2021, path)
    whose = [row.cells["eligibility_id"] for row in read(path).rows["procedure_step"]]
    assert [key for key, _ in itertools.groupby(whose)] == ["key-2022", "key-lifted-2022"]


def test_a_draft_whose_page_was_read_enters(shop: Record, tmp_path: Path) -> None:
    path = tmp_path / "vole-2023.xlsx"
    assert carry_forward(shop, "Quillon", "Vole", 2022, path) == {
        "vehicle_group": 1, "eligibility": 1, "towing_limit": 0, "procedure_step": 0,
        "fuse_pull": 0, "vehicle_property": 1,
    }  # fmt: skip
    book = openpyxl.load_workbook(path)
    cited = {"source_id": "vole-om-2023", "locator": "p. 212", "quote": "Towing", "basis": "cited"}
    for table, key in (("vehicle_group", "vole-2023"), ("eligibility", "vole-2023"),
                       ("vehicle_property", "vole-gvwr-2023")):  # fmt: skip
        sheet = book[table]
        column = column_of(sheet, f"{table}_id")
        (line,) = [n for n in range(2, sheet.max_row + 1) if sheet.cell(n, column).value == key]
        for name, cell in cited.items():
            sheet.cell(line, column_of(sheet, name)).value = cell
    book.save(path)
    source = row_of(base_rows(), "source", "pika-om") | {
        "source_id": "vole-om-2023", "model_year_from": "2023", "model_year_to": "2023",
        "title": "Quillon Vole Owner's Manual", "file_sha256": "9" * 64,
    }  # fmt: skip
    assert import_rows(shop, [("source", typed(source))], who=IMRE).ok
    result = import_path(shop, path, who=IMRE)
    assert result.ok, result.findings
    assert len(result.added) == 3
    row = row_of(shop.rows(), "vehicle_group", "vole-2023")
    assert (row["model_year_from"], row["model_year_to"]) == ("2023", "2023")
    assert (row["make"], row["model"], row["checked_by"]) == ("Quillon", "Vole", None)


def test_a_group_that_speaks_of_next_year_already_is_not_drafted(
    shop: Record, tmp_path: Path
) -> None:
    assert row_of(base_rows(), "vehicle_group", "pika-automatic")["model_year_to"] == "2022"
    carry_forward(shop, "Quillon", "Pika", 2021, tmp_path / "pika-2022.xlsx")
    drafted = sheet_rows(tmp_path / "pika-2022.xlsx", "vehicle_group")
    assert "pika-automatic-2022" not in [row["vehicle_group_id"] for row in drafted]


def test_nothing_is_drafted_of_what_is_not_on_record(shop: Record, tmp_path: Path) -> None:
    for make, model, year in (("Quillon", "Pika", 2031), ("Quillon", "Osier", 2021)):
        with pytest.raises(UsageError, match="no group is on record"):
            carry_forward(shop, make, model, year, tmp_path / "drafts.xlsx")
    assert not (tmp_path / "drafts.xlsx").exists()
