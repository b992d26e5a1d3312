"""What the reference lacks for the cars at hand, as relations beside those of a screening."""

from __future__ import annotations

from typing import Any

import duckdb

from towdb.intake.candidates import Typed
from towdb.intake.grouping import enter_labels
from towdb.screening import engine

CONFIGURED_BY = ("make", "model", "model_year")
# How many cars have no make or no model: what the reference lacks for them cannot be told.
UNNAMED = (
    "SELECT COUNT(*) FROM candidate AS c JOIN configuration AS k"
    " ON k.configuration_no = c.configuration_no WHERE k.is_named = 0"
)


def enter_gaps(con: duckdb.DuckDBPyConnection, typed: Typed, assumed: dict[str, str]) -> None:
    """Create ``gap_pile`` and ``lacking``; ``gap.sql`` and ``old_source.sql`` ask them.

    The relations that need no coach are there, and ``towed``.
    """
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


LACKS_SAID = {
    "statement": "no page on towing it flat",
    "steps": "no step on record",
    "weight": "no GVWR",
    "check": "nobody has checked",
}
# These name what is no longer there, and nothing else is.
NAMES_WITHDRAWN = ("statement", "weight")
# Who orders a manual that is on the shelf loses the money, and perhaps the car.
BEGUN = (
    "Where a model is on record, the model as typed begins with it: if it is that model, type it"
    " so, and what follows as trim or model_year."
)
GAP_COLUMNS = ("cars", "what is lacking", "car", "which")


def gap_cells(row: dict[str, Any]) -> list[str]:
    """One gap for `GAP_COLUMNS`."""
    car = " ".join(str(row[name] or "?") for name in CONFIGURED_BY)
    words = (row["words"] or "").replace("_", " ")
    what = LACKS_SAID[row["lacks"]]
    if row["named"]:
        was = "; its source was withdrawn" if row["lacks"] in NAMES_WITHDRAWN else ""
        what += f"{was}: {row['named']}"
    if row["on_record"]:
        what += f"; on record: {row['on_record']}"
    return [f"{row['cars']:,}", what, car, words]
