"""What is asked of an undetermined car, held against an asker in plain Python."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Any

import pytest

from tests.helpers import agreement, oracle
from tests.helpers.question_oracle import (
    ANOTHER,
    TOGETHER,
    Answers,
    Car,
    Range,
    as_ranges,
    is_car_to_be_weighed_again,
    is_decisive,
    may_be,
    questions,
    written,
)
from tests.helpers.tier import by_tier
from tests.helpers.worlds import (
    CANDIDATE,
    CLOSED,
    FREE,
    MAKE,
    MODELS,
    Draw,
    Row,
    World,
    add_plain_statement,
    draw_sources,
)

Record = dict[str, Any]
Cells = Mapping[str, str | None]
At = tuple[int, str]  # world, candidate

SEEDS = (601, 602)
WORLDS = 150  # a seed
CENSUS = 500  # worlds
OFTEN = 3  # times in the census
FORGOTTEN = (*CLOSED, *FREE, "model_year", "built_on", "options", "confirmed", "procedure")
# Every candidate of a screening meets every coach of it, and all of these are asked about.
WORLDS_AT_ONCE = 50
# Of several words of a cell the engine tries one, and of `not` none: it may miss a whole car, which
# the oracle finds by trying them all. It asks for single words all the same.
UNTRIED = f"{TOGETHER}: asked by the oracle alone"
# Of these only what it is about is compared: the oracle knows no figures as answers to them.
FIGURES = ("loaded_weight", "gcwr", "hitch_receiver", "towing_capacity", "coach_gvwr", "gvwr")


def asked(worlds: Sequence[World], folder: Path) -> tuple[dict[At, str], dict[At, list[Record]]]:
    """What the engine says and asks of every candidate behind the coach of its own world."""
    release = agreement.merged_release(worlds, folder)
    verdicts: dict[At, str] = {}
    found: dict[At, list[Record]] = defaultdict(list)
    for weigh_by in ("best_known", "gvwr"):
        of_policy = [k for k, w in enumerate(worlds) if w.policy["weigh_by"] == weigh_by]
        for first in range(0, len(of_policy), WORLDS_AT_ONCE):
            part = of_policy[first : first + WORLDS_AT_ONCE]
            homes = agreement.homes(worlds, part)
            own = {
                (f"w{k}-{car['candidate']}", agreement.coach_name(homes[k], worlds[k])): (
                    k,
                    str(car["candidate"]),
                )
                for k in part
                for car in worlds[k].candidates
            }
            with agreement.screened(worlds, part, release, folder) as screening:
                for row in screening.records("verdict"):
                    if (row["candidate"], row["coach"]) in own:
                        verdicts[own[row["candidate"], row["coach"]]] = row["verdict"]
                for row in screening.records("question"):
                    if (row["candidate"], row["coach"]) in own:
                        found[own[row["candidate"], row["coach"]]].append(row)
    return verdicts, found


def answers_of(k: int, rows: Sequence[Record]) -> dict[str, Answers]:
    """The engine's answers, by what they are about; ids as they stand in their own world."""
    found: dict[str, Answers] = {}
    for row in rows:
        answers = found.setdefault(row["about"], {})
        if row["answer"] is not None:
            # Texts of trim, body style and engine are compared folded.
            answer = re.sub(rf"\bw{k}-", "", row["answer"])
            answer = oracle.fold(answer) if row["about"] in oracle.TEXTS else answer
            answers[answer] = row["verdict"]
    return found


def disagreements(worlds: Sequence[World], folder: Path) -> Iterator[str]:
    """What engine and oracle ask differently, in words."""
    verdicts, found = asked(worlds, folder)
    for k, world in enumerate(worlds):
        for car in cars(world):
            at = (k, str(car.row["candidate"]))
            for said in compared(car, verdicts[at], found.get(at, []), k):
                yield f"world {k}, {at[1]}: {said}"


def half_forgotten(seed: int, count: int) -> list[World]:
    """Drawn worlds; in every second one the candidates lack more of what tells cars apart."""
    rng = Random(seed)
    worlds = agreement.drawn(seed, count)
    return [forgotten(rng, world) if k % 2 else world for k, world in enumerate(worlds)]


