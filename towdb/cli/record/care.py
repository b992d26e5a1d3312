"""Commands that look after a record: contradictions, withdrawals, drafts, histories."""

from __future__ import annotations

from pathlib import Path

import click

from towdb.cli.options import FILE, FORMATS, output_options, print_lines
from towdb.cli.record.options import as_of_option, as_option, opened, person, record_option
from towdb.errors import UsageError


@click.command()
@record_option
@as_of_option
@output_options
def conflicts(url: str | None, as_of: str | None, format: str | None, output: Path | None) -> None:
    """List rows that contradict each other about the same car, with both pages.

    \b
    Example: towdb record conflicts --record shop.sqlite
    """
    from towdb.presentation.record.conflicts import conflicts_answer
    from towdb.record.conflicts import conflicts as run
    from towdb.report.output import choose_format
    from towdb.report.writing import write_answer

    chosen = choose_format(format, output, FORMATS)
    with opened(url) as record:
        found = run(record, record.change_at(as_of))
    write_answer(conflicts_answer(found), chosen, output)


@click.command()
@click.argument("table")
@click.argument("key")
@click.option("--why", default="", metavar="TEXT", help="Why, kept with the change.")
@click.option("--on", metavar="DATE", help="Of a source: from when it no longer holds; else today.")
@click.option("--shortlist", type=FILE, help="Cars whose verdicts are compared; with --coach.")
@click.option("--coach", multiple=True, metavar="FILE|ID", help="A coach; repeatable.")
@click.option("--yes", is_flag=True, help="Withdraw it; else only what would come of it is shown.")
@record_option
@as_option
def withdraw(
    table: str,
    key: str,
    why: str,
    on: str | None,
    shortlist: Path | None,
    coach: tuple[str, ...],
    yes: bool,
    url: str | None,
    who: str | None,
) -> None:
    """Withdraw a row or a source; first, what would come of it is shown.

    A row leaves what stands and stays in history; a source is marked with a day, and what cites it
    counts no longer from then on. A limit, step or fuse goes together with the count of its
    statement, which then awaits a check.

    \b
    Example: towdb record withdraw source w-1 --why "new edition" --record shop.sqlite --as Imre
    """
    import tempfile

    from towdb.presentation.record.withdraw import withdrawn_lines
    from towdb.record.care import withdraw as run

    if (shortlist is None) != (not coach):
        raise UsageError("name a shortlist and a coach, or neither")
    with opened(url) as record, tempfile.TemporaryDirectory(prefix="towdb-") as folder:
        done = run(record, table, key, who=person(who), why=why, on=on, shortlist=shortlist,
                   coach=coach or None, folder=folder, dry_run=not yes)  # fmt: skip
    print_lines(withdrawn_lines(done, is_screened=shortlist is not None))


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
    from towdb.record.care import carry_forward as run

    with opened(url) as record:
        drafted = run(record, make, model, year, output)
    print_lines(drafted_lines(output, year, drafted))


@click.command()
@click.argument("table", required=False)
@click.argument("key", required=False)
@record_option
@output_options
def history(
    table: str | None, key: str | None, url: str | None, format: str | None, output: Path | None
) -> None:
    """List all changes; or every version of one row: who, when, why, and what changed.

    \b
    Example: towdb record history eligibility quillon-pika-2021-manual --record shop.sqlite
    """
    from towdb.presentation.record.history import changes_answer, history_answer
    from towdb.record.care import versions
    from towdb.report.output import choose_format
    from towdb.report.writing import write_answer

    chosen = choose_format(format, output, FORMATS)
    with opened(url) as record:
        if table is None:
            answer = changes_answer(record.changes())
        elif key is None:
            raise UsageError("name a table and a key: towdb record history eligibility KEY")
        else:
            answer = history_answer(versions(record, table, key))
    write_answer(answer, chosen, output)
