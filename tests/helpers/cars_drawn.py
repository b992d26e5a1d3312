"""Inventories drawn by hypothesis, and the same questions asked of them in slow, plain Python."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

import pandas as pd
from hypothesis import strategies as st

POUND = Decimal("0.45359237")


@dataclass(frozen=True)
class Car:
    """What is known of one car, in kilograms."""

    as_weighed: Decimal | None
    gvwr: Decimal | None
    curb: Decimal | None
    load: Decimal | None
    lot: str | None
    price: int | None

    @property
    def ends(self) -> tuple[Decimal | None, Decimal | None]:
        """The least and the most it weighs on the road (design of weights as intervals)."""
        curb = None if self.curb is None else self.curb + (self.load or 0)
        if curb is not None and self.gvwr is not None and curb > self.gvwr:
            curb = gvwr = None
        else:
            gvwr = self.gvwr
        if self.as_weighed is not None:
            # Nothing weighs less than nine tenths of what it weighs empty.
            is_believed = self.curb is None or self.as_weighed * 10 >= self.curb * 9
            return (self.as_weighed, self.as_weighed) if is_believed else (None, None)
        return curb, gvwr

    def is_within(self, rating: Decimal) -> bool | None:
        low, high = self.ends
        if high is not None and high <= rating:
            return True
        return False if low is not None and low > rating else None


# Few weights, so that many of them are equal to each other and to a rating.
_WEIGHTS = st.sampled_from([1000, 1500, 2000, 2500, 3000, 3500, 4000])
_CELL = st.one_of(st.none(), st.tuples(_WEIGHTS, st.sampled_from(["lb", "kg"])))
_LOAD = st.one_of(st.none(), st.tuples(st.sampled_from([0, 150]), st.just("lb")))
LOTS = ("east", "Ŵest", "北", None)


@st.composite
def inventories(draw: st.DrawFn) -> list[dict[str, object]]:
    """Rows as they are typed, pounds and kilograms mixed, much of it missing."""
    rows = []
    for _ in range(draw(st.integers(0, 12))):
        cells: dict[str, object] = {}
        for name, strategy in (
            ("as_weighed", _CELL), ("gvwr", _CELL), ("curb_weight", _CELL), ("load", _LOAD)
        ):  # fmt: skip
            cell = draw(strategy)
            cells[name] = None if cell is None else f"{cell[0]} {cell[1]}"
        cells["lot"] = draw(st.sampled_from(LOTS))
        cells["price"] = draw(st.sampled_from([None, "0", "500", "1,000.50", "20000"]))
        rows.append(cells)
    return rows


def kilograms(cell: object) -> Decimal | None:
    """A cell as it is drawn, exact."""
    if cell is None:
        return None
    figure, unit = str(cell).split()
    return Decimal(figure) * (POUND if unit == "lb" else 1)


def car(row: dict[str, object]) -> Car:
    """A row as a car."""
    lot, price = row["lot"], row["price"]
    return Car(
        kilograms(row["as_weighed"]),
        kilograms(row["gvwr"]),
        kilograms(row["curb_weight"]),
        kilograms(row["load"]),
        None if lot is None else str(lot),
        None if price is None else int(Decimal(str(price).replace(",", "")) * 100),
    )


def frame(rows: list[dict[str, object]]) -> pd.DataFrame:
    """Rows as a DataFrame of text."""
    columns = ["as_weighed", "gvwr", "curb_weight", "load", "lot", "price"]
    return pd.DataFrame(rows, columns=columns, dtype="string")


def write(path: Path, header: str, rows: list[str]) -> Path:
    """A CSV file."""
    path.write_text("\n".join([header, *rows]) + "\n", "utf-8")
    return path
