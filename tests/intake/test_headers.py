"""Other people's headers and words: a mapping file, and all that may be wrong with one."""

from __future__ import annotations

import csv
import importlib.util
import json
from collections import Counter
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import towdb
from tests.conftest import DEMO
from tests.helpers.command import Command
from tests.helpers.tier import by_tier
from towdb.errors import UsageError
from towdb.intake.headers import ColumnMap, read_header, read_mapping

SHORTLIST = DEMO / "shortlist.csv"
COACH = DEMO / "coach.toml"
ON = "2026-01-31"
MAPPING = """
[columns]
"Stock No." = "candidate"
"Gearbox"   = "transmission"
"GVW"       = "gvwr"
"Load"      = ""

[words.transmission]
"M/T" = "manual"
"?"   = ""
"""


def refused(mapping: dict[str, Any]) -> list[str]:
    with pytest.raises(UsageError) as error:
        read_mapping(mapping)
    lines = str(error.value).splitlines()
    assert all(line.startswith("the mapping: ") for line in lines)
    return [line.removeprefix("the mapping: ") for line in lines]


def verdicts(source: Any, release: Path, **more: Any) -> list[dict[str, Any]]:
    with towdb.screen(source, coach=COACH, reference=release, on=ON, **more) as screening:
        return screening.records("verdict")


# ---------------------------------------------------------------- published words


# Fuel economy data of 1999 and 2008, as the plotnine package carries it (mpg).
def test_the_words_of_a_published_table(tmp_path: Path) -> None:
    package = importlib.util.find_spec("plotnine")
    assert package is not None
    assert package.submodule_search_locations
    table = Path(package.submodule_search_locations[0]) / "data" / "mpg.csv"
    with table.open(encoding="utf-8", newline="") as stream:
        cars = list(csv.DictReader(stream))
    mapping = tmp_path / "mpg.toml"
    mapping.write_text(
        '[columns]\nmanufacturer = "make"\nyear = "model_year"\ntrans = "transmission"\n'
        'drv = "drivetrain"\nclass = "body_style"\n'
        '[words.drivetrain]\nf = "fwd"\nr = "rwd"\n4 = "4wd"\n'
        "[words.transmission]\n"
        + "".join(
            f'"{word}" = "{"stick" if word.startswith("manual") else "auto"}"\n'
            for word in sorted({car["trans"] for car in cars} - {"auto(av)"})
        )
        + '"auto(av)" = "cvt"\n',
        "utf-8",
    )
    with towdb.check_inventory(table, mapping=mapping) as checked:
        assert (checked.rows, [*checked.found()]) == (234, [])
        assert checked.notes == ("5 column(s) left aside: displ, cyl, cty, hwy, fl",)
    # Without the words all of them are told; `4` and `f` are no words of ours.
    del_words = mapping.read_text("utf-8").partition("[words")[0]
    mapping.write_text(del_words, "utf-8")
    with towdb.check_inventory(table, mapping=mapping) as checked:
        told = Counter((finding.column, finding.value) for finding in checked.found())
    expected = Counter(("drivetrain", car["drv"]) for car in cars)
    expected += Counter(("transmission", car["trans"]) for car in cars)
    assert told == expected


# ---------------------------------------------------------------- what a mapping does


def test_their_table_gives_the_verdicts_of_ours(tmp_path: Path, demo_release: Path) -> None:
    frame = pd.read_csv(SHORTLIST, dtype="str", keep_default_na=False)
    words = {"transmission": {"Getriebe von Hand": "stick"}, "make": {"QLN": "Quillon"}}
    theirs = frame.rename(columns={"candidate": "Stock No.", "transmission": "Gearbox"})
    theirs["Gearbox"] = theirs["Gearbox"].str.replace("stick", " getriebe VON  hand ")
    theirs["make"] = theirs["make"].str.replace(r"(?i)^ ?quillon$", "qln", regex=True)
    theirs["verdict"] = "a good car"
    theirs["candidate_no"] = "1"
    columns = {"stock no.": "candidate", "GEARBOX": "transmission"}
    theirs.to_csv(tmp_path / "cars.csv", index=False)
    mapping = {"columns": columns, "words": words}
    expected = verdicts(SHORTLIST, demo_release)
    assert verdicts(tmp_path / "cars.csv", demo_release, mapping=mapping) == expected
    assert verdicts(theirs, demo_release, mapping=mapping) == expected
    with towdb.screen(
        theirs, coach=COACH, reference=demo_release, on=ON, mapping=mapping
    ) as screening:
        assert screening.notes == ("2 column(s) left aside: verdict, candidate_no",)
        # What is kept of an answer means the same without the mapping.
        columns_kept, rows = screening.typed()
    again = pd.DataFrame(rows, columns=columns_kept, dtype="str")
    assert verdicts(again, demo_release) == expected


