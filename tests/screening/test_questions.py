"""Questions: what each answer would make of the verdict is what it makes of it when it is typed."""

from __future__ import annotations

import csv
import json
import re
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers import agreement, oracle
from tests.helpers.tier import by_tier
from tests.helpers.worlds import Row
from towdb.contract.model import contract
from towdb.screening import questions as questions_module
from towdb.screening import session as session_module

Record = dict[str, Any]
ON = "2026-01-31"
SPECIAL = ("(another)", "(none of these)", "more", "less")


def typed_answer(row: Row, about: str, answer: str) -> Row | None:
    """The car's row once a person has typed an answer; None: no text says it."""
    match about:
        case "options" if answer == "(none of these)":
            return {**row, "options": row.get("options") or "none", "options_complete": "yes"}
        case "options":
            had = [o for o in (row.get("options") or "").split(", ") if o not in ("", "none")]
            return {**row, "options": ", ".join([*had, answer])}
        case "confirmed":
            return {**row, "confirmed": ", ".join(filter(None, (row.get("confirmed"), answer)))}
        case "built_on":
            return {**row, "built_on": a_day(answer)}
        case "as_weighed" | "gvwr":
            return None if answer in SPECIAL else {**row, about: a_figure(answer)}
        case "all_together" | "hitch_receiver" | "gcwr" | "towing_capacity":
            return None
        case "coach_gvwr" | "loaded_weight":
            return None
    return None if answer in SPECIAL else {**row, about: answer}


def a_figure(answer: str) -> str:
    """The figure that an answer names; beyond one that it excludes, the next tenth."""
    (figure,) = re.findall(r"[0-9,]+\.[0-9]", answer)
    beyond = {"more than": Decimal("0.1"), "less than": Decimal("-0.1")}.get(answer[:9], Decimal(0))
    return f"{Decimal(figure.replace(',', '')) + beyond} lb"


def a_day(answer: str) -> str:
    """A day in the span that an answer names."""
    first, *rest = re.findall(r"\d{4}-\d{2}-\d{2}", answer)
    if answer.startswith("before"):
        return str(date.fromisoformat(first) - timedelta(days=1))
    return str(rest[0] if rest else first)


def questions_of(screening: towdb.Screening, coach: str) -> dict[str, list[Record]]:
    found: dict[str, list[Record]] = defaultdict(list)
    for row in screening.records("question"):
        if row["coach"] == coach:
            found[row["candidate"]].append(row)
    return found


def verdicts_of(screening: towdb.Screening, coach: str) -> dict[str, str]:
    return {
        v["candidate"]: v["verdict"] for v in screening.records("verdict") if v["coach"] == coach
    }


def assert_complete(verdicts: dict[str, str], asked: dict[str, list[Record]]) -> None:
    """An undetermined car has a question, and no other car has one."""
    assert set(asked) == {car for car, verdict in verdicts.items() if verdict == "undetermined"}
    for rows in asked.values():
        assert [r["position"] for r in rows] == sorted(r["position"] for r in rows)
        decisive = [any(r["verdict"] == "suitable" for r in rows if r["position"] == n)
                    for n in range(1, rows[-1]["position"] + 1)]  # fmt: skip
        assert decisive == sorted(decisive, reverse=True)


def assert_known_words(rows: Sequence[Record]) -> None:
    for row in rows:
        tree = oracle.vocabularies().get(row["about"])
        if tree and row["answer"] and row["answer"] not in SPECIAL:
            assert row["answer"] in tree


