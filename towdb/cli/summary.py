"""What `towdb screen --summary` writes."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from towdb.errors import UsageError

if TYPE_CHECKING:
    from towdb.screening.screening import Screening
    from towdb.screening.summary import Summary


def refuse_without_summary(by: Sequence[str], plot: Path | None) -> None:
    """Tell that an option asks for a summary.

    Raises
    ------
    UsageError
        If it is there.
    """
    for option, given in (("--by", by), ("--plot", plot)):
        if given:
            raise UsageError(f"{option} goes with --summary; add it")


def check_summary(by: Sequence[str], plot: Path | None, query: str | None, chosen: str) -> None:
    """Look at the options before cars are screened, which may take long.

    Raises
    ------
    UsageError
        If one cannot be used.
    """
    from towdb.intake.grouping import read_by
    from towdb.presentation.plots import picture_format

    if query is not None:
        raise UsageError("--sql and --summary are two answers; ask for one of them")
    read_by(by)
    if plot is not None:
        picture_format(plot)
    if chosen == "html":
        from towdb.report.page import check_page

        check_page()


def show_summary(
    screened: Screening,
    by: Sequence[str],
    chosen: str,
    output: Path | None,
    units: str,
    plot: Path | None,
) -> None:
    """Write the summary of a screening, and draw it."""
    from towdb.intake.unreadable import with_rows_read
    from towdb.report import rows as report
    from towdb.report.output import deliver

    found = screened.summary(by)
    if plot is not None:
        from towdb.presentation.plots import draw_verdicts

        draw_verdicts(found, plot)
    if chosen == "json":
        deliver(lambda out: report.write_document(found.document(), out), output)
    elif chosen == "csv":
        table = with_rows_read(*found.tables["verdicts"], "scope", found.read)
        deliver(lambda out: report.write_csv(*table, out), output)
    elif chosen == "html":
        deliver(lambda out: _write_page(found, units, out), output)
    else:
        deliver(lambda out: _write(found, units, out), output)


def _write(found: Summary, units: str, out: TextIO) -> None:
    from towdb.presentation.summary import stamp, summary_tables
    from towdb.report import rows as report
    from towdb.report.caution import foot
    from towdb.wording import sentences

    report.write_lines([found.read.line(), ""] if found.read else [], out)
    for line, columns, rows, below in summary_tables(found, units):
        report.write_lines([line], out)
        if rows:
            report.write_table(columns, rows, out)
        # A table ends with an empty line of its own.
        report.write_lines([*below, ""] if below or not rows else [], out)
    report.write_lines([stamp(found), sentences.NOT_LOOKED_AT, *foot(found.invented)], out)


def _write_page(found: Summary, units: str, out: TextIO) -> None:
    import importlib.util

    from towdb.presentation.plots import rendered, verdict_figure
    from towdb.presentation.summary import stamp, summary_tables
    from towdb.report.caution import foot
    from towdb.report.page import write_page
    from towdb.wording import sentences

    picture, below = None, [stamp(found), sentences.NOT_LOOKED_AT, *foot(found.invented)]
    if importlib.util.find_spec("matplotlib") is None:
        below.insert(0, "Without a picture: matplotlib is not installed.")
    else:
        says = "The same verdicts as bars; the table below has the numbers."
        picture = (rendered(verdict_figure(found, caution=False), "svg"), says)
    title = f"{found.cars:,} cars behind {', '.join(found.coaches[:3])}"
    lead = [found.read.line()] if found.read else []
    write_page(title, summary_tables(found, units), below, out, picture=picture, lead=lead)
