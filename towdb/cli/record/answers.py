"""Commands on issued answers."""

from __future__ import annotations

from pathlib import Path

import click

from towdb.cli.options import FILE, FORMATS, output_options
from towdb.cli.record.options import opened, record_option
from towdb.errors import UsageError


@click.command()
@click.argument("number", type=int, required=False)
@record_option
@output_options
def replay(number: int | None, url: str | None, format: str | None, output: Path | None) -> int:
    """List issued answers; or replay one, with the release of that day and the record of today.

    Exit status 1 if the release of that day no longer gives the same answer.

    \b
    Example: towdb record replay 3 --record shop.sqlite
    """
    import tempfile

    from towdb.presentation.record.answers import answers_answer, replay_answer
    from towdb.record import answers as run
    from towdb.report.destination import choose_format
    from towdb.report.formats import write_answer

    chosen = choose_format(format, output, FORMATS)
    with opened(url) as record:
        if number is None:
            write_answer(answers_answer(run.answers(record)), chosen, output)
            return 0
        with tempfile.TemporaryDirectory(prefix="towdb-") as folder:
            replayed = run.replay(record, number, folder)
    write_answer(replay_answer(replayed), chosen, output)
    return 0 if replayed.is_same else 1


@click.command()
@click.argument("releases", nargs=-1, required=True, metavar="[BEFORE] AFTER", type=FILE)
@record_option
@output_options
def affected(
    releases: tuple[Path, ...], url: str | None, format: str | None, output: Path | None
) -> None:
    """List the answers that a release changes: which customers to call.

    With two releases, the answers that differ between them; else those that differ from what was
    issued.

    \b
    Example: towdb record affected new.duckdb --record shop.sqlite
    """
    from towdb.presentation.record.answers import affected_answer
    from towdb.record.answers import affected as run
    from towdb.report.destination import choose_format
    from towdb.report.formats import write_answer

    if len(releases) > 2:
        raise UsageError("name one release, or the one before and the one after")
    *before, after = releases
    chosen = choose_format(format, output, FORMATS)
    with opened(url) as record:
        found = list(run(record, after, before[0] if before else None))
    write_answer(affected_answer(found), chosen, output)
