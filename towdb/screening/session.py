"""A session: one connection with the relations of a screening, and queries on them."""

from __future__ import annotations

import datetime
import re
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Self

import duckdb

from towdb.duck.connections import OPTIMIZER, settle
from towdb.duck.limits import UNLIMITED, Limits
from towdb.duck.select import Rows, guard, let_go, select
from towdb.errors import UsageError
from towdb.intake.coaches import Coach
from towdb.intake.load import InventoryRows
from towdb.intake.policy import Policy
from towdb.intake.rejects import SetAside
from towdb.intake.unreadable import RowsRead, bad_cells
from towdb.reference.opening import release_read
from towdb.reference.release_info import ReleaseInfo
from towdb.screening import engine
from towdb.screening.carried_columns import carried_columns, verdicts_with
from towdb.screening.conditions import word_conditions, word_differences
from towdb.screening.name_remarks import note_unknown_names, note_vins
from towdb.screening.questions import EACH_UP_TO, enter_questions

if TYPE_CHECKING:
    import pandas as pd

OUTPUTS = (*engine.PUBLIC, "figures", "unused_figure", "options", "coach_lacks")
# Created with the verdicts; the rest only when more is requested.
AT_ONCE = ("verdict", "capacity")


class Session:
    """Cars behind coaches: the connection, its relations, and queries on them.

    Attributes
    ----------
    con : DuckDBPyConnection
        The connection: each relation of `engine` is a temp table or view of it.
    path : Path
        The release.
    inventory_rows : InventoryRows
        The candidates as they were typed.
    carried : dict
        Columns of the candidates that the verdict table carries.
    shelf : TemporaryDirectory or None
        Where a connection that was guarded for queries may still write.
    """

    def __init__(
        self,
        con: duckdb.DuckDBPyConnection,
        path: Path,
        release_info: ReleaseInfo,
        coaches: tuple[Coach, ...],
        on: datetime.date,
        policy: Policy,
        assumed: dict[str, str],
        loaded: InventoryRows,
        set_aside: SetAside | None,
        with_columns: Iterable[str] = (),
        read: RowsRead | None = None,
    ) -> None:
        self.con, self.path = con, path
        self.inventory_rows, self.set_aside, self.notes = loaded, set_aside, tuple(loaded.notes)
        self.read, self._release_info = read, release_info
        self.release_id, _, _, self.invented = release_info
        self.coaches, self.on, self.policy, self.assumed = coaches, on, policy, assumed
        self.carried = carried_columns(loaded, with_columns)
        self._is_explained = False
        self._has_questions = False
        self._turn = 0
        self.shelf: tempfile.TemporaryDirectory[str] | None = None

    @contextmanager
    def working(self) -> Iterator[duckdb.DuckDBPyConnection]:
        """The connection, for work on its relations: rows that are still being read end here.

        Raises
        ------
        UsageError
            If the release cannot be read.
        """
        self._turn += 1
        with release_read(self.path):
            yield self.con

    def rows(self, output: str) -> tuple[list[str], list[tuple[Any, ...]]]:
        """Columns and rows of one of `OUTPUTS`."""
        self._turn += 1
        if output in engine.QUESTION_OUTPUTS:
            self._ask()
        elif output not in AT_ONCE:
            self._explain()
        sql = engine.output_sql(output)
        if output == "verdict":
            sql = verdicts_with(self.carried, ordered=True)
        with release_read(self.path):
            self.con.execute(sql)
            columns = [column[0] for column in self.con.description or ()]
            return columns, self.con.fetchall()

    def records(self, output: str) -> list[dict[str, Any]]:
        """The rows of one of `OUTPUTS` as dictionaries."""
        columns, rows = self.rows(output)
        return [dict(zip(columns, row, strict=True)) for row in rows]

    def typed(self) -> tuple[list[str], list[tuple[Any, ...]]]:
        """The candidates as they were typed, in our words."""
        self._turn += 1
        columns = self.inventory_rows.columns
        named = ", ".join(f'"{column}"' for column in columns)
        self.con.execute(f"SELECT {named} FROM inventory_rows ORDER BY candidate_no")
        rows = self.con.fetchall()
        if self.inventory_rows.by is None:
            return columns, rows
        meant = self.inventory_rows.meant
        return columns, [
            tuple(meant(c, cell) or None for c, cell in zip(columns, row, strict=True))
            for row in rows
        ]

    def bad_cells(self) -> dict[int, str]:
        """The cells for which each row was set aside, and why, by the row's number from 1 on."""
        self._turn += 1
        return {} if self.set_aside is None else bad_cells(self.con)

    @property
    def versions(self) -> list[dict[str, Any]] | None:
        """Without a shortlist: the versions on record that were screened; else None."""
        if self.inventory_rows.parts:
            return None
        columns, rows = self.typed()
        return [dict(zip(columns, row, strict=True)) for row in rows]

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
            Memory that DuckDB may take for it and for later queries, as ``2GB``; only with the
            first query.

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
        """As `sql`, with the rows fetched one by one, until another query is started."""
        self._turn += 1
        try:
            self.con.execute("SELECT 1")
        except duckdb.ConnectionException:
            raise UsageError("the screening is closed; screen again") from None
        words = {word.lower() for word in re.findall("[A-Za-z_]+", query)}
        # To explain a million cars takes longer than to screen them: only what is requested.
        if words & set(engine.PUBLIC) - {*AT_ONCE, *engine.QUESTION_OUTPUTS}:
            self._explain()
        if words & set(engine.QUESTION_OUTPUTS):
            self._ask()
        for name in words & set(engine.PUBLIC):
            sql = engine.output_sql(name, ordered=False)
            self.con.execute(f"CREATE TEMP VIEW IF NOT EXISTS {name} AS {sql}")
        if self.shelf is None:
            settle(self.con, OPTIMIZER)
            limits.enter(self.con)
            self.shelf = tempfile.TemporaryDirectory(prefix="towdb-")
            # ``inventory_rows`` is a view of Parquet files: later queries still read them.
            files = [str(part.path) for part, _ in self.inventory_rows.parts if part.is_parquet]
            guard(self.con, files, self.shelf.name)
        elif limits.memory is not None:
            raise UsageError(
                "a memory limit can be set only with the first query of a screening; leave it out"
            )
        answer = select(self.con, query, limits=limits)
        return Rows(answer.columns, self._of_this_turn(answer.rows))

    def _of_this_turn(self, rows: Iterator[Sequence[Any]]) -> Iterator[Sequence[Any]]:
        # There is one connection: another query would replace this result.
        turn = self._turn
        for row in rows:
            yield row
            if self._turn != turn:
                raise UsageError(
                    "another query was started; fetch all rows of one result before the next query"
                )

    def _ask(self) -> None:
        if not self._has_questions:
            with release_read(self.path):
                enter_questions(self.con, each_car=self.has_at_most(EACH_UP_TO))
            self._has_questions = True

    def _explain(self) -> None:
        if not self._is_explained:
            with release_read(self.path):
                engine.check(self.con)
                word_differences(self.con)
                word_conditions(self.con)
                note_unknown_names(self.con, self.inventory_rows)
                note_vins(self.con, self.inventory_rows)
                engine.explain(self.con)
            self._is_explained = True

    def has_at_most(self, candidates: int) -> bool:
        """Whether no more candidates than these are screened."""
        self.con.execute("SELECT COUNT(*) FROM candidate")
        return bool((self.con.fetchone() or (0,))[0] <= candidates)

    def require_unaltered(self) -> None:
        """Compare every row of the release with its digest from the build.

        Raises
        ------
        UsageError
            If anything was changed; it is named.
        """
        from towdb.reference.unaltered import require_unaltered

        self._turn += 1
        require_unaltered(self.con, self.path, "reference", self._release_info)

    def close(self) -> None:
        """Close the release."""
        if self.shelf is None:
            # To close with millions of cars takes more than a second, and no query is left running.
            self.con.close()
            return
        let_go(self.con)
        self.shelf.cleanup()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()
