"""The other engines: a PostgreSQL server, and one Spark session in an environment of its own."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import psycopg
import pytest

from scripts.environment import ROOT
from tests.helpers import postgres
from tests.helpers.shop import require_postgres

PROGRAM = ROOT / "tests" / "helpers" / "spark_side.py"
SPARK = ROOT / ".venv" / "spark" / "bin" / "python"


class Spark:
    """A process with a session, which is asked in a line of JSON and answers in one.

    `folder` is where it runs.
    """

    def __init__(self, process: subprocess.Popen[str], folder: Path) -> None:
        self.process, self.folder = process, folder

    def ask(self, do: str, **asked: Any) -> dict[str, Any]:
        """What it answers; what it fails at fails here."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(json.dumps({"do": do, **asked}, default=str) + "\n")
        self.process.stdin.flush()
        line = self.process.stdout.readline()
        assert line, (self.folder / "log").read_text("utf-8", "replace")[-4000:]
        told: dict[str, Any] = json.loads(line)
        assert "failed" not in told, told["failed"]
        return told


def lacking(what: str) -> None:
    """Skip; where all must be there, fail."""
    if os.environ.get("CI") == "true":
        pytest.fail(what)
    pytest.skip(what)


@pytest.fixture(scope="session")
def spark(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Spark]:
    """The one session of all tests: to start it takes longer than most of them."""
    if shutil.which("java") is None:
        lacking("there is no Java; on Debian: apt-get install default-jre-headless")
    if not SPARK.exists():
        lacking("the environment with PySpark is made by scripts/test.py --all")
    folder = tmp_path_factory.mktemp("spark")
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"}
    with (folder / "log").open("w", encoding="utf-8") as errors, subprocess.Popen(
        [str(SPARK), str(PROGRAM), str(folder)], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        stderr=errors, text=True, encoding="utf-8", cwd=folder, env=environment,
    ) as process:  # fmt: skip
        yield Spark(process, folder)
        # Its standard input ends here, and with it the session.


@pytest.fixture(scope="session")
def postgresql() -> Iterator[psycopg.Connection[Any]]:
    """A database of the tests' own."""
    require_postgres()
    with (
        postgres.server() as address,
        psycopg.connect(address.format(database="postgres"), autocommit=True) as con,
    ):
        # To compile the nested cases of one verdict takes minutes; nothing interrupts it.
        con.execute("SET jit = off")
        yield con
