"""A draft of a mapping: what leaves no doubt is in effect, all else is a comment to settle."""

from __future__ import annotations

import csv
import re
import tomllib
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import towdb
from tests.conftest import DEMO
from tests.helpers.command import Command
from tests.helpers.tier import by_tier
from towdb.contract.model import contract
from towdb.intake.headers import read_mapping
from towdb.inventory.header_names import DOUBTFUL, NAMES

STOCK = {
    "Stock #": ["1", "2", "3"],
    "Make": ["Quillon"] * 3,
    "Model": ["Pika"] * 3,
    "Year": ["2021", "2020", "2020"],
    "Trans": ["M/T", "manuel", "auto"],
    "Drive": ["rear wheel drive", "FWD", "front wheel drive"],
    "GVWR (kg)": ["1800", "1,810", "n/a"],
    "Curb Weight": ["1400", "1500", "1500"],
    "GVW": ["4000 lb", "", ""],
    "Listed": ["3/14/2025", "4/2/2025", ""],
    "Built": ["3/4/2021", "4/4/2020", "4/4/2020"],
    "Colour": ["red", "red", "blue"],
}


def drafted(cells: dict[str, list[str]]) -> tuple[dict[str, Any], list[str]]:
    """What is in effect, and the lines that are not."""
    draft = towdb.draft_mapping(pd.DataFrame(cells))
    mapping = tomllib.loads(draft)
    read_mapping(mapping)
    return mapping, [line[2:] for line in draft.splitlines() if line.startswith('# "')]


def in_effect(cells: dict[str, list[str]]) -> dict[str, Any]:
    columns: dict[str, Any] = drafted(cells)[0]["columns"]
    return columns


def of_header(lines: list[str], header: str) -> list[str]:
    return [line for line in lines if line.startswith(f'"{header}" = ')]


def settled(draft: str, *lines: str) -> str:
    """A draft of which a person has taken the '#' off some lines, all of which must be there."""
    for line in lines:
        assert draft.count(f"\n# {line}  # ") == 1, line
        draft = draft.replace(f"\n# {line}  # ", f"\n{line}  # ")
    return draft


# ---------------------------------------------------------------- a draft, settled


def test_a_draft_that_is_settled_is_a_mapping(
    type_in: Command, tmp_path: Path, demo_release: Path
) -> None:
    pd.DataFrame(STOCK).to_csv("cars.csv", index=False)
    said = type_in("inventory", "draft-map", "cars.csv", "-o", "map.toml")
    assert (said.status, said.out, said.err) == (0, "", "")
    draft = Path("map.toml").read_text("utf-8")
    # As it is, it is a mapping, and what it leaves out is refused or left aside, never guessed.
    said = type_in("inventory", "check", "cars.csv", "--map", "map.toml", "--format", "csv")
    assert said.status == 1
    rows = list(csv.DictReader(said.out.splitlines()))
    assert {(row["column"], row["value"]) for row in rows} == {
        ("transmission", "M/T"), ("transmission", "manuel"), ("gvwr", "n/a"),
        # It is read by its own name, and without a unit it is no weight.
        ("curb_weight", "1400"), ("curb_weight", "1500"),
    }  # fmt: skip
    assert "left aside: Year, Drive, GVW, Built, Colour" in said.err
    draft = settled(
        draft,
        '"Year" = "model_year"',
        '"Drive" = "drivetrain"',
        '"Curb Weight" = { column = "curb_weight", unit = "kg" }',
        '"Built" = { column = "built_on", dates = "day/month/year" }',
        '"n/a" = ""',
    )
    for theirs in ("m/t", "manuel"):
        draft = draft.replace(f'# "{theirs}" = ""', f'"{theirs}" = "manual"')
    Path("map.toml").write_text(draft, "utf-8")
    said = type_in("inventory", "check", "cars.csv", "--map", "map.toml")
    assert (said.status, said.err) == (0, "")
    assert "0 error(s), 0 warning(s)" in said.out
    with towdb.screen(
        "cars.csv", coach=DEMO / "coach.toml", reference=demo_release, mapping="map.toml"
    ) as screening:
        columns, typed = screening.typed()
    first = dict(zip(columns, typed[0], strict=True))
    assert first["built_on"] == "2021-04-03"
    assert (first["gvwr"], first["curb_weight"]) == ("1800 kg", "1400 kg")
    assert (first["transmission"], first["listed_on"]) == ("manual", "2025-03-14")


