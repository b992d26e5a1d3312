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
from itertools import pairwise
from pathlib import Path

import pandas as pd
import pytest
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

import towdb
from tests.conftest import DEMO, ROOT
from tests.helpers.cars_drawn import write
from tests.helpers.command import Command
from towdb.report.plots import (
    GROUPS_DRAWN,
    MARKS_NAMED,
    VERDICT_GREYS,
    draw_verdicts,
    verdict_bars,
    verdict_figure,
)
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
    return {
        "weights": weights.plot,
        "verdicts": lambda path: draw_verdicts(summary.document(), path),
    }


@pytest.mark.parametrize("kind", ["weights", "verdicts"])
def test_only_greys_are_used_and_nothing_is_hatched(
    draws: dict[str, Draw], tmp_path: Path, kind: str
) -> None:
    path = tmp_path / "p.svg"
    draws[kind](path)
    text = path.read_text("utf-8")
    colours = set(re.findall("#([0-9a-f]{6})", text))
    assert {colour for colour in colours if len(set(re.findall("..", colour))) > 1} == set()
    assert "<pattern" not in text
    if kind == "weights":
        assert "stroke-dasharray" in text
    said = " ".join("".join(node.itertext()).strip() for node in ET.parse(path).iter()
                    if node.tag.endswith("}text"))  # fmt: skip
    assert "12 cars" in said
    assert "2026-01-31" in said
    assert re.search("release [0-9a-f]{12}", said)
    assert said.count("qualified installer") == 1


@pytest.mark.parametrize("kind", ["weights", "verdicts"])
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
    bars = verdict_bars(found.document(), "coach")
    assert [(bar["name"], bar["cars"]) for bar in bars] == [
        ("all cars", 11_300),
        ("great $x^2$", 700), ("北 \x1b[2J", 600), ("10,000 other groups", 10_000)
    ]  # fmt: skip
    draw_verdicts(found.document(), tmp_path / "m.svg")
    drawn = ET.parse(tmp_path / "m.svg").getroot()
    assert "great $x^2$ (700)" in "".join(drawn.itertext())
    assert "<U+001B>" in "".join(drawn.itertext())
    draw_verdicts(found.document(), tmp_path / "m.png")


def of_groups(summary: Summary, count: int) -> Summary:
    columns, _ = summary.tables["verdicts"]
    rows = [("coach", "group", f"g{n}", 10, 5, 3, 2) for n in range(count)]
    whole = ("coach", "all", None, 10 * count, 5 * count, 3 * count, 2 * count)
    if not count:
        whole = ("coach", "all", None, 10, 5, 3, 2)
    return Summary(summary.by, 10 * count, ("coach",), summary.on, summary.release_id, True, {},
                   None, {"verdicts": (columns, [whole, *rows])})  # fmt: skip


def test_groups_of_like_size_are_not_all_drawn(summary: Summary) -> None:
    whole, *bars = verdict_bars(of_groups(summary, 30).document(), "coach")
    assert (whole["name"], whole["cars"]) == ("all cars", 300)
    assert len(bars) == GROUPS_DRAWN + 1
    assert sum(bar["cars"] for bar in bars) == 300
    assert (bars[-1]["name"], bars[-1]["suitable"]) == ("15 other groups", 75)


# ---------------------------------------------------------------- bars that compare


def test_bars_of_verdicts_are_equally_high_and_as_long_as_their_shares(summary: Summary) -> None:
    figure = verdict_figure(of_groups(summary, 5).document())
    (axes,) = figure.axes
    drawn = [bar for bar in axes.patches if isinstance(bar, Rectangle)]
    assert len(drawn) == 3 * 6
    assert {round(bar.get_height(), 6) for bar in drawn} == {0.78}
    for bars, share in zip(axes.containers, (0.5, 0.2, 0.3), strict=True):
        widths = [bar.get_width() for bar in bars]
        assert widths == pytest.approx([share] * 6)
    said = [text.get_text() for text in axes.texts]
    assert [said.count(share) for share in ("50.0 %", "20.0 %", "30.0 %")] == [6, 6, 6]
    names = [tick.get_text() for tick in axes.get_yticklabels()]
    assert names == ["all cars (50)", *(f"g{n} (10)" for n in range(5))]


