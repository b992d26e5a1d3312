"""`towdb.spark.screen` beside `towdb.screen`: the same verdicts row for row, none made early."""

from __future__ import annotations

import ast
import csv
import json
import pickle
import re
import subprocess
import sys
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import duckdb
import pytest

import towdb
import towdb.spark
from tests.conftest import DEMO, ROOT
from tests.engines.conftest import Spark
from tests.helpers import agreement
from tests.helpers.hostile import SEEN, TEXTS
from tests.helpers.worlds import CANDIDATE
from towdb.contract.model import contract
from towdb.duck.literals import literal
from towdb.resources import guides

ON = "2026-01-31"
SHORTLIST, COACH = DEMO / "shortlist.csv", DEMO / "coach.toml"
CAR = {"make": "Quillon", "model": "Pika", "model_year": "2021", "gvwr": "4400 lb"}
Record = dict[str, Any]


class Screened:
    """What Spark said of an inventory: the frame's rows, and what happened on the way."""

    def __init__(self, told: Mapping[str, Any], rows: list[Record]) -> None:
        self.told, self.rows = told, rows

    @property
    def unreadable(self) -> dict[str, str]:
        """What cannot be read, by candidate."""
        return {row["candidate"]: row["unreadable"] for row in self.rows if row["unreadable"]}


class Inventory:
    """Screens cars in Spark: rows of text, or a file."""

    def __init__(self, spark: Spark, release: Path, folder: Path) -> None:
        self.spark, self.release, self.folder = spark, release, folder

    def screen(self, cars: Path | list[Record], coach: Any = COACH, /, **asked: Any) -> Screened:
        """All of it, fetched."""
        self.folder.joinpath("made").mkdir(exist_ok=True)
        into = self.folder / "made" / str(len(list((self.folder / "made").iterdir())))
        told = self.ask(cars, coach, into=str(into), **asked)
        assert "refused" not in told, told
        return Screened(told, records(f"read_parquet({literal(str(into / '*.parquet'))})"))

    def ask(self, cars: Any, coach: Any = COACH, /, do: str = "screen", **asked: Any) -> Any:
        """What Spark's side tells of it, a refusal too."""
        by = {key: asked.pop(key) for key in ("on", "policy", "assume", "mapping") if key in asked}
        asked = {"release": str(self.release), **self.source(cars), **asked}
        named = [str(one) for one in coach] if isinstance(coach, list) else str(coach)
        return self.spark.ask(do, **asked, coach=named, by={"on": ON, **by})

    def source(self, cars: Any) -> dict[str, Any]:
        if isinstance(cars, Path):
            return {"path": str(cars)}
        names = list(dict.fromkeys(name for car in cars for name in car))
        schema = ", ".join(f"`{name}` STRING" for name in names)
        return {"rows": [[car.get(name) for name in names] for car in cars], "schema": schema}


@pytest.fixture
def inventory(spark: Spark, demo_release: Path, tmp_path: Path) -> Inventory:
    return Inventory(spark, demo_release, tmp_path)


def records(query: str) -> list[Record]:
    """The rows of a query."""
    with duckdb.connect() as con:
        con.execute(f"FROM {query}")
        columns = [column[0] for column in con.description or ()]
        return [dict(zip(columns, row, strict=True)) for row in con.fetchall()]


def in_order(rows: Iterable[Record]) -> list[Record]:
    """Rows as a frame without an order can be compared; rows that were read, without saying so."""
    plain = [{k: v for k, v in row.items() if k != "unreadable" or v} for row in rows]
    return sorted(plain, key=lambda row: (row["coach"], row["candidate"] or ""))


def verdicts(release: Path, cars: Any, coach: Any = COACH, **by: Any) -> list[Record]:
    """What `towdb.screen` says."""
    with towdb.screen(cars, coach=coach, reference=release, **{"on": ON, **by}) as screening:
        return in_order(screening.records("verdict"))


def write_csv(path: Path, cars: list[Record]) -> Path:
    names = list(dict.fromkeys(name for car in cars for name in car))
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, names, quoting=csv.QUOTE_ALL)
        writer.writeheader()
        writer.writerows(cars)
    return path


# ------------------------------------------------------------ the same verdicts


