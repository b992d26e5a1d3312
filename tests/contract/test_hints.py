"""What was probably meant: never a word of another meaning that is no nearer than another."""

from __future__ import annotations

import string
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from towdb.contract.grammar import fault
from towdb.contract.hints import likely_name, name_hint, word_hint
from towdb.contract.model import Vocabulary, contract, name_key
from towdb.contract.typed import typed_cell, typed_word

# Those of which two words of different meanings are two slips apart or less.
NEAR_EACH_OTHER = ("powertrain", "drivetrain", "transmission", "transfer_case", "market")
VOCABULARIES = contract().vocabularies
CLOSED = sorted(name for name in VOCABULARIES if name != "unit")
LETTERS = string.ascii_lowercase + string.digits
MEAN = "; did you mean "


def hint(vocabulary: str, text: str) -> str | None:
    clause = word_hint(text, VOCABULARIES[vocabulary])
    return clause.removeprefix(MEAN).removesuffix("?") or None


def names_of(vocabulary: Vocabulary) -> dict[str, frozenset[str]]:
    """All that a person may type, and the leaves that it stands for."""
    found = {word: vocabulary.leaves(word) for word in vocabulary.words}
    return found | {alias: found[word] for alias, word in vocabulary.typed.items()}


def squeezed(name: str) -> str:
    return name_key(name).replace("_", "")


def one_slip(name: str) -> Iterator[str]:
    """Every text that one slip makes of a name, blanks aside."""
    text = squeezed(name)
    for at in range(len(text) + 1):
        head, rest = text[:at], text[at:]
        yield from (head + letter + rest for letter in LETTERS)
        if rest:
            yield head + rest[1:]
            yield from (head + letter + rest[1:] for letter in LETTERS)
        if len(rest) > 1:
            yield head + rest[1] + rest[0] + rest[2:]


# ---------------------------------------------------------------- words of the trade


@pytest.mark.parametrize(
    ("attribute", "text", "word"),
    [
        ("drivetrain", "4wd", "four_driven_wheels"),
        ("drivetrain", "4X4", "four_driven_wheels"),
        ("drivetrain", "four wheel drive", "four_driven_wheels"),
        ("drivetrain", "Four-Wheel-Drive", "four_driven_wheels"),
        ("drivetrain", "4 wheel drive", "four_driven_wheels"),
        ("drivetrain", "AWD", "all_wheel_drive"),
        ("drivetrain", "fwd", "front_wheel_drive"),
        ("drivetrain", "RWD", "rear_wheel_drive"),
        ("drivetrain", "2wd", "two_wheel_drive"),
        ("drivetrain", "2 wheel drive", "two_wheel_drive"),
        ("transmission", "stick", "manual"),
        ("transmission", "Standard", "manual"),
        ("transmission", "automatic", "automatic"),
        ("transmission", "CVT", "continuously_variable"),
        ("powertrain", "EV", "battery_electric"),
        ("powertrain", "hybrid", "hybrid"),
        ("powertrain", "plug-in", "plug_in_hybrid"),
        ("powertrain", "diesel", "diesel"),
        ("powertrain", "Gas", "gasoline"),
        ("transfer_case", "two speed", "two_speed"),
        ("transfer_case", "2-speed", "two_speed"),
        ("parking_brake", "hand brake", "hand_lever"),
        ("parking_brake", "Foot Brake", "foot_pedal"),
        ("ignition", "push button", "button"),
        ("ignition", "push start", "button"),
        ("ignition", "Key", "key"),
        ("market", "United States", "us"),
        ("market", "U.S.A.", "us"),
        ("market", "canada", "ca"),
        ("market", "Türkiye", "tr"),
        ("market", "turkiye", "tr"),
        ("market", "Cote d'Ivoire", "ci"),
        ("market", "The Democratic Republic of the Congo", "cd"),
        ("market", "US", "us"),
    ],
)
def test_a_word_of_the_trade_is_understood(attribute: str, text: str, word: str) -> None:
    assert typed_cell(contract().candidate.field(attribute), text) == word


@pytest.mark.parametrize("text", ["4wd", "Canada", "2_speed", "Standard"])
def test_a_reference_still_needs_the_word_itself(text: str) -> None:
    fields = {"4wd": "drivetrain", "Canada": "market", "2_speed": "transfer_case"}
    field = contract().tables["vehicle_group"].field(fields.get(text, "transmission"))
    wrong = fault(field, text)
    assert wrong is not None
    assert wrong.message == f"{text!r} is an alias; reference files need the full word"


def test_all_wheel_drive_is_not_what_four_wheel_drive_means() -> None:
    tree = VOCABULARIES["drivetrain"]
    assert typed_word("drivetrain", "awd") != typed_word("drivetrain", "4wd")
    # The broader word: it is settled only where the page speaks of every kind.
    assert tree.leaves("four_driven_wheels") > tree.leaves("all_wheel_drive")


@pytest.mark.parametrize("name", CLOSED)
def test_what_is_typed_for_a_word_stands_for_one_word_only(name: str) -> None:
    vocabulary = VOCABULARIES[name]
    assert not set(vocabulary.typed) & (set(vocabulary.words) | set(vocabulary.unclear))
    for text, words in vocabulary.unclear.items():
        assert len(words) > 1
        assert len({vocabulary.leaves(word) for word in words}) > 1
        assert vocabulary.meant(text) is None


