"""A screening in numbers: against a plain count of its verdicts, and against screening again."""

from __future__ import annotations

import json
import re
from collections import Counter
from decimal import Decimal
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.agreement import drawn, merged_release, screened
from tests.helpers.cars_drawn import write
from tests.helpers.command import Command
from towdb.intake.coaches import Coach, CoachLike, Figure, find_coaches
from towdb.screening.summary import RAISED

ON = "2026-01-31"
SHORTLIST, COACH = DEMO / "shortlist.csv", DEMO / "coach.toml"
VERDICTS = ("suitable", "not_suitable", "undetermined")
RAISES = ("500 lb", "1000 lb", "100 kg")
RATINGS = {
    "hitch_receiver": "2000 lb", "gcwr": "22000 lb", "towing_capacity": "2000 lb",
    "gvwr": "21000 lb", "loaded_weight": "20000 lb",
}  # fmt: skip
RAISED_OF_DEMO = ("hitch_receiver", "gcwr", "towing_capacity")


def counts(rows: pd.DataFrame) -> dict[str, int]:
    found = Counter(rows["verdict"])
    return {verdict: found[verdict] for verdict in VERDICTS}


def told(row: Any) -> dict[str, int]:
    return {verdict: int(row[verdict]) for verdict in VERDICTS}


# ---------------------------------------------------------------- counts


def test_summary_counts_are_those_of_the_verdict_file(demo_release: Path, tmp_path: Path) -> None:
    coaches: list[CoachLike] = [COACH, "nordhal-700", "ferrow-26"]
    path = tmp_path / "verdicts.csv"
    with towdb.screen(SHORTLIST, coach=coaches, reference=demo_release, on=ON) as screening:
        screening.write(path)
        summary = screening.summary(["drivetrain", "lot"])
    verdicts = pd.read_csv(path)
    cars = pd.read_csv(SHORTLIST, dtype=str)
    merged = verdicts.merge(cars[["candidate", "drivetrain", "lot"]], on="candidate")
    for coach, rows in merged.groupby("coach"):
        of = summary.verdicts[summary.verdicts["coach"] == coach]
        (total,) = of[of["scope"] == "all"].to_dict("records")
        assert told(total) == counts(rows)
        groups = of[of["scope"] == "group"]
        assert groups["cars"].sum() == len(rows)
        # Front-wheel drive is typed in two ways.
        front = groups[groups["drivetrain"] == "front_wheel_drive"]
        typed = rows[
            rows["drivetrain"].isin(["fwd", "FWD", "front-wheel drive", "front wheel drive"])
        ]
        assert {v: front[v].sum() for v in VERDICTS} == counts(typed)
        decided = summary.governing[summary.governing["coach"] == coach]
        plain = Counter(zip(rows["verdict"], rows["governing_check"], strict=True))
        assert (
            Counter(
                {
                    key: int(n)
                    for key, n in decided.groupby(["verdict", "governing_check"])["cars"]
                    .sum()
                    .items()
                }
            )
            == plain
        )


def raised_coach(coach: Coach, kg: Decimal) -> Coach:
    figures = [
        Figure(f.property, f.text, f.low_kg and f.low_kg + kg, f.high_kg and f.high_kg + kg,
               f.word, f.read_from, f.checked, f.key)
        if f.property in RAISED else f
        for f in coach.figures
    ]  # fmt: skip
    return Coach(coach.coach, coach.name, tuple(figures))


@pytest.mark.parametrize("seed", [3])
def test_drawn_worlds_are_counted_as_they_are_screened(tmp_path: Path, seed: int) -> None:
    # Each world's candidates behind all typed coaches, and behind the same ones raised.
    worlds = [
        world for world in drawn(seed, 60)
        if world.policy["weigh_by"] == "best_known" and not isinstance(world.coach, str)
    ]  # fmt: skip
    numbers = list(range(len(worlds)))
    release = merged_release(worlds, tmp_path)
    pound = Decimal("0.45359237")
    with screened(worlds, numbers, release, tmp_path) as screening:
        verdicts = screening.verdicts
        summary = screening.summary("model_year", raises=RAISES)
        coaches = screening.coaches
    for coach, rows in verdicts.groupby("coach"):
        of = summary.verdicts[summary.verdicts["coach"] == coach]
        assert told(of[of["scope"] == "all"].iloc[0]) == counts(rows)
        assert {v: of[of["scope"] == "group"][v].sum() for v in VERDICTS} == counts(rows)
    assert len(set(verdicts["verdict"])) == 3
    differs = 0
    for kg in (500 * pound, 1000 * pound, Decimal(100)):
        again = towdb.screen(
            tmp_path / "shortlist.csv", coach=[raised_coach(c, kg) for c in coaches],
            reference=release, on=worlds[0].on,
        )  # fmt: skip
        with again:
            higher = again.verdicts
        pounds = round(float(kg / pound), 6)
        of = summary.raised[
            (summary.raised["raised_lb"] == pounds) & (summary.raised["scope"] == "all")
        ]
        for row in of.to_dict("records"):
            rows = higher[higher["coach"] == row["coach"]]
            before = counts(verdicts[verdicts["coach"] == row["coach"]])
            assert told(row) == counts(rows)
            assert row["adds"] == counts(rows)["suitable"] - before["suitable"]
            differs += told(row) != before
    assert differs > 0


