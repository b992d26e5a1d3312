"""Commands that screen cars against coaches."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from towdb.cli.options import (
    FILE,
    FORMATS,
    check_outputs,
    inventory_options,
    limit_options,
    limits_of,
    on_option,
    output_options,
    pairs,
    print_how_read,
    print_lines,
    reference_option,
    required,
)
from towdb.cli.record.options import as_option, opened, person, record_option
from towdb.cli.summary import check_summary, refuse_without_summary, show_summary
from towdb.errors import UsageError

if TYPE_CHECKING:
    from towdb.duck.limits import Limits
    from towdb.screening.screening import Screening

# Formats of files only.
FILES = ("parquet", "duckdb")


@click.command()
@click.argument("shortlist", type=FILE, required=False)
@click.option(
    "--coach",
    multiple=True,
    required=True,
    metavar="FILE|ID",
    help="A coach file (TOML) or a coach_id; repeatable.",
)
@reference_option
@on_option
@click.option("--policy", type=FILE, help="A policy file (TOML).")
@click.option(
    "--assume",
    multiple=True,
    metavar="NAME=WORD",
    help="Assume NAME=WORD for cars whose NAME is empty; repeatable.",
)
@inventory_options
@click.option(
    "--with-columns",
    metavar="NAME,…",
    help="Columns of the shortlist to carry beside the verdicts, in CSV and Parquet.",
)
@click.option("--years", metavar="A-B", help="Without a shortlist: only these model years.")
@click.option("--units", default="lb", show_default=True, help="lb or kg, on the screen.")
@click.option("--sql", "query", metavar="SELECT", help="Query the screening: one SELECT.")
@limit_options
@click.option("--explain", is_flag=True, help="Every check with value, limit, margin and page.")
@click.option("--summary", is_flag=True, help="Verdicts counted, and what would change most.")
@click.option("--by", multiple=True, metavar="NAME", help="Attribute to count by; repeatable.")
@click.option("--plot", type=FILE, help="Picture of the summary to draw, .png or .svg.")
@click.option(
    "--issue-to", metavar="NAME", help="Keep the answer as issued to NAME; with --record."
)
@record_option
@as_option
@output_options
def screen(
    shortlist: Path | None,
    coach: tuple[str, ...],
    reference: Path | None,
    on: str | None,
    policy: Path | None,
    assume: tuple[str, ...],
    mapping: Path | None,
    set_aside: Path | None,
    leave_unreadable: bool,
    with_columns: str | None,
    years: str | None,
    units: str,
    query: str | None,
    time_limit: float | None,
    memory_limit: str | None,
    explain: bool,
    summary: bool,
    by: tuple[str, ...],
    plot: Path | None,
    issue_to: str | None,
    url: str | None,
    who: str | None,
    format: str | None,
    output: Path | None,
) -> None:
    """Screen cars for flat towing behind a coach, with the reason and the page.

    SHORTLIST is a CSV, Parquet or XLSX file of cars, a folder of such files, or a pattern in
    quotes. Without one, every car of the reference is screened.

    \b
    Example: towdb screen shortlist.csv --coach coach.toml --reference demo.duckdb
    """
    from towdb.report.destination import choose_format
    from towdb.screening.screen import screen as run

    offered = FORMATS if query is not None else (*FORMATS, *(("html",) if summary else FILES))
    chosen = choose_format(format, output, offered)
    if summary:
        check_summary(by, plot, query, chosen)
    else:
        refuse_without_summary(by, plot)
    if units not in ("lb", "kg"):
        raise UsageError(f"--units {units[:40]!r}: choose lb or kg")
    limits = limits_of(time_limit, memory_limit, has_query=query is not None)
    _check_form(chosen, output, with_columns, is_verdicts=not (summary or query))
    check_outputs(shortlist, [reference, policy, mapping, *coach], output, set_aside, plot)
    with run(
        shortlist,
        coach=coach,
        reference=required(reference),
        on=on,
        policy=policy,
        assume=pairs("--assume", assume, "NAME=WORD, such as market=xa"),
        years=years,
        mapping=mapping,
        set_aside=set_aside,
        leave_unreadable=leave_unreadable,
        with_columns=[] if with_columns is None else with_columns.split(","),
    ) as screened:
        print_how_read(screened.notes, screened.read)
        if query is not None:
            _ask(screened, query, limits, chosen, output)
        elif summary:
            show_summary(screened, by, chosen, output, units, plot)
        elif output is not None and chosen != "table":
            screened.write(output)
        else:
            _show(screened, chosen, output, units, explain)
        if issue_to is not None:
            _issue(screened, url, person(who), issue_to)


def _check_form(
    chosen: str, output: Path | None, with_columns: str | None, *, is_verdicts: bool
) -> None:
    if with_columns is not None and not (is_verdicts and chosen in ("csv", "parquet")):
        raise UsageError("--with-columns goes with the verdict table, in CSV or Parquet")
    if chosen in FILES and output is None:
        raise UsageError(f"{chosen} goes to a file: name it with -o FILE.{chosen}")


def _issue(screened: Screening, url: str | None, who: str, issue_to: str) -> None:
    from towdb.presentation.record.answers import issued_line
    from towdb.record.answers import issue

    with opened(url) as record:
        issued = issue(record, screened, who=who, issued_to=issue_to)
    print_lines([issued_line(issued)], beside=True)


def _ask(screened: Screening, query: str, limits: Limits, chosen: str, output: Path | None) -> None:
    from towdb.report.answer import table_answer
    from towdb.report.caution import foot
    from towdb.report.formats import write_answer

    found = screened.ask(query, limits)
    answer = table_answer(found.columns, found.rows, foot(screened.invented))
    write_answer(answer, chosen, output)


def _show(screened: Screening, chosen: str, output: Path | None, units: str, explain: bool) -> None:
    from towdb.presentation.screening import screening_answer
    from towdb.report.formats import write_answer

    write_answer(screening_answer(screened, units, explain=explain), chosen, output)
