"""The second pair of eyes: what awaits a check, and what a person says of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from sqlalchemy import func, insert, select

from towdb.contract.grammar import fold
from towdb.contract.model import contract
from towdb.errors import UsageError
from towdb.record.entry import require_table
from towdb.record.said import same_person
from towdb.record.store import Record, Row, Rows, rows_of
from towdb.record.tables import current, metadata

CHILDREN = ("procedure_step", "fuse_pull", "towing_limit")
# What is checked together, in the order in which a page is compared.
TOGETHER = ("eligibility", *CHILDREN)


class Counts(NamedTuple):
    """How many steps, fuses and limits a page prints."""

    steps: int
    fuses: int
    limits: int


class Remark(NamedTuple):
    """Why a row was returned, by whom and when."""

    at: str
    who: str
    remark: str


@dataclass(frozen=True)
class Unit:
    """What is checked together: a statement with its steps, fuses and limits, or one other row."""

    table: str
    key: str
    rows: Mapping[str, list[Row]]
    beside: Mapping[str, Row]
    remarks: tuple[Remark, ...]

    @property
    def row(self) -> Row:
        """The statement, or the one row."""
        return self.rows[self.table][0]

    @property
    def unchecked(self) -> list[tuple[str, str]]:
        """Table and key of what awaits a check."""
        return [
            (table, str(row[contract().tables[table].key]))
            for table, rows in self.rows.items()
            for row in rows
            if row["checked_by"] is None
        ]

    @property
    def counts(self) -> Counts:
        """How many steps, fuses and limits are on record; steps by the numbers that are printed."""
        # As the rule on printed counts: `once` is printed among the steps before, and a boxed
        # warning has no number.
        steps = {
            ("before" if row["phase"] == "once" else row["phase"], fold(row["printed_no"]))
            for row in self.rows.get("procedure_step", ())
            if row["printed_no"] is not None and row["kind"] != "warning"
        }
        return Counts(
            len(steps), len(self.rows.get("fuse_pull", ())), len(self.rows.get("towing_limit", ()))
        )


def awaiting(record: Record) -> list[Unit]:
    """What awaits a check, by source and page: statement by statement, then other rows."""
    return [unit for unit in _units(record.rows(), _remarks(record)) if unit.unchecked]


def find_unit(record: Record, key: str, table: str = "eligibility") -> Unit:
    """What is checked together with one row.

    Raises
    ------
    UsageError
        If there is no such row.
    """
    require_table(table)
    unit = _find(record.rows(), _remarks(record), table, key)
    if unit is not None:
        return unit
    if table in CHILDREN:
        raise UsageError(f"{table} {key}: is checked with its statement; name that")
    raise UsageError(f"{table} {key[:80]}: is not on record")


def accept(
    record: Record, unit: Unit, *, who: str, counts: Counts | None = None, why: str = ""
) -> list[tuple[str, str]]:
    """Say that rows were compared with their page and stand there.

    Parameters
    ----------
    record : Record
        The record.
    unit : Unit
        As it was shown: if it has changed since, nothing is accepted.
    who : str
        Who compared them.
    counts : Counts, optional
        How many steps, fuses and limits the page prints; a statement needs them.
    why : str
        A remark on the change.

    Returns
    -------
    list of (table, key)
        The rows that are checked now.

    Raises
    ------
    UsageError
        If the person may not check them today, or they count something else than is on record.
    """
    if unit.table == "eligibility":
        _require_counts(unit, counts)
    with record.changing(who, why or f"check of {unit.table} {unit.key}") as changing:
        change = changing.change
        rows = {name: rows_of(changing.con, name) for name in contract().tables}
        for table, key in _changed(unit, _find(rows, {}, unit.table, unit.key)):
            raise UsageError(f"{table} {key}: was changed meanwhile; look at it again")
        checked: dict[str, list[Row]] = {}
        for table, listed in unit.rows.items():
            for row in (row for row in listed if row["checked_by"] is None):
                _require_other_person_or_day(table, row, change.who, change.day)
                check = {"checked_by": change.who, "checked_on": change.day}
                checked.setdefault(table, []).append({**row, **check})
        for table, listed in checked.items():
            changing.replace(table, listed)
    return unit.unchecked


def give_back(record: Record, unit: Unit, *, who: str, remark: str) -> None:
    """Return rows to the person who entered them, with a remark.

    Raises
    ------
    UsageError
        If the remark is empty.
    """
    if not remark.strip():
        raise UsageError("say what is wrong: --return TEXT")
    table = metadata().tables["returned"]
    with record.changing(who, f"return of {unit.table} {unit.key}") as changing:
        number = (changing.con.scalar(select(func.max(table.c.number))) or 0) + 1
        now = current(unit.table)
        key = contract().tables[unit.table].key
        from_change = changing.con.scalar(select(now.c.from_change).where(now.c[key] == unit.key))
        if from_change is None:
            raise UsageError(f"{unit.table} {unit.key}: is no longer on record")
        row = {
            "number": number, "table_name": unit.table, "row_key": unit.key,
            "from_change": from_change, "at": changing.change.at, "who": changing.change.who,
            "remark": remark.strip(),
        }  # fmt: skip
        changing.con.execute(insert(table), [row])


def _require_counts(unit: Unit, counts: Counts | None) -> None:
    if counts is None:
        raise UsageError(
            "say how many steps, fuses and limits the page prints: --counts STEPS,FUSES,LIMITS"
        )
    if counts != unit.counts:
        # Which of them is meant, the person finds on the page: told, they would only agree.
        raise UsageError(
            f"eligibility {unit.key}: the record holds other counts than the page, by yours;"
            " compare again, or return it with a remark"
        )


def _require_other_person_or_day(table: str, row: Row, who: str, day: str) -> None:
    key = row[contract().tables[table].key]
    if str(row["entered_on"]) > day:
        raise UsageError(
            f"{table} {key}: was entered on {row['entered_on']}, where the day had begun; today is"
            f" {day} in UTC: check it from that day on"
        )
    if same_person(row["entered_by"], who) and str(row["entered_on"]) == day:
        raise UsageError(
            f"{table} {key}: was entered by {row['entered_by']} on {row['entered_on']};"
            " somebody else checks it, or you do on a later day"
        )


def _changed(shown: Unit, stands: Unit | None) -> Iterator[tuple[str, str]]:
    """Table and key of what is no longer as it was shown, or has come since."""
    for table, listed in shown.rows.items():
        key = contract().tables[table].key
        before, now = (
            {str(row[key]): row for row in rows}
            for rows in (listed, stands.rows[table] if stands else [])
        )
        yield from ((table, k) for k in [*before, *now] if before.get(k) != now.get(k))


def _find(
    rows: Rows, remarks: Mapping[tuple[str, str], list[Remark]], table: str, key: str
) -> Unit | None:
    units = _units(rows, remarks)
    return next((unit for unit in units if (unit.table, unit.key) == (table, key)), None)


def _units(rows: Rows, remarks: Mapping[tuple[str, str], list[Remark]]) -> Iterator[Unit]:
    by_key = {
        name: {str(row[table.key]): row for row in rows[name]}
        for name, table in contract().tables.items()
    }
    steps, fuses, limits = (_by_parent(rows[name], parent) for name, parent in (
        ("procedure_step", "eligibility_id"),
        ("fuse_pull", "procedure_step_id"),
        ("towing_limit", "eligibility_id"),
    ))  # fmt: skip

    def unit(table: str, row: Row, children: Mapping[str, list[Row]]) -> Unit:
        beside = {
            name: by_key[name][str(row[f"{name}_id"])]
            for name in ("source", "vehicle_group", "coach", "equipment")
            if name != table and row.get(f"{name}_id") in by_key[name]
        }
        key = str(row[contract().tables[table].key])
        said = tuple(remarks.get((table, key), ()))
        return Unit(table, key, {table: [row], **children}, beside, said)

    def place(row: Row) -> tuple[str, str]:
        return (row.get("source_id") or "", row.get("locator") or "")

    for row in sorted(rows["eligibility"], key=place):
        own = steps.get(str(row["eligibility_id"]), [])
        yield unit(
            "eligibility",
            row,
            {
                "procedure_step": own,
                "fuse_pull": [
                    fuse for step in own for fuse in fuses.get(str(step["procedure_step_id"]), ())
                ],
                "towing_limit": limits.get(str(row["eligibility_id"]), []),
            },
        )
    for name in contract().tables:
        if name not in TOGETHER:
            for row in sorted(rows[name], key=place):
                yield unit(name, row, {})


def _by_parent(rows: Iterable[Row], parent: str) -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {}
    for row in rows:
        found.setdefault(str(row[parent]), []).append(row)
    return found


def _remarks(record: Record) -> dict[tuple[str, str], list[Remark]]:
    """Remarks on versions that still stand."""
    table = metadata().tables["returned"]
    found: dict[tuple[str, str], list[Remark]] = {}
    with record.reading() as con:
        for row in con.execute(select(table).order_by(table.c.number)):
            now = current(row.table_name)
            key = contract().tables[row.table_name].key
            stands = con.scalar(select(now.c.from_change).where(now.c[key] == row.row_key))
            if stands == row.from_change:
                at = (row.table_name, row.row_key)
                found.setdefault(at, []).append(Remark(row.at, row.who, row.remark))
    return found
