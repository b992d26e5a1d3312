"""A screening: cars behind coaches, what is said of them, and what may be asked of it."""

from __future__ import annotations

import datetime
import os
import re
import shutil
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import duckdb

from towdb.duck.connections import OPTIMIZER, settle
from towdb.duck.faults import unwritten
from towdb.duck.limits import UNLIMITED, Limits
from towdb.duck.literals import literal
from towdb.duck.select import Rows, guard, let_go, select
from towdb.duck.sql_files import columns_of
from towdb.errors import UsageError
from towdb.intake.candidates import Typed
from towdb.intake.coaches import Coach
from towdb.intake.policy import Policy
from towdb.intake.rejects import SetAside
from towdb.intake.unreadable import RowsRead
from towdb.reference.opening import Stamp, release_read
from towdb.screening import engine
from towdb.screening.carried import carried_columns, verdicts_with
from towdb.screening.conditions import word_differences, word_facts
from towdb.screening.name_remarks import note_vins
from towdb.screening.questions import EACH_UP_TO, enter_questions
from towdb.screening.summary import RAISES, Summary, summarise
from towdb.version import __version__
from towdb.wording.sentences import told_words

if TYPE_CHECKING:
    import pandas as pd

OUTPUTS = (*engine.PUBLIC, "figures", "unused_figure", "options", "coach_lacks")
# Made with the verdicts; the rest only when somebody asks for more.
AT_ONCE = ("verdict", "capacity")

# Parquet of more candidates than this comes in no promised order: sorting millions of rows would
# cost more than screening them, and they carry their key.
SORTED_UP_TO = 100_000


