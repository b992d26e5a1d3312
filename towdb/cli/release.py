"""Commands that make a demo, and compare releases."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

import click

from towdb.cli.options import FILE, FORMATS, check_outputs, on_option, one_line, output_options

if TYPE_CHECKING:
    from towdb.screening.diff import Diff


@click.command()
@click.argument("folder", type=FILE)
def demo(folder: Path) -> None:
    """Write a folder with everything that it takes to try towdb; all of it invented.

    \b
    Example: towdb demo try-towdb
    """
    from towdb.reference.demo import FILES, FOLDERS, RELEASE
    from towdb.reference.demo import demo as run
    from towdb.report.caution import INVENTED

    made = run(folder)
    folders = " ".join(f"{name}/" for name in FOLDERS)
    print(f"{one_line(made.folder)}: {folders} {RELEASE} {' '.join(FILES)}")
    print(INVENTED)
    print("What to type next:")
    for line in (
        f"cd {shlex.quote(str(made.folder))}",
        f"towdb screen shortlist.csv --coach coach.toml --reference {RELEASE}",
        f"towdb screen --years 2021 --coach coach.toml --reference {RELEASE}",
        f"towdb show Quillon Pika 2021 --reference {RELEASE}",
        "towdb describe",
    ):
        print(f"  {line}")


@click.command()
@click.argument("before", type=FILE)
@click.argument("after", type=FILE)
@click.option("--shortlist", type=FILE, help="Cars to screen by both releases; with --coach.")
@click.option(
    "--coach", multiple=True, metavar="FILE|ID", help="A coach file or a coach_id; repeatable."
)
@on_option
@output_options
def diff(
    before: Path,
    after: Path,
    shortlist: Path | None,
    coach: tuple[str, ...],
    on: str | None,
    format: str | None,
    output: Path | None,
) -> None:
    """Compare two releases: rows added, removed and changed, and verdicts that change with them.

    \b
    Example: towdb diff demo.duckdb demo.duckdb --shortlist shortlist.csv --coach coach.toml
    """
    from towdb.reference.differences import COLUMNS
    from towdb.report import rows as report
    from towdb.report.output import choose_format, deliver
    from towdb.screening.diff import diff as run

    chosen = choose_format(format, output, FORMATS)
    check_outputs(None, [before, after, shortlist, *coach], output)
    found = run(before, after, shortlist=shortlist, coach=coach or None, on=on)
    if chosen == "json":
        deliver(lambda out: report.write_document(_document(found), out), output)
    elif chosen == "csv":
        rows = [tuple(record.values()) for record in found.records]
        deliver(lambda out: report.write_csv(COLUMNS, rows, out), output)
    else:
        deliver(lambda out: _write(found, shortlist is not None, out), output)


def _document(found: Diff) -> dict[str, object]:
    return {
        "before": found.release_ids[0],
        "after": found.release_ids[1],
        "invented": found.invented,
        "rows": found.records,
        "verdicts": found.verdict_records,
    }


def _write(found: Diff, is_screened: bool, out: TextIO) -> None:
    from towdb.report import rows as report
    from towdb.report.caution import foot
    from towdb.wording import sentences

    ids = [name[:12] for name in found.release_ids]
    report.write_lines([f"From release {ids[0]} to {ids[1]}: {_counted(found)}"], out)
    if found.records:
        columns = ("row", "change", "column", "before", "after")
        rows = [
            (f"{r['table']}\n{r['key']}", r["change"], r["column"], r["before"], r["after"])
            for r in found.records
        ]
        report.write_table(columns, rows, out)
    if is_screened and not found.verdict_records:
        report.write_lines(["No verdict and no condition changes."], out)
    elif is_screened:
        changed = [
            (
                v["candidate"],
                v["coach"],
                f"{sentences.VERDICTS[v['before']]}\n{sentences.VERDICTS[v['after']]}",
                "\n".join(v["why"]),
                "\n".join(v["rows"]),
            )
            for v in found.verdict_records
        ]
        report.write_table(("car", "coach", "before, after", "why", "rows"), changed, out)
    report.write_lines(["", *foot(found.invented)], out)


def _counted(found: Diff) -> str:
    keys: dict[str, set[tuple[str, str]]] = {"added": set(), "removed": set(), "changed": set()}
    for record in found.records:
        keys[record["change"]].add((record["table"], record["key"]))
    return ", ".join(f"{len(each):,} {change}" for change, each in keys.items())
