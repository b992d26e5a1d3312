"""Measure speed as ratios in one run, on synthetic data of a chosen size.

python3 scripts/bench.py [--rows 1000000] [--only reference|screening|inventory|record] [--write]

--write puts the table into the README, with the machine it ran on.
"""

from __future__ import annotations

import argparse
import os
import platform
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from scripts.environment import ROOT, python

# Set in the environment of the second start, which runs inside the tests' environment.
_INSIDE = "TOWDB_BENCH_INSIDE"


def measure(rows: int, only: str | None) -> list[tuple[str, str, str]]:
    """What was measured, the figure, the target."""
    from scripts.benchmarks import inventory, record, reference, screening

    measures: dict[str, Callable[[], list[tuple[str, str, str]]]] = {
        "reference": lambda: reference.measure(rows),
        "screening": lambda: screening.measure(rows, ROOT / "data" / "demo"),
        "inventory": lambda: inventory.measure(rows),
        "record": record.measure,
    }
    return [each for name in measures if only in (None, name) for each in measures[name]()]


def table(results: list[tuple[str, str, str]]) -> str:
    """The results as Markdown, with the machine."""
    machine = f"{os.cpu_count()} cores, {platform.machine()}, Python {platform.python_version()}"
    lines = ["| what | measured | target |", "|---|---|---|"]
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
    parser.add_argument("--only", choices=("reference", "screening", "inventory", "record"))
    parser.add_argument("--write", action="store_true", help="put the table into the README")
    wanted = parser.parse_args()
    text = table(measure(wanted.rows, wanted.only))
    print(text)
    if wanted.write:
        readme = ROOT / "README.md"
        marked = re.compile(r"(<!-- bench -->\n).*?(\n<!-- /bench -->)", re.DOTALL)
        readme.write_text(marked.sub(rf"\g<1>{text}\g<2>", readme.read_text("utf-8")), "utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
