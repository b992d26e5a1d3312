"""A summary as sections."""

from __future__ import annotations

import importlib.util
from collections.abc import Iterator
from typing import Any

from towdb.intake.unreadable import with_rows_read
from towdb.presentation.gaps import GAP_COLUMNS, gap_cells
from towdb.report.answer import Answer, Section
from towdb.report.caution import foot
from towdb.report.figures import percent, to_the_right
from towdb.report.plots import rendered, verdict_figure
from towdb.screening.summary import QUESTIONS_UP_TO, Summary
from towdb.wording import sentences
from towdb.wording.inventories import RAISED_NOTE, group_name, made_by, shown_mass

# Rows shown of each table; the JSON document has all.
GROUPS_SHOWN, QUESTIONS_SHOWN, GAPS_SHOWN = 60, 10, 10
Record = dict[str, Any]


def summary_answer(found: Summary, units: str) -> Answer:
    """All of it, in every form; CSV is the verdicts alone."""
    return Answer(
        found.document,
        lambda: with_rows_read(*found.tables["verdicts"], "scope", found.read),
        lambda: _sections(found, units),
        [made_by(found.document()), sentences.NOT_LOOKED_AT, *foot(found.invented)],
        lead=[found.read.line()] if found.read else (),
        title=f"{found.cars:,} cars behind {', '.join(found.coaches[:3])}",
        picture=lambda: _picture(found),
    )


def _picture(found: Summary) -> tuple[bytes, str] | None:
    if importlib.util.find_spec("matplotlib") is None:
        return None
    caption = "The same verdicts as bars; the table below has the numbers."
    return rendered(verdict_figure(found.document(), caution=False), "svg"), caption


def _sections(found: Summary, units: str) -> Iterator[Section]:
    """For each coach, or for all where they are many, then for the reference."""
    many = len(found.coaches) > QUESTIONS_UP_TO
    if many:
        yield _fleet(found, units)
    for coach in () if many else found.coaches:
        yield _verdicts(found, coach)
        yield _governing(found, coach)
        yield _raised(found, coach, units)
        yield _questions(found, coach)
    rows = found.records("gaps")
    cells = to_the_right([gap_cells(row) for row in rows[:GAPS_SHOWN]], [0])
    line = "What the reference lacks, and how many cars wait for it"
    more = ["More with: towdb gaps"] if len(rows) > GAPS_SHOWN else []
    yield Section(line if rows else f"{line}: nothing", GAP_COLUMNS, cells, more)


def _of(found: Summary, table: str, coach: str) -> list[Record]:
    columns, rows = found.tables[table]
    at = columns.index("coach")
    return [dict(zip(columns, row, strict=True)) for row in rows if row[at] == coach]


def _fleet(found: Summary, units: str) -> Section:
    """One row a coach, where there are too many to show each."""
    whole = [row for row in found.records("verdicts") if row["scope"] == "all"]
    raised: dict[str, list[Record]] = {}
    for row in found.records("raised"):
        if row["scope"] == "all":
            raised.setdefault(row["coach"], []).append(row)
    cells = [
        [row["coach"], percent(row["suitable"] / row["cars"])]
        + [f"{row[verdict]:,}" for verdict in sentences.VERDICTS]
        + [f"{higher['adds']:,}" for higher in raised.get(row["coach"], [])]
        for row in whole[:GROUPS_SHOWN]
    ]
    below = [
        *_rest(len(whole), GROUPS_SHOWN),
        f"What decides, and what to find out, is shown for up to {QUESTIONS_UP_TO} coaches",
    ]
    steps = next(iter(raised.values()), [])
    more = [f"{_pounds(step['raised_lb'], units)} more adds" for step in steps]
    columns = ("coach", "share", *sentences.VERDICTS.values(), *more)
    return Section(
        f"{found.cars:,} cars behind {len(found.coaches):,} coaches",
        columns,
        to_the_right(cells, range(1, len(columns))),
        below,
    )


def _verdicts(found: Summary, coach: str) -> Section:
    rows = _of(found, "verdicts", coach)
    cells = [
        [group_name(row, found.by), f"{row['cars']:,}"]
        + [
            text
            for verdict in sentences.VERDICTS
            for text in (f"{row[verdict]:,}", percent(row[verdict] / row["cars"]))
        ]
        for row in rows[:GROUPS_SHOWN]
    ]
    columns = [" · ".join(found.by) or "cars", "number"]
    for label in sentences.VERDICTS.values():
        columns += [label, ""]
    return Section(
        f"{found.cars:,} cars behind {coach}",
        tuple(columns),
        to_the_right(cells, range(1, 8)),
        _rest(len(rows), GROUPS_SHOWN),
    )


def _pounds(pounds: float, units: str) -> str:
    return f"{shown_mass(pounds, units, 1)} {units}"


def _governing(found: Summary, coach: str) -> Section:
    cells = [
        [
            f"{row['cars']:,}",
            sentences.VERDICTS[row["verdict"]],
            sentences.CHECKS[row["governing_check"]],
            sentences.reason_text(row["governing_check"], row["reason"]),
        ]
        for row in _of(found, "governing", coach)
    ]
    columns = ("cars", "verdict", "decided by", "why")
    return Section("What decides", columns, to_the_right(cells, [0]))


def _raised(found: Summary, coach: str, units: str) -> Section:
    cells = [
        [
            _pounds(row["raised_lb"], units),
            f"{row['adds']:,}",
            *(f"{row[verdict]:,}" for verdict in sentences.VERDICTS),
        ]
        for row in _of(found, "raised", coach)
        if row["scope"] == "all"
    ]
    columns = ("higher by", "adds suitable", *sentences.VERDICTS.values())
    line = f"What a higher rating would add: {RAISED_NOTE}"
    return Section(line, columns, to_the_right(cells, range(5)))


def _questions(found: Summary, coach: str) -> Section:
    rows = _of(found, "questions", coach)
    cells = [
        [
            f"{row['cars']:,}",
            f"{row['settled']:,}",
            f"{row['made_suitable']:,}",
            _question_text(row),
            row["where"],
        ]
        for row in rows[:QUESTIONS_SHOWN]
    ]
    columns = ("concerns cars", "may settle", "may make suitable", "what to find out", "where")
    line = "What is still to find out, what settles most cars first"
    below = _rest(len(rows), QUESTIONS_SHOWN)
    open_cars = sum(
        row["undetermined"] for row in found.records("verdicts") if row["scope"] == "all"
    )
    if found.asked_about != open_cars:
        below.append(f"Questions cover {found.asked_about:,} of {open_cars:,}: the commonest cars")
    return Section(
        line if rows else f"{line}: nothing", columns, to_the_right(cells, range(3)), below
    )


def _question_text(row: Record) -> str:
    first = None if row["settled"] else sentences.ASK_FIRST.get(row["about"])
    return first or sentences.about_text(row["about"])


def _rest(rows: int, shown: int) -> list[str]:
    return [f"{rows - shown:,} more rows with -o FILE.json"] if rows > shown else []
