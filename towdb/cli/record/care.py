"""Commands that look after a record: contradictions, withdrawals, drafts, histories."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from towdb.cli.options import FILE, FORMATS, deliver_rows, one_line, output_options
from towdb.cli.record.options import as_of_option, as_option, counted, opened, person, record_option
from towdb.errors import UsageError

if TYPE_CHECKING:
    from towdb.record.care import Version, Withdrawal
    from towdb.record.plan import Difference


@click.command()
@record_option
@as_of_option
@output_options
def conflicts(url: str | None, as_of: str | None, format: str | None, output: Path | None) -> None:
    """List rows that contradict each other about the same car, with both pages.

    \b
    Example: towdb record conflicts --record shop.sqlite
    """
    from towdb.record.conflicts import COLUMNS
    from towdb.record.conflicts import conflicts as run
    from towdb.report.output import choose_format

    chosen = choose_format(format, output, FORMATS)
    with opened(url) as record:
        rows = run(record, record.change_at(as_of))
    deliver_rows(COLUMNS, rows, chosen, output, [counted(len(rows), "contradiction")])


@click.command()
@click.argument("table")
@click.argument("key")
@click.option("--why", default="", metavar="TEXT", help="Why, kept with the change.")
@click.option("--on", metavar="DATE", help="Of a source: from when it no longer holds; else today.")
@click.option("--shortlist", type=FILE, help="Cars whose verdicts are compared; with --coach.")
@click.option("--coach", multiple=True, metavar="FILE|ID", help="A coach; repeatable.")
@click.option("--yes", is_flag=True, help="Withdraw it; else only what would come of it is shown.")
@record_option
@as_option
def withdraw(
    table: str,
    key: str,
    why: str,
    on: str | None,
    shortlist: Path | None,
    coach: tuple[str, ...],
    yes: bool,
    url: str | None,
    who: str | None,
) -> None:
    """Withdraw a row or a source; first, what would come of it is shown.

    A row leaves what stands and stays in history; a source is marked with a day, and what cites it
    counts no longer from then on. A limit, step or fuse goes together with the count of its
    statement, which then awaits a check.

    \b
    Example: towdb record withdraw source w-1 --why "new edition" --record shop.sqlite --as Imre
    """
    import tempfile

    from towdb.record.care import withdraw as run

    if (shortlist is None) != (not coach):
        raise UsageError("name a shortlist and a coach, or neither")
    with opened(url) as record, tempfile.TemporaryDirectory(prefix="towdb-") as folder:
        done = run(record, table, key, who=person(who), why=why, on=on, shortlist=shortlist,
                   coach=coach or None, folder=folder, dry_run=not yes)  # fmt: skip
    for line in _withdrawn_lines(done):
        print(one_line(line))
    for verdict in done.verdicts:
        print(f"  {verdict['candidate']} behind {verdict['coach']}: {verdict['before']} ->"
              f" {verdict['after']} ({'; '.join(verdict['why'])})")  # fmt: skip
    if shortlist is not None and not done.verdicts:
        print("  no verdict of this shortlist changes")
    told = counted(len(done.rows), "row")
    if done.change is None:
        print(f"{told} would be withdrawn; to do it, say --yes")
    else:
        print(f"{told} withdrawn in change {done.change.number}")


def _withdrawn_lines(done: Withdrawal) -> Iterator[str]:
    from towdb.record.store.tables import ENTRY

    yield from (f"  {table} {key}" for table, key in done.rows)
    changed: dict[tuple[str, str], list[str]] = {}
    for d in done.changed:
        cells = changed.setdefault((d.table, d.key), [])
        if d.column not in ENTRY:
            cells.append(f"{d.column}: {d.was or 'empty'} -> {d.becomes or 'empty'}")
    for (table, key), cells in changed.items():
        yield f"  {table} {key}: {'; '.join([*cells, 'awaits a check'])}"


@click.command("carry-forward")
@click.argument("make")
@click.argument("model")
@click.argument("year", type=int)
@click.option("-o", "--output", type=FILE, required=True, help="The workbook to write (.xlsx).")
@record_option
def carry_forward(make: str, model: str, year: int, output: Path, url: str | None) -> None:
    """Draft the next model year's rows in a workbook; its pages are still to be read.

    \b
    Example: towdb record carry-forward Quillon Pika 2021 -o pika-2022.xlsx --record shop.sqlite
    """
    from towdb.record.care import carry_forward as run

    with opened(url) as record:
        drafted = run(record, make, model, year, output)
    told = ", ".join(f"{count:,} {name}" for name, count in drafted.items() if count)
    print(f"{one_line(output)}: {told}, drafted for {year + 1}")
    print("Compare each row with the new manual, type its source, page and quote, then import it.")


@click.command()
@click.argument("table", required=False)
@click.argument("key", required=False)
@record_option
@output_options
def history(
    table: str | None, key: str | None, url: str | None, format: str | None, output: Path | None
) -> None:
    """List all changes; or every version of one row: who, when, why, and what changed.

    \b
    Example: towdb record history eligibility quillon-pika-2021-manual --record shop.sqlite
    """
    from towdb.record.care import steps_between, versions
    from towdb.report import rows as report
    from towdb.report.output import choose_format, deliver

    chosen = choose_format(format, output, FORMATS)
    with opened(url) as record:
        if table is None:
            rows: list[tuple[object, ...]] = [
                (change.number, change.at, change.who, change.why) for change in record.changes()
            ]
            deliver_rows(("change", "at", "who", "why"), rows, chosen, output)
            return
        if key is None:
            raise UsageError("name a table and a key: towdb record history eligibility KEY")
        found = list(steps_between(versions(record, table, key)))
    if chosen == "table":
        deliver(lambda out: report.write_lines(_version_lines(found), out), output)
        return
    rows = []
    for version, changed in found:
        at = (version.change.number, version.change.at, version.change.who, version.change.why,
              version.until, version.table, version.key)  # fmt: skip
        rows += [(*at, d.column, d.was, d.becomes) for d in changed] or [(*at, None, None, None)]
    columns = ("change", "at", "who", "why", "until", "table", "key", "column", "was", "becomes")
    deliver_rows(columns, rows, chosen, output)


def _version_lines(found: Iterable[tuple[Version, list[Difference]]]) -> Iterator[str]:
    number = None
    for version, changed in found:
        change = version.change
        if change.number != number:
            number = change.number
            yield f"change {number}, {change.at[:16]}Z, {change.who}: {change.why}"
        yield f"  {version.table} {version.key}" + ("" if changed else ": entered")
        for d in changed:
            yield f"    {d.column}: {d.was or 'empty'} -> {d.becomes or 'empty'}"
        if version.until is not None:
            yield f"    until change {version.until}"
