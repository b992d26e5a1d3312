"""`towdb inventory check`: findings by cell, counts a rule, exit status; bad inventories."""

from __future__ import annotations

import csv
import io
import json
import signal
import subprocess
import sys
from collections import Counter
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import towdb
from tests.conftest import DEMO, ROOT
from tests.helpers.command import Command, unwrapped
from tests.helpers.tier import by_tier
from towdb.contract.grammar import Fault
from towdb.contract.model import contract
from towdb.contract.typed import typed_cell, typed_mass, typed_word
from towdb.errors import FINDING_COLUMNS, DataError, Finding

SHORTLIST = DEMO / "shortlist.csv"
CANDIDATE = contract().candidate
BAD = (
    "candidate,make,model_year,transmission,gvwr,weight_unit,vin\n"
    "a,Quillon,2005,stick,4400,lb,1G4AH59H55G118341\n"
    "b,Quillon,20211,manuel,0 lb,,1G4AH59H45G118341\n"
    "b,Quillon,,,4400,,IG4AH59H45G118341\n"
    "c,Quillon\n"
)


@pytest.fixture
def type_in(type_in: Command, tmp_path: Path) -> Command:
    (tmp_path / "bad.csv").write_text(BAD, "utf-8")
    return type_in


def found(source: Any, **more: Any) -> list[Finding]:
    with towdb.check_inventory(source, **more) as checked:
        findings = [*checked.found()]
        told = Counter((f.rule, f.severity, f.column) for f in findings)
        assert told == {(c.rule, c.severity, c.column): c.findings for c in checked.counts}
        assert checked.errors == sum(f.severity == "error" for f in findings)
        assert checked.warnings == len(findings) - checked.errors
        assert checked.ok == (checked.errors == 0)
        return findings


def told(source: Any, **more: Any) -> list[tuple[int | None, str | None, str]]:
    return [(finding.line, finding.column, finding.rule) for finding in found(source, **more)]


def test_the_demo_shortlist_is_clean() -> None:
    assert found(SHORTLIST) == []


# ---------------------------------------------------------------- cell by cell

CELLS: dict[str, list[str]] = {
    "model_year": ["2021", " 2021 ", "21", "20211", "2021.0", "x", "-1", "1899", "1900", "2100"],
    "transmission": ["stick", "Manual", "manuel", "any", "not manual", "dct", "M/T"],
    "market": ["xa", "XA", "zz", "USA"],
    "options_complete": ["yes", "TRUE", "maybe"],
    "built_on": ["2021-03", "2021-03-31", "2021-02-30", "March", "1899-12-31", "2201-01"],
    "options": ["tow package", "a,,b", ",", "none"],
    "confirmed": ["a-b, c", "first series!"],
    "procedure": ["x.y", "p. 214"],
    "listed_on": ["2025-11-02", "yesterday", "2025-02-29"],
    "trim": ["Fell", "x" * 201, "a\u200bb"],
    "price": ["21900", "x" * 41, "9\u202e1"],
    "lot": ["row 3", "r\u00f6w", "x" * 81],
    "make": ["Quillon", "Br\u00e4ck", "a\x07"],
    "as_weighed": ["4400", "4400 lb", "0", "0 lb", "2 000 kg", "1 lb", "x", "4400.001 lb", "5 mph"],
    "gvwr": ["4400", "99.99 lb", "100 lb", "1000000 lb", "1000001 lb", "2t"],
    "load": ["0", "0 lb", "-1 lb"],
    "weight_unit": ["lb", "KGS", "stone", "mph"],
}
ROWS = st.lists(
    st.fixed_dictionaries(
        {column: st.sampled_from(["", " ", *cells]) for column, cells in CELLS.items()}
    ),
    min_size=1,
    max_size=8,
)


def fault_of(column: str, row: dict[str, str]) -> Fault | None:
    """What is wrong with a cell, looked at by itself."""
    text = row[column].strip()
    unit = row["weight_unit"].strip()
    known = typed_word("unit", unit) if unit else None
    if not text:
        return None
    if column == "weight_unit":
        return Fault("unit", "", "") if known is None else None
    field = CANDIDATE.field(column)
    if field.type == "weight":
        value: object = None if unit and known is None else typed_mass(text, known, field)
    else:
        value = typed_cell(field, text)
    return value if isinstance(value, Fault) else None


@settings(max_examples=by_tier(quick=8, whole=30))
@given(ROWS)
def test_each_cell_is_judged_as_by_itself(rows: list[dict[str, str]]) -> None:
    expected = Counter(
        (line, column, fault.rule, row[column])
        for line, row in enumerate(rows, start=2)
        for column in CELLS
        if (fault := fault_of(column, row)) is not None
    )
    findings = found(pd.DataFrame(rows, dtype="str"))
    assert Counter((f.line, f.column, f.rule, f.value) for f in findings) == expected
    assert [f.line for f in findings] == sorted(f.line or 0 for f in findings)
    assert {f.severity for f in findings} <= {"error"}


