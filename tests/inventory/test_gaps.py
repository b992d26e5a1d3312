"""What a reference lacks: by hand on a small folder, and recounted from drawn verdicts."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.agreement import drawn, merged_release, row_of_world, write_rows
from tests.helpers.cars_drawn import write
from tests.helpers.command import Command
from tests.helpers.edits import put, row_numbers
from tests.helpers.folders import copy_base, read_table, set_cell, write_table
from tests.helpers.tier import by_tier
from towdb.presentation.gaps import gap_cells

ON = "2026-01-31"
HEADER = (
    "candidate,make,model,model_year,market,powertrain,drivetrain,transmission,transfer_case,"
    "ignition,built_on,gvwr"
)
LIKE = "2020,xa,gasoline,front_wheel_drive,manual,none,key,2020-03"
CARS = [
    f"a,Quillon,Pika,{LIKE},",
    f"b,QUILLON, pika ,{LIKE},",
    f"c,Quillon,Pika,{LIKE},3000 lb",
    f"d,Quillon,Pika,{LIKE.replace('manual', 'automatic')},",
    "e,Quillon,Vole,2021,xa,,,,,,,",
    "f,Tarrow,Fen,2020,,,,,,,,",
    "g,TARROW, fen ,2020,,,,,,,,",
    "h,Tarrow,Fen,2021,,,,,,,,3000 lb",
    "i,,Fen,2021,,,,,,,,",
]
Edit = Callable[[Path], None]
Found = list[tuple[object, ...]]


@pytest.fixture(scope="module")
def clean(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A release of the clean base folder, and `CARS` beside it."""
    folder = tmp_path_factory.mktemp("clean")
    write(folder / "cars.csv", HEADER, CARS)
    return towdb.build(copy_base(folder / "reference"), folder / "r.duckdb").path


def asked(tmp_path: Path, *edits: Edit) -> towdb.Gaps:
    """The gaps for `CARS` of the clean base folder, edited."""
    folder = copy_base(tmp_path / "reference")
    for edit in edits:
        edit(folder)
    release = towdb.build(folder, tmp_path / "r.duckdb").path
    cars = write(tmp_path / "cars.csv", HEADER, CARS)
    return towdb.gaps(cars, reference=release, on=ON)


def found(result: towdb.Gaps) -> Found:
    columns = ["lacks", "make", "model", "model_year", "cars", "named"]
    rows = result.gaps.astype(object).where(result.gaps.notna(), None)
    return [tuple(row) for row in rows[columns].itertuples(index=False)]


UNKNOWN = [
    ("statement", "TARROW", "Fen", "2020", 2, None), ("weight", "TARROW", "Fen", "2020", 2, None),
    ("statement", "TARROW", "Fen", "2021", 1, None),
]  # fmt: skip


def test_a_clean_reference_lacks_only_what_it_does_not_speak_of(clean: Path) -> None:
    result = towdb.gaps(clean.with_name("cars.csv"), reference=clean, on=ON)
    # The Vole's manual was read and is silent; the automatic is forbidden.
    assert found(result) == UNKNOWN
    assert (result.cars, result.unnamed) == (9, 1)


def test_an_unchecked_statement_is_waited_for(tmp_path: Path) -> None:
    edit = put("eligibility", "key", checked_by="", checked_on="")
    assert found(asked(tmp_path, edit)) == [
        ("check", "QUILLON", "Pika", "2020", 3, "key"),
        *UNKNOWN,
    ]


def test_cars_of_their_own_weight_do_not_wait_for_one(tmp_path: Path) -> None:
    def drop(folder: Path) -> None:
        rows = read_table(folder, "vehicle_property")
        kept = [row for row in rows if row["property"] != "gvwr" or "vole" in str(row)]
        write_table(folder, "vehicle_property", kept)

    result = asked(tmp_path, drop)
    assert ("weight", "QUILLON", "Pika", "2020", 2, None) in found(result)
    # The automatic is forbidden: its weight would settle nothing.
    assert sum(row[4] for row in found(result) if row[0] == "weight") == 4  # type: ignore[misc]


def test_an_unchecked_gross_rating_is_waited_for_by_unweighed_cars(tmp_path: Path) -> None:
    edit = put("vehicle_property", "key-gvwr", checked_by="", checked_on="")
    rows = found(asked(tmp_path, edit))
    assert [row[4:] for row in rows if row[0] == "check"] == [(2, "key-gvwr")]


def test_only_the_gross_rating_that_surely_counts_is_waited_for(tmp_path: Path) -> None:
    unchecked = {"checked_by": "", "checked_on": ""}
    edits = [put("vehicle_property", key, **unchecked) for key in ("key-gvwr", "button-gvwr")]
    # Of the cars nobody says the trim: the other group may be theirs, or not.
    edits.append(put("vehicle_group", "pika-button", ignition="any", trim="Summit"))
    rows = found(asked(tmp_path, *edits))
    named = [row[5] for row in rows if row[0] == "check" and row[2] == "Pika"]
    assert named == ["key-gvwr"]


