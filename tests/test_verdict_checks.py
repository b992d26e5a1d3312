"""One check: what a document holds of it, and what is read back from there."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

import pytest

from towdb.verdict_checks import Check

PAGE = {"table": "eligibility", "key": "quillon-pika-2021", "source_id": "quillon-om-pika-2021",
        "locator": "p. 214", "title": "Quillon Pika", "quote": "May be towed"}  # fmt: skip
ROW: dict[str, Any] = {
    **{"candidate": "a", "coach": "b", "check": "hitch_receiver", "outcome": "not_met"},
    **{"reason": "over", "value_lb": Decimal("5000.1"), "limit_lb": Decimal(5000)},
    **{"margin_lb": Decimal("-0.1"), "value_kg": 2267.97, "limit_kg": 2267.96185},
    "margin_kg": -0.00815,
}


def test_a_document_holds_a_check_in_the_order_in_which_it_is_read() -> None:
    document = Check.of(ROW, [PAGE]).document()
    assert [*document] == [
        *("check", "outcome", "reason", "value_lb", "limit_lb", "margin_lb"),
        *("value_kg", "limit_kg", "margin_kg", "explanation", "citations"),
    ]
    assert document["citations"] == [PAGE]
    assert document["explanation"]


def test_a_check_is_read_back_from_its_document() -> None:
    check = Check.of(ROW, [PAGE])
    assert Check.of(check.document()) == check
    assert Check.of(json.loads(json.dumps(check.document(), default=float))).citations == [PAGE]


@pytest.mark.parametrize("missing", ["outcome", "margin_kg", "check"])
def test_a_row_that_lacks_a_part_is_not_a_check(missing: str) -> None:
    with pytest.raises(KeyError, match=missing):
        Check.of({name: cell for name, cell in ROW.items() if name != missing}, [])


def test_a_reason_without_words_is_not_a_check_of_a_document() -> None:
    with pytest.raises(KeyError):
        Check.of({**ROW, "reason": "never heard of"}, []).document()


@pytest.mark.parametrize(
    ("name", "units", "up", "shown"),
    [
        ("value", "lb", True, "5,000.1 lb"),
        ("limit", "lb", False, "5,000.0 lb"),
        ("margin", "lb", False, "-0.1 lb"),
        ("value", "kg", True, "2,268.0 kg"),
        ("limit", "kg", False, "2,267.9 kg"),
        # So little is too much: it never shows as nothing.
        ("margin", "kg", False, "-0.1 kg"),
    ],
)
def test_figures_are_read_to_the_safe_side(name: str, units: str, up: bool, shown: str) -> None:
    assert Check.of(ROW, []).mass(name, units, up=up) == shown


@pytest.mark.parametrize("units", ["lb", "kg"])
def test_what_is_not_known_shows_as_nothing(units: str) -> None:
    empty = {name: None for name in ROW if name.endswith(("_lb", "_kg"))}
    assert Check.of({**ROW, **empty}, []).mass("value", units, up=True) == ""
