"""What a coach can pull, and a row a car: its verdict, what it takes, or why not."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from towdb.verdict_checks import Check
from towdb.wording import sentences
from towdb.wording.procedure import requirements_in_short

Record = dict[str, Any]
# Entries shown of each list; the rest are counted.
PAGES_SHOWN, FIND_OUT_SHOWN, QUESTIONS_SHOWN, ANSWERS_SHOWN, REMARKS_SHOWN = 3, 5, 5, 6, 6
COLUMNS = ("car", "verdict", "weighs", "decided by", "what it takes, or why")


def coach_lines(screening: Record, units: str) -> Iterator[str]:
    """What the coach can pull at all."""
    coach = screening["coach"]
    if coach["too_heavy"]:
        what, rating = sentences.TOO_HEAVY[coach["too_heavy"]]
        over = sentences.mass(coach, "too_heavy_by", units, up=True)
        yield (
            f"{coach['name']} can pull nothing until it is lighter:"
            f" {what} weighs {over} more than its own {rating}"
        )
    elif coach["capacity_lb"] is not None and coach["capacity_lb"] <= 0:
        over = sentences.mass(coach, "capacity", units).removeprefix("-")
        check = sentences.CHECKS[coach["governing_check"]]
        yield f"{coach['name']} can pull nothing: loaded, it is {over} above its {check}"
    elif coach["capacity_lb"] is not None:
        able = sentences.mass(coach, "capacity", units)
        yield f"{coach['name']} can pull {able} ({sentences.CHECKS[coach['governing_check']]})"
    elif coach["capacity_at_most_lb"] is not None:
        able = sentences.mass(coach, "capacity_at_most", units)
        yield f"{coach['name']}: what it can pull is not known yet; at most {able}"
    else:
        yield f"{coach['name']}: what it can pull is not known, no rating is given"
    lacks = [f"{sentences.about_text(one['about'])} ({one['where']})" for one in coach["lacks"]]
    if lacks:
        yield f"  still to find out about the coach: {'; '.join(lacks)}"
    yield from (f"  {caution}" for caution in coach["cautions"])
    if coach["figures_not_used"]:
        unused = ", ".join(map(sentences.about_text, coach["figures_not_used"]))
        yield f"  {sentences.UNUSED_FIGURES.format(unused)}"


def table_rows(screening: Record, units: str) -> list[list[str]]:
    """One row a car, for the columns `COLUMNS`."""
    return [_row(candidate, units) for candidate in screening["candidates"]]


def _row(candidate: Record, units: str) -> list[str]:
    weighs = sentences.mass(candidate, "towed_weight", units, up=True) or "not known"
    basis = sentences.BASES.get(candidate["weight_basis"] or "", "")
    return [
        candidate["candidate"],
        sentences.VERDICTS[candidate["verdict"]],
        f"{weighs}\n{basis}".strip(),
        f"{sentences.CHECKS[candidate['governing_check']]}\n{to_spare(candidate, units)}".strip(),
        _why(candidate, units),
    ]


def question_in_short(question: Record, units: str) -> str:
    """What to find out first, and what would make the car suitable."""
    about = sentences.about_text(question["about"])
    settling = [
        sentences.answer_text(a, units) for a in question["answers"] if a["verdict"] == "suitable"
    ]
    if not settling and question["about"] == "confirmed":
        return f"Check whether this is true: {question['because'].partition(': ')[2]}"
    if not settling and question["about"] == "options":
        named = [sentences.answer_text(a, units) for a in question["answers"][:-1]]
        also = f" or {len(named) - ANSWERS_SHOWN:,} others" if len(named) > ANSWERS_SHOWN else ""
        shown = ", ".join(named[:ANSWERS_SHOWN])
        return f"Find out whether it has: {shown}{also} ({question['where']})"
    if not settling:
        return (
            sentences.ASK_FIRST.get(question["about"]) or f"Find out: {about} ({question['where']})"
        )
    if question["about"] == "all_together":
        others = len(settling) - 1
        also = f" (or {others} {'other' if others == 1 else 'others'})" if others else ""
        return f"Suitable if: {settling[0]}{also}"
    if question["about"] == "confirmed":
        # The id of the group means nothing to a buyer; the page's words do.
        return f"Suitable if this is true: {question['because'].partition(': ')[2]}"
    rest = len(settling) - ANSWERS_SHOWN
    more = f" or one of {rest:,} others" if rest > 0 else ""
    return f"Suitable if: {about} {' or '.join(settling[:ANSWERS_SHOWN])}{more}"


def find_out_lines(screening: Record) -> Iterator[str]:
    """Questions about several cars, those that settle most of them first."""
    shared = [row for row in screening["to_find_out"] if row["cars"] > 1]
    if shared:
        yield "What is still to find out about several cars:"
    for row in shared[:FIND_OUT_SHOWN]:
        question = sentences.ASK_FIRST.get(row["about"]) if not row["settled"] else None
        question = question or f"{sentences.about_text(row['about'])} ({row['where']})"
        settled = f", may settle {row['settled']:,}" if row["settled"] else ""
        made = f" and make {row['made_suitable']:,} suitable" if row["made_suitable"] else ""
        yield f"  {question}: {row['cars']:,} cars{settled}{made}"
    if len(shared) > FIND_OUT_SHOWN:
        yield f"  {not_shown_here(len(shared) - FIND_OUT_SHOWN)}"
    if shared:
        yield ""


def to_spare(candidate: Record, units: str) -> str:
    """The margin of the check that decides; empty where none does."""
    text = sentences.mass(candidate, "margin", units)
    if not text:
        return ""
    return f"{text.removeprefix('-')} {'over' if text.startswith('-') else 'to spare'}"


def _why(candidate: Record, units: str) -> str:
    if candidate["verdict"] == "suitable":
        return conditions_in_short(candidate["conditions"], units)
    questions = [question_in_short(question, units) for question in candidate["questions"][:1]]
    return "\n".join([_reason(candidate, units), *questions])


def reason_in_short(candidate: Record, units: str) -> str:
    """Why a car is not suitable, or what is open, by the check that decides."""
    check = governing_check(candidate)
    return check.explanation if check.margin_lb is None else _over(candidate, check, units)


def governing_check(candidate: Record) -> Check:
    """The check that decides, or that is open."""
    return check_of(candidate, candidate["governing_check"])


def check_of(candidate: Record, name: str) -> Check:
    """One check of a candidate."""
    return next(Check.of(check) for check in candidate["checks"] if check["check"] == name)


def _reason(candidate: Record, units: str) -> str:
    check, text = governing_check(candidate), reason_in_short(candidate, units)
    if check.reason == "weights_contradict":
        again = (
            q["because"]
            for q in candidate["questions"]
            if q["about"] in sentences.WEIGHINGS and q["because"] not in sentences.REASONS.values()
        )
        return ": ".join([text, *list(again)[:1]])
    if check.reason == "procedures_differ":
        return f"{text}: {conditions_in_short(candidate['conditions'], units)}"
    if check.check != "permission":
        return text
    pages = dict.fromkeys(
        f"{c['title']}, {c['locator']}" for c in check.citations if c["table"] == "eligibility"
    )
    rest = f" and {len(pages) - PAGES_SHOWN:,} more" if len(pages) > PAGES_SHOWN else ""
    return f"{text} ({'; '.join(list(pages)[:PAGES_SHOWN])}{rest})" if pages else text


def _over(candidate: Record, check: Check, units: str) -> str:
    """What is too heavy, and for what."""
    value, limit = check.mass("value", units, up=True), check.mass("limit", units)
    at_least = "" if candidate["weight_basis"] == "as_weighed" else "at least "
    match check.check:
        case "combination_rating":
            return f"car and loaded coach together {at_least}{value}; the GCWR is {limit}"
        case "coach_gross":
            if check.reason == "axle_over":
                return f"an axle of the coach weighs {value}; its GAWR is {limit}"
            return f"the coach alone weighs {value}; its GVWR is {limit}"
        case "towed_gross":
            return f"the car weighs {value}; its GVWR is {limit}"
    return f"the car weighs {at_least}{value}; {limit} is allowed"


def conditions_in_short(conditions: list[Record], units: str) -> str:
    """Limits in words, the rest counted, so that a row stays a row."""
    by_statement: dict[str, list[Record]] = {}
    for condition in conditions:
        worded = {**condition, "text": sentences.condition_text(condition, units)}
        by_statement.setdefault(condition["eligibility_id"] or "", []).append(worded)
    brakes = [c["text"] for c in by_statement.pop("", [])]
    texts = [_statement_in_short(listed) for listed in by_statement.values()]
    return "; ".join(["; or: ".join(dict.fromkeys(texts)), *brakes]).strip("; ")


def _statement_in_short(conditions: list[Record]) -> str:
    text = requirements_in_short(conditions)
    depends_on = conditions[0]["depends_on"]
    return f"{depends_on}: {text}" if depends_on else text


def remark_lines(screening: Record) -> Iterator[str]:
    """Cautions and remarks, car by car; one that concerns several cars is printed once."""
    cars: dict[str, list[str]] = {}
    for candidate in screening["candidates"]:
        cautions = [f"caution: {text}" for text in candidate["cautions"]]
        texts = [*dict.fromkeys([*cautions, *candidate["remarks"]])]
        if len(texts) > REMARKS_SHOWN:
            texts[REMARKS_SHOWN:] = [f"remarks: {not_shown_here(len(texts) - REMARKS_SHOWN)}"]
        for text in texts:
            cars.setdefault(text, []).append(candidate["candidate"])
    for text, names in cars.items():
        rest = f" and {len(names) - 3:,} more" if len(names) > 3 else ""
        yield f"{', '.join(names[:3])}{rest}: {text}"


def not_shown_here(count: int) -> str:
    """The line with the number of those that only the document lists."""
    return f"{count:,} more, not shown here (--format json lists all)"