def test_the_demo_is_screened_as_elsewhere_and_nothing_runs_before_rows_are_asked_for(
    inventory: Inventory, demo_release: Path
) -> None:
    with towdb.open(demo_release) as reference:
        on_record = [row[0] for row in reference.rows("SELECT coach_id FROM coach").rows]
    coaches = [COACH, *on_record]
    found = inventory.screen(SHORTLIST, coaches, counted=True)
    wanted = verdicts(demo_release, SHORTLIST, coaches)
    assert in_order(found.rows) == wanted
    assert len(wanted) == 12 * len(coaches)
    assert found.told["columns"] == [*wanted[0], "unreadable"]
    # Nothing ran, nothing of the caller's session is otherwise, and each row was read once.
    assert found.told["jobs"] == []
    assert found.told["jobs_of_the_action"] > 0
    assert found.told["seen"] == 12
    assert found.told["is_untouched"]
    assert found.told["is_of_the_session"]
    assert "pandera" not in found.told["modules"]
    with towdb.open(demo_release) as reference:
        assert found.told["metadata"] == {
            "release_id": reference.release_id, "invented": True,
            "towdb_version": towdb.__version__, "on": ON,
        }  # fmt: skip


@pytest.mark.parametrize("weigh_by", ["best_known", "gvwr"])
def test_drawn_worlds_are_screened_as_elsewhere(
    weigh_by: str, inventory: Inventory, tmp_path: Path
) -> None:
    worlds = agreement.drawn(911, 60)
    inventory.release = release = agreement.merged_release(worlds, tmp_path)
    numbers = [k for k, world in enumerate(worlds) if world.policy["weigh_by"] == weigh_by]
    cars = [
        agreement.row_of_world(k, car, "candidate") for k in numbers for car in worlds[k].candidates
    ]
    homes = dict.fromkeys(agreement.homes(worlds, numbers).values())
    coaches = [agreement.coach_of(k, worlds[k], tmp_path) for k in homes]
    policy = tmp_path / "policy.toml"
    policy.write_text(f'weigh_by = "{weigh_by}"\n', "utf-8")
    by = {"policy": str(policy), "on": worlds[0].on.isoformat()}
    found = inventory.screen(cars, coaches, parts=5, **by)
    shortlist = write_csv(tmp_path / "cars.csv", cars)
    assert in_order(found.rows) == verdicts(release, shortlist, coaches, **by)
    assert {row["verdict"] for row in found.rows} == {"suitable", "not_suitable", "undetermined"}


def test_typed_columns_say_what_text_says(inventory: Inventory, tmp_path: Path) -> None:
    path = tmp_path / "typed.parquet"
    with duckdb.connect() as con:
        con.execute(
            "CREATE TABLE car AS SELECT 'car ' || n AS candidate, 'Quillon' AS make,"
            " 'Pika' AS model,"
            " CASE WHEN n % 3 > 0 THEN 2021.0::DOUBLE WHEN n = 3 THEN 'nan'::DOUBLE END"
            " AS model_year,"
            " (DATE '2021-03-01' + n::INTEGER) AS built_on, n % 2 = 0"
            " AS options_complete, (4300 + n / 4)::DOUBLE AS as_weighed, 4400::SMALLINT AS gvwr,"
            " 0::DECIMAL(18,10) AS load, (3400.25 + n)::FLOAT AS curb_weight, 'lb' AS weight_unit,"
            " TIMESTAMP '2026-01-02 00:00:00' AS listed_on, 'key' AS ignition, NULL::INTEGER AS lot"
            " FROM range(1, 13) AS r(n)"
        )
        con.execute(f"COPY car TO {literal(str(path))} (FORMAT parquet)")
    found = inventory.screen(path)
    assert found.unreadable == {}
    assert in_order(found.rows) == verdicts(inventory.release, path)
    assert {row["weight_basis"] for row in found.rows} == {"as_weighed"}


