"""What `towdb screen --summary` writes."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from towdb.errors import UsageError

if TYPE_CHECKING:
    from towdb.screening.screening import Screening


def refuse_without_summary(by: Sequence[str], plot: Path | None) -> None:
    """Refuse the options of a summary where none is requested.

    Raises
    ------
    UsageError
        If one of them is given.
    """
    for option, given in (("--by", by), ("--plot", plot)):
        if given:
            raise UsageError(f"{option} goes with --summary; add it")


def check_summary(by: Sequence[str], plot: Path | None, query: str | None, chosen: str) -> None:
    """Check the options before cars are screened, which may take long.

    Raises
    ------
    UsageError
        If one cannot be used.
    """
    from towdb.intake.grouping import read_by
    from towdb.report.plots import picture_format

    if query is not None:
        raise UsageError("--sql and --summary exclude each other; choose one of them")
    read_by(by)
    if plot is not None:
        picture_format(plot)
    if chosen == "html":
        from towdb.report.as_html import check_page

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
    from towdb.presentation.summary import summary_answer
    from towdb.report.formats import write_answer

    found = screened.summary(by)
    if plot is not None:
        from towdb.report.plots import draw_verdicts

        draw_verdicts(found.document(), plot)
    write_answer(summary_answer(found, units), chosen, output)
