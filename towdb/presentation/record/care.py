"""Contradictions, withdrawals, drafts and histories."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from towdb.record.care import Version, Withdrawal, steps_between
from towdb.record.conflicts import COLUMNS
from towdb.record.plan import Difference
from towdb.record.store.record import Change
from towdb.record.store.tables import ENTRY
from towdb.report.answer import Answer, lines_answer, table_answer
from towdb.report.figures import counted

_CHANGE = ("change", "at", "who", "why")
_VERSION = (*_CHANGE, "until", "table", "key", "column", "was", "becomes")


def conflicts_answer(rows: Sequence[Sequence[Any]]) -> Answer:
    """Rows that contradict each other, a pair a row."""
    return table_answer(COLUMNS, rows, [counted(len(rows), "contradiction")])


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
        yield f"{told} would be withdrawn; to do it, say --yes"
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


def drafted_lines(path: Path, year: int, drafted: Mapping[str, int]) -> Iterator[str]:
    """What was drafted for the year after `year`, and what is to be done with it."""
    told = ", ".join(f"{count:,} {name}" for name, count in drafted.items() if count)
    yield f"{path}: {told}, drafted for {year + 1}"
    yield "Compare each row with the new manual, type its source, page and quote, then import it."


def changes_answer(changes: Iterable[Change]) -> Answer:
    """All changes, a row each."""
    return table_answer(_CHANGE, [(c.number, c.at, c.who, c.why) for c in changes])


def history_answer(versions: Sequence[Version]) -> Answer:
    """Every version of a row; JSON and CSV have a row a changed cell."""
    found = list(steps_between(versions))
    return lines_answer(_version_lines(found), lambda: (_VERSION, list(_version_rows(found))))


def _version_rows(
    found: Iterable[tuple[Version, list[Difference]]],
) -> Iterator[tuple[object, ...]]:
    for version, changed in found:
        change = version.change
        at = (change.number, change.at, change.who, change.why, version.until, version.table,
              version.key)  # fmt: skip
        for d in changed:
            yield (*at, d.column, d.was, d.becomes)
        if not changed:
            yield (*at, None, None, None)


def _version_lines(found: Iterable[tuple[Version, list[Difference]]]) -> Iterator[str]:
    number = None
    for version, changed in found:
        change = version.change
        if change.number != number:
            number = change.number
            yield f"change {number}, {change.at[:16]}Z, {change.who}: {change.why}"
        yield f"  {version.table} {version.key}" + ("" if changed else ": entered")
        for d in changed:
            yield f"    {d.column}: {d.was or 'empty'} -> {d.becomes or 'empty'}"
        if version.until is not None:
            yield f"    until change {version.until}"
