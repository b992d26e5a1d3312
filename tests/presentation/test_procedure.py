"""Steps as a person follows them: phase, printed number and order, in every output."""

from __future__ import annotations

import json
import re
from collections import Counter
from itertools import groupby
from pathlib import Path
from typing import Any

import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.command import Command
from tests.helpers.folders import copy_base, read_table, write_table
from tests.helpers.statements import Folder
from towdb.contract.model import contract
from towdb.presentation.explanation import explanation_lines
from towdb.verdict_checks import Check

ON = "2026-01-31"
PHASES = ("once", "before", "en_route", "after")
HEADINGS = {
    "limits": "",
    "once, before the first tow": "once",
    "each time before towing": "before",
    "on the way": "en_route",
    "each time after towing": "after",
}
LINE = re.compile(r"(?: {6,9})(?:(?P<number>\S+)\. )?(?P<text>\S.*?) \[.*\((?P<key>[\w-]+)\)\]")
Row = dict[str, Any]


@pytest.fixture(scope="module")
def screening(demo_release: Path) -> Any:
    """Every car that the demo speaks of."""
    with towdb.screen(coach=DEMO / "coach.toml", reference=demo_release, on=ON) as screened:
        yield screened


@pytest.fixture(scope="module")
def conditions(screening: towdb.Screening) -> list[Row]:
    """By statement, once each."""
    seen = {(row["eligibility_id"], row["key"]): row for row in screening.records("condition")}
    return list(seen.values())


@pytest.fixture(scope="module")
def demo() -> Folder:
    return Folder(DEMO / "reference")


def test_conditions_come_in_printed_order(conditions: list[Row], demo: Folder) -> None:
    phases: Counter[str] = Counter()
    for key, of_one in groupby(conditions, key=lambda row: row["eligibility_id"]):
        listed = list(of_one)
        assert [row["position"] for row in listed] == list(range(len(listed)))
        shown = [row["key"] for row in listed if row["table"] == "procedure_step"]
        steps = demo.steps_of(demo.rows["eligibility"][key])
        steps.sort(key=lambda row: (PHASES.index(row["phase"]), int(row["step_no"])))
        assert shown == [row["procedure_step_id"] for row in steps]
        # Limits first, and each fuse right behind its step.
        tables = "".join(row["table"][0] for row in listed)
        assert re.fullmatch(r"t*[pf]*", tables)
        for row, before in zip(listed[1:], listed, strict=False):
            if row["kind"] == "fuse":
                step = demo.rows["fuse_pull"][row["key"]]["procedure_step_id"]
                assert step in (before["key"], step_of(demo, before))
        phases.update(row["phase"] for row in steps)
    assert set(phases) == set(PHASES)


def step_of(demo: Folder, condition: Row) -> str | None:
    pull = demo.rows["fuse_pull"].get(condition["key"])
    return pull["procedure_step_id"] if pull else None


def test_what_a_step_says_is_what_its_row_says(conditions: list[Row], demo: Folder) -> None:
    for row in conditions:
        if row["table"] == "procedure_step":
            step = demo.rows["procedure_step"][row["key"]]
            for name in ("phase", "printed_no", "expect", "if_not"):
                assert (row[name] or "") == step[name], row["key"]
            assert (row["step_kind"], row["step_no"]) == (step["kind"], int(step["step_no"]))
            assert (row["disables"], row["restore"]) == (None, None)
        elif row["table"] == "fuse_pull":
            pull = demo.rows["fuse_pull"][row["key"]]
            step = demo.rows["procedure_step"][pull["procedure_step_id"]]
            assert (row["phase"], row["printed_no"]) == (step["phase"], step["printed_no"])
            assert row["step_no"] == int(step["step_no"])
            assert (row["disables"] or "", row["restore"]) == (pull["disables"], pull["restore"])
        else:
            assert row["phase"] is row["printed_no"] is row["step_no"] is row["restore"] is None
    said = [row for row in conditions if row["expect"] and row["if_not"]]
    assert said
    assert {row["step_kind"] for row in conditions} >= {"do", "verify", "wait", "never", "warning"}


def test_fuses_come_as_the_page_lists_them(conditions: list[Row], demo: Folder) -> None:
    of_lowan = [
        demo.rows["fuse_pull"][row["key"]]["position"]
        for row in conditions
        if row["kind"] == "fuse" and row["eligibility_id"] == "bessarin-lowan-2020-fwd-key"
    ]
    # Pull these fuses: 6, 11, 13, 22. Then: fuse 31 and relay R4.
    assert of_lowan == ["6", "11", "13", "22", "31", "R4"]


