"""The pages of an attached document: their text, by page of the file and by printed page label.

A document may come from anywhere, so all reading is bounded: the file and the text of a page here,
and the rest by pypdf (7.1), which refuses any stream that unpacks to more than 75 MB, any content
of more than 2,000,000 operands and operators, and any page tree of more than 100,000 entries.
"""

from __future__ import annotations

import io
import itertools
import logging
import os
import re
from bisect import bisect
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from towdb.errors import UsageError

if TYPE_CHECKING:
    from pypdf import PdfReader

MAX_FILE = 500_000_000  # bytes; a scanned manual of a thousand pages has some 200 MB
MAX_PAGES = 100_000  # as many as pypdf reads
MAX_PAGE_TEXT = 1_000_000  # characters; a page of small print has 10,000
# A citation of more pages does not cite a page.
MOST_PAGES_NAMED = 4

_PICTURES = (b"\xff\xd8\xff", b"\x89PNG\r\n", b"GIF8", b"II*\x00", b"MM\x00*")
_PAGE_WORD = re.compile(r"\b(?:pages?|pg|pp?)\b\.?\s*|\bpp?\.?\s*(?=\d)", re.IGNORECASE)
_LABEL = re.compile(r"[^\W_][\w.]*(?:[-/][\w.]+)*")
_AND = re.compile(r" ?(?:[,;&]|\band\b) ?")
_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—−", "-"))
# The least distance between the starts of two columns, in characters.
_BETWEEN_COLUMNS = 12
_PIECE = re.compile(r"\S+(?: {1,2}\S+)*")


class _Source(Protocol):
    """What pages are read from: `text` as the file has it, `layout` as the page looks."""

    def __len__(self) -> int: ...
    def text(self, index: int) -> str: ...
    def layout(self, index: int) -> str: ...


@dataclass(frozen=True)
class Named:
    """The pages of the file that a citation names, at most `MOST_PAGES_NAMED`.

    Attributes
    ----------
    numbers : tuple of int
        Pages of the file, counted from 1; empty if none of them is there.
    remark : str
        Why it is empty, or how the pages were found if that is not obvious.
    """

    numbers: tuple[int, ...]
    remark: str = ""


class Pages:
    """The pages of one document. Each is read once, when it is first needed.

    Attributes
    ----------
    count : int
        Number of pages of the file.
    labelled : bool
        Whether the file has labels for its printed pages that do more than count.
    """

    def __init__(self, source: _Source, labels: Sequence[str] | None = None) -> None:
        self._source = source
        self.count = len(source)
        plain = [str(number) for number in range(1, self.count + 1)]
        # Labels that only count come from programs that do not know the printed numbers.
        self.labelled = labels is not None and list(labels) != plain
        self._labels = list(labels) if labels is not None else plain
        self._numbers: dict[str, list[int]] = defaultdict(list)
        for number, label in enumerate(self._labels, 1):
            if label:
                self._numbers[_label(label)].append(number)
        self._read: dict[tuple[str, int], str] = {}
        self._faults: dict[int, str] = {}

    def text(self, number: int) -> str:
        """The text of a page of the file, in the order in which the file has it."""
        return self._once("text", number)

    def columns(self, number: int) -> list[str]:
        """The columns of a page as it looks; none if it has only one."""
        columns = _by_columns(self._once("layout", number))
        return columns if len(columns) > 1 else []

    def fault(self, number: int) -> str:
        """Why a page could not be read; empty if it could, or was not read yet."""
        return self._faults.get(number, "")

    def name(self, number: int) -> str:
        """The name of a page for people: its printed label, or its place in the file."""
        label = self._labels[number - 1]
        return f"p. {label}" if self.labelled and label else f"file page {number}"

    def named(self, locator: str, file_page: str = "") -> Named:
        """The pages that a citation names.

        Parameters
        ----------
        locator : str
            As printed: ``p. 214``, ``page 3-12``, ``Towing, p. 214``, ``pp. 214-215``. A document
            of one page (a door label, a ticket) needs no page.
        file_page : str, optional
            The page of the file, where it differs from the printed one.
        """
        printed = self._printed(locator)
        if not file_page:
            return printed
        number = int(file_page) if re.fullmatch("[0-9]{1,8}", file_page) else 0
        if not 0 < number <= self.count:
            if self.labelled and printed.numbers:
                return Named(
                    printed.numbers, f"the file has no page {file_page}, but a page with that label"
                )
            return Named((), f"the file has {self.count} page(s), and no page {file_page}")
        if not self.labelled or number in printed.numbers:
            return Named((number,))
        # Either may be the mistake: it is reported, whichever page has the quote.
        differ = f"file page {number} is {self.name(number)} by the labels of the file"
        return Named((*printed.numbers, number), differ)

    def _printed(self, locator: str) -> Named:
        after = [locator[word.end() :] for word in _PAGE_WORD.finditer(locator)] or [locator]
        numbers: list[int] = []
        for rest in after:
            numbers += [n for n in self._labelled(rest) if n not in numbers]
        if len(numbers) > MOST_PAGES_NAMED:
            return Named((), f"{locator} names {len(numbers)} pages of the file")
        if numbers:
            return Named(tuple(numbers))
        if _PAGE_WORD.search(locator) or _label(locator).isdecimal():
            kind = "label" if self.labelled else "page"
            return Named((), f"the file has {self.count} page(s), and no {kind} like {locator}")
        if self.count == 1:
            return Named((1,))
        return Named((), f"{locator} names no page; give the file_page")

    def _labelled(self, text: str) -> list[int]:
        """The pages of a label, or of several: "214", "214 and 216", "214-215"."""
        numbers: list[int] = []
        for part in _AND.split(_label(text)):
            found = self._pages_of(part)
            if not found:
                break
            numbers += found
        return numbers

    def _pages_of(self, text: str) -> list[int]:
        if text in self._numbers:
            return self._numbers[text]
        found = _LABEL.match(text)
        if found is None:
            return []
        # A chapter's page "3-12" looks like the pages 3 to 12: the labels of the file decide.
        label = found[0].rstrip(".")
        if label in self._numbers:
            return self._numbers[label]
        first, _, last = label.partition("-")
        if first in self._numbers and last in self._numbers:
            return list(range(self._numbers[first][0], self._numbers[last][-1] + 1))
        return []

    def _once(self, how: str, number: int) -> str:
        if (how, number) not in self._read:
            read = self._source.text if how == "text" else self._source.layout
            try:
                text = read(number - 1)
                if len(text) > MAX_PAGE_TEXT:
                    raise ValueError(f"more than {MAX_PAGE_TEXT:,} characters")
            except Exception as error:  # pypdf may raise anything on a broken page
                text = ""
                if how == "text":
                    self._faults[number] = _error_text(error)
            self._read[how, number] = text
        return self._read[how, number]


