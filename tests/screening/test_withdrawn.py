"""A source is withdrawn from the day of its withdrawal on, in every place that looks at it."""

from __future__ import annotations

import datetime
from pathlib import Path

import duckdb
import pytest

import towdb
from tests.helpers.folders import copy_base, read_table, write_table
from towdb.contract.ddl import macros

DAY = datetime.date(2025, 6, 1)
BEFORE, AFTER = DAY - datetime.timedelta(1), DAY + datetime.timedelta(1)
# The day asked, and whether a source withdrawn on DAY is withdrawn then.
DAYS = [(BEFORE, False), (DAY, True), (AFTER, True)]
GONE = ("pika-om", "pika-label", "coach-plate")
CAR = {
    "make": "Quillon", "model": "Pika", "model_year": "2020", "market": "xa",
    "powertrain": "gasoline", "drivetrain": "front_wheel_drive", "transmission": "manual",
    "transfer_case": "none", "ignition": "key",
}  # fmt: skip


@pytest.mark.parametrize(("on", "is_gone"), DAYS)
def test_a_withdrawal_begins_on_its_day(on: datetime.date, is_gone: bool) -> None:
    with duckdb.connect() as con:
        con.execute("CREATE SCHEMA towdb_data")
        con.execute(macros()["is_withdrawn"])
        asked = "SELECT towdb_data.is_withdrawn($1::DATE, $2), towdb_data.is_withdrawn(NULL, $2)"
        assert con.execute(asked, [DAY, on]).fetchall() == [(is_gone, False)]


def folder_of(target: Path, day: datetime.date | None, is_checked: bool) -> Path:
    folder = copy_base(target)
    sources = read_table(folder, "source")
    for source in sources:
        if source["source_id"] in GONE:
            source["withdrawn_on"] = day.isoformat() if day else ""
            if not is_checked:
                source |= {"checked_by": "", "checked_on": ""}
    write_table(folder, "source", sources)
    return folder


@pytest.fixture(scope="module", name="releases")
def _releases(tmp_path_factory: pytest.TempPathFactory) -> dict[tuple[bool, bool], Path]:
    """Releases by whether those sources are withdrawn, and whether their rows are checked."""
    made = {}
    for is_withdrawn, is_checked in ((True, True), (True, False), (False, True), (False, False)):
        place = tmp_path_factory.mktemp("withdrawn")
        folder = folder_of(place / "reference", DAY if is_withdrawn else None, is_checked)
        towdb.build(folder, place / "made.duckdb")
        made[is_withdrawn, is_checked] = place / "made.duckdb"
    return made


def screened(release: Path, on: datetime.date, folder: Path) -> towdb.Screening:
    cars = folder / "cars.csv"
    cars.write_text(f"{','.join(CAR)}\n{','.join(CAR.values())}\n", "utf-8")
    return towdb.screen(cars, coach="brackwater", reference=release, on=on)


@pytest.mark.parametrize(("on", "is_gone"), DAYS)
@pytest.mark.parametrize("is_checked", [True, False])
@pytest.mark.parametrize("is_withdrawn", [True, False])
def test_what_is_withdrawn_no_longer_counts_once_that_is_checked(
    releases: dict[tuple[bool, bool], Path],
    is_withdrawn: bool,
    is_checked: bool,
    on: datetime.date,
    is_gone: bool,
    tmp_path: Path,
) -> None:
    ends = is_withdrawn and is_gone and is_checked
    with screened(releases[is_withdrawn, is_checked], on, tmp_path) as screening:
        (verdict,) = screening.records("verdict")
        (capacity,) = screening.records("capacity")
        rated = screening.con.execute(
            "SELECT gvwr_most_kg IS NOT NULL FROM configuration_answer"
        ).fetchall()
        listed = screening.con.execute("SELECT DISTINCT is_checked FROM withdrawn_row").fetchall()
    wanted = "nothing_on_record" if ends else "permitted" if is_checked else "awaits_check"
    assert verdict["permission_reason"] == wanted
    assert rated == [(not ends,)]
    assert (capacity["governing_check"] is None) == (ends or not is_checked)
    assert listed == ([(int(is_checked),)] if is_withdrawn and is_gone else [])


@pytest.mark.parametrize(("on", "is_gone"), DAYS)
@pytest.mark.parametrize("is_checked", [True, False])
def test_what_was_withdrawn_is_shown_from_that_day_on(
    releases: dict[tuple[bool, bool], Path], is_checked: bool, on: datetime.date, is_gone: bool
) -> None:
    for is_withdrawn in (True, False):
        shown = towdb.show(releases[is_withdrawn, is_checked], "Quillon", "Pika", on=on)
        days = {r["eligibility_id"]: r["withdrawn_on"] for r in shown.records}
        assert days["key"] == (DAY if is_withdrawn and is_gone else None)
        assert days["late"] is None


@pytest.mark.parametrize(("on", "is_gone"), DAYS)
@pytest.mark.parametrize("is_checked", [True, False])
def test_the_check_warns_of_it_from_that_day_on(
    on: datetime.date, is_gone: bool, is_checked: bool, tmp_path: Path
) -> None:
    for day in (DAY, None):
        folder = folder_of(tmp_path / str(day), day, is_checked)
        found = towdb.check(folder, on=on).found
        warned = {f.key for f in found if f.rule == "rows_cite_sources_in_force"}
        assert {"key", "key-gvwr", "gcwr"} <= warned if day and is_gone else warned == set()
