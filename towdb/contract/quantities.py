"""Quantities as people write them: text to an exact Decimal and a unit, and exact conversion."""

from __future__ import annotations

import itertools
import re
from dataclasses import dataclass
from decimal import Decimal, localcontext

from towdb.contract.grammar import fold
from towdb.contract.model import Unit, contract
from towdb.errors import UsageError, did_you_mean

_LIKE = "write it like 4,400 lb"
# Spaces that typesetters put between groups of three digits.
_THIN = "\u00a0\u2009\u202f"
_PART = re.compile(
    r"\s*(?P<number>[+-]?(?:\d{1,3}(?:,\d{3})+|\d{1,3}(?: \d{3})+|\d+)(?:\.\d+)?)"
    r"\s*(?P<unit>[^\d\s,.][^\s,.]*)?"
)


# 1995,8 and 1.995,8: no group of three digits follows the comma, or the dot separates thousands.
_COMMA = re.compile(
    r"(?P<whole>[+-]?(?:\d{1,3}(?:[. ']\d{3})+|\d{1,15})),(?P<decimals>\d{1,15})(?P<unit>[^\d,.]*)"
)
# 5k lb, 4.4 k, 5klb; k alone is not a unit.
_THOUSANDS = re.compile(
    r"(?P<number>\d{1,9}(?:,\d{3})*(?:\.\d{1,6})?)\s*[kK](?:\s+(?P<unit>[A-Za-z]{1,20})|(?P<lb>lbs?))?"
)


@dataclass(frozen=True)
class Quantity:
    """An exact figure and the name of its unit."""

    value: Decimal
    unit: str

    @property
    def canonical(self) -> Decimal:
        """The figure in the canonical unit of its dimension, exact."""
        unit = contract().units[self.unit]
        with localcontext() as context:
            context.prec = 60
            return self.value * unit.factor + unit.offset

    @property
    def dimension(self) -> str:
        """The dimension of the unit."""
        return contract().units[self.unit].dimension


def parse_quantity(text: str, unit: str | None = None) -> Quantity:
    """Read a figure with its unit.

    Parameters
    ----------
    text : str
        ``5000 lb``, ``9,980 kg``, ``1 996 kg``, ``17 ft 2 in``. Groups of three digits may be
        separated by commas or spaces; the decimal mark is a full stop.
    unit : str, optional
        The unit of a bare number.

    Returns
    -------
    Quantity
        Compound figures come in their last unit: ``17 ft 2 in`` is 206 in.

    Raises
    ------
    UsageError
        If the text is not a figure, has no known unit, or mixes dimensions.
    """
    rest = "".join(" " if char in _THIN else char for char in text).strip()
    other = other_figure(rest)
    if other:
        raise UsageError(f"{text[:60]!r} has {other[0]}; {other[1]}")
    parts: list[Quantity] = []
    while rest:
        match = _PART.match(rest)
        if match is None:
            raise UsageError(f"{text[:60]!r} is not a figure with a unit; {_LIKE}")
        if not match["unit"] and rest[match.end() :].startswith((",", ".")):
            raise UsageError(f"{text[:60]!r} has a comma or full stop too many; {_LIKE}")
        number = Decimal(match["number"].replace(",", "").replace(" ", ""))
        parts.append(Quantity(number, find_unit(match["unit"] or unit, text).name))
        rest = rest[match.end() :]
    if not parts or (len(parts) > 1 and not _is_compound(parts)):
        raise UsageError(f"{text[:60]!r} is not one figure with a unit; {_LIKE}")
    return _in_last_unit(parts)


def other_figure(text: str) -> tuple[str, str] | None:
    """What is wrong with a figure as it is written elsewhere, and how it is written here."""
    comma = _COMMA.fullmatch(text)
    if comma:
        whole, decimals = re.sub("[. ']", "", comma["whole"]), comma["decimals"]
        if len(decimals) != 3 or len(whole.lstrip("+-")) > 3:
            figure = f"{whole}.{decimals} {comma['unit'].strip()}".strip()
            return "a comma before its decimals", f"write a full stop there: {figure}"
    short = _THOUSANDS.fullmatch(text)
    if short:
        figure = f"{Decimal(short['number'].replace(',', '')) * 1000:f}"
        figure = figure.rstrip("0").rstrip(".") if "." in figure else figure
        unit = short["unit"] or short["lb"]
        return "k for thousands", f"write it in full: {figure} {unit or 'lb or kg'}"
    return None


def find_unit(name: str | None, text: str) -> Unit:
    """The unit with this name or alias.

    Raises
    ------
    UsageError
        If there is no such unit.
    """
    units, aliases = contract().units, contract().vocabularies["unit"].aliases
    if name is None:
        raise UsageError(f"{text[:60]!r} has no unit; {_LIKE}")
    found = name if name in units else aliases.get(fold(name), fold(name))
    if found in units:
        return units[found]
    raise UsageError(f"{text[:60]!r}: unknown unit {name[:20]!r}{did_you_mean(name, units)}")


def _is_compound(parts: list[Quantity]) -> bool:
    factors = [contract().units[part.unit].factor for part in parts]
    falling = all(a > b for a, b in itertools.pairwise(factors))
    return falling and all(p.value >= 0 for p in parts) and len({p.dimension for p in parts}) == 1


def _in_last_unit(parts: list[Quantity]) -> Quantity:
    if len(parts) == 1:
        return parts[0]
    factor = contract().units[parts[-1].unit].factor
    with localcontext() as context:
        context.prec = 60
        total = sum((p.value * contract().units[p.unit].factor for p in parts), Decimal(0))
        return Quantity(total / factor, parts[-1].unit)
