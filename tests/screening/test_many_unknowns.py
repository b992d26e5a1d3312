"""Cars of which very much is unknown, pages that permit nothing, and a car that many groups match.

What is promised must hold however long the list is, and what a person reads must stay a page.
"""

from __future__ import annotations

import json
import re
from collections import defaultdict
from collections.abc import Callable, Iterable
from datetime import date
from itertools import combinations
from pathlib import Path

import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers import oracle
from tests.helpers.agreement import write_rows
from tests.helpers.command import Command, unwrapped
from tests.helpers.folders import read_table, write_table
from tests.helpers.statements import is_flat
from tests.helpers.worlds import Row
from tests.screening.test_questions import (
    ON,
    assert_complete,
    questions_of,
    screen_rows,
    typed_answer,
    verdicts_of,
)

# One car is read on one page, however many groups may be meant.
PAGE_LINES = 60
GROUPS = 500
CONDITIONS, OPTIONS = 24, 13
HEAVIEST = 3600  # lb

STAMP = {
    "basis": "cited", "entered_by": "Imre Solvang", "entered_on": "2025-03-14",
    "checked_by": "Dunya Orrel", "checked_on": "2025-03-20",
}  # fmt: skip
UNCHECKED = {"checked_by": "", "checked_on": ""}
CLOSED = {
    "market": "xa", "powertrain": "gasoline", "drivetrain": "front_wheel_drive",
    "transmission": "manual", "transfer_case": "none",
}  # fmt: skip
COACH: oracle.CoachFile = {
    "hitch_receiver": [{"value": "5000 lb"}],
    "gcwr": [{"value": "26000 lb"}],
    "gvwr": [{"value": "23000 lb"}],
    "loaded_weight": [{"value": "9640 kg"}],
    "towing_capacity": [{"value": "none stated"}],
}
# What alone keeps each model from being suitable: a cell of the group that permits.
DECIDING: dict[str, dict[str, str]] = {
    "ignition": {"ignition": "key"},
    "trim": {"trim": "Fell"},
    "options": {"options_with": "zinc tow hook"},
    "confirmed": {"further_condition": "stamped Z on the cross member"},
    "built_on": {"built_to": "2020-03-31"},
    "model_year": {},
}
ON_SCREEN = {"options": "zinc tow hook", "confirmed": "stamped Z on the cross member"}


# ---------------------------------------------------------------- small references


class Pages:
    """An invented manual, entered row by row."""

    def __init__(self) -> None:
        title = "Quillon Handbook 2020 (invented)"
        manual: Row = {
            "source_id": "manual", "kind": "owner_manual", "title": title, "issuer": "Quillon",
            "issuer_role": "vehicle_maker", "market": "xa", "model_year_from": "2019",
            "model_year_to": "2021", "file_sha256": "1" * 64, "invented": "yes",
        }  # fmt: skip
        self.rows: dict[str, list[Row]] = {
            "source": [manual | {k: v for k, v in STAMP.items() if k != "basis"}]
        }

    def enter(self, table: str, key: str, **cells: str) -> None:
        page = len(self.rows.setdefault(table, [])) + 1
        cited = {"source_id": "manual", "locator": f"p. {page}", "quote": f"{table} {page}"}
        row: Row = {f"{table}_id": key, **cited, **STAMP, **cells}
        self.rows[table].append(row)

    def group(self, key: str, model: str, **cells: str) -> None:
        years = {"model_year_from": "2020", "model_year_to": "2020"}
        called = {"make": "Quillon", "model": model, "otherwise": "any"}
        self.enter("vehicle_group", key, **(called | years | CLOSED | cells))

    def says(self, key: str, permission: str, **cells: str) -> None:
        """A statement on the group of the same name."""
        flat = {"towing_method": "four_wheels_down", "purpose": "recreational"}
        named = {"vehicle_group_id": key, "permission": permission}
        self.enter("eligibility", key, **(flat | named | cells))

    def permits(self, key: str, steps_of: str = "", **cells: str) -> None:
        """A permission; its one step and one limit are its own, or its steps another's."""
        none = dict.fromkeys(("steps_before", "steps_en_route", "steps_after", "fuse_pulls"), "0")
        counted = {"same_steps_as": steps_of} if steps_of else none | {"steps_before": "1"}
        self.says(key, "permitted", limits="1", **counted, **cells)
        limit = {"quantity": "speed", "bound": "at_most", "scope": "always", "stated": "number"}
        self.enter("towing_limit", key, eligibility_id=key, value="65", unit="mph", **limit)
        if not steps_of:
            done = {"phase": "before", "step_no": "1", "printed_no": "1", "kind": "do"}
            shift = {"component": "shifter", "action": "shift_to", "target": "neutral"}
            self.enter("procedure_step", key, eligibility_id=key, **done, **shift)

    def weighs(self, key: str, gvwr: int) -> None:
        figure = {"property": "gvwr", "value": str(gvwr), "unit": "lb"}
        self.enter("vehicle_property", key, vehicle_group_id=key, **figure)


