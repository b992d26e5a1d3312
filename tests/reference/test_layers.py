"""Three layers look at a reference; what each of them catches, misses, and why it may miss it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import duckdb
import pytest
from pandera.errors import SchemaErrors

import towdb
from tests.helpers.folders import BASE, Row, copy_base, read_table, write_table
from tests.helpers.tier import by_tier
from towdb.contract import ddl
from towdb.reference.folder import TextTable, read_folder
from towdb.reference.rules import broken, rules, stage

Tables = dict[str, list[Row]]
Texts = dict[str, TextTable]
Change = Callable[[Tables], None]

# ---------------------------------------------------------------- why a layer may miss something

# pandera
ONE_CELL = "pandera looks at one cell at a time; each of these is right by itself"
ONE_TABLE = "pandera looks at one table at a time"
# both of these
SHARED = "the word belongs to the column, whose vocabulary several tables share"
# DuckDB's tables
CASTS = "TRY_CAST turns it into NULL, and the column may be NULL"
READS = "TRY_CAST reads it as a figure, and that is believable"
ANY_TEXT = "to a column of text, any text is as good as another"
NO_LIST = "a CHECK of a list or a cell of words would need a grammar"
ONE_COLUMN = "each CHECK is of one column"
NO_FOREIGN_KEY = "lists of ids can have no foreign key, so the tables have none"
# the rules
TYPED = "rules see the typed value, in which nothing is wrong any more"
EMPTIED = "the typed value is NULL, and no rule needs it"
NOT_A_TRUTH = "what a column may hold, and that keys differ, is left to pandera"

# ---------------------------------------------------------------- how a folder is changed


def put(table: str, key: str, **cells: str) -> Change:
    """Write cells of one row."""

    def change(tables: Tables) -> None:
        row = row_of(tables, table, key)
        assert set(cells) <= set(row)
        row.update(cells)

    return change


def again(table: str, key: str, **cells: str) -> Change:
    """Append a row once more, with some of its cells changed."""

    def change(tables: Tables) -> None:
        tables[table].append({**row_of(tables, table, key), **cells})

    return change


def drop(table: str, key: str) -> Change:
    """Remove a row."""

    def change(tables: Tables) -> None:
        tables[table].remove(row_of(tables, table, key))

    return change


def shift(table: str, key: str, first: str, last: str) -> Change:
    """Move the cells from `first` on one column to the right; that of `last` falls out."""

    def change(tables: Tables) -> None:
        row = row_of(tables, table, key)
        columns = list(row)
        moved = columns[columns.index(first) : columns.index(last) + 1]
        row.update(zip(moved, ["", *[row[column] for column in moved[:-1]]], strict=True))

    return change


def reverse(tables: Tables) -> None:
    """Turn the order of all rows round."""
    for rows in tables.values():
        rows.reverse()


def row_of(tables: Tables, table: str, key: str) -> Row:
    return next(row for row in tables[table] if row[f"{table}_id"] == key)


# ---------------------------------------------------------------- the matrix


@dataclass(frozen=True)
class Case:
    """What is planted, which of p(andera), d(uckdb) and r(ules) catch it, why the others do not."""

    name: str
    caught: str
    missed: tuple[str, ...]
    changes: tuple[Change, ...]


def case(name: str, caught: str, missed: tuple[str, ...], *changes: Change) -> Case:
    return Case(name, caught, missed, changes)


GVWR = ("vehicle_property", "key-gvwr")
ALONE = {"also_value": "", "also_unit": ""}
BETWEEN_CELLS = (ONE_CELL, ONE_COLUMN)
BY_PANDERA = (ANY_TEXT, NOT_A_TRUTH)
BETWEEN_TABLES = (ONE_TABLE, ONE_COLUMN)

NUMBERS = [
    case("inf", "p-r", (CASTS,), put(*GVWR, value="inf")),
    case("nan", "p-r", (CASTS,), put(*GVWR, value="nan")),
    case("minus zero", "p--", (READS, TYPED),
         put("equipment_property", "bar-shortest", value="-0")),
    case("1e9", "p-r", (CASTS,), put(*GVWR, value="1e9")),
    case("1e4", "p--", (READS, TYPED), put(*GVWR, value="1e4", **ALONE)),
    case("leading zeros", "p--", (READS, TYPED), put(*GVWR, value="003400")),
    case("a comma for thousands", "p-r", (CASTS,), put(*GVWR, value="3,400")),
    case("a unit in the figure", "p-r", (CASTS,), put(*GVWR, value="3400lb")),
    case("seven decimals", "p--", (READS, TYPED), put(*GVWR, value="3400.0000001")),
    case("a pound in thousandths", "--r", BETWEEN_CELLS, put(*GVWR, value="3400.001")),
    case("a negative weight", "--r", BETWEEN_CELLS, put(*GVWR, value="-3400", **ALONE)),
    case("a weight beyond belief", "pdr", (), put(*GVWR, value="500000000")),
    case("a count with decimals", "p--", (READS, TYPED), put("eligibility", "key", limits="2.0")),
]  # fmt: skip
UNITS = [
    case("a figure without unit", "--r", BETWEEN_CELLS, put(*GVWR, unit="")),
    case("a unit without figure", "--r", BETWEEN_CELLS, put(*GVWR, value="", **ALONE)),
    case("a weight in inches", "--r", BETWEEN_CELLS, put(*GVWR, unit="in", **ALONE)),
    case("kilograms labelled as pounds in one row", "--r", BETWEEN_CELLS,
         put(*GVWR, value="1542", unit="lb", **ALONE)),
    case("an unknown unit", "pd-", (NOT_A_TRUTH,), put(*GVWR, unit="stone")),
    case("a unit by its alias", "pd-", (NOT_A_TRUTH,), put(*GVWR, unit="lbs")),
    case("a unit in capitals", "pd-", (NOT_A_TRUTH,), put(*GVWR, unit="LB")),
]  # fmt: skip
DATES = [
    case("February 30, may be empty", "p--", (CASTS, EMPTIED),
         put("vehicle_group", "pika-late", built_from="2021-02-30")),
    case("February 30, beside a name", "p-r", (CASTS,),
         put("coach", "brackwater", checked_on="2025-02-30")),
    case("February 30, required", "pd-", (EMPTIED,),
         put("coach", "brackwater", entered_on="2025-02-30")),
    case("a day as it is written by hand", "p--", (CASTS, EMPTIED),
         put("source", "pika-om", obtained_on="08.01.2025")),
    case("a day of another century", "pd-", (NOT_A_TRUTH,),
         put("source", "pika-om", obtained_on="1825-01-08")),
    case("the year 1899", "pd-", (NOT_A_TRUTH,),
         put("vehicle_group", "vole", model_year_from="1899")),
    case("the year 20222", "pd-", (NOT_A_TRUTH,),
         put("vehicle_group", "vole", model_year_to="20222")),
    case("the year '22", "pd-", (EMPTIED,), put("vehicle_group", "vole", model_year_to="'22")),
    case("a future range backward", "--r", BETWEEN_CELLS,
         put("vehicle_group", "vole", model_year_from="2099", model_year_to="2098")),
    case("days of building backward", "--r", BETWEEN_CELLS,
         put("vehicle_group", "vole", built_from="2021-03-01", built_to="2021-02-28")),
    case("checked the same day by the same person", "--r", BETWEEN_CELLS,
         put("coach", "brackwater", checked_by="imre  SOLVANG", checked_on="2025-03-14")),
    case("checked by somebody, some day", "--r", BETWEEN_CELLS,
         put("coach", "brackwater", checked_on="")),
    case("checked before it was entered", "--r", BETWEEN_CELLS,
         put("coach", "brackwater", checked_on="2025-03-13")),
]  # fmt: skip
IDS = [
    case("an unknown source", "--r", (ONE_TABLE, NO_FOREIGN_KEY), put(*GVWR, source_id="pika")),
    case("one unknown id in a list", "--r", (ONE_TABLE, NO_FOREIGN_KEY),
         put("eligibility", "late", overrides="key, kye")),
    case("an empty id", "pd-", (NOT_A_TRUTH,),
         put("coach_property", "gvwr", coach_property_id="")),
    case("a blank id", "p--", BY_PANDERA, put("coach_property", "gvwr", coach_property_id=" ")),
    case("a key with a trailing space", "p--", BY_PANDERA,
         put("coach_property", "gvwr", coach_property_id="gvwr ")),
    case("a foreign key with a trailing space", "p-r", (NO_FOREIGN_KEY,),
         put(*GVWR, vehicle_group_id="pika-key ")),
    case("the key of another row", "pd-", (NOT_A_TRUTH,),
         put("coach_property", "gcwr", coach_property_id="gvwr")),
    case("a whole row twice, not counted", "pd-", (NOT_A_TRUTH,), again("coach", "brackwater")),
    case("a whole row twice, counted", "pdr", (), again("towing_limit", "key-speed")),
]  # fmt: skip
WORDS = [
    case("cells shifted by one column", "pdr", (), shift(*GVWR, "property", "definition")),
    case("counts shifted by one column", "--r", BETWEEN_TABLES,
         shift("eligibility", "key", "steps_before", "limits")),
    case("an unknown word", "pd-", (NOT_A_TRUTH,),
         put("eligibility", "vole", towing_method="flat")),
    case("a word in capitals", "pd-", (NOT_A_TRUTH,),
         put("eligibility", "late", permission="Prohibited")),
    case("yes by its alias", "pd-", (EMPTIED,), put("equipment_fit", "plate-pika", fits="y")),
    case("a word of a cell by its alias", "p--", (NO_LIST, NOT_A_TRUTH),
         put("vehicle_group", "pika-key", drivetrain="fwd")),
    case("a cell of words that breaks off", "p--", (NO_LIST, NOT_A_TRUTH),
         put("vehicle_group", "pika-key", transmission="manual |")),
    case("an unknown word in a list", "p--", (NO_LIST, NOT_A_TRUTH),
         put("fuse_pull", "f12", disables="odometer, brake lights")),
    case("a broad word in a permission", "--r", BETWEEN_TABLES,
         put("vehicle_group", "pika-key", drivetrain="two_wheel_drive")),
    case("the word of another property", "--r", BETWEEN_CELLS,
         put("vehicle_property", "key-assist", word="led")),
    case("that word in capitals", "p-r", (ANY_TEXT,),
         put("vehicle_property", "key-assist", word="Vacuum")),
    case("a figure for a word", "--r", BETWEEN_CELLS,
         put("vehicle_property", "key-assist", word="", value="3", unit="count")),
    case("the property of another thing", "--r", (SHARED, SHARED), put(*GVWR, property="gcwr")),
]  # fmt: skip
CITATIONS = [
    case("no source", "pdr", (), put(*GVWR, source_id="")),
    case("no page", "pdr", (), put(*GVWR, locator="")),
    case("no words quoted", "pdr", (), put(*GVWR, quote="")),
    case("a quote of 301 characters", "p--", BY_PANDERA, put(*GVWR, quote="q" * 301)),
    case("a control character", "p--", BY_PANDERA, put(*GVWR, quote="GVWR\x1b[2J")),
    case("a mark that turns text round", "p--", BY_PANDERA,
         put("coach", "brackwater", name="Brackwater \u202e83")),
    case("a cited step without citation", "--r", BETWEEN_CELLS,
         put("general_step", "coupling-5", basis="cited")),
    case("a statement on common practice", "--r", (SHARED, SHARED),
         put("eligibility", "late", basis="common_practice")),
    case("a permission on the word of a coach maker", "--r", BETWEEN_TABLES,
         put("eligibility", "key", source_id="coach-plate")),
    case("a permission for years the manual is not for", "--r", BETWEEN_TABLES,
         put("vehicle_group", "pika-key", model_year_to="2023")),
    case("a door label for any trim", "--r", BETWEEN_TABLES,
         put("vehicle_group", "pika-labelled", trim="any")),
]  # fmt: skip
STATEMENTS = [
    case("a circle of overrides", "--r", BETWEEN_CELLS,
         put("eligibility", "key", overrides="late")),
    case("a permission for any purpose", "--r", BETWEEN_CELLS,
         put("eligibility", "key-lifted", purpose="any")),
    case("a permission that leaves open what decides", "--r", BETWEEN_TABLES,
         put("vehicle_group", "pika-key", transfer_case="")),
    case("a missing step number", "--r", BETWEEN_CELLS, drop("procedure_step", "before-2")),
    case("a printed count off by one", "--r", BETWEEN_TABLES,
         put("eligibility", "key", steps_after="3")),
    case("a count that is not given", "--r", BETWEEN_CELLS,
         put("eligibility", "key", fuse_pulls="")),
    case("a fuse pulled in a step on the shifter", "--r", BETWEEN_TABLES,
         put("fuse_pull", "f12", procedure_step_id="before-2")),
    case("a limit without its number", "--r", BETWEEN_CELLS,
         put("towing_limit", "key-engine", value="", unit="")),
    case("steps shared that are not there", "--r", BETWEEN_TABLES,
         put("eligibility", "button", same_steps_as="automatic")),
    case("a requirement of nothing", "--r", BETWEEN_TABLES,
         drop("towing_rule_term", "chains-strength")),
    case("a slot twice", "--r", BETWEEN_CELLS,
         again("general_step", "coupling-4", general_step_id="coupling-6", step_no="6")),
]  # fmt: skip
DEFECTS = NUMBERS + UNITS + DATES + IDS + WORDS + CITATIONS + STATEMENTS
CONTROLS = [
    case("the base as it is", "---", ()),
    case("rows in another order", "---", (), reverse),
    case("a quote of 300 characters", "---", (), put(*GVWR, quote="q" * 300)),
    case("words that other programs take for nothing", "---", (),
         put("coach", "brackwater", name="NA", note="nan"),
         put("equipment", "bar", maker="NULL", model="None")),
    case("years and figures at their bounds", "---", (),
         put("vehicle_group", "vole", model_year_from="1900", model_year_to="2100"),
         put("vehicle_property", "vole-gvwr", value="1000000")),
    case("a figure with all its decimals", "---", (),
         put(*GVWR, value="1542.214058", unit="kg", also_value="3400.00", also_unit="lb")),
    case("checked by oneself on a later day", "---", (),
         put("coach", "brackwater", checked_by="Imre Solvang", checked_on="2025-03-15")),
]  # fmt: skip


# ---------------------------------------------------------------- the layers


@cache
def base() -> Tables:
    return {file.stem: read_table(BASE, file.stem) for file in sorted(BASE.glob("*.csv"))}


def plant(chosen: Case, target: Path) -> set[str]:
    """Write a copy of the base with the defect in it; the names of the tables that have it."""
    copy_base(target)
    tables = {name: [dict(row) for row in rows] for name, rows in base().items()}
    for change in chosen.changes:
        change(tables)
    touched = {name for name, rows in tables.items() if rows != base()[name]}
    for name in touched:
        write_table(target, name, tables[name])
    return touched


def pandera_catches(tables: Texts, touched: set[str]) -> bool:
    for name in touched:
        try:
            towdb.schema(name).validate(tables[name].frame, lazy=True)
        except SchemaErrors:
            return True
    return False


def duckdb_catches(tables: Texts, touched: set[str]) -> bool:
    with duckdb.connect() as con:
        con.execute("CREATE SCHEMA towdb_data")
        for name in touched:
            table = tables[name].table
            con.execute(ddl.create_table(table))
            con.register("text_frame", tables[name].frame)
            try:
                con.execute(
                    f"INSERT INTO towdb_data.{name}"
                    f" SELECT {ddl.typed_columns(table)} FROM text_frame"
                )
            except duckdb.ConstraintException:
                return True
    return False


def rules_catch(tables: Texts, _touched: set[str]) -> bool:
    with duckdb.connect() as con:
        stage(con, tables)
        return any(broken(con, rule) for rule in rules() if rule.severity == "error")


LAYERS = {"p": pandera_catches, "d": duckdb_catches, "r": rules_catch}


@pytest.mark.parametrize(
    "chosen",
    (DEFECTS + CONTROLS)[:: by_tier(quick=4, whole=1)],
    ids=lambda chosen: chosen.name,
)
def test_each_layer_catches_what_is_written_here(chosen: Case, tmp_path: Path) -> None:
    # The base as it is shows that the tables that a case leaves alone are clean in every layer.
    touched = plant(chosen, tmp_path / "reference") or set(base())
    folder = read_folder(tmp_path / "reference", lambda _: None)
    assert not folder.findings
    caught = "".join(
        layer if catches(folder.tables, touched) else "-" for layer, catches in LAYERS.items()
    )
    assert caught == chosen.caught
    assert towdb.check(tmp_path / "reference").ok == (chosen in CONTROLS)


def test_every_miss_has_its_reason() -> None:
    for chosen in DEFECTS:
        assert len(chosen.missed) == chosen.caught.count("-"), chosen.name
        assert all(chosen.missed), chosen.name


def test_the_matrix_is_as_large_as_it_claims() -> None:
    assert len({chosen.name for chosen in DEFECTS + CONTROLS}) == len(DEFECTS) + len(CONTROLS)
    assert len(DEFECTS) >= 40
    assert len(CONTROLS) >= 4
    assert {chosen.caught for chosen in CONTROLS} == {"---"}


def test_no_layer_is_enough() -> None:
    caught = [chosen.caught for chosen in DEFECTS]
    for layer in LAYERS:
        assert any(layer in letters for letters in caught)
        assert any(layer not in letters for letters in caught)
    # These two could not be left out; the tables guard a release against what wrote past them.
    assert {"p--", "--r"} <= set(caught)