def forgotten(rng: Random, world: World) -> World:
    """The same world with candidates of which less is known."""
    share = rng.choice((0.2, 0.5))
    kept = [
        {name: None if name in FORGOTTEN and rng.random() < share else text
         for name, text in row.items()}
        for row in world.candidates
    ]  # fmt: skip
    return replace(world, candidates=kept)


def cars(world: World) -> Iterator[Car]:
    """The candidates of a world behind its coach."""
    weigh_by = world.policy["weigh_by"]
    coach = oracle.read_coach(oracle.Case(world.reference, {}, world.on, weigh_by), world.coach)
    for row in world.candidates:
        yield Car(world.reference, row, coach, world.on, weigh_by)


def compared(car: Car, verdict: str, rows: Sequence[Record], k: int) -> Iterator[str]:
    """A car that is not undetermined is asked nothing; any other the same as by the oracle."""
    if (verdict == "undetermined") is not bool(rows):
        yield f"{verdict}, asked {len(rows)}"
    if not rows:
        return
    if not is_ranked(rows):
        yield f"not the most decisive first: {[(r['about'], r['verdict']) for r in rows]}"
    for row in rows:
        if row["answer"] and (row["verdict"] == "undetermined") is not bool(row["then_ask"]):
            yield f"{row['about']} {row['answer']}: {row['verdict']}, then {row['then_ask']}"
    yield from compared_answers(car, answers_of(k, rows))


def compared_answers(car: Car, ours: dict[str, Answers]) -> Iterator[str]:
    """The same questions, the same answers, and the same verdict promised to each."""
    # A copy: who remembers the answer is asked again.
    theirs = dict(questions(car))
    together = ours.pop(TOGETHER, None)
    # A figure that makes the car suitable is a single answer too.
    is_settled = any(is_decisive(ours.get(about, {})) for about in FIGURES)
    is_asked = theirs.pop(TOGETHER, None) is not None and not is_settled
    yield from compared_together(car, is_asked, together)
    for about in sorted({*theirs, *ours}):
        if about not in theirs or about not in ours:
            yield f"{about}: asked by the {'oracle' if about in theirs else 'engine'} alone"
        elif about == "as_weighed" and not is_car_to_be_weighed_again(car):
            merged = as_ranges(ranges(ours[about])) if ours[about] else {}
            if theirs[about] != merged:
                yield f"{about}: oracle {theirs[about]}, engine {ours[about]}"
        elif about not in (*FIGURES, "as_weighed") and theirs[about] != ours[about]:
            yield f"{about}: oracle {theirs[about]}, engine {ours[about]}"
    yield from broken_bounds(car, ours)
    for answer, verdict in ours.get("gvwr", {}).items():
        if answer.endswith(" or more") and verdict == "suitable":
            yield from compared_or_more(car, answer)


def ranges(answers: Answers) -> list[Range]:
    """Bounds in tenths of a pound, from the lightest answer on."""
    found: list[Range] = []
    for text, verdict in answers.items():
        number = re.search(r"[\d,]+\.\d", text)
        is_open = number is None or text.startswith("more than")
        assert is_open or re.fullmatch(r"more, up to [\d,.]+ lb|[\d,.]+ lb or less", text), text
        top = None if is_open or number is None else number[0].replace(",", "").replace(".", "")
        found.append((None if top is None else int(top), verdict))
    return sorted(found, key=lambda each: (each[0] is None, each[0] or 0))


def broken_bounds(car: Car, ours: dict[str, Answers]) -> Iterator[str]:
    """Each answer is what a car, or a coach, at its end and just behind the last one gets."""
    for about in ("as_weighed", "loaded_weight"):
        found = ranges(ours.get(about, {}))
        below: int | None = None
        for top, verdict in found:
            for at in (top, None if below is None else below + 1):
                if at is None:
                    continue
                typed = f"{written(at)} lb"
                really = (
                    car.verdict_with({"as_weighed": typed})
                    if about == "as_weighed"
                    else car.verdict_loaded(typed)
                )
                if really != verdict:
                    yield f"{about}: {typed} is promised to be {verdict}, and is {really}"
            below = top


def compared_or_more(car: Car, answer: str) -> Iterator[str]:
    """A car that is suitable with a GVWR of so much or more is so with a much greater one."""
    least = float(answer.removesuffix(" lb or more").replace(",", ""))
    for gvwr in (least, least + 10_000):
        verdict = car.verdict_with({"gvwr": f"{gvwr:.1f} lb"})
        if verdict != "suitable":
            yield f"gvwr: {answer} is promised to be suitable, {gvwr:,.1f} lb is {verdict}"


