"""Screening an inventory, beside what else one might do with the same files."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

import duckdb

from scripts.benchmarks.peers import BY_HAND, MERGED, ONCE_EACH, POLARS
from scripts.benchmarks.synthetic import synthetic_inventory, synthetic_reference
from scripts.benchmarks.timing import Result, beyond_pass, memory, process, seconds

COACH = """[properties]
hitch_receiver = "5000 lb"
gcwr = "26000 lb"
gvwr = "22000 lb"
towing_capacity = "5000 lb"
loaded_weight = "20500 lb"
"""
# Of more cars pandas would need more memory than most machines have.
IN_PANDAS_UP_TO = 1_000_000
FEW_COACHES, MANY_COACHES = 20, 200
NAMES = 200_000


def measure(rows: int, demo: Path) -> list[Result]:
    """Screening the demo shortlist as a process, and an inventory of so many rows."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        results = _measure_demo(folder, demo)
        reference = folder / "reference"
        reference.mkdir()
        groups = 25_000
        synthetic_reference(reference, groups * 8)
        import towdb

        release = towdb.build(reference, folder / "bench.duckdb").path
        inventory = folder / "inventory.parquet"
        synthetic_inventory(inventory, rows, groups)
        coach = folder / "coach.toml"
        coach.write_text(COACH, "utf-8")
        results += _measure_inventory(folder, rows, release, inventory, coach)
        return results + _measure_coaches(folder, demo) + _measure_names(folder, release, coach)


def _measure_demo(folder: Path, demo: Path) -> list[Result]:
    import towdb

    release = towdb.build(demo / "reference", folder / "demo.duckdb").path
    reference = ("--reference", str(release))
    screen = ("screen", str(demo / "shortlist.csv"), "--coach", str(demo / "coach.toml"))
    verdicts = ("-o", str(folder / "verdicts.csv"))
    commands = [
        ("`towdb screen`, demo shortlist, verdicts alone", (*screen, *reference, *verdicts), ""),
        ("… with the table, and questions", (*screen, *reference), "0.6 s"),
        (
            "`towdb show Quillon Pika 2021`",
            ("show", "Quillon", "Pika", "2021", *reference),
            "0.4 s",
        ),
        ("`towdb describe statement`", ("describe", "statement"), "0.4 s"),
    ]
    return [
        (f"{what}, beyond `python -c pass`", f"{beyond_pass('-m', 'towdb', *words):.2f} s", target)
        for what, words, target in commands
    ]


def _measure_inventory(
    folder: Path, rows: int, release: Path, inventory: Path, coach: Path
) -> list[Result]:
    out = folder / "verdicts.parquet"
    given = tuple(map(str, (inventory, coach, release, out)))
    ours = seconds(process("-c", OURS, *given), 3)
    asked = seconds(process("-c", ASKED, *given), 1)
    copied = seconds(
        process("-c", sql_program(f"COPY (FROM '{out}') TO '{folder}/copy.parquet'")), 3
    )
    by_hand = BY_HAND.format(inventory=inventory)
    hand = seconds(
        process("-c", sql_program(f"ATTACH '{release}' AS r (READ_ONLY)",
                           f"COPY ({by_hand}) TO '{folder}/hand.parquet'")), 3)  # fmt: skip
    _same_verdicts(out, folder / "hand.parquet")
    dated = folder / "dated.parquet"
    with duckdb.connect() as con:
        con.execute(
            "COPY (SELECT *, CAST(DATE '2015-01-01' + CAST(hash(candidate) % 3000 AS INTEGER) AS"
            f" VARCHAR) AS built_on FROM '{inventory}') TO '{dated}' (FORMAT parquet)"
        )
    with_dates = seconds(process("-c", OURS, str(dated), *given[1:]), 1)
    size = f"{rows:,} cars × 1 coach to Parquet"
    results: list[Result] = [
        ("bare COPY of the same verdict columns", f"{copied:.2f} s", ""),
        (f"`screen`, {size}", f"{ours:.2f} s = {ours / copied:.1f} × bare COPY", "2 ×"),
        ("… most memory", f"{memory(OURS, *given):.2f} GiB", "2 GiB"),
        ("… with a build date on every row", f"{with_dates / ours:.2f} × without", "2 ×"),
        ("… and questions of every undetermined configuration",
         f"{(asked - ours) / ours:.2f} × more", "2 ×"),
        ("… against a query written by hand for this data",
         f"{ours / hand:.2f} × ({hand:.2f} s)", "0.8 ×"),
    ]  # fmt: skip
    peers = [("a competent polars script", POLARS, "at least 1 ×")]
    if rows <= IN_PANDAS_UP_TO:
        peers.append(("a pandas script that decides each kind of car once", ONCE_EACH, "5 ×"))
        peers.append(("an ordinary pandas merge and filter", MERGED, "10 ×"))
    for name, program, target in peers:
        theirs = folder / "peer.parquet"
        taken = seconds(process("-c", program, str(inventory), str(release), str(theirs)), 1)
        _same_verdicts(out, theirs)
        results.append(
            (f"… against {name}", f"{taken / ours:.1f} × faster ({taken:.1f} s)", target)
        )
    return results


