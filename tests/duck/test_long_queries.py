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

import pandas as pd
import pytest

import towdb
from scripts.benchmarks.timing import PEAK
from tests.conftest import DEMO, ROOT
from tests.helpers.tier import by_tier
from tests.helpers.typist import Typist, screened, stock_file, typist_in
from towdb.cli import options

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


@pytest.fixture
def typist(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Typist:
    return typist_in(tmp_path, capsys, monkeypatch)


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


@pytest.mark.whole
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


# ---------------------------------------------------------------- limits


@pytest.mark.parametrize("kind", ENDLESS)
def test_a_time_limit_ends_a_question_without_end(
    tmp_path: Path, demo_release: Path, kind: str
) -> None:
    says = r"ended at its time limit of 0\.1 s; allow more \(--time-limit"
    frame = pd.DataFrame({"x": [1]})
    with towdb.open(demo_release, time_limit_s=0.1) as reference:
        for tables in ({}, {"own": frame}):
            with pytest.raises(towdb.UsageError, match=says):
                reference.sql(ENDLESS[kind], **tables)
            # What was ended leaves nothing behind that would end the next query.
            assert reference.sql("select count(*) as n from release", **tables)["n"].tolist() == [1]
    with screened(demo_release) as screening:
        with pytest.raises(towdb.UsageError, match=says):
            screening.sql(ENDLESS[kind], time_limit_s=0.1)
        assert len(screening.sql("select * from verdict"))


def test_the_command_line_tells_it_in_one_line(typist: Typist, demo_release: Path) -> None:
    for call in (("sql", ENDLESS["recursion"]), (*SCREEN, "--sql", ENDLESS["recursion"])):
        limited = (*call, "--reference", demo_release, "--time-limit", "0.1", "-o", "answer.csv")
        assert "time limit of 0.1 s" in typist.refused(*limited)


def test_a_time_limit_counts_what_the_query_works_only(demo_release: Path) -> None:
    """Who reads an answer slowly is not cut off: no time passes between the rows."""
    with towdb.open(demo_release, time_limit_s=3600) as reference:
        rows = reference.rows("select * from range(30000)").rows
        assert [number for (number,) in rows] == list(range(30000))


def test_a_limit_of_the_command_line_is_there_unasked(
    demo_release: Path, monkeypatch: pytest.MonkeyPatch, typist: Typist
) -> None:
    monkeypatch.setattr(options, "TIME_LIMIT_S", 0.1)
    for call in (("sql", ENDLESS["recursion"]), (*SCREEN, "--sql", ENDLESS["recursion"])):
        assert "time limit of 0.1 s" in typist.refused(*call, "--reference", demo_release)


# What DuckDB cannot lay on disk meanwhile.
BIG = "select len(list(range)) from range(30000000)"


def test_a_memory_limit_is_told(typist: Typist, demo_release: Path) -> None:
    says = "more memory than its limit of 60MB; allow more (--memory-limit"
    stock_file(typist.folder)
    for call in (("sql", BIG), ("sql", BIG, "--table", "own=stock.csv")):
        limited = (*call, "--reference", demo_release, "--memory-limit", "60MB")
        assert says in typist.refused(*limited)
    query = "select current_setting('memory_limit') as held"
    with screened(demo_release) as screening:
        assert screening.sql(query, memory_limit="700MiB")["held"].tolist() == ["700.0 MiB"]
        with pytest.raises(towdb.UsageError, match="with the first query"):
            screening.sql(query, memory_limit="800MiB")


@pytest.mark.parametrize(
    ("option", "text"),
    [
        ("--time-limit", "0"), ("--time-limit", "-1"), ("--time-limit", "nan"),
        ("--time-limit", "inf"), ("--time-limit", "soon"), ("--memory-limit", "0GB"),
        ("--memory-limit", "2"), ("--memory-limit", "80%"), ("--memory-limit", "much"),
    ],
)  # fmt: skip
def test_a_limit_that_is_none_is_refused(
    typist: Typist, demo_release: Path, option: str, text: str
) -> None:
    said = typist.refused("sql", "select 1", option, text, "--reference", demo_release)
    assert "limit" in said


@pytest.mark.parametrize("limit", [("--time-limit", "1e300"), ("--memory-limit", "1kB"),
                                   ("--memory-limit", "999999999TB")])  # fmt: skip
def test_a_limit_of_any_size(typist: Typist, demo_release: Path, limit: tuple[str, str]) -> None:
    for call in (("sql", "select 1 as one"), (*SCREEN, "--sql", "select 1 as one")):
        status, out, err = typist.type(*call, "--reference", demo_release, *limit)
        assert (status, len(err.splitlines())) in ((0, 0), (2, 1)), err
        assert bool(out) == (status == 0)
        assert status == 0 or "memory" in err


def test_limits_are_of_a_query(typist: Typist, demo_release: Path) -> None:
    for limit in (("--time-limit", "5"), ("--memory-limit", "2GB")):
        assert "go with --sql" in typist.refused(*SCREEN, "--reference", demo_release, *limit)


# ---------------------------------------------------------------- Ctrl-C


@pytest.mark.skipif(not Path("/proc/self/stat").is_file(), reason="looks into /proc")
@pytest.mark.parametrize("kind", [*ENDLESS][:: by_tier(quick=2, whole=1)])
def test_ctrl_c_ends_a_question_without_end(tmp_path: Path, demo_release: Path, kind: str) -> None:
    stock_file(tmp_path)
    call = ["sql", ENDLESS[kind], "--reference", demo_release, "-o", "answer.csv"]
    if kind == "cross join":
        call += ["--table", "stock=stock.csv"]
    was_interrupted(*interrupted(tmp_path, *call))
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["stock.csv", "tmp"]


@pytest.mark.whole
@pytest.mark.skipif(not Path("/proc/self/stat").is_file(), reason="looks into /proc")
@pytest.mark.parametrize("kind", ["recursion", "cross join"])
def test_ctrl_c_ends_a_question_to_a_screening(
    tmp_path: Path, demo_release: Path, kind: str
) -> None:
    call = (*SCREEN, "--sql", ENDLESS[kind], "--reference", demo_release)
    was_interrupted(*interrupted(tmp_path, *call))
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["tmp"]
