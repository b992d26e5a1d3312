"""What is open about each undetermined car, and what could be typed to settle it."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import duckdb

from towdb.contract.model import contract
from towdb.screening import words
from towdb.screening.engine import relation_sql
from towdb.screening.facts import pounds_down

ANOTHER, TOGETHER = "(another)", "all_together"
# Numbers of checks, in the order in which they govern.
PROCEDURE, RECEIVER, LAST = 2, 3, 9


@dataclass(frozen=True)
class Reply:
    """One answer to a question: how it reads, and what it would write into the car's row."""

    value: str
    cells: dict[str, str]


@dataclass(frozen=True)
class Opening:
    """One thing that is open about a car (behind one coach, where only that coach asks)."""

    candidate_no: int
    coach_no: int | None
    about: str
    because: str
    replies: tuple[Reply, ...]
    check_no: int = 1


def openings(con: duckdb.DuckDBPyConnection) -> list[Opening]:
    """What is open about every undetermined car of a screening, in the order in which to ask."""
    return _Openings(con).all()


class _Openings:
    def __init__(self, con: duckdb.DuckDBPyConnection) -> None:
        self.con = con
        con.execute(
            "SELECT DISTINCT n.configuration_no, n.candidate_no FROM candidate AS n"
            " JOIN decision AS d ON d.candidate_no = n.candidate_no"
            " WHERE d.verdict = 'undetermined' ORDER BY ALL"
        )
        self.cars: dict[int, list[int]] = {}
        for configuration, candidate in con.fetchall():
            self.cars.setdefault(configuration, []).append(candidate)
        con.execute("SELECT * FROM typed")
        names = [column[0] for column in con.description or ()]
        asked = {number for numbers in self.cars.values() for number in numbers}
        self.rows: dict[int, dict[str, Any]] = {}
        while batch := con.fetchmany(10_000):
            for row in batch:
                cells = dict(zip(names, row, strict=True))
                if cells["candidate_no"] in asked:
                    self.rows[cells["candidate_no"]] = cells

    def all(self) -> list[Opening]:
        of_the_car = [
            *self.words(),
            *self.years(),
            *self.builds(),
            *self.options(),
            *self.conditions(),
        ]
        found = [*of_the_car, *self.procedures(), *self.weights()]
        found += self.elsewhere({opening.candidate_no for opening in of_the_car}, found)
        found += self.together()
        return sorted(found, key=lambda opening: opening.check_no)

    def by_car(self, name: str) -> Iterator[tuple[int, list[tuple[Any, ...]]]]:
        """The rows of a relation, for each undetermined car."""
        found: dict[int, list[tuple[Any, ...]]] = {}
        for configuration, *rest in self.con.execute(relation_sql(f"ask/{name}")).fetchall():
            found.setdefault(configuration, []).append(tuple(rest))
        for configuration, rows in found.items():
            for candidate in self.cars.get(configuration, ()):
                yield candidate, rows

    def words(self) -> Iterator[Opening]:
        for car, rows in self.by_car("open_word"):
            for attribute in dict.fromkeys(row[0] for row in rows):
                named = [row[1] for row in rows if row[0] == attribute]
                said = next(row[2] for row in rows if row[0] == attribute)
                replies = [Reply(word, {attribute: word}) for word in named]
                other = _another(attribute, said, named)
                if other is not None:
                    replies.append(Reply(ANOTHER, {attribute: other}))
                yield Opening(car, None, attribute, words.ASKED["word"], tuple(replies))

    def years(self) -> Iterator[Opening]:
        for car, rows in self.by_car("open_year"):
            replies = tuple(Reply(str(year), {"model_year": str(year)}) for (year,) in rows)
            yield Opening(car, None, "model_year", words.ASKED["word"], replies)

    def builds(self) -> Iterator[Opening]:
        for car, rows in self.by_car("open_build"):
            replies = tuple(_span(first, following) for first, following in rows)
            yield Opening(car, None, "built_on", words.ASKED["word"], replies)

    def options(self) -> Iterator[Opening]:
        for car, rows in self.by_car("open_option"):
            typed = self.rows[car].get("options") or ""
            had = [] if typed.strip().lower() == "none" else [typed] if typed else []
            replies = [Reply(option, {"options": ", ".join([*had, option])}) for (option,) in rows]
            complete = {"options": typed or "none", "options_complete": "yes"}
            replies.append(Reply("(none of these)", complete))
            yield Opening(car, None, "options", words.ASKED["word"], tuple(replies))

    def conditions(self) -> Iterator[Opening]:
        for car, rows in self.by_car("open_condition"):
            confirmed = self.rows[car].get("confirmed") or ""
            for group, condition in rows:
                cells = {"confirmed": ", ".join(filter(None, (confirmed, group)))}
                because = words.ASKED["confirmed"].format(condition=condition)
                yield Opening(car, None, "confirmed", because, (Reply(group, cells),))

    def procedures(self) -> Iterator[Opening]:
        for car, rows in self.by_car("open_procedure"):
            replies = tuple(Reply(key, {"procedure": key}) for key, _ in rows)
            yield Opening(car, None, "procedure", words.ASKED["procedure"], replies, PROCEDURE)

    def weights(self) -> Iterator[Opening]:
        for car, coach, most in self.con.execute(relation_sql("ask/open_weight")).fetchall():
            if car in self.rows:
                because = words.ASKED["weight"]
                yield Opening(car, coach, "as_weighed", because, _threshold(most), RECEIVER)

    def together(self) -> Iterator[Opening]:
        """The cars that pages describe which may permit: all conditions of one in one answer."""
        told: dict[tuple[int, int], dict[str, str]] = {}
        rows = self.con.execute(relation_sql("ask/possible_cell")).fetchall()
        for configuration, group, attribute, answer in rows:
            told.setdefault((configuration, group), {})[attribute] = answer
        rows = self.con.execute(relation_sql("ask/possible_group")).fetchall()
        replies: dict[int, list[Reply]] = {}
        for configuration, group, *wanted in rows:
            for car in self.cars.get(configuration, ()):
                edits = told.get((configuration, group), {}) | self._edits(car, *wanted)
                if len(edits) > 1:
                    parts = (f"{name} {value}".replace("_", " ") for name, value in edits.items())
                    replies.setdefault(car, []).append(Reply("; ".join(parts), edits))
        for car, each in replies.items():
            yield Opening(car, None, TOGETHER, words.ASKED["together"], tuple(each), LAST)

    def _edits(
        self,
        car: int,
        group: str,
        year: int | None,
        built_on: datetime.date | None,
        options_with: str | None,
        options_without: str | None,
        has_further_condition: bool,
    ) -> dict[str, str]:
        row = self.rows[car]
        had = [o for o in (row.get("options") or "").split(",") if o.strip() not in ("", "none")]
        edits = {}
        if year is not None:
            edits["model_year"] = str(year)
        if built_on is not None:
            edits["built_on"] = str(built_on)
        if options_with or options_without:
            edits["options"] = (
                ", ".join([*had, *(options_with or "").split(",")]).strip(", ") or "none"
            )
        if options_without:
            edits["options_complete"] = "yes"
        if has_further_condition:
            edits["confirmed"] = ", ".join(filter(None, (row.get("confirmed"), group)))
        return edits

    def elsewhere(self, open_cars: set[int], known: list[Opening]) -> Iterator[Opening]:
        """What no answer about the car settles: the record, the maker, the scale, the labels."""
        asked = {(opening.candidate_no, opening.coach_no, opening.about) for opening in known}
        for row in self.con.execute(relation_sql("ask/open_check")).fetchall():
            car, coach, check_no, check, reason, car_is_weighed, coach_is_weighed = row
            if check == "permission" and reason in words.ASKED_OF_THE_CAR and car in open_cars:
                continue
            for about in words.ASKED_ELSEWHERE.get((check, reason), ()):
                if (about == "as_weighed" and car_is_weighed) or (
                    about == "loaded_weight" and coach_is_weighed
                ):
                    continue
                of_coach = coach if check_no >= RECEIVER and check != "towed_gross" else None
                at = (car, of_coach, about)
                if at not in asked:
                    asked.add(at)
                    yield Opening(*at, words.reason_text(check, reason), (), check_no)


def _another(attribute: str, said: str | None, named: list[str]) -> str | None:
    vocabulary = contract().candidate.field(attribute).vocabulary
    if vocabulary is None:
        return ANOTHER
    tree = contract().vocabularies[vocabulary]
    tops = [said] if said else [word.name for word in tree.words.values() if not word.broader]
    leaves = sorted(leaf for top in tops for leaf in tree.leaves(top))
    return next((leaf for leaf in leaves if leaf not in named), None)


def _span(first: datetime.date | None, following: datetime.date | None) -> Reply:
    day = datetime.timedelta(days=1)
    if first is None:
        assert following is not None
        return Reply(f"before {following}", {"built_on": str(following - day)})
    if following is None:
        return Reply(f"{first} or later", {"built_on": str(first)})
    return Reply(f"{first} to {following - day}", {"built_on": str(first)})


def _threshold(most_kg: Decimal) -> tuple[Reply, ...]:
    # Down to 0.1 lb: typed back it is met, and 0.1 lb more is not.
    most = pounds_down(most_kg)
    more = most + Decimal("0.1")
    return (
        Reply(f"{words.number(most)} lb or less", {"as_weighed": f"{most} lb"}),
        Reply("more", {"as_weighed": f"{more} lb"}),
    )
