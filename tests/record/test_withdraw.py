"""Withdrawals that are shown first, and take with them what belongs to a row."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from tests.helpers.answers import COACH, shortlist, verdicts
from tests.helpers.shop import (
    BODIL,
    DUNYA,
    IMRE,
    Clock,
    base_rows,
    below_statement,
    by_key,
    entered,
    fill,
    keys,
    row_of,
    typed,
    with_cells,
    without,
)
from towdb.errors import DataError, UsageError
from towdb.record import withdraw as withdrawing
from towdb.record.entry import import_rows
from towdb.record.export import release
from towdb.record.history import versions
from towdb.record.store.record import Record, Row, Rows
from towdb.record.store.tables import ENTRY
from towdb.record.withdraw import withdraw
from towdb.reference.check import checked_tables


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
        assert sorted(gone) == sorted(below_statement(base_rows(), statement))
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
        with pytest.raises(UsageError, match="the reason is missing; state why"):
            withdraw(shop, "eligibility", "vole", who=IMRE, why=why)
    with pytest.raises(UsageError, match="is not on record"):
        withdraw(shop, "eligibility", "no-such", who=IMRE, why="a misprint")
    with pytest.raises(UsageError, match="did you mean coach"):
        withdraw(shop, "coahc", "brackwater", who=IMRE, why="a misprint")
    with pytest.raises(UsageError, match="your name is missing or cannot be used"):
        withdraw(shop, "eligibility", "vole", who=" ", why="a misprint")
    assert shop.last_change() == 1


def test_a_source_is_marked_and_what_cites_it_stays(shop: Record, clock: Clock) -> None:
    before = shop.rows()
    options: dict[str, Any] = {"who": BODIL, "why": "second edition", "on": "2025-03-31"}
    preview = withdraw(shop, "source", "pika-om", dry_run=True, **options)
    assert shop.rows() == before
    done = withdraw(shop, "source", "pika-om", **options)
    assert done.rows == preview.rows == (("source", "pika-om"),)
    # The person who withdraws it has written the row, and it awaits a check: it permits nothing.
    entry = dict(zip(ENTRY, (BODIL, clock.day, None, None), strict=True))
    assert shop.rows() == with_cells(
        before, "source", "pika-om", withdrawn_on="2025-03-31", **entry
    )
    with pytest.raises(UsageError, match="is not a date"):
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
        with checked_tables(*arguments) as outcome:
            if shop.last_change() == 1:
                with Record(shop_url) as seat:
                    fill(seat, {table: [row]}, DUNYA)
            yield outcome

    monkeypatch.setattr(withdrawing, "checked_tables", slow_judge)
    done = withdraw(shop, "eligibility", "vole", who=IMRE, why="a misprint")
    assert done.change is not None
    assert done.change.number == shop.last_change() == 3
    # Nothing that came meanwhile points at what is gone.
    if table == "towing_limit":
        assert (table, key) in done.rows
        assert key not in keys(shop.rows(), table)
    else:
        assert row_of(shop.rows(), table, key)["overrides"] is None
    with checked_tables(shop.tables(), shop.name) as outcome:
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
