"""Answers of the analyst's verbs: never over what is read, never half, and told before the work."""

from __future__ import annotations

import re
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import duckdb
import pytest

from tests.conftest import DEMO, ROOT
from tests.helpers.command import Command
from tests.helpers.tier import by_tier
from tests.intake.test_files import write_parquet

resource = pytest.importorskip("resource", reason="signals and limits are those of POSIX")

OLD = b"what was there before\n"
LIMIT = 10_000
NOTHING_HALF = "towdb: interrupted; no file was left half written\n"
VERBS = {
    "check": ("inventory", "check", "cars.csv"),
    "weights": ("weights", "cars.csv"),
    "gaps": ("gaps", "cars.csv", "--reference", "demo.duckdb"),
    "screen": ("screen", "cars.csv", "--coach", "coach.toml", "--reference", "demo.duckdb"),
    "summary": (
        "screen", "cars.csv", "--coach", "coach.toml", "--reference", "demo.duckdb", "--summary",
    ),
}  # fmt: skip


@pytest.fixture
def desk(tmp_path: Path, demo_release: Path) -> Path:
    """A folder with what a call reads, and with an answer of yesterday of every form."""
    shutil.copyfile(demo_release, tmp_path / "demo.duckdb")
    for source, name in (("shortlist.csv", "cars.csv"), ("coach.toml", "coach.toml")):
        shutil.copyfile(DEMO / source, tmp_path / name)
    for end in ("csv", "json", "txt", "parquet", "html", "svg"):
        (tmp_path / f"old.{end}").write_bytes(OLD)
    (tmp_path / "taken.csv").mkdir()
    (tmp_path / "taken.svg").mkdir()
    return tmp_path


def content(folder: Path) -> dict[str, bytes]:
    files = (path for path in folder.rglob("*") if path.is_file())
    return {str(path.relative_to(folder)): path.read_bytes() for path in files}


# ---------------------------------------------------------------- refused before the work

PLACES = [
    (["-o", "cars.csv"], "cars.csv: is the inventory itself"),
    (["-o", "taken.csv/../cars.csv"], "cars.csv: is the inventory itself"),
    (["-o", "no/out.csv"], "no/out.csv: cannot be written (its folder does not exist)"),
    (["-o", "cars.csv/out.csv"], "cars.csv/out.csv: cannot be written"),
    (["-o", "taken.csv"], "taken.csv: is a folder"),
    (["-o", "out.xlsx"], "out.xlsx: no format 'xlsx' here"),
    (["-o", "out"], "out: no format '' here"),
    (["-o", ""], "an empty text is not a path"),
    (["-o", "x" * 300 + ".csv"], "cannot be written (File name too long)"),
]


@pytest.mark.parametrize(("options", "says"), PLACES)
@pytest.mark.parametrize("verb", VERBS)
def test_a_place_that_is_refused(
    type_in: Command, desk: Path, monkeypatch: pytest.MonkeyPatch, verb: str, options: list[str],
    says: str,
) -> None:  # fmt: skip
    before = content(desk)
    # What is read may be millions of cars.
    monkeypatch.setattr("towdb.intake.load.load", lambda *_: pytest.fail("cars were read"))
    assert says in type_in.refused(*VERBS[verb], *options)
    assert content(desk) == before


@pytest.mark.parametrize(
    ("verb", "options", "says"),
    [
        ("weights", ["--plot", "no/p.png"], "no/p.png: cannot be written"),
        ("weights", ["--plot", "taken.svg"], "taken.svg: is a folder"),
        ("summary", ["--plot", "cars.csv/p.png"], "cars.csv/p.png: cannot be written"),
        ("summary", ["--plot", "p.svg", "-o", "no/out.html"], "no/out.html: cannot be written"),
        ("summary", ["--plot", "cars.csv"], "ends in .png or .svg"),
        ("screen", ["-o", "demo.duckdb"], "demo.duckdb: is read by this call"),
        ("screen", ["-o", "link.duckdb"], "link.duckdb: is read by this call"),
        ("screen", ["-o", "a.csv", "--set-aside", "taken.csv/../a.csv"], "a.csv: is named twice"),
        ("screen", ["--set-aside", "cars.csv"], "cars.csv: is the inventory itself"),
        ("check", ["--set-aside", "aside.csv", "-o", "no/out.csv"], "no/out.csv: cannot be"),
    ],
)
def test_two_answers_of_one_call(
    type_in: Command, desk: Path, verb: str, options: list[str], says: str
) -> None:
    (desk / "link.duckdb").symlink_to("demo.duckdb")
    before = content(desk)
    assert says in type_in.refused(*VERBS[verb], *options)
    assert content(desk) == before


def test_findings_do_not_take_the_place_of_a_table(type_in: Command, desk: Path) -> None:
    shutil.copytree(DEMO / "reference", desk / "reference")
    before = content(desk)
    line = type_in.refused("check", "reference", "-o", "reference/source.csv")
    assert line.endswith("source.csv: is read by this call; name another file")
    assert content(desk) == before


