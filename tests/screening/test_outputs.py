"""Every row of every output of drawn worlds, held against the oracle and the rows themselves."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from functools import cached_property, partial
from pathlib import Path
from typing import Any

import pytest

import towdb
from tests.helpers import agreement, oracle
from tests.helpers.oracle import cell, need
from tests.helpers.worlds import MAKE, Row, World
from tests.screening.test_which_statements_count import tangles
from towdb.wording import sentences

Told = tuple[Any, ...]

SEED = 701
WORLDS, TANGLES = 80, 60
WORLDS_AT_ONCE = 16  # every candidate of a screening meets every coach of it
OFTEN = 5
POUND = Fraction("0.45359237")  # kg: units.csv, from NIST Handbook 44, App. C
CHECKS = tuple(agreement.CHECKS)
WEIGHED_CHECKS = ("hitch_receiver", "combination_rating", "towing_capacity")
COACH_WEIGHTS = (
    *("loaded_weight", "part_loaded_weight", "still_to_add", "unloaded_weight"),
    *("axle_front_loaded", "axle_rear_loaded"),
)
COUNTS = ("steps_before", "steps_en_route", "steps_after", "fuse_pulls", "limits")
OF_THE_COACH = {
    "hitch_receiver": ("hitch_receiver", "hitch_receiver_mode_not_printed"),
    "combination_rating": ("gcwr", "gvwr", *COACH_WEIGHTS),
    "towing_capacity": ("towing_capacity",),
    "coach_gross": ("gvwr", "gawr_front", "gawr_rear", *COACH_WEIGHTS),
}


@dataclass(frozen=True)
class Own:
    """One car of a world behind the coach of its world."""

    k: int
    world: World
    row: Row
    coach: str  # its name in the screening

    @cached_property
    def case(self) -> oracle.Case:
        return oracle.open_case(
            self.world.reference, self.row, self.world.on, self.world.policy["weigh_by"]
        )

    @cached_property
    def known(self) -> oracle.Coach:
        return oracle.read_coach(self.case, self.world.coach)

    @cached_property
    def answer(self) -> oracle.Answer:
        return oracle.answer(self.case, self.known)

    @property
    def name(self) -> str:
        return f"w{self.k}-{self.row['candidate']}"

    def reason(self, check: str) -> str:
        return self.answer.checks[check].reason

    def keyed(self, table: str, row: oracle.Row) -> Told:
        """How a citation names a row: table, key, source, place, title, quote."""
        key = f"w{self.k}-{need(row, f'{table}_id')}"
        source = oracle.source_of(self.case, row)
        own = f"w{self.k}-{need(source, 'source_id')}"
        return table, key, own, row["locator"], source["title"], row["quote"]


# ---------------------------------------------------------------- worlds, and what is to be told


def worlds() -> list[World]:
    """Drawn worlds; some with what is rarely drawn: brakes, names and ids that nobody knows."""
    drawn = agreement.drawn(SEED, WORLDS)
    return [*(_with_more(k, world) for k, world in enumerate(drawn)), *tangles(TANGLES)]


def _with_more(k: int, world: World) -> World:
    car = world.candidates[0]
    unknown = {"make": "Quilon"} if k % 2 else {"model": ("Picca", "PIKA  Trail 2019")[k // 2 % 2]}
    others: list[Row] = [
        {**car, "candidate": "car 7", "procedure": "on-no-page"},
        {**car, "candidate": "car 8", **unknown},
        {**car, "candidate": "car 9", "as_weighed": None, "gvwr": "6600 lb", "curb_weight": None},
        {**car, "candidate": "car 10", "as_weighed": "5700 lb", "curb_weight": "6000 lb"},
        {**car, "candidate": "car 11", "market": "xc"},
    ]
    coach = world.coach
    if isinstance(coach, dict):
        figures = ("2000 lb", "1999.96 lb")[: 1 + k % 2]
        rows: list[Row] = [{"value": figure, "read_from": "a manual"} for figure in figures]
        coach = {**coach, "unbraked_towed_max": rows}
    said = list(_more_said(k, world.reference["eligibility"]))
    return replace(
        world,
        coach=coach,
        candidates=[*world.candidates, others[k % len(others)]],
        reference={**world.reference, "eligibility": said},
    )


def _more_said(k: int, statements: Sequence[Row]) -> Iterator[Row]:
    """Every second world: beside each statement one for an emergency, or of another method."""
    plain: Row = dict.fromkeys((*COUNTS, "overrides", "same_steps_as"))
    for number, row in enumerate(statements):
        other: Row = {**row, **plain, "eligibility_id": f"emergency-{number}"}
        flat = row["permission"] == "permitted" and row["towing_method"] == "four_wheels_down"
        if k % 2:
            yield {**other, "purpose": "emergency", "permission": "prohibited"}
        if k % 4 == 3 and flat:
            key = f"another-way-{number}"
            yield {**other, "eligibility_id": key, "towing_method": "on_trailer"}
            yield {**row, "permission": "not_recommended"}
        else:
            yield row


def own_cars(drawn: Sequence[World], numbers: Sequence[int]) -> Iterator[Own]:
    """The cars of some worlds, which are screened together."""
    home = agreement.homes(drawn, numbers)
    for k in numbers:
        for row in drawn[k].candidates:
            yield Own(k, drawn[k], row, agreement.coach_name(home[k], drawn[k]))


def mass(kilograms: oracle.Mass) -> float | None:
    return None if kilograms is None else round(float(kilograms), 6)


def tenths(kilograms: oracle.Mass, up: bool) -> float | None:
    """Pounds to 0.1; the tolerance keeps an exact figure what it was."""
    if kilograms is None:
        return None
    pounds = kilograms / POUND * 10
    tolerance = Fraction(1, 100_000)
    return (math.ceil(pounds - tolerance) if up else math.floor(pounds + tolerance)) / 10


def to_spare(kilograms: oracle.Mass) -> float | None:
    """Down to 0.1 lb; what is short by less is short by 0.1."""
    pounds = tenths(kilograms, up=False)
    return min(pounds, -0.1) if pounds is not None and kilograms and kilograms < 0 else pounds


# ---------------------------------------------------------------- verdicts, checks, coaches


def verdict(own: Own) -> Iterator[Told]:
    said, checks = own.answer, own.answer.checks
    yield (
        *(own.name, own.coach, said.verdict, tenths(said.towed.high, up=True), said.towed.basis),
        *(said.governing_check, to_spare(said.margin), mass(said.towed.high), mass(said.margin)),
        *(part for name in CHECKS[:2] for part in (checks[name].outcome, checks[name].reason)),
        *(
            part
            for check in (checks[name] for name in CHECKS[2:])
            for part in (check.outcome, check.reason, to_spare(check.margin))
        ),
    )


def check_outcome(own: Own) -> Iterator[Told]:
    for name, check in own.answer.checks.items():
        yield (
            *(own.name, own.coach, name, check.outcome, check.reason),
            *(tenths(check.value, up=True), tenths(check.limit, up=False), to_spare(check.margin)),
            *(mass(check.value), mass(check.limit), mass(check.margin)),
        )


def capacity(own: Own) -> Iterator[Told]:
    coach = own.known
    gcwr, gvwr = oracle.rating(coach, "gcwr"), oracle.rating(coach, "gvwr")
    tickets = [ticket.high for ticket in oracle.coach_tickets(coach.figures)]
    low = oracle.coach_low_end(coach.figures, oracle.weighed_coach(coach.figures)).low
    cross = (
        coach.loaded.high is None
        and coach.loaded.low is not None
        and bool(gvwr and gvwr.checked)
        and any(weight > gvwr.limit for weight in (*tickets, low) if gvwr and weight is not None)
    )
    name = "Brackwater 38" if isinstance(own.world.coach, str) else own.coach
    yield (
        *(own.coach, name, to_spare(coach.capacity), to_spare(coach.capacity_at_most)),
        *(coach.governing_check, mass(coach.capacity), mass(coach.capacity_at_most)),
        *too_heavy(coach),
        *(gcwr.limit < gvwr.limit if gcwr and gvwr else None, cross),
        *doubts(coach),
        *(is_unjudged(coach, axle) for axle in ("front", "rear")),
    )


def too_heavy(coach: oracle.Coach) -> Told:
    """What of the coach is above its own rating, and by how much."""
    check = oracle.coach_gross(coach)
    if check.outcome != "not_met" or check.margin is None:
        return None, None, None
    what = "whole"
    if check.reason == "axle_over":
        what = "front_axle" if axle_margin(coach, "front") == check.margin else "rear_axle"
    return what, -(to_spare(check.margin) or 0.0), mass(-check.margin)


def axle_margin(coach: oracle.Coach, axle: str) -> oracle.Mass:
    """The rating less the heaviest ticket that somebody has checked."""
    rated = [figure.low for figure in coach.figures.get(f"gawr_{axle}", ())]
    tickets = [f.low for f in coach.figures.get(f"axle_{axle}_loaded", ()) if f.checked]
    return min(rated) - max(tickets) if rated and tickets else None


def is_unjudged(coach: oracle.Coach, axle: str) -> bool:
    """Whether only the ticket or only the rating of an axle is known."""
    return bool(coach.figures.get(f"gawr_{axle}")) is not bool(
        coach.figures.get(f"axle_{axle}_loaded")
    )


def doubts(coach: oracle.Coach) -> Told:
    """Whether it weighs too little, its axles weigh something else, a part more than the whole."""
    figures = coach.figures
    # A ticket gives an end, unless it is not believed.
    has_end = coach.loaded.low is not None or coach.loaded.high is not None
    is_light = bool(oracle.coach_tickets(figures)) and not has_end
    parts, wholes = figures.get("part_loaded_weight", ()), figures.get("loaded_weight", ())
    added = figures.get("still_to_add", ())
    front, rear = (figures.get(f"axle_{axle}_loaded", ()) for axle in ("front", "rear"))
    lows = [f.low for f in (*wholes, *(parts if wholes else ()))]
    highs = [f.high for f in (*wholes, *(parts if wholes else ()))]
    if parts and added:
        lows.append(max(f.low for f in parts) + max(f.low for f in added))
        highs.append(max(f.high for f in parts) + max(f.high for f in added))
    differ = False
    if front and rear and lows:
        low = max(f.low for f in front) + max(f.low for f in rear)
        high = max(f.high for f in front) + max(f.high for f in rear)
        differ = low - max(highs) > low / 50 or max(lows) - high > max(lows) / 50
    is_more = bool(parts and wholes) and max(f.low for f in parts) > max(f.high for f in wholes)
    return is_light, differ, is_more


def figures(own: Own) -> Iterator[Told]:
    coach = own.world.coach
    if isinstance(coach, str):
        for row, figure in oracle.coach_rows(own.case, coach):
            yield _figure(own, row, figure, row["locator"])
    else:
        entries = [entry for rows in coach.values() for entry in rows]
        for entry, (row, figure) in zip(entries, oracle.typed_rows(coach), strict=True):
            yield _figure(own, row, figure, entry["read_from"] or "not stated")


def _figure(own: Own, row: oracle.Row, figure: oracle.Figure, read_from: str | None) -> Told:
    is_word = cell(row, "word") is not None
    is_weight = need(row, "property") in COACH_WEIGHTS
    pounds = tenths(figure.high, up=True) if is_weight else tenths(figure.low, up=False)
    return (
        own.coach,
        row["property"],
        None if is_word else pounds,
        is_word,
        read_from,
        figure.checked,
    )


# ---------------------------------------------------------------- conditions


def followed(own: Own) -> list[oracle.Row]:
    """The statements whose procedures count: the chosen one, else all that come into question."""
    if own.answer.checks["permission"].outcome != "met":
        return []
    chosen = own.row["procedure"] if own.reason("procedure") == "chosen" else None
    return [s for s in oracle.considered(own.case) if chosen in (None, s["eligibility_id"])]


def conditions(own: Own) -> Iterator[tuple[str, str, oracle.Row, oracle.Row]]:
    """Kind, table and row of all that the statements ask for, and the statement."""
    for statement in followed(own):
        for row in oracle.limits_of(own.case, statement):
            yield need(row, "quantity"), "towing_limit", row, statement
        for step in oracle.steps_of(own.case, statement):
            kind = "accessory" if step["phase"] == "once" else "step"
            yield kind, "procedure_step", step, statement
            for pull in oracle.fuse_pulls_of(own.case, step):
                yield "fuse", "fuse_pull", pull, statement


def placed(own: Own, row: oracle.Row, table: str) -> Told:
    """Phase and numbers of a step, of a fuse those of its step; and what else the row says."""
    if table == "towing_limit":
        return (None,) * 8
    is_step = table == "procedure_step"
    steps = "procedure_step"
    step = row if is_step else oracle.row_of(own.world.reference, steps, cell(row, f"{steps}_id"))
    return (
        *(step["phase"], int(need(step, "step_no")), cell(step, "printed_no")),
        *((cell(row, name) for name in ("kind", "expect", "if_not")) if is_step else (None,) * 3),
        *((None,) * 2 if is_step else (cell(row, "disables"), cell(row, "restore"))),
    )


def brakes(own: Own) -> list[Fraction]:
    """Above which weight the coach asks for brakes on the car."""
    return [figure.low for figure in own.known.figures.get("unbraked_towed_max", ())]


def condition(own: Own) -> Iterator[Told]:
    several = own.reason("procedure") in ("procedures_differ", "chosen_not_sure")
    for kind, table, row, statement in conditions(own):
        value = cell(row, "rating_a" if kind == "fuse" else "value")
        number = cell(row, "alternative_no")
        yield (
            *(own.name, own.coach, kind, int(number) if number else None, several),
            *placed(own, row, table),
            *(value and Decimal(value), "A" if kind == "fuse" and value else cell(row, "unit")),
            *(f"w{own.k}-{statement['eligibility_id']}", table, f"w{own.k}-{row[f'{table}_id']}"),
        )
    if brakes(own):
        pounds = Decimal(str(tenths(min(brakes(own)), up=False)))
        said = ("brakes", None, False, *[None] * 8, pounds, "lb", None)
        said += ("coach_file", "unbraked_towed_max")
        yield own.name, own.coach, *said


# ---------------------------------------------------------------- citations


def citation(own: Own) -> Iterator[Told]:
    checks = (cited_statements, cited_procedures, cited_weights, cited_figures)
    cited = [(check, None, *row) for part in checks for check, row in part(own)]
    cited += [(None, kind, *own.keyed(table, row)) for kind, table, row, _ in conditions(own)]
    if brakes(own):
        cited.append((None, "brakes", *typed_figure("unbraked_towed_max", ["a manual"])))
    for told in set(cited):
        yield own.name, own.coach, *told


def typed_figure(name: str, read_from: Sequence[str]) -> Told:
    return "coach_file", name, None, min(read_from), None, None


def cited_statements(own: Own) -> Iterator[tuple[str, Told]]:
    """What decides a permission; where it is open, every statement that stands."""
    outcome = own.answer.checks["permission"].outcome
    deciding = {row for _, row in own.answer.checks["permission"].citations}
    for statement in oracle.standing_statements(own.case):
        if outcome == "unknown" or need(statement, "eligibility_id") in deciding:
            yield "permission", own.keyed("eligibility", statement)


def cited_procedures(own: Own) -> Iterator[tuple[str, Told]]:
    for statement in followed(own):
        yield "procedure", own.keyed("eligibility", statement)


def cited_weights(own: Own) -> Iterator[tuple[str, Told]]:
    """The reference's figures of the car, where they were used or contradict what was typed."""
    is_weighed = oracle.typed(own.case, "as_weighed") is not None
    is_contradicted = oracle.weighing_contradicted(own.case)
    for name in ("gvwr", "curb_weight"):
        contradicts = name == "curb_weight" and is_contradicted
        is_typed = oracle.typed(own.case, name) is not None
        if is_typed and not contradicts and not (name == "gvwr" and is_gross_far_off(own.case)):
            continue
        for figure in oracle.vehicle_figures(own.case, name):
            ((table, key),) = figure.citations
            row = own.keyed(table, oracle.row_of(own.world.reference, table, key))
            for check in WEIGHED_CHECKS:
                if own.answer.checks[check].outcome != "not_applicable" and (
                    contradicts or not is_weighed or own.case.weigh_by == "gvwr"
                ):
                    yield check, row
            if contradicts or (is_weighed and name == "gvwr" and not is_typed):
                yield "towed_gross", row