def test_fuses_that_the_page_does_not_list_come_by_their_numbers(tmp_path: Path) -> None:
    folder = copy_base(tmp_path / "reference")
    pulls = read_table(folder, "fuse_pull")
    quote = "Pull the three fuses."
    extra = [
        pulls[0] | {"fuse_pull_id": f"pull-{n}", "position": f"F{n}", "quote": quote}
        for n in (12, 2, 1)
    ]
    write_table(folder, "fuse_pull", [pulls[0] | {"quote": quote}, *pulls[1:], *extra])
    statements = read_table(folder, "eligibility")
    step = {row["procedure_step_id"]: row for row in read_table(folder, "procedure_step")}
    of = step[pulls[0]["procedure_step_id"]]["eligibility_id"]
    for row in statements:
        if row["eligibility_id"] == of and row["fuse_pulls"]:
            row["fuse_pulls"] = str(int(row["fuse_pulls"]) + len(extra))
    write_table(folder, "eligibility", statements)
    release = towdb.build(folder, tmp_path / "r.duckdb").path
    group = Folder(folder).group_of(Folder(folder).rows["eligibility"][of])
    shown = towdb.show(release, group["make"], group["model"])
    fuses = [c["text"] for c in shown.conditions[of] if c["kind"] == "fuse"]
    numbers = [int(re.findall(r"\d+", text)[0]) for text in fuses]
    assert numbers == sorted(numbers)
    assert {1, 2, 12} <= set(numbers)


# ---------------------------------------------------------------- on the screen


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Command:
    monkeypatch.setenv("COLUMNS", "1000")
    return Command(monkeypatch, capsys)


def listed(text: str) -> list[tuple[str, str, str, str]]:
    """Phase, printed number, text and key of every line of a procedure on the screen."""
    found, phase = [], ""
    for line in text.splitlines():
        phase = HEADINGS.get(line.strip(), phase)
        if match := LINE.fullmatch(line.rstrip()):
            found.append((phase, match["number"] or "", match["text"], match["key"]))
    return found


def test_the_screen_numbers_the_steps_as_the_page_does(
    demo_release: Path, command: Command, demo: Folder, conditions: list[Row]
) -> None:
    release = ("--reference", demo_release, "--on", ON)
    texts = [command("screen", "--coach", DEMO / "coach.toml", "--explain", *release).out]
    for make, model in sorted({(g["make"], g["model"]) for g in demo.groups}):
        texts.append(command("show", make, model, "--explain", *release).out)
    for text in (texts[0], "\n".join(texts[1:])):
        lines = listed(text)
        wanted = {
            row["key"]: (row["phase"] or "", row["printed_no"] or "")
            for row in conditions
            if row["kind"] != "fuse" and row["eligibility_id"]
        }
        shown = {key: (phase, number) for phase, number, _, key in lines}
        assert {key: shown.get(key) for key in wanted} == wanted
        fuses = {key: phase for phase, _, _, key in lines if key in demo.rows["fuse_pull"]}
        assert {row["key"] for row in conditions if row["kind"] == "fuse"} <= set(fuses)


def test_a_fuse_says_what_it_disables_and_when_it_goes_back(
    demo_release: Path, command: Command
) -> None:
    release = ("--reference", demo_release, "--on", ON)
    lines = command("show", "Vantrel", "Hollin", 2019, "--explain", *release).out.splitlines()

    def below(start: str) -> list[str]:
        at = next(n for n, line in enumerate(lines) if line.strip().startswith(start))
        return [line.strip() for line in lines[at + 1 : at + 3]]

    assert below("pull fuse 41 (10 A)") == [
        "without power meanwhile: instrument display, odometer",
        "restore it before the vehicle is driven",
    ]
    # Nobody knows what this one disables, and the page does not say when that one goes back.
    assert below("pull fuse 28 (30 A)")[0] == "what is without power meanwhile is not on record"
    assert below("pull relay R7")[1] == "the page does not say when to restore it"


