"""Checking and building a reference, beside bare pandera on the same frames."""

from __future__ import annotations

import tempfile
from pathlib import Path

from scripts.benchmarks.synthetic import synthetic_reference
from scripts.benchmarks.timing import Result, beyond_pass, seconds


def measure(rows: int) -> list[Result]:
    """Start-up, then check and build of a reference of about so many rows."""
    shown = beyond_pass("-m", "towdb", "--help")
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
    point = (
        "select permission, locator from statement where eligibility_id = 'g-1000-four-wheels-down'"
    )
    release = str(folder.parent / "bench.duckdb")
    asked = beyond_pass("-m", "towdb", "sql", point, "--reference", release)
    return [
        (f"bare pandera, {size}", f"{bare:.1f} s", ""),
        (f"`check`, {size}", f"{checked:.1f} s = {checked / bare:.1f} × bare pandera", "5 ×"),
        (f"`build`, {size}", f"{built:.1f} s = {built / checked:.1f} × `check`", "2 ×"),
        (
            f"`towdb sql`, a point query of {size}, beyond `python -c pass`",
            f"{asked:.2f} s",
            "0.3 s",
        ),
    ]
