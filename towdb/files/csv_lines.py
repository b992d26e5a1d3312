"""CSV as records with their line numbers: nothing guessed, nothing coerced."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from towdb.contract.grammar import MAX_CELL
from towdb.files.first_bytes import BEGINNING, SAVE_AS_UTF8, not_utf8, refuse_beginning
from towdb.files.plain import UnreadableError, open_plain

if TYPE_CHECKING:
    from _typeshed import WriteableBuffer as Buffer

# As many columns as a sheet of a spreadsheet has, and ten cells of the greatest length.
MAX_COLUMNS = 16_384
MAX_RECORD = 10 * MAX_CELL


def records(
    file: Path, delimiter: str = ",", most_bytes: int | None = None
) -> Iterator[tuple[int, list[str]]]:
    """Each record of a CSV file with the number of its first physical line.

    Blank lines are counted, but are not records.

    Parameters
    ----------
    file : Path
        The file.
    delimiter : str
        What separates its cells.
    most_bytes : int, optional
        How large it may be.

    Raises
    ------
    UnreadableError
        If the file is not UTF-8, not CSV, or cannot be read.
    """
    csv.field_size_limit(MAX_CELL)
    last = 0
    try:
        with open_plain(file, most_bytes) as raw:
            beginning = raw.read(BEGINNING)
            refuse_beginning(beginning)
            raw.seek(0)
            watched = _Watched(raw)
            stream = io.TextIOWrapper(io.BufferedReader(watched), "utf-8-sig", newline="")
            reader = csv.reader(stream, strict=True, delimiter=delimiter)
            for record in reader:
                line, last = last + 1, reader.line_num
                watched.since = 0
                if len(record) > MAX_COLUMNS:
                    raise _too_wide(record, line)
                if record:
                    yield line, record
    except UnicodeDecodeError:
        number, bad = _bad_line(file)
        raise UnreadableError("encoding", not_utf8(bad), SAVE_AS_UTF8, number) from None
    except csv.Error as error:
        remedy = f"correct the quotes; a cell may have at most {MAX_CELL:,} characters"
        message = f"not readable as CSV: {error}"
        raise UnreadableError("csv", message, remedy, last + 1) from None
    except _TooLongError:
        message = f"a row of more than {MAX_RECORD:,} bytes"
        remedy = "correct the quotes, and end each row with a line end"
        raise UnreadableError("csv", message, remedy, last + 1) from None
    except OSError as error:
        message = f"cannot be read: {error.strerror}"
        raise UnreadableError("file", message, "make it a readable file") from None


class _TooLongError(Exception):
    """A record that would fill the memory before it ends."""


class _Watched(io.RawIOBase):
    """Bytes of a file, and how many came since the last record: looked at once a block."""

    def __init__(self, stream: BinaryIO) -> None:
        self.stream, self.since = stream, 0

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: Buffer) -> int:
        with memoryview(buffer) as view:
            block = self.stream.read(len(view))
            view[: len(block)] = block
        self.since += len(block)
        if self.since > MAX_RECORD:
            raise _TooLongError
        return len(block)


def _too_wide(record: list[str], line: int) -> UnreadableError:
    message = f"a row of {len(record):,} cells, at most {MAX_COLUMNS:,} are read"
    remedy = "check that it is the right file; keep only the columns that are needed"
    return UnreadableError("columns", message, remedy, line)


def _bad_line(file: Path) -> tuple[int | None, bytes]:
    # The reader decodes ahead of the records: only the bytes show where the fault is.
    with open_plain(file) as stream:
        for number, line in enumerate(iter(lambda: stream.readline(MAX_RECORD), b""), start=1):
            try:
                line.decode("utf-8")
            except UnicodeDecodeError:
                return number, line
    return None, b""
