"""Pictures, by matplotlib: how weights are distributed, and what share a rating covers.

Legible in grey: lines differ by their dashes, areas by greys that are far apart. Bars that are to
be compared share one scale and bear their values. The same figures give the same bytes.
"""

from __future__ import annotations

import importlib.util
import textwrap
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from towdb.contract.model import contract
from towdb.errors import UsageError
from towdb.files.replace import replace
from towdb.report.caution import CAUTION
from towdb.report.figures import percent
from towdb.report.text import printable
from towdb.wording import sentences
from towdb.wording.inventories import WEIGHT_LABELS, group_name, made_by, read_line

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

# A document as ``--format json`` gives it.
Record = Mapping[str, Any]
# Marks that are named in the picture; the rest is counted below it.
MARKS_NAMED = 8
NAME_LENGTH = 40
# Figures on more bars than this would run into each other.
BARS_VALUED = 45
_WEIGHTS_DRAWN = ("as_weighed", "gvwr", "curb_weight")
_STYLE: Any = {
    # The font lacks the letters of many scripts; a box in their place is not a fault.
    "font.family": "DejaVu Sans",
    "font.size": 9,
    # Names in SVG would else be drawn at random, and text as outlines nobody can search.
    "svg.hashsalt": "towdb",
    "svg.fonttype": "none",
    "text.parse_math": False,
}


def picture_format(path: Path) -> str:
    """The format of a picture by the end of its name.

    Raises
    ------
    UsageError
        If it is neither PNG nor SVG, or the library that draws is missing.
    """
    found = path.suffix.lower().removeprefix(".")
    if found not in ("png", "svg"):
        raise UsageError(
            f"{path}: no picture format has this ending; choose a name that ends in .png or .svg"
        )
    if importlib.util.find_spec("matplotlib") is None:
        raise UsageError("pictures need matplotlib; install it with: pip install 'towdb[plots]'")
    return found


def new_figure(width_in: float, height_in: float) -> Figure:
    """An empty figure, apart from whatever else the program draws."""
    from matplotlib.figure import Figure

    return Figure(figsize=(width_in, height_in), layout="constrained")


def rendered(figure: Figure, form: str) -> bytes:
    """A figure as PNG or SVG: the same bytes for the same figure."""
    import io
    import warnings

    import matplotlib

    metadata = {"Date": None, "Creator": "towdb"} if form == "svg" else {"Software": "towdb"}
    stream = io.BytesIO()
    with matplotlib.rc_context(_STYLE), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        figure.savefig(stream, format=form, dpi=150, metadata=metadata)
    return stream.getvalue()


def save(figure: Figure, path: Path) -> None:
    """Write a figure into a file.

    Raises
    ------
    UsageError
        If it cannot be written.
    """
    picture = rendered(figure, picture_format(path))

    def fill(beside: Path) -> None:
        beside.write_bytes(picture)

    replace(path, fill)


def draw_weights(found: Record, path: Path, units: str) -> None:
    """Draw a histogram of each weight, and the share curve below them, over one axis of weights."""
    picture_format(path)
    bins = found["histogram"]
    present = [name for name in _WEIGHTS_DRAWN if any(row["weight"] == name for row in bins)]
    figure = new_figure(8, 5.5 + 1.8 * max(1, len(present)))
    import matplotlib

    with matplotlib.rc_context(_STYLE):
        heights = [1.0] * max(1, len(present)) + [2.2]
        panels = figure.subplots(
            len(heights), 1, sharex=True, squeeze=False, height_ratios=heights
        )[:, 0]
        factor = float(contract().units["lb"].factor) if units == "kg" else 1.0
        panels[0].set_title("How the cars weigh", loc="left", fontweight="bold")
        _draw_histograms(list(panels[:-1]), found, present, factor)
        _draw_curve(panels[-1], found, factor, units)
        figure.supxlabel("\n".join(_caption(found)), fontsize=8, x=0.02, ha="left")
    save(figure, path)


def _draw_histograms(
    panels: Sequence[Axes], found: Record, present: Sequence[str], factor: float
) -> None:
    """A panel a weight, all of one height of scale, so that bars of two panels compare."""
    if not present:
        _write_note(panels[0], "no car has a weight of its own")
        panels[0].set_yticks([])
        return
    bins = found["histogram"]
    sums = {row["weight"]: row for row in found["distribution"]
            if row["scope"] == "all"}  # fmt: skip
    # Room above the highest bar for its value, which is drawn upright.
    most = max(row["counted"] for row in bins)
    most *= 1.2 + 0.06 * len(f"{most:,.0f}")
    for axes, name in zip(panels, present, strict=True):
        rows = [row for row in bins if row["weight"] == name]
        bars = axes.bar(
            [row["from_lb"] * factor for row in rows],
            [row["counted"] for row in rows],
            [(row["to_lb"] - row["from_lb"]) * factor for row in rows],
            align="edge",
            color="0.55",
            edgecolor="white",
            linewidth=0.6,
        )
        if len(rows) <= BARS_VALUED:
            shown = [f"{row['counted']:,.0f}" for row in rows]
            is_long = max(map(len, shown)) > 2
            axes.bar_label(bars, shown, padding=2, fontsize=7, rotation=90 if is_long else 0)
        axes.text(
            0.99, 0.93, f"{WEIGHT_LABELS[name]}: {sums[name]['cars']:,} cars",
            transform=axes.transAxes, ha="right", va="top",
        )  # fmt: skip
        axes.set_ylim(0, most or 1)
        axes.set_ylabel("cars" if found["weigh_by"] == "count" else "price")
        _whole_numbers(axes)
        axes.tick_params(labelbottom=True)


