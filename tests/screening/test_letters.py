"""A letter and its accent are one letter, whether typed as one character or as two."""

from __future__ import annotations

from pathlib import Path
from unicodedata import normalize

import duckdb
import pytest

from tests.helpers.rigs import cars_of, screened
from tests.screening.test_many_unknowns import Pages, release_of

MODEL, PERSON = "Zo\u00eb", "J\u00f8rn \u00c5by"


@pytest.fixture(scope="module")
def release(tmp_path_factory: pytest.TempPathFactory) -> Path:
    pages = Pages()
    pages.group("zoe", MODEL)
    pages.permits("zoe")
    own_eyes = {"entered_by": PERSON, "checked_by": normalize("NFD", PERSON.upper())}
    pages.rows["eligibility"][-1] |= own_eyes
    return release_of([pages], tmp_path_factory.mktemp("letters"))


@pytest.mark.parametrize("form", ["NFC", "NFD"])
def test_a_car_is_found_however_its_name_is_typed(release: Path, tmp_path: Path, form: str) -> None:
    model = normalize("NFC" if form == "NFC" else "NFD", MODEL)
    cars = {
        "one": {"model": model, "as_weighed": "3000 lb", "gvwr": "4000 lb"},
        "other": {"model": "Zoe", "as_weighed": "3000 lb", "gvwr": "4000 lb"},
    }
    found = cars_of(screened(tmp_path, release, {k: {**v} for k, v in cars.items()}))
    reasons = {
        name: next(c["reason"] for c in car["checks"] if c["check"] == "permission")
        for name, car in found.items()
    }
    assert reasons == {"one": "permitted", "other": "nothing_on_record"}


def test_a_check_by_the_same_person_is_shown_as_one(release: Path) -> None:
    with duckdb.connect(str(release), read_only=True) as con:
        found = con.execute("SELECT self_checked FROM towdb_data.statement").fetchall()
    assert found == [(True,)]
