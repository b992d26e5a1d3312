"""A few cars behind one coach whose figures are typed: what is said of them."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import towdb
from tests.helpers.agreement import write_rows
from tests.helpers.worlds import Row
from tests.screening.test_many_unknowns import CLOSED
from towdb.screening.document import document

ON = "2026-01-31"
Figures = Mapping[str, str | list[str]]
Record = dict[str, Any]
COACH: Figures = {
    "hitch_receiver": "5000 lb", "gcwr": "26000 lb", "gvwr": "22000 lb",
    "loaded_weight": "21000 lb", "towing_capacity": "none stated",
}  # fmt: skip


def screened(
    folder: Path,
    release: Path,
    cars: Mapping[str, Row],
    coach: Figures | str = COACH,
    weigh_by: str = "best_known",
) -> Record:
    """The part of the document that is of this coach: a file's figures, or an id on record."""
    rows = [car(name, cells) for name, cells in cars.items()]
    columns: Row = dict.fromkeys(name for row in rows for name in row)
    write_rows(folder / "cars.csv", [{**columns, **row} for row in rows])
    policy = folder / "policy.toml"
    policy.write_text(f'weigh_by = "{weigh_by}"\n', "utf-8")
    one = coach if isinstance(coach, str) else coach_file(folder, coach)
    cars_file = folder / "cars.csv"
    with towdb.screen(cars_file, coach=one, reference=release, policy=policy, on=ON) as found:
        (screening,) = document(found)["screenings"]
        return dict(screening)


def coach_file(folder: Path, figures: Figures) -> Path:
    path = folder / "rig.toml"
    lines = [f"{name} = {json.dumps(value)}" for name, value in figures.items()]
    path.write_text("\n".join(["[properties]", *lines]) + "\n", "utf-8")
    return path


def car(candidate: str, cells: Row) -> Row:
    named = {"candidate": candidate, "make": "Quillon", "model": "Bare", "model_year": "2020"}
    return {**named, **CLOSED, **cells}


def cars_of(screening: Record) -> dict[str, Record]:
    return {one["candidate"]: one for one in screening["candidates"]}


def outcomes(one: Record, *names: str) -> set[tuple[str, str]]:
    return {(c["outcome"], c["reason"]) for c in one["checks"] if c["check"] in names}


def check_of(one: Record, name: str) -> Record:
    found: Record = next(c for c in one["checks"] if c["check"] == name)
    return found
