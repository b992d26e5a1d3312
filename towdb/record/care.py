"""Looking after a record: histories, withdrawals, next year's drafts."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from sqlalchemy import select

from towdb.contract.model import contract
from towdb.contract.typed import read_date
from towdb.errors import DataError, UsageError
from towdb.record.entry import require_table
from towdb.record.plan import Difference
from towdb.record.proposals import carry_out
from towdb.record.statement_parts import below, in_printed_order, key_of, printed_place, without
from towdb.record.store.record import Change, Changing, Record, Row, Rows, rows_of, text_tables
from towdb.record.store.tables import ENTRY, current, history, metadata
from towdb.reference.check import judged_tables
from towdb.reference.release import build_tables
from towdb.screening.diff import diff

# Cells that say where a row was read; next year's are another page's.
CITATION = ("source_id", "locator", "file_page", "quote", "basis")
_DRAFTED = ("vehicle_group", "eligibility", "towing_limit", "procedure_step", "fuse_pull",
            "vehicle_property")  # fmt: skip


@dataclass(frozen=True)
class Version:
    """One version of a row: from which change, until which, and what it said."""

    table: str
    key: str
    change: Change
    until: int | None
    row: Row


def versions(record: Record, table: str, key: str) -> list[Version]:
    """Every version of a row, and of a statement's steps, fuses and limits, in order of changes.

    What came in one change is in the order of its page.

    Raises
    ------
    UsageError
        If there never was such a row.
    """
    require_table(table)
    found = _versions(record, table, contract().tables[table].key, [key])
    if not found:
        raise UsageError(f"{table} {key[:80]}: is not and never was on record")
    if table == "eligibility":
        found += _versions(record, "towing_limit", "eligibility_id", [key])
        found += _versions(record, "procedure_step", "eligibility_id", [key])
        own = {version.key for version in found if version.table == "procedure_step"}
        found += _versions(record, "fuse_pull", "procedure_step_id", sorted(own))
    steps = {v.key: v.row for v in found if v.table == "procedure_step"}

    def place(version: Version) -> tuple[Any, ...]:
        step = version.row.get("procedure_step_id") if version.table == "fuse_pull" else None
        return (version.change.number,
                *printed_place(version.table, version.row, steps.get(step or "")))  # fmt: skip

    return sorted(found, key=place)


def _versions(record: Record, table: str, column: str, values: Sequence[str]) -> list[Version]:
    change = metadata().tables["change"]
    columns = contract().tables[table].columns
    found = []
    with record.reading() as con:
        for rendered in (history(table), current(table)):
            statement = select(rendered, change).join(
                change, rendered.c.from_change == change.c.number
            )
            for row in con.execute(statement.where(rendered.c[column].in_(values))).mappings():
                cells = {name: row[rendered.c[name]] for name in columns}
                said = Change(*(row[change.c[name]] for name in ("number", "at", "who", "why")))
                until = row[rendered.c.to_change] if "to_change" in rendered.c else None
                key = str(cells[contract().tables[table].key])
                found.append(Version(table, key, said, until, cells))
    return found


def steps_between(found: Sequence[Version]) -> Iterator[tuple[Version, list[Difference]]]:
    """Each version with what it changed against the one before; of a first one, nothing."""
    before: dict[tuple[str, str], Row] = {}
    for version in found:
        was = before.get((version.table, version.key))
        yield (
            version,
            [
                Difference(version.table, version.key, column, was[column], cell)
                for column, cell in version.row.items()
                if was is not None and was[column] != cell
            ],
        )
        before[version.table, version.key] = version.row


# ---------------------------------------------------------------- withdrawals


@dataclass(frozen=True)
class Withdrawal:
    """What a withdrawal takes out of what stands, or marks, and what comes of it.

    Attributes
    ----------
    rows : tuple of (table, key)
        The rows that are withdrawn; of a source, the one that is marked.
    changed : tuple of Difference
        Cells of rows that change with it: the printed counts of a statement, the numbers of the
        steps behind, and the checks of all of them, which are to be made again.
    verdicts : tuple of dict
        Verdicts of the shortlist that change.
    change : Change or None
        The change that was written; None of a dry run.
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
    """Withdraw a row; a source only says from which day on it no longer holds.

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
        Of a source: the day, ISO 8601; today by default.
    shortlist, coach : optional
        Cars and coaches whose verdicts are compared, before and after.
    folder : path, optional
        Where the two releases that are compared may lie; needed with a shortlist.
    dry_run : bool
        Only say what would come of it.

    Raises
    ------
    UsageError
        If there is no such row, or no reason is given.
    DataError
        If the rows that would stay break a rule, such as one that points at this row, or if another
        statement has its steps from it.
    """
    require_table(table)
    if not why.strip():
        raise UsageError("say why it is withdrawn: --why TEXT")

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
    """A withdrawal, beside what stands after one change."""

    def __init__(
        self, name: str, stands: Rows, after: Rows, rows: tuple[tuple[str, str], ...],
        verdicts: Callable[[Rows, Rows], tuple[dict[str, Any], ...]],
    ) -> None:  # fmt: skip
        self.name, self.stands, self.after = name, stands, after
        self.verdicts = verdicts
        changed = (d for d in _differences(stands, after) if (d.table, d.key) not in rows)
        self.result = Withdrawal(rows, tuple(changed))

    def judge(self) -> bool:
        """Judge what would stand, and compare the verdicts; it is always to be written."""
        _require_good(self.after, self.name)
        # Compared before anything is written: who can't be told what comes of it withdraws nothing.
        self.result = replace(self.result, verdicts=self.verdicts(self.stands, self.after))
        return True

    def write(self, changing: Changing) -> None:
        """Write what changes."""
        _write(changing, self.stands, self.after)


