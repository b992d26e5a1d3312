"""Issued answers: kept with all that they rest on, replayed, and compared with today."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import func, insert, select

from towdb.errors import DataError, UsageError
from towdb.record.export import change_of_release
from towdb.record.store.record import Record
from towdb.record.store.tables import metadata
from towdb.reference.query import open as open_reference
from towdb.reference.release import build_tables
from towdb.screening.document import document
from towdb.screening.screen_again import inputs, screen_again
from towdb.screening.screening import Screening
from towdb.version import __version__
from towdb.wording import sentences

Answer = dict[str, Any]
At = tuple[str, str]


@dataclass(frozen=True)
class Issued:
    """An answer that was issued: when, by whom, to whom, with which release, and the result."""

    number: int
    at: str
    who: str
    issued_to: str
    release_id: str
    towdb_version: str
    on_date: str
    inputs: dict[str, Any]
    result: Answer
    result_sha256: str


@dataclass(frozen=True)
class Turn:
    """A car behind a coach whose answer is different now."""

    candidate: str
    coach: str
    before: str | None
    after: str | None
    why: tuple[str, ...]


@dataclass(frozen=True)
class Replay:
    """An answer replayed: with the release of that day, and with the record of today."""

    issued: Issued
    is_same: bool
    again: Answer
    today: Answer

    @property
    def turns(self) -> list[Turn]:
        """The cars whose answer is different today."""
        return list(turns(self.issued.result, self.today))


def issue(record: Record, screening: Screening, *, who: str, issued_to: str) -> Issued:
    """Keep the answer of a screening as issued to somebody.

    Parameters
    ----------
    record : Record
        The record from which the screening's release was built.
    screening : Screening
        The answer.
    who, issued_to : str
        Who issued it, and to whom.

    Raises
    ------
    UsageError
        If the release was not built from this record, so that the answer could not be replayed, or
        was changed after it was built.
    """
    if not issued_to.strip():
        raise UsageError("the customer is not named; add --issue-to NAME")
    if change_of_release(record, screening.release_id) is None:
        raise UsageError(
            f"release {screening.release_id[:12]} was not built from {record.name};"
            " build one with: towdb record release"
        )
    # A kept answer must rest on the rows that the record has under this release id.
    screening.require_unaltered()
    result = document(screening)
    table = metadata().tables["issued"]
    with record.changing(who, "answer") as changing:
        number = (changing.con.scalar(select(func.max(table.c.number))) or 0) + 1
        row = {
            "number": number, "at": changing.change.at, "who": changing.change.who,
            "issued_to": " ".join(issued_to.split()), "release_id": screening.release_id,
            "towdb_version": __version__, "on_date": screening.on.isoformat(),
            "inputs": _text(inputs(screening)), "result": _text(result),
            "result_sha256": digest(result),
        }  # fmt: skip
        changing.con.execute(insert(table), [row])
    return _read(row)


def answers(record: Record) -> list[Issued]:
    """All issued answers, in order."""
    table = metadata().tables["issued"]
    with record.reading() as con:
        rows = con.execute(select(table).order_by(table.c.number)).mappings()
        return [_read(dict(row)) for row in rows]


def find_answer(record: Record, number: int) -> Issued:
    """One answer.

    Raises
    ------
    UsageError
        If there is no answer with that number.
    """
    found = answers(record)
    for issued in found:
        if issued.number == number:
            return issued
    known = f"1 to {found[-1].number}" if found else "none yet"
    raise UsageError(f"answer {number}: is not on record; known answers: {known}")


def replay(record: Record, number: int, folder: str | os.PathLike[str]) -> Replay:
    """Replay an answer, with the release of that day and with the record of today.

    Parameters
    ----------
    record : Record
        The record.
    number : int
        The answer.
    folder : path
        A folder for the two releases that are built.

    Raises
    ------
    UsageError
        If there is no such answer.
    DataError
        If the record no longer gives the release that the answer rests on.
    """
    issued = find_answer(record, number)
    _require_unaltered(record, issued)
    change = change_of_release(record, issued.release_id)
    then, now = Path(folder) / "then.duckdb", Path(folder) / "today.duckdb"
    built = build_tables(record.tables(change), record.name, then)
    if built.release_id != issued.release_id:
        raise DataError(
            f"{record.name}: as of change {change} it gives release {built.release_id[:12]}, the"
            f" answer rests on {issued.release_id[:12]}: the record was altered; restore a copy"
        )
    build_tables(record.tables(), record.name, now)
    again, today = (_answer(issued, path) for path in (then, now))
    return Replay(issued, digest(again) == issued.result_sha256, again, today)


def affected(
    record: Record, after: str | os.PathLike[str], before: str | os.PathLike[str] | None = None
) -> Iterator[tuple[Issued, list[Turn]]]:
    """The answers that a release changes: which customers to call.

    Parameters
    ----------
    record : Record
        The record.
    after : path
        The release.
    before : path, optional
        A release to compare with instead of the issued answers.

    Raises
    ------
    DataError
        If an answer was altered, or a file is not a release.
    """
    for path in (before, after):
        if path is not None:
            open_reference(path).close()
    for issued in answers(record):
        _require_unaltered(record, issued)
        old_answer = issued.result if before is None else _answer(issued, before)
        found = list(turns(old_answer, _answer(issued, after)))
        if found:
            yield issued, found


def _require_unaltered(record: Record, issued: Issued) -> None:
    if digest(issued.result) != issued.result_sha256:
        raise DataError(
            f"{record.name}: answer {issued.number} was altered after it was issued;"
            " restore a copy of the record"
        )


def turns(before: Answer, after: Answer) -> Iterator[Turn]:
    """Where two answers on the same cars and coaches differ, and why."""
    one, other = _by_pair(before), _by_pair(after)
    for at in dict.fromkeys([*one, *other]):
        was, becomes = one.get(at), other.get(at)
        if was != becomes:
            yield Turn(
                *at,
                was["verdict"] if was else None,
                becomes["verdict"] if becomes else None,
                tuple(_why(was, becomes)),
            )


def _why(was: Answer | None, becomes: Answer | None) -> Iterator[str]:
    if was is None or becomes is None:
        return
    # Checks are in the order in which they decide; what follows from the first is not news.
    for check, reason in was["checks"].items():
        now = becomes["checks"].get(check)
        if reason != now:
            yield (
                f"{sentences.CHECKS[check]}: {sentences.reason_text(check, reason)},"
                f" now: {sentences.reason_text(check, now)}"
            )
            break
    if was["conditions"] != becomes["conditions"]:
        yield "what it takes has changed"


def _by_pair(answer: Answer) -> dict[At, Answer]:
    return {
        (candidate["candidate"], screening["coach"]["coach"]): {
            "verdict": candidate["verdict"],
            "checks": {check["check"]: check["reason"] for check in candidate["checks"]},
            "conditions": [
                (c["kind"], c["depends_on"], c["text"]) for c in candidate["conditions"]
            ],
        }
        for screening in answer["screenings"]
        for candidate in screening["candidates"]
    }


def _answer(issued: Issued, release: str | os.PathLike[str]) -> Answer:
    with screen_again(issued.inputs, release) as screening:
        return json.loads(_text(document(screening)))  # type: ignore[no-any-return]


def digest(answer: Mapping[str, Any]) -> str:
    """A hash of an answer, whichever version of towdb gave it."""
    fields = {name: value for name, value in answer.items() if name != "towdb_version"}
    return hashlib.sha256(_text(fields).encode()).hexdigest()


def _text(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, sort_keys=True, default=_plain)


def _plain(value: object) -> object:
    return float(str(value))


def _read(row: Mapping[str, Any]) -> Issued:
    documents = {name: json.loads(row[name]) for name in ("inputs", "result")}
    return Issued(**{**row, **documents})
