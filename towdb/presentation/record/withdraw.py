"""What was withdrawn, and the consequences."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from towdb.record.plan import Difference
from towdb.record.store.record import Change
from towdb.record.store.tables import ENTRY
from towdb.record.withdraw import Withdrawal
from towdb.report.figures import counted


def withdrawn_lines(done: Withdrawal, *, is_screened: bool) -> Iterator[str]:
    """What was withdrawn or would be, and which verdicts change where cars were screened."""
    yield from (f"  {table} {key}" for table, key in done.rows)
    yield from _awaiting_lines(done.changed)
    for verdict in done.verdicts:
        yield (
            f"  {verdict['candidate']} behind {verdict['coach']}: {verdict['before']} ->"
            f" {verdict['after']} ({'; '.join(verdict['why'])})"
        )
    if is_screened and not done.verdicts:
        yield "  no verdict of this shortlist changes"
    told = counted(len(done.rows), "row")
    if done.change is None:
        yield f"{told} would be withdrawn; to do it, add --yes"
    else:
        yield f"{told} withdrawn in change {done.change.number}"


def _awaiting_lines(changed: Iterable[Difference]) -> Iterator[str]:
    rows: dict[tuple[str, str], list[str]] = {}
    for d in changed:
        cells = rows.setdefault((d.table, d.key), [])
        if d.column not in ENTRY:
            cells.append(f"{d.column}: {d.was or 'empty'} -> {d.becomes or 'empty'}")
    for (table, key), cells in rows.items():
        yield f"  {table} {key}: {'; '.join([*cells, 'awaits a check'])}"


def reinstated_line(source_id: str, change: Change) -> str:
    """That a source is in force again."""
    return f"source {source_id}: in force again by change {change.number}; it awaits a check"
