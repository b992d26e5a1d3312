"""Out of the record: a reference folder that can be kept and compared, and releases."""

from __future__ import annotations

import csv
import io
import json
import os
from pathlib import Path, PurePath

from sqlalchemy import insert, select

from towdb.contract.documents import data_package
from towdb.contract.model import contract
from towdb.errors import UsageError
from towdb.files.replace import check_place
from towdb.files.swap import finish, replace_folder
from towdb.record.store.record import Record
from towdb.record.store.tables import metadata
from towdb.reference.check import Progress
from towdb.reference.folder import DESCRIPTOR
from towdb.reference.identity import release_id
from towdb.reference.release import BuildResult, build_tables
from towdb.version import __version__

# Every file that an export may write.
_OWN = frozenset((DESCRIPTOR, *(f"{name}.csv" for name in contract().tables)))


def export(record: Record, folder: str | os.PathLike[str], as_of: int | None = None) -> int:
    """Write a reference folder: all columns, rows by key, so that a changed row is one line.

    Parameters
    ----------
    record : Record
        The record.
    folder : path
        An empty or absent folder, or one that an export wrote before.
    as_of : int, optional
        The change after which the record is exported; by default the last.

    Returns
    -------
    int
        How many rows were written.

    Raises
    ------
    UsageError
        If the folder contains anything else, or cannot be written.
    """
    target = Path(folder)
    rows = record.rows(as_of)
    files = {f"{name}.csv": name for name, listed in rows.items() if listed}
    files |= {f"{t.name}.csv": t.name for t in contract().tables.values() if t.must_exist}
    finish(target, _OWN)
    _require_own(target)

    def fill(beside: Path) -> None:
        for file, name in files.items():
            _put(beside / file, _csv(name, rows[name]))
        package = data_package(
            {name: PurePath(file) for file, name in files.items()},
            "towdb-reference", "towdb reference",
        )  # fmt: skip
        _put(beside / DESCRIPTOR, json.dumps(package, indent=2, ensure_ascii=False) + "\n")

    replace_folder(target, fill, _OWN)
    return sum(map(len, rows.values()))


def _require_own(target: Path) -> None:
    if target.exists() and not target.is_dir():
        raise UsageError(f"{target}: is not a folder; choose a new or empty folder")
    present = sorted(target.iterdir()) if target.exists() else []
    other = [path.name for path in present if path.name not in _OWN or not path.is_file()]
    if other:
        raise UsageError(f"{target}: also contains {other[0]}; choose a new or empty folder")
    for path in present:
        check_place(path)


def _put(path: Path, text: str) -> None:
    path.write_bytes(text.encode())


def _csv(name: str, rows: list[dict[str, str | None]]) -> str:
    out = io.StringIO()
    columns = contract().tables[name].columns
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([row[column] or "" for column in columns] for row in rows)
    return out.getvalue()


def release(
    record: Record,
    target: str | os.PathLike[str],
    *,
    who: str,
    as_of: int | None = None,
    progress: Progress | None = None,
) -> BuildResult:
    """Build a release of the record, and note from which change it was built.

    Parameters
    ----------
    record : Record
        The record.
    target : path
        The file to write; its name ends in ``.duckdb``.
    who : str
        Who releases it.
    as_of : int, optional
        The change after which the record is released; by default the last.
    progress : callable, optional
        As for `towdb.check`.

    Raises
    ------
    CheckFailedError
        If the record has errors.
    UsageError
        If the target cannot be written.
    """
    number = record.last_change() if as_of is None else as_of
    built = build_tables(record.tables(number), record.name, target, progress=progress)
    note_release(record, built.release_id, number, who)
    return built


def note_release(record: Record, identity: str, number: int, who: str) -> None:
    """Note from which change a release was built."""
    table = metadata().tables["released"]
    with record.changing(who, "release") as changing:
        known = select(table.c.release_id).where(table.c.release_id == identity)
        if changing.con.scalar(known) is None:
            row = {
                "release_id": identity, "change_number": number,
                "towdb_version": __version__, "at": changing.change.at,
            }  # fmt: skip
            changing.con.execute(insert(table), [row])


def change_of_release(record: Record, identity: str) -> int | None:
    """The change from which a release was built; None if it was not built from this record."""
    table = metadata().tables["released"]
    with record.reading() as con:
        return con.scalar(select(table.c.change_number).where(table.c.release_id == identity))


def identity_of(record: Record, as_of: int | None = None) -> str:
    """The release id of the record as it is, or was after a change."""
    return release_id(record.tables(as_of))
