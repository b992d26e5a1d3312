"""Tables of one's own beside a release: files and frames by name, and what is refused of them."""

from __future__ import annotations

import csv
import json
import os
import shutil
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd
import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.folders import BASE
from tests.helpers.typist import Typist, answered, content, stock_file, typist_in

STOCK = [("s1", "Quillon", "Pika", 2021), ("s2", "Bessarin", "Lowan", 2020),
         ("s3", "Nobody", "Nothing", 2021), ("s4", "Quillon", "Pika", 1950)]  # fmt: skip
COLUMNS = ["stock_no", "make", "model", "year"]
JOIN = (
    "select k.stock_no, s.eligibility_id from stock as k join statement as s"
    " on s.make = k.make and s.model = k.model"
    " and k.year between s.model_year_from and s.model_year_to"
)
NAMES = (
    "a*b", "a?b", "[x]", "x[!a]", "a]b", "**", "a{1,2}", "it's", 'say "so"', "two words", " lead",
    "grün", "東京", "שלום", "a\\b", "~x", "$HOME", "a%20b", "-x", "a:b", "a#b", "a;b", "a=b",
    "line\nbreak", "*" * 40,
)  # fmt: skip


class Stream:
    """A table as Arrow's C stream, whichever library made it."""

    def __init__(self, frame: pd.DataFrame) -> None:
        self._con = duckdb.connect()
        self._con.register("frame", frame)

    def __arrow_c_stream__(self, requested_schema: object = None) -> object:
        return self._con.table("frame").__arrow_c_stream__(requested_schema)


@pytest.fixture(scope="module")
def reference(demo_release: Path) -> Iterator[towdb.Reference]:
    with towdb.open(demo_release) as opened:
        yield opened