def test_an_answer_does_not_become_a_part_of_the_inventory(type_in: Command, desk: Path) -> None:
    (desk / "stock").mkdir()
    shutil.copyfile(desk / "cars.csv", desk / "stock" / "cars.csv")
    for inventory in ("stock", "stock/*.csv"):
        line = type_in.refused("weights", inventory, "-o", "stock/weights.csv")
        assert line.endswith(
            "stock/weights.csv: is inside the inventory folder; write to another folder"
        )
    # What no verb takes for cars may lie there.
    assert type_in("weights", "stock", "-o", "stock/weights.json").status == 0
    assert "left aside" in type_in("weights", "stock").err


# ---------------------------------------------------------------- a full disk


def run(desk: Path, program: str, call: tuple[str, ...]) -> subprocess.CompletedProcess[str]:
    """Run a program and then the command line, in a process of its own."""
    laid = desk / "laid"
    laid.mkdir(exist_ok=True)
    # Python itself would leave what it compiles cut short, and fail to load it ever after.
    own = {"PYTHONPATH": str(ROOT), "TMPDIR": str(laid), "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(
        [sys.executable, "-c", f"{program}\nfrom towdb.__main__ import main\nmain()", *call],
        capture_output=True, text=True, cwd=desk, check=False, timeout=120,
        env=own,
    )  # fmt: skip
    assert list(laid.iterdir()) == []
    return done


# No file may grow beyond this: DuckDB and Python fail to write as they do on a full disk.
FULL = (
    "import resource, signal\n"
    "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
    f"resource.setrlimit(resource.RLIMIT_FSIZE, ({LIMIT}, {LIMIT}))\n"
)
WRITTEN = [
    (("inventory", "check", "many.csv", "--set-aside", "old.csv"), "old.csv"),
    (("inventory", "check", "many.csv", "--set-aside", "old.parquet"), "old.parquet"),
    (("inventory", "check", "many.csv", "-o", "old.json"), "old.json"),
    (("weights", "cars.csv", "--plot", "old.svg"), "old.svg"),
    ((*VERBS["summary"], "-o", "old.html"), "old.html"),
    ((*VERBS["summary"][:1], "many.csv", *VERBS["summary"][2:-1], "--set-aside", "old.csv"),
     "old.csv"),
]  # fmt: skip


@pytest.mark.parametrize(("call", "name"), WRITTEN[:: by_tier(quick=3, whole=1)])
def test_a_full_disk_leaves_the_old_answer(desk: Path, call: tuple[str, ...], name: str) -> None:
    (desk / "many.csv").write_text("gvwr\n" + "".join(f"x{n}\n" for n in range(20_000)), "utf-8")
    before = content(desk)
    done = run(desk, FULL, call)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == f"towdb: {name}: cannot be written (File too large)\n"
    assert content(desk) == before


SPILLING = (
    "import resource, signal, towdb.screening.screen as screen\n"
    "screen.FRUGAL = \"SET memory_limit = '{memory}'\"\n"
    "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
    "resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000))\n"
)


@pytest.fixture
def many(desk: Path) -> str:
    """Cars that do not fit into what memory they are given below."""
    write_parquet(
        desk / "many.parquet",
        "SELECT 'car number ' || i AS candidate, 'Quillon' AS make, 'Pika' AS model,"
        " (3000 + i % 900) || ' lb' AS gvwr FROM range(400000) AS t(i)",
    )
    return "many.parquet"


@pytest.mark.whole
@pytest.mark.parametrize(
    ("memory", "says"),
    [
        ("60MB", "has no room for what does not fit in memory"),
        ("8MB", "there is not enough memory"),
    ],
)
def test_no_room_for_what_does_not_fit_in_memory(
    desk: Path, many: str, memory: str, says: str
) -> None:
    before = content(desk)
    call = ("screen", many, *VERBS["screen"][2:], "-o", "old.parquet")
    done = run(desk, SPILLING.format(memory=memory), call)
    assert (done.returncode, done.stdout) == (2, "")
    (line,) = done.stderr.splitlines()
    assert says in line
    # Nothing is wrong with the release, or with the cars.
    assert "build it again" not in line
    assert "write it again" not in line
    assert content(desk) == before


# ---------------------------------------------------------------- Ctrl-C

