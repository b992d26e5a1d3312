"""When a person may check a row that they entered themselves."""

from __future__ import annotations

import datetime

from sqlalchemy import Connection, select

from towdb.contract.model import contract
from towdb.record.store.tables import ENTRY, current, history, metadata

# Common practice, without a source: after a night a person reads the page, not their memory.
# Another date alone does not show that a night has passed: 23:50 and 00:10 are two dates.
PAUSE = datetime.timedelta(hours=12)
_A_MINUTE = datetime.timedelta(minutes=1)


def entered_at(con: Connection, table: str, key: str) -> datetime.datetime:
    """When a row was entered as it is now, apart from its check; in UTC."""
    now, before, change = current(table), history(table), metadata().tables["change"]
    column = contract().tables[table].key
    names = [name for name in contract().tables[table].columns if name not in ENTRY[2:]]
    row = con.execute(
        select(now.c.from_change, *(now.c[c] for c in names)).where(now.c[column] == key)
    ).one()
    since, cells = row[0], row[1:]
    earlier = con.execute(
        select(before.c.from_change, before.c.to_change, *(before.c[c] for c in names))
        .where(before.c[column] == key)
        .order_by(before.c.from_change.desc())
    )
    for begun, ended, *was in earlier:
        if ended != since or tuple(was) != tuple(cells):
            break
        since = begun
    at = con.execute(select(change.c.at).where(change.c.number == since)).scalar_one()
    return instant(at)


def too_early(
    con: Connection, table: str, key: str, entered_by: str, entered_on: str, at: str
) -> str | None:
    """Why the person who entered a row on record may not check it yet; None if they may."""
    entered = entered_at(con, table, key)
    next_day = datetime.datetime.fromisoformat(entered_on) + datetime.timedelta(days=1)
    earliest = max(entered + PAUSE, next_day)
    if instant(at) >= earliest:
        return None
    return (
        f"was entered by {entered_by}, on record since {_to_the_minute(entered)} UTC; it must be"
        f" checked by somebody else, or by {entered_by} from"
        f" {_to_the_minute(_minute_after(earliest))} UTC on"
    )


def instant(at: str) -> datetime.datetime:
    """A time of the record, to calculate with."""
    return datetime.datetime.fromisoformat(at.removesuffix("Z"))


def _minute_after(time: datetime.datetime) -> datetime.datetime:
    """The next full minute, or the time itself if it is one: a printed minute is late enough."""
    return -((datetime.datetime.min - time) // _A_MINUTE) * _A_MINUTE + datetime.datetime.min


def _to_the_minute(time: datetime.datetime) -> str:
    return time.strftime("%Y-%m-%d %H:%M")
