"""Histories, withdrawals that are shown first, and drafts that do not enter by themselves."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.helpers.answers import COACH, shortlist, verdicts
from tests.helpers.shop import (
    BODIL,
    DUNYA,
    IMRE,
    Clock,
    base_rows,
    by_key,
    coach,
    entered,
    errors,
    fill,
    keys,
    row_of,
    typed,
    with_cells,
    without,
)
from tests.helpers.typed_workbooks import column_of, read
from towdb.contract.model import contract
from towdb.errors import DataError, UsageError
from towdb.record import care
from towdb.record.care import CITATION, carry_forward, steps_between, versions, withdraw
from towdb.record.entry import import_path, import_rows
from towdb.record.export import release
from towdb.record.review import accept, find_unit
from towdb.record.store.record import Record, Row, Rows
from towdb.record.store.tables import ENTRY
from towdb.reference.check import judged_tables

# ---------------------------------------------------------------- histories


def test_a_history_says_who_when_why_and_what(shop: Record, clock: Clock) -> None:
    import_rows(shop, [("coach", coach("b"))], who=IMRE, why="new in the yard")
    clock.forward(days=1)
    changed = typed(row_of(shop.rows(), "coach", "b"), note="repainted")
    import_rows(shop, [("coach", changed)], who=BODIL, why="green", change=True)
    accept(shop, find_unit(shop, "b", "coach"), who=DUNYA, why="seen")
    stood = row_of(shop.rows(), "coach", "b")
    withdraw(shop, "coach", "b", who=IMRE, why="sold")
    found = versions(shop, "coach", "b")
    assert [(v.change, v.until) for v in found] == list(
        zip(shop.changes()[1:4], [3, 4, 5], strict=True)
    )
    assert [(v.change.who, v.change.why) for v in found] == [
        (IMRE, "new in the yard"), (BODIL, "green"), (DUNYA, "seen")
    ]  # fmt: skip
    assert [v.row for v in found] == [
        row_of(shop.rows(v.change.number), "coach", "b") for v in found
    ]
    assert found[-1].row == stood
    steps = [{d.column: (d.was, d.becomes) for d in changed} for _, changed in steps_between(found)]
    assert steps == [
        {},
        {"note": (None, "repainted"), "entered_by": (IMRE, BODIL),
         "entered_on": ("2025-04-02", "2025-04-03")},
        {"checked_by": (None, DUNYA), "checked_on": (None, "2025-04-03")},
    ]  # fmt: skip


def test_the_history_of_a_statement_is_that_of_its_steps_fuses_and_limits(shop: Record) -> None:
    limit = typed(row_of(shop.rows(), "towing_limit", "key-engine"), value="6")
    fuse = typed(row_of(shop.rows(), "fuse_pull", "f12"), rating_a="20")
    rows = [("towing_limit", limit), ("fuse_pull", fuse)]
    assert import_rows(shop, rows, who=IMRE, change=True).ok
    found = versions(shop, "eligibility", "key")
    assert [(v.table, v.key, v.until) for v in found if v.change.number == 2] == [
        ("towing_limit", "key-engine", None), ("fuse_pull", "f12", None)
    ]  # fmt: skip
    assert {(v.table, v.key): v.until for v in found if v.change.number == 1} == {
        (name, str(key)): 2 if key in ("key-engine", "f12") else None
        for name, key in _below(base_rows(), "key")
    }


def test_a_history_of_what_never_was_is_refused(shop: Record) -> None:
    with pytest.raises(UsageError, match="is not and never was on record"):
        versions(shop, "coach", "no-such")
    with pytest.raises(UsageError, match="did you mean coach"):
        versions(shop, "coahc", "brackwater")


# ---------------------------------------------------------------- withdrawals


def _below(rows: Rows, statement: str) -> list[tuple[str, str]]:
    """A statement with its steps, fuses and limits, found by reading the folder."""
    found = [("eligibility", statement)]
    for step in rows["procedure_step"]:
        if step["eligibility_id"] == statement:
            found.append(("procedure_step", str(step["procedure_step_id"])))
            found += [
                ("fuse_pull", str(fuse["fuse_pull_id"]))
                for fuse in rows["fuse_pull"]
                if fuse["procedure_step_id"] == step["procedure_step_id"]
            ]
    return found + [
        ("towing_limit", str(limit["towing_limit_id"]))
        for limit in rows["towing_limit"]
        if limit["eligibility_id"] == statement
    ]


def take_out(
    record: Record, table: str, key: str, expected: Callable[[Rows], Rows] = lambda rows: rows
) -> list[tuple[str, str]]:
    """Look what a withdrawal would take, then withdraw; the rows that left.

    `expected` says what else changes of the rows that are left.
    """
    before, last = record.rows(), record.last_change()
    preview = withdraw(record, table, key, who=IMRE, why="a misprint", dry_run=True)
    assert record.rows() == before
    assert record.last_change() == last
    done = withdraw(record, table, key, who=IMRE, why="a misprint")
    assert done.rows == preview.rows
    assert preview.change is None
    assert done.change == record.changes()[-1]
    assert done.change.number == last + 1
    assert record.rows() == expected(without(before, list(done.rows)))
    assert record.rows(last) == before
    return list(done.rows)


def test_a_withdrawal_takes_what_was_shown_and_what_belongs_to_it(shop: Record) -> None:
    # `button` has its steps from `key`, `late` overrides it: they go first. `key` then takes eight
    # steps, a fuse and two limits.
    for statement in ("button", "late", "key"):
        gone = take_out(shop, "eligibility", statement)
        assert sorted(gone) == sorted(_below(base_rows(), statement))
    assert len(gone) == 12
    assert shop.rows(1) == by_key(base_rows())


def unchecked(rows: Rows, clock: Clock, *changed: tuple[str, str, Row]) -> Rows:
    """The rows with some of them changed by Imre today: what changes loses its check."""
    entry = dict(zip(ENTRY, (IMRE, clock.day, None, None), strict=True))
    for table, key, cells in changed:
        rows = with_cells(rows, table, key, **cells, **entry)
    return rows


# What is withdrawn, what goes with it, what changes in the same change, and what then permits.
PARTS: dict[
    str, tuple[tuple[str, str], list[tuple[str, str]], list[tuple[str, str, Row]], set[str]]
]
PARTS = {
    "a limit": (
        ("towing_limit", "key-speed"), [], [("eligibility", "key", {"limits": "1"})], {"by button"}
    ),
    "a step with its fuse": (
        ("procedure_step", "before-3"),
        [("fuse_pull", "f12")],
        [
            ("eligibility", "button", {}),
            ("eligibility", "key", {"steps_before": "2", "fuse_pulls": "0"}),
            ("procedure_step", "before-4", {"step_no": "3"}),
        ],
        set(),
    ),
    "one of two rows of a printed step": (
        ("procedure_step", "before-1"),
        [],
        [
            ("eligibility", "button", {}),
            ("eligibility", "key", {}),
            ("procedure_step", "before-2", {"step_no": "1"}),
            ("procedure_step", "before-3", {"step_no": "2"}),
            ("procedure_step", "before-4", {"step_no": "3"}),
        ],
        set(),
    ),
    "a boxed warning, which is not counted": (
        ("procedure_step", "before-4"),
        [],
        [("eligibility", "button", {}), ("eligibility", "key", {})],
        set(),
    ),
    "a fuse": (
        ("fuse_pull", "f12"),
        [],
        [("eligibility", "button", {}), ("eligibility", "key", {"fuse_pulls": "0"})],
        set(),
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", PARTS)
def test_a_part_goes_with_its_count_and_the_statement_awaits_a_check(
    shop: Record, clock: Clock, tmp_path: Path, case: str
) -> None:
    (table, key), below, changed, permits = PARTS[case]
    before, last = shop.rows(), shop.last_change()
    gone = [(table, key), *below]
    preview = withdraw(shop, table, key, who=IMRE, why="one too many", dry_run=True)
    assert shop.rows() == before
    done = withdraw(shop, table, key, who=IMRE, why="one too many")
    assert done.rows == preview.rows == tuple(gone)
    assert done.changed == preview.changed
    assert {(d.table, d.key) for d in done.changed} == {(name, of) for name, of, _ in changed}
    told = {(d.table, d.key, d.column): d.becomes for d in done.changed if d.column not in ENTRY}
    assert told == {(name, of, c): cell for name, of, row in changed for c, cell in row.items()}
    assert shop.last_change() == last + 1
    assert shop.rows() == unchecked(without(before, gone), clock, *changed)
    assert shop.rows(last) == before
    # Less is demanded of the driver now, and nobody has compared that with the page.
    release(shop, tmp_path / "after.duckdb", who=IMRE)
    found = verdicts(tmp_path / "after.duckdb", "by key", "by button")
    assert {car for car, verdict in found.items() if verdict == "suitable"} == permits


def test_a_general_step_leaves_no_gap(shop: Record, clock: Clock) -> None:
    before = shop.rows()
    done = withdraw(shop, "general_step", "coupling-3", who=IMRE, why="one too many")
    assert done.rows == (("general_step", "coupling-3"),)
    assert shop.rows() == unchecked(
        without(before, [("general_step", "coupling-3")]), clock,
        ("general_step", "coupling-4", {"step_no": "3"}),
        ("general_step", "coupling-5", {"step_no": "4"}),
    )  # fmt: skip


def test_a_statement_that_is_gone_is_overridden_by_nothing(shop: Record, clock: Clock) -> None:
    named = typed(row_of(shop.rows(), "eligibility", "late"), overrides="key, button")
    assert import_rows(shop, [("eligibility", named)], who=DUNYA, change=True).ok
    before = shop.rows()
    gone = take_out(shop, "eligibility", "button", expected=lambda rows: unchecked(
        rows, clock, ("eligibility", "late", {"overrides": "key"})
    ))  # fmt: skip
    gone += take_out(shop, "eligibility", "key", expected=lambda rows: unchecked(
        rows, clock, ("eligibility", "late", {"overrides": None})
    ))  # fmt: skip
    assert shop.rows() == unchecked(
        without(before, gone), clock, ("eligibility", "late", {"overrides": None})
    )


def test_a_withdrawal_is_on_record(shop: Record, clock: Clock) -> None:
    done = withdraw(shop, "eligibility", "vole", who=" Dunya  Orrel", why=" another edition ")
    assert done.change is not None
    assert (done.change.who, done.change.why) == (DUNYA, "another edition")
    assert done.change.day == clock.day
    (version,) = versions(shop, "eligibility", "vole")
    assert version.until == done.change.number


@pytest.mark.parametrize(
    ("table", "key", "pointing"),
    [
        ("eligibility", "key", ["button"]),
        ("vehicle_group", "pika-late", ["late", "late-gvwr"]),
        ("coach", "brackwater", ["gcwr", "gvwr", "loaded"]),
        ("towing_rule", "brakes", ["light", "brakes-stop"]),
    ],
)
def test_what_others_need_is_not_withdrawn(
    shop: Record, table: str, key: str, pointing: list[str]
) -> None:
    before = shop.rows()
    for dry_run in (True, False):
        with pytest.raises(DataError) as error:
            withdraw(shop, table, key, who=IMRE, why="a misprint", dry_run=dry_run)
        lines = str(error.value).splitlines()
        # A line each: whose row it is, what is wrong with it, and what to do.
        for name in pointing:
            assert any(f" {name}: " in line and "; " in line for line in lines), (name, lines)
    assert shop.rows() == before
    assert shop.last_change() == 1


def test_a_withdrawal_has_a_row_and_a_reason(shop: Record) -> None:
    for why in ("", " \n"):
        with pytest.raises(UsageError, match="say why"):
            withdraw(shop, "eligibility", "vole", who=IMRE, why=why)
    with pytest.raises(UsageError, match="is not on record"):
        withdraw(shop, "eligibility", "no-such", who=IMRE, why="a misprint")
    with pytest.raises(UsageError, match="did you mean coach"):
        withdraw(shop, "coahc", "brackwater", who=IMRE, why="a misprint")
    with pytest.raises(UsageError, match="say who you are"):
        withdraw(shop, "eligibility", "vole", who=" ", why="a misprint")
    assert shop.last_change() == 1


def test_a_source_is_marked_and_what_cites_it_stays(shop: Record, clock: Clock) -> None:
    before = shop.rows()
    options: dict[str, Any] = {"who": BODIL, "why": "second edition", "on": "2025-03-31"}
    preview = withdraw(shop, "source", "pika-om", dry_run=True, **options)
    assert shop.rows() == before
    done = withdraw(shop, "source", "pika-om", **options)
    assert done.rows == preview.rows == (("source", "pika-om"),)
    # Whoever withdraws it has written the row, and it awaits a check: nothing is loosened by it.
    entry = dict(zip(ENTRY, (BODIL, clock.day, None, None), strict=True))
    assert shop.rows() == with_cells(
        before, "source", "pika-om", withdrawn_on="2025-03-31", **entry
    )
    with pytest.raises(UsageError, match="no date"):
        withdraw(shop, "source", "pika-tb", who=BODIL, why="second edition", on="31/3/2025")
    assert shop.last_change() == 2


@pytest.mark.parametrize(
    ("table", "cells"),
    [
        ("towing_limit", {"towing_limit_id": "vole-speed", "eligibility_id": "vole"}),
        ("eligibility", {"eligibility_id": "vole-2", "overrides": "vole"}),
    ],
    ids=["a limit of it", "a list that names it"],
)
def test_what_points_at_a_row_while_it_is_withdrawn_is_judged_with_it(
    shop: Record,
    shop_url: str,
    monkeypatch: pytest.MonkeyPatch,
    table: str,
    cells: dict[str, str | None],
) -> None:
    like = {"towing_limit": "key-speed", "eligibility": "automatic"}[table]
    row = entered(row_of(shop.rows(), table, like) | cells, DUNYA)
    key = str(row[f"{table}_id"])

    @contextmanager
    def slow_judge(*arguments: Any) -> Iterator[Any]:
        with judged_tables(*arguments) as outcome:
            if shop.last_change() == 1:
                with Record(shop_url) as seat:
                    fill(seat, {table: [row]}, DUNYA)
            yield outcome

    monkeypatch.setattr(care, "judged_tables", slow_judge)
    done = withdraw(shop, "eligibility", "vole", who=IMRE, why="a misprint")
    assert done.change is not None
    assert done.change.number == shop.last_change() == 3
    # Nothing that came meanwhile points at what is gone.
    if table == "towing_limit":
        assert (table, key) in done.rows
        assert key not in keys(shop.rows(), table)
    else:
        assert row_of(shop.rows(), table, key)["overrides"] is None
    with judged_tables(shop.tables(), shop.name) as outcome:
        assert [f.message for f in outcome.result.found if f.severity == "error"] == []


def test_a_withdrawal_whose_verdicts_cannot_be_told_is_not_made(
    shop: Record, tmp_path: Path
) -> None:
    with pytest.raises(UsageError):
        withdraw(shop, "eligibility", "vole", who=IMRE, why="a misprint", shortlist=shortlist(),
                 coach=str(tmp_path / "no-such.toml"), folder=tmp_path)  # fmt: skip
    assert shop.last_change() == 1
    assert "vole" in keys(shop.rows(), "eligibility")


def test_the_verdicts_that_were_shown_are_those_that_come(shop: Record, tmp_path: Path) -> None:
    shown: dict[str, Any] = {
        "who": IMRE, "why": "a misprint", "shortlist": shortlist(), "coach": COACH
    }  # fmt: skip
    for name in ("preview", "done"):
        (tmp_path / name).mkdir()
    preview = withdraw(shop, "eligibility", "button", folder=tmp_path / "preview", dry_run=True,
                       **shown)  # fmt: skip
    done = withdraw(shop, "eligibility", "button", folder=tmp_path / "done", **shown)
    assert preview.verdicts == done.verdicts
    (verdict,) = done.verdicts
    assert (verdict["candidate"], verdict["coach"]) == ("by button", COACH)
    assert (verdict["before"], verdict["after"]) == ("suitable", "undetermined")
    assert "eligibility button" in verdict["rows"]


# ---------------------------------------------------------------- next year's drafts


def sheet_rows(path: Path, table: str) -> list[dict[str, Any]]:
    """The rows typed on a sheet of a workbook: what stands below a key."""
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
    # Every drafted row lacks its page; an empty basis is `cited`, as the notes of a workbook say.
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
        with pytest.raises(UsageError, match="no group of it is on record"):
            carry_forward(shop, make, model, year, tmp_path / "drafts.xlsx")
    assert not (tmp_path / "drafts.xlsx").exists()
