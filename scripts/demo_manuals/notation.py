"""How the documents of the demo are written down, so that a page reads like a page.

The pages of a document are one text. A line that is not indented starts a row, with the printed
words after its colon; an indented line is a detail of that row, or goes on with the line above.
Steps and limits belong to the statement above them, fuses to the step, terms to the rule. `{}` in
printed words is the figure of the row, as the page prints it. `page p. 215` turns the page. A row
or a detail that begins inside another is an error: it would be lost, and the next words with it.

    group manual at p. 214: Vehicles with manual transmission
      cells: powertrain gasoline; drivetrain any; transmission manual; transfer_case none
    statement manual of manual at p. 214: … may be towed with all four wheels on the ground.
      says: four_wheels_down recreational permitted
      heading: Behind a motorhome
    limit speed at_most always 65 mph / 105 km/h: Do not exceed {}.
    limit 1 distance at_most per_day 200 mi: … or not more than {} in one day.
    before 3 do ignition turn_to accessory: Turn the ignition switch to ACC.
      expect: the steering wheel turns freely
    before 4 do fuse pull: Pull fuse F12 (15 A) from the panel under the dash.
      fuse: pull fuse F12 15 A; panel under the dash; circuit ECU; restore before_driving
    properties of manual at p. 371
    property gvwr 3197 lb / 1450 kg: GVWR … {}

A coach, a part, its fit, a rule of law and its terms are a line with its cells; a word in place
of the figure is the word of the property.

    coach brackwater-38 at p. 1: Brackwater 38, model year 2016
      cells: name Brackwater 38; model_year 2016
    properties of coach brackwater-38 at p. 44
    property brake_system air: Service brakes … full air
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

Cells = dict[str, str]


@dataclass(frozen=True)
class Document:
    """One document, label or ticket, and everything that was entered from it.

    `prefix` begins the ids of the groups and statements that its pages name; any other name is
    a whole id. `entered` is who
    typed it from which day on, `checked` who compared it with the page afterwards.
    """

    source_id: str
    kind: str
    title: str
    issuer: str
    issuer_role: str
    entered: tuple[str, str]
    checked: str
    obtained_on: str
    published_on: str = ""
    document_number: str = ""
    edition: str = ""
    language: str = "en"
    market: str = ""
    years: tuple[int, int] | None = None
    withdrawn_on: str = ""
    file_name: str = ""
    make: str = ""
    model: str = ""
    prefix: str = ""
    basis: str = "cited"
    pages: str = ""


def reprint(
    document: Document, turned: int, swapped: Cells | None = None, **changes: Any
) -> Document:
    """The same chapters in another edition, so many pages further on.

    Parameters
    ----------
    document : Document
        The edition that is printed again.
    turned : int
        By how many pages its page numbers have moved.
    swapped : dict, optional
        Printed words that the new edition replaces; each must be there.
    changes : Any
        What else differs: title, years, who entered it.
    """
    pages = re.sub(r"\bp\. (\d+)", lambda found: f"p. {int(found[1]) + turned}", document.pages)
    for old, new in (swapped or {}).items():
        if old not in pages:
            raise ValueError(f"{document.source_id} does not print: {old}")
        pages = pages.replace(old, new)
    return replace(document, pages=pages, **changes)


# ---------------------------------------------------------------- lines of a page

_NAMED = r"(?P<name>\S+) at (?P<locator>[^:]+)"
_FIGURE = r"(?P<figure>[^:]+)"
_SHAPES = {
    shape: re.compile(pattern)
    for shape, pattern in {
        "page": r"page (?P<locator>[^:]+)",
        "group": rf"group {_NAMED}: (?P<quote>.+)",
        "statement": r"statement (?P<name>\S+) of (?P<group>\S+) at (?P<locator>[^:]+)"
        r": (?P<quote>.+)",
        "limit": r"limit (?:(?P<alternative_no>\d+) )?(?P<quantity>\w+) (?P<bound>at_\w+)"
        rf" (?P<scope>\w+) {_FIGURE}: (?P<quote>.+)",
        "step": r"(?P<phase>once|before|en_route|after) (?P<printed_no>\S+)"
        r" (?P<kind>do|verify|wait|never|warning) (?P<component>\w+) (?P<action>\w+)"
        r"(?: (?P<target>[a-z]\w*))?(?: (?P<figure>\d[^:]*))?: (?P<quote>.+)",
        "properties": rf"properties of (?:(?P<owner>coach|equipment) )?{_NAMED}",
        "property": rf"property (?P<property>\w+) {_FIGURE}: (?P<quote>.+)",
        "coach": rf"coach {_NAMED}: (?P<quote>.+)",
        "equipment": rf"equipment {_NAMED}: (?P<quote>.+)",
        "fit": rf"fit {_NAMED}: (?P<quote>.+)",
        "rule": rf"rule {_NAMED}: (?P<quote>.+)",
        "term": r"term (?P<name>\S+): (?P<quote>.+)",
    }.items()
}
_DETAIL = re.compile(
    r"(?P<name>cells|says|heading|overrides|same_steps_as|expect|if_not|only_when|text|definition"
    r"|fuse)"
    r": (?P<said>.+)"
)
# What begins so inside a text is a line that ran into it. Only "page" is a word of running text.
_RUN_IN = tuple(
    re.compile(rf"\s{pattern.pattern}")
    for pattern in (*(_SHAPES[shape] for shape in _SHAPES if shape != "page"), _DETAIL)
)
_FUSE = re.compile(
    r"(?P<action>\w+) (?P<device>\w+) (?P<position>\S+)"
    r"(?: to (?P<to_position>\S+))?(?: (?P<rating_a>[\d.]+) A)?"
)


def entries(pages: str) -> Iterator[tuple[str, Cells]]:
    """What the lines of a text start: the shape and its cells, in printed order.

    A figure is split into value and unit, and the printed words are filled with it; the fuses of
    a step stand in its cell `fuse`, one a line.

    Raises
    ------
    ValueError
        If a line starts nothing, or a row or a detail begins inside another.
    """
    shape, cells, last = "", Cells(), "quote"
    for line in filter(None, map(str.rstrip, textwrap.dedent(pages).splitlines())):
        if not line.startswith(" "):
            if shape:
                yield shape, _finished(cells)
            (shape, cells), last = _start(line), "quote"
        elif detail := _DETAIL.fullmatch(line.strip()):
            last = detail["name"]
            cells[last] = "\n".join(filter(None, (cells.get(last), detail["said"])))
        elif last in cells:
            cells[last] += " " + line.strip()
        else:
            raise ValueError(f"a line that goes on with nothing: {line.strip()}")
    if shape:
        yield shape, _finished(cells)


def fuse(said: str) -> Cells:
    """One fuse: what is done with which, then panel, circuit, disables and restore."""
    first, rest = said.split("; ", 1)
    found = _FUSE.fullmatch(first)
    if found is None:
        raise ValueError(f"not a fuse: {said}")
    return {name: text for name, text in found.groupdict().items() if text} | pairs(rest)


def pairs(said: str) -> Cells:
    """`market xa; engine 2.0 L` as cells; `otherwise -` empties one."""
    cells = dict(part.split(" ", 1) for part in said.split("; "))
    return {name: "" if text == "-" else text for name, text in cells.items()}


def _start(line: str) -> tuple[str, Cells]:
    for shape, pattern in _SHAPES.items():
        if found := pattern.fullmatch(line):
            return shape, {name: text or "" for name, text in found.groupdict().items()}
    raise ValueError(f"a line that starts nothing; indent it if it goes on: {line}")


def _finished(cells: Cells) -> Cells:
    for text in cells.values():
        for line in text.splitlines():
            words = " ".join(line.split())
            for pattern in _RUN_IN:
                if found := pattern.search(words):
                    raise ValueError(f"begins inside another line; put it on its own:{found[0]}")
    figure = cells.pop("figure", "")
    if figure in ("unlimited", "posted_limit"):
        cells["stated"] = figure
    elif figure[:1].isdigit() or figure[:1] == "-":
        cells |= _figure(figure)
    elif figure:
        cells["word"] = figure
    if "value" in cells:
        printed = _printed(cells["value"], cells["unit"])
        if "also_value" in cells:
            printed += f" ({_printed(cells['also_value'], cells['also_unit'])})"
        cells["quote"] = cells["quote"].replace("{}", printed)
    return cells


def _figure(text: str) -> Cells:
    value, unit, *also = text.replace(" / ", " ").split(" ")
    cells = {"value": value, "unit": unit}
    return cells | (dict(zip(("also_value", "also_unit"), also, strict=True)) if also else {})


def _printed(value: str, unit: str) -> str:
    whole, _, decimals = value.partition(".")
    number = f"{int(whole):,}" + (f".{decimals}" if decimals else "")
    return number + {"degF": " °F", "degC": " °C", "count": ""}.get(unit, f" {unit}")