@pytest.mark.parametrize("seed", by_tier(quick=[3], whole=[3, 4]))
def test_an_answer_typed_brings_the_verdict_promised(seed: int, tmp_path: Path) -> None:
    worlds = agreement.drawn(seed, 300)
    release = agreement.merged_release(worlds, tmp_path)
    cars: dict[str, Row] = {
        f"w{k}-{car['candidate']}": agreement.row_of_world(k, car, "candidate")
        for k, world in enumerate(worlds)
        for car in world.candidates
    }
    with screen_rows(list(cars.values()), release, tmp_path) as screening:
        asked, verdicts = questions_of(screening, "coach"), verdicts_of(screening, "coach")
    assert_complete(verdicts, asked)
    edited: list[Row] = []
    promised: dict[str, str] = {}
    seen: Counter[str] = Counter()
    for name, rows in asked.items():
        assert_known_words(rows)
        for row in rows:
            changed = (
                typed_answer(cars[name], row["about"], row["answer"]) if row["answer"] else None
            )
            if changed is not None:
                key = f"{len(edited)}"
                edited.append({**changed, "candidate": key})
                promised[key] = row["verdict"]
                seen[row["about"]] += 1
    with screen_rows(edited, release, tmp_path) as screening:
        again = verdicts_of(screening, "coach")
    wrong = {key: (again[key], promised[key]) for key in promised if again[key] != promised[key]}
    assert wrong == {}
    assert len(seen) >= 8, seen
    counted = Counter(promised.values())
    assert min(counted[verdict] for verdict in ("suitable", "not_suitable", "undetermined")) >= 10


def screen_rows(
    rows: Sequence[Row], release: Path, folder: Path, **options: Any
) -> towdb.Screening:
    agreement.write_rows(folder / "cars.csv", rows)
    coach = options.pop("coach", DEMO / "coach.toml")
    return towdb.screen(folder / "cars.csv", coach=coach, reference=release, on=ON, **options)


def demo_cars() -> list[Row]:
    """The cars of the demo; bare figures are pounds."""
    with (DEMO / "shortlist.csv").open(encoding="utf-8", newline="") as file:
        return [{**row, "weight_unit": "lb"} for row in csv.DictReader(file)]


def test_the_question_of_the_demo(demo_release: Path) -> None:
    with towdb.screen(
        DEMO / "shortlist.csv", coach=DEMO / "coach.toml", reference=demo_release, on=ON
    ) as screening:
        asked = questions_of(screening, "coach")
        first = [row for row in asked["pika 22 sand"] if row["position"] == 1]
        assert [(row["about"], row["answer"], row["verdict"]) for row in first] == [
            ("transfer_case", "single_speed", "not_suitable"),
            ("transfer_case", "two_speed_with_neutral", "suitable"),
            ("transfer_case", "two_speed_without_neutral", "not_suitable"),
            ("transfer_case", "(another)", "undetermined"),
        ]
        frame = screening.questions
        assert list(frame["candidate"].unique()) == list(asked)
        abouts = {car: rows[0]["about"] for car, rows in asked.items()}
        assert abouts["fjell 23 grey"] == "check"
        assert abouts["sedge 20"] == "documents"
        assert abouts["gannet dct"] == "maker"
        assert abouts["wicket 21 red"] == "owner_manual"


def test_the_threshold_typed_back_is_met_and_a_tenth_more_is_not(
    demo_release: Path, tmp_path: Path
) -> None:
    # A car with a permission of its own, and of unknown weight.
    car: Row = {"candidate": "a", "make": "Quillon", "model": "Pika", "model_year": "2021",
           "market": "xa", "powertrain": "gasoline", "transmission": "planetary_automatic",
           "transfer_case": "two_speed_with_neutral", "gvwr": "4,900 lb"}  # fmt: skip
    with screen_rows([car], demo_release, tmp_path) as screening:
        (less, _) = [r for r in screening.records("question") if r["about"] == "as_weighed"]
    figure = less["answer"].removesuffix(" lb or less").replace(",", "")
    assert less["verdict"] == "suitable"
    more = f"{float(figure) + 0.1:.1f}"
    rows = [
        {**car, "candidate": f"{n}", "as_weighed": f"{w} lb"} for n, w in enumerate((figure, more))
    ]
    with screen_rows(rows, demo_release, tmp_path) as screening:
        assert verdicts_of(screening, "coach") == {"0": "suitable", "1": "not_suitable"}


