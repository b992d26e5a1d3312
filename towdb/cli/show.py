"""The command that shows what is on record for a make or model."""

from __future__ import annotations

from pathlib import Path

import click

from towdb.cli.options import FORMATS, on_option, output_options, reference_option, required


@click.command()
@click.argument("make")
@click.argument("model", required=False)
@click.argument("year", required=False, type=int)
@reference_option
@on_option
@click.option("--explain", is_flag=True, help="Every limit, step and fuse with its page.")
@output_options
def show(
    make: str,
    model: str | None,
    year: int | None,
    reference: Path | None,
    on: str | None,
    explain: bool,
    format: str | None,
    output: Path | None,
) -> None:
    """Show what is on record for a make, a model or a model year, with pages, and what is not.

    \b
    Example: towdb show Quillon Pika 2021 --reference demo.duckdb
    """
    from towdb.presentation.show import show_answer
    from towdb.reference.show import show as run
    from towdb.report.destination import choose_format
    from towdb.report.formats import write_answer

    chosen = choose_format(format, output, FORMATS)
    shown = run(required(reference), make, model, year, on=on)
    write_answer(show_answer(shown, explain=explain), chosen, output)
