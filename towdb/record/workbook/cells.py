"""One cell of a workbook turned into the text of a reference folder, or refused."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from towdb.contract.grammar import Fault, fault, fold, split_list
from towdb.contract.model import Field, Vocabulary, Word, contract

# Formats in which a whole number looks as it was typed.
_PLAIN = ("General", "@", "0")
_FIGURES = ("number", "integer", "date")
# How the file format writes a character that XML cannot contain (ECMA-376, ST_Xstring).
_ESCAPED = re.compile("_x([0-9A-Fa-f]{4})_")
_NOT = re.compile(r"not\s+(?=\S)", re.IGNORECASE)
_AS_TEXT = "format the cell as text and type it again"


def is_filled(cell: Any) -> bool:
    """Whether anybody typed something into a cell."""
    value = cell.value
    return value is not None and not (isinstance(value, str) and not value.strip())


def cell_text(field: Field, cell: Any, demanded: Vocabulary | None = None) -> str | Fault:
    """The text of a filled cell, in the form of a reference folder.

    Parameters
    ----------
    field : Field
        The field of the cell's column.
    cell : openpyxl cell
        The cell.
    demanded : Vocabulary, optional
        The vocabulary that the row's property or quantity demands.

    Returns
    -------
    str or Fault
        Words by their names in the vocabulary, ISO dates, plain decimals; or what is wrong.
    """
    vocabulary = demanded or _vocabulary(field)
    text = _typed(field, cell, vocabulary)
    if isinstance(text, Fault):
        return text
    text = known_words(field, text, vocabulary)
    return fault(field, text) or text


def demanded_vocabulary(words: Mapping[str, Word], name: str | None) -> Vocabulary | None:
    """The vocabulary that a property or quantity demands of its word."""
    word = words.get(name or "")
    return contract().vocabularies[word.vocabulary] if word and word.vocabulary else None


def known_words(field: Field, text: str, vocabulary: Vocabulary | None = None) -> str:
    """A typed text with its words as in the vocabulary; unknown words stay as typed."""
    plain = text.replace("\r\n", "\n").replace("\r", "\n").strip()
    vocabulary = vocabulary or _vocabulary(field)
    match field.type:
        case "id":
            return plain.lower()
        case "ids":
            return ", ".join(split_list(plain.lower()))
        case "word" | "yes_no" if vocabulary:
            return _word(vocabulary, plain)
        case "word_list" if vocabulary:
            return ", ".join(_word(vocabulary, item) for item in split_list(plain))
        case "words" if vocabulary:
            if fold(plain) == "any":
                return "any"
            named = _NOT.sub("", plain, count=1) if _NOT.match(plain) else plain
            words = " | ".join(_word(vocabulary, word) for word in named.split("|"))
            return words if named == plain else f"not {words}"
    return plain


def escaped(text: str) -> str:
    """A text as the file format must write it, so that it is read back unchanged."""
    return _ESCAPED.sub(lambda match: f"_x005F{match[0]}", text)


def _vocabulary(field: Field) -> Vocabulary | None:
    name = field.vocabulary or ("yes_no" if field.type == "yes_no" else None)
    return contract().vocabularies[name] if name else None


def _word(vocabulary: Vocabulary, text: str) -> str:
    text = text.strip()
    if text in vocabulary.words:
        return text
    # Names of units have capitals, which people leave out or overdo.
    known = {fold(word): word for word in vocabulary.words}
    plain = fold(text)
    return (
        vocabulary.meant(text) or known.get(plain) or known.get(re.sub("[ -]+", "_", plain), text)
    )


def _typed(field: Field, cell: Any, vocabulary: Vocabulary | None) -> str | Fault:
    value = cell.value
    match cell.data_type:
        case "f":
            return Fault(
                "formula",
                "a formula, whose stored result cannot be trusted",
                "type the figure or the words themselves",
            )
        case "e":
            return Fault("type", "the cell contains an error of the spreadsheet", _AS_TEXT)
        case "b":
            if vocabulary and vocabulary.name == "yes_no":
                return "yes" if value else "no"
            return Fault("type", "the spreadsheet turned it into TRUE or FALSE", _AS_TEXT)
        case "d":
            return _day(field, value)
        case "n":
            return _figure(field, value, cell.number_format)
    return _ESCAPED.sub(lambda match: chr(int(match[1], 16)), str(value))


def _day(field: Field, value: Any) -> str | Fault:
    if isinstance(value, datetime) and value.time() == time():
        value = value.date()
    if type(value) is date and field.type == "date":
        return value.isoformat()
    if field.type == "date":
        return Fault("type", f"a time of day: {value}", "type the date alone")
    return Fault("type", f"the spreadsheet turned it into a date or time: {value}", _AS_TEXT)


def _figure(field: Field, value: int | float, shown_as: str) -> str | Fault:
    if "%" in shown_as:
        return Fault("type", f"the spreadsheet turned a percentage into a share: {value}", _AS_TEXT)
    if not math.isfinite(value):
        return Fault("type", "not a number", _AS_TEXT)
    if value == int(value):
        if field.type in _FIGURES or shown_as in _PLAIN:
            return str(int(value))
    elif field.type in _FIGURES:
        return f"{Decimal(repr(value)):f}"
    # 4.10 has become 4.1, and 007 has become 7.
    return Fault("type", f"the spreadsheet turned it into a number: {value}", _AS_TEXT)
