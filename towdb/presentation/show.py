"""What `show` found, as sections."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from towdb.presentation.procedure import procedure_lines
from towdb.reference.show import COLUMNS, Showing
from towdb.report.answer import Answer, Section
from towdb.report.caution import foot
from towdb.wording import sentences
from towdb.wording.groups import years_text
from towdb.wording.inventories import made_by

_COLUMNS = ("year", "cars", "the page says", "what it takes", "page")


def show_answer(shown: Showing, *, explain: bool) -> Answer:
    """All of it, in every form; `explain` adds what every page requires, line by line."""
    return Answer(
        shown.document,
        lambda: (COLUMNS, [tuple(record.values()) for record in shown.records]),
        lambda: _sections(shown, explain),
        [made_by(shown.document()), *foot(shown.invented)],
    )


def _sections(shown: Showing, explain: bool) -> Iterator[Section]:
    for model, rows in screen_rows(shown):
        yield Section(f"{shown.make} {model}", _COLUMNS, rows)
    if explain:
        yield Section(notes=list(procedures(shown)))
    if shown.gaps:
        yield Section(notes=[*_not_on_record(shown), ""])


def screen_rows(shown: Showing) -> Iterator[tuple[str, list[list[str]]]]:
    """By model, the rows of the table on the screen."""
    for model in dict.fromkeys(record["model"] for record in shown.records):
        of_model = [record for record in shown.records if record["model"] == model]
        yield (
            model,
            [
                [
                    years_text(record),
                    record["cars"] or "all",
                    _permission_text(record, shown),
                    record["in_short"],
                    f"{record['locator']}\n{record['title']}",
                ]
                for record in of_model
            ],
        )


def _permission_text(record: Mapping[str, Any], shown: Showing) -> str:
    text = sentences.PERMISSIONS[record["permission"]]
    if record["towing_method"] != "four_wheels_down":
        text = f"{sentences.METHODS[record['towing_method']]}: {text}"
    if record["purpose"] == "emergency":
        text = f"in an emergency: {text}"
    notes = [
        "not checked yet" if not record["checked"] else "",
        *(f"replaced by {page}" for page in _pages(record["replaced_by"], shown)),
        *(f"except {exception}" for exception in filter(None, record["exceptions"].split("\n"))),
        *(f"contradicted by {page}" for page in _pages(record["contradicted_by"], shown)),
        f"withdrawn on {record['withdrawn_on']}" if record["withdrawn_on"] else "",
    ]
    return "\n".join([text, *filter(None, notes)])


def _pages(named: str | None, shown: Showing) -> Iterator[str]:
    """Other statements by their pages; one that is not shown, by its id."""
    known = {record["eligibility_id"]: record for record in shown.records}
    for each in filter(None, (named or "").split(", ")):
        key, _, mark = each.partition(" ")
        page = f"{known[key]['locator']}, {known[key]['title']}" if key in known else key
        yield f"{page} {mark}".rstrip()


def procedures(shown: Showing) -> Iterator[str]:
    """What each permitting statement requires, a line each, in printed order."""
    for record in shown.records:
        conditions = shown.conditions.get(record["eligibility_id"])
        if not conditions:
            continue
        page = f"{record['title']}, {record['locator']} ({record['eligibility_id']})"
        cars = f" ({record['cars']})" if record["cars"] else ""
        yield f"{shown.make} {record['model']} {years_text(record)}{cars}"
        yield f"  {'; '.join(_permission_text(record, shown).splitlines())}: {page}"
        yield from procedure_lines(conditions, "lb", record["title"])
        yield ""


def _not_on_record(shown: Showing) -> Iterator[str]:
    for model, years in shown.gaps.items():
        listed = ", ".join(map(str, years))
        about = "nothing on record about towing it flat for model year"
        yield f"{shown.make} {model}: {about} {listed}"
