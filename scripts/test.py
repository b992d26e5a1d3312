"""What must hold: format, lint, types, rendered files, demo data, tests.

python3 scripts/test.py [--all] [arguments for pytest]

Without --all, tests that take long are left out, and others try fewer cases.
"""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from scripts.environment import APART, python, run


def main() -> int:
    """Run all steps, the quick ones first; the exit status."""
    arguments = sys.argv[1:]
    is_whole = "--all" in arguments
    arguments = [argument for argument in arguments if argument != "--all"]
    # One that is set outside would leave tests out where all of them were called for.
    os.environ["TOWDB_TIER"] = "whole" if is_whole else "quick"
    dev = python("dev")
    if is_whole:
        # Tests run side by side, and may not install side by side.
        for apart in APART:
            python(apart)
    done = [(" ".join(step), *_timed(dev, step)) for step in _steps(is_whole, arguments)]
    for step, status, seconds in done:
        print(f"{seconds:7.0f} s  {'failed' if status else 'passed'}  {step}")
    return 1 if any(status for _, status, _ in done) else 0


def _steps(is_whole: bool, arguments: list[str]) -> list[tuple[str, ...]]:
    # Each process takes a run of tests that follow each other, so that what a file's tests share
    # is seldom made twice.
    tests = ("-m", "pytest", "-n", "auto", "--dist", "worksteal", "--ignore", "tests/engines")
    steps: list[tuple[str, ...]] = [
        ("-m", "ruff", "format", "--check", "."),
        ("-m", "ruff", "check", "."),
        ("-m", "mypy"),
        ("scripts/make_demo.py", "--check"),
        ("scripts/render.py", "--check"),
        (*tests, *arguments),
    ]
    if is_whole and not arguments:
        # One process, so that one session of Spark serves all of them.
        steps.append(("-m", "pytest", "tests/engines"))
    return steps


def _timed(interpreter: Path, step: tuple[str, ...]) -> tuple[int, float]:
    begun = time.monotonic()
    return run(interpreter, *step), time.monotonic() - begun


if __name__ == "__main__":
    sys.exit(main())
