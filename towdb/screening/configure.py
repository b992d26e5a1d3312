"""From typed text to the inputs of the engine: candidates, and configurations of numbers.

Each distinct text is read once, by the contract's own reader; the rest is set-based. A
configuration has only what the release can distinguish: a million cars are a few thousand.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from functools import cache

import duckdb

from towdb.contract.grammar import fold
from towdb.contract.model import contract
from towdb.intake.candidates import ATTRIBUTES, InventoryRows
from towdb.intake.cells import WEIGHTS, Reading
from towdb.intake.one_file import reading_errors
from towdb.intake.unreadable import REFUSED, Unreadable, sift
from towdb.screening.engine import create, streaming

BEFORE_KEYS = (
    "span_no",
    "option_list",
    "known_option",
    "misspelt_option",
    "option_state",
    "option_set",
    "confirmed_group",
    "confirmed_set",
)
AFTER_KEYS = ("configuration", "configuration_option", "configuration_confirmed")
# Later than any bound of building: a car of unknown date may be beyond all of them.
BEYOND = 1_000_000


def prepare(
    con: duckdb.DuckDBPyConnection,
    loaded: InventoryRows,
    assumed: dict[str, str],
    how: Unreadable = REFUSED,
    also: Callable[[Reading], Collection[str]] = lambda _: (),
) -> None:
    """Create the temp tables that are the inputs of the engine.

    ``candidate``, ``configuration``, ``configuration_word``,
    ``configuration_option``, ``configuration_confirmed`` and ``misspelt_option``.
    `how` is what to do with cells that cannot be read; `also` reads more columns, on which the
    answer rests beside the verdict, and names them.

    Raises
    ------
    UsageError
        If cells cannot be read; all of them are listed.
    """
    reading = Reading(con, loaded, assumed)
    # Every cell of a verdict is read here, so that damage further on in a file shows.
    with reading_errors(loaded.name):
        reading.columns()
        more = also(reading)
    sift(reading, how, more)
    _Preparation(reading).run()


def enter_makes_and_models(reading: Reading) -> None:
    """Create ``read_make_model``: the makes and models as typed, with their number on record."""
    _Preparation(reading).makes_and_models()


class _Preparation:
    def __init__(self, reading: Reading) -> None:
        self.con, self.reading = reading.con, reading

    def run(self) -> None:
        self.makes_and_models()
        self.code()
        configure(self.con, self.known_attributes())

    def makes_and_models(self) -> None:
        known = {
            (make, model): number
            for number, make, model in self.reading.fetch(
                "SELECT make_model_no, make, model FROM towdb_data.make_model"
            )
        }
        kinds = {"raw_make": "VARCHAR", "raw_model": "VARCHAR",
                 "make": "VARCHAR", "model": "VARCHAR", "make_model_no": "INTEGER"}  # fmt: skip
        self.reading.create("read_make_model", kinds)
        # Makes are few, however many models there are.
        fold_make = cache(fold)
        if self.reading.has("make") and self.reading.has("model"):
            for named in self.reading.distinct(
                "SELECT make, model FROM (SELECT DISTINCT make, model FROM inventory_rows)"
                " WHERE trim(make) <> '' AND trim(model) <> ''"
            ):
                rows = []
                for raw_make, raw_model in named:
                    make = self.reading.loaded.meant("make", raw_make)
                    model = self.reading.loaded.meant("model", raw_model)
                    if make and model:
                        number = known.get((fold_make(make), fold(model)), 0)
                        rows.append([raw_make, raw_model, make, model, number])
                self.reading.enter("read_make_model", kinds, rows)

    # ------------------------------------------------------------ codes

    def code(self) -> None:
        """Create ``coded``: one row a candidate, all numbers."""
        create(self.con, "configure", ["numbered"])
        select = [
            "t.candidate_no",
            f"{self.reading.name()} AS candidate",
            self.reading.looked_up("model_year", "value", "INTEGER"),
            self.reading.looked_up("built_on", "low", "DATE", "built_low"),
            self.reading.looked_up("built_on", "high", "DATE", "built_high"),
            self.reading.looked_up("options_complete", "value", "INTEGER"),
            self.reading.looked_up("procedure", "value", "VARCHAR"),
            *(f"{self.reading.cell(column)} AS {column}" for column in ("options", "confirmed")),
        ]
        joins = []
        if self.reading.has("make") and self.reading.has("model"):
            select.append("m.make_model_no")
            joins.append(
                "LEFT JOIN read_make_model AS m ON m.raw_make = t.make AND m.raw_model = t.model"
            )
        else:
            select.append("CAST(NULL AS INTEGER) AS make_model_no")
        for column in ("model_year", "built_on", "options_complete", "procedure"):
            joins += [self.reading.joined(column)] if self.reading.is_given(column) else []
        for attribute in self.known_attributes():
            select.append(f"w_{attribute}.word_no AS {attribute}")
            joins.append(self.numbered(attribute))
        for column, exact in WEIGHTS.items():
            weight, join = self.reading.weighed(column, exact)
            select.append(weight)
            joins += join
        self.con.execute(
            f"CREATE TEMP TABLE coded AS SELECT {', '.join(select)} FROM inventory_rows AS t"
            f" {' '.join(joins)}"
        )

    def known_attributes(self) -> list[str]:
        # What is given for no car cannot distinguish two of them.
        return [attribute for attribute in ATTRIBUTES if self.reading.is_given(attribute)]

    def numbered(self, attribute: str) -> str:
        if contract().candidate.field(attribute).type == "word":
            whose = "w_{a}.make_model_no = 0"
        elif self.reading.has("make") and self.reading.has("model"):
            whose = "w_{a}.make_model_no = m.make_model_no"
        else:
            whose = "FALSE"
        # Words are few, cars are many: the two joins of words come before that of cars.
        return (
            "LEFT JOIN (SELECT r.raw, n.word_no, n.make_model_no FROM read_{a} AS r JOIN numbered"
            " AS n ON n.attribute = '{a}' AND n.word = r.word) AS w_{a} ON w_{a}.raw = {cell} AND "
            + whose
        ).format(a=attribute, cell=self.reading.cell(attribute))


# ------------------------------------------------------------ configurations


def configure(con: duckdb.DuckDBPyConnection, attributes: Sequence[str]) -> None:
    """Create ``candidate`` and the configurations from ``coded``.

    `attributes` names those that are columns of it.
    """
    create(con, "configure", BEFORE_KEYS)
    con.execute(f"CREATE TEMP {streaming(con)} keyed AS {_keyed(attributes)}")
    for name, sql in _keys(attributes):
        con.execute(f"CREATE TEMP TABLE {name} AS {sql}")
    create(con, "configure", AFTER_KEYS)


def _text(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


def _keys(attributes: Sequence[str]) -> Iterator[tuple[str, str]]:
    """The relations that have a column for each attribute that is given for any car."""
    columns = ", ".join(
        ["is_named", "make_model_no", "model_year", "low_no", "high_no", "option_set_no",
         "confirmed_set_no", "procedure_no", *attributes]
    )  # fmt: skip
    yield (
        "configuration_key",
        f"SELECT CAST(row_number() OVER () AS INTEGER) AS configuration_no, {columns}"
        f" FROM (SELECT DISTINCT {columns} FROM keyed)",
    )
    yield (
        "candidate",
        "SELECT k.candidate_no, k.candidate, c.configuration_no, k.as_weighed_kg, k.gvwr_kg,"
        f" k.curb_kg, k.load_kg FROM keyed AS k JOIN configuration_key AS c USING ({columns})",
    )
    words = " UNION ALL ".join(
        f"SELECT configuration_no, {_text(attribute)} AS attribute, {attribute} AS word_no"
        " FROM configuration_key"
        for attribute in attributes
    )
    none = "SELECT CAST(NULL AS INTEGER), CAST(NULL AS VARCHAR), CAST(NULL AS INTEGER)"
    yield (
        "configuration_word",
        "SELECT u.configuration_no, a.attribute_no, u.word_no"
        f" FROM ({words or none}) AS u(configuration_no, attribute, word_no)"
        " JOIN towdb_data.attribute AS a ON a.attribute = u.attribute WHERE u.word_no > 0",
    )


def _keyed(attributes: Sequence[str]) -> str:
    # A car that is not matched has nothing to distinguish. -1: not known, or without effect;
    # make_model_no 0: named, but not on record.
    words = "".join(
        f", CASE WHEN c.make_model_no > 0 THEN COALESCE(c.{attribute}, -1) ELSE -1 END"
        f" AS {attribute}"
        for attribute in attributes
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
