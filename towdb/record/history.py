"""Every version of a row, and what changed from one to the next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select

from towdb.contract.model import contract
from towdb.errors import UsageError
from towdb.record.entry import require_table
from towdb.record.plan import Difference
from towdb.record.statement_parts import printed_place
from towdb.record.store.record import Change, Record, Row
from towdb.record.store.tables import current, history, metadata


@dataclass(frozen=True)
class Version:
    """One version of a row: from which change, until which, and its content."""

    table: str
    key: str
    change: Change
    until: int | None
    row: Row


def versions(record: Record, table: str, key: str) -> list[Version]:
    """Every version of a row, and of a statement's steps, fuses and limits, in order of changes.

    Versions of one change are in the order of their page.

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
                made_in = Change(*(row[change.c[name]] for name in ("number", "at", "who", "why")))
                until = row[rendered.c.to_change] if "to_change" in rendered.c else None
                key = str(cells[contract().tables[table].key])
                found.append(Version(table, key, made_in, until, cells))
    return found


def steps_between(found: Sequence[Version]) -> Iterator[tuple[Version, list[Difference]]]:
    """Each version with its differences from the one before; a first version has none."""
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