@pytest.fixture
def typist(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Typist:
    return typist_in(tmp_path, capsys, monkeypatch)


@pytest.fixture(scope="module")
def other_release(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return towdb.build(BASE, tmp_path_factory.mktemp("other") / "other.duckdb").path


def frame() -> pd.DataFrame:
    return pd.DataFrame(STOCK, columns=COLUMNS)


def write(path: Path, table: pd.DataFrame) -> Path:
    if path.suffix == ".csv":
        table.to_csv(path, index=False)
    else:
        # A plain name first: the pattern characters of the last one are the matter under test.
        with duckdb.connect() as con:
            con.register("frame", table)
            con.execute(f"COPY frame TO '{path.parent}/plain.parquet' (FORMAT parquet)")
        (path.parent / "plain.parquet").rename(path)
    return path


def in_every_shape(folder: Path, table: pd.DataFrame) -> dict[str, Any]:
    return {
        "CSV": write(folder / "stock.csv", table),
        "Parquet": str(write(folder / "stock.parquet", table)),
        "frame": table,
        "Arrow": Stream(table),
    }


# ---------------------------------------------------------------- answered


def test_every_shape_joins_as_plain_python_says(reference: towdb.Reference, tmp_path: Path) -> None:
    statements = reference.sql("select * from statement").to_dict("records")
    expected = Counter(
        (number, s["eligibility_id"])
        for number, make, model, year in STOCK
        for s in statements
        if (s["make"], s["model"]) == (make, model)
        and s["model_year_from"] <= year <= s["model_year_to"]
    )
    assert {number for number, _ in expected} == {"s1", "s2"}
    for shape, table in in_every_shape(tmp_path, frame()).items():
        found = reference.sql(JOIN, stock=table)
        assert Counter(found.itertuples(index=False, name=None)) == expected, shape


def test_the_command_line_answers_as_python(
    typist: Typist, reference: towdb.Reference, demo_release: Path
) -> None:
    shapes = in_every_shape(typist.folder, frame())
    query = f"{JOIN} order by all"
    expected = reference.sql(query, stock=shapes["CSV"]).to_dict("records")
    assert expected
    for file in ("stock.csv", shapes["Parquet"], "./stock.parquet"):
        call = ("sql", query, "--table", f"stock={file}", "--reference", demo_release)
        assert json.loads(typist.good(*call, "--format", "json")) == expected
    two = ("--table", "a=stock.csv", "--table", "b=stock.parquet", "--reference", demo_release)
    assert typist.good("sql", "select count(*) as n from a natural join b", *two, "--format", "csv")


@pytest.mark.parametrize("end", ["csv", "parquet"])
@pytest.mark.parametrize("name", NAMES, ids=ascii)
def test_a_file_of_any_name(
    typist: Typist, demo_release: Path, reference: towdb.Reference, name: str, end: str
) -> None:
    path = write(typist.folder / f"{name}.{end}", frame())
    # What a pattern would find as well.
    for other in ("aXb", "x", "b", "a1"):
        write(typist.folder / f"{other}.{end}", pd.DataFrame({"wrong": [1]}))
    assert reference.sql("from stock", stock=path).equals(frame())
    told = typist.good(
        "sql", "from stock", "--table", f"stock={path.name}", "--reference", demo_release,
        "--format", "csv",
    )  # fmt: skip
    assert len(list(csv.reader(told.splitlines()))) == 1 + len(STOCK)


@pytest.mark.parametrize("end", ["csv", "parquet"])
def test_the_name_of_a_folder_is_no_column(
    reference: towdb.Reference, tmp_path: Path, end: str
) -> None:
    folder = tmp_path / "year=1999"
    folder.mkdir()
    assert list(reference.sql("from s", s=write(folder / f"s.{end}", frame())).columns) == COLUMNS
    bare = frame().drop(columns="year")
    found = reference.sql("from s", s=write(folder / f"t.{end}", bare))
    assert list(found.columns) == COLUMNS[:3]


# Words of SQL, and names that DuckDB has for its own.
@pytest.mark.parametrize(
    "name",
    ["stock", "_", "a1", "x" * 200, "order", "select", "table", "all", "columns", "tables", "views",
     "schemata", "main", "memory", "temp", "reference", "towdb_data", "query", "self",
     "parameters"],
)  # fmt: skip
def test_a_table_of_any_name(reference: towdb.Reference, tmp_path: Path, name: str) -> None:
    path = write(tmp_path / "stock.csv", frame())
    shapes: dict[str, Any]
    for shapes in ({name: path}, {name: frame()}):
        assert len(reference.sql(f'select * from "{name}"', **shapes)) == len(STOCK)
        assert len(reference.sql("select * from towdb_data.release", **shapes)) == 1


def test_a_link_leads_to_its_file(reference: towdb.Reference, tmp_path: Path) -> None:
    (tmp_path / "link.csv").symlink_to(write(tmp_path / "stock.csv", frame()))
    assert len(reference.sql("from s", s=tmp_path / "link.csv")) == len(STOCK)


def test_tables_are_there_for_one_question_only(reference: towdb.Reference) -> None:
    assert len(reference.sql("from stock", stock=frame())) == len(STOCK)
    with pytest.raises(towdb.UsageError, match="stock"):
        reference.sql("from stock")


# ---------------------------------------------------------------- refused


def relations(reference: towdb.Reference) -> list[str]:
    here = "where schema_name = 'towdb_data'"
    return list(
        reference.sql(
            f"select table_name as name from duckdb_tables() {here} union"
            f" select view_name from duckdb_views() {here} order by name"
        )["name"]
    )


def test_no_relation_of_the_release_is_replaced(
    typist: Typist, reference: towdb.Reference, demo_release: Path
) -> None:
    path = stock_file(typist.folder)
    names = relations(reference)
    assert {"statement", "release", "finding", "leaf", "statement_fact"} <= set(names)
    for number, name in enumerate(names):
        table = path if number % 2 else frame()
        with pytest.raises(towdb.UsageError, match=f"table {name}: the release has one"):
            reference.sql("select 1", **{name: table})
    for name in ("statement", "release", "leaf", "STATEMENT"):
        call = ("sql", "select 1", "--table", f"{name}=stock.csv", "--reference", demo_release)
        assert "the release has one" in typist.refused(*call)


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ("stock=nowhere.csv", "no such file"),
        ("stock=folder.csv", "is a folder"),
        ("stock=.", "csv or .parquet"),
        ("stock=stock.txt", "csv or .parquet"),
        ("stock=stock", "csv or .parquet"),
        ("stock=*.csv", "no such file"),
        ("stock=https://example.com/a.csv", "no such file"),
        ("stock=", "NAME=PATH"),
        ("=stock.csv", "NAME=PATH"),
        ("stock.csv", "NAME=PATH"),
        ("1a=stock.csv", "small letters"),
        ("a-b=stock.csv", "small letters"),
        ("a b=stock.csv", "small letters"),
        ('a"b=stock.csv', "small letters"),
        ("a;b=stock.csv", "small letters"),
        ("größe=stock.csv", "small letters"),
        ("stock=garbage.parquet", "garbage.parquet"),
        ("stock=empty.parquet", "empty.parquet"),
        ("stock=garbage.csv", "garbage.csv"),
        ("stock=latin.csv", "latin.csv"),
    ],
)
def test_what_is_no_table_is_refused(
    typist: Typist, demo_release: Path, given: str, says: str
) -> None:
    stock_file(typist.folder)
    (typist.folder / "folder.csv").mkdir()
    (typist.folder / "stock.txt").write_text("a\n1\n", "utf-8")
    for name in ("garbage.parquet", "garbage.csv"):
        (typist.folder / name).write_bytes(bytes(range(256)) * 20)
    (typist.folder / "empty.parquet").touch()
    (typist.folder / "latin.csv").write_bytes("make\nGrünwald\n".encode("latin-1"))
    said = typist.refused("sql", "select 1", "--table", given, "--reference", demo_release)
    assert says in said


