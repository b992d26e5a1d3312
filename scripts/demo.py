"""Check and build the invented demo reference, and show what it holds."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from scripts.environment import python, run

QUESTIONS = [
    "select make, count(distinct vehicle_group_id) as groups, count(*) as statements,"
    " count(*) filter (where stance = 'permits') as permit,"
    " count(*) filter (where stance = 'forbids') as forbid,"
    " count(*) filter (where not checked) as unchecked"
    " from statement where towing_method = 'four_wheels_down' group by make order by make",
    "select coach_id, property, value, unit, word, low_lb, checked, locator from rating"
    " order by coach_id, property limit 12",
]


def main() -> int:
    """Run the demo; the exit status of the first step that fails."""
    base = python("base")
    reference = "data/demo/reference"
    with tempfile.TemporaryDirectory() as folder:
        release = str(Path(folder) / "demo.duckdb")
        steps = [
            ("-m", "towdb", "check", reference),
            ("-m", "towdb", "build", reference, "-o", release),
            *(("-m", "towdb", "sql", query, "--reference", release) for query in QUESTIONS),
        ]
        for step in steps:
            status = run(base, *step)
            if status:
                return status
    return 0


if __name__ == "__main__":
    sys.exit(main())
