"""A slow, obvious matcher: what a verdict means, a sentence at a time, in plain Python.

In comes a reference as text cells, candidates, a coach, a date and a policy; out comes what every
check says. It shares no code with the engine, so that each can be held against the other. True,
False and None are Kleene's values; masses are exact fractions of a kilogram.
"""

from __future__ import annotations

import calendar
import csv
import tomllib
import unicodedata
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction
from functools import cache
from pathlib import Path

SCHEMA = Path(__file__).resolve().parents[2] / "schema"

Row = Mapping[str, str | None]
Reference = Mapping[str, Sequence[Row]]
CoachFile = Mapping[str, Sequence[Row]]  # property -> rows of value and read_from
Kleene = bool | None
Mass = Fraction | None
Citation = tuple[str, str]  # table, key
Remark = tuple[str, ...]

CAPACITY_CHECKS = ("hitch_receiver", "combination_rating", "towing_capacity")
CHECKS = ("permission", "procedure", *CAPACITY_CHECKS, "coach_gross", "towed_gross")
WORDS = (
    *("market", "powertrain", "drivetrain", "transmission", "transfer_case"),
    *("steering", "parking_brake", "shifter", "ignition"),
)
TEXTS = ("trim", "body_style", "engine")
STANCE = {
    "permitted": "permits",
    "prohibited": "forbids",
    "not_recommended": "forbids",
    "refer_to_maker": "defers",
    "not_addressed": "silent",
}
STRICTNESS = {"silent": 0, "permits": 1, "defers": 2, "forbids": 3}
PHASES = ("once", "before", "en_route", "after")
AXLES = (("axle_front_loaded", "gawr_front"), ("axle_rear_loaded", "gawr_rear"))
# Common practice: brochures round, fuel comes and goes, scales differ, but never by so much.
FAR_BELOW, FAR_ABOVE, SCALES_DIFFER = Fraction(9, 10), Fraction(11, 10), Fraction(2, 100)


@dataclass(frozen=True)
class Check:
    """What one check says, and on which rows it rests."""

    outcome: str
    reason: str
    value: Mass = None
    limit: Mass = None
    margin: Mass = None
    citations: tuple[Citation, ...] = ()


@dataclass(frozen=True)
class Figure:
    """One row's weight or rating; a pair of units is an interval."""

    low: Fraction
    high: Fraction
    checked: bool
    citations: tuple[Citation, ...]
    applies: Kleene = True


CoachFigures = Mapping[str, tuple[Figure, ...]]  # by property


@dataclass(frozen=True)
class Rating:
    """The figure that counts; an unchecked one may give not_met, never met."""

    limit: Fraction
    checked: bool
    citations: tuple[Citation, ...]


@dataclass(frozen=True)
class Weight:
    """From low to high; a missing end is None. What contradicts itself has neither."""

    low: Mass = None
    high: Mass = None
    basis: str | None = None
    low_rows: tuple[Citation, ...] = ()
    high_rows: tuple[Citation, ...] = ()
    contradicts: bool = False


CONTRADICTED = Weight(contradicts=True)


@dataclass(frozen=True)
class Coach:
    """What is known of a coach, and what it can pull."""

    figures: CoachFigures
    none_stated: tuple[Figure, ...] = ()
    weighed: Weight | None = None
    loaded: Weight = Weight()
    capacity: Mass = None
    governing_check: str | None = None
    capacity_at_most: Mass = None
    at_most_check: str | None = None
    cautions: frozenset[str] = frozenset()
    not_judged: frozenset[str] = frozenset()  # figures of an axle without their partner


@dataclass(frozen=True)
class Answer:
    """What is said of one candidate."""

    candidate: str | None
    verdict: str
    checks: Mapping[str, Check]
    governing_check: str
    margin: Mass
    towed: Weight
    considered: tuple[str, ...]  # statements from which the conditions come
    cautions: frozenset[str]
    remarks: frozenset[Remark]
    applies: Mapping[str, Kleene]  # group -> surely, possibly, not
    standing: Mapping[str, Kleene]  # current statement -> sure, possible, out


@dataclass(frozen=True)
class Screening:
    """The coach, and one answer a candidate."""

    coach: Coach
    answers: tuple[Answer, ...]


@dataclass
class Case:
    """One candidate against a reference on a date."""

    reference: Reference
    candidate: Row
    on: date
    weigh_by: str = "best_known"
    applies: dict[str, Kleene] = field(default_factory=dict)
    standing: dict[str, Kleene] = field(default_factory=dict)


# ---------------------------------------------------------------- cells


def cell(row: Row, name: str) -> str | None:
    """The text of a cell; None where it is empty."""
    text = (row.get(name) or "").strip()
    return text or None


def need(row: Row, name: str) -> str:
    text = cell(row, name)
    if text is None:
        raise ValueError(f"{name} is empty")
    return text


def fold(text: str) -> str:
    """Outer white space off, inner runs to one space, lower case; accents on their letters."""
    lowered = unicodedata.normalize("NFC", " ".join(text.split())).lower()
    return unicodedata.normalize("NFC", lowered)


def same(one: str | None, other: str | None) -> bool:
    return one is not None and other is not None and fold(one) == fold(other)


def listed(row: Row, name: str) -> list[str]:
    """The parts of a comma-separated cell, folded."""
    return [fold(part) for part in (cell(row, name) or "").split(",") if part.strip()]


def rows(reference: Reference, table: str, **wanted: str | None) -> list[Row]:
    """The rows of a table whose cells are as wanted."""
    found = reference.get(table, ())
    return [r for r in found if all(cell(r, name) == text for name, text in wanted.items())]


def row_of(reference: Reference, table: str, key: str | None) -> Row:
    return rows(reference, table, **{f"{table}_id": key})[0]


def both(values: Iterable[Kleene]) -> Kleene:
    """Kleene AND: one false is false, else one unknown is unknown."""
    seen = list(values)
    if False in seen:
        return False
    return None if None in seen else True


@cache
def units() -> dict[str, tuple[str, Fraction, Fraction]]:
    """Unit or alias -> dimension, factor and offset to the canonical unit."""
    found: dict[str, tuple[str, Fraction, Fraction]] = {}
    with (SCHEMA / "units.csv").open(encoding="utf-8", newline="") as stream:
        for unit in csv.DictReader(stream):
            known = (unit["dimension"], Fraction(unit["factor"]), Fraction(unit["offset"]))
            for alias in unit["aliases"].split("|"):
                found.setdefault(alias, known)
            found[unit["name"]] = known
    return found


def canonical(value: str, unit: str) -> tuple[str, Fraction]:
    """A value in the canonical unit of its dimension, exactly."""
    dimension, factor, offset = units()[unit]
    return dimension, Fraction(value.replace(",", "")) * factor + offset


def pair(row: Row) -> tuple[Fraction, Fraction]:
    """A page's pair of units is an interval too."""
    figures = [canonical(need(row, "value"), need(row, "unit"))[1]]
    if cell(row, "also_value"):
        figures.append(canonical(need(row, "also_value"), need(row, "also_unit"))[1])
    return min(figures), max(figures)


