"""With `--units kg` a screen speaks kilograms and kilometres, each figure to the safe side.

What a page prints is quoted as it stands; all else must be metric. The exact kilograms come from
the screening's own records, and are rounded here anew, with fractions.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import ceil, floor
from pathlib import Path
from typing import Any

import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.agreement import write_rows
from tests.helpers.command import Command, unwrapped
from tests.helpers.folders import read_table
from tests.helpers.worlds import Row

Record = dict[str, Any]
ON = "2026-01-31"
# Wider than any line, so that no figure is torn from its unit.
WIDE = "20000"
IMPERIAL = re.compile(r"(?<![\w.])(?:lbs?|mph|mi|miles?|pounds?)(?!\w)")
KILOGRAMS = re.compile(r"(-?[\d,]*\d(?:\.\d+)?) kg\b")
KILOMETRES = re.compile(r"([\d,]*\d(?:\.\d+)?) (km/h|km)(?![\w/])")
# NIST Handbook 44, appendix C: kilograms of a pound, kilometres of a mile.
POUND, MILE = Fraction("0.45359237"), Fraction("1.609344")
# A figure that is exact to a tenth stays what it is.
TOLERANCE = Fraction(1, 1_000_000)

PIKA: Row = {"make": "Quillon", "model": "Pika", "model_year": "2021", "market": "xa",
        "powertrain": "gasoline", "transmission": "planetary_automatic",
        "transfer_case": "two_speed_with_neutral"}  # fmt: skip
LOWAN: Row = {"make": "Bessarin", "model": "Lowan", "model_year": "2020", "market": "xa",
         "powertrain": "gasoline", "drivetrain": "front_wheel_drive",
         "transmission": "continuously_variable", "transfer_case": "none",
         "ignition": "key"}  # fmt: skip
TUSSOCK: Row = {"make": "Miradec", "model": "Tussock", "model_year": "2022", "market": "xa",
           "powertrain": "gasoline", "drivetrain": "full_time_four_wheel_drive",
           "transmission": "planetary_automatic",
           "transfer_case": "two_speed_with_neutral"}  # fmt: skip
OSIER: Row = {"make": "Dunmere", "model": "Osier", "model_year": "2022", "market": "xa",
         "powertrain": "gasoline", "drivetrain": "front_wheel_drive",
         "transmission": "continuously_variable", "transfer_case": "none"}  # fmt: skip
SEDGE: Row = {"make": "Tarrow", "model": "Sedge", "model_year": "2018", "market": "xa",
         "powertrain": "gasoline", "drivetrain": "front_wheel_drive", "transmission": "manual",
         "transfer_case": "none"}  # fmt: skip
# A bare figure is in kilograms.
CARS: list[Row] = [
    {**LOWAN, "as_weighed": "3,640 lb"},
    {**LOWAN, "as_weighed": "4,400 lb"},
    {**LOWAN, "as_weighed": "1651.04"},
    {**LOWAN, "as_weighed": "2153.40162", "gvwr": "2500"},
    {**LOWAN, "as_weighed": "2153.401621", "gvwr": "2500"},
    {**LOWAN, "transmission": ""},
    {**PIKA, "gvwr": "4,900 lb", "curb_weight": "3625 lb", "load": "176.3 lb"},
    {**PIKA, "gvwr": "2222.7", "curb_weight": "1644.06", "load": "80"},
    PIKA, {**PIKA, "transmission": "manual"}, {**PIKA, "transmission": ""},
    TUSSOCK, {**TUSSOCK, "options": "Tow Mode package"},
    OSIER, {**OSIER, "ignition": "key"}, SEDGE, {**SEDGE, "steering": "electric"},
    {"make": "Quillon", "model": "Pika"}, {"make": "Bessarin", "model": "Lowan"},
    {"make": "Vantrel", "model": "Hollin", "model_year": "2019"}, {"make": "Pellworth"},
    {"make": "Oskelund", "model": "Brim"}, {},
]  # fmt: skip
COACHES = {
    "whole": {"hitch_receiver": "5000 lb", "gcwr": "26000 lb", "gvwr": "22000 lb",
              "towing_capacity": "5000 lb", "loaded_weight": "9640 kg",
              "unbraked_towed_max": "1500 lb"},
    "in kilograms": {"hitch_receiver": "2000.04 kg", "gcwr": "11793.46 kg", "gvwr": "9979 kg",
                     "towing_capacity": "none stated", "loaded_weight": "9525.41 kg",
                     "unbraked_towed_max": "750 kg"},
    "not weighed": {"hitch_receiver": "5000 lb", "gcwr": "26000 lb", "gvwr": "22000 lb",
                    "unloaded_weight": "18400 lb", "towing_capacity": "4000 lb"},
    "half known": {"hitch_receiver_mode_not_printed": "4000 lb", "gvwr": "22000 lb",
                   "loaded_weight": "21000 lb"},
    "too heavy": {"hitch_receiver": "5000 lb", "gcwr": "21000 lb", "gvwr": "20000 lb",
                  "towing_capacity": "5000 lb", "loaded_weight": "21500 lb"},
}  # fmt: skip
ALL_COACHES = ("demo", *COACHES, "brackwater-38", "ferrow-26", "nordhal-700", "saltmarsh-31")


# ---------------------------------------------------------------- what is screened


@pytest.fixture(params=["demo", "others"])
def shortlist(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    if request.param == "demo":
        return DEMO / "shortlist.csv"
    rows: list[Row] = [
        {"candidate": f"car {n}", "weight_unit": "kg", **row} for n, row in enumerate(CARS, start=1)
    ]
    write_rows(tmp_path / "cars.csv", rows)
    return tmp_path / "cars.csv"


def coach_called(name: str, folder: Path) -> Path | str:
    if name == "demo":
        return DEMO / "coach.toml"
    return coach_file(folder, name) if name in COACHES else name


def coach_file(folder: Path, name: str) -> Path:
    path = folder / f"{name}.toml"
    lines = [f"{key} = {json.dumps(value)}" for key, value in COACHES[name].items()]
    path.write_text("\n".join(["[properties]", *lines]) + "\n", "utf-8")
    return path


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Command:
    monkeypatch.setenv("COLUMNS", WIDE)
    return Command(monkeypatch, capsys)


def told(
    command: Command, shortlist: Path, coaches: Sequence[Path | str], release: Path, *options: str
) -> str:
    """What is read in kilograms."""
    behind = (part for coach in coaches for part in ("--coach", coach))
    where = ("--reference", release, "--on", ON, "--units", "kg")
    said = command("screen", shortlist, *behind, *where, *options)
    assert (said.status, said.err) == (0, "")
    return said.out


def without_quotes(text: str, quotes: Sequence[str]) -> str:
    """The text without what pages print; the longest first, for some hold others."""
    text = unwrapped(text)
    for quote in sorted(map(unwrapped, quotes), key=len, reverse=True):
        text = text.replace(quote, "…")
    return text


def printed(screening: towdb.Screening) -> list[str]:
    """Every quote of a page that a screening rests on."""
    return [row["quote"] for row in screening.records("citation") if row["quote"]]


# ---------------------------------------------------------------- no pound, no mile


@pytest.mark.parametrize("options", [(), ("--explain",)], ids=["short", "explained"])
def test_no_pound_and_no_mile_is_left(
    options: tuple[str, ...], shortlist: Path, demo_release: Path, command: Command, tmp_path: Path
) -> None:
    coaches = [coach_called(name, tmp_path) for name in ALL_COACHES]
    with towdb.screen(shortlist, coach=coaches, reference=demo_release, on=ON) as screening:
        quotes = printed(screening)
    text = without_quotes(told(command, shortlist, coaches, demo_release, *options), quotes)
    assert text.count(" kg") > len(coaches)
    left = [text[max(0, m.start() - 60) : m.end() + 20] for m in IMPERIAL.finditer(text)]
    assert left == []


# ---------------------------------------------------------------- kilograms, to the safe side


def down(exact: Fraction) -> Fraction:
    return Fraction(floor((exact + TOLERANCE) * 10), 10)


def up(exact: Fraction) -> Fraction:
    return Fraction(ceil((exact - TOLERANCE) * 10), 10)


def margin(exact: Fraction) -> Fraction:
    """What is too much never shows as nothing."""
    return min(Fraction(-1, 10), down(exact)) if exact < 0 else down(exact)


def shown_kilograms(text: str) -> set[Fraction]:
    return {abs(Fraction(figure.replace(",", ""))) for figure in KILOGRAMS.findall(text)}


def exact(value: Any) -> Fraction:
    return Fraction(str(value))


def to_be_shown(screening: towdb.Screening) -> Iterator[Fraction]:
    """What the rows of the table must show: capacity, weights and margins that govern."""
    for coach in screening.records("capacity"):
        # A coach that is too heavy pulls nothing: by how much it is too heavy is shown instead.
        known = coach["too_heavy_by_kg"], coach["capacity_kg"], coach["capacity_at_most_kg"]
        figure = next((f for f in known if f is not None), None)
        if figure is not None:
            yield up(exact(figure)) if coach["too_heavy"] else abs(margin(exact(figure)))
    checks = {(row["candidate"], row["check"]): row for row in screening.records("check_outcome")}
    for verdict in screening.records("verdict"):
        if verdict["towed_weight_kg"] is not None:
            yield up(exact(verdict["towed_weight_kg"]))
        governing = checks[verdict["candidate"], verdict["governing_check"]]
        if governing["margin_kg"] is not None:
            yield abs(margin(exact(governing["margin_kg"])))


def may_be_shown(screening: towdb.Screening) -> Iterator[Fraction]:
    """What else may stand there: values, limits and margins of checks, answers, brakes."""
    yield from to_be_shown(screening)
    for check in screening.records("check_outcome"):
        if check["margin_kg"] is not None:
            yield up(exact(check["value_kg"]))
            yield down(exact(check["limit_kg"]))
            yield abs(margin(exact(check["margin_kg"])))
    for question in screening.records("question"):
        if question["bound"] is not None:
            figure = exact(question["figure_kg"])
            is_most = question["bound"] in ("at_most", "above")
            yield down(figure) if is_most else up(figure)


@pytest.mark.parametrize("name", ALL_COACHES)
def test_every_figure_is_the_exact_kilograms_to_the_safe_side(
    name: str, shortlist: Path, demo_release: Path, command: Command, tmp_path: Path
) -> None:
    coach = coach_called(name, tmp_path)
    with towdb.screen(shortlist, coach=coach, reference=demo_release, on=ON) as screening:
        quotes = printed(screening)
        must = set(to_be_shown(screening))
        may = set(may_be_shown(screening)) | set(brakes(coach))
    text = told(command, shortlist, [coach], demo_release, "--explain")
    shown = shown_kilograms(without_quotes(text, quotes))
    assert must - shown == set()
    assert shown - may == set()


def brakes(coach: Path | str) -> Iterator[Fraction]:
    """Above what the coach asks for brakes on the car: exact, of a pair the smaller."""
    if isinstance(coach, Path):
        content = coach.read_text("utf-8")
        texts = re.findall(r'unbraked_towed_max = "([\d.]+) (lb|kg)"', content)
    else:
        texts = [
            (row[value], row[unit])
            for row in read_table(DEMO / "reference", "coach_property")
            if (row["coach_id"], row["property"]) == (coach, "unbraked_towed_max")
            for value, unit in (("value", "unit"), ("also_value", "also_unit"))
            if row[value]
        ]
    if texts:
        yield down(min(Fraction(v) * (POUND if unit == "lb" else 1) for v, unit in texts))


@pytest.mark.parametrize("name", ["whole", "in kilograms", "not weighed"])
def test_a_threshold_read_in_kilograms_is_met_when_typed_and_a_tenth_more_is_not(
    name: str, demo_release: Path, command: Command, tmp_path: Path
) -> None:
    car = PIKA | {"gvwr": "4,900 lb"}
    write_rows(tmp_path / "cars.csv", [{"candidate": "a", **car}])
    coach = coach_file(tmp_path, name)
    text = unwrapped(told(command, tmp_path / "cars.csv", [coach], demo_release))
    (figure,) = re.findall(r"([\d,.]+) kg or less", text)
    most = Fraction(figure.replace(",", ""))
    typed = [float(most), float(most + Fraction(1, 10))]
    rows: list[Row] = [{"candidate": f"{w}", **car, "as_weighed": f"{w} kg"} for w in typed]
    write_rows(tmp_path / "cars.csv", rows)
    with towdb.screen(
        tmp_path / "cars.csv", coach=coach, reference=demo_release, on=ON
    ) as screening:
        verdicts = [row["verdict"] for row in screening.records("verdict")]
    assert verdicts == ["suitable", "not_suitable"]


# ---------------------------------------------------------------- kilometres


def in_kilometres(limit: Row) -> set[Fraction]:
    """As the page prints it, or the safer of what it prints."""
    figures = [(limit["value"], limit["unit"]), (limit["also_value"], limit["also_unit"])]
    own = {Fraction(str(value)) for value, unit in figures if unit in ("km", "km/h")}
    miles = [Fraction(str(value)) * MILE for value, unit in figures if unit in ("mi", "mph")]
    if limit["bound"] == "at_most":
        return own | {min([*own, *map(down, miles)])}
    return own | {max([*own, *map(up, miles)])}


def test_a_limit_in_kilometres_is_the_one_that_the_page_prints_or_a_safer_one(
    shortlist: Path, demo_release: Path, command: Command
) -> None:
    coach = DEMO / "coach.toml"
    rows = read_table(DEMO / "reference", "towing_limit")
    known: dict[str, Row] = {row["towing_limit_id"]: {**row} for row in rows}
    with towdb.screen(shortlist, coach=coach, reference=demo_release, on=ON) as screening:
        quotes = printed(screening)
        asked = {row["key"] for row in screening.records("condition") if row["key"] in known}
    allowed = {
        (unit, figure)
        for unit, quantity in (("km", "distance"), ("km/h", "speed"))
        for key in asked
        if known[key]["quantity"] == quantity and known[key]["value"]
        for figure in in_kilometres(known[key])
    }
    text = without_quotes(told(command, shortlist, [coach], demo_release), quotes)
    shown = {(unit, Fraction(figure.replace(",", ""))) for figure, unit in KILOMETRES.findall(text)}
    assert shown
    assert shown - allowed == set()
