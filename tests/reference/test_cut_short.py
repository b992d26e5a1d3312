"""A build that fails, is interrupted or is killed leaves the old release or the new one, whole."""

from __future__ import annotations

import errno
import os
import random
import signal
import stat
import subprocess
import sys
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import duckdb
import pytest

import towdb
from tests.conftest import ROOT
from tests.helpers.folders import copy_base, set_cell
from tests.helpers.tier import by_tier
from towdb.cli import _status, app
from towdb.contract.model import contract
from towdb.errors import UsageError
from towdb.reference import filling, relations
from towdb.reference.folder import read_folder
from towdb.reference.identity import release_id
from towdb.reference.relations import DERIVED, VIEWS
from towdb.reference.release_info import METADATA

resource = pytest.importorskip("resource", reason="signals and limits are those of POSIX")

BUILD = ("-m", "towdb", "build")
KILLS, LANES, ROUNDS = by_tier(quick=8, whole=30), 2, by_tier(quick=1, whole=3)
# A hang becomes a failure after this long; nothing else depends on it.
HANGS = 60
HALF = 1 << 22
NO_SPACE = os.strerror(errno.ENOSPC)
Contents = dict[str, list[tuple[Any, ...]]]
Said = tuple[int, list[str]]
Build = Callable[[Path], Said]


@dataclass(frozen=True)
class Pair:
    """Two references that differ in one cell, and what a release of each holds."""

    old: Path
    new: Path
    held: dict[str, Contents]
    old_bytes: bytes
    seconds: float

    def found(self, target: Path) -> str:
        """Which of the two releases a file is, all of it."""
        held = contents(target)
        (which,) = [name for name in self.held if self.held[name] == held]
        assert which == "new" or target.read_bytes() == self.old_bytes
        return which


def contents(path: Path) -> Contents:
    with towdb.open(path) as reference:
        return {
            name: [tuple(row) for row in reference.rows(f"from {name} order by all").rows]
            for name in (*contract().tables, *DERIVED, *METADATA)
        }


def start(*call: object) -> subprocess.Popen[str]:
    pipe = subprocess.PIPE
    words = [sys.executable, *map(str, call)]
    return subprocess.Popen(words, stdin=pipe, stdout=pipe, stderr=pipe, text=True, cwd=ROOT)


def end(process: subprocess.Popen[str], after: float | None = None) -> Said:
    """Wait for a process, or kill it after some time; its exit status and what it complains of."""
    try:
        _, err = process.communicate(timeout=after)
    except subprocess.TimeoutExpired:
        process.kill()
        _, err = process.communicate()
    return process.returncode, err.splitlines()


def others(target: Path) -> list[Path]:
    """What lies beside a release."""
    return sorted(path for path in target.parent.iterdir() if path != target)


@pytest.fixture(scope="module")
def pair(tmp_path_factory: pytest.TempPathFactory) -> Pair:
    home = tmp_path_factory.mktemp("faults")
    old, new = copy_base(home / "old"), copy_base(home / "new")
    set_cell(new, "coach", 0, "name", "Brackwater 39")
    files = [home / "old.duckdb", home / "new.duckdb"]
    towdb.build(old, files[0])
    started = time.monotonic()
    with start(*BUILD, new, "-o", files[1]) as process:
        assert end(process) == (0, [])
    seconds = time.monotonic() - started
    held = dict(zip(("old", "new"), map(contents, files), strict=True))
    for folder in (old, new):
        expected = release_id(read_folder(folder, lambda _: None).tables)
        assert [row[0] for row in held[folder.name]["release"]] == [expected]
    assert held["old"] != held["new"]
    return Pair(old, new, held, files[0].read_bytes(), seconds)


@pytest.fixture
def target(pair: Pair, tmp_path: Path) -> Path:
    """The old release, where the new one is to be built."""
    path = tmp_path / "release.duckdb"
    path.write_bytes(pair.old_bytes)
    return path