def typed_mass(text: str, unit: str | None) -> Fraction:
    """A weight cell may carry its own unit; a bare one needs `weight_unit`."""
    number = text.rstrip("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ# ")
    own = text[len(number) :].strip().lower()
    return canonical(number.strip(), own or (unit or "").strip().lower())[1]


# ---------------------------------------------------------------- words are sets


@cache
def vocabularies() -> dict[str, dict[str, str | None]]:
    """Attribute -> word -> the broader word it lies below."""
    read = tomllib.loads((SCHEMA / "vocabularies.toml").read_text("utf-8"))
    return {
        name: {
            word: entry.get("in") if isinstance(entry, dict) else None
            for word, entry in read[name]["words"].items()
        }
        for name in WORDS
    }


@cache
def leaves(attribute: str, word: str) -> frozenset[str]:
    """`automatic` = six leaves: a broad word stands for the leaves below it."""
    tree = vocabularies()[attribute]
    if word not in tree:
        raise ValueError(f"{attribute} has no word {word}")
    below = [leaves(attribute, other) for other, broader in tree.items() if broader == word]
    return frozenset().union(*below) if below else frozenset({word})


@cache
def all_leaves(attribute: str) -> frozenset[str]:
    return frozenset().union(*(leaves(attribute, word) for word in vocabularies()[attribute]))


def cell_words(text: str) -> tuple[bool, list[str]]:
    """Whether a group's cell says `not`, and the words it names."""
    negated = text.startswith("not ")
    return negated, [word.strip() for word in text.removeprefix("not ").split("|")]


def word_matches(attribute: str, spoken: str, said: str | None) -> Kleene:
    """True if the candidate's set lies inside the group's, false if the two share nothing."""
    negated, words = cell_words(spoken)
    group_set = frozenset().union(*(leaves(attribute, word) for word in words))
    if negated:
        group_set = all_leaves(attribute) - group_set
    word = fold(said).replace("-", "_").replace(" ", "_") if said else None
    candidate_set = leaves(attribute, word) if word else all_leaves(attribute)
    if candidate_set <= group_set:
        return True
    return None if candidate_set & group_set else False


def kindred(case: Case) -> list[Row]:
    """Make and model match by folded equality."""
    return [
        group
        for group in rows(case.reference, "vehicle_group")
        if same(cell(group, "make"), cell(case.candidate, "make"))
        and same(cell(group, "model"), cell(case.candidate, "model"))
    ]


def known_texts(case: Case, attribute: str) -> set[str]:
    """Texts that a group of that make and model, itself and its source checked, uses."""
    known: set[str] = set()
    for group in kindred(case):
        spoken = cell(group, attribute)
        if spoken and spoken != "any" and row_checked(group) and source_checked(case, group):
            known |= {fold(word) for word in cell_words(spoken)[1]}
    return known


def text_matches(case: Case, attribute: str, spoken: str) -> Kleene:
    """Another text, or none, is unknown against anything but `any`."""
    said = cell(case.candidate, attribute)
    if said is None or fold(said) not in known_texts(case, attribute):
        return None
    negated, words = cell_words(spoken)
    return (fold(said) in {fold(word) for word in words}) is not negated


def cell_matches(case: Case, group: Row, attribute: str) -> Kleene:
    """An empty group cell is unknown, or any where the row's `otherwise` says so; any is true."""
    spoken = cell(group, attribute)
    if spoken is None:
        return True if cell(group, "otherwise") == "any" else None
    if spoken == "any":
        return True
    if attribute in TEXTS:
        return text_matches(case, attribute, spoken)
    return word_matches(attribute, spoken, cell(case.candidate, attribute))


def span_matches(said: tuple[int, int] | None, first: int | None, last: int | None) -> Kleene:
    """Inside is true, outside is false, across a bound or empty is unknown."""
    if first is None and last is None:
        return True
    if said is None:
        return None
    low = first if first is not None else said[0]
    high = last if last is not None else said[1]
    if low <= said[0] and said[1] <= high:
        return True
    return False if said[1] < low or high < said[0] else None


def year_matches(case: Case, group: Row) -> Kleene:
    said = cell(case.candidate, "model_year")
    span = (int(said), int(said)) if said else None
    bounds = (int(need(group, "model_year_from")), int(need(group, "model_year_to")))
    return span_matches(span, *bounds)


def day(text: str | None) -> int | None:
    return date.fromisoformat(text).toordinal() if text else None


def built_matches(case: Case, group: Row) -> Kleene:
    """A candidate's date or month is an interval; an empty bound is no bound."""
    said, span = cell(case.candidate, "built_on"), None
    if said and len(said) == 7:
        last = calendar.monthrange(int(said[:4]), int(said[5:]))[1]
        first = date.fromisoformat(f"{said}-01").toordinal()
        span = (first, first + last - 1)
    elif said:
        span = (date.fromisoformat(said).toordinal(),) * 2
    return span_matches(span, day(cell(group, "built_from")), day(cell(group, "built_to")))


def unused_options(case: Case) -> list[str]:
    """Listed options that no group of that make and model, itself and its source checked, uses.

    Each may be a misspelling; a group that nobody checked may be misspelt itself.
    """
    used: set[str] = set()
    for group in kindred(case):
        if row_checked(group) and source_checked(case, group):
            used |= {*listed(group, "options_with"), *listed(group, "options_without")}
    return [option for option in listed(case.candidate, "options") if option not in used | {"none"}]


def has_option(case: Case, option: str) -> Kleene:
    """A listed option is there; an unlisted one is absent only if `options_complete = yes`."""
    options = listed(case.candidate, "options")
    if options == ["none"]:
        return False
    if option in options:
        return True
    complete = same(cell(case.candidate, "options_complete"), "yes")
    return False if options and complete and not unused_options(case) else None


def options_match(case: Case, group: Row) -> Kleene:
    """All of options_with, none of options_without; an empty cell is no condition."""
    wanted = [has_option(case, option) for option in listed(group, "options_with")]
    unwanted = [has_option(case, option) for option in listed(group, "options_without")]
    return both([*wanted, *(None if there is None else not there for there in unwanted)])


def further_condition_holds(case: Case, group: Row) -> Kleene:
    """A further_condition is unknown until the candidate's `confirmed` names the group."""
    confirmed = listed(case.candidate, "confirmed")
    if cell(group, "further_condition") and need(group, "vehicle_group_id") not in confirmed:
        return None
    return True


def group_applies(case: Case, group: Row) -> Kleene:
    """A group applies by Kleene AND over all of these: surely, possibly or not."""
    return both(
        [
            year_matches(case, group),
            built_matches(case, group),
            options_match(case, group),
            further_condition_holds(case, group),
            *(cell_matches(case, group, attribute) for attribute in (*WORDS, *TEXTS)),
        ]
    )


# ---------------------------------------------------------------- statements


def row_checked(row: Row) -> bool:
    return cell(row, "checked_by") is not None


def source_of(case: Case, row: Row) -> Row:
    return row_of(case.reference, "source", need(row, "source_id"))


