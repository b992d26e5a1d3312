"""Ratings and weights against published classes, definitions, practice, and a public car table."""

from __future__ import annotations

import importlib.resources
import json
from collections import Counter
from collections.abc import Iterable, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

import towdb

ON = "2026-01-31"
POUND = Decimal("0.45359237")
# The demo's Pika of 2021, of which a checked page says that it may be towed flat: GVWR 4,550.4 lb.
PERMITTED = {
    "make": "Quillon", "model": "Pika", "model_year": "2021", "market": "xa",
    "powertrain": "gasoline", "drivetrain": "part_time_four_wheel_drive",
    "transmission": "planetary_automatic", "transfer_case": "two_speed_with_neutral",
    "ignition": "key",
}  # fmt: skip


def coach_file(folder: Path, name: str = "coach", **figures: str) -> Path:
    lines = [f'{rating} = "{figure}"' for rating, figure in figures.items()]
    path = folder / f"{name}.toml"
    path.write_text("\n".join(["[properties]", *lines, ""]), "utf-8")
    return path


def screen(
    cars: Sequence[dict[str, str]], coach: Path | Iterable[Path], release: Path, **more: Any
) -> list[dict[str, Any]]:
    frame = pd.DataFrame([{"candidate": f"car {i}", **car} for i, car in enumerate(cars)])
    with towdb.screen(frame.fillna(""), coach=coach, reference=release, on=ON, **more) as done:
        return done.records("verdict")


def kilograms(pounds: int) -> str:
    return f"{(pounds * POUND).normalize():f} kg"


# ---------------------------------------------------------------- classes of receivers

# COMAR 11.13.08.04 B and 15 NYCRR 57.3(c) (both the scheme of SAE J684), classes 1 to 4: up to and
# including so many pounds of gross trailer weight.
CLASSES = [2000, 3500, 5000, 10000]
# One hundredth of a pound is 0.0045359237 kg; the next kilogram figure of six decimals above it.
HUNDREDTH_KG = Decimal("0.004536")


@pytest.mark.parametrize("bound", CLASSES)
@pytest.mark.parametrize("plate_in", ["lb", "kg"])
def test_a_receiver_class_includes_its_upper_bound(
    tmp_path: Path, demo_release: Path, bound: int, plate_in: str
) -> None:
    plate = f"{bound} lb" if plate_in == "lb" else kilograms(bound)
    coach = coach_file(tmp_path, hitch_receiver=plate)
    cars = [
        {"as_weighed": weight}
        for weight in (
            f"{bound}.00 lb",
            kilograms(bound),
            f"{bound - 1}.99 lb",
            f"{bound}.01 lb",
            f"{bound * POUND + HUNDREDTH_KG} kg",
            f"{bound * POUND + Decimal('0.000001')} kg",
        )
    ]
    found = screen(cars, coach, demo_release)
    outcomes = [row["hitch_receiver_outcome"] for row in found]
    assert outcomes == ["met", "met", "met", "not_met", "not_met", "not_met"]
    margins = [row["hitch_receiver_margin_lb"] for row in found]
    assert margins[:2] == [0, 0]
    # A failed margin never shows as 0.
    assert margins[3:] == [-0.1, -0.1, -0.1]


def test_five_thousand_pounds_in_kilograms_is_exact(tmp_path: Path, demo_release: Path) -> None:
    # NBS Applied Mathematics Series 55, table 2.4: 1 lb is 0.45359237 kg, so that the bound of
    # class 3 is 2,267.96185 kg and no other figure.
    assert kilograms(5000) == "2267.96185 kg"
    coach = coach_file(tmp_path, hitch_receiver="2,267.96185 kg")
    cars = [{"as_weighed": weight} for weight in ("5,000 lb", "5,000.01 lb", "2,267.961851 kg")]
    outcomes = [row["hitch_receiver_outcome"] for row in screen(cars, coach, demo_release)]
    assert outcomes == ["met", "not_met", "not_met"]


def test_a_rounded_pair_is_not_the_bound(tmp_path: Path, demo_release: Path) -> None:
    # Plates print 5,000 lb as 2,268 kg, which is 0.08 lb more; whoever types only that has said so.
    coach = coach_file(tmp_path, hitch_receiver="2268 kg")
    found = screen(
        [{"as_weighed": "5000.08 lb"}, {"as_weighed": "5000.09 lb"}], coach, demo_release
    )
    assert [row["hitch_receiver_outcome"] for row in found] == ["met", "not_met"]


# ---------------------------------------------------------------- combination and gross ratings

