"""What `weights` found, as sections."""

from __future__ import annotations

from collections.abc import Iterator

from towdb.intake.unreadable import with_rows_read
from towdb.inventory.weights import QUANTILES, Weights
from towdb.report.answer import Answer, Section
from towdb.report.caution import foot
from towdb.report.figures import percent, to_the_right
from towdb.wording.inventories import WEIGHT_LABELS, group_name, made_by, shown_mass

# Groups shown of each table; files have them all.
GROUPS_SHOWN = 60
_FIGURES = ("minimum", "q05", "q25", "median", "q75", "q95", "maximum", "mean")
_DISTRIBUTION = ("cars", "least", "5 %", "25 %", "50 %", "75 %", "95 %", "most", "mean")
_SHARES = ("rating", "coach", "at least", "at most", "within", "not known", "over")


def weights_answer(found: Weights, units: str) -> Answer:
    """All of it, in every form; CSV is the distribution alone."""
    return Answer(
        found.document,
        lambda: with_rows_read(*found.tables["distribution"], "scope", found.read),
        lambda: _sections(found, units),
        [*_how(found), *foot(found.invented)],
        lead=[found.read.line()],
    )


def _sections(found: Weights, units: str) -> Iterator[Section]:
    what = " · ".join(found.by) or "group"
    every = found.records("distribution")
    for weight, label in WEIGHT_LABELS.items():
        rows = [row for row in every if row["weight"] == weight]
        if not rows or not rows[0]["cars"]:
            yield Section(f"{label}: none")
            continue
        cells = [
            [
                group_name(row, found.by),
                f"{row['cars']:,} of {row['cars'] + row['missing']:,}",
                *(shown_mass(row[f"{name}_lb"], units) for name in _FIGURES),
            ]
            for row in rows[: GROUPS_SHOWN + 1]
        ]
        yield Section(
            f"{label}, in {units}",
            (what, *_DISTRIBUTION),
            to_the_right(cells, range(1, 10)),
            not_shown(len(rows) - len(cells)),
        )
    shares = _shares(found, units)
    if shares.rows:
        yield shares._replace(columns=(what, *_SHARES))


def _shares(found: Weights, units: str) -> Section:
    named: dict[float, list[str]] = {}
    for mark in found.marks:
        named.setdefault(mark.lb, []).append(mark.coach or "")
    rows = found.records("shares")
    cells = [
        [
            group_name(row, found.by),
            f"{shown_mass(row['rating_lb'], units, 1)} {units}",
            ", ".join(filter(None, named.get(row["rating_lb"], []))),
            percent(row["share_at_least"]),
            percent(row["share_at_most"]),
            _counted(found, row["within"]),
            _counted(found, row["unknown"]),
            _counted(found, row["over"]),
        ]
        for row in rows[:GROUPS_SHOWN]
    ]
    notes = not_shown(len(rows) - GROUPS_SHOWN)
    title = "Share of the inventory within each rating"
    return Section(title, _SHARES, to_the_right(cells, range(3, 8)), notes)


def _counted(found: Weights, value: float) -> str:
    """A count of cars, or a sum of prices."""
    return f"{value:,.0f}" if found.weigh_by == "count" else f"{value:,.2f}"


def not_shown(rows: int) -> list[str]:
    """The line with the number of rows that only a file has."""
    return [f"{rows:,} more rows with -o FILE.json"] if rows > 0 else []


def _how(found: Weights) -> Iterator[str]:
    """How the figures were computed."""
    if found.weigh_by == "price":
        yield (
            f"Each car counts its price; {found.unpriced:,} of {found.cars:,} cars have none and"
            " are left out."
        )
    yield f"Quantiles: {QUANTILES[found.weigh_by]}. Empty: no such weight."
    yield (
        "At least: certainly within the rating. At most: also those of which it is not known. Curb"
        " weight and load give only the least that a car weighs."
    )
    if found.coaches_unknown:
        shown = ", ".join(found.coaches_unknown[:5])
        rest = len(found.coaches_unknown) - 5
        more = f" and {rest:,} more" if rest > 0 else ""
        yield f"Not marked, because what they can pull is not known: {shown}{more}."
    yield made_by(found.document())
