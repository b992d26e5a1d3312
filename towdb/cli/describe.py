"""The command that explains names."""

from __future__ import annotations

from pathlib import Path

import click

from towdb.cli.options import output_options


@click.command()
@click.argument("name", required=False)
@output_options
def describe(name: str | None, format: str | None, output: Path | None) -> None:
    """Explain a table, view, column, word or unit; without NAME, list tables and views.

    \b
    Example: towdb describe transfer_case
    """
    from towdb.meanings import describe as run
    from towdb.presentation.describe import description_answer
    from towdb.report.destination import choose_format
    from towdb.report.formats import write_answer

    chosen = choose_format(format, output, ("table", "json"))
    write_answer(description_answer(run(name)), chosen, output)
