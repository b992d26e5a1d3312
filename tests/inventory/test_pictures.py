"""Pictures: legible in grey, the same bytes for the same figures, refused where they cannot be."""

from __future__ import annotations

import base64
import importlib.util
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path

import pandas as pd
import pytest

import towdb
from tests.command import Command
from tests.conftest import DEMO, ROOT
from tests.inventory.cars_drawn import write
from towdb.inventory.plots import GROUPS_DRAWN, MARKS_NAMED, draw_verdicts, mosaic_bars
from towdb.screening.summary import Summary

ON = "2026-01-31"
SHORTLIST, COACH = DEMO / "shortlist.csv", DEMO / "coach.toml"
Draw = Callable[[Path], None]


@pytest.fixture(scope="module")
def summary(demo_release: Path) -> Summary:
    with towdb.screen(SHORTLIST, coach=COACH, reference=demo_release, on=ON) as screening:
        return screening.summary("drivetrain")


@pytest.fixture(scope="module")
def draws(demo_release: Path, summary: Summary) -> dict[str, Draw]:
    weights = towdb.weights(SHORTLIST, ratings="5000 lb", reference=demo_release, on=ON)
    return {"weights": weights.plot, "mosaic": lambda path: draw_verdicts(summary, path)}


@pytest.mark.parametrize("kind", ["weights", "mosaic"])
def test_only_greys_are_used_and_hatches_and_dashes_tell_them_apart(
    draws: dict[str, Draw], tmp_path: Path, kind: str
) -> None:
    path = tmp_path / "p.svg"
    draws[kind](path)
    text = path.read_text("utf-8")
    colours = set(re.findall("#([0-9a-f]{6})", text))
    assert {colour for colour in colours if len(set(re.findall("..", colour))) > 1} == set()
    assert len(set(re.findall(r"url\(#(h[0-9a-f]+)\)", text))) >= 2
    if kind == "weights":
        assert "stroke-dasharray" in text
    said = " ".join("".join(node.itertext()).strip() for node in ET.parse(path).iter()
                    if node.tag.endswith("}text"))  # fmt: skip
    assert "12 cars" in said
    assert "2026-01-31" in said
    assert re.search("release [0-9a-f]{12}", said)
    assert said.count("qualified installer") == 1


@pytest.mark.parametrize("kind", ["weights", "mosaic"])
@pytest.mark.parametrize("end", ["png", "svg"])
def test_the_same_figures_give_the_same_bytes(
    draws: dict[str, Draw], tmp_path: Path, kind: str, end: str
) -> None:
    first, second = tmp_path / f"a.{end}", tmp_path / f"b.{end}"
    draws[kind](first)
    draws[kind](second)
    assert first.read_bytes() == second.read_bytes()
    assert first.read_bytes().startswith(b"\x89PNG" if end == "png" else b"<?xml")
    assert str(tmp_path).encode() not in first.read_bytes()


def test_another_process_gives_the_same_bytes(tmp_path: Path) -> None:
    cars = write(tmp_path / "cars.csv", "gvwr,lot", ["4000 lb,北", "4500 lb,east"])
    asked = ["weights", cars, "--on", ON, "--by", "lot", "--plot"]
    for name in ("a.svg", "b.svg"):
        subprocess.run(
            [sys.executable, "-m", "towdb", *map(str, asked), tmp_path / name],
            cwd=ROOT, check=True, capture_output=True,
        )  # fmt: skip
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()


def test_ten_thousand_groups_are_the_largest_and_the_rest_counted(
    demo_release: Path, tmp_path: Path
) -> None:
    lots = [f"lot {n}" for n in range(10_000)] + ["great $x^2$"] * 700 + ["北 \x1b[2J"] * 600
    cars = pd.DataFrame({"candidate": [str(n) for n in range(len(lots))], "lot": lots})
    with towdb.screen(cars, coach=COACH, reference=demo_release, on=ON) as screening:
        found = screening.summary("lot")
    bars = mosaic_bars(found, "coach")
    assert [(bar["name"], bar["cars"]) for bar in bars] == [
        ("great $x^2$", 700), ("北 \x1b[2J", 600), ("10,000 other groups", 10_000)
    ]  # fmt: skip
    draw_verdicts(found, tmp_path / "m.svg")
    drawn = ET.parse(tmp_path / "m.svg").getroot()
    assert "great $x^2$ (700)" in "".join(drawn.itertext())
    assert "<U+001B>" in "".join(drawn.itertext())
    draw_verdicts(found, tmp_path / "m.png")


