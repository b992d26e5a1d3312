"""What `gaps` found, as sections."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from towdb.intake.unreadable import with_rows_read
from towdb.inventory.gaps import Gaps
from towdb.presentation.weights import GROUPS_SHOWN, not_shown
from towdb.report.answer import Answer, Section
from towdb.report.caution import foot
from towdb.report.figures import to_the_right
from towdb.screening.reference_gaps import CONFIGURED_BY
from towdb.wording.inventories import BEGUN, GAP_LABELS, NAMES_WITHDRAWN, made_by

GAP_COLUMNS = ("cars", "what is lacking", "car", "which")
_SOURCES = ("cars", "dated", "source", "title")
_HOW = (
    "A page that was read and does not mention towing is not a gap; a weight is a gap only where"
    " towing is not forbidden."
)


def gaps_answer(found: Gaps) -> Answer:
    """All of it, in every form; CSV is the gaps alone."""
    return Answer(
        found.document,
        lambda: with_rows_read(*found.tables["gaps"], "lacks", found.read),
        lambda: _sections(found),
        [_HOW, made_by(found.document()), *foot(found.invented)],
        lead=[found.read.line()] if found.read else (),
    )


def _sections(found: Gaps) -> Iterator[Section]:
    rows = found.records("gaps")
    of = (
        "cars" if found.is_inventory else "versions of cars on record, and model years between them"
    )
    line = f"What the reference lacks for {found.cars:,} {of}"
    notes = not_shown(len(rows) - GROUPS_SHOWN)
    notes += [BEGUN] if any(row["on_record"] for row in rows) else []
    if found.unnamed:
        notes.append(f"{found.unnamed:,} cars have no make or model: complete these first.")
    cells = [gap_cells(row) for row in rows[:GROUPS_SHOWN]]
    yield Section(
        line if rows else f"{line}: nothing", GAP_COLUMNS, to_the_right(cells, range(1)), notes
    )
    if found.older_than is not None:
        yield _old_sources(found)


def _old_sources(found: Gaps) -> Section:
    sources = found.records("sources")
    before = found.older_than.isoformat() if found.older_than else ""
    line = f"Sources from before {before}, and the cars that rest on them"
    cells = [
        [f"{row['cars']:,}", str(row["dated"] or "no date"), row["source_id"], row["title"]]
        for row in sources[:GROUPS_SHOWN]
    ]
    return Section(
        line if sources else f"{line}: none",
        _SOURCES,
        to_the_right(cells, range(1)),
        not_shown(len(sources) - GROUPS_SHOWN),
    )


def gap_cells(row: dict[str, Any]) -> list[str]:
    """One gap for `GAP_COLUMNS`."""
    car = " ".join(str(row[name] or "?") for name in CONFIGURED_BY)
    words = (row["words"] or "").replace("_", " ")
    what = GAP_LABELS[row["lacks"]]
    if row["named"]:
        was = "; its source was withdrawn" if row["lacks"] in NAMES_WITHDRAWN else ""
        what += f"{was}: {row['named']}"
    if row["on_record"]:
        what += f"; on record: {row['on_record']}"
    return [f"{row['cars']:,}", what, car, words]