def cited_figures(own: Own) -> Iterator[tuple[str, Told]]:
    """The coach's figures, each with the checks that look at it."""
    coach = own.world.coach
    for check, names in OF_THE_COACH.items():
        if isinstance(coach, str):
            for row, _ in oracle.coach_rows(own.case, coach):
                if row["property"] in names:
                    yield check, own.keyed("coach_property", row)
        else:
            for name in set(names) & set(coach):
                read_from = [entry["read_from"] or "not stated" for entry in coach[name]]
                yield check, typed_figure(name, read_from)


# ---------------------------------------------------------------- remarks


Remarks = Iterator[tuple[str, oracle.Row | None, str | None]]


def remark(own: Own) -> Iterator[Told]:
    told = set()
    parts = (remarks_of_statements, remarks_of_the_car, of_other_markets)
    for kind, statement, said in (each for part in parts for each in part(own)):
        row = own.keyed("eligibility", statement) if statement else (None,) * 6
        told.add((own.name, kind, row[1], said, *row[2:5]))
    yield from told


def remarks_of_statements(own: Own) -> Remarks:
    case = own.case
    for statement in oracle.standing_statements(case):
        if not oracle.is_checked(case, statement):
            yield "awaits_check", statement, statement["permission"]
        elif is_self_checked(own, statement):
            yield "self_checked", statement, statement["permission"]
    for statement in oracle.rows(case.reference, "eligibility"):
        applies = case.applies.get(need(statement, "vehicle_group_id"), False)
        if applies is not False:
            yield from remarks_of_one(own, statement, applies)


