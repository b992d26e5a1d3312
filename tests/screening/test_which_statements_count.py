"""Which statements count: replaced, withdrawn, of other years or days, not confirmed, chosen.

Small worlds are drawn or counted out in which a few statements on one car stand in each other's
way, the days of checks and withdrawals being the same, the day before or the day after.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from datetime import date, timedelta
from itertools import product
from pathlib import Path
from random import Random

import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers import agreement, oracle
from tests.helpers.edits import put
from tests.helpers.folders import copy_base
from tests.helpers.worlds import (
    BUILT,
    CANDIDATE,
    CLOSED,
    FREE,
    MAKE,
    MODELS,
    ON,
    CoachFile,
    Draw,
    Row,
    World,
    add_plain_statement,
    draw_sources,
)

SEED = 901
TANGLES, CHOICES = 500, 150
OFTEN = 10
UNCHECKED: Row = {"checked_by": None, "checked_on": None}
GONE = (-2, -1, 0, 1)  # days from the day asked for on which a source is withdrawn
DAYS = (*(BUILT + timedelta(days) for days in (-1, 0, 1)), date(2021, 3, 31))
COACH: CoachFile = {
    name: [{"value": value, "read_from": "a plate"}]
    for name, value in (
        *(("hitch_receiver", "5000 lb"), ("gcwr", "26000 lb"), ("gvwr", "20000 lb")),
        *(("loaded_weight", "19000 lb"), ("towing_capacity", "none stated")),
    )
}


def day(days: int) -> str:
    return (ON + timedelta(days)).isoformat()


def started(rng: Random) -> Draw:
    """A reference without groups; two papers of the car's maker are withdrawn about now."""
    draw = Draw(rng)
    draw.unchecked = draw.withdrawn = 0
    draw_sources(draw)
    for source in draw.reference["source"]:
        source["withdrawn_on"] = None
    for number in (1, 3):
        source = draw.reference["source"][number]
        source["withdrawn_on"] = day(rng.choice(GONE))
        source |= UNCHECKED if rng.random() < 0.3 else {}
    return draw


def add_group(draw: Draw, **cells: str | None) -> Row:
    """A group that surely applies, but for the cells that say otherwise."""
    plain: Row = dict.fromkeys((*CLOSED, *FREE), "any")
    plain |= {"make": MAKE, "model": MODELS[0]}
    plain |= {"model_year_from": "2019", "model_year_to": "2023"}
    return draw.add("vehicle_group", "source-1", **{**plain, **cells})


def add_statement(draw: Draw, group: Row, permission: str, source: int = 1) -> Row:
    """A checked statement; one that permits has a limit, so that something is asked for."""
    add_plain_statement(draw, group, permission, True)
    statement = draw.reference["eligibility"][-1]
    statement["source_id"] = f"source-{source}"
    if permission == "permitted":
        limit: Row = {"quantity": "speed", "bound": "at_most", "scope": "always", "unit": "mph"}
        limit |= {"value": draw.rng.choice(("65", "65", "65", "55")), "stated": "number"}
        limit["eligibility_id"] = statement["eligibility_id"]
        draw.add("towing_limit", f"source-{source}", **limit)
        statement["limits"] = "1"
    return statement


def the_car(**cells: str | None) -> Row:
    car: Row = dict.fromkeys(CANDIDATE)
    car |= {"candidate": "car 1", "make": MAKE, "model": MODELS[0], "model_year": "2021"}
    return {**car, "gvwr": "4400 lb", **cells}


def world_of(draw: Draw, *cars: Row) -> World:
    named = [{**car, "candidate": f"car {n}"} for n, car in enumerate(cars, start=1)]
    return World(draw.reference, named, COACH, ON)


# ---------------------------------------------------------------- one replaces another


def tangle(rng: Random) -> World:
    """Two to four statements, most of which replace earlier ones."""
    draw = started(rng)
    groups = [add_group(draw), add_group(draw, transmission="manual")]
    permissions = ("permitted", "permitted", "prohibited", "refer_to_maker", "not_addressed")
    for _ in range(rng.choice((2, 3, 3, 4))):
        earlier = [str(row["eligibility_id"]) for row in draw.reference["eligibility"]]
        permission = rng.choice(permissions)
        source = rng.choice((1, 1, 2, 4))
        statement = add_statement(draw, rng.choice((groups[0], *groups)), permission, source)
        if permission != "not_addressed" and rng.random() < 0.7 and earlier:
            chosen = rng.sample(earlier, min(len(earlier), rng.choice((1, 1, 2))))
            statement["overrides"] = ", ".join(chosen)
        if rng.random() < 0.3:
            statement |= UNCHECKED
        else:
            # Looked at on the day of a withdrawal, the day before or the day after.
            checked_on = day(rng.choice((-40, -3, *GONE)))
            for row in (statement, *draw.reference["towing_limit"][-1:]):
                row["checked_on"] = checked_on
    return world_of(draw, the_car(), the_car(transmission="manual"))


