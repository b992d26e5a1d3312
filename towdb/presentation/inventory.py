"""What `weights` and `gaps` found, as lines and rows for a screen."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from towdb.contract.model import contract
from towdb.presentation.summary import group_name
from towdb.report.figures import percent, to_the_right
from towdb.screening.gaps import BEGUN, GAP_COLUMNS, gap_cells
from towdb.wording.sentences import number

if TYPE_CHECKING:
    from towdb.inventory.gaps import Gaps
    from towdb.inventory.weights import Weights

# Groups shown of each table; files take them all.
GROUPS_SHOWN = 60
WEIGHTS_SAID = {
    "as_weighed": "Weighed, ready to tow",
    "gvwr": "GVWR from the car's own label",
    "curb_weight": "Curb weight, as a document prints it",
    "towed": "What counts as towed: as weighed, else GVWR",
}
_FIGURES = ("minimum", "q05", "q25", "median", "q75", "q95", "maximum", "mean")
DISTRIBUTION_COLUMNS = ("cars", "least", "5 %", "25 %", "50 %", "75 %", "95 %", "most", "mean")


def shown_mass(value_lb: float | None, units: str, places: int = 0) -> str:
    """A weight for reading, in pounds or kilograms."""
    if value_lb is None:
        return ""
    factor = float(contract().units["lb"].factor) if units == "kg" else 1.0
    return number(value_lb * factor, places)


def distribution_tables(found: Weights, units: str) -> Iterator[tuple[str, list[list[str]], int]]:
    """For each weight: a line, a row a group, and how many groups are not shown.

    The rows are for `DISTRIBUTION_COLUMNS`, behind what the group is called.
    """
    every = found.records("distribution")
    for weight, said in WEIGHTS_SAID.items():
        rows = [row for row in every if row["weight"] == weight]
        if not rows or not rows[0]["cars"]:
            yield f"{said}: of no car", [], 0
            continue
        shown = rows[: GROUPS_SHOWN + 1]
        cells = [
            [
                group_name(row, found.by),
                f"{row['cars']:,} of {row['cars'] + row['missing']:,}",
                *(shown_mass(row[f"{name}_lb"], units) for name in _FIGURES),
            ]
            for row in shown
        ]
        yield f"{said}, in {units}", to_the_right(cells, range(1, 10)), len(rows) - len(shown)


def share_rows(found: Weights, units: str) -> tuple[list[list[str]], int]:
    """Rows of the shares at each rating, and how many are not shown."""
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
            counted(found, row["within"]),
            counted(found, row["unknown"]),
            counted(found, row["over"]),
        ]
        for row in rows[:GROUPS_SHOWN]
    ]
    return to_the_right(cells, range(3, 8)), max(0, len(rows) - GROUPS_SHOWN)


SHARE_COLUMNS = ("rating", "coach", "at least", "at most", "within", "not known", "over")


def counted(found: Weights, value: float) -> str:
    """A count of cars, or a sum of prices."""
    return f"{value:,.0f}" if found.weigh_by == "count" else f"{value:,.2f}"


def weights_foot(found: Weights) -> Iterator[str]:
    """How the figures came about."""
    from towdb.inventory.weights import QUANTILES

    if found.weigh_by == "price":
        yield (
            f"Each car counts its price; {found.unpriced:,} of {found.cars:,} cars have none and"
            " are left out."
        )
    yield f"Quantiles: {QUANTILES[found.weigh_by]}. Empty: no such weight."
    yield (
        "At least: surely within the rating. At most: those too of which it is not known. Curb"
        " weight and load only say what a car weighs at least."
    )
    if found.coaches_unknown:
        shown = ", ".join(found.coaches_unknown[:5])
        rest = len(found.coaches_unknown) - 5
        more = f" and {rest:,} more" if rest > 0 else ""
        yield f"Not marked, because what they can pull is not known: {shown}{more}."
    by = f", by release {found.release_id[:12]}" if found.release_id else ""
    yield f"On {found.on.isoformat()}{by}"


# ---------------------------------------------------------------- gaps

SOURCE_COLUMNS = ("cars", "of", "source", "title")
GapTable = tuple[str, tuple[str, ...], list[list[str]], list[str]]


def gap_tables(found: Gaps) -> Iterator[GapTable]:
    """A line, columns, rows, and lines below: what is lacking, then old sources if asked for."""
    rows = found.records("gaps")
    of = (
        "cars" if found.is_inventory else "versions of cars on record, and model years between them"
    )
    said = f"What the reference lacks for {found.cars:,} {of}"
    cells = [gap_cells(row) for row in rows[:GROUPS_SHOWN]]
    below = _rest(len(rows))
    below += [BEGUN] if any(row["on_record"] for row in rows) else []
    if found.unnamed:
        below.append(f"{found.unnamed:,} cars without make or model wait for these themselves.")
    yield said if rows else f"{said}: nothing", GAP_COLUMNS, to_the_right(cells, range(1)), below
    if found.older_than is not None:
        sources = found.records("sources")
        cells = [
            [f"{row['cars']:,}", str(row["dated"] or "no date"), row["source_id"], row["title"]]
            for row in sources[:GROUPS_SHOWN]
        ]
        line = f"Sources from before {found.older_than.isoformat()}, and the cars that rest on them"
        yield (
            line if sources else f"{line}: none",
            SOURCE_COLUMNS,
            to_the_right(cells, range(1)),
            _rest(len(sources)),
        )


def _rest(rows: int) -> list[str]:
    return [f"{rows - GROUPS_SHOWN:,} more rows with -o FILE.json"] if rows > GROUPS_SHOWN else []


def gaps_foot(found: Gaps) -> Iterator[str]:
    """How the gaps were looked for."""
    yield (
        "A page that was read and is silent is no gap; a weight is asked for only where towing is"
        " not forbidden."
    )
    yield f"On {found.on.isoformat()}, by release {found.release_id[:12]}"
