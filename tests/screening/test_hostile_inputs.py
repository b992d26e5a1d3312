"""Bad input to screen: all faults told, one a line, exit status 2, nothing screened or written."""

from __future__ import annotations

import contextlib
import csv
import io
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, Literal

import duckdb
import pandas as pd
import pytest

import towdb
from tests.conftest import DEMO, ROOT
from tests.helpers.folders import copy_base
from tests.helpers.folders import towdb as command
from towdb.cli import _status, app
from towdb.contract.model import contract

SHORTLIST = DEMO / "shortlist.csv"
COACH = DEMO / "coach.toml"
ON = "2026-01-31"
Said = tuple[int, str, list[str]]
Process = subprocess.Popen[str]


class Buyer:
    """Types the command line in an empty folder; says what came back."""

    def __init__(
        self,
        folder: Path,
        release: Path,
        capsys: pytest.CaptureFixture[str],
        run: Callable[[], int],
    ) -> None:
        self.folder, self.release, self._capsys, self._run = folder, release, capsys, run

    def file(self, name: str, content: str | bytes) -> Path:
        path = self.folder / name
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return path

    def screen(self, shortlist: Path, *more: object, coach: object = COACH) -> Said:
        sys.argv = [
            "towdb", "screen", str(shortlist), "--coach", str(coach), "--reference",
            str(self.release), *(["--on", ON] if "--on" not in more else []), *map(str, more),
        ]  # fmt: skip
        status = self._run()
        out, err = self._capsys.readouterr()
        return status, out, err.splitlines()

    def good(self, shortlist: Path, *more: object, coach: object = COACH) -> list[dict[str, Any]]:
        """The candidates of an answer."""
        status, out, err = self.screen(shortlist, "--format", "json", *more, coach=coach)
        assert (status, err) == (0, [])
        candidates: list[dict[str, Any]] = json.loads(out)["screenings"][0]["candidates"]
        return candidates

    def refused(self, shortlist: Path, *more: object, coach: object = COACH) -> list[str]:
        """The lines of a refusal."""
        before = self.content()
        status, out, lines = self.screen(shortlist, *more, coach=coach)
        assert (status, out) == (2, ""), lines
        assert lines
        assert all(line.startswith("towdb: ") for line in lines), lines
        assert not any("Traceback" in line for line in lines)
        assert self.content() == before
        return lines

    def content(self) -> dict[str, bytes]:
        files = (path for path in self.folder.rglob("*") if path.is_file())
        return {str(path): path.read_bytes() for path in files}


@pytest.fixture
def buyer(
    tmp_path: Path,
    demo_release: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> Buyer:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "argv", [])
    return Buyer(tmp_path, demo_release, capsys, lambda: _status(app))


def ask(query: str) -> list[tuple[Any, ...]]:
    with duckdb.connect() as con:
        return con.execute(query).fetchall()


def to_parquet(source: Path, target: Path, all_text: str = "true") -> Path:
    with duckdb.connect() as con:
        read = f"read_csv('{source}', all_varchar = {all_text}, header = true)"
        con.execute(f"COPY (FROM {read}) TO '{target}' (FORMAT parquet)")
    return target


def tell(lines: list[str], *expected: str) -> None:
    """Each line says what is expected of it, and there is no other line."""
    assert len(lines) == len(expected), lines
    for line, words in zip(lines, expected, strict=True):
        assert words in line


def verdicts(source: Any, release: Path, **more: Any) -> list[dict[str, Any]]:
    with towdb.screen(source, coach=COACH, reference=release, on=ON, **more) as screening:
        return screening.records("verdict")


# ---------------------------------------------------------------- shortlists as files


def test_an_empty_shortlist(buyer: Buyer) -> None:
    tell(buyer.refused(buyer.file("cars.csv", "")), "is empty; write the column names first")


def test_a_header_alone_is_no_car(buyer: Buyer) -> None:
    cars = buyer.file("cars.csv", "candidate,make,model\n")
    assert buyer.good(cars) == []
    status, out, _ = buyer.screen(cars)
    assert status == 0
    assert "Marram 33" in out
    assert len(buyer.screen(cars, "--format", "csv")[1].splitlines()) == 1


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"\x00\x01\x02\xff\xfe", "not UTF-8"),
        ("candidate\nBräckwäter\n".encode("latin-1"), "cars.csv, line 2: not UTF-8"),
        ("candidate\na\n".encode("utf-16"), "not UTF-8"),
        (b'candidate\n"never closed\n', "cars.csv, line 2: not readable as CSV"),
        (b"candidate\n" + b"x" * 1_000_001 + b"\n", "cars.csv, line 2: not readable as CSV"),
    ],
)
def test_a_shortlist_that_is_no_table(buyer: Buyer, content: bytes, says: str) -> None:
    tell(buyer.refused(buyer.file("cars.csv", content)), says)


def test_ragged_rows_are_told_one_by_one(buyer: Buyer) -> None:
    cars = buyer.file("cars.csv", "candidate,make\na\nb,Quillon\nc,d,e\n")
    tell(
        buyer.refused(cars),
        "cars.csv, line 2: 1 cells where the header has 2",
        "cars.csv, line 4: 3 cells where the header has 2",
    )


def test_unknown_columns_name_the_nearest(buyer: Buyer) -> None:
    cars = buyer.file("cars.csv", "candidate,transmision,modle,horsepower\na,manual,Pika,90\n")
    tell(
        buyer.refused(cars),
        "line 1: unknown column 'transmision'; did you mean transmission?",
        "line 1: unknown column 'modle'; did you mean model?",
        "line 1: unknown column 'horsepower'",
    )


