"""A sheet of a workbook as rows of text, row by row, however long it is.

Nothing in it is run: for a formula, the result that the spreadsheet saved is read.
"""

from __future__ import annotations

import itertools
import re
import warnings
import zipfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from typing import Any

from towdb.contract.grammar import Fault, fold
from towdb.contract.model import Field, contract
from towdb.errors import UsageError, did_you_mean
from towdb.intake.files import Part
from towdb.intake.headers import ColumnMap
from towdb.intake.one_file import Sheet, header_of
from towdb.intake.unread_cells import UnreadCell
from towdb.intake.xlsx_cells import cell_text
from towdb.intake.xlsx_scan import DamagedError, Scan, is_filled, scan_sheet

# A million cars of twenty columns need less; a small file could unpack to terabytes.
MAX_UNPACKED = 2_000_000_000
# Compound File Binary, the form of older workbooks and encrypted new ones (MS-CFB 2.2).
_COMPOUND = bytes.fromhex("d0cf11e0a1b11ae1")
_SAVE = "open it in a spreadsheet and save it as .xlsx again, or as CSV"
_STALE = re.compile(rb"""<(?:\w+:)?calcPr\s[^>]*\bfullCalcOnLoad\s*=\s*["'](?:1|true)["']""")
_UNSAVED = Fault(
    "type",
    "a formula whose result is not in the file",
    "open the workbook in a spreadsheet and save it, or type the value itself",
)


@dataclass
class WorkbookSheet(Sheet):
    """A sheet of a workbook whose header was read.

    `worksheet` is its name, `columns` the number of its last column, and `unsaved` has the formulas
    whose results are not in the file.
    """

    worksheet: str = ""
    columns: int = 0
    unsaved: set[tuple[int, int]] = field(default_factory=set)

    def records(self) -> Iterator[tuple[int, list[str]]]:
        """The rows below the header that are not empty, each with its number on the sheet.

        Cells that cannot be read are added to `unread_cells` before their row is yielded.

        Raises
        ------
        UsageError
            If it cannot be read.
        """
        fields = _fields(self)
        with _opened(self.part) as book:
            rows = _rows(self.part, book[self.worksheet], self.columns, self.unsaved)
            for line, cells in itertools.islice(rows, 1, None):
                texts = [self.read(line, at, cell, fields) for at, cell in enumerate(cells)]
                while len(texts) > self.width and not texts[-1]:
                    texts.pop()
                yield line, texts + [""] * (self.width - len(texts))

    def read(self, line: int, at: int, cell: Any, fields: list[Field | None]) -> str:
        """The text of a cell."""
        ours = fields[at] if at < len(fields) else None
        if (line, at + 1) in self.unsaved:
            found: str | tuple[str, Fault] = ("(formula)", _UNSAVED)
        else:
            found = cell_text(ours, cell)
        if isinstance(found, str):
            return found
        shown, wrong = found
        if ours is not None:
            self.unread_cells.append(UnreadCell(line, ours.name, shown, wrong))
        return shown


def open_workbook_sheet(part: Part, by: ColumnMap | None) -> WorkbookSheet:
    """Read the header of a sheet of a workbook.

    Raises
    ------
    UsageError
        If it cannot be read, a column is not known, cells are merged, or it is not clear which
        sheet to read.
    """
    with _opened(part) as book:
        sheet, notes = _chosen(part, book)
        with _damage(part), _stored(book, sheet) as stream:
            scan = scan_sheet(stream)
        if scan.merged:
            raise UsageError(
                f"{part.name}: cells are merged: {scan.merged_ranges()}; all but the first of them"
                " are empty: unmerge them and fill each cell"
            )
        line, cells = next(_rows(part, sheet, scan.columns, scan.unsaved), (1, ()))
        texts = [str(cell_text(None, cell)) for cell in cells]
        with _damage(part):
            is_stale = _is_stale(book)
    unsaved = scan.formulas if is_stale else scan.unsaved
    header = header_of(part, texts, by, line)
    return WorkbookSheet(
        part, header, ["VARCHAR"] * len(texts), worksheet=sheet.title, columns=scan.columns,
        unsaved=unsaved, notes=[*notes, *_hidden(part, scan)],
    )  # fmt: skip


def _hidden(part: Part, scan: Scan) -> Iterator[str]:
    hidden = [
        f"{count:,} {what}"
        for count, what in ((scan.hidden_rows, "row(s)"), (scan.hidden_columns, "column(s)"))
        if count
    ]
    if hidden:
        yield f"{part.name}: {' and '.join(hidden)} hidden in the workbook, read like the others"


