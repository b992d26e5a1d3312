"""Reads a reference folder: files in, one frame of text a table and the faults of the files out."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd

from towdb.contract.model import Table, contract
from towdb.errors import Finding, UsageError, did_you_mean
from towdb.reference.lines import UnreadableError, records
from towdb.reference.opening import connect
from towdb.reference.swap import cut_short

SUFFIXES = (".csv", ".parquet")
DESCRIPTOR = "datapackage.json"


@dataclass
class TextTable:
    """One table as text: empty cells null, the index the first physical line of each record."""

    table: Table
    file: str
    frame: pd.DataFrame


@dataclass
class Folder:
    """A reference folder as read.

    `tables` holds those that could be read; `findings` what is wrong with the files; `ignored`
    the names of files that are none of ours.
    """

    path: Path
    tables: dict[str, TextTable] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    ignored: list[str] = field(default_factory=list)


def read_folder(
    path: str | os.PathLike[str], advance: Callable[[str], None], *, is_whole: bool = True
) -> Folder:
    """Read every table of a reference folder as text.

    Parameters
    ----------
    path : path
        The folder.
    advance : callable
        Called with the name of each table before it is read.
    is_whole : bool
        Whether the tables that every reference has must be there; a folder of new rows may lack
        them.

    Raises
    ------
    UsageError
        If there is no such folder, it cannot be read, or its writer was cut short.
    """
    folder = Folder(Path(path))
    if wrong := cut_short(folder.path):
        raise UsageError(wrong)
    try:
        names = sorted(os.listdir(folder.path))
    except OSError as error:
        raise UsageError(
            f"{path}: cannot be read as a folder ({error.strerror}); name a folder that holds"
            " source.csv, vehicle_group.csv and eligibility.csv"
        ) from None
    for table, file in _files(folder, names):
        advance(table.name)
        _read_table(folder, table, file)
    if is_whole:
        _require_tables(folder, names)
    return folder


def _files(folder: Folder, names: list[str]) -> Iterator[tuple[Table, Path]]:
    taken: dict[str, str] = {}
    for name in names:
        stem, suffix = os.path.splitext(name)
        if suffix.lower() not in SUFFIXES:
            if name != DESCRIPTOR:
                folder.ignored.append(name)
        elif stem not in contract().tables:
            close = did_you_mean(stem, contract().tables)
            _fault(folder, name, "table", f"the contract has no table {stem}{close}", "rename it")
        elif stem in taken:
            _fault(folder, name, "table", f"{taken[stem]} holds the same table", "keep one of them")
        else:
            taken[stem] = name
            yield contract().tables[stem], folder.path / name


def _require_tables(folder: Folder, names: list[str]) -> None:
    stems = {os.path.splitext(name)[0] for name in names if name.lower().endswith(SUFFIXES)}
    for table in contract().tables.values():
        if table.must_exist and table.name not in stems:
            _fault(
                folder,
                f"{table.name}.csv",
                "table",
                "the folder lacks this table",
                "add the file; a header alone is an empty table",
            )


def _read_table(folder: Folder, table: Table, file: Path) -> None:
    try:
        if file.suffix.lower() == ".csv":
            header, rows, lines = _read_csv(folder, table, file)
        else:
            header, rows, lines = _read_parquet(file)
    except UnreadableError as error:
        rule, message, remedy, line = error.args
        _fault(folder, file.name, rule, message, remedy, line=line, table=table.name)
        return
    if _header_is_good(folder, table, file.name, header):
        index = pd.Index(lines, dtype="int64")
        frame = pd.DataFrame(rows, columns=header, index=index, dtype="str")
        frame = frame.reindex(columns=list(table.columns)).astype("str")
        folder.tables[table.name] = TextTable(table, file.name, frame)


Rows = tuple[list[str], list[list[str | None]], list[int]]


def _read_csv(folder: Folder, table: Table, file: Path) -> Rows:
    header: list[str] = []
    rows: list[list[str | None]] = []
    lines: list[int] = []
    for line, record in records(file):
        if not header:
            header = record
        elif len(record) == len(header):
            rows.append([_cell(cell) for cell in record])
            lines.append(line)
        else:
            _fault(
                folder,
                file.name,
                "ragged",
                f"{len(record)} cells where the header has {len(header)}",
                "give the row one cell a column; quote a cell that holds a comma",
                line=line,
                table=table.name,
            )
    if not header:
        raise UnreadableError("header", "the file is empty", "write the column names first")
    return header, rows, lines


def _cell(text: str) -> str | None:
    # Line ends inside a cell belong to how the file was saved, not to what was typed.
    return (text.replace("\r\n", "\n") if "\r" in text else text) or None


def _read_parquet(file: Path) -> Rows:
    with connect() as con:
        try:
            con.execute("SELECT * FROM read_parquet($1)", [str(file)])
            header = [column[0] for column in con.description or ()]
            rows = [[_text(cell) for cell in row] for row in con.fetchall()]
        except duckdb.Error as error:
            reason = str(error).splitlines()[0][:120]
            message = f"not readable as Parquet: {reason}"
            raise UnreadableError("file", message, "write it anew") from None
    return header, rows, list(range(2, len(rows) + 2))


def _text(cell: Any) -> str | None:
    match cell:
        case None | "":
            return None
        case bool():
            return "yes" if cell else "no"
        case Decimal():
            text = f"{cell:f}"
            return text.rstrip("0").rstrip(".") if "." in text else text
        case str():
            return _cell(cell)
        case int():
            return str(cell)
        case date():
            return cell.isoformat()
    # A float has been rounded already, a list or a map is no cell: the field check refuses it.
    return f"{type(cell).__name__}: {cell}"


def _header_is_good(folder: Folder, table: Table, name: str, header: list[str]) -> bool:
    wrong = [
        (c, f"column {c} stands twice", "keep one of them")
        for c in sorted({c for c in header if header.count(c) > 1})
    ]
    wrong += [
        (
            c,
            f"{table.name} has no column {c}{did_you_mean(c, table.columns)}",
            "rename or remove it",
        )
        for c in dict.fromkeys(header)
        if c not in table.columns
    ]
    wrong += [
        (c, f"the column {c} is missing", "add it")
        for c in table.columns
        if c in table.required and c not in header
    ]
    for column, message, remedy in wrong:
        _fault(folder, name, "header", message, remedy, line=1, table=table.name, column=column)
    return not wrong


def _fault(
    folder: Folder,
    file: str,
    rule: str,
    message: str,
    remedy: str,
    *,
    line: int | None = None,
    table: str | None = None,
    column: str | None = None,
) -> None:
    folder.findings.append(
        Finding(file, line, table, None, column, None, rule, "error", message, remedy)
    )
