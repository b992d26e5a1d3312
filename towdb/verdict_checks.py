"""One check of an answer: what was compared, by how much, and on which pages that rests."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any, NamedTuple

from towdb.wording import sentences

Mass = Decimal | float | None


class Check(NamedTuple):
    """One check, alike for every kind of answer; its fields are the keys of a document.

    Attributes
    ----------
    check : str
        Its name, a word of `wording.sentences.CHECKS`.
    outcome : str
        ``met``: passed, also where the value equals the limit. ``not_met``: failed. ``unknown``:
        open, because a row, a figure or a word is missing; it never permits. ``not_applicable``:
        it does not apply, or was not made.
    reason : str
        Why, a word that `wording.sentences` knows for this check.
    value_lb, limit_lb, margin_lb : Decimal or float, optional
        What was compared, with what, and what is left to spare, in pounds to 0.1: the value
        rounded up, limit and margin down. A margin below 0 is what is too much. None: not known,
        or nothing is compared.
    value_kg, limit_kg, margin_kg : Decimal or float, optional
        The same in kilograms, exact.
    citations : sequence of mapping
        The rows that it rests on, each with its page.
    """

    check: str
    outcome: str
    reason: str
    value_lb: Mass
    limit_lb: Mass
    margin_lb: Mass
    value_kg: Mass
    limit_kg: Mass
    margin_kg: Mass
    citations: Sequence[Mapping[str, Any]]

    @classmethod
    def of(
        cls, record: Mapping[str, Any], citations: Sequence[Mapping[str, Any]] | None = None
    ) -> Check:
        """The check of a row with `citations`, or of a document, which has its own."""
        cited = record["citations"] if citations is None else citations
        figures = {name: record[name] for name in cls._fields if name != "citations"}
        return cls(**figures, citations=cited)

    @property
    def explanation(self) -> str:
        """The reason in words."""
        return sentences.reason_text(self.check, self.reason)

    def document(self) -> dict[str, Any]:
        """All of it for JSON, with the explanation."""
        told = self._asdict()
        cited = told.pop("citations")
        return {**told, "explanation": self.explanation, "citations": list(cited)}

    def mass(self, name: str, units: str, *, up: bool = False) -> str:
        """``value``, ``limit`` or ``margin`` for reading, to 0.1; empty: not known."""
        return sentences.mass(self._asdict(), name, units, up=up)
