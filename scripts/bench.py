"""Measure speed as ratios in one run, on synthetic data of a chosen size.

python3 scripts/bench.py [--rows 1000000] [--write]

--write puts the table into the README, with the machine it ran on.
"""

from __future__ import annotations

import argparse
import csv
import os
import platform
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from scripts.environment import ROOT, python

# Set in the environment of the second start, which runs inside the tests' environment.
_INSIDE = "TOWDB_BENCH_INSIDE"
_REPEATS = 5
_ENTRY = {
    "entered_by": "Imre Solvang",
    "entered_on": "2025-01-07",
    "checked_by": "Dunya Orrel",
    "checked_on": "2025-01-09",
}
Row = dict[str, object]


def synthetic_reference(folder: Path, rows: int) -> int:
    """Write an invented, contract-valid reference of about so many rows; the exact number.

    Half of the rows are statements and limits.
    """
    groups = rows // 8
    tables: dict[str, Iterator[Row]] = {
        "source": _sources(),
        "vehicle_group": (_group(n) for n in range(groups)),
        "eligibility": (row for n in range(groups) for row in _statements(n)),
        "towing_limit": (row for n in range(groups) for row in _limits(n)),
        "procedure_step": (row for n in range(groups) for row in _steps(n)),
        "vehicle_property": (_gvwr(n) for n in range(groups)),
    }
    return sum(_write(folder / f"{name}.csv", found) for name, found in tables.items())


def _write(path: Path, rows: Iterator[Row]) -> int:
    with path.open("w", encoding="utf-8", newline="") as stream:
        first = next(rows)
        writer = csv.DictWriter(stream, first.keys(), lineterminator="\n")
        writer.writeheader()
        writer.writerow(first)
        rest = [writer.writerow(row) for row in rows]
    return 1 + len(rest)


def _sources() -> Iterator[Row]:
    for n in range(100):
        yield {
            "source_id": f"bench-{n}",
            "kind": "owner_manual",
            "title": f"Bench manual {n} (invented)",
            "issuer": "Bench Motor Works",
            "issuer_role": "vehicle_maker",
            "market": "any",
            "model_year_from": 1990,
            "model_year_to": 2030,
            "file_sha256": f"{n:064x}",
            "invented": "yes",
            **_ENTRY,
        }


def _cited(n: int, quote: str) -> Row:
    return {
        "source_id": f"bench-{n % 100}",
        "locator": f"p. {n % 400 + 1}",
        "quote": quote,
        "basis": "cited",
        **_ENTRY,
    }


def _group(n: int) -> Row:
    year = 1995 + n % 30
    return {
        "vehicle_group_id": f"g-{n}",
        "make": f"Bench {n // 3000}",
        "model": f"Model {n // 30}",
        "model_year_from": year,
        "model_year_to": year,
        "market": "any",
        "powertrain": "combustion",
        "drivetrain": "part_time_four_wheel_drive | all_wheel_drive",
        "transmission": "manual",
        "transfer_case": "two_speed_with_neutral",
        "otherwise": "any",
        **_cited(n, "Vehicles with manual transmission and two-speed transfer case"),
    }


def _statements(n: int) -> Iterator[Row]:
    for method, permission in (
        ("four_wheels_down", "permitted"),
        ("front_wheels_up", "prohibited"),
    ):
        flat = method == "four_wheels_down"
        yield {
            "eligibility_id": f"g-{n}-{method.replace('_', '-')}",
            "vehicle_group_id": f"g-{n}",
            "towing_method": method,
            "purpose": "recreational",
            "permission": permission,
            "steps_before": 1 if flat else "",
            "steps_en_route": 0 if flat else "",
            "steps_after": 1 if flat else "",
            "fuse_pulls": 0 if flat else "",
            "limits": 2 if flat else "",
            **_cited(n, "may be towed with all four wheels on the ground, and in no other way"),
        }


def _limits(n: int) -> Iterator[Row]:
    for quantity, scope, value, unit in (
        ("speed", "always", 65, "mph"),
        ("distance", "per_day", 500, "km"),
    ):
        yield {
            "towing_limit_id": f"g-{n}-{quantity}",
            "eligibility_id": f"g-{n}-four-wheels-down",
            "quantity": quantity,
            "bound": "at_most",
            "scope": scope,
            "stated": "number",
            "value": value,
            "unit": unit,
            **_cited(n, "no faster than 65 mph and no farther than 500 km a day"),
        }


def _steps(n: int) -> Iterator[Row]:
    for phase, action in (("before", "shift_to"), ("after", "select")):
        yield {
            "procedure_step_id": f"g-{n}-{phase}-1",
            "eligibility_id": f"g-{n}-four-wheels-down",
            "phase": phase,
            "step_no": 1,
            "printed_no": "1" if phase == "before" else "2",
            "kind": "do",
            "component": "transfer_case",
            "action": action,
            "target": "neutral" if phase == "before" else "two_high",
            **_cited(n, "Shift the transfer case"),
        }


def _gvwr(n: int) -> Row:
    return {
        "vehicle_property_id": f"g-{n}-gvwr",
        "vehicle_group_id": f"g-{n}",
        "property": "gvwr",
        "value": 3500 + n % 3000,
        "unit": "lb",
        **_cited(n, "GVWR"),
    }


def seconds(work: Callable[[], object], repeats: int = 1) -> float:
    """The best of so many runs."""
    best = float("inf")
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best


def process(*arguments: str) -> Callable[[], object]:
    """A whole process of this interpreter, as something to measure."""
    return lambda: subprocess.run([sys.executable, *arguments], capture_output=True, check=True)


def measure(rows: int) -> list[tuple[str, str, str]]:
    """What was measured: the thing, the figure, the target."""
    bare = seconds(process("-c", "pass"), _REPEATS)
    shown = seconds(process("-m", "towdb", "--help"), _REPEATS) - bare
    results = [("`towdb --help` beyond `python -c pass`", f"{shown:.2f} s", "0.15 s")]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "reference"
        folder.mkdir()
        count = synthetic_reference(folder, rows)
        results += _measure_check(folder, count)
    return results


def _measure_check(folder: Path, count: int) -> list[tuple[str, str, str]]:
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


def table(results: list[tuple[str, str, str]]) -> str:
    """The results as Markdown, with the machine."""
    machine = f"{os.cpu_count()} cores, {platform.machine()}, Python {platform.python_version()}"
    lines = ["| what | measured | at most |", "|---|---|---|"]
    lines += [f"| {' | '.join(result)} |" for result in results]
    return "\n".join([*lines, "", f"Measured by `python3 scripts/bench.py` on {machine}."])


def main() -> int:
    """Measure and print; the exit status."""
    if _INSIDE not in os.environ:
        environment = {**os.environ, _INSIDE: "yes"}
        command = [str(python("dev")), __file__, *sys.argv[1:]]
        return subprocess.run(command, env=environment, check=False).returncode
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--rows", type=int, default=1_000_000)
    parser.add_argument("--write", action="store_true", help="put the table into the README")
    wanted = parser.parse_args()
    text = table(measure(wanted.rows))
    print(text)
    if wanted.write:
        readme = ROOT / "README.md"
        marked = re.compile(r"(<!-- bench -->\n).*?(\n<!-- /bench -->)", re.DOTALL)
        readme.write_text(marked.sub(rf"\g<1>{text}\g<2>", readme.read_text("utf-8")), "utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