@pytest.fixture
def build(pair: Pair, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Build:
    """Build the new release by the command line, in this process."""

    def run(path: Path) -> Said:
        monkeypatch.setattr(sys, "argv", ["towdb", "build", str(pair.new), "-o", str(path)])
        return _status(app), capsys.readouterr().err.splitlines()

    return run


def refused(said: Said, reason: str = "", status: int = 2) -> None:
    assert said[0] == status, said
    assert len(said[1]) == 1, said
    assert said[1][0].startswith("towdb: ")
    assert reason in said[1][0]


# ---------------------------------------------------------------- killed at any time


def test_a_build_killed_at_any_time_leaves_the_old_release_or_the_new_one(
    pair: Pair, tmp_path: Path
) -> None:
    def lane(number: int) -> list[int]:
        draw = random.Random(number)
        target = tmp_path / str(number) / "release.duckdb"
        target.parent.mkdir()
        ends = []
        for _ in range(KILLS // LANES):
            target.write_bytes(pair.old_bytes)
            with start(*BUILD, pair.new, "-o", target) as process:
                status, complaints = end(process, draw.random() * pair.seconds)
            assert complaints == []
            assert pair.found(target) == "new" or status != 0
            ends.append(status)
        towdb.build(pair.new, target)
        assert pair.found(target) == "new"
        assert others(target) == []
        return ends

    with ThreadPoolExecutor(LANES) as lanes:
        statuses = {status for ends in lanes.map(lane, range(LANES)) for status in ends}
    assert statuses in ({-signal.SIGKILL}, {-signal.SIGKILL, 0})


# ---------------------------------------------------------------- struck at one moment


def strike(patch: pytest.MonkeyPatch, moment: str, blow: Callable[[], None]) -> None:
    """Let something happen when a build is writing, has written, is renaming or has renamed."""
    view_sql, fsync, replace = relations.view_sql, os.fsync, Path.replace

    def struck_view_sql(name: str) -> str:
        if moment == "writing" and name == VIEWS[0]:
            blow()
        return view_sql(name)

    def struck_fsync(handle: int) -> None:
        folder = stat.S_ISDIR(os.fstat(handle).st_mode)
        if moment == ("renamed" if folder else "written"):
            blow()
        fsync(handle)

    def struck_replace(path: Path, target: Path) -> Path:
        if moment == "renaming":
            blow()
        return replace(path, target)

    patch.setattr(filling, "view_sql", struck_view_sql)
    patch.setattr(os, "fsync", struck_fsync)
    patch.setattr(Path, "replace", struck_replace)


def fill_disk() -> None:
    raise OSError(errno.ENOSPC, NO_SPACE)


def press_ctrl_c() -> None:
    raise KeyboardInterrupt


def build_and_die(moment: str, folder: str, target: str) -> None:
    """Build in a process of its own, which dies at that moment."""
    if moment == "half written":
        # The kernel ends a process at the very write by which a file outgrows its limit.
        signal.signal(signal.SIGXFSZ, signal.SIG_DFL)
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        resource.setrlimit(resource.RLIMIT_FSIZE, (HALF, HALF))
    strike(pytest.MonkeyPatch(), moment, lambda: os.kill(os.getpid(), signal.SIGKILL))
    towdb.build(folder, target)


def die(pair: Pair, moment: str, target: Path) -> int:
    """Have a build die at a moment; the number of its process."""
    program = f"import sys, {__name__} as t; t.build_and_die(*sys.argv[1:])"
    with start("-c", program, moment, pair.new, target) as process:
        assert end(process) in [(-signal.SIGKILL, []), (-signal.SIGXFSZ, [])]
    return process.pid


@pytest.mark.parametrize("moment", ["half written", "renaming", "renamed"])
def test_a_process_that_dies_leaves_a_whole_release(pair: Pair, target: Path, moment: str) -> None:
    process = die(pair, moment, target)
    assert pair.found(target) == ("new" if moment == "renamed" else "old")
    left = {path.name.partition("-")[0] for path in others(target)}
    assert left == (set() if moment == "renamed" else {f".{target.name}.{process}"})


@pytest.mark.parametrize("blow", [fill_disk, press_ctrl_c])
@pytest.mark.parametrize("moment", ["writing", "written", "renaming", "renamed"])
def test_a_build_that_fails_says_why_and_leaves_no_building_file(
    pair: Pair, target: Path, build: Build, moment: str, blow: Callable[[], None]
) -> None:
    with pytest.MonkeyPatch.context() as patch:
        strike(patch, moment, blow)
        said = build(target)
    refused(said, *(("interrupted", 130) if blow is press_ctrl_c else (NO_SPACE, 2)))
    assert others(target) == []
    assert pair.found(target) == ("new" if moment == "renamed" else "old")
    if moment == "renamed":
        # The new release is there: that nothing was written would be false.
        assert "nothing was written" not in said[1][0]
        assert "cannot be written" not in said[1][0]


@pytest.mark.parametrize("share", [0.001, 0.99])
def test_a_disk_that_fills_up_leaves_the_old_release(
    pair: Pair, target: Path, build: Build, share: float
) -> None:
    # No file may grow beyond this: DuckDB fails to write as it does on a full disk.
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (int(share * len(pair.old_bytes)), hard))
    try:
        said = build(target)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    refused(said, f"{target}: cannot be written")
    assert others(target) == []
    assert pair.found(target) == "old"


def test_a_folder_that_takes_the_place_of_the_target_stays(tmp_path: Path, build: Build) -> None:
    target = tmp_path / "release.duckdb"
    with pytest.MonkeyPatch.context() as patch:
        strike(patch, "renaming", target.mkdir)
        said = build(target)
    refused(said, f"{target}: cannot be written")
    assert list(tmp_path.rglob("*")) == [target]


def test_a_failed_clean_up_hides_no_reason(pair: Pair, target: Path, build: Build) -> None:
    def unlink(path: Path, missing_ok: bool = False) -> None:
        raise OSError(errno.EROFS, os.strerror(errno.EROFS))

    with pytest.MonkeyPatch.context() as patch:
        strike(patch, "renaming", fill_disk)
        patch.setattr(Path, "unlink", unlink)
        said = build(target)
    refused(said, NO_SPACE)
    assert pair.found(target) == "old"


# ---------------------------------------------------------------- left by others


@pytest.fixture(scope="module")
def dead() -> int:
    """The number of a process that has ended."""
    with start("-c", "") as process:
        return process.pid


def leave(target: Path, process: int) -> Path:
    path = target.with_name(f".{target.name}.{process}-0badcafe.building")
    path.write_text(target.name, "utf-8")
    return path


def test_what_a_killed_build_left_is_removed_and_what_a_running_one_writes_stays(
    pair: Pair, target: Path
) -> None:
    dead = die(pair, "writing", target)
    assert pair.found(target) == "old"
    assert {path.suffix for path in others(target)} == {".building", ".wal"}
    with start("-c", "input()") as running:
        stay = [leave(target, running.pid), leave(target.with_name("car.duckdb"), dead)]
        towdb.build(pair.new, target)
        running.communicate("\n")
    assert others(target) == sorted(stay)
    assert [path.read_text("utf-8") for path in stay] == [target.name, "car.duckdb"]
    assert pair.found(target) == "new"


def test_building_files_are_told_apart_by_the_whole_name_of_their_target(
    pair: Pair, tmp_path: Path, dead: int
) -> None:
    target = tmp_path / "c*[1].duckdb"
    leave(target, dead)
    stay = [leave(tmp_path / f"{name}.duckdb", dead) for name in ("car1", "c*[1].duckdb.car")]
    towdb.build(pair.new, target)
    assert others(target) == sorted(stay)


def test_a_folder_that_a_killed_process_left_goes_and_what_no_process_left_stays(
    target: Path, build: Build, dead: int
) -> None:
    no_process = leave(target, 10**30)
    folder = leave(target, dead)
    folder.unlink()
    folder.mkdir()
    assert build(target) == (0, [])
    assert others(target) == [no_process]


def test_of_two_builds_at_once_one_wins_whole_and_an_open_release_answers_on(
    pair: Pair, target: Path
) -> None:
    with towdb.open(target) as reader:
        for _ in range(ROUNDS):
            builds = [start(*BUILD, folder, "-o", target) for folder in (pair.old, pair.new)]
            with builds[0], builds[1]:
                assert [end(process) for process in builds] == [(0, []), (0, [])]
            assert others(target) == []
            assert contents(target) in pair.held.values()
        assert list(reader.sql("select name from coach")["name"]) == ["Brackwater 38"]


def test_a_release_that_another_program_writes_to_is_not_ruined(
    pair: Pair, target: Path, build: Build
) -> None:
    program = (
        "import duckdb, sys; con = duckdb.connect(sys.argv[1]); print('open', flush=True); input();"
        "con.execute('CREATE TABLE note AS SELECT 1 AS n'); print('changed', flush=True); input()"
    )
    with start("-c", program, target) as client:
        assert client.stdin is not None
        assert client.stdout is not None
        assert client.stdout.readline() == "open\n"
        said = build(target)
        print(file=client.stdin, flush=True)
        assert client.stdout.readline() == "changed\n"
        client.kill()
    refused(said)
    # It is one, but open elsewhere.
    assert "is not a towdb release" not in said[1][0]
    # What the client wrote lies in a file beside the release, and belongs to the old one, which is
    # no longer what was built.
    status, _ = build(target)
    if status:
        with pytest.raises(UsageError, match=r"contains table main\.note"):
            towdb.open(target)
    else:
        assert contents(target) == pair.held["new"]


# ---------------------------------------------------------------- no place for a release


UNUSABLE: dict[str, tuple[str, Callable[[Path], object]]] = {
    "below a file": ("note.txt/release.duckdb", lambda path: path.parent.write_text("a", "utf-8")),
    "below nothing": ("nowhere/release.duckdb", lambda _: None),
    "a folder": ("release.duckdb", Path.mkdir),
    "a name too long": (f"{'n' * 300}.duckdb", lambda _: None),
    "a name too long while it is built": (f"{'n' * 240}.duckdb", lambda _: None),
    "text": ("release.duckdb", lambda path: path.write_text("a", "utf-8")),
    "empty": ("release.duckdb", Path.touch),
    "another database": ("release.duckdb", lambda path: duckdb.connect(str(path)).close()),
}


@pytest.mark.parametrize("case", UNUSABLE)
def test_an_unusable_target_is_refused_and_left_alone(
    tmp_path: Path, build: Build, case: str
) -> None:
    name, prepare = UNUSABLE[case]
    prepare(tmp_path / name)
    before = {path: path.is_file() and path.read_bytes() for path in tmp_path.rglob("*")}
    refused(build(tmp_path / name))
    assert {path: path.is_file() and path.read_bytes() for path in tmp_path.rglob("*")} == before


def test_a_pipe_is_no_target(pair: Pair, tmp_path: Path) -> None:
    target = tmp_path / "release.duckdb"
    os.mkfifo(target)
    with start(*BUILD, pair.new, "-o", target) as process:
        refused(end(process, HANGS))
    assert list(tmp_path.iterdir()) == [target]
