"""Every word that a screening says to a person: verdicts, reasons, conditions, remarks."""

from __future__ import annotations

import math
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from towdb.contract.model import contract
from towdb.contract.quantities import Quantity

VERDICTS = {
    "suitable": "suitable",
    "not_suitable": "not suitable",
    "undetermined": "undetermined",
}
CHECKS = {
    "permission": "permission",
    "procedure": "procedure",
    "hitch_receiver": "hitch receiver",
    "combination_rating": "combination rating",
    "towing_capacity": "towing capacity",
    "coach_gross": "coach's gross rating",
    "towed_gross": "car's gross rating",
}
BASES = {"as_weighed": "as weighed", "gvwr": "GVWR"}
# What a reason comes to, said of the car; with a full stop where it stands alone.
REASONS = {
    ("permission", "forbidden"): "its maker forbids towing it with all four wheels down",
    ("permission", "permitted"): "its maker permits towing it with all four wheels down",
    ("permission", "sources_disagree"): "one document permits it and another forbids it",
    ("permission", "may_be_forbidden"): "permitted, unless it is one of those that are forbidden",
    ("permission", "ask_the_maker"): "the manual sends you to the maker or a dealer",
    ("permission", "awaits_check"): "a permission is on record, but nobody has checked it",
    ("permission", "depends_on_the_car"): "it depends on which version of the car this is",
    ("permission", "manual_is_silent"): "the manual was read and says nothing of it",
    ("permission", "nothing_on_record"): "nothing on record for this car",
    ("procedure", "determined"): "one procedure is determined",
    ("procedure", "chosen"): "the procedure was chosen",
    ("procedure", "procedures_differ"): "several procedures come into question, and they differ",
    ("procedure", "chosen_not_sure"): "the chosen procedure is not surely this car's",
    ("procedure", "permission_not_met"): "not looked at: towing is not permitted so far",
    ("hitch_receiver", "rating_missing"): "the receiver plate's weight-carrying figure is missing",
    ("hitch_receiver", "mode_not_printed"): "the receiver plate does not say for which mode",
    ("combination_rating", "rating_missing"): "the coach's GCWR is missing",
    (
        "towing_capacity",
        "rating_missing",
    ): "the coach's towing capacity is missing, or 'none stated'",
    ("towing_capacity", "none_stated"): "the coach's documents state none",
    ("coach_gross", "gvwr_not_known"): "the coach's GVWR is missing",
    ("coach_gross", "not_weighed"): "the coach was not weighed loaded",
    ("towed_gross", "not_weighed"): "the car was not weighed",
    ("towed_gross", "gvwr_not_known"): "the car's GVWR is not known",
    ("", "within"): "within the limit",
    ("", "over"): "over the limit",
    ("", "weight_unknown"): "a weight is unknown",
    ("", "depends_on_the_weight"): "it depends on what it weighs",
}
REMARKS = {
    "emergency_only": "In an emergency, with four wheels down: {said}; that decides nothing here",
    "self_checked": "Rests on a check by the person who had entered it: {row_key}",
    "awaits_check": "Not checked yet: {row_key} ({said})",
    "override_awaits_check": "{row_key} would replace {said}, but nobody has checked it",
    "other_method": "For information, another way: its maker permits towing it {said}",
    "procedure_not_on_record": "The chosen procedure is not on record for this model",
    "misspelt_option": "No group of this model uses the option {said}{close}",
    "unknown_make": "No such make on record{close}",
    "unknown_model": "No such model of this make on record{close}",
}
PERMISSIONS = {
    "permitted": "permitted",
    "not_recommended": "not recommended",
    "prohibited": "forbidden",
    "refer_to_maker": "ask the maker",
    "not_addressed": "read, says nothing of it",
}
METHODS = {
    "front_wheels_up": "with the front wheels up",
    "rear_wheels_up": "with the rear wheels up",
    "on_trailer": "on a trailer",
}
CAUTIONS = {
    "weights_contradict": "Curb weight and load together are above a gross rating: one is wrong",
    "gvwr_differs": "The gross rating typed differs from the one on record: read the label again",
}
COACH_CAUTIONS = {
    "gcwr_below_gvwr": "{name}: its GCWR is below its GVWR; one of the two was misread",
    "weights_cross": "{name}: weighs more than its gross rating, or its weights contradict",
}
_QUANTITIES = {
    "speed": "speed",
    "distance": "distance",
    "time": "time towed",
    "engine_run": "engine run",
    "rest": "rest",
    "ambient_temperature": "temperature outside",
    "grade": "grade",
    "battery_voltage": "battery voltage",
}
_BOUNDS = {"at_most": "at most", "at_least": "at least"}
_SCOPES = {
    "always": "",
    "per_day": " a day",
    "per_trip": " a trip",
    "between_engine_runs": " between engine runs",
    "between_rests": " between rests",
    "start_of_day": " at the start of each day",
}
_STATED = {"unlimited": "stated unlimited", "posted_limit": "the posted limit"}


