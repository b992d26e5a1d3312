"""Beside verdicts: what was not looked at, columns of the shortlist, and models in lines."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import duckdb
import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.agreement import write_rows
from tests.helpers.command import Command, unwrapped
from tests.helpers.folders import read_table
from towdb.wording.sentences import NOT_LOOKED_AT

SHORTLIST, COACH, ON = DEMO / "shortlist.csv", DEMO / "coach.toml", "2026-01-31"


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Command:
    monkeypatch.setenv("COLUMNS", "100")
    return Command(monkeypatch, capsys)


def screened(command: Command, release: Path, *options: object, coach: object = COACH) -> str:
    call = ("screen", *options, "--coach", coach, "--reference", release, "--on", ON)
    said = command(*call)
    assert said.status == 0, said.err
    return said.out


# ---------------------------------------------------------------- what was not looked at


@pytest.mark.parametrize(
    "options",
    [(SHORTLIST,), (SHORTLIST, "--explain"), (), (SHORTLIST, "--summary"),
     (SHORTLIST, "--coach", "saltmarsh-31")],
)  # fmt: skip
def test_outfit_and_law_are_named_once_as_not_looked_at(
    demo_release: Path, command: Command, options: tuple[object, ...]
) -> None:
    out = unwrapped(screened(command, demo_release, *options))
    assert out.count(NOT_LOOKED_AT) == 1
    for word in ("outfit", "law", "Brakes on the car are advised"):
        assert word in NOT_LOOKED_AT


def test_documents_say_what_was_not_looked_at(
    demo_release: Path, command: Command, tmp_path: Path
) -> None:
    for options in ((SHORTLIST,), (SHORTLIST, "--summary")):
        told = json.loads(screened(command, demo_release, *options, "--format", "json"))
        assert told["not_looked_at"] == NOT_LOOKED_AT
    page = tmp_path / "page.html"
    screened(command, demo_release, SHORTLIST, "--summary", "-o", page)
    assert page.read_text("utf-8").count(NOT_LOOKED_AT) == 1


FIGURES = {
    "hitch_receiver": "5000 lb", "gcwr": "26000 lb", "gvwr": "22000 lb",
    "towing_capacity": "5000 lb", "loaded_weight": "21000 lb", "unloaded_weight": "18000 lb",
    "unbraked_towed_max": "1500 lb", "hitch_vertical": "500 lb", "receiver_height": "17 in",
    "hitch_receiver_weight_distributing": "8000 lb", "socket": "seven_pin",
}  # fmt: skip


def test_a_figure_that_no_check_reads_is_named(
    demo_release: Path, command: Command, tmp_path: Path
) -> None:
    coach = tmp_path / "mine.toml"
    lines = (f'{name} = "{value}"' for name, value in FIGURES.items())
    coach.write_text("[properties]\n" + "\n".join(lines), "utf-8")
    told = json.loads(screened(command, demo_release, SHORTLIST, "--format", "json", coach=coach))
    unread = told["screenings"][0]["coach"]["figures_not_used"]
    # The plate's weight-distributing figure never serves a flat-towed car.
    assert unread == [
        "hitch_receiver_weight_distributing", "hitch_vertical", "receiver_height", "socket",
    ]  # fmt: skip
    out = unwrapped(screened(command, demo_release, SHORTLIST, coach=coach))
    assert (
        "no check uses its hitch receiver weight distributing, hitch vertical, receiver height,"
        " socket" in out
    )
    # What a check reads changes an answer, or is cited by it; what is named does neither.
    cited = {
        citation["key"]
        for car in told["screenings"][0]["candidates"]
        for part in (*car["checks"], *car["conditions"])
        for citation in part["citations"]
        if citation["table"] == "coach_file"
    }
    assert cited | set(unread) == set(FIGURES)
    assert not cited & set(unread)
    assert "no check uses" not in screened(command, demo_release, SHORTLIST)


# ---------------------------------------------------------------- columns of the shortlist


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_a_verdict_table_carries_columns_as_they_were_typed(
    demo_release: Path, command: Command, tmp_path: Path
) -> None:
    names = ["make", "model", "price", "lot"]
    plain = rows_of(screened(command, demo_release, SHORTLIST, "--format", "csv"))
    asked = (SHORTLIST, "--with-columns", ",".join(names))
    found = rows_of(screened(command, demo_release, *asked, "--format", "csv"))
    with SHORTLIST.open(encoding="utf-8", newline="") as file:
        typed = list(csv.DictReader(file))
    assert list(found[0]) == [*plain[0], *names]
    for row, verdict, car in zip(found, plain, typed, strict=True):
        assert row == verdict | {name: car[name] for name in names}
    target = tmp_path / "verdicts.parquet"
    screened(command, demo_release, *asked, "-o", target)
    with duckdb.connect() as con:
        kept = con.execute(f"SELECT {', '.join(['candidate', *names])} FROM '{target}'").fetchall()
    assert kept == [tuple(car[name] for name in ["candidate", *names]) for car in typed]
    with towdb.screen(SHORTLIST, coach=[COACH, "saltmarsh-31"], reference=demo_release,
                      with_columns=names) as screening:  # fmt: skip
        frame = screening.verdicts
        assert list(frame["lot"]) == [car["lot"] for car in typed] * 2
        assert list(frame["candidate"]) == [car["candidate"] for car in typed] * 2


MAP = """
[columns]
"Stock No." = "candidate"
"Make" = "make"
"Model" = "model"
"Yr" = "model_year"
[words.make]
"Q." = "Quillon"
"""


@pytest.mark.parametrize("aside", [False, True])
@pytest.mark.parametrize("kind", ["csv", "parquet"])
def test_other_peoples_columns_are_carried_under_the_name_that_was_asked_for(
    demo_release: Path, command: Command, tmp_path: Path, aside: bool, kind: str
) -> None:
    rows: list[dict[str, Any]] = [
        {"Stock No.": "1", "Make": "Q.", "Model": "Pika", "Yr": "2021", 'Colour "x"': "sea, blue"},
        {"Stock No.": "2", "Make": "Halvern", "Model": "Wicket", "Yr": "soon", 'Colour "x"': ""},
        {"Stock No.": "3", "Make": "Halvern", "Model": "Wicket", "Yr": "2019",
         'Colour "x"': "=1+1"},
    ]  # fmt: skip
    if not aside:
        del rows[1]
    (tmp_path / "map.toml").write_text(MAP, "utf-8")
    write_rows(tmp_path / "dealer.csv", rows)
    source = tmp_path / f"dealer.{kind}"
    if kind == "parquet":
        with duckdb.connect() as con:
            con.execute(
                f"COPY (FROM read_csv('{tmp_path}/dealer.csv', all_varchar=true)) TO '{source}'"
            )
    options: list[object] = [source, "--map", tmp_path / "map.toml"]
    options += ["--set-aside", tmp_path / "aside.csv"] if aside else []
    call = [*options, "--with-columns", 'Make, COLOUR "x" ,model_year']
    said = screened(command, demo_release, *call, "--format", "csv")
    found = [tuple(row.values())[:1] + tuple(row.values())[-3:] for row in rows_of(said)]
    # Verbatim, but for the mark before what a spreadsheet would run.
    assert found == [("1", "Q.", "sea, blue", "2021"), ("3", "Halvern", "'=1+1", "2019")]
    assert list(rows_of(said)[0])[-3:] == ["Make", 'COLOUR "x"', "model_year"]


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (
            ("--with-columns", "makee", "--format", "csv"),
            "makee: no such column; did you mean make?",
        ),
        (("--with-columns", "lot,LOT", "--format", "csv"), "LOT: is named twice"),
        (("--with-columns", "candidate", "--format", "csv"), "already has this column"),
        (("--with-columns", "lot"), "goes with the verdict table"),
        (("--with-columns", "lot", "--format", "json"), "goes with the verdict table"),
        (("--with-columns", "lot", "--summary", "--format", "csv"), "goes with the verdict table"),
        (("--with-columns", "", "--format", "csv"), "(empty): no such column"),
    ],
)
def test_a_column_that_cannot_be_carried_is_refused(
    demo_release: Path, command: Command, options: tuple[str, ...], said: str
) -> None:
    call = ("screen", SHORTLIST, "--coach", COACH, "--reference", demo_release, *options)
    assert said in command.refused(*call)


# ---------------------------------------------------------------- what may this coach pull


LINE = re.compile(
    r"  (?P<make>\w+) (?P<model>[A-Z]\w*(?: [A-Z]\w*)*) (?P<years>\d{4}.*?): (?P<why>.+)"
)


def listed(out: str) -> Iterator[tuple[str, re.Match[str]]]:
    verdict = ""
    for line in out.splitlines():
        if head := re.match(r"(suitable|undetermined|not suitable): (\d+|none)$", line.rstrip()):
            verdict = head[1].replace(" ", "_")
        elif verdict and not line.startswith("  "):
            return
        elif verdict:
            match = LINE.fullmatch(line.rstrip())
            assert match, line
            yield verdict, match


@pytest.mark.parametrize("coach", [COACH, "saltmarsh-31", "nordhal-700"])
def test_models_are_listed_suitable_first_a_line_each(
    demo_release: Path, command: Command, monkeypatch: pytest.MonkeyPatch, coach: object
) -> None:
    monkeypatch.setenv("COLUMNS", "400")
    out = screened(command, demo_release, coach=coach)
    lines = list(listed(out))
    order = ["suitable", "undetermined", "not_suitable"]
    assert [verdict for verdict, _ in lines] == sorted((v for v, _ in lines), key=order.index)
    for text in re.findall(r"^(?:suitable|undetermined|not suitable): \d+", out, re.MULTILINE):
        verdict, _, number = text.partition(": ")
        assert sum(v == verdict.replace(" ", "_") for v, _ in lines) == int(number)
    # Every model and year of every verdict stands there, and no other.
    told = json.loads(screened(command, demo_release, "--format", "json", coach=coach))
    groups = {g["vehicle_group_id"]: g for g in read_table(DEMO / "reference", "vehicle_group")}
    wanted = set()
    for car in told["screenings"][0]["candidates"]:
        group_id, year, *_ = car["candidate"].split(":")
        group = groups[group_id]
        wanted.add((car["verdict"], group["make"], group["model"], int(year)))
    shown = set()
    for verdict, line in lines:
        years = re.match(r"\d{4}(?:-\d{4})?(?:, \d{4}(?:-\d{4})?(?=[,:]|$))*", line["years"])
        assert years
        for run in years[0].split(", "):
            first, _, last = run.partition("-")
            for year in range(int(first), int(last or first) + 1):
                shown.add((verdict, line["make"], line["model"], year))
    assert shown == wanted


def test_no_internal_id_is_shown(demo_release: Path, command: Command) -> None:
    keys = {
        row[f"{table}_id"]
        for table in ("vehicle_group", "eligibility")
        for row in read_table(DEMO / "reference", table)
    }
    out = "".join(screened(command, demo_release).split())
    assert not [key for key in keys if key in out]
    explained = screened(command, demo_release, "--explain", "--years", 2019)
    heads = re.findall(r"^(\S.*): (?:suitable|not suitable|undetermined)$",
                       explained.replace("  \n", "\n"), re.MULTILINE)  # fmt: skip
    assert not [head for head in heads for key in keys if key in head]


def test_versions_of_which_the_same_is_said_are_one_line(
    demo_release: Path, command: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "400")
    out = screened(command, demo_release, coach="saltmarsh-31")
    assert (
        "  Dunmere Osier 2021-2022, front wheel drive, continuously variable, transfer case none,"
        " button or key: 179.1 lb to spare (combination rating)\n" in out.replace("  \n", "\n")
    )
    assert "  Bessarin Lowan 2020-2021, all wheel drive: forbidden\n" in out
