"""The files of an inventory: one, those that a pattern matches, or those of a folder."""

from __future__ import annotations

import glob
import os
import urllib.parse
from array import array
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from fnmatch import fnmatch
from pathlib import Path

from towdb.contract.model import contract
from towdb.errors import UsageError
from towdb.files.plain import UnreadableError, open_plain

SUFFIXES = (".csv", ".parquet", ".xlsx")
_SHEET = ".xlsx#"
# Names that spreadsheets give to files beside a workbook that is open.
_OPEN = "~$"
# The folder of rows without a value, as Hive names it, and writers of partitions since.
_NO_VALUE = "__HIVE_DEFAULT_PARTITION__"


@dataclass(frozen=True)
class Part:
    """One file, its name in messages, and the cells that its folders give.

    `folders` has the cells in the names of folders, such as ``model_year=2021``; `sheet`
    is the sheet of a workbook that a person named.
    """

    path: Path
    name: str
    folders: dict[str, str | None] = field(default_factory=dict)
    sheet: str | None = None

    @property
    def is_parquet(self) -> bool:
        """Whether it is Parquet."""
        return self.path.suffix.lower() == ".parquet"

    @property
    def is_workbook(self) -> bool:
        """Whether it is a workbook; all else is read as CSV."""
        return self.path.suffix.lower() == ".xlsx"


def find_parts(source: Path) -> tuple[list[Part], list[str]]:
    """The files of an inventory in the order of their names, and other files in its folder.

    A name is a pattern only if no file has that name.

    Raises
    ------
    UsageError
        If there is no file, or folders cannot be read or contradict each other.
    """
    book, sheet = split_sheet(source)
    if sheet is not None:
        parts, ignored = find_parts(book)
        return [replace(part, name=f"{part.name}#{sheet}", sheet=sheet) for part in parts], ignored
    if source.is_dir():
        return _in_folder(source)
    if glob.has_magic(str(source)) and not os.path.lexists(source):
        return _by_pattern(source), []
    return [Part(source, source.name)], []


def split_sheet(source: Path) -> tuple[Path, str | None]:
    """A workbook and the sheet that is named behind it, as in ``stock.xlsx#May``."""
    name = str(source)
    at = name.lower().find(_SHEET)
    if at < 0 or os.path.lexists(source):
        return source, None
    end = at + len(_SHEET)
    return Path(name[: end - 1]), name[end:]


def refuse_unusable(part: Part) -> None:
    """Refuse what is not a file, or has a name that cannot be passed on.

    Raises
    ------
    UsageError
        If it is not usable.
    """
    if not part.path.exists():
        raise UsageError(f"{part.name}: cannot be read: no such file; check the path")
    try:
        open_plain(part.path).close()
    except UnreadableError as error:
        _, message, remedy, _ = error.args
        raise UsageError(f"{part.name}: {message}; {remedy}") from None
    try:
        str(part.path).encode()
        "".join(f"{key}{value}" for key, value in part.folders.items()).encode()
    except UnicodeEncodeError:
        raise UsageError(f"{part.name}: its name is not UTF-8; rename it") from None


def refuse_inside(target: Path, source: object) -> None:
    """Refuse to write over an inventory, or among its files.

    Raises
    ------
    UsageError
        If the file is the inventory, or would be read as part of it the next time.
    """
    if not isinstance(source, (str, os.PathLike)):
        return
    place, _ = split_sheet(Path(source))
    if target.exists() and place.exists() and target.samefile(place):
        raise UsageError(f"{target}: is the inventory itself; name another file")
    if place.is_dir():
        is_there = target.resolve().is_relative_to(place.resolve())
        is_part = is_there and target.suffix.lower() in SUFFIXES
    else:
        is_part = not os.path.lexists(place) and fnmatch(
            os.path.abspath(target), os.path.abspath(place)
        )
    if is_part:
        raise UsageError(f"{target}: is inside the inventory folder; write to another folder")