def test_what_was_withdrawn_is_named(tmp_path: Path) -> None:
    edit = put("source", "pika-om", withdrawn_on="2025-06-01")
    result = asked(tmp_path, edit)
    # Those with a key may be the one whose door label is on record: that gives a weight still.
    assert [(row[0], *row[4:]) for row in found(result) if row[2] == "Pika"] == [
        ("statement", 3, "key"),
        ("statement", 1, "automatic"),
        ("weight", 1, "automatic-gvwr"),
    ]
    columns, rows = result.tables["gaps"]
    cells = [gap_cells(dict(zip(columns, row, strict=True)))[1] for row in rows]
    assert "no page on towing it flat; its source was withdrawn: key" in cells
    assert "no GVWR; its source was withdrawn: automatic-gvwr" in cells
    # What was never on record names nothing.
    assert [row for row in found(result) if row[2] == "Fen"] == UNKNOWN


def test_a_withdrawn_page_beside_another_is_not_named(tmp_path: Path) -> None:
    def second(folder: Path) -> None:
        rows = read_table(folder, "eligibility")
        (vole,) = (row for row in rows if row["eligibility_id"] == "vole")
        other = {"eligibility_id": "vole-gear", "source_id": "gear-manual", "locator": "p. 3"}
        write_table(folder, "eligibility", [*rows, {**vole, **other}])

    edit = put("source", "gear-manual", withdrawn_on="2025-06-01")
    assert found(asked(tmp_path, second, edit)) == UNKNOWN


def test_a_permission_without_any_step_lacks_steps(tmp_path: Path) -> None:
    def without_steps(folder: Path) -> None:
        for table in ("procedure_step", "fuse_pull"):
            path = folder / f"{table}.csv"
            path.write_text(path.read_text("utf-8").splitlines()[0] + "\n", "utf-8")
        numbers = row_numbers(folder, "eligibility")
        for key in ("key", "button"):
            set_cell(folder, "eligibility", numbers[key], "same_steps_as", "")
            for name in ("steps_before", "steps_en_route", "steps_after", "fuse_pulls"):
                set_cell(folder, "eligibility", numbers[key], name, "0")

    rows = found(asked(tmp_path, without_steps))
    assert [row[4:] for row in rows if row[0] == "steps"] == [(3, "key")]


@pytest.mark.parametrize(
    ("age", "old"),
    [
        # pika-om was published on 2018-09-01; the label has no date, and is told at any age.
        ("3y", {"pika-om": 4, "pika-tb": 0, "pika-label": 0}),
        ("88m", {"pika-om": 4, "pika-label": 0}),
        ("2709 days", {"pika-label": 0}),
        ("2708d", {"pika-om": 4, "pika-label": 0}),
    ],
)
def test_sources_older_than_an_age(clean: Path, age: str, old: dict[str, int]) -> None:
    cars = clean.with_name("cars.csv")
    sources = towdb.gaps(cars, reference=clean, on=ON, older_than=age).sources
    assert set(sources["source_id"]) == set(old)
    counts = dict(zip(sources["source_id"], sources["cars"], strict=True))
    assert counts["pika-label"] == 3
    if "pika-om" in old:
        # The two Pikas of a key and their like, the Vole, and the automatic.
        assert counts["pika-om"] == 5
        assert next(iter(sources["source_id"])) == "pika-om"


def test_without_cars_the_years_between_wait(demo_release: Path) -> None:
    result = towdb.gaps(reference=demo_release, on=ON)
    silent = [row[1:4] for row in found(result) if row[0] == "statement"]
    assert silent == [
        ("Dunmere", "Osier", "2019"),
        ("Dunmere", "Osier", "2020"),
        ("Halvern", "Wicket", "2020"),
        ("Quillon", "Pika", "2020"),
        ("Tarrow", "Sedge", "2019"),
    ]
    for make in {str(row[0]) for row in silent}:
        told = towdb.show(demo_release, make, on=ON).gaps
        years = [(make, model, str(year)) for model, listed in told.items() for year in listed]
        assert sorted(years) == [row for row in silent if row[0] == make]


def with_a_later_vole(folder: Path) -> None:
    """A label speaks of it from 2023 to 2024; no page does on towing it."""
    rows = read_table(folder, "vehicle_group")
    (vole,) = (row for row in rows if row["vehicle_group_id"] == "vole")
    later = {"vehicle_group_id": "vole-late", "model_year_from": "2023", "model_year_to": "2024"}
    write_table(folder, "vehicle_group", [*rows, {**vole, **later}])


