"""From typed text to what the engine starts at: candidates, and configurations of numbers.

Each distinct text is read once, by the contract's own reader; the rest is set-based. A
configuration holds only what the release can tell apart: a million cars are a few thousand.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

import duckdb

from towdb.contract.grammar import Fault, fold
from towdb.contract.model import contract
from towdb.contract.typed import typed_cell, typed_mass, typed_word
from towdb.errors import did_you_mean
from towdb.screening.candidates import ATTRIBUTES, Typed
from towdb.screening.engine import create

WEIGHTS = {
    "as_weighed": "as_weighed_kg",
    "gvwr": "gvwr_kg",
    "curb_weight": "curb_kg",
    "load": "load_kg",
}
BEFORE_KEYS = (
    "span_no",
    "option_said",
    "misspelt_option",
    "option_state",
    "option_set",
    "confirmed_group",
    "confirmed_set",
)
AFTER_KEYS = ("configuration", "configuration_option", "configuration_confirmed")
# Later than any bound of building: a car of unknown date may lie beyond all of them.
BEYOND = 1_000_000


def prepare(con: duckdb.DuckDBPyConnection, typed: Typed, assumed: dict[str, str]) -> None:
    """Create the temp tables that the engine starts at.

    ``candidate``, ``configuration``, ``configuration_word``,
    ``configuration_option``, ``configuration_confirmed`` and ``misspelt_option``.

    Raises
    ------
    UsageError
        If cells cannot be read; all of them are listed.
    """
    _Preparation(con, typed, assumed).run()


class _Preparation:
    def __init__(
        self, con: duckdb.DuckDBPyConnection, typed: Typed, assumed: dict[str, str]
    ) -> None:
        self.con, self.typed, self.assumed = con, typed, assumed

    def run(self) -> None:
        self.names()
        self.makes_and_models()
        self.read("model_year", {"value": "INTEGER"}, lambda value: [value])
        self.read("options_complete", {"value": "INTEGER"}, lambda value: [int(value == "yes")])
        self.read(
            "built_on", {"low": "DATE", "high": "DATE"}, lambda value: [value.low, value.high]
        )
        self.read("options", {"items": "VARCHAR[]"}, lambda value: [list(value)])
        self.read("confirmed", {"items": "VARCHAR[]"}, lambda value: [list(value)])
        self.read("procedure", {"value": "VARCHAR"}, lambda value: [value])
        for attribute in ATTRIBUTES:
            self.read(attribute, {"word": "VARCHAR"}, lambda value: [fold(value)])
        self.units()
        for column in WEIGHTS:
            self.weights(column)
        self.read("listed_on", {"value": "DATE"}, lambda value: [value])
        self.typed.raise_faults()
        self.code()
        configure(self.con, self.said_attributes())

    # ------------------------------------------------------------ reading distinct texts

    def has(self, column: str) -> bool:
        return column in self.typed.columns

    def fetch(self, query: str, parameters: Sequence[Any] = ()) -> list[tuple[Any, ...]]:
        return self.con.execute(query, list(parameters)).fetchall()

    def read(
        self,
        column: str,
        into: dict[str, str],
        convert: Callable[[Any], list[Any]],
        name: str = "",
    ) -> None:
        """Create ``read_<column>``, or a table of that name: raw text, and what it means."""
        field = contract().candidate.field(column)
        rows: list[list[Any]] = []
        bad: dict[str, Fault] = {}
        raws = self.fetch(f'SELECT DISTINCT "{column}" FROM typed') if self.has(column) else []
        for (raw,) in [*raws, (self.assumed.get(column),)]:
            value = typed_cell(field, raw) if raw and raw.strip() else None
            if isinstance(value, Fault):
                bad[raw] = value
            elif value is not None:
                rows.append([raw, *convert(value)])
        self.create(name or f"read_{column}", {"raw": "VARCHAR", **into}, rows)
        self.blame(column, bad)

    def create(self, name: str, columns: dict[str, str], rows: Iterable[Sequence[Any]]) -> None:
        body = ", ".join(f'"{column}" {kind}' for column, kind in columns.items())
        self.con.execute(f"CREATE TEMP TABLE {name} ({body})")
        cells = [list(column) for column in zip(*rows, strict=True)]
        if cells:
            asked = ", ".join(
                f"unnest(${i}::{kind}[])" for i, kind in enumerate(columns.values(), start=1)
            )
            self.con.execute(f"INSERT INTO {name} SELECT DISTINCT {asked}", cells)

    def blame(self, column: str, bad: dict[str, Fault]) -> None:
        if not bad:
            return
        found = self.fetch(
            f'SELECT candidate_no, "{column}" FROM typed WHERE "{column}" IN'
            " (SELECT unnest($1::VARCHAR[])) ORDER BY candidate_no",
            [list(bad)],
        )
        for number, raw in found:
            self.fault(number, column, raw, bad[raw])

    def fault(self, number: int, column: str, raw: str, wrong: Fault) -> None:
        shown = raw if len(raw) <= 60 else raw[:57] + "…"
        line = self.typed.line(number)
        place = f"{self.typed.name}, line {line}, {column}"
        text = f"{place}: {shown!r}: {wrong.message}; {wrong.remedy}"
        self.typed.faults.append((line, text))

    def names(self) -> None:
        named = f"SELECT t.candidate_no, {self.name()} AS candidate FROM typed AS t"
        # Numbers are grouped several times faster than names.
        twice = self.fetch(
            f"SELECT hash(candidate) AS code FROM ({named}) GROUP BY code HAVING COUNT(*) > 1"
        ) and self.fetch(
            f"WITH named AS ({named}) SELECT candidate_no, candidate FROM named WHERE candidate IN"
            " (SELECT candidate FROM named GROUP BY candidate HAVING COUNT(*) > 1)"
            " ORDER BY candidate, candidate_no"
        )
        wrong = Fault("unique", "two cars have this name", "give each car a name of its own")
        for number, raw in twice:
            self.fault(number, "candidate", raw, wrong)

    def name(self) -> str:
        """What a car is called in results: as the person calls it, else by its row."""
        typed = "nullif(trim(t.candidate), '')" if self.has("candidate") else "NULL"
        return f"COALESCE({typed}, 'row ' || t.candidate_no)"

    def units(self) -> None:
        if self.has("weight_unit"):
            known = contract().vocabularies["unit"].words
            bad = {
                raw: Fault(
                    "unit", f"unknown unit{did_you_mean(raw.strip(), known)}", "use lb or kg"
                )
                for (raw,) in self.fetch("SELECT DISTINCT weight_unit FROM typed")
                if raw and raw.strip() and typed_word("unit", raw.strip()) is None
            }
            self.blame("weight_unit", bad)

    def blame_weight(
        self, column: str, unit: str, raw: str, raw_unit: str | None, wrong: Fault
    ) -> None:
        for (number,) in self.fetch(
            f'SELECT candidate_no FROM typed WHERE "{column}" = $1'
            f" AND {unit} IS NOT DISTINCT FROM $2 ORDER BY candidate_no",
            [raw, raw_unit],
        ):
            self.fault(number, column, raw, wrong)

    def weights(self, column: str) -> None:
        rows: list[list[Any]] = []
        if self.has(column):
            unit = '"weight_unit"' if self.has("weight_unit") else "CAST(NULL AS VARCHAR)"
            for raw, raw_unit in self.fetch(
                f'SELECT DISTINCT "{column}", {unit} FROM typed WHERE trim("{column}") <> \'\''
            ):
                said = (raw_unit or "").strip()
                known = typed_word("unit", said) if said else None
                if said and known is None:
                    continue  # told of the unit itself
                mass = typed_mass(raw, known, contract().candidate.field(column))
                if isinstance(mass, Fault):
                    self.blame_weight(column, unit, raw, raw_unit, mass)
                else:
                    rows.append([raw, raw_unit, format(mass, "f")])
        self.create(
            f"read_{column}", {"raw": "VARCHAR", "unit": "VARCHAR", "kg": "DECIMAL(18,10)"}, rows
        )

    def makes_and_models(self) -> None:
        known = {
            (make, model): number
            for number, make, model in self.fetch(
                "SELECT make_model_no, make, model FROM towdb_data.make_model"
            )
        }
        rows = []
        if self.has("make") and self.has("model"):
            for make, model in self.fetch(
                "SELECT make, model FROM (SELECT DISTINCT make, model FROM typed)"
                " WHERE trim(make) <> '' AND trim(model) <> ''"
            ):
                rows.append([make, model, known.get((fold(make), fold(model)), 0)])
        kinds = {"make": "VARCHAR", "model": "VARCHAR", "make_model_no": "INTEGER"}
        self.create("read_make_model", kinds, rows)
        self.con.execute(
            "CREATE TEMP TABLE candidate_make (candidate_no INTEGER, make VARCHAR, model VARCHAR)"
        )
        if rows:
            self.con.execute(
                "INSERT INTO candidate_make SELECT candidate_no, make, model"
                " FROM typed JOIN read_make_model USING (make, model) WHERE make_model_no = 0"
            )

    # ------------------------------------------------------------ codes

    def code(self) -> None:
        """Create ``coded``: one row a candidate, all numbers."""
        create(self.con, "prepare", ["numbered"])
        select = [
            "t.candidate_no",
            f"{self.name()} AS candidate",
            self.looked_up("model_year", "value", "INTEGER"),
            self.looked_up("built_on", "low", "DATE", "built_low"),
            self.looked_up("built_on", "high", "DATE", "built_high"),
            self.looked_up("options_complete", "value", "INTEGER"),
            self.looked_up("procedure", "value", "VARCHAR"),
            *(f"{self.cell(column)} AS {column}" for column in ("options", "confirmed")),
        ]
        joins = []
        if self.has("make") and self.has("model"):
            select.append("m.make_model_no")
            joins.append("LEFT JOIN read_make_model AS m ON m.make = t.make AND m.model = t.model")
        else:
            select.append("CAST(NULL AS INTEGER) AS make_model_no")
        for column in ("model_year", "built_on", "options_complete", "procedure"):
            joins += [self.joined(column)] if self.is_said(column) else []
        for attribute in self.said_attributes():
            select.append(f"w_{attribute}.word_no AS {attribute}")
            joins += [self.joined(attribute), self.numbered(attribute)]
        for column, exact in WEIGHTS.items():
            said, join = self.weighed(column, exact)
            select.append(said)
            joins += join
        self.con.execute(
            f"CREATE TEMP TABLE coded AS SELECT {', '.join(select)} FROM typed AS t"
            f" {' '.join(joins)}"
        )

    def is_said(self, column: str) -> bool:
        return self.has(column) or column in self.assumed

    def said_attributes(self) -> list[str]:
        # What nobody says of any car cannot tell two of them apart.
        return [attribute for attribute in ATTRIBUTES if self.is_said(attribute)]

    def cell(self, column: str) -> str:
        there = f't."{column}"' if self.has(column) else "CAST(NULL AS VARCHAR)"
        if column in self.assumed:
            return f"COALESCE(nullif(trim({there}), ''), {_text(self.assumed[column])})"
        return there

    def looked_up(self, column: str, value: str, kind: str, name: str = "") -> str:
        found = f'r_{column}."{value}"' if self.is_said(column) else f"CAST(NULL AS {kind})"
        return f"{found} AS {name or column}"

    def joined(self, column: str, table: str = "") -> str:
        read = table or f"read_{column}"
        return f"LEFT JOIN {read} AS r_{column} ON r_{column}.raw = {self.cell(column)}"

    def numbered(self, attribute: str) -> str:
        if contract().candidate.field(attribute).type == "word":
            whose = "w_{a}.make_model_no = 0"
        elif self.has("make") and self.has("model"):
            whose = "w_{a}.make_model_no = m.make_model_no"
        else:
            whose = "FALSE"
        return (
            "LEFT JOIN numbered AS w_{a} ON w_{a}.attribute = '{a}'"
            " AND w_{a}.word = r_{a}.word AND " + whose
        ).format(a=attribute)

    def weighed(self, column: str, exact: str) -> tuple[str, list[str]]:
        if not self.has(column):
            return f"CAST(NULL AS DECIMAL(18,10)) AS {exact}", []
        unit = 't."weight_unit"' if self.has("weight_unit") else "CAST(NULL AS VARCHAR)"
        return f"k_{column}.kg AS {exact}", [
            f'LEFT JOIN read_{column} AS k_{column} ON k_{column}.raw = t."{column}"'
            f" AND k_{column}.unit IS NOT DISTINCT FROM {unit}"
        ]


# ------------------------------------------------------------ configurations


def configure(con: duckdb.DuckDBPyConnection, said: Sequence[str]) -> None:
    """Create ``candidate`` and the configurations from ``coded``.

    `said` names the attributes that are columns of it.
    """
    create(con, "prepare", BEFORE_KEYS)
    for name, sql in _keys(said):
        con.execute(f"CREATE TEMP TABLE {name} AS {sql}")
    create(con, "prepare", AFTER_KEYS)


def _text(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


def _keys(said: Sequence[str]) -> Iterator[tuple[str, str]]:
    """The relations that have a column for each attribute that is said of any car."""
    columns = ", ".join(
        ["is_named", "make_model_no", "model_year", "low_no", "high_no", "option_set_no",
         "confirmed_set_no", "procedure_no", *said]
    )  # fmt: skip
    yield "keyed", _keyed(said)
    yield (
        "configuration_key",
        f"SELECT CAST(row_number() OVER () AS INTEGER) AS configuration_no, {columns}"
        f" FROM (SELECT DISTINCT {columns} FROM keyed)",
    )
    yield (
        "candidate",
        "SELECT k.candidate_no, k.candidate, c.configuration_no, k.as_weighed_kg, k.gvwr_kg,"
        f" k.curb_kg, k.load_kg FROM keyed AS k JOIN configuration_key AS c USING ({columns})"
        " ORDER BY k.candidate_no",
    )
    words = " UNION ALL ".join(
        f"SELECT configuration_no, {_text(attribute)} AS attribute, {attribute} AS word_no"
        " FROM configuration_key"
        for attribute in said
    )
    none = "SELECT CAST(NULL AS INTEGER), CAST(NULL AS VARCHAR), CAST(NULL AS INTEGER)"
    yield (
        "configuration_word",
        "SELECT u.configuration_no, a.attribute_no, u.word_no"
        f" FROM ({words or none}) AS u(configuration_no, attribute, word_no)"
        " JOIN towdb_data.attribute AS a ON a.attribute = u.attribute WHERE u.word_no > 0",
    )


def _keyed(said: Sequence[str]) -> str:
    # A car that is not matched has nothing to tell apart. -1: not known, or of no matter;
    # make_model_no 0: named, and not on record.
    words = "".join(
        f", CASE WHEN c.make_model_no > 0 THEN COALESCE(c.{attribute}, -1) ELSE -1 END"
        f" AS {attribute}"
        for attribute in said
    )
    return f"""
        SELECT c.candidate_no, c.candidate, c.as_weighed_kg, c.gvwr_kg, c.curb_kg, c.load_kg
               {words},
               CASE WHEN c.make_model_no IS NULL THEN 0 ELSE 1 END AS is_named,
               COALESCE(c.make_model_no, -1) AS make_model_no,
               CASE WHEN c.make_model_no > 0 THEN COALESCE(c.model_year, -1) ELSE -1 END
                   AS model_year,
               COALESCE(s.low_no, 0) AS low_no,
               CASE WHEN n.make_model_no IS NULL THEN 0 ELSE COALESCE(s.high_no, {BEYOND}) END
                   AS high_no,
               COALESCE(o.set_no, -1) AS option_set_no, COALESCE(f.set_no, -1) AS confirmed_set_no,
               CASE WHEN c.procedure IS NOT NULL AND c.make_model_no > 0
                    THEN COALESCE(p.statement_no, 0) ELSE -1 END AS procedure_no
        FROM coded AS c
        LEFT JOIN span_no AS s
          ON s.make_model_no = c.make_model_no AND s.built_low = c.built_low
         AND s.built_high = c.built_high
        LEFT JOIN (SELECT DISTINCT make_model_no FROM towdb_data.build_bound) AS n
          ON n.make_model_no = c.make_model_no
        LEFT JOIN option_set AS o
          ON o.make_model_no = c.make_model_no AND o.options = c.options
         AND o.options_complete IS NOT DISTINCT FROM c.options_complete
        LEFT JOIN confirmed_set AS f
          ON f.make_model_no = c.make_model_no AND f.confirmed = c.confirmed
        LEFT JOIN towdb_data.statement_fact AS p ON p.eligibility_id = c.procedure"""
