"""Printed words as they are compared: a quote on a page, a figure in a quote.

Two texts are the same if they are the same to a reader, whatever line ends and the hyphens there,
ligatures, kinds of dashes and quotes, and capitals do to them. Words and figures match whole or not
at all.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from towdb.contract.model import Unit, contract
from towdb.contract.quantities import Quantity, parse_quantity
from towdb.errors import UsageError

# Two letters are on every page.
LEAST_LETTERS = 3

_UNIFIED = str.maketrans(
    dict.fromkeys("‐‑‒–−", "-")
    | dict.fromkeys("—―", " - ")
    | dict.fromkeys("‘’‚‛′`´ʼ", "'")
    | dict.fromkeys("“”„‟″«»", '"')
    | dict.fromkeys("º˚", "°")
    | dict.fromkeys("\u200b\u200c\u200d\u200e\u200f\u2060\ufeff")
    | {"⁄": "/"}
)
# "1½" is one and a half, "65¹" and "GVWR¹" have a footnote: not a longer number or word.
_RAISED = re.compile(r"(?<=[0-9])(?=[⁰¹²³⁴-⁹₀-₉¼-¾⅐-⅞])|(?<=[^\W\d_]{3})(?=[⁰¹²³⁴-⁹])|(?<=[①-⑳])")
_BLANKS = re.compile(r"[^\S\n]+")
_LINE_ENDS = re.compile(r" ?\n[ \n]*")
_LETTER = r"[^\W\d_]"
# A hyphen, or nothing: it depends on the word.
_SOFT = "\xad"
_BROKEN = re.compile(rf"(?<={_LETTER})-\n(?={_LETTER})")


def normal(text: str) -> str:
    """Text as it is compared; lines stay lines, but a word broken between two is one.

    Parameters
    ----------
    text : str
        The text of a page or a quote.
    """
    return joined(_lines(text))


def joined(lines: str) -> str:
    """Lines with the words that are broken between two of them made whole."""
    return _BROKEN.sub(_SOFT, lines)


def _lines(text: str) -> str:
    text = _RAISED.sub(" ", "\n".join(text.translate(_UNIFIED).splitlines()))
    text = unicodedata.normalize("NFKC", text).translate(_UNIFIED).casefold()
    text = _LINE_ENDS.sub("\n", _BLANKS.sub(" ", text)).strip()
    return text.replace(f"{_SOFT}\n", "-\n")


_JOINT = re.compile(r"(?:^|\s)…(?=\s|$)|^…|…$")


def letters(text: str) -> str:
    """The bare letters and digits of a text."""
    return re.sub(r"[\W_]+", "", text)


class PageText:
    """The text of a page as it is compared, and its lines."""

    def __init__(self, text: str) -> None:
        lines = _lines(text)
        self.lines = lines.split("\n")
        self.text = joined(lines)
        self.letters = letters(self.text)


class Quote:
    """A quote, ready to be looked up: fragments that are on one page, in their order.

    Attributes
    ----------
    is_enough : bool
        Whether it is long enough to be found by more than chance.
    """

    def __init__(self, text: str) -> None:
        parts = [normal(part).replace(_SOFT, "") for part in _JOINT.split(text)]
        fragments = [" ".join(part.split()) for part in parts if letters(part)]
        self.is_enough = any(len(letters(part)) >= LEAST_LETTERS for part in fragments)
        # The bare letters of a page are searched a hundred times faster than its text.
        self._fragments = [(part, letters(part)) for part in fragments]

    def stands_in(self, page: PageText) -> bool:
        """Whether all of it is on a page."""
        if not self.is_enough or not all(bare in page.letters for _, bare in self._fragments):
            return False
        end = 0
        for part, _ in self._fragments:
            found = _pattern(part).search(page.text, end)
            if found is None:
                return False
            end = found.end()
        return True

    def runs_over(self, foot: str, head: str) -> bool:
        """Whether it begins at the foot of one page and ends at the head of the next.

        Fragments are of one page, so only an unbroken quote may.
        """
        if not self.is_enough or len(self._fragments) > 1:
            return False
        text = joined(f"{foot}\n{head}")
        begins = len(text) - len(joined(head))
        found = _pattern(self._fragments[0][0]).finditer(text)
        return any(each.start() < begins - 1 and each.end() > begins for each in found)


# Where words begin and end, and units ("km" is not in "km/h"), and numbers as they are
# printed (65 is not in "165", "6.65", "1/65" and "-65", nor 450 in "4 450").
_BEGINS, _ENDS = r"(?<![^\W_])", r"(?![^\W_])"
_BEFORE_LETTER = rf"{_BEGINS}(?<!{_SOFT})"
_AFTER_LETTER = rf"{_ENDS}(?!{_SOFT}|[/·]{_LETTER})"
_BEFORE_DIGIT = rf"{_BEGINS}(?<!\d[.,/'])(?<![\s(][.,])(?<!\A[.,])(?<!\W-)(?<!\A-)"
_BEFORE_THOUSANDS = r"(?<!\b\d )(?<!\b\d\d )(?<!\b\d\d\d )"
_AFTER_DIGIT = r"(?!\d)(?![.,/']\d)"
_AFTER_NUMBER = rf"{_AFTER_DIGIT}(?! \d+/\d)(?! \d{{3}}(?!\d))"
# Nor is "wheel" in "four-wheel", or 10 in "5-10".
_BEFORE_WHOLE = r"(?<![^\W_]-)(?<![^\W_]-\n)"
_AFTER_WHOLE = r"(?!-\n?[^\W_])"
# Thin spaces before a unit are often drawn, not written.
_PARTS = re.compile(rf"(?P<word>{_LETTER}+)|(?P<thin>(?<=\d) (?!\d))|- |.")
_LOOSE = {
    " ": "[ \n]",
    "/": "/\n?",
    "-": f"(?:-\n?|{_SOFT})",
    "- ": f"(?:-[ \n]|{_SOFT})",
}


@lru_cache(maxsize=4096)
def _pattern(fragment: str) -> re.Pattern[str]:
    """The pattern of a fragment: where it begins and ends, and what line ends may do to it."""
    first, last = fragment[0], fragment[-1]
    before = after = ""
    if first.isalpha():
        before = _BEFORE_LETTER + _BEFORE_WHOLE
    elif first.isdigit():
        cut = re.match(r"\d{3}(?!\d)|\d+/\d", fragment)
        before = _BEFORE_DIGIT + _BEFORE_WHOLE + (_BEFORE_THOUSANDS if cut else "")
    elif first in "-+.,":
        before = _BEGINS
    if last.isalpha():
        after = _AFTER_LETTER + _AFTER_WHOLE
    elif last.isdigit():
        # "F12 450" is not a number, "12 450" may be one.
        bare = re.search(rf"{_BEGINS}\d+$", fragment)
        after = _ENDS + _AFTER_WHOLE + (_AFTER_NUMBER if bare else _AFTER_DIGIT)
    middle = (_loosened(part) for part in _PARTS.finditer(fragment))
    return re.compile(before + "".join(middle) + after)


def _loosened(part: re.Match[str]) -> str:
    if part["word"]:
        return f"{_SOFT}?".join(part[0])
    if part["thin"]:
        return "[ \n]?"
    return _LOOSE.get(part[0]) or re.escape(part[0])


# ---------------------------------------------------------------- figures in a quote

_ONES = [
    *("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"),
    *("eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen"),
    "nineteen",
]
_TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_ANOTHER = r"(?: ?(?:-|to|or|and|,|/) ?\d[\d.,]*)*"
_COMPOUND = re.compile(r"\d[\d.,]* ?[^\d\s.,]+ ?\d[\d.,]* ?(?:[^\W\d_]+|[\"'])")


@lru_cache(maxsize=4096)
def figure_in(quote: str, value: str, unit: str) -> bool:
    """Whether a figure is in a quote, with its unit.

    Parameters
    ----------
    quote : str
        The printed words; numbers below a hundred may be spelled out in English.
    value : str
        The figure, as a reference writes it: digits, a full stop before the decimals.
    unit : str
        Name of its unit, or nothing. The unit may be after the figure, after another figure that
        follows ("10 to 12 mm"), or in brackets before it ("GVWR (lb) 4,450").
    """
    text = " ".join(normal(quote).split())
    number, units = _number(Decimal(value)), contract().units
    # An unknown unit may still be the printed one.
    named = _names(units[unit]) if unit in units else re.escape(normal(unit))
    if unit == "share" and figure_in(quote, f"{Decimal(value) * 100:f}", "%"):
        return True
    if not named:
        return _found(number + _AFTER_NUMBER + _ENDS, text)
    after = rf"{number}{_AFTER_NUMBER}{_ANOTHER}[ -]?(?:{named}){_AFTER_LETTER}"
    before = rf"[(\[](?:{named})[)\]]\W*{number}{_AFTER_NUMBER}{_ENDS}"
    return _found(f"{after}|{before}", text) or any(
        (figure.value, figure.unit) == (Decimal(value), unit) for figure in _compounds(text)
    )


def _found(pattern: str, text: str) -> bool:
    return re.search(pattern, text) is not None


def _names(unit: Unit) -> str:
    """The pattern of a unit's names; a number of things has none."""
    if not unit.symbol:
        return ""
    names = {normal(name) for name in (unit.name, unit.symbol, *unit.aliases)}
    longest_first = sorted(names, key=len, reverse=True)
    return "|".join(re.escape(name).replace("°", "° ?") for name in longest_first)


