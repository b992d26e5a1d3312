"""Candidates as they come: files, frames or relations into one table of text.

Only headers, and the number of cells of a row, are checked here.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import duckdb

from towdb.contract.grammar import Fault
from towdb.contract.model import contract
from towdb.contract.typed import typed_cell
from towdb.errors import UsageError, did_you_mean
from towdb.intake.headers import MappingLike, read_mapping
from towdb.intake.load import FAULTS_SHOWN, InventoryRows, Progress, load

__all__ = ["ATTRIBUTES", "FAULTS_SHOWN", "InventoryRows", "load_candidates", "read_assumptions"]
ATTRIBUTES = tuple(
    field.name for field in contract().tables["vehicle_group"].fields if field.type == "words"
)


def load_candidates(
    con: duckdb.DuckDBPyConnection,
    source: Any,
    mapping: MappingLike | None = None,
    *,
    whole: bool = False,
    with_aside: bool = False,
    progress: Progress | None = None,
) -> InventoryRows:
    """Create ``inventory_rows``: a temp table, or a view of Parquet files, read by column.

    Parameters
    ----------
    con : DuckDBPyConnection
        Where to create it.
    source : path, DataFrame, Arrow table or DuckDB relation
        The candidates: a file, a pattern such as ``stock/*.parquet``, or a folder, in which names
        such as ``model_year=2021`` give a column. CSV may be separated by commas or semicolons;
        ``stock.xlsx#May`` names a sheet of a workbook.
    mapping : path, mapping or ColumnMap, optional
        Other people's headers and words.
    whole : bool
        Whether to keep the columns left aside too, and the rows that have more or fewer cells than
        their header, so that a row can be returned unchanged.
    with_aside : bool
        Whether to keep the columns left aside, so that an answer can carry them.
    progress : callable, optional
        Called before each file.

    Returns
    -------
    InventoryRows

    Raises
    ------
    UsageError
        If it cannot be read, or has an unknown column that no mapping leaves aside.
    """
    return load(con, source, read_mapping(mapping), whole, with_aside, progress)


def read_assumptions(assume: Mapping[str, str] | None) -> dict[str, str]:
    """What is assumed for cars whose cell is empty: attribute to word.

    Raises
    ------
    UsageError
        If there is no such attribute or word.
    """
    faults = []
    read = {}
    for name, text in (assume or {}).items():
        if name not in ATTRIBUTES:
            faults.append(f"assume {name}: not an attribute{did_you_mean(name, ATTRIBUTES)}")
            continue
        value = typed_cell(contract().candidate.field(name), text)
        if isinstance(value, Fault):
            faults.append(f"assume {name}={text}: {value.message}; {value.remedy}")
        read[name] = text
    if faults:
        raise UsageError("\n".join(faults))
    return read
