"""The command that lists the changes of a record, or the versions of a row."""

from __future__ import annotations

from pathlib import Path

import click

from towdb.cli.options import FORMATS, output_options
from towdb.cli.record.options import opened, record_option
from towdb.errors import UsageError


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
    from towdb.record.history import versions
    from towdb.report.destination import choose_format
    from towdb.report.formats import write_answer

    chosen = choose_format(format, output, FORMATS)
    with opened(url) as record:
        if table is None:
            answer = changes_answer(record.changes())
        elif key is None:
            raise UsageError("name a table and a key: towdb record history eligibility KEY")
        else:
            answer = history_answer(versions(record, table, key))
    write_answer(answer, chosen, output)
