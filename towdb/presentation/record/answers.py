"""Issued answers, and those that a release changes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from towdb.record.answers import Issued, Replay, Turn
from towdb.report.answer import Answer, lines_answer, table_answer
from towdb.report.figures import counted
from towdb.wording import sentences

_GIVEN = ("answer", "at", "who", "issued_to", "on", "release", "towdb_version")
_TURN = ("candidate", "coach", "before", "after", "why")
_CALL = ("answer", "issued_to", "at", *_TURN)


def issued_line(issued: Issued) -> str:
    """That an answer was kept."""
    return f"Kept as answer {issued.number}, issued to {issued.issued_to}"


def answers_answer(given: Iterable[Issued]) -> Answer:
    """Issued answers, a row each."""
    return table_answer(
        _GIVEN,
        [
            (a.number, a.at, a.who, a.issued_to, a.on_date, a.release_id[:12], a.towdb_version)
            for a in given
        ],
    )


def replay_answer(replayed: Replay) -> Answer:
    """An answer replayed; JSON and CSV list the cars whose answer is different now."""
    return lines_answer(_replayed(replayed), lambda: (_TURN, _turn_rows(replayed.turns)))


def _replayed(replayed: Replay) -> Iterator[str]:
    told = replayed.issued
    yield (
        f"answer {told.number}, issued to {told.issued_to} by {told.who} on {told.at[:10]},"
        f" by release {told.release_id[:12]}"
    )
    same = "the same answer" if replayed.is_same else "a DIFFERENT answer"
    yield f"Replayed with this version, the release of that day gives {same}."
    lines = list(_turn_lines(replayed.turns))
    yield "Today it would be different for:" if lines else "Today it would be the same."
    yield from (f"  {line}" for line in lines)


def affected_answer(found: Sequence[tuple[Issued, Sequence[Turn]]]) -> Answer:
    """Whom to call, and about which cars."""
    rows = [
        (issued.number, issued.issued_to, issued.at[:10], *row)
        for issued, turns in found
        for row in _turn_rows(turns)
    ]
    return lines_answer(_calls(found), lambda: (_CALL, rows))


def _calls(found: Sequence[tuple[Issued, Sequence[Turn]]]) -> Iterator[str]:
    for issued, turns in found:
        yield f"answer {issued.number}, issued to {issued.issued_to} on {issued.at[:10]}"
        yield from (f"  {line}" for line in _turn_lines(turns))
    yield f"{counted(len(found), 'answer')} would be different today"


def _turn_lines(turns: Iterable[Turn]) -> Iterator[str]:
    """What is different now, a line a car."""
    for turn in turns:
        before, after = (
            sentences.VERDICTS.get(v or "", "nothing") for v in (turn.before, turn.after)
        )
        change = before if before == after else f"{before} -> {after}"
        yield f"{turn.candidate} behind {turn.coach}: {change} ({'; '.join(turn.why)})"


def _turn_rows(turns: Iterable[Turn]) -> list[tuple[object, ...]]:
    return [(t.candidate, t.coach, t.before, t.after, "; ".join(t.why)) for t in turns]
