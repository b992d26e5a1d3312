"""Screening without a shortlist: the cars that a reference speaks of, listed from its rows."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from itertools import product
from pathlib import Path

import pandas as pd
import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.agreement import drawn, merged_release, write_rows
from tests.helpers.command import Command
from tests.helpers.folders import Row, copy_base, read_table, set_cell, write_table
from tests.helpers.oracle import WORDS, all_leaves, cell_words, leaves
from tests.helpers.statements import Folder, is_flat, years_of

COACH = DEMO / "coach.toml"
ON = "2026-01-31"
Car = dict[str, str | None]
Years = tuple[int, int]
TWO_SPEED = ("two_speed_with_neutral", "two_speed_without_neutral")
COLUMNS = ["candidate", "make", "model", "model_year", *WORDS]


def leaves_of(attribute: str, text: str) -> list[str]:
    """What a cell of a closed vocabulary names; nothing where it leaves the car open."""
    if text in ("", "any"):
        return []
    is_negated, named = cell_words(text)
    covered = frozenset().union(*(leaves(attribute, word) for word in named))
    if is_negated:
        covered = all_leaves(attribute) - covered
    # Words are sets: all leaves are the same set as any.
    return [] if covered == all_leaves(attribute) else sorted(covered) or ["no car at all"]


def cars_of(group: Row, years: Years) -> Iterator[Car]:
    named = {attribute: leaves_of(attribute, group[attribute]) for attribute in WORDS}
    for year in years_of(group):
        if not years[0] <= year <= years[1]:
            continue
        for said in product(*([None, *words][bool(words) :] for words in named.values())):
            words = dict(zip(WORDS, said, strict=True))
            varying = [str(words[name]) for name in WORDS if len(named[name]) > 1]
            parts = [group["vehicle_group_id"], str(year), *filter(None, ["+".join(varying)])]
            own = {"make": group["make"], "model": group["model"], "model_year": str(year)}
            yield {"candidate": ":".join(parts), **own, **words}


def expected(path: Path, years: Years = (0, 9999)) -> dict[str, Car]:
    """Every version of a car that the rows speak of, by name."""
    folder = Folder(path)
    spoken = {row["vehicle_group_id"] for row in folder.statements if is_flat(row)}
    groups = [group for group in folder.groups if group["vehicle_group_id"] in spoken]
    cars = [car for group in groups for car in cars_of(group, years)]
    possible = [car for car in cars if "no car at all" not in car.values()]
    found = {str(car["candidate"]): car for car in possible}
    assert len(found) == len(possible)
    return found


def listed(screening: towdb.Screening) -> dict[str, Car]:
    """The cars that were screened, by name, as if typed."""
    con = screening.con
    con.execute(f"SELECT {', '.join(COLUMNS)} FROM inventory_rows ORDER BY candidate_no")
    rows = [dict(zip(COLUMNS, row, strict=True)) for row in con.fetchall()]
    found = {row["candidate"]: row for row in rows}
    assert len(found) == len(rows)
    assert list(found) == list(screening.verdicts["candidate"])
    return found


def same_when_typed(screening: towdb.Screening, release: Path, folder: Path) -> None:
    """The same cars, typed as a shortlist in another order, get the same answers."""
    cars = sorted(listed(screening).values(), key=lambda car: str(car["candidate"])[::-1])
    write_rows(folder / "typed.csv", [dict(car) for car in cars])
    with towdb.screen(folder / "typed.csv", coach=COACH, reference=release, on=ON) as again:
        for ours, theirs in (
            (screening.verdicts, again.verdicts),
            (screening.checks, again.checks),
            (screening.conditions, again.conditions),
            (screening.remarks, again.remarks),
        ):
            assert sorted_rows(ours) == sorted_rows(theirs)


def sorted_rows(frame: pd.DataFrame) -> list[str]:
    return sorted(frame.to_csv(index=False).splitlines())


# ---------------------------------------------------------------- which cars


def test_the_cars_of_the_demo(demo_release: Path, tmp_path: Path) -> None:
    wanted = expected(DEMO / "reference")
    assert any(name.count(":") == 2 for name in wanted)
    assert any(name.count(":") == 1 for name in wanted)
    with towdb.screen(coach=COACH, reference=demo_release, on=ON) as screening:
        assert listed(screening) == wanted
        same_when_typed(screening, demo_release, tmp_path)


def test_the_cars_of_drawn_worlds(tmp_path: Path) -> None:
    worlds = drawn(1, 80)
    release = merged_release(worlds, tmp_path)
    wanted = expected(tmp_path / "reference")
    assert len(wanted) > 100
    with towdb.screen(None, coach=COACH, reference=release, on=ON) as screening:
        assert listed(screening) == wanted
        same_when_typed(screening, release, tmp_path)


CELLS: list[tuple[str, str, list[str | None]]] = [
    ("transfer_case", "any", [None]),
    ("transfer_case", "", [None]),
    ("transfer_case", "none", ["none"]),
    ("transfer_case", "not present", ["none"]),
    ("transfer_case", "not none | single_speed", [*TWO_SPEED]),
    ("transfer_case", "two_speed", [*TWO_SPEED]),
    ("transfer_case", "none | present", [None]),
    ("transfer_case", "not none | present", []),
    ("transmission", "not automatic", ["manual"]),
    ("transmission", "manual | dual_clutch", ["dual_clutch", "manual"]),
    ("drivetrain", "two_wheel_drive", ["front_wheel_drive", "rear_wheel_drive"]),
    ("market", "xa | xb", ["xa", "xb"]),
]


@pytest.fixture(scope="module")
def of_cells(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Car]]:
    """A reference with a group for each of `CELLS`, and the cars that are screened."""
    path = tmp_path_factory.mktemp("cells")
    folder = copy_base(path / "reference")
    # Those of a statement that forbids: of a permission the rules ask narrower words.
    like, forbids = (read_table(folder, name)[2] for name in ("vehicle_group", "eligibility"))
    for table, rows in (
        ("vehicle_group", [
            like | {"vehicle_group_id": f"cell-{n}", "model": f"Cell {n}", attribute: cell}
            | {"transmission": cell if attribute == "transmission" else "manual"}
            # An empty cell that nothing says is any.
            | ({} if cell else {"otherwise": ""})
            for n, (attribute, cell, _) in enumerate(CELLS)
        ]),
        ("eligibility", [
            forbids | {"vehicle_group_id": f"cell-{n}", "eligibility_id": f"cell-{n}"}
            for n in range(len(CELLS))
        ]),
    ):  # fmt: skip
        write_table(folder, table, [*read_table(folder, table), *rows])
    release = towdb.build(folder, path / "r.duckdb").path
    with towdb.screen(coach=COACH, reference=release, on=ON) as screening:
        return folder, listed(screening)


@pytest.mark.parametrize("number", range(len(CELLS)), ids=[cell or "empty" for _, cell, _ in CELLS])
def test_a_cell_gives_the_leaves_it_names(
    of_cells: tuple[Path, dict[str, Car]], number: int
) -> None:
    folder, cars = of_cells
    attribute, _, words = CELLS[number]
    own, wanted = f"cell-{number}:", expected(folder)
    found = {name: car for name, car in cars.items() if name.startswith(own)}
    assert found == {name: car for name, car in wanted.items() if name.startswith(own)}
    of_year = [car for car in found.values() if car["model_year"] == "2022"]
    assert sorted(str(car[attribute]) for car in of_year) == sorted(map(str, words))


def test_what_counts_as_a_statement(tmp_path: Path) -> None:
    # In base the Vole is spoken of with purpose any, "pika-labelled" not at all, and the lifted
    # wheels of "pika-key" beside its statement on four wheels down.
    folder = copy_base(tmp_path / "reference")
    groups = {name.split(":")[0] for name in expected(folder)}
    assert groups == {"pika-key", "pika-button", "pika-automatic", "pika-late", "vole"}
    for row, column, word in ((4, "purpose", "emergency"), (2, "towing_method", "on_trailer")):
        set_cell(folder, "eligibility", row, column, word)
    release = towdb.build(folder, tmp_path / "r.duckdb").path
    with towdb.screen(coach=COACH, reference=release, on=ON) as screening:
        found = {name.split(":")[0] for name in listed(screening)}
    assert found == {"pika-key", "pika-button", "pika-late"}


# ---------------------------------------------------------------- some years


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Command:
    return Command(monkeypatch, capsys)


@pytest.mark.parametrize(
    ("typed", "years"),
    [
        ("2021", (2021, 2021)),
        ("2020-2022", (2020, 2022)),
        (" 2021-2021 ", (2021, 2021)),
        ("1900-2018", (1900, 2018)),
        ("1900", (1900, 1900)),
        ("0000-9999", (0, 9999)),
    ],
)
def test_only_the_years_asked_for(
    demo_release: Path, command: Command, typed: str, years: Years
) -> None:
    wanted = list(expected(DEMO / "reference", years))
    at = ("--coach", COACH, "--reference", demo_release, "--on", ON)
    said = command("screen", "--years", typed, *at, "--format", "csv")
    assert (said.status, said.err) == (0, "")
    rows = list(csv.DictReader(io.StringIO(said.out)))
    assert sorted(row["candidate"] for row in rows) == sorted(wanted)
    with towdb.screen(coach=COACH, reference=demo_release, on=ON, years=years) as screening:
        assert sorted(listed(screening)) == sorted(wanted)
        assert [row["verdict"] for row in rows] == list(screening.verdicts["verdict"])


JUNK = [
    "2022-2020",
    "x",
    "",
    "20",
    "20211",
    "2021-",
    "-2021",
    "2020–2022",
    "2020-2021-2022",
    "٢٠٢١",
]


@pytest.mark.parametrize("typed", JUNK)
def test_other_years_are_refused(demo_release: Path, command: Command, typed: str) -> None:
    at = ("--coach", COACH, "--reference", demo_release)
    assert "write them as 2018-2021" in command.refused("screen", f"--years={typed}", *at)


@pytest.mark.parametrize("years", [*JUNK, (2022, 2020)])
def test_other_years_are_refused_in_python(demo_release: Path, years: str | Years) -> None:
    with pytest.raises(towdb.UsageError, match="years"):
        towdb.screen(coach=COACH, reference=demo_release, years=years)


def test_years_go_without_a_shortlist(demo_release: Path, command: Command) -> None:
    at = ("--coach", COACH, "--reference", demo_release, "--years", "2021")
    assert "shortlist" in command.refused("screen", DEMO / "shortlist.csv", *at)
    with pytest.raises(towdb.UsageError, match="shortlist"):
        towdb.screen(
            DEMO / "shortlist.csv", coach=COACH, reference=demo_release, years=(2021, 2021)
        )


# ---------------------------------------------------------------- the command


def test_the_document_holds_the_same_cars(demo_release: Path, command: Command) -> None:
    at = ("--coach", COACH, "--reference", demo_release, "--on", ON)
    told = json.loads(command("screen", *at, "--format", "json").out)
    (screening,) = told["screenings"]
    cars = {car["candidate"]: car for car in screening["candidates"]}
    wanted = expected(DEMO / "reference")
    assert set(cars) == set(wanted)
    assert {car["verdict"] for car in cars.values()} == {"suitable", "not_suitable", "undetermined"}
    command.patch.setenv("COLUMNS", "200")
    table = command("screen", *at).out
    # People read models, years and words; the names of rows are for programs.
    assert all(f"{car['make']} {car['model']} 2" in table
               for car in wanted.values())  # fmt: skip
    assert not any(name in table for name in cars)


def test_what_is_assumed_fills_what_is_open(demo_release: Path) -> None:
    found: list[dict[str, str]] = []
    for assume in ({}, {"ignition": "key"}):
        with towdb.screen(coach=COACH, reference=demo_release, on=ON, assume=assume) as screening:
            rows = screening.verdicts[["candidate", "verdict"]]
            found.append(dict(rows.itertuples(index=False)))
    before, after = found
    assert list(before) == list(after)
    says = {name for name, car in expected(DEMO / "reference").items() if car["ignition"]}
    assert 0 < len(says) < len(before)
    assert {name: after[name] for name in says} == {name: before[name] for name in says}


def test_a_reference_without_statements_gives_an_empty_answer(
    tmp_path: Path, command: Command
) -> None:
    folder = copy_base(tmp_path / "reference")
    for table in ("eligibility", "towing_limit", "procedure_step", "fuse_pull"):
        header = ",".join(read_table(folder, table)[0])
        (folder / f"{table}.csv").write_text(f"{header}\n", "utf-8")
    release = towdb.build(folder, tmp_path / "r.duckdb").path
    said = {}
    for form in ("csv", "json", "table"):
        answer = command("screen", "--coach", COACH, "--reference", release, "--format", form)
        assert (answer.status, answer.err) == (0, "")
        said[form] = answer.out
    assert len(said["csv"].splitlines()) == 1
    assert json.loads(said["json"])["screenings"][0]["candidates"] == []
    assert "Marram 33" in said["table"]
    assert "pika" not in said["table"]
