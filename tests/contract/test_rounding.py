"""A figure for reading is rounded to the safe side, alike in Python and in SQL."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from math import ceil, floor

import duckdb
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tests.conftest import ROOT
from towdb.contract.model import contract
from towdb.contract.rounding import pounds, pounds_down, rounding_macros, tenths

POUND = Fraction("0.45359237")  # kg: NBS Applied Mathematics Series 55, table 2.4
HAIR = Decimal("0.0000000001")  # kg: the last digit that a weight keeps
# Of a pound: what a figure may be off a tenth and still be shown as that tenth.
PASSED_OVER = Fraction(1, 1_000_000)
WEIGHTS = st.decimals("-9999999", "9999999", allow_nan=False, places=10)
TENTHS = st.integers(1, 200_000_000)


def kilograms(of_tenths: int) -> Decimal:
    """Exact kilograms of tenths of a pound: nine decimals."""
    exact = POUND * of_tenths / 10
    return Decimal(exact.numerator) / Decimal(exact.denominator)


@pytest.fixture(scope="module", name="con")
def _con() -> Iterator[duckdb.DuckDBPyConnection]:
    with duckdb.connect() as con:
        for statement in rounding_macros().values():
            con.execute(statement)
        yield con


def by_sql(con: duckdb.DuckDBPyConnection, kg: Decimal) -> tuple[float, float, float, float]:
    names = ("lb", "lb_up", "lb_down", "lb_margin")
    called = ", ".join(f"{name}($1::DECIMAL(18,10))" for name in names)
    (found,) = con.execute(f"SELECT {called}", [kg]).fetchall()
    return found


@given(kg=WEIGHTS)
@example(kg=Decimal(0))
@example(kg=Decimal("9999999.9999999999"))
def test_a_weight_is_rounded_to_the_safe_side(con: duckdb.DuckDBPyConnection, kg: Decimal) -> None:
    exact = Fraction(kg) / POUND
    nearest, up, down, margin = (Fraction(str(figure)) for figure in by_sql(con, kg))
    assert abs(nearest - exact) <= Fraction(6, 10**7)
    assert exact - 2 * PASSED_OVER <= up < exact + Fraction(1, 10)
    assert exact - Fraction(1, 10) < down <= exact + 2 * PASSED_OVER
    assert margin == (min(down, Fraction(-1, 10)) if kg < 0 else down)


@given(kg=WEIGHTS)
def test_python_and_sql_round_alike(con: duckdb.DuckDBPyConnection, kg: Decimal) -> None:
    nearest, up, down, _ = by_sql(con, kg)
    assert pounds(kg) == pytest.approx(nearest, abs=1.1e-6)
    assert float(pounds_down(kg)) == down
    assert tenths(float(kg) / float(POUND), up=True) == up


@given(count=TENTHS)
@example(count=40_000)
def test_an_exact_tenth_stays_what_it_is(con: duckdb.DuckDBPyConnection, count: int) -> None:
    kg, shown = kilograms(count), count / 10
    assert by_sql(con, kg) == (shown, shown, shown, shown)
    assert by_sql(con, -kg) == (-shown, -shown, -shown, -shown)
    assert (pounds(kg), float(pounds_down(kg))) == (shown, shown)
    assert tenths(Decimal(count) / 10, up=True) == tenths(Decimal(count) / 10, up=False) == shown
    assert con.execute("SELECT kg_of($1)", [Decimal(count) / 10]).fetchall() == [(kg,)]


@given(count=TENTHS)
def test_what_is_within_the_tolerance_of_a_tenth_is_shown_as_it(
    con: duckdb.DuckDBPyConnection, count: int
) -> None:
    for kg in (kilograms(count) - HAIR, kilograms(count) + HAIR):
        assert by_sql(con, kg)[1:] == (count / 10, count / 10, count / 10)


@given(count=TENTHS)
def test_what_is_beyond_the_tolerance_moves_to_the_safe_side(
    con: duckdb.DuckDBPyConnection, count: int
) -> None:
    beyond = Decimal("0.000001")  # kg, 2.2 times the tolerance
    below, above = kilograms(count) - beyond, kilograms(count) + beyond
    assert by_sql(con, below)[1:3] == (count / 10, (count - 1) / 10)
    assert by_sql(con, above)[1:3] == ((count + 1) / 10, count / 10)
    assert float(pounds_down(below)) == (count - 1) / 10


@pytest.mark.parametrize(
    ("value", "up", "down"),
    [("100", 100.0, 100.0), ("99.999", 100.0, 99.9), ("100.001", 100.1, 100.0),
     ("100.0000001", 100.0, 100.0), ("99.9999999", 100.0, 100.0),
     ("100.00001", 100.1, 100.0), ("99.99999", 100.0, 99.9), ("-0.05", -0.0, -0.1)],
)  # fmt: skip
def test_tenths_at_and_beside_the_tolerance(value: str, up: float, down: float) -> None:
    assert (tenths(Decimal(value), up=True), tenths(Decimal(value), up=False)) == (up, down)
    scaled = Fraction(value) * 10
    edge = PASSED_OVER * 10
    assert (up, down) == (ceil(scaled - edge) / 10, floor(scaled + edge) / 10)


def test_a_failing_margin_never_shows_as_nothing(con: duckdb.DuckDBPyConnection) -> None:
    shown = [by_sql(con, kg)[3] for kg in (-HAIR, Decimal(0), HAIR)]
    assert shown == [-0.1, 0.0, 0.0]


def test_the_empty_stays_empty(con: duckdb.DuckDBPyConnection) -> None:
    names = ("lb", "lb_up", "lb_down", "lb_margin", "kg_of")
    called = ", ".join(f"{name}(CAST(NULL AS DECIMAL(18,10)))" for name in names)
    assert con.execute(f"SELECT {called}").fetchall() == [(None,) * 5]


def test_the_pound_is_defined_once() -> None:
    """In units.csv alone; a second one could be mistyped, and every limit with it."""
    assert Fraction(contract().units["lb"].factor) == POUND
    files = [file for file in (ROOT / "towdb").rglob("*") if file.suffix in {".py", ".sql"}]
    assert len(files) > 100
    typed = re.compile(r"0?\.45359|2\.2046")
    assert [str(file) for file in files if typed.search(file.read_text("utf-8"))] == []
