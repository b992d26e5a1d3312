"""The contract is whole: every field is defined, named by the grammar, and shown by example."""

from __future__ import annotations

import itertools

import pytest

from towdb.contract.documents import dictionary, policy_keys
from towdb.contract.grammar import fault, fold
from towdb.contract.model import Field, Table, contract
from towdb.contract.quantities import parse_quantity

FIELDS = [(table, field) for table in contract().tables.values() for field in table.fields]
NAMES = [f"{table.name}.{field.name}" for table, field in FIELDS]
# A field whose name ends so holds a figure in that unit, and only such a field may.
UNIT_ENDINGS = {
    "lb": "lb", "kg": "kg", "mph": "mph", "kmh": "km/h", "in": "in", "ft": "ft", "mi": "mi",
    "km": "km", "m": "m", "a": "A", "v": "V", "ah": "Ah", "s": "s", "min": "min", "h": "h",
}  # fmt: skip


@pytest.mark.parametrize(("table", "field"), FIELDS, ids=NAMES)
def test_every_field_has_a_meaning_and_examples_that_hold(table: Table, field: Field) -> None:
    assert field.meaning.endswith(".")
    assert fault(field, field.good) is None
    assert fault(field, field.bad) is not None, f"{field.bad!r} is accepted"
    assert field.good != field.bad


@pytest.mark.parametrize(("table", "field"), FIELDS, ids=NAMES)
def test_a_name_ends_in_its_unit_and_in_no_other(table: Table, field: Field) -> None:
    ending = field.name.rsplit("_", 1)[-1] if "_" in field.name else None
    if field.unit is None:
        assert ending not in UNIT_ENDINGS or field.type != "number"
    else:
        assert UNIT_ENDINGS[ending or ""] == field.unit
    if field.type == "number":
        assert (field.unit is None) != (field.unit_in is None), "a figure has a unit"
    if field.unit_in:
        assert field.unit_in in table.columns


@pytest.mark.parametrize(("table", "field"), FIELDS, ids=NAMES)
def test_types_have_what_they_need(table: Table, field: Field) -> None:
    if field.type in ("word", "word_list", "words") and field.vocabulary:
        assert field.vocabulary in contract().vocabularies
    if field.type in ("number", "integer", "date"):
        assert field.minimum is not None, "a believable range"
        assert field.maximum is not None
    if field.type in ("text", "text_list", "word_list"):
        assert field.max_length is not None
    if field.type in ("id", "ids") and field.name not in (table.key, "jurisdiction"):
        assert contract().references(field, table), "an id points somewhere"


def test_a_name_means_the_same_type_everywhere() -> None:
    by_name = itertools.groupby(sorted((f.name, f.type) for _, f in FIELDS), key=lambda x: x[0])
    assert {name: set(kinds) for name, kinds in by_name if len(set(kinds)) > 1} == {}


@pytest.mark.parametrize("name", contract().vocabularies)
def test_vocabularies_are_trees_of_words_with_meanings(name: str) -> None:
    vocabulary = contract().vocabularies[name]
    assert vocabulary.meaning
    for word in vocabulary.words.values():
        assert word.meaning, word.name
        assert word.broader is None or word.broader in vocabulary.words
        assert not set(word.name) & set(" ,|")
        assert word.vocabulary is None or word.vocabulary in contract().vocabularies
        dimensions = {unit.dimension for unit in contract().units.values()}
        assert word.dimension is None or word.dimension in dimensions
        for bound in filter(None, (word.minimum, word.maximum)):
            assert name == "unit" or parse_quantity(bound).dimension == word.dimension
    for alias, meant in vocabulary.aliases.items():
        assert meant in vocabulary.words
        assert alias not in vocabulary.words
        assert fold(alias) == alias or name == "unit"


@pytest.mark.parametrize("name", ["property", "limit_quantity", "rule_quantity"])
def test_a_property_or_quantity_demands_something_believable(name: str) -> None:
    for word in contract().vocabularies[name].words.values():
        assert word.dimension or word.vocabulary or word.value, word.name
        if word.dimension:
            assert word.minimum, word.name
            assert word.maximum, word.name


def test_leaves_of_a_broad_word() -> None:
    transmission = contract().vocabularies["transmission"]
    assert len(transmission.leaves("automatic")) == 6
    assert transmission.leaves("manual") == {"manual"}
    present = contract().vocabularies["transfer_case"].leaves("present")
    assert present == {"single_speed", "two_speed_with_neutral", "two_speed_without_neutral"}


def test_every_policy_key_has_a_default_and_says_where_it_comes_from() -> None:
    assert set(policy_keys()) == {
        "weigh_by", "tow_bar_share", "other_part_share", "over_share", "level_tolerance",
        "usable_battery_share", "advise_brakes",
    }  # fmt: skip
    for key, entry in policy_keys().items():
        assert entry["meaning"], key
        assert "common practice" in entry["source"], key


def test_every_version_of_the_contract_names_its_changes_newest_first() -> None:
    versions = list(contract().changes)
    assert versions[0] == contract().version
    numbers = [tuple(map(int, version.split("."))) for version in versions]
    assert numbers == sorted(set(numbers), reverse=True)
    for texts in contract().changes.values():
        assert texts
        assert all(text[0].isupper() and text.endswith(".") for text in texts)


def test_the_changes_are_at_the_head_of_the_dictionary() -> None:
    head = dictionary().partition("## Tables")[0]
    assert "## What changed in the contract" in head
    for version, texts in contract().changes.items():
        assert f"- {version}: {' '.join(texts)}\n" in head
