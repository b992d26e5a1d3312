"""Rows into the record: all checked first, with the rows on record; then all written, or none."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from towdb.contract.model import contract
from towdb.errors import Finding, UsageError, did_you_mean, findings_document
from towdb.files.swap import cut_short
from towdb.record.plan import Difference, Incoming, Leave, Plan, key_of
from towdb.record.proposals import carry_out
from towdb.record.store.record import Change, Changing, Record, Row
from towdb.record.store.tables import ENTRY
from towdb.record.workbook.mark import Mark
from towdb.reference.check import Progress
from towdb.reference.folder import read_folder

ENTERED, CHECKED = ENTRY[:2], ENTRY[2:]


@dataclass(frozen=True)
class ImportResult:
    """What an import did, or would do.

    Attributes
    ----------
    added : tuple of (table, key)
        Rows that were not on record.
    changed : tuple of Difference
        Cells of rows that were on record with other content.
    withdrawn : tuple of (table, key)
        Steps, fuses and limits on record that are missing from statements that came whole.
    left : int
        Number of rows that are on record already, with the same content.
    findings : tuple of Finding
        Errors (then nothing was written) and warnings.
    change : Change or None
        The change that was written; None for a dry run, a refused import, or if nothing is new.
    """

    added: tuple[tuple[str, str], ...]
    changed: tuple[Difference, ...]
    left: int
    findings: tuple[Finding, ...]
    change: Change | None = None
    withdrawn: tuple[tuple[str, str], ...] = ()

    @property
    def ok(self) -> bool:
        """Whether no finding is an error."""
        return all(finding.severity != "error" for finding in self.findings)

    def document(self) -> dict[str, Any]:
        """All of it for JSON."""
        return {
            "ok": self.ok,
            "change": self.change and self.change.number,
            "added": [{"table": table, "key": key} for table, key in self.added],
            "changed": [difference._asdict() for difference in self.changed],
            "withdrawn": [{"table": table, "key": key} for table, key in self.withdrawn],
            "left": self.left,
            "findings": [*findings_document(self.findings)],
        }


def import_path(
    record: Record,
    path: str | os.PathLike[str],
    *,
    who: str,
    why: str = "",
    change: bool = False,
    seen: int | None = None,
    over: bool = False,
    dry_run: bool = False,
    progress: Progress | None = None,
) -> ImportResult:
    """Bring the rows of a reference folder or a workbook into a record.

    If rows may be changed, a statement that comes whole (with as many steps, fuses and limits as
    its page prints) replaces the one on record: parts that did not come are withdrawn.

    Parameters
    ----------
    record : Record
        The record.
    path : path
        A folder of one CSV or Parquet file a table, or a workbook made by `template`.
    who, why : str
        Who brings them in, and for what reason.
    change : bool
        Whether rows that are on record with other content may take their place.
    seen : int, optional
        The last change that the person has seen: a row that was changed after it is not
        overwritten. By default, for a workbook, the change at which it was written.
    over : bool
        Whether filled cells may be emptied, and rows replaced that were changed since the workbook
        was written. Rows changed after `seen` are not overwritten even then.
    dry_run : bool
        Only report what would be done.
    progress : callable, optional
        As for `towdb.check`.

    Returns
    -------
    ImportResult

    Raises
    ------
    UsageError
        If the path cannot be read, or the record cannot be written.
    """
    source = Path(path)

    def read(day: str) -> Came:
        return _read(source, who, day)

    return _import(record, read, who, why or f"import of {source.name}",
                   Leave(change, over, seen), dry_run, progress)  # fmt: skip


def import_rows(
    record: Record,
    rows: Sequence[tuple[str, Mapping[str, str | None]]],
    *,
    who: str,
    why: str = "",
    change: bool = False,
    seen: int | None = None,
    dry_run: bool = False,
    progress: Progress | None = None,
) -> ImportResult:
    """As `import_path`, for rows that were typed: pairs of a table and its cells."""
    for table, cells in rows:
        _require_typed(table, cells)

    def read(day: str) -> Came:
        entry = dict(zip(ENTERED, (" ".join(who.split()), day), strict=True))
        found = [
            Incoming(
                table, {**entry, **{name: cell or None for name, cell in cells.items()}}, "typed",
                number, is_partial=True,
            )
            for number, (table, cells) in enumerate(rows, start=1)
        ]  # fmt: skip
        return Came(found, [])

    leave = Leave(change, False, seen)
    return _import(record, read, who, why or "typed", leave, dry_run, progress)


def _require_typed(table: str, cells: Mapping[str, str | None]) -> None:
    spec = contract().tables[require_table(table)]
    for name in cells:
        if name in ENTRY:
            # The person who types a row enters it, today; a check is made by comparing.
            raise UsageError(f"{name}: must be left empty; the record fills it in")
        if name not in spec.columns:
            raise UsageError(f"{table} has no column {name[:40]}{did_you_mean(name, spec.columns)}")


class Came(NamedTuple):
    """What was read: rows, what is wrong with them, and for a workbook when it was written."""

    rows: list[Incoming]
    findings: list[Finding]
    mark: Mark | None = None


def _read(source: Path, who: str, day: str) -> Came:
    if source.is_dir() or cut_short(source):
        folder = read_folder(source, lambda name: None, is_whole=False)
        rows = [
            Incoming(name, dict(zip(columns, cells, strict=True)), text.file, line)
            for name, text in folder.tables.items()
            for columns in [list(text.frame.columns)]
            for line, cells in zip(
                text.frame.index,
                text.frame.astype(object).where(text.frame.notna(), None).to_numpy().tolist(),
                strict=True,
            )
        ]
        return Came(rows, folder.findings)
    import datetime

    from towdb.record.workbook.read import read_workbook

    entered = read_workbook(source, " ".join(who.split()), datetime.date.fromisoformat(day))
    rows = [
        Incoming(
            table, dict(row.cells), source.name, row.row, contract().tables[table].key in row.made
        )
        for table, listed in entered.rows.items()
        for row in listed
    ]
    return Came(rows, list(entered.findings), entered.mark)


def _import(
    record: Record, read: Callable[[str], Came], who: str, why: str, leave: Leave,
    dry_run: bool, progress: Progress | None,
) -> ImportResult:  # fmt: skip
    read = cache(read)
    with record.looking(who, why) as now:
        day = now.change.day
    # A workbook takes a while: it is read once, and before the rows on record.
    read(day)

    def propose(changing: Changing) -> _Import:
        return _Import(changing, read(changing.change.day), leave, record.name, progress)

    found, change = carry_out(record, who, why, propose, dry_run=dry_run)
    return replace(found.result, change=change)


class _Import:
    """Rows that came in, with the rows on record after one change."""

    def __init__(
        self, changing: Changing, came: Came, leave: Leave, name: str, progress: Progress | None
    ) -> None:
        seen, last = leave.seen, changing.change.number - 1
        if seen is not None and not 0 <= seen <= last:
            raise UsageError(f"--seen {str(seen)[:40]}: the record has changes 1 to {last}")
        if seen is None and came.mark is not None and not leave.over:
            seen = came.mark.seen(changing.con)
        self.plan = Plan(changing, came.rows, leave, seen)
        self.came, self.name, self.progress = came, name, progress
        self.result = ImportResult((), (), 0, ())

    def judge(self) -> bool:
        """Judge the rows with those on record; whether they may and need be written."""
        plan = self.plan
        findings = [*self.came.findings, *plan.findings]
        if not any(finding.severity == "error" for finding in findings):
            findings += plan.judged(self.name, self.progress)
        self.result = ImportResult(
            tuple((row.table, key_of(row)) for row in plan.new),
            tuple(plan.differences),
            plan.left,
            tuple(findings),
            withdrawn=tuple(plan.withdrawn),
        )
        return self.result.ok and bool(plan.new or plan.replaced)

    def write(self, changing: Changing) -> None:
        """Write the rows."""
        self.plan.write(changing)


def require_table(name: str) -> str:
    """The name, if it is a table of the contract.

    Raises
    ------
    UsageError
        If it is not.
    """
    if name not in contract().tables:
        raise UsageError(f"{name[:40]}: no such table{did_you_mean(name, contract().tables)}")
    return name


def typed_cells(table: str, cells: Mapping[str, str]) -> Row:
    """Cells that a person typed, in the form of a reference folder.

    Raises
    ------
    UsageError
        If the table has no such column.
    """
    from towdb.record.workbook.cells import known_words

    spec = contract().tables[table]
    for name in cells:
        if name not in spec.columns:
            raise UsageError(f"{table} has no column {name[:40]}{did_you_mean(name, spec.columns)}")
    return {name: known_words(spec.field(name), text) or None for name, text in cells.items()}
