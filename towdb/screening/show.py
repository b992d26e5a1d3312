"""`show`: all that is on record of a make, a model or a model year, and what is not."""

from __future__ import annotations

import datetime
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from towdb.contract.grammar import fold
from towdb.contract.typed import read_date
from towdb.errors import UsageError, did_you_mean
from towdb.reference.group_text import CELLS, WORDS, YEARS, group_text, years_text
from towdb.reference.query import Reference, attach, release_read
from towdb.screening import words
from towdb.screening.engine import relation_sql
from towdb.screening.facts import statement_facts
from towdb.screening.table import asked_in_short

if TYPE_CHECKING:
    import duckdb
    import pandas as pd

Record = dict[str, Any]
COLUMNS = (
    "model", "model_year_from", "model_year_to", "cars", "towing_method", "purpose", "permission",
    "checked", "awaiting", "replaced_by", "withdrawn_on", "in_short", "locator", "title",
    "eligibility_id", "quote",
)  # fmt: skip


@dataclass(frozen=True)
class Showing:
    """What is on record of a make, a model or a model year.

    Attributes
    ----------
    make : str
        As the reference writes it.
    on : date
        The date for which withdrawals were taken.
    release_id : str
        The release that was asked.
    invented : bool
        Whether it holds invented rows.
    records : list of dict
        One a statement, by model and model year; keys as in `COLUMNS`.
    gaps : dict
        By model: model years between the first and the last on record for which no page on towing
        with four wheels down, behind another vehicle, is on record.
    """

    make: str
    on: datetime.date
    release_id: str
    invented: bool
    records: list[Record]
    gaps: dict[str, list[int]]

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
    path = reference.path if isinstance(reference, Reference) else Path(reference)
    con, (release_id, _, _, invented) = attach(path)
    try:
        with release_read(path):
            make, models = _names(con, make, model)
            found = list(_records(con, make, models, year, date))
            gaps = {name: years for name in models if (years := _gaps(con, make, name, year))}
    finally:
        con.close()
    return Showing(make, date, release_id, invented, found, gaps)


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


def _records(
    con: duckdb.DuckDBPyConnection,
    make: str,
    models: list[str],
    year: int | None,
    on: datetime.date,
) -> Iterator[Record]:
    con.execute(f"CREATE TEMP TABLE shown AS {relation_sql('show/shown')}", [make, models, year])
    con.execute(
        "CREATE TEMP TABLE asked_statement AS SELECT eligibility_id,"
        " COALESCE(same_steps_as, eligibility_id) AS steps_of FROM shown"
        " WHERE permission = 'permitted'"
    )
    facts: dict[str, list[Record]] = {}
    for fact in statement_facts(con):
        facts.setdefault(fact.eligibility_id, []).append(fact._asdict())
    con.execute(relation_sql("show/listed"), [on])
    names = [column[0] for column in con.description or ()]
    for row in con.fetchall():
        record = dict(zip(names, row, strict=True))
        # What the page leaves open to any car goes without saying.
        said = [name for name in CELLS if name not in YEARS and record[name] != "any"]
        unclear = [
            name.replace("_", " ")
            for name in WORDS
            if record[name] is None and record["otherwise"] is None
        ]
        parts = [group_text(record, said)]
        parts += [f"not clear for which {', '.join(unclear)}"] if unclear else []
        record["cars"] = "; ".join(filter(None, parts))
        asked = facts.get(record["eligibility_id"], [])
        record["in_short"] = asked_in_short(asked) if record["permission"] == "permitted" else ""
        if record["withdrawn_on"] and record["withdrawn_on"] > on:
            record["withdrawn_on"] = None
        yield {name: record[name] for name in COLUMNS}


def _gaps(con: duckdb.DuckDBPyConnection, make: str, model: str, year: int | None) -> list[int]:
    con.execute(relation_sql("show/gap"), [make, model, year])
    return [row[0] for row in con.fetchall()]


SCREEN_COLUMNS = ("year", "cars", "the page says", "what it takes", "page")


def screen_rows(shown: Showing) -> Iterator[tuple[str, list[list[str]]]]:
    """By model, the rows of the screen for `SCREEN_COLUMNS`."""
    for model in dict.fromkeys(record["model"] for record in shown.records):
        of_model = [record for record in shown.records if record["model"] == model]
        yield (
            model,
            [
                [
                    years_text(record),
                    record["cars"] or "all",
                    _said(record),
                    record["in_short"],
                    f"{record['locator']}\n{record['title']}",
                ]
                for record in of_model
            ],
        )


def _said(record: Record) -> str:
    text = words.PERMISSIONS[record["permission"]]
    if record["towing_method"] != "four_wheels_down":
        text = f"{words.METHODS[record['towing_method']]}: {text}"
    if record["purpose"] == "emergency":
        text = f"in an emergency: {text}"
    notes = [
        "not checked yet" if not record["checked"] else "",
        f"replaced by {record['replaced_by']}" if record["replaced_by"] else "",
        f"withdrawn on {record['withdrawn_on']}" if record["withdrawn_on"] else "",
    ]
    return "\n".join([text, *filter(None, notes)])
