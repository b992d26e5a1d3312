"""The notation of the demo's manuals: what it reads, and which slips it refuses to read."""

from __future__ import annotations

import re
import textwrap
from collections import Counter

import pytest

from scripts.demo_manuals import DOCUMENTS
from scripts.demo_manuals.notation import Cells, entries

PAGE = """
statement manual of all at p. 97: The hatchback may be flat towed.
    says: four_wheels_down recreational permitted
    heading: Flat towing
limit speed at_most always 65 mph: No more than {}.
before 1 do parking_brake release: Hand brake
    off.
    expect: the car rolls freely
en_route 1 verify tires check: Feel the front tires at each stop.
"""
STEP = "en_route 1 verify tires check: Feel the front tires at each stop."


def read(pages: str) -> list[tuple[str, Cells]]:
    return list(entries(pages))


@pytest.mark.parametrize("margin", ["", "    "])
def test_a_page_is_read_row_by_row(margin: str) -> None:
    rows = read("\n".join(margin + line for line in PAGE.splitlines()))
    assert [shape for shape, _ in rows] == ["statement", "limit", "step", "step"]
    assert rows[2][1]["quote"] == "Hand brake off."
    assert rows[2][1]["expect"] == "the car rolls freely"
    assert rows[3][1]["phase"] == "en_route"


@pytest.mark.parametrize(
    "slip",
    [
        PAGE.replace(f"\n{STEP}", f" {STEP}"),
        PAGE.replace(f"    off.\n    expect: the car rolls freely\n{STEP}", f"    off. {STEP}"),
        PAGE.replace(f"\n{STEP}", " en_route  1   verify tires check: Feel the tires."),
        PAGE.replace(f"\n{STEP}", "\n    en_route 1 verify\n    tires check: Feel the tires."),
        PAGE.replace("\nlimit speed", " limit speed"),
        PAGE.replace("\n    heading", " heading"),
        PAGE.replace("\n    expect", " expect"),
        PAGE + "properties of all at p. 1\nproperty gvwr 3050 lb: {} property curb_weight 9 lb: {}",
        PAGE + "before 2 do fuse pull: Out with it. statement x of all at p. 9: No flat towing.",
        PAGE + "    group manual at p. 97: With manual gearbox",
    ],
)
def test_a_row_that_runs_into_another_is_refused(slip: str) -> None:
    assert slip != PAGE
    with pytest.raises(ValueError, match="begins inside another line"):
        read(slip)


@pytest.mark.parametrize(
    ("slip", "line"),
    [
        (PAGE.replace("tires check:", "tires:"), "en_route 1 verify tires:"),
        (PAGE.replace("    off.", "off."), "off."),
        (PAGE.replace("at_most", "atmost"), "limit speed atmost"),
    ],
)
def test_a_line_that_starts_nothing_is_refused(slip: str, line: str) -> None:
    with pytest.raises(ValueError, match=re.escape(f"if it goes on: {line}")):
        read(slip)


def test_every_line_of_the_demo_that_is_not_indented_is_a_row() -> None:
    # Counted another way: by the first word of what is written.
    phases = {"once", "before", "en_route", "after"}
    for document in DOCUMENTS:
        lines = textwrap.dedent(document.pages).splitlines()
        firsts = [line.split()[0] for line in lines if line and not line.startswith(" ")]
        written = Counter("step" if word in phases else word for word in firsts)
        assert Counter(shape for shape, _ in entries(document.pages)) == written
        assert written["statement"] or written["properties"] or written["rule"] or not firsts


def test_the_wicket_has_its_step_on_the_road() -> None:
    for year in (2018, 2019, 2021):
        (document,) = [d for d in DOCUMENTS if d.source_id == f"halvern-om-wicket-{year}"]
        steps = [cells for shape, cells in entries(document.pages) if shape == "step"]
        assert [cells["quote"] for cells in steps if cells["phase"] == "en_route"] == [
            "Feel the front tires at each stop."
        ]
        assert "Hand brake off." in [cells["quote"] for cells in steps]
