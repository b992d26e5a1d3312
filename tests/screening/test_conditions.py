"""Where procedures differ, conditions stand under what they depend on; a chosen one alone."""

from __future__ import annotations

from collections import Counter, defaultdict
from pathlib import Path
from typing import Any

import pytest

from tests.helpers import agreement
from towdb.wording.groups import CELLS, distinguishing_cells, group_text

EMPTY: dict[str, Any] = dict.fromkeys(CELLS) | {"model_year_from": 2019, "model_year_to": 2019}


def test_conditions_of_drawn_worlds(tmp_path: Path) -> None:
    worlds = agreement.drawn(5, 500)
    release = agreement.merged_release(worlds, tmp_path)
    numbers = [k for k, w in enumerate(worlds) if w.policy["weigh_by"] == "best_known"]
    with agreement.screened(worlds, numbers, release, tmp_path) as screening:
        first = screening.coaches[0].coach
        verdicts = [v for v in screening.records("verdict") if v["coach"] == first]
        texts: dict[str, dict[str, set[str | None]]] = defaultdict(lambda: defaultdict(set))
        for condition in screening.records("condition"):
            if condition["coach"] == first and condition["eligibility_id"]:
                said = texts[condition["candidate"]]
                said[condition["eligibility_id"]].add(condition["depends_on"])
    seen: Counter[str] = Counter()
    chosen = {
        f"w{k}-{car['candidate']}": f"w{k}-{car['procedure']}"
        for k in numbers
        for car in worlds[k].candidates
    }
    for verdict in verdicts:
        name, reason = verdict["candidate"], verdict["procedure_reason"]
        of_car = texts.get(name, {})
        if len(of_car) > 1 or reason == "chosen":
            seen[reason] += 1
        match reason:
            case "procedures_differ" | "chosen_not_sure":
                each = [text for found in of_car.values() for text in found]
                assert all(each), name
                # A statement has one text, and no other statement has the same.
                assert len(set(each)) == len(each) == len(of_car), name
            case "chosen":
                assert set(of_car) <= {chosen[name]}
            case "determined":
                assert {text for found in of_car.values() for text in found} <= {None}
    assert seen["procedures_differ"] > 10
    assert seen["chosen"] > 3
    assert seen["determined"] > 3


@pytest.mark.parametrize(
    ("cells", "text"),
    [
        ({}, "model year 2019"),
        ({"model_year_to": 2021}, "model year 2019-2021"),
        ({"ignition": "key | button"}, "model year 2019; ignition key or button"),
        ({"trim": "not fell"}, "model year 2019; trim not fell"),
        ({"built_from": "2019-03-01"}, "model year 2019; built from 2019-03-01"),
        ({"options_without": "tow hook"}, "model year 2019; without tow hook"),
        ({"further_condition": "serial 104 and up"},
         "model year 2019; if this is true: serial 104 and up"),
    ],
)  # fmt: skip
def test_a_group_in_words(cells: dict[str, Any], text: str) -> None:
    assert group_text(EMPTY | cells) == text


def test_only_what_differs_is_named() -> None:
    groups = [EMPTY | {"transmission": word, "market": "xa"} for word in ("manual", None)]
    cells = distinguishing_cells(groups)
    assert cells == ["transmission"]
    assert [group_text(group, cells) for group in groups] == ["transmission manual", ""]
