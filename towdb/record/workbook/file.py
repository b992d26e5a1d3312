"""Opens the file of a workbook, after checking that it can be opened safely."""

from __future__ import annotations

import io
import os
import re
import warnings
import zipfile
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

from towdb.contract.grammar import Fault
from towdb.errors import UsageError
from towdb.files.plain import UnreadableError, read_plain

if TYPE_CHECKING:
    from openpyxl import Workbook

# The template unpacks to 1 MB with 30,000 tags; a page adds 1,000. A file of 60 kB can have ten
# million empty cells, which take 4 GB and minutes to read: a million tags take a tenth of that.
MAX_FILE = 8_000_000
MAX_UNPACKED = 40_000_000
MAX_TAGS = 1_000_000
MAX_PARTS = 1_000
MAX_MERGED = 100_000

_SAVE = "save it as .xlsx"
# Compound File Binary, the format of older workbooks and encrypted new ones (MS-CFB 2.2).
_COMPOUND = bytes.fromhex("d0cf11e0a1b11ae1")
# Name of the stream of an encrypted workbook (MS-OFFCRYPTO 2.3.4.4).
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
_RANGE = re.compile(
    rb"""<(?:\w+:)?(?:mergeCell|hyperlink)\s[^>]*?\bref=["']([A-Z]+)([0-9]+):([A-Z]+)([0-9]+)["']"""
)
_PIECE = 1 << 20
# Every sheet has one, even an empty one (ECMA-376 Part 1, 18.3.1.80).
_ROWS = re.compile(rb"<(?:\w+:)?sheetData\b")
_DRAWN = re.compile(r"xl/(?:media|charts|embeddings)/|xl/drawings/drawing[0-9]+\.xml$")


def open_workbook(path: str | os.PathLike[str]) -> Workbook | Fault:
    """A workbook, or why it is not opened.

    Nothing in it is executed: formulas stay formulas, macros and links are refused.

    Raises
    ------
    UsageError
        If there is no such file, or openpyxl is missing.
    """
    if find_spec("openpyxl") is None:
        raise UsageError("workbooks need openpyxl; install towdb[xlsx]")
    data = _bytes(Path(path))
    if isinstance(data, Fault):
        return data
    try:
        return _kind_fault(Path(path).suffix.lower(), data) or _read(data)
    except Exception:
        # A damaged part can raise anything, also while it is unpacked; the message is about the
        # inside of a library and does not help the person who types.
        return _DAMAGED


def _read(data: bytes) -> Workbook | Fault:
    from openpyxl.reader.excel import ExcelReader

    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        wrong = _archive_fault(archive)
        if wrong:
            return wrong
        with warnings.catch_warnings():
            # Formatting that openpyxl does not know is not read here either.
            warnings.simplefilter("ignore")
            reader = ExcelReader(io.BytesIO(data), keep_links=False)
            reader.read()
            return _sheets_fault(reader, archive) or reader.wb


def _sheets_fault(reader: Any, archive: zipfile.ZipFile) -> Fault | None:
    """A sheet that is named but missing: openpyxl reads the others, and its rows are lost."""
    present = set(archive.namelist())
    # A sheet that is a chart has no rows.
    whole = {
        id(sheet)
        for sheet, part in reader.parser.find_sheets()
        if part.target in present
        and ("chartsheet" in part.Type or _ROWS.search(archive.read(part.target)))
    }
    lost = [repr(sheet.name[:40]) for sheet in reader.parser.sheets if id(sheet) not in whole]
    if not lost:
        return None
    what = f"is not a readable workbook: nothing is left of its sheet {', '.join(lost[:3])}"
    return Fault("file", what, _ANEW)


