"""`describe`: whatever has a name is found by it, and says what its one definition says."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import duckdb
import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.command import Command, unwrapped
from towdb import meanings as module
from towdb.contract.model import Table, contract
from towdb.duck.sql_files import columns_of
from towdb.reference.relations import DERIVED, VIEWS, view_sql
from towdb.screening.engine import PUBLIC, output_sql

METADATA = ("release", "digest", "finding")
TYPED = ("column", "required", "type", "meaning", "example")
TYPOS = {
    "eligibilty": "eligibility",
    "statment": "statement",
    "vehicle_gruop": "vehicle_group",
    "towing limit s": "towing_limit",
    "fuse-pul": "fuse_pull",
    "instrution": "instruction",
    "wieght": "weight",
    "ratings": "rating",
    "candidat": "candidate",
    "verdcit": "verdict",
    "check_outcom": "check_outcome",
    "CITATON": "citation",
    "remarc": "remark",
    "transfer_cse": "transfer_case",
    "powertrian": "powertrain",
    "contnuously_variable": "continuously_variable",
    "frontwheeldrive": "front_wheel_drive",
    "recreatonal": "recreational",
    "four weels down": "four_wheels_down",
    "not_recomended": "not_recommended",
    "hitch_reciever": "hitch_receiver",
    "kilogramm": "kilogram",
    "purpos": "purpose",
    "model_yaer": "model_year",
}


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Command:
    return Command(monkeypatch, capsys)


@pytest.fixture(scope="module")
def everything() -> tuple[towdb.Description, ...]:
    return tuple(module._everything())


@pytest.fixture
def once(monkeypatch: pytest.MonkeyPatch, everything: tuple[towdb.Description, ...]) -> None:
    """Gathered once: hundreds of names are asked for."""
    monkeypatch.setattr(module, "_everything", lambda: iter(everything))


def relations() -> Iterator[tuple[str, str]]:
    """Kind and name of all that has columns."""
    yield from (("table", name) for name in (*contract().tables, *METADATA))
    yield from (("view", name) for name in VIEWS)
    yield "shortlist", "candidate"
    yield from (("screening", name) for name in PUBLIC)


def column_lists() -> Iterator[tuple[str, list[str]]]:
    """The columns of all that has columns, but for the stamps of a release."""
    yield from ((name, list(table.columns)) for name, table in contract().tables.items())
    yield from ((name, columns_of(view_sql(name))) for name in DERIVED)
    yield "candidate", list(contract().candidate.columns)
    yield from ((name, columns_of(output_sql(name))) for name in PUBLIC)


def names() -> Iterator[tuple[str, str]]:
    """Kind and name of all that is to be found."""
    yield from relations()
    yield from (("derived table", name) for name in DERIVED if name not in VIEWS)
    shown = [columns for name, columns in column_lists() if name not in DERIVED or name in VIEWS]
    yield from (("column", column) for columns in shown for column in columns)
    for vocabulary in contract().vocabularies.values():
        yield "vocabulary", vocabulary.name
        kind = "unit" if vocabulary.name == "unit" else "word"
        yield from ((kind, name) for name in (*vocabulary.words, *vocabulary.aliases))


NAMES = sorted(set(names()))


def writings(name: str) -> set[str]:
    """As people write it: in any case, with blanks or hyphens, with white space around."""
    plain = name.replace("_", " ")
    return {name, name.upper(), f" {plain} ", name.replace("_", "-").capitalize(), plain.title()}


def of_kind(name: str, kind: str) -> list[towdb.Description]:
    return [found for found in towdb.describe(name) if found.kind == kind]


# ---------------------------------------------------------------- found by its name


@pytest.mark.usefixtures("once")
@pytest.mark.parametrize("kind", sorted({kind for kind, _ in NAMES}))
def test_whatever_has_a_name_is_described(kind: str) -> None:
    for name in (name for of, name in NAMES if of == kind):
        found = of_kind(name, kind)
        assert found, name
        assert all(one.meaning.strip() for one in found), name
        for row in (row for one in found for row in one.rows):
            assert len(row) == len(found[0].columns), name


@pytest.mark.usefixtures("once")
def test_every_word_of_an_answer_is_described(demo_release: Path) -> None:
    with towdb.screen(DEMO / "shortlist.csv", coach=DEMO / "coach.toml",
                      reference=demo_release) as screening:  # fmt: skip
        verdicts, checks = screening.records("verdict"), screening.records("check_outcome")
    said = {("verdict", row["verdict"]) for row in verdicts}
    said |= {("weight basis", row["weight_basis"]) for row in verdicts if row["weight_basis"]}
    said |= {("check", row["governing_check"]) for row in verdicts}
    for row in checks:
        said |= {(kind, row[kind]) for kind in ("check", "outcome", "reason")}
    assert {kind for kind, _ in said} == {"verdict", "weight basis", "check", "outcome", "reason"}
    for kind, word in (*said, ("figure", "margin"), ("figure", "capacity")):
        (found,) = [d for d in towdb.describe(word) if d.kind == f"{kind} of an answer"]
        assert found.meaning
        assert found.rows


def test_a_word_of_an_answer_says_in_which_columns_it_stands(command: Command) -> None:
    (margin,) = towdb.describe("margin")
    assert {row[:2] for row in margin.rows} >= {
        ("verdict", "margin_lb"), ("check_outcome", "margin_kg"),
    }  # fmt: skip
    (missing,) = towdb.describe("rating missing")
    assert [check for check, _ in missing.rows] == [
        "hitch_receiver", "combination_rating", "towing_capacity",
    ]  # fmt: skip
    assert "did you mean suitable?" in command.refused("describe", "suitabel")
    assert "every check that applies is met" in unwrapped(command("describe", "suitable").out)


def test_any_writing_finds_the_same() -> None:
    for name in sorted({name for _, name in NAMES}):
        wanted = towdb.describe(name)
        assert any(one.name == name for one in wanted), name
        for written in writings(name):
            assert towdb.describe(written) == wanted, written


def test_a_word_of_several_vocabularies_is_told_for_each() -> None:
    homes = [v.name for v in contract().vocabularies.values() if "none" in v.words]
    assert len(homes) > 1
    said = [one.meaning for one in of_kind("none", "word")]
    for home in homes:
        assert any(text.endswith(f"(a word of {home})") for text in said), home


def test_an_alias_says_what_its_word_means() -> None:
    for alias, word in (("CVT", "continuously_variable"), ("4x4", "four_driven_wheels")):
        (found,), (meant,) = of_kind(alias, "word"), of_kind(word, "word")
        assert (found.meaning, found.rows) == (meant.meaning, meant.rows)
        assert found.rows[0][0] == word
    (found,) = of_kind("Pounds", "unit")
    assert found.meaning == contract().units["lb"].meaning
    assert str(found.rows[0][1]) == "0.45359237"


@pytest.mark.usefixtures("once")
@pytest.mark.parametrize("name", [v for v in contract().vocabularies if v != "unit"])
def test_a_vocabulary_lists_its_words(name: str) -> None:
    vocabulary = contract().vocabularies[name]
    (found,) = of_kind(name, "vocabulary")
    assert found.columns == ("word", "below", "typed also", "meaning")
    assert [row[0] for row in found.rows] == list(vocabulary.words)
    for word, broader, aliases, meaning in found.rows:
        spec = vocabulary.words[word]
        typed = [alias for alias, meant in vocabulary.aliases.items() if meant == word]
        assert (broader, meaning) == (spec.broader, spec.meaning)
        assert sorted(filter(None, aliases.split(", "))) == sorted(typed)


def test_all_units_can_be_listed() -> None:
    (found,) = of_kind("unit", "vocabulary")
    assert [row[0] for row in found.rows] == list(contract().units)


@pytest.mark.usefixtures("once")
@pytest.mark.parametrize("typo", TYPOS)
def test_the_nearest_name_is_named(command: Command, typo: str) -> None:
    assert f"did you mean {TYPOS[typo]}?" in command.refused("describe", typo)


@pytest.mark.parametrize("name", ["", " ", "zzzzzz", "x" * 5000, "\x1b[31m", "--"])
def test_what_has_no_name_is_refused_in_one_line(command: Command, name: str) -> None:
    line = command.refused("describe", "--", name)
    assert "\x1b" not in line
    assert "towdb describe" in line


# ---------------------------------------------------------------- its columns


def tables() -> list[tuple[str, Table]]:
    return [*contract().tables.items(), ("candidate", contract().candidate)]


@pytest.mark.usefixtures("once")
@pytest.mark.parametrize(("name", "table"), tables(), ids=[name for name, _ in tables()])
def test_columns_of_a_table_say_what_the_contract_says(name: str, table: Table) -> None:
    (found,) = [one for one in towdb.describe(name) if one.kind in ("table", "shortlist")]
    assert (found.columns, found.meaning) == (TYPED, table.meaning)
    assert [row[0] for row in found.rows] == list(table.columns)
    for row in found.rows:
        column, required, kind, meaning, example = row
        spec = table.field(column)
        assert required == (column in table.required)
        assert (meaning, example) == (spec.meaning, spec.good)
        assert kind.strip()
        if spec.vocabulary:
            assert spec.vocabulary in kind
        unit = spec.unit or spec.unit_in
        if unit:
            assert unit in kind, column


@pytest.mark.usefixtures("once")
def test_a_column_says_everywhere_it_stands() -> None:
    standing: dict[str, set[str]] = {}
    for name, columns in column_lists():
        if name not in DERIVED or name in VIEWS:
            for column in columns:
                standing.setdefault(column, set()).add(name)
    for column, homes in standing.items():
        (found,) = of_kind(column, "column")
        assert {row[0] for row in found.rows} - set(METADATA) == homes, column
        assert all(row[2].strip() for row in found.rows), column


def columns_there(con: duckdb.DuckDBPyConnection, query: str) -> list[str]:
    con.execute(query)
    return [column[0] for column in con.description or ()]


def test_a_release_has_the_columns_described(demo_release: Path) -> None:
    kinds = ("table", "view", "derived table")
    described = {one.name: one for one in module._everything() if one.kind in kinds}
    with duckdb.connect(str(demo_release), read_only=True) as con:
        for name in (*contract().tables, *METADATA, *DERIVED):
            there = columns_there(con, f"SELECT * FROM towdb_data.{name} LIMIT 0")
            assert [row[0] for row in described[name].rows] == there, name
        for name in DERIVED:
            there = columns_there(con, f"SELECT * FROM towdb_data.{name} LIMIT 0")
            assert columns_of(view_sql(name)) == there, name


def test_a_screening_has_the_columns_described(demo_release: Path) -> None:
    described = {one.name: one for one in module._everything() if one.kind == "screening"}
    shortlist, coach = DEMO / "shortlist.csv", DEMO / "coach.toml"
    assert set(described) == set(PUBLIC)
    with towdb.screen(shortlist, coach=coach, reference=demo_release) as screening:
        for name in PUBLIC:
            there = screening.rows(name)[0]
            assert [row[0] for row in described[name].rows] == there, name
            assert columns_of(output_sql(name)) == there, name
            assert list(screening.sql(f"select * from {name} limit 0").columns) == there, name


# ---------------------------------------------------------------- contents, and every form


def test_the_list_of_contents_is_complete(command: Command) -> None:
    (contents,) = towdb.describe()
    assert (contents.kind, contents.columns) == ("contents", ("name", "kind", "meaning"))
    assert sorted((row[1], row[0]) for row in contents.rows) == sorted(relations())
    assert all(row[2].strip() for row in contents.rows)
    printed = unwrapped(command("describe").out)
    assert all(row[0] in printed and str(row[1]) in printed for row in contents.rows)


@pytest.mark.parametrize("name", [None, "eligibility", "transfer case", "LB", "none", "verdict"])
def test_json_holds_what_python_gives(command: Command, name: str | None, tmp_path: Path) -> None:
    typed = [] if name is None else [name]
    said = command("describe", *typed, "--format", "json")
    assert (said.status, said.err) == (0, "")
    told: list[dict[str, Any]] = json.loads(said.out)
    found = towdb.describe(name)
    assert [(t["kind"], t["name"], t["meaning"]) for t in told] == [
        (one.kind, one.name, one.meaning) for one in found
    ]
    for one, other in zip(told, found, strict=True):
        assert all(tuple(row) == other.columns for row in one["rows"])
        rows = [[str(cell) for cell in row.values()] for row in one["rows"]]
        assert rows == [[str(cell) for cell in row] for row in other.rows]
    assert command("describe", *typed, "-o", tmp_path / "d.json").out == ""
    assert (tmp_path / "d.json").read_text("utf-8") == said.out


def test_the_screen_shows_what_python_gives(
    command: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "400")
    for name in ("towing_limit", "statement", "powertrain", "degC"):
        printed = unwrapped(command("describe", name).out)
        for one in towdb.describe(name):
            assert f"{one.name} ({one.kind}): {unwrapped(one.meaning)}" in printed
            for row in one.rows:
                assert all(unwrapped(cell) in printed for cell in row if isinstance(cell, str))


def test_another_form_is_refused(command: Command, tmp_path: Path) -> None:
    assert "json" in command.refused("describe", "--format", "csv")
    assert "json" in command.refused("describe", "unit", "-o", tmp_path / "d.csv")
    assert not list(tmp_path.iterdir())
