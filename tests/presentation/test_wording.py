"""What a screening says in sentences: counts, sides and pages, each with the next one beside it."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.agreement import write_rows
from tests.helpers.worlds import Row
from towdb.contract.grammar import Fault, fault
from towdb.contract.model import contract
from towdb.contract.rounding import pounds_down
from towdb.intake.coaches import Figure, coach_fields, coach_of, find_coaches
from towdb.presentation.explanation import explanation_lines
from towdb.presentation.verdicts import ANSWERS_SHOWN, question_in_short
from towdb.screening.document import document
from towdb.wording.sentences import step_text

Record = dict[str, Any]
COACH = DEMO / "coach.toml"
WHERE = "the build sheet"


@pytest.fixture
def told(demo_release: Path) -> Record:
    with towdb.screen(DEMO / "shortlist.csv", coach=COACH, reference=demo_release) as screening:
        (found,) = document(screening)["screenings"]
    assert isinstance(found, dict)
    return found


def question(about: str, *answers: tuple[str, str]) -> Record:
    said = [{"value": value, "verdict": verdict, "bound": None} for value, verdict in answers]
    return {"about": about, "because": "why: it holds", "where": WHERE, "answers": said}


def test_a_step_stands_with_what_it_depends_on() -> None:
    row = {"text": "Shift to neutral", "quote": "Shift.", "only_when": "below -10 degC"}
    assert step_text(row) == "Shift to neutral (below -10 degC)"
    assert step_text(row | {"only_when": None}) == "Shift to neutral"
    assert step_text(row | {"only_when": None, "text": None}) == "Shift."


# 4,000 lb are exactly 1,814.36948 kg.
@pytest.mark.parametrize(
    ("kilograms", "pounds"),
    [("1814.36948", "4000"), ("1814.3694798", "4000"), ("1814.3694", "3999.9")],
)
def test_a_limit_goes_down_to_a_tenth(kilograms: str, pounds: str) -> None:
    assert pounds_down(Decimal(kilograms)) == Decimal(pounds)


@pytest.mark.parametrize(
    ("settling", "also"), [(1, ""), (2, " (or 1 other)"), (3, " (or 2 others)")]
)
def test_other_whole_cars_are_counted(settling: int, also: str) -> None:
    whole = [(f"ignition key; year {n}", "suitable") for n in range(settling)]
    said = question_in_short(question("all_together", *whole), "lb")
    assert said == f"Suitable if: ignition key; year 0{also}"


@pytest.mark.parametrize("more", [0, 1, 3])
def test_options_that_are_not_shown_are_counted(more: int) -> None:
    options = [f"option {n}" for n in range(ANSWERS_SHOWN + more)]
    asked = question("options", *((o, "undetermined") for o in (*options, "(none of these)")))
    also = f" or {more} others" if more else ""
    shown = ", ".join(options[:ANSWERS_SHOWN])
    assert question_in_short(asked, "lb") == f"Find out whether it has: {shown}{also} ({WHERE})"


def test_a_condition_is_told_by_what_it_settles() -> None:
    open_, settled = (question("confirmed", ("g", v)) for v in ("undetermined", "suitable"))
    assert question_in_short(open_, "lb") == "Check whether this is true: it holds"
    assert question_in_short(settled, "lb") == "Suitable if this is true: it holds"


def test_margins_are_over_or_to_spare(told: Record) -> None:
    lines = [line for line in explanation_lines(told, "lb") if " of " in line and "lb" in line]
    ends = {
        (outcome, end)
        for line in lines
        for outcome in (": met: ", ": not met: ")
        for end in ("over", "to spare")
        if outcome in line and line.endswith(end)
    }
    assert ends == {(": met: ", "to spare"), (": not met: ", "over")}


def test_every_condition_stands_with_its_page(told: Record) -> None:
    conditions = [c for car in told["candidates"] for c in car["conditions"]]
    assert conditions
    for condition in conditions:
        assert condition["citations"]
        assert all(cited["locator"] and cited["title"] for cited in condition["citations"])
    assert {"accessory", "step", "fuse", "speed"} <= {c["kind"] for c in conditions}


def test_a_coach_is_told_with_what_is_wrong_with_it(demo_release: Path, tmp_path: Path) -> None:
    path = tmp_path / "brack.toml"
    path.write_text(
        "name = 'Brackwater'\n[properties]\ngvwr = '22000 lb'\ngcwr = '21000 lb'\n"
        "towing_capacity = 'none stated'\nreceiver_height = '18 in'\n",
        "utf-8",
    )
    write_rows(tmp_path / "cars.csv", [{"candidate": "a"}])
    with towdb.screen(tmp_path / "cars.csv", coach=path, reference=demo_release) as screening:
        coach = document(screening)["screenings"][0]["coach"]
        kept = coach_of(coach_fields(screening.coaches[0]))
    assert (kept,) == screening.coaches == find_coaches(path, {})
    height = Figure("receiver_height", "18 in", None, None, None, "not stated", checked=True)
    assert kept.figures[-1] == height
    assert coach["cautions"] == [
        "Brackwater: its GCWR is below its GVWR; one of the two was misread"
    ]
    words = {f["property"]: f.get("word") for f in coach["figures"]}
    assert words == {"gcwr": None, "gvwr": None, "towing_capacity": "none_stated"}
    assert all(figure["checked"] for figure in coach["figures"])


@pytest.mark.parametrize(("length", "shown"), [(60, "~" * 60), (61, "~" * 57 + "…")])
def test_a_long_text_is_cut_where_it_is_told(length: int, shown: str) -> None:
    wrong = fault(contract().tables["vehicle_group"].field("ignition"), "~" * length)
    assert wrong is not None
    assert wrong.message == f"unknown word {shown!r}"


def test_an_alias_is_told_with_its_word() -> None:
    field = contract().tables["vehicle_group"].field("ignition")
    message = "'push button' is an alias; reference files need the full word"
    assert fault(field, "push button") == Fault("word", message, "write button")


def test_what_is_no_whole_number_is_told() -> None:
    field = contract().tables["procedure_step"].field("step_no")
    assert fault(field, "2.5") == Fault("type", "not a whole number", "write digits only")


@pytest.mark.parametrize(
    ("typed", "close"),
    [("tow mode pakage", "; did you mean tow mode package?"), ("sun roof", "")],
)
def test_an_option_that_no_page_knows_is_told_with_the_nearest(
    typed: str, close: str, demo_release: Path, tmp_path: Path
) -> None:
    car: Row = {"candidate": "a", "make": "Miradec", "model": "Tussock", "options": typed}
    write_rows(tmp_path / "cars.csv", [car])
    with towdb.screen(tmp_path / "cars.csv", coach=COACH, reference=demo_release) as screening:
        (candidate,) = document(screening)["screenings"][0]["candidates"]
    said = f"No checked page of this model mentions the option {typed}{close}: correct or remove it"
    assert any(remark.startswith(said) for remark in candidate["remarks"])
