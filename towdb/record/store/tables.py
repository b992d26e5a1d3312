"""The contract rendered to SQLAlchemy: for each table its current and its earlier rows.

All columns are text, exactly as in a reference folder: SQLite would keep a decimal as a float, and
a figure would not come back as it was printed. Foreign keys are checked when a change ends, so that
rows of one change may come in any order.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from sqlalchemy import (
    CheckConstraint,
    Column,
    ColumnElement,
    ForeignKeyConstraint,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    and_,
    func,
    or_,
)

from towdb.contract import model
from towdb.contract.model import contract

# What a record keeps besides the contract: who changed what and why, what was returned, attached,
# released and issued. A time is text, UTC to the microsecond: as text it sorts correctly on both
# databases.
_OWN: dict[str, dict[str, tuple[type[Integer] | type[Text] | type[LargeBinary], bool]]] = {
    "record_info": {"name": (Text, True), "value": (Text, True)},
    "change": {
        "number": (Integer, True),
        "at": (Text, True),
        "who": (Text, True),
        "why": (Text, True),
    },
    "returned": {
        "number": (Integer, True),
        "table_name": (Text, True),
        "row_key": (Text, True),
        "from_change": (Integer, True),
        "at": (Text, True),
        "who": (Text, True),
        "remark": (Text, True),
    },
    "document": {
        "sha256": (Text, True),
        "file_name": (Text, True),
        "content": (LargeBinary, True),
        "at": (Text, True),
        "who": (Text, True),
    },
    "released": {
        "release_id": (Text, True),
        "change_number": (Integer, True),
        "towdb_version": (Text, True),
        "at": (Text, True),
    },
    "issued": {
        "number": (Integer, True),
        "at": (Text, True),
        "who": (Text, True),
        "issued_to": (Text, True),
        "release_id": (Text, True),
        "towdb_version": (Text, True),
        "on_date": (Text, True),
        "inputs": (Text, True),
        "result": (Text, True),
        "result_sha256": (Text, True),
    },
}
ENTRY = ("entered_by", "entered_on", "checked_by", "checked_on")


@cache
def metadata() -> MetaData:
    """All tables of a record."""
    meta = MetaData()
    for name, columns in _OWN.items():
        first, *_ = columns
        Table(
            name,
            meta,
            *(
                Column(column, kind, primary_key=column == first, nullable=not required,
                       autoincrement=False)
                for column, (kind, required) in columns.items()
            ),
        )  # fmt: skip
    for table in contract().tables.values():
        _current(meta, table)
        _history(meta, table)
    return meta


def current(name: str) -> Table:
    """The table of the current rows."""
    return metadata().tables[name]


def history(name: str) -> Table:
    """The table of the earlier rows: from one change on, until another."""
    return metadata().tables[f"{name}_history"]


def _current(meta: MetaData, table: model.Table) -> Table:
    rendered = Table(
        table.name,
        meta,
        *(
            Column(
                field.name,
                Text,
                primary_key=field.name == table.key,
                nullable=field.name not in table.required,
            )
            for field in table.fields
        ),
        Column("from_change", Integer, nullable=False),
        ForeignKeyConstraint(
            ["from_change"], ["change.number"], deferrable=True, initially="DEFERRED"
        ),
        *_foreign_keys(table),
    )
    for constraint in _checks(rendered, table):
        rendered.append_constraint(constraint)
    return rendered


def _history(meta: MetaData, table: model.Table) -> Table:
    return Table(
        f"{table.name}_history",
        meta,
        *(Column(field.name, Text, primary_key=field.name == table.key) for field in table.fields),
        Column("from_change", Integer, primary_key=True, autoincrement=False),
        Column("to_change", Integer, nullable=False),
        ForeignKeyConstraint(["from_change"], ["change.number"]),
        ForeignKeyConstraint(["to_change"], ["change.number"]),
        CheckConstraint("from_change < to_change"),
    )


def _foreign_keys(table: model.Table) -> Iterator[ForeignKeyConstraint]:
    # A list of ids, or an id of one of several tables, cannot have one: rules check these.
    for field in table.fields:
        targets = contract().references(field, table)
        if field.type == "id" and len(targets) == 1:
            target = contract().tables[targets[0]]
            yield ForeignKeyConstraint(
                [field.name], [f"{target.name}.{target.key}"], deferrable=True, initially="DEFERRED"
            )


def _checks(rendered: Table, table: model.Table) -> Iterator[CheckConstraint]:
    for field in table.fields:
        column = rendered.c[field.name]
        if field.type == "word" and field.vocabulary:
            vocabulary = contract().vocabularies[field.vocabulary]
            if not vocabulary.is_open:
                yield CheckConstraint(column.in_(list(vocabulary.words)))
        elif field.type == "yes_no":
            yield CheckConstraint(column.in_(["yes", "no"]))
    by, on, checked_by, checked_on = (rendered.c[name] for name in ENTRY)
    yield CheckConstraint(
        or_(
            and_(checked_by.is_(None), checked_on.is_(None)),
            and_(checked_by.is_not(None), checked_on.is_not(None), checked_on >= on),
        )
    )
    # Nobody checks what they entered on the same day, whatever the client. `same_person` and the
    # contract's rule decide who is the same person; this is the net below them.
    yield CheckConstraint(
        or_(checked_by.is_(None), _folded(checked_by) != _folded(by), checked_on > on)
    )


def _folded(name: ColumnElement[str]) -> ColumnElement[str]:
    # Only what both databases do: PostgreSQL alone lowers letters beyond ASCII, and neither
    # composes letters.
    for space in ("\t", "\n", "\r", "\u00a0"):
        name = func.replace(name, space, " ")
    for _ in range(4):
        name = func.replace(name, "  ", " ")
    return func.lower(func.trim(name))
