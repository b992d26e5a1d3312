"""A cell of a workbook as a person would type it, or why the typed text cannot be recovered.

What the spreadsheet shows counts, where it differs from the value: a unit in the format of a
number, a month of which no day is shown.
"""

from __future__ import annotations

import datetime
import math
import re
from decimal import Decimal
from typing import Any

from towdb.contract.grammar import Fault
from towdb.contract.model import Field

_AS_TEXT = "format the cell as text and type it again"
_FIGURES = ("weight", "integer", "number", "date", "day_or_month")
# Formats in which a whole number looks as it was typed.
_PLAIN = ("General", "@", "0", "#,##0")
_ZEROS = re.compile(r"(0+)(?:\.(0+))?")
# How the file format writes a character that XML cannot contain (ECMA-376, ST_Xstring).
_ESCAPED = re.compile("_x([0-9A-Fa-f]{4})_")
# A format of numbers, piece by piece (ECMA-376 part 1, 18.8.31): quoted and escaped text, blanks as
# wide as a character, fillers, currencies, conditions and colours, places of digits.
_PIECE = re.compile(
    r'"(?P<quoted>[^"]*)"|\\(?P<escaped>.)|_.|\*.|\[\$(?P<currency>[^\]-]*)[^\]]*\]|\[[^\]]*\]'
    r"|(?P<digits>General|[0#?][0#?.,]*)|(?P<sign>[$€£¥])|."
)
_CONDITION = re.compile(r"\[[<>=]")
_SCALED = re.compile(r"[0#?],+$")
# A spreadsheet keeps so many digits of a number, and shows no more (IEEE 754 double).
_DIGITS = 15


def cell_text(field: Field | None, cell: Any) -> str | tuple[str, Fault]:
    """The text of a cell of a column of ours, or of one that is left aside (None).

    If the typed text cannot be recovered: what the cell shows, and why.
    """
    value, kind = cell.value, cell.data_type
    if value is None:
        return ""
    if kind == "e":
        remedy = "correct the formula, or type the value"
        return _refused(field, str(value), "an error of the spreadsheet", remedy)
    if isinstance(value, bool):
        if field is not None and field.type == "yes_no":
            return "yes" if value else "no"
        word = str(value).upper()
        return _refused(field, word, "the spreadsheet turned it into TRUE or FALSE", _AS_TEXT)
    if isinstance(value, (datetime.date, datetime.time, datetime.timedelta)):
        return _day(field, value, cell.number_format)
    if isinstance(value, (int, float)):
        return _figure(field, value, cell.number_format)
    return _ESCAPED.sub(lambda match: chr(int(match[1], 16)), str(value))


def _refused(field: Field | None, shown: str, message: str, remedy: str) -> str | tuple[str, Fault]:
    return shown if field is None else (shown, Fault("type", message, remedy))


def _day(field: Field | None, value: Any, shown_as: str) -> str | tuple[str, Fault]:
    shows = _letters(shown_as)
    if isinstance(value, datetime.datetime) and (
        value.time() == datetime.time() or not shows & set("hs")
    ):
        value = value.date()
    if field is None or type(value) is not datetime.date:
        wrong = f"the cell contains a time: {value}"
        return _refused(field, str(value), wrong, "type the date alone")
    day = value.isoformat()
    match field.type:
        case "date":
            return day
        case "day_or_month" if "d" in shows:
            return day
        case "day_or_month" if "m" in shows:
            return day[:7]  # nobody typed a day
        case "integer" if shows and shows <= {"y"}:
            return str(value.year)
    return day, Fault("type", f"the spreadsheet turned it into a date: {day}", _AS_TEXT)


def _letters(shown_as: str) -> set[str]:
    """The letters of a format of dates."""
    found = _PIECE.finditer(shown_as.partition(";")[0])
    return {match[0].lower() for match in found if len(match[0]) == 1 and match[0].isalpha()}


def _figure(field: Field | None, value: int | float, shown_as: str) -> str | tuple[str, Fault]:
    if not math.isfinite(value):
        return _refused(field, str(value), "not a number", _AS_TEXT)
    text = f"{Decimal(f'{value:.{_DIGITS}g}'):f}"
    affixes = _affixes(value, shown_as)
    if isinstance(affixes, Fault):
        return text if field is None else (text, affixes)
    before, after = affixes
    if field is None or field.type in _FIGURES or field.name == "price":
        return f"{before}{text}{' ' if after else ''}{after}"
    if abs(value) >= 10**_DIGITS:
        wrong = f"the spreadsheet keeps {_DIGITS} digits of a number, and this number has more"
        return text, Fault("type", wrong, _AS_TEXT)
    zeros = _ZEROS.fullmatch(shown_as)
    if zeros:
        places = len(zeros[2] or "")
        # 2.0 and 007 are shown with their zeros, and are texts here.
        shown = f"{value:0{len(zeros[1]) + places + bool(places)}.{places}f}"
        if Decimal(shown) == Decimal(text):
            return shown
    is_plain = shown_as in _PLAIN if value == int(value) else shown_as in ("General", "@")
    if is_plain and not (before or after):
        return text
    wrong = f"the spreadsheet turned it into a number: {text}, shown as {shown_as[:40]}"
    return text, Fault("type", wrong, _AS_TEXT)


def _affixes(value: int | float, shown_as: str) -> tuple[str, str] | Fault:
    """The text that a format shows before and after a number, such as its unit."""
    sections = _sections(shown_as)
    if value < 0 and len(sections) > 1:
        section = sections[1]
    else:
        section = sections[2 if value == 0 and len(sections) > 2 else 0]
    parts = ["", ""]
    digits, is_share = "", False
    for match in _PIECE.finditer(section):
        if match["digits"]:
            digits = match["digits"]
        elif match[0] == "%":
            is_share = True
        elif match[0].isalpha():
            # Not quoted, as some programs write it; but an E is that of 4.4E+03.
            parts[bool(digits)] += match[0] if match[0] not in "Ee" else ""
        else:
            affix = match["quoted"] or match["escaped"] or match["currency"] or match["sign"] or ""
            parts[bool(digits)] += affix
    before, after = parts[0].strip(" ()-+"), parts[1].strip(" ()-+")
    if is_share:
        return Fault(
            "type", f"the spreadsheet turned it into a percentage: {shown_as[:40]}", _AS_TEXT
        )
    if (before or after) and (_CONDITION.search(shown_as) or _SCALED.search(digits)):
        wrong = f"its format shows a figure other than its value: {shown_as[:40]}"
        return Fault("type", wrong, _AS_TEXT)
    return before, after


def _sections(shown_as: str) -> list[str]:
    sections = [""]
    for match in _PIECE.finditer(shown_as):
        if match[0] == ";":
            sections.append("")
        else:
            sections[-1] += match[0]
    return sections
