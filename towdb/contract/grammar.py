"""What a cell of text must look like: one plain predicate a type, used wherever text comes in."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any
from unicodedata import normalize

from towdb.contract.hints import word_hint
from towdb.contract.model import Field, Vocabulary, contract
from towdb.invisible import code_point, first_unseen

_ID = re.compile(r"[a-z0-9.-]{1,80}")
_NUMBER = re.compile(r"-?(?:0|[1-9][0-9]{0,8})(?:\.[0-9]{1,6})?")
_INTEGER = re.compile(r"-?(?:0|[1-9][0-9]{0,8})")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
# A word of the trade (a bar-to-plate pattern), or the id of a rule.
_OPEN_WORD = re.compile(r"[a-z0-9_.-]{1,80}")

# A longer cell means that the file is broken.
MAX_CELL = 1_000_000


@dataclass(frozen=True)
class Fault:
    """Why a cell is refused: the rule that it breaks, what is wrong and what to do."""

    rule: str
    message: str
    remedy: str


def fold(text: str) -> str:
    """Text as it is compared: outer white space off, inner runs to one space, lower case.

    A letter and its accent are one character, however they were typed.
    """
    # Composed before and after: some letters compose in lower case only.
    return normalize("NFC", normalize("NFC", " ".join(text.split())).lower())


def split_list(text: str) -> list[str]:
    """The items of a comma-separated cell."""
    return [item.strip() for item in text.split(",")]


def parse_words(text: str) -> tuple[str, tuple[str, ...]] | None:
    """A cell of words as (form, words); form is ``any``, ``in`` or ``not``. None: anything else."""
    if text == "any":
        return "any", ()
    form, listed = ("not", text[4:]) if text.startswith("not ") else ("in", text)
    words = tuple(word.strip() for word in listed.split("|"))
    folded = {fold(word) for word in words}
    # In another case, or before another blank, they would be read as texts that no car has.
    if folded & {"", "any", "not"} or any(word.startswith("not ") for word in folded):
        return None
    return (form, words) if len(folded) == len(words) else None


def fault(field: Field, text: str) -> Fault | None:
    """What is wrong with a non-empty cell, or None.

    Parameters
    ----------
    field : Field
        The field that the cell belongs to.
    text : str
        The cell.
    """
    if field.max_length and len(text) > field.max_length:
        return Fault(
            "length",
            f"{len(text)} characters, at most {field.max_length} are allowed",
            "shorten it; a quote keeps the words that carry the fact and joins them by ' … '",
        )
    if text != text.strip():
        return Fault("type", "white space before or after the text", "remove it")
    # Two names that look alike must be alike.
    unseen = first_unseen(text)
    if unseen:
        message = f"a control or invisible character, {code_point(unseen)}"
        return Fault("type", message, "remove it")
    return _BY_TYPE[field.type](field, text) or _range_fault(field, text)


def _text(field: Field, text: str) -> Fault | None:
    if field.pattern and not re.fullmatch(field.pattern, text):
        return Fault("type", "not in the form of this field", f"write it like {field.good}")
    return None


def _text_list(field: Field, text: str) -> Fault | None:
    items = [fold(item) for item in split_list(text)]
    if "" in items or len(set(items)) < len(items):
        return Fault(
            "type", "an empty or repeated item in the list", "separate the items by one comma each"
        )
    return None


def _id(field: Field, text: str) -> Fault | None:
    if _ID.fullmatch(text):
        return None
    return Fault("type", "not an id", "use 1 to 80 of a-z, 0-9, hyphen and full stop")


def _ids(field: Field, text: str) -> Fault | None:
    items = split_list(text)
    if len(set(items)) == len(items) and all(_ID.fullmatch(item) for item in items):
        return None
    return Fault("type", "not a list of ids", "separate ids by commas, each named once")


def _number(field: Field, text: str) -> Fault | None:
    if _NUMBER.fullmatch(text) and text != "-0":
        return None
    remedy = "write digits with a full stop before the decimals, at most 6 of them"
    if re.fullmatch("[0-9]{1,3}(,[0-9]{3})+([.][0-9]+)?", text):
        remedy = f"write thousands without commas: {text.replace(',', '')[:40]}"
    elif re.fullmatch("[0-9]+,[0-9]+", text):
        remedy = f"write a full stop before the decimals: {text.replace(',', '.')[:40]}"
    elif re.fullmatch("[0-9.,]+ *[kK]", text):
        remedy = "write the figure in full: k for thousands is not read"
    elif re.search("[a-z°%]", text.lower()):
        remedy += "; the unit has a column of its own"
    return Fault("type", "not a number", remedy)


def _integer(field: Field, text: str) -> Fault | None:
    if _INTEGER.fullmatch(text) and text != "-0":
        return None
    return Fault("type", "not a whole number", "write digits only")


def _date(field: Field, text: str) -> Fault | None:
    if _DATE.fullmatch(text):
        try:
            date.fromisoformat(text)
        except ValueError:
            return Fault("type", "no such day in the calendar", "correct the date")
        return None
    return Fault("type", "not a date", "write it as year-month-day, such as 2025-03-14")


def _yes_no(field: Field, text: str) -> Fault | None:
    return _unknown_word(text, contract().vocabularies["yes_no"])


def _word(field: Field, text: str) -> Fault | None:
    if field.vocabulary is None:
        if _OPEN_WORD.fullmatch(text):
            return None
        return Fault("word", "not a word", "use a-z, 0-9 and _ . -, as the vocabulary writes it")
    return _unknown_word(text, contract().vocabularies[field.vocabulary])


def _word_list(field: Field, text: str) -> Fault | None:
    wrong = _text_list(field, text)
    if wrong:
        return wrong
    assert field.vocabulary is not None
    vocabulary = contract().vocabularies[field.vocabulary]
    return next(filter(None, (_unknown_word(word, vocabulary) for word in split_list(text))), None)


def _words(field: Field, text: str) -> Fault | None:
    parsed = parse_words(text)
    if parsed is None:
        return Fault(
            "word", "not a cell of words", "write any, a word, a | b, not a, or leave it empty"
        )
    if field.vocabulary is None:
        return None
    vocabulary = contract().vocabularies[field.vocabulary]
    return next(filter(None, (_unknown_word(word, vocabulary) for word in parsed[1])), None)


def _unknown_word(text: str, vocabulary: Vocabulary) -> Fault | None:
    if text in vocabulary.words:
        return None
    if vocabulary.is_open and _OPEN_WORD.fullmatch(text):
        return None
    rule = "unit" if vocabulary.name == "unit" else "word"
    meant = vocabulary.alias_for(text)
    if meant:
        return Fault(
            rule,
            f"{_short(text)} is an alias; reference files need the full word",
            f"write {meant}",
        )
    names = ", ".join(list(vocabulary.words)[:12])
    more = ", …" if len(vocabulary.words) > 12 else ""
    return Fault(
        rule,
        f"unknown word {_short(text)}{word_hint(text, vocabulary)}",
        f"use one of {names}{more}",
    )


def _range_fault(field: Field, text: str) -> Fault | None:
    convert = _COMPARABLE.get(field.type)
    if convert is None or (field.minimum is None and field.maximum is None):
        return None
    value = convert(text)
    low, high = field.minimum, field.maximum
    if (low is None or value >= convert(str(low))) and (
        high is None or value <= convert(str(high))
    ):
        return None
    return Fault("range", "not believable", f"expected {low} to {high}; look at the page again")


def _short(text: str) -> str:
    return repr(text if len(text) <= 60 else text[:57] + "…")


_COMPARABLE: dict[str, Callable[[str], Any]] = {
    "number": Decimal,
    "integer": Decimal,
    "date": str,
}
_BY_TYPE: dict[str, Callable[[Field, str], Fault | None]] = {
    "id": _id,
    "ids": _ids,
    "text": _text,
    "text_list": _text_list,
    "word": _word,
    "word_list": _word_list,
    "words": _words,
    "number": _number,
    "integer": _integer,
    "date": _date,
    "yes_no": _yes_no,
}