class Screening:
    """The result of `screen`. Its tables stay in DuckDB; frames are made when asked for.

    Attributes
    ----------
    on : date
        The date for which withdrawals and effective dates were taken.
    coaches : tuple of Coach
        The coaches, in the order given.
    policy : Policy
        What the house decides.
    assumed : dict
        What was assumed of every car that does not say otherwise.
    release_id : str
        The release that the verdicts rest on.
    invented : bool
        Whether that release holds invented rows.
    set_aside : SetAside or None
        Where rows that cannot be read were set aside, and how many; None: that was not asked for.
    read : RowsRead or None
        How many rows were read, how many of them set aside, and how many cells left empty; None:
        without a shortlist.
    notes : tuple of str
        What a person should know of how the candidates were read.
    """

    def __init__(
        self,
        con: duckdb.DuckDBPyConnection,
        path: Path,
        stamp: Stamp,
        coaches: tuple[Coach, ...],
        on: datetime.date,
        policy: Policy,
        assumed: dict[str, str],
        typed: Typed,
        set_aside: SetAside | None,
        with_columns: Iterable[str] = (),
        read: RowsRead | None = None,
    ) -> None:
        self._con, self._path = con, path
        self._typed, self.set_aside, self.notes = typed, set_aside, tuple(typed.notes)
        self.read, self._stamp = read, stamp
        self.release_id, _, _, self.invented = stamp
        self.coaches, self.on, self.policy, self.assumed = coaches, on, policy, assumed
        self._carried = carried_columns(typed, with_columns)
        self._is_explained = False
        self._is_asked = False
        self._turn = 0
        self._shelf: tempfile.TemporaryDirectory[str] | None = None

    def rows(self, output: str) -> tuple[list[str], list[tuple[Any, ...]]]:
        """Columns and rows of one of `OUTPUTS`."""
        self._turn += 1
        if output in engine.ASKED:
            self._ask()
        elif output not in AT_ONCE:
            self._explain()
        sql = engine.output_sql(output)
        if output == "verdict":
            sql = verdicts_with(self._carried, ordered=True)
        with release_read(self._path):
            self._con.execute(sql)
            columns = [column[0] for column in self._con.description or ()]
            return columns, self._con.fetchall()

    def typed(self) -> tuple[list[str], list[tuple[Any, ...]]]:
        """The candidates as they were typed, in our words."""
        self._turn += 1
        columns = self._typed.columns
        named = ", ".join(f'"{column}"' for column in columns)
        self._con.execute(f"SELECT {named} FROM typed ORDER BY candidate_no")
        rows = self._con.fetchall()
        if self._typed.by is None:
            return columns, rows
        meant = self._typed.meant
        return columns, [
            tuple(meant(c, cell) or None for c, cell in zip(columns, row, strict=True))
            for row in rows
        ]

    @property
    def versions(self) -> list[dict[str, Any]] | None:
        """Without a shortlist: the versions on record that were screened; else None."""
        if self._typed.parts:
            return None
        columns, rows = self.typed()
        return [dict(zip(columns, row, strict=True)) for row in rows]

    def records(self, output: str) -> list[dict[str, Any]]:
        """The rows of one of `OUTPUTS` as dictionaries."""
        columns, rows = self.rows(output)
        return [dict(zip(columns, row, strict=True)) for row in rows]

    @property
    def verdicts(self) -> pd.DataFrame:
        """One row a candidate and coach, in the order given; with the columns that it carries."""
        return self._frame("verdict")

    @property
    def checks(self) -> pd.DataFrame:
        """One row a candidate, coach and check: all seven, in the order of checks."""
        return self._frame("check_outcome")

    @property
    def conditions(self) -> pd.DataFrame:
        """What the statements that come into question ask for, where towing is permitted.

        Where their procedures differ, ``depends_on`` says which cars each is for.
        """
        return self._frame("condition")

    @property
    def citations(self) -> pd.DataFrame:
        """The rows that every check and condition rests on, each with its page."""
        return self._frame("citation")

    @property
    def remarks(self) -> pd.DataFrame:
        """What a person should know beside the checks, one row a remark."""
        return self._frame("remark")

    @property
    def questions(self) -> pd.DataFrame:
        """What is still to find out: one row a candidate, coach, question and answer.

        The most decisive question of a car comes first; one that no answer about the car settles
        has one row, without an answer. Of more than 20,000 cars one of each configuration of which
        all checks say the same is asked about, of the commonest 200,000.
        """
        return self._frame("question")

    @property
    def to_find_out(self) -> pd.DataFrame:
        """What is still to find out of all cars together, what settles most of them first."""
        return self._frame("to_find_out")

    def summary(self, by: Iterable[str] | str = (), *, raises: Iterable[str] = RAISES) -> Summary:
        """The screening in numbers: verdicts, what governs, and what would change most of them.

        Parameters
        ----------
        by : str or several, optional
            Attributes to group cars by.
        raises : several str
            By how much the ratings of what a coach may pull are raised, to see what that adds.

        Returns
        -------
        Summary

        Raises
        ------
        UsageError
            If there is no such attribute, or a raise is no weight.
        """
        self._turn += 1
        with release_read(self._path):
            return summarise(self, self._con, self._typed, by, raises)

    def _ask(self) -> None:
        if not self._is_asked:
            with release_read(self._path):
                enter_questions(self._con, each_car=self._has_at_most(EACH_UP_TO))
            self._is_asked = True

    def sql(
        self, query: str, /, *, time_limit_s: float | None = None, memory_limit: str | None = None
    ) -> pd.DataFrame:
        """Run one SELECT over the screening, and the release beside it.

        Parameters
        ----------
        query : str
            One SELECT over ``verdict``, ``check_outcome``, ``condition``, ``question``,
            ``to_find_out``, ``citation``, ``remark``, ``capacity`` (see `towdb.describe`), and the
            tables and views of the release.
        time_limit_s : float, optional
            Seconds that the query may run; as long as it takes by default.
        memory_limit : str, optional
            Memory that DuckDB may take for it and for later queries, as ``2GB``; of the first
            query only.

        Returns
        -------
        DataFrame

        Raises
        ------
        UsageError
            If the query cannot be run, or takes more than these limits.
        """
        return self.ask(query, Limits(time_limit_s, memory_limit)).frame()

    def ask(self, query: str, limits: Limits = UNLIMITED) -> Rows:
        """As `sql`, with the rows fetched one by one, until the screening is asked again."""
        self._turn += 1
        try:
            self._con.execute("SELECT 1")
        except duckdb.ConnectionException:
            raise UsageError("the screening is closed; screen again") from None
        asked = {word.lower() for word in re.findall("[A-Za-z_]+", query)}
        # To explain a million cars takes longer than to screen them: only what is asked for.
        if asked & set(engine.PUBLIC) - {*AT_ONCE, *engine.ASKED}:
            self._explain()
        if asked & set(engine.ASKED):
            self._ask()
        for name in asked & set(engine.PUBLIC):
            sql = engine.output_sql(name, ordered=False)
            self._con.execute(f"CREATE TEMP VIEW IF NOT EXISTS {name} AS {sql}")
        if self._shelf is None:
            settle(self._con, OPTIMIZER)
            limits.enter(self._con)
            self._shelf = tempfile.TemporaryDirectory(prefix="towdb-")
            # Of Parquet ``typed`` is a view: what is asked later still looks into the files.
            files = [str(part.path) for part, _ in self._typed.parts if part.is_parquet]
            guard(self._con, files, self._shelf.name)
        elif limits.memory is not None:
            raise UsageError("a memory limit goes with the first query of a screening")
        answer = select(self._con, query, limits=limits)
        return Rows(answer.columns, self._of_this_turn(answer.rows))

    def _of_this_turn(self, rows: Iterator[Sequence[Any]]) -> Iterator[Sequence[Any]]:
        # There is one connection: what is asked next would take this answer's place.
        turn = self._turn
        for row in rows:
            yield row
            if self._turn != turn:
                raise UsageError("the screening was asked again; read an answer to its end first")

    def write(self, path: str | os.PathLike[str]) -> None:
        """Write the verdict table to a CSV or Parquet file, or everything to a JSON file.

        Of more than 100,000 cars the verdicts stand in no particular order.

        A DuckDB file holds ``verdict``, and what joins it to the release: ``car`` (candidate,
        configuration_no), ``counted_statement`` (configuration_no,
        eligibility_id) and ``screening`` (release_id, towdb_version, on_date).

        Raises
        ------
        UsageError
            If the name ends otherwise, or the file cannot be written.
        """
        from towdb.screening.document import write

        write(self, Path(path))

    def copy_verdicts(self, path: Path) -> None:
        """Write the verdict table as Parquet, without a detour through Python."""
        verdicts = verdicts_with(self._carried, ordered=self._has_at_most(SORTED_UP_TO))
        # Words of a known set are written in half the time; who reads the file sees text.
        told = ", ".join(
            f"CAST({name} AS ENUM ({', '.join(map(literal, known))})) AS {name}"
            for name in columns_of(engine.output_sql("verdict"))
            if (known := told_words(name))
        )
        query = f"SELECT * REPLACE ({told}) FROM ({verdicts})"
        with self._written(path) as target:
            self._con.execute(f"COPY ({query}) TO {literal(str(target))} (FORMAT parquet)")

    def copy_database(self, path: Path) -> None:
        """Write a DuckDB file: verdicts, their cars, the statements that count, and the release."""
        about = (self.release_id, __version__, self.on)
        with self._written(path) as target:
            engine.keep(self._con, target, about, ordered=self._has_at_most(SORTED_UP_TO))

    @contextmanager
    def _written(self, path: Path) -> Iterator[Path]:
        # A guarded connection writes to one folder only.
        target = Path(self._shelf.name) / path.name if self._shelf else path
        try:
            yield target
            if target != path:
                shutil.move(target, path)
        except duckdb.Error as error:
            raise unwritten(error, target) from None

    def _has_at_most(self, candidates: int) -> bool:
        self._con.execute("SELECT COUNT(*) FROM candidate")
        return bool((self._con.fetchone() or (0,))[0] <= candidates)

    def require_unaltered(self) -> None:
        """Compare every row of the release with what it was built with.

        Raises
        ------
        UsageError
            If anything was changed; it is named.
        """
        from towdb.reference.unaltered import require_unaltered

        self._turn += 1
        require_unaltered(self._con, self._path, "reference", self._stamp)

    def close(self) -> None:
        """Let go of the release."""
        if self._shelf is None:
            # To let go of millions of cars takes more than a second, and no query is left running.
            self._con.close()
            return
        let_go(self._con)
        self._shelf.cleanup()

    def __enter__(self) -> Screening:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _explain(self) -> None:
        if not self._is_explained:
            with release_read(self._path):
                engine.check(self._con)
                word_differences(self._con)
                word_facts(self._con)
                note_vins(self._con, self._typed)
                engine.explain(self._con)
            self._is_explained = True

    def _frame(self, output: str) -> pd.DataFrame:
        import pandas as pd

        columns, rows = self.rows(output)
        return pd.DataFrame(rows, columns=columns)
