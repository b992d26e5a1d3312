"""Quantities as people write them."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from towdb import UsageError
from towdb.contract.model import contract
from towdb.contract.quantities import parse_quantity


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("5000 lb", "5000", "lb"),
        ("9,980 kg", "9980", "kg"),
        ("1 996 kg", "1996", "kg"),
        ("1\u00a0996 kg", "1996", "kg"),
        ("1\u202f996\u2009kg", "1996", "kg"),
        ("4400lbs", "4400", "lb"),
        ("4,400.25 LB", "4400.25", "lb"),
        ("17 ft 2 in", "206", "in"),
        ("17' 2\"", "206", "in"),
        ("1,000,000 lb", "1000000", "lb"),
        ("65 mph", "65", "mph"),
        ("-40 °C", "-40", "degC"),
        ("3 %", "3", "%"),
        ("12.6 V", "12.6", "V"),
    ],
)
def test_is_read_exactly(text: str, value: str, unit: str) -> None:
    quantity = parse_quantity(text)
    assert (quantity.value, quantity.unit) == (Decimal(value), unit)


@pytest.mark.parametrize(
    "text",
    ["", " ", "lb", "4400", "4400 stone", "4.400,5 kg", "9,98 kg", "1 99 kg", "nan lb", "inf kg",
     "1e3 lb", "4400 lb lb", "3 in 2 ft", "5 lb 3 ft", "-1 ft 2 in", "4400 lb; drop table"],
)  # fmt: skip
def test_is_refused_with_a_reason(text: str) -> None:
    with pytest.raises(UsageError, match=r"write it like|unknown unit|comma before its decimals"):
        parse_quantity(text)


def test_a_bare_number_takes_the_unit_that_is_given() -> None:
    assert parse_quantity("4,400", "lb").unit == "lb"
    assert parse_quantity("1996 kg", "lb").unit == "kg"


@given(
    st.decimals(min_value=0, max_value=10**8, places=6, allow_nan=False),
    st.sampled_from(sorted(contract().units)),
)
def test_conversion_is_exact(value: Decimal, unit: str) -> None:
    found = contract().units[unit]
    quantity = parse_quantity(f"{value:f} {unit}")
    # Integers scaled by powers of ten: no decimal context, no rounding.
    scaled = int(value.scaleb(6)) * int(found.factor.scaleb(8)) + int(found.offset.scaleb(14))
    assert int(quantity.canonical.scaleb(14)) == scaled
    assert quantity.canonical == Decimal(scaled).scaleb(-14)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("1995,8 kg", "'1995,8 kg' has a comma before its decimals; write a full stop there: 1995"),
        ("1.995,8 kg", "has a comma before its decimals; write a full stop there: 1995.8 kg"),
        ("1 995,80kg", "has a comma before its decimals; write a full stop there: 1995.80 kg"),
        ("4,5", "has a comma before its decimals; write a full stop there: 4.5"),
        ("1995,800 kg", "has a comma before its decimals; write a full stop there: 1995.800 kg"),
        ("1,995,8 kg", "has a comma or full stop too many"),
        ("5k lb", "'5k lb' has k for thousands; write it in full: 5000 lb"),
        ("4.45 k kg", "has k for thousands; write it in full: 4450 kg"),
        ("12,000K lbs", "has k for thousands; write it in full: 12000000 lbs"),
        ("5k", "has k for thousands; write it in full: 5000 lb or kg"),
    ],
)  # fmt: skip
def test_figures_as_they_are_written_elsewhere(text: str, says: str) -> None:
    with pytest.raises(UsageError) as refused:
        parse_quantity(text)
    assert says in str(refused.value)


@pytest.mark.parametrize(
    ("text", "value"),
    [("4,400 lb", "4400"), ("1,995.8 kg", "1995.8"), ("5 km", "5"), ("1 995.8 kg", "1995.8")],
)
def test_figures_as_they_are_written_here(text: str, value: str) -> None:
    assert parse_quantity(text).value == Decimal(value)
