"""The command that drafts next year's rows."""

from __future__ import annotations

from pathlib import Path

import click

from towdb.cli.options import FILE, print_lines
from towdb.cli.record.options import opened, record_option


@click.command("carry-forward")
@click.argument("make")
@click.argument("model")
@click.argument("year", type=int)
@click.option("-o", "--output", type=FILE, required=True, help="The workbook to write (.xlsx).")
@record_option
def carry_forward(make: str, model: str, year: int, output: Path, url: str | None) -> None:
    """Draft the next model year's rows in a workbook; its pages are still to be read.

    \b
    Example: towdb record carry-forward Quillon Pika 2021 -o pika-2022.xlsx --record shop.sqlite
    """
    from towdb.presentation.record.drafts import drafted_lines
    from towdb.record.drafts import carry_forward as run

    with opened(url) as record:
        drafted = run(record, make, model, year, output)
    print_lines(drafted_lines(output, year, drafted))
