"""Out of the record: folders that compare line by line, and releases that can be made again."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import towdb
from tests.helpers.shop import (
    BODIL,
    DUNYA,
    IMRE,
    PRINTED,
    Clock,
    Place,
    base_rows,
    bring,
    by_key,
    coach,
    entered,
    fill,
    row_of,
    typed,
    with_cells,
    write_folder,
)
from tests.helpers.tier import by_tier
from tests.standards.test_data_package import report
from towdb.contract.model import contract
from towdb.errors import DataError, UsageError
from towdb.record.entry import import_rows
from towdb.record.export import change_of_release, export, identity_of, release
from towdb.record.store.record import Record, Rows
from towdb.reference.folder import read_folder


def expected(rows: Rows) -> dict[str, bytes]:
    """The content of a folder: all columns in contract order, rows by key."""
    files = {}
    for name, listed in by_key(rows).items():
        if listed or name in ("source", "vehicle_group", "eligibility"):
            out = io.StringIO()
            writer = csv.DictWriter(out, contract().tables[name].columns, lineterminator="\n")
            writer.writeheader()
            writer.writerows([{c: cell or "" for c, cell in row.items()} for row in listed])
            files[f"{name}.csv"] = out.getvalue().encode()
    return files


def content(folder: Path) -> dict[str, bytes]:
    """The files of a folder."""
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def tables(folder: Path) -> dict[str, bytes]:
    """The files of a folder that have rows."""
    return {name: body for name, body in content(folder).items() if name.endswith(".csv")}


# ---------------------------------------------------------------- folders


def test_a_folder_holds_all_columns_and_the_rows_by_key(shop: Record, tmp_path: Path) -> None:
    assert export(shop, tmp_path / "out") == sum(map(len, base_rows().values()))
    assert tables(tmp_path / "out") == expected(base_rows())
    assert set(content(tmp_path / "out")) == {*expected(base_rows()), "datapackage.json"}
    # Once more into the same folder, it is the same.
    before = content(tmp_path / "out")
    export(shop, tmp_path / "out")
    assert content(tmp_path / "out") == before


def test_a_folder_passes_its_check_and_is_a_data_package(shop: Record, tmp_path: Path) -> None:
    export(shop, tmp_path / "out")
    towdb.check(tmp_path / "out").raise_if_failed()
    # Data Package v2, by frictionless's own reading of that standard.
    found = report(tmp_path / "out")
    assert found.valid, found.flatten(["rowNumber", "fieldName", "type", "note"])[:5]
    assert {Path(task.place).name for task in found.tasks} == set(expected(base_rows()))


def test_an_empty_record_gives_a_folder_that_passes(empty: Record, tmp_path: Path) -> None:
    assert export(empty, tmp_path / "out") == 0
    assert tables(tmp_path / "out") == expected({})
    towdb.check(tmp_path / "out").raise_if_failed()
    assert report(tmp_path / "out").valid


def test_there_and_back_is_the_same_byte_for_byte(
    shop: Record, place: Place, tmp_path: Path
) -> None:
    note = 'Roof rack, "heavy" – 1,5 m;\nsee label\t=1+1 °'
    fill(shop, {"coach": [entered(coach("b", note=note))]})
    export(shop, tmp_path / "one")
    with place.fresh() as url, Record(url, create=True) as other:
        bring(other, tmp_path / "one", DUNYA)
        assert other.rows() == shop.rows()
        export(other, tmp_path / "other")
    assert content(tmp_path / "one") == content(tmp_path / "other")


@settings(
    max_examples=by_tier(quick=4, whole=15),
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(texts=st.lists(PRINTED.map(str.strip).filter(bool), min_size=1, max_size=6))
def test_whatever_is_printed_comes_back_from_a_folder(
    shop: Record, tmp_path: Path, texts: list[str]
) -> None:
    there = shop.rows()["coach"]
    with shop.changing(IMRE, "other coaches") as changing:
        changing.withdraw("coach", [str(r["coach_id"]) for r in there if r["note"] is not None])
    notes = {f"note.{shop.last_change()}.{n}": text for n, text in enumerate(texts)}
    fill(shop, {"coach": [entered(coach(key, note=text)) for key, text in notes.items()]})
    export(shop, tmp_path / "out")
    folder = read_folder(tmp_path / "out", lambda name: None)
    assert folder.findings == []
    frame = folder.tables["coach"].frame
    read = dict(zip(frame["coach_id"], frame["note"], strict=True))
    assert {key: read[key] for key in notes} == notes


def test_a_changed_row_is_one_changed_line(shop: Record, tmp_path: Path) -> None:
    export(shop, tmp_path / "one")
    stands = row_of(shop.rows(), "towing_limit", "key-speed")
    changed = typed(stands, value="60", also_value="97")
    assert import_rows(shop, [("towing_limit", changed)], who=BODIL, change=True).ok
    assert import_rows(shop, [("coach", coach("b"))], who=BODIL).ok
    export(shop, tmp_path / "other")
    one, other = content(tmp_path / "one"), content(tmp_path / "other")
    assert one.keys() == other.keys()
    touched = {name for name in one if one[name] != other[name]}
    assert touched == {"towing_limit.csv", "coach.csv"}
    lines = [body["towing_limit.csv"].splitlines() for body in (one, other)]
    differing = [pair for pair in zip(*lines, strict=True) if pair[0] != pair[1]]
    assert len(differing) == 1
    assert differing[0][1].startswith(b"key-speed,key,,speed,at_most,always,number,60,mph,97,km/h,")
    assert set(other["coach.csv"].splitlines()) > set(one["coach.csv"].splitlines())


def test_as_it_stood_is_as_it_was_written_then(shop: Record, tmp_path: Path, clock: Clock) -> None:
    for n, (key, note) in enumerate([("b", None), ("c", None), ("b", "repainted")], start=1):
        export(shop, tmp_path / f"then{n}")
        clock.forward(days=1)
        assert import_rows(shop, [("coach", coach(key, note=note))], who=IMRE, change=True).ok
    for n in (1, 2, 3):
        export(shop, tmp_path / f"again{n}", as_of=n)
        assert content(tmp_path / f"again{n}") == content(tmp_path / f"then{n}")
    export(shop, tmp_path / "before", as_of=0)
    assert tables(tmp_path / "before") == expected({})


def test_tables_that_are_empty_now_leave_the_folder(shop: Record, tmp_path: Path) -> None:
    export(shop, tmp_path / "out")
    with shop.changing(IMRE, "none needed") as changing:
        changing.withdraw("fuse_pull", ["f12"])
    export(shop, tmp_path / "out")
    assert set(expected(base_rows())) - set(tables(tmp_path / "out")) == {"fuse_pull.csv"}


def test_other_peoples_folders_are_left_as_they_are(shop: Record, tmp_path: Path) -> None:
    letters = tmp_path / "letters"
    letters.mkdir()
    (letters / "bodil.txt").write_text("Dear Bodil")
    with pytest.raises(UsageError, match=r"also contains bodil\.txt; choose a new or empty folder"):
        export(shop, letters)
    assert content(letters) == {"bodil.txt": b"Dear Bodil"}
    with pytest.raises(UsageError, match="is not a folder"):
        export(shop, letters / "bodil.txt")
    with pytest.raises(UsageError, match="cannot be written"):
        export(shop, tmp_path / "no" / "out")
    assert not (tmp_path / "no").exists()


# ---------------------------------------------------------------- releases


def test_a_release_of_then_has_the_id_that_it_had_then(
    shop: Record, tmp_path: Path, clock: Clock
) -> None:
    # The folder of that day, built without the record, is what the id is compared with.
    export(shop, tmp_path / "then")
    then = towdb.build(tmp_path / "then", tmp_path / "folder.duckdb").release_id
    first = release(shop, tmp_path / "first.duckdb", who=IMRE)
    assert first.release_id == then
    clock.forward(days=3)
    assert import_rows(shop, [("coach", coach("b"))], who=IMRE).ok
    assert identity_of(shop) != then
    assert identity_of(shop, 1) == then
    again = release(shop, tmp_path / "again.duckdb", who=BODIL, as_of=1)
    assert again.release_id == then
    with towdb.open(tmp_path / "again.duckdb") as reference:
        assert reference.release_id == then
    # Noted once, with the change that it was built from; the current one is not built yet.
    assert change_of_release(shop, then) == 1
    assert change_of_release(shop, identity_of(shop)) is None
    # A release changes no row.
    assert shop.last_change() == 2


def test_what_comes_to_the_same_again_is_the_same_release(shop: Record, clock: Clock) -> None:
    before = identity_of(shop)
    fill(shop, {"coach": [entered(coach("b"))]})
    clock.forward(days=1)
    with shop.changing(IMRE, "sold") as changing:
        changing.withdraw("coach", ["b"])
    assert identity_of(shop) == before
    assert [identity_of(shop, n) == before for n in (1, 2, 3)] == [True, False, True]


def test_figures_typed_otherwise_are_kept_and_are_the_same_release(shop: Record) -> None:
    # 15.5 in and 15.500 in are one height; how it was typed stays on record.
    before = identity_of(shop)
    row = row_of(shop.rows(), "equipment_fit", "plate-pika")
    with shop.changing(IMRE, "as printed") as changing:
        changing.replace("equipment_fit", [row | {"tow_point_height": "15.500"}])
    assert row_of(shop.rows(), "equipment_fit", "plate-pika")["tow_point_height"] == "15.500"
    assert identity_of(shop) == before


@pytest.mark.parametrize(
    "cells",
    [{"model_year_from": "2022"}, {"transmission": "automatic"}],
    ids=["range", "word"],
)
def test_what_has_errors_is_not_released(
    shop: Record, tmp_path: Path, cells: dict[str, str | None]
) -> None:
    row = row_of(shop.rows(), "vehicle_group", "pika-key")
    with shop.changing(IMRE, "past the rules") as changing:
        changing.replace("vehicle_group", [row | cells])
    with pytest.raises(DataError, match="nothing was built"):
        release(shop, tmp_path / "shop.duckdb", who=IMRE)
    assert list(tmp_path.iterdir()) == []
    assert change_of_release(shop, identity_of(shop)) is None
    # As it stood before, it can be.
    assert release(shop, tmp_path / "shop.duckdb", who=IMRE, as_of=1).release_id == identity_of(
        shop, 1
    )


def test_a_release_is_made_by_somebody(shop: Record, tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="your name is missing or cannot be used"):
        release(shop, tmp_path / "shop.duckdb", who=" ")
    assert change_of_release(shop, identity_of(shop)) is None


def test_a_folder_of_changed_rows_builds_to_the_records_release(
    shop: Record, tmp_path: Path
) -> None:
    rows = with_cells(base_rows(), "coach", "brackwater", note="repainted", checked_by=None,
                      checked_on=None)  # fmt: skip
    result = bring(shop, write_folder(tmp_path / "new", rows), BODIL, change=True)
    assert result.change is not None
    export(shop, tmp_path / "out")
    built = towdb.build(tmp_path / "out", tmp_path / "out.duckdb")
    assert built.release_id == identity_of(shop)
