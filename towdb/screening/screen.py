"""`screen`: candidates and coaches in, verdicts out."""

from __future__ import annotations

import datetime
import os
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

import duckdb

from towdb.contract.rounding import rounding_macros
from towdb.contract.typed import read_date
from towdb.duck.connections import FRUGAL, NO_OPTIMIZER, settle, spilling
from towdb.errors import UsageError
from towdb.intake.candidates import InventoryRows, load_candidates, read_assumptions
from towdb.intake.coaches import Coach, CoachLike, enter_coaches, find_coaches
from towdb.intake.headers import MappingLike, read_mapping
from towdb.intake.policy import Policy, read_policy
from towdb.intake.rejects import SetAside, aside_path
from towdb.intake.unreadable import RowsRead, Unreadable, finish
from towdb.intake.versions import Years, candidates_on_record, read_years
from towdb.reference.opening import release_read
from towdb.reference.query import Reference, attached, path_of
from towdb.reference.release_info import ReleaseInfo
from towdb.screening import engine
from towdb.screening.carried_columns import carried_columns
from towdb.screening.configure import prepare
from towdb.screening.screening import Screening


def screen(
    shortlist: Any = None,
    *,
    coach: CoachLike | Iterable[CoachLike],
    reference: Reference | str | os.PathLike[str],
    on: datetime.date | str | None = None,
    policy: str | Path | Policy | None = None,
    assume: Mapping[str, str] | None = None,
    years: str | int | Years | None = None,
    mapping: MappingLike | None = None,
    set_aside: str | os.PathLike[str] | None = None,
    leave_unreadable: bool = False,
    with_columns: Iterable[str] = (),
) -> Screening:
    """Screen candidates against coaches.

    Parameters
    ----------
    shortlist : path, DataFrame, Arrow table or DuckDB relation, optional
        The candidates: columns of the contract, as a person types them. A path may be a pattern
        such as ``stock/*.parquet``, or a folder, in which names such as ``model_year=2021`` give
        a column. None: every version of a car on record.
    coach : path, Coach, coach_id, or several of these
        A coach file (TOML), or a coach of the reference.
    reference : Reference or path
        The release.
    on : date or str, optional
        Date for withdrawals and effective dates; today by default.
    policy : path or Policy, optional
        A policy file (TOML).
    assume : mapping, optional
        Attribute to word, for cars whose cell is empty.
    years : str, int or (int, int), optional
        Without a shortlist: only these model years, as ``2018-2021``.
    mapping : path or mapping, optional
        A mapping file (TOML), or the content of one: ``columns``, their header to our column, and
        ``words``, for a column of ours their word to our word. Other columns are left aside.
    set_aside : path, optional
        A CSV or Parquet file. Rows that cannot be read are written there unchanged, with the
        reason, and the rest are screened; without it they are refused.
    leave_unreadable : bool
        Whether a cell that cannot be read is left empty and counted where no verdict reads it: a
        date of listing, or a name that two cars have. All other such cells are as without it.
    with_columns : several str, optional
        Columns of the candidates, by our name or their header, that the verdict table carries
        beside the verdicts, as they were typed.

    Returns
    -------
    Screening

    Raises
    ------
    UsageError
        If an input cannot be used; all its faults are listed, and nothing is screened.
    """
    date = read_date(on)
    rules = read_policy(policy)
    assumed = read_assumptions(assume)
    wanted = read_years(years)
    if wanted and shortlist is not None:
        raise UsageError("a shortlist has its own years; leave out the years, or the shortlist")
    if shortlist is None and not (mapping is None and set_aside is None and not leave_unreadable):
        raise UsageError(
            "a mapping, rows set aside and cells left empty go with a shortlist; name one"
        )
    by = read_mapping(mapping)
    how = Unreadable(aside_path(set_aside, shortlist), leave_unreadable)
    carried = [with_columns] if isinstance(with_columns, str) else list(with_columns)
    path = path_of(reference)

    def load(con: duckdb.DuckDBPyConnection) -> InventoryRows:
        if shortlist is None:
            return candidates_on_record(con, wanted)
        return load_candidates(
            con, shortlist, by, whole=how.aside is not None, with_aside=bool(carried)
        )

    con, release_info, coaches, loaded, (reject_file, read) = _screened(
        reference, load, coach, date, rules, assumed, how, carried
    )
    is_read = None if shortlist is None else read
    return Screening(
        con,
        path,
        release_info,
        coaches,
        date,
        rules,
        assumed,
        loaded,
        reject_file,
        carried,
        is_read,
    )


_Read = tuple[SetAside | None, RowsRead]
_Screened = tuple[duckdb.DuckDBPyConnection, ReleaseInfo, tuple[Coach, ...], InventoryRows, _Read]


def _screened(
    reference: Reference | str | os.PathLike[str],
    load: Callable[[duckdb.DuckDBPyConnection], InventoryRows],
    coach: CoachLike | Iterable[CoachLike],
    date: datetime.date,
    rules: Policy,
    assumed: dict[str, str],
    how: Unreadable,
    carried: list[str],
) -> _Screened:
    con, release_info = attached(reference)
    try:
        with release_read(path_of(reference)):
            on_record = dict(con.execute("SELECT coach_id, name FROM towdb_data.coach").fetchall())
            coaches = find_coaches(coach, on_record)
            settle(con, rounding_macros().values())
            loaded = load(con)
            carried_columns(loaded, carried)
            con.execute(f"SELECT 1 FROM inventory_rows LIMIT 1 OFFSET {engine.FEW}")
            if not con.fetchall():
                settle(con, NO_OPTIMIZER)
            else:
                settle(con, (FRUGAL, spilling()))
            prepare(con, loaded, assumed, how)
            engine.enter_call(con, date, rules.weigh_by)
            enter_coaches(con, coaches)
            engine.run(con)
            ((cars,),) = con.execute("SELECT COUNT(*) FROM candidate").fetchall()
            read = finish(con, loaded, how, cars)
    except BaseException:
        con.close()
        raise
    return con, release_info, coaches, loaded, read
