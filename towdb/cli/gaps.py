"""The command that lists what a reference lacks."""

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
    required,
)


@click.command()
@click.argument("inventory", type=FILE, required=False)
@click.option("--older-than", metavar="AGE", help="List sources older than 3y, 18m or 90d too.")
@inventory_options
@reference_option
@on_option
@output_options
def gaps(
    inventory: Path | None,
    older_than: str | None,
    mapping: Path | None,
    set_aside: Path | None,
    leave_unreadable: bool,
    reference: Path | None,
    on: str | None,
    format: str | None,
    output: Path | None,
) -> None:
    """List what the reference lacks, and how many cars wait for it.

    Statements, steps, weights and checks; a page that was read and does not mention towing is not a
    gap. INVENTORY is a CSV, Parquet or XLSX file of cars. Without one, each version of a car on
    record counts as one, and so does each model year between them that is not on record. CSV is
    the gaps alone.

    \b
    Example: towdb gaps shortlist.csv --reference demo.duckdb --older-than 3y
    """
    from towdb.inventory.gaps import gaps as run
    from towdb.presentation.gaps import gaps_answer
    from towdb.report.destination import choose_format
    from towdb.report.formats import write_answer

    chosen = choose_format(format, output, FORMATS)
    check_outputs(inventory, [mapping, reference], output, set_aside)
    found = run(
        inventory,
        reference=required(reference),
        older_than=older_than,
        on=on,
        mapping=mapping,
        set_aside=set_aside,
        leave_unreadable=leave_unreadable,
    )
    print_how_read(found.notes, found.read)
    write_answer(gaps_answer(found), chosen, output)
