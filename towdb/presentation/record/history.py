"""All changes, and every version of a row."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from towdb.record.history import Version, steps_between
from towdb.record.plan import Difference
from towdb.record.store.record import Change
from towdb.report.answer import Answer, lines_answer, table_answer

_CHANGE = ("change", "at", "who", "why")
_VERSION = (*_CHANGE, "until", "table", "key", "column", "was", "becomes")


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
