"""A screening as sections: a row a car, and on request every check with its page."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache, partial
from typing import Any

from towdb.presentation.explanation import explanation_lines
from towdb.presentation.models import model_lines, named
from towdb.presentation.verdicts import (
    COLUMNS,
    coach_lines,
    find_out_lines,
    remark_lines,
    table_rows,
)
from towdb.report.answer import Answer, Section
from towdb.report.caution import foot
from towdb.screening.document import document as make_document
from towdb.screening.screening import Screening
from towdb.wording import sentences
from towdb.wording.inventories import made_by, read_line

Record = dict[str, Any]


def screening_answer(screening: Screening, units: str, *, explain: bool) -> Answer:
    """All of it, in every form; CSV is the verdicts alone.

    `explain` adds every check of every car with value, limit, margin and page.
    """
    document = cache(partial(make_document, screening))
    cars = screening.versions
    return Answer(
        document,
        lambda: screening.rows("verdict"),
        lambda: _sections(document(), cars, units, explain),
        [sentences.NOT_LOOKED_AT, *foot(screening.invented)],
    )


def _sections(
    document: Record, cars: list[Record] | None, units: str, explain: bool
) -> Iterator[Section]:
    """What each coach can pull, then its cars; `cars`: the versions on record, if any."""
    for screening in document["screenings"]:
        yield Section(notes=list(coach_lines(screening, units)))
        if cars is not None:
            yield Section(notes=["", *model_lines(screening, cars, units), ""])
            screening = named(screening, cars)
        else:
            yield Section("", COLUMNS, table_rows(screening, units))
        yield Section(notes=list(find_out_lines(screening)))
        if cars is None or explain:
            yield Section(notes=list(remark_lines(screening)))
        if explain:
            yield Section(notes=list(explanation_lines(screening, units)))
    read = document["read"]
    left_out = [read_line(read)] if read and (read["set_aside"] or read["left_empty"]) else []
    apart = [""] if cars is None or explain else []
    yield Section(notes=[*apart, *left_out, made_by(document)])
