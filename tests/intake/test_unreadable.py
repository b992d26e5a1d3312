"""How many rows an answer was made from stands first in it; cells that decide nothing may be left.

A report that counts the cars that are left, and not those that are gone, misleads whoever reads it.
"""

from __future__ import annotations

import base64
import csv
import html
import io
import json
import re
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.cars_drawn import write
from tests.helpers.command import Command, unwrapped
from towdb.contract.model import contract
from towdb.errors import UsageError
from towdb.intake.cells import LEAVABLE

SHORTLIST, COACH = DEMO / "shortlist.csv", DEMO / "coach.toml"
ON = "2026-01-31"
CARS = pd.read_csv(SHORTLIST, dtype=str)
# A text that the column cannot hold, for each column that can be wrong.
WRONG = {
    "model_year": "20211", "market": "nowhere", "powertrain": "steam", "drivetrain": "track",
    "transmission": "manuel", "transfer_case": "lever", "steering": "reins",
    "parking_brake": "anchor", "shifter": "knob", "ignition": "crank", "built_on": "March",
    "options": ",", "options_complete": "mostly", "confirmed": ",",
    "as_weighed": "0 lb", "gvwr": "4400 stone", "curb_weight": "-1", "load": "a bike",
    "weight_unit": "stone", "listed_on": "31/12/2025",
}  # fmt: skip
LINE = "12 rows read, 2 set aside; unreadable cells left empty: candidate 2, listed_on 3"


def spoilt(folder: Path) -> Path:
    """The shortlist with two rows that must go, three bad dates, and two cars of one name."""
    cars = CARS.copy()
    cars["listed_on"] = None
    cars.loc[[0, 1, 2, 3], "listed_on"] = ["yesterday", "31/12/2025", "2025-31-12", "soon"]
    cars.loc[[3, 4], "model_year"] = "20211"
    cars.loc[[5, 6], "candidate"] = "twin"
    cars.to_csv(folder / "cars.csv", index=False)
    return folder / "cars.csv"


def verdicts(cars: pd.DataFrame, release: Path, **more: Any) -> list[dict[str, Any]]:
    with towdb.screen(cars, coach=COACH, reference=release, on=ON, **more) as screening:
        return screening.records("verdict")


# ---------------------------------------------------------------- what may be left empty


def test_only_what_no_verdict_reads_may_be_left_empty() -> None:
    assert LEAVABLE == ("candidate", "vin", "price", "lot", "listed_on")


@pytest.mark.parametrize("column", LEAVABLE)
def test_no_verdict_changes_with_what_may_be_left_empty(demo_release: Path, column: str) -> None:
    empty, full = CARS.copy(), CARS.copy()
    empty[column] = None
    full[column] = [f"2025-03-{n + 1:02}" for n in range(len(CARS))]
    of_empty, of_full = verdicts(empty, demo_release), verdicts(full, demo_release)
    for row in (*of_empty, *of_full):
        del row["candidate"]
    assert of_empty == of_full
    assert len({row["verdict"] for row in of_full}) == 3


@pytest.mark.parametrize("column", [name for name in WRONG if name != "listed_on"])
def test_what_a_verdict_reads_is_never_left_empty(
    demo_release: Path, tmp_path: Path, column: str
) -> None:
    cars = CARS.copy()
    cars[column] = cars.get(column)
    cars.loc[0, column] = WRONG[column]
    with pytest.raises(UsageError, match=f"line 2, {column}: "):
        verdicts(cars, demo_release, leave_unreadable=True)
    aside = tmp_path / "aside.csv"
    told = verdicts(cars, demo_release, leave_unreadable=True, set_aside=aside)
    assert len(told) == len(CARS) - 1
    assert len(pd.read_csv(aside)) == 1


def test_every_column_that_can_be_wrong_is_tried() -> None:
    # A screening takes any text, and any id: one that is not on record finds nothing.
    fields = contract().candidate.fields
    assert set(WRONG) == {field.name for field in fields if field.type not in ("text", "id")}