def test_more_distinct_texts_than_lie_in_python_at_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    frame = pd.DataFrame({"gvwr": [f"{100 + n} lb" for n in range(50)] + ["0 lb", "x"]})
    expected = told(frame)
    assert expected == [(52, "gvwr", "range"), (53, "gvwr", "type")]
    monkeypatch.setattr("towdb.intake.cells._BATCH", 7)
    assert told(frame) == expected


# ---------------------------------------------------------------- bad inventories


@pytest.mark.parametrize("content", ["", "\n\n"])
def test_an_empty_file(type_in: Command, tmp_path: Path, content: str) -> None:
    (tmp_path / "cars.csv").write_text(content, "utf-8")
    line = type_in.refused("inventory", "check", "cars.csv")
    assert line == "towdb: cars.csv: is empty; write the column names first"


def test_an_inventory_without_a_row(type_in: Command, tmp_path: Path) -> None:
    (tmp_path / "cars.csv").write_text("candidate,make,vin,gvwr\n", "utf-8")
    said = type_in("inventory", "check", "cars.csv", "--set-aside", "aside.csv")
    assert said.status == 0
    assert "cars.csv: 0 row(s), 0 error(s), 0 warning(s)" in said.out
    assert (tmp_path / "aside.csv").read_text("utf-8") == (
        "candidate,make,vin,gvwr,file,line,reason\n"
    )
    with duckdb.connect() as con:
        con.execute(f"COPY (SELECT 'x' AS make LIMIT 0) TO '{tmp_path}/cars.parquet'")
    assert found(tmp_path / "cars.parquet") == []


def test_all_weights_missing() -> None:
    assert found(pd.DataFrame({"candidate": ["a", "b"], "gvwr": [None, ""]})) == []


def test_pounds_and_kilograms_in_one_column() -> None:
    frame = pd.DataFrame(
        {"gvwr": ["4400 lb", "2000 kg", "4400", "2000", "2000 kg", "4400"],
         "weight_unit": ["", None, "lb", "kg", "lb", ""]}
    )  # fmt: skip
    assert told(frame) == [(7, "gvwr", "type")]


def test_a_weight_of_0() -> None:
    frame = pd.DataFrame({"as_weighed": ["0 lb", "0"], "load": ["0 lb", "0"], "weight_unit": "kg"})
    assert told(frame) == [(2, "as_weighed", "range"), (3, "as_weighed", "range")]


def test_duplicated_stock_numbers() -> None:
    frame = pd.DataFrame({"stock_no": ["7", " 7", "8", "9", "7 ", "9", "", None, "row 7"]})
    lines = [(line, "candidate", "unique") for line in (2, 3, 5, 6, 7, 8, 10)]
    assert told(frame) == lines


def test_a_column_named_verdict(type_in: Command, tmp_path: Path) -> None:
    (tmp_path / "cars.csv").write_text("candidate,verdict\na,suitable\n", "utf-8")
    line = type_in.refused("inventory", "check", "cars.csv")
    assert "unknown column 'verdict'" in line


def test_a_name_that_is_too_long() -> None:
    assert told(pd.DataFrame({"candidate": ["x" * 120, "y" * 121]})) == [(3, "candidate", "length")]


