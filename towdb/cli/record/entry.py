"""Commands that create a record and bring rows into it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from towdb.cli.options import FILE, FORMATS, output_options, pairs, print_lines
from towdb.cli.record.options import as_option, opened, person, record_option
from towdb.errors import UsageError

if TYPE_CHECKING:
    from towdb.record.entry import ImportResult


@click.command()
@record_option
def init(url: str | None) -> None:
    """Create a record.

    \b
    Example: towdb record init --record shop.sqlite
    """
    from towdb.presentation.record.entry import begun_line

    with opened(url, create=True) as record:
        print_lines([begun_line(record.name)])


@click.command()
@click.option("-o", "--output", type=FILE, required=True, help="The workbook to write (.xlsx).")
@click.option("--every-table", is_flag=True, help="Show the sheets that a manual does not need.")
@record_option
def template(url: str | None, output: Path, every_table: bool) -> None:
    """Write a workbook in which a page of a manual is typed.

    With a record, its drop-downs offer what is on record already.

    \b
    Example: towdb record template -o pages.xlsx
    """
    from towdb.contract.model import contract
    from towdb.presentation.record.entry import template_line
    from towdb.record.workbook.mark import UNKNOWN, mark_of
    from towdb.record.workbook.template import write_template

    known: dict[str, list[str]] = {}
    mark = UNKNOWN
    if url:
        with opened(url) as record:
            # Before the rows are read: the import reports what is changed in between.
            mark = mark_of(record.last())
            known = {
                name: [str(row[contract().tables[name].key]) for row in rows]
                for name, rows in record.rows().items()
            }
    write_template(output, known=known, every_table=every_table, mark=mark)
    print_lines([template_line(output)])


def _import_options(command: click.Command) -> click.Command:
    for option in (
        click.option("--why", default="", metavar="TEXT", help="The reason, kept with the change."),
        click.option("--change", is_flag=True, help="Allow changes to rows on record."),
        click.option(
            "--seen", type=int, metavar="CHANGE", help="The last change that you have seen."
        ),
        click.option("--dry-run", is_flag=True, help="Only report what would be done."),
        output_options,
        record_option,
        as_option,
    ):
        command = option(command)
    return command


@click.command("import")
@click.argument("path", type=FILE)
@click.option(
    "--over",
    is_flag=True,
    help="Allow filled cells to be emptied, and rows to be replaced that changed since the workbook"
    " was written.",
)
@_import_options  # type: ignore[arg-type]
def import_(
    path: Path,
    url: str | None,
    who: str | None,
    why: str,
    change: bool,
    seen: int | None,
    over: bool,
    dry_run: bool,
    format: str | None,
    output: Path | None,
) -> int:
    """Import the rows of a folder (CSV or Parquet) or a workbook: all of them, or none.

    Rows on record change only with --change. Each cell that would be emptied is listed, and so is
    each row that was changed since the workbook was written; --over allows both.

    Exit status 1: rows have errors, and nothing was imported.

    \b
    Example: towdb record import pages.xlsx --record shop.sqlite --as "Imre Solvang"
    """
    from towdb.record.entry import import_path
    from towdb.report.progress import progress_bar

    with opened(url) as record, progress_bar() as progress:
        result = import_path(record, path, who=person(who), why=why, change=change, seen=seen,
                             over=over, dry_run=dry_run, progress=progress)  # fmt: skip
    return _print_result(result, dry_run, format, output)


@click.command()
@click.argument("words", nargs=-1, required=True, metavar="TABLE NAME=VALUE... [+ TABLE ...]")
@_import_options  # type: ignore[arg-type]
def add(
    words: tuple[str, ...],
    url: str | None,
    who: str | None,
    why: str,
    change: bool,
    seen: int | None,
    dry_run: bool,
    format: str | None,
    output: Path | None,
) -> int:
    """Add rows: a table and its cells; + begins another row.

    Source and page of a row apply to the rows after it.

    Exit status 1: rows have errors, and nothing was added.

    \b
    Example: towdb record add source source_id=w-1 kind=owner_manual --record shop.sqlite --as Imre
    """
    from towdb.record.entry import import_rows

    rows = list(_typed(words))
    with opened(url) as record:
        result = import_rows(record, rows, who=person(who), why=why, change=change, seen=seen,
                             dry_run=dry_run)  # fmt: skip
    return _print_result(result, dry_run, format, output)


def _typed(words: Sequence[str]) -> Iterator[tuple[str, dict[str, str | None]]]:
    from towdb.contract.model import contract
    from towdb.record.entry import require_table, typed_cells

    rows: list[list[str]] = [[]]
    for word in words:
        if word == "+":
            rows.append([])
        else:
            rows[-1].append(word)
    page: dict[str, str] = {}
    for row in rows:
        if not row or "=" in row[0]:
            raise UsageError("name the table first: towdb record add TABLE NAME=VALUE ...")
        table = require_table(row[0])
        cells = pairs(table, row[1:], "locator=p. 214")
        # As in a workbook: the page of one row applies to those after it.
        page |= {name: cells[name] for name in ("source_id", "locator") if name in cells}
        cited = {**page, "basis": "cited"} if contract().tables[table].cited else {}
        yield table, typed_cells(table, {**cited, **cells})


def _print_result(
    result: ImportResult, dry_run: bool, format: str | None, output: Path | None
) -> int:
    from towdb.presentation.record.entry import import_answer
    from towdb.report.destination import choose_format
    from towdb.report.formats import write_answer

    chosen = choose_format(format, output, FORMATS)
    write_answer(import_answer(result, dry_run=dry_run), chosen, output)
    return 0 if result.ok else 1
