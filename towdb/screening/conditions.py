"""Conditions in words: worded once a fact, and joined to the candidates by SQL."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from itertools import groupby
from typing import Any

import duckdb

from towdb.contract.rounding import pounds_down, tenths
from towdb.duck.bulk import insert
from towdb.reference.conditions import CONDITION_KINDS, Condition, records, statement_conditions
from towdb.screening import engine
from towdb.wording import sentences
from towdb.wording.groups import distinguishing_cells, group_text

_BRAKE_KINDS = {
    "coach_no": "INTEGER",
    "text": "VARCHAR",
    "value": "DECIMAL(15,6)",
    "unit": "VARCHAR",
    "also_value": "DECIMAL(15,6)",
    "also_unit": "VARCHAR",
    "table_name": "VARCHAR",
    "row_key": "VARCHAR",
}
_DEPENDS_KINDS = {"configuration_no": "BIGINT", "statement_no": "INTEGER", "depends_on": "VARCHAR"}


def word_conditions(con: duckdb.DuckDBPyConnection) -> None:
    """Create ``condition_text`` and ``brake_text``: conditions in words, in printed order."""
    engine.create(con, "wording", ["open_statement"])
    _enter(
        con,
        "condition_text",
        dict(zip(Condition._fields, CONDITION_KINDS, strict=True)),
        statement_conditions(con),
    )
    _enter(con, "brake_text", _BRAKE_KINDS, _brakes(con))


def word_differences(con: duckdb.DuckDBPyConnection) -> None:
    """Create ``depends_text``: where procedures differ, which cars each is for."""
    _enter(con, "depends_text", _DEPENDS_KINDS, list(_depends(con)))


def _enter(
    con: duckdb.DuckDBPyConnection, name: str, kinds: Mapping[str, str], rows: Sequence[Any]
) -> None:
    con.execute(f"CREATE TEMP TABLE {name} ({', '.join(map(' '.join, kinds.items()))})")
    insert(con, name, list(kinds.values()), rows)


def _depends(con: duckdb.DuckDBPyConnection) -> Iterator[tuple[int, int, str]]:
    rows = records(con, engine.relation_sql("wording/differing_statement"))
    for number, of_one in groupby(rows, key=lambda row: row["configuration_no"]):
        statements = list(of_one)
        cells = distinguishing_cells(statements)
        texts = [group_text(row, cells) for row in statements]
        for row, text in zip(statements, texts, strict=True):
            # Two statements on the same cars differ only in their page, and on one page only in
            # their id, which is also what a car's `procedure` names.
            page = f"{row['title']}, {row['locator']} ({row['eligibility_id']})"
            parts = (text, "" if text and texts.count(text) == 1 else page)
            yield number, row["statement_no"], "; ".join(filter(None, parts))


def _brakes(con: duckdb.DuckDBPyConnection) -> list[tuple[Any, ...]]:
    found = records(con, engine.relation_sql("wording/unbraked_limit"))
    return [
        (
            row["coach_no"],
            sentences.brakes_text(pounds, "lb"),
            pounds,
            "lb",
            # Rounded only once: from the exact figure, not from the pounds.
            Decimal(str(tenths(row["low_kg"], up=False))),
            "kg",
            "coach_property" if row["key"] else "coach_file",
            row["key"] or row["property"],
        )
        for row in found
        for pounds in [pounds_down(row["low_kg"])]
    ]