def test_numbers_of_many_decimals_and_moments_are_read_as_elsewhere(
    inventory: Inventory, tmp_path: Path
) -> None:
    path = tmp_path / "typed.parquet"
    with duckdb.connect() as con:
        con.execute("SET TimeZone = 'UTC'")
        con.execute(
            "CREATE TABLE car AS SELECT 'car ' || n AS candidate, 'Quillon' AS make,"
            " 'Pika' AS model, 2021::DECIMAL(18,4) AS model_year, 'lb' AS weight_unit,"
            " 4300.5::DECIMAL(18,6) AS as_weighed, 4400::DECIMAL(9,1) AS gvwr,"
            " 120.25::DECIMAL(12,5) AS load,"
            " TIMESTAMPTZ '2021-03-15 00:00:00+00' + INTERVAL 1 DAY * n AS built_on"
            " FROM range(1, 4) AS r(n)"
            " UNION ALL SELECT 'noon', 'Quillon', 'Pika', 2021, 'lb', 4300, 4400, 0,"
            " TIMESTAMPTZ '1969-03-15 12:34:56+00'"
            " UNION ALL SELECT 'midnight there', 'Quillon', 'Pika', 2021, 'lb', 4300, 4400, 0,"
            " TIMESTAMPTZ '2021-03-15 11:00:00+00'"
        )
        con.execute(f"COPY car TO {literal(str(path))} (FORMAT parquet)")
    found = inventory.screen(path)
    aside = tmp_path / "aside.csv"
    wanted = verdicts(inventory.release, path, set_aside=aside)
    bad = {row["candidate"] for row in records(f"read_csv({literal(str(aside))})")}
    assert set(found.unreadable) == bad == {"noon", "midnight there"}
    assert "'1969-03-15 12:34:56+00'" in found.unreadable["noon"]
    assert in_order(row for row in found.rows if not row["unreadable"]) == wanted


def test_words_of_others_and_what_is_assumed_hold_here_too(
    inventory: Inventory, tmp_path: Path
) -> None:
    cars = [
        {"Stock No.": f"{n}", "Make": "QP" if n else "quillon", "Model": "pika", "Year": "2021",
         "Gearbox": box, "Rated": "4,400", "Colour": "red", "weight unit": "LB",
         "Weighed": "3640", "Built": "14.3.2021"}
        for n, box in enumerate(["M/T", "A/T", "???", "", " m/t ", None])
    ]  # fmt: skip
    mapping = {
        "columns": {"Stock No.": "candidate", "Year": "model_year", "Gearbox": "transmission",
                    "Rated": "gvwr", "Weighed": {"column": "as_weighed", "unit": "lb"},
                    "Built": {"column": "built_on", "dates": "day/month/year"}},
        "words": {"transmission": {"M/T": "manual", "A/T": "planetary_automatic", "???": ""},
                  "make": {"QP": "Quillon"}},
    }  # fmt: skip
    by = {"mapping": mapping, "assume": {"market": "xa", "drivetrain": "4x4"}}
    found = inventory.screen(cars, **by)
    assert found.unreadable == {}
    assert in_order(found.rows) == verdicts(
        inventory.release, write_csv(tmp_path / "cars.csv", cars), **by
    )
    # A unit or a date that contradicts the mapping is told here too.
    cars[1]["weight unit"], cars[2]["Built"] = "kg", "3.14.2021"
    found = inventory.screen(cars, **by)
    assert set(found.unreadable) == {"1", "2"}
    assert "as_weighed: '3640': the mapping gives its column in lb" in found.unreadable["1"]
    assert "built_on: '3.14.2021': not a date as day/month/year" in found.unreadable["2"]


# ------------------------------------------------------------ what cannot be read


def bad_cells() -> Iterator[tuple[str, str]]:
    """Of every column that a verdict looks at, and a date beside them, what it cannot hold."""
    for field in contract().candidate.fields:
        if field.type not in ("text", "text_list", "id", "ids", "number"):
            yield field.name, "no such thing"
    yield from (("gvwr", "4400 furlongs"), ("gvwr", "1e9 lb"), ("load", "-1 lb"))
    yield from (("model_year", "1066"), ("weight_unit", "stone"), ("trim", "\x1b[2J"))
    yield from (("built_on", "2021-02-30"), ("as_weighed", "'; DROP TABLE car; --\\"))


