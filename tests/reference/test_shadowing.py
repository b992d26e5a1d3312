"""No name that somebody gives a table changes what a release or a screening answers."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd
import pytest

import towdb
from tests.helpers.typist import screened
from towdb.reference.relations import VIEWS
from towdb.screening import engine

# What a view rests on shows in every cell of it.
ALL = "select count(*) as n, md5(string_agg(v::varchar, chr(10) order by v::varchar)) as of from"


@pytest.fixture(scope="module")
def reference(demo_release: Path) -> Iterator[towdb.Reference]:
    with towdb.open(demo_release) as opened:
        yield opened


@pytest.fixture(scope="module")
def screening(demo_release: Path) -> Iterator[towdb.Screening]:
    with screened(demo_release) as done:
        yield done


def told(frame: pd.DataFrame) -> list[Any]:
    (row,) = frame.to_numpy().tolist()
    assert row[0] > 0
    return list(row)


def of_release(reference: towdb.Reference) -> set[str]:
    here = "where schema_name = 'towdb_data'"
    names = set(
        reference.sql(
            f"select table_name as name from duckdb_tables() {here} union"
            f" select view_name from duckdb_views() {here}"
        )["name"]
    )
    assert {*VIEWS, "release", "finding", "figure", "statement_fact", "leaf"} <= names
    return names


def of_screening(screening: towdb.Screening) -> set[str]:
    for name in engine.PUBLIC:
        screening.sql(f"from {name} limit 0")
    names = set(
        screening.sql(
            "select table_name as name from duckdb_tables() where temporary union"
            " select view_name from duckdb_views() where temporary and not internal"
        )["name"]
    )
    made = map(engine.table_of, (*engine.RELATIONS, *engine.EXPLANATIONS))
    assert {*engine.PUBLIC, *made, "candidate"} <= names
    return names


def test_a_release_and_a_screening_share_no_name(
    reference: towdb.Reference, screening: towdb.Screening
) -> None:
    assert not of_release(reference) & of_screening(screening)


@pytest.mark.parametrize("view", VIEWS)
def test_no_part_of_a_query_shadows_what_a_view_rests_on(
    reference: towdb.Reference, view: str
) -> None:
    plain = told(reference.sql(f"{ALL} {view} as v"))
    for name in sorted(of_release(reference) - {view}):
        shadowed = reference.sql(f'with "{name}" as (select 1 as x) {ALL} {view} as v')
        assert told(shadowed) == plain, name


@pytest.mark.parametrize("name", engine.PUBLIC)
def test_no_part_of_a_query_shadows_what_a_screening_rests_on(
    reference: towdb.Reference, screening: towdb.Screening, name: str
) -> None:
    screening.sql(f"from {name} limit 0")
    if not len(screening.sql(f"from {name}")):
        return
    plain = told(screening.sql(f"{ALL} {name} as v"))
    others = sorted((of_release(reference) | of_screening(screening)) - {name})
    parts = ", ".join(f'"{other}" as (select 1 as x)' for other in others)
    assert told(screening.sql(f"with {parts} {ALL} {name} as v")) == plain


def test_a_screening_answers_alike_where_the_first_question_shadows(
    demo_release: Path, screening: towdb.Screening
) -> None:
    names = ("verdict_kg", "candidate", "coach_name", "verdict_check", "statement", "eligibility")
    parts = ", ".join(f"{name} as (select 1 as x)" for name in names)
    plain = told(screening.sql(f"{ALL} check_outcome as v"))
    with screened(demo_release) as fresh:
        assert told(fresh.sql(f"with {parts} {ALL} check_outcome as v")) == plain
        pd.testing.assert_frame_equal(fresh.verdicts, screening.verdicts)
        pd.testing.assert_frame_equal(fresh.checks, screening.checks)


def test_no_frame_shadows_what_a_view_rests_on(
    reference: towdb.Reference, screening: towdb.Screening
) -> None:
    """Names of the release are refused; those of a screening are anybody's."""
    frames: dict[str, Any] = dict.fromkeys(of_screening(screening), pd.DataFrame({"x": [1]}))
    frames |= dict.fromkeys(("lb_up", "vehicle", "page", "own"), pd.DataFrame({"x": [1]}))
    for view in VIEWS:
        plain = told(reference.sql(f"{ALL} {view} as v"))
        assert told(reference.sql(f"{ALL} {view} as v", **frames)) == plain
    found = reference.sql("select x from candidate join own using (x)", **frames)
    assert found["x"].tolist() == [1]


def client(release: Path, attached: bool) -> duckdb.DuckDBPyConnection:
    if not attached:
        return duckdb.connect(str(release), read_only=True)
    con = duckdb.connect()
    con.execute(f"ATTACH '{release}' AS mine (READ_ONLY)")
    return con


@pytest.mark.parametrize("kind", ["table", "view"])
@pytest.mark.parametrize("attached", [True, False])
def test_a_clients_own_tables_shadow_nothing(
    demo_release: Path, reference: towdb.Reference, kind: str, attached: bool
) -> None:
    home = "mine.towdb_data" if attached else "towdb_data"
    with client(demo_release, attached) as con:

        def answers() -> list[Any]:
            return [con.execute(f"{ALL} {home}.{view} as v").fetchall() for view in VIEWS]

        plain = answers()
        if attached:
            con.execute("create schema memory.towdb_data")
        for name in of_release(reference):
            con.execute(f'create temp {kind} "{name}" as select 1 as x')
            if attached:
                for schema in ("main", "towdb_data"):
                    con.execute(f'create {kind} memory.{schema}."{name}" as select 1 as x')
        assert answers() == plain
