"""The oracle itself, on cars and coaches whose figures lie at a bound, worked out by hand.

One car, which a checked page permits; 26,000 lb GCWR, 5,000 lb on the receiver plate.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from random import Random
from typing import Any

import pytest

from tests.helpers import oracle, question_oracle
from tests.helpers.worlds import (
    CANDIDATE,
    CLOSED,
    FREE,
    MAKE,
    MODELS,
    ON,
    Draw,
    Row,
    add_plain_statement,
    draw_sources,
)

POUND = Fraction("0.45359237")
UNCHECKED: Row = {"checked_by": None, "checked_on": None}
POLICIES = ("best_known", "gvwr")
RATED = {"hitch_receiver": "5000", "gcwr": "26000", "gvwr": "20000", "towing_capacity": "5000"}
LOADED = {**RATED, "loaded_weight": "19000"}

Printed = tuple[str, str, Mapping[str, str | None]]  # property, pounds, other cells
GROSS: Printed = ("gvwr", "4400", {})


def lb(text: str) -> Fraction:
    return Fraction(text) * POUND


@dataclass
class Example:
    """A car and what is on record of it, and a coach, by figures in pounds."""

    car: Row = field(default_factory=dict)
    surely: tuple[Printed, ...] = (GROSS,)  # of the group that the car is of
    possibly: tuple[Printed, ...] = ()  # of a group that it may be of
    coach: dict[str, str] = field(default_factory=lambda: dict(LOADED))
    printed: tuple[Printed, ...] = ()  # what the coach has in two units, or unchecked

    def reference(self) -> tuple[oracle.Reference, str]:
        draw = Draw(Random(0))
        draw.unchecked = draw.withdrawn = 0
        draw_sources(draw)
        for transmission, figures in (("any", self.surely), ("manual", self.possibly)):
            cells: Row = {**dict.fromkeys((*CLOSED, *FREE), "any"), "transmission": transmission}
            cells |= {"model_year_from": "2019", "model_year_to": "2022", "model": MODELS[0]}
            group = draw.add("vehicle_group", "source-1", make=MAKE, **cells)
            for name, pounds, more in figures:
                own: Row = {"vehicle_group_id": group["vehicle_group_id"], "property": name}
                own |= {"value": pounds, "unit": "lb"}
                draw.add("vehicle_property", "source-1", **{**own, **more})
        add_plain_statement(draw, draw.reference["vehicle_group"][0], "permitted", True)
        coach = draw.add("coach", "source-6", name="Brackwater 38")["coach_id"]
        plain: list[Printed] = [(name, pounds, {}) for name, pounds in self.coach.items()]
        for name, pounds, more in (*plain, *self.printed):
            own = {"coach_id": coach, "property": name, "value": pounds, "unit": "lb"}
            draw.add("coach_property", "source-6", **{**own, **more})
        return draw.reference, str(coach)

    def said(self, weigh_by: str = "best_known") -> tuple[oracle.Coach, oracle.Answer]:
        reference, coach = self.reference()
        car: Row = dict.fromkeys(CANDIDATE)
        car |= {"candidate": "car 1", "make": MAKE, "model": MODELS[0], "model_year": "2021"}
        screening = oracle.screen(reference, [{**car, **self.car}], coach, ON, weigh_by)
        return screening.coach, screening.answers[0]

    def reasons(self, weigh_by: str = "best_known") -> dict[str, str]:
        return {name: c.reason for name, c in self.said(weigh_by)[1].checks.items()}


def coach(*printed: Printed, **figures: str | None) -> Example:
    """A coach of which some figures are otherwise, or not there; the car weighs 4,000 lb."""
    kept = {n: pounds for n, pounds in {**LOADED, **figures}.items() if pounds is not None}
    return Example({"as_weighed": "4000 lb", "gvwr": "4400 lb"}, coach=kept, printed=printed)


# ---------------------------------------------------------------- a car lighter than empty

CURB: Printed = ("curb_weight", "3500", {})  # nine tenths of it are 3,150 lb
COMPARED = (*oracle.CAPACITY_CHECKS, "towed_gross")


def weighing(as_weighed: str, *printed: Printed, **more: Any) -> Example:
    return Example({"as_weighed": as_weighed}, (GROSS, *printed), **more)


@pytest.mark.parametrize("weigh_by", POLICIES)
@pytest.mark.parametrize(
    ("as_weighed", "cannot_be", "is_below"),
    [
        ("3149.99 lb", True, False),  # 3,149.99 < 3,150
        ("3150 lb", False, True),
        ("3150.01 lb", False, True),
        ("3499.99 lb", False, True),
        ("3500 lb", False, False),
        ("3500.01 lb", False, False),
        ("1587 lb", True, False),  # 3,500 lb are 1,587.6 kg: kilograms that were typed as pounds
        ("350 lb", True, False),  # a digit lost
    ],
)
def test_a_car_weighs_nine_tenths_of_its_curb_weight_or_more(
    as_weighed: str, cannot_be: bool, is_below: bool, weigh_by: str
) -> None:
    example = weighing(as_weighed, CURB)
    _, answer = example.said(weigh_by)
    outcomes = {answer.checks[name].outcome for name in COMPARED}
    assert outcomes == ({"unknown"} if cannot_be else {"met"})
    reasons = {answer.checks[name].reason for name in COMPARED}
    assert reasons == ({"weights_contradict"} if cannot_be else {"within"})
    assert (answer.towed.low is None and answer.towed.high is None) is cannot_be
    assert (answer.towed.basis is None) is cannot_be
    assert answer.verdict == ("undetermined" if cannot_be else "suitable")
    assert ("weighing_contradicted" in answer.cautions) is cannot_be
    assert ("weighed_below_curb" in answer.cautions) is is_below


@pytest.mark.parametrize(
    ("as_weighed", "more", "typed", "cannot_be"),
    [
        # Of 3,500 lb and 4,000 lb the smaller counts, wherever it stands.
        ("3150 lb", {"possibly": (("curb_weight", "4000", {}),)}, {}, False),
        ("3149.99 lb", {"possibly": (("curb_weight", "4000", {}),)}, {}, True),
        # 0.9 x 3,000 lb = 2,700 lb
        ("2700 lb", {"possibly": (("curb_weight", "3000", {}),)}, {}, False),
        ("2699.99 lb", {"possibly": (("curb_weight", "3000", {}),)}, {}, True),
        ("2700 lb", {}, {"curb_weight": "3000 lb"}, False),
        ("2699.99 lb", {}, {"curb_weight": "3000 lb"}, True),
        # What is aboard beside it is no curb weight: 0.9 x 3,500 lb all the same.
        ("3150 lb", {}, {"load": "300 lb"}, False),
    ],
)
def test_of_several_curb_weights_the_smallest_counts(
    as_weighed: str, more: dict[str, Any], typed: Row, cannot_be: bool
) -> None:
    example = weighing(as_weighed, CURB, **more)
    example.car |= typed
    assert (example.reasons()["hitch_receiver"] == "weights_contradict") is cannot_be


@pytest.mark.parametrize(
    ("as_weighed", "cannot_be"),
    [("1422 kg", False), ("1421.999999 kg", True)],
)
def test_of_a_curb_weight_in_two_units_the_lighter_counts(as_weighed: str, cannot_be: bool) -> None:
    # 1,580 kg are 3,483.3 lb, less than 3,500 lb; 0.9 x 1,580 kg = 1,422 kg.
    pair = ("curb_weight", "3500", {"also_value": "1580", "also_unit": "kg"})
    reasons = weighing(as_weighed, pair).reasons()
    assert (reasons["hitch_receiver"] == "weights_contradict") is cannot_be


@pytest.mark.parametrize(
    ("figures", "cannot_be"),
    [
        # 0.9 x 4,000 lb = 3,600 lb, more than 3,200 lb; 0.9 x 1,600 lb = 1,440 lb, less.
        ((("4000", {}),), True),
        ((("4000", UNCHECKED),), True),  # what nobody has checked may forbid
        ((("4000", {}), ("1600", UNCHECKED)), True),  # … and not permit
        ((("4000", UNCHECKED), ("1600", UNCHECKED)), True),
        ((("4000", {}), ("1600", {})), False),
        ((("4000", UNCHECKED), ("1600", {})), False),
        ((("1600", UNCHECKED),), False),
    ],
)
def test_a_curb_weight_that_nobody_checked_excuses_no_weighing(
    figures: tuple[tuple[str, Row], ...], cannot_be: bool
) -> None:
    printed = tuple(("curb_weight", pounds, more) for pounds, more in figures)
    reasons = weighing("3200 lb", *printed).reasons()
    assert (reasons["hitch_receiver"] == "weights_contradict") is cannot_be


def test_what_is_not_on_the_plate_is_missing_first() -> None:
    example = weighing("1600 lb", CURB, coach={"loaded_weight": "19000", "gvwr": "20000"})
    assert {example.reasons()[name] for name in oracle.CAPACITY_CHECKS} == {"rating_missing"}
    example = weighing("1600 lb", CURB, printed=(("gcwr", "26000", UNCHECKED),))
    del example.coach["gcwr"]
    assert example.reasons()["combination_rating"] == "rating_missing"
    example.printed = (
        ("hitch_receiver_mode_not_printed", "5000", {}),
        ("towing_capacity", "", {"value": None, "unit": None, "word": "none_stated"}),
    )
    example.coach = {name: LOADED[name] for name in ("gcwr", "gvwr", "loaded_weight")}
    reasons = example.reasons()
    assert reasons["hitch_receiver"] == "mode_not_printed"
    assert reasons["towing_capacity"] == "none_stated"
    assert reasons["combination_rating"] == "weights_contradict"
    assert reasons["coach_gross"] == "within"
    for surely in ((CURB,), (CURB, ("gvwr", "4400", UNCHECKED))):
        example.surely = surely
        assert example.reasons()["towed_gross"] == "gvwr_not_known"
    # Whether a weighing that cannot be lies between two gross ratings, nobody knows.
    example.surely, example.possibly = (CURB, GROSS), (("gvwr", "1000", {}),)
    assert example.reasons()["towed_gross"] == "weights_contradict"
    example.surely, example.car["gvwr"] = (CURB,), "1500 lb"
    assert example.reasons()["towed_gross"] == "weights_contradict"


def test_a_coach_above_its_combined_rating_is_over_whatever_the_car_weighs() -> None:
    # 19,000 lb > 18,999.99 lb, before anything is behind it
    example = weighing("1600 lb", CURB, coach={**LOADED, "gcwr": "18999.99"})
    check = example.said()[1].checks["combination_rating"]
    assert (check.outcome, check.reason, check.margin) == ("not_met", "over", -lb("0.01"))


@pytest.mark.parametrize(
    ("as_weighed", "typed", "is_above"),
    [
        ("4400 lb", {}, False),
        ("4400.01 lb", {}, True),
        ("4400.01 lb", {"gvwr": "4500 lb"}, False),
    ],
)
def test_a_car_above_its_gross_rating_is_told_so(
    as_weighed: str, typed: Row, is_above: bool
) -> None:
    example = Example({"as_weighed": as_weighed, **typed})
    assert ("weighed_above_gross" in example.said()[1].cautions) is is_above


# ---------------------------------------------------------------- a gvwr far from those on record

RECORDED: Printed = ("gvwr", "5000", {})  # 0.9 x it: 4,500 lb; 1.1 x it: 5,500 lb


@pytest.mark.parametrize("weigh_by", POLICIES)
@pytest.mark.parametrize(
    ("typed", "high", "is_far"),
    [
        ("4499.99 lb", "5000", True),
        ("4500 lb", "4500", False),
        ("4500.01 lb", "4500.01", False),
        ("5500 lb", "5500", False),
        ("5500.01 lb", "5500.01", True),
        ("2268 lb", "5000", True),  # 5,000 lb are 2,268 kg
    ],
)
def test_a_typed_gross_rating_far_below_the_recorded_gives_way(
    typed: str, high: str, is_far: bool, weigh_by: str
) -> None:
    answer = Example({"gvwr": typed}, (RECORDED,)).said(weigh_by)[1]
    assert (answer.towed.high, answer.towed.basis) == (lb(high), "gvwr")
    assert ("gvwr_far" in answer.cautions) is is_far
    assert "gvwr_differs" in answer.cautions
    assert answer.towed.low == (lb(high) if weigh_by == "gvwr" else None)


@pytest.mark.parametrize(
    ("typed", "possibly", "high"),
    [
        # 0.9 x 4,000 lb = 3,600 lb: within reach of one of both, and as typed.
        ("3600 lb", ("gvwr", "4000", {}), "3600"),
        ("3599.99 lb", ("gvwr", "4000", {}), "5000"),
        # 0.9 x 6,000 lb = 5,400 lb, and the largest on record is that high end.
        ("4499.99 lb", ("gvwr", "6000", {}), "6000"),
        # What nobody has checked raises it …
        ("4499.99 lb", ("gvwr", "6000", UNCHECKED), "6000"),
        # … and lends no reach: 3,600 lb is below 0.9 x 5,000 lb.
        ("3600 lb", ("gvwr", "4000", UNCHECKED), "5000"),
    ],
)
def test_a_typed_gross_rating_is_far_from_every_recorded_one(
    typed: str, possibly: Printed, high: str
) -> None:
    answer = Example({"gvwr": typed}, (RECORDED,), (possibly,)).said()[1]
    assert answer.towed.high == lb(high)


def test_of_a_recorded_pair_the_ends_are_those_that_reach_the_typed() -> None:
    # 2,267 kg are 4,997.88 lb; 0.9 x 2,267 kg = 2,040.3 kg. The heavier end is 5,000 lb.
    pair = ("gvwr", "5000", {"also_value": "2267", "also_unit": "kg"})
    answers = [
        Example({"gvwr": typed}, (pair,)).said()[1] for typed in ("2040.3 kg", "2040.299999 kg")
    ]
    assert [a.towed.high for a in answers] == [Fraction("2040.3"), lb("5000")]
    # 2,269 kg are 5,002.29 lb; 1.1 x 2,269 kg = 2,495.9 kg.
    pair = ("gvwr", "5000", {"also_value": "2269", "also_unit": "kg"})
    far = ["gvwr_far" in Example({"gvwr": t}, (pair,)).said()[1].cautions
           for t in ("2495.9 kg", "2495.900001 kg")]  # fmt: skip
    assert far == [False, True]


def test_a_far_gross_rating_changes_neither_low_end_nor_own_limit() -> None:
    example = Example({"gvwr": "4000 lb", "load": "100 lb"}, (RECORDED, CURB))
    # 3,500 lb + 100 lb of load; from there to the recorded 5,000 lb.
    assert example.said()[1].towed.low == lb("3600")
    assert example.said()[1].towed.high == lb("5000")
    example.car["as_weighed"] = "4000.01 lb"
    check = example.said()[1].checks["towed_gross"]
    assert (check.outcome, check.limit, check.margin) == ("not_met", lb("4000"), -lb("0.01"))


# ---------------------------------------------------------------- a coach lighter than empty

AT_MOST = lb("5000")  # the receiver plate; with no weight of the coach, GCWR alone is 26,000 lb


@pytest.mark.parametrize("weigh_by", POLICIES)
@pytest.mark.parametrize(
    ("figures", "cannot_be"),
    [
        ({"unloaded_weight": "19000"}, False),
        ({"unloaded_weight": "19000.01"}, True),
        ({"unloaded_weight": "18999.99"}, False),
        # Half of a GVWR of 38,000 lb is 19,000 lb.
        ({"gvwr": "38000", "gcwr": "60000"}, False),
        ({"gvwr": "38000.02", "gcwr": "60000"}, True),
        # 19,000 lb are 8,618.3 kg: kilograms that were typed as pounds; half the GVWR is 10,000 lb.
        ({"loaded_weight": "8618"}, True),
        ({"loaded_weight": "9999.99"}, True),
        ({"loaded_weight": "10000"}, False),
        ({"loaded_weight": None, "part_loaded_weight": "9600", "still_to_add": "400"}, False),
        ({"loaded_weight": None, "part_loaded_weight": "9600", "still_to_add": "399.99"}, True),
        (
            {"loaded_weight": None, "axle_front_loaded": "4000", "axle_rear_loaded": "5999.99"},
            True,
        ),
    ],
)
def test_a_coach_weighs_half_its_gross_rating_and_its_empty_weight_or_more(
    figures: dict[str, str | None], cannot_be: bool, weigh_by: str
) -> None:
    known, answer = coach(**figures).said(weigh_by)
    assert known.loaded.contradicts is cannot_be
    assert "coach_contradicts" in known.cautions or not cannot_be
    if not cannot_be:
        assert answer.verdict == "suitable"
        return
    assert (known.loaded.low, known.loaded.high) == (None, None)
    for name in ("combination_rating", "coach_gross"):
        check = answer.checks[name]
        assert (check.outcome, check.reason) == ("unknown", "weights_contradict")
    assert answer.checks["hitch_receiver"].outcome == "met"
    assert (known.capacity, known.capacity_at_most) == (None, AT_MOST)


def test_of_a_coach_that_cannot_be_the_bare_combined_rating_is_at_most() -> None:
    known, _ = coach(loaded_weight="8618", gcwr="4999.99").said()
    assert known.capacity_at_most == lb("4999.99")


def test_what_is_not_on_the_coach_plate_is_missing_first() -> None:
    contradicted = {"loaded_weight": "8618", "unloaded_weight": "16000"}
    assert coach(**contradicted, gvwr=None).reasons()["coach_gross"] == "gvwr_not_known"
    assert coach(**contradicted, gcwr=None).reasons()["combination_rating"] == "rating_missing"
    example = coach(("gvwr", "20000", UNCHECKED), loaded_weight="8618", gvwr=None)
    assert example.reasons()["coach_gross"] == "gvwr_not_known"
    assert example.reasons()["combination_rating"] == "weights_contradict"


@pytest.mark.parametrize(
    ("printed", "figures", "cannot_be"),
    [
        # 8,165 kg are 18,000.7 lb: the heavier end of the ticket fits 18,000 lb empty.
        (("loaded_weight", "17999", "8165"), {"unloaded_weight": "18000"}, False),
        (("loaded_weight", "17999", "8164"), {"unloaded_weight": "18000"}, True),  # 17,998.5 lb
        # 8,618 kg are 18,999.4 lb: the lighter end of the empty weight fits 19,000 lb.
        (("unloaded_weight", "19001", "8618"), {}, False),
        (("unloaded_weight", "19001", "8619"), {}, True),  # 19,001.6 lb
        # 17,236 kg are 37,998.9 lb, half of them 18,999.5 lb; 17,237 kg are 38,001.1 lb.
        (("gvwr", "38002", "17236"), {"gvwr": None, "gcwr": "60000"}, False),
        (("gvwr", "38002", "17237"), {"gvwr": None, "gcwr": "60000"}, True),
    ],
)
def test_a_coach_in_two_units_contradicts_where_no_figure_fits(
    printed: tuple[str, str, str], figures: dict[str, str | None], cannot_be: bool
) -> None:
    name, pounds, kilograms = printed
    figures = {name: None, **figures}
    example = coach((name, pounds, {"also_value": kilograms, "also_unit": "kg"}), **figures)
    assert example.said()[0].loaded.contradicts is cannot_be


@pytest.mark.parametrize(
    ("printed", "figures", "cannot_be"),
    [
        # Of several empty weights the largest, of several gross ratings the heaviest.
        ((("unloaded_weight", "19000.01", {}),), {"unloaded_weight": "16000"}, True),
        ((("unloaded_weight", "19000.01", UNCHECKED),), {}, True),
        ((("gvwr", "38000.02", UNCHECKED),), {}, True),
        ((("gvwr", "38000", UNCHECKED),), {}, False),
        # Of several tickets the largest; one that nobody checked excuses none.
        ((("loaded_weight", "8618", {}),), {}, False),
        ((("loaded_weight", "8618", UNCHECKED),), {}, False),
        ((("loaded_weight", "19000", UNCHECKED),), {"loaded_weight": "8618"}, True),
        ((("loaded_weight", "8618", UNCHECKED),), {"loaded_weight": None}, True),
    ],
)
def test_of_several_weighings_of_a_coach_the_largest_checked_counts(
    printed: tuple[Printed, ...], figures: dict[str, str | None], cannot_be: bool
) -> None:
    assert coach(*printed, **figures).said()[0].loaded.contradicts is cannot_be


# ---------------------------------------------------------------- what a coach weighs


@pytest.mark.parametrize(
    ("figures", "loaded", "cautions"),
    [
        # Nothing else says so: 7,000 lb + 12,000 lb.
        ({"axle_front_loaded": "7000", "axle_rear_loaded": "12000"}, "19000", set()),
        ({"axle_front_loaded": "7000"}, None, set()),
        # 2 % of 20,000 lb are 400 lb.
        (
            {"loaded_weight": "20000", "axle_front_loaded": "7600", "axle_rear_loaded": "12000"},
            "20000",
            set(),
        ),
        (
            {"loaded_weight": "20000", "axle_front_loaded": "7600", "axle_rear_loaded": "11999.99"},
            "20000",
            {"axles_differ"},
        ),
        (
            {"loaded_weight": "19600", "axle_front_loaded": "8000", "axle_rear_loaded": "12000"},
            "19600",
            set(),
        ),
        # 20,000.01 lb - 19,600 lb = 400.01 lb; 2 % of 20,000.01 lb are 400.0002 lb.
        (
            {"loaded_weight": "19600", "axle_front_loaded": "8000", "axle_rear_loaded": "12000.01"},
            "20000.01",
            {"axles_differ"},
        ),
        (
            {
                **{"part_loaded_weight": "19000", "still_to_add": "600"},
                **{"axle_front_loaded": "8000", "axle_rear_loaded": "12000.01"},
            },
            "20000.01",
            {"axles_differ"},
        ),
        # A ticket with less aboard that is heavier.
        ({"loaded_weight": "19000", "part_loaded_weight": "19000"}, "19000", set()),
        (
            {"loaded_weight": "19000", "part_loaded_weight": "19000.01"},
            "19000.01",
            {"part_above_loaded"},
        ),
        # The larger of a full ticket and what another makes with what is still to add.
        (
            {"loaded_weight": "19000", "part_loaded_weight": "18900", "still_to_add": "200"},
            "19100",
            set(),
        ),
    ],
)
def test_a_coach_weighs_what_its_tickets_say_together(
    figures: dict[str, str], loaded: str | None, cautions: set[str]
) -> None:
    example = coach(**{"loaded_weight": None, "gvwr": "21000", **figures})
    known, _ = example.said()
    assert known.cautions == cautions
    if loaded is None:
        assert known.weighed is None
        assert known.loaded.high == lb("21000")
    else:
        assert (known.loaded.low, known.loaded.high) == (lb(loaded), lb(loaded))


@pytest.mark.parametrize(
    ("kilograms", "low", "high"),
    [
        # 8,891 kg are 19,601.3 lb, and 20,000 lb - 19,601.3 lb are less than 400 lb.
        ("8891", "19500", None),
        # 8,890 kg are 19,599.1 lb, and 400.9 lb are more than 400 lb.
        ("8890", "20000", "20000"),
    ],
)
def test_tickets_in_two_units_are_apart_where_their_nearest_ends_are(
    kilograms: str, low: str, high: str | None
) -> None:
    ticket = ("loaded_weight", "19500", {"also_value": kilograms, "also_unit": "kg"})
    axles = {"axle_front_loaded": "8000", "axle_rear_loaded": "12000"}
    known, _ = coach(ticket, loaded_weight=None, gvwr="21000", **axles).said()
    assert known.loaded.low == lb(low)
    assert known.loaded.high == (Fraction(kilograms) if high is None else lb(high))


@pytest.mark.parametrize(
    ("printed", "figures", "low", "high"),
    [
        # The checked axles weigh 20,000 lb; a ticket that nobody checked takes nothing from that.
        (
            (("loaded_weight", "19900", UNCHECKED),),
            {"axle_front_loaded": "8000", "axle_rear_loaded": "12000"},
            *("20000", "20000"),
        ),
        # Axles that nobody checked raise the low end where they are far above, and give no other.
        (
            (("axle_front_loaded", "8000", UNCHECKED),),
            {"loaded_weight": "19000", "axle_rear_loaded": "12000"},
            *("20000", "21000"),
        ),
        (
            (("axle_front_loaded", "7300", UNCHECKED),),
            {"loaded_weight": "19000", "axle_rear_loaded": "12000"},
            *("19000", "19000"),
        ),
        # What is no loaded weight by itself is none beside one that nobody checked.
        (
            (("loaded_weight", "12000", UNCHECKED),),
            {"part_loaded_weight": "18000"},
            *("18000", "21000"),
        ),
        # A light ticket that nobody checked takes nothing from what it weighs empty.
        (
            (("part_loaded_weight", "500", UNCHECKED),),
            {"unloaded_weight": "18000"},
            *("18000", "21000"),
        ),
    ],
)
def test_a_ticket_that_nobody_checked_only_raises(
    printed: tuple[Printed, ...], figures: dict[str, str], low: str, high: str
) -> None:
    known, _ = coach(*printed, **{"loaded_weight": None, "gvwr": "21000", **figures}).said()
    assert (known.loaded.low, known.loaded.high) == (lb(low), lb(high))


# ---------------------------------------------------------------- axles

FRONT = {"axle_front_loaded": "7000", "axle_rear_loaded": "12000"}  # 19,000 lb, as the ticket says


def gross(*printed: Printed, **figures: str | None) -> oracle.Check:
    return coach(*printed, **{**FRONT, **figures}).said()[1].checks["coach_gross"]


@pytest.mark.parametrize(
    ("figures", "reason", "margin"),
    [
        ({"gawr_front": "7000", "gawr_rear": "12000"}, "within", "1000"),
        ({"gawr_front": "7000.01"}, "within", "1000"),
        ({"gawr_front": "6999.99"}, "axle_over", "-0.01"),
        ({"gawr_rear": "11999.99"}, "axle_over", "-0.01"),
        # Of both axles the smaller margin; of the whole and an axle too.
        ({"gawr_front": "6999.99", "gawr_rear": "11900"}, "axle_over", "-100"),
        ({"gawr_front": "6900", "gvwr": "18999.99"}, "axle_over", "-100"),
        ({"gawr_front": "6999.99", "gvwr": "18900"}, "over", "-100"),
        ({"gawr_front": "6999.99", "gvwr": "18999.99"}, "over", "-0.01"),
        # Whatever the whole weighs: not known, not weighed, or not to be believed.
        ({"gawr_front": "6999.99", "gvwr": None}, "axle_over", "-0.01"),
        ({"gawr_front": "6999.99", "loaded_weight": None}, "axle_over", "-0.01"),
        (
            {"gawr_front": "6999.99", "loaded_weight": None, "axle_rear_loaded": None},
            *("axle_over", "-0.01"),
        ),
        (
            {"gawr_front": "6999.99", "unloaded_weight": "19000.01"},
            *("axle_over", "-0.01"),
        ),
        # 19,000 lb is the ticket, and the axles weigh half of it: they are far apart.
        ({"axle_front_loaded": "3000", "axle_rear_loaded": "6000"}, "within", "1000"),
    ],
)
def test_an_axle_is_over_above_its_rating(
    figures: dict[str, str | None], reason: str, margin: str
) -> None:
    check = gross(**figures)
    assert (check.reason, check.margin) == (reason, lb(margin))
    assert check.outcome == ("met" if reason == "within" else "not_met")


def test_at_equal_margins_the_front_axle_governs() -> None:
    check = gross(gawr_front="6900", gawr_rear="11900")
    assert (check.value, check.limit) == (lb("7000"), lb("6900"))


@pytest.mark.parametrize(
    ("printed", "figures", "outcome", "reason"),
    [
        # A rating that nobody checked forbids; of several the smallest.
        ((("gawr_front", "6999.99", UNCHECKED),), {}, "not_met", "axle_over"),
        ((("gawr_front", "6999.99", {}),), {"gawr_front": "8000"}, "not_met", "axle_over"),
        ((("gawr_front", "7000", UNCHECKED),), {}, "met", "within"),
        # A ticket that nobody checked leaves it open; a checked one beside it does not.
        (
            (("axle_front_loaded", "7000.01", UNCHECKED),),
            {"axle_front_loaded": None, "gawr_front": "7000"},
            *("unknown", "depends_on_the_weight"),
        ),
        (
            (("axle_front_loaded", "7000.01", UNCHECKED),),
            {"gawr_front": "7000"},
            *("unknown", "depends_on_the_weight"),
        ),
        (
            (("axle_front_loaded", "7100", UNCHECKED),),
            {"gawr_front": "6999.99"},
            *("not_met", "axle_over"),
        ),
        # … and nothing is better by it than the whole is.
        (
            (("axle_front_loaded", "7000.01", UNCHECKED),),
            {"gawr_front": "7000", "gvwr": "18999.99"},
            *("not_met", "over"),
        ),
        (
            (("axle_front_loaded", "7000.01", UNCHECKED),),
            {"gawr_front": "7000", "gvwr": None},
            *("unknown", "gvwr_not_known"),
        ),
        # 3,175 kg are 6,999.7 lb and 3,176 kg are 7,001.9 lb.
        (
            (("axle_front_loaded", "7000", {"also_value": "3176", "also_unit": "kg"}),),
            {"axle_front_loaded": None, "gawr_front": "7001"},
            *("unknown", "depends_on_the_weight"),
        ),
        (
            (("axle_front_loaded", "7000", {"also_value": "3176", "also_unit": "kg"}),),
            {"axle_front_loaded": None, "gawr_front": "6999"},
            *("not_met", "axle_over"),
        ),
        # Of a rating in two units the smaller counts.
        (
            (("gawr_front", "7000", {"also_value": "3175", "also_unit": "kg"}),),
            {},
            *("not_met", "axle_over"),
        ),
    ],
)
def test_an_axle_can_only_fail(
    printed: tuple[Printed, ...], figures: dict[str, str | None], outcome: str, reason: str
) -> None:
    check = gross(*printed, **figures)
    assert (check.outcome, check.reason) == (outcome, reason)


def test_an_axle_figure_without_its_partner_decides_nothing_and_is_named() -> None:
    alone = {"axle_front_loaded": "7000", "axle_rear_loaded": None, "gawr_rear": "1"}
    known, answer = coach(**alone).said()
    assert known.not_judged == {"axle_front_loaded", "gawr_rear"}
    assert answer.checks["coach_gross"].reason == "within"


@pytest.mark.parametrize(
    ("figures", "most"),
    [
        ({"gawr_front": "7000"}, "5000"),
        ({"gawr_front": "6999.99"}, "0"),
        ({"gvwr": "18999.99"}, "0"),
        ({"gvwr": "18999.99", "gcwr": None}, "0"),
    ],
)
def test_an_overloaded_coach_pulls_nothing(figures: dict[str, str | None], most: str) -> None:
    known, answer = coach(**{**FRONT, **figures}).said()
    check = "coach_gross" if most == "0" else "hitch_receiver"
    assert (known.capacity, known.governing_check) == (lb(most), check)
    assert (known.capacity_at_most, known.at_most_check) == (lb(most), check)
    assert answer.verdict == ("not_suitable" if most == "0" else "suitable")


# ---------------------------------------------------------------- options and limits


@pytest.mark.parametrize(
    ("checks", "source_checks", "is_known"),
    [({}, {}, True), (UNCHECKED, {}, False), ({}, UNCHECKED, False)],
)
@pytest.mark.parametrize("column", ["options_with", "options_without"])
def test_an_option_is_known_from_a_checked_page(
    column: str, checks: Row, source_checks: Row, is_known: bool
) -> None:
    reference, coach_id = Example().reference()
    sure, other = reference["vehicle_group"]
    page = {**reference["source"][1], **source_checks}
    groups = [
        # The page on this car: not with air suspension. Another spells what the candidate does.
        {**sure, "options_without": "air suspension"},
        {**other, column: "air suspention", "source_id": page["source_id"], **checks},
    ]
    changed = {
        **reference,
        "vehicle_group": groups,
        "source": [page if row["source_id"] == page["source_id"] else row
                   for row in reference["source"]],
    }  # fmt: skip
    car: Row = {**dict.fromkeys(CANDIDATE), "make": MAKE, "model": MODELS[0], "model_year": "2021"}
    car |= {"options": "air suspention", "options_complete": "yes", "gvwr": "4400 lb"}
    case = oracle.open_case(changed, car, ON, "best_known")
    assert oracle.has_option(case, "air suspension") is (False if is_known else None)
    assert oracle.has_option(case, "air suspention") is True  # literally as listed, in any case
    assert bool(oracle.unused_options(case)) is not is_known
    (answer,) = oracle.screen(changed, [car], coach_id, ON).answers
    assert answer.verdict == ("suitable" if is_known else "undetermined")


PAIR = ("also_value", "also_unit")


def limited(bound: str, value: str, unit: str, *also: str) -> object:
    row: Row = {"quantity": "speed", "bound": bound, "scope": "always", "stated": "number"}
    row |= {"value": value, "unit": unit}
    return oracle.limit_fingerprint({**row, **dict(zip(PAIR[: len(also)], also, strict=True))})


def test_a_limit_in_two_units_is_its_stricter_figure() -> None:
    # 65 mph are 104.60736 km/h, and 64.6 mph are 103.9635 km/h.
    sixty_five = limited("at_most", "65", "mph")
    assert limited("at_most", "65", "mph", "105", "km/h") == sixty_five
    assert limited("at_most", "105", "km/h", "65", "mph") == sixty_five
    assert limited("at_most", "104.60736", "km/h") == sixty_five
    assert limited("at_most", "65", "mph", "104", "km/h") != sixty_five
    assert limited("at_most", "104", "km/h") == limited("at_most", "65", "mph", "104", "km/h")
    assert limited("at_least", "65", "mph", "104", "km/h") == limited("at_least", "65", "mph")
    assert limited("at_least", "65", "mph", "105", "km/h") == limited("at_least", "105", "km/h")
    assert limited("at_least", "65", "mph") != sixty_five


# ---------------------------------------------------------------- what is asked

UNWEIGHED = {**RATED, "unloaded_weight": "18000", "gcwr": "24000"}
AS_WEIGHED, LOADED_WEIGHT = "as_weighed", "loaded_weight"


def asked(example: Example, weigh_by: str = "best_known") -> dict[str, question_oracle.Answers]:
    reference, _ = example.reference()
    known, _ = example.said(weigh_by)
    row: Row = {**dict.fromkeys(CANDIDATE), "make": MAKE, "model": MODELS[0], "model_year": "2021"}
    car = question_oracle.Car(reference, {**row, **example.car}, known, ON, weigh_by)
    return question_oracle.questions(car)


@pytest.mark.parametrize(
    ("car", "surely", "figures", "answers"),
    [
        # 24,000 lb - 20,000 lb = 4,000 lb behind the heaviest coach, and 5,000 lb on the plate.
        (
            {"gvwr": "5400 lb"},
            (),
            {},
            {
                "4,000.0 lb or less": "suitable",
                "more, up to 5,000.0 lb": "undetermined",
                "more than 5,000.0 lb": "not_suitable",
            },
        ),
        # 22,500 lb - 18,000 lb = 4,500 lb behind the lightest coach, less than the plate allows.
        (
            {"gvwr": "5400 lb"},
            (),
            {"gcwr": "22500"},
            {
                "2,500.0 lb or less": "suitable",
                "more, up to 4,500.0 lb": "undetermined",
                "more than 4,500.0 lb": "not_suitable",
            },
        ),
        # Its own gross rating is 4,800 lb or 5,200 lb; above the larger it is over.
        (
            {},
            (("gvwr", "4800", {}), ("gvwr", "5200", {})),
            {"hitch_receiver": "6000", "towing_capacity": "6000", "gcwr": "25000"},
            {
                "4,800.0 lb or less": "suitable",
                "more, up to 5,200.0 lb": "undetermined",
                "more than 5,200.0 lb": "not_suitable",
            },
        ),
        # A weighed coach leaves one bound: 23,000 lb - 19,000 lb, nothing between.
        (
            {"gvwr": "5400 lb"},
            (),
            {"gcwr": "23000", "loaded_weight": "19000"},
            {"4,000.0 lb or less": "suitable", "more than 4,000.0 lb": "not_suitable"},
        ),
        # A hair below 4,000.1 lb: what is promised is met when it is typed.
        (
            {"gvwr": "5400 lb"},
            (),
            {"gcwr": "23000.09", "loaded_weight": "19000"},
            {"4,000.0 lb or less": "suitable", "more than 4,000.0 lb": "not_suitable"},
        ),
    ],
)
def test_each_bound_behind_the_first_is_an_answer(
    car: Row, surely: tuple[Printed, ...], figures: dict[str, str], answers: dict[str, str]
) -> None:
    example = Example(car, surely, coach={**UNWEIGHED, **figures})
    assert asked(example)[AS_WEIGHED] == answers


@pytest.mark.parametrize("weigh_by", POLICIES)
def test_weighings_that_cannot_be_are_asked_for_again(weigh_by: str) -> None:
    assert asked(weighing("1600 lb", CURB), weigh_by) == {AS_WEIGHED: {}}
    assert asked(coach(loaded_weight="8618"), weigh_by) == {LOADED_WEIGHT: {}}
    both = weighing("1600 lb", CURB, coach={**LOADED, "loaded_weight": "8618"})
    assert asked(both, weigh_by) == {AS_WEIGHED: {}, LOADED_WEIGHT: {}}


def test_of_a_coach_without_ratings_the_ratings_are_asked_for() -> None:
    example = coach(loaded_weight="8618", unloaded_weight="16000", gvwr=None, gcwr=None)
    assert asked(example) == {"gcwr": {}, "coach_gvwr": {}}