def release_of(each: Iterable[Pages], folder: Path) -> Path:
    """One release of several models: to build one for each would take longer."""
    merged: dict[str, dict[str | None, Row]] = {}
    for pages in each:
        for table, rows in pages.rows.items():
            merged.setdefault(table, {}).update({row[f"{table}_id"]: row for row in rows})
    reference = folder / "reference"
    reference.mkdir()
    for table, found in merged.items():
        write_rows(reference / f"{table}.csv", list(found.values()))
    return towdb.build(reference, folder / "pages.duckdb").path


def by_oracle(reference: oracle.Reference, cars: list[Row]) -> dict[str, str]:
    said = oracle.screen(reference, cars, COACH, date.fromisoformat(ON))
    return {str(answer.candidate): answer.verdict for answer in said.answers}


def coach_file(folder: Path) -> Path:
    path = folder / "coach.toml"
    lines = [f'{name} = "{row["value"]}"' for name, (row,) in COACH.items()]
    path.write_text("[properties]\n" + "\n".join(lines) + "\n", "utf-8")
    return path


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Command:
    monkeypatch.setenv("COLUMNS", "100")
    return Command(monkeypatch, capsys)


def screened_text(command: Command, car: Row, release: Path, *options: object) -> str:
    folder = release.parent
    write_rows(folder / "cars.csv", [car])
    coach = ("--coach", coach_file(folder), "--reference", release, "--on", ON)
    said = command("screen", folder / "cars.csv", *coach, *options)
    assert (said.status, said.err) == (0, "")
    return said.out


# ---------------------------------------------------------------- (a) forty things unknown


def crowd(about: str) -> Pages:
    """A model of which one thing decides, among many groups of which the manual says nothing."""
    pages, model, stem = Pages(), f"Burrow-{about}", about.replace("_", "-")
    pages.group(f"{stem}-permits", model, **DECIDING[about])
    pages.permits(f"{stem}-permits")
    pages.weighs(f"{stem}-permits", 3400)
    cells: list[dict[str, str]] = [
        *({"options_with": f"package {n:02}"} for n in range(OPTIONS)),
        *({"further_condition": f"serial {n}000 and up"} for n in range(1, CONDITIONS + 1)),
        {"trim": "Beck"}, {"body_style": "wagon"}, {"engine": "1.2 L"}, {"steering": "electric"},
        {"parking_brake": "hand_lever"}, {"shifter": "by_wire"}, {"ignition": "button"},
        {"built_from": "2020-09-01"}, {"model_year_from": "2019", "model_year_to": "2021"},
    ]  # fmt: skip
    for number, own in enumerate(cells):
        pages.group(f"{stem}-{number:02}", model, **own)
        pages.says(f"{stem}-{number:02}", "not_addressed")
    return pages


@pytest.fixture(scope="module")
def crowded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """For each thing that may decide, a model of which that thing decides among forty."""
    return release_of(map(crowd, DECIDING), tmp_path_factory.mktemp("crowded"))


def nearly_known(about: str) -> Row:
    """A car of which all is known that decides, but for one thing."""
    car: Row = {"candidate": about, "make": "Quillon", "model": f"Burrow-{about}", **CLOSED}
    return car if about == "model_year" else {**car, "model_year": "2020"}


def bare(about: str) -> Row:
    return {"candidate": f"bare {about}", "make": "Quillon", "model": f"Burrow-{about}"}


