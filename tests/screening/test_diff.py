"""`diff`: edits drawn or made by hand in copies of a folder, told apart by reading both."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import pairwise
from pathlib import Path
from random import Random
from typing import Any

import duckdb
import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.agreement import write_rows
from tests.helpers.command import Command, unwrapped
from tests.helpers.edits import BY_HAND, WITH_DRAWN, draw_edits
from tests.helpers.folders import Row, copy_base, read_table
from tests.helpers.statements import Folder
from towdb.contract.model import contract
from towdb.report.caution import CAUTION, INVENTED

COACH, ON = DEMO / "coach.toml", "2026-01-31"
BACKWARD = ("slower", "unchecked")
Record = dict[str, Any]
CHECKS = {
    "permission": "permission",
    "procedure": "procedure",
    "hitch_receiver": "hitch receiver",
    "combination_rating": "combination rating",
    "towing_capacity": "towing capacity",
    "coach_gross": "coach's gross rating",
    "towed_gross": "car's gross rating",
}
# Where a row stands and who entered it; what it says is in its other columns.
PAGE = {"source_id", "locator", "file_page", "quote", "basis"}
PAGE |= {"entered_by", "entered_on", "checked_by", "checked_on"}
WHAT_IT_TAKES = ("towing_limit", "procedure_step", "fuse_pull")


# ---------------------------------------------------------------- what the folders say


def plain(table: str, column: str, text: str) -> str | None:
    """A cell as people write it: a number without needless zeros."""
    if not text:
        return None
    if contract().tables[table].field(column).type != "number":
        return text
    return format(Decimal(text).normalize(), "f")


def rows_of(folder: Path, table: str) -> dict[str, Row]:
    return {row[f"{table}_id"]: row for row in read_table(folder, table)}


def expected(before: Path, after: Path) -> list[Record]:
    """Tables in the order of the contract, rows by key, columns in the order of the contract."""
    found: list[tuple[str, ...] | tuple[str | None, ...]] = []
    for table, spec in contract().tables.items():
        old, new = rows_of(before, table), rows_of(after, table)
        for key in sorted(old | new):
            if key not in old or key not in new:
                change = "added" if key in new else "removed"
                found.append((table, key, change, None, None, None))
                continue
            for name in spec.columns:
                one, other = (plain(table, name, row.get(name, "")) for row in (old[key], new[key]))
                if one != other:
                    found.append((table, key, "changed", name, one, other))
    names = ("table", "key", "change", "column", "before", "after")
    return [dict(zip(names, row, strict=True)) for row in found]


def mirrored(records: list[Record]) -> list[Record]:
    swap = {"added": "removed", "removed": "added", "changed": "changed"}
    return [
        {**r, "change": swap[r["change"]], "before": r["after"], "after": r["before"]}
        for r in records
    ]


@dataclass
class Told:
    """What a screening says of a car."""

    verdict: str
    reasons: dict[str, str] = field(default_factory=dict)
    takes: list[tuple[str, ...]] = field(default_factory=list)
    cites: set[str] = field(default_factory=set)
    rests_on: set[str] = field(default_factory=set)
    takes_rows: set[str] = field(default_factory=set)


def told(folder: Folder, release: Path, shortlist: Path) -> dict[str, Told]:
    with towdb.screen(shortlist, coach=COACH, reference=release, on=ON) as screening:
        found = {
            row["candidate"]: Told(row["verdict"]) for row in screening.verdicts.to_dict("records")
        }
        for row in screening.checks.to_dict("records"):
            found[row["candidate"]].reasons[row["check"]] = row["reason"]
        for row in screening.conditions.to_dict("records"):
            said = (row["kind"], row["alternative_no"], row["depends_on"], row["text"])
            found[row["candidate"]].takes.append(tuple(map(str, said)))
            found[row["candidate"]].takes_rows.add(f"{row['table']} {row['key']}")
        for row in screening.citations.to_dict("records"):
            found[row["candidate"]].cites.add(f"{row['table']} {row['key']}")
            found[row["candidate"]].rests_on |= folder.behind(f"{row['table']} {row['key']}")
    return found


def expected_verdicts(one: Told, other: Told, records: list[Record]) -> Record | None:
    """What is to be said of a car, or None if all came out as before."""
    said_otherwise = {
        f"{record['table']} {record['key']}"
        for record in records
        if record["table"] in WHAT_IT_TAKES and record["column"] not in PAGE
    }
    checks = [name for name in CHECKS if one.reasons[name] != other.reasons[name]]
    takes = one.takes != other.takes or bool((one.takes_rows | other.takes_rows) & said_otherwise)
    if not checks and not takes and one.verdict == other.verdict:
        return None
    return {"verdicts": (one.verdict, other.verdict), "checks": checks, "takes": takes}


def as_compared(record: Record) -> Record:
    why = record["why"]
    return {
        "verdicts": (record["before"], record["after"]),
        "checks": [
            name for name, said in CHECKS.items() if any(t.startswith(f"{said}: ") for t in why)
        ],
        "takes": any("what it takes has changed" in text for text in why),
    }


# ---------------------------------------------------------------- the releases


@dataclass(frozen=True)
class Edited:
    """A folder and its release."""

    folder: Path
    release: Path


@pytest.fixture(scope="module")
def edited(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Edited]:
    """The base, and by name what was made of it."""
    path, rng = tmp_path_factory.mktemp("edited"), Random(5)
    found = {}
    for name in ("base", *BY_HAND):
        folder = copy_base(path / name)
        drawn = draw_edits(rng) if name in WITH_DRAWN else []
        for edit in (*BY_HAND.get(name, ()), *drawn):
            edit(folder)
        found[name] = Edited(folder, towdb.build(folder, path / f"{name}.duckdb").path)
    return found


@pytest.fixture(scope="module")
def cars(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("cars") / "cars.csv"
    car = {
        "make": "Quillon", "model": "pika", "model_year": "2020", "market": "xa",
        "powertrain": "gas", "drivetrain": "fwd", "transmission": "stick",
        "transfer_case": "none", "built_on": "2020-04",
    }  # fmt: skip
    named = {
        "by key": {"ignition": "key"},
        "by button": {"ignition": "button"},
        "of either": {},
        "automatic": {"transmission": "cvt"},
        "late": {"ignition": "key", "model_year": "2021", "built_on": "2021-04"},
        "vole": {"model": "Vole", "transmission": ""},
        "with package": {"ignition": "key", "options": "tow package"},
        "without options": {"ignition": "key", "options": "none", "options_complete": "yes"},
    }
    write_rows(path, [{"candidate": name, **car, **own} for name, own in named.items()])
    return path


def pairs(edited: dict[str, Edited]) -> Iterator[tuple[Edited, Edited]]:
    """What was made by drawn edits: each against the base, and each against the next."""
    yield from ((edited["base"], edited[name]) for name in WITH_DRAWN)
    yield from ((edited[one], edited[other]) for one, other in pairwise(("slower", *WITH_DRAWN)))


# ---------------------------------------------------------------- rows


def test_the_records_are_those_of_the_folders(edited: dict[str, Edited]) -> None:
    seen = set()
    for one, other in pairs(edited):
        wanted = expected(one.folder, other.folder)
        assert towdb.diff(one.release, other.release).records == wanted
        assert towdb.diff(other.release, one.release).records == mirrored(wanted)
        seen |= {(record["table"], record["change"]) for record in wanted}
    assert {change for _, change in seen} == {"added", "removed", "changed"}
    assert len({table for table, _ in seen}) >= 10


def test_a_release_and_itself_do_not_differ(edited: dict[str, Edited], tmp_path: Path) -> None:
    release = edited["base"].release
    again = towdb.build(edited["base"].folder, tmp_path / "again.duckdb").path
    (tmp_path / "a copy's.duckdb").write_bytes(release.read_bytes())
    (tmp_path / "link.duckdb").symlink_to(release)
    for other in (release, again, tmp_path / "a copy's.duckdb", tmp_path / "link.duckdb"):
        found = towdb.diff(release, other)
        assert (found.records, found.verdict_records) == ([], [])
        assert found.release_ids[0] == found.release_ids[1]
        assert list(found.rows.columns) == ["table", "key", "change", "column", "before", "after"]


# ---------------------------------------------------------------- verdicts


@dataclass(frozen=True)
class Both:
    """Two releases, what `diff` says of them, and what each says of the cars by itself."""

    found: towdb.Diff
    old: dict[str, Told]
    new: dict[str, Told]


@pytest.fixture(scope="module")
def screened(edited: dict[str, Edited], cars: Path) -> dict[str, list[Both]]:
    """By name: the base against it, and for some it against the base."""
    said = {name: told(Folder(each.folder), each.release, cars) for name, each in edited.items()}
    return {
        name: [
            Both(
                towdb.diff(
                    edited[one].release, edited[other].release, shortlist=cars, coach=COACH, on=ON
                ),
                said[one],
                said[other],
            )
            for one, other in (("base", name), (name, "base"))[: 2 if name in BACKWARD else 1]
        ]
        for name in BY_HAND
    }


@pytest.mark.parametrize("name", BY_HAND)
def test_verdicts_are_those_of_two_screenings(screened: dict[str, list[Both]], name: str) -> None:
    for both in screened[name]:
        found, old, new = both.found, both.old, both.new
        wanted = {car: expected_verdicts(old[car], new[car], found.records) for car in old}
        said = {record["candidate"]: as_compared(record) for record in found.verdict_records}
        assert said == {car: row for car, row in wanted.items() if row}
        assert {record["coach"] for record in found.verdict_records} <= {"coach"}


def test_forward_and_backward_name_the_same_cars_and_rows(
    screened: dict[str, list[Both]],
) -> None:
    for forward, backward in (screened[name] for name in BACKWARD):
        swapped = [
            {**v, "before": v["after"], "after": v["before"], "why": len(v["why"])}
            for v in backward.found.verdict_records
        ]
        assert [{**v, "why": len(v["why"])} for v in forward.found.verdict_records] == swapped


def test_a_row_is_named_for_all_that_changed(screened: dict[str, list[Both]]) -> None:
    # The cars, the coach and the day are the same: what came out otherwise, some row did.
    for both in (one for pair in screened.values() for one in pair):
        touched = {f"{record['table']} {record['key']}" for record in both.found.records}
        for verdict in both.found.verdict_records:
            car, rows = verdict["candidate"], set(verdict["rows"])
            assert rows, verdict
            assert sorted(rows) == verdict["rows"]
            assert (both.old[car].cites | both.new[car].cites) & touched <= rows
            assert rows == (both.old[car].rests_on | both.new[car].rests_on) & touched
    (apart,) = screened["apart"]
    assert any("source pika-label" in v["rows"] for v in apart.found.verdict_records)


@pytest.mark.parametrize(
    ("name", "car", "said"),
    [
        ("slower", "by key", "what it takes has changed"),
        ("slower", "automatic", "permission: its manufacturer forbids"),
        ("heavier", "by key", "combination rating: within the limit, now: it depends"),
        ("unchecked", "by key", "nobody has checked it"),
        ("reordered", "by button", "what it takes has changed"),
        ("restored", "by key", "what it takes has changed"),
        ("moved", "by key", "what it takes has changed"),
        ("paired", "by button", "what it takes has changed"),
        ("optional", "by key", "permission: "),
        ("optional", "with package", "permission: "),
    ],
)
def test_what_changed_for_a_car_is_said(
    screened: dict[str, list[Both]], name: str, car: str, said: str
) -> None:
    records = screened[name][0].found.verdict_records
    why = [text for row in records if row["candidate"] == car for text in row["why"]]
    assert any(said in text for text in why), why


def test_each_coach_has_its_own_answer(edited: dict[str, Edited], cars: Path) -> None:
    one, other = edited["base"].release, edited["heavier"].release
    found = towdb.diff(one, other, shortlist=cars, coach=[COACH, "brackwater"], on=ON)
    heavier = found.verdicts[found.verdicts["candidate"] == "by key"]
    assert list(heavier["coach"]) == ["coach", "brackwater"]
    assert list(found.verdicts.columns) == ["candidate", "coach", "before", "after", "why", "rows"]


# ---------------------------------------------------------------- the command


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Command:
    monkeypatch.setenv("COLUMNS", "200")
    return Command(monkeypatch, capsys)


def test_every_form_holds_the_same(
    edited: dict[str, Edited], cars: Path, command: Command, tmp_path: Path
) -> None:
    files = (edited["base"].release, edited["slower"].release)
    screened = ("--shortlist", cars, "--coach", COACH, "--on", ON)
    found = towdb.diff(*files, shortlist=cars, coach=COACH, on=ON)
    told = json.loads(command("diff", *files, *screened, "--format", "json").out)
    assert (told["before"], told["after"], told["invented"]) == (*found.release_ids, True)
    assert told["rows"] == found.records
    assert told["verdicts"] == found.verdict_records
    assert len(told["verdicts"]) >= 2
    printed = command("diff", *files, "--format", "csv").out
    rows = list(csv.DictReader(io.StringIO(printed)))
    assert rows == [{name: text or "" for name, text in r.items()} for r in found.records]
    assert command("diff", *files, "-o", tmp_path / "d.csv").out == ""
    assert (tmp_path / "d.csv").read_text("utf-8") == printed
    table = unwrapped(command("diff", *files, *screened).out)
    for record in found.records:
        assert record["key"] in table
        assert record["column"] in table
    for verdict in found.verdict_records:
        assert verdict["candidate"] in table
        assert verdict["after"].replace("_", " ") in table
    assert table.endswith(f"{INVENTED} {CAUTION}")


def test_what_does_not_change_is_said(
    edited: dict[str, Edited], cars: Path, command: Command
) -> None:
    same = [edited["base"].release] * 2
    said = command("diff", *same, "--shortlist", cars, "--coach", COACH)
    assert (said.status, said.err) == (0, "")
    assert "0 added, 0 removed, 0 changed" in said.out
    assert "No verdict and no condition changes." in said.out
    assert json.loads(command("diff", *same, "--format", "json").out)["rows"] == []


def test_shortlist_and_coach_go_together(
    edited: dict[str, Edited], cars: Path, command: Command
) -> None:
    same = [edited["base"].release] * 2
    for half in (("--shortlist", cars), ("--coach", COACH)):
        line = command.refused("diff", *same, *half)
        assert "shortlist" in line
        assert "coach" in line
    with pytest.raises(towdb.UsageError, match="coach"):
        towdb.diff(*same, shortlist=cars)
    assert "nobody" in command.refused("diff", *same, "--shortlist", cars, "--coach", "nobody")


def test_what_is_no_release_is_refused(
    edited: dict[str, Edited], command: Command, tmp_path: Path
) -> None:
    good, bad = edited["base"].release, tmp_path / "bad"
    bad.mkdir()
    (bad / "text.duckdb").write_text("no database\n", "utf-8")
    (bad / "half.duckdb").write_bytes(good.read_bytes()[:5000])
    (bad / "empty.duckdb").touch()
    duckdb.connect(str(bad / "other.duckdb")).execute("CREATE TABLE t (x INTEGER)").close()
    names = ("text.duckdb", "half.duckdb", "empty.duckdb", "other.duckdb", "none.duckdb", "")
    for path in (*(bad / name for name in names), edited["base"].folder / "source.csv"):
        for files in ((good, path), (path, good), (path, path)):
            assert str(path) in command.refused("diff", *files)
            with pytest.raises(towdb.UsageError, match="release"):
                towdb.diff(*files)
