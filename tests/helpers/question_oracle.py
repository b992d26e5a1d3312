"""A slow, obvious asker: what is still to find out about a car, a sentence at a time.

In comes a car and a coach for which the oracle of verdicts says `undetermined`; out comes each
question, with the verdict that each answer would bring: that of the same car with the answer
written into its row. It shares no code with the engine. Answers read as a person would read them.
"""

from __future__ import annotations

import calendar
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from functools import cached_property
from itertools import product

from tests.helpers import oracle
from tests.helpers.oracle import Row, cell, fold, listed, need

ANOTHER, NONE_OF_THESE = "(another)", "(none of these)"
TOGETHER = "all_together"
POUND = Fraction("0.45359237")  # kg: units.csv, from NIST Handbook 44, App. C
LEAST = 100 * POUND  # fields.toml: below it no weight of a whole vehicle is believed
A_DAY = timedelta(days=1)

Answers = dict[str, str]  # how an answer reads -> the verdict that it brings
Cells = Mapping[str, str]  # what an answer writes into the car's row
Span = tuple[date, date]  # first and last day


@dataclass(frozen=True)
class Car:
    """One undetermined car behind one coach."""

    reference: oracle.Reference
    row: Row
    coach: oracle.Coach
    on: date
    weigh_by: str = "best_known"

    @cached_property
    def case(self) -> oracle.Case:
        return oracle.open_case(self.reference, self.row, self.on, self.weigh_by)

    @cached_property
    def checks(self) -> Mapping[str, oracle.Check]:
        return oracle.answer(self.case, self.coach).checks

    def verdict_loaded(self, pounds: str) -> str:
        """What the verdict would be with this as the one loaded weight of the coach."""
        weight = oracle.typed_mass(pounds, "lb")
        figures = {
            **self.coach.figures,
            "loaded_weight": (oracle.Figure(weight, weight, True, ()),),
        }
        coach = oracle.judged_coach(figures, self.coach.none_stated, self.weigh_by)
        return oracle.answer(self.case, coach).verdict

    def verdict_with(self, cells: Cells) -> str:
        """What the verdict would be with these cells typed."""
        typed = oracle.open_case(self.reference, {**self.row, **cells}, self.on, self.weigh_by)
        return oracle.answer(typed, self.coach).verdict

    @cached_property
    def possible_groups(self) -> list[Row]:
        """Groups to which it may belong, of which a current statement speaks."""
        spoken_of = {
            cell(statement, "vehicle_group_id")
            for statement in oracle.rows(self.reference, "eligibility")
            if oracle.is_current(self.case, statement)
        }
        return [
            group
            for group in oracle.kindred(self.case)
            if self.case.applies[need(group, "vehicle_group_id")] is None
            and cell(group, "vehicle_group_id") in spoken_of
        ]


def questions(car: Car) -> dict[str, Answers]:
    """Every question, by what it is about; those that nothing in the car's row answers have {}."""
    found = of_the_car(car)
    asked_of_the_car = bool(found)
    found |= {"procedure": answers} if (answers := procedures(car)) else {}
    if is_weight_open(car) and cell(car.row, "as_weighed") is None:
        found["as_weighed"] = weights(car)
    if is_car_to_be_weighed_again(car):
        found["as_weighed"] = {}
    for about in elsewhere(car, asked_of_the_car):
        found.setdefault(about, {})  # figures that would answer it, once they are to be compared
    if not any(is_decisive(answers) for answers in found.values()) and is_whole_suitable(car):
        found[TOGETHER] = {}
    return found


def of_the_car(car: Car) -> dict[str, Answers]:
    """Questions on which version of the car it is."""
    found = {attribute: words(car, attribute) for attribute in (*oracle.WORDS, *oracle.TEXTS)}
    found["model_year"] = years(car)
    found["built_on"] = builds(car)
    found["options"] = options(car)
    found["confirmed"] = conditions(car)
    return {about: answers for about, answers in found.items() if answers}


def is_decisive(answers: Answers) -> bool:
    """Whether one of the answers would make the car suitable."""
    return "suitable" in answers.values()


def common(verdicts: Iterable[str]) -> str:
    """What all of them say; where they differ, nobody knows yet."""
    seen = set(verdicts)
    return seen.pop() if len(seen) == 1 else "undetermined"


# ---------------------------------------------------------------- words


def open_cells(car: Car, attribute: str) -> list[str]:
    """What possible groups say of an attribute, where the car's own word leaves it open."""
    return [
        need(group, attribute)
        for group in car.possible_groups
        if cell(group, attribute) and oracle.cell_matches(car.case, group, attribute) is None
    ]


def named(attribute: str, spoken: str) -> set[str]:
    """The leaves, or texts, that a cell names, under `not` too."""
    words_ = oracle.cell_words(spoken)[1]
    if attribute in oracle.TEXTS:
        return {fold(word) for word in words_}
    return {leaf for word in words_ for leaf in oracle.leaves(attribute, word)}


