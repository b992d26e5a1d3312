"""Rows that contradict each other about the same car, with both pages."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from towdb.duck.sql_files import sql_text
from towdb.record.store.record import Record
from towdb.reference.check import checked_tables
from towdb.reference.relations import view_sql

COLUMNS = ("about", "table", "key", "says", "source", "locator", "other_key", "other_says",
           "other_source", "other_locator")  # fmt: skip


def conflicts(record: Record, as_of: int | None = None) -> list[tuple[Any, ...]]:
    """Statements, limits, steps and weights that contradict each other, in overlapping groups.

    Returns
    -------
    list of tuple
        The columns `COLUMNS`: the subject, a row and its content, with its source and page; and
        the same for the other row.
    """
    with checked_tables(record.tables(as_of), record.name) as outcome:
        # It is read more than once.
        outcome.con.execute("CREATE TEMP TABLE overlap AS FROM towdb_data.group_overlap")
        steps = view_sql("steps_fingerprint")
        outcome.con.execute(f"CREATE VIEW towdb_data.steps_fingerprint AS {steps}")
        return outcome.con.execute(sql_text(Path(__file__).parent / "sql", "conflict")).fetchall()
