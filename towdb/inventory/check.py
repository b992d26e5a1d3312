"""`check_inventory`: the findings of an inventory, and counts a rule."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import duckdb

from towdb.contract.grammar import Fault
from towdb.contract.model import contract
from towdb.contract.typed import typed_cell
from towdb.duck.connections import connect, settle, spilling
from towdb.duck.literals import literal
from towdb.duck.select import let_go
from towdb.errors import Finding, UsageError, failure, findings_document, findings_frame
from towdb.intake.candidates import load_candidates
from towdb.intake.cells import LEAVABLE, Reading
from towdb.intake.headers import MappingLike
from towdb.intake.load import InventoryRows, Progress, ragged_fault
from towdb.intake.one_file import reading_errors
from towdb.intake.rejects import SetAside, aside_path, mark_aside, write_aside
from towdb.intake.unreadable import Unreadable
from towdb.inventory.cars import ReferenceLike
from towdb.inventory.sql_files import sql
from towdb.inventory.vin import judge_vins
from towdb.reference.opening import release_read
from towdb.reference.query import attached, path_of
from towdb.screening.configure import enter_makes_and_models
from towdb.screening.name_remarks import enter_begun_models

if TYPE_CHECKING:
    import pandas as pd

# No verdict reads the text of these; VINs have checks of their own.
_TEXTS = ("candidate", "make", "model", "price", "lot")
_FETCHED = 10_000


class RuleCount(NamedTuple):
    """How many findings break one rule in one column; without a column, whole rows."""

    rule: str
    severity: str
    column: str | None
    findings: int


class InventoryCheck:
    """What `check_inventory` found. Findings stay in DuckDB, and are fetched when they are read.

    Use it as a context manager, or close it.

    Attributes
    ----------
    name : str
        The name of the inventory.
    rows : int
        How many rows it has.
    counts : tuple of RuleCount
        Counts a rule and column, the most frequent first.
    notes : tuple of str
        What a person should know about how it was read.
    set_aside : SetAside or None
        Where rows with errors were set aside, and how many; None: not requested.
    left_empty : dict or None
        Column to how many of its cells a command with ``--leave-unreadable`` may leave empty: cells
        with errors that no verdict reads, in rows that are not set aside. None: not
        requested.
    """

    def __init__(
        self,
        con: duckdb.DuckDBPyConnection,
        loaded: InventoryRows,
        reading: Reading,
        found: str,
        set_aside: SetAside | None,
        left_empty: dict[str, int] | None,
    ) -> None:
        self._con, self._loaded, self._reading, self._found = con, loaded, reading, found
        self.name, self.notes, self.set_aside = loaded.name, tuple(loaded.notes), set_aside
        self.left_empty = left_empty
        ((rows,),) = reading.fetch("SELECT COUNT(*) FROM inventory_rows")
        self.rows: int = rows + loaded.ragged
        self.counts = tuple(self._count())

    def _count(self) -> Iterator[RuleCount]:
        if self._loaded.ragged:
            yield RuleCount("cells", "error", None, self._loaded.ragged)
        if self._found:
            for row in self._reading.fetch(
                "SELECT rule, severity, column_name, COUNT(*) AS findings"
                f" FROM ({self._found}) GROUP BY ALL"
                " ORDER BY severity, findings DESC, rule, column_name"
            ):
                yield RuleCount(*row)

    def found(self) -> Iterator[Finding]:
        """The findings, fetched some at a time: rows of too few or many cells, then by row.

        Raises
        ------
        UsageError
            If the inventory can no longer be read.
        """
        yield from self._of_rows()
        yield from self._of_cells()

    def _of_rows(self) -> Iterator[Finding]:
        if self._loaded.ragged:
            query = "SELECT part_no, line, len(cells) FROM ragged_row ORDER BY ALL"
            for part_no, line, cells in self._fetched(query):
                wrong = ragged_fault(self._loaded, part_no, cells)
                file = self._loaded.places.files[part_no]
                yield Finding(
                    file, line, None, None, None, None, wrong.rule, "error", wrong.message,
                    wrong.remedy,
                )  # fmt: skip

    def _of_cells(self) -> Iterator[Finding]:
        if self._found:
            query = (
                f"SELECT f.*, {self._reading.name()} FROM ({self._found}) AS f"
                " JOIN inventory_rows AS t ON t.candidate_no = f.candidate_no"
                " ORDER BY f.candidate_no, f.column_name, f.rule"
            )
            for number, column, value, rule, severity, message, remedy, key in self._fetched(query):
                file, line = self._loaded.place(number)
                yield Finding(file, line, None, key, column, value, rule, severity, message, remedy)

    def _fetched(self, query: str) -> Iterator[tuple[Any, ...]]:
        with reading_errors(self.name):
            result = self._con.execute(query)
            while batch := result.fetchmany(_FETCHED):
                yield from batch

    @property
    def findings(self) -> pd.DataFrame:
        """The findings as a frame of ten columns, one row each."""
        return findings_frame(self.found())

    @property
    def errors(self) -> int:
        """How many findings are errors."""
        return sum(count.findings for count in self.counts if count.severity == "error")

    @property
    def warnings(self) -> int:
        """How many findings are warnings."""
        return sum(count.findings for count in self.counts if count.severity == "warning")

    @property
    def ok(self) -> bool:
        """Whether no finding is an error."""
        return self.errors == 0

    def document(self) -> dict[str, Any]:
        """All of it for JSON; the findings, one by one, once.

        Raises
        ------
        UsageError
            While they are read: if the inventory can no longer be read.
        """
        aside = self.set_aside
        return {
            "ok": self.ok,
            "errors": self.errors,
            "warnings": self.warnings,
            "rows": self.rows,
            "counts": [count._asdict() for count in self.counts],
            "notes": list(self.notes),
            "set_aside": None if aside is None else {"file": str(aside.path), "rows": aside.rows},
            "left_empty": self.left_empty,
            "findings": findings_document(self.found()),
        }

    def raise_if_failed(self) -> None:
        """Raise if there are errors.

        Raises
        ------
        DataError
            Naming the number of errors and the first of them.
        """
        if not self.ok:
            first = next(finding for finding in self.found() if finding.severity == "error")
            raise failure(self.name, f"{self.errors:,}", first)

    def close(self) -> None:
        """Close the inventory."""
        let_go(self._con)

    def __enter__(self) -> InventoryCheck:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def check_inventory(
    inventory: Any,
    *,
    mapping: MappingLike | None = None,
    set_aside: str | os.PathLike[str] | None = None,
    leave_unreadable: bool = False,
    reference: ReferenceLike | None = None,
    progress: Progress | None = None,
) -> InventoryCheck:
    """Check the cells of an inventory against the contract.

    Parameters
    ----------
    inventory : path, DataFrame, Arrow table or DuckDB relation
        A CSV, Parquet or XLSX file, a pattern such as ``stock/*.parquet``, or a folder of such
        files, in which names such as ``model_year=2021`` give a column. ``stock.xlsx#May`` names a
        sheet.
    mapping : path or mapping, optional
        A mapping file (TOML), or the content of one: ``columns``, their header to our column, or
        to a table of ``column`` and the ``unit`` of its figures or the order of its ``dates``; and
        ``words``, for a column of ours their word to our word. Other columns are left aside.
    set_aside : path, optional
        A CSV or Parquet file, to which rows with errors are written unchanged, with the reason.
    leave_unreadable : bool
        Whether a row stays, and its cells are counted, whose only errors are in cells that no
        verdict reads: VIN, price, lot, date of listing, or a name that two cars have.
    reference : Reference or path, optional
        A release: a model that begins with one on record of its make is reported.
    progress : callable, optional
        Called before each step with its name, the number of steps done, and of all steps.

    Returns
    -------
    InventoryCheck

    Raises
    ------
    UsageError
        If the inventory, the mapping or the release cannot be used.
    """
    if inventory is None:
        raise UsageError("name an inventory: a path, a DataFrame or a DuckDB relation")
    how = Unreadable(aside_path(set_aside, inventory), leave_unreadable)
    release = None if reference is None else path_of(reference)
    con = connect() if reference is None else attached(reference)[0]
    try:
        settle(con, [spilling()])
        loaded = load_candidates(con, inventory, mapping, whole=True, progress=progress)
        with reading_errors(loaded.name):
            return _checked(con, loaded, how, _stepping(loaded, progress), release)
    except BaseException:
        con.close()
        raise


def _stepping(loaded: InventoryRows, progress: Progress | None) -> Callable[[str], None]:
    done = 0

    def step(what: str) -> None:
        nonlocal done
        if progress and (what in loaded.columns or " " in what):
            progress(f"checking {what}", done, len(loaded.columns) + 2)
        done += what in loaded.columns

    return step


def _checked(
    con: duckdb.DuckDBPyConnection,
    loaded: InventoryRows,
    how: Unreadable,
    step: Callable[[str], None],
    release: Path | None,
) -> InventoryCheck:
    reading = Reading(con, loaded, {})
    reading.columns(step)
    for column in _TEXTS:
        if reading.has(column):
            step(f"the text of {column}")
            _judge_text(reading, column)
    step("vin")
    found = [
        f"SELECT candidate_no, column_name, value, rule, 'error' AS severity, message, remedy"
        f" FROM ({cells})"
        for cells in [reading.bad_rows()]
        if cells
    ]
    found += [vins for vins in [judge_vins(reading)] if vins]
    if release is not None and reading.has("make") and reading.has("model"):
        step("models on record")
        with release_read(release):
            enter_makes_and_models(reading)
            enter_begun_models(con)
        found.append(sql("model_and_more"))
    all_found = " UNION ALL ".join(found)
    reject_file = left = None
    leavable = ", ".join(map(literal, LEAVABLE))
    in_those = f"column_name IN ({leavable})" if how.is_left_empty else "FALSE"
    wrong = f"FROM ({all_found}) WHERE severity = 'error' AND" if all_found else ""
    if how.aside is not None or how.is_left_empty:
        step("what is set aside")
        mark_aside(con, f"{wrong} NOT {in_those}" if wrong else "")
    if how.is_left_empty:
        left = _left_empty(con, f"{wrong} {in_those}" if wrong else "", how)
    if how.aside is not None:
        reject_file = write_aside(con, loaded, how.aside, "inventory_rows")
    step("how often each rule is broken")
    return InventoryCheck(con, loaded, reading, all_found, reject_file, left)


def _left_empty(con: duckdb.DuckDBPyConnection, wrong: str, how: Unreadable) -> dict[str, int]:
    """How many cells of each column may be left empty, of the rows that stay."""
    if not wrong:
        return {}
    stay = (
        "" if how.aside is None else " WHERE candidate_no NOT IN (SELECT candidate_no FROM aside)"
    )
    counted = con.execute(
        f"SELECT column_name, COUNT(DISTINCT candidate_no) FROM ({wrong}){stay} GROUP BY ALL"
    )
    found = dict(counted.fetchall())
    return {column: found[column] for column in LEAVABLE if column in found}


def _judge_text(reading: Reading, column: str) -> None:
    field = contract().candidate.field(column)
    too_long = f'length("{column}") > {field.max_length} OR ' if field.max_length else ""
    # Nearly all texts are short and printable, and each may be different.
    query = (
        f'SELECT DISTINCT "{column}" FROM inventory_rows'
        f" WHERE {too_long}NOT regexp_full_match(\"{column}\", '[ -~]*')"
    )
    for texts in reading.distinct(query):
        bad = []
        for (raw,) in texts:
            text = reading.loaded.meant(column, raw)
            value = typed_cell(field, text) if text else None
            if isinstance(value, Fault):
                bad.append((raw, None, value))
        reading.blame(column, bad)