# 49 CFR 571.3 (value from memory; GVWR in the same words in WAC 204-70-040(2)): GVWR is what the
# maker gives as the loaded weight of a single vehicle, GCWR as that of a combination. A receiver
# plate of 5,000 lb, a GCWR of 26,000 lb and a coach of 22,000 lb leave 4,000 lb for the car.
COMBINATION = {
    "hitch_receiver": "5000 lb",
    "gcwr": "26000 lb",
    "gvwr": "23000 lb",
    "loaded_weight": "22000 lb",
    "towing_capacity": "none stated",
}


@pytest.mark.parametrize(
    ("weighs", "outcome", "margin"),
    [
        ("3999.99 lb", "met", 0.0),  # 0.01 lb to spare, shown to 0.1 and rounded down
        ("3999 lb", "met", 1.0),
        ("4000 lb", "met", 0.0),
        ("1814.36948 kg", "met", 0.0),
        ("4000.01 lb", "not_met", -0.1),
        ("1814.369481 kg", "not_met", -0.1),
        ("4400 lb", "not_met", -400.0),
    ],
)
def test_what_the_combination_rating_leaves(
    tmp_path: Path, demo_release: Path, weighs: str, outcome: str, margin: float
) -> None:
    coach = coach_file(tmp_path, **COMBINATION)
    (row,) = screen([{**PERMITTED, "as_weighed": weighs}], coach, demo_release)
    assert row["hitch_receiver_outcome"] == "met"
    assert row["coach_gross_outcome"] == "met"
    assert row["combination_rating_outcome"] == outcome
    assert row["verdict"] == ("suitable" if outcome == "met" else "not_suitable")
    assert row["governing_check"] == "combination_rating"
    assert float(row["margin_lb"]) == margin


def test_the_receiver_plate_does_not_lend_what_the_combination_lacks(
    tmp_path: Path, demo_release: Path
) -> None:
    figures = {**COMBINATION, "hitch_receiver": "10000 lb", "loaded_weight": "22500 lb"}
    coach = coach_file(tmp_path, **figures)
    # The scale in kilograms, by hand: 3,500 lb are 1,587.573295 kg.
    weights = ("3500 lb", "1587.573295 kg", "1587.573296 kg", "4400 lb")
    found = screen([{**PERMITTED, "as_weighed": w} for w in weights], coach, demo_release)
    assert [row["hitch_receiver_outcome"] for row in found] == ["met"] * 4
    verdicts = [row["verdict"] for row in found]
    assert verdicts == ["suitable", "suitable", "not_suitable", "not_suitable"]
    assert {row["governing_check"] for row in found} == {"combination_rating"}
    assert found[3]["margin_lb"] == -900


def test_a_coach_above_its_own_gross_rating_pulls_nothing(
    tmp_path: Path, demo_release: Path
) -> None:
    cars = [{**PERMITTED, "as_weighed": "4000 lb"}]
    for loaded, verdict in (("23000 lb", "suitable"), ("23000.01 lb", "not_suitable")):
        figures = {**COMBINATION, "gcwr": "40000 lb", "loaded_weight": loaded}
        (row,) = screen(cars, coach_file(tmp_path, **figures), demo_release)
        assert row["verdict"] == verdict
    assert row["governing_check"] == "coach_gross"


def test_a_coach_nobody_weighed_counts_at_its_gross_rating(
    tmp_path: Path, demo_release: Path
) -> None:
    # A GVWR of 23,000 lb is the most that a coach may weigh: it leaves 4,000 lb of 27,000.
    figures = {name: figure for name, figure in COMBINATION.items() if name != "loaded_weight"}
    coach = coach_file(tmp_path, **{**figures, "gcwr": "27000 lb"})
    found = screen(
        [{**PERMITTED, "as_weighed": weight} for weight in ("4000 lb", "4000.01 lb")],
        coach,
        demo_release,
    )
    assert [row["combination_rating_outcome"] for row in found] == ["met", "unknown"]
    assert [row["verdict"] for row in found] == ["suitable", "undetermined"]


# ---------------------------------------------------------------- common practice, no source

AMPLE = {
    "hitch_receiver": "5000 lb",
    "gcwr": "40000 lb",
    "gvwr": "23000 lb",
    "loaded_weight": "22000 lb",
    "towing_capacity": "none stated",
}


def test_600_lb_to_spare(tmp_path: Path, demo_release: Path) -> None:
    # Common practice: 4,400 lb ready to tow behind a plate of 5,000 lb.
    coach = coach_file(tmp_path, **AMPLE)
    (row,) = screen([{**PERMITTED, "as_weighed": "4400 lb"}], coach, demo_release)
    assert (row["verdict"], row["governing_check"]) == ("suitable", "hitch_receiver")
    assert row["margin_lb"] == 600
    assert (row["towed_weight_lb"], row["weight_basis"]) == (4400, "as_weighed")