@pytest.mark.parametrize("second", ["candidate", "Candidate", "stock_no", "Stock No"])
def test_a_column_twice(buyer: Buyer, second: str) -> None:
    cars = buyer.file("cars.csv", f"candidate,{second}\na,b\n")
    tell(buyer.refused(cars), "line 1: column candidate appears twice")


def test_duplicate_candidates(buyer: Buyer) -> None:
    cars = buyer.file("cars.csv", "candidate,make\na,x\nb,x\na,y\n a ,z\n")
    lines = buyer.refused(cars)
    tell(lines, "line 2, candidate: 'a'", "line 4, candidate: 'a'", "line 5, candidate: 'a'")
    assert all("two cars have this name" in line for line in lines)


def test_no_candidate_column(buyer: Buyer) -> None:
    cars = buyer.file("cars.csv", "make,model\nQuillon,Pika\nQuillon,Pika\n")
    assert [car["candidate"] for car in buyer.good(cars)] == ["row 1", "row 2"]


def test_a_name_of_white_space_is_no_name(buyer: Buyer) -> None:
    cars = buyer.file("cars.csv", "candidate,make\na,x\n  ,x\n")
    assert [car["candidate"] for car in buyer.good(cars)] == ["a", "row 2"]


def test_a_name_that_looks_like_a_row(buyer: Buyer) -> None:
    cars = buyer.file("cars.csv", "candidate,make\nrow 2,x\n,x\n")
    tell(buyer.refused(cars), "line 2, candidate: 'row 2'", "line 3, candidate: 'row 2'")