def _whole_numbers(axes: Axes) -> None:
    """Ticks at whole numbers: rounded ones would repeat, as 1 1 1 0 0 0."""
    from matplotlib.ticker import MaxNLocator

    axes.yaxis.set_major_locator(MaxNLocator(nbins=4, integer=True))
    axes.yaxis.set_major_formatter(lambda value, _: f"{value:,.0f}")


def _draw_curve(axes: Axes, found: Record, factor: float, units: str) -> None:
    rows = found["curve"]
    axes.set_title("What share a rating covers", loc="left", fontweight="bold")
    axes.set_xlabel(f"rating in {units}")
    axes.set_ylabel("share of the cars" if found["weigh_by"] == "count" else "share of the price")
    axes.set_ylim(0, 1)
    axes.yaxis.set_major_formatter(lambda value, _: f"{value:.0%}")
    axes.xaxis.set_major_formatter(lambda value, _: f"{value:,.0f}")
    if not rows or rows[0]["share_at_least"] is None:
        _write_note(axes, "no weight counts as towed")
        return
    at = [row["rating_lb"] * factor for row in rows]
    least = [row["share_at_least"] for row in rows]
    most = [row["share_at_most"] for row in rows]
    # A share applies from its weight up to the next one.
    axes.fill_between(
        at, least, most, step="post", facecolor="0.87", linewidth=0,
        label="not known",
    )  # fmt: skip
    axes.step(at, most, where="post", color="black", linestyle="--", linewidth=1.2,
              label="at most: all that is unknown within")  # fmt: skip
    axes.step(at, least, where="post", color="black", linewidth=2, label="at least: surely within")
    _draw_marks(axes, found["ratings"], factor)
    axes.grid(visible=True, color="0.85", linewidth=0.5)
    axes.legend(loc="lower right", framealpha=1)


def _draw_marks(axes: Axes, marks: Sequence[Record], factor: float) -> None:
    ordered = sorted(
        marks, key=lambda mark: (mark["coach"] is not None, mark["rating_lb"], mark["rating"])
    )
    for mark in ordered[:MARKS_NAMED]:
        axes.axvline(mark["rating_lb"] * factor, color="black", linestyle=":", linewidth=1.2)
    first, last = axes.get_xlim()
    for place, mark in enumerate(ordered[:MARKS_NAMED]):
        is_far = mark["rating_lb"] * factor > first + 0.85 * (last - first)
        # Names of near marks go below each other.
        axes.annotate(
            _name(mark["rating"]),
            (mark["rating_lb"] * factor, 0.97 - 0.055 * place),
            xytext=(-3 if is_far else 3, 0),
            textcoords="offset points",
            ha="right" if is_far else "left",
            va="top",
            fontsize=8,
            bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.85, "pad": 0.8},
        )


def _name(text: str) -> str:
    # A control character would make the SVG one that no program reads.
    plain = printable(" ".join(text.split()))
    return plain if len(plain) <= NAME_LENGTH else plain[: NAME_LENGTH - 1] + "…"


def _write_note(axes: Axes, text: str) -> None:
    axes.text(0.5, 0.5, text, transform=axes.transAxes, ha="center", va="center")


def _caption(found: Record) -> list[str]:
    cars, release = found["cars"], found["reference"]["release_id"]
    towed = next(
        row for row in found["distribution"] if row["weight"] == "towed" and row["scope"] == "all"
    ) if cars else None  # fmt: skip
    known = f"{towed['cars']:,}" if towed else "0"
    lines = [
        read_line(found["read"]),
        f"{cars:,} cars; of {known} it is known what counts as towed: as weighed, else GVWR"
        + (" (on record where the car has none)." if release else "."),
        "Curb weight and load only give the least that a car weighs. The curve is drawn every"
        f" {found['curve_step_lb']:,} lb and at each rating.",
    ]
    if found["weigh_by"] == "price":
        unpriced = found["unpriced"]
        lines.append(f"Each car counts its price; {unpriced:,} without one are left out.")
    hidden = len(found["ratings"]) - MARKS_NAMED
    if hidden > 0:
        lines.append(f"{hidden:,} more ratings are not marked.")
    by = f", release {release[:12]}" if release else ""
    lines.append(f"{found['on']}{by}{_invented(found)}")
    return [*lines, *textwrap.wrap(CAUTION, 125)]


def _invented(found: Record) -> str:
    return ", invented rows" if found["reference"]["invented"] else ""


