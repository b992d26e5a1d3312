"""A screening as people and programs read it: the JSON document, and the rows of the screen."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from functools import cache
from operator import itemgetter
from typing import TYPE_CHECKING, Any

from towdb.errors import nearest
from towdb.reference.conditions import CITED, CONDITION
from towdb.verdict_checks import Check
from towdb.version import __version__
from towdb.wording import sentences

if TYPE_CHECKING:
    from towdb.screening.session import Session

Record = dict[str, Any]
_ANSWER = ("bound", "figure_lb", "figure_kg", "verdict", "then_ask")
_PAIR = ("candidate", "coach")
_FIND_OUT = ("about", "where", "cars", "settled", "made_suitable")


def document(session: Session) -> Record:
    """All of a screening as one document, in the order in which candidates and coaches came."""
    coaches, candidates = _Coaches(session), _Candidates(session)
    return {
        "towdb_version": __version__,
        "on": session.on.isoformat(),
        "reference": {"release_id": session.release_id, "invented": session.invented},
        "policy": {"weigh_by": session.policy.weigh_by},
        "assumed": session.assumed,
        "not_looked_at": sentences.NOT_LOOKED_AT,
        "set_aside": None
        if session.set_aside is None
        else {"file": str(session.set_aside.path), "rows": session.set_aside.rows},
        "read": None if session.read is None else session.read.record(),
        "screenings": [
            {
                "coach": coaches.coach(coach),
                "candidates": list(candidates.behind(coach["coach"])),
                "to_find_out": coaches.to_find_out(coach["coach"]),
            }
            for coach in session.records("capacity")
        ],
    }


class _Coaches:
    """The parts of every coach, by its short name; each output is read only once."""

    def __init__(self, session: Session) -> None:
        self.figures = _grouped(session.records("figures"), "coach")
        self.unused = _grouped(session.records("unused_figure"), "coach")
        self.lacks = _grouped(session.records("coach_lacks"), "coach")
        self.open = _grouped(session.records("to_find_out"), "coach")

    def coach(self, coach: Record) -> Record:
        name = coach["coach"]
        named = ("coach", "name", "capacity_lb", "capacity_at_most_lb", "governing_check",
                 "capacity_kg", "capacity_at_most_kg", "too_heavy", "too_heavy_by_lb",
                 "too_heavy_by_kg")  # fmt: skip
        return {
            **{key: coach[key] for key in named},
            "figures": [_figure(figure) for figure in self.figures[name]],
            "figures_not_used": [row["property"] for row in self.unused[name]],
            "lacks": [
                {"about": row["about"], "where": sentences.WHERE[row["about"]]}
                for row in self.lacks[name]
            ],
            "cautions": [
                text.format(name=coach["name"])
                for kind, text in sentences.COACH_CAUTIONS.items()
                if coach[kind]
            ],
        }

    def to_find_out(self, coach: str) -> list[Record]:
        return [{key: row[key] for key in _FIND_OUT} for row in self.open[coach]]


def _figure(figure: Record) -> Record:
    return {
        "property": figure["property"],
        "value_lb": figure["value_lb"],
        **({"word": "none_stated"} if figure["none_stated"] else {}),
        "read_from": figure["read_from"],
        "checked": figure["checked"],
    }


class _Candidates:
    """The parts of every candidate, by name and coach."""

    def __init__(self, session: Session) -> None:
        self.verdicts = _grouped(session.records("verdict"), "coach")
        self.checks = _grouped(session.records("check_outcome"), *_PAIR)
        self.conditions = _grouped(session.records("condition"), *_PAIR)
        self.citations = _grouped(session.records("citation"), *_PAIR)
        self.remarks = _grouped(session.records("remark"), "candidate")
        self.questions = _questions_of(session.records("question"))
        # A remark is worded again behind every coach.
        options = [option["option"] for option in session.records("options")]
        self.near = cache(lambda typed: nearest(typed, options))

    def behind(self, coach: str) -> Iterator[Record]:
        for verdict in self.verdicts[coach]:
            yield self.candidate(verdict)

    def candidate(self, verdict: Record) -> Record:
        at = (verdict["candidate"], verdict["coach"])
        remarks = self.remarks[verdict["candidate"]]
        copied = ("candidate", "verdict", "towed_weight_lb", "weight_basis", "governing_check",
                "margin_lb", "towed_weight_kg", "margin_kg")  # fmt: skip
        return {
            **{key: verdict[key] for key in copied},
            "checks": [self.check(at, check).document() for check in self.checks[at]],
            "conditions": [self.condition(at, condition) for condition in self.conditions[at]],
            "questions": self.questions[at],
            "remarks": [self.remark(r) for r in remarks if r["kind"] in sentences.REMARKS],
            "cautions": [
                sentences.CAUTIONS[r["kind"]] for r in remarks if r["kind"] in sentences.CAUTIONS
            ],
        }

    def check(self, at: tuple[str, str], check: Record) -> Check:
        cited = [
            {key: c[key] for key in CITED}
            for c in self.citations[at]
            if c["check"] == check["check"]
        ]
        return Check.of(check, cited)

    def condition(self, at: tuple[str, str], condition: Record) -> Record:
        return {
            **{key: condition[key] for key in CONDITION},
            "citations": [
                {key: c[key] for key in CITED}
                for c in self.citations[at]
                if c["condition"] == condition["kind"]
                and (c["table"], c["key"]) == (condition["table"], condition["key"])
            ],
        }

    def remark(self, record: Record) -> str:
        word = str(record["said"] or "")
        word = (
            sentences.METHODS.get(word)
            or sentences.PERMISSIONS.get(word)
            or word.replace("_", " ").replace(" | ", " or ")
        )
        if record["kind"].startswith("emergency") and record["said"] == "permitted":
            word = sentences.WITHIN_LIMITS.format(said=word)
        close = f"; did you mean {record['said']}?" if record["said"] else ""
        if record["kind"] == "misspelt_option":
            near = self.near(word)
            close = f"; did you mean {near}?" if near else ""
        text = sentences.REMARKS[record["kind"]].format(
            row_key=record["key"], said=word, close=close
        )
        return f"{text} ({record['title']}, {record['locator']})" if record["locator"] else text


def _questions_of(rows: Iterable[Record]) -> defaultdict[tuple[str, str], list[Record]]:
    """The questions by candidate and coach, each with its answers."""
    by_pair: defaultdict[tuple[str, str], list[Record]] = defaultdict(list)
    for row in rows:
        questions = by_pair[row["candidate"], row["coach"]]
        if row["position"] > len(questions):
            fields = {name: row[name] for name in ("about", "because", "where")}
            questions.append({**fields, "answers": []})
        if row["answer"] is not None:
            fields = {name: row[name] for name in _ANSWER}
            questions[-1]["answers"].append({"value": row["answer"], **fields})
    return by_pair


def _grouped(records: Iterable[Record], *names: str) -> defaultdict[Any, list[Record]]:
    """The records by one column, or by several as a tuple."""
    key, grouped = itemgetter(*names), defaultdict(list)
    for record in records:
        grouped[key(record)].append(record)
    return grouped
