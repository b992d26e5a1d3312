"""What a mapping may set for a whole column: the unit of its bare figures, the order of its dates.

A cell with a unit of its own is not read in another: a difference may mean that the mapping is
wrong, and kilograms taken for pounds make a heavy car light. A cell that is right can be mapped.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping
from typing import Any

from towdb.contract.grammar import Fault
from towdb.contract.model import contract
from towdb.contract.quantities import parse_quantity
from towdb.contract.typed import typed_word
from towdb.errors import UsageError, did_you_mean

KEYS = ("column", "unit", "dates")
# What people write; the day may be missing only where the contract takes a month.
DAY_ORDERS = ("month/day/year", "day/month/year", "year/month/day")
MONTH_ORDERS = ("month/year", "year/month")
_BARE = re.compile(r"[+-]?[\d\s.,]*\d[\d\s.,]*")
_ISO = re.compile(r"[0-9]{4}-[0-9]{2}(?:-[0-9]{2})?")
_DATE = re.compile(r"([0-9]{1,4})([/.-])([0-9]{1,4})(?:\2([0-9]{1,4}))?")


def column_form(column: str, entry: Mapping[str, Any]) -> tuple[dict[str, str], list[str]]:
    """The unit and order of dates that an entry gives a column of ours, and what is wrong."""
    form: dict[str, str] = {}
    faults = [
        f"unknown key {str(key)[:60]!r}{did_you_mean(str(key), KEYS)}; write column, unit, dates"
        for key in entry
        if key not in KEYS
    ]
    for key, check in (("unit", _unit), ("dates", _dates)):
        if key not in entry:
            continue
        if not column:
            faults.append(f"{key}: the column is left aside; leave it out")
            continue
        if not isinstance(entry[key], str):
            faults.append(f"{key} must be text: write it in quotes")
            continue
        found = check(column, entry[key].strip())
        if isinstance(found, Fault):
            faults.append(f"{key} {entry[key][:60]!r}: {found.message}; {found.remedy}")
        else:
            form[key] = found
    return form, faults


def _unit(column: str, text: str) -> str | Fault:
    weights = [field.name for field in contract().candidate.fields if field.type == "weight"]
    if column not in weights:
        return Fault(
            "unit", f"{column} is not a weight", f"leave it out; weights: {_named(weights)}"
        )
    unit = typed_word("unit", text)
    if unit is None or contract().units[unit].dimension != "mass":
        return Fault("unit", "not a unit of weight", "use lb or kg")
    return unit


def _dates(column: str, text: str) -> str | Fault:
    days = {
        field.name: DAY_ORDERS + (MONTH_ORDERS if field.type == "day_or_month" else ())
        for field in contract().candidate.fields
        if field.type in ("date", "day_or_month")
    }
    if column not in days:
        return Fault("type", f"{column} is not a date", f"leave it out; dates: {_named([*days])}")
    order = re.sub(r"\s*[/.\s-]\s*", "/", text.lower())
    if order not in days[column]:
        return Fault("type", "not an order of a date", f"use one of {_named([*days[column]])}")
    return order


def _named(names: list[str]) -> str:
    return ", ".join(names)


def with_unit(text: str, unit: str) -> str:
    """A bare figure with the unit of its column; any other text as it is."""
    return f"{text} {unit}" if _BARE.fullmatch(text) else text


def unit_fault(text: str, unit: str, row_unit: str | None) -> Fault | None:
    """Why a weight is not read in the unit of its column: it, or its row, names another."""
    if _BARE.fullmatch(text):
        if row_unit in (None, unit):
            return None
        wrong = f"the mapping gives its column in {unit}, and weight_unit of its row is {row_unit}"
        return Fault("unit", wrong, "keep one of them: check which is right")
    try:
        own = parse_quantity(text).unit
    except UsageError:
        return None  # reported where the cell is read
    if own == unit:
        return None
    remedy = "if the cell is right, map it to itself under [words], else correct the unit"
    return Fault("unit", f"in {own}, and the mapping gives its column in {unit}", remedy)


def iso_date(text: str, order: str) -> str | None:
    """A date or month of this order as year-month-day; None: it is not one."""
    if _ISO.fullmatch(text):
        return text  # means the same in every order
    match = _DATE.fullmatch(text)
    names = order.split("/")
    parts = [part for part in (match.group(1, 3, 4) if match else ()) if part is not None]
    if len(parts) != len(names):
        return None
    numbers = dict(zip(names, parts, strict=True))
    # 21 may be a year of this century or of the last; 0021 is a year of neither.
    if len(numbers["year"]) != 4 or max(map(len, (numbers["month"], numbers.get("day", "1")))) > 2:
        return None
    try:
        day = datetime.date(
            int(numbers["year"]), int(numbers["month"]), int(numbers.get("day", "1"))
        )
    except ValueError:
        return None
    return day.isoformat() if "day" in numbers else day.isoformat()[:7]


def date_fault(text: str, order: str) -> Fault | None:
    """Why a text is not a date in the order of its column."""
    if iso_date(text, order) is not None:
        return None
    remedy = "write the year with four digits; if the column has another order, correct the mapping"
    return Fault("type", f"not a date as {order}, the order that the mapping gives", remedy)