def source_checked(case: Case, row: Row) -> bool:
    return row_checked(source_of(case, row))


def withdrawal(case: Case, row: Row) -> str | None:
    """The day on or before D on which the row's source was withdrawn."""
    on = cell(source_of(case, row), "withdrawn_on")
    return on if on and on <= case.on.isoformat() else None


def in_force(case: Case, row: Row) -> bool:
    """A withdrawal in a source row that nobody has checked cannot loosen."""
    return withdrawal(case, row) is None or not source_checked(case, row)


def is_current(case: Case, statement: Row) -> bool:
    """Four wheels down, purpose recreational or any, source not withdrawn on or before D."""
    return (
        cell(statement, "towing_method") == "four_wheels_down"
        and cell(statement, "purpose") in ("recreational", "any")
        and in_force(case, statement)
    )


def stance(statement: Row) -> str:
    return STANCE[need(statement, "permission")]


def steps_of(case: Case, statement: Row) -> list[Row]:
    """Its steps, and those it has by same_steps_as."""
    steps = rows(case.reference, "procedure_step", eligibility_id=statement["eligibility_id"])
    shared = cell(statement, "same_steps_as")
    if shared:
        steps = [*steps, *rows(case.reference, "procedure_step", eligibility_id=shared)]
    return steps


def fuse_pulls_of(case: Case, step: Row) -> list[Row]:
    return rows(case.reference, "fuse_pull", procedure_step_id=step["procedure_step_id"])


def limits_of(case: Case, statement: Row) -> list[Row]:
    return rows(case.reference, "towing_limit", eligibility_id=statement["eligibility_id"])


def parts_of(case: Case, statement: Row) -> list[Row]:
    """All its limits, steps and fuse pulls."""
    steps = steps_of(case, statement)
    pulls = [pull for step in steps for pull in fuse_pulls_of(case, step)]
    return [*limits_of(case, statement), *steps, *pulls]


def overriders(case: Case, statement: Row) -> list[Row]:
    """Statements that name this one; a silent statement overrides nothing."""
    key = need(statement, "eligibility_id")
    return [
        other
        for other in rows(case.reference, "eligibility")
        if key in listed(other, "overrides") and stance(other) != "silent"
    ]


def needs_a_new_check(case: Case, statement: Row) -> bool:
    """Of a permitting s: t's source was withdrawn, and the earliest check is not later."""
    checks = [cell(row, "checked_on") or "" for row in (statement, *parts_of(case, statement))]
    days = [withdrawal(case, other) for other in overriders(case, statement)]
    return any(withdrawn is not None and min(checks) <= withdrawn for withdrawn in days)


def is_checked(case: Case, statement: Row) -> bool:
    """The row, its group, all its parts are checked, and so is every source that these cite."""
    group = row_of(case.reference, "vehicle_group", cell(statement, "vehicle_group_id"))
    support = [statement, group, *parts_of(case, statement)]
    if not all(row_checked(row) and source_checked(case, row) for row in support):
        return False
    return stance(statement) != "permits" or not needs_a_new_check(case, statement)


def acts(case: Case, other: Row, statement: Row) -> bool:
    """t acts if it is checked, or stricter than s."""
    stricter = STRICTNESS[stance(other)] > STRICTNESS[stance(statement)]
    return stricter or is_checked(case, other)


def applying_overriders(case: Case, statement: Row) -> list[Row]:
    return [
        other
        for other in overriders(case, statement)
        if is_current(case, other)
        and case.applies.get(need(other, "vehicle_group_id"), False) is not False
    ]


def stands(case: Case, statement: Row) -> Kleene:
    """Acting and surely applying: s is out; acting and possibly: possibly, unless both permit."""
    applies = case.applies.get(need(statement, "vehicle_group_id"), False)
    for other in applying_overriders(case, statement):
        if not acts(case, other, statement):
            continue
        if case.applies[need(other, "vehicle_group_id")] is True:
            return False
        if not stance(other) == stance(statement) == "permits":
            applies = both([applies, None])
    return applies


def standing_statements(case: Case) -> list[Row]:
    """Current statements after overrides, sure or possible."""
    found = rows(case.reference, "eligibility")
    keys = {key for key, stands_so in case.standing.items() if stands_so is not False}
    return [statement for statement in found if cell(statement, "eligibility_id") in keys]


# ---------------------------------------------------------------- permission and procedure


def permission(case: Case) -> Check:
    """The first row of the table that fits the current statements after overrides."""
    if not (cell(case.candidate, "make") and cell(case.candidate, "model")):
        return Check("unknown", "depends_on_the_car")
    found = standing_statements(case)
    sure = [s for s in found if case.standing[need(s, "eligibility_id")] is True]
    sure_forbids = [s for s in sure if stance(s) == "forbids"]
    sure_permits = [s for s in sure if stance(s) == "permits"]
    sure_checked_permits = [s for s in sure_permits if is_checked(case, s)]
    stances = {stance(s) for s in found}
    if sure_forbids and not sure_checked_permits:
        return Check("not_met", "forbidden", citations=cite_statements(sure_forbids))
    if sure_checked_permits and not stances & {"forbids", "defers"}:
        return Check("met", "permitted", citations=cite_statements(sure_checked_permits))
    if sure_checked_permits and sure_forbids:
        return Check("unknown", "sources_disagree")
    if sure_checked_permits and "forbids" in stances:
        return Check("unknown", "may_be_forbidden")
    if "defers" in stances:
        return Check("unknown", "ask_the_maker")
    if sure_permits:
        return Check("unknown", "awaits_check")
    if len(found) > len(sure):
        return Check("unknown", "depends_on_the_car")
    return Check("unknown", "manual_is_silent" if "silent" in stances else "nothing_on_record")


def cite_statements(statements: Iterable[Row]) -> tuple[Citation, ...]:
    return tuple(("eligibility", need(s, "eligibility_id")) for s in statements)


def considered(case: Case) -> list[Row]:
    """Permitting statements, sure or possible."""
    return [s for s in standing_statements(case) if stance(s) == "permits"]


def step_fingerprint(case: Case, step: Row) -> tuple[object, ...]:
    """Phase, kind, component, action, target, value, only_when; fuse pulls at their place."""
    value = cell(step, "value")
    pulls = [
        tuple(fold(cell(pull, name) or "") for name in FUSE_FINGERPRINT)
        for pull in fuse_pulls_of(case, step)
    ]
    wording = None
    if cell(step, "kind") == "do" and not cell(step, "target") and not value:
        wording = fold(cell(step, "text") or need(step, "quote"))
    return (
        *(cell(step, name) for name in ("phase", "kind", "component", "action", "target")),
        canonical(value, need(step, "unit")) if value else None,
        fold(cell(step, "only_when") or ""),
        wording,
        tuple(sorted(pulls)),
    )


FUSE_FINGERPRINT = ("action", "device", "panel", "position", "to_position", "restore")


