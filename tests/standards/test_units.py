"""Units against published factors and two independent libraries."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pint
import pytest
import scipy.constants

from towdb.contract.model import contract
from towdb.contract.quantities import Quantity, parse_quantity

UNITS = contract().units
PINT_REGISTRY: pint.UnitRegistry[Fraction] = pint.UnitRegistry(non_int_type=Fraction)
CANONICAL = {
    "mass": "kg", "length": "m", "speed": "km/h", "acceleration": "m/s2", "time": "s",
    "temperature": "degF", "current": "A", "voltage": "V", "charge": "Ah", "share": "share",
    "count": "count",
}  # fmt: skip
PINT = {
    "lb": "pound", "kg": "kilogram", "t": "metric_ton", "in": "inch", "ft": "foot", "yd": "yard",
    "mi": "mile", "mm": "millimeter", "cm": "centimeter", "m": "meter", "km": "kilometer",
    "mph": "mile / hour", "km/h": "kilometer / hour", "m/s": "meter / second",
    "ft/s": "foot / second", "m/s2": "meter / second ** 2", "ft/s2": "foot / second ** 2",
    "g": "standard_gravity", "s": "second", "min": "minute", "h": "hour", "day": "day",
    "degF": "degF", "degC": "degC", "A": "ampere", "mA": "milliampere", "V": "volt",
    "Ah": "ampere_hour", "share": "dimensionless", "%": "percent", "count": "count",
}  # fmt: skip
SCIPY = {
    "lb": scipy.constants.pound, "kg": 1.0, "t": scipy.constants.metric_ton,
    "in": scipy.constants.inch, "ft": scipy.constants.foot, "yd": scipy.constants.yard,
    "mi": scipy.constants.mile, "mm": scipy.constants.milli, "cm": scipy.constants.centi,
    "m": 1.0, "km": scipy.constants.kilo, "mph": scipy.constants.mph / scipy.constants.kmh,
    "km/h": 1.0, "m/s": 1 / scipy.constants.kmh, "ft/s": scipy.constants.foot / scipy.constants.kmh,
    "m/s2": 1.0, "ft/s2": scipy.constants.foot, "g": scipy.constants.g, "s": 1.0,
    "min": scipy.constants.minute, "h": scipy.constants.hour, "day": scipy.constants.day,
    "A": 1.0, "mA": scipy.constants.milli, "V": 1.0, "Ah": 1.0, "share": 1.0,
    "%": 0.01, "count": 1.0,
}  # fmt: skip


@pytest.mark.parametrize(
    ("unit", "factor"),
    [
        # NBS Applied Mathematics Series 55, tables 2.4 and 2.5: exact values.
        ("lb", "0.45359237"),
        ("ft", "0.3048"),
        ("in", "0.0254"),
        ("mi", "1609.344"),
        ("g", "9.80665"),
        # Follow from these.
        ("mph", "1.609344"),
        ("ft/s2", "0.3048"),
    ],
)
def test_published_exact_factors(unit: str, factor: str) -> None:
    assert UNITS[unit].factor == Decimal(factor)
    assert UNITS[unit].offset == 0


@pytest.mark.parametrize("name", UNITS)
@pytest.mark.parametrize("value", [0, 1, 20, -40, 26001])
def test_every_unit_against_pint(name: str, value: int) -> None:
    target = PINT[CANONICAL[UNITS[name].dimension]]
    theirs = PINT_REGISTRY.Quantity(Fraction(value), PINT[name]).to(target).magnitude
    ours = Fraction(Quantity(Decimal(value), name).canonical)
    assert float(ours) == pytest.approx(float(theirs), rel=1e-12, abs=1e-9)


@pytest.mark.parametrize("name", UNITS)
def test_every_unit_against_scipy(name: str) -> None:
    if UNITS[name].dimension == "temperature":
        scale = {"degF": "Fahrenheit", "degC": "Celsius"}[name]
        for value in (-40, 0, 37):
            theirs = scipy.constants.convert_temperature(value, scale, "Fahrenheit")
            assert float(Quantity(Decimal(value), name).canonical) == pytest.approx(float(theirs))
    else:
        assert float(UNITS[name].factor) == pytest.approx(SCIPY[name], rel=1e-15)


@pytest.mark.parametrize(
    ("pounds", "kilograms", "source"),
    [
        (3000, 1361, "49 CFR 393.42(b)(4)"),
        (10000, 4536, "49 CFR 565.15"),
        (26001, 11794, "49 CFR 383.91(a)"),
    ],
)
def test_the_laws_own_pairs_agree_to_the_kilogram(pounds: int, kilograms: int, source: str) -> None:
    assert round(parse_quantity(f"{pounds} lb").canonical) == kilograms


def test_the_virginia_pair_does_not_match_and_is_kept_as_written() -> None:
    # Va. Code 58.1-2700 writes 26,000 lb beside 11,797 kg: converting and rounding again would
    # change the law, so the unit of the text is what is stored.
    pounds, kilograms = parse_quantity("26,000 lb"), parse_quantity("11,797 kg")
    assert pounds.canonical == Decimal("11793.40162")
    assert pounds.canonical != kilograms.canonical
    assert (pounds.value, pounds.unit) == (Decimal(26000), "lb")
