"""What nothing may break: less knowledge never makes a car suitable, and every fact has its page.

Worlds are drawn in which about one thing stands between a car and a clear answer; then one thing
is taken away from what is known of it, in every way there is. No verdict may become `suitable`.
Where taking something away removes an obstacle, not knowledge, the case is left out by name.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from decimal import Decimal
from itertools import product
from pathlib import Path
from random import Random
from typing import Any

import pytest

import towdb
from tests.helpers import agreement, oracle
from tests.helpers.oracle import Case
from tests.helpers.tier import by_tier
from tests.helpers.worlds import (
    CLOSED,
    FREE,
    MISSPELT,
    OPTIONS,
    PERMISSIONS,
    TICKETS,
    Reference,
    Row,
    World,
    columns,
    draw_world,
    presence_patterns,
    printed,
)

SEEDS = (11, 12, 13, 14, 15, 16)
WORLDS = 70  # a seed
ALONE = (21, 22)  # seeds of worlds that the oracle alone is asked about
SUITABLE = 20  # worlds with a suitable car
PAGES = 30  # worlds whose pages are looked up
SHUFFLED = 40  # worlds that are shuffled
UNSEEN = "Quartzite"
CAR_CELLS = (
    *("make", "model", "model_year", *CLOSED, *FREE, "built_on", "options", "options_complete"),
    *("confirmed", "procedure", "as_weighed", "gvwr", "curb_weight", "load"),
)
CHECKED_TABLES = (
    *("source", "vehicle_group", "eligibility", "towing_limit", "procedure_step", "fuse_pull"),
    *("vehicle_property", "coach", "coach_property"),
)
SOMETIMES = ("towing_limit", "procedure_step", "fuse_pull", "coach", "coach_property")
WEIGHTS = (*TICKETS, "unloaded_weight")
AXLE_RATINGS = ("gawr_front", "gawr_rear")
RATINGS = ("hitch_receiver", "hitch_receiver_mode_not_printed", "gcwr", "gvwr", "towing_capacity")
OUTPUTS = ("verdict", "check_outcome", "condition", "citation", "remark", "capacity", "figures")

Record = dict[str, Any]


@dataclass(frozen=True)
class Change:
    """A world of which less is known, and what was done to it."""

    kind: str
    about: str
    world: World
    before: World


@dataclass(frozen=True)
class Trial:
    """One car before and after a change; `left_out` says why the promise does not hold here."""

    change: Change
    original: tuple[int, str]
    changed: tuple[int, str]
    left_out: str | None


# ---------------------------------------------------------------- originals


def obstacles(answer: oracle.Answer) -> int:
    return sum(check.outcome in ("unknown", "not_met") for check in answer.checks.values())


def originals(seed: int, count: int) -> Iterator[World]:
    """Drawn worlds with the cars for which little or nothing stands in the way."""
    rng = Random(seed)
    while count:
        world = draw_world(rng)
        said = oracle.screen(
            world.reference, world.candidates, world.coach, world.on, world.policy["weigh_by"]
        )
        near = [
            car
            for car, answer in zip(world.candidates, said.answers, strict=True)
            if obstacles(answer) <= (1 if rng.random() < 0.9 else 9)
            and (answer.verdict != "suitable" or rng.random() < 0.5)
        ]
        if near:
            count -= 1
            yield replace(world, candidates=near)


def case_of(world: World, car: Row) -> Case:
    return oracle.open_case(world.reference, car, world.on, world.policy["weigh_by"])


# ---------------------------------------------------------------- the car


def with_car(world: World, car: Row, **cells: str | None) -> World:
    return replace(world, candidates=[{**car, **cells}])


def broader_words(world: World, car: Row) -> Iterator[tuple[str, World]]:
    """A word to the word above it; a day to its month."""
    for attribute in CLOSED:
        word = (car[attribute] or "").lower().replace("-", "_").replace(" ", "_")
        above = oracle.vocabularies()[attribute].get(word)
        if above:
            yield attribute, with_car(world, car, **{attribute: above})
    if len(car["built_on"] or "") == len("2021-03-15"):
        yield "built_on", with_car(world, car, built_on=str(car["built_on"])[:7])


def blank_car_cells(world: World, car: Row) -> Iterator[tuple[str, World]]:
    for column in CAR_CELLS:
        if car.get(column):
            yield column, with_car(world, car, **{column: None})


def unseen_words(world: World, car: Row) -> Iterator[tuple[str, World]]:
    for column in (*FREE, "make", "model"):
        if car[column]:
            yield column, with_car(world, car, **{column: UNSEEN})
    options = [option.strip() for option in (car["options"] or "").split(",")]
    for place in range(len(options)):
        said = ", ".join((*options[:place], UNSEEN, *options[place + 1 :]))
        yield "options", with_car(world, car, options=said)


CarKind = Callable[[World, Row], Iterator[tuple[str, World]]]
BLANK_CAR = "a blank cell of the car"
CAR_KINDS: dict[str, CarKind] = {
    "a broader word": broader_words,
    BLANK_CAR: blank_car_cells,
    "an unseen word": unseen_words,
}

# ---------------------------------------------------------------- the reference and the coach

Kind = Callable[[Random, World], tuple[str, World] | None]


def changed_row(world: World, table: str, old: Row, **cells: str | None) -> World:
    rows = [{**row, **cells} if row is old else row for row in world.reference[table]]
    return replace(world, reference={**world.reference, table: rows})


def pick(rng: Random, rows: list[Row]) -> Row | None:
    return rng.choice(rows) if rows else None


def blank_group_cell(rng: Random, world: World) -> tuple[str, World] | None:
    """A condition on the car becomes unknown; without `otherwise` all empty cells do."""
    group = rng.choice(world.reference["vehicle_group"])
    column = rng.choice([c for c in (*CLOSED, *FREE, "otherwise") if group[c]])
    return column, changed_row(world, "vehicle_group", group, **{column: None})


def further_condition(rng: Random, world: World) -> tuple[str, World] | None:
    group = pick(rng, [g for g in world.reference["vehicle_group"] if not g["further_condition"]])
    if group is None:
        return None
    words = "built in the second shift"
    return "vehicle_group", changed_row(world, "vehicle_group", group, further_condition=words)


def without_coach_row(rng: Random, world: World) -> tuple[str, World] | None:
    if isinstance(world.coach, str):
        gone = pick(rng, world.reference["coach_property"])
        rest = [row for row in world.reference["coach_property"] if row is not gone]
        reference: Reference = {**world.reference, "coach_property": rest}
        return (str(gone["property"]), replace(world, reference=reference)) if gone else None
    if not world.coach:
        return None
    name = rng.choice(list(world.coach))
    place = rng.randrange(len(world.coach[name]))
    figures = [figure for n, figure in enumerate(world.coach[name]) if n != place]
    coach = {**world.coach, name: figures}
    return name, replace(world, coach={n: rows for n, rows in coach.items() if rows})


def unchecked(table: str) -> Callable[[Random, World], tuple[str, World] | None]:
    def uncheck(rng: Random, world: World) -> tuple[str, World] | None:
        row = pick(rng, [row for row in world.reference[table] if row["checked_by"]])
        if row is None:
            return None
        about = str(row.get("property") or row[f"{table}_id"])
        return about, changed_row(world, table, row, checked_by=None, checked_on=None)

    return uncheck


def unchecked_withdrawal(rng: Random, world: World) -> tuple[str, World] | None:
    """A source that nobody has checked is said to have been withdrawn."""
    day = (world.on - timedelta(rng.choice((0, 1, 40, 200)))).isoformat()
    # Of one withdrawn already this would be another day, which may lie before a later check.
    source = pick(rng, [row for row in world.reference["source"] if not row["withdrawn_on"]])
    if source is None:
        return None
    cells: Row = {"withdrawn_on": day, "checked_by": None, "checked_on": None}
    return str(source["source_id"]), changed_row(world, "source", source, **cells)


# ---------------------------------------------------------------- what somebody has just typed

UNCHECKED: Row = {"checked_by": None, "checked_on": None}
ADDED = "added"  # the key of a row more


def typed_today(world: World, table: str, like: Row, **cells: str | None) -> World:
    """One row more, like another, which nobody has checked yet."""
    row = {**like, f"{table}_id": ADDED, **cells, **UNCHECKED}
    rows = [*world.reference.get(table, []), row]
    return replace(world, reference={**world.reference, table: rows})


def options_of(world: World) -> list[str]:
    """The options as candidates spell them, and as pages do."""
    said = {o.strip() for car in world.candidates for o in (car["options"] or "").split(",")}
    return sorted({*said, MISSPELT, *OPTIONS} - {"", "none"})


def spelt(rng: Random, world: World) -> tuple[str, World] | None:
    """A group of which an option is spelt as a candidate spells it."""
    like, option = rng.choice(world.reference["vehicle_group"]), rng.choice(options_of(world))
    column = rng.choice(("options_with", "options_without"))
    return option, typed_today(world, "vehicle_group", like, **{column: option})


def another_group(rng: Random, world: World) -> tuple[str, World] | None:
    """A group of other words, which may take in more cars or fewer."""
    like = rng.choice(world.reference["vehicle_group"])
    column = rng.choice((*CLOSED, *FREE))
    word = rng.choice({**CLOSED, **FREE}[column][:2])
    return column, typed_today(world, "vehicle_group", like, **{column: rng.choice((word, "any"))})


def another_statement(rng: Random, world: World) -> tuple[str, World] | None:
    """A page that permits or forbids, and may replace another."""
    said = world.reference["eligibility"]
    like = pick(rng, said)
    if like is None:
        return None
    replaced = rng.choice((None, *(row["eligibility_id"] for row in said)))
    group = rng.choice(world.reference["vehicle_group"])["vehicle_group_id"]
    cells: Row = {"permission": rng.choice(PERMISSIONS), "overrides": replaced}
    cells |= {"vehicle_group_id": group, "purpose": "recreational"}
    cells |= {"towing_method": "four_wheels_down", "same_steps_as": None}
    return str(cells["permission"]), typed_today(world, "eligibility", like, **cells)


SHARES = ("0.1", "0.4536", "0.5", "0.89", "0.9", "0.95", "1", "1.02", "1.1", "1.2", "2.2")


def another_weight(rng: Random, world: World) -> tuple[str, World] | None:
    """A curb weight or gross rating about, or far from, what the cars weigh."""
    rows = world.reference["vehicle_property"]
    like = pick(rng, rows)
    if like is None:
        return None
    name = rng.choice(("gvwr", "curb_weight"))
    group = rng.choice(world.reference["vehicle_group"])["vehicle_group_id"]
    cells = share_of(rng, like) | {"vehicle_group_id": group, "property": name}
    return name, typed_today(world, "vehicle_property", like, **cells)


def share_of(rng: Random, like: Row) -> Row:
    """A figure of so many times another."""
    value = printed(Decimal(str(like["value"])) * Decimal(rng.choice(SHARES)))
    return {"value": str(value), "also_value": None, "also_unit": None}


def another_coach_figure(rng: Random, world: World) -> tuple[str, World] | None:
    """A weight or rating of a coach on record, about what its others are, or far from them."""
    rows = [row for row in world.reference["coach_property"] if row["value"] not in (None, "0")]
    if not isinstance(world.coach, str) or not rows:
        return None
    name = rng.choice((*RATINGS, *AXLE_RATINGS, *WEIGHTS, "none_stated"))
    alike = [row for row in rows if row["property"] == name]
    like = rng.choice(alike or rows)
    cells = share_of(rng, like) | {"property": name}
    if name == "none_stated":
        cells |= {"property": "towing_capacity", "word": name, "value": None, "unit": None}
    return name, typed_today(world, "coach_property", like, **cells)


# A limit, step or fuse pull more does not fit its statement's printed count: a rule refuses it.
ADDITIONS: dict[str, Kind] = {
    "an option spelt as typed, not checked": spelt,
    "a vehicle_group added, not checked": another_group,
    "an eligibility added, not checked": another_statement,
    "a vehicle_property added, not checked": another_weight,
    "a coach_property added, not checked": another_coach_figure,
}
BLANK_GROUP, COACH_ROW = "a blank cell of a group", "a coach row removed"
WITHDRAWAL = "a withdrawal that nobody checked"
KINDS: dict[str, Kind] = {
    BLANK_GROUP: blank_group_cell,
    "a further condition": further_condition,
    COACH_ROW: without_coach_row,
    **{f"{table} unchecked": unchecked(table) for table in CHECKED_TABLES},
    WITHDRAWAL: unchecked_withdrawal,
    **ADDITIONS,
}


# ---------------------------------------------------------------- where the promise does not hold


@dataclass(frozen=True)
class Compared:
    """One car before and after a change, as the oracle sees it."""

    change: Change
    car: Row

    def case(self) -> Case:
        return case_of(self.change.before, self.car)

    def case_after(self) -> Case:
        return case_of(self.change.world, self.change.world.candidates[0])

    def blanks(self, *columns: str) -> bool:
        return self.change.kind == BLANK_CAR and self.change.about in columns

    def coaches(self) -> tuple[oracle.Coach, oracle.Coach]:
        before, after = self.change.before, self.change.world
        return (
            oracle.read_coach(case_of(before, self.car), before.coach),
            oracle.read_coach(case_of(after, self.car), after.coach),
        )


def ticket_above_gross(this: Compared) -> bool:
    """A ticket above a gross rating forbids; without the ticket, or the rating, nothing does."""
    if not this.blanks("as_weighed", "gvwr"):
        return False
    case = this.case()
    weighed, own = oracle.typed(case, "as_weighed"), oracle.typed(case, "gvwr")
    grosses = [own] if own is not None else [f.low for f in oracle.vehicle_figures(case, "gvwr")]
    return weighed is not None and any(weighed > gross for gross in grosses)


def ends(weight: oracle.Weight | None) -> tuple[oracle.Mass, oracle.Mass]:
    return (weight.low, weight.high) if weight else (None, None)


def coach_ticket_above_gross(this: Compared) -> bool:
    """The same of a coach."""
    if this.change.kind != COACH_ROW:
        return False
    before, after = this.coaches()
    if ends(before.weighed) == ends(after.weighed) and ends(before.loaded) == ends(after.loaded):
        return False
    reason = oracle.coach_gross(before).reason
    return this.change.about in WEIGHTS and reason in ("over", "depends_on_the_weight")


def axle_above_its_rating(this: Compared) -> bool:
    """An axle above its rating forbids; without its ticket, or the rating, nothing does."""
    if this.change.kind != COACH_ROW or this.change.about not in (*WEIGHTS, *AXLE_RATINGS):
        return False
    one, other = (
        [oracle.axle_gross(coach, *names) for names in oracle.AXLES] for coach in this.coaches()
    )
    return one != other


def weights_that_contradict(this: Compared) -> bool:
    """Weights that contradict say nothing; one of them alone says something."""
    if this.change.kind == COACH_ROW:
        before, after = (coach.loaded.contradicts for coach in this.coaches())
        return before and not after
    if not this.blanks("as_weighed", "gvwr", "curb_weight", "load"):
        return False
    case, after_ = this.case(), this.case_after()
    return any(
        contradict(case) and not contradict(after_)
        for contradict in (oracle.weights_contradict, oracle.weighing_contradicted)
    )


def another_version_that_it_may_be(this: Compared) -> bool:
    """What no version in question fits may fit one that comes into question too."""
    if this.change.kind not in (*CAR_KINDS, BLANK_GROUP, "a further condition"):
        return False
    if this.blanks("as_weighed", "gvwr", "curb_weight", "load"):
        return False
    case, after = this.case(), this.case_after()
    return any(
        cannot_be(case) and not cannot_be(after)
        for cannot_be in (oracle.weighing_contradicted, oracle.is_gross_far_below)
    )


def typed_gross_above_the_recorded(this: Compared) -> bool:
    """What a person read on the car counts; without it the smaller figure of the reference does."""
    if not this.blanks("gvwr"):
        return False
    own = oracle.typed(this.case(), "gvwr")
    recorded, _ = oracle.gross_end(this.case_after())
    return own is not None and recorded is not None and recorded < own


def chosen_procedure(this: Compared) -> bool:
    """A choice that is not sure stands in the way of procedures that all agree."""
    if not this.blanks("procedure"):
        return False
    case = this.case()
    return oracle.procedure(case, oracle.permission(case)).reason == "chosen_not_sure"


def one_of_several_figures(this: Compared) -> bool:
    """Of several figures the strictest counts; without it the next one does."""
    if this.change.kind != COACH_ROW:
        return False
    (before, after), name = this.coaches(), this.change.about
    if name == "hitch_receiver_mode_not_printed" and after.figures.get("hitch_receiver"):
        return True
    if name == "towing_capacity" and before.figures.get(name) and after.none_stated:
        return True
    if not after.figures.get(name) and not (name in WEIGHTS and after.weighed):
        return False
    return is_looser(before, after, name)


def is_looser(before: oracle.Coach, after: oracle.Coach, name: str) -> bool:
    """A higher rating, a checked one for an unchecked one, or a lighter coach."""
    one, other = oracle.rating(before, name), oracle.rating(after, name)
    rating = one and other and (other.limit > one.limit or other.checked > one.checked)
    heavy, light = before.loaded.high, after.loaded.high
    return bool(rating) or (light is not None and (heavy is None or light < heavy))


def covered_by_otherwise(this: Compared) -> bool:
    """Where `otherwise` is any, an empty cell is a condition taken away."""
    if this.change.kind != BLANK_GROUP or this.change.about == "otherwise":
        return False
    before, after = (w.reference["vehicle_group"] for w in (this.change.before, this.change.world))
    (group,) = (old for old, new in zip(before, after, strict=True) if old != new)
    return group["otherwise"] == "any"


EXCLUSIONS: dict[str, Callable[[Compared], bool]] = {
    "a ticket above a gross rating": ticket_above_gross,
    "a coach's ticket above its gross rating": coach_ticket_above_gross,
    "an axle above its rating": axle_above_its_rating,
    "weights that contradict": weights_that_contradict,
    "another version that it may be": another_version_that_it_may_be,
    "a typed gross rating above the recorded": typed_gross_above_the_recorded,
    "a chosen procedure": chosen_procedure,
    "one of several figures": one_of_several_figures,
    "a cell that otherwise covers": covered_by_otherwise,
}


def left_out(change: Change, car: Row) -> str | None:
    this = Compared(change, car)
    return next((name for name, holds in EXCLUSIONS.items() if holds(this)), None)


# ---------------------------------------------------------------- trials


def changed_cars(world: World, car: Row) -> Iterator[Change]:
    for kind, changes in CAR_KINDS.items():
        for about, changed in changes(world, car):
            yield Change(kind, about, changed, world)


def changed_worlds(rng: Random, world: World) -> Iterator[Change]:
    for kind, change in KINDS.items():
        made = change(rng, world)
        if made:
            yield Change(kind, *made, world)


def trials(seed: int) -> tuple[list[World], list[Trial]]:
    """Originals and changed worlds, and which car of which of them to compare with which."""
    rng = Random(-seed)
    worlds: list[World] = []
    found: list[Trial] = []
    for world in originals(seed, WORLDS):
        home, cars = len(worlds), list(world.candidates)
        worlds.append(replace(world, candidates=cars))
        for car in world.candidates:
            before = (home, str(car["candidate"]))
            for change in changed_cars(world, car):
                name = f"{car['candidate']} changed {len(cars)}"
                cars.append({**change.world.candidates[0], "candidate": name})
                found.append(Trial(change, before, (home, name), left_out(change, car)))
        for change in changed_worlds(rng, world):
            for car in world.candidates:
                before, after = (home, str(car["candidate"])), (len(worlds), str(car["candidate"]))
                found.append(Trial(change, before, after, left_out(change, car)))
            worlds.append(change.world)
    return worlds, found


# ---------------------------------------------------------------- less knowledge


Verdicts = dict[tuple[int, str], str]


@pytest.mark.parametrize("seed", by_tier(quick=SEEDS[:1], whole=SEEDS))
def test_less_knowledge_never_makes_a_car_suitable(seed: int, tmp_path: Path) -> None:
    worlds, found = trials(seed)
    engine = agreement.answers(worlds, tmp_path, judged=False)
    verdicts = {key: row["verdict"] for key, row in engine.verdicts.items()}
    tested = [trial for trial in found if trial.left_out is None]
    assert broken(tested, verdicts) == []
    assert_enough(tested, verdicts)


@pytest.mark.whole
@pytest.mark.parametrize("seed", ALONE)
def test_to_the_oracle_less_knowledge_never_makes_a_car_suitable(seed: int) -> None:
    worlds, found = trials(seed)
    verdicts: Verdicts = {}
    for k, world in enumerate(worlds):
        verdicts |= oracle_verdicts(k, world)
    assert broken([trial for trial in found if trial.left_out is None], verdicts) == []


def oracle_verdicts(k: int, world: World) -> Verdicts:
    """What the oracle says of the candidates of one world."""
    said = oracle.screen(
        world.reference, world.candidates, world.coach, world.on, world.policy["weigh_by"]
    )
    return {(k, str(answer.candidate)): answer.verdict for answer in said.answers}


def broken(tested: list[Trial], verdicts: Verdicts) -> list[str]:
    """The cars that became suitable."""
    return [
        f"{trial.change.kind}, {trial.change.about}: world {trial.original[0]},"
        f" {trial.original[1]}: {verdicts[trial.original]} became suitable"
        for trial in tested
        if verdicts[trial.changed] == "suitable" and verdicts[trial.original] != "suitable"
    ]


# Trials of each kind that each seed must give, of cars that were not suitable.
LEAST = {
    **dict.fromkeys(CAR_KINDS, 400),
    **dict.fromkeys(KINDS, 30),
    **dict.fromkeys((f"{table} unchecked" for table in SOMETIMES), 12),
    "a coach_property added, not checked": 12,
}


def assert_enough(tested: list[Trial], verdicts: Verdicts) -> None:
    """A promise about cars that were suitable anyway, or about three cars, says nothing."""
    said = Counter(verdicts[key] for key in {t.original for t in tested})
    assert said["suitable"] >= 5
    assert said["undetermined"] >= 30
    assert said["not_suitable"] >= 10
    clear = {t.original for t in tested if verdicts[t.original] != "suitable"}
    counts = Counter(t.change.kind for t in tested if t.original in clear)
    assert {kind: counts[kind] for kind in LEAST if counts[kind] < LEAST[kind]} == {}


# ---------------------------------------------------------------- what is left out


def plain_world() -> World:
    """One car that may be towed: one sure, checked statement that permits, and an able coach."""
    for world in presence_patterns():
        statements = world.reference["eligibility"]
        if [row["permission"] for row in statements] == ["permitted"]:
            group = oracle.row_of(world.reference, "vehicle_group", groups_of(statements)[0])
            if group["transmission"] == "any" and statements[0]["checked_by"]:
                reference = {**world.reference, "vehicle_group": [dict(group)]}
                return replace(world, reference=reference)
    raise AssertionError("no such pattern")


def groups_of(statements: list[Row]) -> list[str | None]:
    return [row["vehicle_group_id"] for row in statements]


def with_figures(world: World, name: str, *values: str) -> World:
    """The world whose coach has these figures of one property, from a plate."""
    assert not isinstance(world.coach, str)
    coach = {n: figures for n, figures in world.coach.items() if n != name}
    rows: list[Row] = [{"value": value, "read_from": "a plate"} for value in values]
    return replace(world, coach={**coach, name: rows} if rows else coach)


def with_row(world: World, table: str, **cells: str | None) -> World:
    """One row more, entered and checked as the first group was."""
    like = world.reference["vehicle_group"][0]
    row = {name: like.get(name) for name in columns(table)} | {f"{table}_id": "added"} | cells
    return replace(
        world, reference={**world.reference, table: [*world.reference.get(table, []), row]}
    )


def with_gross(world: World, pounds: str) -> World:
    return with_row(world, "vehicle_property", property="gvwr", value=pounds, unit="lb")


def coach_on_record(world: World, **ticket: str | None) -> World:
    """The world whose coach stands in the reference, with this cell or that of its ticket."""
    assert not isinstance(world.coach, str)
    made = with_row(world, "coach", coach_id="recorded", name="Brackwater 38")
    for name, figures in world.coach.items():
        value, _, unit = str(figures[0]["value"]).partition(" ")
        cells: Row = {"word": "none_stated"} if value == "none" else {"value": value, "unit": unit}
        own: Row = {"coach_property_id": name.replace("_", "-"), "coach_id": "recorded"}
        cells |= {"property": name, **(ticket if name == "loaded_weight" else {})}
        made = with_row(made, "coach_property", **own, **cells)
    return replace(made, coach="recorded")


def left_out_of_the_car() -> Iterator[tuple[str, Change]]:
    world = plain_world()
    (car,) = world.candidates
    over = with_car(world, car, as_weighed="4400.01 lb")
    heavy = with_car(world, car, curb_weight="4400.01 lb")
    higher = with_gross(with_car(world, car, gvwr="5000.01 lb"), "4500")
    other = with_car(world, car, procedure="another")
    light = with_car(world, car, as_weighed="1600 lb", curb_weight="3500 lb")
    laden = with_car(world, car, curb_weight="4000 lb", load="400.01 lb")
    for name, before, column in (
        ("a ticket above a gross rating", over, "as_weighed"),
        ("a ticket above a gross rating", with_gross(over, "4500"), "gvwr"),
        ("weights that contradict", heavy, "curb_weight"),
        ("weights that contradict", laden, "load"),
        ("weights that contradict", light, "curb_weight"),
        ("weights that contradict", light, "as_weighed"),
        ("another version that it may be", of_one_transmission(light), "transmission"),
        ("a typed gross rating above the recorded", higher, "gvwr"),
        ("a chosen procedure", other, "procedure"),
    ):
        after = with_car(before, before.candidates[0], **{column: None})
        yield name, Change(BLANK_CAR, column, after, before)


def of_one_transmission(world: World) -> World:
    """Its curb weight is not typed, and on record of two transmissions."""
    made = with_car(world, world.candidates[0], curb_weight=None, transmission="manual")
    (any_,) = world.reference["vehicle_group"]
    for key, transmission, pounds in (
        ("heavy", "manual", "3500"),
        ("light", "planetary_automatic", "1600"),
    ):
        words: Row = {**any_, "vehicle_group_id": key, "transmission": transmission}
        made = with_row(made, "vehicle_group", **words)
        own: Row = {"vehicle_group_id": key, "vehicle_property_id": key}
        cells: Row = {"property": "curb_weight", "value": pounds, "unit": "lb"}
        made = with_row(made, "vehicle_property", **own, **cells)
    return made


def left_out_of_the_coach() -> Iterator[tuple[str, Change]]:
    """A world, and a property of its coach without which it would be suitable."""
    world = plain_world()
    axles = {"axle_front_loaded": "3000 lb", "axle_rear_loaded": "5000 lb"}
    over = {"axle_front_loaded": "7000 lb", "gawr_front": "6999.99 lb"}
    for name, figures, gone in (
        ("an axle above its rating", over, "axle_front_loaded"),
        ("an axle above its rating", over, "gawr_front"),
        ("weights that contradict", {"unloaded_weight": "19000.01 lb"}, "unloaded_weight"),
        ("weights that contradict", {"loaded_weight": "8618 lb"}, "loaded_weight"),
        ("weights that contradict", {"loaded_weight": None, **axles}, "axle_rear_loaded"),
    ):
        before = world
        for figure, value in figures.items():
            before = with_figures(before, figure, *([value] if value else []))
        yield name, Change(COACH_ROW, gone, with_figures(before, gone), before)


def left_out_of_the_rest() -> Iterator[tuple[str, Change]]:
    world, name = plain_world(), "a coach's ticket above its gross rating"
    heavy = with_figures(world, "loaded_weight", "20000.01 lb")
    without = with_figures(world, "loaded_weight")
    yield name, Change(COACH_ROW, "loaded_weight", without, heavy)
    two = with_figures(world, "hitch_receiver", "5000 lb", "4000 lb")
    yield "one of several figures", Change(COACH_ROW, "hitch_receiver", world, two)
    (group,) = world.reference["vehicle_group"]
    keyed = with_car(world, world.candidates[0], ignition="key")
    wanted, empty = (
        changed_row(keyed, "vehicle_group", group, otherwise="any", ignition=cell)
        for cell in ("button", None)
    )
    yield "a cell that otherwise covers", Change(BLANK_GROUP, "ignition", empty, wanted)


def test_what_is_left_out_would_break_the_promise(tmp_path: Path) -> None:
    examples = [*left_out_of_the_car(), *left_out_of_the_coach(), *left_out_of_the_rest()]
    assert {name for name, _ in examples} == set(EXCLUSIONS)
    worlds = [world for _, change in examples for world in (change.before, change.world)]
    engine = agreement.answers(worlds, tmp_path, judged=False)
    for n, (name, change) in enumerate(examples):
        assert engine.verdicts[2 * n, "car 1"]["verdict"] != "suitable", name
        assert engine.verdicts[2 * n + 1, "car 1"]["verdict"] == "suitable", name
        assert left_out(change, change.before.candidates[0]) == name


@pytest.mark.whole
def test_to_the_oracle_what_is_left_out_would_break_the_promise() -> None:
    for name, change in (
        *left_out_of_the_car(),
        *left_out_of_the_coach(),
        *left_out_of_the_rest(),
    ):
        before, after = (oracle_verdicts(0, w)[0, "car 1"] for w in (change.before, change.world))
        assert (before == "suitable", after) == (False, "suitable"), name
        assert left_out(change, change.before.candidates[0]) == name


def test_an_option_that_nobody_checked_makes_a_misspelling_no_word(tmp_path: Path) -> None:
    world = plain_world()
    (group,) = world.reference["vehicle_group"]
    asked = changed_row(world, "vehicle_group", group, options_without="air suspension")
    slip = with_car(asked, asked.candidates[0], options="air suspention", options_complete="yes")
    column = "options_without"
    unchecked_, checked = (
        with_row(slip, "vehicle_group", **{column: "air suspention", "transmission": "manual"}, **c)
        for c in (UNCHECKED, {})
    )
    worlds = [slip, unchecked_, checked]
    engine = agreement.answers(worlds, tmp_path, judged=False)
    said = [engine.verdicts[k, "car 1"]["verdict"] for k in range(3)]
    assert said == ["undetermined", "undetermined", "suitable"]
    assert [oracle_verdicts(0, w)[0, "car 1"] for w in worlds] == said


def test_an_unchecked_coach_ticket_of_two_units_still_forbids(tmp_path: Path) -> None:
    # 9,072 kg is 20,000.34 lb, above the gross rating of 20,000 lb; 19,999 lb is not.
    light = with_figures(plain_world(), "loaded_weight", "19999 lb")
    pair: Row = {"also_value": "9072", "also_unit": "kg"}
    checked = coach_on_record(light, **pair)
    unchecked = coach_on_record(light, **pair, checked_by=None, checked_on=None)
    engine = agreement.answers([checked, unchecked], tmp_path, judged=False)
    for n in (0, 1):
        said = engine.verdicts[n, "car 1"]
        assert said["coach_gross_outcome"] == "unknown"
        assert said["coach_gross_reason"] == "depends_on_the_weight"
        assert said["verdict"] == "undetermined"


# ---------------------------------------------------------------- nothing known, nothing permitted


def suitable_worlds(seed: int, count: int) -> Iterator[World]:
    """Drawn worlds with one car that is suitable."""
    for world in originals(seed, 40 * count):
        said = oracle.screen(
            world.reference, world.candidates, world.coach, world.on, world.policy["weigh_by"]
        )
        for car, answer in zip(world.candidates, said.answers, strict=True):
            if answer.verdict == "suitable" and count:
                count -= 1
                yield replace(world, candidates=[car])
                break


def all_rows(world: World, table: str, **cells: str | None) -> World:
    rows = [{**row, **cells} for row in world.reference[table]]
    return replace(world, reference={**world.reference, table: rows})


def all_unchecked(world: World, table: str, *properties: str) -> World:
    """No row of a table is checked, or none of some properties."""
    rows = [
        {**row, "checked_by": None, "checked_on": None}
        if not properties or row["property"] in properties
        else row
        for row in world.reference[table]
    ]
    return replace(world, reference={**world.reference, table: rows})


def permits(world: World) -> list[Row]:
    return [row for row in world.reference["eligibility"] if row["permission"] == "permitted"]


def with_statement(world: World, permission: str, *, sure: bool, checked: bool) -> World:
    """One more statement, of a group of its own that surely or possibly applies to the car."""
    case = case_of(world, world.candidates[0])
    like = oracle.kindred(case)[0]
    group: Row = {name: like[name] for name in ("make", "model")} | dict.fromkeys(FREE, "any")
    group |= dict.fromkeys(CLOSED, "any") | {"model_year_from": "2000", "model_year_to": "2030"}
    group |= dict.fromkeys(("built_from", "built_to", "options_with", "options_without"))
    group |= {"further_condition": None if sure else "from serial number 104233"}
    made = with_row(world, "vehicle_group", **group)
    mark = permits(world)[0] if checked else {"checked_by": None, "checked_on": None}
    cells: Row = {name: mark[name] for name in ("checked_by", "checked_on")}
    cells |= {"vehicle_group_id": "added", "permission": permission, "purpose": "recreational"}
    return with_row(made, "eligibility", **cells, towing_method="four_wheels_down")


def overriding_all(world: World, **cells: str | None) -> World:
    """The last statement replaces all that permit."""
    names = ", ".join(str(row["eligibility_id"]) for row in permits(world))
    last = world.reference["eligibility"][-1]
    return changed_row(world, "eligibility", last, overrides=names, **cells)


def with_withdrawn_override(world: World) -> World:
    """What replaced the permissions was withdrawn, and nobody has looked at them since."""
    earlier = (world.on - timedelta(50)).isoformat()
    old = [
        {**row, "checked_on": earlier if row["checked_by"] else None}
        for row in world.reference["eligibility"]
    ]
    world = replace(world, reference={**world.reference, "eligibility": old})
    world = with_statement(world, "prohibited", sure=True, checked=True)
    like = next(row for row in world.reference["source"] if row["checked_by"])
    gone: Row = {**like, "source_id": "added", "withdrawn_on": world.on.isoformat()}
    world = with_row(world, "source", **gone)
    return overriding_all(world, source_id="added")


def with_smaller_figure(world: World, name: str) -> Iterator[tuple[str, World]]:
    """A smaller rating beside the one that was checked, which nobody has checked."""
    figures = [r for r in world.reference["coach_property"] if r["property"] == name and r["value"]]
    for figure in sorted(figures, key=oracle.pair)[:1]:
        cells: Row = {**figure, "coach_property_id": "added", "checked_by": None}
        cells |= {"value": str(Decimal(str(figure["value"])) - 10), "checked_on": None}
        cells |= {"also_value": None, "also_unit": None}
        yield "a smaller figure not checked", with_row(world, "coach_property", **cells)


def without_checks(world: World) -> Iterator[tuple[str, World]]:
    """What nobody has checked permits nothing."""
    case = case_of(world, world.candidates[0])
    for table in ("source", "vehicle_group", "eligibility"):
        yield f"no {table} checked", all_unchecked(world, table)
    for table, parts in (
        ("towing_limit", [oracle.limits_of(case, row) for row in permits(world)]),
        ("procedure_step", [oracle.steps_of(case, row) for row in permits(world)]),
    ):
        if all(parts):
            yield f"no {table} checked", all_unchecked(world, table)
    if oracle.typed(case, "gvwr") is None:
        yield "no weight checked", all_unchecked(world, "vehicle_property")
    if isinstance(world.coach, str):
        yield "no coach checked", all_unchecked(world, "coach")
        for name in ("hitch_receiver", "gcwr", "gvwr", "towing_capacity"):
            yield f"no {name} checked", all_unchecked(world, "coach_property", name)
        for name in ("hitch_receiver", "gcwr", "gvwr", "towing_capacity"):
            yield from with_smaller_figure(world, name)
        weights = ("gvwr", *WEIGHTS)
        yield "no coach weight checked", all_unchecked(world, "coach_property", *weights)


def without_knowledge(world: World) -> Iterator[tuple[str, World]]:
    """What is not known permits nothing."""
    (car,) = world.candidates
    for attribute, (own, *_) in (CLOSED | FREE).items():
        asked = all_rows(world, "vehicle_group", **{attribute: own})
        yield f"{attribute} not known", with_car(asked, car, **{attribute: None})
    closed = all_rows(world, "vehicle_group", transmission=None, otherwise=None)
    yield "the page is not clear", closed
    yield "model_year not known", with_car(world, car, model_year=None)
    built = all_rows(world, "vehicle_group", built_from="2021-03-02", built_to=None)
    yield "built_on not known", with_car(built, car, built_on="2021-03")
    built = all_rows(world, "vehicle_group", built_from=None, built_to="2021-03-30")
    yield "built_on not known", with_car(built, car, built_on="2021-03")
    for column in ("options_with", "options_without"):
        asked = all_rows(world, "vehicle_group", **{column: "tow package"})
        yield "options not known", with_car(asked, car, options=None)
    further = all_rows(world, "vehicle_group", further_condition="from serial number 104233")
    yield "a further condition not confirmed", with_car(further, car, confirmed=None)
    light = with_car(world, car, gvwr=None, as_weighed=None)
    rows = [r for r in world.reference["vehicle_property"] if r["property"] != "gvwr"]
    yield "no gross rating", replace(light, reference={**world.reference, "vehicle_property": rows})
    silent = with_statement(light, "not_addressed", sure=False, checked=True)
    other = all_rows(silent, "vehicle_property", vehicle_group_id="added")
    yield "a gross rating of perhaps another car", other
    light = with_car(world, car, as_weighed=None, curb_weight="200 lb", load="9000 lb")
    yield "weights that contradict", light
    yield (
        "a weighing that cannot be",
        with_car(world, car, as_weighed="200 lb", curb_weight="3000 lb"),
    )
    asked = all_rows(world, "vehicle_group", options_without="tow package")
    slip = with_car(asked, car, options=MISSPELT, options_complete="yes")
    like = asked.reference["vehicle_group"][0]
    spelt_so = typed_today(slip, "vehicle_group", like, options_without=MISSPELT)
    yield "an option spelt as typed, not checked", spelt_so


def without_figures(world: World) -> Iterator[tuple[str, World]]:
    """A coach whose figures are not all there pulls nothing."""
    for name in ("hitch_receiver", "gcwr", "gvwr", "towing_capacity"):
        if isinstance(world.coach, str):
            rows = [r for r in world.reference["coach_property"] if r["property"] != name]
            reference = {**world.reference, "coach_property": rows}
            yield f"no {name}", replace(world, reference=reference)
        else:
            yield f"no {name}", with_figures(world, name)
    if not isinstance(world.coach, str):
        figures = [str(figure["value"]) for figure in world.coach["hitch_receiver"]]
        without = with_figures(world, "hitch_receiver")
        yield "no mode printed", with_figures(without, "hitch_receiver_mode_not_printed", *figures)
        distributing = with_figures(without, "hitch_receiver_weight_distributing", *figures)
        yield "no weight-carrying figure", distributing
        over = with_figures(world, "axle_front_loaded", "7000 lb")
        yield "an axle above its rating", with_figures(over, "gawr_front", "6999.99 lb")
        slipped = world
        for name in TICKETS:
            slipped = with_figures(slipped, name)
        # Half of the lowest gross rating that is drawn is more than 8,500 lb.
        yield "a coach that cannot be", with_figures(slipped, "loaded_weight", "8500 lb")


def with_more_said(world: World) -> Iterator[tuple[str, World]]:
    """What forbids or defers, checked or not, sure or not, and what differs, permits nothing."""
    (car,) = world.candidates
    for sure, checked in product((True, False), repeat=2):
        for permission in ("prohibited", "not_recommended", "refer_to_maker"):
            yield f"one {permission}", with_statement(world, permission, sure=sure, checked=checked)
        other = with_statement(world, "permitted", sure=sure, checked=checked)
        limit: Row = {"quantity": "grade", "bound": "at_most", "scope": "always", "value": "3"}
        other = with_row(other, "towing_limit", **limit, unit="%", stated="number")
        last = other.reference["towing_limit"][-1]
        other = changed_row(other, "towing_limit", last, eligibility_id="added")
        yield "procedures that differ", with_car(other, car, procedure=None)
        if not (sure and checked):
            yield "a choice that is not sure", with_car(other, car, procedure="added")
    yield "a choice that is not on record", with_car(world, car, procedure="somewhere-else")
    yield "an override withdrawn since", with_withdrawn_override(world)
    forbidden = with_statement(world, "prohibited", sure=True, checked=False)
    yield "an override that nobody checked", overriding_all(forbidden)
    for checks in ({}, {"checked_by": None, "checked_on": None}):
        gone = all_rows(world, "source", withdrawn_on=world.on.isoformat(), **checks)
        yield "all sources withdrawn", gone


def lacking(seed: int) -> tuple[list[World], list[tuple[str, int, int]]]:
    """Suitable worlds, and what each lacks in which other world."""
    worlds: list[World] = []
    found: list[tuple[str, int, int]] = []
    for world in suitable_worlds(seed, SUITABLE):
        home = len(worlds)
        worlds.append(world)
        for lacks in (without_checks, without_knowledge, without_figures, with_more_said):
            for what, changed in lacks(world):
                found.append((what, home, len(worlds)))
                worlds.append(changed)
    return worlds, found


def test_without_any_of_it_no_car_is_suitable(tmp_path: Path) -> None:
    worlds, found = lacking(SEEDS[0])
    engine = agreement.answers(worlds, tmp_path, judged=False)
    said = {k: row["verdict"] for (k, _), row in engine.verdicts.items()}
    assert {said[home] for _, home, _ in found} == {"suitable"}
    assert [(what, home) for what, home, k in found if said[k] == "suitable"] == []
    assert list(agreement.compared(worlds, engine)) == []
    rare = {what: n for what, n in Counter(what for what, *_ in found).items() if n < 5}
    assert rare == {}


@pytest.mark.whole
def test_to_the_oracle_no_car_is_suitable_without_any_of_it() -> None:
    worlds, found = lacking(SEEDS[1])
    homes = {home for _, home, _ in found}
    assert {v for k in homes for v in oracle_verdicts(k, worlds[k]).values()} == {"suitable"}
    suitable = [
        (what, home)
        for what, home, k in found
        if "suitable" in oracle_verdicts(k, worlds[k]).values()
    ]
    assert suitable == []


# ---------------------------------------------------------------- every fact has its page

Facts = dict[tuple[str, str], Row]


def facts_of(worlds: list[World]) -> Facts:
    """Every row of the reference by table and key."""
    return {
        (table, str(row[f"{table}_id"])): row
        for k, world in enumerate(worlds)
        for table in world.reference
        for row in (agreement.row_of_world(k, row, table) for row in world.reference[table])
    }


def read_from(worlds: list[World]) -> dict[tuple[str, str], set[str]]:
    """Where the figures of coach files were read, by coach and property."""
    return {
        (agreement.coach_name(k, world), name): {str(r["read_from"] or "not stated") for r in rows}
        for k, world in enumerate(worlds)
        if not isinstance(world.coach, str)
        for name, rows in world.coach.items()
    }


def misquoted(facts: Facts, typed: dict[tuple[str, str], set[str]], said: Record) -> bool:
    if said["table"] == "coach_file":
        return said["locator"] not in typed[said["coach"], said["key"]]
    row = facts[said["table"], said["key"]]
    source = facts["source", str(row["source_id"])]
    shown = (said["source_id"], said["locator"], said["title"], said["quote"])
    return shown != (row["source_id"], row["locator"], source["title"], row["quote"])


def is_checked(facts: Facts, table: str, key: str) -> bool:
    row = facts[table, key]
    source = facts["source", str(row["source_id"])]
    return bool(row["checked_by"] and source["checked_by"] and row["locator"])


Cited = dict[tuple[str, str, str], set[tuple[str, str]]]


def cited_rows(screening: towdb.Screening) -> Cited:
    """Rows by candidate, coach and what they are cited for."""
    cited: Cited = {}
    for said in screening.records("citation"):
        about = said["check"] or f"condition {said['condition']}"
        key = (said["candidate"], said["coach"], about)
        cited.setdefault(key, set()).add((said["table"], said["key"]))
    return cited


def assert_permissions_are_checked(screening: towdb.Screening, facts: Facts, cited: Cited) -> int:
    """How many permissions are met."""
    met = 0
    for check in screening.records("check_outcome"):
        if check["check"] == "permission" and check["outcome"] == "met":
            met += 1
            rests_on = cited.get((check["candidate"], check["coach"], "permission"), set())
            assert rests_on, check
            assert all(is_checked(facts, *row) for row in rests_on)
            statements = [facts[row] for row in rests_on]
            assert {row["permission"] for row in statements} == {"permitted"}
            groups = groups_of(statements)
            assert all(is_checked(facts, "vehicle_group", str(key)) for key in groups)
    return met


def assert_nothing_is_uncited(screening: towdb.Screening, facts: Facts, cited: Cited) -> None:
    for said in screening.records("condition"):
        about = (said["candidate"], said["coach"], f"condition {said['kind']}")
        assert (said["table"], said["key"]) in cited.get(about, set()), said
    for said in screening.records("remark"):
        if said["key"]:
            row = facts["eligibility", said["key"]]
            assert (said["source_id"], said["locator"]) == (row["source_id"], row["locator"])


def uncited(worlds: list[World], cited: Cited) -> Iterator[str]:
    """Rows on which the oracle rests a check and the engine does not, or the other way round."""
    home = agreement.homes(worlds, range(len(worlds)))
    for k, world in enumerate(worlds):
        said = oracle.screen(
            world.reference, world.candidates, world.coach, world.on, world.policy["weigh_by"]
        )
        for answer in said.answers if home[k] == k else ():
            for name, check in answer.checks.items():
                rows = {
                    (table, key if table == "coach_file" else f"w{k}-{key}")
                    for table, key in check.citations
                }
                about = (f"w{k}-{answer.candidate}", agreement.coach_name(k, world), name)
                found = cited.get(about, set())
                exact = name in ("permission", "procedure") and check.outcome in ("met", "not_met")
                if found != rows if exact else not rows <= found:
                    yield f"{about}: {check.reason}: oracle {rows}, engine {found}"


@pytest.mark.parametrize("weigh_by", ["best_known", "gvwr"])
def test_every_fact_of_a_result_leads_to_its_page(weigh_by: str, tmp_path: Path) -> None:
    worlds = [
        replace(world, policy={"weigh_by": weigh_by}) for world in originals(len(weigh_by), PAGES)
    ]
    release = agreement.merged_release(worlds, tmp_path)
    with agreement.screened(worlds, range(len(worlds)), release, tmp_path) as screening:
        facts, typed, cited = facts_of(worlds), read_from(worlds), cited_rows(screening)
        citations = screening.records("citation")
        assert [said for said in citations if misquoted(facts, typed, said)] == []
        assert assert_permissions_are_checked(screening, facts, cited) >= 5 * PAGES
        assert_nothing_is_uncited(screening, facts, cited)
    assert list(uncited(worlds, cited)) == []


# ---------------------------------------------------------------- order and names


def renamed_row(names: dict[str, str], row: Row, ids: frozenset[str]) -> Row:
    def new(text: str | None) -> str | None:
        return ", ".join(names.get(key.strip(), key) for key in text.split(",")) if text else text

    return {name: new(text) if name in ids else text for name, text in row.items()}


def in_other_order(rng: Random, world: World) -> tuple[World, dict[str, str]]:
    """The same world, its ids renamed and all its rows and columns shuffled; new id to old."""
    keys = [str(row[f"{t}_id"]) for t, rows in world.reference.items() for row in rows]
    new = [f"{rng.choice('abmyz')}{number}" for number in rng.sample(range(10**6), len(keys))]
    names = dict(zip(keys, new, strict=True))

    def shuffled(table: str, rows: list[Row]) -> list[Row]:
        ids = agreement.id_columns(table) - {"candidate"}
        cells = [list(renamed_row(names, row, ids).items()) for row in rows]
        for each in cells:
            rng.shuffle(each)
        return [dict(each) for each in rng.sample(cells, len(cells))]

    changed = replace(
        world,
        reference={table: shuffled(table, rows) for table, rows in world.reference.items()},
        candidates=shuffled("candidate", world.candidates),
        coach=names[world.coach] if isinstance(world.coach, str) else world.coach,
    )
    return changed, {new: old for old, new in names.items()}


def all_said(
    worlds: list[World], numbers: list[int], folder: Path, old: list[dict[str, str]]
) -> dict[str, Counter[tuple[tuple[str, str], ...]]]:
    """Every row of every output, with the names that the ids had at first."""
    names = {
        f"w{k}-{new}": f"w{k}-{key}" for k, keys in enumerate(old) for new, key in keys.items()
    }

    def named(key: re.Match[str]) -> str:
        return names.get(key[0], key[0])

    folder.mkdir()
    release = agreement.merged_release(worlds, folder)
    with agreement.screened(worlds, numbers, release, folder) as screening:
        return {
            output: Counter(
                tuple(
                    (name, re.sub(r"w\d+-[a-z0-9-]+", named, str(cell)))
                    for name, cell in row.items()
                )
                for row in screening.records(output)
            )
            for output in OUTPUTS
        }


@pytest.mark.parametrize("weigh_by", by_tier(quick=["gvwr"], whole=["best_known", "gvwr"]))
def test_order_and_names_of_rows_change_nothing(weigh_by: str, tmp_path: Path) -> None:
    rng = Random(weigh_by)
    worlds = [
        replace(world, policy={"weigh_by": weigh_by})
        for world in agreement.drawn(len(weigh_by), SHUFFLED)
    ]
    others, old = zip(*(in_other_order(rng, world) for world in worlds), strict=True)
    numbers = list(range(len(worlds)))
    before = all_said(worlds, numbers, tmp_path / "before", [])
    rng.shuffle(numbers)
    after = all_said(list(others), numbers, tmp_path / "after", list(old))
    for output in OUTPUTS:
        assert before[output], output
        assert after[output] == before[output]
