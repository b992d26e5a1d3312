"""The numbers that a release gives to what people type of a car."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import duckdb

from towdb.screening.engine import relation_sql


@dataclass(frozen=True)
class Numbers:
    """What a release can tell apart; small enough to travel to every worker.

    Attributes
    ----------
    makes : mapping
        Make and model, folded, to the number of both.
    words : mapping
        Attribute, word, and the make and model whose free text it is or 0, to the numbers of
        attribute and word.
    bounds : mapping
        Make and model to the days on which a condition on the build date begins or ends, in order.
    options, conditions : mapping
        Make and model to its options, and to its groups with a further condition.
    known_options : mapping
        Make and model to those of its options that a checked group uses.
    statements : mapping
        Statement to its number.
    """

    makes: Mapping[tuple[str, str], int]
    words: Mapping[tuple[str, str, int], tuple[int, int]]
    bounds: Mapping[int, Sequence[datetime.date]]
    options: Mapping[int, Mapping[str, int]]
    known_options: Mapping[int, Mapping[str, int]]
    conditions: Mapping[int, Mapping[str, int]]
    statements: Mapping[str, int]


def numbers_of(con: duckdb.DuckDBPyConnection) -> Numbers:
    """The numbers of the release that a connection is attached to."""

    def rows(query: str) -> list[tuple[Any, ...]]:
        return con.execute(query).fetchall()

    words = rows(
        "SELECT a.attribute, w.word, COALESCE(w.make_model_no, 0), w.attribute_no, w.word_no"
        " FROM towdb_data.word_number AS w"
        " JOIN towdb_data.attribute AS a ON a.attribute_no = w.attribute_no"
    )
    bounds = rows("SELECT make_model_no, starts_on FROM towdb_data.build_bound ORDER BY ALL")
    options = rows("SELECT make_model_no, option, option_no FROM towdb_data.option_number")
    known_options = rows(
        f"SELECT make_model_no, option, option_no FROM ({relation_sql('prepare/known_option')})"
    )
    conditions = rows(
        "SELECT make_model_no, vehicle_group_id, group_no FROM towdb_data.group_fact"
        " WHERE has_further_condition = 1"
    )
    makes = rows("SELECT make, model, make_model_no FROM towdb_data.make_model")
    return Numbers(
        makes={(make, model): number for make, model, number in makes},
        words={(at, word, whose): (at_no, word_no) for at, word, whose, at_no, word_no in words},
        bounds={number: list(days) for number, days in _nested((*b, 0) for b in bounds).items()},
        options=_nested(options),
        known_options=_nested(known_options),
        conditions=_nested(conditions),
        statements=dict(rows("SELECT eligibility_id, statement_no FROM towdb_data.statement_fact")),
    )


def _nested(rows: Iterable[tuple[Any, ...]]) -> dict[int, dict[Any, int]]:
    found: defaultdict[int, dict[Any, int]] = defaultdict(dict)
    for number, name, at in rows:
        found[number][name] = at
    return dict(found)
