"""Cells: what reads like a word of the grammar is one, and nothing unseen gets in."""

from __future__ import annotations

import pytest

from towdb.contract.grammar import fault, parse_words
from towdb.contract.model import contract

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
