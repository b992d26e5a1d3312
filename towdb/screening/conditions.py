"""What is worded once a fact of the reference, and joined to the candidates by SQL."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator, Mapping
from decimal import Decimal
from itertools import groupby
from typing import Any, NamedTuple

import duckdb

from towdb.contract.model import contract
from towdb.duck.bulk import insert
from towdb.wording import sentences
from towdb.wording.groups import group_text, told_apart


class Fact(NamedTuple):
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


_FACT_KINDS = ("VARCHAR", "VARCHAR", "INTEGER", "VARCHAR", "DECIMAL(15,6)", "VARCHAR", "VARCHAR",
               "VARCHAR", "INTEGER", "DECIMAL(15,6)", "VARCHAR", "VARCHAR", "INTEGER",
               *["VARCHAR"] * 6)  # fmt: skip


# What is shared by a step and its fuses, and how a fact is put in order: limits first, then phases.
_OF_A_STEP = ("phase", "step_no", "printed_no")
_Placed = tuple[tuple[int | str, ...], Fact]


def word_facts(con: duckdb.DuckDBPyConnection) -> None:
    """Create ``fact_text`` and ``brake_text``: conditions in words, in printed order."""
    columns = zip(Fact._fields, _FACT_KINDS, strict=True)
    con.execute(f"CREATE TEMP TABLE fact_text ({', '.join(map(' '.join, columns))})")
    con.execute(
        "CREATE TEMP TABLE brake_text (coach_no INTEGER, text VARCHAR, value DECIMAL(15,6),"
        " unit VARCHAR, also_value DECIMAL(15,6), also_unit VARCHAR, table_name VARCHAR,"
        " row_key VARCHAR)"
    )
    con.execute(
        "CREATE TEMP TABLE asked_statement AS SELECT DISTINCT e.eligibility_id,"
        " COALESCE(e.same_steps_as, e.eligibility_id) AS steps_of FROM considered AS s"
        " JOIN towdb_data.statement_fact AS f ON f.statement_no = s.statement_no"
        " JOIN towdb_data.eligibility AS e ON e.eligibility_id = f.eligibility_id"
    )
    insert(con, "fact_text", _FACT_KINDS, statement_facts(con))
    kinds = ["INTEGER", "VARCHAR", *["DECIMAL(15,6)", "VARCHAR"] * 2, "VARCHAR", "VARCHAR"]
    insert(con, "brake_text", kinds, _brakes(con))


def word_differences(con: duckdb.DuckDBPyConnection) -> None:
    """Create ``depends_text``: where procedures differ, which cars each is for."""
    con.execute(
        "CREATE TEMP TABLE depends_text (configuration_no BIGINT, statement_no INTEGER,"
        " depends_on VARCHAR)"
    )
    insert(con, "depends_text", ["BIGINT", "INTEGER", "VARCHAR"], list(_depends(con)))


def statement_facts(con: duckdb.DuckDBPyConnection) -> list[Fact]:
    """What the statements of the temp table ``asked_statement`` ask for, each in printed order."""
    placed = [*_limits(con), *_steps(con), *_fuses(con)]
    # By what is printed before ids: a row that is renamed keeps its place.
    placed.sort(key=lambda pair: (pair[1].eligibility_id, pair[0], pair[1].text, pair[1].row_key))
    return [
        fact._replace(position=position)
        for _, of_one in groupby(placed, key=lambda pair: pair[1].eligibility_id)
        for position, (_, fact) in enumerate(of_one)
    ]


def _rows(con: duckdb.DuckDBPyConnection, query: str) -> list[dict[str, Any]]:
    con.execute(query)
    columns = [column[0] for column in con.description or ()]
    return [dict(zip(columns, row, strict=True)) for row in con.fetchall()]


def _limits(con: duckdb.DuckDBPyConnection) -> Iterator[_Placed]:
    quantities = tuple(contract().vocabularies["limit_quantity"].words)
    for row in _rows(
        con,
        "SELECT l.* FROM towdb_data.towing_limit AS l"
        " JOIN asked_statement AS a ON a.eligibility_id = l.eligibility_id",
    ):
        fact = Fact(
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
        yield (0, row["alternative_no"] or 0, quantities.index(row["quantity"])), fact


def _steps(con: duckdb.DuckDBPyConnection) -> Iterator[_Placed]:
    for row in _rows(
        con,
        "SELECT a.eligibility_id AS of, s.* FROM asked_statement AS a"
        " JOIN towdb_data.procedure_step AS s ON s.eligibility_id = a.steps_of",
    ):
        fact = Fact(
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
        yield _step_place(row), fact


def _fuses(con: duckdb.DuckDBPyConnection) -> Iterator[_Placed]:
    for row in _rows(
        con,
        "SELECT a.eligibility_id AS of, s.phase, s.step_no, s.printed_no, f.*"
        " FROM asked_statement AS a"
        " JOIN towdb_data.procedure_step AS s ON s.eligibility_id = a.steps_of"
        " JOIN towdb_data.fuse_pull AS f ON f.procedure_step_id = s.procedure_step_id",
    ):
        fact = Fact(
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
        yield (*_step_place(row), *_fuse_place(row)), fact


def _step_place(row: Mapping[str, Any]) -> tuple[int, int]:
    phases = tuple(contract().vocabularies["phase"].words)
    return 1 + phases.index(row["phase"]), row["step_no"]


def _fuse_place(row: Mapping[str, Any]) -> tuple[int, int, str]:
    """Where the page prints a fuse: fuses have no number of their own, but their step is quoted."""
    found = re.search(rf"(?<!\w){re.escape(row['position'])}(?!\w)", row["quote"] or "")
    digits = re.search(r"\d+", row["position"])
    return found.start() if found else sys.maxsize, int(digits[0]) if digits else 0, row["position"]


def _depends(con: duckdb.DuckDBPyConnection) -> Iterator[tuple[int, int, str]]:
    rows = _rows(
        con,
        "SELECT c.configuration_no, c.statement_no, s.title, e.locator,"
        " e.eligibility_id, g.* EXCLUDE (locator)"
        " FROM considered AS c"
        " JOIN procedure_check AS p ON p.configuration_no = c.configuration_no"
        " AND p.reason IN ('procedures_differ', 'chosen_not_sure')"
        " JOIN towdb_data.statement_fact AS f ON f.statement_no = c.statement_no"
        " JOIN towdb_data.eligibility AS e ON e.eligibility_id = f.eligibility_id"
        " JOIN towdb_data.source AS s ON s.source_id = e.source_id"
        " JOIN towdb_data.vehicle_group AS g ON g.vehicle_group_id = e.vehicle_group_id"
        " ORDER BY c.configuration_no, c.statement_no",
    )
    for number, of_one in groupby(rows, key=lambda row: row["configuration_no"]):
        statements = list(of_one)
        cells = told_apart(statements)
        said = [group_text(row, cells) for row in statements]
        for row, text in zip(statements, said, strict=True):
            # Of two statements on the same cars only the page tells which is followed, and on one
            # page only the id, which is also what a car's `procedure` names.
            page = f"{row['title']}, {row['locator']} ({row['eligibility_id']})"
            parts = (text, "" if text and said.count(text) == 1 else page)
            yield number, row["statement_no"], "; ".join(filter(None, parts))


def _brakes(con: duckdb.DuckDBPyConnection) -> list[tuple[Any, ...]]:
    found = _rows(
        con,
        "SELECT coach_no, low_kg, key, property FROM coach_figure"
        " WHERE property = 'unbraked_towed_max' AND low_kg IS NOT NULL"
        " QUALIFY row_number() OVER (PARTITION BY coach_no ORDER BY low_kg, key) = 1",
    )
    return [
        (
            row["coach_no"],
            sentences.brakes_text(pounds, "lb"),
            pounds,
            "lb",
            # Rounded once: from the exact figure, not from the pounds.
            Decimal(str(sentences.tenths(float(row["low_kg"]), up=False))),
            "kg",
            "coach_property" if row["key"] else "coach_file",
            row["key"] or row["property"],
        )
        for row in found
        for pounds in [pounds_down(row["low_kg"])]
    ]


def pounds_down(kilograms: Decimal) -> Decimal:
    """A limit in pounds, down to 0.1; the tolerance keeps an exact figure what it was."""
    tenths = (kilograms / Decimal("0.45359237") + Decimal("0.000001")) * 10
    return Decimal(int(tenths)) / 10
