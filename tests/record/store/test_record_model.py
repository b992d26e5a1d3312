"""Random work on a record, compared after every step with plain lists of rows and changes."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from tests.helpers.shop import (
    BEGUN,
    DUNYA,
    IMRE,
    MICROSECOND,
    Clock,
    Place,
    as_typed,
    base_rows,
    by_key,
    coach,
    row_of,
    typed,
)
from tests.helpers.tier import by_tier
from towdb.contract.model import contract
from towdb.errors import UsageError
from towdb.record import plan
from towdb.record import withdraw as withdrawing
from towdb.record.entry import import_rows
from towdb.record.review import accept, find_unit
from towdb.record.store import record as store
from towdb.record.store.record import Record, Row, Rows
from towdb.record.store.tables import ENTRY
from towdb.record.withdraw import withdraw

PEOPLE = st.sampled_from([IMRE, "imre  SOLVANG ", DUNYA])
COACHES = st.sampled_from(["a", "b", "c.1", "c-1"])
STATEMENTS = st.sampled_from(["s-1", "s-2"])
NOTES = st.sampled_from([None, "repainted", "4400.10", "0.150000", "'; --", 'a "b"\nc'])


@dataclass
class Stood:
    """A row, and from which change on until which it stood: not at its end."""

    table: str
    key: str
    row: Row
    since: int
    until: int | None = None

    def stands_at(self, number: int) -> bool:
        return self.since <= number and (self.until is None or number < self.until)


def statement(key: str, heading: str | None, limits: int) -> dict[tuple[str, str], Row]:
    """A prohibition of the base folder's Vole, with some limits, as it is typed."""
    rows = base_rows()
    said = row_of(rows, "eligibility", "vole") | {
        "eligibility_id": key, "towing_method": "front_wheels_up", "permission": "prohibited",
        "section_heading": heading,
    }  # fmt: skip
    found = {("eligibility", key): said}
    speed = row_of(rows, "towing_limit", "key-speed")
    for n in range(limits):
        name = f"{key}.{n}"
        found["towing_limit", name] = speed | {"towing_limit_id": name, "eligibility_id": key}
    return {at: typed(row) for at, row in found.items()}