def test_a_word_that_means_nothing_leaves_the_cell_empty(demo_release: Path) -> None:
    frame = pd.DataFrame({"candidate": ["a", "b"], "market": ["n/a", ""], "gvwr": ["tbd", None]})
    mapping = {"words": {"market": {"N/A": ""}, "gvwr": {"TBD": ""}}}
    with towdb.check_inventory(frame, mapping=mapping) as checked:
        assert checked.ok
    # And what is assumed of empty cells is assumed of it.
    for assume in (None, {"market": "xa"}):
        with towdb.screen(
            frame, coach=COACH, reference=demo_release, mapping=mapping, assume=assume
        ) as screening:
            one, other = screening.records("verdict")
            assert {**one, "candidate": "b"} == other
    cars = pd.read_csv(SHORTLIST, dtype="str", keep_default_na=False)
    unsaid = cars.assign(market="n/a")
    assume = {"market": "xa"}
    assert verdicts(unsaid, demo_release, mapping=mapping, assume=assume) == verdicts(
        cars.assign(market=""), demo_release, assume=assume
    )


def test_an_unknown_make_is_named_as_mapped(demo_release: Path) -> None:
    frame = pd.DataFrame({"candidate": ["a"], "make": ["QLN"], "model": ["Pica"]})
    mapping = {"words": {"make": {"QLN": "Quillon"}}}
    with towdb.screen(frame, coach=COACH, reference=demo_release, mapping=mapping) as screening:
        (remark,) = screening.records("remark")
    assert (remark["kind"], remark["said"]) == ("unknown_model", "Pika")


def test_headers_that_a_mapping_names_and_nobody_has() -> None:
    frame = pd.DataFrame({"make": ["x"]})
    with towdb.check_inventory(frame, mapping={"columns": {"Modle": "model"}}) as checked:
        assert checked.notes == (
            "the mapping names columns that the inventory does not have: modle",
        )


def test_no_column_of_ours() -> None:
    frame = pd.DataFrame({"Modell": ["x"]})
    with pytest.raises(UsageError, match="no column was recognised; map its headers with --map"):
        towdb.check_inventory(frame, mapping={"columns": {"Make": "make"}})


def test_two_headers_that_come_to_one_column() -> None:
    frame = pd.DataFrame({"candidate": ["a"], "Stock": ["b"]})
    with pytest.raises(UsageError, match="column candidate appears twice"):
        towdb.check_inventory(frame, mapping={"columns": {"Stock": "candidate"}})
    with towdb.check_inventory(
        frame, mapping={"columns": {"Stock": "candidate", "candidate": ""}}
    ) as checked:
        assert checked.rows == 1


NO_MAP = ColumnMap("")
NAMES = st.text(
    st.characters(categories=("L", "N", "P", "S", "Z"), exclude_characters="\x00"),
    min_size=1,
    max_size=12,
)


@settings(
    max_examples=by_tier(quick=6, whole=25),
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.lists(NAMES, min_size=1, max_size=4, unique_by=str.casefold), st.booleans())
def test_no_header_breaks_anything(tmp_path: Path, headers: list[str], is_parquet: bool) -> None:
    import duckdb

    names = ["candidate", *headers]
    path = tmp_path / f"cars.{'parquet' if is_parquet else 'csv'}"
    with duckdb.connect() as con:
        cells = ", ".join(
            f"'{number}' AS \"{name.replace(chr(34), chr(34) * 2)}\""
            for number, name in enumerate(names)
        )
        try:
            con.execute(f"COPY (SELECT {cells}) TO '{path}' (DELIMITER ',')" if not is_parquet
                        else f"COPY (SELECT {cells}) TO '{path}'")  # fmt: skip
        except duckdb.Error:
            return  # two headers that DuckDB takes for one
    ours = ["candidate", *(c for n in headers for c in read_header("", [n], NO_MAP).places())]
    if len(set(ours)) < len(ours):
        return  # two headers of ours by chance
    with towdb.check_inventory(
        path, mapping={"columns": {}}, set_aside=tmp_path / "aside.csv"
    ) as checked:
        assert checked.rows == 1
    assert (tmp_path / "aside.csv").is_file()


