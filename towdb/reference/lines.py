"""CSV as records with their line numbers: nothing guessed, nothing coerced."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

from towdb.contract.grammar import MAX_CELL


class UnreadableError(Exception):
    """A file that cannot be read as a table: the rule, what is wrong, what to do, and where."""

    def __init__(self, rule: str, message: str, remedy: str, line: int | None = None) -> None:
        super().__init__(rule, message, remedy, line)


def records(file: Path, delimiter: str = ",") -> Iterator[tuple[int, list[str]]]:
    """Each record of a CSV file with the number of its first physical line.

    Blank lines count, but hold no record.

    Raises
    ------
    UnreadableError
        If the file is not UTF-8, not CSV, or cannot be read.
    """
    csv.field_size_limit(MAX_CELL)
    last = 0
    try:
        with file.open(encoding="utf-8-sig", newline="") as stream:
            reader = csv.reader(stream, strict=True, delimiter=delimiter)
            for record in reader:
                line, last = last + 1, reader.line_num
                if record:
                    yield line, record
    except UnicodeDecodeError as error:
        raise UnreadableError(
            "encoding", f"not UTF-8 ({error.reason})", "save the file as UTF-8", _bad_line(file)
        ) from None
    except csv.Error as error:
        remedy = f"mend the quotes; a cell holds at most {MAX_CELL:,} characters"
        message = f"not readable as CSV: {error}"
        raise UnreadableError("csv", message, remedy, last + 1) from None
    except OSError as error:
        message = f"cannot be read: {error.strerror}"
        raise UnreadableError("file", message, "make it a readable file") from None


def _bad_line(file: Path) -> int | None:
    # The reader decodes ahead of the records: only the bytes tell where the fault is.
    with file.open("rb") as stream:
        for number, line in enumerate(stream, start=1):
            try:
                line.decode("utf-8")
            except UnicodeDecodeError:
                return number
    return None
