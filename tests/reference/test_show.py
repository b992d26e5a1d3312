"""`show`: all that a folder of rows says of a make, a model or a year, found by reading it."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers import oracle
from tests.helpers.agreement import drawn, merged_release
from tests.helpers.command import Command, unwrapped
from tests.helpers.folders import BASE, copy_base, read_table, set_cell, write_table
from tests.helpers.statements import ATTRIBUTES, Folder, folded, is_of, years_of
from tests.helpers.worlds import ON
from towdb.presentation.show import screen_rows
from towdb.report.caution import CAUTION, INVENTED

Asked = tuple[str, str | None, int | None, str]
Told = dict[str, Any]
WORLDS, SEED = 24, 20
# Withdrawals of drawn worlds lie around their date, those of the demo in 2025.
DAYS = [date.fromordinal(ON.toordinal() + n).isoformat() for n in (-41, -40, -1, 0, 1, 40)]
DEMO_DAYS = ["2024-06-01", "2026-01-31"]
COLUMNS = [
    "model", "model_year_from", "model_year_to", "cars", "towing_method", "purpose", "permission",
    "checked", "awaiting", "replaced_by", "replaced_for_some_by", "exceptions", "contradicted_by",
    "withdrawn_on", "in_short", "locator", "title", "eligibility_id", "quote",
]  # fmt: skip


@dataclass(frozen=True)
class Compared:
    """One question, what is shown, and by statement what the rows say."""

    folder: Folder
    asked: Asked
    shown: towdb.Showing
    wanted: dict[str, Told]


def expected(folder: Folder, asked: Asked) -> dict[str, Told]:
    """What is to be shown, by statement."""
    make, model, year, on = asked
    found = {}
    for statement in folder.statements:
        group = folder.group_of(statement)
        if not is_of(group, make, model) or (year and year not in years_of(group)):
            continue
        permits = statement["permission"] == "permitted"
        waits = folder.awaiting(statement)
        found[statement["eligibility_id"]] = {
            "years": (int(group["model_year_from"]), int(group["model_year_to"])),
            "model": folded(group["model"]),
            "towing_method": statement["towing_method"],
            "purpose": statement["purpose"],
            "permission": statement["permission"],
            "checked": not waits,
            "awaiting": waits,
            "replaced_by": folder.replaced_by(statement, on),
            "withdrawn_on": folder.withdrawn_on(statement, on),
            "asks": counted(folder, statement) if permits else None,
            "locator": statement["locator"],
            "title": folder.source_of(statement)["title"],
            "quote": statement["quote"],
        }
    return found


PHASES = ["once", "before", "en route", "after"]
COUNTS = ("thing", "step", "fuse", "warning")


def counted(folder: Folder, statement: dict[str, str]) -> dict[str, dict[str, int]]:
    """By phase: steps as the page numbers them, fuses and warnings; nothing is left out."""
    found: dict[str, dict[str, int]] = {}
    phase_of = {row["procedure_step_id"]: row["phase"] for row in folder.steps_of(statement)}
    for phase in PHASES:
        steps = [s for s in folder.steps_of(statement) if s["phase"].replace("_", " ") == phase]
        printed = {s["printed_no"] or s["step_no"] + "?" for s in steps if s["kind"] != "warning"}
        counts = {
            "thing" if phase == "once" else "step": len(printed),
            "warning": sum(s["kind"] == "warning" for s in steps),
            "fuse": sum(
                phase_of[pull["procedure_step_id"]].replace("_", " ") == phase
                for pull in folder.pulls_of(statement)
            ),
        }
        if any(counts.values()):
            found[phase] = {word: counts.get(word, 0) for word in COUNTS}
    return found


def number_before(word: str, text: str) -> int:
    match = re.search(rf"\b(\d+) {word}", text)
    return int(match[1]) if match else 0


def counts_told(text: str) -> dict[str, dict[str, int]]:
    """By phase, what a short text counts, in the order of phases."""
    told = re.findall(rf"(?:^|; )({'|'.join(PHASES)}): ([^;]*)", text)
    assert [phase for phase, _ in told] == sorted((p for p, _ in told), key=PHASES.index)
    return {phase: {word: number_before(word, said) for word in COUNTS} for phase, said in told}


def as_compared(record: Told) -> Told:
    """A record of `show` in the words of `expected`."""
    same = ("towing_method", "purpose", "permission", "checked", "locator", "title", "quote")
    permits, day, short = record["permission"], record["withdrawn_on"], record["in_short"]
    replaced = [record["replaced_by"], record["replaced_for_some_by"]]
    return {
        "years": (record["model_year_from"], record["model_year_to"]),
        "model": folded(record["model"]),
        "awaiting": sorted(filter(None, (record["awaiting"] or "").split(", "))),
        "replaced_by": sorted(filter(None, ", ".join(filter(None, replaced)).split(", "))),
        "withdrawn_on": day.isoformat() if day else None,
        "asks": counts_told(short) if permits == "permitted" else None,
        **{name: record[name] for name in same},
    }


def demo_questions(folder: Folder) -> Iterator[Asked]:
    """Every make, model and model year, and the years before, after and between."""
    models = sorted({(row["make"], row["model"]) for row in folder.groups})
    for make in sorted({make for make, _ in models}):
        yield from ((make, None, None, on) for on in DEMO_DAYS)
    for make, model in models:
        groups = [row for row in folder.groups if is_of(row, make, model)]
        years = {year for group in groups for year in years_of(group)}
        yield make.upper(), f" {model.lower()}", None, DEMO_DAYS[-1]
        for year in range(min(years) - 1, max(years) + 2):
            yield make, model, year, DEMO_DAYS[-1]


def world_questions(folder: Folder) -> Iterator[Asked]:
    for number, make in enumerate(sorted({folded(g["make"]) for g in folder.groups})):
        yield make.upper(), None, None, DAYS[number % len(DAYS)]
        yield make, None, None, DAYS[(number + 2) % len(DAYS)]
        models = {folded(g["model"]) for g in folder.groups if is_of(g, make, None)}
        yield make, sorted(models)[-1], 2019 + number % 5, DAYS[-1]


@pytest.fixture(scope="module")
def compared(demo_release: Path, tmp_path_factory: pytest.TempPathFactory) -> list[Compared]:
    path = tmp_path_factory.mktemp("worlds")
    worlds = merged_release(drawn(SEED, WORLDS), path)
    demo, other = Folder(DEMO / "reference"), Folder(path / "reference")
    return [
        Compared(folder, asked, shown, expected(folder, asked))
        for release, folder, questions in (
            (demo_release, demo, demo_questions(demo)),
            (worlds, other, world_questions(other)),
        )
        for asked in questions
        for shown in [towdb.show(release, *asked[:3], on=asked[3])]
    ]


def test_exactly_the_statements_asked_for_are_shown(compared: list[Compared]) -> None:
    for one in compared:
        keys = [record["eligibility_id"] for record in one.shown.records]
        assert sorted(keys) == sorted(one.wanted), one.asked


@pytest.mark.parametrize(
    "name",
    ["years", "model", "towing_method", "purpose", "permission", "checked", "awaiting", "asks",
     "replaced_by", "withdrawn_on", "locator", "title", "quote"],
)  # fmt: skip
def test_a_statement_is_shown_as_the_rows_have_it(compared: list[Compared], name: str) -> None:
    for one in compared:
        for record in one.shown.records:
            key = record["eligibility_id"]
            assert as_compared(record)[name] == one.wanted[key][name], (one.asked, key)


def test_years_of_which_nothing_is_on_record_are_said(compared: list[Compared]) -> None:
    for one in compared:
        said = {folded(model): set(years) for model, years in one.shown.gaps.items()}
        assert said == one.folder.gaps(*one.asked[:3]), one.asked


def test_what_was_compared_holds_what_is_looked_for(compared: list[Compared]) -> None:
    rows = [row for one in compared for row in one.wanted.values()]
    for name in ("awaiting", "replaced_by", "withdrawn_on"):
        assert {bool(row[name]) for row in rows} == {True, False}, name
    shared = [row for one in compared for row in one.folder.statements if row["same_steps_as"]]
    assert len(shared) > 10
    assert any(one.shown.gaps for one in compared)


def test_four_wheels_down_come_first_and_emergencies_last(compared: list[Compared]) -> None:
    def place(record: Told) -> tuple[Any, ...]:
        return (
            record["model_year_from"],
            record["towing_method"] != "four_wheels_down",
            record["purpose"] == "emergency",
            record["towing_method"],
            record["model_year_to"],
            record["eligibility_id"],
        )

    late = 0
    for one in compared:
        of_model: dict[str, list[tuple[Any, ...]]] = {}
        for record in one.shown.records:
            of_model.setdefault(record["model"], []).append(place(record))
        for places in of_model.values():
            assert places == sorted(places)
            without = [(year, other, *rest) for year, other, _, *rest in places]
            late += without != sorted(without)
    # Only where an emergency would stand before something else its place shows.
    assert late > 5


# ---------------------------------------------------------------- rows made for it


def test_a_statement_whose_replacement_was_withdrawn_stands_again(tmp_path: Path) -> None:
    folder = copy_base(tmp_path / "reference")
    set_cell(folder, "source", 1, "withdrawn_on", "2025-06-30")
    release = towdb.build(folder, tmp_path / "r.duckdb").path
    for on, said in (("2025-06-29", ["late"]), ("2025-06-30", [])):
        shown = towdb.show(release, "Quillon", "Pika", on=on)
        (key,) = [as_compared(r) for r in shown.records if r["eligibility_id"] == "key"]
        assert Folder(folder).replaced_by(Folder(folder).rows["eligibility"]["key"], on) == said
        assert key["replaced_by"] == said, on


def covers(group: Told, other: Told) -> bool:
    """Whether every car of the other group surely belongs to this one."""
    if not set(years_of(other)) <= set(years_of(group)) or group["further_condition"]:
        return False
    if not (not group["built_from"] or (other["built_from"] or "") >= group["built_from"]):
        return False
    if not (not group["built_to"] or "" < other["built_to"] <= group["built_to"]):
        return False
    for name in ("options_with", "options_without"):
        if not set(oracle.listed(group, name)) <= set(oracle.listed(other, name)):
            return False
    return all(
        cell_covers(name, *(said(one, name) for one in (group, other))) for name in ATTRIBUTES
    )


def said(group: Told, name: str) -> str:
    return str(group[name] or (group["otherwise"] if group["otherwise"] == "any" else ""))


def cell_covers(name: str, cell: str, other: str) -> bool:
    if cell == "any" or not cell:
        return cell == "any"
    if name in oracle.TEXTS or not other:
        same = [(negated, sorted(map(folded, words)))
                for negated, words in map(oracle.cell_words, (cell, other))]  # fmt: skip
        return same[0] == same[1]
    return meant(name, other) <= meant(name, cell)


def meant(name: str, cell: str) -> frozenset[str]:
    if cell == "any":
        return oracle.all_leaves(name)
    negated, words = oracle.cell_words(cell)
    leaves = frozenset[str]().union(*(oracle.leaves(name, word) for word in words))
    return oracle.all_leaves(name) - leaves if negated else leaves


def test_only_what_holds_for_all_of_its_cars_replaces_a_statement(
    compared: list[Compared],
) -> None:
    seen = {"whole": 0, "some": 0}
    for one in compared:
        for record in one.shown.records:
            group = one.folder.group_of(one.folder.rows["eligibility"][record["eligibility_id"]])
            for kind, named in (("whole", "replaced_by"), ("some", "replaced_for_some_by")):
                for other in filter(None, (record[named] or "").split(", ")):
                    statement = one.folder.rows["eligibility"][other.partition(" ")[0]]
                    is_whole = covers(one.folder.group_of(statement), group)
                    assert is_whole is (kind == "whole"), (record["eligibility_id"], other)
                    seen[kind] += 1
    assert min(seen.values()) > 5, seen


def test_a_rule_names_the_cars_that_another_page_takes_out_of_it(demo_release: Path) -> None:
    shown = towdb.show(demo_release, "Quillon", "Pika", 2021, on="2026-01-31")
    (rule,) = [r for r in shown.records if r["replaced_by"] or r["replaced_for_some_by"]]
    assert (rule["replaced_by"], rule["replaced_for_some_by"]) == (
        None, "quillon-pika-2021-automatic-neutral",
    )  # fmt: skip
    assert rule["exceptions"] == (
        "transmission planetary automatic; transfer case two speed with neutral: permitted, p. 216"
    )
    said = "\n".join(row[2] for _, rows in screen_rows(shown) for row in rows)
    assert f"except {rule['exceptions']}" in said
    assert "replaced by" not in said


def test_statements_that_contradict_name_each_other(demo_release: Path) -> None:
    shown = towdb.show(demo_release, "Tarrow", "Sedge", 2020, on="2026-01-31")
    found = {
        r["eligibility_id"]: r["contradicted_by"] for r in shown.records if r["contradicted_by"]
    }
    pair = ("tarrow-sedge-2020-manual", "tarrow-guide-2020-sedge-manual")
    assert found == {pair[0]: pair[1], pair[1]: pair[0]}
    said = "\n".join(row[2] for _, rows in screen_rows(shown) for row in rows).splitlines()
    assert {line for line in said if line.startswith("contradicted")} == {
        "contradicted by p. 171, Tarrow Sedge Owner Guide 2020 (invented)",
        "contradicted by p. 9, Tarrow Towing and Load Guide 2020, all models (invented)",
    }


def test_only_a_page_that_speaks_of_all_cars_reads_all(
    tmp_path: Path, compared: list[Compared]
) -> None:
    # An empty cell is no "any", unless the group says that what it leaves open is any.
    path = copy_base(tmp_path / "reference")
    set_cell(path, "vehicle_group", 5, "otherwise", "")
    set_cell(path, "vehicle_group", 5, "market", "")
    release = towdb.build(path, tmp_path / "r.duckdb").path
    folder = Folder(path)
    unclear = Compared(folder, ("", "", 0, ""), towdb.show(release, "Quillon", "Vole"), {})
    bounds = ("built_from", "built_to", "options_with", "options_without", "further_condition")
    for one in [*compared, unclear]:
        for record in one.shown.records:
            statement = one.folder.rows["eligibility"][record["eligibility_id"]]
            group = one.folder.group_of(statement)
            cells = {group[name] or group["otherwise"] or "not clear" for name in ATTRIBUTES}
            is_all = cells == {"any"} and not any(group[name] for name in bounds)
            assert (record["cars"] == "") == is_all, (record["eligibility_id"], cells)


def test_a_model_without_any_statement_is_said_to_be_open(tmp_path: Path) -> None:
    folder = copy_base(tmp_path / "reference")
    groups = read_table(BASE, "vehicle_group")
    row = groups[0] | {"vehicle_group_id": "hollow", "model": "Hollow"}
    write_table(folder, "vehicle_group", [*groups, row])
    release = towdb.build(folder, tmp_path / "r.duckdb").path
    shown = towdb.show(release, row["make"], "hollow")
    assert shown.records == []
    assert shown.gaps == {"Hollow": list(years_of(row))}


# ---------------------------------------------------------------- the command


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Command:
    monkeypatch.setenv("COLUMNS", "300")
    return Command(monkeypatch, capsys)


def test_the_nearest_name_is_named(demo_release: Path, command: Command) -> None:
    at = ("--reference", demo_release)
    for typed, near in (("Quilon", "Quillon"), ("HALVREN", "Halvern"), ("osklund", "Oskelund")):
        assert f"did you mean {near}?" in command.refused("show", typed, *at)
    for make, typed, near in (
        ("Quillon", "Pica", "Pika"),
        ("tarrow", "sedge hybird", "Sedge Hybrid"),
        ("Halvern", "WICKETT", "Wicket"),
    ):
        assert f"did you mean {near}?" in command.refused("show", make, typed, *at)
    # A model of another make is none of this one.
    assert "Bessarin" in command.refused("show", "Bessarin", "Pika", *at)
    with pytest.raises(towdb.UsageError, match="did you mean Pika"):
        towdb.show(demo_release, "quillon", "pikka")


@pytest.mark.parametrize("year", ["x", "20.5", "99999999999", "2147483648"])
def test_what_is_no_year_is_refused_in_one_line(
    demo_release: Path, command: Command, year: str
) -> None:
    assert year in command.refused("show", "Quillon", "Pika", year, "--reference", demo_release)


def test_a_year_that_is_not_on_record_is_said(demo_release: Path, command: Command) -> None:
    for year in (2020, 1999, 2031):
        said = command("show", "quillon", "PIKA", year, "--reference", demo_release)
        assert (said.status, said.err) == (0, "")
        assert (
            f"Quillon Pika: nothing on record about towing it flat for model year {year}"
            in said.out
        )
        assert CAUTION in said.out


def test_json_holds_what_python_gives(demo_release: Path, command: Command) -> None:
    said = command(
        "show", "Quillon", "--on", "2026-01-31", "--reference", demo_release, "--format", "json"
    )
    told = json.loads(said.out)
    shown = towdb.show(demo_release, "Quillon", on="2026-01-31")
    assert (told["make"], told["on"]) == ("Quillon", "2026-01-31")
    assert told["reference"] == {"release_id": shown.release_id, "invented": True}
    listed = json.loads(json.dumps(shown.conditions, default=float))
    for statement in told["statements"]:
        assert statement.pop("conditions") == listed.get(statement["eligibility_id"], [])
    assert [list(record) for record in told["statements"]] == [COLUMNS] * len(shown.records)
    assert told["statements"] == json.loads(json.dumps(shown.records, default=str))
    assert told["years_not_on_record"] == shown.gaps == {"Pika": [2020]}


def test_csv_holds_what_python_gives(demo_release: Path, command: Command, tmp_path: Path) -> None:
    arguments = ("show", "Tarrow", "--on", "2026-01-31", "--reference", demo_release)
    printed = command(*arguments, "--format", "csv").out
    frame = towdb.show(demo_release, "Tarrow", on="2026-01-31").statements
    assert list(frame.columns) == COLUMNS
    rows = list(csv.DictReader(io.StringIO(printed)))
    assert [list(row) for row in rows] == [COLUMNS] * len(frame)
    for row, told in zip(rows, frame.to_dict("records"), strict=True):
        assert row["checked"] == ("yes" if told["checked"] else "no")
        for name in ("model", "permission", "cars", "in_short", "title", "eligibility_id"):
            assert row[name].removeprefix("'") == told[name]
    assert command(*arguments, "-o", tmp_path / "t.csv").out == ""
    assert (tmp_path / "t.csv").read_text("utf-8") == printed


@pytest.mark.parametrize("width", ["60", "100", "300"])
def test_the_screen_names_page_and_title(
    demo_release: Path, command: Command, monkeypatch: pytest.MonkeyPatch, width: str
) -> None:
    monkeypatch.setenv("COLUMNS", width)
    for make in ("Quillon", "Tarrow", "Oskelund", "Dunmere"):
        at = ("--on", "2026-01-31", "--reference", demo_release)
        out = command("show", make, *at).out
        assert max(map(len, out.splitlines())) <= int(width)
        shown = towdb.show(demo_release, make, on="2026-01-31")
        pressed = "".join(out.split())
        for model in {record["model"] for record in shown.records}:
            assert "".join(f"{make}{model}".split()) in pressed
        assert unwrapped(out).endswith(f"{INVENTED} {CAUTION}")
        assert f"On 2026-01-31, by release {shown.release_id[:12]}" in unwrapped(out)
        if width == "300":
            lines = [line.strip() for line in out.splitlines()]
            for record in shown.records:
                assert any(line.endswith(record["locator"]) for line in lines)
                assert any(line.endswith(record["title"]) for line in lines)


def test_the_screen_says_what_a_row_awaits(compared: list[Compared]) -> None:
    for one in compared:
        said = [row[2] for _, rows in screen_rows(one.shown) for row in rows]
        waits = [record for record in one.shown.records if not record["checked"]]
        gone = [record for record in one.shown.records if record["withdrawn_on"]]
        replaced = [record for record in one.shown.records if record["replaced_by"]]
        partly = [record for record in one.shown.records if record["replaced_for_some_by"]]
        assert len(said) == len(one.shown.records)
        assert sum("not checked yet" in text.split("\n") for text in said) == len(waits)
        assert sum("\nwithdrawn on " in text for text in said) == len(gone)
        assert sum("\nreplaced by " in text for text in said) == len(replaced)
        assert sum("\nexcept " in text for text in said) == len(partly)