def _chosen(part: Part, book: Any) -> tuple[Any, list[str]]:
    """The sheet to read; which of several has the cars is not guessed."""
    sheets = {sheet.title: sheet for sheet in book.worksheets}
    if part.sheet is not None:
        named = [title for title in sheets if title == part.sheet]
        named = named or [title for title in sheets if fold(title) == fold(part.sheet)]
        if len(named) != 1:
            close = did_you_mean(part.sheet, sheets)
            raise UsageError(
                f"{part.name}: the workbook has no sheet of this name{close}; it has"
                f" {_listed([*sheets])}"
            )
        return sheets[named[0]], []
    filled = []
    for title, sheet in sheets.items():
        with _damage(part), _stored(book, sheet) as stream:
            filled += [title] if is_filled(stream) else []
    shown = [title for title in filled if sheets[title].sheet_state == "visible"]
    if len(shown) > 1:
        raise UsageError(
            f"{part.name}: the workbook has {len(shown)} sheets: {_listed(shown)}; name one, as"
            f" {part.path.name}#{shown[0]}"
        )
    if not shown:
        raise UsageError(f"{part.name}: is empty; write the column names first")
    hidden = [title for title in filled if title not in shown]
    return sheets[shown[0]], (
        [f"{part.name}: hidden sheets were not read: {_listed(hidden)}"] if hidden else []
    )


def _listed(titles: list[str]) -> str:
    more = f" and {len(titles) - 8} more" if len(titles) > 8 else ""
    return ", ".join(title[:40] for title in titles[:8]) + more


def _is_stale(book: Any) -> bool:
    """Whether the workbook is marked to be calculated when it is opened.

    Programs that never calculate mark it so; the results that they write may be zeros. openpyxl
    takes a workbook without the mark for one that has it.
    """
    names = [name for name in book._archive.namelist() if name.endswith("workbook.xml")]
    return any(_STALE.search(book._archive.read(name)) for name in names)


def _stored(book: Any, sheet: Any) -> Any:
    # openpyxl has no public name for the file of a sheet, nor for the archive.
    return book._archive.open(sheet._worksheet_path)


@contextmanager
def _opened(part: Part) -> Iterator[Any]:
    """A workbook whose rows are read one by one."""
    try:
        import openpyxl
    except ImportError:
        raise UsageError(
            f"{part.name}: workbooks need openpyxl; install towdb[xlsx], or save it as CSV"
        ) from None
    _refuse_kind(part)
    with _damage(part):
        book = openpyxl.load_workbook(part.path, read_only=True, data_only=True, keep_links=False)
    with closing(book):
        yield book


@contextmanager
def _damage(part: Part) -> Iterator[None]:
    """While openpyxl reads: a damaged part can raise any exception, and no car is read."""
    try:
        with warnings.catch_warnings():
            # Formatting that openpyxl does not know is not read here either; and a number too large
            # for a date is reported as an error of the spreadsheet.
            warnings.simplefilter("ignore")
            yield
    except DamagedError as error:
        raise UsageError(f"{part.name}: not readable as a workbook: {error}; {_SAVE}") from None
    except MemoryError:
        raise
    except Exception:
        raise UsageError(f"{part.name}: is damaged, or not a workbook; {_SAVE}") from None


def _refuse_kind(part: Part) -> None:
    try:
        with part.path.open("rb") as stream:
            beginning = stream.read(len(_COMPOUND))
        if beginning == _COMPOUND:
            raise UsageError(
                f"{part.name}: an older workbook, or one with a password; save it as .xlsx without"
                " one, or as CSV"
            )
        if not beginning:
            raise UsageError(f"{part.name}: is empty; write the column names first")
        with zipfile.ZipFile(part.path) as archive:
            size = sum(each.file_size for each in archive.infolist())
    except OSError as error:
        raise UsageError(
            f"{part.name}: cannot be read: {error.strerror}; make it a readable file"
        ) from None
    except (zipfile.BadZipFile, NotImplementedError, EOFError, ValueError):
        raise UsageError(f"{part.name}: is damaged, or not a workbook; {_SAVE}") from None
    if size > MAX_UNPACKED:
        raise UsageError(
            f"{part.name}: unpacks to more than {MAX_UNPACKED // 1_000_000:,} MB; save it as CSV"
        )


def _rows(
    part: Part, sheet: Any, columns: int, unsaved: set[tuple[int, int]]
) -> Iterator[tuple[int, tuple[Any, ...]]]:
    """The rows that are not empty, up to their last cell that is not."""
    # The size that the file states may be less than its real one.
    sheet.reset_dimensions()
    cells = sheet.iter_rows(max_col=columns)
    for line in itertools.count(1):
        with _damage(part):
            row = next(cells, None)
        if row is None:
            return
        width = len(row)
        while width and row[width - 1].value is None and (line, width) not in unsaved:
            width -= 1
        if width:
            yield line, row[:width]


def _fields(sheet: WorkbookSheet) -> list[Field | None]:
    columns = sheet.header.columns[: sheet.width]
    return [contract().candidate.field(name) if name else None for name in columns]
