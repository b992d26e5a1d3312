"""Withdraw rows: what would change is shown first, and written in one change."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from towdb.contract.model import contract
from towdb.contract.typed import read_date
from towdb.errors import DataError, UsageError
from towdb.record.entry import require_table
from towdb.record.plan import Difference
from towdb.record.proposals import carry_out
from towdb.record.statement_parts import below, in_printed_order, key_of, without
from towdb.record.store.record import Change, Changing, Record, Row, Rows, rows_of, text_tables
from towdb.record.store.tables import ENTRY
from towdb.reference.check import checked_tables
from towdb.reference.release import build_tables
from towdb.screening.diff import diff


@dataclass(frozen=True)
class Withdrawal:
    """The rows that a withdrawal removes or marks, and the consequences.

    Attributes
    ----------
    rows : tuple of (table, key)
        The rows that are withdrawn; for a source, the one that is marked.
    changed : tuple of Difference
        Cells of rows that change with it: the printed counts of a statement, the numbers of the
        steps after it, and the checks of all of them, which must be made again.
    verdicts : tuple of dict
        Verdicts of the shortlist that change.
    change : Change or None
        The change that was written; None for a dry run.
    """

    rows: tuple[tuple[str, str], ...]
    changed: tuple[Difference, ...] = ()
    verdicts: tuple[dict[str, Any], ...] = ()
    change: Change | None = None


def withdraw(
    record: Record,
    table: str,
    key: str,
    *,
    who: str,
    why: str,
    on: str | None = None,
    shortlist: Any = None,
    coach: Any = None,
    folder: str | os.PathLike[str] | None = None,
    dry_run: bool = False,
) -> Withdrawal:
    """Withdraw a row; a source is marked with the day from which it no longer applies.

    A part of a statement goes together with its printed count, in one change; the statement, and
    those that share its steps, then await a check.

    Parameters
    ----------
    record : Record
        The record.
    table, key : str
        The row. A statement takes its steps, fuses and limits with it.
    who, why : str
        Who withdraws it, and for what reason.
    on : str, optional
        For a source: the day, ISO 8601; today by default.
    shortlist, coach : optional
        Cars and coaches whose verdicts are compared, before and after.
    folder : path, optional
        A folder for the two releases that are compared; needed with a shortlist.
    dry_run : bool
        Only report the consequences.

    Raises
    ------
    UsageError
        If there is no such row, or no reason is given.
    DataError
        If the rows that remain break a rule, such as a row that points at this one, or if another
        statement takes its steps from it.
    """
    require_table(table)
    if not why.strip():
        raise UsageError("the reason is missing; state why it is withdrawn: --why TEXT")

    def verdicts(stands: Rows, after: Rows) -> tuple[dict[str, Any], ...]:
        if shortlist is None or folder is None:
            return ()
        paths = [Path(folder) / name for name in ("before.duckdb", "after.duckdb")]
        for path, of in zip(paths, (stands, after), strict=True):
            build_tables(text_tables(of, record.name), record.name, path)
        return tuple(diff(*paths, shortlist=shortlist, coach=coach).verdict_records)

    def propose(changing: Changing) -> _Withdrawing:
        stands = {name: rows_of(changing.con, name) for name in contract().tables}
        after, rows = _without(stands, table, key, on, changing.change)
        return _Withdrawing(record.name, stands, after, tuple(rows), verdicts)

    found, change = carry_out(record, who, why, propose, dry_run=dry_run)
    return replace(found.result, change=change)


class _Withdrawing:
    """A withdrawal, with the rows on record after one change."""

    def __init__(
        self, name: str, stands: Rows, after: Rows, rows: tuple[tuple[str, str], ...],
        verdicts: Callable[[Rows, Rows], tuple[dict[str, Any], ...]],
    ) -> None:  # fmt: skip
        self.name, self.stands, self.after = name, stands, after
        self.verdicts = verdicts
        changed = (d for d in _differences(stands, after) if (d.table, d.key) not in rows)
        self.result = Withdrawal(rows, tuple(changed))

    def judge(self) -> bool:
        """Judge the rows that remain, and compare the verdicts; it is always to be written."""
        _require_good(self.after, self.name)
        # Compared before anything is written: nothing is withdrawn with unknown consequences.
        self.result = replace(self.result, verdicts=self.verdicts(self.stands, self.after))
        return True

    def write(self, changing: Changing) -> None:
        """Write what changes."""
        _write(changing, self.stands, self.after)


def _require_good(rows: Rows, name: str) -> None:
    with checked_tables(text_tables(rows, name), name) as outcome:
        if not outcome.result.ok:
            raise DataError(
                "\n".join(
                    f"{f.table} {f.key}: {f.message}; {f.remedy}"
                    for f in outcome.result.found
                    if f.severity == "error"
                )
            )


def _differences(stands: Rows, after: Rows) -> Iterator[Difference]:
    for name, row, now in _changed(stands, after):
        yield from (
            Difference(name, key_of(name, row), column, was, now[column])
            for column, was in row.items()
            if was != now[column]
        )


def _changed(stands: Rows, after: Rows) -> Iterator[tuple[str, Row, Row]]:
    """Table, and the row before and after, of the rows that stay and change."""
    stands = in_printed_order(stands)
    for name, rows in after.items():
        now = {key_of(name, row): row for row in rows}
        for row in stands[name]:
            changed = now.get(key_of(name, row))
            if changed is not None and changed != row:
                yield name, row, changed


def _write(changing: Changing, stands: Rows, after: Rows) -> None:
    changed = list(_changed(stands, after))
    for name in reversed([*contract().tables]):
        left = {key_of(name, row) for row in after[name]}
        gone = [key for row in stands[name] if (key := key_of(name, row)) not in left]
        changing.withdraw(name, gone)
        changing.replace(name, [now for table, _, now in changed if table == name])


def _without(
    stands: Rows, table: str, key: str, on: str | None, change: Change
) -> tuple[Rows, list[tuple[str, str]]]:
    """The rows that remain, and those that are withdrawn or, for a source, marked."""
    row = next((row for row in stands[table] if key_of(table, row) == key), None)
    if row is None:
        raise UsageError(f"{table} {key[:80]}: is not on record")
    # A row that changes loses its check; until somebody checks it, it cannot permit anything.
    entry: Row = dict(zip(ENTRY, (change.who, change.day, None, None), strict=True))
    if table == "source":
        marked = {**row, "withdrawn_on": read_date(on).isoformat(), **entry}
        sources = [marked if one is row else one for one in stands["source"]]
        return {**stands, "source": sources}, [(table, key)]
    if table == "eligibility":
        _require_unshared(stands, key)
    gone = [(table, key), *below(in_printed_order(stands), table, key)]
    return without(stands, gone, entry), gone


def _require_unshared(stands: Rows, statement: str) -> None:
    # Another statement would be left without any steps.
    sharing = [
        f"eligibility {row['eligibility_id']}: takes its steps from {statement} (same_steps_as);"
        " give it steps of its own, or withdraw it first"
        for row in stands["eligibility"]
        if row["same_steps_as"] == statement
    ]
    if sharing:
        raise DataError("\n".join(sharing))
