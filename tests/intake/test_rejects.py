"""Rows that cannot be read: set aside as they came, counted, and the rest is screened."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import towdb
from tests.conftest import DEMO
from tests.helpers.command import Command
from tests.helpers.tier import by_tier
from towdb.errors import UsageError

SHORTLIST = DEMO / "shortlist.csv"
COACH = DEMO / "coach.toml"
ON = "2026-01-31"
with SHORTLIST.open(encoding="utf-8", newline="") as stream:
    CARS = list(csv.DictReader(stream))
COLUMNS = list(CARS[0])
# Each makes a row unreadable, wherever it stands.
SPOILT = [
    ("gvwr", "0 lb"), ("gvwr", "4400 stone"), ("model_year", "20211"), ("transmission", "manuel"),
    ("built_on", "March"), ("weight_unit", "stone"), ("options", ","), ("lot", None),
]  # fmt: skip


def screened(source: Any, release: Path, **more: Any) -> tuple[list[dict[str, Any]], int | None]:
    with towdb.screen(source, coach=COACH, reference=release, on=ON, **more) as screening:
        aside = screening.set_aside
        return screening.records("verdict"), None if aside is None else aside.rows


def cells(path: Path) -> list[dict[str, str]]:
    """The rows of a file of rows set aside, as text."""
    with duckdb.connect() as con:
        read = f"read_csv('{path}', all_varchar = true, header = true, auto_detect = true)"
        con.execute(f"FROM {f'{str(path)!r}' if path.suffix == '.parquet' else read}")
        names = [column[0] for column in con.description or ()]
        return [
            {name: "" if cell is None else str(cell) for name, cell in zip(names, row, strict=True)}
            for row in con.fetchall()
        ]


def write(path: Path, rows: list[list[str]]) -> Path:
    with path.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream, lineterminator="\n").writerows([COLUMNS, *rows])
    return path


@settings(
    max_examples=by_tier(quick=3, whole=10),
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    st.dictionaries(st.integers(0, len(CARS) - 1), st.sampled_from(SPOILT), max_size=6),
    st.sampled_from(["csv", "parquet"]),
)
def test_what_is_set_aside_and_what_is_screened_are_all(
    tmp_path: Path, demo_release: Path, spoilt: dict[int, tuple[str, str | None]], end: str
) -> None:
    rows = [list(car.values()) for car in CARS]
    for number, (column, text) in spoilt.items():
        if text is None:
            rows[number].pop()
        else:
            rows[number][COLUMNS.index(column)] = text
    source, aside = write(tmp_path / "cars.csv", rows), tmp_path / f"aside.{end}"
    good = [row for number, row in enumerate(rows) if number not in spoilt]
    clean = write(tmp_path / "clean.csv", good)
    told, count = screened(source, demo_release, set_aside=aside)
    assert told == screened(clean, demo_release)[0]
    kept = cells(aside)
    assert count == len(kept) == len(spoilt)
    for number, row in zip(sorted(spoilt), kept, strict=True):
        column, text = spoilt[number]
        assert (row["file"], row["line"]) == ("cars.csv", str(number + 2))
        says = f"{column}: " if text is not None else "cells where the header has"
        assert says in row["reason"]
        assert [row[name] for name in COLUMNS][: len(rows[number])] == rows[number]
    with towdb.check_inventory(source, set_aside=aside) as checked:
        assert checked.set_aside is not None
        assert checked.set_aside.rows == len(spoilt)
        assert cells(aside) == kept
        assert checked.rows == len(rows)
    if spoilt:
        with pytest.raises(UsageError):
            screened(source, demo_release)


def test_the_cells_for_which_rows_are_set_aside_are_named_by_row_with_their_values(
    tmp_path: Path, demo_release: Path
) -> None:
    rows = [list(car.values()) for car in CARS]
    for number, column, text in (
        (1, "model_year", "20211"), (3, "gvwr", "0 lb"), (3, "transmission", "manuel")
    ):  # fmt: skip
        rows[number][COLUMNS.index(column)] = text
    rows[5][0] = rows[6][0]
    cars = write(tmp_path / "cars.csv", rows)
    by: dict[str, Any] = {"coach": COACH, "reference": demo_release}
    with towdb.screen(cars, **by, set_aside=tmp_path / "aside.csv") as screening:
        bad = screening.bad_cells()
    (reason,) = [row["reason"] for row in cells(tmp_path / "aside.csv") if row["line"] == "5"]
    assert sorted(bad) == [2, 4, 6, 7]
    assert bad[2].startswith("model_year: '20211': ")
    first, second = bad[4].split(" · ")
    assert first.startswith("gvwr: '0 lb': a weight is above 0")
    assert second.startswith("transmission: 'manuel': ")
    assert bad[4].replace("'0 lb': ", "").replace(": 'manuel': ", ": ", 1) == reason
    twice = "two cars have this name; give each car a name of its own"
    assert {bad[6], bad[7]} == {f"candidate: {rows[6][0]!r}: {twice}"}
    with towdb.screen(SHORTLIST, **by) as screening:
        assert screening.bad_cells() == {}


def test_a_row_lies_there_as_it_came(tmp_path: Path, demo_release: Path) -> None:
    (tmp_path / "cars.csv").write_text(
        'Stock No,=Notes,gvwr,reason,File\n1,"two\nlines, and ""quotes""", 0 lb ,=1+1,x\n'
        "2,fine,4400 lb,,\n",
        "utf-8",
    )
    told, _ = screened(
        tmp_path / "cars.csv",
        demo_release,
        mapping={"columns": {}},
        set_aside=tmp_path / "aside.csv",
    )
    assert [row["candidate"] for row in told] == ["2"]
    with (tmp_path / "aside.csv").open(encoding="utf-8", newline="") as stream:
        header, row = csv.reader(stream)
    assert header[:5] == ["Stock No", "gvwr", "=Notes", "reason", "File"]
    assert row[:5] == ["1", " 0 lb ", 'two\nlines, and "quotes"', "=1+1", "x"]
    assert row[5:7] == ["cars.csv", "2"]
    assert row[7].startswith("gvwr: a weight is above 0")