def positions(rows: Sequence[Record]) -> list[int]:
    """The places of questions, row by row."""
    return [row["position"] for row in rows]


def is_ranked(rows: Sequence[Record]) -> bool:
    """Decisive questions first, numbered from 1; each has one reason, and an answer stands once."""
    if len({(row["position"], row["answer"]) for row in rows}) < len(rows):
        return False
    if len({(row["position"], row["because"]) for row in rows}) > len({*positions(rows)}):
        return False
    asked_at: dict[int, Answers] = defaultdict(dict)
    for row in rows:
        asked_at[row["position"]][str(row["answer"])] = row["verdict"]
    decisive = [is_decisive(asked_at[n]) for n in sorted(asked_at)]
    return list(asked_at) == [*range(1, len(asked_at) + 1)] and decisive == sorted(decisive)[::-1]


def compared_together(car: Car, is_asked: bool, ours: Answers | None) -> Iterator[str]:
    """Each whole car that the engine names is suitable when it is typed."""
    if is_asked and not ours:
        yield f"{TOGETHER}: asked by the oracle alone"
    for answer, verdict in (ours or {}).items():
        cells = cells_of(car, answer)
        if verdict != "suitable" or car.verdict_with(cells) != "suitable":
            yield f"{TOGETHER}: {answer} is promised to be {verdict}"
        if not is_asked and "as_weighed" not in cells:
            yield f"{TOGETHER}: asked by the engine alone: {answer}"


def cells_of(car: Car, answer: str) -> dict[str, str]:
    """An answer of several columns, as a person types it: lists grow by what it names."""
    cells = {}
    longest_first = sorted(CANDIDATE, key=len, reverse=True)
    for part in answer.split("; "):
        name = next(n for n in longest_first if part.startswith(n.replace("_", " ") + " "))
        text = part[len(name) + 1 :].removesuffix(" or less")
        had = oracle.listed(car.row, name) if name in ("options", "confirmed") else []
        cells[name] = ", ".join(t for t in (*had, text) if t != "none") or "none"
    return cells


@pytest.mark.parametrize("seed", by_tier(quick=SEEDS[:1], whole=SEEDS))
def test_engine_and_oracle_ask_the_same_of_drawn_worlds(seed: int, tmp_path: Path) -> None:
    found = list(disagreements(half_forgotten(seed, WORLDS), tmp_path))
    assert [said for said in found if not said.endswith(UNTRIED)] == []
    assert len(found) <= WORLDS // 50


# ---------------------------------------------------------------- cases that drawn worlds found


def plain_world(
    group: Cells, car: Cells, gvwr: Cells, coach: Sequence[Row], *others: Cells
) -> World:
    """One permission of one group, whose gvwr may be on record, and a coach on record."""
    draw = Draw(Random(0))
    draw.unchecked = draw.withdrawn = 0
    draw_sources(draw)
    cells = dict.fromkeys((*CLOSED, *FREE), "any") | {"make": MAKE, "model": MODELS[0]}
    cells |= {"model_year_from": "2019", "model_year_to": "2022"}
    added = draw.add("vehicle_group", "source-1", **{**cells, **group})
    for other in others:
        draw.add("vehicle_group", "source-1", **{**cells, **other})
    add_plain_statement(draw, added, "permitted", True)
    own = {"vehicle_group_id": added["vehicle_group_id"], "property": "gvwr"}
    if gvwr:
        draw.add("vehicle_property", "source-1", **{**own, **gvwr})
    key = draw.add("coach", "source-6", name="Brackwater 38")["coach_id"]
    for figure in coach:
        draw.add("coach_property", "source-6", coach_id=key, **figure)
    row: Row = dict.fromkeys(CANDIDATE) | {"candidate": "car 1", "make": MAKE, "model": MODELS[0]}
    return World(draw.reference, [{**row, "model_year": "2021", **car}], str(key))


def speak(world: World, number: int, permission: str = "permitted") -> Draw:
    """Enter what a page says of another group; more may be entered by the same hand."""
    draw = Draw(Random(0))
    draw.unchecked, draw.reference = 0, world.reference
    add_plain_statement(draw, world.reference["vehicle_group"][number], permission, True)
    return draw