def limit_fingerprint(limit: Row) -> tuple[object, ...]:
    """A limit in canonical units, a pair as its stricter figure."""
    said = tuple(cell(limit, name) for name in ("quantity", "bound", "scope", "stated"))
    if not cell(limit, "value"):
        return (*said, None)
    smaller, larger = pair(limit)
    return (*said, {"at_most": smaller, "at_least": larger}[need(limit, "bound")])


def fingerprint(case: Case, statement: Row) -> tuple[object, ...]:
    """The order of steps, without warnings; limits as sets, alternative numbers being labels."""
    steps = [s for s in steps_of(case, statement) if cell(s, "kind") != "warning"]
    steps.sort(key=lambda s: (PHASES.index(need(s, "phase")), int(need(s, "step_no"))))
    limits: dict[str | None, set[tuple[object, ...]]] = {}
    for limit in limits_of(case, statement):
        limits.setdefault(cell(limit, "alternative_no"), set()).add(limit_fingerprint(limit))
    always = frozenset(limits.pop(None, set()))
    alternatives = frozenset(frozenset(each) for each in limits.values())
    return (tuple(step_fingerprint(case, step) for step in steps), always, alternatives)


def procedure(case: Case, permitted: Check) -> Check:
    """Met if all considered share one fingerprint, or the chosen one is sure and checked."""
    if permitted.outcome != "met":
        return Check("not_applicable", "permission_not_met")
    choices = considered(case)
    chosen = cell(case.candidate, "procedure")
    if chosen is not None:
        return chosen_procedure(case, choices, fold(chosen))
    if len({fingerprint(case, statement) for statement in choices}) == 1:
        return Check("met", "determined", citations=cite_statements(choices))
    return Check("unknown", "procedures_differ")


def chosen_procedure(case: Case, choices: list[Row], chosen: str) -> Check:
    """Met if that one is considered, sure, checked, and no considered statement overrides it."""
    for statement in choices:
        if (
            cell(statement, "eligibility_id") == chosen
            and case.standing[chosen] is True
            and is_checked(case, statement)
            and not any(other in choices for other in overriders(case, statement))
        ):
            return Check("met", "chosen", citations=cite_statements([statement]))
    return Check("unknown", "chosen_not_sure")


# ---------------------------------------------------------------- the car's weights


def vehicle_figures(case: Case, name: str) -> list[Figure]:
    """What groups that apply surely or possibly say; checked = row, group and source checked."""
    found = []
    for row in rows(case.reference, "vehicle_property", property=name):
        group = row_of(case.reference, "vehicle_group", cell(row, "vehicle_group_id"))
        applies = case.applies.get(need(group, "vehicle_group_id"), False)
        if applies is False or not in_force(case, row):
            continue
        checked = all(row_checked(r) and source_checked(case, r) for r in (row, group))
        citation = ("vehicle_property", need(row, "vehicle_property_id"))
        found.append(Figure(*pair(row), checked, (citation,), applies))
    return found


def typed(case: Case, column: str) -> Mass:
    text = cell(case.candidate, column)
    return typed_mass(text, cell(case.candidate, "weight_unit")) if text else None


def load(case: Case) -> Fraction:
    """Load empty = 0."""
    return typed(case, "load") or Fraction(0)


def cited(figures: Iterable[Figure]) -> tuple[Citation, ...]:
    return tuple(citation for figure in figures for citation in figure.citations)


def all_accuse(figures: Sequence[Figure], accuses: Callable[[Figure], bool]) -> bool:
    """One figure accuses, and no checked one excuses: what nobody has checked cannot permit."""
    return any(map(accuses, figures)) and all(accuses(f) for f in figures if f.checked)


def gross_end(case: Case) -> tuple[Mass, tuple[Citation, ...]]:
    """The typed gvwr, else the largest, provided one checked row applies surely.

    Of a typed one that is far off every one on record, and the largest of these, the larger counts.
    """
    own = typed(case, "gvwr")
    figures = vehicle_figures(case, "gvwr")
    heaviest = max((figure.high for figure in figures), default=None)
    is_far_off = is_gross_far_below(case) or is_gross_far_above(case)
    if own is not None and not (is_far_off and heaviest is not None and heaviest > own):
        return own, ()
    if own is None and not any(f.checked and f.applies is True for f in figures):
        return None, ()
    return heaviest, cited(f for f in figures if f.high == heaviest)


def curb_end(case: Case) -> tuple[Mass, tuple[Citation, ...]]:
    """The typed curb weight, else the smallest, provided one applies surely; + load."""
    own = typed(case, "curb_weight")
    if own is not None:
        return own + load(case), ()
    figures = vehicle_figures(case, "curb_weight")
    if not any(figure.applies is True for figure in figures):
        return None, ()
    lightest = min(figure.low for figure in figures)
    return lightest + load(case), cited(f for f in figures if f.low == lightest)


def weights_contradict(case: Case) -> bool:
    """Any curb figure in question + load above any gvwr in question."""
    curbs = [figure.high for figure in vehicle_figures(case, "curb_weight")]
    grosses = [figure.low for figure in vehicle_figures(case, "gvwr")]
    own_curb, own_gross = typed(case, "curb_weight"), typed(case, "gvwr")
    curbs += [own_curb] if own_curb is not None else []
    grosses += [own_gross] if own_gross is not None else []
    return bool(curbs and grosses) and max(curbs) + load(case) > min(grosses)


def is_gross_far_below(case: Case) -> bool:
    """The typed gvwr is below 0.9 times every gvwr on record of what it may be."""
    own = typed(case, "gvwr")
    figures = vehicle_figures(case, "gvwr")
    return own is not None and all_accuse(figures, lambda f: own < FAR_BELOW * f.low)


def is_gross_far_above(case: Case) -> bool:
    """The typed gvwr is above 1.1 times every gvwr on record of what it may be."""
    own = typed(case, "gvwr")
    figures = vehicle_figures(case, "gvwr")
    return own is not None and all_accuse(figures, lambda f: own > FAR_ABOVE * f.high)


def curbs_in_question(case: Case) -> list[Figure]:
    """The typed curb weight, and those on record of what it may be."""
    own = typed(case, "curb_weight")
    figures = vehicle_figures(case, "curb_weight")
    return figures if own is None else [*figures, Figure(own, own, True, ())]


def weighing_contradicted(case: Case) -> bool:
    """As weighed, below 0.9 times every curb weight in question: no car weighs less than empty."""
    weighed = typed(case, "as_weighed")
    if weighed is None:
        return False
    return all_accuse(curbs_in_question(case), lambda f: weighed < FAR_BELOW * f.low)


def weighed_below_curb(case: Case) -> bool:
    """As weighed, below every curb weight in question, and not by so much that it cannot be."""
    weighed = typed(case, "as_weighed")
    if weighed is None or weighing_contradicted(case):
        return False
    return all_accuse(curbs_in_question(case), lambda f: weighed < f.low)


def weighed_above_gross(case: Case) -> bool:
    """As weighed, above the car's own gvwr: the typed one, else the smallest in question."""
    weighed, own = typed(case, "as_weighed"), typed(case, "gvwr")
    grosses = [own] if own is not None else [f.low for f in vehicle_figures(case, "gvwr")]
    return weighed is not None and bool(grosses) and weighed > min(grosses)


