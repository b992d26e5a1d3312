"""What a column of somebody else's inventory may be: by its name, and by its cells.

Any doubt becomes a question to a person, never an answer.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import duckdb

from towdb.contract.grammar import Fault, fold
from towdb.contract.model import contract
from towdb.contract.typed import typed_cell, typed_word
from towdb.intake.candidates import ATTRIBUTES, InventoryRows
from towdb.inventory.header_names import DOUBTFUL, NAMES
from towdb.inventory.sql_files import sql

_BY_NAME = {name: column for column, names in NAMES.items() for name in names}
_TABLES = ("column_shape", "column_unit", "column_word")


@dataclass
class TheirColumn:
    """A column as it came.

    Attributes
    ----------
    header : str
        Its header as written.
    shape : dict
        What its cells look like, counted in cars; empty: all cells are empty.
    units : list of (str, int)
        What follows its figures, and in how many cars.
    words : list of (str, int)
        Its most frequent texts, and how many cars have them.
    """

    header: str
    shape: dict[str, Any] = field(default_factory=dict)
    units: list[tuple[str, int]] = field(default_factory=list)
    words: list[tuple[str, int]] = field(default_factory=list)

    def count(self, what: str) -> int:
        """How many cars have cells of this look."""
        return int(self.shape.get(what) or 0)


@dataclass(frozen=True)
class Proposal:
    """One line of a draft: what a column may be.

    Attributes
    ----------
    column : str
        Our column; empty: it is left aside.
    more : dict
        ``unit`` or ``dates`` of the whole column.
    why : str
        What to check; empty: there is no doubt.
    """

    column: str
    more: dict[str, str] = field(default_factory=dict)
    why: str = ""


def their_columns(con: duckdb.DuckDBPyConnection, loaded: InventoryRows) -> list[TheirColumn]:
    """Look at every column of ``inventory_rows``."""
    found = {column: TheirColumn(header) for column, header in loaded.headers.items()}
    con.execute(f"CREATE TEMP TABLE column_text AS {sql('column_text')}")
    for name in _TABLES:
        con.execute(sql(name))
        keys = [column[0] for column in con.description or ()][1:]
        for column, *values in con.fetchall():
            if name == "column_shape":
                found[column].shape = dict(zip(keys, values, strict=True))
            elif name == "column_unit":
                found[column].units.append((values[0], values[1]))
            else:
                found[column].words.append((values[0], values[1]))
    return list(found.values())


def proposals(theirs: TheirColumn, has_row_units: bool) -> list[Proposal]:
    """What a column may be: one without doubt, or some to choose from."""
    name, unit = _name_and_unit(theirs.header)
    known = contract().candidate.columns
    plain = name.replace(" ", "_")
    ours = plain if plain in known else contract().candidate_aliases.get(plain, _BY_NAME.get(name))
    if ours is not None:
        return list(_by_content(theirs, ours, unit, has_row_units))
    if name in DOUBTFUL:
        columns, question = DOUBTFUL[name]
        return [
            Proposal(each.column, each.more, question if not each.why else f"{question} {each.why}")
            for column in columns
            for each in _by_content(theirs, column, unit, has_row_units)
        ]
    return list(_by_look(theirs))


def _name_and_unit(header: str) -> tuple[str, str | None]:
    """A header without punctuation, and the unit of weight at its end."""
    words = re.sub(r"[\W_]+", " ", fold(header)).split()
    unit = typed_word("unit", words[-1]) if len(words) > 1 else None
    if unit is not None and contract().units[unit].dimension == "mass":
        return " ".join(words[:-1]), unit
    return " ".join(words), None


def _by_content(
    theirs: TheirColumn, ours: str, unit: str | None, has_row_units: bool
) -> Iterator[Proposal]:
    """What a column may be, if its cells agree with its name."""
    kind = contract().candidate.field(ours).type
    if kind == "weight":
        yield from _weight(theirs, ours, unit, has_row_units)
    elif kind in ("date", "day_or_month"):
        yield from _dates(theirs, ours)
    elif ours == "model_year" and theirs.shape and not theirs.count("years"):
        yield Proposal(ours, why="no cell is a year of four digits")
    elif ours == "vin" and theirs.shape and not theirs.count("vins"):
        yield Proposal(ours, why="no cell is a VIN of 17 characters")
    else:
        yield Proposal(ours)


def _weight(
    theirs: TheirColumn, ours: str, unit: str | None, has_row_units: bool
) -> Iterator[Proposal]:
    own = {typed_word("unit", text) for text, _ in theirs.units}
    if unit is not None and own - {None, unit}:
        shown = ", ".join(f"{text} ({cars:,})" for text, cars in theirs.units)
        yield Proposal(ours, {"unit": unit}, f"its header has {unit}, and its cells have {shown}")
    elif unit is not None:
        yield Proposal(ours, {"unit": unit})
    elif has_row_units or not theirs.count("bare"):
        yield Proposal(ours)
    else:
        bare, least, most = theirs.count("bare"), theirs.shape["least"], theirs.shape["most"]
        why = f"{bare:,} figure(s) without a unit, {least:,g} to {most:,g}: which unit is it?"
        yield from (Proposal(ours, {"unit": each}, why) for each in ("lb", "kg"))


def _dates(theirs: TheirColumn, ours: str) -> Iterator[Proposal]:
    day, month, either, year, months = (
        theirs.count(what)
        for what in ("day_first", "month_first", "either_first", "year_first", "months")
    )
    forms = [bool(day or month or either), bool(year), bool(months)]
    if not any(forms):
        yield Proposal(ours)
    elif sum(forms) > 1 or (day and month):
        wrong = "dates in more than one order: the order of some dates is not known"
        yield Proposal(ours, why=wrong)
    elif year:
        yield Proposal(ours, {"dates": "year/month/day"})
    elif months:
        is_whole = contract().candidate.field(ours).type == "date"
        why = "a month is not a day" if is_whole else ""
        yield Proposal(ours, {} if is_whole else {"dates": "month/year"}, why)
    elif day or month:
        yield Proposal(ours, {"dates": "day/month/year" if day else "month/day/year"})
    else:
        why = f"{either:,} date(s) that can be read in both orders: which is it?"
        for order in ("month/day/year", "day/month/year"):
            yield Proposal(ours, {"dates": order}, why)


def _by_look(theirs: TheirColumn) -> Iterator[Proposal]:
    """What a column of an unknown name looks like."""
    cars = theirs.count("cars")
    if cars and theirs.count("vins") == cars:
        yield Proposal("vin", why="its cells look like VINs; are they those of the cars?")
    elif cars and theirs.count("years") == cars:
        yield Proposal("model_year", why="its cells are years; are they the model years?")
    elif theirs.words:
        for attribute in _attributes(theirs):
            words = attribute.replace("_", " ")
            yield Proposal(attribute, why=f"all of its words are words of {words}; is it that?")


def _attributes(theirs: TheirColumn) -> list[str]:
    if theirs.count("texts") > len(theirs.words):
        return []
    fields = [contract().candidate.field(name) for name in ATTRIBUTES]
    return [
        each.name
        for each in fields
        if each.type == "word"
        and not any(isinstance(typed_cell(each, text), Fault) for text, _ in theirs.words)
    ]
