"""The command that lists rows that contradict each other."""

from __future__ import annotations

from pathlib import Path

import click

from towdb.cli.options import FORMATS, output_options
from towdb.cli.record.options import as_of_option, opened, record_option


@click.command()
@record_option
@as_of_option
@output_options
def conflicts(url: str | None, as_of: str | None, format: str | None, output: Path | None) -> None:
    """List rows that contradict each other about the same car, with both pages.

    \b
    Example: towdb record conflicts --record shop.sqlite
    """
    from towdb.presentation.record.conflicts import conflicts_answer
    from towdb.record.conflicts import conflicts as run
    from towdb.report.destination import choose_format
    from towdb.report.formats import write_answer

    chosen = choose_format(format, output, FORMATS)
    with opened(url) as record:
        found = run(record, record.change_at(as_of))
    write_answer(conflicts_answer(found), chosen, output)