def read_pages(path: str | os.PathLike[str]) -> Pages:
    """Open a document: a PDF, a text (form feeds between its pages), or a picture.

    A picture and a scanned page have no text; there is no character recognition.

    Parameters
    ----------
    path : path
        The file.

    Returns
    -------
    Pages

    Raises
    ------
    UsageError
        If there is no such file, it needs a password, is broken or of another kind, or pypdf is
        not installed.
    """
    data = _bytes(Path(path))
    if b"%PDF-" in data[:1024]:
        return _pdf(data, path)
    if data.startswith(_PICTURES) or data[4:8] == b"ftyp" or data[8:12] == b"WEBP":
        return Pages(_Texts([""]))
    texts = _decoded(data, path).rstrip("\n").removesuffix("\f").split("\f", MAX_PAGES)
    if len(texts) > MAX_PAGES:
        raise UsageError(f"{path}: more than {MAX_PAGES:,} pages")
    return Pages(_Texts(texts))


def _bytes(path: Path) -> bytes:
    try:
        # A pipe or a device would be read without end.
        if not path.is_file():
            raise UsageError(f"{path}: no such file")
        if path.stat().st_size > MAX_FILE:
            raise UsageError(f"{path}: larger than {MAX_FILE:,} bytes; attach the pages cited")
        data = path.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise UsageError(f"{str(path)!r:.300}: cannot be read ({reason})") from None
    if not data.strip():
        raise UsageError(f"{path}: the file is empty")
    return data


def _decoded(data: bytes, path: str | os.PathLike[str]) -> str:
    encoding = "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        text = "\0"
    if "\0" in text:
        raise UsageError(
            f"{path}: not a PDF, a picture or a text in UTF-8; attach one of these"
        ) from None
    return text


def _pdf(data: bytes, path: str | os.PathLike[str]) -> Pages:
    try:
        import pypdf
        from pypdf.errors import DependencyError, FileNotDecryptedError
    except ImportError:
        needs = "a PDF is read by pypdf, which is not installed: pip install 'towdb[pdf]'"
        raise UsageError(f"{path}: {needs}") from None
    # What pypdf repairs in a sloppy file is not reported to the user; a handler of the application
    # still gets it.
    logger = logging.getLogger("pypdf")
    if not any(isinstance(each, logging.NullHandler) for each in logger.handlers):
        logger.addHandler(logging.NullHandler())
    try:
        reader = pypdf.PdfReader(io.BytesIO(data))
        source = _Pdf(reader)
    except FileNotDecryptedError:
        raise UsageError(f"{path}: needs a password; attach a copy without one") from None
    except DependencyError:
        needs = "encrypted; reading it needs cryptography: pip install 'towdb[pdf]'"
        raise UsageError(f"{path}: {needs}") from None
    except Exception as error:  # pypdf may raise anything on a broken file
        raise UsageError(f"{path}: not a whole PDF ({_error_text(error)}); save it again") from None
    if not len(source):
        raise UsageError(f"{path}: the PDF has no pages")
    return Pages(source, _labels(reader))


def _labels(reader: PdfReader) -> list[str] | None:
    try:
        return reader.page_labels if "/PageLabels" in reader.root_object else None
    except Exception:  # broken labels count as none; the pages are still there
        return None


def _error_text(error: Exception) -> str:
    return " ".join(str(error).split())[:200] or type(error).__name__


class _Texts:
    """Pages that are text already."""

    def __init__(self, texts: list[str]) -> None:
        self._texts = texts

    def __len__(self) -> int:
        return len(self._texts)

    def text(self, index: int) -> str:
        return self._texts[index]

    layout = text


class _Pdf:
    """Pages of a PDF."""

    def __init__(self, reader: PdfReader) -> None:
        self._pages = list(reader.pages)

    def __len__(self) -> int:
        return len(self._pages)

    def text(self, index: int) -> str:
        return self._pages[index].extract_text()

    def layout(self, index: int) -> str:
        return self._pages[index].extract_text(extraction_mode="layout")


def _label(text: str) -> str:
    return " ".join(text.translate(_DASHES).casefold().split())


def _by_columns(layout: str) -> list[str]:
    pieces = [
        (piece.start(), piece[0])
        for line in layout.splitlines()
        for piece in _PIECE.finditer(line.expandtabs())
    ]
    starts = sorted({start for start, _ in pieces})
    wide = [b for a, b in itertools.pairwise(starts) if b - a > _BETWEEN_COLUMNS]
    columns = [
        [text for start, text in pieces if bisect(wide, start) == n] for n in range(len(wide) + 1)
    ]
    return ["\n".join(column) for column in columns]
