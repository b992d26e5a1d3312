"""The towable share curve: the weights at which shares are computed, and the marked ratings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import duckdb

from towdb.contract.quantities import Quantity
from towdb.contract.rounding import pounds
from towdb.intake.coaches import Coach, enter_coaches
from towdb.inventory.cars import ReleaseUsed
from towdb.screening import engine


@dataclass(frozen=True)
class Mark:
    """A rating on the curve: as it was typed, or what a coach of the reference can pull."""

    name: str
    kg: Decimal
    coach: str | None

    @property
    def lb(self) -> float:
        """In pounds, for reading."""
        return pounds(self.kg)

    def record(self) -> dict[str, Any]:
        """As part of a document."""
        return {"rating": self.name, "coach": self.coach, "rating_lb": self.lb}


def coach_marks(
    con: duckdb.DuckDBPyConnection, release_used: ReleaseUsed
) -> tuple[tuple[Mark, ...], tuple[str, ...]]:
    """What the coaches of the reference can pull, and those for which that is not known."""
    if release_used.release_id is None:
        return (), ()
    found = con.execute("SELECT coach_id, name FROM towdb_data.coach ORDER BY coach_id").fetchall()
    enter_coaches(con, [Coach(coach, name, (), from_file=False) for coach, name in found])
    for name in engine.OF_THE_COACH:
        engine.create_relation(con, name)
    able = con.execute(
        "SELECT n.coach, c.capacity_kg FROM coach_name AS n"
        " JOIN coach_capacity AS c ON c.coach_no = n.coach_no ORDER BY n.coach_no"
    ).fetchall()
    marks = tuple(Mark(coach, kg, coach) for coach, kg in able if kg is not None and kg > 0)
    return marks, tuple(coach for coach, kg in able if kg is None)


def enter_points(
    con: duckdb.DuckDBPyConnection,
    marks: Sequence[Mark],
    least: float | None,
    most: float | None,
    step: int,
) -> None:
    """Create ``point``: round weights from the lightest car to the heaviest, and the ratings."""
    con.execute("CREATE TEMP TABLE point (kg DECIMAL(18,10), is_rating BOOLEAN)")
    points = [(mark.kg, True) for mark in marks]
    if least is not None and most is not None:
        first, last = math.floor(least / step), math.ceil(most / step)
        points += [
            (Quantity(Decimal(n * step), "lb").canonical, False) for n in range(first, last + 1)
        ]
    con.execute(
        "INSERT INTO point SELECT kg, bool_or(is_rating) FROM (SELECT unnest($1::DECIMAL(18,10)[])"
        " AS kg, unnest($2::BOOLEAN[]) AS is_rating) AS p GROUP BY kg",
        [[kg for kg, _ in points], [is_rating for _, is_rating in points]],
    )
