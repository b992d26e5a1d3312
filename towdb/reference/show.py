"""`show`: all that is on record of a make, a model or a model year, and what is not."""

from __future__ import annotations

import datetime
import os
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from towdb.contract.grammar import fold
from towdb.contract.typed import read_date
from towdb.duck.select import guard
from towdb.errors import UsageError, did_you_mean
from towdb.reference.conditions import CITED, CONDITION, statement_conditions
from towdb.reference.opening import release_read
from towdb.reference.query import Reference, attached, path_of
from towdb.reference.relations import view_sql
from towdb.wording import sentences
from towdb.wording.groups import (
    CELLS,
    WORDS,
    YEARS,
    distinguishing_cells,
    group_text,
)
from towdb.wording.procedure import requirements_in_short

if TYPE_CHECKING:
    import duckdb
    import pandas as pd

Record = dict[str, Any]
COLUMNS = (
    "model", "model_year_from", "model_year_to", "cars", "towing_method", "purpose", "permission",
    "checked", "awaiting", "replaced_by", "replaced_for_some_by", "exceptions", "contradicted_by",
    "withdrawn_on", "in_short", "locator", "title", "eligibility_id", "quote",
)  # fmt: skip


@dataclass(frozen=True)
class Showing:
    """What is on record of a make, a model or a model year.

    Attributes
    ----------
    make : str
        As the reference writes it.
    on : date
        The date for withdrawals.
    release_id : str
        The release that was read.
    invented : bool
        Whether it has invented rows.
    records : list of dict
        One a statement, by model and model year; keys as in `COLUMNS`.
    gaps : dict
        By model: model years between the first and the last on record for which no page on towing
        with four wheels down, behind another vehicle, is on record.
    conditions : dict
        By permitting statement: its limits, steps and fuses in printed order, each with its page;
        keys as in the relation ``condition`` of a screening.
    """

    make: str
    on: datetime.date
    release_id: str
    invented: bool
    records: list[Record]
    gaps: dict[str, list[int]]
    conditions: dict[str, list[Record]]

    def document(self) -> Record:
        """Everything as one document, as ``--format json`` gives it."""
        return {
            "make": self.make,
            "on": self.on.isoformat(),
            "reference": {"release_id": self.release_id, "invented": self.invented},
            "statements": [
                {**record, "conditions": self.conditions.get(record["eligibility_id"], [])}
                for record in self.records
            ],
            "years_not_on_record": self.gaps,
        }

    @property
    def statements(self) -> pd.DataFrame:
        """The statements as a DataFrame."""
        import pandas as pd

        return pd.DataFrame(self.records, columns=list(COLUMNS))


def show(
    reference: Reference | str | os.PathLike[str],
    make: str,
    model: str | None = None,
    year: int | None = None,
    *,
    on: datetime.date | str | None = None,
) -> Showing:
    """Show every statement on a make, one of its models, or one model year of it.

    Parameters
    ----------
    reference : Reference or path
        The release.
    make, model : str
        As a person types them: in any case.
    year : int, optional
        A model year.
    on : date or str, optional
        Date for withdrawals; today by default.

    Returns
    -------
    Showing

    Raises
    ------
    UsageError
        If there is no such make or model on record; the nearest is named.
    """
    date = read_date(on)
    if year is not None and not 1 <= year <= 9999:
        raise UsageError(f"year {year}: write a model year, as 2021")
    con, (release_id, _, _, invented) = attached(reference)
    try:
        guard(con)
        with release_read(path_of(reference)):
            make, models = _names(con, make, model)
            con.execute(f"CREATE TEMP TABLE shown AS {view_sql('show/shown')}",
                        [make, models, year])  # fmt: skip
            conditions = _conditions(con)
            found = list(_records(con, conditions, date))
            gaps = {name: years for name in models if (years := _gaps(con, make, name, year))}
    finally:
        con.close()
    return Showing(make, date, release_id, invented, found, gaps, conditions)


