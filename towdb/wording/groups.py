"""A vehicle group in a few words: which cars a page is about."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from towdb.contract.model import contract

YEARS = ("model_year_from", "model_year_to")
WORDS = tuple(
    field.name for field in contract().tables["vehicle_group"].fields if field.type == "words"
)
# The cells in which two groups of one make and model may differ.
CELLS = (
    *YEARS, *WORDS,
    "built_from", "built_to", "options_with", "options_without", "further_condition",
)  # fmt: skip


def group_text(group: Mapping[str, Any], cells: Iterable[str] = CELLS) -> str:
    """The conditions of a group, those of the named cells, in a few words.

    Parameters
    ----------
    group : mapping
        A row of ``vehicle_group``.
    cells : iterable of str
        Some of `CELLS`.

    Returns
    -------
    str
        Empty if the group sets none of these conditions.
    """
    return "; ".join(_parts(group, set(cells)))


def years_text(group: Mapping[str, Any]) -> str:
    """Its model years, "2019" or "2019-2021"."""
    first, last = (group[name] for name in YEARS)
    return f"{first}" if first == last else f"{first}-{last}"


def _parts(group: Mapping[str, Any], cells: set[str]) -> Iterator[str]:
    if cells & set(YEARS):
        yield f"model year {years_text(group)}"
    for name in WORDS:
        if name in cells and group[name]:
            words = str(group[name]).replace("_", " ").replace(" | ", " or ")
            yield f"{name.replace('_', ' ')} {words}"
    for name, text in (
        ("built_from", "built from {}"),
        ("built_to", "built to {}"),
        ("options_with", "with {}"),
        ("options_without", "without {}"),
        ("further_condition", "if this is true: {}"),
    ):
        if name in cells and group[name]:
            yield text.format(group[name])


def distinguishing_cells(groups: Iterable[Mapping[str, Any]]) -> list[str]:
    """Those of `CELLS` in which groups differ."""
    rows = list(groups)
    return [name for name in CELLS if len({row[name] for row in rows}) > 1]
