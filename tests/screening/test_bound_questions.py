"""What is asked of weights and ratings: every bound, what it brings, and all that a coach lacks."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from tests.helpers.rigs import COACH, Figures, Record, cars_of, screened
from tests.helpers.worlds import Row
from tests.screening.test_many_unknowns import Pages, release_of
from tests.screening.test_questions import a_figure
from towdb.presentation.verdicts import coach_lines, table_rows
from towdb.wording.sentences import answer_text

Screen = Callable[..., Record]
# The coach is between 19,000 and 23,000 lb: what is left of its GCWR is between 3,000 and 7,000 lb.
OPEN_COACH: Figures = {
    "hitch_receiver": "5000 lb", "gcwr": "26000 lb", "gvwr": "23000 lb",
    "unloaded_weight": "19000 lb", "towing_capacity": "none stated",
}  # fmt: skip


@pytest.fixture(scope="module")
def release(tmp_path_factory: pytest.TempPathFactory) -> Path:
    pages = Pages()
    pages.group("bare", "Bare")
    pages.permits("bare")
    return release_of([pages], tmp_path_factory.mktemp("bounds"))


@pytest.fixture
def screen(release: Path, tmp_path: Path) -> Screen:
    def run(cars: Mapping[str, Row], coach: Figures, weigh_by: str = "best_known") -> Record:
        return screened(tmp_path, release, cars, coach, weigh_by)

    return run


def answers_about(car: Record, about: str) -> dict[str, str]:
    found = next((q for q in car["questions"] if q["about"] == about), None)
    return {a["value"]: a["verdict"] for a in found["answers"]} if found else {}


@pytest.mark.parametrize(
    ("cells", "coach", "expected"),
    [
        # Suitable up to what is surely left; above the receiver's plate it is not.
        ({"gvwr": "6000 lb"}, OPEN_COACH, {
            "3,000.0 lb or less": "suitable", "more, up to 5,000.0 lb": "undetermined",
            "more than 5,000.0 lb": "not_suitable"}),
        # Without a plate that is lower, above what is left of the coach at its lightest.
        ({"gvwr": "8500 lb"}, {**OPEN_COACH, "hitch_receiver": "9000 lb"}, {
            "3,000.0 lb or less": "suitable", "more, up to 7,000.0 lb": "undetermined",
            "more than 7,000.0 lb": "not_suitable"}),
        # Its own gross rating is the last bound.
        ({"gvwr": "3400 lb"}, OPEN_COACH, {
            "3,000.0 lb or less": "suitable", "more, up to 3,400.0 lb": "undetermined",
            "more than 3,400.0 lb": "not_suitable"}),
        # Both bounds are one.
        ({"gvwr": "6000 lb"}, COACH, {"5,000.0 lb or less": "suitable", "more": "not_suitable"}),
        # Below nine tenths of 4,500 lb no weighing is believed, though it is above what is left.
        ({"curb_weight": "4500 lb", "gvwr": "6000 lb", "as_weighed": "2000 lb"},
         {**OPEN_COACH, "hitch_receiver": "3500 lb"}, {
            "3,000.0 lb or less": "undetermined", "more, up to 4,049.9 lb": "undetermined",
            "more than 4,049.9 lb": "not_suitable"}),
        ({"curb_weight": "3400 lb", "gvwr": "4000 lb"}, OPEN_COACH, {
            "3,000.0 lb or less": "undetermined", "more, up to 4,000.0 lb": "undetermined",
            "more than 4,000.0 lb": "not_suitable"}),
    ],
)  # fmt: skip
def test_every_bound_behind_the_first_is_an_answer(
    screen: Screen, cells: Row, coach: Figures, expected: dict[str, str]
) -> None:
    car = cars_of(screen({"a": cells}, coach))["a"]
    answers = answers_about(car, "as_weighed")
    assert answers == expected
    # Each is what the car really gets when that figure is typed.
    typed: dict[str, Row] = {
        value: {**cells, "as_weighed": a_figure(value)} for value in answers if value != "more"
    }
    found = {name: one["verdict"] for name, one in cars_of(screen(typed, coach)).items()}
    assert found == {value: answers[value] for value in typed}


@pytest.mark.parametrize(
    ("cells", "coach", "about", "expected"),
    [
        # The car weighs 3,000 to 4,000 lb: the GCWR leaves 22,000 to 23,000 lb for the coach.
        ({"gvwr": "4000 lb", "curb_weight": "3000 lb"},
         {"hitch_receiver": "5000 lb", "gcwr": "26000 lb", "gvwr": "24000 lb",
          "towing_capacity": "none stated"},
         "loaded_weight",
         {"22,000.0 lb or less": "suitable", "more, up to 23,000.0 lb": "undetermined",
          "more than 23,000.0 lb": "not_suitable"}),
        # Its own GVWR is the last bound.
        ({"gvwr": "4000 lb", "curb_weight": "3000 lb"},
         {"hitch_receiver": "5000 lb", "gcwr": "26000 lb", "gvwr": "22500 lb",
          "towing_capacity": "none stated"},
         "loaded_weight",
         {"22,000.0 lb or less": "suitable", "more, up to 22,500.0 lb": "undetermined",
          "more than 22,500.0 lb": "not_suitable"}),
        ({"gvwr": "4000 lb", "curb_weight": "3000 lb"},
         {k: v for k, v in COACH.items() if k != "hitch_receiver"}, "hitch_receiver",
         {"4,000.0 lb or more": "suitable", "less, down to 3,000.0 lb": "undetermined",
          "less than 3,000.0 lb": "not_suitable"}),
        ({"gvwr": "4000 lb", "curb_weight": "3000 lb"},
         {k: v for k, v in COACH.items() if k != "gcwr"}, "gcwr",
         {"25,000.0 lb or more": "suitable", "less, down to 24,000.0 lb": "undetermined",
          "less than 24,000.0 lb": "not_suitable"}),
        ({"gvwr": "4000 lb", "curb_weight": "3000 lb"},
         {k: v for k, v in COACH.items() if k != "towing_capacity"}, "towing_capacity",
         {"4,000.0 lb or more": "suitable", "less, down to 3,000.0 lb": "undetermined",
          "less than 3,000.0 lb": "not_suitable", "none stated": "suitable"}),
        ({"as_weighed": "3500 lb", "gvwr": "4000 lb"},
         {k: v for k, v in COACH.items() if k != "gcwr"}, "gcwr",
         {"24,500.0 lb or more": "suitable", "less": "not_suitable"}),
    ],
)  # fmt: skip
def test_bounds_of_a_coach(
    screen: Screen, cells: Row, coach: Figures, about: str, expected: dict[str, str]
) -> None:
    answers = answers_about(cars_of(screen({"a": cells}, coach))["a"], about)
    assert answers == expected
    for value, verdict in answers.items():
        if value != "less":
            typed = value if value == "none stated" else a_figure(value)
            (one,) = screen({"a": cells}, {**coach, about: typed})["candidates"]
            assert (value, one["verdict"]) == (value, verdict)


def test_bounds_read_in_kilograms(screen: Screen) -> None:
    (question,) = (
        q for q in cars_of(screen({"a": {}}, OPEN_COACH))["a"]["questions"]
        if q["about"] == "as_weighed"
    )  # fmt: skip
    said = [answer_text(answer, "kg") for answer in question["answers"]]
    # 3,000 lb are 1,360.777 kg, 5,000 lb are 2,267.961 kg: down, to the safe side.
    assert said == ["1,360.7 kg or less", "more, up to 2,267.9 kg", "more than 2,267.9 kg"]


# ---------------------------------------------------------------- what the coach lacks

PLATE: Figures = {
    "hitch_receiver": "5000 lb", "gcwr": "26000 lb", "towing_capacity": "none stated",
}  # fmt: skip
KNOWN_CAR: dict[str, Row] = {"a": {"gvwr": "4000 lb", "curb_weight": "3000 lb"}}


def test_a_coach_without_a_weight_is_weighed_first(screen: Screen) -> None:
    screening = screen(KNOWN_CAR, PLATE)
    (car,) = screening["candidates"]
    assert car["governing_check"] == "combination_rating"
    assert car["questions"][0]["about"] == "loaded_weight"
    first = car["questions"][0]["answers"][0]
    assert (first["value"], first["then_ask"]) == ("22,000.0 lb or less", "coach_gvwr")
    (row,) = table_rows(screening, "lb")
    assert "Weigh the coach" in row[-1]


def test_after_a_rating_the_weight_of_the_coach_is_asked_next(screen: Screen) -> None:
    cells: dict[str, Row] = {"a": {"gvwr": "4000 lb"}}
    coach = {"hitch_receiver": "5000 lb", "towing_capacity": "none stated"}
    (car,) = screen(cells, coach)["candidates"]
    about = [q["about"] for q in car["questions"]]
    assert about == ["gcwr", "loaded_weight", "coach_gvwr"]
    assert {q["about"]: q["because"] for q in car["questions"]}["loaded_weight"] == (
        "the coach's loaded weight is not known"
    )


@pytest.mark.parametrize(
    ("coach", "lacks"),
    [
        (COACH, []),
        (PLATE, ["loaded_weight", "coach_gvwr"]),
        ({**PLATE, "gvwr": "22000 lb"}, []),
        ({"gvwr": "22000 lb"}, ["hitch_receiver", "gcwr", "towing_capacity"]),
        ({"unloaded_weight": "15000 lb"},
         ["hitch_receiver", "gcwr", "towing_capacity", "loaded_weight", "coach_gvwr"]),
        ({**{k: v for k, v in COACH.items() if k != "hitch_receiver"},
          "hitch_receiver_mode_not_printed": "5000 lb"}, ["receiver_mode"]),
        ({**COACH, "loaded_weight": "2050 lb"}, ["loaded_weight"]),
    ],
)  # fmt: skip
def test_all_that_a_coach_lacks_is_said_at_once(
    screen: Screen, coach: Figures, lacks: list[str]
) -> None:
    screening = screen(KNOWN_CAR, coach)
    assert [one["about"] for one in screening["coach"]["lacks"]] == lacks
    told = [line for line in coach_lines(screening, "lb") if "still to find out" in line]
    assert len(told) == bool(lacks)
    assert all(one["where"] in line for line in told for one in screening["coach"]["lacks"])
