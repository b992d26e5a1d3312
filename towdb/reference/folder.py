"""Reads a reference folder: files in, one frame of text a table and the faults of the files out."""

from __future__ import annotations

import itertools
import os
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd

from towdb.contract.model import Table, contract
from towdb.duck.connections import connect
from towdb.errors import Finding, UsageError, did_you_mean
from towdb.files.csv_lines import records
from towdb.files.first_bytes import header_fault
from towdb.files.plain import UnreadableError, open_plain
from towdb.files.swap import cut_short

SUFFIXES = (".csv", ".parquet")
# People believe that a table in one of these is read.
_NOT_READ = (".xls", ".xlsx", ".xlsm", ".ods", ".tsv", ".tab")
# A table is kept in memory as text: two million wide rows take some gigabytes.
MAX_BYTES = 1_000_000_000
MAX_ROWS = 2_000_000
# Listed of one kind in one file; a million of them would add nothing.
MAX_LISTED = 1_000
# Looking for the nearest name of each of many thousand columns would take minutes.
MAX_HEADER_FAULTS = 100
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

    `tables` has those that could be read; `findings` what is wrong with the files; `ignored`
    the names of files that are not part of a reference.
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
        If the folder does not exist, cannot be read, or its writer was cut short.
    """
    folder = Folder(Path(path))
    if wrong := cut_short(folder.path):
        raise UsageError(wrong)
    try:
        names = sorted(os.listdir(folder.path))
    except OSError as error:
        raise UsageError(
            f"{path}: cannot be read as a folder ({error.strerror}); name a folder with"
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
        if suffix.lower() in _NOT_READ and stem in contract().tables:
            _refuse_unread(folder, name, names)
        elif suffix.lower() not in SUFFIXES:
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


def _refuse_unread(folder: Folder, name: str, names: list[str]) -> None:
    stem, suffix = os.path.splitext(name)
    if any(f"{stem}{read}" in names for read in SUFFIXES):
        folder.ignored.append(name)
        return
    message = f"a table of the contract, but {suffix} files are not read"
    remedy = f"save it as {stem}.csv, in UTF-8 and separated by commas"
    _fault(folder, name, "table", message, remedy, table=stem)


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
        is_csv = file.suffix.lower() == ".csv"
        read = _read_csv(folder, table, file) if is_csv else _read_parquet(folder, table, file)
    except UnreadableError as error:
        rule, message, remedy, line = error.args
        _fault(folder, file.name, rule, message, remedy, line=line, table=table.name)
        return
    if read is not None:
        header, rows, lines = read
        index = pd.Index(lines, dtype="int64")
        frame = pd.DataFrame(rows, columns=header, index=index, dtype="str")
        frame = frame.reindex(columns=list(table.columns)).astype("str")
        folder.tables[table.name] = TextTable(table, file.name, frame)


Rows = tuple[list[str], list[list[str | None]], list[int]]


def _read_csv(folder: Folder, table: Table, file: Path) -> Rows | None:
    """The rows of a file; None if its header is wrong."""
    read = records(file, most_bytes=MAX_BYTES)
    _, header = next(read, (1, []))
    if not header:
        raise UnreadableError("header", "the file is empty", "write the column names first")
    rows: list[list[str | None]] = []
    lines: list[int] = []
    is_good = _header_is_good(folder, table, file.name, header)
    ragged = 0
    for line, record in read:
        if len(record) != len(header):
            ragged += 1
            _ragged(folder, table, file, line, record, header, ragged)
        elif is_good:
            rows.append([_cell(cell) for cell in record])
            lines.append(line)
        if ragged == MAX_LISTED:
            break
        if len(rows) > MAX_ROWS:
            raise _too_many_rows(line)
    return (header, rows, lines) if is_good else None


def _ragged(
    folder: Folder,
    table: Table,
    file: Path,
    line: int,
    record: list[str],
    header: list[str],
    count: int,
) -> None:
    message = f"{len(record)} cells where the header has {len(header)}"
    remedy = "give the row one cell a column; quote a cell that contains a comma"
    if count == MAX_LISTED:
        message = f"row number {count:,} whose cells do not match the header; no more rows are read"
        remedy = "check that line 1 is the header, and that commas separate the cells"
    _fault(folder, file.name, "ragged", message, remedy, line=line, table=table.name)


def _too_many_rows(line: int | None) -> UnreadableError:
    message = f"has more than {MAX_ROWS:,} rows, the most that a table may have"
    return UnreadableError("size", message, "check that it is the right file", line)


def _cell(text: str) -> str | None:
    # Line ends inside a cell belong to how the file was saved, not to what was typed.
    return (text.replace("\r\n", "\n") if "\r" in text else text) or None


def _read_parquet(folder: Folder, table: Table, file: Path) -> Rows | None:
    """The rows of a file; None if its header is wrong."""
    # DuckDB would wait for ever for the content of a pipe.
    open_plain(file, MAX_BYTES).close()
    with connect() as con:
        try:
            # A file of some kilobytes may contain a billion equal rows.
            con.execute("SELECT COUNT(*) FROM read_parquet($1)", [str(file)])
            if any(count > MAX_ROWS for (count,) in con.fetchall()):
                raise _too_many_rows(None)
            con.execute("SELECT * FROM read_parquet($1)", [str(file)])
            header = [column[0] for column in con.description or ()]
            if not _header_is_good(folder, table, file.name, header):
                return None
            rows = [[_text(cell) for cell in row] for row in con.fetchall()]
        except duckdb.Error as error:
            reason = str(error).splitlines()[0][:120]
            message = f"not readable as Parquet: {reason}"
            raise UnreadableError("file", message, "write it again") from None
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
    # A float has been rounded already, a list or a map is not a cell: the field check refuses it.
    return f"{type(cell).__name__}: {cell}"


def _header_is_good(folder: Folder, table: Table, name: str, header: list[str]) -> bool:
    whole = None if set(header) & set(table.columns) else header_fault(header, table.columns)
    if whole:
        _fault(folder, name, "header", *whole, line=1, table=table.name)
        return False
    faults = _header_faults(table, header)
    wrong = list(itertools.islice(faults, MAX_HEADER_FAULTS))
    for column, message, remedy in wrong:
        _fault(folder, name, "header", message, remedy, line=1, table=table.name, column=column)
    if any(faults):
        message = f"and more, of {len(header):,} columns; {table.name} has {len(table.columns)}"
        remedy = "check that it is the right file, and that line 1 is its header"
        _fault(folder, name, "header", message, remedy, line=1, table=table.name)
    return not wrong


def _header_faults(table: Table, header: list[str]) -> Iterator[tuple[str, str, str]]:
    counts = Counter(header)
    for c in sorted(c for c, count in counts.items() if count > 1):
        yield c, f"column {_short(c)} appears twice", "keep one of them"
    for c in counts:
        if c not in table.columns:
            close = did_you_mean(c, table.columns)
            yield c, f"{table.name} has no column {_short(c)}{close}", "rename or remove it"
    for c in table.columns:
        if c in table.required and c not in counts:
            yield c, f"the column {c} is missing", "add it"


def _short(text: str) -> str:
    return text if len(text) <= 60 else text[:57] + "…"


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
