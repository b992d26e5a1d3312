"""The command line under drawn calls and files: exit status, refusals, whole answers, no traceback.

``python3 scripts/fuzz.py`` runs more of the same.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from tests.helpers.fuzz_kinds import KINDS, SHARES
from tests.helpers.fuzz_run import Desk, faults
from tests.helpers.fuzz_texts import Damaged
from tests.helpers.fuzzing import Case, Files
from tests.helpers.tier import by_tier

APART = by_tier(quick=2, whole=6)
ODD_TEXT = "select 'a' || chr(13) || 'b' as x, 1 as y"
BY_DEMO = ("--reference", "../demo.duckdb")
SCREEN = ("screen", "--years", "2021", "--coach", "../coach.toml")
CUT: Files = {"hurt.duckdb": Damaged(0.78)}
STRANGE: Files = {"ref/\udcff.csv": b"a\n1\n"}
CARS: Files = {
    "cars.csv": b"lot,gvwr\na,4000 lb\n",
    "odd.csv": "lot,gvwr\na\ufffeb,4000 lb\n".encode(),
    "stock/lot=\udcff/a.csv": b"gvwr\n4000 lb\n",
    "map.toml": b'[columns]\nlots = "lot"\n',
}
FOUND = {
    "query that is no UTF-8": Case("sql", ("sql", "select '\udcff'", *BY_DEMO)),
    "carriage return in CSV": Case("sql", ("sql", ODD_TEXT, *BY_DEMO, "-o", "new.csv")),
    "Arabic letter mark": Case("sql", ("sql", "select chr(1564)", *BY_DEMO)),
    "long name of an answer": Case("sql", ("sql", "select 1", *BY_DEMO, "-o", "x" * 252 + ".csv")),
    "long name of a release": Case("sql", ("sql", "select 1", "--reference", "x" * 300)),
    "long name of a shortlist": Case("screen", ("screen", "x" * 300, *SCREEN[3:], *BY_DEMO)),
    "long name of a coach": Case("screen", (*SCREEN[:3], "--coach", "x" * 300, *BY_DEMO)),
    "Parquet of a name that is no UTF-8": Case(
        "screen", (*SCREEN, *BY_DEMO, "-o", "\udcff.parquet")
    ),
    "release cut short": Case("diff", ("diff", "../other.duckdb", "hurt.duckdb"), CUT),
    "year too large": Case("show", ("show", "Quillon", "Pika", "99999999999", *BY_DEMO)),
    "year of many digits": Case("show", ("show", "Quillon", "Pika", "9" * 45, *BY_DEMO)),
    "line end in the name of a release": Case("build", ("build", "ref", "-o", "a\n.duckdb")),
    "escape in the name of a release": Case("build", ("build", "ref", "-o", "\x1b[2J.duckdb")),
    "release of a name that is no UTF-8": Case("build", ("build", "ref", "-o", "\udcff.duckdb")),
    "long name for a release": Case("build", ("build", "ref", "-o", "x" * 240 + ".duckdb")),
    "table of a name that is no UTF-8": Case("check", ("check", "ref"), STRANGE),
    "findings as CSV": Case("check", ("check", "ref", "-o", "new.csv"), STRANGE),
    "findings as JSON": Case("check", ("check", "ref", "--format", "json"), STRANGE),
    "answer over the cars": Case("weights", ("weights", "cars.csv", "-o", "cars.csv"), CARS),
    "cars screened over themselves": Case(
        "screen", ("screen", "cars.csv", *SCREEN[3:], *BY_DEMO, "-o", "cars.csv"), CARS
    ),
    "rows set aside before the answer is refused": Case(
        "inventory",
        ("inventory", "check", "cars.csv", "--set-aside", "a.csv", "-o", "no/x.csv"),
        CARS,
    ),
    "findings that cannot be written": Case(
        "inventory", ("inventory", "check", "cars.csv", "-o", "no/x.csv"), CARS
    ),
    "line end in a group": Case("weights", ("weights", "cars.csv", "--by", "a\nb"), CARS),
    "line end in a way to weigh": Case(
        "weights", ("weights", "cars.csv", "--weigh-by", "a\nb"), CARS
    ),
    "picture of what no XML holds": Case(
        "summary",
        (
            "screen",
            "odd.csv",
            *SCREEN[3:],
            *BY_DEMO,
            "--summary",
            "--by",
            "lot",
            "--plot",
            "new.svg",
        ),
        CARS,
    ),
    "folder that is no UTF-8": Case("weights", ("weights", "stock", "--by", "lot"), CARS),
    "mapping of nothing": Case("gaps", ("gaps", "odd.csv", "--map", "map.toml", *BY_DEMO), CARS),
    "no path at all": Case("inventory", ("inventory", "check", ""), CARS),
}


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory, demo_release: Path) -> Desk:
    return Desk(tmp_path_factory.mktemp("desk"), demo_release)


@pytest.mark.parametrize("case", FOUND.values(), ids=FOUND)
def test_what_a_fuzz_has_found(desk: Desk, case: Case) -> None:
    assert faults(case, desk.run(case)) == []


@pytest.mark.parametrize("kind", KINDS)
def test_a_call_of_any_kind(desk: Desk, kind: str) -> None:
    share = SHARES[kind] - (APART if kind == "sql" else 0)

    @settings(max_examples=by_tier(quick=share // 5, whole=share), derandomize=True)
    @given(KINDS[kind]())
    def holds(case: Case) -> None:
        assert faults(case, desk.run(case)) == []

    holds()


@settings(max_examples=APART, derandomize=True, phases=[Phase.generate])
@given(st.sampled_from(sorted(KINDS)).flatmap(lambda kind: KINDS[kind]()))
def test_a_call_as_a_process_of_its_own(desk: Desk, case: Case) -> None:
    assert faults(case, desk.run(case, apart=True)) == []
