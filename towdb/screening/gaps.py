"""What the reference lacks for the cars at hand, as relations beside those of a screening."""

from __future__ import annotations

from typing import Any

import duckdb

from towdb.intake.candidates import Typed
from towdb.intake.grouping import enter_labels
from towdb.screening import engine
from towdb.screening.name_remarks import enter_begun_models

CONFIGURED_BY = ("make", "model", "model_year")


def enter_gaps(con: duckdb.DuckDBPyConnection, typed: Typed, assumed: dict[str, str]) -> None:
    """Create ``gap_pile``, ``lacking`` and ``begun_model`` for ``gap.sql`` and ``old_source.sql``.

    The relations that need no coach are there, and ``towed``.
    """
    enter_begun_models(con)
    enter_labels(con, typed, CONFIGURED_BY, assumed)
    for name in ("gap_pile", "lacking"):
        con.execute(f"DROP TABLE IF EXISTS {name}")
    engine.create(con, "gaps", ["gap_pile", "lacking"])


def gaps_found(
    con: duckdb.DuckDBPyConnection, limit: int | None = None
) -> tuple[list[str], list[tuple[Any, ...]]]:
    """Columns and rows of what is lacking, what most cars wait for first."""
    first = "" if limit is None else f" LIMIT {limit:d}"
    con.execute(engine.relation_sql("gaps/gap") + first)
    return [column[0] for column in con.description or ()], con.fetchall()
