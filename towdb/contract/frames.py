"""The contract rendered to pandera: schemas for frames of text, one a table."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache
from itertools import islice

import pandas as pd

os.environ.setdefault("DISABLE_PANDERA_IMPORT_WARNING", "True")
import pandera.pandas as pa

from towdb.contract.grammar import fault
from towdb.contract.model import Field, contract
from towdb.errors import UsageError, did_you_mean

# Checks of one cell, in the order in which a fault is looked for; each is the name of a rule.
CELL_RULES = ("length", "type", "word", "unit", "range")
# Per column: distinct bad texts, after which no more are checked, and bad cells of one rule.
MAX_BAD_TEXTS = 200
MAX_LISTED = 1_000


@lru_cache(maxsize=500)
def schema(table: str, columns: tuple[str, ...] | None = None) -> pa.DataFrameSchema:
    """The pandera schema of one table, or of some of its columns, for a frame of text.

    Every column has the dtype ``str``; an empty cell is null. The schema coerces nothing.

    Parameters
    ----------
    table : str
        Name of a table of the contract.
    columns : tuple of str, optional
        Columns of the table, in its order; all of them unless given.

    Raises
    ------
    UsageError
        If the contract has no such table.
    """
    tables = contract().tables
    if table not in tables:
        raise UsageError(f"the contract has no table {table!r}{did_you_mean(table, tables)}")
    spec = tables[table]
    return pa.DataFrameSchema(
        {
            field.name: pa.Column(
                str,
                checks=[pa.Check(_breaks_no(rule, field), name=rule) for rule in _rules(field)],
                nullable=field.name not in spec.required,
                unique=field.name == spec.key,
                description=field.meaning,
            )
            for field in spec.fields
            if columns is None or field.name in columns
        },
        name=table,
        strict=True,
        ordered=True,
        unique_column_names=True,
    )


def _rules(field: Field) -> tuple[str, ...]:
    # A rule that the field cannot break costs a pass over the column all the same.
    can = {"type"}
    if field.max_length:
        can.add("length")
    if field.type in ("word", "words", "word_list", "yes_no"):
        can.add("unit" if field.vocabulary == "unit" else "word")
    if field.minimum is not None or field.maximum is not None:
        can.add("range")
    return tuple(rule for rule in CELL_RULES if rule in can)


def _breaks_no(rule: str, field: Field) -> Callable[[pd.Series], pd.Series]:
    def holds(cells: pd.Series) -> pd.Series:
        # Checked once a distinct text: columns repeat themselves, and the predicate is Python.
        bad = [
            text for text, broken in _bad_texts(field, cells.dropna().unique()) if broken == rule
        ]
        fails = cells.isin(bad)
        # One more than is listed, so that it is known that there are more.
        fails.iloc[fails.to_numpy().nonzero()[0][MAX_LISTED + 1 :]] = False
        return ~fails

    return holds


def _bad_texts(field: Field, texts: Iterable[object]) -> Iterator[tuple[object, str]]:
    # Each bad text is compared with all known words: of a million that would take hours.
    broken = ((text, rule) for text in texts if (rule := _broken(field, text)))
    return islice(broken, MAX_BAD_TEXTS)


@lru_cache(maxsize=20_000)
def _broken(field: Field, text: object) -> str | None:
    # Null is how an empty cell is written; an empty text would pass for a required one.
    if not isinstance(text, str) or not text:
        return "type"
    found = fault(field, text)
    return found.rule if found else None