# ---------------------------------------------------------------- units and dates of columns


def cell_faults(cells: dict[str, list[str]], mapping: dict[str, Any]) -> list[tuple[Any, ...]]:
    with towdb.check_inventory(pd.DataFrame(cells), mapping=mapping) as checked:
        return [(f.line, f.column, f.rule, f.message) for f in checked.found()]


def test_a_unit_of_a_column_is_that_of_its_bare_figures(demo_release: Path) -> None:
    bare = ["1,814", "1814", " 1 814 ", "1814.0", ""]
    mapping = {"columns": {"Masse": {"column": "gvwr", "unit": "kg"}}}
    named = {"candidate": [*"abcde"], "make": ["Quillon"] * 5}
    theirs = pd.DataFrame({**named, "Masse": bare})
    ours = pd.DataFrame({**named, "gvwr": [cell and f"{cell} kg" for cell in bare]})
    with towdb.screen(
        theirs, coach=COACH, reference=demo_release, on=ON, mapping=mapping
    ) as screening:
        found = screening.records("verdict")
        columns_kept, rows = screening.typed()
    assert found == verdicts(ours, demo_release)
    assert [row["towed_weight_lb"] for row in found[:4]] == [3999.2, 3999.2, 3999.2, 3999.2]
    # What is kept of an answer means the same without the mapping.
    assert verdicts(pd.DataFrame(rows, columns=columns_kept, dtype="str"), demo_release) == found
    weights = towdb.weights(theirs, mapping=mapping).document()
    assert weights["distribution"] == towdb.weights(ours).document()["distribution"]


def test_a_figure_with_another_unit_than_its_column_is_refused() -> None:
    # Where pounds may be kilograms, either the cell or the mapping is wrong: neither is believed.
    mapping = {"columns": {"W": {"column": "gvwr", "unit": "lb"}}}
    cells = {"W": ["4,400", "4400 lbs", "1996 kg", "1,996 KG", "heavy"]}
    other = "in kg, and the mapping gives its column in lb"
    assert [fault[:3] for fault in cell_faults(cells, mapping)] == [
        (4, "gvwr", "unit"), (5, "gvwr", "unit"), (6, "gvwr", "type"),
    ]  # fmt: skip
    assert [fault[3] for fault in cell_faults(cells, mapping)[:2]] == [other, other]
    # Whoever looked at the cell maps it to itself.
    sure = {**mapping, "words": {"gvwr": {"1996 kg": "1996 kg", "1,996 kg": "1996 kg"}}}
    assert [fault[0] for fault in cell_faults(cells, sure)] == [6]


def test_a_unit_of_a_row_that_contradicts_its_column_is_refused() -> None:
    mapping = {"columns": {"W": {"column": "gvwr", "unit": "lb"}}}
    cells = {"W": ["4400", "4400", "4400", "1996 kg"], "weight_unit": ["lbs", "kg", "", "kg"]}
    wrong = "the mapping gives its column in lb, and weight_unit of its row is kg"
    assert [fault[0] for fault in cell_faults(cells, mapping)] == [3, 5]
    assert cell_faults(cells, mapping)[0][3] == wrong


@pytest.mark.parametrize(
    ("order", "good", "bad"),
    [
        ("month/day/year", "3/14/2021", ["14/3/2021", "3/14/21", "3/2021", "2021/3/14"]),
        ("day/month/year", "14.03.2021", ["03.14.2021", "14.3.21", "14.3-2021", "31.2.2021"]),
        ("year/month/day", "2021/3/14", ["3/14/2021", "2021/14/3", "21/3/14"]),
        ("Day - Month - Year", "14-3-2021", ["March 14, 2021", "14-3", "14--3-2021"]),
    ],
)
def test_dates_of_an_order(order: str, good: str, bad: list[str]) -> None:
    for column in ("built_on", "listed_on"):
        mapping = {"columns": {"When": {"column": column, "dates": order}}}
        # A date as the contract writes it means one day in every order.
        cells = {"When": [good, "2021-03-14", "", *bad]}
        faults = cell_faults(cells, mapping)
        assert [fault[0] for fault in faults] == [*range(5, 5 + len(bad))]
        assert {fault[3].partition(" as ")[0] for fault in faults} == {"not a date"}
        bare = {"columns": {"When": column}}
        # Without an order nothing is guessed, not even of a date that can be read in one way only.
        assert [fault[0] for fault in cell_faults({"When": [good]}, bare)] == [2]


