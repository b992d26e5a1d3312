"""The demo shortlist screened: verdicts worked out by hand, and every form of the answer."""

from __future__ import annotations

import csv
import io
import json
import re
import subprocess
import sys
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd
import pytest

import towdb
from tests.conftest import DEMO, ROOT
from tests.helpers.agreement import write_rows
from tests.helpers.folders import read_table
from tests.helpers.worlds import Row
from towdb.cli import _status, app
from towdb.report.caution import CAUTION, INVENTED
from towdb.screening import engine
from towdb.screening.document import document
from towdb.screening.session import Session
from towdb.wording.procedure import requirements_in_short
from towdb.wording.sentences import words_of_column

SHORTLIST = DEMO / "shortlist.csv"
COACH = DEMO / "coach.toml"
ON = "2026-01-31"
CHECKS = [
    "permission", "procedure", "hitch_receiver", "combination_rating", "towing_capacity",
    "coach_gross", "towed_gross",
]  # fmt: skip
# Worked out from the demo's invented manuals by whoever wrote them, apart from the engine.
EXPECTED = {
    "pika 21 blue": ("suitable", "combination_rating", "permitted"),
    "pika 22 sand": ("undetermined", "permission", "depends_on_the_car"),
    "lowan-7": ("suitable", "combination_rating", "permitted"),
    "lowan-9": ("not_suitable", "permission", "forbidden"),
    "hollin (white)": ("not_suitable", "combination_rating", "permitted"),
    "tussock fell": ("not_suitable", "combination_rating", "permitted"),
    "wicket 19": ("suitable", "combination_rating", "permitted"),
    "gannet dct": ("undetermined", "permission", "ask_the_maker"),
    "osier 18": ("undetermined", "permission", "manual_is_silent"),
    "fjell 23 grey": ("undetermined", "permission", "awaits_check"),
    "sedge 20": ("undetermined", "permission", "sources_disagree"),
    "wicket 21 red": ("undetermined", "permission", "nothing_on_record"),
}
Run = Callable[..., str]