def remarks_of_one(own: Own, statement: oracle.Row, applies: oracle.Kleene) -> Remarks:
    """What one statement that applies gives to remark, whether it decides anything or not."""
    case = own.case
    if statement["purpose"] == "emergency":
        if statement["towing_method"] == "four_wheels_down" and oracle.in_force(case, statement):
            kind = "emergency_only" if applies else "emergency_possible"
            yield kind, statement, statement["permission"]
    elif applies and permits_in_another_way(own, statement):
        yield "other_method", statement, statement["towing_method"]
    if oracle.is_current(case, statement):
        for other in oracle.applying_overriders(case, statement):
            if not oracle.acts(case, other, statement):
                replaced = f"w{own.k}-{statement['eligibility_id']}"
                yield "override_awaits_check", other, replaced


def is_self_checked(own: Own, statement: oracle.Row) -> bool:
    """Whether a row that it rests on was checked by the person who had entered it."""
    named = ("eligibility", need(statement, "eligibility_id"))
    return any(
        oracle.same(cell(row, "checked_by"), cell(row, "entered_by"))
        for _, row in oracle.support(own.case, named)
    )


def permits_in_another_way(own: Own, statement: oracle.Row) -> bool:
    """Beside a car that may not be towed flat: what is checked, and was never withdrawn."""
    parts = [statement, oracle.row_of(own.world.reference, "vehicle_group",
                                      cell(statement, "vehicle_group_id"))]  # fmt: skip
    parts += oracle.parts_of(own.case, statement)
    return (
        own.answer.checks["permission"].outcome == "not_met"
        and statement["permission"] == "permitted"
        and statement["towing_method"] != "four_wheels_down"
        and oracle.withdrawal(own.case, statement) is None
        and all(oracle.row_checked(r) and oracle.source_checked(own.case, r) for r in parts)
    )