def test_what_a_higher_rating_adds_is_what_an_edited_coach_file_adds(
    demo_release: Path, tmp_path: Path
) -> None:
    with towdb.screen(SHORTLIST, coach=COACH, reference=demo_release, on=ON) as screening:
        raised = screening.summary().raised
    text = COACH.read_text("utf-8")
    edited = tmp_path / "coach.toml"
    for row in raised.to_dict("records"):
        by = int(row["raised_lb"])
        higher = re.sub(
            r'(hitch_receiver|gcwr|towing_capacity)( = \{ value = ")(\d+) lb',
            lambda m, by=by: f"{m[1]}{m[2]}{int(m[3]) + by} lb",  # type: ignore[misc]
            text,
        )
        assert higher.count(f"{5000 + by} lb") == 2
        edited.write_text(higher, "utf-8")
        with towdb.screen(SHORTLIST, coach=edited, reference=demo_release, on=ON) as again:
            assert told(row) == counts(again.verdicts)
    assert raised["adds"].tolist() == [0, 1, 2]


@pytest.mark.parametrize("left_out", RAISED_OF_DEMO)
def test_a_higher_rating_never_makes_up_for_what_is_not_known(
    left_out: str, demo_release: Path, tmp_path: Path
) -> None:
    """A rating that nobody has read stays unknown, and what no page permits is not permitted."""
    known = {name: text for name, text in RATINGS.items() if name != left_out}
    coaches = []
    for name, figures in (("whole", RATINGS), ("lacking", known)):
        coaches.append(tmp_path / f"{name}.toml")
        lines = [f'{property} = "{text}"' for property, text in figures.items()]
        coaches[-1].write_text("\n".join(["[properties]", *lines]), "utf-8")
    with towdb.screen(coach=coaches, reference=demo_release, on=ON) as screening:
        raised = screening.summary(raises=["500 lb", "9000 lb"]).raised
        verdicts = screening.verdicts
    assert list(raised[raised["coach"] == "lacking"]["suitable"]) == [0, 0]
    whole = verdicts[verdicts["coach"] == "whole"]
    permitted = whole[
        (whole["permission_outcome"] == "met") & (whole["procedure_outcome"] == "met")
    ]
    most = raised[raised["coach"] == "whole"]["suitable"]
    assert 0 < most.max() <= len(permitted) < len(whole)


def test_without_an_attribute_there_is_no_group(demo_release: Path) -> None:
    with towdb.screen(SHORTLIST, coach=COACH, reference=demo_release, on=ON) as screening:
        summary = screening.summary(raises=RAISES)
    assert summary.verdicts["scope"].tolist() == ["all"]
    assert summary.raised["scope"].tolist() == ["all"] * len(RAISES)


def test_a_summary_changes_no_later_answer(demo_release: Path) -> None:
    with towdb.screen(SHORTLIST, coach=COACH, reference=demo_release, on=ON) as screening:
        before = screening.verdicts
        first = screening.summary("make").document()
        assert screening.sql("select count(*) as n from verdict")["n"].tolist() == [12]
        # Asked again, after queries were let in and with other groups.
        screening.summary(["model_year", "lot"])
        assert screening.summary("make").document() == first
        pd.testing.assert_frame_equal(screening.verdicts, before)


def test_many_cars_are_summarised_as_few_are(demo_release: Path, tmp_path: Path) -> None:
    # More than 100 cars are planned and streamed, fewer are not.
    few = pd.read_csv(SHORTLIST, dtype=str)
    many = pd.concat([few.assign(candidate=few["candidate"] + f" {n}") for n in range(20)])
    asked = {"coach": COACH, "reference": demo_release, "on": ON}
    with towdb.screen(few, **asked) as a, towdb.screen(many, **asked) as b:  # type: ignore[arg-type]
        for name in ("verdicts", "governing", "raised", "questions", "gaps"):
            one, other = (getattr(s.summary("drivetrain"), name) for s in (a, b))
            figures = [c for c in one.columns if one[c].dtype.kind == "i"]
            one[figures] *= 20
            pd.testing.assert_frame_equal(one, other, check_dtype=False)


