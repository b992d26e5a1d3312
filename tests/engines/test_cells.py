"""A worker reads a car as DuckDB prepares it: the same configuration, the same kilograms."""

from __future__ import annotations

import json
import pickle
from collections import defaultdict
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import duckdb
import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers import agreement
from tests.helpers.hostile import hostile_worlds
from tests.helpers.worlds import World
from towdb.contract.model import contract
from towdb.reference.opening import attach
from towdb.screening.screening import Screening
from towdb.spark.cells import CarReader
from towdb.spark.numbers import numbers_of

COACH = DEMO / "coach.toml"
SINGLE = (
    "is_named",
    "make_model_no",
    "model_year",
    "built_low_no",
    "built_high_no",
    "procedure_no",
)
LISTED = {"words": "configuration_word", "options": "configuration_option",
          "confirmed": "configuration_confirmed"}  # fmt: skip


def reader_of(release: Path, columns: list[str], assumed: Mapping[str, str]) -> CarReader:
    con, _ = attach(release)
    with con:
        reader = CarReader(tuple(columns), dict(assumed), None, numbers_of(con))
    # As it reaches a worker.
    told: CarReader = pickle.loads(pickle.dumps(reader))
    return told


def prepared(con: duckdb.DuckDBPyConnection) -> list[tuple[Any, ...]]:
    """What DuckDB made of each car: name, configuration and weights."""
    listed: dict[str, defaultdict[int, list[Any]]] = {}
    for name, table in LISTED.items():
        listed[name] = defaultdict(list)
        for number, *rest in con.execute(f"FROM {table} ORDER BY ALL").fetchall():
            listed[name][number].append(rest[0] if name == "confirmed" else rest)
    rows = con.execute(
        f"SELECT c.configuration_no, {', '.join(SINGLE)}, n.candidate, n.as_weighed_kg, n.gvwr_kg,"
        " n.curb_kg, n.load_kg FROM candidate AS n JOIN configuration AS c"
        " ON c.configuration_no = n.configuration_no ORDER BY n.candidate_no"
    ).fetchall()
    return [
        (row[7], {**dict(zip(SINGLE, row[1:7], strict=True)),
                  **{name: listed[name][row[0]] for name in LISTED}}, *row[8:])
        for row in rows
    ]  # fmt: skip


def read(screening: Screening, release: Path) -> list[tuple[Any, ...]]:
    """What a worker makes of each."""
    columns, rows = screening.typed()
    reader = reader_of(release, columns, screening.assumed)
    found = []
    for row in rows:
        unreadable, name, told, *weights = reader(row)
        assert unreadable is None
        said = json.loads(told)
        lists = {key: sorted(said.get(key, [])) for key in LISTED}
        found.append((name, {**{key: said.get(key) for key in SINGLE}, **lists}, *weights))
    return found


@pytest.mark.parametrize("assumed", [{}, {"transmission": "manual", "trim": "Trail"}])
def test_the_demo_is_read_as_it_is_prepared(assumed: dict[str, str], demo_release: Path) -> None:
    with towdb.screen(
        DEMO / "shortlist.csv", coach=COACH, reference=demo_release, assume=assumed
    ) as screening:
        assert read(screening, demo_release) == prepared(screening.con)


@pytest.mark.parametrize("kind", ["drawn", "hostile"])
def test_cars_of_worlds_are_read_as_they_are_prepared(kind: str, tmp_path: Path) -> None:
    worlds = agreement.drawn(921, 200) if kind == "drawn" else hostile_worlds(924, 40)
    release = agreement.merged_release(worlds, tmp_path, judged=kind == "drawn")
    shortlist = tmp_path / "cars.csv"
    cars = cars_of(worlds)
    cars.append({**cars[0], "candidate": "another", "procedure": "on-no-page"})
    agreement.write_rows(shortlist, cars)
    with towdb.screen(shortlist, coach=COACH, reference=release, on=worlds[0].on) as screening:
        wanted = prepared(screening.con)
        assert read(screening, release) == wanted
    told = [row[1] for row in wanted]
    # All that a car can say is said by some.
    for name in ("words", "options", "confirmed", "model_year", "procedure_no"):
        assert any(row[name] for row in told), name
    assert {number for row in told for _, number in row["options"]} == {0, 1}
    assert told[-1]["procedure_no"] == 0
    assert len({(row["built_low_no"], row["built_high_no"]) for row in told}) >= 4


def cars_of(worlds: list[World]) -> list[dict[str, str | None]]:
    return [
        agreement.row_of_world(k, car, "candidate")
        for k, world in enumerate(worlds)
        for car in world.candidates
    ]


def test_a_name_is_trimmed_as_duckdb_trims_it(demo_release: Path) -> None:
    reader = reader_of(demo_release, ["candidate"], {})
    with duckdb.connect() as con:
        for number in (*range(1, 0x3100), 0xFEFF, 0xFFA0, 0x1F697):
            name = f"{chr(number)}a{chr(number)}"
            ((trimmed,),) = con.execute("SELECT trim($1)", [name]).fetchall()
            assert reader([name])[1] == trimmed, hex(number)


def test_every_column_of_a_shortlist_is_taken(demo_release: Path) -> None:
    columns = [field.name for field in contract().candidate.fields]
    reader = reader_of(demo_release, columns, {})
    unreadable, name, told, *weights = reader([None] * len(columns))
    assert (unreadable, name, weights) == (None, None, [None] * 4)
    assert json.loads(told)["is_named"] == 0