def of_other_markets(own: Own) -> Remarks:
    """Where nothing is on record, what would apply if the car's market were left open."""
    if own.reason("permission") != "nothing_on_record" or not own.row["market"]:
        return
    open_row = dict(own.row) | {"market": None}
    case = oracle.open_case(own.world.reference, open_row, own.world.on, own.case.weigh_by)
    first: dict[str | None, oracle.Row] = {}
    for statement in oracle.rows(own.world.reference, "eligibility"):
        group_id = need(statement, "vehicle_group_id")
        if oracle.is_current(case, statement) and case.applies.get(group_id, False) is not False:
            market = cell(oracle.row_of(own.world.reference, "vehicle_group", group_id), "market")
            known = first.setdefault(market, statement)
            first[market] = min(known, statement, key=partial(page_of, own))
    for market, statement in first.items():
        yield "other_market", statement, market


def page_of(own: Own, statement: oracle.Row) -> tuple[str | None, ...]:
    """By what pages are put in order: title, locator, and the id only where they are one."""
    source = oracle.row_of(own.world.reference, "source", need(statement, "source_id"))
    return cell(source, "title"), cell(statement, "locator"), cell(statement, "eligibility_id")


def is_gross_beyond_the_record(case: oracle.Case) -> bool:
    """Whether the typed gross rating is below or above all on record.

    Where it lies between two that differ from each other, it is open which of them is wrong.
    """
    typed, there = oracle.typed(case, "gvwr"), oracle.vehicle_figures(case, "gvwr")
    if typed is None or not there:
        return False
    return typed < min(f.low for f in there) or typed > max(f.high for f in there)


