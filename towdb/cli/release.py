"""Commands that make a demo, and compare releases."""

from __future__ import annotations

from pathlib import Path

import click

from towdb.cli.options import FILE, FORMATS, check_outputs, on_option, output_options, print_lines


@click.command()
@click.argument("folder", type=FILE)
def demo(folder: Path) -> None:
    """Write a folder with everything needed to try towdb; all of it is invented.

    \b
    Example: towdb demo try-towdb
    """
    from towdb.presentation.release import demo_lines
    from towdb.reference.demo import demo as run

    print_lines(demo_lines(run(folder)))


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
    from towdb.presentation.diff import diff_answer
    from towdb.report.destination import choose_format
    from towdb.report.formats import write_answer
    from towdb.screening.diff import diff as run

    chosen = choose_format(format, output, FORMATS)
    check_outputs(None, [before, after, shortlist, *coach], output)
    found = run(before, after, shortlist=shortlist, coach=coach or None, on=on)
    write_answer(diff_answer(found, is_screened=shortlist is not None), chosen, output)
