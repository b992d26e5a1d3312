"""Measure speed as ratios in one run, on synthetic data of a chosen size.

python3 scripts/bench.py [--rows 1000000] [--only reference|screening|inventory|record] [--write]

--write puts the tables into the guide to speed, with the machine they ran on.
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
# No reference is larger.
REFERENCE_ROWS = 1_000_000


def measures(rows: int) -> dict[str, Callable[[], list[tuple[str, str, str]]]]:
    """What can be measured: each gives what was measured, the figure, the target."""
    from scripts.benchmarks import inventory, record, reference, screening

    return {
        "reference": lambda: reference.measure(min(rows, REFERENCE_ROWS)),
        "screening": lambda: screening.measure(rows, ROOT / "data" / "demo"),
        "inventory": lambda: inventory.measure(rows),
        "record": record.measure,
    }


def table(results: list[tuple[str, str, str]]) -> str:
    """The results as Markdown, with the machine."""
    machine = f"{os.cpu_count()} cores, {platform.machine()}, Python {platform.python_version()}"
    lines = ["| what | measured | target |", "|---|---|---|"]
    lines += [f"| {' | '.join(result)} |" for result in results]
    return "\n".join([*lines, "", f"Measured by `python3 scripts/bench.py` on {machine}."])


def put(name: str, text: str) -> None:
    """Put a table into the guide to speed, in the place of that of the same name."""
    guide = ROOT / "towdb" / "guide" / "speed.md"
    marked = re.compile(rf"(<!-- bench {name} -->\n).*?(\n<!-- /bench -->)", re.DOTALL)
    guide.write_text(marked.sub(rf"\g<1>{text}\g<2>", guide.read_text("utf-8")), "utf-8")


def main() -> int:
    """Measure and print; the exit status."""
    if _INSIDE not in os.environ:
        environment = {**os.environ, _INSIDE: "yes"}
        command = [str(python("dev")), __file__, *sys.argv[1:]]
        return subprocess.run(command, env=environment, check=False).returncode
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--rows", type=int, default=1_000_000)
    parser.add_argument("--only", choices=("reference", "screening", "inventory", "record"))
    parser.add_argument("--write", action="store_true", help="put the tables into the guide")
    wanted = parser.parse_args()
    for name, measure in measures(wanted.rows).items():
        if wanted.only in (None, name):
            text = table(measure())
            print(text, flush=True)
            if wanted.write:
                put(name, text)
    return 0


if __name__ == "__main__":
    sys.exit(main())
