"""What Spark is handed of a release and of coaches: small relations, worked out here once."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import duckdb

from towdb.duck.select import guard
from towdb.intake.coaches import CoachLike, enter_coaches, find_coaches
from towdb.intake.policy import Policy
from towdb.reference.opening import attach, release_read
from towdb.screening import engine
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
    """A relation of DuckDB, whole: its columns with their types, and its rows."""

    columns: list[tuple[str, str]]
    rows: list[tuple[Any, ...]]

    @property
    def schema(self) -> str:
        """Its columns as Spark writes them."""
        return ", ".join(f"`{name}` {_KINDS.get(kind, kind)}" for name, kind in self.columns)


@dataclass(frozen=True)
class Handed:
    """Everything that Spark needs beside the inventory.

    Attributes
    ----------
    tables : dict
        Relation to its rows, the release's by their qualified names.
    numbers : Numbers
        What the release can tell apart.
    release_id : str
        The release.
    invented : bool
        Whether it holds invented rows.
    """

    tables: dict[str, Table]
    numbers: Numbers
    release_id: str
    invented: bool


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
        guard(con)
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
    """A relation that a connection sees."""
    described = con.execute(f"DESCRIBE {name}").fetchall()
    rows = con.execute(f"FROM {name}").fetchall()
    return Table([(column, kind) for column, kind, *_ in described], rows)


def of_the_release(relations: Iterable[str]) -> list[str]:
    """The tables of a release that the texts of some relations look at."""
    texts = " ".join(engine.relation_sql(name) for name in relations)
    return sorted(set(re.findall(r"\btowdb_data\.\w+", texts)))


def _needed() -> Iterator[str]:
    """The release's tables that Spark's part looks at, and what was made here."""
    yield from of_the_release(THERE)
    yield from (*BESIDE_EVERY_CAR, "current_statement")
