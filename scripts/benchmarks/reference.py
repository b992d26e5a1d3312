"""Checking and building a reference, beside bare pandera on the same frames."""

from __future__ import annotations

import tempfile
from pathlib import Path

from scripts.benchmarks.synthetic import synthetic_reference
from scripts.benchmarks.timing import Result, process, seconds


def measure(rows: int) -> list[Result]:
    """Start-up, then check and build of a reference of about so many rows."""
    shown = seconds(process("-m", "towdb", "--help"), 5) - seconds(process("-c", "pass"), 5)
    results = [("`towdb --help` beyond `python -c pass`", f"{shown:.2f} s", "0.15 s")]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "reference"
        folder.mkdir()
        count = synthetic_reference(folder, rows)
        return results + _measure_check(folder, count)


def _measure_check(folder: Path, count: int) -> list[Result]:
    import towdb
    from towdb.reference.folder import read_folder

    tables = read_folder(folder, lambda _: None).tables.values()
    bare = seconds(
        lambda: [towdb.schema(t.table.name).validate(t.frame, lazy=True) for t in tables], 2
    )
    found: list[int] = []
    checked = seconds(lambda: found.append(len(towdb.check(folder).found)), 2)
    assert found[0] == 0, "the synthetic reference is not clean"
    built = seconds(lambda: towdb.build(folder, folder.parent / "bench.duckdb"), 2)
    size = f"{count:,} rows"
    return [
        (f"bare pandera, {size}", f"{bare:.1f} s", ""),
        (f"`check`, {size}", f"{checked:.1f} s = {checked / bare:.1f} × bare pandera", "5 ×"),
        (f"`build`, {size}", f"{built:.1f} s = {built / checked:.1f} × `check`", "2 ×"),
    ]