def _bytes(path: Path) -> bytes | Fault:
    try:
        return read_plain(path, MAX_FILE)
    except UnreadableError as error:
        rule, message, remedy, _ = error.args
        if rule == "size":
            return Fault(
                "file",
                f"larger than {MAX_FILE // 1_000_000} MB",
                "remove pictures and empty rows, or enter its pages in several workbooks",
            )
        if message.startswith("cannot be read: "):
            raise UsageError(f"{path}: {message.replace(': ', ' (', 1)})") from None
        raise UsageError(f"{path}: {message}; {remedy}") from None


def _kind_fault(suffix: str, data: bytes) -> Fault | None:
    if data.startswith(_COMPOUND):
        if _ENCRYPTED in data:
            return Fault("file", "encrypted with a password", "save it without one")
        return Fault("file", "a workbook in an older format", f"open it and {_SAVE}")
    if suffix in (".xlsm", ".xltm"):
        return _macros()
    if suffix != ".xlsx":
        return Fault(
            "file", f"not a workbook in a format that is read: {suffix or 'no ending'}", _SAVE
        )
    return None


def _macros() -> Fault:
    return Fault("file", "a workbook with macros", f"{_SAVE}, which has none")


_ANEW = "copy it again from the original, or open it in a spreadsheet and save it again"
_DAMAGED = Fault(
    "file", "is not a readable workbook: it is damaged, cut short, or something else", _ANEW
)
_TOO_BIG = Fault(
    "file",
    "is not a readable workbook: it"
    f" unpacks to more than {MAX_UNPACKED // 1_000_000} MB or {MAX_TAGS // 1_000_000} million tags",
    "delete empty rows and columns that are only formatted, and save it again",
)


def _archive_fault(archive: zipfile.ZipFile) -> Fault | None:
    parts = archive.infolist()
    if len(parts) > MAX_PARTS or sum(part.file_size for part in parts) > MAX_UNPACKED:
        return _TOO_BIG
    if len({part.filename for part in parts}) < len(parts):
        return Fault("file", "is not a readable workbook: one of its parts occurs twice", _ANEW)
    if any(part.flag_bits & 1 for part in parts):
        return Fault("file", "encrypted with a password", "save it without one")
    if any(part.filename.lower().endswith("vbaproject.bin") for part in parts):
        return _macros()
    if any(part.filename.startswith("xl/externalLinks/") for part in parts):
        return Fault("file", "it refers to other workbooks", "type the values themselves")
    tags = MAX_TAGS
    for part in parts:
        text = _unpacked(archive, part)
        tags -= text.count(b"<")
        wrong = _TOO_BIG if tags < 0 else _part_fault(part.filename, text)
        if wrong:
            return wrong
    return None


def _unpacked(archive: zipfile.ZipFile, part: zipfile.ZipInfo) -> bytes:
    # In pieces: read at once, a part that declares less than it contains would be unpacked whole.
    # In pieces it ends at its declared size, and its checksum is wrong.
    with archive.open(part) as stream:
        return b"".join(iter(lambda: stream.read(_PIECE), b""))


def _part_fault(name: str, text: bytes) -> Fault | None:
    if name == "[Content_Types].xml" and b"macroEnabled" in text:
        return _macros()
    if name.endswith((".xml", ".rels")) and (b"<!DOCTYPE" in text or b"<!ENTITY" in text):
        what = "is not a readable workbook: it declares entities, as no spreadsheet does"
        return Fault("file", what, _SAVE)
    if _DRAWN.match(name):
        return Fault(
            "file",
            "it contains pictures, charts or text boxes, which are not read",
            "delete them; attach a page to its source instead",
        )
    if sum(_cells(*match.groups()) for match in _RANGE.finditer(text)) > MAX_MERGED:
        return Fault("merged", "cells are merged, or linked, over a whole sheet", "undo it")
    return None


def _cells(left: bytes, top: bytes, right: bytes, bottom: bytes) -> int:
    def number(letters: bytes) -> int:
        total = 0
        for letter in letters:
            total = total * 26 + letter - 64
        return total

    return (number(right) - number(left) + 1) * (int(bottom) - int(top) + 1)