def test_a_date_in_an_order_is_that_day(demo_release: Path) -> None:
    mapping = {
        "columns": {
            "Built": {"column": "built_on", "dates": "month/year"},
            "Listed": {"column": "listed_on", "dates": "day/month/year"},
        }
    }
    frame = pd.DataFrame({"Built": ["3/2021", "03.2021"], "Listed": ["4/3/2021", "03/04/2021"]})
    with towdb.screen(
        frame, coach=COACH, reference=demo_release, on=ON, mapping=mapping
    ) as screening:
        columns, rows = screening.typed()
    assert columns == ["built_on", "listed_on"]
    assert rows == [("2021-03", "2021-03-04"), ("2021-03", "2021-04-03")]


def test_a_unit_is_of_the_column_that_the_mapping_names(tmp_path: Path) -> None:
    # In the other file figures may be in pounds.
    (tmp_path / "stock").mkdir()
    (tmp_path / "stock" / "a.csv").write_text("Masse\n1996\n", "utf-8")
    (tmp_path / "stock" / "b.csv").write_text("GVWR\n4400\n", "utf-8")
    mapping = {"columns": {"Masse": {"column": "gvwr", "unit": "kg"}}}
    with pytest.raises(UsageError, match=r"b.csv, line 1: column 'GVWR' is gvwr by its name, but"):
        towdb.check_inventory(tmp_path / "stock", mapping=mapping)


# ---------------------------------------------------------------- what is refused


@pytest.mark.parametrize(
    ("mapping", "expected"),
    [
        ({"columns": {"a": {"unit": "kg"}}}, "columns: 'a': names no column of ours; write {"),
        (
            {"columns": {"a": {"column": "gvwr", "units": "kg"}}},
            "columns: 'a': unknown key 'units'; did you mean unit?; write column, unit, dates",
        ),
        ({"columns": {"a": {"column": "gvwr", "unit": 5}}}, "'a': unit must be text: write it in"),
        (
            {"columns": {"a": {"column": "gvwr", "unit": "mph"}}},
            "not a unit of weight; use lb or kg",
        ),
        (
            {"columns": {"a": {"column": "gvwr", "unit": "stone"}}},
            "not a unit of weight; use lb or",
        ),
        (
            {"columns": {"a": {"column": "price", "unit": "lb"}}},
            "price is not a weight; leave it out",
        ),
        ({"columns": {"a": {"column": "", "unit": "lb"}}}, "unit: the column is left aside; leave"),
        (
            {"columns": {"a": {"column": "listed_on", "dates": "month/year"}}},
            "dates 'month/year': not an order of a date; use one of month/day/year,",
        ),
        (
            {"columns": {"a": {"column": "lot", "dates": "month/year"}}},
            "lot is not a date; leave it",
        ),
        ({"columns": {"a": {"column": "modle"}}}, "'modle' is not a column; did you mean model"),
        (
            {"columns": {"a": {"column": 5}}},
            "columns: 'a': must be text: write both sides in quotes",
        ),
        ({"column": {}}, "column: unknown table; did you mean columns?; write [columns] and"),
        ({"columns": 5}, "columns: must be a table: [columns]"),
        ({"columns": {"a": 5}}, "columns: 'a': must be text: write both sides in quotes"),
        ({"columns": {"a": "modle"}}, "'modle' is not a column; did you mean model?"),
        (
            {"columns": {"a": "stock_no", "b": "candidate"}},
            "columns: 'a' and 'b' are both mapped to candidate; keep one of them",
        ),
        ({"columns": {"A": "make", "a ": ""}}, "'a ': appears twice, in another case"),
        ({"words": {"transmision": {}}}, "there is no such column; did you mean transmission?"),
        ({"words": {"candidate": {"a": "b"}}}, "words.candidate: is kept as it is typed"),
        ({"words": {"market": "xa"}}, "words.market: must be a table: [words.market]"),
        (
            {"words": {"transmission": {"M/T": "manuel"}}},
            "'m/t' = 'manuel': unknown word; did you mean manual?",
        ),
        ({"words": {"weight_unit": {"#": "stone"}}}, "unknown unit"),
        ({"words": {"gvwr": {"heavy": "4400"}}}, "has no unit"),
        ({"words": {"gvwr": {"heavy": "0 lb"}}}, "a weight is above 0"),
        ({"words": {"model_year": {"new": "20266"}}}, "not believable"),
        ({"words": {"built_on": {"new": "March"}}}, "write a day or a month"),
    ],
)
def test_a_mapping_that_is_refused(mapping: dict[str, Any], expected: str) -> None:
    (line,) = refused(mapping)
    assert expected in line


