"""`Screening.summary`: verdicts counted, what governs, and what would change most of them."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import duckdb

from towdb.contract.model import contract
from towdb.contract.rounding import pounds
from towdb.contract.typed import typed_mass
from towdb.duck.sql_files import columns_of
from towdb.errors import UsageError
from towdb.intake.candidates import InventoryRows
from towdb.intake.grouping import enter_groups, enter_labels, read_by
from towdb.intake.unreadable import RowsRead
from towdb.report.result_tables import Row, Tables
from towdb.screening import engine
from towdb.screening.reference_gaps import enter_gaps, gaps_found
from towdb.screening.session import Session
from towdb.wording import sentences

if TYPE_CHECKING:
    import pandas as pd


TABLES = ("verdicts", "governing", "raised", "questions", "gaps")
RAISES = ("500 lb", "1000 lb", "2000 lb")
# All that a stronger receiver and chassis would change together; what the coach weighs stays.
RAISED = ("hitch_receiver", "hitch_receiver_mode_not_printed", "gcwr", "towing_capacity")
GAPS_LISTED = 20
# Nobody reads the questions of a thousand coaches, and they would take most of the time.
QUESTIONS_UP_TO = 20


@dataclass(frozen=True)
class Summary(Tables):
    """A screening in numbers.

    Attributes
    ----------
    by : tuple of str
        The attributes that cars were grouped by.
    cars : int
        How many cars were screened.
    coaches : tuple of str
        The coaches, by their short names.
    on : date
        The date of the answer.
    release_id : str
        The release that the verdicts rest on.
    invented : bool
        Whether it has invented rows.
    assumed : dict
        What was assumed for cars whose cell is empty.
    asked_about : int or None
        How many undetermined cars have questions, each once for every coach: all, but of millions
        of configurations the commonest. None: there are no questions for so many coaches.
    tables : dict
        Columns and rows of each of `TABLES`.
    read : RowsRead or None
        How many rows were read, how many of them set aside, and how many cells left empty; None:
        without a shortlist.
    """

    by: tuple[str, ...]
    cars: int
    coaches: tuple[str, ...]
    on: datetime.date
    release_id: str
    invented: bool
    assumed: dict[str, str]
    asked_about: int | None
    tables: dict[str, tuple[list[str], list[Row]]]
    read: RowsRead | None = None

    @property
    def verdicts(self) -> pd.DataFrame:
        """One row a coach and group: how many cars have which verdict."""
        return self.frame("verdicts")

    @property
    def governing(self) -> pd.DataFrame:
        """One row a coach, verdict, governing check and reason: how many cars."""
        return self.frame("governing")

    @property
    def raised(self) -> pd.DataFrame:
        """One row a coach, group and higher rating: the verdicts there, and what it adds."""
        return self.frame("raised")

    @property
    def questions(self) -> pd.DataFrame:
        """One row a coach and question: how many undetermined cars it would settle.

        Empty for more than 20 coaches.
        """
        return self.frame("questions")

    @property
    def gaps(self) -> pd.DataFrame:
        """What the reference lacks for these cars, what most of them wait for first."""
        return self.frame("gaps")

    def document(self) -> dict[str, Any]:
        """Everything as one document, as ``--format json`` gives it."""
        return {
            "read": None if self.read is None else self.read.record(),
            "on": self.on.isoformat(),
            "reference": {"release_id": self.release_id, "invented": self.invented},
            "assumed": self.assumed,
            "not_looked_at": sentences.NOT_LOOKED_AT,
            "cars": self.cars,
            "coaches": list(self.coaches),
            "by": list(self.by),
            "asked_about": self.asked_about,
            "raised_together": list(RAISED),
            **self.all_records(),
        }


def read_raises(raises: Iterable[str]) -> list[tuple[str, Decimal]]:
    """By how much ratings are raised, as typed and in kilograms.

    Raises
    ------
    UsageError
        If one is not a weight.
    """
    believable = contract().candidate.field("gvwr")
    found = []
    for text in dict.fromkeys(raises):
        mass = typed_mass(text, None, believable)
        if not isinstance(mass, Decimal):
            raise UsageError(f"raise {text[:60]!r}: {mass.message}; {mass.remedy}")
        found.append((text, mass))
    return found


def summarise(session: Session, by: Iterable[str] | str, raises: Iterable[str]) -> Summary:
    """The result of `Screening.summary`."""
    named, higher = read_by(by), read_raises(raises)
    with session.working() as con:
        tables = _tables(con, session.inventory_rows, named, session.assumed, higher)
        tables["questions"], asked_about = _questions(session, con)
        (cars,) = con.execute("SELECT COUNT(*) FROM candidate").fetchone() or (0,)
    return Summary(
        named,
        cars,
        tuple(coach.coach for coach in session.coaches),
        session.on,
        session.release_id,
        session.invented,
        session.assumed,
        asked_about,
        tables,
        session.read,
    )


def _questions(
    session: Session, con: duckdb.DuckDBPyConnection
) -> tuple[tuple[list[str], list[Row]], int | None]:
    if len(session.coaches) > QUESTIONS_UP_TO:
        return (columns_of(engine.output_sql("to_find_out")), []), None
    questions = session.rows("to_find_out")
    (about,) = con.execute("SELECT SUM(cars) FROM open_verdict").fetchone() or (0,)
    return questions, int(about or 0)


def _tables(
    con: duckdb.DuckDBPyConnection,
    loaded: InventoryRows,
    by: Sequence[str],
    assumed: dict[str, str],
    raises: Sequence[tuple[str, Decimal]],
) -> dict[str, tuple[list[str], list[Row]]]:
    enter_labels(con, loaded, by, assumed)
    enter_groups(con, by)
    con.execute("DROP SCHEMA IF EXISTS memory.summary CASCADE")
    con.execute("CREATE SCHEMA memory.summary")
    try:
        _enter_coaches(con, raises)
        _share(con, "car_class", engine.relation_sql("summary/car_class"))
        _share(con, "call", "FROM call")
        _share(con, "coach_name", "FROM coach_name")
        _share(con, "car_group", "FROM car_group")
        tables = _counted(con, by)
    finally:
        con.execute("DROP SCHEMA memory.summary CASCADE")
    enter_gaps(con, loaded, assumed)
    tables["gaps"] = gaps_found(con, GAPS_LISTED)
    return tables


def _share(con: duckdb.DuckDBPyConnection, name: str, sql: str) -> None:
    # In a schema that two connections see: temp tables belong to one.
    con.execute(f"CREATE TABLE memory.summary.{name} AS {sql}")


def _enter_coaches(con: duckdb.DuckDBPyConnection, raises: Sequence[tuple[str, Decimal]]) -> None:
    con.execute("CREATE OR REPLACE TEMP TABLE raised_property (property VARCHAR)")
    con.execute("INSERT INTO raised_property SELECT unnest($1::VARCHAR[])", [list(RAISED)])
    con.execute(
        "CREATE OR REPLACE TEMP TABLE raise (raise_no INTEGER, raised_lb DOUBLE, kg DECIMAL(18,10))"
    )
    for number, kg in enumerate([Decimal(0), *(kg for _, kg in raises)]):
        con.execute("INSERT INTO raise VALUES ($1, $2, $3)", [number, pounds(kg), kg])
    _share(con, "raise", "FROM raise")
    _share(con, "coach_figure", engine.relation_sql("summary/raised_figure"))


def _counted(
    con: duckdb.DuckDBPyConnection, by: Sequence[str]
) -> dict[str, tuple[list[str], list[Row]]]:
    """Screen the classes behind every coach, as it is and raised, by the same relations."""
    other = con.cursor()
    try:
        for name in ("call", "coach_figure", "coach_name", "car_group", "raise", "car_class"):
            other.execute(f"CREATE TEMP VIEW {name} AS FROM memory.summary.{name}")
        other.execute(
            "CREATE TEMP VIEW towed AS SELECT car_class_no AS candidate_no, '' AS candidate,"
            " 0 AS configuration_no, NULL AS basis, NULL AS gross_value_kg,"
            " NULL AS gross_limit_kg, * EXCLUDE (car_class_no, group_no, cars) FROM car_class"
        )
        for name in (
            *engine.OF_THE_COACH,
            "verdict/pairing",
            "weights/capacity_check",
            "verdict/verdict_kg",
        ):
            engine.create_relation(other, name)
        engine.create(other, "summary", ["tally", "counted"])
        return {
            "verdicts": _grouped(other, by, "verdicts"),
            "governing": _rows(other, engine.relation_sql("summary/governing")),
            "raised": _grouped(other, by, "raised"),
        }
    finally:
        other.close()


def _grouped(
    con: duckdb.DuckDBPyConnection, by: Sequence[str], name: str
) -> tuple[list[str], list[Row]]:
    # `scope` distinguishes all cars from a group without a name.
    named = "".join(f"g.{column}, " for column in by)
    order = {"verdicts": "", "raised": "s.raised_lb, "}[name]
    return _rows(
        con,
        f"SELECT s.coach, CASE s.group_no WHEN 0 THEN 'all' ELSE 'group' END AS scope, {named}"
        f"s.* EXCLUDE (coach, group_no) FROM ({engine.relation_sql(f'summary/{name}')}) AS s"
        " JOIN coach_name AS n ON n.coach = s.coach"
        " LEFT JOIN car_group AS g ON g.group_no = s.group_no"
        f" ORDER BY n.coach_no, {order}s.group_no",
    )


def _rows(con: duckdb.DuckDBPyConnection, sql: str) -> tuple[list[str], list[Row]]:
    con.execute(sql)
    return [column[0] for column in con.description or ()], con.fetchall()
