"""What a statement requires, in words: its limits, steps and fuses, each a fact with its page."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator, Mapping
from decimal import Decimal
from itertools import groupby
from typing import Any, NamedTuple

import duckdb

from towdb.contract.model import contract
from towdb.reference.relations import view_sql
from towdb.wording import sentences

# The keys of a condition, and of a cited row, in documents.
CONDITION = ("kind", "alternative_no", "depends_on", "phase", "step_no", "printed_no", "step_kind",
              "text", "expect", "if_not", "disables", "restore", "value", "unit", "also_value",
              "also_unit", "eligibility_id")  # fmt: skip
CITED = ("table", "key", "source_id", "locator", "title", "quote")


class Condition(NamedTuple):
    """A limit, step or fuse of a statement, in words; a fuse has the place of its step."""

    eligibility_id: str
    kind: str
    alternative_no: int | None
    text: str
    value: Decimal | None
    unit: str | None
    table_name: str
    row_key: str
    position: int = 0
    also_value: Decimal | None = None
    also_unit: str | None = None
    phase: str | None = None
    step_no: int | None = None
    printed_no: str | None = None
    step_kind: str | None = None
    expect: str | None = None
    if_not: str | None = None
    disables: str | None = None
    restore: str | None = None


CONDITION_KINDS = ("VARCHAR", "VARCHAR", "INTEGER", "VARCHAR", "DECIMAL(15,6)", "VARCHAR",
                   "VARCHAR", "VARCHAR", "INTEGER", "DECIMAL(15,6)", "VARCHAR", "VARCHAR",
                   "INTEGER", *["VARCHAR"] * 6)  # fmt: skip
# What is shared by a step and its fuses, and how a condition is put in order: limits first, then
# phases.
_OF_A_STEP = ("phase", "step_no", "printed_no")
_Placed = tuple[tuple[int | str, ...], Condition]


def statement_conditions(con: duckdb.DuckDBPyConnection) -> list[Condition]:
    """What the statements of the temp table ``open_statement`` require, each in printed order."""
    placed = [*_limits(con), *_steps(con), *_fuses(con)]
    # By what is printed before ids: a row that is renamed keeps its place.
    placed.sort(key=lambda pair: (pair[1].eligibility_id, pair[0], pair[1].text, pair[1].row_key))
    return [
        condition._replace(position=position)
        for _, of_one in groupby(placed, key=lambda pair: pair[1].eligibility_id)
        for position, (_, condition) in enumerate(of_one)
    ]


def records(con: duckdb.DuckDBPyConnection, query: str) -> list[dict[str, Any]]:
    """The rows of a query as dictionaries."""
    con.execute(query)
    columns = [column[0] for column in con.description or ()]
    return [dict(zip(columns, row, strict=True)) for row in con.fetchall()]


def _limits(con: duckdb.DuckDBPyConnection) -> Iterator[_Placed]:
    quantities = tuple(contract().vocabularies["limit_quantity"].words)
    for row in records(con, view_sql("wording/limit")):
        condition = Condition(
            row["eligibility_id"],
            row["quantity"],
            row["alternative_no"],
            sentences.limit_text(row),
            row["value"],
            row["unit"],
            "towing_limit",
            row["towing_limit_id"],
            also_value=row["also_value"],
            also_unit=row["also_unit"],
        )
        yield (0, row["alternative_no"] or 0, quantities.index(row["quantity"])), condition


def _steps(con: duckdb.DuckDBPyConnection) -> Iterator[_Placed]:
    for row in records(con, view_sql("wording/step")):
        condition = Condition(
            row["of"],
            "accessory" if row["phase"] == "once" else "step",
            None,
            sentences.step_text(row),
            row["value"],
            row["unit"],
            "procedure_step",
            row["procedure_step_id"],
            step_kind=row["kind"],
            **{name: row[name] for name in (*_OF_A_STEP, "expect", "if_not")},
        )
        yield _step_place(row), condition


def _fuses(con: duckdb.DuckDBPyConnection) -> Iterator[_Placed]:
    for row in records(con, view_sql("wording/fuse")):
        condition = Condition(
            row["of"],
            "fuse",
            None,
            sentences.fuse_text(row),
            row["rating_a"],
            None if row["rating_a"] is None else "A",
            "fuse_pull",
            row["fuse_pull_id"],
            **{name: row[name] for name in (*_OF_A_STEP, "disables", "restore")},
        )
        yield (*_step_place(row), *_fuse_place(row)), condition


def _step_place(row: Mapping[str, Any]) -> tuple[int, int]:
    return contract().vocabularies["phase"].order_of(row["phase"]), row["step_no"]


def _fuse_place(row: Mapping[str, Any]) -> tuple[int, int, str]:
    """Where the page prints a fuse: fuses have no number of their own, but their step is quoted."""
    found = re.search(rf"(?<!\w){re.escape(row['position'])}(?!\w)", row["quote"] or "")
    digits = re.search(r"\d+", row["position"])
    return found.start() if found else sys.maxsize, int(digits[0]) if digits else 0, row["position"]