def _in_folder(folder: Path) -> tuple[list[Part], list[str]]:
    parts, ignored = [], []
    for path in sorted(_below(folder)):
        inside = path.relative_to(folder)
        # Files that writers of partitions keep beside them: checksums, marks that all is written.
        if any(name.startswith((".", "_", _OPEN)) for name in inside.parts):
            continue
        if path.suffix.lower() in SUFFIXES and not path.is_dir():
            parts.append(Part(path, str(inside), _folders(inside.parts[:-1], folder.parts)))
        else:
            ignored.append(f"{inside}{' (a link to a folder)' if path.is_dir() else ''}")
    if not parts:
        raise UsageError(
            f"{folder}: no file there ends in .csv, .parquet or .xlsx; choose another folder"
        )
    return parts, ignored


def _below(folder: Path) -> Iterator[Path]:
    """The files below a folder, and links to folders, which are not followed."""

    def refuse(error: OSError) -> None:
        # Nobody would miss the cars of a folder that was passed over.
        raise UsageError(
            f"{error.filename}: cannot be read: {error.strerror}; make it a readable folder"
        )

    for place, folders, files in os.walk(folder, onerror=refuse):
        yield from (Path(place, name) for name in files)
        yield from (Path(place, name) for name in folders if os.path.islink(Path(place, name)))


def _by_pattern(pattern: Path) -> list[Part]:
    plain = next(at for at, name in enumerate(pattern.parts) if glob.has_magic(name))
    found = sorted(map(Path, glob.glob(str(pattern), recursive=True)))
    parts = [
        Part(path, str(path), _folders(path.parts[plain:-1], path.parts[:plain]))
        for path in found
        if not path.is_dir() and not path.name.startswith(_OPEN)
    ]
    if not parts:
        raise UsageError(f"{pattern}: no file matches; check the path, and put it in quotes")
    return parts


def _folders(inside: tuple[str, ...], above: tuple[str, ...]) -> dict[str, str | None]:
    """The cells that folders give; of the folders that were typed, only columns of ours."""
    known = (*contract().candidate.columns, *contract().candidate_aliases)
    values: dict[str, str | None] = {}
    for key, value in [*(pair for pair in _pairs(above) if pair[0] in known), *_pairs(inside)]:
        if values.setdefault(key, value) != value:
            raise UsageError(
                f"{Path(*above, *inside)}: its folders give {key}={values[key]} and {key}={value};"
                " keep one of them"
            )
    return values


def _pairs(names: tuple[str, ...]) -> Iterator[tuple[str, str | None]]:
    for name in names:
        key, equals, value = name.partition("=")
        if key and equals:
            value = urllib.parse.unquote(value)
            yield urllib.parse.unquote(key), None if value == _NO_VALUE else value


class Places:
    """The place of each row: a run of rows that follow each other line by line costs one entry."""

    def __init__(self) -> None:
        self.files: list[str] = []
        self._file, self._row, self._line = array("q"), array("q"), array("q")

    def begin(self, file: str) -> None:
        """The rows from here on are in this file."""
        self.files.append(file)

    def add(self, row: int, line: int) -> None:
        """Row number `row` begins at this line of the file."""
        if self._row:
            is_same = self._file[-1] == len(self.files) - 1
            if is_same and line - self._line[-1] == row - self._row[-1]:
                return
        self._file.append(len(self.files) - 1)
        self._row.append(row)
        self._line.append(line)

    def of(self, row: int) -> tuple[str, int]:
        """File and line of a row."""
        at = bisect_right(self._row, row) - 1
        return self.files[self._file[at]], self._line[at] + row - self._row[at]

    def runs(self) -> Iterator[tuple[list[str], list[int], list[int]]]:
        """The runs, some at a time: their files, first rows, and the lines of these."""
        step = 50_000
        for at in range(0, len(self._row), step):
            files = [self.files[number] for number in self._file[at : at + step]]
            yield files, self._row[at : at + step].tolist(), self._line[at : at + step].tolist()
