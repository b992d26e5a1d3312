"""A source back in force: the only way to lift a withdrawal, and which ones were lifted."""

from __future__ import annotations

from typing import NamedTuple

from sqlalchemy import select

from towdb.errors import UsageError, did_you_mean
from towdb.record.store.record import Change, Record, rows_of
from towdb.record.store.tables import ENTRY, current, history, metadata


class Lifted(NamedTuple):
    """A withdrawal that was lifted: its source, its day, and the change that lifted it."""

    source_id: str
    withdrawn_on: str
    change: Change

    def __str__(self) -> str:
        change = self.change
        return (
            f"its withdrawal as of {self.withdrawn_on} was lifted by {change.who} in change"
            f" {change.number}, {change.day}: {change.why}"
        )


def reinstate(record: Record, source_id: str, *, who: str, why: str) -> Change:
    """Lift the withdrawal of a source; its row then awaits a new check.

    Parameters
    ----------
    record : Record
        The record.
    source_id : str
        The source.
    who, why : str
        Who lifts it, and for what reason.

    Raises
    ------
    UsageError
        If there is no such source, it is not withdrawn, or no reason is given.
    """
    if not why.strip():
        raise UsageError("the reason is missing; state why the withdrawal is lifted: --why TEXT")
    with record.changing(who, why) as changing:
        sources = {str(row["source_id"]): row for row in rows_of(changing.con, "source")}
        row = sources.get(source_id)
        if row is None:
            close = did_you_mean(source_id, sources)
            raise UsageError(f"source {source_id[:80]}: is not on record{close}")
        if row["withdrawn_on"] is None:
            raise UsageError(f"source {source_id}: is not withdrawn")
        now = changing.change
        entry = dict(zip(ENTRY, (now.who, now.day, None, None), strict=True))
        changing.replace("source", [{**row, "withdrawn_on": None, **entry}])
    return now


def lifted(record: Record) -> dict[str, Lifted]:
    """The last lifted withdrawal of each source, whichever command lifted it."""
    now, before, change = current("source"), history("source"), metadata().tables["change"]
    found = (
        select(before.c.source_id, before.c.withdrawn_on, change)
        .join(now, now.c.source_id == before.c.source_id)
        .join(change, change.c.number == before.c.to_change)
        .where(before.c.withdrawn_on.is_not(None), now.c.withdrawn_on.is_(None))
        .order_by(change.c.number)
    )
    with record.reading() as con:
        return {source: Lifted(source, day, Change(*of)) for source, day, *of in con.execute(found)}