class RecordMachine(RuleBasedStateMachine):
    """People at a record, and what must be in it by a plain reading of what they did."""

    def __init__(self, place: Place, patch: pytest.MonkeyPatch) -> None:
        super().__init__()
        self.clock = Clock()
        patch.setattr(store, "_now", self.clock)
        self.open = ExitStack()
        folder = Path(self.open.enter_context(tempfile.TemporaryDirectory()))
        url = self.open.enter_context(place.shop(folder, is_checked=True))
        self.record = self.open.enter_context(Record(url))
        self.times = [BEGUN]
        self.stood = [
            Stood(name, str(row[table.key]), row, 1)
            for name, table in contract().tables.items()
            for row in base_rows()[name]
        ]

    # -------------------------------------------------------- the plain reading

    def next_time(self) -> datetime:
        return max(self.clock.now, self.times[-1] + MICROSECOND)

    def now(self, table: str, key: str) -> Stood | None:
        for one in self.stood:
            if (one.table, one.key, one.until) == (table, key, None):
                return one
        return None

    def write(self, rows: dict[tuple[str, str], Row | None]) -> None:
        """A change: rows take the place of the current ones; None withdraws a row."""
        if rows:
            number = len(self.times) + 1
            self.times.append(self.next_time())
            for (table, key), row in rows.items():
                if (there := self.now(table, key)) is not None:
                    there.until = number
                if row is not None:
                    self.stood.append(Stood(table, key, row, number))

    def as_of(self, number: int) -> Rows:
        rows: Rows = {}
        for one in self.stood:
            if one.stands_at(number):
                rows.setdefault(one.table, []).append(one.row)
        return by_key(rows)

    def entry_of(self, who: str) -> Row:
        day = self.next_time().date().isoformat()
        return dict(zip(ENTRY, (" ".join(who.split()), day, None, None), strict=True))

    # -------------------------------------------------------- what people do

    @rule(hours=st.sampled_from([0, 1, 7, 24, 60, -1, -30]))
    def time_goes_by_or_the_clock_is_set_back(self, hours: int) -> None:
        self.clock.forward(hours=hours)

    def type_in(self, typed: dict[tuple[str, str], Row], who: str, may_change: bool) -> None:
        new: dict[tuple[str, str], Row | None] = {}
        changed: dict[tuple[str, str], Row | None] = {}
        for at, cells in typed.items():
            there = self.now(*at)
            row = cells | self.entry_of(who)
            if there is None:
                new[at] = row
            elif any(there.row[c] != cell for c, cell in cells.items()):
                changed[at] = row
        result = import_rows(self.record, [(table, cells) for (table, _), cells in typed.items()],
                             who=who, change=may_change)  # fmt: skip
        refused = bool(changed) and not may_change
        assert result.ok is not refused, result.findings
        assert sorted(result.added) == sorted(new)
        assert result.left == len(typed) - len(new) - len(changed)
        assert {(d.table, d.key) for d in result.changed} == (set() if refused else set(changed))
        if not refused:
            self.write(new | changed)

    @rule(notes=st.dictionaries(COACHES, NOTES, min_size=1), who=PEOPLE, may_change=st.booleans())
    def coaches_are_typed(self, notes: dict[str, str | None], who: str, may_change: bool) -> None:
        typed = {("coach", key): coach(key, note=note) for key, note in notes.items()}
        self.type_in(typed, who, may_change)

    @rule(key=STATEMENTS, heading=NOTES, limits=st.integers(0, 2), who=PEOPLE, may=st.booleans())
    def a_statement_is_typed(
        self, key: str, heading: str | None, limits: int, who: str, may: bool
    ) -> None:
        heading = heading and heading.replace("\n", " ")
        self.type_in(statement(key, heading, limits), who, may)

    def children(self, key: str) -> list[Stood]:
        return [one for one in self.stood if one.until is None and one.table == "towing_limit"
                and one.row["eligibility_id"] == key]  # fmt: skip

    def is_there(self, *tables: str) -> bool:
        return any(one.until is None and one.since > 1 and one.table in tables
                   for one in self.stood)  # fmt: skip

    def unit_of(self, data: st.DataObject) -> tuple[Stood, list[Stood]]:
        typed = [one for one in self.stood if one.until is None and one.since > 1
                 and one.table != "towing_limit"]  # fmt: skip
        one = data.draw(st.sampled_from(sorted(typed, key=lambda each: (each.table, each.key))))
        return one, [one, *(self.children(one.key) if one.table == "eligibility" else ())]

    @precondition(lambda self: self.is_there("coach", "eligibility"))
    @rule(data=st.data(), who=PEOPLE)
    def somebody_checks(self, data: st.DataObject, who: str) -> None:
        one, unit = self.unit_of(data)
        shown = find_unit(self.record, one.key, one.table)
        assert {table: len(rows) for table, rows in shown.rows.items() if rows} == {
            table: sum(each.table == table for each in unit)
            for table in {each.table for each in unit}
        }
        name, day = self.entry_of(who)["entered_by"], self.entry_of(who)["entered_on"]
        awaiting = [each for each in unit if each.row["checked_by"] is None]
        a_night_ago = self.next_time() - timedelta(hours=12)
        own = [each for each in awaiting
               if str(each.row["entered_by"]).lower() == str(name).lower()
               and (str(each.row["entered_on"]) >= str(day)
                    or self.times[each.since - 1] > a_night_ago)]  # fmt: skip
        counts = shown.counts if one.table == "eligibility" else None
        if own:
            with pytest.raises(UsageError, match="it must be checked by somebody else"):
                accept(self.record, shown, who=who, counts=counts)
            return
        accept(self.record, shown, who=who, counts=counts)
        self.write({
            (each.table, each.key): each.row | {"checked_by": name, "checked_on": day}
            for each in awaiting
        })  # fmt: skip

    @precondition(lambda self: self.is_there("coach", "eligibility"))
    @rule(data=st.data(), who=PEOPLE)
    def somebody_withdraws(self, data: st.DataObject, who: str) -> None:
        one, unit = self.unit_of(data)
        preview = withdraw(self.record, one.table, one.key, who=who, why="x", dry_run=True)
        done = withdraw(self.record, one.table, one.key, who=who, why="x")
        assert done.rows == preview.rows
        assert sorted(done.rows) == sorted((each.table, each.key) for each in unit)
        self.write({(each.table, each.key): None for each in unit})

    # -------------------------------------------------------- what must be true

    @invariant()
    def what_stands_is_what_was_done(self) -> None:
        assert self.record.last_change() == len(self.times)
        assert self.record.rows() == self.as_of(len(self.times))

    @rule(data=st.data())
    def somebody_looks_back(self, data: st.DataObject) -> None:
        number = data.draw(st.integers(0, len(self.times)))
        assert self.record.rows(number) == self.as_of(number)
        # Until the next change, and not at it.
        if number:
            at = self.times[number - 1]
            assert self.record.change_at(as_typed(at)) == number
            assert self.record.change_at(as_typed(at - MICROSECOND)) == number - 1

    def teardown(self) -> None:
        with self.open:
            assert [change.at for change in self.record.changes()] == list(
                map(as_typed, self.times)
            )
            for number in range(len(self.times) + 1):
                assert self.record.rows(number) == self.as_of(number)
            midway = self.times[0] + timedelta(seconds=1)
            assert self.record.change_at(as_typed(midway)) == sum(t <= midway for t in self.times)


@contextmanager
def no_rule_broken(*_: Any) -> Iterator[Any]:
    """The rules are slow, and rows here break none: what they find is tested elsewhere."""
    yield SimpleNamespace(result=SimpleNamespace(found=(), ok=True))


def work(place: Place, patch: pytest.MonkeyPatch, examples: int, steps: int) -> None:
    class Here(RecordMachine):
        def __init__(self) -> None:
            super().__init__(place, patch)

    few = settings(
        max_examples=examples, stateful_step_count=steps, suppress_health_check=list(HealthCheck)
    )
    run_state_machine_as_test(Here, settings=few)


def test_a_record_holds_what_was_done_at_it(place: Place, monkeypatch: pytest.MonkeyPatch) -> None:
    for module in (plan, withdrawing):
        monkeypatch.setattr(module, "checked_tables", no_rule_broken)
    work(place, monkeypatch, examples=by_tier(quick=4, whole=15), steps=12)


def test_a_record_holds_what_was_done_under_its_rules(
    place: Place, monkeypatch: pytest.MonkeyPatch
) -> None:
    work(place, monkeypatch, examples=by_tier(quick=1, whole=2), steps=6)
