"""Weights that cannot be: kilograms typed as pounds, a lost digit, the ticket of another vehicle.

Each bound is tried at it, just below and just above, by a tenth of a pound or a hundredth.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from tests.helpers.rigs import (
    COACH,
    Figures,
    Record,
    cars_of,
    check_of,
    outcomes,
    screened,
)
from tests.helpers.worlds import Row
from tests.screening.test_many_unknowns import UNCHECKED, Pages, release_of
from towdb.presentation.verdicts import coach_lines, table_rows

CAPACITY = ("hitch_receiver", "combination_rating", "towing_capacity")
WEIGHED = (*CAPACITY, "towed_gross")
Screen = Callable[..., Record]


# What is on record of each model: property, pounds, and whether somebody has checked it.
RECORDED: dict[str, tuple[tuple[str, str, bool], ...]] = {
    "Bare": (),
    "Fell": (("gvwr", "6000", True), ("curb_weight", "4510", True)),
    "Draft": (("gvwr", "6000", True), ("curb_weight", "4510", False)),
    "Pair": (("gvwr", "6000", True), ("curb_weight", "4510", True), ("curb_weight", "4000", False)),
    "Range": (("gvwr", "4000", True), ("gvwr", "4400", False)),
}


def pages_of(model: str) -> Pages:
    pages, key = Pages(), model.lower()
    pages.group(key, model)
    pages.permits(key)
    for number, (name, pounds, checked) in enumerate(RECORDED[model]):
        figure = {"property": name, "value": pounds, "unit": "lb", "vehicle_group_id": key}
        stamp = {} if checked else UNCHECKED
        pages.enter("vehicle_property", f"{key}-{number}", **figure, **stamp)
    return pages


def coaches() -> Pages:
    """Coaches on record whose figures are checked, or not."""
    pages = Pages()
    plate = {"source_id": "plate", "kind": "rating_plate", "issuer_role": "coach_maker"}
    manual = {k: v for k, v in pages.rows["source"][0].items() if "model_year" not in k}
    pages.rows["source"].append({**manual, **plate, "market": "", "file_sha256": "3" * 64})
    for coach, figures in ON_RECORD.items():
        pages.enter("coach", coach, name=f"Brackwater {coach}", source_id="plate")
        for number, (name, pounds, checked) in enumerate(figures):
            stamp = {} if checked else UNCHECKED
            said = {"word": "none_stated"} if pounds == "none stated" else {
                "value": pounds, "unit": "lb"
            }  # fmt: skip
            pages.enter(
                "coach_property", f"{coach}-{number}", coach_id=coach, property=name,
                source_id="plate", **said, **stamp,
            )  # fmt: skip
    return pages


RATED = (
    ("hitch_receiver", "5000", True), ("gcwr", "26000", True), ("gvwr", "22000", True),
    ("towing_capacity", "none stated", True),
)  # fmt: skip
ON_RECORD: dict[str, tuple[tuple[str, str, bool], ...]] = {
    # Its axles are tickets that nobody has checked.
    "axle-draft": (
        *RATED, ("loaded_weight", "21000", True), ("gawr_front", "7500", True),
        ("axle_front_loaded", "7500.01", False),
    ),
    "axle-draft-within": (
        *RATED, ("loaded_weight", "21000", True), ("gawr_front", "7500", True),
        ("axle_front_loaded", "7500", False),
    ),
    # A checked ticket above a rating that nobody has checked.
    "rating-draft": (
        *RATED, ("loaded_weight", "21000", True), ("gawr_front", "7500", False),
        ("axle_front_loaded", "7500.01", True),
    ),
    # Of two tickets of one axle the checked one alone is above.
    "two-tickets": (
        *RATED, ("loaded_weight", "21000", True), ("gawr_front", "7500", True),
        ("axle_front_loaded", "7600", True), ("axle_front_loaded", "7700", False),
    ),
    # A ticket that nobody has checked beside checked ones of the axles, a hundred pounds heavier.
    "whole-draft": (
        *RATED, ("loaded_weight", "21900", False),
        ("axle_front_loaded", "8000", True), ("axle_rear_loaded", "14100", True),
    ),
}  # fmt: skip


@pytest.fixture(scope="module")
def release(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("impossible")
    return release_of([*map(pages_of, RECORDED), coaches()], folder)


@pytest.fixture
def screen(release: Path, tmp_path: Path) -> Screen:
    def run(
        cars: Mapping[str, Row], coach: Figures | str = COACH, weigh_by: str = "best_known"
    ) -> Record:
        return screened(tmp_path, release, cars, coach, weigh_by)

    return run


def is_cautioned(one: Record, words: str) -> bool:
    return any(words in text for text in one["cautions"])


CONTRADICTED = {("unknown", "weights_contradict")}
HALF_OF_NOTHING = {"towing_capacity": "5000 lb"}


# ---------------------------------------------------------------- the car on the scale


def test_a_car_weighs_no_less_than_nine_tenths_of_every_curb_weight(screen: Screen) -> None:
    # Nine tenths of 4,510 lb are 4,059 lb.
    cars = {
        weight: {"model": "Fell", "as_weighed": f"{weight} lb"}
        for weight in ("2410", "4058.99", "4059", "4509.99", "4510")
    }
    found = cars_of(screen(cars, {**COACH, **HALF_OF_NOTHING}))
    for weight in ("2410", "4058.99"):
        one = found[weight]
        assert outcomes(one, *WEIGHED) == CONTRADICTED
        assert (one["verdict"], one["towed_weight_lb"], one["weight_basis"]) == (
            ("undetermined", None, None)
        )
        cited = {c["key"] for c in check_of(one, "hitch_receiver")["citations"]}
        assert "fell-1" in cited  # the curb weight that says otherwise, with its page
    for weight in ("4059", "4509.99", "4510"):
        assert (found[weight]["verdict"], found[weight]["weight_basis"]) == (
            ("suitable", "as_weighed")
        )
    below = {w: is_cautioned(one, "less than every curb weight") for w, one in found.items()}
    assert [w for w, said in below.items() if said] == ["4059", "4509.99"]


def test_a_typed_curb_weight_and_an_unchecked_one_contradict_too(screen: Screen) -> None:
    own: Row = {"curb_weight": "4510 lb", "gvwr": "6000 lb"}
    found = cars_of(
        screen(
            {
                "typed": {**own, "as_weighed": "4058.99 lb"},
                "typed, at it": {**own, "as_weighed": "4059 lb"},
                "draft": {"model": "Draft", "as_weighed": "4058.99 lb"},
                # 4,510 lb, as the 4,000 lb that nobody has checked excuse nothing.
                "pair": {"model": "Pair", "as_weighed": "4059 lb"},
                "pair, below": {"model": "Pair", "as_weighed": "4058.99 lb"},
                "lighter typed": {
                    "model": "Fell", "curb_weight": "4000 lb", "as_weighed": "3600 lb",
                },
            }
        )
    )  # fmt: skip
    contradicted = {n for n, one in found.items() if outcomes(one, *WEIGHED) & CONTRADICTED}
    assert contradicted == {"typed", "draft", "pair, below"}


def test_the_policy_to_go_by_gross_ratings_believes_it_no_more(screen: Screen) -> None:
    one = cars_of(screen({"a": {"model": "Fell", "as_weighed": "2410 lb"}}, weigh_by="gvwr"))["a"]
    assert outcomes(one, "hitch_receiver", "combination_rating", "towed_gross") == CONTRADICTED
    assert (one["towed_weight_lb"], one["weight_basis"]) == (None, None)


def test_without_a_rating_nothing_contradicts(screen: Screen) -> None:
    coach = {"gvwr": "22000 lb", "loaded_weight": "21000 lb", "towing_capacity": "none stated"}
    one = cars_of(screen({"a": {"curb_weight": "4510 lb", "as_weighed": "2410 lb"}}, coach))["a"]
    assert outcomes(one, "hitch_receiver", "combination_rating") == {("unknown", "rating_missing")}
    assert outcomes(one, "towing_capacity") == {("not_applicable", "none_stated")}
    assert outcomes(one, "towed_gross") == {("unknown", "gvwr_not_known")}


def test_what_is_above_its_own_gross_rating_is_warned_of(screen: Screen) -> None:
    cars = {w: {"gvwr": "4200 lb", "as_weighed": f"{w} lb"} for w in ("4200", "4200.01")}
    found = cars_of(screen(cars))
    assert {w: is_cautioned(one, "more than its gross rating") for w, one in found.items()} == {
        "4200": False,
        "4200.01": True,
    }


def test_the_question_names_both_figures_and_asks_for_the_unit(screen: Screen) -> None:
    screening = screen({"a": {"model": "Fell", "as_weighed": "2410 lb"}})
    (one,) = screening["candidates"]
    question = one["questions"][0]
    assert question["about"] == "as_weighed"
    for said in ("2,410.0 lb (1,093.2 kg)", "4,510.0 lb (2,045.7 kg)", "weigh it again", "unit"):
        assert said in question["because"]
    # 26,000 lb less 21,000 lb, and 5,000 lb on the plate.
    answers = {a["value"]: a["verdict"] for a in question["answers"]}
    assert answers == {"5,000.0 lb or less": "suitable", "more": "not_suitable"}
    (row,) = table_rows(screening, "lb")
    assert "2,410.0 lb (1,093.2 kg)" in row[-1]


# ---------------------------------------------------------------- the car's gross rating


@pytest.mark.parametrize("weigh_by", ["best_known", "gvwr"])
def test_a_typed_gross_rating_a_tenth_away_from_every_one_on_record(
    screen: Screen, weigh_by: str
) -> None:
    # On record 4,000 lb, and 4,400 lb that nobody has checked, which excuse nothing: nine tenths of
    # the one are 3,600, eleven 4,400 lb.
    typed = ("360", "3599.99", "3600", "3999.99", "4400", "4400.01", "4840")
    cars = {w: {"model": "Range", "gvwr": f"{w} lb"} for w in typed}
    found = cars_of(screen(cars, weigh_by=weigh_by))
    assert {w: one["towed_weight_lb"] for w, one in found.items()} == {
        "360": 4400, "3599.99": 4400, "3600": 3600, "3999.99": 4000,
        "4400": 4400, "4400.01": 4400.1, "4840": 4840,
    }  # fmt: skip
    far = {w for w, one in found.items() if is_cautioned(one, "more than a tenth away")}
    assert far == {"360", "3599.99", "4400.01", "4840"}
    cited = {c["key"] for c in check_of(found["360"], "hitch_receiver")["citations"]}
    assert {"range-0", "range-1"} <= cited


def test_its_own_check_keeps_to_the_typed_gross_rating(screen: Screen) -> None:
    cars: dict[str, Row] = {
        "a": {"model": "Range", "gvwr": "3500 lb", "as_weighed": "3500.01 lb"},
        "b": {"model": "Range", "gvwr": "3500 lb", "as_weighed": "3500 lb"},
    }
    found = cars_of(screen(cars))
    assert outcomes(found["a"], "towed_gross") == {("not_met", "over")}
    assert outcomes(found["b"], "towed_gross") == {("met", "within")}


# ---------------------------------------------------------------- the coach on the scale

SUITABLE_CAR: dict[str, Row] = {"a": {"as_weighed": "4000 lb", "gvwr": "6000 lb"}}
NOT_THAT = ("combination_rating", "coach_gross")


def without(*names: str) -> Figures:
    return {name: value for name, value in COACH.items() if name not in names}


@pytest.mark.parametrize(
    ("figures", "contradicts"),
    [
        # Half of a GVWR of 22,000 lb.
        ({"loaded_weight": "10999.99 lb"}, True),
        ({"loaded_weight": "11000 lb"}, False),
        ({"loaded_weight": "2050 lb"}, True),
        # Of several gross ratings the heaviest.
        ({"loaded_weight": "11000 lb", "gvwr": ["22000 lb", "22000.02 lb"]}, True),
        ({"loaded_weight": "17000 lb", "unloaded_weight": "17000.01 lb"}, True),
        ({"loaded_weight": "17000 lb", "unloaded_weight": "17000 lb"}, False),
        ({"loaded_weight": "17000 lb", "unloaded_weight": ["16000 lb", "17000.01 lb"]}, True),
        (
            {"part_loaded_weight": "16900 lb", "still_to_add": "99.99 lb",
             "unloaded_weight": "17000 lb"},
            True,
        ),
        (
            {"part_loaded_weight": "16900 lb", "still_to_add": "100 lb",
             "unloaded_weight": "17000 lb"},
            False,
        ),
        (
            {"axle_front_loaded": "5000 lb", "axle_rear_loaded": "5999.99 lb"},
            True,
        ),
        ({"axle_front_loaded": "5000 lb", "axle_rear_loaded": "6000 lb"}, False),
    ],
)  # fmt: skip
def test_a_coach_weighs_no_less_loaded_than_unloaded_nor_half_of_its_rating(
    screen: Screen, figures: Figures, contradicts: bool
) -> None:
    screening = screen(SUITABLE_CAR, {**without("loaded_weight"), **figures})
    (one,), coach = screening["candidates"], screening["coach"]
    assert one["verdict"] == ("undetermined" if contradicts else "suitable")
    if contradicts:
        assert outcomes(one, *NOT_THAT) == CONTRADICTED
        assert (coach["capacity_lb"], coach["capacity_at_most_lb"]) == (None, 5000)
        assert is_cautioned(coach, "weigh it again")
        question = one["questions"][0]
        assert question["about"] == "loaded_weight"
        assert "unit" in question["because"]


@pytest.mark.parametrize("weigh_by", ["best_known", "gvwr"])
def test_whatever_the_policy_and_beside_missing_ratings(screen: Screen, weigh_by: str) -> None:
    light = {**COACH, "loaded_weight": "2050 lb"}
    (one,) = screen(SUITABLE_CAR, light, weigh_by=weigh_by)["candidates"]
    assert outcomes(one, *NOT_THAT) == CONTRADICTED
    rest = {k: v for k, v in light.items() if k != "gcwr"}
    (one,) = screen(SUITABLE_CAR, rest, weigh_by=weigh_by)["candidates"]
    assert outcomes(one, "combination_rating") == {("unknown", "rating_missing")}


def test_the_question_names_both_weights_of_the_coach(screen: Screen) -> None:
    screening = screen(SUITABLE_CAR, {**COACH, "loaded_weight": "9640 lb"})
    question = screening["candidates"][0]["questions"][0]
    assert "9,640.0 lb (4,372.6 kg)" in question["because"]
    assert "its GVWR is 22,000.0 lb (9,979.0 kg)" in question["because"]
    light = {**COACH, "loaded_weight": "9640 lb", "unloaded_weight": "17000 lb"}
    question = screen(SUITABLE_CAR, light)["candidates"][0]["questions"][0]
    assert "unloaded it weighs 17,000.0 lb (7,711.1 kg)" in question["because"]
    answers = {a["value"]: a["verdict"] for a in question["answers"]}
    # 26,000 lb less the car's 4,000 lb, and the GVWR: both 22,000 lb.
    assert answers == {"22,000.0 lb or less": "suitable", "more": "not_suitable"}


@pytest.mark.parametrize(
    ("figures", "loaded", "caution"),
    [
        # Two per cent of 20,000 lb are 400 lb.
        ({"loaded_weight": "20000 lb", "axles": ("8000", "11600")}, 20000, ""),
        ({"loaded_weight": "20000 lb", "axles": ("8000", "11599.99")}, 20000, "2 %"),
        ({"loaded_weight": "19600 lb", "axles": ("8000", "12000")}, 19600, ""),
        ({"loaded_weight": "19599.99 lb", "axles": ("8000", "12000")}, 20000, "2 %"),
        ({"part_loaded_weight": "19000 lb", "still_to_add": "599.99 lb",
          "axles": ("8000", "12000")}, 20000, "2 %"),
        ({"axles": ("8000", "12000")}, 20000, ""),
        ({"loaded_weight": "20000 lb", "part_loaded_weight": "20000.1 lb"}, 20000.1,
         "less aboard"),
        ({"loaded_weight": "20000 lb", "part_loaded_weight": "20000 lb"}, 20000, ""),
    ],
)  # fmt: skip
def test_of_several_weighings_of_a_coach(
    screen: Screen, figures: dict[str, Any], loaded: float, caution: str
) -> None:
    front, rear = figures.get("axles", ("", ""))
    typed = {k: v for k, v in figures.items() if k != "axles"}
    if front:
        typed |= {"axle_front_loaded": f"{front} lb", "axle_rear_loaded": f"{rear} lb"}
    screening = screen(SUITABLE_CAR, {**without("loaded_weight"), **typed})
    coach = screening["coach"]
    check = check_of(screening["candidates"][0], "coach_gross")
    assert (check["reason"], check["value_lb"]) == ("within", loaded)
    assert coach["capacity_lb"] == min(5000, 26000 - loaded)
    said = [c for c in coach["cautions"] if "not checked" not in c]
    assert len(said) == bool(caution)
    assert all(caution in text for text in said)


def test_an_unchecked_ticket_cannot_hide_a_heavier_checked_one(screen: Screen) -> None:
    # Together the axles weigh 22,100 lb, above the GVWR of 22,000 lb.
    screening = screen(SUITABLE_CAR, "whole-draft")
    assert outcomes(screening["candidates"][0], "coach_gross") == {("not_met", "over")}


# ---------------------------------------------------------------- axles

AXLES: Figures = {
    **COACH, "gawr_front": "7500 lb", "axle_front_loaded": "7500 lb",
    "gawr_rear": "14000 lb", "axle_rear_loaded": "13500 lb",
}  # fmt: skip


@pytest.mark.parametrize(
    ("figures", "reason", "value", "limit", "margin"),
    [
        ({}, "within", 21000, 22000, 1000),
        ({"axle_front_loaded": "7500.01 lb"}, "axle_over", 7500.1, 7500, -0.1),
        ({"axle_front_loaded": ["7400 lb", "7500.01 lb"]}, "axle_over", 7500.1, 7500, -0.1),
        ({"gawr_front": ["8000 lb", "7499.99 lb"]}, "axle_over", 7500, 7499.9, -0.1),
        ({"axle_rear_loaded": "14100 lb"}, "axle_over", 14100, 14000, -100),
        # Of two the one that is more too heavy; of equal ones the front axle.
        ({"axle_front_loaded": "7550 lb", "axle_rear_loaded": "14100 lb"},
         "axle_over", 14100, 14000, -100),
        ({"axle_front_loaded": "7600 lb", "axle_rear_loaded": "14100 lb"},
         "axle_over", 7600, 7500, -100),
        # Beside the whole: equal is of the whole.
        ({"loaded_weight": "22100 lb", "axle_front_loaded": "7600 lb"}, "over", 22100, 22000, -100),
        ({"loaded_weight": "22100 lb", "axle_front_loaded": "7600.01 lb"},
         "axle_over", 7600.1, 7500, -100.1),
        ({"loaded_weight": "2050 lb", "axle_front_loaded": "7600 lb"},
         "axle_over", 7600, 7500, -100),
    ],
)  # fmt: skip
def test_an_axle_above_its_rating_forbids(
    screen: Screen, figures: Figures, reason: str, value: float, limit: float, margin: float
) -> None:
    screening = screen(SUITABLE_CAR, {**AXLES, **figures})
    (one,) = screening["candidates"]
    check = check_of(one, "coach_gross")
    said = (check["reason"], check["value_lb"], check["limit_lb"], check["margin_lb"])
    assert said == (reason, value, limit, margin)
    assert check["outcome"] == ("met" if reason == "within" else "not_met")
    assert one["verdict"] == ("suitable" if reason == "within" else "not_suitable")
    if reason == "axle_over":
        assert (one["governing_check"], one["margin_lb"]) == ("coach_gross", margin)
        assert {"axle_front_loaded", "gawr_front"} <= {c["key"] for c in check["citations"]}


@pytest.mark.parametrize("gone", [("gvwr",), ("loaded_weight",), ("gvwr", "loaded_weight")])
def test_an_axle_forbids_where_the_whole_says_nothing(
    screen: Screen, gone: tuple[str, ...]
) -> None:
    figures = {k: v for k, v in AXLES.items() if k not in (*gone, "axle_rear_loaded")}
    within, over = {**figures}, {**figures, "axle_front_loaded": "7500.01 lb"}
    assert outcomes(screen(SUITABLE_CAR, within)["candidates"][0], "coach_gross") != {
        ("not_met", "axle_over")
    }
    assert outcomes(screen(SUITABLE_CAR, over)["candidates"][0], "coach_gross") == {
        ("not_met", "axle_over")
    }


@pytest.mark.parametrize(
    ("coach", "said"),
    [
        ("axle-draft", ("unknown", "depends_on_the_weight")),
        ("axle-draft-within", ("met", "within")),
        ("rating-draft", ("not_met", "axle_over")),
        ("two-tickets", ("not_met", "axle_over")),
    ],
)
def test_what_nobody_has_checked_of_an_axle(
    screen: Screen, coach: str, said: tuple[str, str]
) -> None:
    assert outcomes(screen(SUITABLE_CAR, coach)["candidates"][0], "coach_gross") == {said}


@pytest.mark.parametrize(
    ("gone", "named"),
    [
        (("gawr_front",), {"front axle"}),
        (("axle_rear_loaded",), {"rear axle"}),
        (("gawr_front", "axle_front_loaded"), set()),
        (("gawr_front", "axle_rear_loaded"), {"front axle", "rear axle"}),
        ((), set()),
    ],
)
def test_an_axle_of_which_one_figure_is_missing_is_named(
    screen: Screen, gone: tuple[str, ...], named: set[str]
) -> None:
    figures = {k: v for k, v in AXLES.items() if k not in gone}
    cautions = screen(SUITABLE_CAR, figures)["coach"]["cautions"]
    unjudged = [text for text in cautions if "not checked" in text]
    assert len(unjudged) == len(named)
    assert all(any(axle in text for text in unjudged) for axle in named)


# ---------------------------------------------------------------- what an overloaded coach can pull


@pytest.mark.parametrize(
    ("figures", "line"),
    [
        ({"loaded_weight": "22500 lb"}, "it weighs 500.0 lb more than its own GVWR"),
        ({"axle_front_loaded": "8000 lb", "gawr_front": "7500 lb"},
         "its front axle weighs 500.0 lb more than its own GAWR"),
        ({"axle_rear_loaded": "8000 lb", "gawr_rear": "7500 lb"},
         "its rear axle weighs 500.0 lb more than its own GAWR"),
        ({"loaded_weight": "22000.01 lb"}, "it weighs 0.1 lb more than its own GVWR"),
    ],
)  # fmt: skip
def test_an_overloaded_coach_pulls_nothing(screen: Screen, figures: Figures, line: str) -> None:
    screening = screen(SUITABLE_CAR, {**COACH, **figures})
    coach = screening["coach"]
    assert (coach["capacity_lb"], coach["capacity_at_most_lb"]) == (0, 0)
    assert (coach["capacity_kg"], coach["governing_check"]) == (0, "coach_gross")
    first = next(coach_lines(screening, "lb"))
    assert first == f"rig can pull nothing until it is lighter: {line}"


def test_a_coach_at_its_rating_pulls_what_is_left(screen: Screen) -> None:
    screening = screen(SUITABLE_CAR, {**COACH, "loaded_weight": "22000 lb"})
    assert (screening["coach"]["capacity_lb"], screening["coach"]["too_heavy"]) == (4000, None)
    assert next(coach_lines(screening, "lb")) == "rig can pull 4,000.0 lb (combination rating)"


def test_how_much_too_heavy_it_is_in_kilograms(screen: Screen) -> None:
    screening = screen(SUITABLE_CAR, {**COACH, "loaded_weight": "22500 lb"})
    assert "226.8 kg" in next(coach_lines(screening, "kg"))
