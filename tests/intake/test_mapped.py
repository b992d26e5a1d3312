"""Other people's headers and words, in what is counted: the same as ours."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pandas as pd
import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.cars_drawn import write
from tests.helpers.command import Command

ON = "2026-01-31"
COACH = DEMO / "coach.toml"
HEADER = "make,model,model_year,drivetrain,gvwr,price"
OURS = [
    "Quillon,Pika,2021,front_wheel_drive,4000 lb,21900",
    "Quillon,Pika,2020,,4100 lb,18000",
    "quillon,Pika,2020,all_wheel_drive,,",
]
THEIR_HEADER = "Marke,Modell,Jahr,Antrieb,Gewicht,Preis,Farbe"
THEIRS = [
    "QLN,Pika,2021,Vorderrad,4000 lb,21900,blau",
    "QLN,Pika,2020,k. A.,4100 lb,18000,rot",
    "quillon,Pika,2020,Allrad,,,",
]
MAPPING: dict[str, Any] = {
    "columns": {
        "Marke": "make", "Modell": "model", "Jahr": "model_year", "Antrieb": "drivetrain",
        "Gewicht": "gvwr", "Preis": "price",
    },
    "words": {
        "make": {"QLN": "Quillon"},
        "drivetrain": {
            "Vorderrad": "front_wheel_drive", "Allrad": "all_wheel_drive", "k. A.": "",
        },
    },
}  # fmt: skip


# What is said of the file beside the same answer.
LEFT_ASIDE = ["1 column(s) left aside: Farbe"]


def noted(document: dict[str, Any]) -> dict[str, Any]:
    """What is expected of their file, where this was given of ours."""
    assert document["notes"] == []
    return {**document, "notes": LEFT_ASIDE}


@pytest.fixture
def ours(tmp_path: Path) -> Path:
    return write(tmp_path / "ours.csv", HEADER, OURS)


@pytest.fixture
def theirs(tmp_path: Path) -> Path:
    return write(tmp_path / "theirs.csv", THEIR_HEADER, THEIRS)


@pytest.mark.parametrize("with_reference", [False, True])
def test_weights(ours: Path, theirs: Path, demo_release: Path, with_reference: bool) -> None:
    reference = demo_release if with_reference else None
    for weigh_by in ("count", "price"):
        asked: dict[str, Any] = {
            "by": ["make", "drivetrain"], "ratings": "4050 lb", "weigh_by": weigh_by,
            "reference": reference, "on": ON,
        }  # fmt: skip
        expected = towdb.weights(ours, **asked).document()
        found = towdb.weights(theirs, mapping=MAPPING, **asked).document()
        assert found == noted(expected)
        assert {row["make"] for row in expected["distribution"]} == {None, "Quillon"}


def test_gaps(ours: Path, theirs: Path, demo_release: Path) -> None:
    expected = towdb.gaps(ours, reference=demo_release, on=ON).document()
    found = towdb.gaps(theirs, reference=demo_release, on=ON, mapping=MAPPING).document()
    assert found == noted(expected)
    assert [row["cars"] for row in expected["gaps"] if row["lacks"] == "statement"] == [1, 1]


def test_summaries(ours: Path, theirs: Path, demo_release: Path, tmp_path: Path) -> None:
    asked: dict[str, Any] = {"coach": COACH, "reference": demo_release, "on": ON}
    by = ["make", "drivetrain"]
    with towdb.screen(ours, **asked) as screening:
        expected = screening.summary(by).document()
    with towdb.screen(theirs, mapping=MAPPING, **asked) as screening:
        assert screening.summary(by).document() == expected
    # What was set aside is not counted.
    bad = write(tmp_path / "bad.csv", HEADER, [*OURS, "Quillon,Pika,soon,,,", "a,b,2020,,0 lb,"])
    aside = tmp_path / "aside.csv"
    with towdb.screen(bad, set_aside=aside, **asked) as screening:
        told = screening.summary(by).document()
    read = {"rows": 5, "set_aside": 2, "set_aside_in": str(aside), "left_empty": {}}
    assert told == {**expected, "read": read}
    assert len(pd.read_csv(aside)) == 2


def test_the_commands_take_a_mapping_file(
    theirs: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str], demo_release: Path,
) -> None:  # fmt: skip
    command = Command(monkeypatch, capsys)
    lines = ["[columns]", *(f'{k} = "{v}"' for k, v in MAPPING["columns"].items())]
    for column, words in MAPPING["words"].items():
        lines += [f"[words.{column}]", *(f'"{k}" = "{v}"' for k, v in words.items())]
    mapping = write(tmp_path / "map.toml", lines[0], lines[1:])
    said = command("weights", theirs, "--map", mapping, "--by", "drivetrain")
    note = f"Note: {LEFT_ASIDE[0]}\n"
    assert (said.status, said.err) == (0, note)
    assert "front wheel drive" in said.out
    said = command("gaps", theirs, "--map", mapping, "--reference", demo_release)
    assert (said.status, said.err) == (0, note)
    assert "for 3 cars" in said.out
    refused = command.refused("gaps", "--map", mapping, "--reference", demo_release)
    assert "a mapping, rows set aside and cells left empty go with an inventory" in refused