def test_warnings_and_what_never_to_do_are_marked_in_their_place(
    demo_release: Path, command: Command
) -> None:
    release = ("--reference", demo_release, "--on", ON)
    tussock = command("show", "Miradec", "Tussock", 2022, "--explain", *release).out
    lines = listed(tussock)
    (never,) = [line for line in lines if line[2].startswith("NEVER: ")]
    assert never[:2] == ("en_route", "2")
    assert never[2].startswith("NEVER: Do not open the doors during a tow")
    # What the page marks itself is not marked again.
    assert not [line for line in lines if "WARNING: WARNING" in line[2]]
    assert [line[:2] for line in lines if line[2].startswith("CAUTION! Tow Mode")] == [
        ("before", "")
    ]
    wicket = listed(command("show", "Halvern", "Wicket", 2019, "--explain", *release).out)
    assert ("before", "2", "Never take it out.") in [line[:3] for line in wicket]
    assert ("en_route", "1", "Feel the front tires at each stop.") in [line[:3] for line in wicket]


def test_what_one_should_see_stands_below_its_step(demo_release: Path, command: Command) -> None:
    release = ("--reference", demo_release, "--on", ON)
    out = command("show", "Quillon", "Pika", 2021, "--explain", *release).out
    assert re.search(
        r"^      4\. With a pen, press the recessed NEUTRAL button.*\n"
        r"         you should see: a chime sounds and the N lamp stays lit\n"
        r"         if not: shift the transfer case to 4L and back, and begin again at step 2\n",
        out.replace(" \n", "\n"),
        re.MULTILINE,
    )


# ---------------------------------------------------------------- JSON, frames, SQL


def test_documents_and_frames_hold_the_same(
    screening: towdb.Screening, demo_release: Path, tmp_path: Path, conditions: list[Row]
) -> None:
    named = [
        "phase",
        "step_no",
        "printed_no",
        "step_kind",
        "expect",
        "if_not",
        "disables",
        "restore",
    ]
    path = tmp_path / "all.json"
    screening.write(path)
    told = json.loads(path.read_text("utf-8"))
    found = [c for car in told["screenings"][0]["candidates"] for c in car["conditions"]]
    frame = screening.conditions
    assert len(found) == len(frame)
    for name in named:
        cells = [None if cell != cell else cell for cell in frame[name].astype(object)]
        assert [c[name] for c in found] == cells, name
    asked = screening.sql(
        "select position, phase from condition where candidate = (select max(candidate) from"
        " condition where phase = 'after') and eligibility_id is not null order by position"
    )
    phases = [phase for phase, _ in groupby(asked["phase"].dropna())]
    assert phases == sorted(phases, key=list(contract().vocabularies["phase"].words).index)
    assert "before" in phases


def test_where_two_pages_print_one_procedure_the_second_says_so() -> None:
    def page(key: str) -> Row:
        return {"table": "eligibility", "key": key, "title": f"Manual {key}", "locator": "p. 1",
                "quote": ""}  # fmt: skip

    def step(key: str, depends_on: str | None) -> Row:
        return {
            "eligibility_id": key, "depends_on": depends_on, "kind": "step", "phase": "before",
            "step_no": 1, "printed_no": "1", "step_kind": "do", "text": "Set the brake.",
            "expect": None, "if_not": None, "value": None, "unit": None,
            "citations": [page(key) | {"table": "procedure_step", "key": f"{key}-1"}],
        }  # fmt: skip

    def heads(*depends_on: str | None) -> list[str]:
        keys = ["a", "b"]
        figures = dict.fromkeys(name for name in Check._fields if name.endswith(("_lb", "_kg")))
        check = {**figures, "check": "procedure", "outcome": "met", "reason": "determined",
                 "citations": [page(key) for key in keys]}  # fmt: skip
        conditions = [step(key, text) for key, text in zip(keys, depends_on, strict=True)]
        car = {"candidate": "car", "verdict": "suitable", "checks": [check], "questions": [],
               "conditions": conditions}  # fmt: skip
        lines = explanation_lines({"candidates": [car]}, "lb")
        return [line for line in lines if line.startswith("  what it takes")]

    assert heads(None, None) == [
        "  what it takes: Manual a, p. 1 (a)",
        "  what it takes (the same, as another page prints it): Manual b, p. 1 (b)",
    ]
    assert heads("key", "button") == [
        "  what it takes (key): Manual a, p. 1 (a)",
        "  what it takes (button): Manual b, p. 1 (b)",
    ]