def is_gross_far_off(case: oracle.Case) -> bool:
    return oracle.is_gross_far_below(case) or oracle.is_gross_far_above(case)


def remarks_of_the_car(own: Own) -> Remarks:
    case, row = own.case, own.row
    if oracle.weights_contradict(case):
        yield "weights_contradict", None, None
    if is_gross_beyond_the_record(case):
        yield "gvwr_differs", None, None
    if is_gross_far_off(case):
        yield "gvwr_is_far_off", None, None
    if oracle.weighed_below_curb(case):
        yield "weighed_below_curb", None, None
    if oracle.weighed_above_gross(case):
        yield "weighed_above_gvwr", None, None
    if row["procedure"] == "on-no-page" and oracle.kindred(case):
        yield "procedure_not_on_record", None, None
    for option in oracle.unused_options(case) if oracle.kindred(case) else ():
        yield "misspelt_option", None, option
    yield from remarks_of_names(own)


def remarks_of_names(own: Own) -> Remarks:
    case, row = own.case, own.row
    vin = oracle.vin_against_the_year(case)
    if vin:
        yield vin[0], None, vin[1] if len(vin) > 1 else None
    begun = oracle.begun_model(case)
    if begun:
        yield "model_and_more", None, begun
    elif row["make"] and row["model"] and not oracle.kindred(case):
        # Which name is the nearest is for other tests.
        is_known = oracle.same(row["make"], MAKE)
        yield "unknown_model" if is_known else "unknown_make", None, None


