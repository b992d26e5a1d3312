"""The one place where a command's answer is written: screen, JSON, CSV or page."""

from __future__ import annotations

from collections.abc import Generator
from itertools import islice
from pathlib import Path
from typing import TextIO

from towdb.report.answer import Answer, Section, Table
from towdb.report.as_csv import write_csv
from towdb.report.as_html import write_page
from towdb.report.as_json import write_document, write_json
from towdb.report.destination import deliver
from towdb.report.findings_on_screen import write_findings
from towdb.report.on_screen import write_lines, write_table

# Rows of a table shown on a screen; files take them all.
SCREEN_ROWS = 1000


def write_answer(answer: Answer, form: str, output: Path | None) -> None:
    """Write an answer as ``table``, ``json``, ``csv`` or ``html``, to a file or the screen.

    Raises
    ------
    UsageError
        If the file cannot be written.
    """
    write = {"json": _write_json, "csv": _write_csv, "html": _write_html}.get(form, _write_screen)
    deliver(lambda stream: write(answer, stream), output)


def _write_json(answer: Answer, stream: TextIO) -> None:
    if answer.document is None:
        write_json(*answer.table(), stream)
    else:
        write_document(answer.document(), stream)


def _write_csv(answer: Answer, stream: TextIO) -> None:
    write_csv(*answer.table(), stream)


def _write_html(answer: Answer, stream: TextIO) -> None:
    picture = answer.picture() if answer.picture else None
    sections = answer.sections() if answer.sections else ()
    write_page(answer.title, sections, answer.foot, stream, picture=picture, lead=answer.lead)


def _write_screen(answer: Answer, stream: TextIO) -> None:
    write_lines([*answer.lead, ""] if answer.lead else [], stream)
    if answer.findings:
        write_findings(*answer.findings(), stream)
    if answer.sections is None:
        _write_first_rows(answer.table(), stream)
    for section in answer.sections() if answer.sections else ():
        write_section(section, stream)
    write_lines(answer.foot, stream)


def _write_first_rows(table: Table, stream: TextIO) -> None:
    columns, rows = table
    shown = list(islice(rows, SCREEN_ROWS + 1))
    if isinstance(rows, Generator):
        rows.close()
    more = len(shown) > SCREEN_ROWS
    below = [f"First {SCREEN_ROWS:,} rows; all of them with -o FILE.csv"] if more else []
    write_table(columns, shown[:SCREEN_ROWS], stream, below)


def write_section(section: Section, stream: TextIO) -> None:
    """Write a section on a screen, wrapped to its width; an empty line follows what has a title."""
    if section.title:
        write_lines([section.title], stream)
    if section.rows:
        write_table(section.columns, section.rows, stream)
    write_lines(section.notes, stream)
    # A table ends with an empty line of its own.
    if section.title and (section.notes or not section.rows):
        write_lines([""], stream)
