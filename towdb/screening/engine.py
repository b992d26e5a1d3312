"""The engine: SQL files, one relation a file, run in order over prepared inputs and the release."""

from __future__ import annotations

from pathlib import Path

import duckdb

# What people ask of: an output each, by names and in pounds.
PUBLIC = ("verdict", "check_outcome", "condition", "question", "citation", "remark", "capacity")
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
    "decision",
)

# One row a candidate, and only projections: streamed through rather than kept, so that ten million
# candidates cost no memory.
STREAMED = ("towed", "capacity_check", "decision")
# Made only when somebody asks for more than verdicts.
EXPLANATIONS = ("decision_condition", "decision_citation", "decision_remark")

# To plan the statements for a few cars takes longer than to run them as they are written.
FEW = 100
AS_WRITTEN = ("SET threads = 1", "PRAGMA disable_optimizer")
PLANNED = ("RESET threads", "PRAGMA enable_optimizer")


def relation_sql(name: str) -> str:
    """The SELECT of one relation."""
    return (Path(__file__).parent / "sql" / f"{name}.sql").read_text("utf-8")


def output_sql(name: str, *, ordered: bool = True) -> str:
    """The SELECT of one of the outputs, in the order in which people read it or in none."""
    sql = relation_sql(f"output/{name}")
    return sql if ordered else sql.rpartition("ORDER BY")[0]


def run(con: duckdb.DuckDBPyConnection) -> None:
    """Create all relations from the prepared inputs and the release."""
    for name in RELATIONS:
        kind = "VIEW" if name in STREAMED else "TABLE"
        con.execute(f"CREATE TEMP {kind} {name} AS {relation_sql(name)}")


def check(con: duckdb.DuckDBPyConnection) -> None:
    """Create ``decision_check``: the seven checks as rows."""
    con.execute("CREATE TEMP TABLE kept_decision AS FROM decision")
    con.execute("CREATE OR REPLACE TEMP VIEW decision AS FROM kept_decision")
    con.execute(f"CREATE TEMP TABLE decision_check AS {relation_sql('decision_check')}")


def explain(con: duckdb.DuckDBPyConnection) -> None:
    """Create what explains the checks; ``fact_text`` and ``brake_text`` are there."""
    for name in EXPLANATIONS:
        con.execute(f"CREATE TEMP TABLE {name} AS {relation_sql(name)}")
