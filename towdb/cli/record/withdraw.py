"""The command that withdraws rows."""

from __future__ import annotations

from pathlib import Path

import click

from towdb.cli.options import FILE, print_lines
from towdb.cli.record.options import as_option, opened, person, record_option
from towdb.errors import UsageError


@click.command()
@click.argument("table")
@click.argument("key")
@click.option("--why", default="", metavar="TEXT", help="The reason, kept with the change.")
@click.option("--on", metavar="DATE", help="For a source: first day of its withdrawal; else today.")
@click.option("--shortlist", type=FILE, help="Cars whose verdicts are compared; with --coach.")
@click.option("--coach", multiple=True, metavar="FILE|ID", help="A coach; repeatable.")
@click.option("--yes", is_flag=True, help="Withdraw it; else only the consequences are shown.")
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
    """Withdraw a row or a source; the consequences are shown first.

    A row leaves the current rows and stays in history; a source is marked with a day, and rows that
    cite it no longer count from that day on. A limit, step or fuse goes together with the count of
    its statement, which then awaits a check.

    \b
    Example: towdb record withdraw source w-1 --why "new edition" --record shop.sqlite --as Imre
    """
    import tempfile

    from towdb.presentation.record.withdraw import withdrawn_lines
    from towdb.record.withdraw import withdraw as run

    if (shortlist is None) != (not coach):
        raise UsageError("name a shortlist and a coach, or neither")
    with opened(url) as record, tempfile.TemporaryDirectory(prefix="towdb-") as folder:
        done = run(record, table, key, who=person(who), why=why, on=on, shortlist=shortlist,
                   coach=coach or None, folder=folder, dry_run=not yes)  # fmt: skip
    print_lines(withdrawn_lines(done, is_screened=shortlist is not None))