def test_groups_of_like_size_are_not_all_drawn(summary: Summary) -> None:
    columns, _ = summary.tables["verdicts"]
    rows = [("coach", "group", f"g{n}", 10, 5, 3, 2) for n in range(30)]
    many = Summary(summary.by, 300, ("coach",), summary.on, summary.release_id, True, {}, None,
                   {"verdicts": (columns, list(rows))})  # fmt: skip
    bars = mosaic_bars(many, "coach")
    assert len(bars) == GROUPS_DRAWN + 1
    assert sum(bar["cars"] for bar in bars) == 300
    assert (bars[-1]["name"], bars[-1]["suitable"]) == ("15 other groups", 75)


def test_many_ratings_are_counted_below(tmp_path: Path) -> None:
    cars = write(tmp_path / "cars.csv", "gvwr", ["4000 lb"])
    ratings = [f"{1000 * n} lb" for n in range(1, MARKS_NAMED + 4)]
    towdb.weights(cars, ratings=ratings).plot(tmp_path / "w.svg")
    assert "3 more ratings are not marked" in (tmp_path / "w.svg").read_text("utf-8")


# ---------------------------------------------------------------- refused


def test_a_picture_that_cannot_be_written_is_refused(command: Command, tmp_path: Path) -> None:
    cars = write(tmp_path / "cars.csv", "gvwr", ["4000 lb"])
    (tmp_path / "taken.png").mkdir()
    for place in ("nowhere/p.png", "cars.csv/p.svg", "taken.png"):
        assert place in command.refused("weights", cars, "--plot", tmp_path / place)
    assert sorted(file.name for file in tmp_path.iterdir()) == ["cars.csv", "taken.png"]


def test_without_matplotlib_it_says_what_to_install(
    command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cars = write(tmp_path / "cars.csv", "gvwr", ["4000 lb"])
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    assert "pip install 'towdb[plots]'" in command.refused("weights", cars, "--plot", "p.png")


# ---------------------------------------------------------------- a page


class Page(HTMLParser):
    """What a browser would find in a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.text += data


def test_the_page_needs_no_other_file_and_runs_nothing(
    command: Command, demo_release: Path, tmp_path: Path
) -> None:
    evil = "<script>alert(1)</script><img src=x onerror=y>"
    cars = tmp_path / "cars.csv"
    shortlist = pd.read_csv(SHORTLIST, dtype=str)
    shortlist["lot"] = evil
    shortlist.to_csv(cars, index=False)
    target = tmp_path / "summary.html"
    said = command("screen", cars, "--coach", COACH, "--reference", demo_release, "--on", ON,
                   "--summary", "--by", "lot", "-o", target)  # fmt: skip
    assert (said.status, said.out, said.err) == (0, "", "")
    page = Page(target.read_text("utf-8"))
    names = {tag for tag, _ in page.tags}
    assert not names & {"script", "link", "iframe", "object", "form", "a"}
    assert evil in page.text
    (image,) = [attributes for tag, attributes in page.tags if tag == "img"]
    source = image["src"] or ""
    assert source.startswith("data:image/svg+xml;base64,")
    picture = base64.b64decode(source.partition(",")[2]).decode("utf-8")
    assert "12 cars" in "".join(ET.fromstring(picture).itertext())
    assert "<script" not in picture
    assert page.text.count("qualified installer") == 1
    assert "2026-01-31" in page.text
    first = target.read_bytes()
    target.unlink()
    command("screen", cars, "--coach", COACH, "--reference", demo_release, "--on", ON,
            "--summary", "--by", "lot", "-o", target)  # fmt: skip
    assert target.read_bytes() == first


def test_only_a_summary_is_a_page(command: Command, demo_release: Path) -> None:
    asked = ("screen", SHORTLIST, "--coach", COACH, "--reference", demo_release)
    assert "no format 'html' here" in command.refused(*asked, "-o", "x.html")
