"""The command that shows what is on record of a make or model."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

import click

from towdb.cli.options import FORMATS, on_option, output_options, reference_option, required

if TYPE_CHECKING:
    from towdb.reference.show import Showing


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
    """Show what is on record of a make, a model or a model year, with pages, and what is not.

    \b
    Example: towdb show Quillon Pika 2021 --reference demo.duckdb
    """
    from towdb.reference.show import COLUMNS
    from towdb.reference.show import show as run
    from towdb.report import rows as report
    from towdb.report.output import choose_format, deliver

    chosen = choose_format(format, output, FORMATS)
    shown = run(required(reference), make, model, year, on=on)
    if chosen == "json":
        deliver(lambda out: report.write_document(_document(shown), out), output)
    elif chosen == "csv":
        rows = [tuple(record.values()) for record in shown.records]
        deliver(lambda out: report.write_csv(COLUMNS, rows, out), output)
    else:
        deliver(lambda out: _write(shown, out, explain), output)


def _document(shown: Showing) -> dict[str, object]:
    return {
        "make": shown.make,
        "on": shown.on.isoformat(),
        "reference": {"release_id": shown.release_id, "invented": shown.invented},
        "statements": [
            {**record, "conditions": shown.conditions.get(record["eligibility_id"], [])}
            for record in shown.records
        ],
        "years_not_on_record": shown.gaps,
    }


def _write(shown: Showing, out: TextIO, explain: bool) -> None:
    from towdb.reference.show import SCREEN_COLUMNS, procedures, screen_rows
    from towdb.report import rows as report
    from towdb.report.caution import foot

    for model, rows in screen_rows(shown):
        report.write_lines([f"{shown.make} {model}"], out)
        report.write_table(SCREEN_COLUMNS, rows, out)
    if explain:
        report.write_lines(procedures(shown), out)
    if shown.gaps:
        report.write_lines([*_not_on_record(shown), ""], out)
    stamp = f"On {shown.on.isoformat()}, by release {shown.release_id[:12]}"
    report.write_lines([stamp, *foot(shown.invented)], out)


def _not_on_record(shown: Showing) -> Iterator[str]:
    for model, years in shown.gaps.items():
        listed = ", ".join(map(str, years))
        yield f"{shown.make} {model}: nothing on record on towing it flat for model year {listed}"