@pytest.mark.parametrize("groups", [0, 1, 15])
def test_a_picture_of_few_bars_has_room_for_them(summary: Summary, groups: int) -> None:
    figure = verdict_figure(of_groups(summary, groups).document())
    # A layout that does not fit warns, and draws nothing that can be read.
    figure.canvas.draw()
    (axes,) = figure.axes
    inches = axes.get_window_extent().height / figure.dpi / (groups + 1)
    assert inches >= 0.25
    (legend,) = figure.legends
    assert [text.get_text() for text in legend.get_texts()] == [
        "suitable", "undetermined", "not suitable"
    ]  # fmt: skip


def test_greys_of_verdicts_are_far_apart() -> None:
    greys = sorted(float(grey) for grey, _ in VERDICT_GREYS.values())
    assert min(b - a for a, b in pairwise(greys)) >= 0.25
    # Figures on them have the contrast that WCAG 2.2, 1.4.3, asks of text: 4.5 to 1.
    for grey, of_figures in VERDICT_GREYS.values():
        light, dark = sorted((luminance(float(grey)), float(of_figures == "white")), reverse=True)
        assert (light + 0.05) / (dark + 0.05) >= 4.5


def luminance(grey: float) -> float:
    """Relative luminance of a grey of sRGB, as WCAG 2.2 defines it."""
    return grey / 12.92 if grey <= 0.04045 else float(((grey + 0.055) / 1.055) ** 2.4)


@pytest.mark.parametrize("cars", [1, 2, 12, 300])
def test_counts_stand_at_whole_numbers_once_and_on_every_bar(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, cars: int
) -> None:
    figures: list[Figure] = []
    monkeypatch.setattr("towdb.report.plots.save", lambda figure, _: figures.append(figure))
    rows = [f"{3000 + 700 * (n % 3)} lb,{4000 + 500 * (n % 2)} lb" for n in range(cars)]
    found = towdb.weights(write(tmp_path / "cars.csv", "curb_weight,gvwr", rows))
    found.plot(tmp_path / "w.png")
    (figure,) = figures
    figure.canvas.draw()
    *panels, _ = figure.axes
    assert len(panels) == 2
    # One scale for both, so that bars of two panels compare.
    assert len({axes.get_ylim() for axes in panels}) == 1
    for axes, weight in zip(panels, ("gvwr", "curb_weight"), strict=True):
        low, high = axes.get_ylim()
        ticks = [tick for tick in axes.get_yticks() if low <= tick <= high]
        assert ticks == [int(tick) for tick in ticks]
        said = [tick.get_text() for tick in axes.get_yticklabels()]
        assert len(set(said)) == len(said) >= 2
        counted = [
            f"{row['counted']:,.0f}"
            for row in found.records("histogram")
            if row["weight"] == weight
        ]
        assert [text.get_text() for text in axes.texts][:-1] == counted


@pytest.mark.parametrize("price", [1, 12_345, 987_654_321])
def test_values_on_bars_stay_within_their_panel(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, price: int
) -> None:
    figures: list[Figure] = []
    monkeypatch.setattr("towdb.report.plots.save", lambda figure, _: figures.append(figure))
    cars = write(tmp_path / "cars.csv", "gvwr,price", [f"4000 lb,{price}", "4700 lb,1"])
    towdb.weights(cars, weigh_by="price").plot(tmp_path / "w.png")
    figures[0].set_dpi(150)
    figures[0].canvas.draw()
    axes = figures[0].axes[0]
    assert len(axes.texts) == 3
    for text in axes.texts:
        assert text.get_window_extent().y1 <= axes.get_window_extent().y1


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
