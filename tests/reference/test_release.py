"""A release: its id says what it holds, and its views say where each fact stands."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import duckdb
import pytest

import towdb
from scripts.environment import ROOT
from tests.helpers.command import unwrapped
from tests.helpers.folders import BASE, copy_base, read_table, set_cell, to_parquet, write_table
from towdb.contract.model import contract
from towdb.reference.folder import read_folder
from towdb.reference.identity import release_id
from towdb.reference.relations import DERIVED, VIEWS, column_note, view_notes

OLDEST = ROOT / ".venv" / "oldest" / "bin" / "python"


def identity(folder: Path) -> str:
    return release_id(read_folder(folder, lambda _: None).tables)


def built(folder: Path, target: Path, interpreter: Path | str = sys.executable) -> str:
    program = "import sys, towdb; print(towdb.build(sys.argv[1], sys.argv[2]).release_id)"
    command = [str(interpreter), "-W", "error", "-c", program, str(folder), str(target)]
    return subprocess.run(
        command, capture_output=True, text=True, check=True, cwd=ROOT
    ).stdout.strip()


@pytest.fixture(scope="module")
def release(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return towdb.build(BASE, tmp_path_factory.mktemp("release") / "base.duckdb").path


# ---------------------------------------------------------------- identity


@pytest.mark.parametrize("typed", [False, True])
def test_the_id_is_the_same_from_parquet(tmp_path: Path, typed: bool) -> None:
    assert identity(to_parquet(BASE, tmp_path / "parquet", typed=typed)) == identity(BASE)


def test_the_id_is_the_same_from_shuffled_rows_and_columns(tmp_path: Path) -> None:
    folder = copy_base(tmp_path / "reference")
    for table in contract().tables:
        rows = [dict(reversed(row.items())) for row in read_table(folder, table)]
        write_table(folder, table, rows[::-1])
    assert identity(folder) == identity(BASE)


def test_the_id_is_the_same_whether_an_empty_column_is_there(tmp_path: Path) -> None:
    folder = copy_base(tmp_path / "reference")
    rows = read_table(folder, "coach")
    emptied = [{**row, "note": ""} for row in rows]
    write_table(folder, "coach", emptied)
    with_column = identity(folder)
    for row in emptied:
        del row["note"]
    write_table(folder, "coach", emptied)
    assert identity(folder) == with_column


def test_the_id_is_the_same_however_a_number_is_written(tmp_path: Path) -> None:
    folder = copy_base(tmp_path / "reference")
    rows = read_table(folder, "vehicle_property")
    row = next(i for i, row in enumerate(rows) if row["value"].isdigit())
    set_cell(folder, "vehicle_property", row, "value", rows[row]["value"] + ".00")
    assert identity(folder) == identity(BASE)


@pytest.mark.parametrize("table", contract().tables)
def test_the_id_changes_with_any_one_cell(table: str) -> None:
    text = read_folder(BASE, lambda _: None).tables[table]
    frame = text.frame
    seen = {release_id({table: text})}
    cells = 0
    for line in frame.index:
        for column in frame.columns:
            before: Any = frame.at[line, column]
            frame.loc[line, column] = "7" if before == "1" else "1"
            seen.add(release_id({table: text}))
            frame.loc[line, column] = before
            cells += 1
    assert len(seen) == 1 + cells


def test_the_id_is_the_same_from_two_processes(tmp_path: Path) -> None:
    first, second = (built(BASE, tmp_path / f"{name}.duckdb") for name in "ab")
    assert first == second == identity(BASE)


@pytest.mark.whole
def test_old_and_new_duckdb_build_the_same_and_read_each_other(tmp_path: Path) -> None:
    if not OLDEST.exists():
        pytest.skip("the environment with the oldest DuckDB is made by scripts/test.py --all")
    assert built(BASE, tmp_path / "old.duckdb", OLDEST) == built(BASE, tmp_path / "new.duckdb")
    program = (
        "import sys, duckdb\n"
        "con = duckdb.connect(sys.argv[1], read_only=True)\n"
        "for view in ('statement', 'instruction', 'weight', 'rating'):\n"
        "    print(con.execute(f'SELECT * FROM towdb_data.{view} ORDER BY ALL').fetchall())\n"
    )
    answers = {
        subprocess.run(
            [str(interpreter), "-c", program, str(tmp_path / file)],
            capture_output=True, text=True, check=True,
        ).stdout
        for interpreter in (sys.executable, OLDEST)
        for file in ("old.duckdb", "new.duckdb")
    }  # fmt: skip
    assert len(answers) == 1


# ---------------------------------------------------------------- contents


def test_a_release_says_what_it_is(release: Path) -> None:
    with towdb.open(release) as opened:
        row = opened.sql("select * from release").iloc[0]
        assert row["release_id"] == opened.release_id == identity(BASE)
        assert row["contract_version"] == contract().version
        assert row["towdb_version"] == towdb.__version__
        assert bool(row["invented"])


def test_a_release_holds_every_row_of_the_folder(release: Path) -> None:
    with duckdb.connect(str(release), read_only=True) as con:
        for name, table in contract().tables.items():
            con.execute(f"SELECT * FROM towdb_data.{name}")
            assert tuple(c[0] for c in con.description or ()) == table.columns
            assert len(con.fetchall()) == len(read_table(BASE, name))


def test_warnings_are_kept(tmp_path: Path) -> None:
    folder = copy_base(tmp_path / "reference")
    set_cell(folder, "coach", 0, "checked_by", "")
    set_cell(folder, "coach", 0, "checked_on", "")
    result = towdb.build(folder, tmp_path / "r.duckdb").check
    assert result.warnings
    with towdb.open(tmp_path / "r.duckdb") as opened:
        kept = opened.sql("select * from finding")
    assert list(kept["rule"]) == list(result.findings["rule"])
    assert set(kept["severity"]) == {"warning"}


def test_warnings_on_withdrawals_are_of_the_day_that_is_named(tmp_path: Path) -> None:
    folder = copy_base(tmp_path / "reference")
    set_cell(folder, "source", 1, "withdrawn_on", "2100-06-01")
    before, after = towdb.check(folder, on="2100-05-31"), towdb.check(folder, on="2100-06-01")
    assert before.found == towdb.check(folder).found == ()
    assert {finding.rule for finding in after.found} == {"rows_cite_sources_in_force"}
    early = towdb.build(folder, tmp_path / "early.duckdb", on="2100-05-31")
    late = towdb.build(folder, tmp_path / "late.duckdb", on="2100-06-01")
    assert (early.check.found, late.check.found) == ((), after.found)
    # What a release holds does not depend on the day on which it was built.
    assert early.release_id == late.release_id
    with pytest.raises(towdb.UsageError, match="is not a date"):
        towdb.check(folder, on="1.6.2100")
    command = [sys.executable, "-m", "towdb", "check", str(folder), "--on", "2100-06-01"]
    said = subprocess.run(command, capture_output=True, text=True, check=True, cwd=ROOT)
    assert f": 0 error(s), {len(after.found)} warning(s)" in unwrapped(said.stdout)


@pytest.mark.parametrize("name", DERIVED)
def test_every_view_is_documented_in_the_release(release: Path, name: str) -> None:
    meaning, notes = view_notes(name)
    with duckdb.connect(str(release), read_only=True) as con:
        con.execute(f"SELECT * FROM towdb_data.{name} LIMIT 0")
        columns = [c[0] for c in con.description or ()]
        comments = dict(
            con.execute(
                "SELECT column_name, comment FROM duckdb_columns() WHERE table_name = $1", [name]
            ).fetchall()
        )
    assert meaning
    assert set(notes) <= set(columns)
    assert comments == {column: column_note(name, column) for column in columns}


@pytest.mark.parametrize("name", VIEWS)
def test_every_view_keeps_key_source_and_page_of_its_fact(release: Path, name: str) -> None:
    table = {"statement": "eligibility", "weight": "vehicle_property", "rating": "coach_property"}
    with duckdb.connect(str(release), read_only=True) as con:
        con.execute(f"SELECT * FROM towdb_data.{name}")
        columns = [c[0] for c in con.description or ()]
        rows = [dict(zip(columns, row, strict=True)) for row in con.fetchall()]
        assert rows
        for row in rows:
            home = row.get("table_name") or table[name]
            key = row.get("row_key") or row[f"{home}_id"]
            con.execute(
                f"SELECT source_id, locator FROM towdb_data.{home} WHERE {home}_id = $1", [key]
            )
            assert con.fetchall() == [(row["source_id"], row["locator"])]


def test_a_statement_is_checked_only_if_everything_it_rests_on_is(tmp_path: Path) -> None:
    with towdb.open(towdb.build(BASE, tmp_path / "r.duckdb").path) as opened:
        parts = opened.sql(
            "select p.* from statement_part as p join statement as s using (eligibility_id)"
            " where s.checked"
        )
    assert {"eligibility", "vehicle_group", "source", "procedure_step", "towing_limit"} <= set(
        parts["table_name"]
    )
    first = parts.drop_duplicates("table_name")
    for table, key, statement in zip(
        first["table_name"], first["row_key"], first["eligibility_id"], strict=True
    ):
        folder = copy_base(tmp_path / f"without-{table}")
        rows = read_table(folder, table)
        for row in rows:
            if row[f"{table}_id"] == key:
                row["checked_by"] = row["checked_on"] = ""
        write_table(folder, table, rows)
        with towdb.open(towdb.build(folder, tmp_path / f"{table}.duckdb").path) as opened:
            judged = opened.sql(f"select * from statement where eligibility_id = '{statement}'")
        assert not judged["checked"].any()
        assert f"{table} {key}" in judged["awaiting"].iloc[0]


def test_a_weight_is_exact_in_kilograms_and_rounded_to_the_safe_side(tmp_path: Path) -> None:
    folder = copy_base(tmp_path / "reference")
    rows = read_table(folder, "vehicle_property")
    row = next(i for i, r in enumerate(rows) if r["property"] == "gvwr")
    for column, value in {
        "value": "2268", "unit": "kg", "also_value": "5000", "also_unit": "lb",
    }.items():  # fmt: skip
        set_cell(folder, "vehicle_property", row, column, value)
    key = rows[row]["vehicle_property_id"]
    with towdb.open(towdb.build(folder, tmp_path / "r.duckdb").path) as opened:
        weight = opened.sql(f"select * from weight where vehicle_property_id = '{key}'").iloc[0]
    # 5,000 lb is 2267.96185 kg; 2,268 kg is 5000.084… lb.
    assert str(weight["low_kg"]) == "2267.9618500000"
    assert str(weight["high_kg"]) == "2268.0000000000"
    assert (weight["low_lb"], weight["high_lb"]) == (5000.0, 5000.1)


def test_the_largest_believable_figures_do_not_overflow(tmp_path: Path) -> None:
    folder = copy_base(tmp_path / "reference")
    rows = read_table(folder, "coach_property")
    row = next(i for i, r in enumerate(rows) if r["property"] == "gcwr")
    for column, value in {
        "value": "453.59", "unit": "t", "also_value": "", "also_unit": "",
    }.items():  # fmt: skip
        set_cell(folder, "coach_property", row, column, value)
    with towdb.open(towdb.build(folder, tmp_path / "r.duckdb").path) as opened:
        found = opened.sql("select max(high_kg) as most from rating")["most"].iloc[0]
    assert str(found) == "453590.0000000000"