# The pound is exactly 0.45359237 kg: 4,000 lb are 1,814.36948 kg.
@pytest.mark.parametrize(
    ("kilograms", "at_most", "at_least"),
    [
        ("1814.36948 kg", "4,000.0 lb or less", "4,000.0 lb or more"),
        ("1814.3694799 kg", "3,999.9 lb or less", "4,000.0 lb or more"),
        ("1814.3694801 kg", "4,000.0 lb or less", "4,000.1 lb or more"),
    ],
)
def test_a_threshold_is_never_rounded_to_the_unsafe_side(
    kilograms: str, at_most: str, at_least: str, demo_release: Path, tmp_path: Path
) -> None:
    coach = write_coach(tmp_path / "coach.toml", {**WHOLE_COACH, "hitch_receiver": kilograms})
    car: Row = {**PERMITTED, "candidate": "a", "gvwr": "4,900 lb"}
    with screen_rows([car], demo_release, tmp_path, coach=coach) as screening:
        asked = [q["answer"] for q in screening.records("question") if q["about"] == "as_weighed"]
    assert asked[0] == at_most
    known = {name: value for name, value in WHOLE_COACH.items() if name != "hitch_receiver"}
    coach = write_coach(tmp_path / "coach.toml", known)
    with screen_rows(
        [{**car, "as_weighed": kilograms}], demo_release, tmp_path, coach=coach
    ) as screening:
        answers = [row["answer"] for row in screening.records("question")]
    assert answers[0] == at_least


def test_where_no_single_answer_is_enough_the_whole_car_is_named(
    demo_release: Path, tmp_path: Path
) -> None:
    bare: Row = {"candidate": "a", "make": "Quillon", "model": "Pika", "model_year": "2021"}
    with screen_rows([bare], demo_release, tmp_path) as screening:
        first = [r for r in screening.records("question") if r["position"] == 1]
    assert {(r["about"], r["verdict"]) for r in first} == {("all_together", "suitable")}
    # Typed as the answer reads, each of them is suitable.
    known = ("market", "powertrain", "transfer case", "transmission")
    rows: list[Row] = []
    for number, row in enumerate(first):
        cells = {}
        for part in row["answer"].split("; "):
            name = next(name for name in known if part.startswith(name))
            cells[name.replace(" ", "_")] = part.removeprefix(name).strip()
        rows.append({**bare, **cells, "candidate": f"{number}"})
    with screen_rows(rows, demo_release, tmp_path) as screening:
        assert set(verdicts_of(screening, "coach").values()) == {"suitable"}


@pytest.mark.parametrize(
    ("attribute", "said"), [("transmission", "automatic"), ("drivetrain", "four_driven_wheels")]
)
def test_who_said_a_broad_word_is_offered_what_lies_inside_it(
    attribute: str, said: str, demo_release: Path, tmp_path: Path
) -> None:
    car: Row = {**PERMITTED, "candidate": "a", attribute: said}
    coach = write_coach(tmp_path / "coach.toml", WHOLE_COACH)
    with screen_rows([car], demo_release, tmp_path, coach=coach) as screening:
        asked = [q["answer"] for q in screening.records("question") if q["about"] == attribute]
    inside = contract().vocabularies[attribute].leaves(said)
    assert {*asked} - {*SPECIAL} <= {*inside}
    assert asked or attribute != "transmission"


def test_a_car_of_which_nothing_is_known(demo_release: Path, tmp_path: Path) -> None:
    with screen_rows([{"candidate": "a"}], demo_release, tmp_path) as screening:
        abouts = [row["about"] for row in screening.records("question")]
    assert abouts[0] == "owner_manual"
    assert "as_weighed" in abouts


# A coach of which everything is known, and what is left out of it in turn.
WHOLE_COACH = {
    "hitch_receiver": "5000 lb", "gcwr": "26000 lb", "gvwr": "22500 lb",
    "towing_capacity": "none stated", "loaded_weight": "21,300.5 lb",
}  # fmt: skip
PERMITTED: Row = {
    "make": "Quillon", "model": "Pika", "model_year": "2021", "market": "xa",
    "powertrain": "gasoline", "transmission": "planetary_automatic",
    "transfer_case": "two_speed_with_neutral",
}  # fmt: skip


