"""A screening written as a DuckDB file, which any client joins to the release."""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import duckdb
import pytest

import towdb
from tests.conftest import DEMO
from tests.reference.test_clients import ENGINES, reading

SHORTLIST, COACH = DEMO / "shortlist.csv", DEMO / "coach.toml"
# What an analyst asks first: what decides, on which page it stands.
PAGES = """\
SELECT v.candidate, v.verdict, s.permission, s.title, s.locator
FROM answer.verdict AS v
JOIN answer.car AS c USING (candidate)
JOIN answer.counted_statement AS k USING (configuration_no)
JOIN towdb_data.statement AS s USING (eligibility_id)
ORDER BY ALL"""


@pytest.fixture(scope="module")
def screening(demo_release: Path) -> Iterator[towdb.Screening]:
    with towdb.screen(SHORTLIST, coach=str(COACH), reference=demo_release) as screened:
        yield screened


@pytest.mark.parametrize("client", ENGINES)
def test_any_client_joins_verdicts_to_their_pages(
    client: str, screening: towdb.Screening, demo_release: Path, tmp_path: Path
) -> None:
    release, answer = tmp_path / "lent out.duckdb", tmp_path / "out.duckdb"
    shutil.copyfile(demo_release, release)
    screening.write(answer)
    queries = [f"ATTACH '{answer}' AS answer (READ_ONLY)", PAGES, "FROM answer.screening"]
    done = subprocess.run(
        [*reading(client), str(release)], input=json.dumps(queries),
        capture_output=True, text=True, encoding="utf-8", check=False,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    _, pages, told = json.loads(done.stdout)
    cited = screening.citations
    statements = cited[(cited["table"] == "eligibility") & (cited["check"] == "permission")]
    found = {(row[0], row[3], row[4]) for row in pages["rows"]}
    wanted = set(statements[["candidate", "title", "locator"]].itertuples(index=False, name=None))
    assert wanted <= found
    assert wanted
    assert told["rows"] == [[screening.release_id, towdb.__version__, screening.on.isoformat()]]


def test_the_verdicts_are_those_of_the_table(screening: towdb.Screening, tmp_path: Path) -> None:
    path = tmp_path / "out.duckdb"
    screening.write(path)
    with duckdb.connect(path, read_only=True) as con:
        kept = con.sql("FROM verdict").df()
    assert kept.astype(str).equals(screening.verdicts.astype(str))


def test_it_is_written_after_the_screening_was_asked(demo_release: Path, tmp_path: Path) -> None:
    path = tmp_path / "out.duckdb"
    with towdb.screen(SHORTLIST, coach=str(COACH), reference=demo_release) as screened:
        count = len(screened.sql("SELECT candidate FROM verdict"))
        for _ in range(2):
            screened.write(path)
    with duckdb.connect(path, read_only=True) as con:
        assert con.sql("SELECT COUNT(*) FROM car").fetchall() == [(count,)]
    assert list(tmp_path.iterdir()) == [path]


def test_it_takes_no_other_file_s_place(
    screening: towdb.Screening, demo_release: Path, tmp_path: Path
) -> None:
    """Neither that of its own release, nor of a database of somebody else's."""
    other = tmp_path / "stock.duckdb"
    with duckdb.connect(other) as con:
        con.execute("CREATE TABLE screening AS SELECT 'mine' AS note")
    text = tmp_path / "text.duckdb"
    text.write_text("no database")
    for path in (demo_release, other, text):
        before = path.read_bytes()
        with pytest.raises(towdb.UsageError, match="is not a towdb screening; it was not changed"):
            screening.write(path)
        assert path.read_bytes() == before


def test_a_file_that_cannot_be_written_is_told(screening: towdb.Screening, tmp_path: Path) -> None:
    with pytest.raises(towdb.UsageError, match="cannot be written"):
        screening.write(tmp_path / "no such folder" / "out.duckdb")
    assert list(tmp_path.iterdir()) == []