def may_be(car: Car, attribute: str) -> frozenset[str]:
    """The leaves that the car's word leaves open."""
    said = cell(car.row, attribute)
    if said is None:
        return oracle.all_leaves(attribute)
    return oracle.leaves(attribute, fold(said).replace("-", "_").replace(" ", "_"))


def words(car: Car, attribute: str) -> Answers:
    """Each leaf or text that the open cells name, and one that none of them names."""
    cells = open_cells(car, attribute)
    if not cells:
        return {}
    told = set().union(*(named(attribute, spoken) for spoken in cells))
    if attribute in oracle.TEXTS:
        others: Sequence[str] = ["a text that nobody has heard of"]
    else:
        told &= may_be(car, attribute)
        others = told_apart(car, attribute, may_be(car, attribute) - told)
    answers = {word: car.verdict_with({attribute: word}) for word in told}
    if others:
        answers[ANOTHER] = common(car.verdict_with({attribute: word}) for word in others)
    return answers


def told_apart(car: Car, attribute: str, leaves: Iterable[str]) -> list[str]:
    """One of each kind of leaves that no group of this make and model tells apart."""
    cells = {cell(group, attribute) for group in oracle.kindred(car.case)} - {None, "any"}
    told = [named(attribute, spoken) for spoken in cells if spoken]
    kinds = {}
    for leaf in sorted(leaves):
        kinds[tuple(leaf in each for each in told)] = leaf
    return list(kinds.values())


# ---------------------------------------------------------------- year, build, options, conditions


def years(car: Car) -> Answers:
    """All years of the groups that may apply, where the car has none."""
    if cell(car.row, "model_year"):
        return {}
    spoken = {year for group in car.possible_groups for year in years_of(group)}
    return {str(year): car.verdict_with({"model_year": str(year)}) for year in spoken}


def years_of(group: Row) -> range:
    return range(int(need(group, "model_year_from")), int(need(group, "model_year_to")) + 1)


def builds(car: Car) -> Answers:
    """Each span between two bounds of this make and model that the car's date leaves open."""
    if not any(oracle.built_matches(car.case, group) is None for group in car.possible_groups):
        return {}
    answers = {}
    for first, last in build_spans(car):
        text = f"{first} to {last}"
        text = f"before {last + A_DAY}" if first == date.min else text
        text = f"{first} or later" if last == date.max else text
        inside = first if first != date.min else last
        answers[text] = car.verdict_with({"built_on": str(inside)})
    return answers


def build_spans(car: Car) -> list[Span]:
    """The spans in which no bound of this make and model lies, as far as the car may be of them."""
    firsts = {date.min}
    for group in oracle.kindred(car.case):
        start, end = cell(group, "built_from"), cell(group, "built_to")
        firsts |= {date.fromisoformat(start)} if start else set()
        firsts |= {date.fromisoformat(end) + A_DAY} if end else set()
    ordered = sorted(firsts)
    lasts = [*(first - A_DAY for first in ordered[1:]), date.max]
    earliest, latest = built(car.row)
    spans = zip(ordered, lasts, strict=True)
    return [(first, last) for first, last in spans if first <= latest and earliest <= last]


def built(row: Row) -> Span:
    """The first and the last day on which the car may have been built."""
    said = cell(row, "built_on")
    if said is None:
        return date.min, date.max
    if len(said) == 7:
        year, month = int(said[:4]), int(said[5:])
        return date(year, month, 1), date(year, month, calendar.monthrange(year, month)[1])
    return date.fromisoformat(said), date.fromisoformat(said)


def with_options(car: Car, *more: str) -> str:
    """The cell of options with some more of them."""
    return ", ".join([*(o for o in listed(car.row, "options") if o != "none"), *more])


def options(car: Car) -> Answers:
    """Each option that a possible group names and the car does not tell; or none of them."""
    unknown = {
        option
        for group in car.possible_groups
        for option in (*listed(group, "options_with"), *listed(group, "options_without"))
        if oracle.has_option(car.case, option) is None
    }
    if not unknown:
        return {}
    answers = {o: car.verdict_with({"options": with_options(car, o)}) for o in unknown}
    complete = {"options": with_options(car) or "none", "options_complete": "yes"}
    return {**answers, NONE_OF_THESE: car.verdict_with(complete)}


def with_confirmed(car: Car, group: Row) -> str:
    """The cell of confirmed groups with one more."""
    return ", ".join([*listed(car.row, "confirmed"), need(group, "vehicle_group_id")])


def conditions(car: Car) -> Answers:
    """Each possible group with a further condition that nobody has seen to hold for this car."""
    return {
        need(group, "vehicle_group_id"): car.verdict_with({"confirmed": with_confirmed(car, group)})
        for group in car.possible_groups
        if oracle.further_condition_holds(car.case, group) is None
    }