# Pressed when a function of ours is called for the first time.
PRESSED = (
    "import signal\n"
    "import {module} as module\n"
    "whole = module.{name}\n"
    "def hit(*arguments, **named):\n"
    "    module.{name} = whole\n"
    "    signal.raise_signal(signal.SIGINT)\n"
    "    return whole(*arguments, **named)\n"
    "module.{name} = hit\n"
)
MOMENTS = {
    "weights, when they are read": ("towdb.inventory.cars", "load_candidates", "weights"),
    "weights, when they are counted": ("towdb.inventory.weights", "_tables", "weights"),
    "weights, when they are drawn": ("towdb.report.plots", "rendered", "weights"),
    "gaps, when they are looked for": ("towdb.inventory.gaps", "enter_gaps", "gaps"),
    "a summary, when cars are set aside": ("towdb.intake.unreadable", "write_aside", "summary"),
    "a summary, when it is counted": ("towdb.screening.summary", "_counted", "summary"),
    "a summary, when it is drawn": ("towdb.report.plots", "rendered", "summary"),
    "a screening, when it is written": ("towdb.screening.engine", "keep", "screen"),
    "a check, when findings are written": ("towdb.report.formats", "write_document", "check"),
}
ANSWERS = {
    "weights": ("--plot", "new.svg", "-o", "old.json"),
    "gaps": ("-o", "old.csv"),
    "summary": ("--set-aside", "old.csv", "--plot", "old.svg", "-o", "old.html"),
    "screen": ("-o", "new.duckdb"),
    "check": ("-o", "old.json"),
}


@pytest.mark.parametrize("moment", [*MOMENTS][:: by_tier(quick=4, whole=1)])
def test_ctrl_c_leaves_no_answer_half_written(desk: Path, moment: str) -> None:
    module, name, verb = MOMENTS[moment]
    before = content(desk)
    call = (*VERBS[verb], *ANSWERS[verb])
    done = run(desk, PRESSED.format(module=module, name=name), call)
    assert (done.returncode, done.stdout) == (130, "")
    *said, last = done.stderr.splitlines(keepends=True)
    assert last == NOTHING_HALF
    assert said in ([], ["0 row(s) set aside in old.csv\n"])
    after = content(desk)
    # Rows set aside before it came are all there; what is not whole is not there.
    changed = {key for key in after if after[key] != before.get(key)}
    assert changed <= ({"old.csv"} if verb == "summary" else set())
    assert set(before) == set(after)
    if changed:
        assert re.match(rb"candidate,.*reason\n", after["old.csv"])


@pytest.mark.parametrize("library", ["duckdb", "click", "towdb.cli"])
def test_ctrl_c_while_libraries_are_loaded(desk: Path, library: str) -> None:
    program = (
        "import builtins, signal\n"
        "whole = builtins.__import__\n"
        "def hit(name, *more):\n"
        f"    if name == {library!r}:\n"
        "        builtins.__import__ = whole\n"
        "        signal.raise_signal(signal.SIGINT)\n"
        "    return whole(name, *more)\n"
        "builtins.__import__ = hit\n"
    )
    done = run(desk, program, (*VERBS["weights"], "-o", "old.json"))
    assert (done.returncode, done.stdout, done.stderr) == (130, "", NOTHING_HALF)


def test_a_library_that_says_in_its_own_way_that_ctrl_c_came(
    type_in: Command, desk: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # As the import of a module in C tells it, seen of DuckDB.
    def struck(*_: object) -> None:
        raise ImportError("Encountered an error while initializing the extension.") from (
            KeyboardInterrupt()
        )

    monkeypatch.setattr("towdb.inventory.weights.read_ratings", struck)
    said = type_in(*VERBS["weights"])
    assert (said.status, said.err) == (128 + signal.SIGINT, NOTHING_HALF)


# ---------------------------------------------------------------- options


@pytest.mark.parametrize("verb", ["weights", "summary"])
@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--by", "colour"], "cannot group by 'colour'; choose one of make, "),
        (["--by", "lot\n\x1b[2Jall is well"], "cannot group by 'lot \\x1b[2Jall is well'"),
        (["--by", "lot"] * 20, "by lot: named twice; keep one of them"),
        (["--by", "candidate"], "cannot group by 'candidate'"),
    ],
)
def test_a_group_that_is_refused(
    type_in: Command, desk: Path, verb: str, options: list[str], says: str
) -> None:
    line = type_in.refused(*VERBS[verb], *options)
    assert says in line


@pytest.mark.parametrize("rating", ["", "nan lb", "-1 lb", "1e9 lb", "5000 mph", "x" * 5000])
def test_a_rating_that_is_refused_is_told_shortly(
    type_in: Command, desk: Path, rating: str
) -> None:
    line = type_in.refused("weights", "cars.csv", "--rating", rating)
    assert line.startswith(f"towdb: rating {rating[:60]!r}: ")
    assert len(line) < 300


def test_of_a_duckdb_that_is_no_answer_nothing_is_replaced(type_in: Command, desk: Path) -> None:
    with duckdb.connect(str(desk / "mine.duckdb")) as con:
        con.execute("CREATE TABLE mine AS SELECT 1 AS n")
    before = content(desk)
    assert "it was not changed" in type_in.refused(*VERBS["screen"], "-o", "mine.duckdb")
    assert content(desk) == before