def test_all_faults_of_a_mapping_are_told() -> None:
    told = refused(
        {
            "colums": {},
            "columns": {"a": "make", "b": "make", "c": "nothing"},
            "words": {"market": {"US of A": "usa!"}, "nothing": {}},
        }
    )
    assert len(told) == 5


def test_words_that_are_good() -> None:
    read = read_mapping(
        {
            "words": {
                "weight_unit": {"Pfund": "lbs"}, "gvwr": {"heavy": "4,400 lb"},
                "options_complete": {"ja": "y"}, "options": {"-": "none"},
                "model_year": {"MY21": "2021"},
            }
        }
    )  # fmt: skip
    assert isinstance(read, ColumnMap)
    assert read.meant("gvwr", " HEAVY ") == "4,400 lb"
    assert read.meant("gvwr", "light") == "light"


def test_the_command(type_in: Command, tmp_path: Path, demo_release: Path) -> None:
    (tmp_path / "map.toml").write_text(MAPPING, "utf-8")
    (tmp_path / "cars.csv").write_text(
        "Stock No.,make,Gearbox,GVW,Load,verdict\n7,Quillon,m/t,4400 lb,a bike,sold\n"
        "8,Quillon,?,4400 lb,,\n",
        "utf-8",
    )
    said = type_in("inventory", "check", "cars.csv", "--map", "map.toml", "--format", "json")
    told = json.loads(said.out)
    assert (said.status, said.err, told["ok"], told["rows"]) == (0, "", True, 2)
    assert told["notes"] == ["2 column(s) left aside: Load, verdict"]
    screen = (
        "screen", "cars.csv", "--coach", COACH, "--reference", demo_release, "--on", ON,
    )  # fmt: skip
    said = type_in(*screen, "--map", "map.toml", "--format", "csv")
    assert said.status == 0
    assert said.err == "Note: 2 column(s) left aside: Load, verdict\n"
    assert [line.split(",")[0] for line in said.out.splitlines()] == ["candidate", "7", "8"]
    said = type_in(*screen, "--format", "csv")
    assert (said.status, len(said.err.splitlines())) == (2, 4)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"\xff", "is not text in UTF-8"),
        (b"columns\n", "is not TOML"),
        (b"[columns]\na = 'gvwr'\nb = 'gvwr'\n", "are both mapped to gvwr"),
        (b"[columns]\na = 'make'\na = 'model'\n", "is not TOML"),
    ],
)
def test_a_mapping_file_that_is_refused(
    type_in: Command, tmp_path: Path, demo_release: Path, content: bytes, says: str
) -> None:
    (tmp_path / "map.toml").write_bytes(content)
    (tmp_path / "cars.csv").write_text("make\nx\n", "utf-8")
    line = type_in.refused("inventory", "check", "cars.csv", "--map", "map.toml")
    assert line.startswith("towdb: map.toml: ")
    assert says in line
    screen = ("screen", "cars.csv", "--coach", COACH, "--reference", demo_release)
    assert type_in.refused(*screen, "--map", "map.toml") == line


def test_no_mapping_file(type_in: Command) -> None:
    line = type_in.refused("inventory", "check", "cars.csv", "--map", "no.toml")
    assert "no.toml: the mapping file cannot be read" in line
