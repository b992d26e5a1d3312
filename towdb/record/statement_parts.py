"""A statement and its parts: limits, steps and fuses, in printed order, counted, and withdrawn."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import partial
from typing import Any

from towdb.contract.grammar import fold, split_list
from towdb.contract.model import contract
from towdb.record.store.record import Row, Rows

# What is entered, checked and counted with its statement.
PARTS = ("procedure_step", "fuse_pull", "towing_limit")
_COUNTS = ("steps_before", "steps_en_route", "steps_after", "fuse_pulls", "limits")
# The columns inside which the steps of a table are numbered.
_NUMBERED = {"procedure_step": ("eligibility_id", "phase"), "general_step": ("sequence",)}

Parts = Mapping[str, Sequence[Row]]
Keys = Collection[tuple[str, str]]


def key_of(table: str, row: Row) -> str:
    """The id of a row."""
    return str(row.get(contract().tables[table].key))


def by_number(text: str | None) -> tuple[tuple[int, int, str], ...]:
    """A text to sort by, its figures as numbers: page 98 comes before page 214."""
    parts = re.findall("([0-9]+)|([^0-9]+)", text or "")
    return tuple((0, int(figure), "") if figure else (1, 0, words) for figure, words in parts)


# ---------------------------------------------------------------- the order of a page


def printed_place(table: str, row: Row, step: Row | None = None) -> tuple[Any, ...]:
    """Where a row belongs among those of its statement, to sort by.

    Limits come first, then the steps by phase and number.

    Parameters
    ----------
    table : str
        The row's table.
    row : Row
        The row.
    step : Row, optional
        For a fuse: its step, which it follows.
    """
    at = row if step is None else step
    rank = {"eligibility": 0, "towing_limit": 1}.get(table, 2)
    named = [by_number(row.get(name)) for name in ("alternative_no", "position")]
    # A cell that a workbook spoiled may contain anything.
    number = by_number(at.get("step_no"))
    phase = contract().vocabularies["phase"].order_of(at.get("phase") or "")
    return (rank, phase, number, table == "fuse_pull", *named,
            by_number(key_of(table, row)))  # fmt: skip


def page_place(table: str, row: Row) -> tuple[Any, ...]:
    """Where a row belongs among those of its table, to sort by: source and page, then its id."""
    source, page = row.get("source_id") or "", by_number(row.get("locator"))
    return (source, page, by_number(key_of(table, row)))


def in_printed_order(rows: Rows) -> Rows:
    """Rows by table: statements as pages follow, their parts as the page prints them; others by id.

    The parts of one statement stay together.
    """
    statements = sorted(rows["eligibility"], key=partial(page_place, "eligibility"))
    number = {key_of("eligibility", row): n for n, row in enumerate(statements)}
    steps = {key_of("procedure_step", row): row for row in rows["procedure_step"]}

    def place(table: str, row: Row) -> tuple[Any, ...]:
        step = steps.get(str(row["procedure_step_id"])) if table == "fuse_pull" else None
        statement = str((step or row).get("eligibility_id"))
        return (number.get(statement, -1), *printed_place(table, row, step))

    return {
        name: sorted(listed, key=partial(place, name)) if name in PARTS else listed
        for name, listed in {**rows, "eligibility": statements}.items()
    }


# ---------------------------------------------------------------- whose they are, and how many


def parts_of(rows: Rows) -> defaultdict[str, dict[str, list[Row]]]:
    """Parts by statement, then by table; empty lists for a statement without parts."""
    found: defaultdict[str, dict[str, list[Row]]] = defaultdict(lambda: {n: [] for n in PARTS})
    statements = {}
    for name in ("procedure_step", "towing_limit"):
        for row in rows.get(name, ()):
            # What comes in may lack any column.
            statements[name, key_of(name, row)] = str(row.get("eligibility_id"))
            found[str(row.get("eligibility_id"))][name].append(row)
    for row in rows.get("fuse_pull", ()):
        statement = statements.get(("procedure_step", str(row.get("procedure_step_id"))))
        if statement is not None:
            found[statement]["fuse_pull"].append(row)
    return found


def entered_counts(parts: Parts) -> dict[str, int]:
    """How many steps, fuses and limits are entered, by the column of the printed number."""
    # As `printed_count` of the reference, for rows that are not in a database: several rows may be
    # one printed step, `once` is printed among the steps before, a boxed warning has no number.
    steps = {
        ("before" if row.get("phase") == "once" else row.get("phase"), fold(printed))
        for row in parts.get("procedure_step", ())
        if (printed := row.get("printed_no")) is not None and row.get("kind") != "warning"
    }
    found = Counter(f"steps_{phase}" for phase, _ in steps)
    found["fuse_pulls"] = len(parts.get("fuse_pull", ()))
    found["limits"] = len(parts.get("towing_limit", ()))
    return {column: found[column] for column in _COUNTS}


def _counted(statement: Row) -> Sequence[str]:
    # Steps by same_steps_as are counted at the other statement.
    return _COUNTS if statement.get("same_steps_as") is None else ("limits",)


def left_out(incoming: Rows, stands: Rows) -> Iterator[tuple[str, str, str]]:
    """Parts on record that are missing from statements that came whole.

    A statement came whole if as many steps, fuses and limits came with it as its page prints.

    Yields
    ------
    tuple
        The statement, and table and key of the part.
    """
    came, present = parts_of(incoming), parts_of(stands)
    incoming_keys = {(name, key_of(name, row)) for name in PARTS for row in incoming.get(name, ())}
    for row in incoming.get("eligibility", ()):
        statement = key_of("eligibility", row)
        counts = entered_counts(came[statement])
        if all(row.get(column) == str(counts[column]) for column in _counted(row)):
            on_record = (
                (name, key_of(name, r)) for name in PARTS for r in present[statement][name]
            )
            yield from ((statement, *part) for part in on_record if part not in incoming_keys)


# ---------------------------------------------------------------- withdrawing parts


def below(rows: Rows, table: str, key: str) -> Iterator[tuple[str, str]]:
    """Table and key of what belongs to a row, and is withdrawn with it."""
    children = {"eligibility": ("towing_limit", "procedure_step"), "procedure_step": ("fuse_pull",)}
    for name in children.get(table, ()):
        for row in rows[name]:
            if row[f"{table}_id"] == key:
                child = key_of(name, row)
                yield name, child
                yield from below(rows, name, child)


def losing(rows: Rows, gone: Keys) -> set[str]:
    """Statements that lose a part: their own, or one that they have by same_steps_as."""
    parts = parts_of(rows)
    found = set()
    for row in rows["eligibility"]:
        statement, shared = str(row["eligibility_id"]), row["same_steps_as"] or ""
        own = [(name, r) for name in PARTS for r in parts[statement][name]]
        own += [(name, r) for name in ("procedure_step", "fuse_pull") for r in parts[shared][name]]
        if any((name, key_of(name, r)) in gone for name, r in own):
            found.add(statement)
    return found - {key for table, key in gone if table == "eligibility"}


def without(rows: Rows, gone: Keys, entry: Row) -> Rows:
    """The rows on record without some of them, with all that follows from it in one change.

    Steps are numbered without a gap, a statement counts as many parts as are left, and overrides no
    statement that is gone. A row that changes gets the new entry, so it awaits a check; so does
    every statement that loses a part, counted or not.

    Parameters
    ----------
    rows : Rows
        The rows on record, all tables.
    gone : collection of (table, key)
        The rows that are withdrawn.
    entry : Row
        Who withdraws them, and when, as a row's entry.
    """
    left = {
        name: [row for row in listed if (name, key_of(name, row)) not in gone]
        for name, listed in rows.items()
    }
    parts, loses = parts_of(left), losing(rows, gone)
    statements = {key for table, key in gone if table == "eligibility"}

    def stated(row: Row) -> Row:
        statement = str(row["eligibility_id"])
        counts = entered_counts(parts[statement])
        cells: Row = {}
        if statement in loses:
            cells = {c: str(counts[c]) for c in _counted(row) if row[c] is not None}
        named = split_list(row["overrides"] or "")
        if statements & {*named}:
            cells["overrides"] = ", ".join(k for k in named if k not in statements) or None
        return row | cells | entry if cells or statement in loses else row

    left["eligibility"] = [stated(row) for row in left["eligibility"]]
    for name, inside in _NUMBERED.items():
        places = {
            tuple(r[c] for c in inside) for r in rows[name] if (name, key_of(name, r)) in gone
        }
        left[name] = _numbered(left[name], inside, places, entry)
    return left


def _numbered(
    rows: Sequence[Row], inside: Sequence[str], places: Collection[tuple[Any, ...]], entry: Row
) -> list[Row]:
    last: Counter[tuple[Any, ...]] = Counter()
    found = {}
    for row in sorted(rows, key=lambda row: by_number(row["step_no"])):
        place = tuple(row[c] for c in inside)
        last[place] += 1
        number = str(last[place])
        moved = place in places and row["step_no"] != number
        found[id(row)] = row | {"step_no": number} | entry if moved else row
    return [found[id(row)] for row in rows]