def test_every_line_of_a_draft_can_be_settled() -> None:
    draft = towdb.draft_mapping(pd.DataFrame(STOCK))
    commented = re.findall(r'^# (".*?" = .*?)  # (.*)', draft, re.MULTILINE)
    assert len(commented) > 10
    taken = [line for line, why in commented if "is gvwr already" in why]
    assert taken == ['"GVW" = "gvwr"']
    for line, _ in commented:
        if line not in taken:
            read_mapping(tomllib.loads(settled(draft, line)))


def test_an_earlier_draft_is_not_overwritten(type_in: Command) -> None:
    pd.DataFrame(STOCK).to_csv("cars.csv", index=False)
    Path("map.toml").write_text("[columns]\n", "utf-8")
    line = type_in.refused("inventory", "draft-map", "cars.csv", "-o", "map.toml")
    assert line == "towdb: map.toml: already exists; choose another name"
    assert Path("map.toml").read_text("utf-8") == "[columns]\n"
    Path("link.toml").symlink_to("nowhere")
    assert "already exists" in type_in.refused(
        "inventory", "draft-map", "cars.csv", "-o", "link.toml"
    )
    assert type_in("inventory", "draft-map", "cars.csv").out == towdb.draft_mapping("cars.csv")


def test_a_draft_of_a_workbook(tmp_path: Path) -> None:
    # openpyxl is what towdb reads them with; a unit that only a format shows is there too.
    import openpyxl

    book = openpyxl.Workbook()
    book.active.append(["Stock no", "GVWR", "Built"])
    book.active.append(["a", 4400, pd.Timestamp("2021-03-14")])
    book.active["B2"].number_format = '#,##0 "lb"'
    book.save(tmp_path / "cars.xlsx")
    draft = towdb.draft_mapping(tmp_path / "cars.xlsx")
    columns = {"Stock no": "candidate", "GVWR": "gvwr", "Built": "built_on"}
    assert tomllib.loads(draft)["columns"] == columns
    with towdb.check_inventory(tmp_path / "cars.xlsx", mapping={"columns": columns}) as checked:
        assert checked.ok


# ---------------------------------------------------------------- what leaves no doubt


@pytest.mark.parametrize(
    ("header", "cells", "expected"),
    [
        ("Stock No.", ["7"], "candidate"),
        ("STOCK_NUMBER", ["7"], "candidate"),
        ("VIN", ["1M8GDM9AXKP042788"], "vin"),
        ("VIN", ["none"], None),
        ("Model Year", ["2021", "n/a"], "model_year"),
        ("Model Year", ["21", "20"], None),
        ("Year", ["2021"], None),
        ("Serial", ["1M8GDM9AXKP042788"], None),
        ("GVWR (lbs)", ["4,400"], {"column": "gvwr", "unit": "lb"}),
        ("GVWR lb", ["4,400 lbs", "4400"], {"column": "gvwr", "unit": "lb"}),
        ("GVWR lb", ["4400", "1996 kg"], None),
        ("GVWR", ["4400 lb", "1996 kg"], "gvwr"),
        ("GVWR", ["4400 lb", "1996"], None),
        ("Kerb mass, kg", ["1500"], {"column": "curb_weight", "unit": "kg"}),
        ("Weight (kg)", ["1500"], None),
        ("Payload (kg)", ["500"], None),
        ("Listed", ["2025-03-14"], "listed_on"),
        ("Listed", ["14.3.2025", "1.2.2025"], {"column": "listed_on", "dates": "day/month/year"}),
        ("Listed", ["3/14/2025", "1/2/2025"], {"column": "listed_on", "dates": "month/day/year"}),
        ("Listed", ["2025/3/4"], {"column": "listed_on", "dates": "year/month/day"}),
        ("Listed", ["3/4/2025", "1/2/2025"], None),
        ("Listed", ["3/14/2025", "14/3/2025"], None),
        ("Listed", ["3/14/2025", "2025/3/14"], None),
        ("Listed", ["3/2025"], None),
        ("Build date", ["3/2021"], {"column": "built_on", "dates": "month/year"}),
        ("Fuel", ["gas"], None),
        ("Gbx", ["manual", "auto"], None),
        ("Colour", ["red"], None),
        ("", ["x"], None),
    ],
)
def test_what_is_in_effect(header: str, cells: list[str], expected: object) -> None:
    columns = in_effect({"make": ["x"] * len(cells), header: cells})
    assert columns == {"make": "make", **({header: expected} if expected else {})}


def test_a_unit_in_a_column_of_its_own() -> None:
    cells = {"GVWR": ["4400"], "Weight unit": ["lb"]}
    assert in_effect(cells) == {"GVWR": "gvwr", "Weight unit": "weight_unit"}
    # "Unit" may be that of a stock list: nothing rests on it.
    assert in_effect({"GVWR": ["4400"], "Unit": ["lb"]}) == {}