@pytest.mark.parametrize(
    ("attribute", "text", "words"),
    [
        ("transmission", "eCVT", ("hybrid_transaxle", "continuously_variable")),
        ("transmission", "e-CVT", ("hybrid_transaxle", "continuously_variable")),
        ("transmission", "semi automatic", ("automated_manual", "dual_clutch")),
        ("powertrain", "Electric", ("battery_electric", "fuel_cell")),
        ("market", "Georgia", ("ge (Georgia)", "us (United States)")),
    ],
)
def test_a_word_of_two_meanings_is_refused_with_both(
    attribute: str, text: str, words: tuple[str, str]
) -> None:
    wrong = typed_cell(contract().candidate.field(attribute), text)
    assert getattr(wrong, "message", None) == f"may mean {words[0]} or {words[1]}"


# ---------------------------------------------------------------- what was meant


@pytest.mark.parametrize(
    ("vocabulary", "text", "word"),
    [
        ("transmission", "manuel", "manual"),
        ("transmission", "automtic", "automatic"),
        ("drivetrain", "frontwheel drive", "front_wheel_drive"),
        ("drivetrain", "four weel drive", "four_driven_wheels"),
        ("ignition", "kye", "key"),
        ("ignition", "buton", "button"),
        ("market", "Cannada", "ca"),
        ("steering", "hydraulik", "hydraulic"),
        ("transfer_case", "two speed with neutrel", "two_speed_with_neutral"),
    ],
)
def test_a_misspelt_word_is_told_with_the_right_one(vocabulary: str, text: str, word: str) -> None:
    assert hint(vocabulary, text) == word


@pytest.mark.parametrize(
    ("vocabulary", "text"),
    [
        ("drivetrain", "3wd"),
        ("drivetrain", "swd"),
        ("drivetrain", "6 wheel drive"),
        ("ignition", "no key"),
        ("ignition", "nokey"),
        ("transmission", "not manual"),
        ("transmission", "no manual"),
        ("transmission", "!manual"),
        ("powertrain", "non hybrid"),
        ("powertrain", "nonhybrid"),
        ("steering", "assisted"),
        ("transfer_case", "two speed withou neutral"),
        ("transfer_case", "two speed w/o neutral"),
        ("transfer_case", "no transfer case"),
        ("towing_capacity_word", "not stated"),
        ("yes_no", "nes"),
        ("permission", "recommended"),
        ("permission", "not permitted"),
        ("transmission", "ecvts"),
        ("market", "Austrlia"),
        ("market", "Irak"),
        ("market", "Nigera"),
        ("market", "uss"),
    ],
)
def test_nothing_is_offered_where_another_meaning_is_as_likely(vocabulary: str, text: str) -> None:
    assert typed_word(vocabulary, text) is None
    assert hint(vocabulary, text) is None


@pytest.mark.parametrize("name", NEAR_EACH_OTHER)
def test_one_slip_from_two_meanings_offers_neither(name: str) -> None:
    vocabulary = VOCABULARIES[name]
    meant: dict[str, set[frozenset[str]]] = {}
    for typed, leaves in names_of(vocabulary).items():
        for text in {squeezed(typed), *one_slip(typed)}:
            meant.setdefault(text, set()).add(leaves)
    # A name that only lacks its blanks is nearer than any slip.
    whole = {squeezed(typed) for typed in names_of(vocabulary)}
    both = [text for text, leaves in meant.items() if len(leaves) > 1 and text not in whole]
    if name == "market":
        both = both[:: len(both) // 500]
    assert both
    offered = {text: hint(name, text) for text in both if vocabulary.meant(text) is None}
    assert {text: word for text, word in offered.items() if word} == {}


@pytest.mark.parametrize("name", CLOSED)
def test_a_slip_in_one_name_never_offers_what_another_means(name: str) -> None:
    """Of a name in full every slip that is answered is answered with its own meaning."""
    vocabulary = VOCABULARIES[name]
    names = names_of(vocabulary)
    for typed, leaves in list(names.items())[:: 1 if len(names) < 40 else 17]:
        if len(squeezed(typed)) < 6:
            continue
        for text in set(list(one_slip(typed))[::11]):
            word = hint(name, text) if vocabulary.meant(text) is None else None
            assert word is None or vocabulary.leaves(word) == leaves, (typed, text, word)


@given(st.sampled_from(CLOSED), st.data())
def test_a_denial_is_never_answered_with_what_it_denies(name: str, data: st.DataObject) -> None:
    vocabulary = VOCABULARIES[name]
    word = data.draw(st.sampled_from(sorted(vocabulary.words)))
    how = data.draw(st.sampled_from(["no {}", "not {}", "non-{}", "non{}", "un{}", "without {}",
                                     "{}-less", "!{}", "w/o {}", "never {}"]))  # fmt: skip
    text = how.format(word)
    told = hint(name, text) if vocabulary.meant(text) is None else None
    assert told is None or vocabulary.leaves(told) != vocabulary.leaves(word)


def test_names_that_are_as_near_are_not_offered() -> None:
    assert name_hint("gvcr", ("gvwr", "gcwr", "gcvr")) == ""
    assert name_hint("hich_receiver", ("hitch_receiver", "gcwr")) == f"{MEAN}hitch_receiver?"
    assert likely_name("x" * 100_000, {"manual": 1}) is None
