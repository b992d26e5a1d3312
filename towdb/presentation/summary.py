"""A summary as lines and rows for a screen."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from towdb.contract.model import contract
from towdb.report.figures import percent, to_the_right
from towdb.screening.gaps import GAP_COLUMNS, gap_cells
from towdb.screening.summary import QUESTIONS_UP_TO, RAISED_SAID, Summary
from towdb.wording import sentences

# Shown of each table; the JSON document holds all.
GROUPS_SHOWN, QUESTIONS_SHOWN, GAPS_SHOWN = 60, 10, 10
NOT_SAID = "(not said)"
Record = dict[str, Any]
Table = tuple[str, tuple[str, ...], list[list[str]], list[str]]


def group_name(row: Record, by: tuple[str, ...]) -> str:
    """What a group is called."""
    if row["scope"] == "all":
        return "all cars"
    return " · ".join(_said(name, row[name]) for name in by)


def _said(attribute: str, value: Any) -> str:
    if value is None:
        return NOT_SAID
    is_word = contract().candidate.field(attribute).vocabulary is not None
    return str(value).replace("_", " ") if is_word else str(value)


def summary_tables(found: Summary, units: str) -> Iterator[Table]:
    """For each coach, or of all where they are many, then of the reference.

    Each is a line, columns, rows, and lines below.
    """
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
    yield line if rows else f"{line}: nothing", GAP_COLUMNS, cells, more


def _of(found: Summary, table: str, coach: str) -> list[Record]:
    columns, rows = found.tables[table]
    at = columns.index("coach")
    return [dict(zip(columns, row, strict=True)) for row in rows if row[at] == coach]


def _fleet(found: Summary, units: str) -> Table:
    """One row a coach, where they are too many to tell of each."""
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
        f"What decides, and what to find out, is told of up to {QUESTIONS_UP_TO} coaches",
    ]
    steps = next(iter(raised.values()), [])
    more = [f"{_pounds(step['raised_lb'], units)} more adds" for step in steps]
    columns = ("coach", "share", *sentences.VERDICTS.values(), *more)
    return (
        f"{found.cars:,} cars behind {len(found.coaches):,} coaches",
        columns,
        to_the_right(cells, range(1, len(columns))),
        below,
    )


def _verdicts(found: Summary, coach: str) -> Table:
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
    for said in sentences.VERDICTS.values():
        columns += [said, ""]
    return (
        f"{found.cars:,} cars behind {coach}",
        tuple(columns),
        to_the_right(cells, range(1, 8)),
        _rest(len(rows), GROUPS_SHOWN),
    )


def _pounds(pounds: float, units: str) -> str:
    factor = float(contract().units["lb"].factor) if units == "kg" else 1.0
    return f"{sentences.number(pounds * factor)} {units}"


def _governing(found: Summary, coach: str) -> Table:
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
    return "What decides", columns, to_the_right(cells, [0]), []


def _raised(found: Summary, coach: str, units: str) -> Table:
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
    line = f"What a higher rating would add: {RAISED_SAID}"
    return line, columns, to_the_right(cells, range(5)), []


def _questions(found: Summary, coach: str) -> Table:
    rows = _of(found, "questions", coach)
    cells = [
        [
            f"{row['cars']:,}",
            f"{row['settled']:,}",
            f"{row['made_suitable']:,}",
            _asked(row),
            row["where"],
        ]
        for row in rows[:QUESTIONS_SHOWN]
    ]
    columns = ("asked of cars", "may settle", "may make suitable", "what to find out", "where")
    line = "What is still to find out, what settles most cars first"
    below = _rest(len(rows), QUESTIONS_SHOWN)
    open_cars = sum(
        row["undetermined"] for row in found.records("verdicts") if row["scope"] == "all"
    )
    if found.asked_about != open_cars:
        below.append(f"Asked about {found.asked_about:,} of {open_cars:,}: the commonest cars")
    return line if rows else f"{line}: nothing", columns, to_the_right(cells, range(3)), below


def _asked(row: Record) -> str:
    first = None if row["settled"] else sentences.ASK_FIRST.get(row["about"])
    return first or sentences.about_text(row["about"])


def _rest(rows: int, shown: int) -> list[str]:
    return [f"{rows - shown:,} more rows with -o FILE.json"] if rows > shown else []


def stamp(found: Summary) -> str:
    """The date, the release and what was assumed."""
    assumed = ", ".join(f"{name} {word}" for name, word in found.assumed.items())
    return (
        f"On {found.on.isoformat()}, by release {found.release_id[:12]}"
        f"{f', assuming {assumed}' if assumed else ''}"
    )