# ---------------------------------------------------------------- the command


@pytest.mark.parametrize(
    ("options", "wrong"),
    [
        (["--by", "lot"], "--by goes with --summary"),
        (["--plot", "x.png"], "--plot goes with --summary"),
        (["--summary", "--by", "drivetran"], "did you mean drivetrain?"),
        (["--summary", "--plot", "x.jpg"], ".png or .svg"),
        (["--summary", "--sql", "select 1"], "choose one of them"),
        (["--summary", "-o", "x.parquet"], "no format"),
    ],
)
def test_a_wrong_call_is_refused(
    command: Command, demo_release: Path, options: list[str], wrong: str
) -> None:
    asked = ("screen", SHORTLIST, "--coach", COACH, "--reference", demo_release)
    assert wrong in command.refused(*asked, *options)


def test_every_form(command: Command, demo_release: Path, tmp_path: Path) -> None:
    asked = ("screen", SHORTLIST, "--coach", COACH, "--reference", demo_release, "--on", ON,
             "--summary", "--by", "drivetrain")  # fmt: skip
    document = json.loads(command(*asked, "--format", "json").out)
    assert (document["cars"], document["coaches"], document["by"]) == (
        12,
        ["coach"],
        ["drivetrain"],
    )
    assert document["raised_together"] == list(RAISED)
    assert document["verdicts"][0] == {
        "coach": "coach", "scope": "all", "drivetrain": None, "cars": 12, "suitable": 3,
        "not_suitable": 3, "undetermined": 6,
    }  # fmt: skip
    target = tmp_path / "s.csv"
    assert command(*asked, "-o", target).out == ""
    first, every = pd.read_csv(target).to_dict("records")[:2]
    assert (first["scope"], first["rows_read"], first["rows_set_aside"]) == ("read", 12, 0)
    assert (every["scope"], every["cars"]) == ("all", 12)
    out = command(*asked).out
    assert "receiver, GCWR and towing capacity together" in " ".join(out.split())
    assert out.count("qualified installer decide") == 1


def test_no_car_comes_to_no_verdict(command: Command, demo_release: Path, tmp_path: Path) -> None:
    cars = write(tmp_path / "cars.csv", "candidate,make,model", [])
    said = command("screen", cars, "--coach", COACH, "--reference", demo_release, "--summary",
                   "--plot", tmp_path / "m.svg")  # fmt: skip
    assert (said.status, said.err) == (0, "")
    assert "0 cars behind coach" in said.out


def test_a_coach_file_is_found_as_screening_finds_it() -> None:
    (coach,) = find_coaches(COACH, {})
    assert set(RAISED) & {figure.property for figure in coach.figures}


def test_a_fleet_is_told_in_one_table(command: Command, demo_release: Path, tmp_path: Path) -> None:
    coaches = []
    for n in range(21):
        coaches.append(tmp_path / f"coach-{n:02}.toml")
        coaches[-1].write_text(COACH.read_text("utf-8"), "utf-8")
    with towdb.screen(SHORTLIST, coach=coaches, reference=demo_release, on=ON) as screening:
        summary = screening.summary()
    with towdb.screen(SHORTLIST, coach=COACH, reference=demo_release, on=ON) as screening:
        alone = screening.summary()
    assert summary.asked_about is None
    assert summary.questions.empty
    assert list(summary.questions.columns) == list(alone.questions.columns)
    assert "transfer_case" in set(alone.questions["about"])
    for name in ("verdicts", "raised"):
        one = getattr(alone, name).drop(columns="coach")
        for _, rows in getattr(summary, name).groupby("coach"):
            pd.testing.assert_frame_equal(rows.drop(columns="coach").reset_index(drop=True), one)
    run = command(
        "screen", SHORTLIST, "--reference", demo_release, "--summary", "--on", ON,
        *(part for coach in coaches for part in ("--coach", coach)),
    )  # fmt: skip
    assert (run.status, run.err) == (0, "")
    out = run.out
    assert "12 cars behind 21 coaches" in out
    assert "shown for up to 20 coaches" in out
    assert all(f"coach-{n:02}" in out for n in range(21))
    assert "What is still to find out" not in out
