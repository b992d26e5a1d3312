"""Rows into a record: judged with those on record, all or none, nothing overwritten unseen."""

from __future__ import annotations

import contextlib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import pytest

from tests.helpers.folders import set_cell, to_parquet
from tests.helpers.shop import (
    BODIL,
    DATABASES,
    DUNYA,
    IMRE,
    Clock,
    Place,
    base_rows,
    bring,
    by_key,
    coach,
    errors,
    keys,
    place_of,
    row_of,
    typed,
    with_cells,
    without,
    write_folder,
)
from tests.helpers.typed_workbooks import typed_workbook
from towdb.errors import Finding, UsageError
from towdb.record.entry import (
    ImportResult,
    import_path,
    import_rows,
    require_table,
    typed_cells,
)
from towdb.record.plan import Difference
from towdb.record.store.names_and_times import same_person
from towdb.record.store.record import Record, Row, Rows
from towdb.record.store.tables import ENTRY
from towdb.record.workbook.template import write_template

Typed = Sequence[tuple[str, Mapping[str, str | None]]]


@pytest.fixture(params=DATABASES)
def place(request: pytest.FixtureRequest) -> Place:
    """Where records are made: in each tier on both databases."""
    return place_of(request)


def type_in(record: Record, *rows: Row, who: str = IMRE, **options: Any) -> ImportResult:
    """Type coaches."""
    return import_rows(record, [("coach", row) for row in rows], who=who, **options)


def only(result: ImportResult) -> Finding:
    """The one error of a refused import."""
    (found,) = [finding for finding in result.findings if finding.severity == "error"]
    return found


def untouched(record: Record, before: Rows, changes: int = 1) -> bool:
    return record.rows() == before and record.last_change() == changes


# ---------------------------------------------------------------- a folder comes in


def test_a_folder_comes_in_as_it_is(empty: Record, tmp_path: Path) -> None:
    folder = write_folder(tmp_path / "base", base_rows())
    result = bring(empty, folder, why="the first manuals")
    assert result.change == empty.changes()[0]
    assert (result.change.who, result.change.why) == (IMRE, "the first manuals")
    assert sorted(result.added) == sorted(
        (name, key) for name, rows in base_rows().items() for key in keys({name: rows}, name)
    )
    assert (result.changed, result.left) == ((), 0)
    assert empty.rows() == by_key(base_rows())


@pytest.mark.parametrize("is_typed", [False, True])
def test_parquet_comes_in_too(empty: Record, tmp_path: Path, is_typed: bool) -> None:
    folder = write_folder(tmp_path / "base", base_rows())
    bring(empty, to_parquet(folder, tmp_path / "parquet", typed=is_typed))
    assert empty.rows() == by_key(base_rows())


def test_the_same_again_adds_nothing(shop: Record, tmp_path: Path) -> None:
    before = shop.rows()
    again = bring(shop, write_folder(tmp_path / "base", base_rows()))
    assert (again.added, again.changed, again.change) == ((), (), None)
    assert again.left == sum(map(len, before.values()))
    assert untouched(shop, before)


def test_rows_without_their_check_are_the_same(shop: Record, tmp_path: Path) -> None:
    # What was typed comes in again: it does not contradict the check that was made meanwhile.
    before = shop.rows()
    again = bring(shop, write_folder(tmp_path / "base", base_rows(is_checked=False)), change=True)
    assert (again.added, again.changed, again.change) == ((), (), None)
    assert untouched(shop, before)


def test_a_folder_of_new_rows_may_lack_tables(shop: Record, tmp_path: Path) -> None:
    new = coach("b") | dict(zip(ENTRY, (BODIL, "2025-04-02", None, None), strict=True))
    result = bring(shop, write_folder(tmp_path / "new", {"coach": [new]}))
    assert result.added == (("coach", "b"),)
    assert row_of(shop.rows(), "coach", "b") == new


