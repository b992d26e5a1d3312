"""Folders that are replaced whole: filled beside their place, and put there once they are whole.

A folder that is not empty is moved aside first, so there is a moment between two renames in
which nothing is in its place. What a process that ended there left behind, `cut_short` recognises
and the next run finishes. No reader ever sees some old files beside some new ones.
"""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

from towdb.errors import UsageError
from towdb.files.replace import WRITING, remove_left, sync_folder

# In a folder that cannot be moved: what is whole, and only has to be moved up.
_READY = ".towdb-ready"


class _Places(NamedTuple):
    """Where a folder is, where the next one waits, and where the last one is moved to."""

    target: Path
    new: Path
    old: Path


def _places(folder: Path) -> _Places:
    # What a link leads to is replaced, not the link. The names are short: one as long as names may
    # be has no room for more.
    target = Path(os.path.realpath(folder))
    mark = hashlib.sha256(os.fsencode(target.name)).hexdigest()[:16]
    return _Places(target, *(target.with_name(f".towdb-{mark}.{end}") for end in ("new", "old")))


def cut_short(folder: Path) -> str | None:
    """The message for a folder that its writer, cut short, left unreadable; else None."""
    target, new, old = _places(folder)
    again = f"{folder}: the command that wrote it was cut short; run it again to finish it"
    if (target / _READY).is_dir():
        return again
    left = next((path for path in (new, old) if path.is_dir()), None)
    if left is None or os.path.lexists(target):
        return None
    return f"{again}, or rename {left.name} to {target.name}"


def finish(folder: Path, own: Collection[str] = ()) -> None:
    """Finish what an earlier run began, or take it back; then the folder is whole.

    Parameters
    ----------
    folder : Path
        A folder that `replace_folder` writes; it need not exist.
    own : collection of str
        Names of the files that it writes there: only these are removed.

    Raises
    ------
    UsageError
        If that fails.
    """
    target, new, old = _places(folder)
    with _without_a_traceback(folder):
        if not os.path.lexists(target):
            left = next((path for path in (new, old) if path.is_dir()), None)
            if left:
                left.rename(target)
        for around in (target, target.parent):
            remove_left(around.glob(".towdb-*.writing"), WRITING)
        _move_up(target / _READY)
        # It was whole, but what was to make room for it is still in its place.
        shutil.rmtree(new, ignore_errors=True)
    _clear(old, target, own)


def replace_folder(folder: Path, fill: Callable[[Path], None], own: Collection[str] = ()) -> None:
    """Have a folder filled beside its place, and put it there once it is whole.

    Parameters
    ----------
    folder : Path
        A folder for which `finish` was called; absent, empty, or of own files only.
    fill : callable
        Called with an empty folder, writes everything into it.
    own : collection of str
        Names of the files that it writes. Others that come into the folder meanwhile stay there.

    Raises
    ------
    UsageError
        If it cannot be written; what was there stays.
    """
    places = _places(folder)
    target = places.target
    with _without_a_traceback(folder):
        if folder.is_symlink() and not target.exists():
            raise UsageError(f"{folder}: is a link that leads nowhere; name a folder")
        holds = target.is_dir() and any(target.iterdir())
        # A shell whose folder is replaced would go on in the one that was removed.
        is_here = target.is_dir() and Path(os.path.realpath(os.curdir)).is_relative_to(target)
        if holds and is_here:
            raise UsageError(
                f"{folder}: is the current folder, or above it, and would be replaced; change to"
                " another folder first"
            )
        around = target if is_here else target.parent
        beside = around / f".towdb-{os.getpid()}-{os.urandom(4).hex()}.writing"
        try:
            beside.mkdir()
            fill(beside)
            if is_here:
                _sync(beside)
                _move_up(beside.rename(target / _READY))
            else:
                _put(beside, places, holds=holds)
            sync_folder(target.parent)
        finally:
            shutil.rmtree(beside, ignore_errors=True)
    _clear(places.old, target, own)


def _put(beside: Path, places: _Places, *, holds: bool) -> None:
    target, new, old = places
    if target.is_dir():
        shutil.copymode(target, beside)
    _sync(beside)
    if not holds:
        if os.name != "posix" and target.is_dir():
            target.rmdir()
        beside.rename(target)
        return
    beside.rename(new)
    try:
        target.rename(old)
        new.rename(target)
    except BaseException:
        if not target.exists():
            old.rename(target)
        shutil.rmtree(new, ignore_errors=True)
        raise


def _move_up(ready: Path) -> None:
    """Move the content of a folder to where the folder is, and remove it."""
    if not ready.is_dir():
        return
    moved = []
    try:
        for path in sorted(ready.iterdir()):
            moved.append(path.rename(ready.parent / path.name))
        ready.rmdir()
    except BaseException:
        for path in moved:
            path.rename(ready / path.name)
        raise


def _clear(old: Path, target: Path, own: Collection[str]) -> None:
    """Remove what was replaced; what somebody else put there meanwhile goes back to its place."""
    try:
        for path in list(old.iterdir()) if old.is_dir() else ():
            if path.name in own:
                path.unlink()
            elif os.path.lexists(target / path.name):
                raise UsageError(f"{old}: contains {path.name}, not from towdb; move it, try again")
            else:
                path.rename(target / path.name)
        if old.is_dir():
            old.rmdir()
    except OSError as error:
        raise UsageError(
            f"{target}: is written, but the previous folder cannot be removed"
            f" ({error.strerror}); remove {old}"
        ) from None


def _sync(folder: Path) -> None:
    for path in folder.rglob("*"):
        if path.is_dir():
            sync_folder(path)
        else:
            with path.open("rb+") as stream:
                os.fsync(stream.fileno())
    sync_folder(folder)


@contextmanager
def _without_a_traceback(folder: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise UsageError(f"{folder}: cannot be written ({error.strerror})") from None
