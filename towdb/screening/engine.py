"""The engine: SQL files, one relation a file, run in order over prepared inputs and the release."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from pathlib import Path

import duckdb

from towdb.duck.database_files import STORAGE_VERSION
from towdb.duck.literals import literal
from towdb.duck.sql_files import sql_text

# The outputs that people query, with names and in pounds.
PUBLIC = (
    *("verdict", "check_outcome", "condition", "question", "to_find_out"),
    *("citation", "remark", "capacity"),
)
# The tables of a screening's database, for any client that joins it to the release.
KEPT = ("verdict", "car", "counted_statement")
QUESTION_OUTPUTS = ("question", "to_find_out")
# In the order in which they build on each other; each becomes a temp table of the file's name.
RELATIONS = (
    "statements/current_statement",
    "statements/pair",
    "statements/word_match",
    "statements/option_match",
    "statements/applies",
    "statements/applying_statement",
    "statements/overridden",
    "statements/statement_after_overrides",
    "statements/permission",
    "statements/considered",
    "statements/procedure_check",
    "weights/group_weights",
    "verdict/configuration_answer",
    "weights/coach_weight",
    "weights/coach_rating",
    "weights/coach_axle",
    "weights/coach_gross",
    "weights/coach_capacity",
    "weights/towed",
    "verdict/pairing",
    "weights/capacity_check",
    "verdict/verdict_kg",
)

# Relations that need no coach, and those that need no car.
OF_THE_CAR = RELATIONS[: RELATIONS.index("weights/coach_weight")]
OF_THE_COACH = RELATIONS[RELATIONS.index("weights/coach_weight") : RELATIONS.index("weights/towed")]

# One row a candidate, and only projections: many candidates are streamed rather than stored, so
# that ten million cost no memory.
STREAMED = ("weights/towed", "verdict/pairing", "weights/capacity_check", "verdict/verdict_kg")
# Created only when more than verdicts is requested.
EXPLANATIONS = (
    "explain/verdict_condition",
    "explain/verdict_citation",
    "explain/verdict_remark",
)

# For so few cars planning the statements takes longer than running them as they are written.
FEW = 100
_SQL = Path(__file__).parent / "sql"


def relation_sql(name: str) -> str:
    """The SELECT of one relation."""
    return sql_text(_SQL, name)


def table_of(name: str) -> str:
    """The table that a relation of a file such as ``verdict/verdict_kg`` becomes."""
    return name.rpartition("/")[2]


def output_sql(name: str, *, ordered: bool = True) -> str:
    """The SELECT of one of the outputs, in the order in which people read it or in none."""
    sql = relation_sql(f"output/{name}")
    return sql if ordered else sql.rpartition("ORDER BY")[0]


def run(con: duckdb.DuckDBPyConnection, *, pairing: str = "verdict/pairing") -> None:
    """Create all relations from the prepared inputs and the release.

    `pairing` names the relation of the cars behind each coach.
    """
    for name in RELATIONS:
        create_relation(con, name, relation_sql(pairing if name == "verdict/pairing" else name))


def create_relation(con: duckdb.DuckDBPyConnection, name: str, sql: str = "") -> None:
    """Create one of `RELATIONS`, from its own text or another."""
    kind = streaming(con) if name in STREAMED else "TABLE"
    con.execute(f"CREATE TEMP {kind} {table_of(name)} AS {sql or relation_sql(name)}")


def enter_call(
    con: duckdb.DuckDBPyConnection,
    on: datetime.date,
    weigh_by: str = "best_known",
    *,
    has_release: bool = True,
) -> None:
    """Create ``call``: the date, and which weights of cars and coaches count.

    With a release, ``withdrawn_row`` too: the rows whose source is withdrawn on that date.
    """
    con.execute(
        "CREATE TEMP TABLE call AS SELECT CAST($1 AS DATE) AS on_date,"
        " CAST($2 AS VARCHAR) AS weigh_by",
        [on, weigh_by],
    )
    if has_release:
        con.execute(f"CREATE TEMP TABLE withdrawn_row AS {relation_sql('configure/withdrawn_row')}")


def streaming(con: duckdb.DuckDBPyConnection) -> str:
    """TABLE or VIEW for relations of one row a candidate: many stream through a view."""
    return "TABLE" if has_few(con) else "VIEW"


def has_few(con: duckdb.DuckDBPyConnection) -> bool:
    """Whether the candidates are so few that planning costs more than it saves."""
    con.execute("SELECT current_setting('enable_optimizer')")
    return con.fetchone() == (False,)


def create(con: duckdb.DuckDBPyConnection, folder: str, names: Iterable[str]) -> None:
    """Create relations of a folder below ``sql/``, in order."""
    for name in names:
        con.execute(f"CREATE TEMP TABLE {name} AS {relation_sql(f'{folder}/{name}')}")


def check(con: duckdb.DuckDBPyConnection) -> None:
    """Create ``verdict_check``: the seven checks as rows."""
    con.execute("SELECT 1 FROM duckdb_views() WHERE view_name = 'verdict_kg' AND temporary")
    if con.fetchone():
        con.execute("CREATE TEMP TABLE verdict_kg_table AS FROM verdict_kg")
        con.execute("CREATE OR REPLACE TEMP VIEW verdict_kg AS FROM verdict_kg_table")
    con.execute(f"CREATE TEMP TABLE verdict_check AS {relation_sql('explain/verdict_check')}")


def explain(con: duckdb.DuckDBPyConnection) -> None:
    """Create what explains the checks; ``condition_text`` and ``brake_text`` exist."""
    for name in EXPLANATIONS:
        con.execute(f"CREATE TEMP TABLE {table_of(name)} AS {relation_sql(name)}")


def keep(
    con: duckdb.DuckDBPyConnection, path: Path, about: Sequence[object], *, ordered: bool
) -> None:
    """Fill a new DuckDB file with what joins verdicts to a release.

    `about` is the release_id, the version of towdb and the day of the screening.
    """
    con.execute(f"ATTACH {literal(str(path))} AS answer (STORAGE_VERSION '{STORAGE_VERSION}')")
    try:
        for name in KEPT:
            sql = output_sql(name, ordered=ordered)
            con.execute(f"CREATE TABLE answer.main.{name} AS {sql}")
        con.execute(
            "CREATE TABLE answer.main.screening AS"
            " SELECT $1 AS release_id, $2 AS towdb_version, CAST($3 AS DATE) AS on_date",
            list(about),
        )
    finally:
        con.execute("DETACH answer")