def test_damaged_parquet(type_in: Command, tmp_path: Path) -> None:
    path = tmp_path / "cars.parquet"
    with duckdb.connect() as con:
        con.execute(
            f"COPY (SELECT 'x' || i AS make FROM range(100000) AS t(i)) TO '{path}'"
            " (FORMAT parquet, COMPRESSION zstd)"
        )
    whole = path.read_bytes()
    path.write_bytes(whole[:200] + bytes(len(whole) // 2) + whole[200 + len(whole) // 2 :])
    line = type_in.refused("inventory", "check", path)
    assert line.startswith("towdb: cars.parquet: cannot be read")


# ---------------------------------------------------------------- the command


def test_the_table_of_findings(type_in: Command) -> None:
    said = type_in("inventory", "check", "bad.csv")
    assert (said.status, said.err) == (1, "")
    plain = unwrapped(said.out)
    for part in (
        "line 5 2 cells where the header has 7 [cells]",
        "warning line 2 · a · vin = 1G4AH59H55G118341 place 9 is 5, but the check digit is 4",
        "error line 3 · b · gvwr = 0 lb a weight is above 0 [range]",
        "error line 4 · b · gvwr = 4400",
        "unique error candidate 2",
        "vin_check_digit warning vin 1",
        "bad.csv: 4 row(s), 8 error(s), 1 warning(s)",
    ):
        assert part in plain


def test_the_findings_as_json_and_csv(type_in: Command, tmp_path: Path) -> None:
    said = type_in("inventory", "check", "bad.csv", "--format", "json")
    document = json.loads(said.out)
    assert (said.status, said.err) == (1, "")
    assert [*document] == [
        "ok", "errors", "warnings", "rows", "counts", "notes", "set_aside", "left_empty",
        "findings",
    ]  # fmt: skip
    assert document["left_empty"] is None
    assert (document["ok"], document["errors"], document["warnings"]) == (False, 8, 1)
    findings = document["findings"]
    assert all(tuple(finding) == FINDING_COLUMNS for finding in findings)
    assert sum(count["findings"] for count in document["counts"]) == len(findings) == 9
    said = type_in("inventory", "check", "bad.csv", "-o", "found.csv")
    assert (said.status, said.out) == (1, "")
    assert said.err == "bad.csv: 4 row(s), 8 error(s), 1 warning(s)\n"
    with (tmp_path / "found.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert rows == [
        {key: "" if cell is None else str(cell) for key, cell in finding.items()}
        for finding in findings
    ]


def test_warnings_alone_are_no_failure(type_in: Command, tmp_path: Path) -> None:
    (tmp_path / "cars.csv").write_text("vin\n1G4AH59H55G118341\n", "utf-8")
    said = type_in("inventory", "check", "cars.csv", "--format", "json")
    assert (said.status, json.loads(said.out)["warnings"]) == (0, 1)


def test_very_many_findings(type_in: Command, tmp_path: Path) -> None:
    (tmp_path / "cars.csv").write_text("gvwr\n" + "x\n" * 1000, "utf-8")
    said = type_in("inventory", "check", "cars.csv")
    assert "… and 800 more; all of them with -o FILE.csv or .json" in said.out
    said = type_in("inventory", "check", "cars.csv", "--format", "csv")
    assert len(list(csv.reader(io.StringIO(said.out)))) == 1001


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["no.csv"], "no.csv: cannot be read: no such file"),
        (["*.parquet"], "*.parquet: no file matches"),
        (["bad.csv", "--set-aside", "aside.json"], "ends in .csv or .parquet"),
        (["bad.csv", "--set-aside", "bad.csv"], "bad.csv: is the inventory itself"),
        (["*.csv", "--set-aside", "aside.csv"], "aside.csv: is inside the inventory folder"),
        ([".", "--set-aside", "aside.csv"], "aside.csv: is inside the inventory folder"),
        (["bad.csv", "-o", "x.csv", "--set-aside", "x.csv"], "x.csv: is named twice"),
        (["bad.csv", "-o", "x.parquet"], "x.parquet: no format 'parquet' here"),
        (["bad.csv", "--set-aside", "no/aside.csv"], "no/aside.csv: cannot be written"),
    ],
)
def test_a_call_that_is_refused(
    type_in: Command, tmp_path: Path, options: list[str], says: str
) -> None:
    assert says in type_in.refused("inventory", "check", *options)
    assert [path.name for path in tmp_path.iterdir()] == ["bad.csv"]


def test_the_folder_that_one_is_in(type_in: Command) -> None:
    assert ".: 4 row(s), 8 error(s)" in type_in("inventory", "check", ".").out


# ---------------------------------------------------------------- in Python


def test_the_facade(tmp_path: Path) -> None:
    (tmp_path / "bad.csv").write_text(BAD, "utf-8")
    with towdb.check_inventory(tmp_path / "bad.csv") as checked:
        frame = checked.findings
        assert list(frame.columns) == list(FINDING_COLUMNS)
        assert len(frame) == 9
        with pytest.raises(DataError, match=r"bad.csv has 8 error\(s\); the first: bad.csv, line"):
            checked.raise_if_failed()
        # What was not read to its end stands in nobody's way.
        assert next(checked.found()) == next(checked.found())
        assert len(checked.findings) == 9
    with towdb.check_inventory(SHORTLIST) as checked:
        checked.raise_if_failed()
        assert (len(checked.findings), checked.rows, checked.set_aside) == (0, 12, None)


def test_progress_is_told(tmp_path: Path) -> None:
    steps: list[tuple[str, int, int]] = []
    more = {"progress": lambda *step: steps.append(step)}
    assert found(SHORTLIST, **more) == []
    assert steps[0][0] == "reading shortlist.csv"
    assert {"checking gvwr", "checking candidate"} <= {name for name, _, _ in steps}
    assert all(0 <= done <= total for _, done, total in steps)


PROGRAM = """
import signal, sys
import towdb.intake.rejects as aside
from towdb.cli import main
whole = aside._faulty
def hit(*arguments):
    signal.raise_signal(signal.SIGINT)
    return whole(*arguments)
aside._faulty = hit
main()
"""


def test_ctrl_c_leaves_what_was_there(tmp_path: Path) -> None:
    (tmp_path / "bad.csv").write_text(BAD, "utf-8")
    (tmp_path / "aside.csv").write_text("what was there\n", "utf-8")
    call = ["inventory", "check", "bad.csv", "--set-aside", "aside.csv", "-o", "out.json"]
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, *call],
        capture_output=True, text=True, cwd=tmp_path, check=False, timeout=60,
        env={"PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (128 + signal.SIGINT, "")
    assert done.stderr == "towdb: interrupted; no file was left half written\n"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["aside.csv", "bad.csv"]
    assert (tmp_path / "aside.csv").read_text("utf-8") == "what was there\n"
