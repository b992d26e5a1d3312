"""Beside a verdict: a model and more in one cell, and a VIN of another model year."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.command import Command, unwrapped
from towdb.screening import name_remarks

ON = "2026-01-31"
COACH = DEMO / "coach.toml"
# The same car as one of the demo's shortlist, for which its manual permits it.
WICKET = next(row for row in pd.read_csv(DEMO / "shortlist.csv", dtype=str).to_dict("records")
              if row["candidate"] == "wicket 19")  # fmt: skip
TRIMMED = {
    "blank": "WICKET Sport 2019",
    "mark": "wicket-sport",
    "two blanks": " Wicket  (Sport)",
}
NAMES = ("unknown_make", "unknown_model", "unknown_make_among_many", "unknown_model_among_many")
OTHERS = {"another word": "Wicketta", "nothing behind": "Wicket -", "within": "New Wicket"}


@pytest.fixture
def type_in(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Command:
    return Command(monkeypatch, capsys)


def car(**cells: str | None) -> dict[str, Any]:
    return {**{str(name): cell for name, cell in WICKET.items()}, **cells}


def remarks(cars: list[dict[str, Any]], release: Path) -> set[tuple[str, str, str | None]]:
    frame = pd.DataFrame(cars)
    with towdb.screen(frame, coach=COACH, reference=release, on=ON) as screening:
        kinds = {*NAMES, "model_and_more", "vin_of_another_year", "vin_without_year"}
        return {
            (row["candidate"], row["kind"], row["said"])
            for row in screening.records("remark")
            if row["kind"] in kinds
        }


@pytest.mark.parametrize("model", TRIMMED.values(), ids=TRIMMED)
def test_a_model_and_more_in_one_cell_is_told_and_never_matched(
    demo_release: Path, model: str
) -> None:
    cars = pd.DataFrame([car(), car(candidate="b", model=model)])
    with towdb.screen(cars, coach=COACH, reference=demo_release, on=ON) as screening:
        own, other = screening.records("verdict")
    assert (own["verdict"], own["permission_reason"]) == ("suitable", "permitted")
    assert (other["verdict"], other["permission_reason"]) == ("undetermined", "nothing_on_record")
    told = remarks([car(candidate="b", model=model)], demo_release)
    assert told == {("b", "model_and_more", "Wicket")}


@pytest.mark.parametrize("model", OTHERS.values(), ids=OTHERS)
def test_another_model_is_not_told_as_a_model_and_more(demo_release: Path, model: str) -> None:
    ((_, kind, _),) = remarks([car(model=model)], demo_release)
    assert kind == "unknown_model"


def test_a_model_of_another_make_begins_nothing(demo_release: Path) -> None:
    ((_, kind, _),) = remarks([car(make="Quillon", model="Wicket Sport")], demo_release)
    assert kind == "unknown_model"


# In the order of cars; a name twice, a make of two models, and one that is told without comparing.
UNKNOWN = [
    car(candidate="a", model="Wickett"),
    car(candidate="b", model="Wicket Sport"),
    car(candidate="c", make="Quilon", model="Pika"),
    car(candidate="d", make="Quilon", model="Other"),
    car(candidate="e", model="Wickett"),
    car(candidate="f", make=None),
    car(candidate="g", model="Zzz"),
    car(candidate="h", model="Wickit"),
]
COMPARED = {
    "a": ("unknown_model", "Wicket"),
    "b": ("model_and_more", "Wicket"),
    "c": ("unknown_make", "Quillon"),
    "d": ("unknown_make", "Quillon"),
    "e": ("unknown_model", "Wicket"),
    "g": ("unknown_model", None),
    "h": ("unknown_model", "Wicket"),
}


@pytest.mark.parametrize(
    ("most", "left"), [(5, ""), (4, ""), (3, "h"), (2, "gh"), (1, "cdgh"), (0, "acdegh")]
)
def test_of_many_names_the_first_are_compared(
    demo_release: Path, monkeypatch: pytest.MonkeyPatch, most: int, left: str
) -> None:
    monkeypatch.setattr(name_remarks, "COMPARED_UP_TO", most)
    wanted = {
        (name, f"{kind}_among_many", None) if name in left else (name, kind, near)
        for name, (kind, near) in COMPARED.items()
    }
    assert remarks(UNKNOWN, demo_release) == wanted


def test_which_names_are_the_first_follows_from_the_order_of_the_cars(
    demo_release: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(name_remarks, "COMPARED_UP_TO", 1)
    for first in ("a", "c", "g", "h"):
        cars = sorted(UNKNOWN, key=lambda row: row["candidate"] != first)
        found = {name: kind for name, kind, _ in remarks(cars, demo_release)}
        compared = {name for name in found if not found[name].endswith("_among_many")}
        same = {"a": {"a", "e"}, "c": {"c", "d"}}.get(first, {first})
        assert compared == same | {"b"}


def test_a_name_that_was_not_compared_is_told_as_such(
    demo_release: Path, type_in: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(name_remarks, "COMPARED_UP_TO", 0)
    shortlist = tmp_path / "cars.csv"
    pd.DataFrame([UNKNOWN[0], UNKNOWN[2]]).to_csv(shortlist, index=False)
    call = ("screen", shortlist, "--coach", COACH, "--reference", demo_release, "--on", ON)
    text = unwrapped(type_in(*call).out)
    assert "are not on record to look for a similar make" in text
    assert "are not on record to look for a similar model" in text
    assert "did you mean" not in text


def test_names_are_compared_only_where_remarks_are_asked_for(
    demo_release: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    compared: list[str] = []
    monkeypatch.setattr(name_remarks, "nearest", lambda name, known: compared.append(name))
    cars = pd.DataFrame(UNKNOWN)
    with towdb.screen(cars, coach=COACH, reference=demo_release, on=ON) as screening:
        for output in ("verdict", "capacity", "question", "to_find_out"):
            screening.records(output)
        screening.write(tmp_path / "verdicts.csv")
        screening.summary()
        screening.sql("select count(*) from verdict")
        assert compared == []
        screening.sql("select count(*) from remark")
    assert compared == ["Wickett", "Quilon", "Zzz", "Wickit"]


def test_the_screen_says_what_to_type(demo_release: Path, type_in: Command, tmp_path: Path) -> None:
    shortlist = tmp_path / "cars.csv"
    vin = "ZX9AA1B90JA000001"
    pd.DataFrame([car(model="WICKET Sport 2019", vin=vin)]).to_csv(shortlist, index=False)
    said = type_in("screen", shortlist, "--coach", COACH, "--reference", demo_release, "--on", ON)
    assert said.status == 0
    text = unwrapped(said.out)
    assert "the record has Wicket: if this is that model, type Wicket as its model" in text
    assert "Its VIN gives model year 2018, its row another: compare both with the car" in text


def test_gaps_name_the_model_on_record_beside_the_manual_that_seems_to_lack(
    demo_release: Path, type_in: Command, tmp_path: Path
) -> None:
    shortlist = tmp_path / "cars.csv"
    models = ("WICKET Sport", "wicket sport", "Wicketta")
    cars = [car(candidate=f"{number}", model=model) for number, model in enumerate(models)]
    # Two ways of writing one make: a group of cars takes one of them.
    cars[1]["make"] = WICKET["make"].upper()
    pd.DataFrame(cars).to_csv(shortlist, index=False)
    call = ("gaps", shortlist, "--reference", demo_release, "--on", ON)
    rows = json.loads(type_in(*call, "--format", "json").out)["gaps"]
    statements = {row["model"]: row for row in rows if row["lacks"] == "statement"}
    assert {name.lower(): (row["cars"], row["on_record"]) for name, row in statements.items()} == {
        "wicket sport": (2, "Wicket"),
        "wicketta": (1, None),
    }
    shown = type_in(*call).out
    assert "on record:" in shown
    assert "the model as typed begins with it: if it is that model, type it so" in unwrapped(shown)


def test_an_inventory_checked_beside_a_release_names_the_model_on_record(
    demo_release: Path, type_in: Command, tmp_path: Path
) -> None:
    shortlist = tmp_path / "cars.csv"
    pd.DataFrame([car(), car(candidate="b", model="WICKET Sport")]).to_csv(shortlist, index=False)
    call = ("inventory", "check", shortlist, "--format", "json")
    assert json.loads(type_in(*call).out)["findings"] == []
    said = type_in(*call, "--reference", demo_release)
    assert said.status == 0
    (finding,) = json.loads(said.out)["findings"]
    assert (finding["line"], finding["column"], finding["value"]) == (3, "model", "WICKET Sport")
    assert (finding["rule"], finding["severity"]) == ("model_and_more", "warning")
    assert finding["message"] == "no such model on record; the record has Wicket"


# A VIN's place 10 names the year, and place 7 of which thirty years it is (49 CFR 565.15).
VINS = {
    "its own year": ("ZX9AA1B90KA000001", None),
    "another year": ("ZX9AA1B90JA000001", ("vin_of_another_year", "2018")),
    "lower case": ("zx9aa1b90ja000001", ("vin_of_another_year", "2018")),
    "thirty years before": ("ZX9AA1490KA000001", ("vin_of_another_year", "1989")),
    "no year": ("ZX9AA1B900A000001", ("vin_without_year", None)),
    "not a VIN": ("ZX9AA1B90JA00001", None),
    "none": ("", None),
}


@pytest.mark.parametrize(("vin", "said"), VINS.values(), ids=VINS)
def test_a_vin_of_another_year_is_told(
    demo_release: Path, vin: str, said: tuple[str, str | None] | None
) -> None:
    found = remarks([car(vin=vin)], demo_release)
    assert found == (set() if said is None else {("wicket 19", *said)})


@pytest.mark.parametrize("gross", ["10001 lb", "10000 lb", None])
@pytest.mark.parametrize("vin", [vin for vin, _ in VINS.values()], ids=VINS)
@pytest.mark.parametrize("year", ["1980", "2019", "1989", None])
def test_screen_and_inventory_check_doubt_the_same_vins(
    demo_release: Path, vin: str, year: str | None, gross: str | None
) -> None:
    cars = [car(vin=vin, model_year=year, gvwr=gross, curb_weight=None, as_weighed=None)]
    with towdb.check_inventory(pd.DataFrame(cars)) as checked:
        doubted = {finding.rule for finding in checked.found()} & {"vin_model_year"}
    kinds = {kind for _, kind, _ in remarks(cars, demo_release) if kind.startswith("vin")}
    assert bool(kinds) == bool(doubted)


def test_no_verdict_rests_on_a_vin(demo_release: Path) -> None:
    cars = pd.DataFrame([car(candidate=vin or "-", vin=vin) for vin, _ in VINS.values()])
    with towdb.screen(cars, coach=COACH, reference=demo_release, on=ON) as screening:
        assert {row["verdict"] for row in screening.records("verdict")} == {"suitable"}