def reason_text(check: str, reason: str) -> str:
    """A reason of a check in words."""
    return REASONS.get((check, reason)) or REASONS[("", reason)]


def number(value: Decimal | float | None, places: int = 1) -> str:
    """A figure for reading, with thousands apart."""
    return "" if value is None else f"{value:,.{places}f}"


def mass(record: Mapping[str, Any], name: str, units: str, *, up: bool = False) -> str:
    """A weight of a record for reading, to 0.1: limits and margins rounded down, weights up."""
    if record[f"{name}_lb"] is None:
        return ""
    if units == "kg":
        return f"{number(tenths(float(record[f'{name}_kg']), up=up))} kg"
    return f"{number(record[f'{name}_lb'])} lb"


def tenths(value: float, *, up: bool) -> float:
    """To 0.1 in one direction, after a tolerance that keeps an exact figure what it is."""
    return math.ceil(value * 10 - 1e-5) / 10 if up else math.floor(value * 10 + 1e-5) / 10


def condition_text(condition: Mapping[str, Any], units: str) -> str:
    """A condition for reading: as the page prints it, or in kilograms and kilometres."""
    text, value, unit = condition["text"], condition["value"], condition["unit"]
    if value is None or unit is None:
        return str(text)
    up = _BOUNDS["at_least"] in text
    return str(text).replace(figure_text(value, unit), figure_text(value, unit, units, up=up))


def limit_text(row: Mapping[str, Any]) -> str:
    """A limit in words, as the page states it."""
    name = _QUANTITIES[row["quantity"]]
    scope = _SCOPES[row["scope"]]
    if row["stated"] != "number":
        return f"{name}{scope}: {_STATED[row['stated']]}"
    figure = figure_text(row["value"], row["unit"])
    return f"{name} {_BOUNDS[row['bound']]} {figure}{scope}"


def figure_text(value: Decimal, unit: str, units: str = "lb", *, up: bool = False) -> str:
    """A figure with its unit as printed; in kilograms and kilometres where these are wanted."""
    metric = {"mi": "km", "mph": "km/h", "lb": "kg"}
    if units == "kg" and unit in metric:
        target = contract().units[metric[unit]]
        exact = Quantity(value, unit).canonical / target.factor
        return f"{number(tenths(float(exact), up=up))} {target.symbol}"
    text = f"{value:f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return f"{text} {contract().units[unit].symbol or unit}"


def step_text(row: Mapping[str, Any]) -> str:
    """A step in short."""
    text = row["text"] or row["quote"]
    return f"{text} ({row['only_when']})" if row["only_when"] else str(text)


def fuse_text(row: Mapping[str, Any]) -> str:
    """A fuse in short."""
    rating = f" ({figure_text(row['rating_a'], 'A')})" if row["rating_a"] is not None else ""
    target = f" to {row['to_position']}" if row["to_position"] else ""
    return (
        f"{row['action'].replace('_', ' ')} {row['device']} {row['position']}{rating}{target},"
        f" {row['panel']}"
    )


def brakes_text(value: Decimal, unit: str) -> str:
    """When the coach asks for brakes on the car."""
    return f"brakes of its own above {figure_text(value, unit)}"