def test_a_date_of_listing_does_not_throw_out_the_car(demo_release: Path) -> None:
    cars = CARS.copy()
    cars["listed_on"] = "31/12/2025"
    with pytest.raises(UsageError, match="listed_on"):
        verdicts(cars, demo_release)
    asked = {"coach": COACH, "reference": demo_release, "on": ON, "leave_unreadable": True}
    with towdb.screen(cars, with_columns=["listed_on"], **asked) as screening:  # type: ignore[arg-type]
        assert screening.read is not None
        assert dict(screening.read.left_empty) == {"listed_on": 12}
        told = screening.records("verdict")
    assert {row.pop("listed_on") for row in told} == {None}
    assert told == verdicts(CARS, demo_release)


def test_cars_of_one_name_are_called_by_their_rows_and_no_other_car_is(demo_release: Path) -> None:
    names = ["twin", "row 1", "twin ", None, "row 3", "row 6", "row 77", "alone"]
    cars = pd.DataFrame({"candidate": names, "make": "x"})
    told = [row["candidate"] for row in verdicts(cars, demo_release, leave_unreadable=True)]
    assert told == ["row 1", "row 2", "row 3", "row 4", "row 5", "row 6", "row 7", "alone"]


def test_a_name_is_kept_where_no_two_cars_have_one(demo_release: Path) -> None:
    cars = pd.DataFrame({"candidate": ["row 9", "a"], "make": "x", "listed_on": "soon"})
    told = [row["candidate"] for row in verdicts(cars, demo_release, leave_unreadable=True)]
    assert told == ["row 9", "a"]


def test_a_price_is_not_left_empty_where_cars_count_by_it(tmp_path: Path) -> None:
    cars = write(tmp_path / "cars.csv", "gvwr,price", ["4000 lb,100", "5000 lb,cheap"])
    assert towdb.weights(cars, leave_unreadable=True).cars == 2
    with pytest.raises(UsageError, match="line 3, price: 'cheap': not a price"):
        towdb.weights(cars, weigh_by="price", leave_unreadable=True)
    found = towdb.weights(
        cars, weigh_by="price", leave_unreadable=True, set_aside=tmp_path / "a.csv"
    )
    assert (found.cars, found.unpriced, found.read.set_aside) == (1, 0, 1)


def test_prices_in_two_currencies_are_refused_whatever_is_set_aside(tmp_path: Path) -> None:
    cars = write(tmp_path / "cars.csv", "gvwr,price", ["4000 lb,€ 100", "5000 lb,$ 90"])
    with pytest.raises(UsageError, match="do not add up"):
        towdb.weights(cars, weigh_by="price", set_aside=tmp_path / "a.csv")
    assert not (tmp_path / "a.csv").exists()


def test_a_check_counts_what_may_be_left_empty(command: Command, tmp_path: Path) -> None:
    rows = ["a,IOQ,soon,2021", "b,,x,20211", "b,,,2021", "c,,2025-03-14,2021"]
    cars = write(tmp_path / "cars.csv", "candidate,vin,listed_on,model_year", rows)
    call = ("inventory", "check", cars, "--leave-unreadable", "--set-aside", tmp_path / "a.csv")
    document = json.loads(command(*call, "--format", "json").out)
    assert document["left_empty"] == {"candidate": 1, "vin": 1, "listed_on": 1}
    assert (document["errors"], document["set_aside"]["rows"]) == (6, 1)
    said = unwrapped(command(*call).out)
    assert "leaves them empty: candidate 1, vin 1, listed_on 1" in said
    whole = command(*call[:-2], "--format", "json")
    assert json.loads(whole.out)["left_empty"] == {"candidate": 2, "vin": 1, "listed_on": 2}


# ---------------------------------------------------------------- what stands first


def asked(folder: Path, release: Path, *verb: object) -> tuple[object, ...]:
    aside = folder / "aside.csv"
    of = () if verb[0] == "weights" else ("--reference", release)
    return (*verb, *of, "--on", ON, "--set-aside", aside, "--leave-unreadable")


