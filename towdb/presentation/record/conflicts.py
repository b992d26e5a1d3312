"""Rows that contradict each other."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from towdb.record.conflicts import COLUMNS
from towdb.report.answer import Answer, table_answer
from towdb.report.figures import counted


def conflicts_answer(rows: Sequence[Sequence[Any]]) -> Answer:
    """Rows that contradict each other, a pair a row."""
    return table_answer(COLUMNS, rows, [counted(len(rows), "contradiction")])
