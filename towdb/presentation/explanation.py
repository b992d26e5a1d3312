"""Every check of every car with value, limit, margin and page, then conditions and questions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import groupby
from typing import Any

from towdb.presentation.procedure import page_of, procedure_lines
from towdb.presentation.verdicts import ANSWERS_SHOWN, QUESTIONS_SHOWN, check_of, not_shown_here
from towdb.verdict_checks import Check
from towdb.wording import sentences

Record = dict[str, Any]


def explanation_lines(screening: Record, units: str) -> Iterator[str]:
    """Every check of every car with value, limit, margin and page, then every condition."""
    for candidate in screening["candidates"]:
        yield ""
        yield f"{candidate['candidate']}: {sentences.VERDICTS[candidate['verdict']]}"
        for check in map(Check.of, candidate["checks"]):
            yield from _check_lines(check, units)
        yield from _condition_lines(candidate, units)
        yield from _question_lines(candidate["questions"], units)


def _condition_lines(candidate: Record, units: str) -> Iterator[str]:
    """What each statement requires, a line each, in printed order; then what the coach requires."""
    pages = {page["key"]: page for page in _procedure_pages(candidate)}
    is_first = True
    for eligibility_id, of_one in groupby(
        candidate["conditions"], key=lambda condition: condition["eligibility_id"]
    ):
        conditions = list(of_one)
        page = pages.get(eligibility_id)
        if page is None:
            for condition in conditions:
                yield f"  what the coach requires: {sentences.condition_text(condition, units)}"
                yield from (f"      {page_of(citation)}" for citation in condition["citations"])
            continue
        which = conditions[0]["depends_on"] or ("" if is_first else sentences.SAME_ON_ANOTHER_PAGE)
        yield f"  what it takes{f' ({which})' if which else ''}: {page_of(page)}"
        yield from procedure_lines(conditions, units, page["title"])
        is_first = False


def _procedure_pages(candidate: Record) -> list[Mapping[str, Any]]:
    check = check_of(candidate, "procedure")
    return [c for c in check.citations if c["table"] == "eligibility"]


def _check_lines(check: Check, units: str) -> Iterator[str]:
    outcome = check.outcome.replace("_", " ")
    figures = ""
    if check.margin_lb is not None:
        value = check.mass("value", units, up=True)
        limit, margin = (check.mass(name, units) for name in ("limit", "margin"))
        spare = "over" if margin.startswith("-") else "to spare"
        figures = f": {value} of {limit}, {margin.removeprefix('-')} {spare}"
    yield f"  {sentences.CHECKS[check.check]}: {outcome}: {check.explanation}{figures}"
    for citation in check.citations:
        quote = f': "{citation["quote"]}"' if citation["quote"] else ""
        yield f"      {page_of(citation)}{quote}"


def _question_lines(questions: list[Record], units: str) -> Iterator[str]:
    if questions:
        yield "  to find out, the most decisive first:"
    for question in questions[:QUESTIONS_SHOWN]:
        about = sentences.about_text(question["about"])
        yield f"    {about}: {question['because']} ({question['where']})"
        answers = question["answers"]
        for answer in answers[:ANSWERS_SHOWN]:
            then = answer["then_ask"]
            next_question = f"; then find out: {sentences.about_text(then)}" if then else ""
            text = sentences.answer_text(answer, units)
            yield f"      {text}: {sentences.VERDICTS[answer['verdict']]}{next_question}"
        if len(answers) > ANSWERS_SHOWN:
            yield f"      {not_shown_here(len(answers) - ANSWERS_SHOWN)}"
    if len(questions) > QUESTIONS_SHOWN:
        yield f"    {not_shown_here(len(questions) - QUESTIONS_SHOWN)}"
