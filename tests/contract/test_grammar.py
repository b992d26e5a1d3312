"""Cells: what reads like a word of the grammar is one, and nothing unseen gets in."""

from __future__ import annotations

import pytest

from towdb.contract.grammar import Fault, fault, parse_words
from towdb.contract.model import contract
from towdb.contract.typed import typed_cell

TRIM = contract().tables["vehicle_group"].field("trim")
NAME = contract().tables["coach"].field("name")


@pytest.mark.parametrize(
    ("text", "parsed"),
    [
        ("any", ("any", ())),
        ("Trail", ("in", ("Trail",))),
        ("Trail | Summit", ("in", ("Trail", "Summit"))),
        ("not Trail|Summit", ("not", ("Trail", "Summit"))),
        ("Any", None),
        ("ANY | a", None),
        ("NOT Trail", None),
        ("not\tTrail", None),
        ("not not a", None),
        ("not any", None),
        ("not", None),
        ("a |", None),
        ("a | A", None),
    ],
)
def test_a_cell_of_words(text: str, parsed: object) -> None:
    assert parse_words(text) == parsed
    assert (fault(TRIM, text) is None) == (parsed is not None)


@pytest.mark.parametrize(
    "char",
    ["\u200e", "\u200f", "\u061c", "\u00ad", "\u200d", "\u2060", "\u180e", "\u2028", "\u115f",
     "\u3164", "\U000e0041", "\u202e", "\ufeff", "\x07", "\x1b", "\x7f", "\x85"],
)  # fmt: skip
def test_what_cannot_be_seen_is_refused(char: str) -> None:
    assert fault(NAME, f"Quil{char}lon") is not None


@pytest.mark.parametrize("text", ["Quillon", "Brückwasser", "車", "مركبة", "a\nb", "a\tb", "Å"])
def test_other_scripts_are_welcome(text: str) -> None:
    assert fault(NAME, text) is None


# A vocabulary of so many words is listed whole, of a longer one the first twelve.
LISTED = 12


@pytest.mark.parametrize(
    ("table", "column", "rule"),
    [
        ("vehicle_group", "ignition", "word"),
        ("vehicle_property", "unit", "unit"),
        ("procedure_step", "component", "word"),
        ("fuse_pull", "disables", "word"),
    ],
)
def test_an_unknown_word_is_told_with_those_that_are_known(
    table: str, column: str, rule: str
) -> None:
    field = contract().tables[table].field(column)
    known = list(contract().vocabularies[field.vocabulary or ""].words)
    wrong = fault(field, "Qqq")
    assert wrong is not None
    more = ", …" if len(known) > LISTED else ""
    assert wrong == Fault(
        rule, "unknown word 'Qqq'", f"use one of {', '.join(known[:LISTED])}{more}"
    )
    near = fault(field, known[0] + known[0][-1])
    assert near is not None
    assert near.message.endswith(f"; did you mean {known[0]}?")


def test_a_word_typed_by_nobody_is_told_with_those_that_are_known() -> None:
    for name, count in (("ignition", 2), ("powertrain", 10), ("market", LISTED)):
        field = contract().candidate.field(name)
        known = list(contract().vocabularies[name].words)
        more = ", …" if len(known) > LISTED else ""
        wrong = typed_cell(field, "qqqqqq")
        assert wrong == Fault(
            "word", "unknown word", f"use one of {', '.join(known[:count])}{more}"
        )