def test_what_comes_in_is_judged_beside_what_stands(shop: Record) -> None:
    before = shop.rows()
    twice = {"procedure_step_id": "twice", "eligibility_id": "key", "phase": "after",
             "step_no": "2", "printed_no": "7", "kind": "do", "component": "doors",
             "action": "lock", "source_id": "pika-om", "locator": "p. 215",
             "quote": "7. Lock the doors.", "basis": "cited"}  # fmt: skip
    result = import_rows(shop, [("procedure_step", twice)], who=IMRE)
    assert not result.ok
    # The step is the row that came; that the printed count is wrong now is reported for the row
    # on record, which is in no file.
    found = {(f.table, f.key, f.rule): (f.file, f.line) for f in result.findings
             if f.severity == "error"}  # fmt: skip
    assert found["procedure_step", "twice", "steps_are_numbered_without_gap"] == ("typed", 1)
    assert found["eligibility", "key", "printed_counts_match_the_rows_entered"] == (shop.name, None)
    assert untouched(shop, before)


# ---------------------------------------------------------------- all of it, or nothing


def fifty(**spoilt: str | None) -> list[Row]:
    rows = [coach(f"c{n:02}") for n in range(50)]
    rows[37] |= spoilt
    return rows


BAD_CELLS: dict[str, tuple[str | None, str]] = {
    "model_year": ("twenty-fourteen", "type"),
    "name": (None, "required"),
    "source_id": ("no-such", "ids_point_at_known_rows"),
}


@pytest.mark.parametrize("column", BAD_CELLS)
def test_one_bad_row_of_fifty_keeps_all_out(
    shop: Record, tmp_path: Path, clock: Clock, column: str
) -> None:
    before = shop.rows()
    value, rule = BAD_CELLS[column]
    rows = fifty(**{column: value})
    entry = dict(zip(ENTRY, (IMRE, clock.day, None, None), strict=True))
    folder = write_folder(tmp_path / "new", {"coach": [row | entry for row in rows]})
    result = import_path(shop, folder, who=IMRE)
    # The header is line 1.
    assert errors(result) == [("coach.csv", 39, "coach", column, rule)]
    assert only(result).key == "c37"
    assert result.change is None
    assert untouched(shop, before)


def test_fifty_typed_rows_come_in_once_all_are_good(shop: Record) -> None:
    before = shop.rows()
    # Of typed rows the first is 1.
    assert errors(type_in(shop, *fifty(basis="hearsay"))) == [
        ("typed", 38, "coach", "basis", "word")
    ]
    assert untouched(shop, before)
    result = type_in(shop, *fifty())
    assert (len(result.added), result.ok) == (50, True)
    assert len(shop.rows()["coach"]) == 51
    assert shop.last_change() == 2


def test_a_finding_names_the_sheet_and_the_row_of_a_workbook(shop: Record, tmp_path: Path) -> None:
    rows = [("coach", {c: cell for c, cell in row.items() if cell}) for row in fifty()[:3]]
    before = shop.rows()
    path = typed_workbook(tmp_path, rows, every_table=True)
    done = import_path(shop, path, who=DUNYA, why="coaches of the yard", dry_run=True)
    assert (done.ok, len(done.added)) == (True, 3)
    rows[1][1]["model_year"] = "twenty-fourteen"
    spoilt = typed_workbook(tmp_path, rows, "spoilt.xlsx", every_table=True)
    found = only(import_path(shop, spoilt, who=DUNYA))
    assert (found.file, found.table, found.column) == ("spoilt.xlsx", "coach", "model_year")
    import openpyxl

    sheet = openpyxl.load_workbook(spoilt)["coach"]
    column = [cell.value for cell in sheet[1]].index("model_year")
    assert sheet[found.line][column].value == "twenty-fourteen"
    assert untouched(shop, before)


def test_a_workbook_comes_in_under_the_name_of_who_brings_it(
    shop: Record, tmp_path: Path, clock: Clock
) -> None:
    cells = {c: cell for c, cell in coach("b").items() if cell}
    path = typed_workbook(tmp_path, [("coach", cells)], every_table=True)
    bring(shop, path, "  Dunya   Orrel")
    row = row_of(shop.rows(), "coach", "b")
    assert [row[c] for c in ENTRY] == [DUNYA, clock.day, None, None]
    assert {c: row[c] for c in cells} == cells
    assert shop.changes()[-1].why == "import of entry.xlsx"


