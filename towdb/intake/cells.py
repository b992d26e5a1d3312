"""What was typed, read by the contract's own reader: each distinct text once, the rest is SQL.

For each column a temp table ``read_<column>``: a raw text, and what it means. What is wrong is in
``bad_text`` and ``bad_name``, from which `Reading.bad_rows` finds the rows.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from decimal import Decimal
from itertools import chain
from typing import Any

import duckdb

from towdb.contract.grammar import Fault, fold
from towdb.contract.model import contract
from towdb.contract.typed import typed_cell, typed_mass, typed_word
from towdb.duck.literals import literal, quoted
from towdb.errors import UsageError, did_you_mean
from towdb.intake.candidates import ATTRIBUTES, FAULTS_SHOWN, InventoryRows

WEIGHTS = {
    "as_weighed": "as_weighed_kg",
    "gvwr": "gvwr_kg",
    "curb_weight": "curb_kg",
    "load": "load_kg",
}
# Distinct texts that are in Python at once.
_BATCH = 50_000
TWICE = Fault("unique", "two cars have this name", "give each car a name of its own")
Row = tuple[Any, ...]
Convert = Callable[[Any], list[Any]]

# What a verdict reads, except makes, models and weights: what is kept of a cell, and how.
_LOOKED_AT: dict[str, tuple[dict[str, str], Convert]] = {
    "model_year": ({"value": "INTEGER"}, lambda value: [value]),
    "options_complete": ({"value": "INTEGER"}, lambda value: [int(value == "yes")]),
    "built_on": ({"low": "DATE", "high": "DATE"}, lambda value: [value.low, value.high]),
    "options": ({"items": "VARCHAR[]"}, lambda value: [list(value)]),
    "confirmed": ({"items": "VARCHAR[]"}, lambda value: [list(value)]),
    "procedure": ({"value": "VARCHAR"}, lambda value: [value]),
    **{attribute: ({"word": "VARCHAR"}, lambda value: [fold(value)]) for attribute in ATTRIBUTES},
}
# A date of listing is read too, so that a text that is not a date shows; no verdict reads it.
READINGS = {**_LOOKED_AT, "listed_on": ({"value": "DATE"}, lambda value: [value])}
RESTED_ON = frozenset({"make", "model", "weight_unit", *WEIGHTS, *_LOOKED_AT})
# The rest of the contract's columns goes along with a car and decides nothing.
LEAVABLE = tuple(field.name for field in contract().candidate.fields if field.name not in RESTED_ON)


def unit_fault(text: str) -> Fault | None:
    """What is wrong with the unit of a whole row."""
    if not text or typed_word("unit", text) is not None:
        return None
    near = did_you_mean(text, contract().vocabularies["unit"].words)
    return Fault("unit", f"unknown unit{near}", "use lb or kg")


def weight_of(column: str, text: str, unit: str) -> Decimal | Fault | None:
    """What a cell of a weight means with the unit of its row; None: it is empty."""
    known = typed_word("unit", unit) if unit else None
    if not text or (unit and known is None):
        return None  # empty, or the fault of the unit is reported instead
    mass = typed_mass(text, known, contract().candidate.field(column))
    return _with_unit(mass) if isinstance(mass, Fault) else mass


def _with_unit(wrong: Fault) -> Fault:
    """For a bare figure: add that a column may give the unit of whole rows."""
    if not wrong.message.endswith("has no unit"):
        return wrong
    return Fault(wrong.rule, wrong.message, f"{wrong.remedy}, or lb or kg in a column weight_unit")


class Reading:
    """Reads the columns of ``inventory_rows``.

    Parameters
    ----------
    con : DuckDBPyConnection
        Where ``inventory_rows`` is.
    loaded : InventoryRows
        What it is.
    assumed : dict
        What is assumed for cars whose cell is empty.
    """

    def __init__(
        self, con: duckdb.DuckDBPyConnection, loaded: InventoryRows, assumed: dict[str, str]
    ) -> None:
        self.con, self.loaded, self.assumed = con, loaded, assumed
        self.bad: list[str] = []
        con.execute(
            "CREATE OR REPLACE TEMP TABLE bad_text (column_name VARCHAR, raw VARCHAR, unit VARCHAR,"
            " rule VARCHAR, message VARCHAR, remedy VARCHAR)"
        )

    def columns(self, step: Callable[[str], None] = lambda _: None) -> None:
        """Read all that a verdict reads, except makes and models."""
        step("candidate")
        self.names()
        for column, (into, convert) in READINGS.items():
            step(column)
            self.read(column, into, convert)
        self.units()
        for column in WEIGHTS:
            step(column)
            self.weights(column)

    def has(self, column: str) -> bool:
        """Whether the inventory has the column."""
        return column in self.loaded.columns

    def fetch(self, query: str, parameters: Sequence[Any] = ()) -> list[Row]:
        """The rows of a query."""
        return self.con.execute(query, list(parameters)).fetchall()

    def distinct(self, query: str) -> Iterator[list[Row]]:
        """The rows of a query that selects distinct ones, at most so many at a time."""
        rows = self.fetch(f"{query} LIMIT {_BATCH + 1}")
        if len(rows) <= _BATCH:
            yield rows
            return
        self.con.execute(f"CREATE OR REPLACE TEMP TABLE distinct_text AS {query}")
        ((count,),) = self.fetch("SELECT COUNT(*) FROM distinct_text")
        for first in range(0, count, _BATCH):
            yield self.fetch(
                "FROM distinct_text WHERE rowid >= $1 AND rowid < $2", [first, first + _BATCH]
            )
        self.con.execute("DROP TABLE distinct_text")

    def read(
        self,
        column: str,
        into: dict[str, str],
        convert: Convert,
        name: str = "",
    ) -> None:
        """Create ``read_<column>``, or a table of that name: raw text, and what it means."""
        field = contract().candidate.field(column)
        kinds = {"raw": "VARCHAR", **into}
        name = name or f"read_{column}"
        self.create(name, kinds)
        assumed = self.assumed.get(column, "")
        texts = (
            self.distinct(f'SELECT DISTINCT "{column}" FROM inventory_rows')
            if self.has(column)
            else ()
        )
        is_there = False
        for raws in chain(texts, [[(assumed,)]]):
            rows, bad = [], {}
            for (raw,) in raws:
                if not raw or not raw.strip() or (raw == assumed and is_there):
                    continue
                is_there = is_there or raw == assumed
                text = self.loaded.meant(column, raw) or assumed
                wrong = self.loaded.fault(column, raw)
                value = wrong or (typed_cell(field, text) if text else None)
                if isinstance(value, Fault):
                    bad[raw] = value
                elif value is not None:
                    rows.append([raw, *convert(value)])
            self.enter(name, kinds, rows)
            self.blame(column, [(raw, None, wrong) for raw, wrong in bad.items()])

    def is_read(self, column: str) -> bool:
        """Whether ``read_<column>`` exists."""
        return self._is_there(f"read_{column}")

    def _is_there(self, name: str) -> bool:
        query = "SELECT 1 FROM duckdb_tables() WHERE table_name = $1 AND temporary"
        return bool(self.fetch(query, [name]))

    def create(self, name: str, columns: dict[str, str]) -> None:
        """Create a temp table."""
        body = ", ".join(f'"{column}" {kind}' for column, kind in columns.items())
        self.con.execute(f"CREATE TEMP TABLE {name} ({body})")

    def enter(self, name: str, columns: dict[str, str], rows: Iterable[Sequence[Any]]) -> None:
        """Insert rows in one statement."""
        cells = [list(column) for column in zip(*rows, strict=True)]
        if cells:
            columns_read = ", ".join(
                f"unnest(${i}::{kind}[])" for i, kind in enumerate(columns.values(), start=1)
            )
            self.con.execute(f"INSERT INTO {name} SELECT {columns_read}", cells)

    # ------------------------------------------------------------ names and weights

    def names(self) -> None:
        """Create ``bad_name`` if two cars have one name."""
        named = f"SELECT t.candidate_no, {self.name()} AS candidate FROM inventory_rows AS t"
        # Numbers are compared several times faster than names.
        alike = f"SELECT COUNT(*) > COUNT(DISTINCT hash(candidate)) FROM ({named})"
        if self.has("candidate") and self.fetch(alike) == [(True,)]:
            self.con.execute(
                f"CREATE TEMP TABLE bad_name AS WITH named AS ({named})"
                " SELECT candidate_no, candidate FROM named WHERE candidate IN"
                " (SELECT candidate FROM named GROUP BY candidate HAVING COUNT(*) > 1)"
            )
            if self.fetch("SELECT 1 FROM bad_name LIMIT 1"):
                self.bad.append("candidate")

    def name(self) -> str:
        """What a car is called in results: the name that was typed, else its row."""
        typed_name = "nullif(trim(t.candidate), '')" if self.has("candidate") else "NULL"
        return f"COALESCE({typed_name}, 'row ' || t.candidate_no)"

    def units(self) -> None:
        """Find units of whole rows that are not units."""
        if not self.has("weight_unit"):
            return
        for raws in self.distinct("SELECT DISTINCT weight_unit FROM inventory_rows"):
            bad = []
            for (raw,) in raws:
                wrong = unit_fault(self.loaded.meant("weight_unit", raw))
                if wrong:
                    bad.append((raw, None, wrong))
            self.blame("weight_unit", bad)

    def weights(self, column: str) -> None:
        """Create ``read_<column>`` of a weight: raw text, the unit of its row, kilograms."""
        kinds = {"raw": "VARCHAR", "unit": "VARCHAR", "kg": "DECIMAL(18,10)"}
        self.create(f"read_{column}", kinds)
        if not self.has(column):
            return
        unit = self.unit_of_row()
        for texts in self.distinct(
            f'SELECT DISTINCT "{column}", {unit} FROM inventory_rows AS t'
            f" WHERE trim(\"{column}\") <> ''"
        ):
            rows, bad = [], []
            for raw, raw_unit in texts:
                unit_text = self.loaded.meant("weight_unit", raw_unit)
                wrong = self.loaded.fault(column, raw, unit_text)
                mass = wrong or weight_of(column, self.loaded.meant(column, raw), unit_text)
                if isinstance(mass, Fault):
                    bad.append((raw, raw_unit, mass))
                elif mass is not None:
                    rows.append([raw, raw_unit, format(mass, "f")])
            self.enter(f"read_{column}", kinds, rows)
            self.blame(column, bad)

    def unit_of_row(self) -> str:
        """The SQL of the unit of a row's bare figures."""
        return 't."weight_unit"' if self.has("weight_unit") else "CAST(NULL AS VARCHAR)"

    # ------------------------------------------------------------ looking up what was read

    def is_given(self, column: str) -> bool:
        """Whether it is given for any car."""
        return self.has(column) or column in self.assumed

    def cell(self, column: str) -> str:
        """The SQL of a raw cell, or of what is assumed where it is empty."""
        column_sql = f't."{column}"' if self.has(column) else "CAST(NULL AS VARCHAR)"
        if column in self.assumed:
            return f"COALESCE(nullif(trim({column_sql}), ''), {literal(self.assumed[column])})"
        return column_sql

    def looked_up(self, column: str, value: str, kind: str, name: str = "") -> str:
        """The SQL of what a column means, once it is joined."""
        found = f'r_{column}."{value}"' if self.is_given(column) else f"CAST(NULL AS {kind})"
        return f"{found} AS {name or column}"

    def joined(self, column: str, table: str = "") -> str:
        """The join to what a column means; `table` replaces ``read_<column>``."""
        read = table or f"read_{column}"
        return f"LEFT JOIN {read} AS r_{column} ON r_{column}.raw = {self.cell(column)}"

    def weighed(self, column: str, exact: str) -> tuple[str, list[str]]:
        """The SQL of a weight in kilograms, and its join."""
        if not self.has(column):
            return f"CAST(NULL AS DECIMAL(18,10)) AS {exact}", []
        return f"k_{column}.kg AS {exact}", [
            f'LEFT JOIN read_{column} AS k_{column} ON k_{column}.raw = t."{column}"'
            f" AND k_{column}.unit IS NOT DISTINCT FROM {self.unit_of_row()}"
        ]

    # ------------------------------------------------------------ what is wrong

    def blame(self, column: str, bad: Sequence[tuple[str, str | None, Fault]]) -> None:
        """Record what is wrong with texts of a column, for weights with the unit of the row."""
        if bad:
            kinds = dict.fromkeys(
                ("column_name", "raw", "unit", "rule", "message", "remedy"), "VARCHAR"
            )
            rows = [[column, raw, unit, f.rule, f.message, f.remedy] for raw, unit, f in bad]
            self.enter("bad_text", kinds, rows)
            self.bad += [column] if column not in self.bad else []

    def bad_rows(self, but: Collection[str] = ()) -> str:
        """The SELECT of all faulty cells: `candidate_no`, column, value and what is wrong.

        `but` names columns to leave out.
        """
        bad = [column for column in self.bad if column not in but]
        selects = []
        for column in bad:
            same = f"b.column_name = {literal(column)} AND b.raw = t.{quoted(column)}"
            if column in WEIGHTS:
                same += f" AND b.unit IS NOT DISTINCT FROM {self.unit_of_row()}"
            selects.append(
                f"SELECT t.candidate_no, b.column_name, b.raw AS value, b.rule, b.message,"
                " b.remedy FROM inventory_rows AS t JOIN bad_text AS b ON"
                f" {same}{self._unless_unread()}"
            )
        if "candidate" in bad and self.is_named_twice():
            selects.append(
                "SELECT candidate_no, 'candidate', candidate,"
                f" {', '.join(map(literal, (TWICE.rule, TWICE.message, TWICE.remedy)))}"
                " FROM bad_name"
            )
        if self.loaded.unread:
            left_out = ", ".join(map(literal, but)) or "''"
            selects.append(
                "FROM unread_cell SEMI JOIN inventory_rows USING (candidate_no)"
                f" WHERE column_name NOT IN ({left_out})"
            )
        return " UNION ALL ".join(selects)

    def _unless_unread(self) -> str:
        """The SQL that leaves out cells that are reported already, whatever their text."""
        if not self.loaded.unread:
            return ""
        return (
            " WHERE NOT EXISTS (SELECT 1 FROM unread_cell AS u"
            " WHERE u.candidate_no = t.candidate_no AND u.column_name = b.column_name)"
        )

    def is_named_twice(self) -> bool:
        """Whether two cars have one name: then ``bad_name`` exists."""
        return self._is_there("bad_name")

    def refuse(self, but: Collection[str] = ()) -> None:
        """Raise if anything is wrong in any column but these.

        Raises
        ------
        UsageError
            One line for each thing to mend.
        """
        rows = self.bad_rows(but)
        ((count,),) = self.fetch(f"SELECT COUNT(*) FROM ({rows})") if rows else ((0,),)
        if not count:
            return
        shown = [
            fault_line(self.loaded, *row)
            for row in self.fetch(
                f"FROM ({rows}) ORDER BY candidate_no, column_name LIMIT {FAULTS_SHOWN}"
            )
        ]
        if count > FAULTS_SHOWN:
            shown.append(f"{self.loaded.name}: … and {count - FAULTS_SHOWN:,} more")
        raise UsageError("\n".join(shown))


def fault_line(
    loaded: InventoryRows, number: int, column: str, raw: str, _: str, message: str, remedy: str
) -> str:
    """One faulty cell as a line."""
    file, line = loaded.place(number)
    return f"{file}, line {line}, {cell_fault(column, raw, message, remedy)}"


def cell_fault(column: str, raw: str, message: str, remedy: str) -> str:
    """What is wrong with a cell, without its place."""
    shown = raw if len(raw) <= 60 else raw[:57] + "…"
    return f"{column}: {shown!r}: {message}; {remedy}"
