"""Several seats at one record: nothing is lost, nothing is doubled, nobody checks their own."""

from __future__ import annotations

import re
import threading
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from tests.helpers import workers
from tests.helpers.shop import (
    BODIL,
    DUNYA,
    IMRE,
    Clock,
    base_rows,
    coach,
    entered,
    fill,
    raw,
    row_of,
)
from tests.helpers.tier import by_tier
from tests.helpers.workers import Day, together
from towdb.errors import UsageError
from towdb.record import review
from towdb.record import withdraw as withdrawing
from towdb.record.entry import ImportResult, import_rows
from towdb.record.evidence import documents
from towdb.record.history import versions
from towdb.record.store import database
from towdb.record.store.names_and_times import same_person
from towdb.record.store.record import Record, rows_of
from towdb.record.withdraw import withdraw
from towdb.reference.check import checked_tables

# Of all seats together, on each database. The check of all rows, a second of work for each import
# however small, would make it an hour: the seats leave it out, and the test after this one has it.
OPERATIONS = by_tier(quick=400, whole=2000)
SEATS = (IMRE, DUNYA, BODIL, "Tamsin Orde", "Wido Harl", "Perrin Aske", "Jorun Vale", "Nevin Stoke")
# The only messages that a seat may get.
CLEAR = (
    r"coach \S+: was entered by .+, on record since [-0-9]+ [:0-9]+ UTC; it must be checked"
    r" by somebody else, or by .+ from [-0-9]+ [:0-9]+ UTC on",
    r"coach \S+: was changed meanwhile; review it again",
    r"was changed by .+ in change \d+ \(.+\)",
)


