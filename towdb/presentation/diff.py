"""The differences between two releases, as sections."""

from __future__ import annotations

from collections.abc import Iterator

from towdb.reference.differences import COLUMNS
from towdb.report.answer import Answer, Section
from towdb.report.caution import foot
from towdb.screening.diff import Diff
from towdb.wording import sentences

_ROWS = ("row", "change", "column", "before", "after")
_VERDICTS = ("car", "coach", "before, after", "why", "rows")


def diff_answer(found: Diff, *, is_screened: bool) -> Answer:
    """All of it, in every form; CSV is the rows alone. `is_screened`: cars were given."""
    return Answer(
        found.document,
        lambda: (COLUMNS, [tuple(record.values()) for record in found.records]),
        lambda: _sections(found, is_screened),
        ["", *foot(found.invented)],
    )


def _sections(found: Diff, is_screened: bool) -> Iterator[Section]:
    before, after = (name[:12] for name in found.release_ids)
    yield Section(notes=[f"From release {before} to {after}: {_counted(found)}"])
    yield Section(
        "",
        _ROWS,
        [
            (f"{r['table']}\n{r['key']}", r["change"], r["column"], r["before"], r["after"])
            for r in found.records
        ],
    )
    if not is_screened:
        return
    rows = [
        (
            v["candidate"],
            v["coach"],
            f"{sentences.VERDICTS[v['before']]}\n{sentences.VERDICTS[v['after']]}",
            "\n".join(v["why"]),
            "\n".join(v["rows"]),
        )
        for v in found.verdict_records
    ]
    none = [] if rows else ["No verdict and no condition changes."]
    yield Section("", _VERDICTS, rows, none)


def _counted(found: Diff) -> str:
    keys: dict[str, set[tuple[str, str]]] = {"added": set(), "removed": set(), "changed": set()}
    for record in found.records:
        keys[record["change"]].add((record["table"], record["key"]))
    return ", ".join(f"{len(each):,} {change}" for change, each in keys.items())
