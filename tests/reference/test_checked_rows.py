"""A weight counts as checked only with its group or coach and the sources of both.

The rule of gross ratings, what people read and what a screening computes with agree on it.
"""

from __future__ import annotations

from itertools import product
from pathlib import Path

import pytest

import towdb
from tests.helpers.folders import Row, copy_base, read_table, write_table

NOT_CHECKED = {"checked_by": "", "checked_on": ""}
TABLES = ("source", "vehicle_group", "eligibility", "vehicle_property", "coach", "coach_property")
# Whether the weight, its source, its group or coach, and the source of that are checked.
CASES = {"".join("cu"[not is_so] for is_so in so): so for so in product((True, False), repeat=4)}


def like(rows: list[Row], key: str, copied: str, is_checked: bool, cells: Row) -> Row:
    (row,) = (row for row in rows if row[key] == copied)
    return {**row, **({} if is_checked else NOT_CHECKED), **cells}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The base, with a group and a coach of each case."""
    folder = copy_base(tmp_path_factory.mktemp("checked") / "reference")
    of = {name: read_table(folder, name) for name in TABLES}
    added: dict[str, list[Row]] = {name: [] for name in TABLES}

    def add(table: str, copied: str, key: str, is_checked: bool, **cells: str) -> None:
        own = {f"{table}_id": key, **cells}
        added[table].append(like(of[table], f"{table}_id", copied, is_checked, own))

    for case, (weight, weight_source, owner, owner_source) in CASES.items():
        for kind, source in (("car", "pika-om"), ("coach", "coach-plate")):
            add("source", source, f"{kind}-{case}-w", weight_source, title=f"{kind} {case} W")
            add("source", source, f"{kind}-{case}-o", owner_source, title=f"{kind} {case} O")
        model, page = f"Vole {case}", f"car-{case}-w"
        add("vehicle_group", "vole", case, owner, model=model, source_id=f"car-{case}-o")
        add("eligibility", "vole", case, True, vehicle_group_id=case)
        add("vehicle_property", "vole-gvwr", case, weight, vehicle_group_id=case, source_id=page)
        add("coach", "brackwater", case, owner, source_id=f"coach-{case}-o")
        page = f"coach-{case}-w"
        add("coach_property", "receiver", case, weight, coach_id=case, source_id=page)
    for name in TABLES:
        write_table(folder, name, [*of[name], *added[name]])
    return folder


@pytest.fixture(scope="module", name="release")
def _release(folder: Path) -> Path:
    towdb.build(folder, folder.parent / "checked.duckdb")
    return folder.parent / "checked.duckdb"


@pytest.mark.parametrize(
    ("relation", "key"),
    [("weight", "vehicle_property_id"), ("group_weight", "vehicle_property_id"),
     ("rating", "coach_property_id"), ("coach_fact", "coach_property_id")],
)  # fmt: skip
def test_a_weight_counts_as_checked_only_if_all_that_it_rests_on_is(
    release: Path, relation: str, key: str
) -> None:
    with towdb.open(release) as reference:
        found = reference.rows(f"SELECT {key}, CAST(checked AS BOOLEAN) FROM {relation}").rows
        is_checked = {name: checked for name, checked in found if name in CASES}
    assert is_checked == {case: all(so) for case, so in CASES.items()}


def test_the_rule_warns_of_each_group_without_a_checked_gvwr(folder: Path) -> None:
    found = towdb.check(folder).found
    warned = [f.key for f in found if f.rule == "flat_towed_groups_have_a_checked_gvwr"]
    assert sorted(map(str, warned)) == sorted(case for case, so in CASES.items() if not all(so))


def test_a_release_does_not_hold_what_it_was_built_with(release: Path) -> None:
    with towdb.open(release) as reference, pytest.raises(towdb.UsageError, match="checked_row"):
        reference.rows("SELECT 1 FROM checked_row")
