"""Histories: who, when, why and what, of a row and of what belongs to it."""

from __future__ import annotations

import pytest

from tests.helpers.shop import (
    BODIL,
    DUNYA,
    IMRE,
    Clock,
    base_rows,
    below_statement,
    coach,
    row_of,
    typed,
)
from towdb.errors import UsageError
from towdb.record.entry import import_rows
from towdb.record.history import steps_between, versions
from towdb.record.review import accept, find_unit
from towdb.record.store.record import Record
from towdb.record.withdraw import withdraw


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
        for name, key in below_statement(base_rows(), "key")
    }


def test_a_history_of_what_never_was_is_refused(shop: Record) -> None:
    with pytest.raises(UsageError, match="is not and never was on record"):
        versions(shop, "coach", "no-such")
    with pytest.raises(UsageError, match="did you mean coach"):
        versions(shop, "coahc", "brackwater")
