"""Check and build the invented demo reference, and screen a shortlist against a coach."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from scripts.environment import python, run

QUESTION = (
    "select make, count(distinct vehicle_group_id) as groups, count(*) as statements,"
    " count(*) filter (where stance = 'permits') as permit,"
    " count(*) filter (where stance = 'forbids') as forbid,"
    " count(*) filter (where not checked) as unchecked"
    " from statement where towing_method = 'four_wheels_down' group by make order by make"
)


def main() -> int:
    """Run the demo; the exit status of the first step that fails."""
    base = python("base")
    reference, shortlist, coach = (
        f"data/demo/{name}" for name in ("reference", "shortlist.csv", "coach.toml")
    )
    with tempfile.TemporaryDirectory() as folder:
        release = str(Path(folder) / "demo.duckdb")
        steps = [
            ("-m", "towdb", "check", reference),
            ("-m", "towdb", "build", reference, "-o", release),
            ("-m", "towdb", "sql", QUESTION, "--reference", release),
            ("-m", "towdb", "screen", shortlist, "--coach", coach, "--reference", release),
        ]
        for step in steps:
            status = run(base, *step)
            if status:
                return status
    return 0


if __name__ == "__main__":
    sys.exit(main())