def _number(value: Decimal) -> str:
    """The pattern of a number as pages print it, up to its end."""
    sign = "(?:-|minus )" if value < 0 else ""
    whole, _, decimals = f"{abs(value):f}".partition(".")
    decimals = decimals.rstrip("0")
    grouped = f"(?:{whole}|{int(whole):,})".replace(",", "[,. ']")
    if decimals:
        forms = [f"{grouped}{'?' if whole == '0' else ''}(?:\\.{decimals}0*|,{decimals})"]
        part = Fraction(f"0.{decimals}")
        if part.denominator <= 64:
            vulgar = f"{part.numerator}/{part.denominator}"
            forms.append(f"{whole}[ -]{vulgar}" if whole != "0" else rf"(?<!\d ){vulgar}")
    else:
        forms = [f"{grouped}(?:[.,]0{{1,2}})?"]
    digits = f"{_BEFORE_DIGIT}{_BEFORE_THOUSANDS if len(whole) == 3 else ''}{sign}"
    spelled = _in_words(int(whole)) if not decimals and not sign and int(whole) < 100 else ""
    numbers = f"{digits}(?:{'|'.join(forms)})"
    return f"(?:{numbers}|{_BEFORE_LETTER}(?<!ty[ -]){spelled})" if spelled else f"(?:{numbers})"


def _in_words(number: int) -> str:
    if number < len(_ONES):
        return _ONES[number]
    tens, ones = divmod(number, 10)
    return _TENS[tens - 2] + (f"[- ]{_ONES[ones]}" if ones else "")


def _compounds(text: str) -> Iterator[Quantity]:
    """Figures of two units: `17 ft 2 in`."""
    for found in _COMPOUND.finditer(text):
        try:
            yield parse_quantity(found[0])
        except UsageError:
            continue