def test_a_row_that_cannot_be_read_stays_and_has_no_verdict(
    inventory: Inventory, tmp_path: Path
) -> None:
    good = [{**CAR, "candidate": f"good {n}"} for n in range(3)]
    bad = [{**CAR, "candidate": f"bad {n}", c: text} for n, (c, text) in enumerate(bad_cells())]
    cars = [
        row for pair in zip(bad, [*good, *[{}] * len(bad)], strict=False) for row in pair if row
    ]
    coaches = [COACH, write_coach(tmp_path / "other.toml")]
    found = inventory.screen(cars, coaches, parts=3)
    assert len(found.rows) == len(cars) * 2
    read = [row for row in found.rows if row["unreadable"] is None]
    shortlist = write_csv(tmp_path / "cars.csv", cars)
    aside = tmp_path / "aside.csv"
    assert in_order(read) == verdicts(inventory.release, shortlist, coaches, set_aside=aside)
    reasons = {row["candidate"]: row["reason"] for row in records(f"'{aside}'")}
    assert set(found.unreadable) == set(reasons) == {row["candidate"] for row in bad}
    for row in found.rows:
        if row["unreadable"] is not None:
            assert {key for key, cell in row.items() if cell is not None} == {
                "candidate", "coach", "unreadable"
            }  # fmt: skip
    for (column, text), car in zip(bad_cells(), bad, strict=True):
        said = found.unreadable[car["candidate"]]
        assert said.startswith(f"{column}: {text!r}: "), said
        assert said.replace(f"{text!r}: ", "", 1) == reasons[car["candidate"]]


def write_coach(path: Path) -> Path:
    path.write_text('[properties]\nhitch_receiver = "3000 lb"\n', "utf-8")
    return path


def test_what_cannot_be_told_apart_or_read_is_never_permitted(inventory: Inventory) -> None:
    """A suitable car under many names, one of them twice; and with cells that are bad."""
    suitable = suitable_car(inventory.release)
    names = ["twice", " twice", "once", "", None, "\u00a0", "tab\t", "tab"]
    bad = {"market": "nowhere", "model_year": "soon", "weight_unit": "st"}
    cars = [{**suitable, "candidate": name} for name in names]
    cars += [{**suitable, "candidate": "bad", **bad}, {**suitable, "candidate": "twice", **bad}]
    found = inventory.screen(cars, parts=4)
    assert len(found.rows) == len(cars)
    read = [row["candidate"] for row in found.rows if row["verdict"] is not None]
    assert sorted(read, key=str) == [None, None, None, "once", "tab", "tab\t"]
    assert {row["verdict"] for row in found.rows} == {"suitable", None}
    wrong = "candidate: two cars have this name; give each car a name of its own"
    told = sorted(row["unreadable"] for row in found.rows if row["candidate"] == "twice")
    assert told == sorted([wrong, wrong, f"{found.unreadable['bad']} · {wrong}"])
    assert [part.partition(":")[0] for part in found.unreadable["bad"].split(" · ")] == [*bad]


def suitable_car(release: Path) -> Record:
    """A car of the demo that is suitable, as it was typed."""
    suitable = next(r for r in verdicts(release, SHORTLIST) if r["verdict"] == "suitable")
    cars = records(f"read_csv({literal(str(SHORTLIST))}, all_varchar = true)")
    return next(car for car in cars if car["candidate"] == suitable["candidate"])


def test_a_name_is_what_duckdb_trims_of_it(inventory: Inventory) -> None:
    """Two names that it trims to one are two cars of one name."""
    points = [chr(n) for n in (*range(1, 0x3100), 0xFEFF, 0xFFA0, 0x1F697)]
    found = inventory.screen([{"candidate": f"{p}a{p}"} for p in points])
    with duckdb.connect() as con:
        (wanted,) = zip(*con.execute(
            "SELECT trim(p || 'a' || p) FROM (SELECT unnest($1::VARCHAR[]) AS p)", [points]
        ).fetchall(), strict=True)  # fmt: skip
    assert sorted(row["candidate"] for row in found.rows) == sorted(wanted)
    twice = [name for name in wanted if wanted.count(name) > 1]
    assert set(twice) == {"a"} == set(found.unreadable)
    assert sum(row["unreadable"] is not None for row in found.rows) == len(twice)


def test_numbers_name_cars_and_a_gap_of_them_names_none(
    inventory: Inventory, tmp_path: Path
) -> None:
    path = tmp_path / "numbered.parquet"
    with duckdb.connect() as con:
        con.execute(
            "COPY (SELECT unnest([1, 2.5, 7, 7, 'nan'::DOUBLE, 'nan'::DOUBLE, NULL]) AS candidate)"
            f" TO {literal(str(path))} (FORMAT parquet)"
        )
    found = inventory.screen(path)
    named = sorted((row["candidate"] or "", row["verdict"]) for row in found.rows if row["verdict"])
    assert named == [(name, "undetermined") for name in ("", "", "", "1", "2.5")]
    assert set(found.unreadable) == {"7"}


