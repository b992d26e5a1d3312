"""`demo`: a folder to try everything in, whole or not there at all."""

from __future__ import annotations

import contextlib
import os
import shlex
import shutil
import subprocess
import sys
from itertools import count
from pathlib import Path

import pytest

import towdb
from tests.conftest import DEMO, ROOT
from tests.helpers.command import Command
from tests.helpers.tier import by_tier
from tests.helpers.workers import CUT_SHORT, FORKS, EndAtFile
from towdb.files.swap import cut_short, finish
from towdb.reference import demo as module
from towdb.report.caution import INVENTED

TYPED = {"coach.toml", "shortlist.csv", "stock.csv", "dealer.toml", "legs.csv"}
FILES = {"reference", "manuals", "demo.duckdb", *TYPED}


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Command:
    return Command(monkeypatch, capsys)


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch, demo_release: Path) -> None:
    """The release is not built again, but copied."""

    def build(folder: Path, target: Path) -> towdb.BuildResult:
        target.write_bytes(demo_release.read_bytes())
        return towdb.BuildResult(target, "0" * 64, towdb.CheckResult(str(folder), ()), {})

    monkeypatch.setattr(module, "build", build)


def names(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def run_in_a_shell(lines: list[str], cwd: Path, tools: Path) -> subprocess.CompletedProcess[str]:
    """Run lines as a person pastes them; `towdb` is this checkout's."""
    tools.mkdir()
    towdb_here = tools / "towdb"
    towdb_here.write_text(f'#!/bin/sh\nexec {shlex.quote(sys.executable)} -m towdb "$@"\n', "utf-8")
    towdb_here.chmod(0o755)
    path = f"{tools}{os.pathsep}{os.environ['PATH']}"
    return subprocess.run(
        ["sh", "-e", "-c", "\n".join(lines)],
        capture_output=True, text=True, encoding="utf-8", cwd=cwd, check=False,
        env={**os.environ, "PATH": path, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"},
    )  # fmt: skip


# ---------------------------------------------------------------- what is there


def test_the_demo_is_what_is_shipped(tmp_path: Path, demo_release: Path) -> None:
    made = towdb.demo(tmp_path / "try")
    assert made.folder == tmp_path / "try"
    assert names(made.folder) == FILES
    assert names(tmp_path) == {"try"}
    for file in TYPED:
        assert (made.folder / file).read_bytes() == (DEMO / file).read_bytes()
    for folder in ("reference", "manuals"):
        shipped = DEMO / folder
        assert names(made.folder / folder) == names(shipped)
        for name in names(shipped):
            assert (made.folder / folder / name).read_bytes() == (shipped / name).read_bytes()
    assert towdb.check(made.folder / "reference").ok
    with towdb.open(made.folder / "demo.duckdb") as own, towdb.open(demo_release) as built:
        assert own.release_id == built.release_id == made.release_id
        assert own.invented
    assert towdb.diff(made.folder / "demo.duckdb", demo_release).records == []


@pytest.mark.usefixtures("quick")
@pytest.mark.parametrize("name", ["try-towdb", "with a blank", "Ärger's $HOME; exit 3 #"])
def test_what_to_type_next_can_be_typed(
    tmp_path: Path, command: Command, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    home = tmp_path / "home"
    home.mkdir()
    monkeypatch.chdir(home)
    said = command("demo", "--", name)
    assert (said.status, said.err) == (0, "")
    head, _, listed = said.out.partition("What to type next:\n")
    assert INVENTED in head
    assert all(file in head for file in FILES)
    lines = listed.splitlines()
    assert lines
    assert all(line.startswith("  ") for line in lines)
    done = run_in_a_shell(lines, home, tmp_path / "tools")
    assert (done.returncode, done.stderr) == (0, "")
    assert "Marram 33" in done.stdout
    assert "Quillon Pika" in done.stdout
    # Nothing is left beside what the demo made.
    assert names(home) == {name}
    assert names(home / name) == FILES


@pytest.mark.usefixtures("quick")
@pytest.mark.parametrize("typed", [".", "empty", "empty/", "new", "./new", "empty/../new"])
def test_a_new_or_empty_folder_is_filled(
    tmp_path: Path, command: Command, monkeypatch: pytest.MonkeyPatch, typed: str
) -> None:
    home = tmp_path / "home"
    home.mkdir()
    monkeypatch.chdir(home)
    if "empty" in typed:
        (home / "empty").mkdir()
    said = command("demo", typed)
    assert (said.status, said.err) == (0, "")
    assert names(home / typed) == FILES
    assert names(tmp_path) == {"home"}
    assert all(not name.startswith(".") for name in names(home))


@pytest.mark.usefixtures("quick")
def test_a_link_to_an_empty_folder_is_filled(tmp_path: Path) -> None:
    (tmp_path / "there").mkdir()
    (tmp_path / "link").symlink_to("there")
    towdb.demo(tmp_path / "link")
    assert names(tmp_path / "there") == FILES
    assert names(tmp_path) == {"there", "link"}


# ---------------------------------------------------------------- what is refused


def contents(folder: Path) -> dict[str, bytes | None]:
    return {
        str(path.relative_to(folder)): path.read_bytes() if path.is_file() else None
        for path in folder.rglob("*")
    }


@pytest.mark.usefixtures("quick")
@pytest.mark.parametrize(
    "typed", ["full", "hidden", "file", "no/such", "file/below", ".", "dangling", ""]
)
def test_anything_else_is_refused_and_left(
    tmp_path: Path, command: Command, monkeypatch: pytest.MonkeyPatch, typed: str
) -> None:
    for folder in ("full", "hidden"):
        (tmp_path / folder).mkdir()
    (tmp_path / "full" / "mine.txt").write_text("mine", "utf-8")
    (tmp_path / "hidden" / ".mine").write_text("mine", "utf-8")
    (tmp_path / "file").write_text("mine", "utf-8")
    (tmp_path / "dangling").symlink_to("nowhere")
    before = contents(tmp_path)
    monkeypatch.chdir(tmp_path)
    line = command.refused("demo", typed)
    assert (f"{typed}: " if typed else "an empty text is not a path") in line
    assert contents(tmp_path) == before
    with pytest.raises(towdb.UsageError):
        towdb.demo(tmp_path / typed)
    assert contents(tmp_path) == before


@pytest.mark.usefixtures("quick")
def test_a_demo_is_not_written_over_a_demo(tmp_path: Path, command: Command) -> None:
    towdb.demo(tmp_path / "try")
    before = contents(tmp_path)
    assert "already contains files" in command.refused("demo", tmp_path / "try")
    assert contents(tmp_path) == before


# ---------------------------------------------------------------- whole or not at all

FAULTS: list[tuple[BaseException, int, str]] = [
    (OSError(28, "No space left on device"), 2, "No space left on device"),
    (towdb.UsageError("demo.duckdb: cannot be written (No space left on device)"), 2, "No space"),
    (KeyboardInterrupt(), 130, "interrupted; no file was left half written"),
]


@pytest.mark.parametrize("is_there", [False, True], ids=["new", "empty"])
@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: type(fault[0]).__name__)
def test_nothing_is_left_of_half_a_demo(
    tmp_path: Path,
    command: Command,
    monkeypatch: pytest.MonkeyPatch,
    fault: tuple[BaseException, int, str],
    is_there: bool,
) -> None:
    def build(folder: Path, target: Path) -> None:
        assert (folder / "source.csv").is_file()
        target.write_bytes(b"half of it")
        raise fault[0]

    monkeypatch.setattr(module, "build", build)
    if is_there:
        (tmp_path / "try").mkdir()
    said = command("demo", tmp_path / "try")
    assert (said.status, said.out) == (fault[1], "")
    (line,) = said.err.splitlines()
    assert fault[2] in line
    assert names(tmp_path) == ({"try"} if is_there else set())
    assert not is_there or names(tmp_path / "try") == set()


@pytest.mark.usefixtures("quick")
@pytest.mark.parametrize("error", [OSError(18, "Invalid cross-device link"), KeyboardInterrupt()])
@pytest.mark.parametrize("is_there", [False, True], ids=["new", "empty"])
@pytest.mark.parametrize("number", [0, 2, 4])
def test_a_demo_that_cannot_be_moved_is_whole_or_gone(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    error: BaseException,
    is_there: bool,
    number: int,
) -> None:
    moved, rename, target = [], Path.rename, tmp_path / "try"

    def renamed(path: Path, to: Path) -> Path:
        moved.append(to)
        if len(moved) > number:
            raise error
        return rename(path, to)

    monkeypatch.setattr(Path, "rename", renamed)
    if is_there:
        target.mkdir()
    with contextlib.suppress(towdb.UsageError, KeyboardInterrupt):
        towdb.demo(target)
    # However many steps it takes to put it in its place.
    assert names(tmp_path) <= {"try"}
    assert not target.exists() or names(target) in (set(), FILES)


def demo_that_ends(home: Path, typed: str, release: Path, at: int) -> None:
    """Write the demo, and end at the n-th file that is touched."""

    def build(folder: Path, target: Path) -> towdb.BuildResult:
        target.write_bytes(release.read_bytes())
        return towdb.BuildResult(target, "0" * 64, towdb.CheckResult(str(folder), ()), {})

    setattr(module, "build", build)  # noqa: B010
    os.chdir(home)
    EndAtFile(at)()
    towdb.demo(typed)


@pytest.mark.parametrize("typed", by_tier(quick=["."], whole=["try", "."]))
def test_a_demo_that_ends_at_any_file_is_whole_or_not_there(
    tmp_path: Path, demo_release: Path, typed: str
) -> None:
    begun = 0
    for at in count(1):
        home = tmp_path / f"{at}"
        home.mkdir()
        process = FORKS.Process(target=demo_that_ends, args=(home, typed, demo_release, at))
        process.start()
        process.join()
        folder = home / typed
        if process.exitcode == 0:
            assert names(folder) == FILES
            break
        assert process.exitcode == CUT_SHORT
        if cut_short(folder):
            # In the current folder it is moved file by file: that is told, and finished.
            begun += 1
            with pytest.raises(towdb.UsageError, match="already contains files"):
                towdb.demo(folder)
            assert names(folder) == FILES, at
        else:
            finish(folder)
            assert not folder.exists() or names(folder) in (set(), FILES), at
        assert names(home) <= FILES | {"try"}, at
        shutil.rmtree(home)
    assert at > 2 * len(FILES)
    assert (begun > len(FILES)) == (typed == ".")


def test_a_missing_name_is_refused(command: Command) -> None:
    assert "FOLDER" in command.refused("demo")