def gross_figures_differ(case: Case) -> bool:
    """Typed and recorded gvwr that differ: a caution."""
    own = typed(case, "gvwr")
    figures = vehicle_figures(case, "gvwr")
    return own is not None and any(not f.low <= own <= f.high for f in figures)


def towed_weight(case: Case) -> Weight:
    """As weighed; else from curb weight and load to gvwr; contradicting, both ends unknown."""
    weighed = typed(case, "as_weighed")
    if weighing_contradicted(case):
        return CONTRADICTED
    (gross, gross_rows), (curb, curb_rows) = gross_end(case), curb_end(case)
    if weights_contradict(case):
        gross, curb = None, None
    if case.weigh_by == "gvwr" and gross is not None:
        if weighed is not None and weighed > gross:
            return Weight(weighed, weighed, "as_weighed")
        return Weight(gross, gross, "gvwr", gross_rows, gross_rows)
    if weighed is not None:
        trusted = case.weigh_by != "gvwr"
        return Weight(weighed, weighed if trusted else None, "as_weighed" if trusted else None)
    return Weight(curb, gross, "gvwr" if gross is not None else None, curb_rows, gross_rows)


# ---------------------------------------------------------------- the coach


def coach_rows(case: Case, coach_id: str) -> list[tuple[Row, Figure]]:
    """The figures of a coach of the reference; of a word, nought stands for the figure."""
    coach = row_of(case.reference, "coach", coach_id)
    found = []
    for row in rows(case.reference, "coach_property", coach_id=coach_id):
        dimension = units()[need(row, "unit")][0] if cell(row, "unit") else None
        if in_force(case, row) and (dimension == "mass" or cell(row, "word") == "none_stated"):
            checked = all(row_checked(r) and source_checked(case, r) for r in (row, coach))
            span = pair(row) if dimension else (Fraction(0), Fraction(0))
            citation = ("coach_property", need(row, "coach_property_id"))
            found.append((row, Figure(*span, checked, (citation,))))
    return found


def typed_rows(coach: CoachFile) -> list[tuple[Row, Figure]]:
    """A figure typed in a coach file counts as checked, and is cited as `coach_file`."""
    found: list[tuple[Row, Figure]] = []
    for name, entries in coach.items():
        for entry in entries:
            value = need(entry, "value")
            word = "none_stated" if fold(value).replace("_", " ") == "none stated" else None
            mass = Fraction(0) if word else typed_mass(value, None)
            row = {"property": name, "word": word}
            found.append((row, Figure(mass, mass, True, (("coach_file", name),))))
    return found


def read_coach(case: Case, coach: CoachFile | str) -> Coach:
    """Its figures by property, and what they say together."""
    stated = coach_rows(case, coach) if isinstance(coach, str) else typed_rows(coach)
    figures: dict[str, tuple[Figure, ...]] = {}
    for row, figure in stated:
        if not cell(row, "word"):
            name = need(row, "property")
            figures[name] = (*figures.get(name, ()), figure)
    none_stated = tuple(figure for row, figure in stated if cell(row, "word"))
    return judged_coach(figures, none_stated, case.weigh_by)


def judged_coach(figures: CoachFigures, none_stated: tuple[Figure, ...], weigh_by: str) -> Coach:
    """What it weighs loaded, and what it can pull."""
    weighed = weighed_coach(figures)
    contradicts = coach_contradicted(figures)
    loaded = CONTRADICTED if contradicts else coach_loaded(figures, weighed, weigh_by)
    known = Coach(
        figures,
        none_stated,
        weighed if weighed.high is not None and not contradicts else None,
        loaded,
        cautions=coach_cautions(figures),
        not_judged=axles_not_judged(figures),
    )
    capacity, governing = smallest(sure_capacities(known))
    at_most, at_most_check = smallest(possible_capacities(known))
    if coach_gross(known).outcome == "not_met":  # it pulls nothing while it is overloaded
        capacity, governing = Fraction(0), "coach_gross"
        at_most, at_most_check = capacity, governing
    return replace(
        known,
        capacity=capacity,
        governing_check=governing,
        capacity_at_most=at_most,
        at_most_check=at_most_check,
    )


def rating(coach: Coach, name: str) -> Rating | None:
    """Of several figures of one rating the smallest counts; of a pair, the smaller."""
    figures = coach.figures.get(name, ())
    if not figures:
        return None
    limit = min(figure.low for figure in figures)
    counting = [figure for figure in figures if figure.low == limit]
    return Rating(limit, any(figure.checked for figure in counting), cited(counting))


def largest(figures: Sequence[Figure]) -> Weight:
    """Of one weight the largest counts; an unchecked weight gives a low end only."""
    if not figures:
        return Weight()
    low, high = max(f.low for f in figures), max(f.high for f in figures)
    heaviest = [f for f in figures if f.high == high]
    checked = any(f.checked for f in heaviest)
    low_rows = cited(f for f in figures if f.low == low)
    return Weight(low, high if checked else None, None, low_rows, cited(heaviest))


def sums(figures: CoachFigures, one: str, other: str) -> list[Figure]:
    """Every sum of two weights; checked where both are."""
    return [
        Figure(a.low + b.low, a.high + b.high, a.checked and b.checked, a.citations + b.citations)
        for a in figures.get(one, ())
        for b in figures.get(other, ())
    ]


def heavier_parts(figures: CoachFigures) -> list[Figure]:
    """Weighings with less aboard that are above the loaded one: the larger is what it weighs.

    Beside a loaded weight that nobody checked, none of them is a checked loaded weight.
    """
    loaded = figures.get("loaded_weight", ())
    known = [f for f in loaded if f.checked]
    counting = largest(known or loaded)
    if counting.low is None:
        return []
    most = max(f.high for f in known or loaded)
    return [
        replace(part, checked=part.checked and bool(known))
        for part in figures.get("part_loaded_weight", ())
        if part.low > counting.low or part.high > most
    ]


def whole_tickets(figures: CoachFigures) -> list[Figure]:
    """`loaded_weight`, `part_loaded_weight + still_to_add`, and parts above the loaded weight."""
    found = list(figures.get("loaded_weight", ()))
    return found + sums(figures, "part_loaded_weight", "still_to_add") + heavier_parts(figures)


def are_apart(one: Sequence[Figure], other: Figure) -> bool:
    """By more than 2 % of the larger, where their nearest ends are."""
    low, high = max(f.low for f in one), max(f.high for f in one)
    if other.low > high:
        return other.low - high > SCALES_DIFFER * other.low
    return low - other.high > SCALES_DIFFER * low


def axle_sums(figures: CoachFigures) -> list[Figure]:
    """Both axles together: a weight where no checked ticket of the whole is, or far from it."""
    whole = [ticket for ticket in whole_tickets(figures) if ticket.checked]
    both_axles = sums(figures, AXLES[0][0], AXLES[1][0])
    counting = [largest_figure(both_axles, checked) for checked in (True, False)]
    return [f for f in counting if f is not None and (not whole or are_apart(whole, f))]