def test_a_dry_run_writes_nothing(shop: Record, tmp_path: Path) -> None:
    before = shop.rows()
    rows = base_rows()
    rows["coach"] = [row | {"note": "repainted"} for row in rows["coach"]]
    rows["coach"].append(coach("b") | dict.fromkeys(ENTRY[2:]) | {
        "entered_by": IMRE, "entered_on": "2025-04-02"})  # fmt: skip
    folder = write_folder(tmp_path / "new", rows)
    dry = import_path(shop, folder, who=IMRE, change=True, dry_run=True)
    assert untouched(shop, before)
    done = bring(shop, folder, change=True)
    assert dry.change is None
    assert done.change is not None
    assert (dry.added, dry.changed, dry.left) == (done.added, done.changed, done.left)
    assert dry.findings == done.findings
    assert dry.added == (("coach", "b"),)
    assert Difference("coach", "brackwater", "note", None, "repainted") in dry.changed


def test_one_id_twice_in_one_import_is_refused(shop: Record) -> None:
    before = shop.rows()
    for other in (coach("b"), coach("b", name="otherwise")):
        result = type_in(shop, coach("b"), coach("a"), other)
        assert errors(result) == [
            ("typed", 1, "coach", "coach_id", "unique"),
            ("typed", 3, "coach", "coach_id", "unique"),
        ]
    assert untouched(shop, before)


def test_one_id_twice_is_refused_of_rows_that_change(shop: Record) -> None:
    before = shop.rows()
    stands = row_of(before, "coach", "brackwater")
    result = type_in(shop, typed(stands, name="one"), typed(stands, name="other"), change=True)
    assert {rule for *_, rule in errors(result)} == {"unique"}
    assert untouched(shop, before)


def test_one_id_twice_is_refused_if_only_one_of_them_changes(shop: Record) -> None:
    before = shop.rows()
    stands = row_of(before, "coach", "brackwater")
    result = type_in(shop, typed(stands), typed(stands, name="other"), change=True)
    assert {rule for *_, rule in errors(result)} == {"unique"}
    assert untouched(shop, before)


def test_a_folder_that_cannot_be_read_brings_nothing(shop: Record, tmp_path: Path) -> None:
    before = shop.rows()
    folder = write_folder(tmp_path / "new", {"coach": base_rows()["coach"]})
    (folder / "coach.csv").write_text("coach_id,name\nb\n", "utf-8")
    result = import_path(shop, folder, who=IMRE)
    assert {rule for *_, rule in errors(result)} >= {"ragged", "header"}
    with pytest.raises(UsageError):
        import_path(shop, tmp_path / "no-such", who=IMRE)
    assert untouched(shop, before)


@pytest.mark.parametrize(
    "row",
    [
        ("coahc", coach("b")),
        ("coach", coach("b", nmae="x")),
    ],
    ids=["table", "column"],
)  # fmt: skip
def test_an_unknown_table_or_column_is_refused(shop: Record, row: tuple[str, Row]) -> None:
    before = shop.rows()
    with pytest.raises(UsageError, match="did you mean"):
        import_rows(shop, [row], who=IMRE)
    assert untouched(shop, before)


def test_an_empty_cell_is_empty(shop: Record) -> None:
    result = type_in(shop, coach("b", note=""))
    # Refused, or kept as in a folder: never a text of no letters beside the empty cell.
    assert not result.ok or row_of(shop.rows(), "coach", "b")["note"] is None


def test_a_reason_that_no_database_can_hold_is_refused(shop: Record) -> None:
    # A byte that is not UTF-8, as the shell hands it over.
    with pytest.raises(UsageError):
        type_in(shop, coach("b"), why="caf\udce9")


# ---------------------------------------------------------------- rows that change


