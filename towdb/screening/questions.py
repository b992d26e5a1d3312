"""What is still to find out: questions, and what each answer would make of the verdict.

There is no second logic: every answer is typed into a copy of the car's row, and the copies are
screened like any other car.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import duckdb

from towdb.screening import words
from towdb.screening.candidates import Typed, load_rows
from towdb.screening.facts import insert
from towdb.screening.openings import TOGETHER, Opening, Reply, openings

Load = Callable[[duckdb.DuckDBPyConnection], Typed]
Rescreen = Callable[[Load], duckdb.DuckDBPyConnection]


@dataclass(frozen=True)
class Answer:
    """An answer, the verdict that it would bring, and what would be asked next."""

    value: str | None
    verdict: str | None
    then_ask: str | None


@dataclass(frozen=True)
class Question:
    """One question about a car behind a coach, the most decisive first."""

    candidate_no: int
    coach_no: int
    about: str
    because: str
    where: str
    answers: tuple[Answer, ...]

    @property
    def is_decisive(self) -> bool:
        """Whether one of the answers would make the car suitable."""
        return any(answer.verdict == "suitable" for answer in self.answers)


def questions(con: duckdb.DuckDBPyConnection, rescreen: Rescreen) -> list[Question]:
    """The questions of every undetermined car of a screening.

    Parameters
    ----------
    con : DuckDBPyConnection
        The screening's.
    rescreen : callable
        Screens other candidates against the same coaches, by the same release, date and policy.

    Returns
    -------
    list of Question
        By candidate and coach; the most decisive first.
    """
    open_ones = openings(con)
    copies = [(opening, reply) for opening in open_ones for reply in opening.replies]
    verdicts, next_asked = _answered(con, copies, rescreen)
    con.execute("SELECT candidate_no, coach_no FROM decision WHERE verdict = 'undetermined'")
    asked = set(con.fetchall())
    coaches = sorted({coach for _, coach in asked})
    numbers = {id(copy[1]): number for number, copy in enumerate(copies, start=1)}
    found: list[Question] = []
    for opening in open_ones:
        for coach in coaches if opening.coach_no is None else [opening.coach_no]:
            if (opening.candidate_no, coach) in asked:
                answers = tuple(
                    Answer(reply.value, verdicts[at], next_asked.get(at))
                    for reply in opening.replies
                    for at in [(numbers[id(reply)], coach)]
                )
                where = words.WHERE.get(opening.about, "")
                found.append(
                    Question(opening.candidate_no, coach, opening.about, opening.because, where,
                             answers)
                )  # fmt: skip
    return list(_ranked(found))


def enter_questions(con: duckdb.DuckDBPyConnection, rescreen: Rescreen) -> None:
    """Create ``asked_question``: the questions of a screening, one row an answer."""
    columns = {
        "candidate_no": "INTEGER", "coach_no": "INTEGER", "position": "INTEGER",
        "about": "VARCHAR", "because": "VARCHAR", "where": "VARCHAR", "answer_no": "INTEGER",
        "answer": "VARCHAR", "verdict": "VARCHAR", "then_ask": "VARCHAR",
    }  # fmt: skip
    body = ", ".join(f'"{name}" {kind}' for name, kind in columns.items())
    con.execute(f"CREATE TEMP TABLE asked_question ({body})")
    positions: Counter[At] = Counter()
    rows = []
    for q in questions(con, rescreen):
        positions[q.candidate_no, q.coach_no] += 1
        position = positions[q.candidate_no, q.coach_no]
        for number, answer in enumerate(q.answers or (Answer(None, None, None),), start=1):
            rows.append(
                (q.candidate_no, q.coach_no, position, q.about, q.because, q.where, number,
                 answer.value, answer.verdict, answer.then_ask)
            )  # fmt: skip
    insert(con, "asked_question", list(columns.values()), rows)


def _ranked(found: Sequence[Question]) -> Iterator[Question]:
    """The most decisive first; all conditions together only where no single answer is enough."""
    settled = {(q.candidate_no, q.coach_no) for q in found if q.is_decisive and q.about != TOGETHER}
    kept = []
    for q in found:
        if q.about != TOGETHER:
            kept.append(q)
        elif q.is_decisive and (q.candidate_no, q.coach_no) not in settled:
            suitable = tuple(answer for answer in q.answers if answer.verdict == "suitable")
            kept.append(replace(q, answers=suitable))
    # Sorting keeps the order of what is alike: that in which openings are looked for.
    yield from sorted(kept, key=lambda q: (q.coach_no, q.candidate_no, not q.is_decisive))


At = tuple[int, int]


def _answered(
    con: duckdb.DuckDBPyConnection, copies: Sequence[tuple[Opening, Reply]], rescreen: Rescreen
) -> tuple[dict[At, str], dict[At, str]]:
    """For each copy (numbered from 1) and coach: its verdict, and what would be asked next."""
    if not copies:
        return {}, {}
    columns, rows = _edited(con, copies)
    other = rescreen(lambda fresh: load_rows(fresh, "answers", columns, rows))
    try:
        other.execute("SELECT candidate_no, coach_no, verdict FROM decision")
        verdicts = {(car, coach): verdict for car, coach, verdict in other.fetchall()}
        next_asked: dict[At, str] = {}
        coaches = {coach for _, coach in verdicts}
        for opening in openings(other):
            for coach in coaches if opening.coach_no is None else [opening.coach_no]:
                at = (opening.candidate_no, coach)
                if verdicts[at] == "undetermined":
                    next_asked.setdefault(at, opening.about)
        return verdicts, next_asked
    finally:
        other.close()


def _edited(
    con: duckdb.DuckDBPyConnection, copies: Sequence[tuple[Opening, Reply]]
) -> tuple[list[str], list[list[str | None]]]:
    """Copies of the cars' rows with the answers typed in."""
    con.execute("SELECT * FROM typed")
    there = [column[0] for column in con.description or ()][1:]
    wanted = {opening.candidate_no for opening, _ in copies}
    typed: dict[int, dict[str, Any]] = {}
    while batch := con.fetchmany(10_000):
        for number, *cells in batch:
            if number in wanted:
                typed[number] = dict(zip(there, cells, strict=True))
    edits = (name for _, reply in copies for name in reply.cells)
    columns = list(dict.fromkeys(["candidate", *there, *edits]))
    rows = []
    for number, (opening, reply) in enumerate(copies, start=1):
        edited = typed[opening.candidate_no] | reply.cells | {"candidate": str(number)}
        rows.append([edited.get(column) for column in columns])
    return columns, rows