def weigh(draw: Draw, number: int, gvwr: str) -> None:
    """Enter the gvwr of a group."""
    key = draw.reference["vehicle_group"][number]["vehicle_group_id"]
    draw.add("vehicle_property", "source-1", vehicle_group_id=key, **pounds("gvwr", gvwr))


def told_apart_by_weight(coach: Sequence[Row]) -> World:
    """Of the markets that no statement names, one has a gvwr on record."""
    world = plain_world({}, {}, {}, coach, {"market": "xa"}, {"market": "ad"})
    weigh(speak(world, 1), 2, "4400")
    return world


def told_apart_by_axle(coach: Sequence[Row]) -> World:
    """A page on each driven axle; the car is of two driven wheels."""
    figure, car = pounds("gvwr", "4400"), {"drivetrain": "two_wheel_drive"}
    front, rear = {"drivetrain": "front_wheel_drive"}, {"drivetrain": "rear_wheel_drive"}
    world = plain_world(front, car, figure, coach, rear)
    speak(world, 1)
    return world


def told_apart_by_steering(coach: Sequence[Row]) -> World:
    """Of what is no hydraulic steering a page permits all, and one has a lower gvwr on record."""
    figure, car = pounds("gvwr", "4500"), {"as_weighed": "4400 lb"}
    named, lighter = {"steering": "not hydraulic"}, {"steering": "electric"}
    world = plain_world({}, car, figure, coach, named, lighter)
    weigh(speak(world, 1), 2, "4300")
    return world


def forbidden_of_another(coach: Sequence[Row]) -> World:
    """A page permits one ignition and drivetrain, another forbids any other ignition."""
    permits = {"ignition": "key", "drivetrain": "front_wheel_drive"}
    world = plain_world(permits, {}, pounds("gvwr", "4400"), coach, {"ignition": "not key"})
    speak(world, 1, "prohibited")
    return world


def described_twice(coach: Sequence[Row]) -> World:
    """Two pages permit the same cars; the year and what it weighs are open."""
    world = plain_world({}, {"model_year": None, "gvwr": "5400 lb"}, {}, coach, {})
    speak(world, 1)
    return world


def besides(world: World, **cells: str | None) -> World:
    """The same world with a second car, of which some cells are otherwise."""
    (car,) = world.candidates
    return replace(world, candidates=[car, {**car, "candidate": "car 2", **cells}])


def pounds(name: str, value: str, **cells: str) -> Row:
    return {"property": name, "value": value, "unit": "lb", **cells}


# What a coach may pull, and one of which all is known but its GCWR, and with it.
PULLED = [pounds("hitch_receiver", "5000"), pounds("towing_capacity", "5000")]
RATED = [*PULLED, pounds("gvwr", "18500"), pounds("loaded_weight", "18000")]
WEIGHED = [*RATED, pounds("gcwr", "23000")]


