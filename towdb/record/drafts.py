"""Next year's rows, drafted from this year's in a workbook."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence

from towdb.contract.model import contract
from towdb.errors import UsageError
from towdb.record.statement_parts import in_printed_order
from towdb.record.store.record import Record, Row, Rows
from towdb.record.store.tables import ENTRY

# Where a row was read; next year's rows are read on another page.
CITATION = ("source_id", "locator", "file_page", "quote", "basis")
_DRAFTED = ("vehicle_group", "eligibility", "towing_limit", "procedure_step", "fuse_pull",
            "vehicle_property")  # fmt: skip


def carry_forward(
    record: Record, make: str, model: str, year: int, path: str | os.PathLike[str]
) -> dict[str, int]:
    """Draft the next model year's rows from this year's, in a workbook.

    Rows are in the order of this year's page. The citation stays empty: no draft enters
    the record before the new manual's page is typed.

    Parameters
    ----------
    record : Record
        The record.
    make, model : str
        The car.
    year : int
        The model year that is on record; the drafts are for the one after it.
    path : path
        The workbook to write.

    Returns
    -------
    dict
        Number of rows drafted, by table.

    Raises
    ------
    UsageError
        If nothing about it is on record, or the workbook cannot be written.
    """
    from towdb.contract.grammar import fold
    from towdb.record.workbook.mark import mark_of
    from towdb.record.workbook.template import write_template

    # Before the rows are read: the import reports what is changed in between.
    mark = mark_of(record.last())
    stands = record.rows()
    groups = [
        row
        for row in stands["vehicle_group"]
        if (fold(row["make"] or ""), fold(row["model"] or "")) == (fold(make), fold(model))
        and int(row["model_year_from"] or 0) <= year <= int(row["model_year_to"] or 0)
    ]
    if not groups:
        raise UsageError(
            f"{make} {model} {year}: no group is on record; check make, model and year"
        )
    # A page that covers next year already needs no draft.
    groups = [row for row in groups if int(row["model_year_to"] or 0) == year]
    drafts = _drafts(in_printed_order(stands), groups, year + 1)
    known = {
        name: [str(row[table.key]) for row in stands[name]]
        for name, table in contract().tables.items()
    }
    write_template(path, known=known, rows=drafts, mark=mark)
    return {name: len(rows) for name, rows in drafts.items()}


def _drafts(stands: Rows, groups: Sequence[Row], year: int) -> Rows:
    drafted: dict[str, set[str]] = {"vehicle_group": {str(g["vehicle_group_id"]) for g in groups}}
    drafts: Rows = {}
    for name in _DRAFTED:
        table = contract().tables[name]
        parent = {
            "vehicle_group": "vehicle_group_id", "eligibility": "vehicle_group_id",
            "vehicle_property": "vehicle_group_id", "fuse_pull": "procedure_step_id",
        }.get(name, "eligibility_id")  # fmt: skip
        of = drafted[parent.removesuffix("_id")]
        rows = [row for row in stands[name] if row[parent] in of]
        drafted[name] = {str(row[table.key]) for row in rows}
        drafts[name] = [_draft(name, row, drafted, year) for row in rows]
    return drafts


def _draft(name: str, row: Row, drafted: Mapping[str, set[str]], year: int) -> Row:
    table = contract().tables[name]
    draft: Row = {}
    for field in table.fields:
        cell = row[field.name]
        # Steps are numbered in the order of the rows: one more or less needs no correction in all
        # that follow.
        if field.name in (*CITATION, *ENTRY, "step_no"):
            cell = None
        elif field.name in ("model_year_from", "model_year_to"):
            cell = str(year)
        elif field.type in ("id", "ids") and cell is not None:
            # Rows of the same draft point at each other; others stay as they are.
            cell = ", ".join(
                f"{one}-{year}" if any(one in keys for keys in drafted.values()) else one
                for one in (part.strip() for part in cell.split(","))
            )
        draft[field.name] = cell
    return draft
