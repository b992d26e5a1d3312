"""Inventories as they come: files, patterns, partitioned folders, frames and relations."""

from __future__ import annotations

import csv
import shutil
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd
import polars
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import towdb
from tests.conftest import DEMO
from tests.helpers.tier import by_tier
from tests.reference.test_named_tables import Stream
from towdb.errors import UsageError
from towdb.intake.candidates import InventoryRows, load_candidates
from towdb.intake.load import _VIEWED

SHORTLIST = DEMO / "shortlist.csv"
COACH = DEMO / "coach.toml"
ON = "2026-01-31"
with SHORTLIST.open(encoding="utf-8", newline="") as stream:
    CARS = list(csv.DictReader(stream))
Cells = list[dict[str, str]]


def loaded(source: Any, **more: Any) -> tuple[InventoryRows, Cells]:
    """What was read: the cells that are not empty, row by row."""
    with duckdb.connect(config={"python_enable_replacements": False}) as con:
        typed = load_candidates(con, source, **more)
        con.execute("SELECT * EXCLUDE (candidate_no) FROM inventory_rows ORDER BY candidate_no")
        columns = [column[0] for column in con.description or ()]
        rows = [
            {c: cell for c, cell in zip(columns, row, strict=True) if cell is not None}
            for row in con.fetchall()
        ]
    return typed, rows


