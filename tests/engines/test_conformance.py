"""The portable texts, unmodified, say the same on DuckDB and PostgreSQL.

What they start at is made once, by DuckDB, and handed to PostgreSQL as tables. Every relation of
every case is compared whole: columns, and rows as often as they stand, numbers exactly.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import psycopg
import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.agreement import drawn
from tests.helpers.conformance import (
    EXPLAINED,
    Case,
    Rows,
    Table,
    case_of,
    case_of_worlds,
    differences,
    postgres_schema,
    texts_of,
)
from tests.helpers.hostile import hostile_worlds
from towdb.screening import engine

SEED, WORLDS = 901, 200
RELATIONS = tuple(map(engine.table_of, (*engine.RELATIONS, *EXPLAINED)))
CASES = ("demo", "worlds", "worlds by gvwr", "hostile text")
ENGINES = ("postgresql",)
# What an engine cannot be brought to say alike, and why. Nothing so far.
DIFFERS: Mapping[tuple[str, str], str] = {}

# An engine runs texts over tables: the tables, and the texts by relation.
Made = dict[str, tuple[list[str], Rows]]
Runs = Callable[[dict[str, Table], dict[str, str]], Made]


@cache
def _worlds() -> list[Any]:
    return drawn(SEED, WORLDS)


def made_of(case: str, demo_release: Path, folder: Path) -> Case:
    """A case by its name."""
    if case == "demo":
        coaches: list[str | Path] = [*sorted(DEMO.glob("coach*.toml"))]
        coaches += _coaches_of(demo_release)
        shortlist = DEMO / "shortlist.csv"
        with towdb.screen(shortlist, coach=coaches, reference=demo_release, on="2026-01-31") as s:
            return case_of(s)
    if case == "hostile text":
        return case_of_worlds(hostile_worlds(902, 24), folder / "w", "best_known", judged=False)
    weigh_by = "gvwr" if case == "worlds by gvwr" else "best_known"
    return case_of_worlds(_worlds(), folder / "w", weigh_by)


def _coaches_of(release: Path) -> list[str]:
    with towdb.open(release) as reference:
        return [row[0] for row in reference.rows("SELECT coach_id FROM coach ORDER BY ALL").rows]


# ------------------------------------------------------------ engines


def in_postgresql(con: psycopg.Connection[Any]) -> Runs:
    """PostgreSQL, as it is installed."""

    def run(tables: dict[str, Table], texts: dict[str, str]) -> Made:
        for name, table in tables.items():
            con.execute(f"DROP TABLE IF EXISTS {name} CASCADE")
            con.execute(f"CREATE TABLE {name} ({postgres_schema(table)})")
            with con.cursor() as cursor, cursor.copy(f"COPY {name} FROM STDIN") as copy:
                for row in table.rows:
                    copy.write_row(row)
            con.execute(f"ANALYZE {name}")
        made: Made = {}
        for name, sql in texts.items():
            con.execute(f"DROP TABLE IF EXISTS {name} CASCADE")
            con.execute(f"CREATE TABLE {name} AS {sql}")
            con.execute(f"ANALYZE {name}")
            found = con.execute(f"SELECT * FROM {name}")
            made[name] = [column.name for column in found.description or ()], found.fetchall()
        return made

    con.execute("CREATE SCHEMA IF NOT EXISTS towdb_data")
    return run


# ------------------------------------------------------------ every relation of every case


class Answers:
    """What each engine makes of each case, made when it is first asked for."""

    def __init__(self, demo_release: Path, folder: Path) -> None:
        self.demo_release, self.folder = demo_release, folder
        self.cases: dict[str, Case] = {}
        self.made: dict[tuple[str, str], Made] = {}

    def case(self, name: str) -> Case:
        if name not in self.cases:
            folder = self.folder / f"{len(self.cases)}"
            folder.mkdir()
            self.cases[name] = made_of(name, self.demo_release, folder)
        return self.cases[name]

    def of(self, engine_name: str, case: str, run: Runs) -> Made:
        key = (engine_name, case)
        if key not in self.made:
            given = self.case(case)
            made = run(given.tables, texts_of(engine.RELATIONS))
            made |= run(given.explained, texts_of(EXPLAINED))
            self.made[key] = made
        return self.made[key]


@pytest.fixture(scope="module")
def answers(demo_release: Path, tmp_path_factory: pytest.TempPathFactory) -> Answers:
    return Answers(demo_release, tmp_path_factory.mktemp("engines"))


@pytest.fixture(params=ENGINES, scope="module")
def other(request: pytest.FixtureRequest) -> tuple[str, Runs]:
    """One of the other engines."""
    return request.param, in_postgresql(request.getfixturevalue(request.param))


@pytest.mark.parametrize("relation", RELATIONS)
@pytest.mark.parametrize("case", CASES)
def test_a_relation_is_the_same_on_every_engine(
    other: tuple[str, Runs], case: str, relation: str, answers: Answers
) -> None:
    name, run = other
    if (name, relation) in DIFFERS:
        pytest.xfail(DIFFERS[name, relation])
    columns, rows = answers.of(name, case, run)[relation]
    found = list(differences(answers.case(case).expected[relation], columns, rows))
    assert found[:3] == []


# ------------------------------------------------------------ that there is something to compare


def test_every_relation_has_rows_and_most_of_them_in_every_case(answers: Answers) -> None:
    empty = {
        case: {name for name in RELATIONS if not answers.case(case).expected[name].rows}
        for case in CASES
    }
    assert set.intersection(*empty.values()) == set()
    assert all(len(names) <= 3 for names in empty.values()), empty


def test_the_cases_are_as_large_as_they_claim(answers: Answers) -> None:
    cars = [answers.case(case).tables["candidate"].rows for case in CASES[1:3]]
    worlds = {row[1].split("-")[0] for rows in cars for row in rows}
    assert len(worlds) == WORLDS
    for outcome in ("suitable", "not_suitable", "undetermined"):
        assert all(_has(answers.case(case), "verdict_kg", "verdict", outcome) for case in CASES)


def _has(case: Case, relation: str, column: str, word: str) -> bool:
    table = case.expected[relation]
    at = [name for name, _ in table.columns].index(column)
    return any(row[at] == word for row in table.rows)


def test_hostile_texts_are_among_what_is_compared(answers: Answers) -> None:
    case = answers.case("hostile text")
    said = _texts(case.expected[name].rows for name in RELATIONS)
    for part in ("\\", "'", '"', "${", "\n", "\r", "\x01", "🚗", "e\u0301", "word" * 5_000):
        assert any(part in text for text in said), part


def _texts(tables: Iterable[Rows]) -> set[str]:
    return {cell for rows in tables for row in rows for cell in row if isinstance(cell, str)}


def test_one_row_more_less_or_otherwise_is_a_difference() -> None:
    wanted = Table([("a", "INTEGER"), ("b", "VARCHAR")], [(1, "x"), (1, "x"), (2, None)])
    assert list(differences(wanted, ["a", "b"], [(2, None), (1, "x"), (1, "x")])) == []
    for columns, rows in (
        (["a", "c"], wanted.rows),
        (["a", "b"], wanted.rows[1:]),
        (["a", "b"], [*wanted.rows, (2, None)]),
        (["a", "b"], [(1, "x"), (1, "x "), (2, None)]),
        (["a", "b"], [(1, "x"), (1, "x"), (2, "")]),
    ):
        assert list(differences(wanted, columns, rows)) != []
