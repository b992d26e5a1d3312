"""Make an invented inventory of a chosen size: cars of which a release speaks, and less is known.

python3 scripts/make_inventory.py stock.parquet --reference demo.duckdb [--rows 100000]

Each car is a version on record of which some cells are forgotten, typed as people type them; one in
fifty is of a model year that nobody has read of. What a model weighs is invented: the more wheels
are driven, the heavier. The same size gives the same file.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from scripts.environment import python

# Set in the environment of the second start, which runs inside an environment with towdb.
_INSIDE = "TOWDB_INVENTORY_INSIDE"
FORGOTTEN = 0.25  # of the attributes of a car
CARS = """
SELECT 'stock-' || i AS stock_no, v.make, v.model,
       CAST(CAST(v.model_year AS INTEGER) + CASE WHEN hash(i, 'year') % 50 = 0 THEN 9 ELSE 0 END
            AS VARCHAR) AS model_year,
       {attributes},
       CASE hash(i, 'gvwr') % 4 WHEN 0 THEN CAST(v.heavy + hash(i, 'lb') % 400 AS VARCHAR) || ' lb'
            WHEN 1 THEN CAST(floor((v.heavy + hash(i, 'kg') % 400) / 2.2) AS INTEGER) || ' kg'
       END AS gvwr,
       CASE WHEN hash(i, 'curb') % 3 > 0
            THEN CAST(floor(v.heavy * 0.72) + hash(i, 'light') % 200 AS INTEGER) || ' lb'
       END AS curb_weight,
       CAST(9000 + hash(i, 'price') % 32000 AS VARCHAR) AS price
FROM range({rows}) AS r(i)
JOIN (
    SELECT *, 3000 + hash(make, model) % 900
           + CASE WHEN drivetrain LIKE '%four_wheel%' THEN 1100 WHEN drivetrain LIKE 'all%' THEN 600
                  WHEN drivetrain LIKE 'rear%' THEN 400 ELSE 0 END AS heavy
    FROM version
) AS v ON v.version_no = CAST(hash(i, 'version') % {versions} AS BIGINT)
ORDER BY i
"""


def make(target: Path, reference: Path, rows: int) -> None:
    """Write so many cars of a release as Parquet."""
    import duckdb

    import towdb
    from towdb.intake.candidates import ATTRIBUTES

    # Any coach of the release will do: only its cars are asked for.
    with towdb.open(reference) as release:
        coach = str(release.sql("SELECT coach_id FROM coach ORDER BY ALL LIMIT 1").iat[0, 0])
    with towdb.screen(coach=coach, reference=reference) as screening:
        columns, versions = screening.typed()
    told = [name for name in ATTRIBUTES if name in columns]
    attributes = ",\n       ".join(
        f"CASE WHEN hash(i, '{name}') % 100 >= {FORGOTTEN * 100} THEN v.{name} END AS {name}"
        for name in told
    )
    with duckdb.connect() as con:
        body = ", ".join(f"{name} VARCHAR" for name in columns)
        con.execute(f"CREATE TABLE version ({body}, version_no BIGINT)")
        marks = ", ".join("?" * (len(columns) + 1))
        con.executemany(
            f"INSERT INTO version VALUES ({marks})",
            [[*row, number] for number, row in enumerate(versions)],
        )
        # A number, not a subquery: with one, DuckDB compares every car with every version.
        query = CARS.format(attributes=attributes, rows=rows, versions=len(versions))
        con.execute(f"COPY ({query}) TO '{target}' (FORMAT parquet)")


def main() -> int:
    """Parse and write; the exit status."""
    if _INSIDE not in os.environ:
        environment = {**os.environ, _INSIDE: "yes"}
        command = [str(python("base")), __file__, *sys.argv[1:]]
        return subprocess.run(command, env=environment, check=False).returncode
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("target", type=Path)
    parser.add_argument("--reference", type=Path, required=True)
    parser.add_argument("--rows", type=int, default=100_000)
    wanted = parser.parse_args()
    make(wanted.target, wanted.reference, wanted.rows)
    print(f"{wanted.target.name}: {wanted.rows:,} invented cars")
    return 0


if __name__ == "__main__":
    sys.exit(main())
