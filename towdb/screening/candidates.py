"""Candidates as they come: CSV, Parquet or a frame into one table of text, faults told by line."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import duckdb

from towdb.contract.ddl import literal
from towdb.contract.grammar import Fault, fold
from towdb.contract.model import contract
from towdb.contract.typed import typed_cell
from towdb.errors import UsageError, did_you_mean
from towdb.reference.lines import UnreadableError, records
from towdb.reference.query import as_name

# Listed in an error; the rest is counted.
FAULTS_SHOWN = 40
_BATCH = 50_000
ATTRIBUTES = tuple(
    field.name for field in contract().tables["vehicle_group"].fields if field.type == "words"
)


@dataclass
class Typed:
    """The table ``typed``: `candidate_no` and the columns that were there, all text.

    `lines` tells where a row of a file began; `faults` collects what is wrong with cells.
    """

    name: str
    columns: list[str]
    lines: list[int] = field(default_factory=list)
    faults: list[tuple[int, str]] = field(default_factory=list)

    def line(self, candidate_no: int) -> int:
        """The line of a row: as in the file, else counted below a header of one line."""
        return self.lines[candidate_no - 1] if self.lines else candidate_no + 1

    def raise_faults(self) -> None:
        """Raise if anything is wrong.

        Raises
        ------
        UsageError
            One line for each thing to mend.
        """
        if self.faults:
            shown = [text for _, text in sorted(self.faults)[:FAULTS_SHOWN]]
            if len(self.faults) > FAULTS_SHOWN:
                shown.append(f"{self.name}: … and {len(self.faults) - FAULTS_SHOWN:,} more")
            raise UsageError("\n".join(shown))


def load_candidates(con: duckdb.DuckDBPyConnection, source: Any) -> Typed:
    """Create ``typed``: a temp table, or a view of a Parquet file, which is read column by column.

    Parameters
    ----------
    con : DuckDBPyConnection
        Where to create it.
    source : path, DataFrame or Arrow table
        The candidates; a CSV file may be separated by commas or semicolons.

    Returns
    -------
    Typed

    Raises
    ------
    UsageError
        If it cannot be read, or has an unknown column.
    """
    if not isinstance(source, (str, Path)):
        return _load_frame(con, source)
    path = Path(source)
    if path.suffix.lower() == ".parquet":
        return _load_parquet(con, path)
    try:
        return _load_csv(con, path)
    except UnreadableError as error:
        _, message, remedy, line = error.args
        place = f", line {line}" if line else ""
        raise UsageError(f"{path}{place}: {message}; {remedy}") from None


def load_rows(
    con: duckdb.DuckDBPyConnection,
    name: str,
    columns: list[str],
    rows: Iterable[Sequence[str | None]],
) -> Typed:
    """Create ``typed`` from rows of text."""
    typed = Typed(name, columns)
    _create(con, typed)
    batch: list[Sequence[str | None]] = []
    for number, row in enumerate(rows, start=1):
        batch.append(row)
        typed.lines.append(number + 1)
        if len(batch) == _BATCH:
            _insert(con, typed, batch)
    _insert(con, typed, batch)
    return typed


def _create(con: duckdb.DuckDBPyConnection, typed: Typed) -> None:
    names = ", ".join(f'"{column}" VARCHAR' for column in typed.columns)
    con.execute(f"CREATE TEMP TABLE typed (candidate_no INTEGER, {names})")


def _load_csv(con: duckdb.DuckDBPyConnection, path: Path) -> Typed:
    read = records(path, _delimiter(path))
    typed = Typed(path.name, _columns(path.name, next(read, (1, []))[1]))
    _create(con, typed)
    batch: list[Sequence[str | None]] = []
    for line, record in read:
        if len(record) != len(typed.columns):
            wrong = f"{len(record)} cells where the header has {len(typed.columns)}"
            typed.faults.append(
                (line, f"{path.name}, line {line}: {wrong}; give the row one cell a column")
            )
            continue
        batch.append(record)
        typed.lines.append(line)
        if len(batch) == _BATCH:
            _insert(con, typed, batch)
    _insert(con, typed, batch)
    typed.raise_faults()
    return typed


def _delimiter(path: Path) -> str:
    # The names of our columns hold neither.
    try:
        with path.open(encoding="utf-8-sig", errors="replace") as stream:
            header = next((line for line in stream if line.strip()), "")
    except OSError:
        return ","
    return ";" if header.count(";") > header.count(",") else ","


def _insert(
    con: duckdb.DuckDBPyConnection, typed: Typed, batch: list[Sequence[str | None]]
) -> None:
    if batch:
        first = len(typed.lines) - len(batch) + 1
        cells = [list(column) for column in zip(*batch, strict=True)]
        asked = ", ".join(f"nullif(unnest(${i}::VARCHAR[]), '')" for i in range(2, len(cells) + 2))
        numbers = list(range(first, first + len(batch)))
        con.execute(f"INSERT INTO typed SELECT unnest($1::INTEGER[]), {asked}", [numbers, *cells])
        batch.clear()


def _load_frame(con: duckdb.DuckDBPyConnection, frame: Any) -> Typed:
    try:
        con.register("candidate_frame", frame)
    except duckdb.Error:
        raise UsageError(
            f"a {type(frame).__name__} is no shortlist; give a path, a DataFrame or an Arrow table"
        ) from None
    try:
        return _load_query(con, "shortlist", "candidate_frame", "TABLE", "row_number() OVER ()")
    finally:
        con.unregister("candidate_frame")


def _load_parquet(con: duckdb.DuckDBPyConnection, path: Path) -> Typed:
    # A name is a name here, no pattern: rows are told apart by their place in one file.
    read = f"read_parquet({literal(as_name(str(path)))}, hive_partitioning = false"
    rows = f"{read}, file_row_number = true)"
    return _load_query(con, path.name, f"{read})", "VIEW", "file_row_number + 1", rows)


def _load_query(
    con: duckdb.DuckDBPyConnection,
    name: str,
    relation: str,
    kind: str,
    number: str,
    numbered: str | None = None,
) -> Typed:
    try:
        described = con.execute(f"DESCRIBE FROM {relation}").fetchall()
        typed = Typed(name, _columns(name, [row[0] for row in described]))
        cells = ", ".join(
            f'{_as_text(row[0], row[1])} AS "{column}"'
            for row, column in zip(described, typed.columns, strict=True)
        )
        con.execute(
            f"CREATE TEMP {kind} typed AS SELECT CAST({number} AS INTEGER) AS candidate_no, {cells}"
            f" FROM {numbered or relation}"
        )
    except duckdb.Error as error:
        reason = str(error).splitlines()[0][:160]
        raise UsageError(f"{name}: cannot be read: {reason}") from None
    return typed


def _as_text(column: str, kind: str) -> str:
    # A missing number of a frame comes as NaN, and a whole one of a column with gaps as 2021.0.
    if kind in ("DOUBLE", "FLOAT"):
        whole = f'trunc("{column}") = "{column}" AND abs("{column}") < 1e15'
        return (
            f'CASE WHEN isnan("{column}") THEN NULL WHEN {whole}'
            f' THEN CAST(CAST("{column}" AS BIGINT) AS VARCHAR)'
            f' ELSE CAST("{column}" AS VARCHAR) END'
        )
    if kind.startswith("TIMESTAMP"):
        moment = f'CAST("{column}" AS TIMESTAMP)'
        return (
            f"CASE WHEN {moment} = date_trunc('day', {moment})"
            f" THEN CAST(CAST({moment} AS DATE) AS VARCHAR)"
            f' ELSE CAST("{column}" AS VARCHAR) END'
        )
    return f'CAST("{column}" AS VARCHAR)'


def _columns(name: str, header: list[str]) -> list[str]:
    known = contract().candidate.columns
    aliases = contract().candidate_aliases
    columns, faults = [], []
    for text in header:
        plain = fold(text).replace(" ", "_").replace("-", "_")
        column = aliases.get(plain, plain)
        if column not in known:
            close = did_you_mean(column, [*known, *aliases])
            faults.append(
                f"{name}, line 1: unknown column {text[:60]!r}{close}; rename or remove it"
            )
        elif column in columns:
            faults.append(f"{name}, line 1: column {column} stands twice; keep one of them")
        columns.append(column)
    if not header:
        faults.append(f"{name}: is empty; write the column names first")
    if faults:
        raise UsageError("\n".join(faults))
    return columns


def read_assumptions(assume: Mapping[str, str] | None) -> dict[str, str]:
    """What is assumed of every car that does not say otherwise: attribute to word.

    Raises
    ------
    UsageError
        If there is no such attribute or word.
    """
    faults = []
    read = {}
    for name, text in (assume or {}).items():
        if name not in ATTRIBUTES:
            faults.append(f"assume {name}: no attribute{did_you_mean(name, ATTRIBUTES)}")
            continue
        value = typed_cell(contract().candidate.field(name), text)
        if isinstance(value, Fault):
            faults.append(f"assume {name}={text}: {value.message}; {value.remedy}")
        read[name] = text
    if faults:
        raise UsageError("\n".join(faults))
    return read