@pytest.fixture(scope="module")
def many(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's cars over and over: 100,000 of them."""
    path = tmp_path_factory.mktemp("many") / "many.csv"
    with SHORTLIST.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        for number in range(100_000):
            writer.writerow({**rows[number % len(rows)], "candidate": f"car {number}"})
    return path


@pytest.mark.whole
def test_100000_candidates(many: Path, tmp_path: Path, demo_release: Path) -> None:
    few = [(row["verdict"], row["margin_lb"]) for row in verdicts(SHORTLIST, demo_release)]
    expected = Counter(few[number % len(few)] for number in range(100_000))
    with towdb.screen(many, coach=COACH, reference=demo_release, on=ON) as screening:
        screening.write(tmp_path / "many.parquet")
    query = f"SELECT verdict, margin_lb, COUNT(*) FROM '{tmp_path}/many.parquet' GROUP BY ALL"
    counted = {(verdict, margin): count for verdict, margin, count in ask(query)}
    assert counted == expected


# ---------------------------------------------------------------- cells


def test_bad_weights_are_told_line_by_line(buyer: Buyer) -> None:
    typed = {
        "nan": "not a figure",
        "inf": "not a figure",
        "-1": "has no unit",
        "-1 lb": "a weight is above 0",
        "4.400 kg": "too light to be believed",
        "99.99 lb": "expected 100 lb at least",
        "0 lb": "a weight is above 0",
        "4400": "has no unit",
        "4400 stone": "unknown unit 'stone'",
        "4400 mph": "not a unit of weight",
        "4e3 lb": "unknown unit",
        "12345678 kg": "not believable",
        "4400.125 lb": "too many decimals",
        '"4.400,5 lb"': "has a comma before its decimals; write a full stop there: 4400.5 lb",
        '"1995,8 kg"': "has a comma before its decimals; write a full stop there: 1995.8 kg",
        '"1,995,8 kg"': "has a comma or full stop too many; write a figure with its unit",
        "5k lb": "has k for thousands; write it in full: 5000 lb",
        "4.4K": "has k for thousands; write it in full: 4400 lb or kg",
        "5klbs": "has k for thousands; write it in full: 5000 lbs",
        "a lot": "not a figure",
    }
    rows = [f"{number},{text}" for number, text in enumerate(typed)]
    cars = buyer.file("cars.csv", "\n".join(["candidate,as_weighed", *rows, ""]))
    lines = buyer.refused(cars)
    told = [line.split(", ")[1] for line in lines]
    assert told == [f"line {number}" for number in range(2, len(typed) + 2)]
    for line, reason in zip(lines, typed.values(), strict=True):
        assert reason in line


def test_a_bad_weight_is_told_of_every_car_that_has_it(buyer: Buyer) -> None:
    cars = buyer.file("cars.csv", "candidate,gvwr\na,4400\nb,4400 lb\nc,4400\nd,4400\n")
    tell(buyer.refused(cars), "line 2, gvwr", "line 4, gvwr", "line 5, gvwr")


def test_a_bare_weight_takes_the_unit_of_its_row(buyer: Buyer) -> None:
    text = "candidate,as_weighed,weight_unit\na,4400,lb\nb,4400,LBS\nc,2000,kg\nd,2000 kg,lb\n"
    weights = [car["towed_weight_lb"] for car in buyer.good(buyer.file("cars.csv", text))]
    # 2,000 kg are 4,409.24 lb, shown to 0.1 and rounded up.
    assert weights == [4400, 4400, 4409.3, 4409.3]


@pytest.mark.parametrize("weight", ["4400", ""])
def test_an_unknown_unit_of_a_row(buyer: Buyer, weight: str) -> None:
    cars = buyer.file("cars.csv", f"candidate,as_weighed,weight_unit\na,{weight},stone\n")
    (line,) = buyer.refused(cars)
    assert "line 2" in line
    assert "stone" in line


@pytest.mark.parametrize(
    "weights",
    [
        {"gvwr": "3000 lb", "curb_weight": "3200 lb"},
        {"gvwr": "3000 lb", "curb_weight": "2900 lb", "load": "100.01 lb"},
        {"curb_weight": "4600 lb"},
        {"gvwr": "2000 lb"},
    ],
)
def test_weights_that_contradict_each_other_permit_nothing(
    buyer: Buyer, weights: dict[str, str]
) -> None:
    # The first of the demo's cars is suitable by the gross rating on record, 4,550.4 lb.
    with SHORTLIST.open(encoding="utf-8", newline="") as stream:
        pika = next(csv.DictReader(stream))
    frame = pd.DataFrame([{**pika, "candidate": "without"}, {**pika, **weights}])
    frame.to_csv(buyer.folder / "cars.csv", index=False)
    without, car = buyer.good(buyer.folder / "cars.csv")
    assert without["verdict"] == "suitable"
    assert (car["verdict"], car["towed_weight_lb"]) == ("undetermined", None)
    assert any("a figure is wrong" in caution for caution in car["cautions"])
    told = {check["check"]: check["outcome"] for check in car["checks"]}
    assert (told["permission"], told["hitch_receiver"]) == ("met", "unknown")


def test_bad_dates_and_years(buyer: Buyer) -> None:
    text = (
        "candidate,built_on,model_year\na,2021-02-30,\nb,March 21,\nc,2021-13,\nd,21-03,\n"
        "e,,20222\nf,,'21\ng,,-1\nh,2021-03,2021\n"
    )
    tell(
        sorted(buyer.refused(buyer.file("cars.csv", text))),
        "line 2, built_on: '2021-02-30': no such day in the calendar",
        "line 3, built_on: 'March 21': not a date; write a day or a month",
        "line 4, built_on: '2021-13'",
        "line 5, built_on: '21-03'",
        "line 6, model_year: '20222': not believable",
        'line 7, model_year: "\'21": not a whole number',
        "line 8, model_year: '-1'",
    )


def test_unknown_words_name_the_nearest(buyer: Buyer) -> None:
    text = (
        "candidate,transmission,drivetrain,market,options_complete\n"
        "a,manuel,frontwheel drive,zz9,mostly\nb,Stick,fwd,XA,yes\n"
    )
    lines = sorted(buyer.refused(buyer.file("cars.csv", text)))
    tell(
        lines,
        "drivetrain: 'frontwheel drive': unknown word; did you mean front_wheel_drive?",
        "market: 'zz9': unknown word",
        "options_complete: 'mostly': unknown word; use one of yes, no",
        "transmission: 'manuel': unknown word; did you mean manual?",
    )
    assert all("line 2" in line for line in lines)


@pytest.mark.parametrize("cell", ["manual | dual_clutch", "not manual", "any"])
def test_a_car_has_one_word_an_attribute(buyer: Buyer, cell: str) -> None:
    cars = buyer.file("cars.csv", f"candidate,transmission\na,{cell}\n")
    tell(buyer.refused(cars), f"line 2, transmission: '{cell}': unknown word")


def test_faults_of_many_columns_are_all_told(buyer: Buyer) -> None:
    text = "candidate,as_weighed,built_on,transmission\na,x,y,z\n"
    assert len(buyer.refused(buyer.file("cars.csv", text))) == 3


def test_very_many_faults_are_counted(buyer: Buyer) -> None:
    rows = "".join(f"{number},manuel\n" for number in range(1000))
    lines = buyer.refused(buyer.file("cars.csv", f"candidate,transmission\n{rows}"))
    assert len(lines) == 41
    assert "960 more" in lines[-1]


def test_a_misspelt_make_or_model_is_a_remark(buyer: Buyer) -> None:
    cars = buyer.file(
        "cars.csv", "candidate,make,model\na,Quilon,Pika\nb,Quillon,Pica\nc,Xyzzy,Q\n"
    )
    make, model, neither = buyer.good(cars)
    assert any("did you mean Quillon?" in remark for remark in make["remarks"])
    assert any("did you mean Pika?" in remark for remark in model["remarks"])
    assert any("No such make" in remark for remark in neither["remarks"])
    assert {car["verdict"] for car in (make, model, neither)} == {"undetermined"}


def permissions(buyer: Buyer, *cells: dict[str, str]) -> list[str]:
    # The demo's Tussock of 2022 may be towed with its Tow Mode package, and not without.
    tussock = {
        "make": "Miradec", "model": "Tussock", "model_year": "2022", "market": "xa",
        "powertrain": "mild_hybrid", "drivetrain": "full_time_four_wheel_drive",
        "transmission": "planetary_automatic", "transfer_case": "two_speed_with_neutral",
    }  # fmt: skip
    rows = [{"candidate": f"car {i}", **tussock, **cell} for i, cell in enumerate(cells)]
    pd.DataFrame(rows).to_csv(buyer.folder / "cars.csv", index=False)
    return [car["checks"][0]["reason"] for car in buyer.good(buyer.folder / "cars.csv")]


def test_options_count_as_absent_only_where_the_list_is_complete(buyer: Buyer) -> None:
    reasons = permissions(
        buyer,
        {"options": "Tow mode package"},
        {"options": "roof rails"},
        {"options": "", "options_complete": "yes"},
        {"options": "none"},
        {"options": "tow mode packge", "options_complete": "yes"},
    )
    assert reasons[0] == "permitted"
    # What is not listed, or listed under a name that may be a misspelling, stays unknown.
    assert reasons[1] == reasons[2] == reasons[4] == "depends_on_the_car"
    assert reasons[3] == "forbidden"


# ---------------------------------------------------------------- coaches


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        ("", ["has no figure"]),
        ("[properties]\n", ["has no figure"]),
        (b"\x00\x01\xff\xfe", ["is not text in UTF-8"]),
        ("five thousand pounds\n", ["is not TOML"]),
        ("properties = 5\n", ["[properties]"]),
        ("[propertys]\ngcwr = '26000 lb'\n", ["unknown key propertys; did you mean properties?"]),
        (
            "[outfit]\nbananas = 3\n[properties]\ngcwr = '26000 lb'\n",
            [
                "outfit: no check reads this table; remove it: a coach file takes name and the"
                " table [properties]"
            ],
        ),
        (
            "bananas = 3\n[properties]\ngcwr = '26000 lb'\n",
            ["unknown key bananas; a coach file takes name and the table [properties]"],
        ),
        (
            "[[axles]]\ngawr = 3\n[properties]\ngcwr = '26000 lb'\n",
            ["unknown key axles; a coach file takes name and the table [properties]"],
        ),
        (
            "gcwr = '26000 lb'\n[properties]\ngvwr = '22000 lb'\n",
            ["gcwr: write it below the line [properties]"],
        ),
        ("[properties]\nbananas = '3 lb'\n", ["bananas: no such property of a coach; use one of "]),
        (
            "[properties]\ngvwr = {value = '22000 lb', seen = 'plate'}\n",
            ["unknown key seen; a figure takes value and read_from"],
        ),
        ("[properties]\ngcwr = 26000\n", ["gcwr: write it with its unit, in quotes"]),
        ("[properties]\ngcwr = '26000'\n", ["gcwr: '26000'"]),
        ("[properties]\ngcwr = '26000 ft'\n", ["ft is not a unit of weight"]),
        ("[properties]\ngcwr = '26000 stone'\n", ["unknown unit 'stone'"]),
        ("[properties]\ngcwr = '-26000 lb'\n", ["a weight is above 0"]),
        ("[properties]\ngcwr = '0 lb'\n", ["a weight is above 0"]),
        ("[properties]\nloaded_weight = '9.980 kg'\n", ["too light to be believed"]),
        ("[properties]\nloaded_weight = '99.99 lb'\n", ["expected 100 lb at least"]),
        ("[properties]\ngcwr = 'nan lb'\n", ["not a figure"]),
        ("[properties]\ngcwr = ''\n", ["gcwr: ''"]),
        ("[properties]\ngcwr = nan\n", ["gcwr: write it with its unit"]),
        ("[properties]\ngcwr = {value = 26000}\n", ["gcwr: write it with its unit"]),
        ("[properties]\ngcwr = {valu = '26000 lb'}\n", ["unknown key valu; did you mean value?"]),
        ("[properties]\ngcwr = '1 lb'\ngcwr = '2 lb'\n", ["is not TOML"]),
        ("[properties]\nhich_receiver = '5000 lb'\n", ["did you mean hitch_receiver?"]),
        ("[properties]\ncurb_weight = '5000 lb'\n", ["no such property of a coach"]),
        ("[properties]\ntowing_capacity = 'non stated'\n", ["towing_capacity: 'non stated'"]),
        ("[properties]\nbrake_system = 'air brakes'\n", ["unknown word 'air brakes'"]),
        ("[properties]\nreceiver_height = '18 lb'\n", ["'18 lb' is not a length"]),
        ("[properties]\nreceiver_height = '0.99 in'\n", ["is not believable; expected 1 in"]),
        ("[properties]\nreceiver_height = '10.01 ft'\n", ["is not believable; expected 1 in"]),
        ("name = 5\n[properties]\ngcwr = '26000 lb'\n", ["name: write it as text"]),
        (
            "[properties]\nhitch_receiver = '17 ft'\ngcwr = '-1 lb'\nhich_receiver = '5 lb'\n"
            "gvwr = ['5000 lb', 'x']\n",
            ["hitch_receiver: '17 ft'", "gcwr: '-1 lb'", "hich_receiver: no such", "gvwr: 'x'"],
        ),
    ],
)
def test_a_coach_file_that_cannot_be_used(
    buyer: Buyer, content: str | bytes, expected: list[str]
) -> None:
    tell(buyer.refused(SHORTLIST, coach=buyer.file("mine.toml", content)), *expected)


