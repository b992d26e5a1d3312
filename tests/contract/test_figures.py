"""A field with a unit that is added to the contract is judged by the rules as they are."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from tests.conftest import ROOT
from tests.helpers.folders import Row, copy_base, read_table, write_table
from towdb.contract import ddl
from towdb.contract.model import ADDED, ANY_KIND, Field, Table, contract

FIGURES = [(table, f) for table in contract().tables.values() for f in table.fields if f.unit_in]


@pytest.mark.parametrize(("table", "field"), FIGURES, ids=lambda part: part.name)
def test_every_figure_has_something_to_be_judged_as(table: Table, field: Field) -> None:
    """What its row does not judge names what does; only a step may have a figure of any kind."""
    if field.measures in (None, ADDED):
        assert table.name in ddl.DEMANDING
    elif field.measures == ANY_KIND:
        assert (table.name, field.name) == ("procedure_step", "value")
    else:
        demanding, word = str(field.measures).split(".")
        vocabulary = contract().vocabularies[ddl.DEMANDING[demanding]]
        assert vocabulary.words[word].dimension
        assert demanding in (vocabulary.words[word].tables or (demanding,))


def test_no_two_figures_of_a_table_share_a_unit() -> None:
    units = Counter((table.name, field.unit_in) for table, field in FIGURES)
    assert {*units.values()} == {1}


def field(name: str, more: str) -> str:
    return f'\n[{name}]\n{more}\nmeaning = "Invented."\n'


def figure(name: str, more: str = "") -> str:
    number = (
        f'type = "number"\nminimum = -1000000\nmaximum = 1000000\ngood = "1"\nbad = "x"\n{more}'
    )
    unit = 'type = "word"\nvocabulary = "unit"\ngood = "in"\nbad = "x"'
    return field(name, f'{number}\nunit_in = "{name}_unit"') + field(f"{name}_unit", unit)


HEIGHT = 'measures = "coach_property.receiver_height"'  # from 1 in to 10 ft
FIELDS = figure("hitch", HEIGHT) + figure("also_hitch", HEIGHT) + figure("third")
COLUMNS = {
    "coach": ["hitch", "hitch_unit", "also_hitch", "also_hitch_unit"],
    "coach_property": ["third", "third_unit"],
}
# What a program that knows these fields finds wrong with them.
PROGRAM = """
import json, sys
from pathlib import Path
import towdb.resources
towdb.resources.schema_path = lambda: Path(sys.argv[1])
import towdb
found = towdb.check(sys.argv[2]).found
print(json.dumps([[f.key, f.column, f.rule] for f in found]))
"""
UNITS, KIND = "figures_and_units_stand_together", "units_have_the_demanded_dimension"
RANGE, PAIR = "figures_are_believable", "printed_pairs_agree"
SECOND, DIGITS = "second_figures_stand_beside_a_first", "masses_are_exact"
# Key, cells of the added columns, and what is wrong with them.
COACHES = [
    ("none", ",,,", None),
    ("good", "15,in,,", None),
    ("least", "1,in,,", None),
    ("most", "10,ft,,", None),
    ("no-unit", "15,,,", ("hitch_unit", UNITS)),
    ("no-figure", ",in,,", ("hitch", UNITS)),
    ("below", "0.999999,in,,", ("hitch", RANGE)),
    ("above", "10.000001,ft,,", ("hitch", RANGE)),
    ("kind", "15,kg,,", ("hitch_unit", KIND)),
    ("pair", "15,in,38.1,cm", None),
    ("unlike", "15,in,15,cm", ("also_hitch", PAIR)),
    ("second", ",,38.1,cm", ("hitch", SECOND)),
    ("second-no-unit", "15,in,38.1,", ("also_hitch_unit", UNITS)),
    ("second-kind", "15,in,38.1,lb", ("also_hitch_unit", KIND)),
]
# As the row's own property demands.
PROPERTIES = [
    ("gcwr", "5000,lb", None),
    ("gcwr", "5000,in", ("third_unit", KIND)),
    ("gcwr", "5000,", ("third_unit", UNITS)),
    ("gcwr", "-1,lb", ("third", RANGE)),
    ("gcwr", "5000.001,lb", ("third", DIGITS)),
    ("receiver-height", "15,in", None),
    ("receiver-height", "15,lb", ("third_unit", KIND)),
    ("receiver-height", "11,ft", ("third", RANGE)),
]


def changed_contract(target: Path) -> Path:
    """A copy of the contract with fields more, and no rule touched."""
    shutil.copytree(ROOT / "schema", target)
    with (target / "fields.toml").open("a", encoding="utf-8") as stream:
        stream.write(FIELDS)
    tables = (target / "tables.toml").read_text("utf-8")
    for table, names in COLUMNS.items():
        head, columns, rest = tables.partition(f'columns = ["{table}_id", ')
        assert columns
        added = "".join(f'"{name}", ' for name in names)
        tables = head + columns + added + rest
    (target / "tables.toml").write_text(tables, "utf-8")
    return target


def with_cells(row: Row, table: str, key: str, cells: str) -> Row:
    return {**row, f"{table}_id": key, **dict(zip(COLUMNS[table], cells.split(","), strict=True))}


def test_a_field_that_is_added_with_a_unit_is_judged(tmp_path: Path) -> None:
    folder, expected = copy_base(tmp_path / "reference"), set()
    (coach,) = read_table(folder, "coach")
    rows = [with_cells(coach, "coach", coach["coach_id"], ",,,")]
    for key, cells, wrong in COACHES:
        rows.append(with_cells(coach, "coach", key, cells))
        expected |= {(key, *wrong)} if wrong else set()
    write_table(folder, "coach", rows)
    of = {row["coach_property_id"]: row for row in read_table(folder, "coach_property")}
    rows = [with_cells(row, "coach_property", key, ",") for key, row in of.items()]
    for number, (like, cells, wrong) in enumerate(PROPERTIES):
        key = f"{like}-{number}"
        rows.append(with_cells(of[like], "coach_property", key, cells))
        expected |= {(key, *wrong)} if wrong else set()
    write_table(folder, "coach_property", rows)
    schema = changed_contract(tmp_path / "schema")
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(schema), str(folder)],
        capture_output=True, text=True, cwd=ROOT, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    added = {name for names in COLUMNS.values() for name in names}
    found = {
        (key, column, rule) for key, column, rule in json.loads(done.stdout) if column in added
    }
    assert found == expected
