"""What is still to find out: questions, and what each answer would make of the verdict.

There is no second logic: every answer is written into a copy of the car, or of the coach, and the
copies are screened like any other car.
"""

from __future__ import annotations

from collections.abc import Sequence

import duckdb

from towdb.contract.rounding import rounding_macros
from towdb.duck.bulk import insert
from towdb.duck.connections import settle
from towdb.intake.candidates import ATTRIBUTES
from towdb.screening import engine
from towdb.screening.configure import configure
from towdb.wording import sentences

# The relations of what is open, in the order in which they build on each other.
OPEN_QUESTIONS = (
    "open_car",
    "possible",
    "fitting_word",
    "open_year",
    "open_build",
    "open_option",
    "open_condition",
    "open_procedure",
    "open_check",
    "open_question",
)
# The answers that could be typed, and the copies that have them.
TRIAL_ANSWERS = (
    "open_word",
    "open_figure",
    "permitting",
    "possible_cell",
    "whole_car",
    "trial_answer",
    "copied_list",
)
# What the copies are screened with is in the schema `memory`, which two connections see: temp
# tables belong to one.
SEEN_BY_BOTH = "SET search_path = 'reference.towdb_data,memory.ask'"
SEEN_BY_ONE = "SET search_path = 'reference.towdb_data'"
# Of more cars only one of each configuration has questions, and of so many at most: some seconds.
EACH_UP_TO, CONFIGURATIONS_UP_TO = 20_000, 200_000
COPIES = {
    "copied_coach": engine.relation_sql("ask/copied_coach"),
    "coach_figure": engine.relation_sql("ask/copied_figure"),
    "call": "SELECT * FROM call",
    "withdrawn_row": "SELECT * FROM withdrawn_row",
    "read_options": "SELECT DISTINCT array_to_string(options, ', ') AS raw, options AS items"
    " FROM copied_list WHERE options <> []",
    "read_confirmed": "SELECT DISTINCT array_to_string(confirmed, ', ') AS raw, confirmed AS items"
    " FROM copied_list WHERE confirmed <> []",
}


def enter_questions(con: duckdb.DuckDBPyConnection, *, each_car: bool = True) -> None:
    """Create ``found_question``: the questions of a screening, one row an answer.

    Parameters
    ----------
    con : DuckDBPyConnection
        The screening's.
    each_car : bool
        Whether every undetermined car has questions, or one of each configuration whose checks all
        agree: of the commonest `CONFIGURATIONS_UP_TO`.
    """
    con.execute("CREATE SCHEMA memory.ask")
    con.execute(SEEN_BY_BOTH)
    try:
        _enter_words(con)
        verdicts = engine.relation_sql(f"ask/open_{'verdict' if each_car else 'configuration'}")
        _open(con, verdicts if each_car else f"{verdicts} LIMIT {CONFIGURATIONS_UP_TO:d}")
        engine.create(con, "ask", TRIAL_ANSWERS)
        attributes = _copied_attributes(con)
        for name, sql in {**COPIES, "coded": _copied(con, attributes)}.items():
            _share(con, name, sql)
        _screen_copies(con, attributes)
        engine.create(con, "ask", ["found_question"])
    finally:
        con.execute(SEEN_BY_ONE)
        con.execute("DROP SCHEMA memory.ask CASCADE")


def _share(con: duckdb.DuckDBPyConnection, name: str, sql: str) -> None:
    con.execute(f"CREATE TABLE memory.ask.{name} AS {sql}")


def _enter_words(con: duckdb.DuckDBPyConnection) -> None:
    tables = {
        "question_reason": ("kind", "because"),
        "check_question": ("check_name", "reason", "about", "because", "is_of_the_car"),
        "answer_place": ("about", "where"),
    }
    elsewhere = [
        (check, reason, about, sentences.because_text(check, reason, about),
         str(check == "permission" and reason in sentences.REASONS_OF_THE_CAR).lower())
        for (check, reason), abouts in sentences.CHECK_QUESTIONS.items()
        for about in abouts
    ]  # fmt: skip
    rows: dict[str, Sequence[Sequence[str]]] = {
        "question_reason": list(sentences.QUESTION_REASONS.items()),
        "check_question": elsewhere,
        "answer_place": list(sentences.WHERE.items()),
    }
    for name, columns in tables.items():
        kinds = ["BOOLEAN" if column.startswith("is_") else "VARCHAR" for column in columns]
        body = ", ".join(f'"{c}" {kind}' for c, kind in zip(columns, kinds, strict=True))
        con.execute(f"CREATE TABLE memory.ask.{name} ({body})")
        insert(con, f"memory.ask.{name}", kinds, rows[name])


