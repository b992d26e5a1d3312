"""Verdicts of a large inventory, as they lie in a Parquet file, against the oracle on some cars.

``TOWDB_CARS=1000000 TOWDB_DRAWN=2000`` for a longer look.
"""

from __future__ import annotations

import datetime
import os
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

import duckdb
import pytest

import towdb
from scripts.make_inventory import make
from tests.conftest import DEMO
from tests.helpers.folders import read_table
from tests.helpers.oracle import need
from tests.helpers.worlds import Row, World
from tests.screening.test_outputs import Own, Told, _plain, verdict
from towdb.contract.model import contract

pytestmark = pytest.mark.whole

CARS = int(os.environ.get("TOWDB_CARS", "20000"))
DRAWN = int(os.environ.get("TOWDB_DRAWN", "100"))
SEED = 13
ON = datetime.date(2026, 1, 31)
COACHES = ("brackwater-38", "ferrow-26", "nordhal-700", "saltmarsh-31")


class Car(Own):
    """A car of the inventory, called by its stock number."""

    @property
    def name(self) -> str:
        return need(self.row, "candidate")


@pytest.fixture(scope="module")
def reference() -> dict[str, list[Row]]:
    """The demo reference, as it is written."""
    folder = DEMO / "reference"
    there = [table for table in contract().tables if (folder / f"{table}.csv").exists()]
    return {table: [dict(row) for row in read_table(folder, table)] for table in there}


@pytest.fixture(scope="module")
def inventory(tmp_path_factory: pytest.TempPathFactory, demo_release: Path) -> Path:
    path = tmp_path_factory.mktemp("large") / "stock.parquet"
    make(path, demo_release, CARS)
    return path


def rows(query: str, *parameters: Any) -> Iterator[dict[str, Any]]:
    with duckdb.connect() as con:
        con.execute(query, list(parameters))
        names = [column[0] for column in con.description or ()]
        for row in con.fetchall():
            yield dict(zip(names, row, strict=True))


def test_verdicts_of_a_large_inventory_are_those_of_the_oracle(
    inventory: Path, demo_release: Path, reference: dict[str, list[Row]]
) -> None:
    answers = inventory.with_name("verdicts.parquet")
    with towdb.screen(inventory, coach=COACHES, reference=demo_release, on=ON) as screening:
        screening.write(answers)
    counted = "SELECT COUNT(*) AS n, COUNT(DISTINCT candidate) AS cars FROM read_parquet($1)"
    (count,) = rows(counted, str(answers))
    assert count == {"n": CARS * len(COACHES), "cars": CARS}

    draw = Random(SEED)
    numbers = draw.sample(range(CARS), DRAWN)
    names = [f"stock-{number}" for number in numbers]
    behind = {name: draw.choice(COACHES) for name in names}
    chosen = "WHERE list_contains($2::VARCHAR[], {})"
    there = {
        row["candidate"]: tuple(_plain(name, cell) for name, cell in row.items())
        for row in rows(
            f"SELECT * FROM read_parquet($1) {chosen.format('candidate')}", str(answers), names
        )
        if row["coach"] == behind[row["candidate"]]
    }
    wanted: dict[str, Told] = {}
    for row in rows(
        f"SELECT * FROM read_parquet($1) {chosen.format('stock_no')}", str(inventory), names
    ):
        name = row.pop("stock_no")
        typed = {column: text for column, text in row.items() if text is not None}
        world = World(reference, [], behind[name], ON, {"weigh_by": "best_known"})
        (wanted[name],) = verdict(Car(0, world, {**typed, "candidate": name}, behind[name]))
    assert there == wanted
    # The draw reaches what it is to try.
    assert {row[2] for row in wanted.values()} == {"suitable", "not_suitable", "undetermined"}
    assert len({row[9:] for row in wanted.values()}) > 10
