"""Cars and coaches that DuckDB has prepared, and what it made of them; handed to PostgreSQL."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import duckdb

import towdb
from tests.helpers import agreement
from tests.helpers.worlds import World
from towdb.screening import engine

# What the portable texts start at, the release aside.
PREPARED = (
    *(
        "call",
        "withdrawn_row",
        "candidate",
        "configuration",
        "configuration_word",
        "configuration_option",
    ),
    *("configuration_confirmed", "coach_figure"),
)
# What is worded by then, and how cars were typed.
WORDED = (
    *("condition_text", "brake_text", "depends_text"),
    *("coded", "misspelt_option", "candidate_make", "unknown_name", "vin_year"),
)
EXPLAINED = ("explain/verdict_check", *engine.EXPLANATIONS)
# Of many pairs one in so many is explained: all of them would be a million rows.
EXPLAINED_OF_MANY = 16
MANY = 2_000
POSTGRES_TYPES = {"VARCHAR": "TEXT", "HUGEINT": "NUMERIC(38,0)"}

Rows = list[tuple[Any, ...]]


@dataclass(frozen=True)
class Table:
    """A relation of DuckDB, whole: its columns with their types, and its rows."""

    columns: list[tuple[str, str]]
    rows: Rows


def table_of(con: duckdb.DuckDBPyConnection, name: str) -> Table:
    """A relation that a connection sees."""
    described = con.execute(f"DESCRIBE {name}").fetchall()
    rows = con.execute(f"FROM {name}").fetchall()
    return Table([(column, kind) for column, kind, *_ in described], rows)


def of_the_release(relations: Iterable[str]) -> list[str]:
    """The tables of a release that the texts of some relations look at."""
    return sorted(set(re.findall(r"\btowdb_data\.\w+", " ".join(texts_of(relations).values()))))


def postgres_schema(table: Table) -> str:
    """The columns of a table as PostgreSQL writes them."""
    return ", ".join(f'"{name}" {POSTGRES_TYPES.get(kind, kind)}' for name, kind in table.columns)


@dataclass
class Case:
    """What goes in, and what DuckDB made of it.

    Attributes
    ----------
    tables : dict
        What relations start at, the release's by their qualified names.
    explained : dict
        What explanations start at beside them: among these the verdicts of fewer pairs.
    expected : dict
        Relation to what DuckDB made of it.
    """

    tables: dict[str, Table]
    explained: dict[str, Table]
    expected: dict[str, Table] = field(default_factory=dict)


def texts_of(names: Iterable[str]) -> dict[str, str]:
    """The unmodified text of each relation, by the table that it becomes."""
    return {engine.table_of(name): engine.relation_sql(name) for name in names}


def case_of(screening: towdb.Screening) -> Case:
    """What a screening began with, and all that it came to."""
    con = screening.con
    expected = {name: table_of(con, name) for name in map(engine.table_of, engine.RELATIONS)}
    looked_at = of_the_release([*engine.RELATIONS, *EXPLAINED])
    tables = {name: table_of(con, name) for name in (*PREPARED, *looked_at)}
    _decide_fewer(con)
    screening._explain()
    expected |= {name: table_of(con, name) for name in map(engine.table_of, EXPLAINED)}
    explained = {name: table_of(con, name) for name in ("verdict_kg", *WORDED)}
    return Case(tables, explained, expected)


def _decide_fewer(con: duckdb.DuckDBPyConnection) -> None:
    ((kind, pairs),) = con.execute(
        "SELECT table_type, (SELECT COUNT(*) FROM verdict_kg) FROM information_schema.tables"
        " WHERE table_name = 'verdict_kg'"
    ).fetchall()
    if pairs > MANY:
        con.execute(
            "CREATE TEMP TABLE some_verdict_kg AS FROM verdict_kg"
            f" WHERE (candidate_no + coach_no) % {EXPLAINED_OF_MANY} = 0"
        )
        con.execute(f"DROP {'VIEW' if kind == 'VIEW' else 'TABLE'} verdict_kg")
        con.execute("CREATE TEMP TABLE verdict_kg AS FROM some_verdict_kg")


def case_of_worlds(
    worlds: Sequence[World], folder: Path, weigh_by: str, *, judged: bool = True
) -> Case:
    """Those of many worlds that are weighed alike, in one set of tables: every car, every coach."""
    folder.mkdir()
    numbers = [k for k, world in enumerate(worlds) if world.policy["weigh_by"] == weigh_by]
    release = agreement.merged_release(worlds, folder, judged=judged)
    with agreement.screened(worlds, numbers, release, folder) as screening:
        return case_of(screening)


def differences(wanted: Table, columns: list[str], rows: Rows) -> Iterator[str]:
    """What another engine made otherwise: its columns, or its rows as often as they stand."""
    if columns != [name for name, _ in wanted.columns]:
        yield f"columns {columns}"
    ours, theirs = Counter(wanted.rows), Counter(rows)
    yield from (f"only DuckDB, {n} times: {row}" for row, n in (ours - theirs).items())
    yield from (f"only the other, {n} times: {row}" for row, n in (theirs - ours).items())