def _open(con: duckdb.DuckDBPyConnection, verdicts: str) -> None:
    con.execute(f"CREATE TEMP TABLE open_verdict AS {verdicts}")
    engine.create(con, "ask", OPEN_QUESTIONS)


def _screen_copies(con: duckdb.DuckDBPyConnection, attributes: Sequence[str]) -> None:
    """Create ``answered``: the verdicts of the copies, from a connection of their own."""
    other = con.cursor()
    try:
        settle(other, (*rounding_macros().values(), SEEN_BY_BOTH))
        if engine.has_few(con):
            other.execute("PRAGMA disable_optimizer")
        engine.create(other, "configure", ["numbered"])
        configure(other, attributes)
        engine.run(other, pairing="ask/pairing")
        _open(other, engine.relation_sql("ask/open_verdict"))
        _share(other, "answered", engine.relation_sql("ask/answered"))
    finally:
        other.close()


def _copied_attributes(con: duckdb.DuckDBPyConnection) -> list[str]:
    """The attributes that are given for any car, or by an answer."""
    con.execute("DESCRIBE coded")
    known = {name for name, *_ in con.fetchall()}
    con.execute("SELECT attribute FROM open_word UNION SELECT attribute FROM possible_cell")
    known |= {name for (name,) in con.fetchall()}
    return [attribute for attribute in ATTRIBUTES if attribute in known]


def _copied(con: duckdb.DuckDBPyConnection, attributes: Sequence[str]) -> str:
    """The SELECT of the copies: the car's row in numbers, with an answer written into it."""
    con.execute("DESCRIBE coded")
    present = {name for name, *_ in con.fetchall()}
    words = "".join(
        f', COALESCE(w."{name}", {f"c.{name}" if name in present else "NULL"}) AS "{name}"'
        for name in attributes
    )
    written = "".join(
        f", MAX(word_no) FILTER (WHERE attribute = '{name}') AS \"{name}\"" for name in attributes
    )
    return f"""
        WITH word AS (
            SELECT trial_answer_no, attribute, word_no FROM trial_answer WHERE attribute IS NOT NULL
            UNION ALL
            SELECT r.trial_answer_no, p.attribute, p.word_no
            FROM trial_answer AS r
            JOIN possible_cell AS p
              ON p.candidate_no = r.candidate_no AND p.group_no = r.group_no
        ),
        written AS (SELECT trial_answer_no{written} FROM word GROUP BY trial_answer_no)
        SELECT r.trial_answer_no AS candidate_no, '' AS candidate, c.make_model_no,
               COALESCE(r.model_year, c.model_year) AS model_year,
               COALESCE(r.built_on, c.built_low) AS built_low,
               COALESCE(r.built_on, c.built_high) AS built_high,
               COALESCE(r.options_complete, c.options_complete) AS options_complete,
               COALESCE(r.procedure, c.procedure) AS procedure,
               nullif(array_to_string(l.options, ', '), '') AS options,
               nullif(array_to_string(l.confirmed, ', '), '') AS confirmed,
               COALESCE(r.as_weighed_kg, c.as_weighed_kg) AS as_weighed_kg,
               COALESCE(r.gvwr_kg, c.gvwr_kg) AS gvwr_kg, c.curb_kg, c.load_kg{words}
        FROM trial_answer AS r
        JOIN coded AS c ON c.candidate_no = r.candidate_no
        JOIN copied_list AS l ON l.trial_answer_no = r.trial_answer_no
        LEFT JOIN written AS w ON w.trial_answer_no = r.trial_answer_no"""
