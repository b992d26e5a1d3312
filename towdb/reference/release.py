"""`build`: a reference folder that passed becomes one release file, or nothing at all."""

from __future__ import annotations

import datetime
import glob
import os
import re
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

import duckdb

from towdb.contract.model import contract
from towdb.contract.typed import read_date
from towdb.duck.database_files import STORAGE_VERSION, require_own
from towdb.duck.literals import literal
from towdb.errors import DataError, UsageError
from towdb.files.replace import remove_left, sync_folder
from towdb.invisible import has_unseen
from towdb.reference.check import CheckResult, FolderCheck, Progress, checked_folder, checked_tables
from towdb.reference.filling import fill
from towdb.reference.folder import TextTable
from towdb.reference.identity import release_id
from towdb.reference.relations import DERIVED, column_note, view_notes
from towdb.reference.release_info import METADATA


class CheckFailedError(DataError):
    """A reference folder has errors, and no release was built of it."""

    def __init__(self, result: CheckResult) -> None:
        self.result = result
        lines = [
            f"{found.file}{f', line {found.line}' if found.line else ''},"
            f" {found.column or 'file'}: {found.message}; {found.remedy}"
            for found in result.found
            if found.severity == "error"
        ]
        lines.append(f"{result.folder}: {result.errors} error(s), nothing was built; correct them")
        super().__init__("\n".join(lines))


@dataclass(frozen=True)
class BuildResult:
    """A release that was built.

    Attributes
    ----------
    path : Path
        The file.
    release_id : str
        The content address of its rows.
    check : CheckResult
        What the check found: warnings only.
    rows : dict
        Number of rows by table.
    """

    path: Path
    release_id: str
    check: CheckResult
    rows: dict[str, int]


def build(
    folder: str | os.PathLike[str],
    target: str | os.PathLike[str],
    *,
    on: datetime.date | str | None = None,
    progress: Progress | None = None,
) -> BuildResult:
    """Check a reference folder and build a release of it.

    The target is replaced in one step once the release is whole; until then it stays as it was.

    Parameters
    ----------
    folder : path
        The reference folder.
    target : path
        The file to write; its name ends in ``.duckdb``.
    on : date or str, optional
        Date for the warnings on withdrawals and effective dates; today by default. The rest of
        the release, and its id, do not depend on it.
    progress : callable, optional
        As for `check`.

    Returns
    -------
    BuildResult

    Raises
    ------
    CheckFailedError
        If the folder has errors.
    UsageError
        If the folder does not exist, the date is not a date, or the target cannot be written.
    """
    path, date = _usable_target(Path(target)), read_date(on)
    with checked_folder(folder, progress, date) as outcome:
        return _built(outcome, path)


def build_tables(
    tables: dict[str, TextTable],
    name: str,
    target: str | os.PathLike[str],
    *,
    progress: Progress | None = None,
) -> BuildResult:
    """As `build`, from tables that were read already; messages call them `name`."""
    path = _usable_target(Path(target))
    with checked_tables(tables, name, progress) as outcome:
        return _built(outcome, path)


def _built(outcome: FolderCheck, path: Path) -> BuildResult:
    if not outcome.result.ok:
        raise CheckFailedError(outcome.result)
    identity = release_id(outcome.folder.tables)
    with _written_beside(path) as building:
        _write(outcome, building, identity)
    rows = {name: len(text.frame) for name, text in outcome.folder.tables.items()}
    return BuildResult(path, identity, outcome.result, rows)


def _usable_target(path: Path) -> Path:
    if not str(path).isprintable() or has_unseen(str(path)):
        raise UsageError(f"{path}: the name has a character that cannot be shown; choose another")
    if path.suffix != ".duckdb":
        raise UsageError(f"{path}: a release is written to a file whose name ends in .duckdb")
    if path.stem in ("towdb_data", "reference", "memory", "system", "temp"):
        # DuckDB names the catalog after the file: towdb_data.eligibility would be ambiguous.
        raise UsageError(f"{path}: this name is taken by a schema or catalog; choose another")
    try:
        if path.is_dir():
            raise UsageError(f"{path}: is a folder; name a file in it")
        if not path.parent.is_dir():
            raise UsageError(f"{path}: there is no folder {path.parent}; create it first")
        if path.exists():
            require_own(path, "towdb_data.release", "release")
        log = path.with_name(f"{path.name}.wal")
        if log.exists():
            # DuckDB would apply it to the new file, find that they do not match, and open neither.
            raise UsageError(f"{path}: another program wrote to it; remove it and {log.name} first")
    except OSError as error:
        raise UsageError(f"{path}: cannot be written ({error.strerror})") from None
    return path


@contextmanager
def _written_beside(path: Path) -> Iterator[Path]:
    building = path.with_name(f".{path.name}.{os.getpid()}-{os.urandom(4).hex()}.building")
    outcome = "cannot be written"
    try:
        _remove_stale(path)
        yield building
        with building.open("rb+") as stream:
            os.fsync(stream.fileno())
        building.replace(path)
        outcome = "is the new release, but a power cut may still undo that"
        sync_folder(path.parent)
    except OSError as error:
        raise UsageError(f"{path}: {outcome} ({error.strerror})") from None
    except (duckdb.OperationalError, duckdb.FatalException) as error:
        # The end of the first line gives the reason; the middle only names a hidden file.
        reason = str(error).splitlines()[0].rpartition(": ")[2][:160]
        raise UsageError(f"{path}: {outcome} ({reason})") from None
    finally:
        for left in (building, Path(f"{building}.wal")):
            # The next build removes what is left.
            with suppress(OSError):
                left.unlink(missing_ok=True)


def _remove_stale(path: Path) -> None:
    own = re.compile(re.escape(f".{path.name}.") + r"(\d{1,9})-[0-9a-f]{8}\.building(\.wal)?")
    remove_left(path.parent.glob(f".{glob.escape(path.name)}.*.building*"), own)


def _write(outcome: FolderCheck, building: Path, identity: str) -> None:
    con = outcome.con
    con.execute(
        f"ATTACH {literal(str(building))} AS building (STORAGE_VERSION '{STORAGE_VERSION}')"
    )
    fill(con, "building", outcome.result.findings, identity)
    con.execute("USE building")
    _comment(con)
    con.execute("USE memory")
    con.execute("CHECKPOINT building")
    con.execute("DETACH building")


def _comment(con: duckdb.DuckDBPyConnection) -> None:
    meanings = {name: table.meaning for name, table in contract().tables.items()}
    meanings |= {name: view_notes(name)[0] for name in DERIVED}
    meanings |= {name: meaning for name, (meaning, _) in METADATA.items()}
    notes = [
        f"COMMENT ON TABLE towdb_data.{name} IS {literal(meaning)}"
        for name, meaning in meanings.items()
    ]
    con.execute(
        "SELECT table_name, column_name FROM duckdb_columns()"
        " WHERE database_name = current_database() AND schema_name = 'towdb_data'"
    )
    notes += [
        f'COMMENT ON COLUMN towdb_data.{name}."{column}" IS {literal(column_note(name, column))}'
        for name, column in con.fetchall()
        if name in meanings
    ]
    # In one transaction: each alone would be written through to the disk.
    con.execute("; ".join(("BEGIN", *notes, "COMMIT")))