# ---------------------------------------------------------------- procedure and weights


def procedures(car: Car) -> Answers:
    """Each permitting statement in question, where it is open which one will be followed."""
    if car.checks["procedure"].outcome != "unknown":
        return {}
    keys = [need(statement, "eligibility_id") for statement in oracle.considered(car.case)]
    return {key: car.verdict_with({"procedure": key}) for key in keys}


OPEN = ("depends_on_the_weight", "weight_unknown")


def is_weight_open(car: Car) -> bool:
    """Whether a limit depends on what car or coach weigh."""
    return any(car.checks[name].reason in OPEN for name in oracle.CAPACITY_CHECKS)


def is_car_to_be_weighed_again(car: Car) -> bool:
    """Whether its weighing is the one that cannot be, and a check needs it."""
    reasons = {check.reason for check in car.checks.values()}
    return "weights_contradict" in reasons and oracle.weighing_contradicted(car.case)


def weights(car: Car) -> Answers:
    """The most that it may weigh, to 0.1 lb, and every bound behind; nothing while not known.

    Bounds behind which the verdict is the same are one.
    """
    most = car.coach.capacity
    if most is None:
        return {}
    own = own_gross(car)
    most = most if own is None else min(most, own)
    if most < LEAST:
        return {}
    tops = sorted({tenths(most), *(t for t in map(tenths, bounds(car)) if t > tenths(most))})
    verdicts = [car.verdict_with({"as_weighed": f"{written(top)} lb"}) for top in tops]
    beyond = car.verdict_with({"as_weighed": f"{written(tops[-1] + 1)} lb"})
    return as_ranges([*zip(tops, verdicts, strict=True), (None, beyond)])