def largest_figure(figures: Sequence[Figure], checked: bool) -> Figure | None:
    """Of the checked, or of the unchecked, the largest, end by end."""
    alike = [figure for figure in figures if figure.checked is checked]
    if not alike:
        return None
    low, high = max(f.low for f in alike), max(f.high for f in alike)
    rows_ = cited(f for f in alike if f.high == high)
    return Figure(low, high, checked, rows_)


def coach_tickets(figures: CoachFigures) -> list[Figure]:
    """What may be what it weighs loaded."""
    return [*whole_tickets(figures), *axle_sums(figures)]


def weighed_coach(figures: CoachFigures) -> Weight:
    """The larger where several are given."""
    return largest(coach_tickets(figures))


def coach_contradicted(figures: CoachFigures) -> bool:
    """Loaded below what it weighs empty, or below half of its gvwr (common practice, no source)."""
    least = [f.low for f in figures.get("unloaded_weight", ())]
    least += [f.low / 2 for f in figures.get("gvwr", ())]
    return bool(least) and all_accuse(coach_tickets(figures), lambda f: f.high < max(least))


def coach_cautions(figures: CoachFigures) -> frozenset[str]:
    """Weighings of one coach that do not fit each other."""
    found = {"part_above_loaded"} if heavier_parts(figures) else set()
    if whole_tickets(figures) and any(
        are_apart(whole_tickets(figures), both_axles) for both_axles in axle_sums(figures)
    ):
        found.add("axles_differ")
    return frozenset(found | ({"coach_contradicts"} if coach_contradicted(figures) else set()))


def axles_not_judged(figures: CoachFigures) -> frozenset[str]:
    """A ticket of an axle without its rating, or a rating without its ticket."""
    return frozenset(
        there
        for one, other in AXLES
        for there, absent in ((one, other), (other, one))
        if figures.get(there) and not figures.get(absent)
    )


def ticket_above(figures: CoachFigures, gross: Mass) -> bool:
    """An unchecked ticket of two units may say too much: it cannot permit, but it can forbid."""
    return gross is not None and any(f.high > gross for f in coach_tickets(figures))


def coach_low_end(figures: CoachFigures, weighed: Weight) -> Weight:
    """Low = part_loaded_weight, else unloaded_weight, else none; unchecked ones may only raise."""
    part, unloaded = figures.get("part_loaded_weight", ()), figures.get("unloaded_weight", ())
    known = part if any(f.checked for f in part) else (*part, *unloaded)
    ends = [end for end in (weighed, largest(known)) if end.low is not None]
    return max(ends, key=lambda end: end.low or Fraction(0), default=Weight())


def coach_gross_end(figures: CoachFigures) -> tuple[Mass, tuple[Citation, ...]]:
    """The most that gvwr lets it weigh; unchecked rows can raise this end, never give it."""
    gross = figures.get("gvwr", ())
    if not any(figure.checked for figure in gross):
        return None, ()
    heaviest = max(figure.high for figure in gross)
    return heaviest, cited(f for f in gross if f.high == heaviest)


def coach_loaded(figures: CoachFigures, weighed: Weight, weigh_by: str) -> Weight:
    """What was weighed gives low = high; else high = gvwr. Low above high: no high end."""
    gross, gross_rows = coach_gross_end(figures)
    exact = weighed.high is not None
    end = weighed if exact else coach_low_end(figures, weighed)
    if exact and weigh_by != "gvwr":
        return weighed
    if exact and gross is not None and weighed.high is not None and weighed.high > gross:
        return Weight(weighed.high, weighed.high, None, weighed.high_rows, weighed.high_rows)
    too_low = not exact and end.low is not None and gross is not None and end.low > gross
    if gross is None or too_low or (not exact and ticket_above(figures, gross)):
        return Weight(end.low, None, None, end.low_rows)
    if weigh_by == "gvwr":
        return Weight(gross, gross, None, gross_rows, gross_rows)
    return Weight(end.low, gross, None, end.low_rows, gross_rows)


def towing_capacity_not_stated(coach: Coach) -> bool:
    """Not applicable on `none stated`; a figure beside it governs; unchecked it may not loosen."""
    stated = any(figure.checked for figure in coach.none_stated)
    return stated and rating(coach, "towing_capacity") is None


def sure_capacities(coach: Coach) -> list[tuple[str, Mass]]:
    """hitch_receiver, gcwr - loaded (high), towing_capacity; None is unknown."""
    plate, modeless = (
        rating(coach, "hitch_receiver"),
        rating(coach, "hitch_receiver_mode_not_printed"),
    )
    gcwr, stated = rating(coach, "gcwr"), rating(coach, "towing_capacity")
    high = coach.loaded.high
    limits: list[tuple[str, Mass]] = [("hitch_receiver", None), ("combination_rating", None)]
    if plate and plate.checked:
        limits[0] = ("hitch_receiver", min(r.limit for r in (plate, modeless) if r))
    if gcwr and gcwr.checked and high is not None:
        limits[1] = ("combination_rating", gcwr.limit - high)
    if not towing_capacity_not_stated(coach):
        limit = stated.limit if stated and stated.checked else None
        limits.append(("towing_capacity", limit))
    return limits


def possible_capacities(coach: Coach) -> list[tuple[str, Mass]]:
    """The same from the known ones with the coach's low end, mode-less figures included."""
    limits: list[tuple[str, Mass]] = []
    for check, name in (
        ("hitch_receiver", "hitch_receiver"),
        ("hitch_receiver", "hitch_receiver_mode_not_printed"),
        ("combination_rating", "gcwr"),
        ("towing_capacity", "towing_capacity"),
    ):
        known = rating(coach, name)
        if known:
            less = coach.loaded.low or Fraction(0) if name == "gcwr" else Fraction(0)
            limits.append((check, known.limit - less))
    return limits


def smallest(limits: list[tuple[str, Mass]]) -> tuple[Mass, str | None]:
    """With the check that governs, ties in their order; None while one is unknown."""
    known = [(limit, check) for check, limit in limits if limit is not None]
    if not known or len(known) < len(limits):
        return None, None
    return min(known, key=lambda each: each[0])


# ---------------------------------------------------------------- the five weight checks


def compare(
    weight: Weight, limit: Rating | None, missing: str, no_end: bool | None = None
) -> Check:
    """Met if the worst case passes, not_met if the best case fails, else unknown."""
    low, high = weight.low, weight.high
    if limit is None:
        return Check("unknown", missing)
    if low is not None and low > limit.limit:
        rests_on = (*limit.citations, *weight.low_rows)
        return Check("not_met", "over", low, limit.limit, limit.limit - low, rests_on)
    if not limit.checked:
        return Check("unknown", missing)
    if high is not None and high <= limit.limit:
        rests_on = (*limit.citations, *weight.high_rows)
        return Check("met", "within", high, limit.limit, limit.limit - high, rests_on)
    if weight.contradicts:
        return Check("unknown", "weights_contradict")
    unknown = no_end if no_end is not None else low is None and high is None
    return Check("unknown", "weight_unknown" if unknown else "depends_on_the_weight")


