"""Commands on a whole inventory."""

from __future__ import annotations

import os
from pathlib import Path

import click

from towdb.cli.options import (
    FILE,
    FORMATS,
    check_outputs,
    inventory_options,
    output_options,
    print_lines,
    reference_option,
)
from towdb.errors import UsageError


@click.group()
def inventory() -> None:
    """Look at a whole inventory: thousands of cars, or millions.

    \b
    Example: towdb inventory check shortlist.csv
    """


@inventory.command()
@click.argument("inventory", type=FILE)
@inventory_options
@reference_option
@output_options
def check(
    inventory: Path,
    mapping: Path | None,
    set_aside: Path | None,
    leave_unreadable: bool,
    reference: Path | None,
    format: str | None,
    output: Path | None,
) -> None:
    """Check the cells of an inventory: findings, and how often each rule is broken.

    INVENTORY is a CSV, Parquet or XLSX file, a folder of such files, or a pattern in quotes;
    FILE.xlsx#SHEET names a sheet. Exit status 1 if there are errors; warnings alone do not count.
    No verdict rests on a VIN. With a release, a model such as "Wicket Sport", which begins with one
    on record, is reported with that one.

    \b
    Example: towdb inventory check shortlist.csv
    """
    from towdb.inventory.check import check_inventory
    from towdb.presentation.findings import inventory_check_answer, inventory_check_lines
    from towdb.report.destination import choose_format
    from towdb.report.formats import write_answer
    from towdb.report.progress import progress_bar

    chosen = choose_format(format, output, FORMATS)
    check_outputs(inventory, [mapping, reference], output, set_aside)
    with progress_bar() as progress:
        checked = check_inventory(
            inventory,
            mapping=mapping,
            set_aside=set_aside,
            leave_unreadable=leave_unreadable,
            reference=reference,
            progress=progress,
        )
    with checked:
        write_answer(inventory_check_answer(checked), chosen, output)
        if chosen == "csv":
            # Its rows have no place for how the inventory was read.
            print_lines(inventory_check_lines(checked), beside=True)
        if not checked.ok:
            raise click.exceptions.Exit(1)


@inventory.command("draft-map")
@click.argument("inventory", type=FILE)
@click.option("-o", "--output", type=FILE, help="File to write, which must not exist yet.")
def draft_map(inventory: Path, output: Path | None) -> None:
    """Draft a mapping file (TOML) for other people's headers and words.

    Columns are recognised by their names and their cells. Only lines without doubt are in effect;
    the rest are comments for you to settle: units, orders of dates, words and their counts.

    \b
    Example: towdb inventory draft-map shortlist.csv -o dealer.toml
    """
    from towdb.inventory.draft import draft_mapping
    from towdb.report.destination import write_text

    check_outputs(inventory, [], output)
    # What a person settled in an earlier draft would be lost.
    if output is not None and os.path.lexists(output):
        raise UsageError(f"{output}: already exists; choose another name")
    write_text(draft_mapping(inventory), output)