def test_eight_seats_lose_nothing_and_double_nothing(shop_url: str) -> None:
    with Record(shop_url) as record:
        zero = [entered(coach(name, note="0")) for name in ("left", "right")]
        begun = fill(record, {"coach": zero}).number
    calls = [(shop_url, who, n, OPERATIONS // len(SEATS)) for n, who in enumerate(SEATS)]
    days = together(workers.day_of, calls)
    assert all(isinstance(day, Day) for day in days), next(d for d in days if isinstance(d, str))
    assert sum(day.operations for day in days) == len(SEATS) * (OPERATIONS // len(SEATS))
    assert [day.wrong for day in days] == [[]] * len(SEATS)
    with Record(shop_url) as record:
        _every_change_is_somebodys(record, days, begun)
        _every_row_is_there(record, days)
    told = [message for day in days for _, message in day.refused]
    assert [m for m in told if not any(re.fullmatch(known, m) for known in CLEAR)] == []
    # Each kind of work was done, and each kind of refusal met.
    assert min(len(day.added) for day in days) > 0
    assert all(sum(len(getattr(d, kind)) for d in days) for kind in ("counted", "checked"))
    assert any("was entered by" in message for message in told)
    assert any("was changed by" in message for message in told)


def _every_change_is_somebodys(record: Record, days: list[Day], begun: int) -> None:
    changes = [change for change in record.changes() if change.number > begun]
    assert [change.number for change in changes] == list(range(begun + 1, begun + 1 + len(changes)))
    times = [change.at for change in changes]
    assert times == sorted(set(times))
    # A change that was reported to a seat, or a check that was.
    whose = {number: day.who for day in days for number in (n for _, n in day.added)}
    whose |= {number: day.who for day in days for number in day.counted}
    assert len(whose) == sum(len(day.added) + len(day.counted) for day in days)
    for change in changes:
        if change.number in whose:
            assert change.who == whose[change.number]
        else:
            assert change.why.startswith("check of coach ")
    checks = Counter(change.who for change in changes if change.number not in whose)
    assert checks == Counter({day.who: len(day.checked) for day in days if day.checked})


def _every_row_is_there(record: Record, days: list[Day]) -> None:
    rows = record.rows()["coach"]
    there = Counter(row["coach_id"] for row in rows)
    assert there == Counter(["brackwater", "left", "right"] + [k for d in days for k, _ in d.added])
    raised = sum(len(day.counted) for day in days)
    left, right = (row_of({"coach": rows}, "coach", name)["note"] for name in ("left", "right"))
    assert left == right
    assert (left or "").split()[0] == str(raised)
    entered_by = {key: day.who for day in days for key, _ in day.added}
    for row in rows:
        assert row["coach_id"] not in entered_by or row["entered_by"] == entered_by[row["coach_id"]]
    # In no version that ever stood did anybody check what they had entered that day.
    for row in [v.row for r in rows for v in versions(record, "coach", str(r["coach_id"]))]:
        if row["checked_by"] is not None and row["entered_on"] == row["checked_on"]:
            assert not same_person(row["checked_by"], row["entered_by"])
    once = Counter(key for day in days for key in day.checked if key not in ("left", "right"))
    assert set(once.values()) <= {1}


def test_commands_at_the_same_time_are_all_carried_out(shop_url: str) -> None:
    # With all that a command does, the check of all rows too: seconds each, one after the other.
    running = [
        workers.Running("record", "add", "coach", *(f"{n}={v}" for n, v in cells.items() if v),
                        "--record", shop_url, "--as", who)
        for who in SEATS[:4]
        for cells in [coach(f"of-{who.split()[0].lower()}")]
    ]  # fmt: skip
    said = [each.end() for each in running]
    assert [(s.status, s.err) for s in said] == 4 * [(0, "")]
    with Record(shop_url) as record:
        assert [change.number for change in record.changes()] == [1, 2, 3, 4, 5]
        assert sorted(c.who for c in record.changes()[1:]) == sorted(SEATS[:4])
        assert len(record.rows()["coach"]) == 5


# In PostgreSQL a seat waits for as long as another is at it.
@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
def test_a_seat_that_waits_too_long_is_told(shop_url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(database, "_BUSY_MS", 1)
    with Record(shop_url) as one, Record(shop_url) as other:
        with one.changing(IMRE, "first") as changing:
            changing.add("coach", [entered(coach("first"))])
            with pytest.raises(UsageError, match="is locked; nothing was changed"):
                fill(other, {"coach": [entered(coach("second"))]})
        fill(other, {"coach": [entered(coach("second"))]})
        assert [change.number for change in one.changes()] == [1, 2, 3]


def test_a_record_is_begun_by_one_of_many(record_url: str) -> None:
    running = [workers.Running("record", "init", "--record", record_url) for _ in SEATS]
    said = [each.end() for each in running]
    assert sorted(s.status for s in said) == [0] + 7 * [2]
    for refused in (s for s in said if s.status == 2):
        assert refused.err.endswith(
            "is already a record; it was not changed. Name another one\n"
        ), refused.err
    with Record(record_url) as record:
        assert record.changes() == []


def test_a_reader_sees_one_state_throughout(shop: Record, shop_url: str) -> None:
    before = shop.rows()
    with shop.reading() as con:
        first = con.exec_driver_sql("SELECT count(*) FROM coach").scalar()
        with Record(shop_url) as other:
            fill(other, {"coach": [entered(coach("meanwhile"))]})
        again = con.exec_driver_sql("SELECT count(*) FROM coach").scalar()
    assert (first, again) == (1, 1)
    assert len(shop.rows()["coach"]) == len(before["coach"]) + 1


@pytest.mark.parametrize("place", ["postgresql"], indirect=True)
@pytest.mark.parametrize("level", ["repeatable read", "serializable"])
def test_a_server_may_isolate_more_than_is_asked_for(
    shop_url: str, level: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A transaction that took its picture before it got the lock must not act on that picture."""
    words = level.replace(" ", r"\ ")
    monkeypatch.setenv("PGOPTIONS", f"-c default_transaction_isolation={words}")
    with Record(shop_url) as one, Record(shop_url) as other:
        errors: list[UsageError] = []

        def second() -> None:
            try:
                fill(other, {"coach": [entered(coach("second"))]})
            except UsageError as error:
                errors.append(error)

        with one.changing(IMRE, "first") as changing:
            changing.add("coach", [entered(coach("first"))])
            seat = threading.Thread(target=second)
            seat.start()
            waiting = "SELECT count(*) FROM pg_locks WHERE locktype = 'advisory' AND NOT granted"
            while raw(shop_url, waiting) == [(0,)]:
                assert seat.is_alive(), errors
        seat.join()
        assert errors == []
        assert [change.number for change in one.changes()] == [1, 2, 3]


# ---------------------------------------------------------------- between a look and a change


def meanwhile(monkeypatch: pytest.MonkeyPatch, act: Callable[[], object]) -> None:
    """Another seat writes while somebody looks at what they are about to withdraw."""
    seats: list[str] = []

    def looked(*given: Any) -> Any:
        found = rows_of(*given)
        if not seats:
            seats.append("the other")
            act()
        return found

    monkeypatch.setattr(withdrawing, "rows_of", looked)


@contextmanager
def under_the_lock(monkeypatch: pytest.MonkeyPatch, act: Callable[[], object]) -> Iterator[None]:
    """Another seat begins to write while somebody who has the lock reads the current rows."""
    seats: list[threading.Thread] = []

    def looked(*given: Any) -> Any:
        found = rows_of(*given)
        if not seats:
            seats.append(threading.Thread(target=act))
            seats[0].start()
            # If nothing stopped it, it would have written by then.
            seats[0].join(0.3)
        return found

    monkeypatch.setattr(documents, "rows_of", looked)
    yield
    seats[0].join()


def test_a_row_is_withdrawn_once(
    shop: Record, shop_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Record(shop_url) as other:
        meanwhile(
            monkeypatch, lambda: withdraw(other, "eligibility", "vole", who=DUNYA, why="first")
        )
        with pytest.raises(UsageError, match="eligibility vole: is not on record"):
            withdraw(shop, "eligibility", "vole", who=IMRE, why="second")
    assert [change.why for change in shop.changes()][1:] == ["first"]


def retitled(record: Record) -> None:
    title = {"source_id": "pika-om", "title": "Owner's Manual of the Pika"}
    assert import_rows(record, [("source", title)], who=DUNYA, change=True).change is not None


def test_a_source_that_is_withdrawn_keeps_what_others_wrote_meanwhile(
    shop: Record, shop_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Record(shop_url) as other:
        meanwhile(monkeypatch, lambda: retitled(other))
        withdraw(shop, "source", "pika-om", who=IMRE, why="new edition", on="2025-04-01")
    source = row_of(shop.rows(), "source", "pika-om")
    assert source["title"] == "Owner's Manual of the Pika"
    assert source["withdrawn_on"] == "2025-04-01"
    assert [change.who for change in shop.changes()][1:] == [DUNYA, IMRE]


def test_a_document_that_is_attached_keeps_what_others_wrote_meanwhile(
    shop: Record, shop_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with shop.changing(IMRE, "no hash yet") as changing:
        named = row_of(base_rows(), "source", "pika-om") | {"file_sha256": None}
        changing.replace("source", [named])
    (tmp_path / "manual.txt").write_text("Towing\n")
    with Record(shop_url) as other, under_the_lock(monkeypatch, lambda: retitled(other)):
        documents.attach(shop, tmp_path / "manual.txt", "pika-om", who=IMRE)
    source = row_of(shop.rows(), "source", "pika-om")
    assert source["title"] == "Owner's Manual of the Pika"
    assert source["file_sha256"] is not None


def test_what_others_write_meanwhile_is_judged_beside_what_a_withdrawal_leaves(
    shop: Record, shop_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    # A list of ids, which no foreign key guards.
    exception = {"eligibility_id": "late", "overrides": "key, button"}
    told: list[ImportResult] = []
    with Record(shop_url) as other:

        def point_at_it() -> None:
            rows = [("eligibility", exception)]
            told.append(import_rows(other, rows, who=DUNYA, change=True))

        meanwhile(monkeypatch, point_at_it)
        done = withdraw(shop, "eligibility", "button", who=IMRE, why="misread")
    assert [result.ok for result in told] == [True]
    assert ("late", "overrides", "key, button", "key") in {d[1:] for d in done.changed}
    assert row_of(shop.rows(), "eligibility", "late")["overrides"] == "key"
    with checked_tables(shop.tables(), shop.name) as outcome:
        assert [f.message for f in outcome.result.found if f.severity == "error"] == []


def test_a_step_that_came_meanwhile_is_not_passed_over(unchecked: Record) -> None:
    unit = review.find_unit(unchecked, "key")
    step = row_of(base_rows(is_checked=False), "procedure_step", "after-2")
    more = step | {"procedure_step_id": "after-3", "step_no": "3", "printed_no": "7"}
    fill(unchecked, {"procedure_step": [more]})
    with pytest.raises(UsageError, match="was changed meanwhile"):
        review.accept(unchecked, unit, who=DUNYA, counts=unit.counts)
    assert row_of(unchecked.rows(), "eligibility", "key")["checked_by"] is None


def test_a_check_that_was_made_meanwhile_is_not_made_again(unchecked: Record) -> None:
    unit = review.find_unit(unchecked, "key")
    assert review.accept(unchecked, unit, who=DUNYA, counts=unit.counts)
    with pytest.raises(UsageError, match="was changed meanwhile"):
        review.accept(unchecked, unit, who=BODIL, counts=unit.counts)
    assert row_of(unchecked.rows(), "eligibility", "key")["checked_by"] == DUNYA


def test_an_entry_of_tomorrow_is_refused_in_words(unchecked: Record, clock: Clock) -> None:
    """A seat whose own day has begun earlier than the day in UTC."""
    ahead = entered(coach("ahead"), on="2025-04-03")
    assert clock.day < "2025-04-03"
    fill(unchecked, {"coach": [ahead]})
    unit = review.find_unit(unchecked, "ahead", "coach")
    with pytest.raises(UsageError) as error:
        review.accept(unchecked, unit, who=DUNYA)
    assert "2025-04-03" in str(error.value)
    assert "constraint" not in str(error.value).lower()


def test_what_a_seat_has_not_seen_it_does_not_overwrite(shop: Record, shop_url: str) -> None:
    seen = shop.last_change()
    with Record(shop_url) as other:
        first = import_rows(other, [("coach", coach("brackwater", note="hers"))], who=DUNYA,
                            change=True, seen=seen)  # fmt: skip
        assert first.ok
    second = import_rows(shop, [("coach", coach("brackwater", note="his"))], who=IMRE,
                         change=True, seen=seen)  # fmt: skip
    (finding,) = [f for f in second.findings if f.severity == "error"]
    assert finding.message.startswith(f"was changed by {DUNYA} in change 2")
    assert row_of(shop.rows(), "coach", "brackwater")["note"] == "hers"
