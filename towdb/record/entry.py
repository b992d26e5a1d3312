"""Rows into the record: all of them checked first, together with what stands; then all, or none."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import NamedTuple

from sqlalchemy import select

from towdb.contract.model import contract
from towdb.errors import Finding, UsageError, did_you_mean
from towdb.record.statement_parts import left_out, losing
from towdb.record.store import Change, Changing, Record, Row, Rows, rows_of, text_tables
from towdb.record.tables import ENTRY, current, history, metadata
from towdb.reference.check import Progress, judged_tables
from towdb.reference.folder import read_folder

ENTERED, CHECKED = ENTRY[:2], ENTRY[2:]
_LOOK_AGAIN = "look at it again (towdb record history), then say --seen with the last change"


class Incoming(NamedTuple):
    """A row that came in, and where it was read."""

    table: str
    cells: Row
    file: str
    line: int | None
    # Whether the id was made of other cells: another page may have come to the same.
    is_made: bool = False
    # Whether cells that were not typed stay as they are.
    is_partial: bool = False


class Difference(NamedTuple):
    """A cell of a row that changes."""

    table: str
    key: str
    column: str
    was: str | None
    becomes: str | None


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
        Steps, fuses and limits on record of statements that came whole, and without them.
    left : int
        How many rows are on record as they came.
    findings : tuple of Finding
        What is wrong with the rows (and then nothing was written), and what to look at.
    change : Change or None
        The change that was written; None of a dry run, a refused import, or where nothing is new.
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


def import_path(
    record: Record,
    path: str | os.PathLike[str],
    *,
    who: str,
    why: str = "",
    change: bool = False,
    seen: int | None = None,
    dry_run: bool = False,
    progress: Progress | None = None,
) -> ImportResult:
    """Bring the rows of a reference folder or a workbook into a record.

    Where rows may be changed, a statement that comes whole (with as many steps, fuses and limits as
    it says that its page prints) replaces the one on record: parts that did not come are withdrawn.

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
        overwritten.
    dry_run : bool
        Only say what would be done.
    progress : callable, optional
        As for `towdb.check`.

    Returns
    -------
    ImportResult

    Raises
    ------
    UsageError
        If the path cannot be read, or the record not written.
    """
    source = Path(path)

    def read(day: str) -> tuple[list[Incoming], list[Finding]]:
        return _read(source, who, day)

    return _import(record, read, who, why or f"import of {source.name}", change, seen, dry_run,
                   progress)  # fmt: skip


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
    """As `import_path`, of rows that were typed: pairs of a table and its cells."""
    for table, cells in rows:
        _require_typed(table, cells)

    def read(day: str) -> tuple[list[Incoming], list[Finding]]:
        entry = dict(zip(ENTERED, (" ".join(who.split()), day), strict=True))
        found = [
            Incoming(
                table, {**entry, **{name: cell or None for name, cell in cells.items()}}, "typed",
                number, is_partial=True,
            )
            for number, (table, cells) in enumerate(rows, start=1)
        ]  # fmt: skip
        return found, []

    return _import(record, read, who, why or "typed", change, seen, dry_run, progress)


def _require_typed(table: str, cells: Mapping[str, str | None]) -> None:
    spec = contract().tables[require_table(table)]
    for name in cells:
        if name in ENTRY:
            # Who types a row has entered it, on that day; a check is made by comparing.
            raise UsageError(f"{name}: is not typed; the record knows who you are, and the day")
        if name not in spec.columns:
            raise UsageError(f"{table} has no column {name[:40]}{did_you_mean(name, spec.columns)}")


def _read(source: Path, who: str, day: str) -> tuple[list[Incoming], list[Finding]]:
    if source.is_dir():
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
        return rows, folder.findings
    import datetime

    from towdb.record.workbook import read_workbook

    entered = read_workbook(source, " ".join(who.split()), datetime.date.fromisoformat(day))
    rows = [
        Incoming(
            table, dict(row.cells), source.name, row.row, contract().tables[table].key in row.made
        )
        for table, listed in entered.rows.items()
        for row in listed
    ]
    return rows, list(entered.findings)


Read = Callable[[str], tuple[list[Incoming], list[Finding]]]


def _import(
    record: Record, read: Read, who: str, why: str, change: bool, seen: int | None,
    dry_run: bool, progress: Progress | None,
) -> ImportResult:  # fmt: skip
    with record.changing(who, why) as changing:
        day = changing.change.day
        if seen is not None and not 0 <= seen < changing.change.number:
            last = changing.change.number - 1
            raise UsageError(f"--seen {str(seen)[:40]}: the record has changes 1 to {last}")
        incoming, findings = read(day)
        plan = _Plan(changing, incoming, change, seen)
        findings = [*findings, *plan.findings]
        if not any(finding.severity == "error" for finding in findings):
            findings += plan.judged(record.name, progress)
        result = ImportResult(
            tuple((row.table, _key(row)) for row in plan.new),
            tuple(plan.differences),
            plan.left,
            tuple(findings),
            withdrawn=tuple(plan.withdrawn),
        )
        if not result.ok or dry_run or not (plan.new or plan.replaced):
            return result
        plan.write()
        return replace(result, change=changing.change)


@dataclass
class _Plan:
    """What is new, what changes, what is left; and what stands beside it."""

    changing: Changing
    incoming: list[Incoming]
    may_change: bool
    seen: int | None
    new: list[Incoming] = field(default_factory=list)
    replaced: list[Incoming] = field(default_factory=list)
    differences: list[Difference] = field(default_factory=list)
    withdrawn: list[tuple[str, str]] = field(default_factory=list)
    left: int = 0
    findings: list[Finding] = field(default_factory=list)

    def __post_init__(self) -> None:
        con = self.changing.con
        self.there = {name: rows_of(con, name) for name in contract().tables}
        by_key = {
            name: {row[contract().tables[name].key]: row for row in rows}
            for name, rows in self.there.items()
        }
        counted = Counter((row.table, _key(row)) for row in self.incoming)
        for row in self.incoming:
            stands = by_key[row.table].get(_key(row))
            if stands is not None and counted[row.table, _key(row)] > 1:
                key = contract().tables[row.table].key
                self.findings.append(_finding(row, key, "unique", "two rows have this id",
                                              "keep one of them"))  # fmt: skip
            elif stands is not None:
                self.compare(row, stands)
            elif self.seen is not None and (since := self.withdrawn_since(row)):
                self.findings.append(_finding(row, None, "seen", since, _LOOK_AGAIN))
            else:
                self.new.append(row)
        if self.may_change:
            self.leave_out()

    def leave_out(self) -> None:
        """Withdraw the parts on record of statements that came whole, and without them."""
        came: Rows = {}
        for row in self.incoming:
            # Of a row that was typed by itself, the parts stay as they are.
            if not row.is_partial:
                came.setdefault(row.table, []).append(row.cells)
        whole = {_key(row): row for row in self.incoming if row.table == "eligibility"}
        for statement, table, key in left_out(came, self.there):
            row = whole[statement]
            part = row._replace(table=table, cells={contract().tables[table].key: key})
            if self.seen is not None and (since := self.changed_since(part)):
                self.findings.append(_finding(part, None, "seen", since, _LOOK_AGAIN))
            self.withdrawn.append((table, key))
        # What is demanded is less now, and nobody has compared that with the page.
        on_record = {r["eligibility_id"]: r for r in self.there["eligibility"]}
        changed = {_key(row) for row in self.replaced if row.table == "eligibility"}
        for statement in sorted(losing(self.there, {*self.withdrawn}) - changed):
            self.left -= statement in whole
            place = whole.get(statement, next(iter(whole.values())))
            stands = on_record[statement]
            self.change(place._replace(cells=stands), stands, ["eligibility_id"])

    def compare(self, row: Incoming, stands: Row) -> None:
        columns = contract().tables[row.table].columns
        if row.is_partial:
            row = row._replace(cells={**stands, **dict.fromkeys(CHECKED), **row.cells})
        said = [c for c in columns if c not in ENTRY and row.cells.get(c) != stands[c]]
        brings_check = any(row.cells.get(c) not in (None, stands[c]) for c in CHECKED)
        if not said and not brings_check:
            self.left += 1
        elif not self.may_change or (row.is_made and {"source_id", "locator"} & {*said}):
            self.refuse(row, stands, said)
        elif self.seen is not None and (since := self.changed_since(row)):
            column = said[0] if said else None
            self.findings.append(_finding(row, column, "seen", since, _LOOK_AGAIN))
        else:
            self.change(row, stands, said)

    def refuse(self, row: Incoming, stands: Row, said: list[str]) -> None:
        column = said[0] if said else "checked_by"
        more = f" (and {len(said) - 1} more cells)" if len(said) > 1 else ""
        self.findings.append(
            _finding(
                row, column, "on_record",
                f"is on record with {_shown(stands[column])} here{more}",
                "use another id for another row; to change the row, import with --change",
            )
        )  # fmt: skip

    def changed_since(self, row: Incoming) -> str | None:
        table, change = current(row.table), metadata().tables["change"]
        key = contract().tables[row.table].key
        found = self.changing.con.execute(
            select(change.c.number, change.c.who, change.c.why)
            .join(table, table.c.from_change == change.c.number)
            .where(table.c[key] == _key(row), change.c.number > self.seen)
        ).first()
        return found and f"was changed by {found.who} in change {found.number} ({found.why})"

    def withdrawn_since(self, row: Incoming) -> str | None:
        ended, change = history(row.table), metadata().tables["change"]
        key = contract().tables[row.table].key
        found = self.changing.con.execute(
            select(change.c.number, change.c.who, change.c.why)
            .join(ended, ended.c.to_change == change.c.number)
            .where(ended.c[key] == _key(row), change.c.number > self.seen)
            .order_by(change.c.number.desc())
        ).first()
        return found and f"was withdrawn by {found.who} in change {found.number} ({found.why})"

    def change(self, row: Incoming, stands: Row, said: list[str]) -> None:
        cells = dict(row.cells)
        if said and all(cells.get(c) == stands[c] for c in ENTRY):
            # The row is another now: nobody has checked it, and somebody else may have written it.
            now = self.changing.change
            cells |= {"entered_by": now.who, "entered_on": now.day}
            cells |= dict.fromkeys(CHECKED)
        elif said and all(cells.get(c) == stands[c] for c in CHECKED):
            cells |= dict.fromkeys(CHECKED)
        self.replaced.append(row._replace(cells=cells))
        self.differences += [
            Difference(row.table, _key(row), c, stands[c], cells.get(c))
            for c in contract().tables[row.table].columns
            if cells.get(c) != stands[c]
        ]

    def judged(self, name: str, progress: Progress | None) -> Iterator[Finding]:
        """What the contract's rules find in these rows beside those that stand."""
        coming: dict[str, list[Incoming]] = {}
        for row in [*self.new, *self.replaced]:
            coming.setdefault(row.table, []).append(row)
        rows: Rows = {}
        places: dict[tuple[str, int], Incoming] = {}
        for table, stand in self.there.items():
            key = contract().tables[table].key
            gone = {_key(row) for row in coming.get(table, ())}
            gone |= {withdrawn for name, withdrawn in self.withdrawn if name == table}
            kept = [row for row in stand if row[key] not in gone]
            arrived = coming.get(table, [])
            rows[table] = [*kept, *(row.cells for row in arrived)]
            places |= {(table, line): row for line, row in enumerate(arrived, start=len(kept) + 1)}
        if not coming:
            return
        with judged_tables(text_tables(rows, name), name, progress) as outcome:
            for finding in outcome.result.found:
                place = places.get((finding.table or "", finding.line or 0))
                if place is not None:
                    yield replace(finding, file=place.file, line=place.line)
                elif finding.severity == "error":
                    yield replace(finding, line=None)

    def write(self) -> None:
        for table in reversed([*contract().tables]):
            self.changing.withdraw(table, [key for name, key in self.withdrawn if name == table])
        for table in contract().tables:
            self.changing.replace(table, [r.cells for r in self.replaced if r.table == table])
            self.changing.add(table, [r.cells for r in self.new if r.table == table])


def _key(row: Incoming) -> str:
    return str(row.cells.get(contract().tables[row.table].key) or "")


def _finding(row: Incoming, column: str | None, rule: str, message: str, remedy: str) -> Finding:
    value = row.cells.get(column) if column else None
    return Finding(
        row.file, row.line, row.table, _key(row), column, value, rule, "error", message, remedy
    )


def _shown(text: str | None) -> str:
    return "nothing" if text is None else repr(text if len(text) <= 60 else text[:57] + "…")


def require_table(name: str) -> str:
    """The name, if it is a table of the contract.

    Raises
    ------
    UsageError
        If it is none.
    """
    if name not in contract().tables:
        raise UsageError(f"{name[:40]}: no such table{did_you_mean(name, contract().tables)}")
    return name


def typed_cells(table: str, cells: Mapping[str, str]) -> Row:
    """Cells as a person types them, as a reference folder holds them.

    Raises
    ------
    UsageError
        If the table has no such column.
    """
    from towdb.record.workbook_cells import said

    spec = contract().tables[table]
    for name in cells:
        if name not in spec.columns:
            raise UsageError(f"{table} has no column {name[:40]}{did_you_mean(name, spec.columns)}")
    return {name: said(spec.field(name), text) or None for name, text in cells.items()}
