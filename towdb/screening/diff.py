"""`diff`: two releases compared, and the verdicts that differ."""

from __future__ import annotations

import datetime
import os
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from towdb.contract.model import contract
from towdb.contract.typed import read_date
from towdb.errors import UsageError
from towdb.intake.coaches import Coach, CoachLike
from towdb.reference.differences import COLUMNS, differences
from towdb.reference.query import open
from towdb.reference.relations import view_sql
from towdb.screening.screen import screen
from towdb.screening.screening import Screening
from towdb.wording import sentences

if TYPE_CHECKING:
    import pandas as pd

Record = dict[str, Any]
At = tuple[str, str]
_TAKEN = ("towing_limit", "procedure_step", "fuse_pull")
VERDICT_COLUMNS = ("candidate", "coach", "before", "after", "why", "rows")


@dataclass(frozen=True)
class Diff:
    """What differs between two releases.

    Attributes
    ----------
    release_ids : tuple of str
        The release before, and the one after.
    invented : bool
        Whether either has invented rows.
    records : list of dict
        Rows added, removed and changed, one entry a changed field.
    verdict_records : list of dict
        Where a shortlist was given: verdicts and conditions that differ, and why.
    """

    release_ids: tuple[str, str]
    invented: bool
    records: list[Record]
    verdict_records: list[Record] = field(default_factory=list)

    def document(self) -> Record:
        """All of it for JSON."""
        return {
            "before": self.release_ids[0],
            "after": self.release_ids[1],
            "invented": self.invented,
            "rows": self.records,
            "verdicts": self.verdict_records,
        }

    @property
    def rows(self) -> pd.DataFrame:
        """`records` as a DataFrame: table, key, change, column, before, after."""
        import pandas as pd

        return pd.DataFrame(self.records, columns=list(COLUMNS))

    @property
    def verdicts(self) -> pd.DataFrame:
        """`verdict_records` as a DataFrame: candidate, coach, before, after, why, rows."""
        import pandas as pd

        return pd.DataFrame(self.verdict_records, columns=list(VERDICT_COLUMNS))


def diff(
    before: str | os.PathLike[str],
    after: str | os.PathLike[str],
    *,
    shortlist: Any = None,
    coach: CoachLike | Iterable[CoachLike] | None = None,
    on: datetime.date | str | None = None,
) -> Diff:
    """Compare two releases, and their answers for the cars of a shortlist.

    Parameters
    ----------
    before, after : path
        The releases.
    shortlist : path, DataFrame or Arrow table, optional
        Cars to screen by both.
    coach : path, Coach, coach_id, or several of these, optional
        The coaches; given with a shortlist.
    on : date or str, optional
        Date for withdrawals and effective dates, for both; today by default.

    Returns
    -------
    Diff

    Raises
    ------
    UsageError
        If a release, the shortlist or a coach cannot be used, or a release was changed after it
        was built.
    """
    if (shortlist is None) != (coach is None):
        raise UsageError("name a shortlist and a coach, or neither")
    with open(before) as one, open(after) as other:
        records = differences(one, other)
        ids, invented = (one.release_id, other.release_id), one.invented or other.invented
        if shortlist is None or coach is None:
            return Diff(ids, invented, records)
        date = read_date(on)
        coaches = [coach] if isinstance(coach, (str, Path, Coach)) else list(coach)
        with (
            screen(shortlist, coach=coaches, reference=one, on=date) as old,
            screen(shortlist, coach=coaches, reference=other, on=date) as new,
        ):
            return Diff(ids, invented, records, list(_verdicts(old, new, records)))


def _verdicts(old: Screening, new: Screening, records: list[Record]) -> Iterator[Record]:
    touched = {(record["table"], record["key"]) for record in records}
    sides = [_Side(old), _Side(new)]
    # The columns that these share are the page, and who entered and checked the row.
    page = set.intersection(*(set(contract().tables[name].columns) for name in _TAKEN))
    reworded = {(r["table"], r["key"]) for r in records if r["column"] not in page}
    for at, verdict in sides[0].verdicts.items():
        why = [
            f"{sentences.CHECKS[check]}: {sentences.reason_text(check, one)},"
            f" now: {sentences.reason_text(check, other)}"
            for check, one in sides[0].reasons[at].items()
            if (other := sides[1].reasons[at][check]) != one
        ]
        takes = sides[0].takes[at] | sides[1].takes[at]
        if sides[0].conditions[at] != sides[1].conditions[at] or takes & reworded:
            why.append("what it takes has changed")
        if why or verdict != sides[1].verdicts[at]:
            rows = sorted((sides[0].cited[at] | sides[1].cited[at]) & touched)
            yield {
                "candidate": at[0],
                "coach": at[1],
                "before": verdict,
                "after": sides[1].verdicts[at],
                "why": why,
                "rows": [f"{table} {key}" for table, key in rows],
            }


class _Side:
    """The answers of a screening, by candidate and coach."""

    def __init__(self, screening: Screening) -> None:
        verdicts = screening.records("verdict")
        self.verdicts = {(v["candidate"], v["coach"]): v["verdict"] for v in verdicts}
        self.reasons: defaultdict[At, dict[str, str]] = defaultdict(dict)
        for check in screening.records("check_outcome"):
            self.reasons[check["candidate"], check["coach"]][check["check"]] = check["reason"]
        self.conditions: defaultdict[At, list[tuple[Any, ...]]] = defaultdict(list)
        self.takes: defaultdict[At, set[tuple[str, str]]] = defaultdict(set)
        for c in screening.records("condition"):
            condition = (c["kind"], c["alternative_no"], c["depends_on"], c["text"])
            self.conditions[c["candidate"], c["coach"]].append(condition)
            if c["table"] in _TAKEN:
                self.takes[c["candidate"], c["coach"]].add((c["table"], c["key"]))
        self.cited: defaultdict[At, set[tuple[str, str]]] = defaultdict(set)
        for cited in screening.records("citation"):
            self.cited[cited["candidate"], cited["coach"]].add((cited["table"], cited["key"]))
        behind = _behind(screening)
        for at, rows in self.cited.items():
            self.cited[at] = rows.union(*(behind.get(row, ()) for row in rows))


def _behind(screening: Screening) -> dict[tuple[str, str], set[tuple[str, str]]]:
    answer = screening.ask(view_sql("show/behind"))
    found: defaultdict[tuple[str, str], set[tuple[str, str]]] = defaultdict(set)
    for table, key, other, other_key in answer.rows:
        found[table, key].add((other, other_key))
    return found