def test_an_id_with_other_content_is_refused_and_the_cell_named(shop: Record) -> None:
    before = shop.rows()
    stands = row_of(before, "coach", "brackwater")
    found = only(type_in(shop, typed(stands, note="repainted")))
    assert (found.table, found.key, found.column) == ("coach", "brackwater", "note")
    assert (found.value, found.rule) == ("repainted", "on_record")
    assert "different value: nothing" in found.message
    assert "--change" in found.remedy
    both = only(type_in(shop, typed(stands, name="Brackwater 40", note="repainted")))
    assert both.column == "name"
    assert "different value: 'Brackwater 38' (and 1 more cells)" in both.message
    assert untouched(shop, before)


def test_one_refused_row_keeps_the_new_ones_out(shop: Record) -> None:
    before = shop.rows()
    stands = row_of(before, "coach", "brackwater")
    result = type_in(shop, coach("b"), typed(stands, note="repainted"))
    assert errors(result) == [("typed", 2, "coach", "note", "on_record")]
    assert untouched(shop, before)


@pytest.mark.parametrize("is_typed", [True, False])
def test_a_changed_row_loses_its_check(
    shop: Record, clock: Clock, tmp_path: Path, is_typed: bool
) -> None:
    before = shop.rows()
    stands = row_of(before, "vehicle_property", "key-gvwr")
    assert stands["checked_by"] == DUNYA
    if is_typed:
        row = ("vehicle_property", typed(stands, locator="p. 261"))
        result = import_rows(shop, [row], who=BODIL, change=True)
    else:
        changed = with_cells(base_rows(), "vehicle_property", "key-gvwr", locator="p. 261")
        folder = write_folder(tmp_path / "changed", changed)
        result = import_path(shop, folder, who=BODIL, change=True)
    assert result.ok, result.findings
    # The row is different now; who changed it has written it, on that day, whatever the folder has.
    now = row_of(shop.rows(), "vehicle_property", "key-gvwr")
    assert now == typed(stands, locator="p. 261") | dict(
        zip(ENTRY, (BODIL, clock.day, None, None), strict=True)
    )
    assert {(d.column, d.was, d.becomes) for d in result.changed} == {
        (c, stands[c], now[c]) for c in ("locator", *ENTRY)
    }
    # Nothing else has changed, and what was is still there.
    assert with_cells(shop.rows(), "vehicle_property", "key-gvwr", **stands) == before
    assert shop.rows(1) == before


def test_a_folder_that_brings_a_check_is_taken_at_its_word(
    unchecked: Record, tmp_path: Path
) -> None:
    # Another seat's export: the same rows, and what Dunya has checked there.
    folder = write_folder(tmp_path / "checked", base_rows())
    refused = import_path(unchecked, folder, who=IMRE)
    assert {(f.column, f.rule) for f in refused.findings if f.severity == "error"} == {
        ("checked_by", "on_record")
    }
    result = bring(unchecked, folder, change=True)
    assert unchecked.rows() == by_key(base_rows())
    assert {d.column for d in result.changed} == {"checked_by", "checked_on"}


@pytest.mark.parametrize("who", [IMRE, "IMRE  solvang"])
def test_nobody_brings_in_what_they_checked_the_day_they_wrote_it(
    shop: Record, tmp_path: Path, who: str
) -> None:
    before = shop.rows()
    day = "2025-03-31"
    new = coach("b") | dict(zip(ENTRY, (IMRE, day, who, day), strict=True))
    result = import_path(shop, write_folder(tmp_path / "new", {"coach": [new]}), who=DUNYA)
    assert errors(result) == [
        ("coach.csv", 2, "coach", "checked_by", "self_checks_are_of_a_later_day")
    ]
    assert untouched(shop, before)
    later = new | {"checked_on": "2025-04-01"}
    bring(shop, write_folder(tmp_path / "later", {"coach": [later]}), DUNYA)
    assert row_of(shop.rows(), "coach", "b") == later


