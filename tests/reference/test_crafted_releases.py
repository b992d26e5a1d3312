"""A release is somebody's file: whatever else than tables lies in it is refused, and never run."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import duckdb
import pandas as pd
import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.typist import Typist, content, typist_in
from towdb.spark import read_call

SHORTLIST = DEMO / "shortlist.csv"
COACH = DEMO / "coach.toml"
SECRET = "what only the owner of this machine may read"
# A SELECT that writes a file wherever it is run, from DuckDB 2 on.
WRITES = (
    "select * from json_execute_serialized_sql(json_serialize_sql("
    "'with a as (copy (select 1) to ''{home}/written'' (use_tmp_file false)) select * from a'))"
)
READS = "(select content from read_text('{home}/secret'))"
IN_PLACE = "alter table towdb_data.{name} rename to other_{name}"
CRAFTED = {
    "a view in place of the release": (
        "view release",
        IN_PLACE.format(name="release"),
        f"create view towdb_data.release as select * from towdb_data.other_release, ({WRITES})",
    ),
    "a view in place of coaches": (
        "view coach",
        IN_PLACE.format(name="coach"),
        f"create view towdb_data.coach as select * replace ({READS} as name)"
        " from towdb_data.other_coach",
    ),
    "a view in place of a derived table": (
        "view statement",
        IN_PLACE.format(name="statement"),
        "create view towdb_data.statement as select * from towdb_data.other_statement",
    ),
    "a view in another schema": ("view extra", f"create view main.extra as {WRITES}"),
    "a macro that stands for a function": (
        "macro lower",
        f"create macro towdb_data.lower(x) as {READS}",
    ),
    "a macro that gives a table": (
        "macro extra",
        f"create macro towdb_data.extra() as table {WRITES}",
    ),
    "a default": (
        "column coach.name VARCHAR",
        "alter table towdb_data.coach alter name set default (getvariable('x'))",
    ),
    "a computed column": (
        "column extra.b INTEGER",
        "create table towdb_data.extra (a integer, b integer generated always as (a + 1))",
    ),
    "an index on an expression": (
        "index extra",
        "create index extra on towdb_data.finding ((lower(message)))",
    ),
    "a sequence": ("sequence extra", "create sequence towdb_data.extra"),
    "a type": ("type extra", "create type towdb_data.extra as enum ('a')"),
    "a column of many values": (
        "column extra.a INTEGER[]",
        "create table towdb_data.extra (a integer[])",
    ),
    "a column of an odd name": (
        'column extra.a" b INTEGER',
        'create table towdb_data.extra ("a"" b" integer)',
    ),
    "a table that nobody knows": (
        "table towdb_data.extra",
        "create table towdb_data.extra as select 1 as x",
    ),
    "a table in another schema": (
        "table main.release",
        "create table main.release as from towdb_data.release",
    ),
}  # fmt: skip


@pytest.fixture
def home(tmp_path: Path) -> Path:
    folder = tmp_path / "home"
    folder.mkdir()
    (folder / "secret").write_text(SECRET, "utf-8")
    return folder


@pytest.fixture
def typist(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Typist:
    return typist_in(tmp_path, capsys, monkeypatch)


def crafted(release: Path, path: Path, home: Path, statements: tuple[str, ...]) -> Path:
    shutil.copy(release, path)
    with duckdb.connect(str(path)) as con:
        for statement in statements:
            con.execute(statement.replace("{home}", str(home)))
    # A view that was bound when it was created may have run then.
    (home / "written").unlink(missing_ok=True)
    return path


def in_python(path: Path) -> dict[str, Callable[[], object]]:
    return {
        "open": lambda: towdb.open(path),
        "screen": lambda: towdb.screen(SHORTLIST, coach=COACH, reference=path),
        "on record": lambda: towdb.screen(coach=COACH, reference=path, years=2021),
        "show": lambda: towdb.show(path, "Quillon"),
        "gaps": lambda: towdb.gaps(reference=path),
        "weights": lambda: towdb.weights(SHORTLIST, reference=path),
        "diff": lambda: towdb.diff(path, path),
        "check": lambda: towdb.check(path),
        "Spark": lambda: read_call(path, COACH),
    }


@pytest.mark.parametrize("kind", CRAFTED)
def test_what_could_run_is_refused_by_every_verb(
    demo_release: Path, tmp_path: Path, home: Path, kind: str
) -> None:
    says, *statements = CRAFTED[kind]
    path = crafted(demo_release, tmp_path / "r.duckdb", home, tuple(statements))
    before = content(home)
    for verb, ask in in_python(path).items():
        with pytest.raises(towdb.UsageError) as refused:
            ask()
        told = str(refused.value)
        assert told.startswith(f"{path}: contains "), verb
        assert says in told, verb
        assert "build it again with: towdb build" in told, verb
        assert SECRET not in told, verb
        assert len(told.splitlines()) == 1
    assert content(home) == before


@pytest.mark.parametrize("kind", ["a view in place of the release", "a view in place of coaches"])
def test_the_command_line_refuses_it_in_one_line(
    demo_release: Path, typist: Typist, home: Path, kind: str
) -> None:
    says, *statements = CRAFTED[kind]
    crafted(demo_release, typist.folder / "r.duckdb", home, tuple(statements))
    named = ("--reference", "r.duckdb")
    for call in (
        ("sql", "select 1", *named),
        ("sql", "select 1", "--table", f"stock={SHORTLIST}", *named),
        ("screen", SHORTLIST, "--coach", COACH, *named),
        ("screen", SHORTLIST, "--coach", COACH, "--sql", "select 1", *named),
        ("show", "Quillon", *named),
        ("gaps", *named),
        ("weights", SHORTLIST, *named),
        ("diff", "r.duckdb", demo_release),
        ("diff", demo_release, "r.duckdb"),
        ("check", "r.duckdb"),
    ):
        assert says in typist.refused(*call), call


def test_a_release_that_is_replaced_is_not_run(
    demo_release: Path, tmp_path: Path, home: Path
) -> None:
    _, *statements = CRAFTED["a view in place of the release"]
    path = crafted(demo_release, tmp_path / "r.duckdb", home, tuple(statements))
    before = content(tmp_path)
    with pytest.raises(towdb.UsageError, match="is not a towdb release; it was not changed"):
        towdb.build(DEMO / "reference", path)
    assert content(tmp_path) == before


def test_an_answer_that_is_replaced_is_not_run(
    demo_release: Path, tmp_path: Path, home: Path
) -> None:
    path = tmp_path / "answer.duckdb"
    with duckdb.connect(str(path)) as con:
        con.execute(
            "create view main.screening as select 'x' as release_id, * from"
            f" ({WRITES.replace('{home}', str(home))})"
        )
    (home / "written").unlink(missing_ok=True)
    before = content(tmp_path)
    with (
        towdb.screen(SHORTLIST, coach=COACH, reference=demo_release) as screening,
        pytest.raises(towdb.UsageError, match="is not a towdb screening; it was not changed"),
    ):
        screening.write(path)
    assert content(tmp_path) == before


def test_a_release_holds_plain_tables_only(demo_release: Path) -> None:
    with duckdb.connect(str(demo_release), read_only=True) as con:
        for kind in ("views", "functions", "indexes", "sequences", "types"):
            con.execute(
                f"select * from duckdb_{kind}() where database_name = $1"
                + (" and not internal" if kind == "types" else ""),
                [demo_release.stem],
            )
            assert con.fetchall() == [], kind
        con.execute("select distinct column_default from duckdb_columns()")
        assert con.fetchall() == [(None,)]


def test_an_earlier_build_is_told_to_build_again(demo_release: Path, tmp_path: Path) -> None:
    """Until releases had digests they had views too; neither is opened."""
    path = Path(shutil.copy(demo_release, tmp_path / "r.duckdb"))
    with duckdb.connect(str(path)) as con:
        con.execute("drop table towdb_data.digest")
        con.execute("alter table towdb_data.release drop column digest")
    with pytest.raises(towdb.UsageError, match=r"earlier towdb.*build it again with: towdb build"):
        towdb.open(path)


@pytest.mark.parametrize("setting", ["enable_external_access", "autoload_known_extensions"])
def test_nothing_is_fetched_for_a_query(demo_release: Path, setting: str) -> None:
    frame = pd.DataFrame({"x": [1]})
    query = f"select current_setting('{setting}') as it, current_setting('lock_configuration') as l"
    with (
        towdb.open(demo_release) as reference,
        towdb.screen(SHORTLIST, coach=COACH, reference=demo_release) as screening,
    ):
        for asked in (
            reference.sql(query), reference.sql(f"{query} from t", t=frame), screening.sql(query)
        ):  # fmt: skip
            assert asked.iloc[0].tolist() == [False, True]
