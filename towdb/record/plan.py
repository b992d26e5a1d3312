"""What an import does: rows that are new, change, stay or are withdrawn; and how to write it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from towdb.contract.model import contract
from towdb.errors import Finding
from towdb.record.overwrite import (
    CHECKED,
    LIFT,
    Ended,
    Wrong,
    changed_since,
    check_has_ended,
    check_too_early,
    emptied,
    ended_checks,
    not_by_import,
    with_filled_in,
    withdrawn_since,
)
from towdb.record.statement_parts import left_out, losing
from towdb.record.store.record import Changing, Row, Rows, rows_of, text_tables
from towdb.record.store.tables import ENTRY
from towdb.reference.check import Progress, checked_tables


class Incoming(NamedTuple):
    """A row that came in, and where it was read."""

    table: str
    cells: Row
    file: str
    line: int | None
    # Whether the id was made from other cells: another page may give the same id.
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


class Leave(NamedTuple):
    """What a person allows an import to do to rows on record."""

    change: bool
    over: bool
    seen: int | None


@dataclass
class Plan:
    """What is new, what changes, what is left; and the rows on record."""

    changing: Changing
    incoming: list[Incoming]
    leave: Leave
    seen: int | None
    new: list[Incoming] = field(default_factory=list)
    replaced: list[Incoming] = field(default_factory=list)
    differences: list[Difference] = field(default_factory=list)
    withdrawn: list[tuple[str, str]] = field(default_factory=list)
    left: int = 0
    findings: list[Finding] = field(default_factory=list)
    ended: dict[str, dict[str, list[Ended]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        con = self.changing.con
        self.on_record_now = {name: rows_of(con, name) for name in contract().tables}
        by_key = {
            name: {row[contract().tables[name].key]: row for row in rows}
            for name, rows in self.on_record_now.items()
        }
        counted = Counter((row.table, key_of(row)) for row in self.incoming)
        for row in self.incoming:
            stands = by_key[row.table].get(key_of(row))
            if stands is not None and counted[row.table, key_of(row)] > 1:
                key = contract().tables[row.table].key
                self.findings.append(finding_of(row, key, "unique", "two rows have this id",
                                              "keep one of them"))  # fmt: skip
            elif stands is not None:
                self.compare(row, stands)
            else:
                self.add(row)
        if self.leave.change:
            self.leave_out()

    def leave_out(self) -> None:
        """Withdraw the parts on record that are missing from statements that came whole."""
        came: Rows = {}
        for row in self.incoming:
            # If a row was typed by itself, its parts stay as they are.
            if not row.is_partial:
                came.setdefault(row.table, []).append(row.cells)
        whole = {key_of(row): row for row in self.incoming if row.table == "eligibility"}
        for statement, table, key in left_out(came, self.on_record_now):
            row = whole[statement]
            part = row._replace(table=table, cells={contract().tables[table].key: key})
            since = changed_since(self.changing.con, table, key, self.seen or 0)
            if since and self.seen is not None:
                self.note(part, since)
            self.withdrawn.append((table, key))
        # The statement demands less now, and nobody has compared that with the page.
        on_record = {r["eligibility_id"]: r for r in self.on_record_now["eligibility"]}
        changed = {key_of(row) for row in self.replaced if row.table == "eligibility"}
        for statement in sorted(losing(self.on_record_now, {*self.withdrawn}) - changed):
            self.left -= statement in whole
            place = whole.get(statement, next(iter(whole.values())))
            stands = on_record[statement]
            self.change(place._replace(cells=stands), stands, ["eligibility_id"])

    def add(self, row: Incoming) -> None:
        """Add a row that is not on record."""
        since = withdrawn_since(self.changing.con, row.table, key_of(row), self.seen or 0)
        if since and self.seen is not None:
            self.note(row, since)
            return
        if since:
            # Last year's folder does not show the withdrawal; the row still awaits a check.
            self.note(
                row, since._replace(remedy="withdraw it again if it does not apply"), "warning"
            )
        self.new.append(self.without_ended_check(row, None))

    def compare(self, row: Incoming, stands: Row) -> None:
        """Leave, refuse or replace a row that is on record."""
        columns = contract().tables[row.table].columns
        if row.is_partial:
            row = row._replace(cells={**stands, **dict.fromkeys(CHECKED), **row.cells})
        else:
            row = self.without_ended_check(self.filled_in(row, stands), stands)
        differing = [c for c in columns if c not in ENTRY and row.cells.get(c) != stands[c]]
        brings_check = any(row.cells.get(c) not in (None, stands[c]) for c in CHECKED)
        if not differing and not brings_check:
            self.left += 1
        elif not self.leave.change or (row.is_made and {"source_id", "locator"} & {*differing}):
            self.refuse(row, stands, differing)
        elif wrong := list(self.overwritten(row, stands, differing)):
            for each in wrong:
                self.note(row, each)
        else:
            self.change(row, stands, differing)

    def filled_in(self, row: Incoming, stands: Row) -> Incoming:
        """The row, with the cells that the record itself filled in."""
        cells = with_filled_in(row.table, row.cells, stands)
        if cells.get("withdrawn_on") != row.cells.get("withdrawn_on"):
            message = f"empty here; the record keeps {stands['withdrawn_on']}"
            self.note(row, Wrong("withdrawn_on", "withdrawn", message, LIFT), "warning")
        return row._replace(cells=cells)

    def without_ended_check(self, row: Incoming, stands: Row | None) -> Incoming:
        """The row, with the check on record in place of one that the record has ended."""
        if row.table not in self.ended:
            self.ended[row.table] = ended_checks(self.changing.con, row.table)
        ended = self.ended[row.table].get(key_of(row), ())
        wrong = check_has_ended(row.cells, stands, ended)
        if wrong is None:
            return row
        self.note(row, wrong, "warning")
        checked = {name: stands[name] if stands else None for name in CHECKED}
        return row._replace(cells={**row.cells, **checked})

    def overwritten(self, row: Incoming, stands: Row, differing: list[str]) -> Iterator[Wrong]:
        """What may be overwritten by mistake."""
        if self.seen is not None and (
            since := changed_since(self.changing.con, row.table, key_of(row), self.seen)
        ):
            yield since._replace(column=differing[0] if differing else None)
        yield from not_by_import(row.table, row.cells, stands)
        if not differing and (
            wrong := check_too_early(self.changing, row.table, row.cells, stands)
        ):
            yield wrong
        # An empty cell that was typed is meant; one of a sheet may never have been filled.
        if not (row.is_partial or self.leave.over):
            yield from emptied(row.table, row.cells, stands)

    def note(self, row: Incoming, wrong: Wrong, severity: str = "error") -> None:
        """Report what is wrong with a row."""
        self.findings.append(finding_of(row, *wrong, severity))

    def refuse(self, row: Incoming, stands: Row, differing: list[str]) -> None:
        """Report a row that is on record with other cells."""
        column = differing[0] if differing else "checked_by"
        more = f" (and {len(differing) - 1} more cells)" if len(differing) > 1 else ""
        self.findings.append(
            finding_of(
                row, column, "on_record",
                f"is already recorded with a different value: {shown(stands[column])}{more}",
                "use another id for another row; to change the row, import with --change",
            )
        )  # fmt: skip

    def change(self, row: Incoming, stands: Row, differing: list[str]) -> None:
        """Replace a row; its earlier check no longer counts."""
        cells = dict(row.cells)
        if differing and all(cells.get(c) == stands[c] for c in ENTRY):
            # The row is different now: nobody has checked it, and somebody else may have typed it.
            now = self.changing.change
            cells |= {"entered_by": now.who, "entered_on": now.day}
            cells |= dict.fromkeys(CHECKED)
        elif differing and all(cells.get(c) == stands[c] for c in CHECKED):
            cells |= dict.fromkeys(CHECKED)
        self.replaced.append(row._replace(cells=cells))
        self.differences += [
            Difference(row.table, key_of(row), c, stands[c], cells.get(c))
            for c in contract().tables[row.table].columns
            if cells.get(c) != stands[c]
        ]

    def judged(self, name: str, progress: Progress | None) -> Iterator[Finding]:
        """Findings of the contract's rules about these rows, together with those on record."""
        coming: dict[str, list[Incoming]] = {}
        for row in [*self.new, *self.replaced]:
            coming.setdefault(row.table, []).append(row)
        rows: Rows = {}
        places: dict[tuple[str, int], Incoming] = {}
        for table, stand in self.on_record_now.items():
            key = contract().tables[table].key
            gone = {key_of(row) for row in coming.get(table, ())}
            gone |= {withdrawn for name, withdrawn in self.withdrawn if name == table}
            left = [row for row in stand if row[key] not in gone]
            arrived = coming.get(table, [])
            rows[table] = [*left, *(row.cells for row in arrived)]
            places |= {(table, line): row for line, row in enumerate(arrived, start=len(left) + 1)}
        if not coming:
            return
        with checked_tables(text_tables(rows, name), name, progress) as outcome:
            for finding in outcome.result.found:
                place = places.get((finding.table or "", finding.line or 0))
                if place is not None:
                    yield replace(finding, file=place.file, line=place.line)
                elif finding.severity == "error":
                    yield replace(finding, line=None)

    def write(self, changing: Changing) -> None:
        """Write it all."""
        for table in reversed([*contract().tables]):
            changing.withdraw(table, [key for name, key in self.withdrawn if name == table])
        for table in contract().tables:
            changing.replace(table, [r.cells for r in self.replaced if r.table == table])
            changing.add(table, [r.cells for r in self.new if r.table == table])


def key_of(row: Incoming) -> str:
    """The key of a row; empty if it has none."""
    return str(row.cells.get(contract().tables[row.table].key) or "")


def finding_of(
    row: Incoming, column: str | None, rule: str, message: str, remedy: str,
    severity: str = "error",
) -> Finding:  # fmt: skip
    """A finding about a row that came in."""
    value = row.cells.get(column) if column else None
    return Finding(
        row.file, row.line, row.table, key_of(row), column, value, rule, severity, message, remedy
    )


def shown(text: str | None) -> str:
    """A cell as a message quotes it."""
    return "nothing" if text is None else repr(text if len(text) <= 60 else text[:57] + "…")
