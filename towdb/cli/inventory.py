"""Commands on a whole inventory."""

from __future__ import annotations

import dataclasses
import os
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

import click

from towdb.cli.options import (
    FILE,
    FORMATS,
    check_outputs,
    how_read,
    inventory_options,
    one_line,
    output_options,
    reference_option,
)
from towdb.errors import UsageError

if TYPE_CHECKING:
    from towdb.inventory.check import InventoryCheck


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
    FILE.xlsx#SHEET names a sheet. Exit status 1 if there are errors; warnings alone are no failure.
    No verdict rests on a VIN. With a release, a model that begins with one on record, "Wicket
    Sport", is told with that one.

    \b
    Example: towdb inventory check shortlist.csv
    """
    from towdb.inventory.check import check_inventory
    from towdb.report.output import choose_format
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
        _write(checked, chosen, output)
        if not checked.ok:
            raise click.exceptions.Exit(1)


@inventory.command("draft-map")
@click.argument("inventory", type=FILE)
@click.option("-o", "--output", type=FILE, help="File to write, which must not exist yet.")
def draft_map(inventory: Path, output: Path | None) -> None:
    """Draft a mapping file (TOML) for other people's headers and words.

    Columns are recognised by their names and by what they hold. What is in effect leaves no doubt;
    all else is a comment for you to settle: units, orders of dates, words and their counts.

    \b
    Example: towdb inventory draft-map shortlist.csv -o dealer.toml
    """
    from towdb.inventory.draft import draft_mapping
    from towdb.report.output import deliver

    check_outputs(inventory, [], output)
    # What a person settled in an earlier draft would be lost.
    if output is not None and os.path.lexists(output):
        raise UsageError(f"{output}: already exists; choose another name")
    draft = draft_mapping(inventory)

    def write(out: TextIO) -> None:
        out.write(draft)

    deliver(write, output)


def _write(checked: InventoryCheck, chosen: str, output: Path | None) -> None:
    from towdb.errors import FINDING_COLUMNS
    from towdb.report import findings as report
    from towdb.report.output import deliver

    errors, warnings = checked.errors, checked.warnings
    rows = (dataclasses.astuple(finding) for finding in checked.found())
    if chosen == "json":
        deliver(
            lambda out: report.write_findings_json(
                FINDING_COLUMNS, rows, errors, warnings, out, _more(checked)
            ),
            output,
        )
    elif chosen == "csv":
        deliver(lambda out: report.write_findings_csv(FINDING_COLUMNS, rows, out), output)
        for line in _foot(checked):
            click.echo(one_line(line), err=True)
    else:

        def show(out: TextIO) -> None:
            total = errors + warnings
            report.write_findings_table(FINDING_COLUMNS, rows, out, [], total)
            _show_counts(checked, out)

        deliver(show, output)


def _show_counts(checked: InventoryCheck, out: TextIO) -> None:
    from towdb.inventory.check import RuleCount
    from towdb.report.rows import write_lines, write_table

    if checked.counts:
        write_table(RuleCount._fields, checked.counts, out)
    write_lines(_foot(checked), out)


def _more(checked: InventoryCheck) -> dict[str, object]:
    aside = checked.set_aside
    return {
        "rows": checked.rows,
        "counts": [count._asdict() for count in checked.counts],
        "notes": list(checked.notes),
        "set_aside": None if aside is None else {"file": str(aside.path), "rows": aside.rows},
        "left_empty": checked.left_empty,
    }


def _foot(checked: InventoryCheck) -> list[str]:
    counted = f"{checked.errors:,} error(s), {checked.warnings:,} warning(s)"
    read = how_read(checked.notes, checked.set_aside)
    if checked.left_empty:
        named = ", ".join(f"{column} {count:,}" for column, count in checked.left_empty.items())
        read.append(f"no verdict reads these cells; --leave-unreadable leaves them empty: {named}")
    return [*read, f"{checked.name}: {checked.rows:,} row(s), {counted}"]