def test_the_door_post_rating_is_a_weight_to_go_by(tmp_path: Path, demo_release: Path) -> None:
    # Common practice: the gross rating on the door post is the most that the car may weigh.
    typed, unweighed, brochure = screen(
        [
            {**PERMITTED, "gvwr": "4400 lb"},
            PERMITTED,
            {"make": "Nobody", "model": "Knows", "curb_weight": "3000 lb"},
        ],
        coach_file(tmp_path, **AMPLE),
        demo_release,
    )
    assert (typed["verdict"], typed["weight_basis"], typed["margin_lb"]) == (
        "suitable",
        "gvwr",
        600,
    )
    # 2,064 kg on the demo's label is 4,550.4 lb at most.
    assert (unweighed["verdict"], unweighed["weight_basis"]) == ("suitable", "gvwr")
    assert unweighed["hitch_receiver_margin_lb"] < 600
    # A brochure's curb weight leaves options out: it is no weight to go by.
    assert brochure["weight_basis"] is None
    assert brochure["hitch_receiver_outcome"] == "unknown"


@pytest.mark.parametrize("weigh_by", ["best_known", "gvwr"])
def test_no_weight_makes_up_for_a_missing_statement(
    tmp_path: Path, demo_release: Path, weigh_by: str
) -> None:
    # Common practice: whether it may be towed flat is decided by the owner's manual alone.
    policy = tmp_path / "policy.toml"
    policy.write_text(f'weigh_by = "{weigh_by}"\n', "utf-8")
    # Light, but not below nine tenths of any curb weight on record, which would be no weighing.
    light = {"as_weighed": "3200 lb", "gvwr": "5500 lb"}
    cars = [
        light,
        {"make": "Nobody", "model": "Knows", "model_year": "2021", **light},
        # Of these the demo's manuals say: nothing, ask a dealer, never.
        {"make": "Dunmere", "model": "Osier", "model_year": "2018", "market": "xa", **light},
        {"make": "Pellworth", "model": "Gannet", "model_year": "2022", "market": "xa", **light},
        {"make": "Bessarin", "model": "Lowan", "model_year": "2020", "market": "xa",
         "powertrain": "gasoline", "drivetrain": "all_wheel_drive",
         "transmission": "continuously_variable", "ignition": "button", **light},
    ]  # fmt: skip
    coach = coach_file(tmp_path, **{**AMPLE, "hitch_receiver": "20000 lb", "gcwr": "80000 lb"})
    found = screen(cars, coach, demo_release, policy=policy)
    assert {row["hitch_receiver_outcome"] for row in found} == {"met"}
    assert {row["combination_rating_outcome"] for row in found} == {"met"}
    assert {row["governing_check"] for row in found} == {"permission"}
    assert [row["verdict"] for row in found] == ["undetermined"] * 4 + ["not_suitable"]


# ---------------------------------------------------------------- a public table of car weights


def weights_of_cars() -> list[int]:
    """Weights in pounds of the cars of `vega_datasets`, by row number."""
    table = importlib.resources.files("vega_datasets") / "_data" / "cars.json"
    return [int(car["Weight_in_lbs"]) for car in json.loads(table.read_text("utf-8"))]


def test_counts_of_a_public_car_table_agree_with_pandas(tmp_path: Path, demo_release: Path) -> None:
    # The car table that the package vega_datasets carries; names are left behind.
    weights = pd.Series(weights_of_cars())
    assert len(weights) == 406
    # At, below and above weights that occur, beside the classes.
    middle = int(weights.median())
    capacities = sorted({*CLASSES, middle - 1, middle, middle + 1, int(weights.max()), 100})
    coaches = [
        coach_file(tmp_path, f"plate-{capacity}", hitch_receiver=f"{capacity} lb")
        for capacity in capacities
    ]
    cars = [{"as_weighed": f"{weight}", "weight_unit": "lb"} for weight in weights]
    counted = Counter(
        (row["coach"], row["hitch_receiver_outcome"]) for row in screen(cars, coaches, demo_release)
    )
    expected = {}
    for capacity in capacities:
        met = int((weights <= capacity).sum())
        expected[f"plate-{capacity}", "met"] = met
        expected[f"plate-{capacity}", "not_met"] = len(weights) - met
    assert counted == Counter({key: count for key, count in expected.items() if count})
    assert 0 < expected[f"plate-{middle}", "met"] < len(weights)
    assert expected["plate-100", "met"] == 0