def test_every_column_of_a_shortlist_may_be_empty(inventory: Inventory) -> None:
    columns = contract().candidate.columns
    empty = [{**dict.fromkeys(columns), "candidate": "of no text"}]
    for typed in ({}, {column: "NULL" for column in columns if column != "candidate"}):
        found = inventory.screen(empty, columns=typed)
        assert [(row["candidate"], row["verdict"]) for row in found.rows] == [
            ("of no text", "undetermined")
        ]
        assert found.unreadable == {}


def test_columns_that_are_left_aside_may_have_one_name(inventory: Inventory) -> None:
    cars = [{"Lot": "a", "Make": "Quillon", "make": "x", "MAKE": "y", "other": "z"}]
    mapping = {"columns": {"lot": "candidate", "make": ""}}
    (row,) = inventory.screen(cars, mapping=mapping).rows
    assert (row["candidate"], row["verdict"], row["unreadable"]) == ("a", "undetermined", None)


# ------------------------------------------------------------ at a worker


@pytest.mark.parametrize("limits", [{"_AT_ONCE": 5}, {"_BYTES_AT_ONCE": 1}])
def test_some_cars_at_once_are_screened_as_all_together(
    limits: dict[str, int], spark: Spark, inventory: Inventory, tmp_path: Path
) -> None:
    path, made, shortlist = (tmp_path / name for name in ("in.parquet", "out.parquet", "cars.csv"))
    cars = records(f"read_csv({literal(str(SHORTLIST))}, all_varchar = true)")
    cars += [{**CAR, "candidate": "bad", "gvwr": "4400 stone"}, {**CAR, "candidate": "last"}]
    write_csv(shortlist, cars)
    with duckdb.connect() as con:
        con.execute(
            "COPY (SELECT candidate AS name_of_car, candidate = 'last' AS is_named_twice,"
            " '' AS candidate, * EXCLUDE (candidate)"
            f" FROM read_csv({literal(str(shortlist))}, all_varchar = true))"
            f" TO {literal(str(path))} (FORMAT parquet)"
        )
    spark.ask("by_few", path=str(path), into=str(made), release=str(inventory.release),
              coach=str(COACH), by={"on": ON}, limits=limits)  # fmt: skip
    found = Screened({}, records(literal(str(made))))
    assert set(found.unreadable) == {"bad", "last"}
    assert in_order(row for row in found.rows if not row["unreadable"]) == verdicts(
        inventory.release, SHORTLIST
    )


class Sent:
    """What Spark sent to a worker."""

    def __init__(self, release: Path) -> None:
        self.value = release.read_bytes()


def test_a_call_travels_as_plain_values_and_is_of_one_day(demo_release: Path) -> None:
    call = towdb.spark.read_call(demo_release, COACH)
    assert pickle.loads(pickle.dumps(call)) == call
    assert call.about["on"] == call.on.isoformat()
    assert [coach.coach for coach in call.coaches] == ["coach"]


def test_a_worker_takes_the_release_that_the_driver_opened_and_no_other(
    demo_release: Path, tmp_path: Path
) -> None:
    laid = tmp_path / "laid.duckdb"
    call = replace(towdb.spark.read_call(demo_release, COACH), sent=Sent(demo_release))
    call.lay(laid)
    assert laid.read_bytes() == demo_release.read_bytes()
    with pytest.raises(
        towdb.UsageError, match=r"not [0-9a-f]{12}, which the driver opened; it was"
    ):
        replace(call, digest="0" * 64).lay(laid)


def test_a_worker_of_another_version_refuses(demo_release: Path, tmp_path: Path) -> None:
    call = replace(towdb.spark.read_call(demo_release, COACH), sent=Sent(demo_release))
    about = {**call.about, "towdb_version": "0.0.0"}
    with pytest.raises(towdb.UsageError, match=r"the driver 0\.0\.0; install the same version"):
        replace(call, about=about).lay(tmp_path / "laid.duckdb")


# ------------------------------------------------------------ lazy


def test_a_source_that_breaks_when_it_is_read_breaks_no_call(inventory: Inventory) -> None:
    assert inventory.ask([{**CAR, "candidate": "one"}], do="poisoned") == {"broke": True}