@pytest.mark.parametrize(
    "said",
    [
        {"checked_by": DUNYA, "checked_on": "2025-04-02"},
        {"entered_on": "2025-01-01", "checked_by": IMRE, "checked_on": "2025-01-02"},
        {"checked_by": DUNYA, "checked_on": "2031-01-01"},
        {"entered_by": DUNYA},
    ],
    ids=["by another", "long ago", "years from now", "typed by another"],
)
def test_nobody_types_a_check(shop: Record, clock: Clock, said: dict[str, str]) -> None:
    # A check is made by comparing and counting; who types a row has entered it, on that day.
    with contextlib.suppress(UsageError):
        type_in(shop, coach("b", **said))
    row = next((row for row in shop.rows()["coach"] if row["coach_id"] == "b"), None)
    assert row is None or [row[c] for c in ENTRY] == [IMRE, clock.day, None, None]


def test_cells_that_were_not_typed_stay_as_they_are(shop: Record) -> None:
    # As a person does who types the figure that was misread, and what every row needs.
    before = row_of(shop.rows(), "vehicle_property", "key-gvwr")
    needed = ("vehicle_property_id", "vehicle_group_id", "property", "unit", "source_id",
              "locator", "quote", "basis")  # fmt: skip
    cells = {**{c: before[c] for c in needed}, "value": "3401"}
    result = import_rows(shop, [("vehicle_property", cells)], who=IMRE, change=True)
    now = row_of(shop.rows(), "vehicle_property", "key-gvwr")
    assert not result.ok or now["also_value"] == before["also_value"] == "1542"


def test_people_are_compared_folded() -> None:
    assert same_person("IMRE  solvang", " Imre\tSolvang ")
    assert same_person("Åse Øvregård", "ÅSE  ØVREGÅRD")
    assert not same_person("Imre Solvang", "Imre Solvangen")
    assert not same_person(None, "Imre")


# ---------------------------------------------------------------- two people, one row


def test_the_second_is_told_who_changed_the_row(shop: Record, clock: Clock) -> None:
    stands = row_of(shop.rows(), "coach", "brackwater")
    seen = shop.last_change()
    first = type_in(shop, typed(stands, note="repainted"), who=DUNYA, why="in the yard",
                    change=True, seen=seen)  # fmt: skip
    assert first.ok, first.findings
    clock.forward(minutes=5)
    before = shop.rows()
    second = type_in(shop, typed(stands, name="Brackwater 40"), change=True, seen=seen)
    found = only(second)
    assert (found.table, found.key, found.rule) == ("coach", "brackwater", "seen")
    assert found.column == "name"
    assert found.message == "was changed by Dunya Orrel in change 2 (in the yard)"
    assert "--seen" in found.remedy
    assert untouched(shop, before, 2)
    # Having looked at it, they change it as it is now.
    again = type_in(shop, typed(row_of(before, "coach", "brackwater"), name="Brackwater 40"),
                    change=True, seen=2)  # fmt: skip
    assert again.ok, again.findings
    row = row_of(shop.rows(), "coach", "brackwater")
    assert (row["name"], row["note"]) == ("Brackwater 40", "repainted")


def test_rows_that_others_changed_do_not_stand_in_the_way(shop: Record) -> None:
    stands = row_of(shop.rows(), "coach", "brackwater")
    bar = row_of(shop.rows(), "equipment", "bar")
    seen = shop.last_change()
    type_in(shop, coach("b"), who=DUNYA)
    import_rows(shop, [("equipment", typed(bar, model="9"))], who=DUNYA, change=True)
    result = type_in(shop, typed(stands, note="repainted"), change=True, seen=seen)
    assert result.ok, result.findings
    assert row_of(shop.rows(), "equipment", "bar")["model"] == "9"


def test_a_row_that_somebody_has_added_meanwhile_is_not_overwritten(shop: Record) -> None:
    seen = shop.last_change()
    assert type_in(shop, coach("b"), who=DUNYA).ok
    before = shop.rows()
    result = type_in(shop, coach("b", note="mine"), change=True, seen=seen)
    assert only(result).rule == "seen"
    assert untouched(shop, before, 2)


