"""Rows on record are overwritten only on purpose: withdrawals, files, cells, later changes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

import openpyxl
import pytest

from tests.helpers.command import Command, unwrapped
from tests.helpers.shop import (
    BODIL,
    DUNYA,
    IMRE,
    Clock,
    Place,
    bring,
    coach,
    keys,
    row_of,
    with_cells,
    write_folder,
)
from towdb.errors import Finding, UsageError
from towdb.record.drafts import carry_forward
from towdb.record.entry import ImportResult, import_path, import_rows
from towdb.record.export import export
from towdb.record.reinstate import lifted, reinstate
from towdb.record.review import accept, find_unit, give_back
from towdb.record.store.record import Record, Row
from towdb.record.store.tables import ENTRY
from towdb.record.withdraw import withdraw
from towdb.record.workbook.mark import UNKNOWN, Mark, mark_of, read_mark
from towdb.record.workbook.read import read_workbook
from towdb.record.workbook.template import write_template


@pytest.fixture
def said(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Command:
    return Command(monkeypatch, capsys)


def errors(result: ImportResult) -> list[Finding]:
    return [finding for finding in result.findings if finding.severity == "error"]


def workbook(
    path: Path, record: Record, table: str, row: Mapping[str, str | None], mark: Mark | None = None
) -> Path:
    """A workbook that was written from the record as it is, with one row in it."""
    mark = mark_of(record.last()) if mark is None else mark
    write_template(path, rows={table: [row]}, mark=mark)
    return path


def imported(record: Record, path: Path, who: str = IMRE, **options: object) -> ImportResult:
    return import_path(record, path, who=who, change=True, **options)  # type: ignore[arg-type]


def brackwater(record: Record) -> Row:
    return row_of(record.rows(), "coach", "brackwater")


def source(record: Record, key: str = "pika-om") -> Row:
    return row_of(record.rows(), "source", key)


# ---------------------------------------------------------------- what the record filled in


@pytest.mark.parametrize("over", [False, True])
@pytest.mark.parametrize("is_changed", [False, True])
def test_an_old_folder_lifts_no_withdrawal_and_brings_it_no_check(
    shop: Record, clock: Clock, tmp_path: Path, is_changed: bool, over: bool
) -> None:
    rows = shop.rows()
    if is_changed:
        rows = with_cells(rows, "source", "pika-om", title="Pika Manual, corrected")
    folder = write_folder(tmp_path / "old", {"source": rows["source"]})
    withdraw(shop, "source", "pika-om", who=DUNYA, why="new edition", on="2025-03-30")
    clock.forward(days=1)
    result = imported(shop, folder, BODIL, over=over)
    assert result.ok, result.findings
    found = source(shop)
    assert found["withdrawn_on"] == "2025-03-30"
    # The check of the old folder is of a row that was in force.
    who = (BODIL, clock.day) if is_changed else (DUNYA, "2025-04-02")
    assert tuple(found[name] for name in ENTRY) == (*who, None, None)
    (told,) = [f for f in result.findings if f.rule == "withdrawn"]
    assert (told.severity, told.key, told.column) == ("warning", "pika-om", "withdrawn_on")
    assert "2025-03-30" in told.message
    assert "towdb record reinstate" in told.remedy


def test_an_old_folder_leaves_the_attached_file(shop: Record, tmp_path: Path) -> None:
    rows = with_cells(shop.rows(), "source", "pika-om", file_sha256=None, file_name=None)
    folder = write_folder(tmp_path / "old", {"source": rows["source"]})
    before = source(shop)
    assert before["file_sha256"] is not None
    result = import_path(shop, folder, who=BODIL)
    # As it is the same row, it is not even changed.
    assert (result.ok, result.change, source(shop)) == (True, None, before)


@pytest.mark.parametrize("day", [None, "2025-03-31", "2031-01-01"])
def test_no_import_moves_a_withdrawal(shop: Record, tmp_path: Path, day: str | None) -> None:
    withdraw(shop, "source", "pika-om", who=DUNYA, why="new edition", on="2025-03-30")
    before = source(shop)
    cells = {"source_id": "pika-om", "withdrawn_on": day}
    typed = import_rows(shop, [("source", cells)], who=BODIL, change=True)
    assert [(f.column, f.rule) for f in errors(typed)] == [("withdrawn_on", "withdrawn")]
    if day is not None:
        rows = with_cells(shop.rows(), "source", "pika-om", withdrawn_on=day)
        folder = write_folder(tmp_path / "late", {"source": rows["source"]})
        result = imported(shop, folder, BODIL, over=True)
        assert [(f.column, f.rule) for f in errors(result)] == [("withdrawn_on", "withdrawn")]
    assert source(shop) == before


def test_nobody_types_the_attached_file_away(shop: Record) -> None:
    before = source(shop)
    cells = {"source_id": "pika-om", "file_sha256": None}
    result = import_rows(shop, [("source", cells)], who=BODIL, change=True)
    assert [(f.column, f.rule) for f in errors(result)] == [("file_sha256", "emptied")]
    assert source(shop) == before


# ---------------------------------------------------------------- the verb that lifts


def test_a_withdrawal_is_lifted_and_awaits_a_check_that_says_so(
    shop: Record, shop_url: str, clock: Clock, said: Command
) -> None:
    withdraw(shop, "source", "pika-om", who=DUNYA, why="new edition", on="2025-03-30")
    clock.forward(days=1)
    words = ("record", "reinstate", "pika-om", "--why", "still sold", "--record", shop_url)
    assert said(*words, "--as", IMRE).status == 0
    found = source(shop)
    assert found["withdrawn_on"] is None
    assert tuple(found[name] for name in ENTRY) == (IMRE, clock.day, None, None)
    lift = (
        f"its withdrawal as of 2025-03-30 was lifted by {IMRE} in change 3, {clock.day}: still sold"
    )
    for asked in ((), ("source", "pika-om"), ("eligibility", "key")):
        assert lift in unwrapped(said("record", "review", *asked, "--record", shop_url).out)
    assert lift not in unwrapped(
        said("record", "review", "source", "pika-tb", "--record", shop_url).out
    )
    accept(shop, find_unit(shop, "pika-om", "source"), who=DUNYA)
    assert source(shop)["checked_by"] == DUNYA


def test_a_withdrawal_that_an_earlier_towdb_lifted_is_told_too(shop: Record) -> None:
    withdraw(shop, "source", "pika-om", who=DUNYA, why="new edition", on="2025-03-30")
    with shop.changing(BODIL, "import of old.xlsx") as changing:
        changing.replace("source", [source(shop) | {"withdrawn_on": None}])
    found = lifted(shop)["pika-om"]
    assert (found.withdrawn_on, found.change.who, found.change.why) == (
        "2025-03-30", BODIL, "import of old.xlsx",
    )  # fmt: skip
    # Withdrawn again, it is not in force.
    withdraw(shop, "source", "pika-om", who=DUNYA, why="once more")
    assert lifted(shop) == {}


@pytest.mark.parametrize(
    ("key", "why", "message"),
    [
        ("pika-om", "mistake", "is not withdrawn"),
        ("pika-omm", "mistake", "is not on record; did you mean pika-om?"),
        ("pika-om", " ", "--why"),
    ],
)
def test_only_a_withdrawn_source_is_reinstated(
    shop: Record, key: str, why: str, message: str
) -> None:
    with pytest.raises(UsageError) as refused:
        reinstate(shop, key, who=IMRE, why=why)
    assert message in str(refused.value)
    assert shop.last_change() == 1


# ---------------------------------------------------------------- filled cells


def test_each_cell_that_would_be_emptied_is_listed(shop: Record, tmp_path: Path) -> None:
    stands = brackwater(shop)
    assert stands["model_year"] is not None
    rows = with_cells(shop.rows(), "coach", "brackwater", name="Brackwater 40", model_year=None,
                      quote=None)  # fmt: skip
    folder = write_folder(tmp_path / "sparse", {"coach": rows["coach"]})
    result = imported(shop, folder, BODIL)
    assert [(f.key, f.column, f.rule) for f in errors(result)] == [
        ("brackwater", "model_year", "emptied"), ("brackwater", "quote", "emptied"),
    ]  # fmt: skip
    assert f"the record has '{stands['model_year']}'" in errors(result)[0].message
    assert "--over" in errors(result)[0].remedy
    assert brackwater(shop) == stands
    # A cell that is filled otherwise takes nothing away; and who insists may empty one.
    rows = with_cells(rows, "coach", "brackwater", quote=stands["quote"])
    folder = write_folder(tmp_path / "meant", {"coach": rows["coach"]})
    assert imported(shop, folder, BODIL, over=True).ok
    found = brackwater(shop)
    assert (found["name"], found["model_year"]) == ("Brackwater 40", None)


def test_who_types_a_cell_empty_means_it(shop: Record) -> None:
    cells = {"coach_id": "brackwater", "model_year": None}
    assert import_rows(shop, [("coach", cells)], who=BODIL, change=True).ok
    assert brackwater(shop)["model_year"] is None


# ---------------------------------------------------------------- later changes


def corrected(record: Record) -> None:
    """A colleague corrects a coach, while the workbook is out."""
    cells = {"coach_id": "brackwater", "note": "its plate was read again"}
    result = import_rows(record, [("coach", cells)], who=DUNYA, why="plate", change=True)
    assert result.ok, result.findings


def test_an_old_workbook_does_not_take_a_correction_back(shop: Record, tmp_path: Path) -> None:
    row = brackwater(shop) | {"name": "Brackwater 40", "note": "of last spring"}
    path = workbook(tmp_path / "old.xlsx", shop, "coach", row)
    corrected(shop)
    before = shop.rows()
    result = imported(shop, path)
    (found,) = errors(result)
    assert (found.table, found.key, found.rule) == ("coach", "brackwater", "seen")
    assert found.message == f"was changed by {DUNYA} in change 2 (plate)"
    assert "--seen 2" in found.remedy
    assert shop.rows() == before
    # What one has looked at one may overwrite; what came after that, one may not, --over or not.
    assert imported(shop, path, seen=1, over=True, dry_run=True).ok is False
    assert imported(shop, path, seen=2, dry_run=True).ok
    assert imported(shop, path, over=True).ok
    assert brackwater(shop)["note"] == "of last spring"


def test_a_workbook_of_now_changes_what_stands(shop: Record, tmp_path: Path) -> None:
    corrected(shop)
    row = brackwater(shop) | {"name": "Brackwater 40"}
    assert imported(shop, workbook(tmp_path / "now.xlsx", shop, "coach", row)).ok
    assert brackwater(shop)["name"] == "Brackwater 40"


def test_rows_that_came_since_do_not_stand_in_the_way_of_others(
    shop: Record, tmp_path: Path
) -> None:
    path = workbook(tmp_path / "new.xlsx", shop, "coach", coach("b"))
    corrected(shop)
    assert import_path(shop, path, who=IMRE).ok
    assert "b" in keys(shop.rows(), "coach")


def test_a_row_that_was_withdrawn_since_does_not_come_back(shop: Record, tmp_path: Path) -> None:
    assert import_rows(shop, [("coach", coach("b"))], who=IMRE).ok
    path = workbook(tmp_path / "old.xlsx", shop, "coach", row_of(shop.rows(), "coach", "b"))
    withdraw(shop, "coach", "b", who=DUNYA, why="sold")
    (found,) = errors(import_path(shop, path, who=IMRE))
    assert (found.key, found.rule) == ("b", "seen")
    assert found.message == f"was withdrawn by {DUNYA} in change 3 (sold)"
    assert "b" not in keys(shop.rows(), "coach")
    assert import_path(shop, path, who=IMRE, over=True).ok
    assert "b" in keys(shop.rows(), "coach")


def test_a_folder_that_brings_a_withdrawn_row_back_says_so(shop: Record, tmp_path: Path) -> None:
    assert import_rows(shop, [("coach", coach("b"))], who=IMRE).ok
    folder = write_folder(tmp_path / "old", {"coach": shop.rows()["coach"]})
    withdraw(shop, "coach", "b", who=DUNYA, why="sold")
    result = bring(shop, folder)
    (told,) = [f for f in result.findings if f.rule == "seen"]
    assert (told.severity, told.key) == ("warning", "b")
    assert told.message == f"was withdrawn by {DUNYA} in change 3 (sold)"


@pytest.mark.parametrize("mark", [UNKNOWN, Mark(1, "2031-01-01T00:00:00.000000Z"), Mark(9, "")])
def test_of_a_workbook_from_elsewhere_nothing_counts_as_seen(
    shop: Record, tmp_path: Path, mark: Mark
) -> None:
    row = brackwater(shop) | {"name": "Brackwater 40"}
    path = workbook(tmp_path / "other.xlsx", shop, "coach", row, mark)
    (found,) = errors(imported(shop, path))
    assert (found.key, found.rule) == ("brackwater", "seen")


# ---------------------------------------------------------------- checks that have ended


def returned(record: Record) -> None:
    give_back(record, find_unit(record, "brackwater", "coach"), who=BODIL, remark="200, not 400")


def renamed(record: Record) -> None:
    cells = {"coach_id": "brackwater", "name": "Brackwater 40"}
    assert import_rows(record, [("coach", cells)], who=BODIL, change=True).ok


def gone(record: Record) -> None:
    with record.changing(BODIL, "sold") as changing:
        changing.withdraw("coach_property", [
            str(r["coach_property_id"]) for r in record.rows()["coach_property"]
            if r["coach_id"] == "brackwater"
        ])  # fmt: skip
        changing.withdraw("coach", ["brackwater"])


@pytest.mark.parametrize("end", [returned, renamed, gone])
def test_an_old_folder_brings_back_no_check_that_has_ended(
    shop: Record, clock: Clock, tmp_path: Path, end: Callable[[Record], None]
) -> None:
    before = brackwater(shop)
    assert before["checked_by"] is not None
    export(shop, tmp_path / "old")
    end(shop)
    clock.forward(days=1)
    result = imported(shop, tmp_path / "old", IMRE, over=True, seen=shop.last_change())
    assert result.ok, result.findings
    # The content of then, where the folder may bring it; its check only by who compares it again.
    unchecked = {"checked_by": None, "checked_on": None}
    ignored = ("entered_by", "entered_on")
    assert {c: cell for c, cell in brackwater(shop).items() if c not in ignored} == {
        c: cell for c, cell in (before | unchecked).items() if c not in ignored
    }
    (told,) = [f for f in result.findings if f.rule == "check_ended" and f.key == "brackwater"]
    assert (told.severity, told.column, told.file) == ("warning", "checked_by", "coach.csv")
    assert told.message.startswith(
        f"the check by {before['checked_by']} on {before['checked_on']} is not restored: {BODIL}"
        f" ended the check of this row in change {shop.changes()[1].number}, "
    )
    assert "towdb record review" in told.remedy


def test_neither_does_another_check_from_before_the_return(shop: Record, tmp_path: Path) -> None:
    # Somebody else's copy of the folder, in which the row was checked once more, too early.
    def folder(day: str) -> Path:
        rows = with_cells(before, "coach", "brackwater", checked_by="Runa Tveit", checked_on=day)
        return write_folder(tmp_path / day, {"coach": rows["coach"]})

    before = shop.rows()
    returned(shop)
    day = shop.changes()[-1].day
    result = imported(shop, folder(day), IMRE)
    assert (result.ok, result.change) == (True, None)
    assert [f.rule for f in result.findings] == ["check_ended"]
    assert brackwater(shop)["checked_by"] is None
    # Of a later day, it was made by somebody who could know of the return.
    assert imported(shop, folder("2025-12-01"), IMRE).ok
    assert brackwater(shop)["checked_by"] == "Runa Tveit"


def test_a_check_that_stands_is_not_replaced_by_one_that_has_ended(
    shop: Record, clock: Clock, tmp_path: Path
) -> None:
    folder = write_folder(tmp_path / "old", {"coach": shop.rows()["coach"]})
    returned(shop)
    clock.forward(days=1)
    accept(shop, find_unit(shop, "brackwater", "coach"), who=BODIL)
    stands = brackwater(shop)
    result = imported(shop, folder, IMRE)
    assert (result.ok, result.change, brackwater(shop)) == (True, None, stands)


def test_a_reinstated_source_gets_no_check_from_an_old_folder(
    shop: Record, clock: Clock, tmp_path: Path
) -> None:
    folder = write_folder(tmp_path / "old", {"source": shop.rows()["source"]})
    withdraw(shop, "source", "pika-om", who=DUNYA, why="new edition", on="2025-03-30")
    reinstate(shop, "pika-om", who=DUNYA, why="printed by mistake")
    clock.forward(days=1)
    result = imported(shop, folder, IMRE)
    assert (result.ok, result.change) == (True, None)
    assert source(shop)["checked_by"] is None


# ---------------------------------------------------------------- the mark


def test_every_workbook_says_at_which_change_it_was_written(
    shop: Record, shop_url: str, tmp_path: Path, said: Command, clock: Clock
) -> None:
    corrected(shop)
    last = mark_of(shop.last())
    assert last.number == 2
    template, draft = tmp_path / "pages.xlsx", tmp_path / "draft.xlsx"
    assert said("record", "template", "-o", template, "--record", shop_url).status == 0
    carry_forward(shop, "Quillon", "Pika", 2021, draft)
    for path in (template, draft):
        entered = read_workbook(path, IMRE, clock.now.date())
        assert entered.mark == last
        # The line itself is nothing that somebody typed.
        assert [f for f in entered.findings if f.severity == "warning"] == []


def test_a_workbook_without_a_record_says_nothing(said: Command, tmp_path: Path) -> None:
    assert said("record", "template", "-o", tmp_path / "pages.xlsx").status == 0
    sheet = openpyxl.load_workbook(tmp_path / "pages.xlsx")["how to"]
    assert all(read_mark(row[0]) is None for row in sheet.iter_rows(values_only=True))


def test_a_mark_is_read_as_it_was_written(clock: Clock) -> None:
    mark = Mark(12, clock.now.isoformat(timespec="microseconds") + "Z")
    assert read_mark(mark.line) == mark
    assert read_mark(f"{mark.line}\n") is None
    assert read_mark(12) is None


# ---------------------------------------------------------------- what somebody typed into


@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
def test_a_filled_workbook_is_not_replaced(
    place: Place, shop_url: str, tmp_path: Path, said: Command
) -> None:
    path = tmp_path / "pages.xlsx"
    record = ("--record", shop_url)
    for words in (("template",), ("carry-forward", "Quillon", "Pika", 2021)):
        path.write_bytes(b"typed for days")
        line = said.refused("record", *words, "-o", path, *record)
        assert line == f"towdb: {path}: already exists and was not changed; choose another name"
        assert path.read_bytes() == b"typed for days"
        path.unlink()
        # A link that leads nowhere yet is somebody's too.
        path.symlink_to(tmp_path / "elsewhere.xlsx")
        assert "already exists" in said.refused("record", *words, "-o", path, *record)
        path.unlink()
