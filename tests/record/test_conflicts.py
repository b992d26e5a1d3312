"""Contradictions that were planted are found, with both pages; and nothing else is."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any, NamedTuple

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.helpers.shop import IMRE, Place, base_rows, entered, fill, row_of
from tests.helpers.statements import ATTRIBUTES, folded
from tests.helpers.tier import by_tier
from towdb.contract.model import contract
from towdb.record.conflicts import COLUMNS, conflicts
from towdb.record.store.record import Record, Row, Rows

PIKA = row_of(base_rows(), "vehicle_group", "pika-key") | {"ignition": None}
SAID = row_of(base_rows(), "eligibility", "automatic") | {"purpose": "recreational"}
LIMIT = row_of(base_rows(), "towing_limit", "button-speed") | {
    "also_value": None, "also_unit": None
}  # fmt: skip
STEP = row_of(base_rows(), "procedure_step", "before-2")
FUSE = row_of(base_rows(), "fuse_pull", "f12")
WEIGHT = row_of(base_rows(), "vehicle_property", "key-gvwr") | {
    "also_value": None, "also_unit": None
}  # fmt: skip


class Page(NamedTuple):
    """What one page states about a group: a permission, and what goes with it."""

    permission: str = "permitted"
    said: Row = {}  # noqa: RUF012
    limits: Sequence[Row] = ()
    steps: Sequence[Row] = ()
    fuses: Sequence[Row] = ()
    weights: Sequence[Row] = ()

    def rows(self, name: str, group: Row, locator: str) -> Rows:
        """Its rows, named for the page."""
        cited = {"source_id": "pika-om" if name.endswith("one") else "pika-tb", "locator": locator}
        below = {"eligibility_id": name} | cited
        weighed = {"vehicle_group_id": name} | cited
        return {
            "vehicle_group": [PIKA | group | weighed],
            "eligibility": [SAID | weighed | below | {"permission": self.permission} | self.said],
            "towing_limit": [LIMIT | below | {"towing_limit_id": f"{name}.{n}"} | limit
                             for n, limit in enumerate(self.limits)],
            "procedure_step": [STEP | below | step | {"procedure_step_id": f"{name}.{n}",
                               "step_no": str(n + 1)} for n, step in enumerate(self.steps)],
            "fuse_pull": [FUSE | cited | {"procedure_step_id": f"{name}.0", "fuse_pull_id": name}
                          | fuse for fuse in self.fuses],
            "vehicle_property": [WEIGHT | weighed | {"vehicle_property_id": f"{name}.{n}"} | weight
                                 for n, weight in enumerate(self.weights)],
        }  # fmt: skip


class Plant(NamedTuple):
    """Two pages, and what they contradict each other about, in which rows."""

    one: Page
    other: Page
    about: tuple[tuple[str, str, str], ...] = ()


NEUTRAL: Row = {"target": "neutral"}
DRIVE: Row = {"target": "drive"}
ACCESSORY: Row = {"component": "ignition", "action": "turn_to", "target": "accessory"}
WARNING: Row = {"kind": "warning", "component": "steering", "action": "never", "target": None,
           "printed_no": None}  # fmt: skip
RUN: Row = {"component": "engine", "action": "run", "target": None, "value": "5", "unit": "min"}
FREE: Row = {"component": "engine", "action": "run", "target": None, "value": None, "unit": None}
PULL: Row = {"component": "fuse", "action": "pull", "target": None}
STATEMENTS = ("eligibility", ".one", ".other")
LIMITS = ("towing_limit", ".one.0", ".other.0")
WEIGHTS = ("vehicle_property", ".one.0", ".other.0")


def permissions(one: str, other: str, *, is_conflict: bool = True, **said: str | None) -> Plant:
    about = (("permission", *STATEMENTS[1:]),) if is_conflict else ()
    return Plant(Page(one), Page(other, said), about)


def limited(one: Row, other: Row, *, about: str | None = None) -> Plant:
    found = ((about, *LIMITS[1:]),) if about else ()
    return Plant(Page(limits=[one]), Page(limits=[other]), found)


def stepped(one: Sequence[Row], other: Sequence[Row], *, is_conflict: bool) -> Plant:
    found = (("steps", *STATEMENTS[1:]),) if is_conflict else ()
    return Plant(Page(steps=one), Page(steps=other), found)


def weighed(one: Row, other: Row, *, about: str | None = None) -> Plant:
    found = ((about, *WEIGHTS[1:]),) if about else ()
    return Plant(Page(weights=[one]), Page(weights=[other]), found)


def alternatives(faster: Row, slower: Row) -> Page:
    labels: list[Row] = [{"alternative_no": "1"}, {"alternative_no": "2"}]
    return Page(limits=[labels[0] | faster, labels[1] | slower])


SPEED = "speed at_most always"
PLANTS = {
    "forbidden": permissions("permitted", "prohibited"),
    "advised-against": permissions("not_recommended", "permitted"),
    "deferred": permissions("refer_to_maker", "permitted"),
    "silent": permissions("not_addressed", "permitted", is_conflict=False),
    "both-forbid": permissions("prohibited", "not_recommended", is_conflict=False),
    "both-permit": permissions("permitted", "permitted", is_conflict=False),
    "any-purpose": permissions("permitted", "prohibited", purpose="any"),
    "emergency": permissions("permitted", "prohibited", is_conflict=False, purpose="emergency"),
    "lifted": permissions("permitted", "prohibited", is_conflict=False,
                          towing_method="front_wheels_up"),
    "exception": permissions("permitted", "prohibited", is_conflict=False,
                             overrides="exception.one"),
    "exceptions": permissions("permitted", "prohibited", is_conflict=False,
                              overrides="both-permit.one, exceptions.one"),
    "excepted": Plant(Page("permitted", {"overrides": "excepted.other"}), Page("prohibited")),
    "other-exception": permissions("permitted", "prohibited", overrides="both-permit.one"),
    "faster": limited({"value": "65"}, {"value": "60"}, about=SPEED),
    "a-little-faster": limited({"value": "65"}, {"value": "65.1"}, about=SPEED),
    "as-fast": limited({"value": "65"}, {"value": "65.00"}),
    "as-fast-in-km": limited({"value": "65"}, {"value": "104.60736", "unit": "km/h"}),
    "unlimited": limited({"value": "65"}, {"stated": "unlimited", "value": None, "unit": None},
                         about=SPEED),
    "both-unlimited": limited(*[{"stated": "unlimited", "value": None, "unit": None}] * 2),
    "other-bound": limited({"value": "65"}, {"value": "60", "bound": "at_least"}),
    "other-scope": limited({"value": "65"}, {"value": "60", "scope": "per_day"}),
    "alternatives": Plant(alternatives({"value": "65"}, {"value": "60"}),
                          alternatives({"value": "65"}, {"value": "60.0"})),
    "labelled-otherwise": Plant(
        alternatives({"value": "65"}, {"value": "60"}),
        alternatives({"value": "60"}, {"value": "65"}),
    ),
    "other-alternatives": Plant(alternatives({"value": "65"}, {"value": "60"}),
                                alternatives({"value": "65"}, {"value": "55"}),
                                (("alternatives", *STATEMENTS[1:]),)),
    "as-fast-as-printed": limited({"value": "65", "also_value": "105", "also_unit": "km/h"},
                                  {"value": "105", "unit": "km/h"}),
    "forbidden-faster": Plant(Page("prohibited", limits=[{"value": "65"}]),
                              Page("prohibited", limits=[{"value": "60"}])),
    "other-step": stepped([NEUTRAL], [DRIVE], is_conflict=True),
    "never": stepped([NEUTRAL], [NEUTRAL | {"kind": "never"}], is_conflict=True),
    "otherwise-worded": stepped([FREE | {"text": "Let it run"}], [FREE | {"text": "Start it"}],
                                is_conflict=True),
    "as-worded": stepped([FREE | {"text": "Let it run"}], [FREE | {"text": "let it  RUN"}],
                         is_conflict=False),
    "other-order": stepped([NEUTRAL, ACCESSORY], [ACCESSORY, NEUTRAL], is_conflict=True),
    "one-step-more": stepped([NEUTRAL], [NEUTRAL, ACCESSORY], is_conflict=True),
    "no-step": stepped([NEUTRAL], [], is_conflict=True),
    "other-phase": stepped([NEUTRAL], [NEUTRAL | {"phase": "after"}], is_conflict=True),
    "longer": stepped([RUN], [RUN | {"value": "6"}], is_conflict=True),
    "as-long-in-seconds": stepped([RUN], [RUN | {"value": "300", "unit": "s"}], is_conflict=False),
    "in-other-weather": stepped([NEUTRAL], [NEUTRAL | {"only_when": "below -10 C"}],
                                is_conflict=True),
    "other-fuse": Plant(Page(steps=[PULL], fuses=[{"position": "F12"}]),
                        Page(steps=[PULL], fuses=[{"position": "F13"}]),
                        (("steps", *STATEMENTS[1:]),)),
    "fuse-back-earlier": Plant(
        Page(steps=[PULL], fuses=[{"restore": "before_engine_start"}]),
        Page(steps=[PULL], fuses=[{"restore": "before_driving"}]),
        (("steps", *STATEMENTS[1:]),),
    ),
    "same-fuse": Plant(Page(steps=[PULL], fuses=[{"position": "F12"}]),
                       Page(steps=[PULL], fuses=[{"position": "F12"}])),
    "same-steps": stepped([NEUTRAL, ACCESSORY], [NEUTRAL, ACCESSORY], is_conflict=False),
    "warned": stepped([NEUTRAL], [NEUTRAL, WARNING], is_conflict=False),
    "shared": Plant(Page(steps=[NEUTRAL]), Page(said={"same_steps_as": "shared.one"})),
    "heavier": weighed({"value": "3400"}, {"value": "3500"}, about="gvwr"),
    "a-little-heavier": weighed({"value": "3400"}, {"value": "3400.1"}, about="gvwr"),
    "as-heavy": weighed({"value": "3400"}, {"value": "3400.00"}),
    "as-heavy-in-kg": weighed({"value": "3400"}, {"value": "1542.214058", "unit": "kg"}),
    "as-heavy-as-printed": weighed({"value": "3400", "also_value": "1542", "also_unit": "kg"},
                                   {"value": "1542", "unit": "kg"}),
    "as-heavy-in-pounds": weighed({"value": "3400", "also_value": "1542", "also_unit": "kg"},
                                  {"value": "3400"}),
    "heavier-than-printed": weighed({"value": "3400", "also_value": "1542", "also_unit": "kg"},
                                    {"value": "1543", "unit": "kg"}, about="gvwr"),
    "other-property": weighed({"value": "3400"}, {"value": "2900", "property": "curb_weight"}),
    "longer-car": weighed({"value": "150", "unit": "in", "property": "overall_length"},
                          {"value": "160", "unit": "in", "property": "overall_length"}),
}  # fmt: skip
# A year later, or with another transmission: no car belongs to both.
NEVER_BOTH: dict[str, tuple[Row, Row]] = {
    "by-year": ({"model_year_to": "2020"}, {"model_year_from": "2021"}),
    "by-word": ({"transmission": "manual"}, {"transmission": "not manual"}),
}


def planted(plants: dict[str, Plant], group: tuple[Row, Row] = ({}, {})) -> Rows:
    """Pages of one model a plant: on record, whatever a rule would find."""
    rows: Rows = {"source": base_rows()["source"]}
    for name, plant in plants.items():
        for page, end, locator, more in ((plant.one, "one", "p. 1", group[0]),
                                         (plant.other, "other", "p. 2", group[1])):  # fmt: skip
            cells: Row = {"model": name, "model_year_to": "2022"}
            for table, listed in page.rows(f"{name}.{end}", cells | more, locator).items():
                rows.setdefault(table, []).extend(listed)
    return rows


def found_of(record: Record, as_of: int | None = None) -> dict[str, list[tuple[str, str, str]]]:
    """What is found by plant: about what, and in which rows."""
    found: dict[str, list[tuple[str, str, str]]] = {}
    for row in conflicts(record, as_of):
        said = dict(zip(COLUMNS, row, strict=True))
        name, _, key = said["key"].partition(".")
        other_name, _, other_key = said["other_key"].partition(".")
        assert name == other_name, "two models contradict each other"
        found.setdefault(name, []).append((said["about"], f".{key}", f".{other_key}"))
    return found


def test_every_contradiction_is_found_and_nothing_else(empty: Record) -> None:
    fill(empty, planted(PLANTS))
    expected = {name: list(plant.about) for name, plant in PLANTS.items() if plant.about}
    assert len(expected) > 15
    assert found_of(empty) == expected


@pytest.mark.parametrize("name", NEVER_BOTH)
def test_pages_on_different_cars_contradict_nothing(empty: Record, name: str) -> None:
    fill(empty, planted(PLANTS, NEVER_BOTH[name]))
    assert found_of(empty) == {}


def test_a_contradiction_names_both_pages(empty: Record) -> None:
    names = ("forbidden", "faster", "heavier")
    fill(empty, planted({name: PLANTS[name] for name in names}))
    rows = [dict(zip(COLUMNS, row, strict=True)) for row in conflicts(empty)]
    assert len(rows) == 3
    for row in rows:
        assert (row["source"], row["locator"]) == ("pika-om", "p. 1")
        assert (row["other_source"], row["other_locator"]) == ("pika-tb", "p. 2")
    said = {row["about"]: (row["table"], row["says"], row["other_says"]) for row in rows}
    assert said["permission"] == ("eligibility", "permitted", "prohibited")
    for about, table, figures in ((SPEED, "towing_limit", ("65", "60")),
                                  ("gvwr", "vehicle_property", ("3400", "3500"))):  # fmt: skip
        where, *each = said[about]
        assert where == table
        for text, figure in zip(each, figures, strict=True):
            assert text.startswith(figure)
            assert text.split()[-1] in ("mph", "lb")


def test_steps_that_differ_are_told(empty: Record) -> None:
    fill(empty, planted({"other-step": PLANTS["other-step"]}))
    (row,) = [dict(zip(COLUMNS, each, strict=True)) for each in conflicts(empty)]
    assert "neutral" in row["says"]
    assert "drive" in row["other_says"]


def test_steps_that_differ_differ_to_the_eye(empty: Record) -> None:
    fill(empty, planted({name: PLANTS[name] for name in ("never", "otherwise-worded")}))
    for row in conflicts(empty):
        each = dict(zip(COLUMNS, row, strict=True))
        assert each["says"] != each["other_says"]


def test_steps_are_told_in_the_order_of_their_page(empty: Record) -> None:
    phases = ("after", "before", "en_route", "once")
    steps = [NEUTRAL | {"phase": phase} for phase in phases]
    fill(empty, planted({"phases": Plant(Page(steps=steps), Page(steps=[DRIVE]))}))
    (row,) = [dict(zip(COLUMNS, each, strict=True)) for each in conflicts(empty)]
    told = [step.split()[0] for step in row["says"].split("; ")]
    assert told == ["once", "before", "en_route", "after"]


def test_two_statements_of_one_group_may_contradict_each_other(empty: Record) -> None:
    rows = planted({"forbidden": PLANTS["forbidden"]})
    for row in rows["eligibility"]:
        row["vehicle_group_id"] = "forbidden.one"
    fill(empty, rows)
    assert found_of(empty) == {"forbidden": [("permission", ".one", ".other")]}


def test_contradictions_are_of_a_time(empty: Record) -> None:
    rows = planted({"forbidden": PLANTS["forbidden"]})
    late = [row for row in rows["eligibility"] if row["eligibility_id"] == "forbidden.other"]
    fill(empty, {**rows, "eligibility": rows["eligibility"][:1]})
    fill(empty, {"eligibility": late})
    with empty.changing(IMRE, "a misprint") as changing:
        changing.withdraw("eligibility", ["forbidden.other"])
    found = [found_of(empty, n) for n in range(4)]
    assert [len(each) for each in found] == [0, 0, 1, 0]
    assert found_of(empty) == {}


def test_alternatives_are_compared_as_printed(empty: Record) -> None:
    pair: Row = {"value": "65", "also_value": "105", "also_unit": "km/h"}
    plant = Plant(
        alternatives(pair, {"value": "60"}),
        alternatives({"value": "105", "unit": "km/h"}, {"value": "60"}),
    )
    fill(empty, planted({"alternatives": plant}))
    assert found_of(empty) == {}


# ---------------------------------------------------------------- which groups meet


def meant(column: str, cell: str | None, universe: set[str]) -> set[str]:
    """The leaves, or texts, that a cell of words speaks of; empty: nobody has recorded which."""
    if cell is None or cell == "any":
        return universe
    is_not, listed = cell.startswith("not "), cell.removeprefix("not ")
    vocabulary = contract().vocabularies.get(column)
    leaves: set[str] = set()
    for word in (part.strip() for part in listed.split("|")):
        leaves |= vocabulary.leaves(word) if vocabulary else {folded(word)}
    return universe - leaves if is_not else universe & leaves


def universe_of(column: str, cells: Sequence[str | None]) -> set[str]:
    """All leaves; of free text, those that are written, and one that nobody has written."""
    vocabulary = contract().vocabularies.get(column)
    if vocabulary:
        return set().union(*(vocabulary.leaves(word) for word in vocabulary.words))
    texts = {folded(part) for cell in cells if cell and cell != "any"
             for part in cell.removeprefix("not ").split("|")}  # fmt: skip
    return {*texts, "something else"}


def options_in(cell: str | None) -> set[str]:
    return {folded(part) for part in (cell or "").split(",") if part.strip()}


def may_meet(one: Row, other: Row) -> bool:
    """Whether some car belongs to both groups: cars are tried one by one."""
    if any(folded(str(one[c])) != folded(str(other[c])) for c in ("make", "model")):
        return False
    pair = (one, other)
    years = [range(int(str(g["model_year_from"])), int(str(g["model_year_to"])) + 1) for g in pair]
    bounds = [date.fromisoformat(str(g[c])) for g in pair for c in ("built_from", "built_to")
              if g[c]]  # fmt: skip
    days = {day + timedelta(n) for day in [date(2020, 1, 1), *bounds] for n in (-1, 0, 1)}
    wanted = set().union(*(options_in(g["options_with"]) for g in pair))
    cars = itertools.product(set(years[0]) & set(years[1]), days)
    if not any(all(_is_built(g, day) for g in pair) for _, day in cars):
        return False
    if wanted & set().union(*(options_in(g["options_without"]) for g in pair)):
        return False
    for column in ATTRIBUTES:
        universe = universe_of(column, [g[column] for g in pair])
        if not meant(column, one[column], universe) & meant(column, other[column], universe):
            return False
    return True


def _is_built(group: Row, day: date) -> bool:
    low, high = group["built_from"], group["built_to"]
    return (low is None or low <= day.isoformat()) and (high is None or day.isoformat() <= high)


CELLS: dict[str, list[str | None]] = {
    "transmission": [None, "any", "manual", "automatic", "planetary_automatic | dual_clutch",
                     "not automatic", "not manual", "not dual_clutch"],
    "transfer_case": [None, "any", "two_speed", "two_speed_with_neutral", "none", "not present",
                      "not none"],
    "shifter": [None, "any", "mechanical", "by_wire"],
    "market": ["xa", "xa | xb", "any", None, "not xa"],
    "trim": [None, "any", "Trail", "trail | Summit", "SUMMIT", "not  trail", "not Summit | trail"],
}  # fmt: skip
_YEARS = st.tuples(st.integers(2019, 2021), st.integers(0, 1))
_BUILT = st.sampled_from([(None, None), ("2020-03-01", None), (None, "2020-03-01"),
                          (None, "2020-02-29"), ("2020-02-01", "2020-02-29")])  # fmt: skip
_OPTIONS = st.sampled_from([(None, None), ("tow package", None), (None, "Tow  Package"),
                            ("roof rack, tow package", None), (None, "roof rack ,winch"),
                            ("winch", "roof rack")])  # fmt: skip


@st.composite
def groups(draw: st.DrawFn) -> Row:
    year, more = draw(_YEARS)
    with_, without_ = draw(_OPTIONS)
    built_from, built_to = draw(_BUILT)
    # Mostly of one model, with few conditions: otherwise hardly two would meet.
    group = PIKA | {"model": draw(st.sampled_from(["Pika", "PIKA ".strip(), "pika", "Pika X"]))}
    for column in draw(st.sets(st.sampled_from(sorted(CELLS)), max_size=2)):
        group[column] = draw(st.sampled_from(CELLS[column]))
    if draw(st.booleans()):
        group |= {"options_with": with_, "options_without": without_}
    if draw(st.booleans()):
        group |= {"built_from": built_from, "built_to": built_to}
    return group | {"model_year_from": str(year), "model_year_to": str(year + more)}


def met(record: Record, listed: Sequence[Row]) -> set[tuple[int, int]]:
    """The pairs of groups that meet: each has another gross weight, so that meeting shows."""
    rows: Rows = {"source": base_rows()["source"], "vehicle_group": [], "vehicle_property": []}
    for n, group in enumerate(listed):
        rows["vehicle_group"].append(entered(group | {"vehicle_group_id": f"g{n}"}))
        rows["vehicle_property"].append(
            WEIGHT
            | {"vehicle_property_id": f"w{n}", "vehicle_group_id": f"g{n}", "value": str(3000 + n)}
        )
    fill(record, rows)
    found: list[dict[str, Any]] = [dict(zip(COLUMNS, r, strict=True)) for r in conflicts(record)]
    pairs = [sorted((int(row["key"][1:]), int(row["other_key"][1:]))) for row in found]
    assert len(pairs) == len({tuple(pair) for pair in pairs}), "a pair is told twice"
    return {(one, other) for one, other in pairs}


@settings(max_examples=by_tier(quick=2, whole=6), suppress_health_check=list(HealthCheck))
@given(listed=st.lists(groups(), min_size=12, max_size=24))
def test_groups_meet_where_some_car_belongs_to_both(place: Place, listed: list[Row]) -> None:
    with place.fresh() as url, Record(url, create=True) as record:
        expected = {
            (n, m)
            for (n, one), (m, other) in itertools.combinations(enumerate(listed), 2)
            if may_meet(one, other)
        }
        assert met(record, listed) == expected


APART_OR_NOT: list[tuple[Row, Row, bool]] = [
    ({"model_year_to": "2020"}, {"model_year_from": "2020", "model_year_to": "2021"}, True),
    ({"model_year_to": "2020"}, {"model_year_from": "2021", "model_year_to": "2021"}, False),
    ({"built_to": "2020-03-01"}, {"built_from": "2020-03-01"}, True),
    ({"built_to": "2020-02-29"}, {"built_from": "2020-03-01"}, False),
    ({"built_to": "2020-02-29"}, {}, True),
    ({"options_with": "Tow  Package , winch"}, {"options_without": "tow package"}, False),
    ({"options_with": "tow package"}, {"options_without": "tow"}, True),
    ({"options_with": "tow package"}, {"options_with": "winch"}, True),
    ({"transmission": "automatic"}, {"transmission": "dual_clutch"}, True),
    ({"transmission": "automatic"}, {"transmission": "manual"}, False),
    ({"transmission": "not automatic"}, {"transmission": "dual_clutch"}, False),
    ({"transmission": "not dual_clutch"}, {"transmission": "automatic"}, True),
    ({"transmission": None}, {"transmission": "manual"}, True),
    ({"transmission": "any"}, {"transmission": "manual"}, True),
    ({"trim": "Trail"}, {"trim": "TRAIL | Summit"}, True),
    ({"trim": "Trail"}, {"trim": "not trail"}, False),
    ({"trim": "not Trail"}, {"trim": "not Summit"}, True),
    ({"market": "xa"}, {"market": "xb"}, False),
    ({"model": "Pika"}, {"model": "PIKA"}, True),
    ({"model": "Pika"}, {"model": "Pika X"}, False),
]


def test_groups_meet_just_at_a_bound_and_not_beyond(empty: Record) -> None:
    # Pair after pair, each of a model of its own.
    listed: list[Row] = []
    for n, (one, other, _) in enumerate(APART_OR_NOT):
        for cells in (one, other):
            named = str(cells.get("model") or "Pika")
            listed.append(PIKA | cells | {"model": f"{named} {n}"})
    expected = {(2 * n, 2 * n + 1) for n, (*_, meet) in enumerate(APART_OR_NOT) if meet}
    assert met(empty, listed) == expected
    for n, (*_, meet) in enumerate(APART_OR_NOT):
        assert may_meet(listed[2 * n], listed[2 * n + 1]) is meet, n


@pytest.mark.parametrize(
    ("column", "one", "other"),
    [
        ("shifter", "not mechanical", "not by_wire"),
        ("ignition", "not key", "not button"),
        ("parking_brake", "not mechanical", "not electric"),
    ],
)
def test_groups_that_leave_no_word_to_both_do_not_meet(
    empty: Record, column: str, one: str, other: str
) -> None:
    listed = [PIKA | {column: cell} for cell in (one, other)]
    assert not may_meet(*listed)
    assert met(empty, listed) == set()
