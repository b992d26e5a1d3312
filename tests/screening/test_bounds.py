"""Figures exactly at each bound, a hundredth of a pound below and above, and not there at all.

Worlds are drawn in which every weight and rating lies at one bound, some twice, some unchecked or
withdrawn, so that each comparison is met by a hair, missed by a hair, or open.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from random import Random

import pytest

from tests.helpers import agreement, oracle
from tests.helpers.tier import by_tier
from tests.helpers.worlds import (
    CANDIDATE,
    CLOSED,
    FREE,
    MAKE,
    MODELS,
    ON,
    Draw,
    Row,
    World,
    add_plain_statement,
    draw_sources,
)

SEEDS = by_tier(quick=(801,), whole=(801, 802))
WORLDS = 220  # a seed
TOWED, LOADED, GROSS = Decimal(4000), Decimal(18000), Decimal(20000)
FRONT, HALF, SCALES = Decimal(6000), Decimal("0.5"), Decimal("0.98")
HAIR, NINE_TENTHS = Decimal("0.01"), Decimal("0.9")
UNCHECKED: Row = {"checked_by": None, "checked_on": None}
RATINGS = {
    "hitch_receiver": TOWED,
    "hitch_receiver_mode_not_printed": TOWED,
    "towing_capacity": TOWED,
    "gcwr": LOADED + TOWED,
    "gvwr": LOADED,
    "gawr_front": FRONT,
    "gawr_rear": LOADED - FRONT,
}
WEIGHTS = {
    "loaded_weight": LOADED,
    "part_loaded_weight": LOADED - 400,
    "still_to_add": Decimal(400),
    "unloaded_weight": LOADED,
    "axle_front_loaded": FRONT,
    "axle_rear_loaded": LOADED - FRONT,
}
RARE = ("hitch_receiver_mode", "unloaded", "part", "still", "axle", "gawr")


Figures = dict[str, list[Row]]


def one(name: str, pounds: str) -> Figures:
    return {name: [{"value": pounds}]}


def near(rng: Random, pounds: Decimal) -> Decimal:
    """At a bound, or by a hair beside it."""
    return pounds + rng.choice((0, 0, HAIR, -HAIR))


def figure(rng: Random, pounds: Decimal) -> Row:
    """A printed figure near a bound; some with a second unit, which makes it an interval."""
    row: Row = {"value": str(near(rng, pounds)), "unit": "lb"}
    if rng.random() < 0.2:
        kilograms = (pounds * Decimal("0.45359237")).quantize(Decimal(1))
        row |= {"also_value": str(kilograms + rng.choice((0, 1))), "also_unit": "kg"}
    return row


def checks(rng: Random, share: float) -> Row:
    return dict(UNCHECKED) if rng.random() < share else {}


def tight_coach(draw: Draw) -> str:
    """A coach on record of which each figure is there once, twice or not at all."""
    rng = draw.rng
    coach = draw.add("coach", "source-6", name="Brackwater 38")
    gross = rng.choice((LOADED, LOADED, GROSS))
    rated = RATINGS | {"gvwr": gross, "gcwr": rng.choice((LOADED, gross)) + TOWED}
    weights = dict(WEIGHTS)
    if rng.random() < 0.1:  # at half of what it may weigh
        rated |= {"gvwr": LOADED / HALF, "gcwr": LOADED / HALF + TOWED}
    if rng.random() < 0.6:  # at 2 % beside the whole
        weights["axle_rear_loaded"] = LOADED * SCALES - FRONT
    for name, pounds in (*rated.items(), *weights.items()):
        is_rare = name.startswith(RARE)
        for _ in range(rng.choice((0, 0, 1, 2) if is_rare else (0, 1, 1, 1, 2))):
            own: Row = {"coach_id": coach["coach_id"], "property": name}
            source = f"source-{rng.choice((6, 6, 6, 6, 7, 8))}"
            draw.add("coach_property", source, **own, **figure(rng, pounds), **checks(rng, 0.25))
    if rng.random() < 0.4:
        own = {"coach_id": coach["coach_id"], "property": "towing_capacity"}
        draw.add("coach_property", "source-6", **own, word="none_stated", **checks(rng, 0.3))
    return str(coach["coach_id"])


def tight_car(draw: Draw, name: str) -> Row:
    """A car of which the weights are at the coach's limits and at each other's."""
    rng = draw.rng
    car: Row = dict.fromkeys(CANDIDATE)
    car |= {"candidate": name, "make": MAKE, "model": MODELS[0], "model_year": "2021"}
    for column, pounds, share in (
        ("as_weighed", rng.choice((TOWED, TOWED, TOWED * NINE_TENTHS)), 0.4),
        ("gvwr", rng.choice((TOWED, TOWED, TOWED * NINE_TENTHS)), 0.4),
        ("curb_weight", rng.choice((TOWED, TOWED - 100)), 0.4),
        ("load", rng.choice((Decimal(100), HAIR)), 0.3),
    ):
        if rng.random() < share:
            car[column] = f"{max(near(rng, pounds), Decimal(0))} lb"
    return car


def tight_world(rng: Random) -> World:
    """A permitted car; groups that surely and possibly apply, with gross and curb weights."""
    draw = Draw(rng)
    draw.unchecked = draw.withdrawn = 0
    draw_sources(draw)
    # Withdrawn on the day asked for, or on the next; the row that says so checked, or not.
    day = (ON + timedelta(rng.choice((0, 0, 1)))).isoformat()
    plate = draw.reference["source"][5]
    draw.add("source", **{**plate, "source_id": "source-8", "withdrawn_on": day} | checks(rng, 0.5))
    groups = []
    for transmission in ("any", "manual"):
        cells: Row = {**dict.fromkeys((*CLOSED, *FREE), "any"), "transmission": transmission}
        cells |= {"model_year_from": "2019", "model_year_to": "2022", "model": MODELS[0]}
        groups.append(draw.add("vehicle_group", "source-1", make=MAKE, **cells))
    add_plain_statement(draw, groups[0], "permitted", True)
    for name in ("gvwr", "curb_weight"):
        for group in groups * 2:
            if rng.random() < 0.35:
                pounds = TOWED - rng.choice((0, 100)) if name == "curb_weight" else TOWED
                own: Row = {"vehicle_group_id": group["vehicle_group_id"], "property": name}
                source = f"source-{rng.choice((1, 1, 1, 8))}"
                cells = figure(rng, pounds) | checks(rng, 0.3)
                draw.add("vehicle_property", source, **own, **cells)
    cars = [tight_car(draw, f"car {n}") for n in range(3)]
    policy = {"weigh_by": rng.choice(("best_known", "best_known", "gvwr"))}
    return World(draw.reference, cars, tight_coach(draw), ON, policy)


def tight_worlds(seed: int, count: int) -> list[World]:
    """So many worlds of one seed, and those that are never drawn."""
    rng = Random(seed)
    return [*(tight_world(rng) for _ in range(count)), *rare_worlds()]


def rare_worlds() -> Iterator[World]:
    """Coaches of which one end or one check is missing just where the others decide."""
    whole: Figures = {
        "hitch_receiver": [{"value": "4000"}],
        "gcwr": [{"value": "24000"}],
        "gvwr": [{"value": "20000"}],
        "loaded_weight": [{"value": "18000"}],
        "towing_capacity": [{"value": "4000"}],
    }
    rare: tuple[Figures, ...] = (
        # An unchecked plate, beside it a smaller figure without a mode.
        {
            "hitch_receiver": [{"value": "4000", **UNCHECKED}],
            "hitch_receiver_mode_not_printed": [{"value": "3999"}],
        },
        # Two tickets of a coach that was not loaded yet.
        {
            "loaded_weight": [],
            "part_loaded_weight": [{"value": "17000"}, {"value": "19000"}],
            "gcwr": [{"value": "22500"}],
        },
        # The coach alone is at its combined rating, or over it by a hair.
        *(one("gcwr", value) for value in ("18000", "17999.99")),
        # Of the coach no low end is known, and the car alone is at the combined rating.
        *({**one("gcwr", v), "loaded_weight": []} for v in ("4000", "3999.99", "4001")),
    )
    for changed in rare:
        yield coach_with({**whole, **changed})


def coach_with(figures: Figures) -> World:
    """A coach on record with these figures, and cars that are weighed, or not."""
    draw = Draw(Random(0))
    draw.unchecked = draw.withdrawn = 0
    draw_sources(draw)
    coach = draw.add("coach", "source-6", name="Brackwater 38")
    for name, each in figures.items():
        for cells in each:
            own: Row = {"coach_id": coach["coach_id"], "property": name, "unit": "lb"}
            draw.add("coach_property", "source-6", **{**own, **cells})
    car: Row = dict.fromkeys(CANDIDATE)
    car |= {"make": MAKE, "model": MODELS[0], "model_year": "2021"}
    weighed = (None, "3999 lb", "3999.5 lb", "4000 lb", "4000.01 lb")
    cars = [{**car, "candidate": f"car {n}", "as_weighed": w} for n, w in enumerate(weighed)]
    cars.append({**car, "candidate": "car 9", "gvwr": "4000 lb"})
    return World(draw.reference, cars, str(coach["coach_id"]), ON)


@pytest.mark.parametrize("seed", SEEDS)
def test_engine_and_oracle_agree_at_every_bound(seed: int, tmp_path: Path) -> None:
    worlds = tight_worlds(seed, WORLDS)
    engine = agreement.answers(worlds, tmp_path, judged=False)
    assert list(agreement.compared(worlds, engine)) == []


def test_margins_of_nothing_and_of_a_hair_are_reached() -> None:
    margins: Counter[str] = Counter()
    for world in tight_worlds(SEEDS[0], WORLDS):
        said = oracle.screen(
            world.reference, world.candidates, world.coach, world.on, world.policy["weigh_by"]
        )
        for answer in said.answers:
            for name, check in answer.checks.items():
                if check.margin is not None and abs(check.margin) < 1:
                    sign = (check.margin > 0) - (check.margin < 0)
                    margins[f"{name} {check.outcome} {sign}"] += 1
                    margins[f"{check.reason} {sign}"] += 1
    for name in ("hitch_receiver", "combination_rating", "towing_capacity", "towed_gross"):
        for end in ("met 0", "met 1", "not_met -1"):
            assert margins[f"{name} {end}"] >= 5, f"{name} {end}"
    assert margins["axle_over -1"] >= 5


def test_weights_that_cannot_be_are_reached_by_a_hair() -> None:
    reached: Counter[str] = Counter()
    for world in tight_worlds(SEEDS[0], WORLDS):
        said = oracle.screen(
            world.reference, world.candidates, world.coach, world.on, world.policy["weigh_by"]
        )
        reached.update(said.coach.cautions)
        for answer in said.answers:
            reached.update(answer.cautions)
    for caution in (
        *("weighing_contradicted", "weighed_below_curb", "gvwr_far"),
        *("coach_contradicts", "axles_differ"),
    ):
        assert reached[caution] >= 5, caution
