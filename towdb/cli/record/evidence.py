"""Commands on documents: kept beside their source, and searched for the quotes of rows."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from towdb.cli.options import FILE, FORMATS, output_options, print_lines
from towdb.cli.record.options import as_of_option, as_option, opened, person, record_option
from towdb.errors import UsageError

if TYPE_CHECKING:
    pass


@click.command()
@click.argument("path", type=FILE)
@click.argument("source_id", required=False)
@record_option
@as_option
def attach(path: Path, source_id: str | None, url: str | None, who: str | None) -> None:
    """Attach a document (PDF, text or picture) to its source; or a folder of documents.

    Without SOURCE_ID it is attached to the source that names a file of its SHA-256.

    \b
    Example: towdb record attach manual.pdf quillon-om-pika-2021 --record shop.sqlite --as Imre
    """
    from towdb.presentation.record.evidence import attached_lines
    from towdb.record.evidence.documents import attach as run

    files = sorted(path.iterdir()) if path.is_dir() else [path]
    if path.is_dir() and source_id is not None:
        raise UsageError(f"{path}: is a folder; name one file, or no source")
    with opened(url) as record:
        for file in files:
            done = run(record, file, source_id, who=person(who))
            print_lines(attached_lines(file, done))


@click.command()
@record_option
@as_of_option
@output_options
def evidence(url: str | None, as_of: str | None, format: str | None, output: Path | None) -> int:
    """Look up every quote in its document, on the page that the row cites.

    Exit status 1 if a quote is not on its page.

    \b
    Example: towdb record evidence --record shop.sqlite
    """
    from towdb.presentation.record.evidence import evidence_answer
    from towdb.record.evidence.confirm import findings
    from towdb.record.evidence.documents import evidence as run
    from towdb.report.destination import choose_format
    from towdb.report.formats import write_answer

    chosen = choose_format(format, output, FORMATS)
    with opened(url) as record:
        found = run(record, record.change_at(as_of))
    write_answer(evidence_answer(found), chosen, output)
    return int(any(finding.severity == "error" for finding in findings(found)))
