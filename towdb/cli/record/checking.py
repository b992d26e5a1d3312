"""Commands that hold rows against their pages: by a second person, and by the document itself."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from towdb.cli.options import FILE, FORMATS, deliver_rows, one_line, output_options
from towdb.cli.record.options import as_of_option, as_option, counted, opened, person, record_option
from towdb.errors import UsageError

if TYPE_CHECKING:
    from towdb.record.evidence.confirm import Evidence
    from towdb.record.reinstate import Lifted
    from towdb.record.review import Counts, Unit


@click.command()
@click.argument("path", type=FILE)
@click.argument("source_id", required=False)
@record_option
@as_option
def attach(path: Path, source_id: str | None, url: str | None, who: str | None) -> None:
    """Keep a document (PDF, text or picture) beside the source that it is; or a folder of them.

    Without SOURCE_ID it goes to the source that names a file of its SHA-256.

    \b
    Example: towdb record attach manual.pdf quillon-om-pika-2021 --record shop.sqlite --as Imre
    """
    from towdb.record.evidence.documents import attach as run

    files = sorted(path.iterdir()) if path.is_dir() else [path]
    if path.is_dir() and source_id is not None:
        raise UsageError(f"{path}: is a folder; name one file, or no source")
    with opened(url) as record:
        for file in files:
            kept = run(record, file, source_id, who=person(who))
            print(f"{one_line(file)}: kept beside {kept.source_id}, SHA-256 {kept.sha256[:12]}")
            if kept.is_changed:
                print("  the source's row names the file now, and awaits a check")


@click.command()
@record_option
@as_of_option
@output_options
def evidence(url: str | None, as_of: str | None, format: str | None, output: Path | None) -> int:
    """Look every quote up in its document, on the page that the row cites.

    Exit status 1 if a quote is not on its page.

    \b
    Example: towdb record evidence --record shop.sqlite
    """
    import dataclasses

    from towdb.record.evidence.confirm import Evidence, findings
    from towdb.record.evidence.documents import evidence as run
    from towdb.report.output import choose_format, deliver
    from towdb.report.rows import write_lines

    chosen = choose_format(format, output, FORMATS)
    with opened(url) as record:
        found = run(record, record.change_at(as_of))
    if chosen == "table":
        deliver(lambda out: write_lines(_evidence_lines(found), out), output)
    else:
        columns = [field.name for field in dataclasses.fields(Evidence)]
        rows = [tuple(getattr(each, name) for name in columns) for each in found]
        deliver_rows(columns, rows, chosen, output)
    return int(any(finding.severity == "error" for finding in findings(found)))


def _evidence_lines(found: Sequence[Evidence]) -> Iterator[str]:
    from towdb.record.evidence.confirm import summary

    for each in found:
        row = f"{each.table} {each.key} ({each.source_id}, {each.locator})"
        remarks = [f"it is on {each.found_on}"] if each.found_on else []
        remarks += [each.remark] if each.remark else []
        if each.status not in ("confirmed", "no_document"):
            yield f"{'; '.join([each.status.replace('_', ' '), *remarks])}: {row}"
        elif each.status == "confirmed" and each.value_in_quote == "no":
            yield f"figure not in its quote: {row}"
    missing = Counter(each.source_id for each in found if each.status == "no_document")
    for source, count in missing.items():
        yield f"no document: {source}, cited by {counted(count, 'row')}"
    told = summary(found)
    counts = (f"{n:,} {status.replace('_', ' ')}" for status, n in told.counts.items() if n)
    yield f"{counted(told.rows, 'row')} cite a page: {', '.join(counts) or 'none'}"
    if told.share_of_documents is not None:
        yield (
            f"Confirmed by its page: {told.share:.1%} of all,"
            f" {told.share_of_documents:.1%} of those with a document"
        )


def _read_counts(text: str | None) -> Counts | None:
    from towdb.record.review import Counts

    if text is None:
        return None
    parts = [part.strip() for part in text.split(",")]
    if len(parts) != 3 or not all(re.fullmatch("[0-9]{1,4}", part) for part in parts):
        raise UsageError(f"--counts {text[:40]}: write three numbers, STEPS,FUSES,LIMITS, as 4,0,2")
    return Counts(*map(int, parts))


@click.command()
@click.argument("table", required=False)
@click.argument("key", required=False)
@click.option("--counts", metavar="STEPS,FUSES,LIMITS", help="What the page prints, as you count.")
@click.option("--accept", is_flag=True, help="The rows stand on their page.")
@click.option("--return", "remark", metavar="TEXT", help="They do not; say what is wrong.")
@record_option
@as_option
@output_options
def review(
    table: str | None,
    key: str | None,
    counts: str | None,
    accept: bool,
    remark: str | None,
    url: str | None,
    who: str | None,
    format: str | None,
    output: Path | None,
) -> None:
    """List what awaits a check; or compare one statement or row with its page.

    Of a statement you first count on the page; then its rows are shown. Nobody checks what they
    entered on the same day.

    \b
    Example: towdb record review --record shop.sqlite
    Example: towdb record review eligibility fjell-lever --counts 14,4,4 --record shop.sqlite
    """
    from towdb.record import review as run
    from towdb.record.reinstate import lifted
    from towdb.report.output import choose_format, deliver
    from towdb.report.rows import write_lines

    chosen = choose_format(format, output, FORMATS)
    if accept and remark is not None:
        raise UsageError("--accept and --return contradict each other; keep one of them")
    with opened(url) as record:
        if table is None or key is None:
            if table or accept or remark is not None:
                raise UsageError("name a table and a key: towdb record review eligibility KEY")
            units = run.awaiting(record)
            if chosen == "table":
                again = lifted(record)
                deliver(lambda out: write_lines(_waiting(units, again), out), output)
            else:
                deliver_rows(_LISTED, [_listed(unit) for unit in units], chosen, output)
            return
        unit = run.find_unit(record, key, table)
        said = _read_counts(counts)
        if remark is not None:
            lost = run.give_back(record, unit, who=person(who), remark=remark)
            print(f"{table} {key}: returned to {unit.row['entered_by']}")
            if lost:
                rows = counted(len(lost), "row")
                print(f"  {rows} had been checked and must be checked again; until then it permits"
                      " nothing")  # fmt: skip
        elif accept:
            checked = run.accept(record, unit, who=person(who), counts=said)
            print(f"{table} {key}: {counted(len(checked), 'row')} checked by {person(who)}")
        else:
            _show(unit, said, lifted(record))


_LISTED = ("table", "key", "source", "locator", "entered_by", "entered_on", "awaits", "returned")


def _listed(unit: Unit) -> tuple[object, ...]:
    row = unit.row
    remark = f"{unit.remarks[-1].who}: {unit.remarks[-1].remark}" if unit.remarks else None
    return (unit.table, unit.key, row.get("source_id"), row.get("locator"), row["entered_by"],
            row["entered_on"], len(unit.unchecked), remark)  # fmt: skip


def _waiting(units: Sequence[Unit], again: Mapping[str, Lifted]) -> Iterator[str]:
    source = None
    for unit in units:
        title = (unit.beside.get("source") or {}).get("title")
        if title != source:
            source = title
            yield source or "without a source"
        row = unit.row
        rows = f", {counted(len(unit.unchecked), 'row')}" if len(unit.unchecked) > 1 else ""
        yield (
            f"  {row.get('locator') or 'no page'}: {unit.table} {unit.key}"
            f" ({row['entered_by']}, {row['entered_on']}{rows})"
        )
        if unit.table == "source" and unit.key in again:
            yield f"      {again[unit.key]}"
        if unit.remarks:
            yield f"      returned by {unit.remarks[-1].who}: {unit.remarks[-1].remark}"
    yield f"{counted(len(units), 'check')} to be made"


def _show(unit: Unit, said: Counts | None, again: Mapping[str, Lifted]) -> None:
    import sys

    from towdb.report.rows import write_lines

    write_lines(_page(unit, again), sys.stdout)
    if unit.table == "eligibility" and said is None:
        lines = [
            "",
            "Count the steps, fuses and limits on the page, then see the rows:",
            f"  towdb record review eligibility {unit.key} --counts STEPS,FUSES,LIMITS",
        ]
    else:
        lines = [*_rows(unit), "", "Compare each with the page, then: --accept, or --return TEXT"]
        if said is not None and said != unit.counts:
            there = unit.counts
            lines[-1] = (
                f"You counted {said.steps} steps, {said.fuses} fuses and {said.limits} limits; on"
                f" record are {there.steps}, {there.fuses} and {there.limits}. Compare again, or"
                " --return TEXT"
            )
    write_lines(lines, sys.stdout)


def _page(unit: Unit, again: Mapping[str, Lifted]) -> Iterator[str]:
    row = unit.row
    source = unit.beside.get("source")
    yield f"{unit.table} {unit.key}"
    if source is not None:
        yield f"  {source['title']}, {row['locator']}"
    if row.get("quote"):
        yield f'  "{row["quote"]}"'
    yield f"  entered by {row['entered_by']} on {row['entered_on']}"
    if row.get("source_id") in again:
        yield f"  source {row['source_id']}: {again[str(row['source_id'])]}"
    for remark in unit.remarks:
        yield f"  returned by {remark.who} on {remark.at[:10]}: {remark.remark}"


def _rows(unit: Unit) -> Iterator[str]:
    from towdb.record.store.tables import ENTRY

    hidden = {*ENTRY, "source_id", "locator", "file_page", "quote", "basis"}
    group = unit.beside.get("vehicle_group")
    if group is not None:
        said = (f"{name} {cell}" for name, cell in group.items() if cell and name not in hidden)
        yield f"  of: {', '.join(said)}"
    for table, row in unit.as_printed:
        said = (f"{name} {cell}" for name, cell in row.items() if cell and name not in hidden)
        mark = "checked" if row["checked_by"] else "awaits a check"
        yield f"  {table}, {row.get('locator') or 'no page'} ({mark}): {', '.join(said)}"
        if row.get("quote"):
            yield f'      "{row["quote"]}"'
