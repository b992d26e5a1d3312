"""Commands that write folders and releases of a record."""

from __future__ import annotations

from pathlib import Path

import click

from towdb.cli.options import FILE, print_lines
from towdb.cli.record.options import as_of_option, as_option, opened, person, record_option


@click.command()
@click.argument("folder", type=FILE)
@record_option
@as_of_option
def export(folder: Path, url: str | None, as_of: str | None) -> None:
    """Write a reference folder: sorted, so that a changed row is one changed line.

    A folder that an export wrote before is replaced as a whole, by one that was filled next to it.

    \b
    Example: towdb record export reference --record shop.sqlite
    """
    from towdb.presentation.record.entry import exported_line
    from towdb.record.export import export as run

    with opened(url) as record:
        count = run(record, folder, record.change_at(as_of))
    print_lines([exported_line(folder, count)])


@click.command()
@click.option("-o", "--output", type=FILE, required=True, help="The release to write, .duckdb.")
@record_option
@as_option
@as_of_option
def release(output: Path, url: str | None, who: str | None, as_of: str | None) -> None:
    """Build a release of the record, as it is or was.

    \b
    Example: towdb record release -o shop.duckdb --record shop.sqlite --as Imre
    """
    from towdb.presentation.record.entry import released_line
    from towdb.record.export import release as run
    from towdb.report.progress import progress_bar

    with opened(url) as record, progress_bar() as progress:
        number = record.change_at(as_of)
        built = run(record, output, who=person(who), as_of=number, progress=progress)
    print_lines([released_line(output, number, built)])
