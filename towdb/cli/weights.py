"""The command that says how an inventory weighs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, TextIO

import click

from towdb.cli.options import (
    FILE,
    FORMATS,
    check_outputs,
    inventory_options,
    on_option,
    output_options,
    reference_option,
    say_how_read,
)
from towdb.errors import UsageError

if TYPE_CHECKING:
    from towdb.inventory.weights import Weights


@click.command()
@click.argument("inventory", type=FILE)
@click.option("--by", multiple=True, metavar="NAME", help="Attribute to group by; repeatable.")
@click.option("--rating", multiple=True, metavar="WEIGHT", help='Such as "5000 lb"; repeatable.')
@click.option(
    "--weigh-by", default="count", show_default=True, help="count, or price: what a car counts."
)
@click.option("--plot", type=FILE, help="Picture to draw, .png or .svg.")
@click.option("--units", default="lb", show_default=True, help="lb or kg, on screen and picture.")
@inventory_options
@reference_option
@on_option
@output_options
def weights(
    inventory: Path,
    by: tuple[str, ...],
    rating: tuple[str, ...],
    weigh_by: str,
    plot: Path | None,
    units: str,
    mapping: Path | None,
    set_aside: Path | None,
    leave_unreadable: bool,
    reference: Path | None,
    on: str | None,
    format: str | None,
    output: Path | None,
) -> None:
    """Say how an inventory weighs, and what share of it lies within each rating.

    INVENTORY is a CSV, Parquet or XLSX file of cars. With a reference, gross ratings on record
    stand in where a car has none, and what its coaches can pull is marked. CSV is the distribution
    alone.

    \b
    Example: towdb weights shortlist.csv --by drivetrain --rating "5000 lb"
    """
    from towdb.intake.unreadable import with_rows_read
    from towdb.inventory.weights import weights as run
    from towdb.presentation.plots import picture_format
    from towdb.report import rows as report
    from towdb.report.output import choose_format, deliver

    chosen = choose_format(format, output, FORMATS)
    if units not in ("lb", "kg"):
        raise UsageError(f"--units {units[:40]!r}: choose lb or kg")
    if plot is not None:
        picture_format(plot)
    check_outputs(inventory, [mapping, reference], output, set_aside, plot)
    found = run(
        inventory,
        by=by,
        ratings=rating,
        reference=reference,
        weigh_by=weigh_by,
        on=on,
        mapping=mapping,
        set_aside=set_aside,
        leave_unreadable=leave_unreadable,
    )
    say_how_read(found.notes, found.read)
    if plot is not None:
        found.plot(plot, units=units)
    if chosen == "json":
        deliver(lambda out: report.write_document(found.document(), out), output)
    elif chosen == "csv":
        table = with_rows_read(*found.tables["distribution"], "scope", found.read)
        deliver(lambda out: report.write_csv(*table, out), output)
    else:
        deliver(lambda out: _write(found, units, out), output)


def _write(found: Weights, units: str, out: TextIO) -> None:
    from towdb.presentation import inventory
    from towdb.report import rows as report
    from towdb.report.caution import foot

    what = " · ".join(found.by) or "group"
    report.write_lines([found.read.line(), ""], out)
    for line, rows, more in inventory.distribution_tables(found, units):
        report.write_lines([line] if rows else [line, ""], out)
        if rows:
            columns = (what, *inventory.DISTRIBUTION_COLUMNS)
            report.write_table(columns, rows, out, _not_shown(more))
    rows, more = inventory.share_rows(found, units)
    if rows:
        report.write_lines(["Share of the inventory within each rating"], out)
        report.write_table((what, *inventory.SHARE_COLUMNS), rows, out, _not_shown(more))
    report.write_lines([*inventory.weights_foot(found), *foot(found.invented)], out)


def _not_shown(more: int) -> list[str]:
    return [f"{more:,} more rows with -o FILE.json"] if more else []
