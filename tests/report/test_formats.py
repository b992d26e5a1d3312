"""An answer in every form: the selection of a form, streams of rows, findings first."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from towdb.errors import Finding, findings_document
from towdb.report.answer import Answer, Section, lines_answer, table_answer
from towdb.report.as_json import write_document
from towdb.report.findings_on_screen import SHOWN
from towdb.report.formats import SCREEN_ROWS, write_answer


def written(answer: Answer, form: str, folder: Path) -> str:
    path = folder / "answer"
    write_answer(answer, form, path)
    return path.read_text("utf-8")


def rows(count: int, fetched: list[int] | None = None) -> Iterator[tuple[int]]:
    for number in range(count):
        if fetched is not None:
            fetched.append(number)
        yield (number,)


def finding(line: int, severity: str = "error") -> Finding:
    return Finding("limit.csv", line, "limit", "l-1", "value", "x", "type", severity, "no number",
                   "write a number")  # fmt: skip


@pytest.mark.parametrize("count", [SCREEN_ROWS - 1, SCREEN_ROWS, SCREEN_ROWS + 1])
def test_a_screen_shows_the_first_rows_and_names_the_rest(tmp_path: Path, count: int) -> None:
    lines = written(table_answer(["n"], rows(count), ["foot"]), "table", tmp_path).split()
    assert [line for line in lines if line.isdigit()] == [
        str(number) for number in range(min(count, SCREEN_ROWS))
    ]
    assert ("-o" in lines) == (count > SCREEN_ROWS)
    assert lines[-1] == "foot"


def test_a_screen_fetches_one_row_more_than_it_shows(tmp_path: Path) -> None:
    fetched: list[int] = []
    written(table_answer(["n"], rows(10 * SCREEN_ROWS, fetched)), "table", tmp_path)
    assert len(fetched) == SCREEN_ROWS + 1


def test_a_table_without_rows_shows_its_headings(tmp_path: Path) -> None:
    assert "heading" in written(table_answer(["heading"], []), "table", tmp_path)


def test_files_take_all_rows_and_no_foot(tmp_path: Path) -> None:
    def answer() -> Answer:
        return table_answer(["n"], rows(2 * SCREEN_ROWS), ["foot"])

    told = [*csv.reader(io.StringIO(written(answer(), "csv", tmp_path)))]
    assert told == [["n"], *([str(n)] for n in range(2 * SCREEN_ROWS))]
    assert json.loads(written(answer(), "json", tmp_path)) == [
        {"n": n} for n in range(2 * SCREEN_ROWS)
    ]


def test_what_people_read_as_lines_programs_read_as_a_table(tmp_path: Path) -> None:
    answer = lines_answer(["one", "  two"], lambda: (["n"], [(1,)]))
    assert written(answer, "table", tmp_path) == "one\n  two\n"
    assert written(answer, "csv", tmp_path) == "n\n1\n"
    assert json.loads(written(answer, "json", tmp_path)) == [{"n": 1}]


def answer_with_findings(found: list[Finding]) -> Answer:
    return Answer(
        lambda: {"ok": False, "findings": findings_document(found)},
        lambda: (["n"], []),
        lambda: [Section("section")],
        ["foot"],
        findings=lambda: (found, len(found)),
    )


def test_findings_come_before_sections_and_foot(tmp_path: Path) -> None:
    shown = written(answer_with_findings([finding(2), finding(3, "warning")]), "table", tmp_path)
    assert [line.rstrip() for line in shown.split("\n")] == [
        *("limit.csv", "  error   line 2 · l-1 · value = x"),
        *("          no number  [type]", "          write a number"),
        *("  warning line 3 · l-1 · value = x", "          no number  [type]"),
        *("          write a number", "section", "", "foot", ""),
    ]


@pytest.mark.parametrize("count", [SHOWN - 1, SHOWN, SHOWN + 1])
def test_a_screen_shows_the_first_findings_and_counts_the_rest(tmp_path: Path, count: int) -> None:
    found = [finding(line) for line in range(1, count + 1)]
    shown = written(answer_with_findings(found), "table", tmp_path)
    assert shown.count("no number") == min(count, SHOWN)
    assert ("… and 1 more" in shown) == (count > SHOWN)
    assert len(json.loads(written(answer_with_findings(found), "json", tmp_path))["findings"]) == (
        count
    )


@pytest.mark.parametrize("items", [[], [{"n": 1}], [{"n": 1}, {"n": None}]])
@pytest.mark.parametrize("last", [{}, {"z": {"y": [1.5]}}])
def test_a_stream_in_a_document_is_an_array(items: list[Any], last: dict[str, Any]) -> None:
    stream = io.StringIO()
    write_document({"before": "ä", "items": iter(items), **last}, stream)
    assert json.loads(stream.getvalue()) == {"before": "ä", "items": items, **last}
    # An item a line, so that a document of a million findings can be read line by line.
    assert sum(line.startswith("    {") for line in stream.getvalue().splitlines()) == len(items)


def test_an_array_of_objects_is_a_document_too() -> None:
    stream = io.StringIO()
    write_document([{"n": 1}], stream)
    assert json.loads(stream.getvalue()) == [{"n": 1}]
