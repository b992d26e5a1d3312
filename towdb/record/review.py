"""The check by a second person: what awaits it, and its result."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from typing import NamedTuple

from sqlalchemy import func, insert, select

from towdb.contract.model import contract
from towdb.errors import UsageError
from towdb.record.entry import require_table
from towdb.record.own_checks import too_early
from towdb.record.statement_parts import (
    PARTS,
    entered_counts,
    in_printed_order,
    key_of,
    page_place,
    parts_of,
    printed_place,
)
from towdb.record.store.names_and_times import same_person
from towdb.record.store.record import Changing, Record, Row, Rows, rows_of
from towdb.record.store.tables import ENTRY, current, metadata


class Counts(NamedTuple):
    """How many steps, fuses and limits a page prints."""

    steps: int
    fuses: int
    limits: int


class Remark(NamedTuple):
    """Why a row was returned, by whom and when."""

    at: str
    who: str
    remark: str


@dataclass(frozen=True)
class Unit:
    """What is checked together: a statement with its steps, fuses and limits, or one other row."""

    table: str
    key: str
    rows: Mapping[str, list[Row]]
    beside: Mapping[str, Row]
    remarks: tuple[Remark, ...]

    @property
    def row(self) -> Row:
        """The statement, or the one row."""
        return self.rows[self.table][0]

    @property
    def as_printed(self) -> list[tuple[str, Row]]:
        """All rows with their tables, in the order in which they are compared with the page.

        The statement, its limits, then its steps, each followed by its fuses.
        """
        steps = {step["procedure_step_id"]: step for step in self.rows.get("procedure_step", ())}

        def place(one: tuple[str, Row]) -> tuple[object, ...]:
            table, row = one
            step = steps.get(row["procedure_step_id"]) if table == "fuse_pull" else None
            return printed_place(table, row, step)

        return sorted(((t, row) for t, rows in self.rows.items() for row in rows), key=place)

    @property
    def unchecked(self) -> list[tuple[str, str]]:
        """Table and key of what awaits a check."""
        return [
            (table, key_of(table, row)) for table, row in self.as_printed
            if row["checked_by"] is None
        ]  # fmt: skip

    @property
    def counts(self) -> Counts:
        """How many steps, fuses and limits are on record; steps by their printed numbers."""
        counts = entered_counts(self.rows)
        fuses, limits = counts.pop("fuse_pulls"), counts.pop("limits")
        return Counts(sum(counts.values()), fuses, limits)


def awaiting(record: Record) -> list[Unit]:
    """What awaits a check, by source and page: statement by statement, then other rows."""
    return [unit for unit in _units(record.rows(), _remarks(record)) if unit.unchecked]


def find_unit(record: Record, key: str, table: str = "eligibility") -> Unit:
    """What is checked together with one row.

    Raises
    ------
    UsageError
        If there is no such row.
    """
    require_table(table)
    unit = _find(record.rows(), _remarks(record), table, key)
    if unit is not None:
        return unit
    if table in PARTS:
        raise UsageError(f"{table} {key}: is checked with its statement; name the statement")
    raise UsageError(f"{table} {key[:80]}: is not on record")


def accept(
    record: Record, unit: Unit, *, who: str, counts: Counts | None = None, why: str = ""
) -> list[tuple[str, str]]:
    """Record that rows were compared with their page and agree with it.

    Parameters
    ----------
    record : Record
        The record.
    unit : Unit
        As it was shown: if it has changed since, nothing is accepted.
    who : str
        Who compared them.
    counts : Counts, optional
        How many steps, fuses and limits the page prints; a statement needs them.
    why : str
        A remark on the change.

    Returns
    -------
    list of (table, key)
        The rows that are checked now.

    Raises
    ------
    UsageError
        If the person may not check them yet, or their counts differ from the record.
    """
    if unit.table == "eligibility":
        _require_counts(unit, counts)
    with record.changing(who, why or f"check of {unit.table} {unit.key}") as changing:
        change = changing.change
        rows = {name: rows_of(changing.con, name) for name in contract().tables}
        for table, key in _changed(unit, _find(rows, {}, unit.table, unit.key)):
            raise UsageError(f"{table} {key}: was changed meanwhile; review it again")
        checked: dict[str, list[Row]] = {}
        for table, listed in unit.rows.items():
            for row in (row for row in listed if row["checked_by"] is None):
                _require_other_person_or_time(changing, table, row)
                check = {"checked_by": change.who, "checked_on": change.day}
                checked.setdefault(table, []).append({**row, **check})
        for table, listed in checked.items():
            changing.replace(table, listed)
    return unit.unchecked


def give_back(record: Record, unit: Unit, *, who: str, remark: str) -> list[tuple[str, str]]:
    """Return rows to the person who entered them, with a remark.

    Their earlier checks no longer count. The rows are on the list again, and permit nothing until
    they are checked.

    Returns
    -------
    list of (table, key)
        The rows whose checks no longer count.

    Raises
    ------
    UsageError
        If the remark is empty.
    """
    if not remark.strip():
        raise UsageError("the remark is missing; state what is wrong: --return TEXT")
    table = metadata().tables["returned"]
    with record.changing(who, f"return of {unit.table} {unit.key}") as changing:
        rows = {name: rows_of(changing.con, name) for name in contract().tables}
        stands = _find(rows, {}, unit.table, unit.key)
        if stands is None:
            raise UsageError(f"{unit.table} {unit.key}: is no longer on record")
        checked = {
            name: [row for row in listed if row["checked_by"] is not None]
            for name, listed in stands.rows.items()
        }
        for name, listed in checked.items():
            changing.replace(name, [row | dict.fromkeys(ENTRY[2:]) for row in listed])
        number = (changing.con.scalar(select(func.max(table.c.number))) or 0) + 1
        now = current(unit.table)
        key = contract().tables[unit.table].key
        from_change = changing.con.scalar(select(now.c.from_change).where(now.c[key] == unit.key))
        row = {
            "number": number, "table_name": unit.table, "row_key": unit.key,
            "from_change": from_change, "at": changing.change.at, "who": changing.change.who,
            "remark": remark.strip(),
        }  # fmt: skip
        changing.con.execute(insert(table), [row])
    return [(name, key_of(name, row)) for name, listed in checked.items() for row in listed]


def _require_counts(unit: Unit, counts: Counts | None) -> None:
    if counts is None:
        raise UsageError(
            "the counts are missing; count the steps, fuses and limits on the page:"
            " --counts STEPS,FUSES,LIMITS"
        )
    if counts != unit.counts:
        # The count that differs is not named: the person must find it on the page, not agree.
        raise UsageError(
            f"eligibility {unit.key}: your counts differ from those on record;"
            " compare again, or return it with a remark"
        )


def _require_other_person_or_time(changing: Changing, table: str, row: Row) -> None:
    key, day = key_of(table, row), changing.change.day
    if str(row["entered_on"]) > day:
        raise UsageError(
            f"{table} {key}: was entered on {row['entered_on']}, local time; today is {day} in"
            " UTC; check it from that day on"
        )
    if same_person(row["entered_by"], changing.change.who):
        by, on = str(row["entered_by"]), str(row["entered_on"])
        why_not = too_early(changing.con, table, key, by, on, changing.change.at)
        if why_not is not None:
            raise UsageError(f"{table} {key}: {why_not}")


def _changed(shown: Unit, stands: Unit | None) -> Iterator[tuple[str, str]]:
    """Table and key of the rows that differ from what was shown, or are new."""
    for table, listed in shown.rows.items():
        key = contract().tables[table].key
        before, now = (
            {str(row[key]): row for row in rows}
            for rows in (listed, stands.rows[table] if stands else [])
        )
        yield from ((table, k) for k in [*before, *now] if before.get(k) != now.get(k))


def _find(
    rows: Rows, remarks: Mapping[tuple[str, str], list[Remark]], table: str, key: str
) -> Unit | None:
    units = _units(rows, remarks)
    return next((unit for unit in units if (unit.table, unit.key) == (table, key)), None)


def _units(rows: Rows, remarks: Mapping[tuple[str, str], list[Remark]]) -> Iterator[Unit]:
    by_key = {
        name: {str(row[table.key]): row for row in rows[name]}
        for name, table in contract().tables.items()
    }
    parts = parts_of(in_printed_order(rows))

    def unit(table: str, row: Row, below: Mapping[str, list[Row]]) -> Unit:
        beside = {
            name: by_key[name][str(row[f"{name}_id"])]
            for name in ("source", "vehicle_group", "coach", "equipment")
            if name != table and row.get(f"{name}_id") in by_key[name]
        }
        key = key_of(table, row)
        row_remarks = tuple(remarks.get((table, key), ()))
        return Unit(table, key, {table: [row], **below}, beside, row_remarks)

    for name in ("eligibility", *(n for n in contract().tables if n != "eligibility")):
        if name not in PARTS:
            for row in sorted(rows[name], key=partial(page_place, name)):
                own = parts[key_of(name, row)] if name == "eligibility" else {}
                yield unit(name, row, own)


def _remarks(record: Record) -> dict[tuple[str, str], list[Remark]]:
    """Remarks on current versions."""
    table = metadata().tables["returned"]
    found: dict[tuple[str, str], list[Remark]] = {}
    with record.reading() as con:
        for row in con.execute(select(table).order_by(table.c.number)):
            now = current(row.table_name)
            key = contract().tables[row.table_name].key
            stands = con.scalar(select(now.c.from_change).where(now.c[key] == row.row_key))
            if stands == row.from_change:
                at = (row.table_name, row.row_key)
                found.setdefault(at, []).append(Remark(row.at, row.who, row.remark))
    return found