def test_an_empty_list_of_figures_is_no_figure(buyer: Buyer) -> None:
    coach = buyer.file("mine.toml", "[properties]\ngcwr = []\n")
    tell(buyer.refused(SHORTLIST, coach=coach), "mine.toml")


@pytest.mark.parametrize(
    ("coach", "says"),
    [
        ("no.toml", "no.toml: the coach file cannot be read"),
        ("brackwater-39", "did you mean brackwater-38?"),
        (".", "neither a file nor a coach of the reference"),
        ("", "neither a file nor a coach of the reference"),
        ("brackwater-38' OR '1'='1", "neither a file nor a coach of the reference"),
    ],
)
def test_a_coach_that_is_not_there(buyer: Buyer, coach: str, says: str) -> None:
    tell(buyer.refused(SHORTLIST, coach=coach), says)


def test_two_coaches_of_one_name(buyer: Buyer) -> None:
    tell(buyer.refused(SHORTLIST, "--coach", COACH), "two coaches are called coach")


def test_a_gcwr_below_the_gvwr_is_a_caution(buyer: Buyer) -> None:
    text = "[properties]\ngcwr = '20000 lb'\ngvwr = '22000 lb'\nloaded_weight = '14000 lb'\n"
    status, out, err = buyer.screen(SHORTLIST, coach=buyer.file("mine.toml", text))
    assert (status, err) == (0, [])
    assert "GCWR is below its GVWR" in " ".join(out.split())