# ---------------------------------------------------------------- side by side

EXPECTED: dict[str, Callable[[Own], Iterator[Told]]] = {
    "verdict": verdict,
    "check_outcome": check_outcome,
    "capacity": capacity,
    "figures": figures,
    "condition": condition,
    "citation": citation,
    "remark": remark,
}
OF_A_COACH = ("capacity", "figures")
NEAREST = ("unknown_make", "unknown_model")
# No drawn world has so many names.
AMONG_MANY = {"unknown_make_among_many", "unknown_model_among_many"}


def screenings(
    drawn: Sequence[World], release: Path, folder: Path
) -> Iterator[tuple[list[Own], towdb.Screening]]:
    """The worlds screened, some of one policy together."""
    for weigh_by in ("best_known", "gvwr"):
        numbers = [k for k, world in enumerate(drawn) if world.policy["weigh_by"] == weigh_by]
        for first in range(0, len(numbers), WORLDS_AT_ONCE):
            part = numbers[first : first + WORLDS_AT_ONCE]
            yield list(own_cars(drawn, part)), agreement.screened(drawn, part, release, folder)


def expected(output: str, own: Sequence[Own]) -> Counter[Told]:
    """The rows of an output, as the oracle has them."""
    if output in OF_A_COACH:
        own = list({each.coach: each for each in reversed(own)}.values())
    return Counter(row for each in own for row in EXPECTED[output](each))