def choice(rng: Random) -> World:
    """Cars of which the procedure is chosen among several, some of them replaced or unchecked."""
    world = tangle(rng)
    keys = []
    for statement in world.reference["eligibility"]:
        if statement["permission"] != "permitted":
            statement |= {"permission": "not_addressed", "overrides": None}
        keys.append(str(statement["eligibility_id"]))
    cars = [car | {"procedure": key} for car in world.candidates for key in keys]
    named = [{**car, "candidate": f"car {n}"} for n, car in enumerate(cars, start=1)]
    return World(world.reference, named, COACH, ON)


# ---------------------------------------------------------------- years, days and confirmations


def written(day: date | None) -> str | None:
    return str(day) if day else None


def years_and_days() -> Iterator[World]:
    """A permission for some years or days of building, and cars in, beside and across them."""
    spans = [
        (first, last) for first, last in product((2020, 2021, 2022), repeat=2) if first <= last
    ]
    for first, last in spans:
        draw = started(Random(0))
        years = {"model_year_from": str(first), "model_year_to": str(last)}
        add_statement(draw, add_group(draw, **years), "permitted")
        cars = [the_car(model_year=year) for year in ("2019", "2020", "2021", "2022", "2023", None)]
        yield world_of(draw, *cars)
    for start, end in product((None, *DAYS), repeat=2):
        if not (start and end and start > end):
            draw = started(Random(0))
            bounds: Row = {"built_from": written(start), "built_to": written(end)}
            add_statement(draw, add_group(draw, **bounds), "permitted")
            built = (*(str(each) for each in DAYS), "2021-03", "2021-04", None)
            yield world_of(draw, *(the_car(built_on=each) for each in built))


def confirmations() -> Iterator[World]:
    """Two groups with a printed condition each, of which none, one or both are confirmed."""
    for first, second in product(("permitted", "prohibited"), repeat=2):
        draw = started(Random(0))
        groups = [add_group(draw, further_condition=f"serial {n} and up") for n in (1, 2)]
        for group, permission in zip(groups, (first, second), strict=True):
            add_statement(draw, group, permission)
        keys = [str(group["vehicle_group_id"]) for group in groups]
        yield world_of(draw, *(the_car(confirmed=", ".join(each) or None)
                               for each in ([], keys[:1], keys[1:], keys)))  # fmt: skip


# ---------------------------------------------------------------- side by side


def tangles(count: int = TANGLES) -> list[World]:
    """So many worlds of statements that replace each other."""
    rng = Random(SEED)
    return [tangle(rng) for _ in range(count)]


def choices() -> list[World]:
    """Worlds in which a procedure is chosen."""
    rng = Random(SEED + 1)
    return [choice(rng) for _ in range(CHOICES)]


KINDS: dict[str, Callable[[], Sequence[World]]] = {
    "tangles": tangles,
    "choices": choices,
    "years and days": lambda: list(years_and_days()),
    "confirmations": lambda: list(confirmations()),
}


@pytest.mark.parametrize("kind", KINDS)
def test_engine_and_oracle_agree_on_which_statements_count(kind: str, tmp_path: Path) -> None:
    worlds = KINDS[kind]()
    engine = agreement.answers(worlds, tmp_path, judged=False)
    assert list(agreement.compared(worlds, engine)) == []


def test_the_worlds_reach_every_reason() -> None:
    reasons: Counter[str] = Counter()
    for worlds in KINDS.values():
        for world in worlds():
            said = oracle.screen(world.reference, world.candidates, world.coach, world.on)
            for answer in said.answers:
                reasons.update(answer.checks[name].reason for name in ("permission", "procedure"))
    assert {reason for reason, number in reasons.items() if number >= OFTEN} >= {
        *("permitted", "forbidden", "sources_disagree", "may_be_forbidden", "ask_the_maker"),
        *("awaits_check", "depends_on_the_car", "manual_is_silent", "nothing_on_record"),
        *("determined", "chosen", "procedures_differ", "chosen_not_sure"),
    }


def test_an_unchecked_override_is_told_only_of_cars_that_it_is_for(tmp_path: Path) -> None:
    folder = copy_base(tmp_path / "reference")
    # It permits as what it would replace does, in as many steps.
    again = {"permission": "permitted", "same_steps_as": "key", "limits": "0"}
    put("eligibility", "late", checked_by="", checked_on="", **again)(folder)
    release = towdb.build(folder, tmp_path / "r.duckdb").path
    car: Row = {
        "make": "Quillon", "model": "Pika", "model_year": "2021", "market": "xa",
        "powertrain": "gasoline", "drivetrain": "front_wheel_drive", "transmission": "manual",
        "transfer_case": "none", "ignition": "key",
    }  # fmt: skip
    built = {"early": "2020-04", "late": "2021-04"}
    rows = [{**car, "candidate": name, "built_on": month} for name, month in built.items()]
    agreement.write_rows(tmp_path / "cars.csv", rows)
    with towdb.screen(
        tmp_path / "cars.csv", coach=DEMO / "coach.toml", reference=release
    ) as screening:
        told = [r for r in screening.records("remark") if r["kind"] == "override_awaits_check"]
    assert [(row["candidate"], row["key"]) for row in told] == [("late", "late")]