# ---------------------------------------------------------------- policies, assumptions, dates


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        ("weight_by = 'gvwr'\n", ["unknown key weight_by; did you mean weigh_by?"]),
        ("permission = 'met'\n", ["unknown key permission"]),
        ("permit = true\nforbidden = 'permitted'\n", ["key permit", "key forbidden"]),
        ("[permission]\nforbidden = 'met'\n", ["unknown key permission"]),
        ("weigh_by = 'permit'\n", ["weigh_by: use one of best_known, gvwr"]),
        ("weigh_by = ['gvwr']\n", ["weigh_by: use one of best_known, gvwr"]),
        ("tow_bar_share = 2\n", ["tow_bar_share: write a number from 0.01"]),
        ("tow_bar_share = nan\n", ["tow_bar_share: write a number from 0.01"]),
        ("tow_bar_share = inf\n", ["tow_bar_share: write a number from 0.01"]),
        ("tow_bar_share = true\n", ["tow_bar_share: write a number from 0.01"]),
        ("level_tolerance = '3 lb'\n", ["level_tolerance: write a length"]),
        ("advise_brakes = 'yes'\nover_share = 1\n", ["advise_brakes: write true", "over_share:"]),
        (b"\xff\xfe", ["is not text in UTF-8"]),
        ("permit everything", ["is not TOML"]),
    ],
)
def test_a_policy_that_cannot_be_used(
    buyer: Buyer, content: str | bytes, expected: list[str]
) -> None:
    policy = buyer.file("policy.toml", content)
    tell(buyer.refused(SHORTLIST, "--policy", policy), *expected)


@pytest.mark.parametrize(
    ("assumed", "expected"),
    [
        (["markt=xa"], ["assume markt: not an attribute; did you mean market?"]),
        (["make=Quillon"], ["assume make: not an attribute"]),
        (["market=zz9"], ["assume market=zz9: unknown word"]),
        (["transmission=manuel"], ["did you mean manual?"]),
        (["transmission=any"], ["unknown word"]),
        (["market"], ["write it as NAME=WORD"]),
        (["market="], ["write it as NAME=WORD"]),
        (["=xa"], ["assume"]),
        (["markt=xa", "transmission=manuel"], ["markt", "manuel"]),
        (["market=xa", "market=xb"], ["market"]),
    ],
)
def test_an_assumption_that_cannot_be_made(
    buyer: Buyer, assumed: list[str], expected: list[str]
) -> None:
    options = [part for one in assumed for part in ("--assume", one)]
    tell(buyer.refused(SHORTLIST, *options), *expected)


@pytest.mark.parametrize(
    "on", ["nonsense", "2026-02-30", "", "31.01.2026", "20260131", "2026-W01-1"]
)
def test_a_date_that_is_none(buyer: Buyer, on: str) -> None:
    tell(buyer.refused(SHORTLIST, "--on", on), "is not a date; write 2026-01-31")


def test_a_date_before_every_source_moves_no_permission(buyer: Buyer) -> None:
    # The date moves withdrawals, not what had been entered by then.
    then, now = (buyer.good(SHORTLIST, "--on", on) for on in ("1900-01-01", ON))
    assert [car["verdict"] for car in then] == [car["verdict"] for car in now]
    assert "On 1900-01-01" in buyer.screen(SHORTLIST, "--on", "1900-01-01")[1]


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--units", "stone"], "choose lb or kg"),
        (["--format", "xml"], "no format 'xml' here"),
        (["--format", "parquet"], "name it with -o"),
        (["--fromat", "json"], "--fromat"),
        (["-o"], "-o"),
    ],
)
def test_a_call_that_is_wrong(buyer: Buyer, options: list[str], says: str) -> None:
    lines = buyer.refused(SHORTLIST, *options)
    assert any(says in line for line in lines)


# ---------------------------------------------------------------- references


def test_a_reference_without_any_statement(tmp_path: Path) -> None:
    folder = copy_base(tmp_path / "reference")
    for table in ("eligibility", "towing_limit", "procedure_step", "fuse_pull"):
        header = (folder / f"{table}.csv").read_text("utf-8").splitlines()[0]
        (folder / f"{table}.csv").write_text(header + "\n", "utf-8")
    release = towdb.build(folder, tmp_path / "r.duckdb").path
    cars = pd.DataFrame({"candidate": ["a", "b"], "make": ["Quillon", ""], "model": ["Pika", ""]})
    named, nameless = verdicts(cars, release)
    assert (named["verdict"], named["permission_reason"]) == ("undetermined", "nothing_on_record")
    assert nameless["permission_reason"] == "depends_on_the_car"


@pytest.mark.parametrize("content", [b"", b"my thesis", b"\x00" * 20_000])
def test_a_file_that_is_no_release(buyer: Buyer, content: bytes) -> None:
    buyer.release = buyer.file("x.duckdb", content)
    tell(buyer.refused(SHORTLIST), "is not a towdb release")


def test_a_database_of_somebody_else(buyer: Buyer) -> None:
    buyer.release = buyer.folder / "x.duckdb"
    with duckdb.connect(str(buyer.release)) as con:
        con.execute("CREATE SCHEMA towdb_data; CREATE TABLE towdb_data.release (release_id TEXT)")
    tell(buyer.refused(SHORTLIST), "is not a towdb release")


