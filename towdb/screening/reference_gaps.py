"""What the reference lacks for the cars at hand, as relations beside those of a screening."""

from __future__ import annotations

from typing import Any

import duckdb

from towdb.intake.candidates import InventoryRows
from towdb.intake.grouping import enter_labels
from towdb.screening import engine
from towdb.screening.name_remarks import enter_begun_models

CONFIGURED_BY = ("make", "model", "model_year")


def enter_gaps(
    con: duckdb.DuckDBPyConnection, loaded: InventoryRows, assumed: dict[str, str]
) -> None:
    """Create ``gap_class``, ``open_gap`` and ``begun_model``, which the SQL of gaps reads.

    The relations that need no coach exist, and ``towed``.
    """
    enter_begun_models(con)
    enter_labels(con, loaded, CONFIGURED_BY, assumed)
    for name in ("gap_class", "open_gap"):
        con.execute(f"DROP TABLE IF EXISTS {name}")
    engine.create(con, "reference_gaps", ["gap_class", "open_gap"])


def gaps_found(
    con: duckdb.DuckDBPyConnection, limit: int | None = None
) -> tuple[list[str], list[tuple[Any, ...]]]:
    """Columns and rows of what is lacking, what most cars wait for first."""
    first = "" if limit is None else f" LIMIT {limit:d}"
    con.execute(engine.relation_sql("reference_gaps/gap") + first)
    return [column[0] for column in con.description or ()], con.fetchall()
