"""Words of a whole inventory: its weights, its groups, what was read, what is lacking."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from towdb.contract.model import contract
from towdb.wording.sentences import number

Record = Mapping[str, Any]
WEIGHT_LABELS = {
    "as_weighed": "Weighed, ready to tow",
    "gvwr": "GVWR from the car's own label",
    "curb_weight": "Curb weight, as a document prints it",
    "towed": "What counts as towed: as weighed, else GVWR",
}
RAISED_NOTE = (
    "receiver, GCWR and towing capacity together; the coach's own GVWR and weight are unchanged"
)
GAP_LABELS = {
    "statement": "no page on towing it flat",
    "steps": "no step on record",
    "weight": "no GVWR",
    "check": "nobody has checked",
}
# The rows named of these gaps are those whose source was withdrawn.
NAMES_WITHDRAWN = ("statement", "weight")
# To order a manual that is already on the shelf costs money, and perhaps the car.
BEGUN = (
    "Where a model on record is named, the model as typed begins with it: if it is that model,"
    " type it so, and the rest as trim or model_year."
)
NOT_GIVEN = "(not given)"


def group_name(row: Record, by: Sequence[str]) -> str:
    """What a group is called."""
    if row["scope"] == "all":
        return "all cars"
    return " · ".join(_cell_text(name, row[name]) for name in by)


def _cell_text(attribute: str, value: Any) -> str:
    if value is None:
        return NOT_GIVEN
    is_word = contract().candidate.field(attribute).vocabulary is not None
    return str(value).replace("_", " ") if is_word else str(value)


def made_by(document: Record) -> str:
    """The date and the release of an answer, and what was assumed."""
    assumed = ", ".join(f"{name} {word}" for name, word in document.get("assumed", {}).items())
    release = document["reference"]["release_id"]
    return (
        f"On {document['on']}{f', by release {release[:12]}' if release else ''}"
        f"{f', assuming {assumed}' if assumed else ''}"
    )


def shown_mass(value_lb: float | None, units: str, places: int = 0) -> str:
    """A weight for reading, in pounds or kilograms."""
    if value_lb is None:
        return ""
    factor = float(contract().units["lb"].factor) if units == "kg" else 1.0
    return number(value_lb * factor, places)


def read_line(read: Record) -> str:
    """What was read of an inventory as one line, the first of a summary."""
    rows = f"{read['rows']:,} row{'' if read['rows'] == 1 else 's'} read"
    aside = f"{read['set_aside']:,}" if read["set_aside"] else "none"
    left = left_empty_line(read["left_empty"])
    return f"{rows}, {aside} set aside" + (f"; {left}" if left else "")


def left_empty_line(left_empty: Mapping[str, int]) -> str:
    """The cells that were left empty, by column; empty if there are none."""
    named = ", ".join(f"{column} {count:,}" for column, count in left_empty.items())
    return f"unreadable cells left empty: {named}" if named else ""
