"""Opens the file of a workbook, once it is known to be one that can be opened safely."""

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

# The template unpacks to 1 MB with 30,000 tags; a page adds 1,000. A file of 60 kB could hold ten
# million empty cells, which take 4 GB and minutes to read: of a million tags it is a tenth.
MAX_FILE = 8_000_000
MAX_UNPACKED = 40_000_000
MAX_TAGS = 1_000_000
MAX_PARTS = 1_000
MAX_MERGED = 100_000

_SAVE = "save it as .xlsx"
# Compound File Binary, which holds older workbooks and encrypted new ones (MS-CFB 2.2).
_COMPOUND = bytes.fromhex("d0cf11e0a1b11ae1")
# Name of the stream that holds an encrypted workbook (MS-OFFCRYPTO 2.3.4.4).
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
_RANGE = re.compile(
    rb"""<(?:\w+:)?(?:mergeCell|hyperlink)\s[^>]*?\bref=["']([A-Z]+)([0-9]+):([A-Z]+)([0-9]+)["']"""
)
_PIECE = 1 << 20
# A sheet has one, be it empty (ECMA-376 Part 1, 18.3.1.80).
_ROWS = re.compile(rb"<(?:\w+:)?sheetData\b")
_DRAWN = re.compile(r"xl/(?:media|charts|embeddings)/|xl/drawings/drawing[0-9]+\.xml$")


def open_workbook(path: str | os.PathLike[str]) -> Workbook | Fault:
    """A workbook, or why it is not opened.

    Nothing in it is carried out: formulas stay formulas, macros and links are refused.

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
        # A damaged part can raise anything, in what unpacks it too. What it raises speaks of the
        # inside of a library, and whatever it is, there is no workbook to read.
        return _DAMAGED


def _read(data: bytes) -> Workbook | Fault:
    from openpyxl.reader.excel import ExcelReader

    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        wrong = _archive_fault(archive)
        if wrong:
            return wrong
        with warnings.catch_warnings():
            # What openpyxl does not know of a workbook's looks is not read here either.
            warnings.simplefilter("ignore")
            reader = ExcelReader(io.BytesIO(data), keep_links=False)
            reader.read()
            return _sheets_fault(reader, archive) or reader.wb


def _sheets_fault(reader: Any, archive: zipfile.ZipFile) -> Fault | None:
    """A sheet that is named and not there: openpyxl reads the others, and its rows are lost."""
    present = set(archive.namelist())
    # A sheet that is a chart holds no rows.
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
                "take pictures and empty rows out, or enter its pages in several workbooks",
            )
        if message.startswith("cannot be read: "):
            raise UsageError(f"{path}: {message.replace(': ', ' (', 1)})") from None
        raise UsageError(f"{path}: {message}; {remedy}") from None


def _kind_fault(suffix: str, data: bytes) -> Fault | None:
    if data.startswith(_COMPOUND):
        if _ENCRYPTED in data:
            return Fault("file", "encrypted with a password", "save it without one")
        return Fault("file", "a workbook of an older kind", f"open it and {_SAVE}")
    if suffix in (".xlsm", ".xltm"):
        return _macros()
    if suffix != ".xlsx":
        return Fault(
            "file", f"not a workbook of a kind that is read: {suffix or 'no ending'}", _SAVE
        )
    return None


def _macros() -> Fault:
    return Fault("file", "a workbook with macros", f"{_SAVE}, which holds none")


_ANEW = "copy it once more from where it is whole, or open it in a spreadsheet and save it anew"
_DAMAGED = Fault(
    "file", "is not a readable workbook: it is damaged, cut short, or something else", _ANEW
)
_TOO_BIG = Fault(
    "file",
    "is not a readable workbook: it"
    f" unpacks to more than {MAX_UNPACKED // 1_000_000} MB or {MAX_TAGS // 1_000_000} million tags",
    "delete empty rows and columns that are only formatted, and save it anew",
)


def _archive_fault(archive: zipfile.ZipFile) -> Fault | None:
    parts = archive.infolist()
    if len(parts) > MAX_PARTS or sum(part.file_size for part in parts) > MAX_UNPACKED:
        return _TOO_BIG
    if len({part.filename for part in parts}) < len(parts):
        return Fault("file", "is not a readable workbook: a part of it is there twice", _ANEW)
    if any(part.flag_bits & 1 for part in parts):
        return Fault("file", "encrypted with a password", "save it without one")
    if any(part.filename.lower().endswith("vbaproject.bin") for part in parts):
        return _macros()
    if any(part.filename.startswith("xl/externalLinks/") for part in parts):
        return Fault("file", "it draws on other workbooks", "type the values themselves")
    tags = MAX_TAGS
    for part in parts:
        text = _unpacked(archive, part)
        tags -= text.count(b"<")
        wrong = _TOO_BIG if tags < 0 else _part_fault(part.filename, text)
        if wrong:
            return wrong
    return None


def _unpacked(archive: zipfile.ZipFile, part: zipfile.ZipInfo) -> bytes:
    # In pieces: read at once, a part that declares less than it holds would be unpacked whole.
    # Read so, it ends where it says it does, and its checksum is wrong.
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
            "it holds pictures, charts or text boxes, which are not read",
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