def test_a_name_twice_is_refused(typist: Typist, demo_release: Path) -> None:
    stock_file(typist.folder)
    for second in ("stock", "Stock"):
        said = typist.refused(
            "sql", "select 1", "--table", "stock=stock.csv", "--table", f"{second}=stock.csv",
            "--reference", demo_release,
        )  # fmt: skip
        assert "twice" in said


@pytest.mark.parametrize(
    "thing",
    [None, 3, True, "", b"stock.csv", [1], {"a": [1]}, object(), pd.DataFrame()],
    ids=lambda thing: type(thing).__name__,
)
def test_what_is_no_frame_is_refused(reference: towdb.Reference, thing: Any) -> None:
    with pytest.raises(towdb.UsageError, match="table stock"):
        reference.sql("select 1", stock=thing)


def test_the_named_file_is_only_read(
    typist: Typist, reference: towdb.Reference, demo_release: Path
) -> None:
    for path in (stock_file(typist.folder), write(typist.folder / "s.parquet", frame())):
        before = content(typist.folder)
        for to in (f"'{path}'", f"'{path}' (use_tmp_file false)", "stock"):
            for query in (
                f"copy (select 1) to {to}",
                f"with a as (copy (select 1) to {to}) from a",
                f"with a as (copy stock to {to}) select count(*) from stock",
            ):
                with pytest.raises(towdb.UsageError):
                    reference.sql(query, stock=path)
                call = ("sql", query, "--table", f"stock={path}", "--reference", demo_release)
                typist.refused(*call)
        assert content(typist.folder) == before


def test_a_frame_is_only_read(reference: towdb.Reference) -> None:
    stock = frame()
    for query in (
        "with a as (delete from stock returning *) from a",
        "with a as (insert into stock from stock returning *) from a",
        "with a as (update stock set year = 1 returning *) from a",
    ):
        with pytest.raises(towdb.UsageError):
            reference.sql(query, stock=stock)
    assert stock.equals(frame())


def test_a_file_that_vanishes_is_told_or_answered_whole(
    reference: towdb.Reference, tmp_path: Path
) -> None:
    path = tmp_path / "stock.csv"
    for spoil in (Path.unlink, lambda gone: os.truncate(gone, 4)):
        path.write_text("n\n" + "1\n" * 300_000, "utf-8")
        answer = reference.rows("from stock", stock=path)
        spoil(path)
        rows = answered(list, answer.rows)
        assert rows is None or len(rows) == 300_000


def test_the_release_may_be_gone(demo_release: Path, tmp_path: Path) -> None:
    copy = Path(shutil.copy(demo_release, tmp_path / "copy.duckdb"))
    with towdb.open(copy) as reference:
        copy.unlink()
        stock = pd.DataFrame({"x": [1]})
        found = answered(reference.sql, "from release, stock", stock=stock)
        assert found is None or len(found) == 1


# ---------------------------------------------------------------- a release that was replaced


def test_a_reference_answers_from_one_file_only(
    demo_release: Path, other_release: Path, tmp_path: Path
) -> None:
    path = Path(shutil.copy(demo_release, tmp_path / "r.duckdb"))
    asked = "select release_id, (select count(*) from eligibility) as n from release"
    with towdb.open(path) as reference:
        before = reference.sql(asked)
        # As a build replaces it: by a rename, while the old file is open.
        Path(shutil.copy(other_release, tmp_path / "new.duckdb")).replace(path)
        pd.testing.assert_frame_equal(reference.sql(asked), before)
        shortlist, coach = DEMO / "shortlist.csv", DEMO / "coach.toml"
        for ask in (
            lambda: reference.sql(asked, own=frame()),
            lambda: towdb.show(reference, "Quillon"),
            lambda: towdb.screen(shortlist, coach=coach, reference=reference),
            lambda: towdb.gaps(reference=reference),
            lambda: towdb.weights(shortlist, reference=reference),
        ):
            with pytest.raises(towdb.UsageError) as refused:
                ask()
            said = (
                f"{path}: was replaced after it was opened as release {reference.release_id[:12]}"
            )
            assert str(refused.value) == f"{said}; open it again"
    with towdb.open(path) as reference:
        assert reference.sql(asked, own=frame())["release_id"][0] != before["release_id"][0]


def test_a_release_that_was_built_again_is_the_same(demo_release: Path, tmp_path: Path) -> None:
    path = Path(shutil.copy(demo_release, tmp_path / "r.duckdb"))
    with towdb.open(path) as reference:
        Path(shutil.copy(demo_release, tmp_path / "new.duckdb")).replace(path)
        assert len(reference.sql("select * from own", own=frame())) == len(STOCK)
