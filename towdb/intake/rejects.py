"""Rows that cannot be read: set aside unchanged, with the reason, so that the rest goes on."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

import duckdb

from towdb.duck.faults import unwritten
from towdb.duck.literals import literal, quoted
from towdb.duck.select import distinct_names
from towdb.errors import UsageError
from towdb.files.replace import replace
from towdb.intake.files import refuse_inside
from towdb.intake.load import InventoryRows, ragged_fault

FORMATS = {".csv": "FORMAT csv, HEADER", ".parquet": "FORMAT parquet"}
ADDED = ("file", "line", "reason")


@dataclass(frozen=True)
class SetAside:
    """Where rows were set aside, and how many; without rows the file has a header alone."""

    path: Path
    rows: int


def aside_path(path: str | os.PathLike[str] | None, source: object) -> Path | None:
    """The file for rows that are set aside.

    Raises
    ------
    UsageError
        If its name ends otherwise, or is the inventory's own.
    """
    if path is None:
        return None
    target = Path(path)
    if target.suffix.lower() not in FORMATS:
        raise UsageError(f"{target}: rows are set aside in a file that ends in .csv or .parquet")
    refuse_inside(target, source)
    return target


def mark_aside(con: duckdb.DuckDBPyConnection, bad_rows: str) -> None:
    """Create ``aside``: a row for each car of `bad_rows`, with the reason.

    Parameters
    ----------
    con : DuckDBPyConnection
        Where ``inventory_rows`` is.
    bad_rows : str
        A SELECT of `candidate_no`, `column_name`, `value`, `rule`, `message` and `remedy`; empty
        without such rows.
    """
    if not bad_rows:
        con.execute("CREATE TEMP TABLE aside (candidate_no INTEGER, reason VARCHAR)")
        return
    con.execute(
        "CREATE TEMP TABLE aside AS SELECT candidate_no, string_agg(column_name || ': ' ||"
        " message || '; ' || remedy, ' · ' ORDER BY column_name, message) AS reason"
        f" FROM ({bad_rows}) GROUP BY candidate_no"
    )


def write_aside(
    con: duckdb.DuckDBPyConnection,
    loaded: InventoryRows,
    path: Path,
    whole: str = "inventory_rows_whole",
) -> SetAside:
    """Write the rows that were put aside, and those with more or fewer cells than their header.

    They are written unchanged, followed by file, line and reason. `whole` names the relation that
    still has them.

    Raises
    ------
    UsageError
        If the file cannot be written; what was there stays.
    """
    _enter_places(con, loaded)
    selects = [_faulty(loaded, whole), *_ragged(con, loaded)]
    names = distinct_names([*loaded.headers.values(), *ADDED])
    renamed = ", ".join(
        f"{quoted(column)} AS {quoted(name)}"
        for column, name in zip([*loaded.headers, *ADDED], names, strict=True)
    )
    query = f"SELECT {renamed} FROM ({' UNION ALL '.join(selects)}) ORDER BY {', '.join(ADDED[:2])}"

    def fill(beside: Path) -> None:
        form = FORMATS[path.suffix.lower()]
        try:
            con.execute(f"COPY ({query}) TO {literal(str(beside))} ({form})")
        except duckdb.Error as error:
            raise unwritten(error, beside) from None

    replace(path, fill)
    ((count,),) = con.execute("SELECT COUNT(*) FROM aside").fetchall()
    return SetAside(path, count + loaded.ragged)


def _enter_places(con: duckdb.DuckDBPyConnection, loaded: InventoryRows) -> None:
    con.execute("CREATE TEMP TABLE place (file VARCHAR, first_no BIGINT, line BIGINT)")
    for files, rows, lines in loaded.places.runs():
        con.execute(
            "INSERT INTO place SELECT unnest($1::VARCHAR[]), unnest($2::BIGINT[]),"
            " unnest($3::BIGINT[])",
            [files, rows, lines],
        )


def _faulty(loaded: InventoryRows, whole: str) -> str:
    columns = "".join(f"w.{quoted(column)}, " for column in loaded.headers)
    return (
        f"SELECT {columns}p.file, p.line + w.candidate_no - p.first_no AS line, a.reason"
        f" FROM aside AS a JOIN {whole} AS w ON w.candidate_no = a.candidate_no"
        " ASOF JOIN place AS p ON w.candidate_no >= p.first_no"
    )


def _ragged(con: duckdb.DuckDBPyConnection, loaded: InventoryRows) -> list[str]:
    if not loaded.ragged:
        return []
    con.execute("SELECT DISTINCT part_no, len(cells) FROM ragged_row ORDER BY ALL")
    selects = []
    for part_no, count in con.fetchall():
        part, header = loaded.parts[part_no]
        places, aside = header.places(), header.aside()
        width = len(header.texts) - len(part.folders)
        cells = []
        for column in loaded.headers:
            at = aside.get(loaded.aside[column]) if column in loaded.aside else places.get(column)
            is_there = at is not None and at < min(width, count)
            cells.append(f"nullif(cells[{at + 1}], '')" if at is not None and is_there else "NULL")
        wrong = ragged_fault(loaded, part_no, count)
        reason = literal(f"{wrong.message}; {wrong.remedy}")
        # Nothing that was written may be lost: cells beyond the columns are put into the reason.
        over = f" || '; beyond them: ' || array_to_string(cells[{width + 1}:], ' · ')"
        selects.append(
            f"SELECT {', '.join([*cells, literal(loaded.places.files[part_no])])}, line,"
            f" {reason}{over if count > width else ''} FROM ragged_row"
            f" WHERE part_no = {part_no} AND len(cells) = {count}"
        )
    return selects