def test_cells_beyond_the_header_are_not_lost(tmp_path: Path, demo_release: Path) -> None:
    (tmp_path / "cars.csv").write_text("candidate,make\na,x,one,two\nb,x\n", "utf-8")
    told, count = screened(tmp_path / "cars.csv", demo_release, set_aside=tmp_path / "aside.csv")
    assert ([row["candidate"] for row in told], count) == (["b"], 1)
    (row,) = cells(tmp_path / "aside.csv")
    assert (row["candidate"], row["make"]) == ("a", "x")
    assert row["reason"].endswith("beyond them: one · two")


def test_both_of_two_names_are_set_aside(tmp_path: Path, demo_release: Path) -> None:
    frame = pd.DataFrame({"candidate": ["a", "b", "a "], "make": ["x", "y", "z"]})
    told, count = screened(frame, demo_release, set_aside=tmp_path / "aside.csv")
    assert ([row["candidate"] for row in told], count) == (["b"], 2)
    assert [row["make"] for row in cells(tmp_path / "aside.csv")] == ["x", "z"]


def test_files_of_a_folder(tmp_path: Path, demo_release: Path) -> None:
    for year, weight in ((2020, "0 lb"), (2021, "4400 lb"), (2022, "x")):
        folder = tmp_path / "stock" / f"model_year={year}"
        folder.mkdir(parents=True)
        with duckdb.connect() as con:
            con.execute(f"COPY (SELECT '{weight}' AS gvwr, 1 AS mark) TO '{folder}/part.parquet'")
    told, count = screened(
        tmp_path / "stock", demo_release,
        set_aside=tmp_path / "aside.parquet", mapping={"columns": {}},
    )  # fmt: skip
    assert ([row["candidate"] for row in told], count) == (["row 2"], 2)
    kept = cells(tmp_path / "aside.parquet")
    assert [(row["model_year"], row["gvwr"], row["mark"], row["file"]) for row in kept] == [
        ("2020", "0 lb", "1", "model_year=2020/part.parquet"),
        ("2022", "x", "1", "model_year=2022/part.parquet"),
    ]


def test_all_rows_set_aside(tmp_path: Path, demo_release: Path) -> None:
    frame = pd.DataFrame({"gvwr": ["0 lb"] * 3})
    assert screened(frame, demo_release, set_aside=tmp_path / "aside.csv") == ([], 3)


def test_set_aside_goes_with_a_shortlist(tmp_path: Path, demo_release: Path) -> None:
    ways: list[dict[str, Any]] = [
        {"set_aside": tmp_path / "aside.csv"},
        {"mapping": {"columns": {}}},
        {"leave_unreadable": True},
    ]
    for more in ways:
        with pytest.raises(UsageError, match="go with a shortlist"):
            screened(None, demo_release, **more)


def test_the_command(type_in: Command, tmp_path: Path, demo_release: Path) -> None:
    write(tmp_path / "cars.csv", [list(car.values()) for car in CARS] + [["x"]])
    call = (
        "screen", "cars.csv", "--coach", COACH, "--reference", demo_release, "--on", ON,
    )  # fmt: skip
    assert "line 14: 1 cells where the header has" in type_in.refused(*call)
    said = type_in(*call, "--set-aside", "aside.csv", "--format", "json")
    assert (said.status, said.err) == (0, "1 row(s) set aside in aside.csv\n")
    document = json.loads(said.out)
    assert document["set_aside"] == {"file": "aside.csv", "rows": 1}
    assert len(document["screenings"][0]["candidates"]) == len(CARS)
    for form in ("table", "csv"):
        said = type_in(*call, "--set-aside", "aside.csv", "--format", form)
        assert (said.status, said.err) == (0, "1 row(s) set aside in aside.csv\n")
    said = type_in(*call, "--set-aside", "aside.csv", "-o", "out.parquet")
    assert (said.status, said.out, said.err) == (0, "", "1 row(s) set aside in aside.csv\n")


def test_a_call_that_is_refused_sets_nothing_aside(
    type_in: Command, tmp_path: Path, demo_release: Path
) -> None:
    (tmp_path / "cars.csv").write_text("gvwr\n0 lb\n", "utf-8")
    (tmp_path / "aside.csv").write_text("what was there\n", "utf-8")
    call = ("screen", "cars.csv", "--set-aside", "aside.csv", "--reference", demo_release)
    assert "no.toml" in type_in.refused(*call, "--coach", "no.toml")
    assert "is named twice" in type_in.refused(*call, "--coach", COACH, "-o", "aside.csv")
    assert (tmp_path / "aside.csv").read_text("utf-8") == "what was there\n"
