"""What awaits a check, and a statement or row beside its page."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

from towdb.record.reinstate import Lifted
from towdb.record.review import Counts, Unit
from towdb.record.store.tables import ENTRY
from towdb.report.answer import Answer, lines_answer
from towdb.report.figures import counted

_COLUMNS = ("table", "key", "source", "locator", "entered_by", "entered_on", "awaits", "returned")


def waiting_answer(units: Sequence[Unit], again: Mapping[str, Lifted]) -> Answer:
    """What awaits a check, by source and page; `again`: sources whose withdrawal was lifted."""
    return _answer(_waiting(units, again), units)


def unit_answer(unit: Unit, said: Counts | None, again: Mapping[str, Lifted]) -> Answer:
    """A statement or row beside its page; the rows of a statement once it was counted (`said`)."""
    return _answer([*_page(unit, again), *_task(unit, said)], [unit])


def returned_lines(unit: Unit, lost: Collection[object]) -> Iterator[str]:
    """The person to whom a unit goes back, and how many checks were lost by it."""
    yield f"{unit.table} {unit.key}: returned to {unit.row['entered_by']}"
    if lost:
        rows = counted(len(lost), "row")
        yield f"  {rows} had been checked and must be checked again; until then it permits nothing"


def checked_line(unit: Unit, checked: Collection[object], who: str) -> str:
    """How many rows were checked by whom."""
    return f"{unit.table} {unit.key}: {counted(len(checked), 'row')} checked by {who}"


def _answer(lines: Iterator[str] | list[str], units: Sequence[Unit]) -> Answer:
    return lines_answer(lines, lambda: (_COLUMNS, [_listed(unit) for unit in units]))


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


def _task(unit: Unit, said: Counts | None) -> Iterator[str]:
    """Nobody counts what they have just seen listed: rows follow the count."""
    if unit.table == "eligibility" and said is None:
        yield ""
        yield "Count the steps, fuses and limits on the page, then see the rows:"
        yield f"  towdb record review eligibility {unit.key} --counts STEPS,FUSES,LIMITS"
        return
    yield from _rows(unit)
    yield ""
    if said is None or said == unit.counts:
        yield "Compare each with the page, then: --accept, or --return TEXT"
        return
    there = unit.counts
    yield (
        f"You counted {said.steps} steps, {said.fuses} fuses and {said.limits} limits; on"
        f" record are {there.steps}, {there.fuses} and {there.limits}. Compare again, or"
        " --return TEXT"
    )


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
    hidden = {*ENTRY, "source_id", "locator", "file_page", "quote", "basis"}
    group = unit.beside.get("vehicle_group")
    if group is not None:
        said = (f"{name} {cell}" for name, cell in group.items() if cell and name not in hidden)
        yield f"  group: {', '.join(said)}"
    for table, row in unit.as_printed:
        said = (f"{name} {cell}" for name, cell in row.items() if cell and name not in hidden)
        mark = "checked" if row["checked_by"] else "awaits a check"
        yield f"  {table}, {row.get('locator') or 'no page'} ({mark}): {', '.join(said)}"
        if row.get("quote"):
            yield f'      "{row["quote"]}"'
