"""A folder that is replaced is the one of before or the new one, wherever its writer ends."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path

import pytest

import towdb
from tests.helpers.folders import BASE
from tests.helpers.workers import CUT_SHORT, FORKS, EndAtFile
from towdb.errors import UsageError
from towdb.files.swap import _places, cut_short, finish, replace_folder
from towdb.reference.folder import read_folder

OWN = {"a.csv", "b.csv", "c.csv"}
OLD = {"a.csv": "old a", "b.csv": "old b"}
NEW = {"a.csv": "new a", "c.csv": "new c"}
Texts = dict[str, str]


def write(folder: Path, texts: Texts = NEW) -> None:
    """What a command does that writes such a folder."""

    def fill(beside: Path) -> None:
        for name, text in texts.items():
            (beside / name).write_text(text, "utf-8")

    finish(folder, OWN)
    replace_folder(folder, fill, OWN)


def write_here(folder: Path) -> None:
    os.chdir(folder)
    write(Path())


def finish_own(folder: Path) -> None:
    finish(folder, OWN)


def content(folder: Path) -> Texts | None:
    """Its files, also those that nobody should see; None if it is not there."""
    if not folder.is_dir():
        return None
    return {path.name: path.read_text("utf-8") for path in folder.iterdir() if path.is_file()}


def put(folder: Path, texts: Texts | None) -> None:
    """Take everything around a folder away, and make it anew."""
    for path in folder.parent.iterdir():
        shutil.rmtree(path)
    if texts is not None:
        folder.mkdir()
        for name, text in texts.items():
            (folder / name).write_text(text, "utf-8")


def _run(act: Callable[[Path], None], folder: Path, at: int) -> None:
    EndAtFile(at)()
    act(folder)


def ends(act: Callable[[Path], None], folder: Path, at: int) -> bool:
    """Whether it ends at the n-th file that it touches; else it was done before."""
    process = FORKS.Process(target=_run, args=(act, folder, at))
    process.start()
    process.join()
    assert process.exitcode in (0, CUT_SHORT)
    return process.exitcode == CUT_SHORT


def each_end(act: Callable[[Path], None], folder: Path, before: Texts | None) -> Iterator[int]:
    """The folder as it is left when its writer ends at the first file, at the second, …"""
    for at in count(1):
        put(folder, before)
        if not ends(act, folder, at):
            assert content(folder) == NEW
            assert at > 6
            return
        yield at


@pytest.fixture
def out(tmp_path: Path) -> Path:
    """A folder in one of its own, in which nothing else is."""
    (tmp_path / "around").mkdir()
    return tmp_path / "around" / "out"


@pytest.mark.parametrize("before", [None, {}, OLD], ids=["absent", "empty", "filled"])
def test_wherever_its_writer_ends_it_is_the_old_one_or_the_new_one(
    out: Path, before: Texts | None
) -> None:
    seen = []
    for at in each_end(write, out, before):
        found = content(out)
        if found is None and before is not None:
            # Between two renames it is not in its place, and whoever reads it is told so.
            assert "cut short; run it again" in str(cut_short(out)), at
            with pytest.raises(UsageError, match="cut short; run it again"):
                read_folder(out, lambda _: None)
            finish(out, OWN)
            found = content(out)
            seen.append("between")
        assert cut_short(out) is None
        assert found in (before, NEW), at
        seen.append("new" if found == NEW else "old")
        # The next run takes away what was left, and does its work.
        finish(out, OWN)
        assert content(out) == found, at
        assert {path.name for path in out.parent.iterdir()} <= {"out"}, at
        write(out, OLD)
        assert content(out) == OLD, at
        assert {path.name for path in out.parent.iterdir()} == {"out"}, at
    assert "old" in seen
    assert ("between" in seen) == (before == OLD)
    assert ("new" in seen) == (before == OLD)


def test_wherever_finishing_it_ends_it_is_finished_by_the_next(out: Path) -> None:
    kept = out.parent.with_name("kept")
    for at in each_end(write, out, OLD):
        shutil.rmtree(kept, ignore_errors=True)
        shutil.copytree(out.parent, kept)
        for again in count(1):
            shutil.rmtree(out.parent)
            shutil.copytree(kept, out.parent)
            if not ends(finish_own, out, again):
                break
            finish(out, OWN)
            assert content(out) in (OLD, NEW), (at, again)
            assert {path.name for path in out.parent.iterdir()} == {"out"}, (at, again)


def test_in_the_current_folder_what_was_begun_is_told_and_finished(out: Path) -> None:
    told = 0
    for at in each_end(write_here, out, {}):
        if cut_short(out):
            told += 1
            with pytest.raises(UsageError, match="cut short; run it again"):
                towdb.check(out)
            finish(out, OWN)
            assert content(out) == NEW, at
        else:
            assert content(out) in ({}, NEW), at
        finish(out, OWN)
        assert {path.name for path in out.iterdir()} in (set(), set(NEW)), at
    # Before each file is moved up, and before the empty rest of it is removed.
    assert told > len(NEW)


def test_the_current_folder_is_not_replaced(out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(out, OLD)
    (out / "below").mkdir()
    for here in (out, out / "below"):
        monkeypatch.chdir(here)
        with pytest.raises(UsageError, match="is the current folder, or above it"):
            write(out)
    assert content(out) == OLD
    assert {path.name for path in out.parent.iterdir()} == {"out"}


@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), KeyboardInterrupt()])
@pytest.mark.parametrize("number", [1, 2, 3])
def test_what_goes_wrong_at_any_rename_leaves_what_was_there(
    out: Path, monkeypatch: pytest.MonkeyPatch, error: BaseException, number: int
) -> None:
    put(out, OLD)
    rename, passed = Path.rename, 0

    def renamed(path: Path, to: Path) -> Path:
        nonlocal passed
        passed += 1
        if passed == number:
            raise error
        return rename(path, to)

    monkeypatch.setattr(Path, "rename", renamed)
    with pytest.raises((UsageError, KeyboardInterrupt)):
        write(out)
    assert passed >= number
    assert content(out) == OLD
    assert {path.name for path in out.parent.iterdir()} == {"out"}


def test_a_file_that_came_meanwhile_stays(out: Path) -> None:
    put(out, OLD)

    def fill(beside: Path) -> None:
        (beside / "a.csv").write_text("new a", "utf-8")
        (out / "letter.txt").write_text("Dear Bodil", "utf-8")

    replace_folder(out, fill, OWN)
    assert content(out) == {"a.csv": "new a", "letter.txt": "Dear Bodil"}
    assert {path.name for path in out.parent.iterdir()} == {"out"}


def test_neither_does_finishing_take_it_away(out: Path) -> None:
    for _ in each_end(write, out, OLD):
        if content(out) is None:
            (left,) = (path for path in out.parent.iterdir() if content(path) == OLD)
            (left / "letter.txt").write_text("Dear Bodil", "utf-8")
            finish(out, OWN)
            assert content(out) == {**NEW, "letter.txt": "Dear Bodil"}
            break
    else:
        pytest.fail("it was never between two renames")


def test_what_a_link_leads_to_is_replaced(out: Path) -> None:
    put(out, OLD)
    link = out.parent / "link"
    link.symlink_to("out")
    write(link)
    assert content(out) == NEW
    assert link.is_symlink()


def test_a_folder_keeps_who_may_write_in_it(out: Path) -> None:
    put(out, OLD)
    out.chmod(0o2775)
    write(out)
    assert out.stat().st_mode & 0o7777 == 0o2775


def test_a_reference_whose_writer_was_cut_short_is_not_called_missing(out: Path) -> None:
    shutil.copytree(BASE, out)
    towdb.check(out).raise_if_failed()
    target = out.rename(_places(out).old)
    with pytest.raises(UsageError, match=f"cut short; .*or rename {target.name} to out"):
        towdb.check(out)
    with pytest.raises(UsageError, match="cut short"):
        towdb.build(out, out.parent / "r.duckdb")
    target.rename(out)
    towdb.check(out).raise_if_failed()