def write_coach(path: Path, properties: Mapping[str, str | list[str]]) -> Path:
    lines = [
        f"{name} = {json.dumps(value, ensure_ascii=False)}" for name, value in properties.items()
    ]
    path.write_text("\n".join(["[properties]", *lines]), "utf-8")
    return path


@pytest.mark.parametrize("weight", ["4,400 lb", "1,995.806428 kg", "3,907.3 lb"])
@pytest.mark.parametrize(
    "missing",
    [
        ("hitch_receiver",), ("gcwr",), ("towing_capacity",), ("loaded_weight",),
        ("loaded_weight", "gvwr"), ("gvwr",), ("gcwr", "hitch_receiver"),
    ],
)  # fmt: skip
def test_a_figure_typed_into_the_coach_file_brings_the_verdict_promised(
    missing: tuple[str, ...], weight: str, demo_release: Path, tmp_path: Path
) -> None:
    known = {name: value for name, value in WHOLE_COACH.items() if name not in missing}
    coach = write_coach(tmp_path / "known.toml", known)
    car: Row = {**PERMITTED, "candidate": "a", "as_weighed": weight}
    with screen_rows([car], demo_release, tmp_path, coach=coach) as screening:
        asked = screening.records("question")
    of_the_coach = {"coach_gvwr": "gvwr"}
    promised = {}
    for number, row in enumerate(asked):
        name = of_the_coach.get(row["about"], row["about"])
        assert name in missing
        if row["answer"] is None:
            continue
        if row["answer"] in ("more", "less"):
            # A tenth beyond the figure of the answer before.
            step = 0.1 if row["answer"] == "more" else -0.1
            typed = f"{asked[number - 1]['figure_lb'] + step:.1f} lb"
        else:
            typed = re.sub(" or (less|more)$", "", row["answer"])
            if typed != row["answer"]:
                # What a coach may weigh is enough from below, what it is rated for from above.
                side = "less" if name == "loaded_weight" else "more"
                assert row["answer"] == f"{row['figure_lb']:,.1f} lb or {side}"
        path = write_coach(tmp_path / f"answer-{number}.toml", {**known, name: typed})
        promised[path.stem] = (path, row["verdict"], row["then_ask"])
    assert promised
    if len(missing) == 1 and promised:
        assert {verdict for _, verdict, _ in promised.values()} >= {"suitable"}
    coaches = [path for path, _, _ in promised.values()]
    if coaches:
        with screen_rows([car], demo_release, tmp_path, coach=coaches) as screening:
            again = {row["coach"]: row["verdict"] for row in screening.records("verdict")}
            next_asked = {
                row["coach"]: row["about"] for row in reversed(screening.records("question"))
            }
        assert again == {stem: verdict for stem, (_, verdict, _) in promised.items()}
        for stem, (_, verdict, then_ask) in promised.items():
            assert (then_ask is None) == (verdict != "undetermined")
            if then_ask is not None:
                assert stem in next_asked


def test_what_is_asked_of_several_cars_is_told_once_what_settles_most_first(
    demo_release: Path, tmp_path: Path
) -> None:
    bare: Row = {"make": "Quillon", "model": "Pika", "model_year": "2021"}
    known: Row = {**PERMITTED, "transfer_case": None}
    rows: list[Row] = [
        {**bare, "candidate": "a"}, {**known, "candidate": "b"}, {**known, "candidate": "c"},
        {**PERMITTED, "candidate": "d"}, {"candidate": "e"},
    ]  # fmt: skip
    with screen_rows(rows, demo_release, tmp_path) as screening:
        asked = screening.records("question")
        told = screening.records("to_find_out")
    by_hand: dict[str, list[set[str]]] = defaultdict(lambda: [set(), set(), set()])
    for row in asked:
        if row["about"] != "all_together":
            cars, settled, made_suitable = by_hand[row["about"]]
            cars.add(row["candidate"])
            if row["verdict"] in ("suitable", "not_suitable"):
                settled.add(row["candidate"])
            if row["verdict"] == "suitable":
                made_suitable.add(row["candidate"])
    counts = {about: tuple(map(len, sets)) for about, sets in by_hand.items()}
    found = {row["about"]: (row["cars"], row["settled"], row["made_suitable"]) for row in told}
    assert found == counts
    order = [(-row["settled"], -row["made_suitable"], -row["cars"]) for row in told]
    assert order == sorted(order)
    assert found["transfer_case"][0] >= 2


