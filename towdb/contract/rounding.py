"""Pounds of a weight, and figures to 0.1 on the safe side: for Python, and for SQL as macros.

For reading only. What a verdict compares are exact kilograms.
"""

from __future__ import annotations

import math
from decimal import Decimal

from towdb.contract.model import contract

# Of a tenth: 0.000001 lb or kg. The error of a division, below 1e-6 of a tenth for any mass of the
# contract, may not turn an exact 4,000 lb into 3,999.9; and no more than the last digit that a mass
# may have, 0.000001 kg, may be passed over.
TOLERANCE = "1e-5"


def pounds(kilograms: Decimal | float) -> float:
    """A mass in pounds, without the error of the division."""
    return round(_pounds(kilograms), 6)


def tenths(value: Decimal | float, *, up: bool) -> float:
    """To 0.1 in one direction, after a tolerance that keeps an exact figure what it is."""
    scaled = float(value) * 10
    return (math.ceil(scaled - _TOLERANCE) if up else math.floor(scaled + _TOLERANCE)) / 10


def pounds_down(kilograms: Decimal | float) -> Decimal:
    """A limit in pounds, down to 0.1."""
    return Decimal(str(tenths(_pounds(kilograms), up=False)))


def rounded() -> dict[str, str]:
    """The SQL of ``lb``, ``lb_up``, ``lb_down`` and ``lb_margin``: of a column ``kg``, in pounds.

    DuckDB and Spark read it alike. A margin that fails never shows as 0.
    """
    exact = f"kg::DOUBLE / {_pound()}"
    down = f"floor({exact} * 10 + {TOLERANCE}) / 10"
    return {
        "lb": f"round({exact}, 6)",
        "lb_up": f"ceil({exact} * 10 - {TOLERANCE}) / 10",
        "lb_down": down,
        "lb_margin": f"CASE WHEN kg < 0 THEN least(-0.1, {down}) ELSE {down} END",
    }


def rounding_macros(create: str = "CREATE TEMP MACRO ") -> dict[str, str]:
    """Statements that create `rounded`, and ``kg_of``: exact kilograms of pounds to 0.1."""
    exact = f"CAST(CAST(lb AS DECIMAL(9,1)) * {_pound()} AS DECIMAL(18,10))"
    return {
        **{name: f"{create}{name}(kg) AS {body}" for name, body in rounded().items()},
        "kg_of": f"{create}kg_of(lb) AS {exact}",
    }


_TOLERANCE = float(TOLERANCE)


def _pound() -> Decimal:
    return contract().units["lb"].factor


def _pounds(kilograms: Decimal | float) -> float:
    return float(kilograms) / float(_pound())