def _measure_coaches(folder: Path, demo: Path) -> list[Result]:
    """The JSON of the demo shortlist behind many coaches: what each costs, of many and few."""
    figures = (demo / "coach.toml").read_text("utf-8")
    named: list[str] = []
    for number in range(MANY_COACHES):
        coach = folder / f"coach-{number}.toml"
        coach.write_text(figures, "utf-8")
        named += ["--coach", str(coach)]
    call = ("-m", "towdb", "screen", str(demo / "shortlist.csv"), "--format", "json",
            "--reference", str(folder / "demo.duckdb"))  # fmt: skip
    one, few, many = (
        seconds(process(*call, *named[: 2 * count]), 3) for count in (1, FEW_COACHES, MANY_COACHES)
    )
    each_of_few, each_of_many = (few - one) / (FEW_COACHES - 1), (many - one) / (MANY_COACHES - 1)
    what = f"JSON of the demo shortlist, a coach of {MANY_COACHES} against a coach of {FEW_COACHES}"
    figure = f"{each_of_many / each_of_few:.2f} × ({each_of_many * 1000:.0f} ms)"
    return [(what, figure, "1.2 ×")]


def _measure_names(folder: Path, release: Path, coach: Path) -> list[Result]:
    """The remarks of cars of which each has a model of its own that is not on record."""
    taken = []
    for model in ("'Modle'", "'Modle ' || n"):
        cars = folder / "names.parquet"
        with duckdb.connect() as con:
            con.execute(
                f"COPY (SELECT 'Bench 0' AS make, {model} AS model FROM range({NAMES}) AS r(n))"
                f" TO '{cars}' (FORMAT parquet)"
            )
        taken.append(seconds(process("-c", REMARKED, str(cars), str(coach), str(release)), 3))
    none, all_of_them = taken
    what = f"remarks of {NAMES:,} cars, each of an unknown model of its own, against one for all"
    return [(what, f"{all_of_them - none:.1f} s more ({all_of_them / none:.1f} ×)", "2 s more")]


OURS = """
import sys, towdb
with towdb.screen(sys.argv[1], coach=sys.argv[2], reference=sys.argv[3]) as s:
    s.write(sys.argv[4])
"""
REMARKED = """
import sys, towdb
with towdb.screen(sys.argv[1], coach=sys.argv[2], reference=sys.argv[3]) as s:
    s.rows("remark")
"""
ASKED = OURS + "    s.to_find_out\n"


def sql_program(*statements: str) -> str:
    """A Python program that runs statements on a DuckDB of its own."""
    lines = "\n".join(f"con.execute({statement!r})" for statement in statements)
    return f"import duckdb\ncon = duckdb.connect()\n{lines}\n"


def _same_verdicts(ours: Path, by_hand: Path) -> None:
    with duckdb.connect() as con:
        differing: Any = con.execute(
            f"SELECT count(*) FROM '{ours}' AS a JOIN '{by_hand}' AS b USING (candidate)"
            " WHERE a.verdict <> b.verdict"
        ).fetchone()
    assert differing == (0,), f"{differing} verdicts differ from the query by hand"