@pytest.fixture
def run(
    demo_release: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Run:
    """Screens as the command line does, and gives what it prints."""
    monkeypatch.delenv("COLUMNS", raising=False)

    def typed(*options: object, shortlist: object = SHORTLIST, coach: object = COACH) -> str:
        parts = ["towdb", "screen", shortlist, "--coach", coach, "--reference", demo_release]
        monkeypatch.setattr(sys, "argv", [*map(str, [*parts, "--on", ON, *options])])
        status = _status(app)
        out, err = capsys.readouterr()
        assert (status, err) == (0, "")
        return out

    return typed


@pytest.fixture(scope="module")
def told(demo_release: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """The JSON document of the demo."""
    path = tmp_path_factory.mktemp("told") / "told.json"
    with towdb.screen(SHORTLIST, coach=COACH, reference=demo_release, on=ON) as screening:
        screening.write(path)
    document: dict[str, Any] = json.loads(path.read_text("utf-8"))
    return document


def candidates(document: dict[str, Any], coach: int = 0) -> dict[str, dict[str, Any]]:
    return {car["candidate"]: car for car in document["screenings"][coach]["candidates"]}


def check_of(car: dict[str, Any], name: str) -> dict[str, Any]:
    found: dict[str, Any] = next(check for check in car["checks"] if check["check"] == name)
    return found


def words(text: str) -> str:
    """Text without its line ends: what wraps on a screen reads as one line."""
    return " ".join(text.split())


# ---------------------------------------------------------------- verdicts


@pytest.mark.parametrize("name", EXPECTED)
def test_the_verdict_of_a_demo_car(told: dict[str, Any], name: str) -> None:
    car = candidates(told)[name]
    reason = check_of(car, "permission")["reason"]
    assert (car["verdict"], car["governing_check"], reason) == EXPECTED[name]


def test_every_car_is_answered_in_the_order_typed(told: dict[str, Any]) -> None:
    assert list(candidates(told)) == list(EXPECTED)


def test_margins_of_the_demo_by_hand(told: dict[str, Any]) -> None:
    # GCWR 26,000 lb less 9,640 kg on the scale leaves 2,153.40162 kg: 4,747.4 lb. Weights go up,
    # margins down; kilograms by 0.45359237 a pound.
    coach = told["screenings"][0]["coach"]
    assert (coach["capacity_lb"], coach["governing_check"]) == (4747.4, "combination_rating")
    cars = candidates(told)
    # On the scale: 1,655 kg, which leaves 498.40162 kg.
    assert (cars["lowan-7"]["towed_weight_lb"], cars["lowan-7"]["margin_lb"]) == (3648.7, 1098.7)
    # On the scale: 2,410 kg, which is 256.59838 kg too many.
    white = cars["hollin (white)"]
    assert (white["towed_weight_lb"], white["margin_lb"]) == (5313.2, -565.8)
    # Curb weight 4,655 lb and load 150 lb: at its lightest 57.6 lb above what is left.
    assert cars["tussock fell"]["margin_lb"] == -57.6
    assert cars["tussock fell"]["weight_basis"] == "gvwr"


def test_a_misspelt_model_is_remarked(told: dict[str, Any]) -> None:
    remarks = candidates(told)["wicket 21 red"]["remarks"]
    assert any("Wicket" in remark and "Wickett" not in remark for remark in remarks)


@pytest.mark.parametrize(
    ("market", "other"), [("us", "xa or xb"), ("not said", None), ("xa", None)]
)
def test_a_car_that_is_on_record_for_other_markets_is_remarked(
    market: str, other: str | None, run: Run, tmp_path: Path
) -> None:
    cells = {"make": "Halvern", "model": "Wicket", "model_year": "2019", "transmission": "manual"}
    row: Row = {"candidate": "a", **cells, "market": market if market != "not said" else ""}
    write_rows(tmp_path / "cars.csv", [row])
    text = json.loads(run("--format", "json", shortlist=tmp_path / "cars.csv"))
    car = candidates(text)["a"]
    remarks = [remark for remark in car["remarks"] if "another market" in remark]
    if other is None:
        assert remarks == []
        return
    assert check_of(car, "permission")["reason"] == "nothing_on_record"
    assert len(remarks) == 1
    assert f"another market only: {other};" in remarks[0]
    assert "The Halvern Wicket and You, 2019 (invented), p. 97" in remarks[0]


def test_another_method_stands_beside_a_forbidden_car(told: dict[str, Any], run: Run) -> None:
    cars = candidates(told)
    (remark,) = [text for text in cars["lowan-9"]["remarks"] if "on a trailer" in text]
    assert "p. 192" in remark
    assert "For information" in remark
    assert remark in words(run())
    others = [text for name, car in cars.items() if name != "lowan-9" for text in car["remarks"]]
    assert not any("on a trailer" in text for text in others)


def test_a_check_by_oneself_is_said(told: dict[str, Any]) -> None:
    remarks = candidates(told)["wicket 19"]["remarks"]
    assert any("the person who entered it checked" in remark for remark in remarks)


# ---------------------------------------------------------------- the JSON document


def test_the_document_has_the_agreed_keys(told: dict[str, Any]) -> None:
    assert set(told) >= {"towdb_version", "on", "reference", "policy", "assumed", "screenings"}
    assert (told["towdb_version"], told["on"]) == (towdb.__version__, ON)
    assert set(told["reference"]) >= {"release_id", "invented"}
    assert told["reference"]["invented"] is True
    assert told["policy"] == {"weigh_by": "best_known"}
    assert told["assumed"] == {}
    (screening,) = told["screenings"]
    coach = screening["coach"]
    assert set(coach) >= {
        "coach", "name", "capacity_lb", "capacity_at_most_lb", "governing_check", "figures",
    }  # fmt: skip
    assert (coach["coach"], coach["name"]) == ("coach", "Marram 33, Lorne and Isa Haverel")
    figures = {figure["property"]: figure for figure in coach["figures"]}
    assert set(figures) == {"hitch_receiver", "gcwr", "gvwr", "towing_capacity", "loaded_weight"}
    assert figures["hitch_receiver"]["value_lb"] == 5000
    assert figures["gcwr"]["read_from"] == "chassis plate in the entry step"


def test_a_candidate_has_the_agreed_keys(told: dict[str, Any]) -> None:
    for car in candidates(told).values():
        assert set(car) >= {
            "candidate", "verdict", "towed_weight_lb", "weight_basis", "governing_check",
            "margin_lb", "checks", "conditions", "questions", "remarks", "cautions",
        }  # fmt: skip
        assert [check["check"] for check in car["checks"]] == CHECKS
        for check in car["checks"]:
            assert set(check) >= {
                "check", "outcome", "reason", "value_lb", "limit_lb", "margin_lb", "explanation",
                "citations",
            }  # fmt: skip
            assert check["outcome"] in ("met", "not_met", "unknown", "not_applicable")
            assert check["explanation"]
        for condition in car["conditions"]:
            assert set(condition) >= {
                "kind", "alternative_no", "text", "value", "unit", "eligibility_id", "citations",
            }  # fmt: skip
        assert all(isinstance(car[key], list) for key in ("questions", "remarks", "cautions"))
        for citation in citations(car):
            assert set(citation) == {"table", "key", "source_id", "locator", "title", "quote"}


def citations(car: dict[str, Any]) -> list[dict[str, Any]]:
    return [c for part in (*car["checks"], *car["conditions"]) for c in part["citations"]]


def test_what_is_decided_rests_on_a_page(told: dict[str, Any]) -> None:
    for car in candidates(told).values():
        for check in car["checks"]:
            if check["outcome"] in ("met", "not_met"):
                assert check["citations"], (car["candidate"], check["check"])
        assert all(condition["citations"] for condition in car["conditions"])
        assert all(citation["locator"] for citation in citations(car))


def test_every_citation_is_a_row_of_the_reference(told: dict[str, Any]) -> None:
    rows: dict[str, dict[str, dict[str, str]]] = {}
    sources = {row["source_id"]: row["title"] for row in read_table(DEMO / "reference", "source")}
    for car in candidates(told).values():
        for citation in citations(car):
            table = citation["table"]
            if table == "coach_file":
                assert citation["key"] in COACH.read_text("utf-8")
                assert citation["locator"] in COACH.read_text("utf-8")
                continue
            if table not in rows:
                keyed = read_table(DEMO / "reference", table)
                rows[table] = {row[f"{table}_id"]: row for row in keyed}
            row = rows[table][citation["key"]]
            for key in ("source_id", "locator", "quote"):
                assert citation[key] == row[key]
            assert citation["title"] == sources[row["source_id"]]


def test_a_permission_that_is_met_rests_on_a_checked_row(told: dict[str, Any]) -> None:
    rows = {row["eligibility_id"]: row for row in read_table(DEMO / "reference", "eligibility")}
    for car in candidates(told).values():
        permission = check_of(car, "permission")
        if permission["outcome"] == "met":
            cited = [rows[citation["key"]] for citation in permission["citations"]]
            assert all(row["permission"] == "permitted" and row["checked_by"] for row in cited)
            assert cited


def test_conditions_stand_where_towing_is_permitted(told: dict[str, Any]) -> None:
    for car in candidates(told).values():
        permitted = check_of(car, "permission")["outcome"] == "met"
        assert bool(car["conditions"]) == permitted, car["candidate"]
    speed = [c for c in candidates(told)["lowan-7"]["conditions"] if c["kind"] == "speed"]
    assert [(c["value"], c["unit"]) for c in speed] == [(65, "mph")]


# ---------------------------------------------------------------- the same in every form


def as_text(value: Any) -> str:
    return "" if value is None or value != value else str(value)


def test_csv_and_parquet_are_the_verdict_table(
    demo_release: Path, tmp_path: Path, run: Run
) -> None:
    with towdb.screen(SHORTLIST, coach=COACH, reference=demo_release, on=ON) as screening:
        frame = screening.verdicts
        screening.write(tmp_path / "v.csv")
        screening.write(tmp_path / "v.parquet")
    expected = [[as_text(cell) for cell in row] for row in frame.itertuples(index=False)]
    printed = list(csv.reader(io.StringIO(run("--format", "csv"))))
    assert printed == [list(frame.columns), *expected]
    assert (tmp_path / "v.csv").read_text("utf-8") == run("--format", "csv")
    with duckdb.connect() as con:
        con.execute(f"FROM '{tmp_path}/v.parquet'")
        columns = [column[0] for column in con.description or ()]
        rows = [[as_text(cell) for cell in row] for row in con.fetchall()]
    assert columns == list(frame.columns)
    assert sorted(rows) == sorted(expected)


def test_parquet_keeps_the_order_in_which_cars_came(demo_release: Path, tmp_path: Path) -> None:
    with towdb.screen(SHORTLIST, coach=COACH, reference=demo_release, on=ON) as screening:
        screening.write(tmp_path / "v.parquet")
    with duckdb.connect() as con:
        names = con.execute(f"SELECT candidate FROM '{tmp_path}/v.parquet'").fetchall()
    assert [name for (name,) in names] == list(EXPECTED)


@pytest.mark.parametrize(
    ("relation", "found", "column"),
    [
        *((name, "reason", f"{name}_reason") for name in ("permission", "coach_gross")),
        ("procedure_check", "reason", "procedure_reason"),
        ("towed", "gross_reason", "towed_gross_reason"),
        ("capacity_check", "receiver_reason", "hitch_receiver_reason"),
        ("capacity_check", "combination_reason", "combination_rating_reason"),
        ("capacity_check", "capacity_reason", "towing_capacity_reason"),
        *((name, "outcome", "any_outcome") for name in ("permission", "coach_gross")),
        ("procedure_check", "outcome", "any_outcome"),
        ("towed", "gross_outcome", "any_outcome"),
        *(("capacity_check", f"{name}_outcome", "any_outcome")
          for name in ("receiver", "combination", "capacity")),
        ("towed", "basis", "weight_basis"),
        ("verdict_kg", "verdict", "verdict"),
        ("verdict_kg", "governing_check", "governing_check"),
    ],
)  # fmt: skip
def test_a_column_has_words_for_all_that_the_sql_may_say(
    relation: str, found: str, column: str
) -> None:
    # A word that the column lacks could not be written to Parquet.
    (file,) = (name for name in engine.RELATIONS if engine.table_of(name) == relation)
    branches = re.search(
        rf"CASE((?:(?!\bCASE\b).)*?)END\s+AS {found}\b", engine.relation_sql(file), re.S
    )
    assert branches
    said = set(re.findall(r"(?:THEN|ELSE) '(\w+)'", branches[1]))
    assert said
    assert said <= set(words_of_column(column))


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({"as_weighed": "5,100 lb"}, "the car weighs 5,100.0 lb; 5,000.0 lb is allowed"),
        ({"curb_weight": "5,100 lb"}, "the car weighs at least 5,100.0 lb; 5,000.0 lb is allowed"),
    ],
)
def test_what_is_too_heavy_is_told_with_what_it_weighs(
    cells: Row, said: str, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Of an empty car it is known that it weighs no less.
    monkeypatch.setenv("COLUMNS", "400")
    write_rows(tmp_path / "cars.csv", [{"candidate": "a", **cells}])
    coach = tmp_path / "coach.toml"
    coach.write_text("[properties]\nhitch_receiver = '5000 lb'\n", "utf-8")
    assert said in run(shortlist=tmp_path / "cars.csv", coach=coach)


def test_what_is_asked_for_is_counted_in_short() -> None:
    def said(*steps: str) -> str:
        """Each step as phase, kind and printed number."""
        conditions = []
        for number, step in enumerate(steps):
            phase, kind, printed = step.split()
            conditions.append({
                "alternative_no": None, "phase": phase, "step_no": number,
                "kind": "fuse" if kind == "fuse" else "step", "step_kind": kind,
                "printed_no": None if printed == "-" else printed,
            })  # fmt: skip
        return requirements_in_short(conditions)

    none = "no limit found on the page; "
    assert said("before do 1") == f"{none}before: 1 step"
    assert said("before do 1", "before fuse 1", "before fuse 1") == f"{none}before: 1 step, 2 fuses"
    # One printed step may be several actions; a warning is not counted among the printed steps.
    printed = ("before warning -", "before do 1", "before do 1", "before never 2", "before wait 2")
    assert said(*printed) == f"{none}before: 2 steps, 1 warning"
    assert said("before do -", "before do -") == f"{none}before: 2 steps"
    every = ("after do 1", "en_route verify 1", "once do 1", "once do 2", "before do 1")
    assert said(*every) == (
        f"{none}once: 2 things to fit; before: 1 step; en route: 1 step; after: 1 step"
    )


def test_the_table_says_the_same_as_the_document(told: dict[str, Any], run: Run) -> None:
    assert json.loads(run("--format", "json")) == told
    with_frames = run("--format", "csv")
    for name, car in candidates(told).items():
        assert f"{name},coach,{car['verdict']}," in with_frames


def test_frames_of_a_screening(demo_release: Path) -> None:
    with towdb.screen(SHORTLIST, coach=COACH, reference=demo_release, on=ON) as screening:
        assert isinstance(screening.verdicts, pd.DataFrame)
        assert list(screening.verdicts["candidate"]) == list(EXPECTED)
        checks = screening.checks
        assert len(checks) == 7 * len(EXPECTED)
        assert list(checks["check"][:7]) == CHECKS
        assert len(screening.conditions) > 0
        assert set(screening.citations.columns) >= {
            "candidate", "coach", "check", "condition", "table", "key", "source_id", "locator",
            "title", "quote",
        }  # fmt: skip


def test_text_in_a_file_is_what_the_screen_shows(tmp_path: Path, run: Run) -> None:
    assert run("-o", tmp_path / "v.txt") == ""
    assert (tmp_path / "v.txt").read_text("utf-8") == run()


# ---------------------------------------------------------------- on the screen


@pytest.mark.parametrize("width", [None, 80, 100, 140])
@pytest.mark.parametrize("options", [(), ("--explain",)])
def test_the_table_fits_the_screen(
    run: Run, monkeypatch: pytest.MonkeyPatch, width: int | None, options: tuple[str, ...]
) -> None:
    if width:
        monkeypatch.setenv("COLUMNS", str(width))
    out = run(*options)
    assert max(len(line) for line in out.splitlines()) <= (width or 100)
    assert "\x1b" not in out
    for name, (verdict, _, _) in EXPECTED.items():
        # A name and its verdict stand unbroken on the line where the car begins.
        line = rf"^ ?{re.escape(name)} +{verdict.replace('_', ' ')}\b"
        assert re.search(line, out, re.MULTILINE), name


def test_the_table_says_in_words_why(run: Run) -> None:
    out = run()
    for said in ("its manufacturer", "forbids", "565.8 lb over", "197.0 lb to spare", "4,550.4 lb"):
        assert said in out
    assert "as weighed" in out
    assert "GVWR" in out
    assert "speed at most 65" in out
    assert "26,565.8 lb" in words(out)
    assert "the GCWR is" in words(out)
    assert re.search(r"p\.\s+191\)", out)


@pytest.mark.parametrize("options", [(), ("--explain",), ("--coach", "saltmarsh-31")])
def test_cautions_stand_once_at_the_foot(run: Run, options: tuple[str, ...]) -> None:
    out = words(run(*options))
    assert out.count(CAUTION) == 1
    assert out.count(INVENTED) == 1
    assert out.endswith(CAUTION)


def test_an_answer_says_what_it_rests_on(told: dict[str, Any], run: Run) -> None:
    out = words(run())
    assert f"On {ON}" in out
    assert told["reference"]["release_id"][:12] in out


def test_explain_shows_every_check_with_its_page(told: dict[str, Any], run: Run) -> None:
    explained = "".join(run("--explain").split())
    plain = "".join(run().split())
    rest = explained[len(plain.split("On2026")[0]) :]
    for name, car in candidates(told).items():
        rest = rest[rest.index("".join(f"{name}: {car['verdict'].replace('_', ' ')}".split())) :]
        for check in car["checks"]:
            assert "".join(check["explanation"].split()) in rest
            for citation in check["citations"]:
                assert "".join(f"{citation['locator']} ({citation['key']})".split()) in rest
        for condition in car["conditions"]:
            assert "".join(condition["text"].split()) in rest
    for figure in ("24,901.3 lb of 26,000.0 lb", "1,098.7 lb to spare"):
        assert "".join(figure.split()) in explained


def test_kilograms_and_kilometres_on_the_screen(run: Run) -> None:
    out = words(run("--units", "kg"))
    # Exact to hand: 9,640 kg of 26,000 lb leave 2,153.40162 kg.
    assert "2,153.4 kg" in out
    assert "1,655.0 kg" in out
    assert "498.4 kg to spare" in out
    assert "256.6 kg over" in out
    assert "km/h" in out
    assert not re.search(r"\d (lb|mph|mi)\b", out)


def test_kilograms_are_rounded_to_the_safe_side(run: Run, tmp_path: Path) -> None:
    # 5,000 lb are 2,267.96185 kg: a limit shown as 2,268.0 would let a heavier car pass.
    coach = tmp_path / "plate.toml"
    coach.write_text('[properties]\nhitch_receiver = "5000 lb"\n', "utf-8")
    cars = tmp_path / "cars.csv"
    cars.write_text("candidate,as_weighed\na,2000.04 kg\n", "utf-8")
    out = words(run("--units", "kg", "--explain", coach=coach, shortlist=cars))
    assert "2,000.1 kg of 2,267.9 kg" in out
    assert "2,268.0" not in out


def test_kilograms_leave_the_document_in_pounds(told: dict[str, Any], run: Run) -> None:
    assert json.loads(run("--units", "kg", "--format", "json")) == told


# ---------------------------------------------------------------- coaches, policy, assumptions


def test_two_coaches_at_once(run: Run) -> None:
    document = json.loads(run("--coach", "saltmarsh-31", "--format", "json"))
    assert [s["coach"]["coach"] for s in document["screenings"]] == ["coach", "saltmarsh-31"]
    assert all(list(candidates(document, number)) == list(EXPECTED) for number in (0, 1))
    rows = list(csv.DictReader(io.StringIO(run("--coach", "saltmarsh-31", "--format", "csv"))))
    assert [row["coach"] for row in rows] == ["coach"] * 12 + ["saltmarsh-31"] * 12
    out = words(run("--coach", "saltmarsh-31"))
    assert out.index("Marram 33") < out.index("Saltmarsh 31")


def test_a_document_reads_no_output_again_for_another_coach(
    demo_release: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    figures = COACH.read_text("utf-8")
    coaches = [tmp_path / f"coach-{number}.toml" for number in range(4)]
    for number, coach in enumerate(coaches):
        coach.write_text(figures.replace('"5000 lb"', f'"{5000 - number} lb"'), "utf-8")
    read: list[str] = []
    rows = Session.rows

    def counted(session: Session, output: str) -> tuple[list[str], list[tuple[Any, ...]]]:
        read.append(output)
        return rows(session, output)

    monkeypatch.setattr(Session, "rows", counted)
    documents = []
    for several in (coaches[:1], coaches):
        with towdb.screen(SHORTLIST, coach=several, reference=demo_release, on=ON) as done:
            documents.append(document(done))
        assert sorted(read) == sorted(set(read))
        read.clear()
    alone, together = (made["screenings"] for made in documents)
    assert [one["coach"]["coach"] for one in together] == [coach.stem for coach in coaches]
    assert together[0] == alone[0]
    for number, one in enumerate(together):
        figures_lb = {f["property"]: f["value_lb"] for f in one["coach"]["figures"]}
        assert figures_lb["hitch_receiver"] == 5000 - number


def test_a_coach_of_the_reference(run: Run) -> None:
    document = json.loads(run("--format", "json", coach="saltmarsh-31"))
    coach = document["screenings"][0]["coach"]
    # Its label prints 26,000 lb and 11,793 kg, of which the smaller counts; on the scale it was
    # 21,580 lb: that leaves 2,004.4766… kg, rounded down to 0.1 lb.
    left = (Decimal(11793) - 21580 * Decimal("0.45359237")) / Decimal("0.45359237")
    assert coach["capacity_lb"] == int(left * 10) / 10 == 4419.1
    assert (coach["name"], coach["governing_check"]) == ("Saltmarsh 31", "combination_rating")
    # On the scale 1,655 kg, which leaves 349.4766… kg; and 2,410 kg, 405.5233… kg too many.
    lowan, white = (candidates(document)[name] for name in ("lowan-7", "hollin (white)"))
    assert (lowan["verdict"], lowan["margin_lb"]) == ("suitable", 770.4)
    assert (white["verdict"], white["margin_lb"]) == ("not_suitable", -894.1)
    plate = check_of(lowan, "hitch_receiver")["citations"]
    assert ("coach_property", "saltmarsh-31-hitch-receiver", "receiver plate") in [
        (citation["table"], citation["key"], citation["locator"]) for citation in plate
    ]
    brakes = [condition["text"] for condition in lowan["conditions"]]
    # 1,500 lb and 680 kg: the smaller of the pair is 1,499.1 lb.
    assert brakes[-1] == "the car needs brakes of its own: the coach allows 1,499.1 lb without"


def test_a_plate_without_a_mode_permits_nothing(run: Run) -> None:
    document = json.loads(run("--format", "json", coach="ferrow-26"))
    assert document["screenings"][0]["coach"]["capacity_lb"] is None
    cars = candidates(document)
    assert "suitable" not in {car["verdict"] for car in cars.values()}
    assert check_of(cars["wicket 19"], "hitch_receiver")["reason"] == "mode_not_printed"
    # What is above the figure is above it in every mode: 1,655 kg are more than 3,500 lb.
    assert check_of(cars["lowan-7"], "hitch_receiver")["outcome"] == "not_met"


def test_the_policy_to_go_by_gross_ratings(run: Run, tmp_path: Path) -> None:
    policy = tmp_path / "policy.toml"
    policy.write_text('weigh_by = "gvwr"\n', "utf-8")
    document = json.loads(run("--policy", policy, "--format", "json"))
    assert document["policy"] == {"weigh_by": "gvwr"}
    # GCWR 26,000 lb less GVWR 22,000 lb.
    assert document["screenings"][0]["coach"]["capacity_lb"] == 4000
    cars = candidates(document)
    # GVWR 4,340 lb, though it was 3,648.7 lb on the scale.
    lowan = cars["lowan-7"]
    assert (lowan["verdict"], lowan["margin_lb"]) == ("not_suitable", -340)
    assert (cars["wicket 19"]["verdict"], cars["wicket 19"]["margin_lb"]) == ("suitable", 935)
    # What was weighed is still held against the gross ratings.
    assert check_of(lowan, "towed_gross")["margin_lb"] == 691.3
    assert check_of(lowan, "coach_gross")["margin_lb"] == 747.4


def test_an_assumption_fills_empty_cells_only(run: Run) -> None:
    assume = ("--assume", "transfer_case=two-speed with neutral")
    document = json.loads(run(*assume, "--format", "json"))
    assert set(document["assumed"]) == {"transfer_case"}
    before = {name: expected[0] for name, expected in EXPECTED.items()}
    after = {name: car["verdict"] for name, car in candidates(document).items()}
    # The sand-coloured one is the only car of which it was missing and mattered; others say none.
    assert after == {**before, "pika 22 sand": "suitable"}
    out = words(run(*assume))
    assert "assuming transfer_case two-speed with neutral" in out
    assert "assuming" not in words(run())


def test_an_assumption_gives_a_missing_column(run: Run, tmp_path: Path) -> None:
    with SHORTLIST.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert {row["market"].lower() for row in rows} == {"xa"}
    frame = pd.DataFrame(rows).drop(columns="market")
    frame.to_csv(tmp_path / "cars.csv", index=False)
    cars = tmp_path / "cars.csv"
    # What is written for one market says nothing of a car of unknown market.
    unknown = candidates(json.loads(run("--format", "json", shortlist=cars)))
    assert "suitable" not in {car["verdict"] for car in unknown.values()}
    assumed = json.loads(run("--assume", "Market=XA", "--format", "json", shortlist=cars))
    found = {name: car["verdict"] for name, car in candidates(assumed).items()}
    assert found == {name: expected[0] for name, expected in EXPECTED.items()}


def test_a_rating_that_is_missing_leaves_the_verdict_open(run: Run, tmp_path: Path) -> None:
    coach = tmp_path / "plate.toml"
    coach.write_text('[properties]\nhitch_receiver = "5000 lb"\n', "utf-8")
    document = json.loads(run("--format", "json", coach=coach))
    told = document["screenings"][0]["coach"]
    assert (told["capacity_lb"], told["capacity_at_most_lb"]) == (None, 5000)
    wicket = candidates(document)["wicket 19"]
    assert (wicket["verdict"], wicket["governing_check"]) == ("undetermined", "combination_rating")
    assert wicket["margin_lb"] is None
    assert check_of(wicket, "combination_rating")["reason"] == "rating_missing"


# ---------------------------------------------------------------- weight of the command


@pytest.mark.parametrize(
    "options",
    [[], ["--explain"], ["--format", "json"], ["--format", "csv"], ["-o", "out.parquet"]],
    ids=lambda options: " ".join(options) or "table",
)
def test_screening_imports_no_heavy_library(
    demo_release: Path, tmp_path: Path, options: list[str]
) -> None:
    arguments = [
        "screen", str(SHORTLIST), "--coach", str(COACH), "--reference", str(demo_release),
        *options,
    ]  # fmt: skip
    program = (
        "import sys; from towdb.cli import _status, app\n"
        f"sys.path.insert(0, {str(ROOT)!r}); sys.argv[1:] = {arguments!r}\n"
        "status = _status(app)\n"
        "heavy = {'pandas', 'pandera', 'sqlalchemy', 'numpy'} & set(sys.modules)\n"
        "sys.exit(f'imported {heavy}' if heavy else status)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program],
        capture_output=True, text=True, encoding="utf-8", cwd=tmp_path, check=False,
        env={"PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"},
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout or (tmp_path / "out.parquet").is_file()
