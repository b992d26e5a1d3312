"""A whole inventory: how it weighs, what is wrong with it, more cars, many coaches."""

from __future__ import annotations

import tempfile
from pathlib import Path

import towdb
from scripts.benchmarks.screening import COACH, OURS, sql_program
from scripts.benchmarks.synthetic import synthetic_inventory, synthetic_reference
from scripts.benchmarks.timing import Result, memory, process, seconds

GROUPS = 25_000
FEW_CARS, COACHES = 100_000, 1_000
WEIGHTS = """
import sys, towdb
w = towdb.weights(sys.argv[1], by=("drivetrain", "transmission"))
assert w.tables["distribution"][1]
"""
# One of the bases that `weights` tells, and nothing of shares.
BARE = """
SELECT drivetrain, transmission, count(*), count(curb), min(curb),
       quantile_cont(curb, [0.05, 0.25, 0.5, 0.75, 0.95]), avg(curb), max(curb)
FROM (SELECT *, CAST(curb_weight AS DECIMAL(18,10)) * 0.45359237 AS curb FROM '{inventory}')
GROUP BY ALL
"""
CHECK = """
import sys, towdb
with towdb.check_inventory(sys.argv[1]) as checked:
    assert checked.ok
"""
SUMMARY = """
import sys, towdb
from pathlib import Path
coaches = sorted(map(str, Path(sys.argv[3]).iterdir()))
with towdb.screen(sys.argv[1], coach=coaches, reference=sys.argv[2]) as s:
    assert s.summary().tables["verdicts"][1]
"""


def measure(rows: int) -> list[Result]:
    """Time what is asked of an inventory of so many cars."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        reference = folder / "reference"
        reference.mkdir()
        synthetic_reference(reference, GROUPS * 8)
        release = towdb.build(reference, folder / "bench.duckdb").path
        inventory = folder / "inventory.parquet"
        synthetic_inventory(inventory, rows, GROUPS)
        return [
            *_measure_weights(inventory, rows),
            *_measure_check(folder, inventory, rows),
            *_measure_more(folder, release, inventory, rows),
            *_measure_coaches(folder, release),
        ]


def _measure_weights(inventory: Path, rows: int) -> list[Result]:
    bare = seconds(process("-c", sql_program(BARE.format(inventory=inventory))), 2)
    ours = seconds(process("-c", WEIGHTS, str(inventory)), 2)
    return [
        (f"bare query: quantiles of one weight by two attributes, {rows:,} cars",
         f"{bare:.2f} s", ""),
        ("`weights`: all weights and the share curve, by the same",
         f"{ours:.2f} s = {ours / bare:.1f} × bare query", "1.5 ×"),
    ]  # fmt: skip


def _measure_check(folder: Path, inventory: Path, rows: int) -> list[Result]:
    copy = f"COPY (FROM '{inventory}') TO '{folder}/copy.parquet'"
    copied = seconds(process("-c", sql_program(copy)), 2)
    checked = seconds(process("-c", CHECK, str(inventory)), 2)
    return [
        (f"`inventory check`, {rows:,} cars",
         f"{checked:.2f} s = {checked / copied:.1f} × COPY of the same columns", "4 ×"),
        ("… most memory", f"{memory(CHECK, str(inventory)):.2f} GiB", ""),
    ]  # fmt: skip


def _measure_more(folder: Path, release: Path, inventory: Path, rows: int) -> list[Result]:
    coach, out, more = (folder / name for name in ("coach.toml", "out.parquet", "more.parquet"))
    coach.write_text(COACH, "utf-8")
    synthetic_inventory(more, 4 * rows, GROUPS)
    few, many = (
        seconds(process("-c", OURS, str(path), str(coach), str(release), str(out)))
        for path in (inventory, more)
    )
    held = memory(OURS, str(more), str(coach), str(release), str(out))
    more.unlink()
    return [
        (f"`screen`, {4 * rows:,} cars", f"{many:.1f} s = {many / few:.1f} × {rows:,}", "4.4 ×"),
        ("… most memory", f"{held:.2f} GiB", "2 GiB"),
    ]


def _measure_coaches(folder: Path, release: Path) -> list[Result]:
    cars = folder / "few.parquet"
    synthetic_inventory(cars, FEW_CARS, GROUPS)
    for count in (1, COACHES):
        (folder / f"{count}").mkdir()
        for n in range(count):
            text = COACH.replace("5000", f"{3000 + 3 * n}").replace("26000", f"{24000 + 3 * n}")
            (folder / f"{count}" / f"coach-{n:04}.toml").write_text(text, "utf-8")
    one, all_ = (
        seconds(process("-c", SUMMARY, str(cars), str(release), str(folder / f"{count}")))
        for count in (1, COACHES)
    )
    return [
        (f"summary of {FEW_CARS:,} cars × 1 coach", f"{one:.1f} s", ""),
        (f"summary of {FEW_CARS:,} cars × {COACHES:,} coaches",
         f"{all_:.1f} s = {all_ / one:.1f} × one", "5 × one, + 10 s"),
    ]  # fmt: skip