def _require_good(rows: Rows, name: str) -> None:
    with judged_tables(text_tables(rows, name), name) as outcome:
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
    """What would stand, and the rows that are withdrawn or, of a source, marked."""
    row = next((row for row in stands[table] if key_of(table, row) == key), None)
    if row is None:
        raise UsageError(f"{table} {key[:80]}: is not on record")
    # A row that changes loses its check; until somebody checks it, it cannot loosen anything.
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
        f"eligibility {row['eligibility_id']}: has its steps from {statement} (same_steps_as); give"
        " it steps of its own, or withdraw it first"
        for row in stands["eligibility"]
        if row["same_steps_as"] == statement
    ]
    if sharing:
        raise DataError("\n".join(sharing))


# ---------------------------------------------------------------- next year's drafts


def carry_forward(
    record: Record, make: str, model: str, year: int, path: str | os.PathLike[str]
) -> dict[str, int]:
    """Draft the next model year's rows from this year's, in a workbook.

    Rows are in the order of this year's page. What says where a row was read stays empty: nothing
    of it enters the record before the new manual's page does.

    Parameters
    ----------
    record : Record
        The record.
    make, model : str
        The car.
    year : int
        The model year that is on record; the drafts are of the one after it.
    path : path
        The workbook to write.

    Returns
    -------
    dict
        Number of rows drafted, by table.

    Raises
    ------
    UsageError
        If nothing of it is on record, or the workbook cannot be written.
    """
    from towdb.contract.grammar import fold
    from towdb.record.workbook.mark import mark_of
    from towdb.record.workbook.template import write_template

    # Before the rows are read: what is changed in between is told at the import.
    mark = mark_of(record.last())
    stands = record.rows()
    groups = [
        row
        for row in stands["vehicle_group"]
        if (fold(row["make"] or ""), fold(row["model"] or "")) == (fold(make), fold(model))
        and int(row["model_year_from"] or 0) <= year <= int(row["model_year_to"] or 0)
    ]
    if not groups:
        raise UsageError(f"{make} {model} {year}: no group of it is on record")
    # A page that speaks of next year already needs no draft.
    groups = [row for row in groups if int(row["model_year_to"] or 0) == year]
    drafts = _drafts(in_printed_order(stands), groups, year + 1)
    known = {
        name: [str(row[table.key]) for row in stands[name]]
        for name, table in contract().tables.items()
    }
    write_template(path, known=known, rows=drafts, mark=mark)
    return {name: len(rows) for name, rows in drafts.items()}


def _drafts(stands: Rows, groups: Sequence[Row], year: int) -> Rows:
    kept: dict[str, set[str]] = {"vehicle_group": {str(g["vehicle_group_id"]) for g in groups}}
    drafts: Rows = {}
    for name in _DRAFTED:
        table = contract().tables[name]
        parent = {
            "vehicle_group": "vehicle_group_id", "eligibility": "vehicle_group_id",
            "vehicle_property": "vehicle_group_id", "fuse_pull": "procedure_step_id",
        }.get(name, "eligibility_id")  # fmt: skip
        of = kept[parent.removesuffix("_id")]
        rows = [row for row in stands[name] if row[parent] in of]
        kept[name] = {str(row[table.key]) for row in rows}
        drafts[name] = [_draft(name, row, kept, year) for row in rows]
    return drafts


def _draft(name: str, row: Row, kept: Mapping[str, set[str]], year: int) -> Row:
    table = contract().tables[name]
    draft: Row = {}
    for field in table.fields:
        cell = row[field.name]
        # Steps are numbered by the order of the rows, which is that of the page: one more or less
        # is nothing to mend in all that follow.
        if field.name in (*CITATION, *ENTRY, "step_no"):
            cell = None
        elif field.name in ("model_year_from", "model_year_to"):
            cell = str(year)
        elif field.type in ("id", "ids") and cell is not None:
            # Rows of the same draft point at each other; others stay as they are.
            cell = ", ".join(
                f"{one}-{year}" if any(one in keys for keys in kept.values()) else one
                for one in (part.strip() for part in cell.split(","))
            )
        draft[field.name] = cell
    return draft
