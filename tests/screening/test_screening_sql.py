"""What may be asked of a screening itself; it stays as it was, and is written as it was."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import duckdb
import pandas as pd
import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.typist import ON, screened
from towdb.screening import engine


@pytest.fixture(scope="module")
def screening(demo_release: Path) -> Iterator[towdb.Screening]:
    with screened(demo_release) as done:
        yield done


def test_a_screening_cannot_be_changed_from_within(demo_release: Path) -> None:
    with screened(demo_release) as screening:
        before = [screening.verdicts, screening.checks, screening.conditions]
        relations = list(screening.sql("select table_name from duckdb_tables() where temporary")[
            "table_name"
        ])  # fmt: skip
        assert {"candidate", "coach_figure", "verdict_check"} <= set(relations)
        for name in relations:
            for part in (f"delete from {name}", f"insert into {name} from {name}"):
                with pytest.raises(towdb.UsageError):
                    screening.sql(f"with a as ({part} returning 1) select count(*) from a")
        with pytest.raises(towdb.UsageError):
            screening.sql("with a as (update verdict_check set outcome = 'met' returning 1) from a")
        after = [screening.verdicts, screening.checks, screening.conditions]
    for was, frame in zip(before, after, strict=True):
        pd.testing.assert_frame_equal(was, frame)


def test_a_screening_writes_no_file_where_it_may_write(screening: towdb.Screening) -> None:
    allowed = screening.sql("select current_setting('allowed_directories') as d")["d"].iloc[0]
    for folder in allowed:
        with pytest.raises(towdb.UsageError):
            screening.sql(f"with a as (copy (select 1) to '{folder}x.csv') from a")
        assert not (Path(folder) / "x.csv").exists()


def test_sql_of_a_screening_gives_its_frames(demo_release: Path) -> None:
    with screened(demo_release) as asked, screened(demo_release) as plain:
        frames = {name: pd.DataFrame(plain.records(name)) for name in engine.PUBLIC}
        frames |= {
            "verdict": plain.verdicts, "check_outcome": plain.checks, "condition": plain.conditions,
            "citation": plain.citations, "remark": plain.remarks,
        }  # fmt: skip
        for name, frame in frames.items():
            found = asked.sql(f"from {name}")
            assert list(found.columns) == list(frame.columns)
            assert len(found) == len(frame) > 0
            for ours in (found, frame):
                ours["_"] = [repr(row) for row in ours.astype(object).values.tolist()]
            assert sorted(found["_"]) == sorted(frame["_"])


@pytest.mark.parametrize("end", ["csv", "json", "parquet"])
def test_a_screening_is_written_alike_after_it_was_asked(
    demo_release: Path, tmp_path: Path, end: str
) -> None:
    with screened(demo_release) as plain:
        plain.write(tmp_path / f"plain.{end}")
    with screened(demo_release) as asked:
        asked.sql("select count(*) from check_outcome")
        for _ in range(2):
            asked.write(tmp_path / f"asked.{end}")
        assert len(asked.sql("from verdict")) == 12
    files = [tmp_path / f"{name}.{end}" for name in ("plain", "asked")]
    if end == "parquet":
        first, second = (towdb.open(demo_release).sql("from f", f=file) for file in files)
        pd.testing.assert_frame_equal(first, second)
    else:
        assert files[0].read_bytes() == files[1].read_bytes()
    assert sorted(path.name for path in tmp_path.iterdir()) == [f"asked.{end}", f"plain.{end}"]


def test_a_screening_of_parquet_is_explained_after_it_was_asked(
    demo_release: Path, tmp_path: Path
) -> None:
    with screened(demo_release) as plain:
        checks = plain.checks
    cars = pd.read_csv(DEMO / "shortlist.csv", dtype=str)
    to_parquet(cars, tmp_path / "cars.parquet")
    with towdb.screen(
        tmp_path / "cars.parquet", coach=DEMO / "coach.toml", reference=demo_release,
        on=ON,
    ) as asked:  # fmt: skip
        assert asked.sql("select count(*) as n from verdict")["n"].iloc[0] == 12
        pd.testing.assert_frame_equal(asked.checks, checks)


def to_parquet(frame: pd.DataFrame, path: Path) -> None:
    with duckdb.connect() as con:
        con.register("frame", frame)
        con.execute(f"COPY frame TO '{path}' (FORMAT parquet)")


def test_all_may_be_asked_after_sql_where_the_cars_lie_in_parquet(
    demo_release: Path, tmp_path: Path
) -> None:
    cars = tmp_path / "it's stock.parquet"
    with duckdb.connect() as con:
        con.execute(
            "COPY (FROM read_csv($1, all_varchar = true)) TO $2 (FORMAT parquet)",
            [str(DEMO / "shortlist.csv"), str(cars)],
        )
    with towdb.screen(cars, coach=str(DEMO / "coach.toml"), reference=demo_release) as screening:
        counted = screening.sql("SELECT count(*) AS n FROM verdict")["n"].tolist()
        assert screening.summary(by="make").cars == counted[0]
        assert len(screening.questions)
        assert len(screening.typed()[1]) == counted[0]