def tenths(weight: Fraction) -> int:
    """Whole tenths of a pound, without a tolerance: typed back, the bound has to be met."""
    return int(weight / POUND * 10 // 1)


def written(tenths_: int) -> str:
    return f"{tenths_ / 10:.1f}"


Range = tuple[int | None, str]  # up to so many tenths of a pound (None: without end), the verdict


def as_ranges(ranges: Sequence[Range]) -> Answers:
    """Answers of ranges from the lightest on, of which each begins where the last one ends."""
    kept = [
        each for n, each in enumerate(ranges) if n + 1 == len(ranges) or each[1] != ranges[n + 1][1]
    ]
    answers, below = {}, None
    for top, verdict in kept:
        up_to = None if top is None else f"{top / 10:,.1f} lb"
        begin = "any" if below is None else f"more than {below}"
        text = begin if up_to is None else f"more, up to {up_to}" if below else f"{up_to} or less"
        answers[text] = verdict
        below = up_to
    return answers


def bounds(car: Car) -> Iterator[Fraction]:
    """Weights of the car above which a check, or whether it is to be believed, may be otherwise."""
    coach = car.coach
    for name in ("hitch_receiver", "hitch_receiver_mode_not_printed", "towing_capacity"):
        if (rating := oracle.rating(coach, name)) is not None:
            yield rating.limit
    if (gcwr := oracle.rating(coach, "gcwr")) is not None:
        yield from (gcwr.limit - end for end in (coach.loaded.low, coach.loaded.high) if end)
        yield gcwr.limit
    grosses = oracle.vehicle_figures(car.case, "gvwr")
    yield from (figure.low for figure in grosses)
    for own in (oracle.typed(car.case, "gvwr"), oracle.gross_end(car.case)[0]):
        yield from () if own is None else (own,)
    for curb in oracle.curbs_in_question(car.case):
        # At nine tenths it is to be believed: the bound is the next tenth of a pound below.
        least = curb.low * oracle.FAR_BELOW
        whole = tenths(least)
        yield Fraction(whole - (whole == least / POUND * 10), 10) * POUND


def own_gross(car: Car) -> oracle.Mass:
    """What it may weigh by its own gross rating: typed, else the smallest where that is known.

    Where rows await their check, no weight is met by them, but one above the largest fails.
    """
    typed = oracle.typed(car.case, "gvwr")
    if typed is not None:
        return typed
    figures = oracle.vehicle_figures(car.case, "gvwr")
    sure = [figure for figure in figures if figure.applies is True]
    if not sure:
        return None
    ratings = [figure.low for figure in figures]
    return min(ratings) if any(figure.checked for figure in sure) else max(ratings)


# ---------------------------------------------------------------- what nothing in the row answers


TO_BE_READ = {  # plates, labels and manuals that nobody read, or whose row awaits its check
    ("hitch_receiver", "rating_missing"): "hitch_receiver",
    ("hitch_receiver", "mode_not_printed"): "receiver_mode",
    ("combination_rating", "rating_missing"): "gcwr",
    ("towing_capacity", "rating_missing"): "towing_capacity",
    ("coach_gross", "gvwr_not_known"): "coach_gvwr",
    ("towed_gross", "gvwr_not_known"): "gvwr",
}


def elsewhere(car: Car, asked_of_the_car: bool) -> Iterator[str]:
    """Who or what else tells, one check after the other."""
    reasons = {name: check.reason for name, check in car.checks.items()}
    yield from permission_elsewhere(reasons["permission"], asked_of_the_car)
    for check, reason in reasons.items():
        if (check, reason) in TO_BE_READ:
            yield TO_BE_READ[check, reason]
    # By a policy that counts gross ratings the ticket of a car does not replace its own.
    is_weighed = cell(car.row, "as_weighed") is not None
    if is_weighed and is_weight_open(car) and oracle.towed_weight(car.case).high is None:
        yield "gvwr"
    if is_coach_to_be_weighed(car):
        yield "loaded_weight"


def is_coach_to_be_weighed(car: Car) -> bool:
    """Where its weight is open: it was not weighed, or its ticket says two things in two units."""
    towed = oracle.towed_weight(car.case)
    is_towed_exact = towed.low is not None and towed.low == towed.high
    if car.coach.loaded.contradicts:
        whole = ("combination_rating", "coach_gross")
        return any(car.checks[name].reason == "weights_contradict" for name in whole)
    # All that a coach lacks is asked for at once, its weight beside a missing rating too.
    by_sum = car.checks["combination_rating"].reason in OPEN or (
        car.checks["combination_rating"].reason == "rating_missing"
        and car.coach.loaded.high is None
    )
    # A ticket in lb and kg is no reason to weigh anew while the car's own weight is open too.
    by_sum = by_sum and (car.coach.weighed is None or is_towed_exact)
    return by_sum or car.checks["coach_gross"].reason in OPEN


def permission_elsewhere(reason: str, asked_of_the_car: bool) -> Iterator[str]:
    """Documents that disagree, rows that await a check, a maker to ask, a manual to look into."""
    if reason == "sources_disagree":
        yield "documents"
    if reason == "awaits_check":
        yield "check"
    if reason in ("ask_the_maker", "manual_is_silent"):
        yield "maker"
    if reason == "nothing_on_record":
        yield "owner_manual"
    if reason in ("depends_on_the_car", "may_be_forbidden") and not asked_of_the_car:
        yield "owner_manual"


# ---------------------------------------------------------------- all conditions of a page together


def is_whole_suitable(car: Car) -> bool:
    """Whether a page that may permit describes a car that would be suitable."""
    return any(
        car.verdict_with(cells) == "suitable"
        for statement in car.reference["eligibility"]
        if need(statement, "eligibility_id") in car.case.standing
        and oracle.stance(statement) == "permits"
        and car.case.applies[need(statement, "vehicle_group_id")] is None
        for cells in typed_whole(car, need(statement, "vehicle_group_id"))
    )


def typed_whole(car: Car, group_id: str) -> Iterator[Cells]:
    """Every way of typing what a group says and the car leaves open."""
    group = oracle.row_of(car.reference, "vehicle_group", group_id)
    choices: dict[str, list[str]] = {
        attribute: fitting(car, group, attribute)
        for attribute in (*oracle.WORDS, *oracle.TEXTS)
        if cell(group, attribute) and oracle.cell_matches(car.case, group, attribute) is None
    }
    if not cell(car.row, "model_year"):
        choices["model_year"] = [str(year) for year in years_of(group)]
    if oracle.built_matches(car.case, group) is None:
        days = [str(first if first != date.min else last) for first, last in build_spans(car)]
        choices["built_on"] = days
    if oracle.options_match(car.case, group) is None:
        wanted = [o for o in listed(group, "options_with") if not oracle.has_option(car.case, o)]
        choices["options"] = [with_options(car, *wanted) or "none"]
        choices |= {"options_complete": ["yes"]} if listed(group, "options_without") else {}
    if oracle.further_condition_holds(car.case, group) is None:
        choices["confirmed"] = [with_confirmed(car, group)]
    for picked in product(*choices.values()):
        yield dict(zip(choices, picked, strict=True))


def fitting(car: Car, group: Row, attribute: str) -> list[str]:
    """Words of an open cell of the group: one of each kind that other groups tell apart."""
    spoken = need(group, attribute)
    negated = oracle.cell_words(spoken)[0]
    if attribute in oracle.TEXTS:
        known = oracle.known_texts(car.case, attribute)
        return sorted(known - named(attribute, spoken) if negated else named(attribute, spoken))
    leaves = may_be(car, attribute)
    said = named(attribute, spoken)
    return told_apart(car, attribute, leaves - said if negated else leaves & said)
