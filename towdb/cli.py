"""The command line: parses, calls the verb, prints."""

from __future__ import annotations

import itertools
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TextIO

import typer

from towdb.errors import DataError, TowdbError

if TYPE_CHECKING:
    from towdb.reference.check import CheckResult
    from towdb.screening.screening import Screening

# Rows of a query shown on a screen; files take them all.
SCREEN_ROWS = 1000
FORMATS = ("table", "json", "csv")

app = typer.Typer(
    name="towdb",
    help="Which vehicles may be towed with all four wheels on the road behind a motorhome,"
    " on which page that stands, and whether a given coach can pull them.",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

FormatOption = Annotated[
    str | None, typer.Option("--format", help="table, json or csv; else from the file's name.")
]
OutputOption = Annotated[
    Path | None, typer.Option("-o", "--output", help="File to write instead of the screen.")
]
ReferenceOption = Annotated[
    Path | None,
    typer.Option(
        "--reference", envvar="TOWDB_REFERENCE", help="The release (.duckdb) to look into."
    ),
]


@app.callback(invoke_without_command=True)
def _main(
    version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False,
) -> None:
    if version:
        import towdb

        print(f"towdb {towdb.__version__}")
        raise typer.Exit


@app.command()
def check(
    folder: Annotated[Path, typer.Argument(help="A reference folder.")],
    format: FormatOption = None,
    output: OutputOption = None,
) -> None:
    """Check a reference folder against the contract.

    Exit status 1 if there are errors; warnings alone are no failure.

    Example: towdb check data/demo/reference
    """
    from towdb.reference.check import check as run
    from towdb.report.output import choose_format
    from towdb.report.progress import progress_bar

    chosen = choose_format(format, output, FORMATS)
    with progress_bar() as progress:
        result = run(folder, progress=progress)
    _write_findings(result, chosen, output)
    if not result.ok:
        raise typer.Exit(1)


@app.command()
def build(
    folder: Annotated[Path, typer.Argument(help="A reference folder.")],
    output: Annotated[Path, typer.Option("-o", "--output", help="The release to write, .duckdb.")],
) -> None:
    """Check a reference folder and build a release of it.

    A folder with errors builds nothing; warnings are kept in the release, in table finding.

    Example: towdb build data/demo/reference -o demo.duckdb
    """
    from towdb.reference.release import CheckFailedError
    from towdb.reference.release import build as run
    from towdb.report.progress import progress_bar

    try:
        with progress_bar() as progress:
            built = run(folder, output, progress=progress)
    except CheckFailedError as error:
        for finding in error.result.found:
            if finding.severity == "error":
                place = f", line {finding.line}" if finding.line else ""
                _complain(
                    f"{finding.file}{place}, {finding.column or 'file'}:"
                    f" {finding.message}; {finding.remedy}"
                )
        raise
    count = sum(built.rows.values())
    warnings = built.check.warnings
    print(f"{built.path}: {count:,} rows of {len(built.rows)} tables, {warnings} warning(s)")
    print(f"release {built.release_id}")


@app.command()
def sql(
    query: Annotated[str, typer.Argument(help="One SELECT.")],
    reference: ReferenceOption = None,
    format: FormatOption = None,
    output: OutputOption = None,
) -> None:
    """Ask a release in SQL.

    Views for people: statement, instruction, weight, rating. Tables: those of the contract.

    Example: towdb sql "select make, count(*) from statement group by make" --reference demo.duckdb
    """
    from towdb.reference.query import open as open_reference
    from towdb.report import rows as report
    from towdb.report.caution import foot
    from towdb.report.output import choose_format, deliver

    chosen = choose_format(format, output, FORMATS)
    with open_reference(_required(reference)) as opened:
        answer = opened.rows(query)
        if chosen == "json":
            deliver(lambda out: report.write_json(answer.columns, answer.rows, out), output)
        elif chosen == "csv":
            deliver(lambda out: report.write_csv(answer.columns, answer.rows, out), output)
        else:
            shown = list(itertools.islice(answer.rows, SCREEN_ROWS + 1))
            below = foot(opened.invented)
            if len(shown) > SCREEN_ROWS:
                below.insert(0, f"First {SCREEN_ROWS:,} rows; all of them with -o FILE.csv")
            deliver(
                lambda out: report.write_table(answer.columns, shown[:SCREEN_ROWS], out, below),
                output,
            )


@app.command()
def screen(
    shortlist: Annotated[Path, typer.Argument(help="The cars: CSV or Parquet.")],
    coach: Annotated[
        list[str], typer.Option("--coach", help="A coach file (TOML) or a coach_id; repeatable.")
    ],
    reference: ReferenceOption = None,
    on: Annotated[str | None, typer.Option("--on", help="Date, as 2026-01-31; else today.")] = None,
    policy: Annotated[Path | None, typer.Option("--policy", help="A policy file (TOML).")] = None,
    assume: Annotated[
        list[str] | None,
        typer.Option("--assume", help="NAME=WORD for cars that do not say; repeatable."),
    ] = None,
    units: Annotated[str, typer.Option("--units", help="lb or kg, on the screen.")] = "lb",
    format: FormatOption = None,
    output: OutputOption = None,
    explain: Annotated[
        bool, typer.Option("--explain", help="Every check with value, limit, margin and page.")
    ] = False,
) -> None:
    """Say which cars a coach may pull with four wheels down, on which page that stands, and why.

    Example: towdb screen shortlist.csv --coach coach.toml --reference demo.duckdb
    """
    from towdb.errors import UsageError
    from towdb.report.output import choose_format
    from towdb.screening.screening import screen as run

    chosen = choose_format(format, output, (*FORMATS, "parquet"))
    if units not in ("lb", "kg"):
        raise UsageError(f"--units {units}: choose lb or kg")
    if chosen == "parquet" and output is None:
        raise UsageError("Parquet goes to a file: name it with -o FILE.parquet")
    screened = run(
        shortlist,
        coach=coach,
        reference=_required(reference),
        on=on,
        policy=policy,
        assume=_pairs(assume or []),
    )
    with screened:
        if output is not None and chosen != "table":
            screened.write(output)
        else:
            _show_screening(screened, chosen, output, units, explain)


def _show_screening(
    screened: Screening, chosen: str, output: Path | None, units: str, explain: bool
) -> None:
    from towdb.report import rows as report
    from towdb.report.caution import foot
    from towdb.report.output import deliver
    from towdb.screening import table
    from towdb.screening.document import document

    if chosen == "csv":
        columns, found = screened.rows("verdicts")
        deliver(lambda out: report.write_csv(columns, found, out), output)
        return
    told = document(screened)
    if chosen == "json":
        deliver(lambda out: report.write_document(told, out), output)
        return

    def show(out: TextIO) -> None:
        for screening in told["screenings"]:
            report.write_lines(table.coach_lines(screening, units), out)
            report.write_table(table.COLUMNS, table.table_rows(screening, units), out)
            report.write_lines(table.remark_lines(screening), out)
            if explain:
                report.write_lines(table.explanation_lines(screening, units), out)
        assumed = ", ".join(f"{name} {word}" for name, word in screened.assumed.items())
        report.write_lines(
            [
                "",
                f"On {told['on']}, by release {told['reference']['release_id'][:12]}"
                + (f", assuming {assumed}" if assumed else ""),
                *foot(screened.invented),
            ],
            out,
        )

    deliver(show, output)


def _pairs(assume: list[str]) -> dict[str, str]:
    from towdb.errors import UsageError

    pairs = {}
    for text in assume:
        name, equals, word = text.partition("=")
        if not equals or not word:
            raise UsageError(f"--assume {text}: write it as NAME=WORD, such as market=xa")
        if name.strip().lower() in pairs:
            raise UsageError(f"--assume {name}: named twice; keep one of them")
        pairs[name.strip().lower()] = word
    return pairs


def _write_findings(result: CheckResult, chosen: str, output: Path | None) -> None:
    import dataclasses

    from towdb.errors import FINDING_COLUMNS
    from towdb.report import findings as report
    from towdb.report.output import deliver

    rows = [dataclasses.astuple(finding) for finding in result.found]
    foot = [f"{result.folder}: {result.errors} error(s), {result.warnings} warning(s)"]
    if result.ignored:
        foot.append(f"ignored, no part of a reference: {', '.join(result.ignored)}")
    if chosen == "json":
        deliver(
            lambda out: report.write_findings_json(FINDING_COLUMNS, rows, result.errors, out),
            output,
        )
    elif chosen == "csv":
        deliver(lambda out: report.write_findings_csv(FINDING_COLUMNS, rows, out), output)
    else:
        deliver(lambda out: report.write_findings_table(FINDING_COLUMNS, rows, out, foot), output)


def _required(reference: Path | None) -> Path:
    from towdb.errors import UsageError

    if reference is None:
        raise UsageError(
            "name a release with --reference FILE.duckdb or in TOWDB_REFERENCE;"
            " make one with: towdb build FOLDER -o FILE.duckdb"
        )
    return reference


def _complain(text: str) -> None:
    from towdb.report.rows import printable

    for line in text.splitlines():
        print(f"towdb: {printable(line)}", file=sys.stderr)


def main() -> None:
    """Run the command line; exit status as documented, never a traceback."""
    sys.exit(_status(app))


def _status(run: Callable[..., object]) -> int:
    try:
        return _run(run)
    except (SystemExit, BrokenPipeError):
        # Whoever read the output has seen enough; nothing more may be flushed there.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


def _run(run: Callable[..., object]) -> int:
    try:
        done = run(prog_name="towdb", standalone_mode=False)
    except DataError as error:
        _complain(str(error))
        return 1
    except TowdbError as error:
        _complain(str(error))
        return 2
    except typer.TyperException as error:
        return _misuse(error)
    except RuntimeError as error:
        # How a query says that Ctrl-C reached it.
        if "interrupted" not in str(error).lower():
            raise
        done = 130
    if done == 130:
        _complain("interrupted; nothing was written")
    return done if isinstance(done, int) else 0


def _misuse(error: typer.TyperException) -> int:
    say: Callable[[], str] = getattr(error, "format_message", lambda: str(error))
    message = say()
    if message.startswith("Usage:"):
        print(message)
    else:
        _complain(f"{message} Try: towdb --help")
    return 2


if __name__ == "__main__":
    main()
