"""Everything that must hold: format, lint, types, rendered files, demo data, tests.

python3 scripts/test.py [arguments for pytest]
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from scripts.environment import APART, python, run


def main() -> int:
    """Run all of it, the quick parts first; the exit status."""
    dev = python("dev")
    # Tests run side by side, and may not install side by side.
    for apart in APART:
        python(apart)
    steps = [
        ("-m", "ruff", "format", "--check", "."),
        ("-m", "ruff", "check", "."),
        ("-m", "mypy"),
        ("scripts/make_demo.py", "--check"),
        ("scripts/render.py", "--check"),
        ("-m", "pytest", "-n", "auto", "--ignore", "tests/engines", *sys.argv[1:]),
    ]
    if not sys.argv[1:]:
        # One process, so that one session of Spark serves all of them.
        steps.append(("-m", "pytest", "tests/engines"))
    failed = [" ".join(step) for step in steps if run(dev, *step)]
    for step in failed:
        print(f"failed: {step}", file=sys.stderr)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
