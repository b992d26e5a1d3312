"""What a name means, as sections."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from towdb.meanings import Description, description_rows
from towdb.report.answer import Answer, Section


def description_answer(found: Sequence[Description]) -> Answer:
    """All of it, for people and as JSON; several things of one name are not one table."""
    return Answer(lambda: description_rows(found), sections=lambda: _sections(found))


def _sections(found: Sequence[Description]) -> Iterator[Section]:
    for one in found:
        yield Section(notes=["", f"{one.name} ({one.kind}): {one.meaning}"])
        yield Section("", one.columns, one.rows)