def hitch_receiver(towed: Weight, coach: Coach) -> Check:
    """A figure whose mode is not printed can give not_met, never met; beside another, both."""
    plate = rating(coach, "hitch_receiver")
    modeless = rating(coach, "hitch_receiver_mode_not_printed")
    if modeless is None:
        return compare(towed, plate, "rating_missing")
    if plate is None:
        never_met = Rating(modeless.limit, False, modeless.citations)
        return compare(towed, never_met, "mode_not_printed")
    tighter = min(plate, modeless, key=lambda each: each.limit)
    both_rows = (*plate.citations, *modeless.citations)
    return compare(towed, Rating(tighter.limit, plate.checked, both_rows), "rating_missing")


def combination_rating(towed: Weight, coach: Coach) -> Check:
    """Towed + coach loaded <= gcwr; a sum lacking a high end is unknown, a missing low end is 0."""
    loaded = coach.loaded
    zero = Fraction(0)
    high = None
    if towed.high is not None and loaded.high is not None:
        high = towed.high + loaded.high
    total = Weight(
        (towed.low or zero) + (loaded.low or zero),
        high,
        None,
        (*towed.low_rows, *loaded.low_rows),
        (*towed.high_rows, *loaded.high_rows),
        towed.contradicts or loaded.contradicts,
    )
    no_end = any(each.low is None and each.high is None for each in (towed, loaded))
    return compare(total, rating(coach, "gcwr"), "rating_missing", no_end)


def towing_capacity(towed: Weight, coach: Coach) -> Check:
    if towing_capacity_not_stated(coach):
        return Check("not_applicable", "none_stated")
    return compare(towed, rating(coach, "towing_capacity"), "rating_missing")


def coach_gross(coach: Coach) -> Check:
    """The whole against its gvwr, and each axle against its rating; the worst of these.

    Of what is over, the smallest margin; the whole before the front axle before the rear one.
    """
    whole = whole_gross(coach)
    axles = [axle for names in AXLES if (axle := axle_gross(coach, *names)) is not None]
    over = [check for check in (whole, *axles) if check.outcome == "not_met"]
    if over:
        return min(over, key=lambda check: check.margin or Fraction(0))
    is_axle_open = any(check.outcome == "unknown" for check in axles)
    if is_axle_open and whole.outcome in ("met", "not_applicable"):
        return Check("unknown", "depends_on_the_weight")
    return whole


def axle_gross(coach: Coach, weight: str, rated: str) -> Check | None:
    """An axle can only fail: over where a checked ticket surely is, open where one may be.

    Any rating may forbid; a ticket that nobody checked leaves it open.
    """
    tickets, limit = coach.figures.get(weight, ()), rating(coach, rated)
    if not tickets or limit is None:
        return None
    known = [ticket.low for ticket in tickets if ticket.checked]
    heaviest = max(known, default=None)
    if heaviest is not None and heaviest > limit.limit:
        rests_on = (*limit.citations, *cited(f for f in tickets if f.checked and f.low == heaviest))
        margin = limit.limit - heaviest
        return Check("not_met", "axle_over", heaviest, limit.limit, margin, rests_on)
    if any(ticket.high > limit.limit for ticket in tickets):
        return Check("unknown", "depends_on_the_weight")
    return None


def whole_gross(coach: Coach) -> Check:
    """Where loaded is exact; gvwr absent = unknown, weighed or not; low above gvwr = not_met.

    A ticket whose heavier unit is above gvwr leaves it open, whether checked or not.
    """
    gvwr = rating(coach, "gvwr")
    if coach.loaded.contradicts:
        return compare(coach.loaded, gvwr, "gvwr_not_known")
    if coach.weighed is not None:
        return compare(coach.weighed, gvwr, "gvwr_not_known")
    low_end = coach_low_end(coach.figures, weighed_coach(coach.figures))
    low_only = Weight(low_end.low, None, None, low_end.low_rows)
    found = compare(low_only, gvwr, "gvwr_not_known")
    if found.reason in ("over", "gvwr_not_known"):
        return found
    if gvwr is not None and ticket_above(coach.figures, gvwr.limit):
        return Check("unknown", "depends_on_the_weight")
    return Check("not_applicable", "not_weighed")


def towed_gross(case: Case) -> Check:
    """As weighed <= the typed gvwr, else the smallest; above the largest, one surely = not_met."""
    weighed, own = typed(case, "as_weighed"), typed(case, "gvwr")
    if weighed is None:
        return Check("not_applicable", "not_weighed")
    exact = CONTRADICTED if weighing_contradicted(case) else Weight(weighed, weighed)
    if own is not None:
        return compare(exact, Rating(own, True, ()), "gvwr_not_known")
    figures = vehicle_figures(case, "gvwr")
    if not any(f.applies is True for f in figures):
        return Check("unknown", "gvwr_not_known")
    least, most = min(f.low for f in figures), max(f.low for f in figures)
    is_known = any(f.checked and f.applies is True for f in figures)
    if exact.contradicts:
        return compare(exact, Rating(least, is_known, ()), "gvwr_not_known")
    if weighed > most:
        rows_ = cited(f for f in figures if f.low == most)
        return compare(exact, Rating(most, False, rows_), "gvwr_not_known")
    if weighed > least or not is_known:
        return Check("unknown", "gvwr_not_known")
    rows_ = cited(f for f in figures if f.low == least)
    return compare(exact, Rating(least, True, rows_), "gvwr_not_known")


# ---------------------------------------------------------------- verdict and what governs


def verdict(checks: Mapping[str, Check]) -> str:
    """Kleene AND over the applicable checks."""
    values = {"met": True, "not_met": False, "unknown": None}
    applicable = [values[c.outcome] for c in checks.values() if c.outcome in values]
    return {True: "suitable", False: "not_suitable", None: "undetermined"}[both(applicable)]


def governing_check(checks: Mapping[str, Check]) -> str:
    """Among not_met permission, then the smallest margin; else the first unknown; else capacity."""

    def tightest(names: list[str]) -> str:
        return min(names, key=lambda name: checks[name].margin or Fraction(0))

    failed = [name for name in CHECKS if checks[name].outcome == "not_met"]
    if "permission" in failed:
        return "permission"
    if failed:
        return tightest(failed)
    unknown = [name for name in CHECKS if checks[name].outcome == "unknown"]
    if unknown:
        return unknown[0]
    return tightest([name for name in CAPACITY_CHECKS if checks[name].outcome == "met"])


# ---------------------------------------------------------------- remarks


def emergency_remarks(case: Case) -> set[Remark]:
    """Emergency statements are shown as remarks and decide nothing."""
    return {
        ("emergency", need(s, "eligibility_id"))
        for s in rows(case.reference, "eligibility", towing_method="four_wheels_down")
        if cell(s, "purpose") == "emergency"
        and in_force(case, s)
        and case.applies.get(need(s, "vehicle_group_id"), False) is not False
    }


def override_remarks(case: Case) -> set[Remark]:
    """Not acting: s stands, with a remark."""
    return {
        ("override_not_acting", need(other, "eligibility_id"), need(s, "eligibility_id"))
        for s in standing_statements(case)
        for other in applying_overriders(case, s)
        if not acts(case, other, s)
    }