def test_a_release_that_is_damaged(buyer: Buyer, demo_release: Path) -> None:
    whole = demo_release.read_bytes()
    for number, share in enumerate((0.2, 0.6, 0.9)):
        at = int(len(whole) * share)
        damaged = whole[:at] + b"\x55" * (len(whole) // 10) + whole[at + len(whole) // 10 :]
        buyer.release = buyer.file(f"{number}.duckdb", damaged[: len(whole)])
        lines = buyer.refused(SHORTLIST, "-o", "out.json")
        assert len(lines) == 1
    buyer.release = buyer.file("short.duckdb", whole[: len(whole) // 2])
    tell(buyer.refused(SHORTLIST), "short.duckdb")


def test_no_release_is_named(demo_release: Path) -> None:
    done = command("screen", SHORTLIST, "--coach", COACH)
    assert (done.returncode, done.stdout) == (2, "")
    tell(done.stderr.splitlines(), "name a release with --reference")


def test_no_coach_is_named(demo_release: Path) -> None:
    done = command("screen", SHORTLIST, "--reference", demo_release)
    assert (done.returncode, done.stdout) == (2, "")
    assert all(line.startswith("towdb: ") for line in done.stderr.splitlines())
    assert "--coach" in done.stderr


def test_a_file_that_was_removed(buyer: Buyer) -> None:
    gone = buyer.folder / "gone"
    tell(buyer.refused(gone.with_suffix(".csv")), "gone.csv: cannot be read: no such file")
    tell(buyer.refused(gone.with_suffix(".parquet")), "gone.parquet: cannot be read: no such file")
    tell(buyer.refused(buyer.folder), "no file there ends in .csv, .parquet or .xlsx")
    tell(buyer.refused(SHORTLIST, coach=gone.with_suffix(".toml")), "cannot be read")
    tell(buyer.refused(SHORTLIST, "--policy", gone), "the policy file cannot be read")
    buyer.release = gone.with_suffix(".duckdb")
    tell(buyer.refused(SHORTLIST), "there is no such release")


def test_a_release_that_is_removed_while_it_is_open(tmp_path: Path, demo_release: Path) -> None:
    copy = shutil.copy(demo_release, tmp_path / "copy.duckdb")
    with towdb.open(copy) as reference:
        Path(copy).unlink()
        with pytest.raises(towdb.UsageError, match="there is no such release"):
            towdb.screen(SHORTLIST, coach=COACH, reference=reference)


# ---------------------------------------------------------------- text that wants to be more

TEXTS = [
    "'; DROP TABLE inventory_rows; DROP SCHEMA towdb_data; --",
    "\"); ATTACH 'x.duckdb' AS x; --",
    "<script>alert(1)</script>",
    "=HYPERLINK(1)",
    "+1+1",
    "-1+1",
    "@SUM(1)",
    "[bold red]x[/]",
    "{0}{said}%s%d$1",
    "NULL",
    "one\ntwo",
]
CONTROLS = ["\x1b[31mred\x1b[0m", "a\x07b", "\x9b2J", "\u202etxet", "\x1b]0;title\x07",
            "a\u00adb\u034fc", "a\u200cb\u3164\U000e0001"]  # fmt: skip
FREE = [field.name for field in contract().candidate.fields if field.type in ("text", "text_list")]


def unprintable(text: str) -> set[str]:
    unseen = {c for c in text if (ord(c) < 32 and c != "\n") or 127 <= ord(c) < 160}
    return unseen | ({*"\u00ad\u034f\u200c\u202e\u3164\U000e0001"} & set(text))


@pytest.mark.parametrize("text", TEXTS)
def test_text_is_only_text(buyer: Buyer, text: str) -> None:
    row = dict.fromkeys(FREE, text)
    pd.DataFrame([row]).to_csv(buyer.folder / "cars.csv", index=False)
    (car,) = buyer.good(buyer.folder / "cars.csv")
    assert car["candidate"] == text
    assert car["verdict"] == "undetermined"
    out = buyer.screen(buyer.folder / "cars.csv", "--explain")[1]
    assert "".join(text.split()) in "".join(out.split())
    table = buyer.screen(buyer.folder / "cars.csv", "--format", "csv")[1]
    (cell,) = (record["candidate"] for record in csv.DictReader(table.splitlines(keepends=True)))
    # A spreadsheet runs what starts so; Parquet takes it as it is.
    assert cell == (f"'{text}" if text[0] in "=+-@" else text)
    assert buyer.screen(buyer.folder / "cars.csv", "-o", "v.parquet")[0] == 0
    assert ask("SELECT candidate FROM 'v.parquet'") == [(text,)]


@pytest.mark.parametrize("text", CONTROLS)
@pytest.mark.parametrize("column", FREE)
def test_no_cell_reaches_the_terminal_as_a_control(buyer: Buyer, text: str, column: str) -> None:
    frame = pd.DataFrame([{"candidate": "a", "make": "b", "model": "c", column: text}])
    frame.to_csv(buyer.folder / "cars.csv", index=False)
    for options in ([], ["--explain"]):
        status, out, err = buyer.screen(buyer.folder / "cars.csv", *options)
        assert status in (0, 2)
        assert not unprintable(out + "".join(err))
        if status == 2:
            assert out == ""
            tell(err, f"line 2, {column}")


def test_no_word_of_a_coach_reaches_the_terminal_as_a_control(buyer: Buyer) -> None:
    coach = buyer.file(
        "mine.toml",
        'name = "\\u001b[31mred"\n[properties]\n'
        'gcwr = {value = "26000 lb", read_from = "\\u001b]0;x\\u0007"}\n',
    )
    status, out, err = buyer.screen(SHORTLIST, "--explain", coach=coach)
    assert (status, err) == (0, [])
    assert "red" in out
    assert not unprintable(out)


def test_an_argument_cannot_write_lines_of_its_own(buyer: Buyer) -> None:
    lines = buyer.refused(SHORTLIST, "--assume", "market=\x1b[2J\nall is well")
    assert not unprintable("".join(lines))
    assert len(lines) <= 2


# ---------------------------------------------------------------- other shapes of the same list


def written(cells: list[list[str]], delimiter: str, quoting: Literal[0, 1] = 0) -> bytes:
    stream = io.StringIO(newline="")
    csv.writer(stream, delimiter=delimiter, quoting=quoting).writerows(cells)
    return stream.getvalue().encode()


def shapes() -> Iterator[tuple[str, Any]]:
    """The demo shortlist as people and programs hand it over."""
    text = SHORTLIST.read_text("utf-8")
    with SHORTLIST.open(encoding="utf-8", newline="") as stream:
        cells = list(csv.reader(stream))
    yield "bom and crlf", b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode()
    yield "blank lines", ("\n\n" + text.replace("\n", "\n\n")).encode()
    yield "semicolons", written(cells, ";")
    yield "semicolons, all quoted", written(cells, ";", csv.QUOTE_ALL)
    yield "all quoted", written(cells, ",", csv.QUOTE_ALL)
    header = ",".join(name.upper().replace("_", " ") for name in cells[0])
    yield "names in capitals", "\n".join([header, *text.splitlines()[1:]]).encode()


def test_every_shape_of_csv_gives_the_same(tmp_path: Path, demo_release: Path) -> None:
    expected = verdicts(SHORTLIST, demo_release)
    wrong = []
    for name, content in shapes():
        (tmp_path / "cars.csv").write_bytes(content)
        try:
            if verdicts(tmp_path / "cars.csv", demo_release) != expected:
                wrong.append(f"{name}: other verdicts")
        except towdb.UsageError as error:
            wrong.append(f"{name}: {error}")
    assert wrong == []


def test_frames_give_the_same(demo_release: Path) -> None:
    expected = verdicts(SHORTLIST, demo_release)
    as_text = pd.read_csv(SHORTLIST, dtype=str, keep_default_na=False)
    assert verdicts(as_text, demo_release) == expected
    # As pandas guesses them: years become integers, empty columns floats of NaN.
    assert verdicts(pd.read_csv(SHORTLIST), demo_release) == expected


def test_a_frame_with_gaps_gives_the_same(tmp_path: Path, demo_release: Path) -> None:
    # One unknown year makes pandas read all years as 2021.0.
    text = "candidate,make,model,model_year,as_weighed,weight_unit,built_on\n"
    text += "a,Quillon,Pika,2021,4400.5,lb,2021-03-14\nb,Quillon,Pika,,,,\n"
    (tmp_path / "cars.csv").write_text(text, "utf-8")
    expected = verdicts(tmp_path / "cars.csv", demo_release)
    guessed = pd.read_csv(tmp_path / "cars.csv")
    assert str(guessed["model_year"].dtype) == "float64"
    assert verdicts(guessed, demo_release) == expected
    dated = pd.read_csv(tmp_path / "cars.csv", parse_dates=["built_on"])
    assert verdicts(dated, demo_release) == expected


@pytest.mark.parametrize("all_text", ["true", "false"])
def test_parquet_gives_the_same(tmp_path: Path, demo_release: Path, all_text: str) -> None:
    path = to_parquet(SHORTLIST, tmp_path / "cars.parquet", all_text)
    assert verdicts(path, demo_release) == verdicts(SHORTLIST, demo_release)


@pytest.mark.parametrize("folder", ["make=Xyzzy", "transmission=manual", "batch=7", "a*b", "[ab]"])
def test_a_folders_name_says_nothing_of_the_cars(
    tmp_path: Path, demo_release: Path, folder: str
) -> None:
    plain = to_parquet(SHORTLIST, tmp_path / "plain.parquet")
    (tmp_path / folder).mkdir()
    path = shutil.move(plain, tmp_path / folder / "cars.parquet")
    assert verdicts(path, demo_release) == verdicts(SHORTLIST, demo_release)


@pytest.mark.parametrize("weight", ["nan", "inf", "-inf", "NaN"])
def test_a_weight_that_is_no_number_is_refused_in_every_shape(
    tmp_path: Path, demo_release: Path, weight: str
) -> None:
    frame = pd.DataFrame({"candidate": ["a", "b"], "as_weighed": ["4400 lb", weight]})
    frame.to_csv(tmp_path / "cars.csv", index=False)
    to_parquet(tmp_path / "cars.csv", tmp_path / "cars.parquet")
    for source in (tmp_path / "cars.csv", tmp_path / "cars.parquet", frame):
        with pytest.raises(towdb.UsageError, match=r"line 3, as_weighed"):
            verdicts(source, demo_release)


def test_infinity_as_a_number_is_refused(demo_release: Path) -> None:
    frame = pd.DataFrame({"as_weighed": [4400.0, float("inf")], "weight_unit": ["lb", "lb"]})
    with pytest.raises(towdb.UsageError, match=r"line 3, as_weighed"):
        verdicts(frame, demo_release)


@pytest.mark.parametrize("source", [5, [{"candidate": "a"}], {"candidate": ["a"]}, pd.DataFrame()])
def test_something_else_than_a_shortlist(demo_release: Path, source: Any) -> None:
    with pytest.raises(towdb.UsageError, match="is not a shortlist"):
        verdicts(source, demo_release)


def test_lines_stay_right_after_quoted_newlines_and_blank_lines(buyer: Buyer) -> None:
    text = (
        '\ufeffcandidate,lot,transmission\r\n\r\na,"row 3\r\nby the fence\r\n",manual\r\n'
        "b,row 4,manuel\r\n\r\nc,row 5,stik\r\n"
    )
    tell(
        buyer.refused(buyer.file("cars.csv", text)),
        "cars.csv, line 6, transmission: 'manuel'",
        "cars.csv, line 8, transmission: 'stik'",
    )


# ---------------------------------------------------------------- where the answer goes


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["-o", "out.xlsx"], "out.xlsx"),
        (["-o", "out.html.gz"], "out.html.gz"),
        (["-o", "out"], "out"),
        (["-o", "out.json", "--format", "csv"], "make them agree"),
        (["-o", "out.csv", "--format", "table"], "make them agree"),
        (["-o", "no/such/folder/out.csv"], "cannot be written"),
        (["-o", "/proc/out.csv"], "cannot be written"),
        (["-o", "/proc/out.parquet"], "cannot be written"),
        (["-o", "/proc/out.txt"], "cannot be written"),
        (["-o", "/proc/out.json"], "cannot be written"),
    ],
)
def test_a_place_that_cannot_take_the_answer(buyer: Buyer, options: list[str], says: str) -> None:
    tell(buyer.refused(SHORTLIST, *options), says)