# ---------------------------------------------------------------- verdicts

# Of each verdict its grey, and that of its figures.
VERDICT_GREYS = {
    "suitable": ("0.25", "white"),
    "undetermined": ("0.65", "black"),
    "not_suitable": ("0.92", "black"),
}
# Below this share a figure would be wider than its part of the bar.
_NARROWEST = 0.08
# A group below this share of the cars is counted with others of its kind.
_THINNEST = 0.025
GROUPS_DRAWN, COACHES_DRAWN = 15, 4


def draw_verdicts(found: Record, path: Path) -> None:
    """Draw the verdicts of a summary into a file."""
    picture_format(path)
    save(verdict_figure(found), path)


def verdict_figure(found: Record, *, caution: bool = True) -> Figure:
    """A bar for all cars and one for each group, in shares of its cars; a panel a coach.

    Without the caution where the page around it prints it.
    """
    drawn = found["coaches"][:COACHES_DRAWN]
    bars = {coach: verdict_bars(found, coach) for coach in drawn}
    heights = [1 + 0.38 * len(of_coach) for of_coach in bars.values()]
    figure = new_figure(8, 2 + sum(heights))
    import matplotlib

    with matplotlib.rc_context(_STYLE):
        panels = figure.subplots(len(drawn), 1, squeeze=False, height_ratios=heights)
        for axes, (coach, of_coach) in zip(panels[:, 0], bars.items(), strict=True):
            _draw_verdicts(axes, coach, of_coach)
        handles = [
            handle for axes in panels[:, 0] for handle in axes.get_legend_handles_labels()[0]
        ]
        if handles:
            # Outside of the panels: of a picture with one bar it would take all the room.
            named = handles[: len(VERDICT_GREYS)]
            figure.legend(handles=named, loc="outside upper center", ncols=3, frameon=False)
        lines = [read_line(found["read"])] if found["read"] else []
        lines.append(
            f"{found['cars']:,} cars; a bar is all cars of its group, their number beside it."
        )
        if len(found["coaches"]) > len(drawn):
            lines.append(f"{len(found['coaches']) - len(drawn):,} more coaches are not drawn.")
        lines += [f"{made_by(found)}{_invented(found)}"]
        lines += textwrap.wrap(CAUTION, 125) if caution else []
        figure.supxlabel("\n".join(lines), fontsize=8, x=0.02, ha="left")
    return figure


def verdict_bars(found: Record, coach: str) -> list[dict[str, Any]]:
    """The bars of a coach: name, cars and verdicts; all cars first, small groups together."""
    rows = [
        {**row, "name": group_name(row, found["by"])}
        for row in found["verdicts"]
        if row["coach"] == coach and row["cars"]
    ]
    whole = [row for row in rows if row["scope"] == "all"]
    groups = [row for row in rows if row["scope"] == "group"]
    large = sorted(groups, key=lambda row: -row["cars"])[:GROUPS_DRAWN]
    named = [row for row in large if row["cars"] >= _THINNEST * found["cars"]]
    named_groups = [row for row in groups if row in named]
    rest = [row for row in groups if row not in named]
    if len(rest) > 1:
        sums = {name: sum(row[name] for row in rest) for name in ("cars", *VERDICT_GREYS)}
        rest = [{**sums, "name": f"{len(rest):,} other groups"}]
    return [*whole, *named_groups, *rest]


def _draw_verdicts(axes: Axes, coach: str, bars: Sequence[dict[str, Any]]) -> None:
    axes.set_title(f"Verdicts behind {_name(coach)}", loc="left", fontweight="bold")
    if not bars:
        _write_note(axes, "no car")
        axes.set_yticks([])
        return
    places, left = range(len(bars)), [0.0] * len(bars)
    for verdict, (grey, of_figures) in VERDICT_GREYS.items():
        shares = [bar[verdict] / bar["cars"] for bar in bars]
        drawn = axes.barh(
            places, shares, height=0.78, left=left, color=grey, edgecolor="white", linewidth=0.8,
            label=sentences.VERDICTS[verdict],
        )  # fmt: skip
        shown = [percent(share) if share >= _NARROWEST else "" for share in shares]
        axes.bar_label(drawn, shown, label_type="center", fontsize=8, color=of_figures)
        left = [start + share for start, share in zip(left, shares, strict=True)]
    axes.set_yticks(places, [f"{_name(bar['name'])} ({bar['cars']:,})" for bar in bars])
    # The reader looks for suitable cars: their share is named however small it is.
    right = axes.secondary_yaxis("right")
    right.set_yticks(places, [_suitable(bar) for bar in bars])
    for axis in (axes, right):
        axis.tick_params(axis="y", length=0)
    axes.set_xlim(0, 1)
    axes.set_ylim(len(bars) - 0.5, -0.5)
    axes.xaxis.set_major_formatter(lambda value, _: f"{value:.0%}")


def _suitable(bar: dict[str, Any]) -> str:
    return f"{bar['suitable']:,} suitable, {percent(bar['suitable'] / bar['cars'])}"
