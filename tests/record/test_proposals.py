"""While rows are judged, others write; and what is written was judged beside what they wrote."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from tests.helpers.shop import (
    DUNYA,
    IMRE,
    Clock,
    coach,
    entered,
    errors,
    fill,
    row_of,
    write_folder,
)
from towdb.errors import UsageError
from towdb.record import entry, plan
from towdb.record import withdraw as withdrawing
from towdb.record.entry import import_path, import_rows
from towdb.record.proposals import ROUNDS
from towdb.record.store import database
from towdb.record.store.record import Record
from towdb.record.withdraw import withdraw
from towdb.reference.check import FolderCheck, checked_tables


@pytest.fixture
def other(shop: Record, shop_url: str, monkeypatch: pytest.MonkeyPatch) -> Iterator[Record]:
    """Another seat, which is refused at once where it would have to wait for the lock."""
    monkeypatch.setattr(database, "_BUSY_MS", 1)
    monkeypatch.setenv("PGOPTIONS", "-c lock_timeout=1")
    with Record(shop_url) as seat:
        yield seat


class Pause:
    """Somebody acts each time that rows are judged; how often they are is counted."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, act: Callable[[int], object]) -> None:
        self.judged = 0
        self.act = act
        for module in (plan, withdrawing):
            monkeypatch.setattr(module, "checked_tables", self._judged)

    @contextmanager
    def _judged(self, *given: Any) -> Iterator[FolderCheck]:
        self.judged += 1
        self.act(self.judged)
        with checked_tables(*given) as outcome:
            yield outcome


def writes(seat: Record, key: str, **cells: str) -> None:
    fill(seat, {"coach": [entered(coach(key, **cells), DUNYA)]}, DUNYA)


def at_first(act: Callable[[], object]) -> Callable[[int], object]:
    return lambda n: act() if n == 1 else None


def test_an_import_that_is_judged_holds_up_nobody(
    shop: Record, other: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    pause = Pause(monkeypatch, at_first(lambda: writes(other, "hers")))
    result = import_rows(shop, [("coach", coach("his"))], who=IMRE)
    assert result.change is not None
    assert (result.change.number, pause.judged) == (3, 2)
    assert [change.who for change in shop.changes()][1:] == [DUNYA, IMRE]
    assert {"hers", "his"} <= {str(row["coach_id"]) for row in shop.rows()["coach"]}


def test_an_import_that_nobody_disturbs_is_judged_once(
    shop: Record, other: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    pause = Pause(monkeypatch, lambda n: None)
    assert import_rows(shop, [("coach", coach("his"))], who=IMRE).change is not None
    assert pause.judged == 1


def test_what_others_entered_meanwhile_is_on_record(
    shop: Record, other: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    Pause(monkeypatch, at_first(lambda: writes(other, "b", note="hers")))
    result = import_rows(shop, [("coach", coach("b", note="his"))], who=IMRE)
    assert [(column, rule) for *_, column, rule in errors(result)] == [("note", "on_record")]
    assert result.change is None
    assert row_of(shop.rows(), "coach", "b")["note"] == "hers"
    assert shop.last_change() == 2


def test_what_others_withdrew_meanwhile_is_missed(
    shop: Record, other: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    writes(other, "gone")

    def withdrawn() -> None:
        with other.changing(DUNYA, "misread") as changing:
            changing.withdraw("coach", ["gone"])

    Pause(monkeypatch, at_first(withdrawn))
    figure = {
        "coach_property_id": "new", "coach_id": "gone", "property": "gcwr", "value": "30000",
        "unit": "lb", "source_id": "coach-plate", "locator": "door", "quote": "30000 LB",
        "basis": "cited",
    }  # fmt: skip
    result = import_rows(shop, [("coach_property", figure)], who=IMRE)
    assert "ids_point_at_known_rows" in {rule for *_, rule in errors(result)}
    assert shop.rows()["coach_property"] == other.rows(1)["coach_property"]


def test_an_import_among_busy_seats_ends_under_the_lock(
    shop: Record, other: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    locked: list[str] = []

    def busy(n: int) -> None:
        try:
            writes(other, f"hers-{n}")
        except UsageError as error:
            locked.append(str(error))

    pause = Pause(monkeypatch, busy)
    result = import_rows(shop, [("coach", coach("his"))], who=IMRE)
    assert pause.judged == ROUNDS + 1
    # Only the last round was under the lock.
    assert len(locked) == 1
    assert result.change is not None
    assert result.change.number == ROUNDS + 2


def test_a_dry_run_neither_waits_nor_holds_up(
    shop: Record, other: Record, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pause = Pause(monkeypatch, lambda n: None)
    folder = write_folder(tmp_path / "new", {"coach": [entered(coach("his"))]})
    with other.changing(DUNYA, "long") as changing:
        changing.add("coach", [entered(coach("hers"))])
        result = import_path(shop, folder, who=IMRE, dry_run=True)
        gone = withdraw(shop, "eligibility", "vole", who=IMRE, why="misread", dry_run=True)
    assert (result.ok, result.added, result.change) == (True, (("coach", "his"),), None)
    assert (gone.change, ("eligibility", "vole") in gone.rows) == (None, True)
    pause.act = lambda n: writes(other, f"hers-{n}")
    assert import_path(shop, folder, who=IMRE, dry_run=True).ok
    assert pause.judged == 3
    assert shop.last_change() == 3


def test_a_withdrawal_that_is_judged_holds_up_nobody(
    shop: Record, other: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    pause = Pause(monkeypatch, at_first(lambda: writes(other, "hers")))
    done = withdraw(shop, "eligibility", "vole", who=IMRE, why="misread")
    assert done.change is not None
    assert (done.change.number, pause.judged) == (3, 2)
    assert row_of(shop.rows(), "coach", "hers")


def test_rows_are_entered_on_the_day_on_which_they_are_written(
    shop: Record, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    clock.now = datetime(2025, 4, 2, 23, 59, 59)
    pause = Pause(monkeypatch, at_first(lambda: clock.forward(seconds=1)))
    result = import_rows(shop, [("coach", coach("his"))], who=IMRE)
    assert (result.change is not None and result.change.day, pause.judged) == ("2025-04-03", 2)
    assert row_of(shop.rows(), "coach", "his")["entered_on"] == "2025-04-03"


def test_a_folder_is_read_once_and_without_the_lock(
    shop: Record, other: Record, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    read: list[Path] = []
    as_before = entry._read

    def reading(source: Path, who: str, day: str) -> entry.Came:
        read.append(source)
        writes(other, f"while-{len(read)}")
        return as_before(source, who, day)

    monkeypatch.setattr(entry, "_read", reading)
    Pause(monkeypatch, at_first(lambda: writes(other, "hers")))
    folder = write_folder(tmp_path / "new", {"coach": [entered(coach("his"))]})
    assert import_path(shop, folder, who=IMRE).change is not None
    assert read == [folder]
