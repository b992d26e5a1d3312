"""Documents that were attached, and what they show about the rows that cite them."""

from __future__ import annotations

import dataclasses
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

from towdb.record.evidence.confirm import Evidence, summary
from towdb.record.evidence.documents import Attached
from towdb.report.answer import Answer, lines_answer
from towdb.report.figures import counted

_COLUMNS = tuple(field.name for field in dataclasses.fields(Evidence))


def attached_lines(file: Path, kept: Attached) -> Iterator[str]:
    """The source to which a document was attached."""
    yield f"{file}: attached to {kept.source_id}, SHA-256 {kept.sha256[:12]}"
    if kept.is_changed:
        yield "  the source's row now names the file, and awaits a check"


def evidence_answer(found: Sequence[Evidence]) -> Answer:
    """Rows that their page does not confirm, and counts; JSON and CSV have every cited row."""
    rows = [tuple(getattr(each, name) for name in _COLUMNS) for each in found]
    return lines_answer(_lines(found), lambda: (_COLUMNS, rows))


def _lines(found: Sequence[Evidence]) -> Iterator[str]:
    for each in found:
        row = f"{each.table} {each.key} ({each.source_id}, {each.locator})"
        remarks = [f"it is on {each.found_on}"] if each.found_on else []
        remarks += [each.remark] if each.remark else []
        if each.status not in ("confirmed", "no_document"):
            yield f"{'; '.join([each.status.replace('_', ' '), *remarks])}: {row}"
        elif each.status == "confirmed" and each.value_in_quote == "no":
            yield f"figure not in its quote: {row}"
    missing = Counter(each.source_id for each in found if each.status == "no_document")
    for source, count in missing.items():
        yield f"no document: {source}, cited by {counted(count, 'row')}"
    told = summary(found)
    counts = (f"{n:,} {status.replace('_', ' ')}" for status, n in told.counts.items() if n)
    yield f"{counted(told.rows, 'row')} cite a page: {', '.join(counts) or 'none'}"
    if told.share_of_documents is not None:
        yield (
            f"Confirmed by its page: {told.share:.1%} of all,"
            f" {told.share_of_documents:.1%} of those with a document"
        )
