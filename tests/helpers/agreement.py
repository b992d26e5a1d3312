"""Many drawn worlds in one release: the engine's answers beside the oracle's."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import duckdb

import towdb
from tests.helpers import oracle
from tests.helpers.worlds import Row, World, draw_world
from towdb.contract.model import contract
from towdb.reference.check import CheckResult, FolderCheck
from towdb.reference.folder import read_folder
from towdb.reference.release import _write
from towdb.reference.rules import stage

PAIRS_AT_ONCE = 100_000
CHECKS = {
    "permission": "permission",
    "procedure": "procedure",
    "hitch_receiver": "receiver",
    "combination_rating": "combination",
    "towing_capacity": "capacity",
    "coach_gross": "coach_gross",
    "towed_gross": "towed_gross",
}


@dataclass(frozen=True)
class Answers:
    """What the engine says: verdict rows by world and candidate, capacities by world."""

    verdicts: dict[tuple[int, str], dict[str, Any]]
    capacities: dict[int, tuple[Any, ...]]


def disagreements(worlds: Sequence[World], folder: Path) -> Iterator[str]:
    """What engine and oracle say differently, in words."""
    yield from compared(worlds, answers(worlds, folder))


def compared(worlds: Sequence[World], engine: Answers) -> Iterator[str]:
    """What the oracle says otherwise than the engine did."""
    for k, world in enumerate(worlds):
        yield from _compare(k, world, engine)


def answers(worlds: Sequence[World], folder: Path, *, judged: bool = True) -> Answers:
    """What the engine says of every candidate of every world, all in one release.

    Without `judged`, the release is made of rows that may break rules of the contract.
    """
    release = merged_release(worlds, folder, judged=judged)
    found = Answers({}, {})
    for weigh_by in ("best_known", "gvwr"):
        numbers = [k for k, w in enumerate(worlds) if w.policy["weigh_by"] == weigh_by]
        for part in _parts(worlds, numbers):
            _answer(worlds, part, release, folder, found)
    return found


def drawn(seed: int, count: int) -> list[World]:
    """So many worlds of one seed."""
    rng = Random(seed)
    return [draw_world(rng) for _ in range(count)]


# ---------------------------------------------------------------- many worlds, one release


@cache
def id_columns(table: str) -> frozenset[str]:
    """The columns of a table, or of a shortlist, that name rows."""
    spec = contract().candidate if table == "candidate" else contract().tables[table]
    names = {f.name for f in spec.fields if f.type in ("id", "ids")}
    return frozenset(names | {"candidate"})


def _prefixed(k: int, value: str | None) -> str | None:
    if not value:
        return value
    return ", ".join(f"w{k}-{item.strip()}" for item in value.split(","))


def row_of_world(k: int, row: Row, table: str) -> Row:
    """A row as it stands among those of other worlds."""
    ids = id_columns(table)
    changed = {n: _prefixed(k, value) if n in ids else value for n, value in row.items()}
    if changed.get("make"):
        changed["make"] = f"{changed['make']} {k}"
    return changed


def merged_release(worlds: Sequence[World], folder: Path, *, judged: bool = True) -> Path:
    """One release of all worlds, whose ids and makes bear the number of their world."""
    reference = folder / "reference"
    reference.mkdir()
    for table in contract().tables:
        rows = [
            row_of_world(k, row, table)
            for k, world in enumerate(worlds)
            for row in world.reference.get(table, [])
        ]
        if rows:
            write_rows(reference / f"{table}.csv", rows)
    target = folder / "worlds.duckdb"
    return towdb.build(reference, target).path if judged else unjudged_release(reference, target)


def unjudged_release(reference: Path, target: Path) -> Path:
    """A release of rows that may break rules, so that the engine is tried and not the check."""
    read = read_folder(reference, lambda _: None)
    with duckdb.connect(config={"python_enable_replacements": False}) as con:
        stage(con, read.tables)
        result = CheckResult(str(reference), ())
        _write(FolderCheck(read, result, con), target, "0" * 64)
    return target


def write_rows(path: Path, rows: Sequence[Row]) -> None:
    """Write a table as CSV."""
    columns = list(dict.fromkeys(name for row in rows for name in row))
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, columns, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


# ---------------------------------------------------------------- the engine's answers


def _coach_content(world: World) -> str:
    # Worlds that hold the same coach can share it: entering a coach takes most of the time.
    if isinstance(world.coach, str):
        tables = ("source", "coach", "coach_property")
        return repr([world.coach, *(world.reference.get(table) for table in tables)])
    return repr(world.coach)


def _parts(worlds: Sequence[World], numbers: list[int]) -> Iterator[list[int]]:
    # Every candidate meets every coach of its screening: few worlds at a time keep that small.
    part: list[int] = []
    cars, coaches = 0, set[str]()
    for k in numbers:
        cars += len(worlds[k].candidates)
        coaches.add(_coach_content(worlds[k]))
        part.append(k)
        if cars * len(coaches) > PAIRS_AT_ONCE:
            yield part
            part, cars, coaches = [], 0, set()
    if part:
        yield part


def coach_name(k: int, world: World) -> str:
    """What the coach of a world is called in a screening."""
    return f"w{k}-{world.coach}" if isinstance(world.coach, str) else f"w{k}"


def coach_of(k: int, world: World, folder: Path) -> Path | str:
    """The coach of a world: a file, or its id."""
    if isinstance(world.coach, str):
        return coach_name(k, world)
    path = folder / f"w{k}.toml"
    lines = ["[properties]"]
    for name, rows in world.coach.items():
        figures = [
            "{ "
            + ", ".join(f"{key} = {json.dumps(value)}" for key, value in row.items() if value)
            + " }"
            for row in rows
        ]
        lines.append(f"{name} = [{', '.join(figures)}]")
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path


def homes(worlds: Sequence[World], numbers: Sequence[int]) -> dict[int, int]:
    """The world whose coach stands for that of each world in a screening."""
    first = {_coach_content(worlds[k]): k for k in reversed(numbers)}
    return {k: first[_coach_content(worlds[k])] for k in numbers}


def screened(
    worlds: Sequence[World], numbers: Sequence[int], release: Path, folder: Path
) -> towdb.Screening:
    """Screen candidates of some worlds, of one date and policy, against all coaches of these."""
    (on,) = {worlds[k].on for k in numbers}
    (weigh_by,) = {worlds[k].policy["weigh_by"] for k in numbers}
    rows = [row_of_world(k, row, "candidate") for k in numbers for row in worlds[k].candidates]
    shortlist, policy = folder / "shortlist.csv", folder / "policy.toml"
    write_rows(shortlist, rows)
    policy.write_text(f'weigh_by = "{weigh_by}"\n', "utf-8")
    coaches = [
        coach_of(k, worlds[k], folder) for k in dict.fromkeys(homes(worlds, numbers).values())
    ]
    return towdb.screen(shortlist, coach=coaches, reference=release, policy=policy, on=on)


def _answer(
    worlds: Sequence[World], numbers: list[int], release: Path, folder: Path, found: Answers
) -> None:
    home = homes(worlds, numbers)
    own = [
        (k, car["candidate"], f"w{k}-{car['candidate']}", coach_name(home[k], worlds[k]))
        for k in numbers
        for car in worlds[k].candidates
    ]
    with screened(worlds, numbers, release, folder) as screening:
        con = screening.con
        con.execute(
            "CREATE TEMP TABLE own AS SELECT unnest($1::INTEGER[]) AS world,"
            " unnest($2::VARCHAR[]) AS car, unnest($3::VARCHAR[]) AS candidate,"
            " unnest($4::VARCHAR[]) AS coach",
            [list(column) for column in zip(*own, strict=True)],
        )
        con.execute(
            "SELECT o.world, o.car, v.* FROM verdict_kg AS v JOIN coach_name AS c USING (coach_no)"
            " JOIN own AS o ON o.candidate = v.candidate AND o.coach = c.coach"
        )
        columns = [column[0] for column in con.description or ()]
        for row in con.fetchall():
            found.verdicts[row[0], row[1]] = dict(zip(columns, row, strict=True))
        con.execute(
            "SELECT DISTINCT o.world, c.capacity_kg, c.governing_check, c.capacity_at_most_kg"
            " FROM own AS o JOIN coach_name AS n USING (coach) JOIN coach_capacity AS c"
            " USING (coach_no)"
        )
        found.capacities.update({row[0]: row[1:] for row in con.fetchall()})


# ---------------------------------------------------------------- side by side


def _compare(k: int, world: World, engine: Answers) -> Iterator[str]:
    said = oracle.screen(
        world.reference, world.candidates, world.coach, world.on, world.policy["weigh_by"]
    )
    coach, capacity = said.coach, engine.capacities[k]
    for name, theirs, ours in (
        ("capacity", coach.capacity, capacity[0]),
        ("capacity governed by", coach.governing_check, capacity[1]),
        ("capacity at most", coach.capacity_at_most, capacity[2]),
    ):
        if not _same(theirs, ours):
            yield f"world {k}: {name}: oracle {theirs}, engine {ours}"
    for answer in said.answers:
        row = engine.verdicts[k, str(answer.candidate)]
        for what, theirs, ours in _pairs(answer, row):
            if not _same(theirs, ours):
                yield f"world {k}, {answer.candidate}: {what}: oracle {theirs}, engine {ours}"


def _pairs(answer: oracle.Answer, row: dict[str, Any]) -> Iterator[tuple[str, Any, Any]]:
    yield "verdict", answer.verdict, row["verdict"]
    yield "governing check", answer.governing_check, row["governing_check"]
    yield "margin", answer.margin, row["margin_kg"]
    yield "towed low", answer.towed.low, row["towed_low_kg"]
    yield "towed high", answer.towed.high, row["towed_high_kg"]
    yield "basis", answer.towed.basis, row["weight_basis"]
    for name, column in CHECKS.items():
        check = answer.checks[name]
        yield f"{name} outcome", check.outcome, row[f"{column}_outcome"]
        yield f"{name} reason", check.reason, row[f"{column}_reason"]
        if name not in ("permission", "procedure"):
            for part in ("value", "limit", "margin"):
                yield f"{name} {part}", getattr(check, part), row[f"{column}_{part}_kg"]


def _same(theirs: Any, ours: Any) -> bool:
    if isinstance(theirs, Fraction) and ours is not None:
        return theirs == Fraction(ours)
    return bool(theirs == ours)