def test_a_row_that_somebody_has_withdrawn_meanwhile_does_not_come_back(shop: Record) -> None:
    assert type_in(shop, coach("b")).ok
    seen = shop.last_change()
    with shop.changing(DUNYA, "sold") as changing:
        changing.withdraw("coach", ["b"])
    result = type_in(shop, coach("b", note="mine"), change=True, seen=seen)
    assert not result.ok
    assert "b" not in keys(shop.rows(), "coach")


# ---------------------------------------------------------------- a whole statement


def statement(*left_out: str, **cells: str | None) -> dict[str, list[Row]]:
    """The statement `key` with its parts, as somebody types the page again; some are left out."""
    rows = base_rows()
    key = typed(row_of(rows, "eligibility", "key"), **cells)
    listed = {"eligibility": [key], "fuse_pull": rows["fuse_pull"]}
    for name in ("procedure_step", "towing_limit"):
        listed[name] = [row for row in rows[name] if row["eligibility_id"] == "key"]
    # As on the page, from top to bottom: steps are numbered by the order of the rows.
    phases = ["once", "before", "en_route", "after"]
    listed["procedure_step"].sort(key=lambda r: (phases.index(str(r["phase"])), r["step_no"]))
    return {
        name: [
            typed(row, **({"step_no": None} if "step_no" in row else {}))
            for row in some
            if row[f"{name}_id"] not in left_out
        ]
        for name, some in listed.items()
    }


def workbook(folder: Path, rows: dict[str, list[Row]], name: str = "entry.xlsx") -> Path:
    """A workbook with these rows, in the place of one of before."""
    (folder / name).unlink(missing_ok=True)
    write_template(folder / name, rows=rows)
    return folder / name


def retype(
    record: Record, folder: Path, rows: dict[str, list[Row]], **options: Any
) -> ImportResult:
    """Import a workbook with these rows, which may change what is on record."""
    path = workbook(folder, rows)
    seen = record.changes()[-1].number
    return import_path(record, path, who=BODIL, **({"change": True, "seen": seen} | options))


# What is left out, what the statement then states, and which statements await a check.
LEFT_OUT: dict[str, tuple[list[tuple[str, str]], Row, list[str]]] = {
    "a limit": ([("towing_limit", "key-engine")], {"limits": "1"}, ["key"]),
    "a step with its fuse": (
        [("procedure_step", "before-3"), ("fuse_pull", "f12")],
        {"steps_before": "2", "fuse_pulls": "0"},
        ["button", "key"],
    ),
    "a boxed warning, which is not counted": (
        [("procedure_step", "before-4")], {}, ["button", "key"]
    ),
    "one of two rows of a printed step": ([("procedure_step", "before-2")], {}, ["button", "key"]),
}  # fmt: skip


@pytest.mark.parametrize("case", LEFT_OUT)
def test_a_whole_statement_replaces_its_parts(
    shop: Record, clock: Clock, tmp_path: Path, case: str
) -> None:
    gone, cells, waiting = LEFT_OUT[case]
    before = shop.rows()
    rows = statement(*(key for _, key in gone), **cells)
    preview = retype(shop, tmp_path, rows, dry_run=True)
    assert untouched(shop, before)
    done = retype(shop, tmp_path, rows)
    assert done.ok, done.findings
    assert sorted(done.withdrawn) == sorted(preview.withdrawn) == sorted(gone)
    assert done.added == ()
    expected = without(before, gone)
    entry = dict(zip(ENTRY, (BODIL, clock.day, None, None), strict=True))
    expected = with_cells(expected, "eligibility", "key", **cells)
    for key in waiting:
        expected = with_cells(expected, "eligibility", key, **entry)
    numbered: dict[str | None, int] = {}
    for row in expected["procedure_step"]:
        number = numbered[row["phase"]] = numbered.get(row["phase"], 0) + 1
        if row["step_no"] != str(number):
            moved = str(row["procedure_step_id"])
            expected = with_cells(expected, "procedure_step", moved, step_no=str(number), **entry)
    assert shop.rows() == expected
    assert shop.rows(1) == before