def write_csv(path: Path, rows: Sequence[dict[str, str]], columns: Sequence[str] = ()) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, list(columns or rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    return path


def write_parquet(path: Path, select: str) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    with duckdb.connect() as con:
        con.execute(f"COPY ({select}) TO '{path}' (FORMAT parquet)")
    return path


def as_parquet(source: Path) -> Path:
    read = f"SELECT * FROM read_csv('{source}', all_varchar = true, hive_partitioning = false)"
    return write_parquet(source.with_suffix(".parquet"), read)


def full(rows: Sequence[dict[str, str]]) -> Cells:
    return [{column: cell for column, cell in row.items() if cell} for row in rows]


def refused(source: Any, **more: Any) -> str:
    with pytest.raises(UsageError) as error:
        loaded(source, **more)
    return str(error.value)


# ---------------------------------------------------------------- many files


@settings(
    max_examples=by_tier(quick=4, whole=15),
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.lists(st.tuples(st.integers(0, 4), st.booleans()), min_size=1, max_size=5))
def test_a_folder_holds_what_one_file_held(tmp_path: Path, split: list[tuple[int, bool]]) -> None:
    folder = tmp_path / "stock"
    shutil.rmtree(folder, ignore_errors=True)
    at = 0
    for number, (count, is_parquet) in enumerate(split):
        path = write_csv(folder / f"{number}.csv", CARS[at : at + count], list(CARS[0]))
        at += count
        if is_parquet:
            as_parquet(path)
            path.unlink()
    typed, rows = loaded(folder)
    assert rows == full(CARS[:at])
    assert typed.notes == []
    assert loaded(folder / "*.*")[1] == rows


def test_places_of_rows_in_many_files(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text('candidate,lot\na,"two\nlines"\n\nb,x\nc,x\n', "utf-8")
    write_csv(tmp_path / "b.csv", [{"candidate": name} for name in "de"])
    as_parquet(write_csv(tmp_path / "c.csv", [{"candidate": name} for name in "fg"]))
    (tmp_path / "c.csv").unlink()
    typed, rows = loaded(tmp_path)
    assert [row["candidate"] for row in rows] == [*"abcdefg"]
    assert [typed.place(number) for number in range(1, 8)] == [
        ("a.csv", 2), ("a.csv", 5), ("a.csv", 6),
        ("b.csv", 2), ("b.csv", 3), ("c.parquet", 2), ("c.parquet", 3),
    ]  # fmt: skip


def test_more_files_than_one_query_reads_at_once(tmp_path: Path) -> None:
    one = as_parquet(write_csv(tmp_path / "one.csv", [{"make": "Quillon"}]))
    for number in range(_VIEWED + 1):
        folder = tmp_path / "stock" / f"lot={number:03}"
        folder.mkdir(parents=True)
        shutil.copyfile(one, folder / "part.parquet")
    typed, rows = loaded(tmp_path / "stock")
    assert [row["lot"] for row in rows] == [f"{number:03}" for number in range(_VIEWED + 1)]
    assert typed.kind == "TABLE"


def test_partitions_give_columns(tmp_path: Path) -> None:
    for year in ("2020", "2021"):
        for make in ("Quillon", "Bräck%20Wä%2Fter"):
            place = tmp_path / "stock" / f"model_year={year}" / f"make={make}"
            write_csv(place / "part.csv", [{"stock_no": f"{year} {make}"}])
    nothing = tmp_path / "stock" / "model_year=__HIVE_DEFAULT_PARTITION__" / "make=Quillon"
    as_parquet(write_csv(nothing / "part.csv", [{"stock_no": "no year"}]))
    (nothing / "part.csv").unlink()
    _, rows = loaded(tmp_path / "stock")
    told = sorted((row.get("model_year", ""), row["make"]) for row in rows)
    assert told == [
        ("", "Quillon"), ("2020", "Bräck Wä/ter"), ("2020", "Quillon"),
        ("2021", "Bräck Wä/ter"), ("2021", "Quillon"),
    ]  # fmt: skip
    # What the person typed of the path counts too, where it is a column of ours.
    for pattern in ("model_year=2020/**/*.csv", "model_year=2020/make=Quillon/*.csv"):
        _, rows = loaded(tmp_path / "stock" / pattern)
        assert {row["model_year"] for row in rows} == {"2020"}
        assert all("make" in row for row in rows)


def test_what_duckdb_partitions_is_read_back(tmp_path: Path) -> None:
    with duckdb.connect() as con:
        con.execute(
            f"COPY (FROM read_csv('{SHORTLIST}', all_varchar = true)) TO '{tmp_path}/stock'"
            " (FORMAT parquet, PARTITION_BY (make, model_year))"
        )
    _, rows = loaded(tmp_path / "stock")
    assert sorted(map(str, (sorted(row.items()) for row in rows))) == sorted(
        map(str, (sorted(row.items()) for row in full(CARS)))
    )


def test_many_rows_are_handed_over_as_few_are(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    texts = ["", " ", "a\x00b", "\U0001f697", "nan", "None", '"', "\r\n", "0"] * 2
    odd = [{"lot": text, "price": text[::-1]} for text in texts]
    path = write_csv(tmp_path / "cars.csv", odd)
    typed, rows = loaded(path)
    assert rows == full(odd)
    lines = [typed.place(number) for number in range(1, len(rows) + 1)]
    monkeypatch.setattr("towdb.intake.load._FEW", 0)
    monkeypatch.setattr("towdb.intake.load._BATCH", 4)
    typed, again = loaded(path)
    assert again == rows
    assert [typed.place(number) for number in range(1, len(rows) + 1)] == lines


def test_a_partition_with_a_missing_column(tmp_path: Path) -> None:
    write_csv(tmp_path / "a.csv", [{"candidate": "a", "gvwr": "4000 lb"}])
    write_csv(tmp_path / "b.csv", [{"candidate": "b"}])
    as_parquet(write_csv(tmp_path / "c.csv", [{"candidate": "c"}]))
    (tmp_path / "c.csv").unlink()
    typed, rows = loaded(tmp_path)
    assert [row.get("gvwr") for row in rows] == ["4000 lb", None, None]
    assert typed.notes == [
        "column gvwr is not in b.csv, c.parquet (2 of 3 files): its cells are empty there"
    ]


def test_what_else_lies_in_a_folder(tmp_path: Path) -> None:
    write_csv(tmp_path / "cars.csv", [{"candidate": "a"}])
    for name in ("_SUCCESS", ".cars.csv.crc", "_old/cars.csv", ".hidden/cars.csv"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text("nothing\n", "utf-8")
    (tmp_path / "read me.txt").write_text("nothing\n", "utf-8")
    typed, rows = loaded(tmp_path)
    assert rows == [{"candidate": "a"}]
    assert [note.partition(": ")[2] for note in typed.notes] == [
        "left aside, not CSV, Parquet or XLSX: read me.txt"
    ]


def test_a_pattern_that_matches_nothing(tmp_path: Path) -> None:
    told = refused(tmp_path / "*.parquet")
    assert told == f"{tmp_path}/*.parquet: no file matches; check the path, and put it in quotes"


def test_a_file_is_named_before_a_pattern(tmp_path: Path) -> None:
    write_csv(tmp_path / "a.csv", [{"candidate": "another"}])
    write_csv(tmp_path / "[a].csv", [{"candidate": "this"}])
    assert loaded(tmp_path / "[a].csv")[1] == [{"candidate": "this"}]


def test_a_column_in_the_file_and_in_its_folder(tmp_path: Path) -> None:
    write_csv(tmp_path / "stock" / "make=Quillon" / "a.csv", [{"make": "Bessarin"}])
    assert "make is in the file and in the name of its folder" in refused(tmp_path / "stock")


def test_an_unknown_partition_is_an_unknown_column(tmp_path: Path) -> None:
    write_csv(tmp_path / "stock" / "run=5" / "a.csv", [{"make": "Quillon"}])
    assert "a.csv, its folders: unknown column 'run'" in refused(tmp_path / "stock")
    typed, rows = loaded(tmp_path / "stock", mapping={"columns": {"run": "lot"}})
    assert rows == [{"make": "Quillon", "lot": "5"}]
    assert loaded(tmp_path / "stock" / "run=5")[1] == [{"make": "Quillon"}]
    assert loaded(tmp_path / "stock" / "run=5" / "*.csv")[1] == [{"make": "Quillon"}]
    assert typed.notes == []


def test_faults_of_all_files_are_told(tmp_path: Path) -> None:
    write_csv(tmp_path / "a.csv", [{"modle": "x"}])
    (tmp_path / "b.csv").write_bytes(b"\xff\xfe")
    write_csv(tmp_path / "c.csv", [{"make": "x"}])
    first, second = refused(tmp_path).splitlines()
    assert "a.csv, line 1: unknown column 'modle'; did you mean model?" in first
    assert "not UTF-8" in second


# ---------------------------------------------------------------- Parquet of other types


def test_parquet_of_other_types(tmp_path: Path) -> None:
    path = write_parquet(
        tmp_path / "cars.parquet",
        "SELECT 7::BIGINT AS candidate, 2021::SMALLINT AS model_year"
        ", 4400.50::DECIMAL(9,2) AS gvwr"
        ", 3000.0::DOUBLE AS curb_weight, 'lb'::ENUM('lb', 'kg') AS weight_unit,"
        " true AS options_complete, TIMESTAMP '2021-03-04' AS built_on,"
        " DATE '2025-01-02' AS listed_on, 19900::UINTEGER AS price",
    )
    with towdb.check_inventory(path) as checked:
        assert [*checked.found()] == []
    assert loaded(path)[1] == [
        {
            "candidate": "7", "model_year": "2021", "gvwr": "4400.50", "curb_weight": "3000",
            "weight_unit": "lb", "options_complete": "true", "built_on": "2021-03-04",
            "listed_on": "2025-01-02", "price": "19900",
        }
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("value", "kind"),
    [
        ("['tow package']", "VARCHAR[]"),
        ("{'a': 1}", "STRUCT(a INTEGER)"),
        ("MAP {'a': 1}", "MAP(VARCHAR, INTEGER)"),
        ("'abc'::BLOB", "BLOB"),
    ],
)
def test_parquet_of_types_that_are_no_text(tmp_path: Path, value: str, kind: str) -> None:
    path = write_parquet(tmp_path / "cars.parquet", f"SELECT {value} AS options, 1 AS candidate")
    told = refused(path)
    assert told == f"cars.parquet: column options is of type {kind}; write it as text"
    # A column of other people's may hold what it likes.
    typed, rows = loaded(path, mapping={"columns": {"options": ""}})
    assert (typed.columns, rows) == (["candidate"], [{"candidate": "1"}])


def test_a_parquet_type_that_means_nothing_is_told_by_cell(tmp_path: Path) -> None:
    path = write_parquet(
        tmp_path / "cars.parquet",
        "SELECT DATE '2021-01-01' AS model_year, 1 AS drivetrain, 2.5 AS listed_on",
    )
    with towdb.check_inventory(path) as checked:
        told = [(finding.column, finding.value, finding.rule) for finding in checked.found()]
    assert told == [
        ("drivetrain", "1", "word"), ("listed_on", "2.5", "type"),
        ("model_year", "2021-01-01", "type"),
    ]  # fmt: skip


# ---------------------------------------------------------------- frames and relations


def verdicts(source: Any, release: Path, **more: Any) -> list[dict[str, Any]]:
    with towdb.screen(source, coach=COACH, reference=release, on=ON, **more) as screening:
        return screening.records("verdict")


def test_every_way_in_gives_the_same_verdicts(tmp_path: Path, demo_release: Path) -> None:
    expected = verdicts(SHORTLIST, demo_release)
    assert len({row["verdict"] for row in expected}) == 3
    copy = tmp_path / "cars.csv"
    shutil.copyfile(SHORTLIST, copy)
    frame = pd.read_csv(copy, dtype="str", keep_default_na=False)
    assert verdicts(frame, demo_release) == expected
    assert verdicts(as_parquet(copy), demo_release) == expected
    copy.unlink()
    assert verdicts(tmp_path, demo_release) == expected
    assert verdicts(str(tmp_path / "*.parquet"), demo_release) == expected
    with duckdb.connect() as con:
        relation = con.sql(f"FROM '{tmp_path}/cars.parquet'")
        assert verdicts(relation, demo_release) == expected
        # It is still there, and is read anew.
        assert relation.limit(1).fetchall()
    # Of DuckDB's own connection, too.
    assert verdicts(duckdb.sql(f"FROM '{tmp_path}/cars.parquet'"), demo_release) == expected


def test_arrow_tables(demo_release: Path) -> None:
    expected = verdicts(SHORTLIST, demo_release)
    assert verdicts(Stream(pd.DataFrame(CARS)), demo_release) == expected
    # A stream that can be read only once, too.
    once = Stream(pd.DataFrame(CARS)).__arrow_c_stream__()
    assert verdicts(once, demo_release) == expected


def test_frames_of_polars_without_pyarrow(
    demo_release: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    expected = verdicts(SHORTLIST, demo_release)
    text = polars.read_csv(SHORTLIST, infer_schema=False)
    typed = polars.read_csv(SHORTLIST, try_parse_dates=True).with_columns(
        polars.col("make").cast(polars.Categorical),
        polars.col("model_year").cast(polars.Decimal(20, 4)),
    )
    for frame in (text, typed):
        assert verdicts(frame, demo_release) == expected
        assert towdb.weights(frame, by="lot").cars == len(CARS)
        assert towdb.gaps(frame, reference=demo_release).cars == len(CARS)
    with towdb.open(demo_release) as reference:
        # A stream that was read once would be empty the second time.
        twice = reference.sql(
            "select count(*) as n from (from cars union all from cars)", cars=text
        )
    assert twice["n"].tolist() == [2 * len(CARS)]


@pytest.mark.parametrize(
    ("column", "says"),
    [
        (polars.Series("lot", [["a"]]), "column lot is of type VARCHAR[]; write it as text"),
        (
            polars.Series("lot", [{"a": 1}]),
            "column lot is of type STRUCT(a BIGINT); write it as text",
        ),
        (polars.Series("lot", [b"a"]), "column lot is of type BLOB; write it as text"),
    ],
)
def test_columns_of_polars_that_are_no_text(column: polars.Series, says: str) -> None:
    assert refused(polars.DataFrame([column])) == f"shortlist: {says}"


def test_a_frame_that_is_not_yet_one() -> None:
    assert "a LazyFrame is not a shortlist; give a path, a DataFrame" in refused(
        polars.LazyFrame({"make": ["x"]})
    )


def test_an_arrow_stream_that_breaks() -> None:
    class Broken:
        asked = 0

        def __arrow_c_stream__(self, requested_schema: object = None) -> object:
            self.asked += 1
            if self.asked > 1:
                raise ValueError("the stream was read")
            return Stream(pd.DataFrame(CARS)).__arrow_c_stream__(requested_schema)

    assert "shortlist: cannot be read" in refused(Broken())


def test_a_relation_that_cannot_be_read() -> None:
    with duckdb.connect() as con:
        con.execute("CREATE TABLE cars AS SELECT 'x' AS make")
        relation = con.table("cars")
        con.execute("DROP TABLE cars")
        assert "the relation: cannot be read" in refused(relation)


@pytest.mark.parametrize("source", [None, 5, ["cars.csv"], {"make": ["x"]}, object()])
def test_what_is_no_inventory(source: object) -> None:
    with pytest.raises(UsageError, match=r"give a path|name an inventory"):
        towdb.check_inventory(source)
