"""`demo`: a folder with everything needed to try towdb; all of it is invented."""

from __future__ import annotations

import os
import shutil
from dataclasses import dataclass
from pathlib import Path

from towdb.errors import UsageError
from towdb.files.swap import finish, replace_folder
from towdb.reference.release import build
from towdb.resources import demo_path

RELEASE = "demo.duckdb"
FOLDERS = ("reference", "manuals")
FILES = ("coach.toml", "shortlist.csv", "stock.csv", "dealer.toml", "legs.csv")


@dataclass(frozen=True)
class Demo:
    """A demo folder.

    Attributes
    ----------
    folder : Path
        Its path.
    release_id : str
        The id of the release in it.
    """

    folder: Path
    release_id: str


def demo(folder: str | os.PathLike[str]) -> Demo:
    """Write the demo: a reference folder, its release and manuals, and the files of a user.

    Those are a coach, a shortlist, a dealer's inventory with its mapping, and a trip.

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
        If the folder already contains files, or cannot be written.
    """
    target = Path(folder)
    finish(target)
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise UsageError(f"{target}: already contains files; choose a new or empty folder")
    release_id = ""

    def fill(beside: Path) -> None:
        nonlocal release_id
        for name in FOLDERS:
            shutil.copytree(demo_path() / name, beside / name)
        for file in FILES:
            shutil.copyfile(demo_path() / file, beside / file)
        release_id = build(beside / "reference", beside / RELEASE).release_id

    replace_folder(target, fill)
    return Demo(target, release_id)