def test_two_columns_for_one_of_ours() -> None:
    mapping, lines = drafted({"Gearbox": ["manual"], "Trans": ["auto"], "lot": ["x"]})
    assert mapping["columns"] == {"lot": "lot"}
    for header in ("Gearbox", "Trans"):
        (line,) = of_header(lines, header)
        assert "more than one column may be transmission; keep one of them" in line


def test_headers_alike(tmp_path: Path) -> None:
    (tmp_path / "cars.csv").write_text("Make,VIN,vin\nx,1M8GDM9AXKP042788,y\n", "utf-8")
    draft = towdb.draft_mapping(tmp_path / "cars.csv")
    assert tomllib.loads(draft)["columns"] == {"Make": "make"}
    assert draft.count("its header appears twice") == 2


# ---------------------------------------------------------------- what is asked


def test_what_is_not_certain_is_a_question() -> None:
    _, lines = drafted(STOCK)
    assert [line.partition("  # ")[0] for line in of_header(lines, "Curb Weight")] == [
        '"Curb Weight" = { column = "curb_weight", unit = "lb" }',
        '"Curb Weight" = { column = "curb_weight", unit = "kg" }',
    ]
    assert "3 figure(s) without a unit, 1,400 to 1,500: which unit is it?" in lines[
        lines.index(of_header(lines, "Curb Weight")[0])
    ]  # fmt: skip
    assert [line.partition("  # ")[0] for line in of_header(lines, "GVW")] == [
        '"GVW" = "gvwr"', '"GVW" = "as_weighed"',
    ]  # fmt: skip
    assert len(of_header(lines, "Built")) == 2
    (colour,) = of_header(lines, "Colour")
    assert colour.endswith('(3 car(s), 2 text(s), such as "red", "blue")')


def test_words_are_counted_and_none_is_put_in_their_place() -> None:
    box = ["M/T"] * 3 + ["manuel"] * 2 + ["auto"] + [""]
    mapping, lines = drafted({"Transmission": box})
    assert mapping["words"] == {"transmission": {}}
    assert lines == [
        '"m/t" = ""  # 3 car(s): unknown word',
        '"manuel" = ""  # 2 car(s): unknown word; did you mean manual?',
        '"auto" is read as automatic (1 car(s))',
    ]


def test_more_words_than_are_listed() -> None:
    draft = towdb.draft_mapping(pd.DataFrame({"Gearbox": [f"word {n}" for n in range(50)]}))
    assert draft.count(": unknown word") == 40
    assert "# … and 10 more text(s), each of fewer cars" in draft


def test_rows_that_are_not_counted(tmp_path: Path) -> None:
    (tmp_path / "cars.csv").write_text("Make,Colour\nx,red\ny\n", "utf-8")
    draft = towdb.draft_mapping(tmp_path / "cars.csv")
    assert "# 1 row(s) with more or fewer cells than their header are not counted" in draft


# ---------------------------------------------------------------- names, and hostile text


def test_names_are_of_our_columns_and_none_is_certain_and_doubtful() -> None:
    names = [name for several in NAMES.values() for name in several]
    assert len(names) == len(set(names))
    assert not set(names) & set(DOUBTFUL)
    columns = set(contract().candidate.columns)
    assert {*NAMES, *(column for several, _ in DOUBTFUL.values() for column in several)} <= columns
    for name in (*names, *DOUBTFUL):
        assert re.fullmatch("[a-z]+( [a-z]+)*", name)
        assert name.replace(" ", "_") not in columns


TEXTS = st.text(st.characters(exclude_characters="\x00", codec="utf-8"), max_size=9)


@settings(max_examples=by_tier(quick=10, whole=40))
@given(st.lists(TEXTS, min_size=1, max_size=4, unique_by=str.casefold), st.lists(TEXTS, max_size=3))
def test_no_text_breaks_a_draft(headers: list[str], cells: list[str]) -> None:
    words = {f"c{at}": cells for at in range(len(headers))} | {"Gearbox": cells}
    frame = pd.DataFrame(words, dtype="str")
    frame.columns = pd.Index([*headers, "Gearbox"])
    try:
        draft = towdb.draft_mapping(frame)
    except (towdb.UsageError, duckdb.Error):
        # Two headers that DuckDB takes for one.
        assert len({header.casefold() for header in frame.columns}) == len(frame.columns)
        return
    mapping = tomllib.loads(draft)
    assert mapping["columns"].get("Gearbox", "transmission") == "transmission"
    read_mapping(mapping)
