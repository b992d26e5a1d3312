"""The one place where a command's answer is written: screen, JSON, CSV or page."""

from __future__ import annotations

from pathlib import Path
from typing import TextIO

from towdb.report import rows as writers
from towdb.report.answer import Answer, Section
from towdb.report.output import deliver
from towdb.report.page import write_page


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
    writers.write_document(answer.document(), stream)


def _write_csv(answer: Answer, stream: TextIO) -> None:
    columns, rows = answer.table()
    writers.write_csv(columns, rows, stream)


def _write_html(answer: Answer, stream: TextIO) -> None:
    picture = answer.picture() if answer.picture else None
    write_page(
        answer.title, answer.sections(), answer.foot, stream, picture=picture, lead=answer.lead
    )


def _write_screen(answer: Answer, stream: TextIO) -> None:
    writers.write_lines([*answer.lead, ""] if answer.lead else [], stream)
    for section in answer.sections():
        write_section(section, stream)
    writers.write_lines(answer.foot, stream)


def write_section(section: Section, stream: TextIO) -> None:
    """Write a section on a screen, wrapped to its width; an empty line follows what has a title."""
    if section.title:
        writers.write_lines([section.title], stream)
    if section.rows:
        writers.write_table(section.columns, section.rows, stream)
    writers.write_lines(section.notes, stream)
    # A table ends with an empty line of its own.
    if section.title and (section.notes or not section.rows):
        writers.write_lines([""], stream)
