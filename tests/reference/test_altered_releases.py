"""A release that was edited by hand is noticed: at once if that costs nothing, else when whole."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import duckdb
import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.typist import Typist, typist_in
from towdb.contract.model import contract
from towdb.reference.digests import digests, over_all, recorded
from towdb.reference.opening import attach
from towdb.reference.relations import DERIVED
from towdb.reference.unaltered import altered, text_tables

# What leaves the number of rows, the columns and the id as they were.
BY_HAND = {
    "statement_fact": "update towdb_data.statement_fact set checked = not checked",
    "group_weight": "update towdb_data.group_weight set low_kg = low_kg - 100",
    "weight": "update towdb_data.weight set high_lb = high_lb - 0.1",
    "leaf": "update towdb_data.leaf set leaf = 'x' where rowid = 0",
    "finding": "update towdb_data.finding set message = 'x'",
    "eligibility": "update towdb_data.eligibility set locator = 'p. 999' where rowid = 0",
}
AT_ONCE = {
    "a row less": "delete from towdb_data.override where rowid = 0",
    "a row more": "insert into towdb_data.override select * from towdb_data.override limit 1",
    "a column more": "alter table towdb_data.finding add column x integer",
    "a table less": "drop table towdb_data.override",
    "a digest": "update towdb_data.digest set digest = 'x' where table_name = 'override'",
    "the id": "update towdb_data.release set release_id = repeat('0', 64)",
    "invented": "update towdb_data.release set invented = false",
}


@pytest.fixture
def typist(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Typist:
    return typist_in(tmp_path, capsys, monkeypatch)


def edited(release: Path, path: Path, *statements: str) -> Path:
    shutil.copy(release, path)
    with duckdb.connect(str(path)) as con:
        for statement in statements:
            con.execute(statement)
    return path


def sealed(path: Path) -> None:
    """Give an edited release the digests that a build would have given it."""
    with duckdb.connect(str(path)) as con:
        (about,) = con.execute(
            "select release_id, contract_version, towdb_version, invented from towdb_data.release"
        ).fetchall()
        found = digests(con, path.stem)
        con.execute("delete from towdb_data.digest")
        con.executemany("insert into towdb_data.digest values ($1, $2, $3, $4)", found)
        con.execute("update towdb_data.release set digest = $1", [over_all(about, found)])


def findings(typist: Typist, name: str) -> list[dict[str, str]]:
    status, out, err = typist.type("check", name, "--format", "json")
    assert (status, err) == (1, "")
    told = json.loads(out)
    assert not told["ok"]
    return [found for found in told["findings"] if found["severity"] == "error"]


def test_a_release_as_it_was_built_passes(typist: Typist, demo_release: Path) -> None:
    shutil.copy(demo_release, typist.folder / "r.duckdb")
    assert "r.duckdb: 0 error(s)" in typist.good("check", "r.duckdb")
    result, folder = towdb.check(demo_release), towdb.check(DEMO / "reference")
    assert result.ok
    assert sorted(found.rule for found in result.found) == sorted(f.rule for f in folder.found)
    assert {found.file for found in result.found} == {demo_release.name}


@pytest.mark.parametrize("table", BY_HAND)
def test_check_names_the_table_that_was_edited(
    typist: Typist, demo_release: Path, table: str
) -> None:
    edited(demo_release, typist.folder / "r.duckdb", BY_HAND[table])
    found = [f for f in findings(typist, "r.duckdb") if f["rule"] == "digest"]
    assert [(f["file"], f["table"]) for f in found] == [("r.duckdb", table)]
    assert found[0]["remedy"] == "build the release again"


@pytest.mark.parametrize("table", BY_HAND)
def test_diff_compares_no_release_that_was_edited(
    typist: Typist, demo_release: Path, table: str
) -> None:
    edited(demo_release, typist.folder / "r.duckdb", BY_HAND[table])
    for pair in (("r.duckdb", demo_release), (demo_release, "r.duckdb"), ("r.duckdb", "r.duckdb")):
        said = typist.refused("diff", *pair)
        assert said.startswith("r.duckdb: was changed after it was built (table ")
        assert f"table {table} is not as it was" in said


@pytest.mark.parametrize("kind", AT_ONCE)
def test_opening_sees_what_costs_nothing_to_see(
    demo_release: Path, tmp_path: Path, kind: str
) -> None:
    path = edited(demo_release, tmp_path / "r.duckdb", AT_ONCE[kind])
    with pytest.raises(
        towdb.UsageError, match=r"was changed after it was built .*; build it again"
    ):
        towdb.open(path)


def test_rows_and_digests_that_were_made_up_together_do_not_give_the_id(
    typist: Typist, demo_release: Path
) -> None:
    sealed(edited(demo_release, typist.folder / "r.duckdb", BY_HAND["eligibility"]))
    assert {"release_id"} <= {found["rule"] for found in findings(typist, "r.duckdb")}
    assert "rows are not those of release" in typist.refused("diff", "r.duckdb", demo_release)


@pytest.mark.parametrize("table", ["statement_fact", "group_weight", "weight", "leaf"])
def test_what_is_derived_is_derived_again(typist: Typist, demo_release: Path, table: str) -> None:
    sealed(edited(demo_release, typist.folder / "r.duckdb", BY_HAND[table]))
    towdb.open(typist.folder / "r.duckdb").close()
    assert [(found["rule"], found["table"]) for found in findings(typist, "r.duckdb")] == [
        ("derived", table)
    ]


def test_of_another_towdb_it_says_what_was_not_derived_again(
    demo_release: Path, tmp_path: Path
) -> None:
    said = "update towdb_data.release set towdb_version = '0.0.9'"
    path = edited(demo_release, tmp_path / "r.duckdb", said)
    sealed(path)
    result = towdb.check(path)
    assert result.ok
    assert "compared with its digests only" in result.found[-1].message


def test_every_table_has_its_digest(demo_release: Path) -> None:
    con, release_info = attach(demo_release)
    known = recorded(con, "reference")
    names = {table.table_name for table in known}
    assert {*contract().tables, *DERIVED, "finding", "leaf", "unit", "cell", "link"} <= names
    assert len({table.digest for table in known if table.row_count}) == len(
        [table for table in known if table.row_count]
    )
    assert not list(altered(con, "reference", release_info, text_tables(con, "reference", "r")))
    con.close()


def test_a_digest_sees_each_cell_and_no_order() -> None:
    def digest(*rows: str) -> str:
        with duckdb.connect() as con:
            con.execute("create schema towdb_data")
            con.execute("create table towdb_data.t (a varchar, b varchar)")
            for row in rows:
                con.execute(f"insert into towdb_data.t values {row}")
            return digests(con, "memory")[0].digest

    one = digest("('a', 'b')", "('c', null)")
    assert one == digest("('c', null)", "('a', 'b')")
    others = [
        digest("('a', 'b')"),
        digest("('a', 'b')", "('c', '')"),
        digest("('a', 'b')", "('c', '-')"),
        digest("('ab', '')", "('c', null)"),
        digest("('a', 'b')", "('c', null)", "('c', null)"),
        digest("('b', 'a')", "('c', null)"),
    ]
    assert len({one, *others}) == 1 + len(others)