def test_a_statement_retyped_under_other_ids_replaces_its_parts(
    shop: Record, tmp_path: Path
) -> None:
    rows = statement()
    for row in rows["towing_limit"]:
        row["towing_limit_id"] = f"{row['towing_limit_id']}-again"
    done = retype(shop, tmp_path, rows)
    assert done.ok, done.findings
    assert [key for _, key in done.withdrawn] == ["key-engine", "key-speed"]
    assert sorted(key for _, key in done.added) == ["key-engine-again", "key-speed-again"]
    listed = keys(shop.rows(), "towing_limit")
    assert listed == ["button-speed", "key-engine-again", "key-speed-again"]


def test_a_folder_may_hold_a_whole_statement_too(shop: Record, tmp_path: Path) -> None:
    rows = statement("key-engine", limits="1")
    numbers = {row["procedure_step_id"]: row["step_no"] for row in base_rows()["procedure_step"]}
    entry = dict(zip(ENTRY[:2], (BODIL, "2025-04-02"), strict=True))
    for name, listed in rows.items():
        rows[name] = [{**row, **entry} for row in listed]
    for row in rows["procedure_step"]:
        row["step_no"] = numbers[row["procedure_step_id"]]
    done = bring(shop, write_folder(tmp_path / "page", rows), BODIL, change=True)
    assert done.withdrawn == (("towing_limit", "key-engine"),)


@pytest.mark.parametrize(
    "rows",
    [
        # Corrected by itself, or with some of its parts: the others stay.
        {"eligibility": statement()["eligibility"]},
        statement("key-engine"),
        statement("after-2"),
        {name: rows for name, rows in statement().items() if name != "eligibility"},
        {"towing_limit": statement("key-engine")["towing_limit"]},
    ],
    ids=["the statement alone", "a limit short", "a step short", "parts alone", "one limit"],
)
def test_parts_of_what_does_not_come_whole_stay(
    shop: Record, tmp_path: Path, rows: dict[str, list[Row]]
) -> None:
    before = shop.rows()
    done = retype(shop, tmp_path, rows)
    assert done.ok, done.findings
    assert done.withdrawn == ()
    assert untouched(shop, before)


def test_parts_are_left_out_only_where_rows_may_change(shop: Record, tmp_path: Path) -> None:
    before = shop.rows()
    done = retype(shop, tmp_path, statement("before-4"), change=False)
    assert (done.ok, done.withdrawn) == (True, ())
    assert untouched(shop, before)
    done = retype(shop, tmp_path, statement("key-engine", limits="1"), change=False)
    assert only(done).rule == "on_record"
    assert untouched(shop, before)


def test_typed_rows_leave_other_parts_as_they_are(shop: Record) -> None:
    rows = [(name, row) for name, listed in statement("before-4").items() for row in listed]
    numbers = {row["procedure_step_id"]: row["step_no"] for row in base_rows()["procedure_step"]}
    for _, row in rows:
        if "step_no" in row:
            row["step_no"] = numbers[row["procedure_step_id"]]
    done = import_rows(shop, rows, who=BODIL, change=True)
    assert (done.ok, done.withdrawn, done.changed) == (True, (), ())


def test_a_part_that_somebody_has_changed_meanwhile_is_not_left_out(
    shop: Record, tmp_path: Path
) -> None:
    seen = shop.last_change()
    limit = typed(row_of(shop.rows(), "towing_limit", "key-engine"), value="6")
    assert import_rows(shop, [("towing_limit", limit)], who=DUNYA, change=True).ok
    before = shop.rows()
    rows = statement("key-engine", limits="1")
    found = only(retype(shop, tmp_path, rows, seen=seen))
    assert (found.rule, found.table, found.key) == ("seen", "towing_limit", "key-engine")
    assert found.message.startswith("was changed by Dunya Orrel in change 2")
    assert untouched(shop, before, 2)


