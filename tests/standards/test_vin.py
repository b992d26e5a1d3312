"""VINs against 49 CFR 565.15, vehicle identification number requirements, and against vininfo.

The worked example of 565.15(c), its values and its weights were read at a copy of the CFR's text;
the other whole VINs are widely used in public tests. The table of model years, and that older cars
have shorter numbers, are values from memory.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from vininfo import Vin

import towdb

VALUES = dict(
    zip("ABCDEFGHJKLMNPRSTUVWXYZ0123456789", "123456781234579234567890123456789", strict=True)
)
WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
# From 565.15(c)'s sample, place 9 left out.
SAMPLE = "1G4AH59H_5G118341"
PRODUCTS = (8, 49, 24, 5, 32, 15, 18, 80, 0, 45, 56, 7, 6, 40, 12, 12, 2)
LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ0123456789"
YEARS = "ABCDEFGHJKLMNPRSTVWXY123456789"
Told = list[tuple[str, str, str]]


def total(vin: str) -> int:
    return sum(
        int(VALUES[char]) * weight
        for char, weight in zip(vin, WEIGHTS, strict=True)
        if char in VALUES
    )


def check_digit(vin: str) -> str:
    rest = total(vin) % 11
    return "X" if rest == 10 else str(rest)


def told_of(cars: Sequence[Mapping[str, str | None]]) -> Told:
    """What is told of each car's VIN: its number, the rule and the severity."""
    named = [{"candidate": str(number), **car} for number, car in enumerate(cars)]
    with towdb.check_inventory(pd.DataFrame(named, dtype="str")) as checked:
        return [(f.key or "", f.rule, f.message) for f in checked.found() if f.column == "vin"]


def test_the_worked_example() -> None:
    assert (
        tuple(
            0 if char == "_" else int(VALUES[char]) * weight
            for char, weight in zip(SAMPLE, WEIGHTS, strict=True)
        )
        == PRODUCTS
    )
    assert total(SAMPLE) == sum(PRODUCTS) == 411
    assert check_digit(SAMPLE) == "4"
    others = [{"vin": SAMPLE.replace("_", digit)} for digit in "0123456789X"]
    told = told_of(others)
    assert {int(key) for key, _, _ in told} == {*range(11)} - {4}
    assert {rule for _, rule, _ in told} == {"vin_check_digit"}
    assert all(message.endswith("but the check digit is 4") for _, _, message in told)


@pytest.mark.parametrize(
    ("vin", "is_valid"),
    [
        ("1M8GDM9AXKP042788", True),
        ("11111111111111111", True),
        ("1G4AH59H45G118341", True),
        ("1G4AH59H55G118341", False),
        ("1m8gdm9axkp042788", True),
        (" 1G4AH59H45G118341 ", True),
    ],
)
def test_published_vins(vin: str, is_valid: bool) -> None:
    assert (told_of([{"vin": vin}]) == []) == is_valid
    assert Vin(vin.strip().upper()).verify_checksum(check_year=False) == is_valid


@settings(max_examples=30)
@given(st.lists(st.text(LETTERS, min_size=17, max_size=17), min_size=1, max_size=40))
def test_every_check_digit_is_that_of_vininfo(drawn: list[str]) -> None:
    vins = [*drawn, *(vin[:8] + check_digit(vin) + vin[9:] for vin in drawn)]
    told = told_of([{"vin": vin} for vin in vins])
    wrong = {int(key) for key, rule, _ in told if rule == "vin_check_digit"}
    assert wrong == {number for number, vin in enumerate(vins) if vin[8] != check_digit(vin)}
    for number, vin in enumerate(vins):
        said = Vin(vin)
        # Of makers that it knows to leave the digit out it says no to all.
        if getattr(said.assembler, "uses_sae_checkdigit", True):
            assert said.verify_checksum(check_year=False) == (number not in wrong)


@settings(max_examples=60)
@given(st.sampled_from(YEARS), st.sampled_from("0123456789ABCDEFGHJKLMNPRSTUVWXYZ"))
def test_the_year_that_places_7_and_10_say(code: str, seventh: str) -> None:
    # 565.15(b): a digit at place 7 until 2009, a letter from 2010 on, up to 10,000 lb of GVWR.
    vin = f"1G4AH5{seventh}H_{code}G118341"
    vin = vin.replace("_", check_digit(vin))
    first = 1980 + YEARS.index(code)
    year = first if seventh.isdigit() else first + 30
    other = 2 * first + 30 - year
    cars: list[Mapping[str, str | None]] = [
        {"vin": vin, "model_year": str(year), "gvwr": None},
        {"vin": vin, "model_year": str(other), "gvwr": "10000 lb"},
        {"vin": vin, "model_year": str(other), "gvwr": "10001 lb"},
        {"vin": vin, "model_year": str(other), "gvwr": None},
        {"vin": vin, "model_year": str(year + 1), "gvwr": "10001 lb"},
        {"vin": vin, "model_year": None, "gvwr": "3000 lb"},
    ]
    told = told_of(cars)
    # A stated year before 1981 asks for no VIN of this form.
    expected = [str(number) for number in (1, 3, 4) if int(str(cars[number]["model_year"])) >= 1981]
    assert [(key, rule) for key, rule, _ in told] == [(key, "vin_model_year") for key in expected]
    for key, _, message in told:
        both = f"{first} or {first + 30}" if key == "4" else f"{year}"
        assert message == f"it gives {both}, the row {cars[int(key)]['model_year']}"


@pytest.mark.parametrize("code", ["U", "Z", "0"])
def test_codes_that_stand_for_no_year(code: str) -> None:
    vin = f"1G4AH59H_{code}G118341"
    vin = vin.replace("_", check_digit(vin))
    ((_, rule, message),) = told_of([{"vin": vin}])
    assert (rule, message) == (
        "vin_model_year", f"place 10 is {code}, which is not the code of a model year",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("vin", "says"),
    [
        ("1G4AH59H45G11834", "16 characters"),
        ("1G4AH59H45G1183411", "18 characters"),
        ("IG4AH59H45G118341", "I, O or Q"),
        ("1G4AH59H45GO18341", "I, O or Q"),
        ("1q4AH59H45G118341", "I, O or Q"),
        ("NOT-A-REAL-VIN-NR", "has characters other than A to Z"),
        ("１１１１１１１１１１１１１１１１１", "has characters other than A to Z"),
        ("unknown", "7 characters"),
    ],
)
def test_what_is_no_vin_is_an_error(vin: str, says: str) -> None:
    with towdb.check_inventory(pd.DataFrame({"vin": [vin]}, dtype="str")) as checked:
        (finding,) = checked.found()
    assert (finding.rule, finding.severity) == ("vin_form", "error")
    assert says in finding.message
    assert finding.value == vin


def test_older_cars_have_shorter_numbers() -> None:
    assert told_of([{"vin": "VL4 1123", "model_year": "1980"}]) == []
    assert len(told_of([{"vin": "VL4 1123", "model_year": "1981"}])) == 1
