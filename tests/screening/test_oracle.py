"""The engine held against a matcher in plain Python that shares no code with it."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from tests.helpers import oracle
from tests.helpers.agreement import answers, compared, disagreements, drawn
from tests.helpers.tier import by_tier
from tests.helpers.worlds import World, census, presence_patterns

SEEDS = by_tier(quick=(501,), whole=(501, 502, 503))
WORLDS = 100  # a seed
CENSUS = 2000  # worlds
OFTEN = 10  # times in the census

CAPACITY = {
    *("met within", "not_met over", "unknown rating_missing", "unknown weight_unknown"),
    *("unknown depends_on_the_weight", "unknown weights_contradict"),
}
ALL = {
    "verdict": {"suitable", "undetermined", "not_suitable"},
    "check permission": {
        *("met permitted", "not_met forbidden", "unknown sources_disagree"),
        *("unknown may_be_forbidden", "unknown ask_the_maker", "unknown awaits_check"),
        *("unknown depends_on_the_car", "unknown manual_is_silent", "unknown nothing_on_record"),
    },
    "check procedure": {
        *("met determined", "met chosen", "unknown procedures_differ", "unknown chosen_not_sure"),
        "not_applicable permission_not_met",
    },
    "check hitch_receiver": CAPACITY | {"unknown mode_not_printed"},
    "check combination_rating": CAPACITY,
    "check towing_capacity": CAPACITY | {"not_applicable none_stated"},
    "check coach_gross": {
        *("met within", "not_met over", "unknown gvwr_not_known", "not_applicable not_weighed"),
        *("unknown depends_on_the_weight", "unknown weights_contradict", "not_met axle_over"),
    },
    "check towed_gross": {
        *("met within", "not_met over", "unknown gvwr_not_known", "not_applicable not_weighed"),
        "unknown weights_contradict",
    },
    "governing check": {
        *(f"{name} of undetermined" for name in oracle.CHECKS),
        *(f"{name} of not_suitable" for name in oracle.CHECKS if name != "procedure"),
        *(f"{name} of suitable" for name in oracle.CAPACITY_CHECKS),
    },
    "capacity governed by": {*oracle.CAPACITY_CHECKS, "coach_gross", "None"},
    "capacity at most governed by": {*oracle.CAPACITY_CHECKS, "coach_gross", "None"},
    "basis": {"as_weighed", "gvwr", "None"},
    "caution": {
        *("gvwr_differs", "gvwr_far", "weights_contradict", "weighing_contradicted"),
        *("weighed_below_curb", "weighed_above_gross"),
    },
    "caution of the coach": {"axles_differ", "coach_contradicts", "part_above_loaded"},
    "axle not judged": {name for axle in oracle.AXLES for name in axle},
}


@pytest.mark.parametrize("seed", SEEDS)
def test_engine_and_oracle_agree_on_drawn_worlds(seed: int, tmp_path: Path) -> None:
    assert list(disagreements(drawn(seed, WORLDS), tmp_path)) == []


# ---------------------------------------------------------------- every presence of statements


def as_the_table_says(world: World) -> tuple[str, str]:
    """Outcome and reason where statements only permit and forbid, and none overrides another."""
    sure_groups = {
        group["vehicle_group_id"]
        for group in world.reference["vehicle_group"]
        if group["transmission"] == "any"
    }
    there = {
        (row["permission"], row["checked_by"] is not None, row["vehicle_group_id"] in sure_groups)
        for row in world.reference["eligibility"]
    }
    sure_forbid = any(said == "prohibited" and sure for said, _, sure in there)
    any_forbid = any(said == "prohibited" for said, _, _ in there)
    if ("permitted", True, True) in there:
        if sure_forbid:
            return "unknown", "sources_disagree"
        return ("unknown", "may_be_forbidden") if any_forbid else ("met", "permitted")
    if sure_forbid:
        return "not_met", "forbidden"
    if ("permitted", False, True) in there:
        return "unknown", "awaits_check"
    return "unknown", "depends_on_the_car" if there else "nothing_on_record"


def test_every_presence_of_statements_is_judged_as_the_table_says(tmp_path: Path) -> None:
    worlds = list(presence_patterns())
    engine = answers(worlds, tmp_path)
    assert list(compared(worlds, engine)) == []
    verdicts = {"met": "suitable", "not_met": "not_suitable", "unknown": "undetermined"}
    reasons: Counter[str] = Counter()
    for k, world in enumerate(worlds):
        outcome, reason = as_the_table_says(world)
        row = engine.verdicts[k, "car 1"]
        said = (row["permission_outcome"], row["permission_reason"], row["verdict"])
        assert said == (outcome, reason, verdicts[outcome]), world.reference["eligibility"]
        (answer,) = oracle.screen(world.reference, world.candidates, world.coach, world.on).answers
        permission = answer.checks["permission"]
        assert (permission.outcome, permission.reason) == (outcome, reason)
        reasons[reason] += 1
    # Eight kinds of statement, each there or not: half of the patterns have a sure checked permit;
    # a quarter of these no sure forbid, and a quarter of that quarter no possible one either.
    assert reasons == {
        "sources_disagree": 96,
        "may_be_forbidden": 24,
        "permitted": 8,
        "forbidden": 96,
        "awaits_check": 16,
        "depends_on_the_car": 15,
        "nothing_on_record": 1,
    }


# ---------------------------------------------------------------- what drawn worlds reach


def test_drawn_worlds_reach_every_outcome_reason_and_governing_check() -> None:
    counts = census(CENSUS)
    assert {what: set(counts[what]) for what in ALL} == ALL
    rare = {
        f"{what}: {word}": number
        for what in ALL
        for word, number in counts[what].items()
        if number < OFTEN
    }
    assert rare == {}
