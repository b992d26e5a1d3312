"""One limit, printed in one unit or in two, is one limit: of a pair the stricter figure counts."""

from __future__ import annotations

from pathlib import Path

import duckdb
import pytest

from tests.helpers.rigs import cars_of, screened
from tests.screening.test_many_unknowns import Pages, release_of

COLD = {"quantity": "ambient_temperature", "bound": "at_least"}
# How two pages on the same car print one limit, and whether it is the same.
PRINTED: dict[str, tuple[dict[str, str], dict[str, str], bool]] = {
    "pair": ({"value": "65", "unit": "mph", "also_value": "105", "also_unit": "km/h"},
             {"value": "65", "unit": "mph"}, True),
    # The other way round 105 km/h is no stricter than 65 mph: 104.60736 km/h.
    "metric": ({"value": "105", "unit": "km/h", "also_value": "65", "also_unit": "mph"},
               {"value": "65", "unit": "mph"}, True),
    "stricter": ({"value": "65", "unit": "mph", "also_value": "104", "also_unit": "km/h"},
                 {"value": "65", "unit": "mph"}, False),
    "exact": ({"value": "65", "unit": "mph", "also_value": "104.60736", "also_unit": "km/h"},
              {"value": "104.60736", "unit": "km/h"}, True),
    "looser": ({"value": "105", "unit": "km/h"}, {"value": "65", "unit": "mph"}, False),
    # Of a least figure the stricter one is the larger: 0 °C are 32 °F, 1 °C is 33.8 °F.
    "least": (COLD | {"value": "32", "unit": "degF", "also_value": "1", "also_unit": "degC"},
              COLD | {"value": "1", "unit": "degC"}, True),
    "least, otherwise": (
        COLD | {"value": "32", "unit": "degF", "also_value": "1", "also_unit": "degC"},
        COLD | {"value": "32", "unit": "degF"}, False),
}  # fmt: skip


def pages_of(name: str) -> Pages:
    """Two pages that permit one car, and differ in how they print a limit."""
    pages, key = Pages(), name.replace(", ", "-")
    for number, limit in enumerate(PRINTED[name][:2]):
        own = f"{key}-{number}"
        pages.group(own, name.replace(",", "").title())
        pages.permits(own)
        pages.rows["towing_limit"][-1] |= limit
    return pages


@pytest.fixture(scope="module")
def release(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return release_of(map(pages_of, PRINTED), tmp_path_factory.mktemp("limits"))


def test_a_limit_in_two_units_is_the_stricter_of_them(release: Path, tmp_path: Path) -> None:
    cars = {
        name: {"model": name.replace(",", "").title(), "as_weighed": "3000 lb", "gvwr": "4000 lb"}
        for name in PRINTED
    }
    found = cars_of(screened(tmp_path, release, {k: {**v} for k, v in cars.items()}))
    reasons = {
        name: next(c["reason"] for c in one["checks"] if c["check"] == "procedure")
        for name, one in found.items()
    }
    assert reasons == {
        name: "determined" if is_same else "procedures_differ"
        for name, (_, _, is_same) in PRINTED.items()
    }


def test_a_release_keeps_one_number_for_them(release: Path) -> None:
    with duckdb.connect(str(release), read_only=True) as con:
        numbers = dict(
            con.execute(
                "SELECT s.eligibility_id, p.fingerprint_no"
                " FROM towdb_data.procedure_fingerprint AS p"
                " JOIN towdb_data.statement_fact AS s USING (statement_no)"
            ).fetchall()
        )
    assert numbers["pair-0"] == numbers["pair-1"] == numbers["metric-0"] == numbers["looser-1"]
