"""The command by which a second person checks rows beside their page."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import click

from towdb.cli.options import FORMATS, output_options, print_lines
from towdb.cli.record.options import as_option, opened, person, record_option
from towdb.errors import UsageError

if TYPE_CHECKING:
    from towdb.record.review import Counts


def _read_counts(text: str | None) -> Counts | None:
    from towdb.record.review import Counts

    if text is None:
        return None
    parts = [part.strip() for part in text.split(",")]
    if len(parts) != 3 or not all(re.fullmatch("[0-9]{1,4}", part) for part in parts):
        raise UsageError(
            f"--counts {text[:40]}: write three numbers, STEPS,FUSES,LIMITS, such as 4,0,2"
        )
    return Counts(*map(int, parts))


@click.command()
@click.argument("table", required=False)
@click.argument("key", required=False)
@click.option("--counts", metavar="STEPS,FUSES,LIMITS", help="What you counted on the page.")
@click.option("--accept", is_flag=True, help="The rows agree with their page.")
@click.option("--return", "remark", metavar="TEXT", help="Return the rows; state what is wrong.")
@record_option
@as_option
@output_options
def review(
    table: str | None,
    key: str | None,
    counts: str | None,
    accept: bool,
    remark: str | None,
    url: str | None,
    who: str | None,
    format: str | None,
    output: Path | None,
) -> None:
    """List what awaits a check; or compare one statement or row with its page.

    For a statement you first count on the page; then its rows are shown. Nobody checks what they
    entered on the same day.

    \b
    Example: towdb record review --record shop.sqlite
    Example: towdb record review eligibility fjell-lever --counts 14,4,4 --record shop.sqlite
    """
    from towdb.presentation.record import review as lines
    from towdb.record import review as run
    from towdb.record.reinstate import lifted
    from towdb.report.destination import choose_format
    from towdb.report.formats import write_answer

    chosen = choose_format(format, output, FORMATS)
    if accept and remark is not None:
        raise UsageError("--accept and --return contradict each other; keep one of them")
    with opened(url) as record:
        if table is None or key is None:
            if table or accept or remark is not None:
                raise UsageError("name a table and a key: towdb record review eligibility KEY")
            found = lines.waiting_answer(run.awaiting(record), lifted(record))
            write_answer(found, chosen, output)
            return
        unit = run.find_unit(record, key, table)
        own = _read_counts(counts)
        if remark is not None:
            lost = run.give_back(record, unit, who=person(who), remark=remark)
            print_lines(lines.returned_lines(unit, lost))
        elif accept:
            checked = run.accept(record, unit, who=person(who), counts=own)
            print_lines([lines.checked_line(unit, checked, person(who))])
        else:
            write_answer(lines.unit_answer(unit, own, lifted(record)), chosen, output)
