"""The layout of a table on its sheet: which columns, in which order, and what fills them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from towdb.contract.model import Table, contract

HOW_TO = "how to"
LISTS = "lists"
# What the page of a manual needs; the sheets of the other tables are there, hidden.
SHOWN = (
    "source",
    "vehicle_group",
    "eligibility",
    "towing_limit",
    "procedure_step",
    "fuse_pull",
    "vehicle_property",
)
# Who typed and checked a row, and when, comes from the command, never from a cell.
UNTYPED = ("entered_by", "entered_on", "checked_by", "checked_on")
# What an empty cell means.
DEFAULTS = {"basis": "cited"}
# A row's id where none is typed: its parent's, and these cells. They distinguish the rows of one
# parent without counting them, so that an inserted row changes no other row's id.
NAMED_BY = {
    "towing_limit": ("alternative_no", "quantity", "scope"),
    "procedure_step": ("phase", "printed_no", "component"),
    "fuse_pull": ("position",),
    "vehicle_property": ("property",),
    "coach_property": ("property",),
    "equipment_property": ("property",),
    "equipment_fit": ("vehicle_group_id",),
    "towing_rule_term": ("part", "group_no", "quantity"),
}
_WHERE = ("source_id", "locator", "file_page")
_WHEN = ("phase", "sequence")


@dataclass(frozen=True)
class Layout:
    """The layout of one table on its sheet.

    Attributes
    ----------
    table : Table
        The table.
    header : tuple of str
        Columns of the page header, from the broadest to the narrowest: the page of a fact, what
        it belongs to, when it is done. A row that fills no other column applies to the rows below.
    parents : tuple of str
        Those columns of the header with the id of what the row belongs to.
    made : tuple of str
        Columns that the tool fills where they are empty.
    columns : tuple of str
        All columns in the order of the sheet.
    """

    table: Table
    header: tuple[str, ...]
    parents: tuple[str, ...]
    made: tuple[str, ...]
    columns: tuple[str, ...]

    @property
    def group(self) -> str | None:
        """The column inside which steps are numbered."""
        return next((c for c in _WHEN if c in self.header), None)


@cache
def layout(name: str) -> Layout:
    """The layout of a table of the contract on its sheet."""
    spec = contract()
    table = spec.tables[name]
    where = [c for c in _WHERE if c in table.columns and table.cited]
    parents = [
        field.name
        for field in table.fields
        if field.type == "id"
        and field.name in table.required - {"source_id"}
        and spec.references(field, table)
    ]
    when = [c for c in _WHEN if c in table.columns]
    header = (*where, *parents, *when)
    made = [*DEFAULTS, "step_no", *([table.key] if name in NAMED_BY else [])]
    made = [c for c in made if c in table.columns]
    typed = [c for c in table.columns if c not in (*header, *made, *UNTYPED)]
    # Long texts that are seldom filled would push the quote off the screen.
    late = [c for c in typed if c not in table.required and _is_long(table, c)]
    columns = (*header, *(c for c in typed if c not in late), *late, *made)
    return Layout(table, header, tuple(parents), tuple(made), columns)


def _is_long(table: Table, column: str) -> bool:
    field = table.field(column)
    return field.type in ("text", "text_list") and (field.max_length or 0) >= 200
