"""One SELECT is asked of a release or a screening; it reads no other file and changes nothing."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from pathlib import Path

import pandas as pd
import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.tier import by_tier
from tests.helpers.typist import ON, Typist, answered, content, screened, stock_file, typist_in

SCREENED = (DEMO / "shortlist.csv", "--coach", DEMO / "coach.toml", "--on", ON)
OTHER_FILES = (
    "from read_csv('{other}')",
    "from read_csv_auto('{other}')",
    "from read_csv(['{other}'])",
    "from read_text('{other}')",
    "from read_blob('{other}')",
    "from glob('*')",
    "from glob('{folder}/*')",
    "from '{other}'",
    'from "{other}"',
    "from 'other.csv'",
    "from read_json('{other}')",
    "from read_json_auto('{other}')",
    "from read_json_objects('{other}')",
    "from read_ndjson('{other}')",
    "from read_parquet('{other}')",
    "from parquet_scan('{other}')",
    "from parquet_metadata('{other}')",
    "from parquet_schema('{other}')",
    "from parquet_file_metadata('{other}')",
    "from parquet_kv_metadata('{other}')",
    "from parquet_bloom_probe('{other}', 'a', 1)",
    "from sniff_csv('{other}')",
    "from read_duckdb('{other}')",
    "from read_xlsx('{other}')",
    "from sqlite_scan('{other}', 'a')",
    "from query_table('{other}')",
    "from query('from ''{other}''')",
    "from json_execute_serialized_sql(json_serialize_sql('from ''{other}'''))",
    "from read_csv('{named}/../other.csv')",
    "from read_csv('/dev/stdin')",
    "from read_text('/proc/self/environ')",
    "from read_csv('https://example.com/a.csv')",
    "from 's3://example/a.parquet'",
)
WRITING = (
    "copy (select 1) to 'out.csv'",
    "copy release to 'out.parquet'",
    "copy (select 1) to '{named}' (use_tmp_file false)",
    "export database 'out'",
    "import database '{folder}'",
    "create table x as select 1",
    "create temp table x as select 1",
    "create or replace temp view statement as select 1 as x",
    "create macro m() as 1",
    "create schema s",
    "create type t as enum ('a')",
    "create sequence q",
    "create secret s (type http)",
    "insert into release from release",
    "update release set towdb_version = 'x'",
    "delete from release",
    "truncate release",
    "drop table release",
    "drop view statement",
    "alter table release add column x int",
    "comment on table release is 'x'",
    "merge into release using release as r on true when matched then delete",
    "attach ':memory:' as other",
    "attach '{other}' as other",
    "detach reference",
    "use memory",
    "checkpoint",
    "vacuum",
    "analyze",
    "begin",
    "commit",
    "rollback",
)
# What a SELECT can hide: a part of it that writes.
WRITING_PARTS = (
    "with a as (delete from release returning *) from a",
    "with a as (update release set towdb_version = 'x' returning *) from a",
    "with a as (insert into release from release returning *) from a",
    "with a as (copy (select 1) to 'out.csv') from a",
    "with a as (copy (select 1) to 'out.csv' (use_tmp_file false)) from a",
    "with a as (copy (select 1) to '{named}' (use_tmp_file false)) from a",
    "with a as (copy (select 1) to '{named}' (use_tmp_file false)) select count(*) from release",
    "with b as (with a as (copy (select 1) to '{named}' (use_tmp_file false)) from a) from b",
    "from json_execute_serialized_sql(json_serialize_sql("
    "'with a as (copy (select 1) to ''{named}'' (use_tmp_file false)) from a'))",
    "from query('with a as (copy (select 1) to ''{named}'' (use_tmp_file false)) from a')",
    "select (with a as (delete from release returning 1) from a)",
)
SETTING = (
    "set memory_limit = '1GB'",
    "set enable_external_access = true",
    "set lock_configuration = false",
    "set variable x = 1",
    "reset memory_limit",
    "pragma database_list",
    "pragma enable_profiling",
    "pragma table_info('release')",
    "install httpfs",
    "load httpfs",
    "load json",
    "call pragma_version()",
    "call duckdb_tables()",
    "from enable_logging()",
    "from enable_profiling()",
    "prepare p as select 1",
    "execute p",
    "deallocate p",
    # What DuckDB would do is no fact of a release, and ANALYZE does it.
    "explain select 1",
    "explain analyze select 1",
    "select getenv('HOME')",
    "select getenv('PATH')",
    "from force_checkpoint()",
)
NO_SELECT = (
    "",
    "  \n",
    ";",
    "-- only a comment",
    "/* only a comment */",
    "select",
    "sel",
    "select 1; select 2",
    "select 1; drop table release",
    "select 1;; select 2",
    "select '",
    'select "',
    "select 1 /* open",
    "select $1",
    "select $name",
    "select * from nowhere",
    "select nothing from release",
    "select cast('x' as int)",
    "select error('no')",
    "select error('no\nand no again')",
    "select " + "(" * 5000 + "1" + ")" * 5000,
    "pivot finding on rule using count(*)",
)
REFUSED = (*OTHER_FILES, *WRITING, *WRITING_PARTS, *SETTING, *NO_SELECT)


def digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


@pytest.fixture(scope="module", autouse=True)
def _release_unchanged(demo_release: Path) -> Iterator[None]:
    before = digest(demo_release)
    yield
    assert digest(demo_release) == before


@pytest.fixture(autouse=True)
def _release_untouched(demo_release: Path) -> Iterator[None]:
    before = touched(demo_release)
    yield
    assert touched(demo_release) == before


def touched(release: Path) -> dict[str, tuple[int, int, int]]:
    """Every file where the release lies: which one, how long, last written when."""
    stats = {path.name: path.stat() for path in release.parent.iterdir()}
    return {name: (s.st_ino, s.st_size, s.st_mtime_ns) for name, s in stats.items()}


@pytest.fixture
def typist(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Typist:
    stock_file(tmp_path, "named.csv")
    (tmp_path / "other.csv").write_text("a\n1\n", "utf-8")
    return typist_in(tmp_path, capsys, monkeypatch)


@pytest.fixture(scope="module")
def reference(demo_release: Path) -> Iterator[towdb.Reference]:
    with towdb.open(demo_release) as opened:
        yield opened


@pytest.fixture(scope="module")
def screening(demo_release: Path) -> Iterator[towdb.Screening]:
    with screened(demo_release) as done:
        yield done


def filled(sql: str, folder: Path) -> str:
    # Not str.format: SQL has braces of its own.
    for name, path in {
        "{other}": folder / "other.csv", "{named}": folder / "named.csv", "{folder}": folder,
    }.items():  # fmt: skip
        sql = sql.replace(name, str(path))
    return sql


def name_of(sql: str) -> str:
    return sql[:60] or "nothing"


# ---------------------------------------------------------------- refused


@pytest.mark.parametrize("sql", REFUSED[:: by_tier(quick=4, whole=1)], ids=name_of)
def test_the_command_line_refuses_in_one_line(typist: Typist, demo_release: Path, sql: str) -> None:
    query = filled(sql, typist.folder)
    call = ("sql", query, "--reference", demo_release)
    typist.refused(*call)
    typist.refused(*call, "--table", "named=named.csv", "-o", "answer.csv")


@pytest.mark.parametrize("sql", REFUSED, ids=name_of)
def test_python_refuses_of_release_and_screening(
    typist: Typist, reference: towdb.Reference, screening: towdb.Screening, sql: str
) -> None:
    query, before = filled(sql, typist.folder), content(typist.folder)
    frame = pd.DataFrame({"x": [1]})
    with pytest.raises(towdb.UsageError):
        reference.sql(query)
    with pytest.raises(towdb.UsageError):
        reference.sql(query, named="named.csv", frame=frame)
    with pytest.raises(towdb.UsageError):
        screening.sql(query)
    assert content(typist.folder) == before


@pytest.mark.parametrize(
    "sql",
    [OTHER_FILES[0], WRITING[0], WRITING_PARTS[3], SETTING[1], *NO_SELECT[:3], NO_SELECT[7]],
    ids=name_of,
)
def test_the_command_line_refuses_of_a_screening(
    typist: Typist, demo_release: Path, sql: str
) -> None:
    query = filled(sql, typist.folder)
    # An empty text is a question that was asked, too.
    typist.refused("screen", *SCREENED, "--reference", demo_release, "--sql", query)


AT_MODULE_LEVEL = pd.DataFrame({"x": [1]})


def test_no_variable_of_the_program_is_a_table(
    reference: towdb.Reference, screening: towdb.Screening
) -> None:
    here = pd.DataFrame({"x": [1]})
    assert len(here) == 1
    for name in ("here", "AT_MODULE_LEVEL", "REFUSED"):
        for ask in (reference.sql, screening.sql):
            with pytest.raises(towdb.UsageError, match=f"(?i){name}"):
                ask(f"from {name}")


def test_no_secret_is_listed(reference: towdb.Reference, screening: towdb.Screening) -> None:
    for ask in (reference.sql, screening.sql):
        listed = answered(ask, "from duckdb_secrets()")
        assert listed is None or listed.empty


# ---------------------------------------------------------------- parameters


def test_a_parameter_is_only_a_value(reference: towdb.Reference) -> None:
    text = "1; drop table release; --'"
    assert list(reference.rows("select $1 as x", [text]).rows) == [(text,)]
    assert list(reference.rows("select count(*) from release where release_id = $1", [text]).rows)
    for query, values in (
        ("select $1", []),
        ("select $1", [1, 2]),
        ("select $1", [object()]),
        ("from query($1)", ["select 1; select 2"]),
        ("from read_csv($1)", [str(DEMO / "shortlist.csv")]),
        ("select 1; select $1", [1]),
    ):
        with pytest.raises(towdb.UsageError):
            reference.rows(query, values)


@pytest.mark.parametrize("query", ["select '\udcff'", 'select 1 as "\udcff"', "\udcff"])
def test_what_is_no_text_is_refused(typist: Typist, demo_release: Path, query: str) -> None:
    # So comes a byte that is no UTF-8 from a shell.
    typist.refused("sql", query, "--reference", demo_release)
    typist.refused("screen", *SCREENED, "--reference", demo_release, "--sql", query)


# ---------------------------------------------------------------- answered


@pytest.mark.parametrize(
    "sql",
    [
        "select 1;", "select 1; -- and that is all", "values (1)", "from release", "table release",
        "select 1 union all select 2", "describe release", "show tables", "summarize release",
        "with recursive t as (select 1 as n union all select n + 1 from t where n < 9) from t",
        "pivot finding on severity in ('warning') using count(*)", "\ufeffselect 1",
        "select 'with a as (delete from release) select 1'",
        "select 1 as \"delete\", 'copy x to y' as \"COPY_QUERY_NODE\"",
    ],
    ids=name_of,
)  # fmt: skip
def test_what_only_reads_is_answered(
    reference: towdb.Reference, screening: towdb.Screening, sql: str
) -> None:
    assert len(reference.sql(sql)) > 0
    assert len(screening.sql(sql)) > 0


def test_an_answer_stays_whole_when_another_is_asked(reference: towdb.Reference) -> None:
    answer = reference.rows("select * from range(100000)")
    first = next(answer.rows)
    assert list(reference.rows("select 7").rows) == [(7,)]
    rest = answered(list, answer.rows)
    assert rest is None or [first, *rest] == [(i,) for i in range(100_000)]


def test_what_fails_on_the_way_writes_nothing(typist: Typist, demo_release: Path) -> None:
    query = "select if(range = 300000, error('no'), range) from range(400000)"
    for end in ("csv", "json"):
        said = typist.refused("sql", query, "--reference", demo_release, "-o", f"answer.{end}")
        assert "no" in said


def test_what_is_closed_says_so(demo_release: Path) -> None:
    reference, screening = towdb.open(demo_release), screened(demo_release)
    reference.close()
    screening.close()
    for ask in (reference.sql, screening.sql):
        for query in ("select 1", "from verdict"):
            with pytest.raises(towdb.UsageError):
                ask(query)
