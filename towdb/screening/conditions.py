"""Conditions in words: worded once a fact, and joined to the candidates by SQL."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from itertools import groupby
from typing import Any

import duckdb

from towdb.duck.bulk import insert
from towdb.reference.conditions import FACT_KINDS, Fact, records, statement_facts
from towdb.wording import sentences
from towdb.wording.groups import group_text, told_apart


def word_facts(con: duckdb.DuckDBPyConnection) -> None:
    """Create ``fact_text`` and ``brake_text``: conditions in words, in printed order."""
    columns = zip(Fact._fields, FACT_KINDS, strict=True)
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
    insert(con, "fact_text", FACT_KINDS, statement_facts(con))
    kinds = ["INTEGER", "VARCHAR", *["DECIMAL(15,6)", "VARCHAR"] * 2, "VARCHAR", "VARCHAR"]
    insert(con, "brake_text", kinds, _brakes(con))


def word_differences(con: duckdb.DuckDBPyConnection) -> None:
    """Create ``depends_text``: where procedures differ, which cars each is for."""
    con.execute(
        "CREATE TEMP TABLE depends_text (configuration_no BIGINT, statement_no INTEGER,"
        " depends_on VARCHAR)"
    )
    insert(con, "depends_text", ["BIGINT", "INTEGER", "VARCHAR"], list(_depends(con)))


def _depends(con: duckdb.DuckDBPyConnection) -> Iterator[tuple[int, int, str]]:
    rows = records(
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
    found = records(
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