# ---------------------------------------------------------------- what a page may have been


def test_rows_in_reverse_under_one_header_get_a_warning(shop: Record, tmp_path: Path) -> None:
    rows = statement()
    rows["procedure_step"].reverse()
    path = workbook(tmp_path, rows)
    done = import_path(shop, path, who=BODIL, change=True, seen=shop.changes()[-1].number)
    warned = {(f.key, f.file, f.value) for f in done.findings
              if f.rule == "printed_numbers_follow_the_step_order"}  # fmt: skip
    # Each where a lower number follows a higher one: 6 before 5, 3 before 2.
    assert warned == {("after-1", path.name, "5"), ("before-2", path.name, "2")}
    assert all(f.line for f in done.findings if (f.key, f.file, f.value) in warned)


def test_a_group_that_nothing_refers_to_gets_a_warning(shop: Record, tmp_path: Path) -> None:
    group = typed(row_of(base_rows(), "vehicle_group", "pika-key"), vehicle_group_id="half",
                  model="Sallow")  # fmt: skip
    path = workbook(tmp_path, {"vehicle_group": [group]})
    done = import_path(shop, path, who=IMRE, dry_run=True)
    (found,) = [f for f in done.findings if f.rule == "groups_and_coaches_are_referred_to"]
    assert (found.severity, found.file, found.table, found.key) == (
        "warning", "entry.xlsx", "vehicle_group", "half"
    )  # fmt: skip
    assert found.line
    weight = typed(row_of(base_rows(), "vehicle_property", "key-gvwr"), vehicle_group_id="half",
                   vehicle_property_id="half-gvwr")  # fmt: skip
    rows = {"vehicle_group": [group], "vehicle_property": [weight]}
    whole = workbook(tmp_path, rows, "whole.xlsx")
    done = import_path(shop, whole, who=IMRE)
    assert done.ok, done.findings
    assert "groups_and_coaches_are_referred_to" not in {f.rule for f in done.findings}


# ---------------------------------------------------------------- as a person types it


def test_typed_cells_are_what_a_folder_would_hold() -> None:
    words = {"transmission": "stick", "drivetrain": "4x4", "make": "Quillon", "trim": ""}
    cells = typed_cells("vehicle_group", words)
    assert (cells["transmission"], cells["make"], cells["trim"]) == ("manual", "Quillon", None)
    with pytest.raises(UsageError, match="did you mean transmission"):
        typed_cells("vehicle_group", {"transmision": "stick"})
    assert require_table("coach") == "coach"
    with pytest.raises(UsageError, match="did you mean coach"):
        require_table("coahc")


def test_a_fresh_row_awaits_its_check(shop: Record, clock: Clock) -> None:
    result = type_in(shop, coach("b"), who=" Bodil \n Fjellstrand")
    row = row_of(shop.rows(), "coach", "b")
    assert [row[c] for c in ENTRY] == [BODIL, clock.day, None, None]
    # And nothing is typed of its plates yet.
    assert [(f.rule, f.line) for f in result.findings] == [
        ("groups_and_coaches_are_referred_to", 1), ("rows_are_checked", 1)
    ]  # fmt: skip


def test_progress_is_told(shop: Record) -> None:
    said: list[tuple[str, int, int]] = []
    type_in(shop, coach("b"), progress=lambda name, done, of: said.append((name, done, of)))
    assert [done for _, done, _ in said] == list(range(len(said)))
    assert {of for *_, of in said} == {len(said)}


def test_what_is_set_in_the_folder_is_what_changes(shop: Record, tmp_path: Path) -> None:
    folder = write_folder(tmp_path / "base", base_rows())
    set_cell(folder, "towing_limit", 0, "value", "60")
    set_cell(folder, "towing_limit", 0, "also_value", "97")
    result = import_path(shop, folder, who=IMRE)
    assert errors(result) == [("towing_limit.csv", 2, "towing_limit", "value", "on_record")]
    assert "different value: '65' (and 1 more cells)" in only(result).message