def test_of_many_cars_one_of_each_configuration_is_asked_about(
    demo_release: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Every car of the demo stands there as often as its place, behind three coaches.
    rows: list[Row] = [
        {**row, "candidate": f"{row['candidate']} ({n})"}
        for place, row in enumerate(demo_cars(), start=1)
        for n in range(place)
    ]
    options = {"coach": [DEMO / "coach.toml", "nordhal-700", "ferrow-26"]}

    def told() -> tuple[list[Record], towdb.Summary, int]:
        with screen_rows(rows, demo_release, tmp_path, **options) as screening:
            summary = screening.summary()
            candidates = {row["candidate"] for row in screening.records("question")}
            return screening.records("to_find_out"), summary, len(candidates)

    each, summary, candidates = told()
    undetermined = summary.verdicts["undetermined"].sum()
    assert summary.asked_about == undetermined > candidates
    monkeypatch.setattr(session_module, "EACH_UP_TO", len(rows) - 1)
    alike, summary, fewer = told()
    assert alike == each
    assert (summary.asked_about, fewer < candidates) == (undetermined, True)
    # Of the commonest only.
    monkeypatch.setattr(questions_module, "CONFIGURATIONS_UP_TO", 2)
    commonest, summary, fewest = told()
    assert fewest <= 2
    assert summary.asked_about is not None
    assert undetermined > summary.asked_about >= 2 * undetermined // len(rows)
    assert commonest == summary.questions.to_dict("records") != each


def test_the_coach_that_was_not_weighed_is_asked_for(demo_release: Path, tmp_path: Path) -> None:
    coach = tmp_path / "light.toml"
    coach.write_text(
        '[properties]\nhitch_receiver = "5000 lb"\ngcwr = "26000 lb"\ngvwr = "22500 lb"\n'
        'towing_capacity = "none stated"\n', "utf-8",
    )  # fmt: skip
    car: Row = {"candidate": "a", "make": "Quillon", "model": "Pika", "model_year": "2021",
           "market": "xa", "powertrain": "gasoline", "transmission": "planetary_automatic",
           "transfer_case": "two_speed_with_neutral", "as_weighed": "4,400 lb"}  # fmt: skip
    with screen_rows([car], demo_release, tmp_path, coach=coach) as screening:
        asked = screening.records("question")
    # 26,000 lb for both together; 4,400 lb are the car's.
    assert [(row["about"], row["answer"], row["verdict"]) for row in asked] == [
        ("loaded_weight", "21,600.0 lb or less", "suitable"),
        ("loaded_weight", "more", "not_suitable"),
    ]


def test_a_coach_is_asked_the_same_alone_and_beside_others(
    demo_release: Path, tmp_path: Path
) -> None:
    rows: list[Row] = [
        *demo_cars(),
        {**PERMITTED, "transfer_case": None, "candidate": "open"},
        {"candidate": "bare"},
    ]
    known = {name: value for name, value in WHOLE_COACH.items() if name != "gcwr"}
    coaches: list[Path | str] = [
        DEMO / "coach.toml",
        "nordhal-700",
        write_coach(tmp_path / "no-gcwr.toml", known),
    ]

    def told(*each: Path | str) -> list[Record]:
        with screen_rows(rows, demo_release, tmp_path, coach=list(each)) as screening:
            return screening.records("question")

    assert told(*coaches) == [row for coach in coaches for row in told(coach)]
