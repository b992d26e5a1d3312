"""One file or frame of candidates: its header read, its cells as SQL text, errors in words."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import duckdb

from towdb.contract.model import contract
from towdb.duck.faults import unreadable
from towdb.duck.literals import literal, quoted
from towdb.errors import UsageError
from towdb.files.csv_lines import records
from towdb.files.first_bytes import header_fault
from towdb.files.plain import UnreadableError, open_plain
from towdb.intake.files import Part
from towdb.intake.headers import ColumnMap, Header, named_columns, read_header
from towdb.intake.unread_cells import UnreadCell
from towdb.reference.named_tables import as_name

# Values of these kinds have no single text that everybody would write.
_NO_TEXT = ("STRUCT", "MAP", "UNION", "BLOB", "BIT", "VARIANT", "GEOMETRY")
_ROW_NUMBER = "file_row_number"
# Bytes of a header that are enough to find what separates its cells.
_MOST_OF_HEADER = 1_000_000


@dataclass
class Sheet:
    """A file or frame whose header was read; `query` selects its rows, None: it has `records`.

    `number` is the SQL of a row's number, from 1 on; cells that folders give come after its own.
    `notes` is what a person should know about how it is read; `unread_cells` fills with its rows.
    """

    part: Part
    header: Header
    kinds: list[str]
    query: str | None = None
    number: str = ""
    rows: int = 0
    notes: list[str] = field(default_factory=list)
    unread_cells: list[UnreadCell] = field(default_factory=list)

    @property
    def width(self) -> int:
        """How many cells a row has."""
        return len(self.header.texts) - len(self.part.folders)

    def text(self, at: int) -> str:
        """The SQL of the text of a cell."""
        if at >= self.width:
            value = list(self.part.folders.values())[at - self.width]
            return f"CAST({literal(value)} AS VARCHAR)"
        return _as_text(self.header.texts[at], self.kinds[at])

    def records(self) -> Iterator[tuple[int, list[str]]]:
        """The rows of a CSV file, each with its line.

        Raises
        ------
        UsageError
            If it cannot be read.
        """
        with _unreadable(self.part.path):
            read = records(self.part.path, _delimiter(self.part.path))
            next(read, None)
            yield from read


def open_csv(part: Part, by: ColumnMap | None) -> Sheet:
    """Read the header of a CSV file.

    Raises
    ------
    UsageError
        If it cannot be read, or a column is not known.
    """
    with _unreadable(part.path):
        line, texts = next(records(part.path, _delimiter(part.path)), (1, []))
    wrong = None if named_columns(texts, by) else header_fault(texts, contract().candidate.columns)
    if wrong:
        raise UsageError(f"{part.name}, line {line}: {wrong[0]}; {wrong[1]}")
    return Sheet(part, header_of(part, texts, by), ["VARCHAR"] * len(texts))


def open_parquet(con: duckdb.DuckDBPyConnection, part: Part, by: ColumnMap | None) -> Sheet:
    """Read the header of a Parquet file.

    Raises
    ------
    UsageError
        If it cannot be read, a column is not known, or its values are not text.
    """
    beginning = _beginning(part.path)
    if not beginning.startswith((b"PAR1", b"PARE")):
        what = "is not a Parquet file; correct the end of its name" if beginning else "is empty"
        raise UsageError(f"{part.name}: {what}, or write it again")
    # A name is not a pattern here: rows are identified by their place in one file.
    named = literal(as_name(str(part.path)))
    read = f"read_parquet({named}, hive_partitioning = false, {_ROW_NUMBER} = true)"
    return open_query(con, part, read, f"{_ROW_NUMBER} + 1", by)


def open_query(
    con: duckdb.DuckDBPyConnection, part: Part, read: str, number: str, by: ColumnMap | None
) -> Sheet:
    """Read the header of what DuckDB reads.

    Raises
    ------
    UsageError
        If it cannot be read, a column is not known, or its values are not text.
    """
    with reading_errors(part.name), _numbered(part.name):
        described = con.execute(f"DESCRIBE FROM {read}").fetchall()
        ((rows,),) = con.execute(f"SELECT COUNT(*) FROM {read}").fetchall()
    if number.startswith(_ROW_NUMBER):
        described = [row for row in described if row[0] != _ROW_NUMBER]
    header = header_of(part, [row[0] for row in described], by)
    sheet = Sheet(part, header, [row[1] for row in described], read, number, rows)
    faults = [
        f"{part.name}: column {column} is of type {sheet.kinds[at]}; write it as text"
        for column, at in header.places().items()
        if at < sheet.width
        and (sheet.kinds[at].endswith("]") or sheet.kinds[at].startswith(_NO_TEXT))
    ]
    if faults:
        raise UsageError("\n".join(faults))
    return sheet


def header_of(part: Part, texts: list[str], by: ColumnMap | None, line: int = 1) -> Header:
    """The header of a file, and of the folders that it is in.

    Raises
    ------
    UsageError
        If a column is not known, or is in both.
    """
    header = read_header(f"{part.name}, line {line}", texts, by)
    if not part.folders:
        return header
    folders = read_header(f"{part.name}, its folders", list(part.folders), by)
    twice = [column for column in folders.places() if column in header.places()]
    if twice:
        raise UsageError(
            f"{part.name}: column {twice[0]} is in the file and in the name of its folder;"
            " keep one of them"
        )
    return Header(header.texts + folders.texts, header.columns + folders.columns)


@contextmanager
def reading_errors(name: str) -> Iterator[None]:
    """While something is read: raise what DuckDB finds wrong with it as a `UsageError`."""
    try:
        yield
    except duckdb.Error as error:
        raise unreadable(error, f"{name}:", "write it again") from None


@contextmanager
def _numbered(name: str) -> Iterator[None]:
    try:
        yield
    except duckdb.BinderException as error:
        if _ROW_NUMBER not in str(error):
            raise
        raise UsageError(
            f"{name}: a column is called {_ROW_NUMBER}, as rows are numbered here; rename it"
        ) from None


def _beginning(path: Path) -> bytes:
    with _unreadable(path), open_plain(path) as stream:
        return stream.read(4)


@contextmanager
def _unreadable(path: Path) -> Iterator[None]:
    try:
        yield
    except UnreadableError as error:
        _, message, remedy, line = error.args
        place = f", line {line}" if line else ""
        raise UsageError(f"{path}{place}: {message}; {remedy}") from None


def _delimiter(path: Path) -> str:
    # The names of our columns contain neither.
    with open_plain(path) as stream:
        lines = stream.read(_MOST_OF_HEADER).splitlines()
    header = next((line for line in lines if line.strip()), b"")
    return ";" if header.count(b";") > header.count(b",") else ","


def _as_text(name: str, kind: str) -> str:
    column = quoted(name)
    # A frame has NaN for a missing number, and 2021.0 for a whole one in a column with gaps.
    if kind in ("DOUBLE", "FLOAT"):
        whole = f"trunc({column}) = {column} AND abs({column}) < 1e15"
        return (
            f"CASE WHEN isnan({column}) THEN NULL WHEN {whole}"
            f" THEN CAST(CAST({column} AS BIGINT) AS VARCHAR)"
            f" ELSE CAST({column} AS VARCHAR) END"
        )
    if kind.startswith("DECIMAL"):
        # Programs that keep every number with so many decimals write 2021.0000 and 4400.500000.
        whole = f"regexp_replace(CAST({column} AS VARCHAR), '[.]0+$', '')"
        return f"regexp_replace({whole}, '([.][0-9]{{2,}}?)0+$', '\\1')"
    if kind.startswith("TIMESTAMP"):
        # A moment is one day here and another there: it is read in UTC everywhere.
        is_moment = kind == "TIMESTAMP WITH TIME ZONE"
        moment = f"timezone('UTC', {column})" if is_moment else f"CAST({column} AS TIMESTAMP)"
        text = f"CAST({moment} AS VARCHAR) || '+00'" if is_moment else f"CAST({column} AS VARCHAR)"
        return (
            f"CASE WHEN {moment} = date_trunc('day', {moment})"
            f" THEN CAST(CAST({moment} AS DATE) AS VARCHAR) ELSE {text} END"
        )
    return f"CAST({column} AS VARCHAR)"
