"""The derived tables and views of a release: their SQL, and the notes in it.

The comment above a SELECT gives its meaning; a line ``name, name: text`` in it describes columns.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

from towdb.contract.model import contract
from towdb.duck.sql_files import notes_of, sql_text
from towdb.reference.release_info import METADATA

_SQL = Path(__file__).parent / "sql"

# What people read: views of facts and their pages, worked out at build like all that is derived, so
# that a release contains nothing that runs.
VIEWS = ("statement", "instruction", "weight", "rating")
# What rules read too, and a release keeps as it is.
COPIED = ("entry_row", "figure", "cell", "link")
# What only rules and the record's conflicts read; worked out where it is needed.
JUDGED = ("group_overlap", "checked_row", "printed_count")
# What a release is built with, and does not contain.
PASSING = ("checked_row",)
# In the order in which they build on each other.
DERIVED = (
    "make_model",
    "build_bound",
    "group_fact",
    "attribute",
    "word_number",
    "group_cell",
    "cell_word",
    "option_number",
    "group_option",
    "statement_part",
    "statement_fact",
    "override",
    "steps_fingerprint",
    "procedure_fingerprint",
    "group_weight",
    *VIEWS,
    "coach_fact",
)


def view_sql(name: str) -> str:
    """The SELECT of a derived table or view of the release."""
    return sql_text(_SQL, name)


def view_notes(name: str) -> tuple[str, dict[str, str]]:
    """The meaning of a derived table or view, and of its own columns."""
    return notes_of(view_sql(name))


def column_note(name: str, column: str) -> str:
    """The meaning of a column of a table or view of the release.

    Raises
    ------
    KeyError
        If neither the contract nor a derived relation has it.
    """
    spec = contract().tables
    if name in spec:
        return spec[name].field(column).meaning
    if name in METADATA:
        return METADATA[name][1][column]
    return (known_notes() | view_notes(name)[1])[column]


@cache
def known_notes() -> dict[str, str]:
    """The meaning of each name of a column: from a derived relation, else from the contract."""
    notes: dict[str, str] = {}
    # Where several have one name, the first of them counts.
    for table in reversed(list(contract().tables.values())):
        notes |= {field.name: field.meaning for field in table.fields}
    for name in reversed(DERIVED):
        notes |= view_notes(name)[1]
    return notes