def test_hostile_texts_come_through_as_they_are(inventory: Inventory, tmp_path: Path) -> None:
    cars = [{**CAR, "candidate": f"{n} {text}"} for n, text in enumerate(TEXTS)]
    cars += [
        {**CAR, "candidate": f"{column} {n}", column: text}
        for column in ("make", "model", "trim", "options", "lot")
        for n, text in enumerate(SEEN)
        if column != "options" or "," not in text
    ]
    found = inventory.screen(cars)
    with towdb.screen(
        write_csv(tmp_path / "cars.csv", cars), coach=COACH, reference=inventory.release, on=ON,
        set_aside=tmp_path / "aside.csv",
    ) as screening:  # fmt: skip
        wanted = in_order(screening.records("verdict"))
    read = [row for row in found.rows if row["unreadable"] is None]
    assert in_order(read) == wanted
    assert len(found.rows) == len(cars)
    assert len(read) > len(TEXTS)


# ------------------------------------------------------------ refusals, before anything runs


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"cars": [{"candidate": "a", "makr": "b"}]}, "unknown column 'makr'; did you mean make?"),
        ({"cars": [{"make": "a"}]}, "the inventory has no column candidate"),
        ({"cars": [{"candidate": "a", "Make": "b", "make ": "c"}]}, "column make appears twice"),
        ({"columns": {"trim": "array(candidate)"}}, "column trim is of type array<string>"),
        ({"columns": {"trim": "to_binary(candidate, 'utf-8')"}}, "column trim is of type binary"),
        ({"coach": "no such coach"}, "neither a file nor a coach of the reference"),
        ({"coach": "nowhere.toml"}, "nowhere.toml: the coach file cannot be read"),
        ({"coach": [COACH, COACH]}, "two coaches are called coach"),
        ({"release": "nowhere.duckdb"}, "nowhere.duckdb: there is no such release"),
        ({"release": str(COACH)}, "is not a towdb release"),
        ({"on": "yesterday"}, "is not a date"),
        ({"policy": "nowhere.toml"}, "the policy file cannot be read"),
        ({"assume": {"market": "nowhere"}}, "assume market=nowhere"),
        ({"assume": {"colour": "red"}}, "assume colour: not an attribute"),
        ({"mapping": {"columns": {"a": "makr"}}}, "'makr' is not a column"),
    ],
)
def test_what_is_no_cell_is_refused_at_once(
    changed: dict[str, Any], message: str, inventory: Inventory
) -> None:
    given = dict(changed)
    cars, coach = given.pop("cars", [{"candidate": "a"}]), given.pop("coach", COACH)
    told = inventory.ask(cars, coach, **given)
    assert message in told["refused"]
    assert "Traceback" not in told["refused"]


def test_without_spark_it_says_how_to_install_it() -> None:
    with pytest.raises(
        towdb.UsageError, match=r"Spark is not installed; pip install 'towdb\[spark"
    ):
        towdb.spark.screen(None, None, "demo.duckdb", COACH)


# ------------------------------------------------------------ what it leans on


def test_the_program_in_the_guide_runs(spark: Spark, demo_release: Path) -> None:
    (text,) = re.findall(r"```python\n(.*?)```", guides()["spark"], re.DOTALL)
    for name in ("shortlist.csv", "coach.toml"):
        (spark.folder / name).symlink_to(DEMO / name)
    (spark.folder / "demo.duckdb").symlink_to(demo_release)
    assert spark.ask("program", text=text) == {}


def test_it_imports_neither_pandas_nor_pandera_nor_spark_itself() -> None:
    program = "import sys, towdb.spark; print(*sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, cwd=ROOT, check=True
    )
    assert not {"pandas", "pandera", "pyarrow", "pyspark", "numpy"} & set(done.stdout.split())


def test_nothing_fetches_an_inventory() -> None:
    fetching = {"collect", "toPandas", "toLocalIterator", "count", "take", "first", "head", "show"}
    fetching |= {"toArrow", "cache", "persist", "checkpoint", "localCheckpoint", "foreach", "rdd"}
    nodes = list(ast.walk(ast.parse((ROOT / "towdb" / "spark.py").read_text("utf-8"))))
    assert not fetching & {node.attr for node in nodes if isinstance(node, ast.Attribute)}


def test_the_extra_stands_by_itself() -> None:
    import tomllib

    told = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    extras = told["project"]["optional-dependencies"]
    assert extras["spark"] == ["pyspark[sql]>=4"]
    assert "spark" not in json.dumps(extras["all"])
    assert "spark" not in json.dumps(told["dependency-groups"])
    assert set(CANDIDATE) <= set(contract().candidate.columns)
