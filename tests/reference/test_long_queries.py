"""Questions with long answers, and questions without end."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from textwrap import indent

import pytest

from scripts.benchmarks.timing import PEAK
from tests.conftest import DEMO, ROOT
from tests.typist import stock_file

SCREEN = ("screen", str(DEMO / "shortlist.csv"), "--coach", str(DEMO / "coach.toml"))
MEGABYTES = 700
# Runs a command line and tells its own peak.
MEASURED = (
    "import runpy, sys\n"
    "try:\n"
    "    runpy.run_module('towdb', run_name='__main__')\n"
    "finally:\n"
    f"    sys.stdout.flush()\n{indent(PEAK, '    ')}"
)
ENDLESS = {
    "recursion": "with recursive t as (select 1 as n union all select n + 1 from t)"
    " select count(*) from t",
    "streamed recursion": "with recursive t as (select 1 as n union all select n + 1 from t)"
    " from t",
    "cross join": "select count(*) from range(10000000) as a, range(10000000) as b"
    " where a.range * b.range % 7 = 3",
    "streamed cross join": "select a.range from range(10000000) as a, range(10000000) as b",
}


def environment(folder: Path) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if name != "COLUMNS"}
    return {
        **kept, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", "TMPDIR": str(folder / "tmp"),
    }  # fmt: skip


def measured(folder: Path, *parts: object) -> tuple[str, int]:
    """What a call printed, and its peak in megabytes."""
    (folder / "tmp").mkdir(exist_ok=True)
    done = subprocess.run(
        [sys.executable, "-c", MEASURED, *map(str, parts)],
        capture_output=True, text=True, encoding="utf-8", cwd=folder, check=False,
        env=environment(folder), timeout=120,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout, int(done.stderr) // 2**10


@pytest.mark.parametrize("verb", [("sql",), (*SCREEN, "--sql")], ids=["sql", "screen"])
def test_a_screen_takes_the_first_thousand(
    tmp_path: Path, demo_release: Path, verb: tuple[str, ...]
) -> None:
    query = "select * from range(10000000)"
    out, peak = measured(tmp_path, *verb, query, "--reference", demo_release)
    numbers = [line.strip() for line in out.splitlines() if line.strip().isdigit()]
    assert numbers == [str(number) for number in range(1000)]
    assert "First 1,000 rows; all of them with -o FILE.csv" in out
    assert peak < MEGABYTES


@pytest.mark.parametrize("rows", [999, 1000, 1001])
def test_it_says_so_only_where_rows_are_left(tmp_path: Path, demo_release: Path, rows: int) -> None:
    query = f"select * from range({rows})"
    out, _ = measured(tmp_path, "sql", query, "--reference", demo_release)
    assert ("First 1,000 rows" in out) is (rows > 1000)
    assert ("999\n" in out.replace(" ", "")) is (rows >= 1000)


@pytest.mark.parametrize("end", ["csv", "json"])
def test_a_file_takes_all(tmp_path: Path, demo_release: Path, end: str) -> None:
    query = "select * from range(1000000)"
    _, peak = measured(tmp_path, "sql", query, "--reference", demo_release, "-o", f"all.{end}")
    text = (tmp_path / f"all.{end}").read_text("utf-8")
    if end == "csv":
        assert text == "range\n" + "".join(f"{number}\n" for number in range(1_000_000))
    else:
        assert json.loads(text) == [{"range": number} for number in range(1_000_000)]
    assert peak < MEGABYTES


def seconds_of(process: subprocess.Popen[str]) -> float:
    """What a process has worked so far."""
    fields = Path(f"/proc/{process.pid}/stat").read_text("utf-8").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def interrupted(folder: Path, *parts: object) -> tuple[int, str, str]:
    """Start, wait until it is deep in its query, interrupt."""
    (folder / "tmp").mkdir(exist_ok=True)
    process = subprocess.Popen(
        [sys.executable, "-m", "towdb", *map(str, parts)],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=folder,
        env=environment(folder),
    )  # fmt: skip
    try:
        # All before the query takes half a second.
        while process.poll() is None and seconds_of(process) < 2.5:
            time.sleep(0.01)
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=10)
    finally:
        if process.poll() is None:
            process.kill()
            process.communicate()
    return process.returncode, out, err


def was_interrupted(status: int, out: str, err: str) -> None:
    assert (status, out) == (130, ""), err
    assert len(err.splitlines()) == 1
    assert err.startswith("towdb: interrupted; ")


@pytest.mark.skipif(not Path("/proc/self/stat").is_file(), reason="looks into /proc")
@pytest.mark.parametrize("kind", ENDLESS)
def test_ctrl_c_ends_a_question_without_end(tmp_path: Path, demo_release: Path, kind: str) -> None:
    stock_file(tmp_path)
    call = ["sql", ENDLESS[kind], "--reference", demo_release, "-o", "answer.csv"]
    if kind == "cross join":
        call += ["--table", "stock=stock.csv"]
    was_interrupted(*interrupted(tmp_path, *call))
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["stock.csv", "tmp"]


@pytest.mark.skipif(not Path("/proc/self/stat").is_file(), reason="looks into /proc")
@pytest.mark.parametrize("kind", ["recursion", "cross join"])
def test_ctrl_c_ends_a_question_to_a_screening(
    tmp_path: Path, demo_release: Path, kind: str
) -> None:
    call = (*SCREEN, "--sql", ENDLESS[kind], "--reference", demo_release)
    was_interrupted(*interrupted(tmp_path, *call))
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["tmp"]
