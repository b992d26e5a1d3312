"""Files, frames and relations into one table of text, ``inventory_rows``, and each row's place."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import duckdb

from towdb.contract.grammar import Fault, fold
from towdb.duck.literals import quoted
from towdb.errors import UsageError
from towdb.intake.files import Part, Places, find_parts, refuse_unusable
from towdb.intake.headers import ColumnMap, Header
from towdb.intake.one_file import Sheet, open_csv, open_parquet, open_query, reading_errors
from towdb.intake.unread_cells import UnreadCell, enter_unread
from towdb.reference.named_tables import register_frame

# Listed in an error; the rest is counted.
FAULTS_SHOWN = 40
# Named in a note; the rest is counted.
_NAMED = 8
_BATCH = 50_000
# So few rows are quicker to pass on one by one.
_FEW = 5_000
# A query over more files than this would be planned longer than it runs.
_VIEWED = 64
# Called with the current step, how many steps are done, and how many there are.
Progress = Callable[[str, int, int], None]


@dataclass
class InventoryRows:
    """The table ``inventory_rows``: `candidate_no` and the columns that were there, all text.

    Attributes
    ----------
    name : str
        The name of all of it together.
    columns : list of str
        Those of our columns that it has.
    by : ColumnMap or None
        The mapping of their words to ours.
    headers : dict
        Column of ``inventory_rows`` to its header as it was first written, in the order in which
        they came; ``their_1`` and so on are columns that were left aside, present only if all
        columns were requested.
    aside : dict
        Each column left aside to its header, and its number among those of that text.
    notes : list of str
        What a person should know about how it was read.
    parts : list of (Part, Header)
        The files, with their headers.
    kind : str
        ``TABLE`` or ``VIEW``.
    ragged : int
        How many rows have more or fewer cells than their header; they are in ``ragged_row``.
    unread : int
        The number of cells whose typed text cannot be recovered; they are in ``unread_cell``.
    left_empty : dict
        Column to how many of its cells were left empty, because they cannot be read.
    """

    name: str
    columns: list[str]
    by: ColumnMap | None = None
    headers: dict[str, str] = field(default_factory=dict)
    aside: dict[str, tuple[str, int]] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    parts: list[tuple[Part, Header]] = field(default_factory=list)
    kind: str = "TABLE"
    ragged: int = 0
    unread: int = 0
    places: Places = field(default_factory=Places)
    left_empty: dict[str, int] = field(default_factory=dict)

    def place(self, candidate_no: int) -> tuple[str, int]:
        """File and line of a row; without a file, the line below a header of one line."""
        return self.places.of(candidate_no) if self.places.files else (self.name, candidate_no + 1)

    def meant(self, column: str, raw: str | None) -> str:
        """A cell in our words, without white space around it."""
        text = (raw or "").strip()
        return self.by.meant(column, text) if self.by else text

    def fault(self, column: str, raw: str | None, row_unit: str = "") -> Fault | None:
        """Where a cell contradicts what the mapping sets for its column."""
        return self.by.fault(column, (raw or "").strip(), row_unit) if self.by else None


def load(
    con: duckdb.DuckDBPyConnection,
    source: Any,
    by: ColumnMap | None,
    whole: bool,
    with_aside: bool,
    progress: Progress | None,
) -> InventoryRows:
    """Create ``inventory_rows``; see `towdb.intake.candidates.load_candidates`."""
    loader = _Loader(con, by, whole, with_aside, progress)
    if isinstance(source, duckdb.DuckDBPyRelation):
        return loader.relation(source)
    if not isinstance(source, (str, os.PathLike)):
        return loader.frame(source)
    return loader.files(Path(source))


class _Loader:
    def __init__(
        self,
        con: duckdb.DuckDBPyConnection,
        by: ColumnMap | None,
        whole: bool,
        with_aside: bool,
        progress: Progress | None,
    ) -> None:
        self.con, self.by, self.whole, self.progress = con, by, whole, progress
        self.with_aside = whole or with_aside

    # ------------------------------------------------------------ where it comes from

    def files(self, source: Path) -> InventoryRows:
        parts, ignored = find_parts(source)
        sheets, faults = [], []
        for part in parts:
            try:
                sheets.append(self.opened(part))
            except UsageError as error:
                faults += str(error).splitlines()
        if len(faults) > FAULTS_SHOWN:
            faults[FAULTS_SHOWN:] = [f"{source}: … and {len(faults) - FAULTS_SHOWN:,} more"]
        if faults:
            raise UsageError("\n".join(faults))
        loaded = self.begin(source.name or str(source), sheets)
        if ignored:
            loaded.notes.append(
                f"{source}: left aside, not CSV, Parquet or XLSX: {_listed(ignored)}"
            )
        if len(sheets) <= _VIEWED and all(sheet.query for sheet in sheets):
            self.view(loaded, sheets)
        else:
            self.fill(loaded, sheets)
        return loaded

    def frame(self, frame: Any) -> InventoryRows:
        try:
            register_frame(self.con, "candidate_frame", frame)
        except (duckdb.Error, TypeError):
            raise UsageError(
                f"a {type(frame).__name__} is not a shortlist; give a path, a DataFrame, an Arrow"
                " table or a DuckDB relation"
            ) from None
        try:
            # Read once: a stream read a second time would be empty, without an error.
            with reading_errors("shortlist"):
                self.con.execute("CREATE TEMP TABLE frame_row AS FROM candidate_frame")
        finally:
            self.con.unregister("candidate_frame")
        part = Part(Path("shortlist"), "shortlist")
        sheet = open_query(self.con, part, "frame_row", "rowid + 1", self.by)
        loaded = self.begin(part.name, [sheet])
        self.view(loaded, [sheet])
        return loaded

    def relation(self, relation: duckdb.DuckDBPyRelation) -> InventoryRows:
        # It lives on a connection of its own, and only a file leads from there to ours.
        with tempfile.TemporaryDirectory(prefix="towdb-") as folder:
            part = Part(Path(folder) / "relation.parquet", "relation")
            with reading_errors("the relation"):
                relation.write_parquet(str(part.path))
            sheet = open_parquet(self.con, part, self.by)
            loaded = self.begin(part.name, [sheet])
            self.fill(loaded, [sheet])
            return loaded

    def opened(self, part: Part) -> Sheet:
        refuse_unusable(part)
        if part.is_parquet:
            return open_parquet(self.con, part, self.by)
        if part.is_workbook:
            from towdb.intake.xlsx import open_workbook_sheet

            return open_workbook_sheet(part, self.by)
        return open_csv(part, self.by)

    # ------------------------------------------------------------ rows

    def begin(self, name: str, sheets: list[Sheet]) -> InventoryRows:
        loaded = InventoryRows(name, [], self.by)
        aside: dict[tuple[str, int], str] = {}
        for sheet in sheets:
            for column, at in sheet.header.places().items():
                loaded.headers.setdefault(column, sheet.header.texts[at])
            for theirs in sheet.header.aside():
                aside.setdefault(theirs, f"their_{len(aside) + 1}")
            loaded.parts.append((sheet.part, sheet.header))
        loaded.columns = list(loaded.headers)
        if not loaded.columns and not (self.by and self.by.takes_none):
            raise UsageError(f"{name}: no column was recognised; map its headers with --map")
        loaded.notes += [note for sheet in sheets for note in sheet.notes]
        loaded.notes += _notes(loaded, [text for text, _ in aside], self.by)
        if self.with_aside:
            loaded.aside = {column: theirs for theirs, column in aside.items()}
            loaded.headers |= {column: text for (text, _), column in aside.items()}
        return loaded

    def select(self, loaded: InventoryRows, sheet: Sheet, first: int) -> str:
        cells = ", ".join(
            f"{text} AS {quoted(column)}"
            for column, text in zip(loaded.headers, self.cells(loaded, sheet), strict=True)
        )
        return (
            f"SELECT CAST({sheet.number} + {first} AS INTEGER) AS candidate_no, {cells}"
            f" FROM {sheet.query}"
        )

    def cells(
        self, loaded: InventoryRows, sheet: Sheet, picked: list[int] | None = None
    ) -> Iterator[str]:
        """The SQL of each column of ``inventory_rows``; for CSV `b.c1` and so on, by `picked`."""
        places, aside = sheet.header.places(), sheet.header.aside()
        for column in loaded.headers:
            at = aside.get(loaded.aside[column]) if column in loaded.aside else places.get(column)
            if at is None:
                yield "CAST(NULL AS VARCHAR)"
            elif picked is None or at >= sheet.width:
                yield sheet.text(at)
            else:
                picked.append(at)
                yield f"nullif(b.c{len(picked)}, '')"

    def view(self, loaded: InventoryRows, sheets: list[Sheet]) -> None:
        selects, first = [], 0
        for sheet in sheets:
            selects.append(self.select(loaded, sheet, first))
            self.placed(loaded, sheet, first)
            first += sheet.rows
        with reading_errors(loaded.name):
            loaded.kind = "VIEW"
            self.con.execute(f"CREATE TEMP VIEW inventory_rows AS {' UNION ALL '.join(selects)}")

    def fill(self, loaded: InventoryRows, sheets: list[Sheet]) -> None:
        names = ", ".join(f"{quoted(column)} VARCHAR" for column in loaded.headers)
        self.con.execute(f"CREATE TEMP TABLE inventory_rows (candidate_no INTEGER, {names})")
        first = 0
        for number, sheet in enumerate(sheets):
            if self.progress:
                self.progress(f"reading {sheet.part.name}", number, len(sheets))
            if sheet.query is None:
                first += self.records(loaded, sheet, first)
                continue
            with reading_errors(sheet.part.name):
                self.con.execute(f"INSERT INTO inventory_rows {self.select(loaded, sheet, first)}")
            self.placed(loaded, sheet, first)
            first += sheet.rows
        self.refuse_ragged(loaded)

    def placed(self, loaded: InventoryRows, sheet: Sheet, first: int) -> None:
        loaded.places.begin(sheet.part.name)
        if sheet.rows:
            loaded.places.add(first + 1, 2)

    def records(self, loaded: InventoryRows, sheet: Sheet, first: int) -> int:
        """Read a CSV file or a sheet of a workbook; how many rows it has."""
        loaded.places.begin(sheet.part.name)
        picked: list[int] = []
        selected = ", ".join(["b.candidate_no", *self.cells(loaded, sheet, picked)])
        width = sheet.width
        rows: list[list[str]] = []
        odd: list[tuple[int, list[str]]] = []
        unread: list[tuple[int, UnreadCell]] = []
        done = first
        for line, record in sheet.records():
            if len(record) != width:
                odd.append((line, record))
            else:
                rows.append(record)
                loaded.places.add(done + len(rows), line)
                unread += [(done + len(rows), cell) for cell in sheet.unread_cells]
            sheet.unread_cells.clear()
            if len(rows) + len(odd) >= _BATCH:
                done += self.insert(selected, picked, rows, done)
                self.keep(loaded, odd, unread)
        done += self.insert(selected, picked, rows, done)
        self.keep(loaded, odd, unread)
        return done - first

    def insert(self, selected: str, picked: list[int], rows: list[list[str]], done: int) -> int:
        count = len(rows)
        if count:
            cells = list(zip(*rows, strict=True))
            texts = [cells[at] for at in picked]
            with reading_errors("the rows"):
                (self.insert_many if count > _FEW else self.insert_few)(
                    selected, texts, count, done
                )
            rows.clear()
        return count

    def insert_few(
        self, selected: str, texts: list[tuple[str, ...]], count: int, done: int
    ) -> None:
        named = ["unnest($1::INTEGER[]) AS candidate_no"]
        named += [f"unnest(${at + 1}::VARCHAR[]) AS c{at}" for at in range(1, len(texts) + 1)]
        self.con.execute(
            f"INSERT INTO inventory_rows SELECT {selected} FROM (SELECT {', '.join(named)}) AS b",
            [list(range(done + 1, done + count + 1)), *map(list, texts)],
        )

    def insert_many(
        self, selected: str, texts: list[tuple[str, ...]], count: int, done: int
    ) -> None:
        # Parameters are converted value by value, which takes five times as long; importing numpy
        # takes longer than inserting a few rows.
        import numpy as np

        batch = {"candidate_no": np.arange(done + 1, done + count + 1, dtype=np.int32)}
        for at, column in enumerate(texts, start=1):
            batch[f"c{at}"] = np.array(column, dtype=object)
        self.con.register("candidate_batch", batch)
        try:
            self.con.execute(
                f"INSERT INTO inventory_rows SELECT {selected} FROM candidate_batch AS b"
            )
        finally:
            self.con.unregister("candidate_batch")

    def keep(
        self,
        loaded: InventoryRows,
        odd: list[tuple[int, list[str]]],
        unread: list[tuple[int, UnreadCell]],
    ) -> None:
        enter_unread(self.con, unread)
        loaded.unread += len(unread)
        unread.clear()
        if odd:
            self.con.execute(
                "CREATE TEMP TABLE IF NOT EXISTS ragged_row"
                " (part_no INTEGER, line BIGINT, cells VARCHAR[])"
            )
            lines, cells = zip(*odd, strict=True)
            self.con.execute(
                "INSERT INTO ragged_row SELECT $1, unnest($2::BIGINT[]), unnest($3::VARCHAR[][])",
                [len(loaded.places.files) - 1, list(lines), list(cells)],
            )
            loaded.ragged += len(odd)
            odd.clear()

    def refuse_ragged(self, loaded: InventoryRows) -> None:
        if not loaded.ragged or self.whole:
            return
        self.con.execute(
            f"SELECT part_no, line, len(cells) FROM ragged_row ORDER BY ALL LIMIT {FAULTS_SHOWN}"
        )
        shown = []
        for part_no, line, count in self.con.fetchall():
            wrong = ragged_fault(loaded, part_no, count)
            file = loaded.places.files[part_no]
            shown.append(f"{file}, line {line}: {wrong.message}; {wrong.remedy}")
        if loaded.ragged > FAULTS_SHOWN:
            shown.append(f"{loaded.name}: … and {loaded.ragged - FAULTS_SHOWN:,} more")
        raise UsageError("\n".join(shown))


def ragged_fault(loaded: InventoryRows, part_no: int, cells: int) -> Fault:
    """What is wrong with a row of so many cells."""
    part, header = loaded.parts[part_no]
    width = len(header.texts) - len(part.folders)
    return Fault(
        "cells", f"{cells} cells where the header has {width}", "give the row one cell a column"
    )


def _notes(loaded: InventoryRows, aside: Sequence[str], by: ColumnMap | None) -> Iterator[str]:
    """What a person should know about the headers."""
    for column in loaded.columns:
        without = [part.name for part, header in loaded.parts if column not in header.places()]
        if without:
            yield (
                f"column {column} is not in {_listed(without)}"
                f" ({len(without)} of {len(loaded.parts)} files): its cells are empty there"
            )
    if aside:
        yield f"{len(aside)} column(s) left aside: {_listed(aside)}"
    if by is not None:
        present = {fold(text) for _, header in loaded.parts for text in header.texts}
        if missing := [text for text in by.columns if text not in present]:
            yield f"{by.name} names columns that the inventory does not have: {_listed(missing)}"


def _listed(names: Sequence[str]) -> str:
    shown = ", ".join(name[:60] for name in names[:_NAMED])
    return shown + (f" and {len(names) - _NAMED:,} more" if len(names) > _NAMED else "")