def found(output: str, own: Sequence[Own], screening: towdb.Screening) -> Counter[Told]:
    """The rows of an output, as the engine has them, of each car behind its own coach."""
    pairs = {(each.name, each.coach) for each in own}
    return Counter(
        tuple(_plain(name, cell) for name, cell in _compared(row).items())
        for row in screening.records(output)
        if "candidate" not in row or "coach" not in row or (row["candidate"], row["coach"]) in pairs
    )


def _compared(row: dict[str, Any]) -> dict[str, Any]:
    """What is compared of a row: wordings and the nearest names are for other tests."""
    if "depends_on" in row:
        row["depends_on"] = row["depends_on"] is not None
        left_out = ("position", "text", "also_value", "also_unit")
        return {name: cell for name, cell in row.items() if name not in left_out}
    if row.get("kind") in NEAREST:
        row["said"] = None
    return row


def _plain(name: str, cell: Any) -> Any:
    return round(float(cell), 6) if name.endswith("_kg") and cell is not None else cell


def differences(wanted: Counter[Told], there: Counter[Told]) -> list[str]:
    """Rows that only one of them has."""
    return [
        *(f"missing: {row}" for row in (wanted - there)),
        *(f"too much: {row}" for row in (there - wanted)),
    ]


Scenes = list[tuple[list[Own], towdb.Screening]]


@pytest.fixture(scope="module")
def scenes(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Scenes]:
    folder, drawn = tmp_path_factory.mktemp("outputs"), worlds()
    release = agreement.merged_release(drawn, folder)
    with ExitStack() as stack:
        yield [
            (own, stack.enter_context(screening))
            for own, screening in screenings(drawn, release, folder)
        ]


@pytest.mark.parametrize("output", EXPECTED)
def test_an_output_holds_exactly_the_rows_that_the_oracle_has(scenes: Scenes, output: str) -> None:
    rows = 0
    for own, screening in scenes:
        wanted = expected(output, own)
        assert differences(wanted, found(output, own, screening)) == []
        rows += wanted.total()
    assert rows >= WORLDS


def test_drawn_worlds_reach_every_kind(scenes: Scenes) -> None:
    kinds: Counter[str] = Counter()
    for own, _ in scenes:
        for output, column in (("remark", 1), ("condition", 2), ("citation", 2), ("citation", 3)):
            kinds.update(f"{output} {row[column]}" for row in expected(output, own))
    seen = {kind for kind, number in kinds.items() if number >= OFTEN}
    assert seen >= {
        *(f"remark {kind}" for kind in {*sentences.REMARKS, *sentences.CAUTIONS} - AMONG_MANY),
        *(f"condition {kind}" for kind in ("speed", "step", "fuse", "accessory", "brakes")),
        *(f"citation {check}" for check in CHECKS),
    }
