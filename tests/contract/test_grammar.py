"""Cells: what reads like a word of the grammar is one, and nothing unseen gets in."""

from __future__ import annotations

import duckdb
import pytest

from towdb.contract.ddl import macros
from towdb.contract.grammar import Fault, fault, fold, parse_words
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


# Two texts that are compared as one, however a keyboard makes their letters.
ALIKE = [
    ("Quillon", " QUILLON "),
    ("Zo\u00eb  Lind", "Zoe\u0308 lind"),
    ("BR\u00dcCK", "bru\u0308ck"),
    # Of this letter only the small one exists as one character.
    ("J\u030cn", "\u01f0N"),
    ("\u212bre", "a\u030aRE"),
]
UNLIKE = [("Zoe", "Zo\u00eb"), ("Quillon", "Quil lon"), ("Zoë", "")]


@pytest.mark.parametrize(
    ("one", "other", "is_alike"), [(*p, True) for p in ALIKE] + [(*p, False) for p in UNLIKE]
)
def test_texts_are_compared_alike_by_python_and_by_sql(
    one: str, other: str, is_alike: bool
) -> None:
    assert (fold(one) == fold(other)) is is_alike
    with duckdb.connect() as con:
        con.execute("CREATE SCHEMA towdb_data")
        for macro in macros().values():
            con.execute(macro)
        folded = con.execute("SELECT towdb_data.fold($1), towdb_data.fold($2)", [one, other])
        assert folded.fetchall() == [(fold(one), fold(other))]
        same = con.execute(
            "SELECT towdb_data.same_person($1, $2), towdb_data.same_person($1, NULL)", [one, other]
        )
        assert same.fetchall() == [(is_alike, False)]


def use_one_of(vocabulary: str) -> str:
    """Up to twelve words are listed, of more the first twelve."""
    known = list(contract().vocabularies[vocabulary].words)
    return f"use one of {', '.join(known[:12])}{', …' if len(known) > 12 else ''}"


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
    vocabulary = field.vocabulary or ""
    assert fault(field, "Qqq") == Fault(rule, "unknown word 'Qqq'", use_one_of(vocabulary))
    first = next(iter(contract().vocabularies[vocabulary].words))
    near = fault(field, first + first[-1])
    assert near is not None
    assert near.message.endswith(f"; did you mean {first}?")


@pytest.mark.parametrize("name", ["ignition", "powertrain", "market"])
def test_a_word_typed_by_nobody_is_told_with_those_that_are_known(name: str) -> None:
    wrong = typed_cell(contract().candidate.field(name), "qqqqqq")
    assert wrong == Fault("word", "unknown word", use_one_of(name))