def test_found_cases(tmp_path: Path) -> None:
    checked: Row = {"value": "4400", "unit": "lb"}
    ratings = [*PULLED, pounds("gcwr", "23000")]
    ticket = pounds("loaded_weight", "18000", also_value="8165", also_unit="kg")  # 18,000.7 lb
    worlds = [
        # The ticket's kilograms are above the gvwr, and its pounds are not.
        plain_world({}, {}, checked, [*ratings, pounds("gvwr", "18000"), ticket]),
        # … above what the GCWR leaves beside a car that was weighed.
        plain_world({}, {"as_weighed": "4400 lb", "gvwr": "4500 lb"}, checked,
                    [*ratings, pounds("gcwr", "22400"), pounds("gvwr", "18500"), ticket]),
        # Two options together, neither of which is enough.
        plain_world({"options_with": "tow package, heavy battery"}, {}, checked, WEIGHED),
        # A text that no group in question names, and another group of the same model does.
        plain_world({"body_style": "not pickup"}, {}, checked, WEIGHED,
                    {"body_style": "wagon", "transmission": "manual"}),
        # A car without options keeps having none where something else is answered.
        plain_world({"options_without": "tow package", "trim": "Summit"}, {"options": "none"},
                    checked, WEIGHED),
        # None of these: all that the car has is listed.
        plain_world({"options_without": "tow package"}, {"options": "air suspension"}, checked,
                    WEIGHED, {"options_with": "air suspension", "transmission": "manual"}),
        # A gvwr that awaits its check: above it the car is not suitable, below it nobody knows.
        plain_world({}, {}, checked | {"checked_by": None, "checked_on": None}, WEIGHED),
        # (another) market: suitable in one of them, and in all the others nobody knows.
        told_apart_by_weight(WEIGHED),
        # (another) steering: suitable without any, and of an electric one nobody knows.
        told_apart_by_steering(WEIGHED),
        # Of two driven wheels both are named: to whoever said so there is no other.
        besides(told_apart_by_axle(WEIGHED), drivetrain=None),
        # (another) ignition is forbidden; of (another) drivetrain nothing is known.
        forbidden_of_another(WEIGHED),
        # One whole car of two pages is one answer.
        described_twice(WEIGHED),
    ]  # fmt: skip
    worlds += [
        # Of a month of building, one bound inside it is enough.
        plain_world({"built_to": "2021-03-15", "transmission": "manual"}, {"built_on": "2021-03"},
                    checked, WEIGHED, {"built_to": "2020-12-31"}, {"built_from": "2021-06-01"}),
        plain_world({"built_from": "2021-03-15", "transmission": "manual"}, {"built_on": "2021-03"},
                    checked, WEIGHED),
        # One option there and another missing: neither answer alone says both.
        plain_world({"options_with": "tow package", "options_without": "heavy battery"}, {},
                    checked, WEIGHED),
        # Both words stand on pages of the model, and only one of them is an answer.
        *(plain_world({"ignition": one}, {}, checked, WEIGHED,
                      {"ignition": other, "transmission": "manual"})
          for one, other in (("key", "button"), ("button", "key"))),
        # A group and a document of one id; the document is of two markets.
        plain_world({"vehicle_group_id": "source-3", "market": "xa"}, {}, checked, WEIGHED),
        # Each car is asked for a rating that holds what it weighs itself.
        besides(plain_world({}, {"as_weighed": "4400 lb"}, {}, WEIGHED), as_weighed="4300 lb"),
    ]  # fmt: skip
    by_gross = [
        # Its curb weight is above its gvwr, and by this policy its ticket decides nothing.
        plain_world({}, {"as_weighed": "4400 lb", "gvwr": "4400 lb", "curb_weight": "4500 lb"},
                    checked, WEIGHED),
        # A gvwr that nobody knows: the greater it is, the more the car counts for.
        plain_world({}, {"as_weighed": "4400 lb"}, {}, WEIGHED),
    ]  # fmt: skip
    worlds += [replace(world, policy={"weigh_by": "gvwr"}) for world in by_gross]
    verdicts = {oracle.verdict(car.checks) for world in worlds for car in cars(world)}
    assert verdicts == {"undetermined"}
    # What no pickup is may be anything else, which the engine does not try.
    assert list(disagreements(worlds, tmp_path)) == [f"world 3, car 1: {UNTRIED}"]


def asked_about(about: str, world: World, folder: Path) -> list[str | None]:
    """The answers that are offered to one question of the one car of a world."""
    _, found = asked([world], folder)
    (rows,) = found.values()
    return [row["answer"] for row in rows if row["about"] == about]


@pytest.mark.parametrize(("curb_weight", "is_offered"), [("5000", True), ("5000.1", False)])
def test_nobody_is_told_to_weigh_a_car_below_what_it_weighs_empty(
    curb_weight: str, is_offered: bool, tmp_path: Path
) -> None:
    figure, coach = pounds("curb_weight", curb_weight), [*RATED, pounds("gcwr", "26000")]
    world = plain_world({"transmission": "manual"}, {"gvwr": "5400 lb"}, figure, coach)
    offered = asked_about(TOGETHER, world, tmp_path)
    assert offered == ["transmission manual; as weighed 5,000.0 lb or less"] * is_offered


@pytest.mark.parametrize(
    ("group", "car", "offered"),
    [
        (
            {"transmission": "manual|planetary_automatic", "ignition": "key"},
            {"transmission": "automatic"},
            "ignition key; transmission planetary automatic",
        ),
        # One word of two attributes.
        (
            {"steering": "electric", "parking_brake": "electric"},
            {},
            "parking brake electric; steering electric",
        ),
    ],
)
def test_a_whole_car_stays_within_what_was_said(
    group: Row, car: Row, offered: str, tmp_path: Path
) -> None:
    world = plain_world(group, car, pounds("gvwr", "4400"), WEIGHED)
    assert asked_about(TOGETHER, world, tmp_path) == [offered]


