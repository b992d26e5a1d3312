"""The command that shows how the weights of an inventory are distributed."""

from __future__ import annotations

from pathlib import Path

import click

from towdb.cli.options import (
    FILE,
    FORMATS,
    check_outputs,
    inventory_options,
    on_option,
    output_options,
    print_how_read,
    reference_option,
)
from towdb.errors import UsageError


@click.command()
@click.argument("inventory", type=FILE)
@click.option("--by", multiple=True, metavar="NAME", help="Attribute to group by; repeatable.")
@click.option("--rating", multiple=True, metavar="WEIGHT", help='Such as "5000 lb"; repeatable.')
@click.option(
    "--weigh-by", default="count", show_default=True, help="count, or price: cars count by price."
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
    """Show how weights are distributed over an inventory, and what share is within each rating.

    INVENTORY is a CSV, Parquet or XLSX file of cars. With a reference, a car without a gross rating
    gets the one on record, and the weights that its coaches can pull are marked. CSV is the
    distribution alone.

    \b
    Example: towdb weights shortlist.csv --by drivetrain --rating "5000 lb"
    """
    from towdb.inventory.weights import weights as run
    from towdb.presentation.weights import weights_answer
    from towdb.report.destination import choose_format
    from towdb.report.formats import write_answer
    from towdb.report.plots import picture_format

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
    print_how_read(found.notes, found.read)
    if plot is not None:
        found.plot(plot, units=units)
    write_answer(weights_answer(found, units), chosen, output)