def of_verbs(folder: Path, release: Path) -> dict[str, tuple[object, ...]]:
    cars = spoilt(folder)
    return {
        "summary": asked(folder, release, "screen", cars, "--coach", COACH, "--summary"),
        "weights": asked(folder, release, "weights", cars, "--by", "model_year", "--by",
                         "listed_on"),
        "gaps": asked(folder, release, "gaps", cars),
    }  # fmt: skip


@pytest.mark.parametrize("verb", ["summary", "weights", "gaps"])
def test_what_was_read_stands_first_in_every_form(
    command: Command, tmp_path: Path, demo_release: Path, verb: str
) -> None:
    call = of_verbs(tmp_path, demo_release)[verb]
    said = command(*call)
    assert said.status == 0
    assert said.out.splitlines()[0] == LINE
    document = json.loads(command(*call, "--format", "json").out)
    assert next(iter(document)) == "read"
    assert document["read"] == {
        "rows": 12, "set_aside": 2, "set_aside_in": str(tmp_path / "aside.csv"),
        "left_empty": {"candidate": 2, "listed_on": 3},
    }  # fmt: skip
    first, *rest = csv.DictReader(io.StringIO(command(*call, "--format", "csv").out))
    assert first["lacks" if verb == "gaps" else "scope"] == "read"
    assert (first["rows_read"], first["rows_set_aside"]) == ("12", "2")
    assert first["cells_left_empty"] == "candidate 2, listed_on 3"
    assert rest
    for row in rest:
        assert (row["rows_read"], row["rows_set_aside"], row["cells_left_empty"]) == ("", "", "")
    lines = [f"2 row(s) set aside in {tmp_path / 'aside.csv'}", LINE.partition("; ")[2]]
    assert said.err.splitlines() == lines
    assert len(pd.read_csv(tmp_path / "aside.csv")) == 2


def test_what_was_read_stands_first_on_a_page_and_in_pictures(
    command: Command, tmp_path: Path, demo_release: Path
) -> None:
    calls = of_verbs(tmp_path, demo_release)
    command(*calls["summary"], "-o", tmp_path / "s.html", "--plot", tmp_path / "s.svg")
    command(*calls["weights"], "--plot", tmp_path / "w.svg")
    page = (tmp_path / "s.html").read_text("utf-8")
    body = html.unescape(re.sub("<[^>]+>", "", page.partition("<body>")[2]))
    assert body.strip().splitlines()[0] == LINE
    drawn = re.search('base64,([^"]+)', page)
    assert drawn is not None
    assert LINE in base64.b64decode(drawn[1]).decode("utf-8")
    for name in ("s.svg", "w.svg"):
        assert LINE in (tmp_path / name).read_text("utf-8")


def test_a_screening_says_what_was_left_out(
    command: Command, tmp_path: Path, demo_release: Path
) -> None:
    call = asked(tmp_path, demo_release, "screen", spoilt(tmp_path), "--coach", COACH)
    assert LINE in command(*call).out.splitlines()
    assert json.loads(command(*call, "--format", "json").out)["read"]["set_aside"] == 2
    whole = command("screen", SHORTLIST, "--coach", COACH, "--reference", demo_release)
    assert "rows read" not in whole.out


def test_without_rows_there_is_nothing_to_say_of_them(
    command: Command, demo_release: Path, tmp_path: Path
) -> None:
    said = command("gaps", "--reference", demo_release, "--format", "csv").out
    assert "rows_read" not in said
    assert "rows read" not in command("gaps", "--reference", demo_release).out
    assert "go with an inventory" in command.refused(
        "gaps", "--reference", demo_release, "--leave-unreadable"
    )
    one = write(tmp_path / "one.csv", "make", ["x"])
    assert command("gaps", one, "--reference", demo_release).out.startswith("1 row read, none set")
