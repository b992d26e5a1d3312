"""One car as a worker reads it: typed cells in, a configuration and kilograms out."""

from __future__ import annotations

import json
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from towdb.contract.grammar import Fault, fold
from towdb.contract.model import contract
from towdb.contract.typed import typed_cell
from towdb.intake.candidates import ATTRIBUTES
from towdb.intake.cells import READINGS, WEIGHTS, cell_fault, unit_fault, weight_of
from towdb.intake.headers import ColumnMap
from towdb.screening.configure import BEYOND
from towdb.spark.numbers import Numbers

# Distinct texts of an inventory are few; a worker keeps so many of them, read.
_KEPT = 200_000
# What DuckDB's trim takes off a name: the blanks of Unicode, and no other white space.
_BLANKS = "".join(map(chr, (0x20, 0xA0, 0x1680, *range(0x2000, 0x200B), 0x202F, 0x205F, 0x3000)))
_READ = ("make", "model", *READINGS, *WEIGHTS, "weight_unit")


@dataclass(frozen=True)
class CarReader:
    """Reads the cells of a car; it travels to the workers.

    Attributes
    ----------
    columns : sequence of str
        Our column of each cell.
    assumed : mapping
        What is assumed of every car that does not say otherwise.
    by : ColumnMap or None
        Where our words for theirs are.
    numbers : Numbers
        What the release can tell apart.
    """

    columns: Sequence[str]
    assumed: Mapping[str, str]
    by: ColumnMap | None
    numbers: Numbers

    def __call__(self, cells: Sequence[str | None]) -> tuple[Any, ...]:
        """What cannot be read, name, configuration as text, and each of `WEIGHTS` in kilograms."""
        raws = {column: raw or "" for column, raw in zip(self.columns, cells, strict=True)}
        name = raws.get("candidate", "").strip(_BLANKS) or None
        texts = {column: self.meant(column, raws.get(column, "")) for column in _READ}
        unit = texts["weight_unit"]
        said = {column: _read(column, texts[column]) for column in READINGS}
        weights = {column: _weighed(column, texts[column], unit) for column in WEIGHTS}
        said |= self.contradictions(READINGS, raws, unit)
        weights |= self.contradictions(WEIGHTS, raws, unit)
        faults = [
            cell_fault(column, raws.get(column, ""), found.message, found.remedy)
            for column, found in {**said, **weights, "weight_unit": _unit(unit)}.items()
            if isinstance(found, Fault)
        ]
        if faults:
            return (" · ".join(sorted(faults)), name, None, *[None] * len(WEIGHTS))
        kept = {column: value for column, value in said.items() if isinstance(value, list)}
        told = dict(self.configuration(texts["make"], texts["model"], kept))
        return (None, name, json.dumps(told, separators=(",", ":")), *weights.values())

    def meant(self, column: str, raw: str) -> str:
        """A cell in our words; empty if it says nothing."""
        text = self.by.meant(column, raw.strip()) if self.by else raw.strip()
        return text or self.assumed.get(column, "")

    def contradictions(
        self, columns: Iterable[str], raws: Mapping[str, str], unit: str
    ) -> dict[str, Any]:
        """Where cells contradict what the mapping says of their columns."""
        by = self.by
        if by is None or not (by.units or by.dates):
            return {}
        found = {c: by.fault(c, raws.get(c, "").strip(), unit) for c in columns}
        return {column: wrong for column, wrong in found.items() if wrong}

    def configuration(
        self, make: str, model: str, said: Mapping[str, list[Any]]
    ) -> Iterator[tuple[str, Any]]:
        """What the release can tell apart: the same as ``configuration`` and its kin in DuckDB."""
        known = self.numbers
        number = known.makes.get((fold(make), fold(model)), 0) if make and model else None
        yield "is_named", int(number is not None)
        yield "make_model_no", number
        if not number:
            # A car that is not matched has nothing to tell apart.
            yield from (("built_low_no", 0), ("built_high_no", 0))
            return
        yield from (("model_year", year) for year in said.get("model_year", ()))
        yield from zip(("built_low_no", "built_high_no"), self.built(number, said), strict=True)
        yield from (("procedure_no", known.statements.get(p, 0)) for p in said.get("procedure", ()))
        yield "words", [[*at] for at in self.words(number, said)]
        yield "options", [[*at] for at in sorted(self.options(number, said))]
        confirmed = known.conditions.get(number, {})
        items = said.get("confirmed", [()])[0]
        yield "confirmed", sorted(at for group, at in confirmed.items() if group in items)

    def built(self, number: int, said: Mapping[str, list[Any]]) -> tuple[int, int]:
        """A build date as the number of bounds of its make and model at or before it."""
        bounds = self.numbers.bounds.get(number)
        if not bounds:
            return 0, 0
        if "built_on" not in said:
            return 0, BEYOND
        low, high = said["built_on"]
        return bisect_right(bounds, low), bisect_right(bounds, high)

    def words(self, number: int, said: Mapping[str, list[Any]]) -> Iterator[tuple[int, int]]:
        """The words of a car that any group may tell apart."""
        for attribute in ATTRIBUTES:
            for word in said.get(attribute, ()):
                whose = 0 if contract().candidate.field(attribute).type == "word" else number
                at = self.numbers.words.get((attribute, word, whose))
                if at:
                    yield at

    def options(self, number: int, said: Mapping[str, list[Any]]) -> Iterator[tuple[int, int]]:
        """What a list says of each option of the make and model: there (1) or absent (0).

        One that is not listed is absent only where the list is complete and nothing in it may be a
        misspelling.
        """
        known = self.numbers.known_options.get(number, {})
        for items in said.get("options", ()):
            is_none = items == ["none"]
            is_whole = said.get("options_complete") == [1] and known.keys() >= set(items)
            for option, at in self.numbers.options.get(number, {}).items():
                if is_none:
                    yield at, 0
                elif option in items:
                    yield at, 1
                elif is_whole:
                    yield at, 0


@lru_cache(_KEPT)
def _read(column: str, text: str) -> list[Any] | Fault | None:
    if not text:
        return None
    value = typed_cell(contract().candidate.field(column), text)
    return value if isinstance(value, Fault) else READINGS[column][1](value)


_weighed = lru_cache(_KEPT)(weight_of)
_unit = lru_cache(_KEPT)(unit_fault)