def test_of_forty_unknowns_the_one_that_decides_comes_first(crowded: Path, tmp_path: Path) -> None:
    cars = [nearly_known(about) for about in DECIDING]
    with screen_rows(cars, crowded, tmp_path, coach=coach_file(tmp_path)) as screening:
        asked, verdicts = questions_of(screening, "coach"), verdicts_of(screening, "coach")
    assert_complete(verdicts, asked)
    for about, rows in asked.items():
        things = {(row["position"], row["answer"]) for row in rows}
        assert len({row["position"] for row in rows}) > CONDITIONS, about
        assert len(things) > CONDITIONS + OPTIONS, about
        first = [row for row in rows if row["position"] == 1]
        assert {row["about"] for row in first} == {about}
        assert "suitable" in {row["verdict"] for row in first}
        # Nothing that decides nothing is said to.
        later = [row for row in rows if row["position"] > 1]
        assert "suitable" not in {row["verdict"] for row in later}, about


def test_every_answer_to_forty_unknowns_keeps_its_promise(crowded: Path, tmp_path: Path) -> None:
    cars = {str(car["candidate"]): car for about in DECIDING
            for car in (nearly_known(about), bare(about))}  # fmt: skip
    coach = coach_file(tmp_path)
    with screen_rows(list(cars.values()), crowded, tmp_path, coach=coach) as screening:
        asked = questions_of(screening, "coach")
    promised: dict[str, str] = {}
    typed: dict[str, list[Row]] = defaultdict(list)
    for name, rows in asked.items():
        for row in rows:
            changed = row["answer"] and typed_answer(cars[name], row["about"], row["answer"])
            if changed:
                key = f"{name}, {row['about']}: {row['answer']}"
                promised[key] = row["verdict"]
                typed[name.removeprefix("bare ")].append({**changed, "candidate": key})
    assert len(promised) > len(cars) * CONDITIONS
    all_typed = [row for rows in typed.values() for row in rows]
    with screen_rows(all_typed, crowded, tmp_path, coach=coach) as screening:
        assert verdicts_of(screening, "coach") == promised
    said = [by_oracle(crowd(about).rows, rows) for about, rows in typed.items()]
    assert {key: verdict for each in said for key, verdict in each.items()} == promised


def test_of_a_bare_car_the_whole_that_would_be_suitable_is_said_first(
    crowded: Path, tmp_path: Path
) -> None:
    cars = [bare(about) for about in DECIDING]
    with screen_rows(cars, crowded, tmp_path, coach=coach_file(tmp_path)) as screening:
        asked = questions_of(screening, "coach")
    assert len(asked) == len(cars)
    for name, rows in asked.items():
        first = [row for row in rows if row["position"] == 1]
        assert {row["verdict"] for row in first} == {"suitable"}, name
        for row in rows:
            single = row["verdict"] == "suitable" and row["about"] != "all_together"
            assert not single, (name, row["about"])


@pytest.mark.parametrize(
    ("car_of", "about"), [*((nearly_known, about) for about in DECIDING), (bare, "options")]
)
def test_forty_unknowns_are_read_on_a_page(
    crowded: Path, command: Command, about: str, car_of: Callable[[str], Row]
) -> None:
    text = screened_text(command, car_of(about), crowded)
    assert len(text.splitlines()) <= PAGE_LINES
    assert max(map(len, text.splitlines())) <= 100


@pytest.mark.parametrize("about", ["ignition", "confirmed"])
def test_of_forty_unknowns_a_few_are_explained_and_the_rest_counted(
    crowded: Path, command: Command, about: str
) -> None:
    car = nearly_known(about)
    (told,) = json.loads(screened_text(command, car, crowded, "--format", "json"))["screenings"]
    questions = len(told["candidates"][0]["questions"])
    text = unwrapped(screened_text(command, car, crowded, "--explain"))
    counted = [questions - int(more) for more in re.findall(r"(\d+) more", text)]
    assert any(1 <= shown <= 10 for shown in counted), counted


@pytest.mark.parametrize("about", ON_SCREEN)
def test_what_decides_is_named_as_the_page_prints_it(
    crowded: Path, command: Command, about: str
) -> None:
    text = unwrapped(screened_text(command, nearly_known(about), crowded))
    assert ON_SCREEN[about] in text


