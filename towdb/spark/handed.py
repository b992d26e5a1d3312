"""What Spark is handed of a release and of coaches: small relations, worked out here once."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import duckdb

from towdb.reference.query import attach, release_read
from towdb.screening import engine
from towdb.screening.coaches import CoachLike, enter_coaches, find_coaches
from towdb.screening.policy import Policy
from towdb.spark.numbers import Numbers, numbers_of

# What needs no car is worked out by DuckDB, from the same text; what does is left to Spark.
HERE = ("current_statement", *engine.OF_THE_COACH)
THERE = tuple(name for name in engine.RELATIONS if name not in HERE)
# A few rows that are put beside every car.
BESIDE_EVERY_CAR = ("asked", "coach_name", "coach_rating", "coach_gross")
# DuckDB's types that Spark calls otherwise.
_KINDS = {"VARCHAR": "STRING", "INTEGER": "INT", "HUGEINT": "DECIMAL(38,0)"}


@dataclass(frozen=True)
class Table:
    """A relation as Spark takes it: `schema` as DDL, and all of its rows."""

    schema: str
    rows: list[tuple[Any, ...]]


@dataclass(frozen=True)
class Handed:
    """Everything that Spark needs beside the inventory.

    Attributes
    ----------
    tables : dict
        Relation to its rows, the release's by their qualified names.
    numbers : Numbers
        What the release can tell apart.
    stamp : dict
        Release, version of towdb and day, as results name them.
    """

    tables: dict[str, Table]
    numbers: Numbers
    release_id: str
    invented: bool


def spark_type(kind: str) -> str:
    """A type of DuckDB as Spark names it."""
    return _KINDS.get(kind, kind)


def hand_over(
    release: Path, coach: CoachLike | Iterable[CoachLike], on: datetime.date, policy: Policy
) -> Handed:
    """Read what Spark needs of a release and of coaches.

    Raises
    ------
    UsageError
        If there is no such release or coach, or it cannot be used.
    """
    con, (release_id, _, _, invented) = attach(release)
    try:
        with release_read(release):
            on_record = dict(con.execute("SELECT coach_id, name FROM towdb_data.coach").fetchall())
            coaches = find_coaches(coach, on_record)
            engine.enter_asked(con, on, policy.weigh_by)
            enter_coaches(con, coaches)
            for name in HERE:
                engine.create_relation(con, name)
            tables = {name: table_of(con, name) for name in _needed()}
            return Handed(tables, numbers_of(con), release_id, invented)
    finally:
        con.close()


def table_of(con: duckdb.DuckDBPyConnection, name: str) -> Table:
    """A relation of DuckDB as Spark takes it."""
    described = con.execute(f"DESCRIBE {name}").fetchall()
    schema = ", ".join(f"`{column}` {spark_type(kind)}" for column, kind, *_ in described)
    return Table(schema, con.execute(f"FROM {name}").fetchall())


def _needed() -> Iterator[str]:
    """The release's tables that Spark's part looks at, and what was made here."""
    texts = " ".join(engine.relation_sql(name) for name in THERE)
    yield from sorted(set(re.findall(r"\btowdb_data\.\w+", texts)))
    yield from (*BESIDE_EVERY_CAR, "current_statement")
