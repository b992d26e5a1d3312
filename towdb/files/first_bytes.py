"""What a file that was taken for CSV really is, by its first bytes and its first line."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence

from towdb.files.plain import UnreadableError

SAVE_AS_UTF8 = "save the file as UTF-8 (in a spreadsheet: CSV UTF-8)"
_SHEET = "open it in a spreadsheet and save its sheet as CSV UTF-8"
_OR_XLSX = "save its sheet as CSV, or give an inventory a name that ends in .xlsx"
# How files begin; compound files are MS-CFB 2.2, among them workbooks from before 2007.
_KINDS = (
    (b"\x1f\x8b", "is packed (gzip)", "unpack it"),
    (b"\x28\xb5\x2f\xfd", "is packed (zstd)", "unpack it"),
    (b"PK\x03\x04", "is a workbook or a packed file", _OR_XLSX),
    (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "is a workbook of an older kind (.xls)", _SHEET),
    (b"PAR1", "is Parquet", "give it a name that ends in .parquet"),
    (b"%PDF-", "is a PDF", "type its rows into a CSV file"),
)
_MARKUP = re.compile(rb"\s*<(?:!doctype|html|table|\?xml)\b", re.IGNORECASE)
# Byte order marks (The Unicode Standard, section 23.8); the one of UTF-32 begins as that of UTF-16.
_UTF_32 = (b"\xff\xfe\0\0", b"\0\0\xfe\xff")
_UTF_16 = (b"\xff\xfe", b"\xfe\xff")
_SEPARATORS = {"\t": "tabs", ";": "semicolons", "|": "vertical bars"}
# A year, a weight, a price, a date, a VIN: a cell of a car, not the name of a column.
_CELL = re.compile(
    r"[$€£]?[+-]?[0-9][0-9 .,'/-]*(?:[a-z]{2,3})?|[A-HJ-NPR-Z0-9]{17}", re.IGNORECASE
)
BEGINNING = 4096


def refuse_beginning(beginning: bytes) -> None:
    """Refuse what does not begin as a text in UTF-8 does.

    Raises
    ------
    UnreadableError
        Naming what it is.
    """
    for mark, message, remedy in _KINDS:
        if beginning.startswith(mark):
            raise UnreadableError("file", message, remedy)
    if _MARKUP.match(beginning.removeprefix(b"\xef\xbb\xbf")):
        raise UnreadableError("file", "is a page of HTML or XML, not CSV", _SHEET)
    if beginning.startswith(_UTF_32):
        raise UnreadableError("encoding", "is UTF-32, not UTF-8", SAVE_AS_UTF8)
    if beginning.startswith(_UTF_16) or _is_every_other_zero(beginning):
        raise UnreadableError("encoding", "is UTF-16, not UTF-8", SAVE_AS_UTF8)


def _is_every_other_zero(beginning: bytes) -> bool:
    """Whether it is UTF-16 without a byte order mark: of plain letters every other byte is zero."""
    pairs = beginning[: len(beginning) // 2 * 2]
    return len(pairs) >= 8 and any(
        zeros.count(0) == len(zeros) and 0 not in letters
        for zeros, letters in ((pairs[::2], pairs[1::2]), (pairs[1::2], pairs[::2]))
    )


def not_utf8(line: bytes) -> str:
    """What is wrong with a line that is not UTF-8."""
    try:
        line.decode("utf-8")
    except UnicodeDecodeError as error:
        wrong = line[error.start : error.start + 1]
        # Text in Windows-1252 has no zero bytes, and five bytes have no character there.
        letter = "" if b"\0" in line else wrong.decode("cp1252", "ignore")
        if letter.isprintable() and letter:
            return f"not UTF-8: the byte {wrong[0]:#04x} is {letter!r} in Windows-1252"
    return "not UTF-8: it is not text, or text in a very rare encoding"


def header_fault(texts: Sequence[str], known: Collection[str]) -> tuple[str, str] | None:
    """What is wrong with a whole header of which no cell is a known name, and what to do.

    Parameters
    ----------
    texts : sequence of str
        Its cells.
    known : collection of str
        Names of columns, to show some of them.
    """
    if not texts:
        return None
    if texts[0].lower().startswith("sep="):
        return "line 1 only names the separator", "delete this line"
    for mark, name in _SEPARATORS.items():
        if sum(text.count(mark) for text in texts) >= len(texts):
            return f"its cells are separated by {name}", "save it as CSV, separated by commas"
    if any(_CELL.fullmatch(text.strip()) for text in texts):
        names = ", ".join(list(known)[:4])
        return (
            "line 1 is a row, not the names of columns",
            f"put a line with the names above it: {names}, …",
        )
    return None
