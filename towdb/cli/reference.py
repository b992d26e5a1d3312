"""Commands on reference folders and releases."""

from __future__ import annotations

from pathlib import Path

import click

from towdb.cli.options import (
    FILE,
    FORMATS,
    check_outputs,
    limit_options,
    limits_of,
    on_option,
    output_options,
    pairs,
    print_lines,
    reference_option,
    required,
)


@click.command()
@click.argument("folder", type=FILE)
@on_option
@output_options
def check(folder: Path, on: str | None, format: str | None, output: Path | None) -> None:
    """Check a reference folder against the contract, or a release against what it was built with.

    Of a release, every row is read: nothing in it may have changed since it was built. Exit status
    1 if there are errors; warnings alone are not a failure. Withdrawn sources and rules of the road
    that have ended are those of today, or of --on.

    \b
    Example: towdb check data/demo/reference
    """
    from towdb.presentation.findings import check_answer
    from towdb.reference.check import check as run
    from towdb.report.destination import choose_format
    from towdb.report.formats import write_answer
    from towdb.report.progress import progress_bar

    chosen = choose_format(format, output, FORMATS)
    check_outputs(None, [folder, *folder.glob("*")], output)
    with progress_bar() as progress:
        result = run(folder, on=on, progress=progress)
    write_answer(check_answer(result), chosen, output)
    if not result.ok:
        raise click.exceptions.Exit(1)


@click.command()
@click.argument("folder", type=FILE)
@click.option("-o", "--output", type=FILE, required=True, help="The release to write, .duckdb.")
@on_option
def build(folder: Path, output: Path, on: str | None) -> None:
    """Check a reference folder and build a release of it.

    If the folder has errors, nothing is built; warnings are kept in the release, in table finding.
    Those on withdrawals and effective dates are of today, or of --on.

    \b
    Example: towdb build data/demo/reference -o demo.duckdb
    """
    from towdb.presentation.release import built_lines
    from towdb.reference.release import build as run
    from towdb.report.progress import progress_bar

    with progress_bar() as progress:
        built = run(folder, output, on=on, progress=progress)
    print_lines(built_lines(built))


@click.command()
@click.argument("query")
@click.option(
    "--table",
    "tables",
    multiple=True,
    metavar="NAME=PATH",
    help="A CSV or Parquet file to query by that name; repeatable.",
)
@limit_options
@reference_option
@output_options
def sql(
    query: str,
    tables: tuple[str, ...],
    time_limit: float | None,
    memory_limit: str | None,
    reference: Path | None,
    format: str | None,
    output: Path | None,
) -> None:
    """Query a release in SQL: one SELECT.

    Views for people: statement, instruction, weight, rating. Tables: those of the contract.
    Their columns: towdb describe NAME.

    \b
    Example: towdb sql "select make, count(*) from statement group by make" --reference demo.duckdb
    """
    from towdb.reference.query import Reference
    from towdb.report.answer import table_answer
    from towdb.report.caution import foot
    from towdb.report.destination import choose_format
    from towdb.report.formats import write_answer

    chosen = choose_format(format, output, FORMATS)
    named = pairs("--table", tables, "NAME=PATH, such as inventory=stock.parquet")
    check_outputs(None, [reference, *named.values()], output)
    with Reference(required(reference), limits_of(time_limit, memory_limit)) as opened:
        found = opened.rows(query, **named)
        answer = table_answer(found.columns, found.rows, foot(opened.invented))
        write_answer(answer, chosen, output)