@pytest.mark.parametrize("end", ["csv", "json", "parquet", "txt"])
def test_a_folder_or_a_read_only_file_stays(
    buyer: Buyer, monkeypatch: pytest.MonkeyPatch, end: str
) -> None:
    (buyer.folder / f"folder.{end}").mkdir()
    tell(buyer.refused(SHORTLIST, "-o", f"folder.{end}"), "is a folder")
    kept = buyer.file(f"kept.{end}", "keep me")
    # Whoever runs the tests may be one whom no permission stops.
    access = os.access

    def read_only(path: str | Path, mode: int) -> bool:
        return (mode != os.W_OK or Path(path) != kept) and access(path, mode)

    monkeypatch.setattr(os, "access", read_only)
    tell(buyer.refused(SHORTLIST, "-o", kept), "read-only")
    assert kept.read_text() == "keep me"


@pytest.mark.parametrize("end", ["csv", "json", "parquet", "txt"])
def test_an_answer_in_a_file_leaves_the_screen_empty(buyer: Buyer, end: str) -> None:
    buyer.file(f"out.{end}", "the old one")
    assert buyer.screen(SHORTLIST, "-o", f"out.{end}") == (0, "", [])
    assert (buyer.folder / f"out.{end}").stat().st_size > 1000
    assert [path.name for path in buyer.folder.iterdir()] == [f"out.{end}"]


