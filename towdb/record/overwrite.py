"""What an import may not take away, and which checks it may not bring back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from sqlalchemy import Connection, select

from towdb.contract.model import contract
from towdb.record.own_checks import too_early
from towdb.record.store.names_and_times import same_person
from towdb.record.store.record import Changing, Row
from towdb.record.store.tables import ENTRY, current, history, metadata

# `attach` and `withdraw` fill these in. An older workbook or folder does not have them,
# and must not bring a withdrawn manual back into force.
FILLED_IN = ("file_name", "file_sha256", "withdrawn_on")
CHECKED = ENTRY[2:]
LIFT = "a withdrawal is lifted only by: towdb record reinstate"


class Wrong(NamedTuple):
    """What is wrong with a cell that came in: its column, the rule, the message, the remedy."""

    column: str | None
    rule: str
    message: str
    remedy: str


class Ended(NamedTuple):
    """A check that was on record, and the change that ended it."""

    checked_by: str
    checked_on: str
    number: int
    day: str
    who: str
    why: str


def ended_checks(con: Connection, table: str) -> dict[str, list[Ended]]:
    """Checks of earlier versions, by key, the latest last."""
    before, change = history(table), metadata().tables["change"]
    key = before.c[contract().tables[table].key]
    found = con.execute(
        select(key, *(before.c[c] for c in CHECKED), change)
        .join(change, change.c.number == before.c.to_change)
        .where(before.c.checked_by.is_not(None))
        .order_by(change.c.number)
    )
    ended: dict[str, list[Ended]] = {}
    for row, *version in found:
        by, on, number, at, who, why = version
        ended.setdefault(row, []).append(Ended(by, on, number, at[:10], who, why))
    return ended


def check_has_ended(cells: Row, stands: Row | None, ended: Sequence[Ended]) -> Wrong | None:
    """Report a check that came in but was ended by a return, a change or a withdrawal.

    A folder that was exported before does not show that. If no checked row is on record, no other
    check from before that day counts either: it was made without knowing why the check was ended.
    """
    by, on = (cells.get(name) for name in CHECKED)
    if by is None or on is None or (stands and (by, on) == tuple(stands[c] for c in CHECKED)):
        return None
    is_checked = stands is not None and stands["checked_by"] is not None
    for last in reversed(ended):
        if (by, on) == last[:2] or (not is_checked and on <= last.day):
            message = (
                f"the check by {by} on {on} is not restored: {last.who} ended the check of this"
                f" row in change {last.number}, {last.day} ({last.why})"
            )
            remedy = "compare the row with its page again: towdb record review"
            return Wrong("checked_by", "check_ended", message, remedy)
    return None


def check_too_early(changing: Changing, table: str, cells: Row, stands: Row) -> Wrong | None:
    """Report a check of a row on record that the person who entered it made too early.

    The time of entry is known only for a row on record.
    """
    by, on = (cells.get(name) for name in CHECKED)
    writers = (stands["entered_by"], cells.get("entered_by"))
    is_new = (by, on) != tuple(stands[name] for name in CHECKED)
    if by is None or not is_new or not any(same_person(by, writer) for writer in writers):
        return None
    key, entered_on = str(stands[contract().tables[table].key]), str(stands["entered_on"])
    why_not = too_early(changing.con, table, key, by, entered_on, changing.change.at)
    remedy = "leave the check out until then: empty checked_by and checked_on"
    return Wrong("checked_by", "self_check", why_not, remedy) if why_not else None


def with_filled_in(table: str, cells: Row, stands: Row) -> Row:
    """Cells that came in; empty ones do not replace those that the record itself filled in.

    What came in was not entered or checked with these cells: then the entry and check on record
    stay.
    """
    filled_in = {
        column: stands[column]
        for column in _filled_in(table)
        if cells.get(column) is None and stands[column] is not None
    }
    return {**cells, **filled_in, **{name: stands[name] for name in ENTRY}} if filled_in else cells


def not_by_import(table: str, cells: Row, stands: Row) -> Iterator[Wrong]:
    """Report cells that the record filled in and that an import cannot change."""
    for column in _filled_in(table):
        was, becomes = stands[column], cells.get(column)
        if was is None or was == becomes:
            continue
        if column == "withdrawn_on":
            message = f"the source was withdrawn as of {was}; an import cannot change that"
            yield Wrong(column, "withdrawn", message,
                        f"move the day with: towdb record withdraw; {LIFT}")  # fmt: skip
        elif becomes is None:
            message = f"names the attached file ({was[:40]}); an import cannot empty it"
            yield Wrong(column, "emptied", message,
                        "leave the cell out, or type its replacement")  # fmt: skip


def emptied(table: str, cells: Row, stands: Row) -> Iterator[Wrong]:
    """Report cells that are filled on record and would be emptied."""
    for column in contract().tables[table].columns:
        was = stands[column]
        if column not in ENTRY and was is not None and cells.get(column) is None:
            shown = was if len(was) <= 60 else was[:57] + "…"
            yield Wrong(column, "emptied", f"would be emptied; the record has {shown!r}",
                        "fill the cell in, or import with --over to empty it")  # fmt: skip


def changed_since(con: Connection, table: str, key: str, number: int) -> Wrong | None:
    """Report a row on record that was changed after a change, by whom and why."""
    now, change = current(table), metadata().tables["change"]
    found = con.execute(
        select(change.c.number, change.c.who, change.c.why)
        .join(now, now.c.from_change == change.c.number)
        .where(now.c[contract().tables[table].key] == key, change.c.number > number)
    ).first()
    return _since(table, key, "changed", *found) if found else None


def withdrawn_since(con: Connection, table: str, key: str, number: int) -> Wrong | None:
    """Report a row that was withdrawn after a change, by whom and why."""
    ended, change = history(table), metadata().tables["change"]
    found = con.execute(
        select(change.c.number, change.c.who, change.c.why)
        .join(ended, ended.c.to_change == change.c.number)
        .where(ended.c[contract().tables[table].key] == key, change.c.number > number)
        .order_by(change.c.number.desc())
    ).first()
    return _since(table, key, "withdrawn", *found) if found else None


def _since(table: str, key: str, what: str, number: int, who: str, why: str) -> Wrong:
    remedy = (
        f"look at it with: towdb record history {table} {key}; then import with --seen {number}"
    )
    return Wrong(None, "seen", f"was {what} by {who} in change {number} ({why})", remedy)


def _filled_in(table: str) -> tuple[str, ...]:
    columns = contract().tables[table].columns
    return tuple(column for column in FILLED_IN if column in columns)
