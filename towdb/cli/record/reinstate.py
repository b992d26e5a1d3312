"""The command that lifts a withdrawal."""

from __future__ import annotations

import click

from towdb.cli.options import print_lines
from towdb.cli.record.options import as_option, opened, person, record_option


@click.command()
@click.argument("source_id")
@click.option("--why", default="", metavar="TEXT", help="The reason, kept with the change.")
@record_option
@as_option
def reinstate(source_id: str, why: str, url: str | None, who: str | None) -> None:
    """Lift the withdrawal of a source; until its row is checked, it permits nothing.

    \b
    Example: towdb record reinstate w-1 --why "withdrawn by mistake" --record shop.sqlite --as Imre
    """
    from towdb.presentation.record.withdraw import reinstated_line
    from towdb.record.reinstate import reinstate as run

    with opened(url) as record:
        change = run(record, source_id, who=person(who), why=why)
    print_lines([reinstated_line(source_id, change)])
