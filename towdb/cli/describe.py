"""The command that says what names mean."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, TextIO

import click

from towdb.cli.options import output_options

if TYPE_CHECKING:
    from towdb.meanings import Description


@click.command()
@click.argument("name", required=False)
@output_options
def describe(name: str | None, format: str | None, output: Path | None) -> None:
    """Say what a table, view, column, word or unit means; without NAME, list tables and views.

    \b
    Example: towdb describe transfer_case
    """
    import json

    from towdb.meanings import describe as run
    from towdb.meanings import description_rows
    from towdb.report.output import choose_format, deliver

    chosen = choose_format(format, output, ("table", "json"))
    found = run(name)
    if chosen == "json":
        text = json.dumps(description_rows(found), indent=2, ensure_ascii=False, default=str)
        deliver(lambda out: print(text, file=out), output)
    else:
        deliver(lambda out: _show(found, out), output)


def _show(found: list[Description], out: TextIO) -> None:
    from towdb.report import rows as report

    for one in found:
        report.write_lines(["", f"{one.name} ({one.kind}): {one.meaning}"], out)
        if one.rows:
            report.write_table(one.columns, one.rows, out)