def _names(con: duckdb.DuckDBPyConnection, make: str, model: str | None) -> tuple[str, list[str]]:
    known: dict[str, dict[str, str]] = {}
    makes: dict[str, str] = {}
    query = "SELECT DISTINCT make, model FROM towdb_data.vehicle_group ORDER BY make, model"
    for each, name in con.execute(query).fetchall():
        makes.setdefault(fold(each), each)
        known.setdefault(fold(each), {}).setdefault(fold(name), name)
    if fold(make) not in known:
        raise UsageError(
            f"{make}: no such make on record{did_you_mean(make, makes.values())};"
            f" on record: {', '.join(sorted(makes.values())) or 'none'}"
        )
    models = known[fold(make)]
    if model is not None and fold(model) not in models:
        raise UsageError(
            f"{model}: no such model of {makes[fold(make)]} on record"
            f"{did_you_mean(model, models.values())};"
            f" on record: {', '.join(sorted(models.values()))}"
        )
    return makes[fold(make)], [models[fold(model)]] if model else list(models.values())


def _conditions(con: duckdb.DuckDBPyConnection) -> dict[str, list[Record]]:
    con.execute(
        "CREATE TEMP TABLE open_statement AS SELECT eligibility_id,"
        " COALESCE(same_steps_as, eligibility_id) AS steps_of FROM shown"
        " WHERE permission = 'permitted'"
    )
    pages: dict[tuple[str, ...], Record] = {}
    for eligibility_id, *cited in _rows(con, view_sql("show/printed")):
        page = dict(zip(CITED, cited, strict=True))
        pages[eligibility_id, page["table"], page["key"]] = page
    found: dict[str, list[Record]] = {}
    for stated in statement_conditions(con):
        at = (stated.eligibility_id, stated.table_name, stated.row_key)
        condition = {"depends_on": None, **stated._asdict(), "citations": [pages[at]]}
        shown = {key: condition[key] for key in (*CONDITION, "citations")}
        found.setdefault(stated.eligibility_id, []).append(shown)
    return found


def _rows(con: duckdb.DuckDBPyConnection, query: str, *given: object) -> list[tuple[Any, ...]]:
    return con.execute(query, list(given)).fetchall()


def _records(
    con: duckdb.DuckDBPyConnection, by_statement: dict[str, list[Record]], on: datetime.date
) -> Iterator[Record]:
    rows = _rows(con, view_sql("show/listed"), on)
    names = [column[0] for column in con.description or ()]
    records = {
        row["eligibility_id"]: row for row in (dict(zip(names, r, strict=True)) for r in rows)
    }
    for record in records.values():
        # What the page leaves open to any car is not mentioned.
        named = [name for name in CELLS if name not in YEARS and record[name] != "any"]
        unclear = [
            name.replace("_", " ")
            for name in WORDS
            if record[name] is None and record["otherwise"] is None
        ]
        parts = [group_text(record, named)]
        parts += [f"not clear for which {', '.join(unclear)}"] if unclear else []
        record["cars"] = "; ".join(filter(None, parts))
        conditions = by_statement.get(record["eligibility_id"], [])
        permits = record["permission"] == "permitted"
        record["in_short"] = requirements_in_short(conditions) if permits else ""
        record["exceptions"] = "\n".join(_exceptions(record, records))
        yield {name: record[name] for name in COLUMNS}


def _exceptions(record: Record, records: dict[str, Record]) -> Iterator[str]:
    """For which of its cars another statement applies instead."""
    for named in filter(None, (record["replaced_for_some_by"] or "").split(", ")):
        other = records.get(named.partition(" ")[0])
        if other is None:
            # It is on other model years than the one requested.
            yield f"other model years: {named}"
            continue
        cars = group_text(other, distinguishing_cells([record, other])) or "some"
        mark = named.partition(" ")[2]
        text = " ".join(filter(None, [sentences.PERMISSIONS[other["permission"]], mark]))
        yield f"{cars}: {text}, {other['locator']}"


def _gaps(con: duckdb.DuckDBPyConnection, make: str, model: str, year: int | None) -> list[int]:
    con.execute(view_sql("show/gap"), [make, model, year])
    return [row[0] for row in con.fetchall()]
