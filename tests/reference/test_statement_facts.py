"""Which statements are on flat towing, as every relation that looks for them has it."""

from __future__ import annotations

from itertools import product
from pathlib import Path

import pytest

import towdb
from tests.helpers.folders import copy_base, read_table, write_table
from towdb.contract.model import contract

METHODS = contract().vocabularies["towing_method"].words
PURPOSES = contract().vocabularies["purpose"].words
KINDS = list(product(METHODS, PURPOSES))


@pytest.fixture(scope="module", name="release")
def _release(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One model for each method and purpose, with one statement."""
    folder = copy_base(tmp_path_factory.mktemp("facts") / "reference")
    groups, statements = read_table(folder, "vehicle_group"), read_table(folder, "eligibility")
    (group,) = (row for row in groups if row["vehicle_group_id"] == "vole")
    (statement,) = (row for row in statements if row["eligibility_id"] == "vole")
    for method, purpose in KINDS:
        key = f"{method}-{purpose}".replace("_", "-")
        groups.append({**group, "vehicle_group_id": key, "model": key})
        own = {"eligibility_id": key, "vehicle_group_id": key}
        statements.append({**statement, **own, "towing_method": method, "purpose": purpose})
    write_table(folder, "vehicle_group", groups)
    write_table(folder, "eligibility", statements)
    towdb.build(folder, folder.parent / "facts.duckdb")
    return folder.parent / "facts.duckdb"


@pytest.mark.parametrize(("method", "purpose"), KINDS)
def test_on_flat_towing_is_what_is_not_for_emergencies_alone(
    release: Path, method: str, purpose: str
) -> None:
    is_on_it = method == "four_wheels_down" and purpose in ("recreational", "any")
    key = f"{method}-{purpose}".replace("_", "-")
    with towdb.open(release) as reference:
        query = f"SELECT is_on_flat_towing FROM statement_fact WHERE eligibility_id = '{key}'"
        assert list(reference.rows(query).rows) == [(int(is_on_it),)]
    # A model of which no page on it is on record is shown with the years that lack one.
    assert bool(towdb.show(release, "Quillon", key).gaps) is not is_on_it
