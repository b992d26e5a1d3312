"""`check`: a reference folder in, findings out."""

from __future__ import annotations

import datetime
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd

from towdb.contract.model import contract
from towdb.contract.typed import read_date
from towdb.duck.connections import NO_OPTIMIZER, connect, settle
from towdb.errors import Finding, failure, findings_document, findings_frame
from towdb.reference.fields import field_findings, is_cut
from towdb.reference.folder import Folder, TextTable, read_folder
from towdb.reference.opening import attach, release_read
from towdb.reference.rules import rule_findings, rules, stage
from towdb.reference.unaltered import altered, derived_otherwise, text_tables
from towdb.version import __version__

# For so few rows, planning the rules takes longer than running them as they are written.
FEW_ROWS = 5_000

# Called with what is being done, how many steps are done and how many there are.
Progress = Callable[[str, int, int], None]


@dataclass(frozen=True)
class CheckResult:
    """What `check` found.

    Attributes
    ----------
    folder : str
        The folder, as named by the caller.
    found : tuple of Finding
        All findings, by file and line.
    ignored : tuple of str
        Files of the folder that are not part of a reference.
    """

    folder: str
    found: tuple[Finding, ...]
    ignored: tuple[str, ...] = field(default=())

    @property
    def findings(self) -> pd.DataFrame:
        """The findings as a frame of ten columns, one row each."""
        return findings_frame(self.found)

    @property
    def errors(self) -> int:
        """How many findings are errors."""
        return sum(finding.severity == "error" for finding in self.found)

    @property
    def warnings(self) -> int:
        """How many findings are warnings."""
        return len(self.found) - self.errors

    @property
    def ok(self) -> bool:
        """Whether no finding is an error."""
        return self.errors == 0

    def document(self) -> dict[str, Any]:
        """All of it for JSON; the findings, one by one, once."""
        return {
            "ok": self.ok,
            "errors": self.errors,
            "warnings": self.warnings,
            "findings": findings_document(self.found),
        }

    def raise_if_failed(self) -> None:
        """Raise if there are errors.

        Raises
        ------
        DataError
            Naming the number of errors and the first of them.
        """
        if not self.ok:
            first = next(finding for finding in self.found if finding.severity == "error")
            raise failure(str(self.folder), str(self.errors), first)


@dataclass
class FolderCheck:
    """A checked folder: what was read, what was found, and the relations made from it."""

    folder: Folder
    result: CheckResult
    con: duckdb.DuckDBPyConnection


def check(
    folder: str | os.PathLike[str],
    *,
    on: datetime.date | str | None = None,
    progress: Progress | None = None,
) -> CheckResult:
    """Check a reference folder against the contract, or a release against what it was built with.

    Parameters
    ----------
    folder : path
        A folder of one CSV or Parquet file a table; or a release, of which every row is read: its
        rows against the contract, its tables against their digests, its id, and what is derived.
    on : date or str, optional
        Date for withdrawals and effective dates; today by default.
    progress : callable, optional
        Called before each step with its name, the number of steps done, and of all steps.

    Returns
    -------
    CheckResult

    Raises
    ------
    UsageError
        If the folder does not exist, a file is not a release, or the date is not a date.
    """
    if Path(folder).suffix == ".duckdb" and Path(folder).is_file():
        return _check_release(Path(folder), progress, read_date(on))
    with checked_folder(folder, progress, read_date(on)) as outcome:
        return outcome.result


def _check_release(path: Path, progress: Progress | None, on: datetime.date | None) -> CheckResult:
    con, release_info = attach(path)
    try:
        with release_read(path):
            tables = text_tables(con, "reference", path.name)
            with checked_tables(tables, str(path), progress, on) as outcome:
                result = outcome.result
            wrong = list(altered(con, "reference", release_info, tables))
            if not (wrong or result.errors):
                wrong = list(derived_otherwise(con, "reference", release_info, tables))
    finally:
        con.close()
    found = [
        Finding(path.name, None, table, None, None, None, rule, "error", message,
                "build the release again")
        for rule, table, message in wrong
    ]  # fmt: skip
    # Rows of a release have no line.
    found += (replace(finding, line=None) for finding in result.found)
    if release_info[2] != __version__:
        found.append(_of_another_towdb(path.name, release_info[2]))
    return CheckResult(str(path), tuple(found))


def _of_another_towdb(name: str, version: str) -> Finding:
    return Finding(
        name, None, None, None, None, None, "derived", "warning",
        f"towdb {version} built it, so what is derived was compared with its digests only",
        "build the release again",
    )  # fmt: skip


@contextmanager
def checked_folder(
    path: str | os.PathLike[str],
    progress: Progress | None = None,
    on: datetime.date | None = None,
) -> Iterator[FolderCheck]:
    """Read and check a folder; the relations made from it live as long as the context."""
    step = _Steps(progress)
    folder = read_folder(path, lambda name: step(f"reading {name}"))
    with _checked(folder, step, on) as outcome:
        yield outcome


@contextmanager
def checked_tables(
    tables: dict[str, TextTable],
    name: str,
    progress: Progress | None = None,
    on: datetime.date | None = None,
) -> Iterator[FolderCheck]:
    """Check tables that were read already."""
    folder = Folder(Path(name), tables)
    with _checked(folder, _Steps(progress, read=False), on) as outcome:
        yield outcome


@contextmanager
def _checked(
    folder: Folder, step: _Steps, on: datetime.date | None = None
) -> Iterator[FolderCheck]:
    found = list(folder.findings)
    with connect() as con:
        for text in folder.tables.values():
            step(f"checking {text.table.name}")
            found += field_findings(text)
        if not folder.findings and not is_cut(found):
            step("preparing the rules")
            if sum(len(text.frame) for text in folder.tables.values()) <= FEW_ROWS:
                settle(con, NO_OPTIMIZER)
            stage(con, _without_faulty_cells(folder.tables, found), on)
            faulty = {(finding.file, finding.line, finding.column) for finding in found}
            for rule in rules():
                step(rule.name.replace("_", " "))
                found += (
                    finding
                    for finding in rule_findings(con, folder.tables, [rule])
                    if (finding.file, finding.line, finding.column) not in faulty
                )
        found.sort(key=_place)
        result = CheckResult(str(folder.path), tuple(found), tuple(folder.ignored))
        yield FolderCheck(folder, result, con)


class _Steps:
    def __init__(self, progress: Progress | None, *, read: bool = True) -> None:
        self.progress = progress
        self.done = 0
        self.total = (1 + read) * len(contract().tables) + 1 + len(rules())

    def __call__(self, name: str) -> None:
        if self.progress:
            self.progress(name, self.done, self.total)
        self.done += 1


def _without_faulty_cells(
    tables: dict[str, TextTable], found: list[Finding]
) -> dict[str, TextTable]:
    # A rule that fails on a cell already reported would report the same fault twice. Ids stay:
    # without them every row that points at this one would be reported too.
    clean = {}
    for name, text in tables.items():
        cells = {
            (finding.line, finding.column)
            for finding in found
            if finding.table == name and finding.value is not None
        }
        frame = text.frame.copy() if cells else text.frame
        for line, column in cells:
            if text.table.field(str(column)).type not in ("id", "ids"):
                frame.loc[line, str(column)] = None
        clean[name] = TextTable(text.table, text.file, frame)
    return clean


def _place(finding: Finding) -> tuple[str, int, int, str]:
    table = contract().tables.get(finding.table or "")
    columns = table.columns if table else ()
    column = columns.index(finding.column) if finding.column in columns else -1
    return (finding.file, finding.line or 0, column, finding.rule)
