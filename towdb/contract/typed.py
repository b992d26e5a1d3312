"""Text as a person types it, cell by cell, turned into values of the contract.

Aliases, any case, hyphens and blanks are accepted here, and never in a reference folder.
"""

from __future__ import annotations

import calendar
import datetime
import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from towdb.contract.grammar import Fault, fault, fold, split_list
from towdb.contract.hints import unclear_text, word_hint
from towdb.contract.model import Field, Vocabulary, Word, contract
from towdb.contract.quantities import parse_quantity
from towdb.errors import UsageError

# A mass is exact as DECIMAL(18,10) kg: two decimals in lb, six in kg.
_MASS_STEP = Decimal("0.0000000001")
_MONTH = re.compile(r"([0-9]{4})-([0-9]{2})")


@dataclass(frozen=True)
class Span:
    """Days between which something happened, both included."""

    low: date
    high: date


def typed_word(vocabulary: str, text: str) -> str | None:
    """The word that a person means, or None."""
    return contract().vocabularies[vocabulary].meant(text)


def typed_cell(field: Field, text: str) -> object:
    """The value of a non-blank cell that a person typed.

    Parameters
    ----------
    field : Field
        A field of the candidate, not of type ``weight``.
    text : str
        The cell.

    Returns
    -------
    object
        A str, int, bool, date, `Span`, or a tuple of str for lists; a `Fault` if it is not valid.
    """
    plain = text.strip()
    match field.type:
        case "word" | "yes_no":
            name = field.vocabulary or "yes_no"
            return typed_word(name, plain) or _unknown(plain, contract().vocabularies[name])
        case "day_or_month":
            return _day_or_month(field, plain)
        case "text_list" | "ids":
            items = tuple(dict.fromkeys(fold(item) for item in split_list(plain) if item))
            return items or Fault("type", "no item in the list", "leave the cell empty")
        case "integer":
            return fault(field, plain) or int(plain)
        case "date":
            return fault(field, plain) or date.fromisoformat(plain)
        case "id":
            return plain.lower()
    return fault(field, plain) or plain


def typed_mass(text: str, unit: str | None, believable: Field | Word) -> Decimal | Fault:
    """A weight that a person typed, exact in kilograms; a `Fault` if it is not valid.

    `believable` gives the least and the greatest weight that are believed.
    """
    try:
        quantity = parse_quantity(text, unit)
    except UsageError as error:
        wrong, _, remedy = str(error).rpartition("; write ")
        if not wrong or remedy.startswith("it like"):
            remedy = "a figure with its unit, such as 4,400 lb"
        return Fault("type", wrong or str(error), f"write {remedy}")
    if quantity.dimension != "mass":
        return Fault("unit", f"{quantity.unit} is not a unit of weight", "use lb or kg")
    mass = quantity.canonical
    least, most = (
        parse_quantity(str(bound)).canonical for bound in (believable.minimum, believable.maximum)
    )
    if mass < 0 or mass == 0 < least:
        return Fault("range", "a weight is above 0", "look at the label or ticket again")
    if mass < least:
        remedy = f"expected {believable.minimum} at least; write thousands as 4,400 or 4400"
        return Fault("range", "too light to be believed", remedy)
    if mass > most:
        return Fault("range", "not believable", "look at the label or ticket again")
    if mass != mass.quantize(_MASS_STEP):
        return Fault("range", "too many decimals", "write at most two in lb, six in kg")
    return mass


def _unknown(text: str, vocabulary: Vocabulary) -> Fault:
    several = unclear_text(text, vocabulary)
    if several:
        return Fault("word", several, "write the one that is meant, or leave the cell empty")
    names = list(vocabulary.words)
    shown = ", ".join(names[:12]) + (", …" if len(names) > 12 else "")
    return Fault("word", f"unknown word{word_hint(text, vocabulary)}", f"use one of {shown}")


def _day_or_month(field: Field, text: str) -> Span | Fault:
    match = _MONTH.fullmatch(text)
    wrong = fault(_DAY, f"{text}-01" if match else text)
    if wrong:
        return Fault(wrong.rule, wrong.message, "write a day or a month, as 2021-03-14 or 2021-03")
    if match:
        year, month = int(match[1]), int(match[2])
        last = calendar.monthrange(year, month)[1]
        return Span(date(year, month, 1), date(year, month, last))
    day = date.fromisoformat(text)
    return Span(day, day)


_DAY = Field(
    name="built_on", type="date", meaning="", good="", bad="",
    minimum="1900-01-01", maximum="2200-12-31",
)  # fmt: skip


def read_date(on: datetime.date | str | None) -> datetime.date:
    """A date as a person gives it; today if none is given.

    Raises
    ------
    UsageError
        If it is not a date.
    """
    if on is None:
        return datetime.date.today()
    if isinstance(on, datetime.datetime):
        return on.date()
    if isinstance(on, datetime.date):
        return on
    try:
        # Python reads 20260131 and week dates too; people write one form.
        if re.fullmatch("[0-9]{4}-[0-9]{2}-[0-9]{2}", on):
            return datetime.date.fromisoformat(on)
    except ValueError:
        pass
    raise UsageError(f"--on {on!r} is not a date; write 2026-01-31")
