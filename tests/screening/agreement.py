"""Many drawn worlds in one release: the engine's answers beside the oracle's."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from random import Random
from typing import Any

import towdb
from tests import oracle
from tests.worlds import Row, World, draw_world
from towdb.contract.model import contract

CHECKS = {
    "permission": "permission",
    "procedure": "procedure",
    "hitch_receiver": "receiver",
    "combination_rating": "combination",
    "towing_capacity": "capacity",
    "coach_gross": "coach_gross",
    "towed_gross": "towed_gross",
}


def disagreements(worlds: Sequence[World], folder: Path) -> Iterator[str]:
    """What engine and oracle say differently, in words."""
    release = _build(worlds, folder)
    for weigh_by in ("best_known", "gvwr"):
        numbers = [k for k, w in enumerate(worlds) if w.policy["weigh_by"] == weigh_by]
        if not numbers:
            continue
        engine, capacities = _screen(worlds, numbers, weigh_by, release, folder)
        for k in numbers:
            yield from _compare(k, worlds[k], engine, capacities[_coach_name(k, worlds[k])])


def drawn(seed: int, count: int) -> list[World]:
    """So many worlds of one seed."""
    rng = Random(seed)
    return [draw_world(rng) for _ in range(count)]


# ---------------------------------------------------------------- many worlds, one release


def _prefixed(k: int, value: str | None) -> str | None:
    if not value:
        return value
    return ", ".join(f"w{k}-{item.strip()}" for item in value.split(","))


def _row_of_world(k: int, row: Row, table: str) -> Row:
    spec = contract().candidate if table == "candidate" else contract().tables[table]
    changed: Row = {}
    for name, value in row.items():
        is_id = spec.field(name).type in ("id", "ids") or name == "candidate"
        changed[name] = _prefixed(k, value) if is_id else value
    if changed.get("make"):
        changed["make"] = f"{changed['make']} {k}"
    return changed


def _build(worlds: Sequence[World], folder: Path) -> Path:
    reference = folder / "reference"
    reference.mkdir()
    for table in contract().tables:
        rows = [
            _row_of_world(k, row, table)
            for k, world in enumerate(worlds)
            for row in world.reference.get(table, [])
        ]
        if rows:
            _write(reference / f"{table}.csv", rows)
    return towdb.build(reference, folder / "worlds.duckdb").path


def _write(path: Path, rows: Sequence[Row]) -> None:
    columns = list(dict.fromkeys(name for row in rows for name in row))
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, columns, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def _coach_name(k: int, world: World) -> str:
    return f"w{k}-{world.coach}" if isinstance(world.coach, str) else f"w{k}"


def _coach(k: int, world: World, folder: Path) -> Path | str:
    if isinstance(world.coach, str):
        return _coach_name(k, world)
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


def _screen(
    worlds: Sequence[World], numbers: list[int], weigh_by: str, release: Path, folder: Path
) -> tuple[dict[str, dict[str, Any]], dict[str, tuple[Any, ...]]]:
    rows = [_row_of_world(k, row, "candidate") for k in numbers for row in worlds[k].candidates]
    shortlist = folder / f"shortlist-{weigh_by}.csv"
    _write(shortlist, rows)
    policy = folder / f"{weigh_by}.toml"
    policy.write_text(f'weigh_by = "{weigh_by}"\n', "utf-8")
    coaches = [_coach(k, worlds[k], folder) for k in numbers]
    on = worlds[numbers[0]].on
    assert all(worlds[k].on == on for k in numbers)
    with towdb.screen(
        shortlist, coach=coaches, reference=release, policy=policy, on=on
    ) as screening:
        con = screening._con
        con.execute(
            "SELECT n.candidate, c.coach, v.* FROM verdict AS v"
            " JOIN candidate_name AS n USING (candidate_no) JOIN coach_name AS c USING (coach_no)"
            " WHERE split_part(n.candidate, '-', 1) = split_part(c.coach, '-', 1)"
        )
        columns = [column[0] for column in con.description or ()]
        found = [dict(zip(columns, row, strict=True)) for row in con.fetchall()]
        capacities = con.execute(
            "SELECT n.coach, c.capacity_kg, c.governing_check, c.capacity_at_most_kg"
            " FROM coach_capacity AS c JOIN coach_name AS n USING (coach_no)"
        ).fetchall()
    return {row["candidate"]: row for row in found}, {row[0]: row[1:] for row in capacities}


# ---------------------------------------------------------------- side by side


def _compare(
    k: int, world: World, engine: dict[str, dict[str, Any]], capacity: tuple[Any, ...]
) -> Iterator[str]:
    said = oracle.screen(
        world.reference, world.candidates, world.coach, world.on, world.policy["weigh_by"]
    )
    coach = said.coach
    for name, theirs, ours in (
        ("capacity", coach.capacity, capacity[0]),
        ("capacity governed by", coach.governing_check, capacity[1]),
        ("capacity at most", coach.capacity_at_most, capacity[2]),
    ):
        if not _same(theirs, ours):
            yield f"world {k}: {name}: oracle {theirs}, engine {ours}"
    for answer in said.answers:
        row = engine[f"w{k}-{answer.candidate}"]
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
