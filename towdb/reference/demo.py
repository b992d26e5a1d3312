"""`demo`: a folder with everything that it takes to try towdb; all of it invented."""

from __future__ import annotations

import os
import shutil
import tempfile
from dataclasses import dataclass
from pathlib import Path

from towdb.errors import UsageError
from towdb.reference.release import build
from towdb.resources import demo_path

RELEASE = "demo.duckdb"
FILES = ("coach.toml", "shortlist.csv", "legs.csv")


@dataclass(frozen=True)
class Demo:
    """A demo folder.

    Attributes
    ----------
    folder : Path
        Where it lies.
    release_id : str
        The id of the release in it.
    """

    folder: Path
    release_id: str


def demo(folder: str | os.PathLike[str]) -> Demo:
    """Write the demo: a reference folder, its release, a coach, a shortlist and a trip.

    Parameters
    ----------
    folder : path
        A new or empty folder.

    Returns
    -------
    Demo

    Raises
    ------
    UsageError
        If something is there already, or the folder cannot be written.
    """
    target = Path(folder)
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise UsageError(f"{target}: something is there already; name a new or empty folder")
    try:
        # Whole, or not at all: filled beside its place, and moved there.
        is_there = target.is_dir()
        around = target if is_there else target.absolute().parent
        with tempfile.TemporaryDirectory(dir=around, prefix=".demo-") as name:
            beside = Path(name) / "demo"
            beside.mkdir()
            shutil.copytree(demo_path() / "reference", beside / "reference")
            for file in FILES:
                shutil.copyfile(demo_path() / file, beside / file)
            release_id = build(beside / "reference", beside / RELEASE).release_id
            if is_there:
                _move_all(beside, target)
            else:
                beside.rename(target)
    except OSError as error:
        raise UsageError(f"{target}: cannot be written ({error.strerror})") from None
    return Demo(target, release_id)


def _move_all(beside: Path, target: Path) -> None:
    moved = []
    try:
        for each in list(beside.iterdir()):
            moved.append(target / each.name)
            each.rename(moved[-1])
    except BaseException:
        for path in moved:
            if path.is_dir():
                shutil.rmtree(path)
            else:
                path.unlink(missing_ok=True)
        raise
