"""Other people's headers and words: a mapping file, and a header read by it.

A column mapped to nothing is left aside, and a cell is left empty: unknown, which never permits.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from towdb.contract.grammar import Fault, fold
from towdb.contract.model import Field, contract
from towdb.contract.typed import typed_cell, typed_mass, typed_word
from towdb.errors import UsageError, did_you_mean
from towdb.files.toml import read_toml
from towdb.intake.column_forms import (
    column_form,
    date_fault,
    iso_date,
    unit_fault,
    with_unit,
)

TABLES = ("columns", "words")
# Faults of one header that are listed.
FAULTS_SHOWN = 40
# Only the text of these is read.
_VERBATIM = ("candidate", "vin", "price", "lot")


@dataclass(frozen=True)
class ColumnMap:
    """What other people's headers and words mean.

    Attributes
    ----------
    name : str
        Where it was read.
    columns : mapping
        Their header, folded, to our column; empty: left aside.
    words : mapping
        Our column to their word, folded, to ours; empty: the cell is left empty.
    units : mapping
        Our column to the unit of its bare figures.
    dates : mapping
        Our column to the order of its dates, such as ``month/day/year``.
    takes_none : bool
        Whether every column is left aside, whatever it is called.
    """

    name: str
    columns: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    dates: Mapping[str, str] = field(default_factory=dict)
    takes_none: bool = False

    def meant(self, column: str, raw: str) -> str:
        """A cell in our words: a bare figure with its unit, a date as year-month-day."""
        mapped = self._word(column, raw)
        if mapped is not None:
            return mapped
        if column in self.units:
            return with_unit(raw, self.units[column])
        if column in self.dates:
            return iso_date(raw, self.dates[column]) or raw
        return raw

    def fault(self, column: str, raw: str, row_unit: str = "") -> Fault | None:
        """Where a cell contradicts what the mapping sets for its column.

        `row_unit` is the unit of the whole row, in our words.
        """
        if not raw or self._word(column, raw) is not None:
            return None
        if column in self.units:
            return unit_fault(raw, self.units[column], typed_word("unit", row_unit))
        return date_fault(raw, self.dates[column]) if column in self.dates else None

    def _word(self, column: str, raw: str) -> str | None:
        words = self.words.get(column)
        return words.get(fold(raw)) if words else None


MappingLike = str | os.PathLike[str] | Mapping[str, Any] | ColumnMap


@dataclass
class Header:
    """A header that was read: which column each of its cells is.

    `columns` has our column, or None for one that is left aside; `texts` has the cells as written.
    """

    texts: list[str]
    columns: list[str | None]

    def places(self) -> dict[str, int]:
        """Our columns, and their places."""
        return {column: at for at, column in enumerate(self.columns) if column is not None}

    def aside(self) -> dict[tuple[str, int], int]:
        """Headers that are left aside, equal ones numbered from 0 on, and their places."""
        found: dict[tuple[str, int], int] = {}
        alike: Counter[str] = Counter()
        for at, (text, column) in enumerate(zip(self.texts, self.columns, strict=True)):
            if column is None:
                found[text, alike[text]] = at
                alike[text] += 1
        return found


def read_header(place: str, texts: list[str], by: ColumnMap | None) -> Header:
    """Find our columns in a header.

    Raises
    ------
    UsageError
        If a column is not known and no mapping leaves it aside, or one appears twice.
    """
    known = contract().candidate.columns
    aliases = contract().candidate_aliases
    columns: list[str | None] = []
    present: set[str] = set()
    faults: list[str] = []
    for text in texts:
        if len(faults) == FAULTS_SHOWN:
            # To find the nearest name for each of many thousand columns would take minutes.
            faults.append(f"{place}: … and perhaps more, of {len(texts):,} columns")
            break
        plain = _plain(text)
        column = aliases.get(plain, plain)
        if by is not None:
            mapped = by.columns.get(fold(text), column)
            columns.append(mapped if mapped in known and not by.takes_none else None)
            faults += _other_column(place, text, columns[-1], by)
        elif column in known:
            columns.append(column)
        else:
            close = did_you_mean(column, [*known, *aliases])
            faults.append(
                f"{place}: unknown column {text[:60]!r}{close}; rename or remove it, or map it"
            )
            continue
        if columns[-1] in present:
            faults.append(f"{place}: column {columns[-1]} appears twice; keep one of them")
        present.update(filter(None, columns[-1:]))
    if not texts:
        faults.append(f"{place.partition(', ')[0]}: is empty; write the column names first")
    if faults:
        raise UsageError("\n".join(faults))
    return Header(texts, columns)


def named_columns(texts: list[str], by: ColumnMap | None) -> list[str]:
    """Those cells of a header that name a column of ours, or that the mapping names."""
    names = {*contract().candidate.columns, *contract().candidate_aliases}
    theirs = by.columns if by else {}
    return [text for text in texts if _plain(text) in names or fold(text) in theirs]


def _other_column(place: str, text: str, ours: str | None, by: ColumnMap) -> Iterator[str]:
    """For a column that the mapping does not name: that its unit or dates are those of another."""
    if ours is None or fold(text) in by.columns:
        return
    for what, form in (("unit", by.units.get(ours)), ("order of dates", by.dates.get(ours))):
        if form:
            other = next(header for header, column in by.columns.items() if column == ours)
            yield (
                f"{place}: column {text[:60]!r} is {ours} by its name, but the mapping gives the"
                f" {what} {form} to {other[:60]!r}; rename one of them"
            )


def _plain(text: str) -> str:
    return fold(text).replace(" ", "_").replace("-", "_")


def read_mapping(mapping: MappingLike | None) -> ColumnMap | None:
    """Read a mapping file, or the content of one.

    Raises
    ------
    UsageError
        If it cannot be read or used; all its faults are listed, one a line.
    """
    if mapping is None or isinstance(mapping, ColumnMap):
        return mapping
    if isinstance(mapping, Mapping):
        name, given = "the mapping", mapping
    else:
        name, given = str(mapping), read_toml(Path(mapping), "mapping file")
    faults = [
        f"{key}: unknown table{did_you_mean(str(key), TABLES)}; write [columns] and [words.COLUMN]"
        for key in given
        if key not in TABLES
    ]
    columns, forms = _columns(given, faults)
    words = _words(given, faults)
    if faults:
        raise UsageError("\n".join(f"{name}: {fault}" for fault in faults))
    units = {column: form["unit"] for column, form in forms.items() if "unit" in form}
    dates = {column: form["dates"] for column, form in forms.items() if "dates" in form}
    return ColumnMap(name, columns, words, units, dates)


def _table(given: Mapping[str, Any], key: str, faults: list[str]) -> Mapping[str, Any]:
    table = given.get(key, {})
    if isinstance(table, Mapping):
        return table
    faults.append(f"{key}: must be a table: [{key}]")
    return {}


def _texts(place: str, table: Mapping[str, Any], faults: list[str]) -> Iterator[tuple[str, str]]:
    """The entries of a table that are text, by folded key."""
    seen = set()
    for theirs, ours in table.items():
        if not isinstance(theirs, str) or not isinstance(ours, str):
            faults.append(f"{place}: {theirs!r}: must be text: write both sides in quotes")
        elif fold(theirs) in seen:
            faults.append(f"{place}: {theirs!r}: appears twice, in another case; keep one of them")
        else:
            seen.add(fold(theirs))
            yield fold(theirs), ours.strip()


def _columns(
    given: Mapping[str, Any], faults: list[str]
) -> tuple[dict[str, str], dict[str, dict[str, str]]]:
    """Their header to our column; and what the entries set for whole columns of ours."""
    forms: dict[str, dict[str, str]] = {}
    names: dict[str, Any] = {}
    for theirs, entry in _table(given, "columns", faults).items():
        if not isinstance(entry, Mapping):
            names[theirs] = entry
        elif "column" in entry:
            names[theirs] = entry["column"]
        else:
            faults.append(
                f'columns: {theirs!r}: names no column of ours; write {{ column = "gvwr", … }}'
            )
    found = _columns_named(names, faults)
    for theirs, entry in _table(given, "columns", []).items():
        column = found.get(fold(theirs)) if isinstance(theirs, str) else None
        if isinstance(entry, Mapping) and column is not None:
            forms[column], wrong = column_form(column, entry)
            faults += [f"columns: {theirs!r}: {each}" for each in wrong]
    return found, forms


def _columns_named(names: Mapping[str, Any], faults: list[str]) -> dict[str, str]:
    known = contract().candidate.columns
    aliases = contract().candidate_aliases
    found: dict[str, str] = {}
    for theirs, text in _texts("columns", names, faults):
        plain = _plain(text)
        ours = aliases.get(plain, plain)
        if ours and ours not in known:
            close = did_you_mean(ours, [*known, *aliases])
            faults.append(f"columns: {theirs!r}: {text[:60]!r} is not a column{close}; name one")
        elif ours and ours in found.values():
            other = next(header for header, column in found.items() if column == ours)
            faults.append(
                f"columns: {other!r} and {theirs!r} are both mapped to {ours}; keep one of them"
            )
        else:
            found[theirs] = ours
    return found


def _words(given: Mapping[str, Any], faults: list[str]) -> dict[str, dict[str, str]]:
    candidate = contract().candidate
    readable = [name for name in candidate.columns if name not in _VERBATIM]
    found: dict[str, dict[str, str]] = {}
    for column, table in _table(given, "words", faults).items():
        if column not in readable:
            what = "is kept as it is typed" if column in _VERBATIM else "there is no such column"
            close = did_you_mean(str(column), readable)
            faults.append(f"words.{column}: {what}{close}; leave the table out, or rename it")
        elif not isinstance(table, Mapping):
            faults.append(f"words.{column}: must be a table: [words.{column}]")
        else:
            entries = _texts(f"words.{column}", table, faults)
            found[column] = dict(_meaning(candidate.field(column), entries, faults))
    return found


def _meaning(
    column: Field, entries: Iterable[tuple[str, str]], faults: list[str]
) -> Iterator[tuple[str, str]]:
    for theirs, ours in entries:
        wrong = _wrong(column, ours) if ours else None
        if wrong:
            text = f"{wrong.message}; {wrong.remedy}"
            faults.append(f"words.{column.name}: {theirs[:60]!r} = {ours[:60]!r}: {text}")
        else:
            yield theirs, ours


def _wrong(column: Field, text: str) -> Fault | None:
    if column.vocabulary == "unit":
        known = contract().vocabularies["unit"].words
        if typed_word("unit", text) is not None:
            return None
        return Fault("unit", f"unknown unit{did_you_mean(text, known)}", "use lb or kg")
    value = typed_mass(text, None, column) if column.type == "weight" else typed_cell(column, text)
    return value if isinstance(value, Fault) else None
