"""The engine: SQL files, one relation a file, run in order over prepared inputs and the release."""

from __future__ import annotations

from pathlib import Path

import duckdb

# In the order in which they build on each other; each becomes a temp table of that name.
RELATIONS = (
    "current_statement",
    "pair",
    "word_match",
    "option_match",
    "applies",
    "applying_statement",
    "overridden",
    "standing",
    "permission",
    "considered",
    "procedure_check",
    "group_weights",
    "configuration_answer",
    "coach_weight",
    "coach_rating",
    "coach_gross",
    "coach_capacity",
    "towed",
    "capacity_check",
    "verdict",
)

# One row a candidate, and only projections: streamed through rather than kept, so that ten million
# candidates cost no memory.
STREAMED = ("towed", "capacity_check", "verdict")
# Made only when somebody asks for more than verdicts.
EXPLANATIONS = ("check_outcome", "condition", "citation", "remark")


def relation_sql(name: str) -> str:
    """The SELECT of one relation."""
    return (Path(__file__).parent / "sql" / f"{name}.sql").read_text("utf-8")


def run(con: duckdb.DuckDBPyConnection) -> None:
    """Create all relations from the prepared inputs and the release."""
    for name in RELATIONS:
        kind = "VIEW" if name in STREAMED else "TABLE"
        con.execute(f"CREATE TEMP {kind} {name} AS {relation_sql(name)}")


def explain(con: duckdb.DuckDBPyConnection) -> None:
    """Create what explains the verdicts; ``fact_text`` and ``brake_text`` are there."""
    con.execute("CREATE TEMP TABLE kept_verdict AS FROM verdict")
    con.execute("CREATE OR REPLACE TEMP VIEW verdict AS FROM kept_verdict")
    for name in EXPLANATIONS:
        con.execute(f"CREATE TEMP TABLE {name} AS {relation_sql(name)}")