def test_years_after_the_last_page_wait_and_are_counted(clean: Path, tmp_path: Path) -> None:
    folder = copy_base(tmp_path / "reference")
    with_a_later_vole(folder)
    release = towdb.build(folder, tmp_path / "r.duckdb").path
    result = towdb.gaps(reference=release, on=ON)
    assert found(result) == [
        (lacks, "Quillon", "Vole", year, 1, None)
        for lacks in ("statement", "weight")
        for year in ("2023", "2024")
    ]
    # Years of which a page speaks stand there by their versions alone.
    with towdb.screen(coach=DEMO / "coach.toml", reference=clean, on=ON) as screening:
        versions = len(screening.verdicts)
    assert towdb.gaps(reference=clean, on=ON).cars == versions
    assert result.cars == versions + 2


def test_words_that_mean_nothing_alone_stand_with_what_they_are_said_of(tmp_path: Path) -> None:
    cars = write(
        tmp_path / "cars.csv",
        "candidate,make,model,model_year,transfer_case,transmission",
        ["a,Quillon,Vole,2023,present,manual", "b,Quillon,Vole,2023,none,manual"],
    )
    folder = copy_base(tmp_path / "reference")
    with_a_later_vole(folder)
    release = towdb.build(folder, tmp_path / "r.duckdb").path
    rows = towdb.gaps(cars, reference=release, on=ON).gaps
    said = rows[rows["lacks"] == "statement"]["words"]
    assert {*said} == {"transfer_case none, manual", "transfer_case present, manual"}


@pytest.mark.parametrize("seed", by_tier(quick=[2], whole=[2, 8]))
def test_gaps_of_drawn_worlds_are_those_of_their_verdicts(tmp_path: Path, seed: int) -> None:
    worlds = [world for world in drawn(seed, 40) if world.policy["weigh_by"] == "best_known"]
    release = merged_release(worlds, tmp_path)
    cars = tmp_path / "cars.csv"
    rows = [row_of_world(k, r, "candidate") for k, w in enumerate(worlds) for r in w.candidates]
    write_rows(cars, rows)
    on = worlds[0].on
    coach = write(tmp_path / "coach.toml", "[properties]", ['hitch_receiver = "5000 lb"'])
    lacking = towdb.gaps(cars, reference=release, on=on)
    with towdb.screen(cars, coach=coach, reference=release, on=on) as screened:
        reasons = Counter(screened.verdicts["permission_reason"])
    sums = lacking.gaps.groupby("lacks")["cars"].sum()
    assert reasons["nothing_on_record"] > 0
    assert sums["statement"] == reasons["nothing_on_record"]
    # What awaits its check surely is among what waits for one.
    named = lacking.gaps[lacking.gaps["named"].notna()]
    assert reasons["awaits_check"] > 0
    assert sums["check"] >= reasons["awaits_check"]
    assert named["cars"].min() > 0
    assert lacking.cars == len(rows)


# ---------------------------------------------------------------- the command


@pytest.mark.parametrize(
    ("options", "wrong"),
    [
        (["--older-than", "old"], "not an age; write it as 3y, 18m or 90d"),
        (["--older-than", "-3y"], "not an age"),
        (["--older-than", "9999y"], "not believable"),
        (["--older-than", "3 stone"], "not an age"),
        (["--on", "31.1.2026"], "is not a date"),
        (["-o", "gaps.xlsx"], "no format"),
    ],
)
def test_a_wrong_call_is_refused(
    command: Command, demo_release: Path, options: list[str], wrong: str
) -> None:
    assert wrong in command.refused("gaps", "--reference", demo_release, *options)


def test_a_reference_is_needed(command: Command) -> None:
    assert "name a release" in command.refused("gaps", DEMO / "shortlist.csv")


def test_every_form(
    command: Command, demo_release: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "100")
    asked = ("gaps", DEMO / "shortlist.csv", "--reference", demo_release, "--on", ON)
    told = json.loads(command(*asked, "--format", "json", "--older-than", "8y").out)
    assert (told["cars"], told["older_than"]) == (12, "2018-01-31")
    assert [row["lacks"] for row in told["gaps"]] == ["statement", "check"]
    assert [row["cars"] for row in told["sources"]] == [1, 0, 0]
    target = tmp_path / "gaps.csv"
    command(*asked, "-o", target)
    first, *rest = pd.read_csv(target).to_dict("records")
    assert (first["lacks"], first["rows_read"], first["rows_set_aside"]) == ("read", 12, 0)
    assert [row["model"] for row in rest] == ["Wickett", "Fjell"]
    out = command(*asked).out
    assert "no page on towing it flat" in out
    assert out.count("qualified installer decide") == 1


def test_an_age_that_reaches_before_all_days(demo_release: Path) -> None:
    found = towdb.gaps(reference=demo_release, on="0001-01-01", older_than="200y")
    assert found.document()["older_than"] == "0001-01-01"


def test_no_car_lacks_nothing(command: Command, demo_release: Path, tmp_path: Path) -> None:
    cars = write(tmp_path / "cars.csv", "candidate,make", [])
    said = command("gaps", cars, "--reference", demo_release)
    assert (said.status, said.err) == (0, "")
    assert "for 0 cars: nothing" in said.out