# ---------------------------------------------------------------- whole processes


def test_a_refusal_of_a_whole_process(tmp_path: Path, demo_release: Path) -> None:
    (tmp_path / "cars.csv").write_text("candidate,transmission\na,manuel\nb,stik\n", "utf-8")
    done = command(
        "screen", tmp_path / "cars.csv", "--coach", COACH, "--reference", demo_release,
        "-o", tmp_path / "out.csv",
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (2, "")
    tell(done.stderr.splitlines(), "line 2, transmission", "line 3, transmission")
    assert [path.name for path in tmp_path.iterdir()] == ["cars.csv"]


@pytest.fixture
def started(many: Path, tmp_path: Path, demo_release: Path) -> Callable[[str], Process]:
    """Starts to screen 100,000 cars into a file."""

    def start(name: str) -> Process:
        call = [
            sys.executable, "-m", "towdb", "screen", str(many), "--coach", str(COACH),
            "--reference", str(demo_release), "-o", name,
        ]  # fmt: skip
        return subprocess.Popen(
            call, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=tmp_path,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )  # fmt: skip

    return start


def has_open(process: Process, path: Path) -> bool:
    files = []
    for link in Path(f"/proc/{process.pid}/fd").iterdir():
        with contextlib.suppress(OSError):
            files.append(str(link.readlink()))
    return str(path.resolve()) in files


def wait_for(process: Process, sign: Callable[[], bool]) -> None:
    while process.poll() is None and not sign():
        time.sleep(0.002)


def was_interrupted(process: Process, folder: Path) -> None:
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=120)
    assert (process.returncode, out) == (130, ""), err
    tell(err.splitlines(), "towdb: interrupted; no file was left half written")
    assert list(folder.iterdir()) == []


needs_proc = pytest.mark.skipif(not Path("/proc/self/fd").is_dir(), reason="looks into /proc")


@needs_proc
@pytest.mark.parametrize("after", [0.0, 0.3, 1.0])
def test_ctrl_c_while_it_reads_and_screens(
    started: Callable[[str], Process], tmp_path: Path, demo_release: Path, after: float
) -> None:
    process = started("out.parquet")
    wait_for(process, lambda: has_open(process, demo_release))
    time.sleep(after)
    was_interrupted(process, tmp_path)


def test_ctrl_c_while_it_writes(started: Callable[[str], Process], tmp_path: Path) -> None:
    process = started("out.csv")
    wait_for(process, lambda: any(tmp_path.iterdir()))
    assert not (tmp_path / "out.csv").exists()
    was_interrupted(process, tmp_path)
