"""Any DuckDB client reads a release: Python's oldest and newest, and Node's, see the same rows."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

import pytest

import towdb
from scripts.environment import ROOT, node_modules
from tests.reference.clients.read_views import plain
from towdb.contract.model import contract
from towdb.reference.relations import VIEWS, column_note, view_notes
from towdb.reference.release_info import METADATA

pytestmark = pytest.mark.whole

PROGRAMS = Path(__file__).parent / "clients"
OLDEST = ROOT / ".venv" / "oldest" / "bin" / "python"


class Question(NamedTuple):
    """What an analyst asks first, in words and in SQL."""

    asks: str
    sql: str


QUESTIONS = [
    Question(
        "How often does each make permit or forbid that a coach tows its cars on four wheels?",
        """\
SELECT make, permission, count(*) AS statements
FROM towdb_data.statement
WHERE checked AND towing_method = 'four_wheels_down' AND purpose IN ('recreational', 'any')
GROUP BY ALL
ORDER BY ALL""",
    ),
    Question(
        "Which limits hold for a Quillon Pika, and on which page does each stand?",
        """\
SELECT s.model_year_from, s.transmission, s.purpose, i.what, i.value, i.unit, i.locator, d.title
FROM towdb_data.instruction AS i
JOIN towdb_data.statement AS s USING (eligibility_id)
JOIN towdb_data.source AS d ON d.source_id = i.source_id
WHERE s.make = 'Quillon' AND s.model = 'Pika' AND s.checked AND i.sort = 'limit'
ORDER BY ALL""",
    ),
    Question(
        "Which is the heaviest car of each make, by its gross rating?",
        """\
SELECT make, model, model_year_from, value, unit, high_kg, high_lb, locator, title
FROM towdb_data.weight
WHERE checked AND property = 'gvwr'
QUALIFY high_kg = max(high_kg) OVER (PARTITION BY make)
ORDER BY ALL""",
    ),
]

# Each client, and the oldest engine that it may have.
ENGINES = {"oldest": (1, 5), "newest": (2,), "node": (1, 5)}
RELATIONS = (*VIEWS, *contract().tables, *METADATA)


STATE = (
    "SELECT version(), readonly FROM duckdb_databases() WHERE database_name = current_database()"
)
TABLES = "SELECT table_name, comment FROM duckdb_tables() WHERE schema_name = 'towdb_data'"
COLUMNS = """\
SELECT table_name, column_name, data_type, comment FROM duckdb_columns()
WHERE schema_name = 'towdb_data' ORDER BY table_name, column_index"""


def whole(relation: str) -> str:
    return f"SELECT * FROM towdb_data.{relation} ORDER BY ALL"


QUERIES = [STATE, TABLES, COLUMNS, *map(whole, RELATIONS), *(q.sql for q in QUESTIONS)]


@dataclass(frozen=True)
class Answer:
    """What a query gave: decimals and dates as text, other cells as JSON has them."""

    names: list[str]
    types: list[str]
    rows: list[list[Any]]


@dataclass(frozen=True)
class Client:
    """A client, the release that it read, and its answer to each of `QUERIES`."""

    name: str
    release: Path
    answers: dict[str, Answer]


def reading(name: str) -> list[str]:
    """The command that reads a release with this client, or a skip that says what is missing."""
    if name == "node":
        try:
            packages = node_modules(PROGRAMS)
        except SystemExit as missing:
            pytest.skip(str(missing))
        return [shutil.which("node") or "node", str(PROGRAMS / "read_views.mjs"), str(packages)]
    if name == "oldest" and not OLDEST.exists():
        pytest.skip("the environment with the oldest DuckDB is made by scripts/test.py --all")
    interpreter = OLDEST if name == "oldest" else sys.executable
    return [str(interpreter), "-W", "error", str(PROGRAMS / "read_views.py")]


@pytest.fixture(scope="module", params=ENGINES)
def client(
    request: pytest.FixtureRequest, demo_release: Path, tmp_path_factory: pytest.TempPathFactory
) -> Client:
    command = reading(request.param)
    # In a folder of its own, where what a client leaves behind shows, and under another name than
    # the one it was built with, on which no view may lean.
    release = tmp_path_factory.mktemp(request.param) / "lent out.duckdb"
    shutil.copyfile(demo_release, release)
    done = subprocess.run(
        [*command, str(release)], input=json.dumps(QUERIES),
        capture_output=True, text=True, encoding="utf-8", check=False,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    answers = (Answer(**answer) for answer in json.loads(done.stdout))
    return Client(request.param, release, dict(zip(QUERIES, answers, strict=True)))


@pytest.fixture(scope="module")
def expected(demo_release: Path) -> dict[str, Answer]:
    """What towdb itself answers; it gives no types, those stand in the release."""
    answers = {}
    with towdb.open(demo_release) as reference:
        for query in QUERIES:
            frame = reference.sql(query)
            # Without this, pandas tells of a missing cell in a number's column as NaN.
            cells = frame.astype(object).where(frame.notna(), None)
            rows = [[plain(cell) for cell in row] for row in cells.itertuples(index=False)]
            answers[query] = Answer(list(frame.columns), [], rows)
    return answers


def test_the_engine_is_of_the_age_it_stands_for_and_opens_read_only(client: Client) -> None:
    ((version, readonly),) = client.answers[STATE].rows
    numbers = tuple(int(number) for number in re.findall(r"\d+", version))
    assert numbers >= ENGINES[client.name]
    assert client.name != "oldest" or numbers < ENGINES["newest"]
    assert readonly is True


def test_reading_leaves_the_file_as_it_was(client: Client, demo_release: Path) -> None:
    before, after = (
        hashlib.sha256(path.read_bytes()).hexdigest() for path in (demo_release, client.release)
    )
    assert before == after
    assert list(client.release.parent.iterdir()) == [client.release]


@pytest.mark.parametrize("relation", RELATIONS)
def test_every_client_reads_the_rows_that_towdb_reads(
    client: Client, expected: dict[str, Answer], relation: str
) -> None:
    answer, told = client.answers[whole(relation)], expected[whole(relation)]
    assert answer.names == told.names
    assert answer.rows == told.rows
    assert told.rows
    declared = [row[2] for row in expected[COLUMNS].rows if row[0] == relation]
    assert answer.types == declared


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.asks)
def test_every_client_answers_an_analyst_alike(
    client: Client, expected: dict[str, Answer], question: Question
) -> None:
    answer, told = client.answers[question.sql], expected[question.sql]
    assert answer.names == told.names
    assert answer.rows == told.rows
    assert told.rows


def test_every_client_sees_what_each_table_and_view_means(client: Client) -> None:
    tables = dict(client.answers[TABLES].rows)
    views = {name: tables[name] for name in VIEWS}
    assert views == {name: view_notes(name)[0] for name in VIEWS}
    assert {name: tables[name] for name in contract().tables} == {
        name: table.meaning for name, table in contract().tables.items()
    }
    assert all(views.values())


@pytest.mark.parametrize("relation", RELATIONS)
def test_every_client_sees_what_each_column_means(client: Client, relation: str) -> None:
    comments = {row[1]: row[3] for row in client.answers[COLUMNS].rows if row[0] == relation}
    assert list(comments) == client.answers[whole(relation)].names
    assert comments == {column: column_note(relation, column) for column in comments}
    assert all(comments.values())