# ---------------------------------------------------------------- (b) nothing permits


NO_PERMISSION: dict[str, dict[str, str]] = {
    "forbidden": {"permission": "prohibited"},
    "deferred": {"permission": "refer_to_maker"},
    "unchecked": UNCHECKED,
}


@pytest.fixture(scope="module", params=NO_PERMISSION)
def barren(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo, but for its permissions: none is left to tow flat."""
    reference = tmp_path_factory.mktemp("barren") / "reference"
    reference.mkdir()
    for file in sorted((DEMO / "reference").glob("*.csv")):
        rows = read_table(DEMO / "reference", file.stem)
        if file.stem == "eligibility":
            rows = [
                row | NO_PERMISSION[request.param]
                if is_flat(row) and row["permission"] == "permitted"
                else row
                for row in rows
            ]
        write_table(reference, file.stem, rows)
    return towdb.build(reference, reference.parent / "barren.duckdb").path


def more_or_less_known() -> list[Row]:
    """Cars of the demo, each with some of its cells left out."""
    described = read_table(DEMO / "reference", "vehicle_group")
    kept = ("powertrain", "transmission", "transfer_case")
    cars: list[Row] = []
    for group in described:
        for size in range(len(kept) + 1):
            for names in combinations(kept, size):
                words = {n: group[n] for n in names if re.fullmatch("[a-z_]+", group[n])}
                words = {n: word for n, word in words.items() if word != "any"}
                called = {n: group[n] for n in ("make", "model")}
                year = group["model_year_from"]
                cars.append({**called, "model_year": year, "market": "xa", **words})
    unlike = {tuple(sorted(car.items())): car for car in cars}
    return [{"candidate": f"{n}", **car} for n, car in enumerate(unlike.values())]


def test_where_nothing_permits_no_car_is_suitable_and_no_answer_makes_it_so(
    barren: Path, tmp_path: Path
) -> None:
    cars = more_or_less_known()
    with screen_rows(cars, barren, tmp_path) as screening:
        asked, verdicts = questions_of(screening, "coach"), verdicts_of(screening, "coach")
    assert_complete(verdicts, asked)
    assert set(verdicts.values()) <= {"not_suitable", "undetermined"}
    promised = {row["verdict"] for rows in asked.values() for row in rows}
    assert promised <= {"not_suitable", "undetermined", None}
    assert not any(row["about"] == "all_together" for rows in asked.values() for row in rows)


def test_where_nothing_permits_no_version_on_record_is_suitable(barren: Path) -> None:
    with towdb.screen(coach=DEMO / "coach.toml", reference=barren, on=ON) as screening:
        verdicts = verdicts_of(screening, "coach")
    assert len(verdicts) > 50
    assert set(verdicts.values()) <= {"not_suitable", "undetermined"}


def test_where_nothing_permits_the_screen_holds_out_no_hope(
    barren: Path, command: Command, tmp_path: Path
) -> None:
    write_rows(tmp_path / "cars.csv", more_or_less_known())
    coach = ("--coach", DEMO / "coach.toml", "--reference", barren, "--on", ON)
    said = command("screen", tmp_path / "cars.csv", *coach)
    assert said.status == 0
    text = unwrapped(said.out).lower()
    assert "undetermined" in text
    assert re.findall("(?<!not )suitable", text) == []


# ---------------------------------------------------------------- (c) five hundred groups


MATCHED: dict[str, tuple[dict[str, str], bool]] = {
    "all permit": ({}, False),
    "one forbids": ({"permission": "prohibited"}, False),
    "one sends to the maker": ({"permission": "refer_to_maker"}, False),
    "one is silent": ({"permission": "not_addressed"}, False),
    "one is unchecked": (UNCHECKED, False),
    "all but one are unchecked": (UNCHECKED, True),
    "all but one forbid": ({"permission": "prohibited"}, True),
}


def matched(case: str, count: int) -> Pages:
    """So many groups that all describe one car; one, or all but one, say otherwise."""
    otherwise, is_of_all = MATCHED[case]
    pages, model, stem = Pages(), f"Copse {case} {count}", f"{case} {count}".replace(" ", "-")
    for number in range(count):
        key = f"{stem}-{number:03}"
        pages.group(key, model)
        pages.weighs(key, HEAVIEST - number)
        said = dict(otherwise) if number == 1 or (number and is_of_all) else {}
        permission = said.pop("permission", "permitted")
        if permission == "permitted":
            pages.permits(key, "" if number == 0 else f"{stem}-000", **said)
        else:
            pages.says(key, permission, **said)
    return pages


def possible(count: int) -> Pages:
    """So many trims, each permitted by a group of its own."""
    pages = Pages()
    for number in range(count):
        key = f"dell-{count}-{number:03}"
        pages.group(key, f"Dell {count}", trim=f"Fell {number:03}")
        pages.permits(key, "" if number == 0 else f"dell-{count}-000")
        pages.weighs(key, HEAVIEST)
    return pages


def described(model: str) -> Row:
    called: Row = {"candidate": model, "make": "Quillon", "model": model, "model_year": "2020"}
    return {**called, **CLOSED}


@pytest.fixture(scope="module")
def swarmed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A release in which each model has some hundred groups."""
    each = [*(matched(case, GROUPS) for case in MATCHED), matched("all permit", GROUPS // 2)]
    each += [possible(GROUPS), possible(GROUPS // 2)]
    return release_of(each, tmp_path_factory.mktemp("swarmed"))


def test_five_hundred_groups_say_what_ten_say(swarmed: Path, tmp_path: Path) -> None:
    cars = [described(f"Copse {case} {GROUPS}") for case in MATCHED]
    with screen_rows(cars, swarmed, tmp_path, coach=coach_file(tmp_path)) as screening:
        verdicts = {v["candidate"]: v for v in screening.records("verdict")}
    for case in MATCHED:
        verdict = verdicts[f"Copse {case} {GROUPS}"]
        few = described(f"Copse {case} 10")
        said = oracle.screen(matched(case, 10).rows, [few], COACH, date.fromisoformat(ON))
        (answer,) = said.answers
        assert verdict["verdict"] == answer.verdict, case
        assert verdict["permission_reason"] == answer.checks["permission"].reason, case
        assert verdict["procedure_reason"] == answer.checks["procedure"].reason, case
        # The heaviest of all counts.
        assert verdict["towed_weight_lb"] == HEAVIEST, case


def test_five_hundred_groups_that_may_be_meant_are_one_question(
    swarmed: Path, tmp_path: Path
) -> None:
    car, coach = described(f"Dell {GROUPS}"), coach_file(tmp_path)
    with screen_rows([car], swarmed, tmp_path, coach=coach) as screening:
        (rows,) = questions_of(screening, "coach").values()
    first = [row for row in rows if row["position"] == 1]
    assert {row["about"] for row in first} == {"trim"}
    promised = [row["answer"] for row in first if row["verdict"] == "suitable"]
    assert len(promised) == GROUPS
    typed: list[Row] = [{**car, "candidate": trim, "trim": trim} for trim in promised]
    with screen_rows(typed, swarmed, tmp_path, coach=coach) as screening:
        assert set(verdicts_of(screening, "coach").values()) == {"suitable"}


@pytest.mark.parametrize("model", [*(f"Copse {case}" for case in MATCHED), "Dell"])
def test_five_hundred_groups_are_read_on_a_page(
    model: str, swarmed: Path, command: Command
) -> None:
    text = screened_text(command, described(f"{model} {GROUPS}"), swarmed)
    assert len(text.splitlines()) <= PAGE_LINES


@pytest.mark.parametrize("model", ["Copse all permit", "Dell"])
def test_what_programs_get_grows_no_faster_than_the_groups(
    model: str, swarmed: Path, command: Command
) -> None:
    sizes = {}
    for count in (GROUPS // 2, GROUPS):
        text = screened_text(command, described(f"{model} {count}"), swarmed, "--format", "json")
        (car,) = json.loads(text)["screenings"][0]["candidates"]
        assert car["verdict"] == ("undetermined" if model == "Dell" else "suitable")
        sizes[count] = len(text)
    assert sizes[GROUPS] <= 2 * sizes[GROUPS // 2]
