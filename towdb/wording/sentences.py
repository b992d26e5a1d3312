"""Every sentence that a screening prints: verdicts, reasons, conditions, remarks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from towdb.contract.model import contract
from towdb.contract.quantities import Quantity
from towdb.contract.rounding import tenths
from towdb.wording.questions import (
    ABOUT as ABOUT,
)
from towdb.wording.questions import (
    ASK_FIRST as ASK_FIRST,
)
from towdb.wording.questions import (
    CHECK_QUESTIONS as CHECK_QUESTIONS,
)
from towdb.wording.questions import (
    QUESTION_REASONS as QUESTION_REASONS,
)
from towdb.wording.questions import (
    REASONS_OF_THE_CAR as REASONS_OF_THE_CAR,
)
from towdb.wording.questions import (
    WEIGHINGS as WEIGHINGS,
)
from towdb.wording.questions import (
    WHERE as WHERE,
)

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
OUTCOMES = ("met", "not_met", "unknown", "not_applicable")
# What the words of an answer mean, as `towdb describe` prints it; reasons are in REASONS.
MEANINGS = {
    "verdict": {
        "suitable": "every check that applies is met, by rows that somebody has checked",
        "not_suitable": "at least one check is not met",
        "undetermined": "no check is failed, and at least one is open: see what to find out",
    },
    "check": {
        "permission": "whether the manufacturer permits towing this exact version with four wheels"
        " down",
        "procedure": "whether one complete, checked procedure is determined for it",
        "hitch_receiver": "whether the car is within the receiver plate's weight-carrying figure",
        "combination_rating": "whether car and loaded coach together are within the GCWR",
        "towing_capacity": "whether the car is within the coach's towing capacity, where stated",
        "coach_gross": "whether the coach, weighed loaded, is within its own GVWR",
        "towed_gross": "whether the car, weighed ready to tow, is within its own GVWR",
    },
    "outcome": {
        "met": "the check is passed; a value equal to its limit passes",
        "not_met": "the check is failed",
        "unknown": "the check is open: a row, a figure or a word is missing",
        "not_applicable": "the check does not apply, or was not made",
    },
    "weight_basis": {
        "as_weighed": "the car was weighed ready to tow, with everything in it that travels",
        "gvwr": "not weighed: its GVWR is taken as the most that it weighs",
    },
    "figure": {
        "margin": "how far it is below the limit, rounded down to 0.1; below 0: how far above",
        "capacity": "the most that the coach can pull: the smallest of receiver, GCWR less the"
        " loaded coach, and towing capacity",
    },
}
# Each reason in words.
REASONS = {
    ("permission", "forbidden"): "its manufacturer forbids towing it with all four wheels down",
    ("permission", "permitted"): "its manufacturer permits towing it with all four wheels down",
    ("permission", "sources_disagree"): "one statement permits it, another forbids it",
    ("permission", "may_be_forbidden"): "some versions are permitted and some forbidden; which one"
    " this is, is not known",
    ("permission", "ask_the_maker"): "the manual refers you to the manufacturer or a dealer",
    ("permission", "awaits_check"): "a permission is on record, but nobody has checked it",
    ("permission", "depends_on_the_car"): "it depends on which version of the car this is",
    ("permission", "manual_is_silent"): "the manual was read and does not mention it",
    ("permission", "nothing_on_record"): "nothing on record for this car",
    ("procedure", "determined"): "one procedure is determined",
    ("procedure", "chosen"): "the procedure was chosen",
    ("procedure", "procedures_differ"): "several procedures may apply, and they differ",
    ("procedure", "chosen_not_sure"): "the chosen procedure may not be this car's",
    ("procedure", "permission_not_met"): "not checked: towing is not known to be permitted",
    ("hitch_receiver", "rating_missing"): "the receiver plate's weight-carrying figure is missing",
    ("hitch_receiver", "mode_not_printed"): "the receiver plate gives its figure without a mode",
    ("combination_rating", "rating_missing"): "the coach's GCWR is missing",
    (
        "combination_rating",
        "weights_contradict",
    ): "the car or the coach cannot weigh what was typed",
    ("combination_rating", "weight_unknown"): "the weight of the car or the coach is not known",
    (
        "towing_capacity",
        "rating_missing",
    ): "the coach's towing capacity, or 'none stated', is missing",
    ("towing_capacity", "none_stated"): "the coach's documents state no towing capacity",
    ("coach_gross", "gvwr_not_known"): "the coach's GVWR is missing",
    ("coach_gross", "not_weighed"): "the coach was not weighed loaded",
    ("coach_gross", "axle_over"): "an axle of the coach is above its own rating",
    ("coach_gross", "weights_contradict"): "the coach cannot weigh what was typed",
    ("towed_gross", "not_weighed"): "the car was not weighed",
    ("towed_gross", "gvwr_not_known"): "the car's GVWR is not known",
    ("", "within"): "within the limit",
    ("", "over"): "over the limit",
    ("", "weight_unknown"): "a weight is unknown",
    ("", "depends_on_the_weight"): "it depends on the exact weight",
    ("", "weights_contradict"): "the car cannot weigh what was typed",
}
# Reasons of the permission, where each model has one line.
REASONS_IN_SHORT = {
    "forbidden": "forbidden",
    "sources_disagree": "its sources disagree",
    "may_be_forbidden": "some versions are forbidden",
    "ask_the_maker": "ask the manufacturer",
    "awaits_check": "nobody has checked the row",
    "depends_on_the_car": "depends on the version",
    "manual_is_silent": "the manual does not mention it",
}
PAGES_OF_MODELS = "Pages and conditions: --explain, or screen a car by name in a shortlist."
REMARKS = {
    "emergency_only": "Only if it breaks down, with four wheels down: {said}; this is not a"
    " permission to tow it behind a coach",
    "emergency_possible": "Some versions, only if they break down, with four wheels down: {said};"
    " this is not a permission to tow one behind a coach",
    "self_checked": "Rests on a row that the person who entered it checked: {row_key}",
    "awaits_check": "Not checked yet: {row_key} ({said})",
    "override_awaits_check": "{row_key} would replace {said}, but nobody has checked it",
    "other_method": "For information: its manufacturer permits towing it {said}",
    "procedure_not_on_record": "The chosen procedure is not on record for this model",
    "misspelt_option": "No checked page of this model mentions the option {said}{close}: correct"
    " or remove it; until then, other options stay open",
    "other_market": "On record for another market only: {said}; a permission for one market does"
    " not apply in another",
    "model_and_more": "No such model of this make on record; the record has {said}: if this is that"
    " model, type {said} as its model, and the rest as trim or model_year",
    "vin_of_another_year": "Its VIN gives model year {said}, its row another: compare both with the"
    " car",
    "vin_without_year": "Its VIN gives no model year: place 10 is not the code of a year;"
    " compare it with the car",
    "unknown_make": "No such make on record{close}",
    "unknown_model": "No such model of this make on record{close}",
    "unknown_make_among_many": "No such make on record; too many names of these cars are not on"
    " record to look for a similar make",
    "unknown_model_among_many": "No such model of this make on record; too many names of these"
    " cars are not on record to look for a similar model",
}
PERMISSIONS = {
    "permitted": "permitted",
    "not_recommended": "not recommended",
    "prohibited": "forbidden",
    "refer_to_maker": "ask the manufacturer",
    "not_addressed": "the manual was read and does not mention it",
}
# What an emergency section permits, it permits within a mile or so.
WITHIN_LIMITS = "{said}, within limits of its own"
METHODS = {
    "front_wheels_up": "with the front wheels up",
    "rear_wheels_up": "with the rear wheels up",
    "on_trailer": "on a trailer",
}
CAUTIONS = {
    "weights_contradict": "Curb weight and load together are above a gross rating: a figure is"
    " wrong, or the car is overloaded",
    "gvwr_differs": "The gross rating typed differs from the one on record: read the label again",
    "gvwr_is_far_off": "The gross rating typed is more than a tenth away from every one on record:"
    " the largest of all is taken as the most that the car weighs",
    "weighed_below_curb": "It was weighed at less than every curb weight that may apply: check"
    " the ticket and its unit",
    "weighed_above_gvwr": "It was weighed at more than its gross rating: take weight out of it",
}
COACH_CAUTIONS = {
    "gcwr_below_gvwr": "{name}: its GCWR is below its GVWR; one of the two was misread",
    "weights_cross": "{name}: weighs more than its gross rating, or its weights disagree",
    "loaded_contradicts": "{name}: its loaded weight is below its unloaded weight, or below half of"
    " its GVWR; no coach weighs that: weigh it again, and check which unit the ticket prints",
    "axles_differ": "{name}: its axle tickets together and its other weighing are more than 2 %"
    " apart; the heavier counts",
    "part_is_heavier": "{name}: it weighed more with less aboard than loaded; the heavier counts",
    "front_axle_not_judged": "{name}: its front axle is not checked: its ticket or its GAWR is"
    " missing",
    "rear_axle_not_judged": "{name}: its rear axle is not checked: its ticket or its GAWR is"
    " missing",
}
# What may be above a rating of its own, and that rating.
TOO_HEAVY = {
    "whole": ("it", "GVWR"),
    "front_axle": ("its front axle", "GAWR"),
    "rear_axle": ("its rear axle", "GAWR"),
}
UNUSED_FIGURES = "no check uses its {}"
# Printed once with the verdicts, however many cars there are.
NOT_LOOKED_AT = (
    "Not looked at here: the outfit (tow bar, base plate, lamps, brakes) and the law. Brakes on the"
    " car are advised."
)
_QUANTITIES = {
    "speed": "speed",
    "distance": "distance",
    "time": "time towed",
    "engine_run": "run the engine",
    "rest": "rest",
    "ambient_temperature": "temperature outside",
    "grade": "grade",
    "battery_voltage": "battery voltage",
}
_METRIC = {"mi": "km", "mph": "km/h", "lb": "kg"}
_BOUNDS = {"at_most": "at most", "at_least": "at least"}
# For what is done each time, the page gives its duration.
_EACH_TIME = {"engine_run": "between_engine_runs", "rest": "between_rests"}
_SCOPES = {
    "always": "",
    "per_day": " a day",
    "per_trip": " a trip",
    "between_engine_runs": " between engine runs",
    "between_rests": " between rests",
    "start_of_day": " at the start of each day",
}
_STATED = {"unlimited": "no limit, as the page states", "posted_limit": "the posted limit"}
# A procedure as a person follows it: its parts, and what is marked in them.
LIMITS = "limits"
PHASES = {
    "once": "once, before the first tow",
    "before": "each time before towing",
    "en_route": "on the way",
    "after": "each time after towing",
}
PHASES_IN_SHORT = {"once": "once", "before": "before", "en_route": "en route", "after": "after"}
STEP_LABELS = {"warning": "WARNING", "never": "NEVER"}
SAME_ON_ANOTHER_PAGE = "the same, as another page prints it"
STEP_NOTES = {"expect": "you should see", "if_not": "if not"}
DISABLES = "without power meanwhile: {}"
DISABLES_UNKNOWN = "what is without power meanwhile is not on record"
RESTORE = "restore it {}"
RESTORE_NOT_STATED = "the page does not say when to restore it"


def reason_text(check: str, reason: str) -> str:
    """A reason of a check in words."""
    return REASONS.get((check, reason)) or REASONS[("", reason)]


def because_text(check: str, reason: str, about: str) -> str:
    """Why a question about an open check is asked; {figure} and {other} contradict each other."""
    if reason == "weights_contradict":
        return QUESTION_REASONS[about]
    if reason == "rating_missing" and about == "loaded_weight":
        return QUESTION_REASONS["coach_not_weighed"]
    return reason_text(check, reason)


def words_of_column(column: str) -> tuple[str, ...]:
    """The words that a column of the verdict table may have; empty: it has names or numbers."""
    check, _, what = column.rpartition("_")
    if what == "reason":
        return tuple(dict.fromkeys(reason for of, reason in REASONS if of in (check, "")))
    known: dict[str, Iterable[str]] = {"verdict": VERDICTS, "weight_basis": BASES,
                                       "governing_check": CHECKS}  # fmt: skip
    return OUTCOMES if what == "outcome" else tuple(known.get(column, ()))


def about_text(about: str) -> str:
    """What a question is about, in words."""
    return ABOUT.get(about) or about.replace("_", " ")


def answer_text(answer: Mapping[str, Any], units: str) -> str:
    """An answer for reading; a weight in it to 0.1, to the safe side."""
    text = str(answer["value"]).replace("_", " ")
    if units == "kg" and answer["bound"]:
        figure = tenths(answer["figure_kg"], up=answer["bound"] in ("at_least", "below"))
        text = text.replace(f"{number(answer['figure_lb'])} lb", f"{number(figure)} kg")
    return text


def number(value: Decimal | float | None, places: int = 1) -> str:
    """A figure for reading, with thousands apart."""
    return "" if value is None else f"{value:,.{places}f}"


def mass(record: Mapping[str, Any], name: str, units: str, *, up: bool = False) -> str:
    """A weight of a record for reading, to 0.1: limits and margins rounded down, weights up."""
    if record[f"{name}_lb"] is None:
        return ""
    if units == "kg":
        kilograms = float(record[f"{name}_kg"])
        shown = tenths(kilograms, up=up)
        # A margin that fails is never shown as 0.
        return f"{number(min(shown, -0.1) if kilograms < 0 else shown)} kg"
    return f"{number(record[f'{name}_lb'])} lb"


def condition_text(condition: Mapping[str, Any], units: str) -> str:
    """A condition for reading: as the page prints it, or in kilograms and kilometres."""
    text, value, unit = str(condition["text"]), condition["value"], condition["unit"]
    if value is None or unit is None or units != "kg" or unit not in _METRIC:
        return text
    is_least, is_most = (_BOUNDS[bound] in text for bound in ("at_least", "at_most"))
    shown = _metric(value, unit, up=is_least)
    also = condition["also_value"]
    if also is not None and condition["also_unit"] == _METRIC[unit]:
        # The page prints both: the stricter of the two applies.
        shown = max(shown, also) if is_least else min(shown, also) if is_most else also
    symbol = contract().units[_METRIC[unit]].symbol
    return text.replace(figure_text(value, unit), f"{plain_number(shown)} {symbol}")


def limit_text(row: Mapping[str, Any]) -> str:
    """A limit in words, as the page states it."""
    name = _QUANTITIES[row["quantity"]]
    is_each_time = _EACH_TIME.get(row["quantity"]) == row["scope"]
    scope = " each time" if is_each_time else _SCOPES[row["scope"]]
    if row["stated"] != "number":
        return f"{name}{scope}: {_STATED[row['stated']]}"
    figure = figure_text(row["value"], row["unit"])
    return f"{name} {_BOUNDS[row['bound']]} {figure}{scope}"


def figure_text(value: Decimal, unit: str) -> str:
    """A figure with its unit, as printed."""
    return f"{plain_number(value)} {contract().units[unit].symbol or unit}"


def plain_number(value: Decimal) -> str:
    """A figure as printed, without zeros at its end, thousands apart."""
    text = f"{value:,f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _metric(value: Decimal, unit: str, *, up: bool) -> Decimal:
    exact = Quantity(value, unit).canonical / contract().units[_METRIC[unit]].factor
    return Decimal(str(tenths(exact, up=up)))


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
    """That the coach requires brakes on the car."""
    return f"the car needs brakes of its own: the coach allows {figure_text(value, unit)} without"