@pytest.mark.parametrize(
    ("bounds", "built_on"),
    [
        ({}, "2021-03-15"),
        ({"built_from": "2021-03-15"}, "2021-03-15"),
        ({"built_to": "2021-03-15"}, "2021-03-15"),
        ({"built_from": "2021-03-01", "built_to": "2021-03-31"}, "2021-03"),
    ],
)
def test_a_whole_car_does_not_ask_for_the_day_that_is_known(
    bounds: Row, built_on: str, tmp_path: Path
) -> None:
    group: Row = {"transmission": "manual", "ignition": "key", **bounds}
    # Pages on other cars have bounds of their own.
    others: list[Row] = [{"built_to": "2020-12-31"}, {"built_from": "2021-06-01"}]
    car: Row = {"built_on": built_on}
    world = plain_world(group, car, pounds("gvwr", "4400"), WEIGHED, *others)
    assert asked_about(TOGETHER, world, tmp_path) == ["ignition key; transmission manual"]


@pytest.mark.parametrize("is_checked", [True, False])
def test_an_unchecked_rating_promises_no_loaded_weight(is_checked: bool, tmp_path: Path) -> None:
    # The ticket's kilograms are above the gvwr, and its pounds are not.
    ticket = pounds("loaded_weight", "18000", also_value="8165", also_unit="kg")
    unchecked: Row = {} if is_checked else {"checked_by": None, "checked_on": None}
    coach = [*PULLED, pounds("gvwr", "18000"), ticket, pounds("gcwr", "23000") | unchecked]
    car: Row = {"as_weighed": "4400 lb", "gvwr": "4500 lb"}
    world = plain_world({}, car, pounds("gvwr", "4500"), coach)
    offered = asked_about("loaded_weight", world, tmp_path)
    assert offered == (["18,000.0 lb or less", "more"] if is_checked else [None])


@pytest.mark.whole
def test_what_another_word_promises_holds_of_each_other_word(tmp_path: Path) -> None:
    # Nobody can type (another): every word is typed that it may stand for.
    made = (told_apart_by_weight, told_apart_by_axle, told_apart_by_steering, forbidden_of_another)
    worlds = [*(make(WEIGHED) for make in made), *half_forgotten(SEEDS[0], WORLDS)]
    _, found = asked(worlds, tmp_path)
    edited = [replace(world, candidates=[]) for world in worlds]
    promised: dict[At, str] = {}
    for k, world in enumerate(worlds):
        for car in cars(world):
            offered = answers_of(k, found.get((k, str(car.row["candidate"])), []))
            for about in oracle.WORDS:
                verdict = offered.get(about, {}).get(ANOTHER, "undetermined")
                if verdict == "undetermined":
                    continue  # which promises nothing
                for word in may_be(car, about) - {*offered[about]}:
                    name = f"{car.row['candidate']} {about} {word}"
                    edited[k].candidates.append({**car.row, "candidate": name, about: word})
                    promised[k, name] = verdict
    (tmp_path / "again").mkdir()
    kept = [k for k, world in enumerate(edited) if world.candidates]
    verdicts, _ = asked([edited[k] for k in kept], tmp_path / "again")
    assert {(kept[n], name): verdict for (n, name), verdict in verdicts.items()} == promised
    assert len(promised) > OFTEN


def test_drawn_worlds_reach_every_question_and_verdict() -> None:
    asked_of: Counter[str] = Counter()
    promised: Counter[str] = Counter()
    for world in half_forgotten(SEEDS[0], CENSUS):
        for car in cars(world):
            if oracle.verdict(car.checks) == "undetermined":
                found = questions(car)
                assert found, "nothing to ask of an undetermined car"
                for about, answers in found.items():
                    asked_of[about] += 1
                    promised.update(answers.values())
    assert set(asked_of) == {
        *(*oracle.WORDS, *oracle.TEXTS, "model_year", "built_on", "options", "confirmed"),
        *("procedure", "as_weighed", TOGETHER, *FIGURES, "receiver_mode"),
        *("maker", "documents", "check", "owner_manual"),
    }
    rare = {about: number for about, number in asked_of.items() if number < OFTEN}
    assert rare == {}
    assert min(promised[v] for v in ("suitable", "not_suitable", "undetermined")) >= OFTEN