def unchecked_remarks(case: Case, permitted: Check) -> set[Remark]:
    """Unchecked rows that say otherwise than a decided permission."""
    said = {"met": "permits", "not_met": "forbids"}.get(permitted.outcome)
    return {
        ("unchecked_says_otherwise", need(s, "eligibility_id"))
        for s in standing_statements(case)
        if said and stance(s) not in (said, "silent") and not is_checked(case, s)
    }


def support(case: Case, citation: Citation) -> list[tuple[str, Row]]:
    """The rows on which a cited one rests: itself, its group or coach, its parts, their sources."""
    table, key = citation
    if table == "coach_file":
        return []
    row = row_of(case.reference, table, key)
    found = [(table, row)]
    for parent in ("vehicle_group", "coach"):
        if cell(row, f"{parent}_id"):
            found.append((parent, row_of(case.reference, parent, cell(row, f"{parent}_id"))))
    if table == "eligibility":
        steps = steps_of(case, row)
        found += [("towing_limit", limit) for limit in limits_of(case, row)]
        found += [("procedure_step", step) for step in steps]
        found += [("fuse_pull", pull) for s in steps for pull in fuse_pulls_of(case, s)]
    return [*found, *(("source", source_of(case, each)) for _, each in found)]


def begun_model(case: Case) -> str | None:
    """The longest model on record of that make with which a model on no page begins.

    A blank or a mark behind it, and something more: "Pika Trail 2019", never "Pikara".
    """
    make, model = cell(case.candidate, "make"), cell(case.candidate, "model")
    if make is None or model is None or kindred(case):
        return None
    of_make = [g for g in rows(case.reference, "vehicle_group") if same(cell(g, "make"), make)]
    found = []
    for name in sorted(need(group, "model") for group in of_make):
        head, rest = fold(model)[: len(fold(name))], fold(model)[len(fold(name)) :]
        if head == fold(name) and rest and not rest[0].isalnum() and any(map(str.isalnum, rest)):
            found.append(name)
    return max(found, key=lambda name: len(fold(name)), default=None)


# 49 CFR 565.15(d), Table VII: the codes of model years in their order, those from 1980 on first.
VIN_YEARS = "ABCDEFGHJKLMNPRSTVWXY123456789"
VIN_LETTERS = frozenset("ABCDEFGHJKLMNPRSTUVWXYZ0123456789")


def vin_against_the_year(case: Case) -> Remark | None:
    """What a VIN says of the model year, where it is not what the row says.

    49 CFR 565.15(b): up to 10,000 lb of gross rating a letter at place 7 means a year from 2010 on.
    A heavier car's code may mean either of two years; of an unknown rating it counts as light.
    """
    vin, year = (cell(case.candidate, "vin") or "").upper(), cell(case.candidate, "model_year")
    if len(vin) != 17 or set(vin) - VIN_LETTERS or (year and int(year) < 1981):
        return None
    if vin[9] not in VIN_YEARS:
        return ("vin_without_year",)
    first = 1980 + VIN_YEARS.index(vin[9])
    gross = typed(case, "gvwr")
    if gross is not None and gross > canonical("4536", "kg")[1]:
        may, told = {first, first + 30}, f"{first} or {first + 30}"
    else:
        likely = first if vin[6].isdigit() else first + 30
        may, told = {likely}, str(likely)
    return ("vin_of_another_year", told) if year and int(year) not in may else None


def name_remarks(case: Case) -> set[Remark]:
    """What name and VIN of a car say, and decide nothing by."""
    begun, vin = begun_model(case), vin_against_the_year(case)
    return ({("model_and_more", begun)} if begun else set()) | ({vin} if vin else set())


def self_check_remarks(case: Case, checks: Mapping[str, Check]) -> set[Remark]:
    """Every result that rests on a self-check says so."""
    return {
        ("self_checked", table, need(row, f"{table}_id"))
        for check in checks.values()
        for citation in check.citations
        for table, row in support(case, citation)
        if same(cell(row, "checked_by"), cell(row, "entered_by"))
    }


def cautions(case: Case) -> frozenset[str]:
    """What the figures of a car say against each other, and decide nothing by."""
    weighed = typed(case, "as_weighed") is not None and case.weigh_by != "gvwr"
    found = {
        "gvwr_differs": gross_figures_differ(case),
        "gvwr_far": is_gross_far_below(case) or is_gross_far_above(case),
        "weights_contradict": weights_contradict(case) and not weighed,
        "weighing_contradicted": weighing_contradicted(case),
        "weighed_below_curb": weighed_below_curb(case),
        "weighed_above_gross": weighed_above_gross(case),
    }
    return frozenset(name for name, holds in found.items() if holds)


# ---------------------------------------------------------------- all of it


def open_case(reference: Reference, candidate: Row, on: date, weigh_by: str) -> Case:
    """Which groups apply, and which current statements stand."""
    case = Case(reference, candidate, on, weigh_by)
    for group in kindred(case):
        case.applies[need(group, "vehicle_group_id")] = group_applies(case, group)
    for statement in rows(reference, "eligibility"):
        group_id = need(statement, "vehicle_group_id")
        if is_current(case, statement) and case.applies.get(group_id, False) is not False:
            case.standing[need(statement, "eligibility_id")] = stands(case, statement)
    return case


def answer(case: Case, coach: Coach) -> Answer:
    """Seven checks, the verdict and what governs it."""
    towed = towed_weight(case)
    permitted = permission(case)
    checks = {
        "permission": permitted,
        "procedure": procedure(case, permitted),
        "hitch_receiver": hitch_receiver(towed, coach),
        "combination_rating": combination_rating(towed, coach),
        "towing_capacity": towing_capacity(towed, coach),
        "coach_gross": coach_gross(coach),
        "towed_gross": towed_gross(case),
    }
    governing = governing_check(checks)
    remarks = (
        emergency_remarks(case)
        | override_remarks(case)
        | unchecked_remarks(case, permitted)
        | self_check_remarks(case, checks)
        | name_remarks(case)
        | {("option_not_known", option) for option in unused_options(case)}
    )
    return Answer(
        candidate=cell(case.candidate, "candidate"),
        verdict=verdict(checks),
        checks=checks,
        governing_check=governing,
        margin=checks[governing].margin,
        towed=towed,
        considered=tuple(need(s, "eligibility_id") for s in considered(case)),
        cautions=cautions(case),
        remarks=frozenset(remarks),
        applies=case.applies,
        standing=case.standing,
    )


def screen(
    reference: Reference,
    candidates: Sequence[Row],
    coach: CoachFile | str,
    on: date,
    weigh_by: str = "best_known",
) -> Screening:
    """Candidates against one coach: a coach file's figures, or a coach_id of the reference."""
    known = read_coach(Case(reference, {}, on, weigh_by), coach)
    cases = [open_case(reference, candidate, on, weigh_by) for candidate in candidates]
    return Screening(known, tuple(answer(case, known) for case in cases))
