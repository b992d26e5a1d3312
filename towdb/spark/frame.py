"""`screen`: a frame of cars in, a lazy frame of verdicts out."""

from __future__ import annotations

import datetime
import os
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from towdb.contract.typed import read_date
from towdb.duck.sql_files import columns_of
from towdb.errors import UsageError
from towdb.intake.candidates import read_assumptions
from towdb.intake.cells import TWICE, WEIGHTS
from towdb.intake.coaches import CoachLike
from towdb.intake.headers import Header, MappingLike, read_header, read_mapping
from towdb.intake.policy import Policy, read_policy
from towdb.screening import engine
from towdb.screening.screen import ROUNDED
from towdb.spark.cells import CarReader
from towdb.spark.handed import BESIDE_EVERY_CAR, THERE, Handed, hand_over
from towdb.spark.workshop import Workshop, spark_used
from towdb.version import __version__

if TYPE_CHECKING:
    from pyspark.sql import Column, DataFrame, SparkSession

_SQL = Path(__file__).parent / "sql"
# In the order in which they build on each other; the relations of the engine come after them.
_PREPARED = ("car", "told", "candidate", "configuration", "configuration_word",
             "configuration_option", "configuration_confirmed")  # fmt: skip
_READ = "unreadable STRING, candidate STRING, configuration_no STRING, " + ", ".join(
    f"{exact} DECIMAL(18,10)" for exact in WEIGHTS.values()
)
# Microseconds of a day; of an hour, a minute and a second, and how many of them there are.
_DAY_MICROS = 86_400_000_000
_CLOCK = ((3_600_000_000, 24), (60_000_000, 60), (1_000_000, 60))
# Whoever sees them as text sees what a person would type.
_PLAIN = ("tinyint", "smallint", "int", "bigint", "boolean", "date", "void")


def screen(
    session: SparkSession,
    inventory: DataFrame,
    release: str | os.PathLike[str],
    coach: CoachLike | Iterable[CoachLike],
    *,
    on: datetime.date | str | None = None,
    policy: str | Path | Policy | None = None,
    assume: Mapping[str, str] | None = None,
    mapping: MappingLike | None = None,
) -> DataFrame:
    """Screen the cars of a Spark frame against coaches, in Spark.

    Nothing of the inventory is looked at before rows are asked for. So a cell that cannot be read
    refuses nothing: its row has no verdict, and ``unreadable`` says what is wrong.

    Parameters
    ----------
    session : SparkSession
        A classic session. Its workers have the same towdb installed.
    inventory : DataFrame
        The cars: columns of a shortlist, text or typed. ``candidate`` names each car, as a row of a
        frame has no number.
    release : path
        The release, within reach of the driver.
    coach : path, Coach, coach_id, or several of these
        As `towdb.screen` takes them.
    on : date or str, optional
        Date for withdrawals and effective dates; today by default.
    policy : path or Policy, optional
        A policy file (TOML).
    assume : mapping, optional
        Attribute to word, for every car that does not say otherwise.
    mapping : path or mapping, optional
        Other people's headers and words, as `towdb.screen` takes them.

    Returns
    -------
    DataFrame
        The verdict table, one row a car and coach in no order, and ``unreadable``. The metadata of
        its column ``verdict`` names the release, the version of towdb and the day.

    Raises
    ------
    UsageError
        If anything but a cell of the inventory cannot be used.
    """
    _require_spark(session, inventory)
    date, rules = read_date(on), read_policy(policy)
    assumed, by = read_assumptions(assume), read_mapping(mapping)
    with spark_used():
        header = read_header("the inventory", list(inventory.columns), by)
        cells = dict(_cells(inventory, header))
        handed = hand_over(Path(release), coach, date, rules)
        reader = CarReader(tuple(cells), assumed, by, handed.numbers)
        frame = _screened(Workshop(session), _read(inventory, cells, reader), handed)
        about = {"release_id": handed.release_id, "invented": handed.invented,
                 "towdb_version": __version__, "on": date.isoformat()}  # fmt: skip
        return frame.withMetadata("verdict", about)


def _require_spark(session: Any, inventory: Any) -> None:
    try:
        from pyspark.sql.classic.dataframe import DataFrame
    except ImportError:
        raise UsageError("Spark is not installed; pip install 'towdb[spark]'") from None
    if not hasattr(session, "_jsparkSession"):
        what = type(session).__name__
        raise UsageError(f"a {what} is no classic Spark session; give one (not Spark Connect)")
    if not isinstance(inventory, DataFrame):
        what = type(inventory).__name__
        raise UsageError(f"a {what} is no frame of Spark; read the inventory with session.read")


# ------------------------------------------------------------ reading


def _cells(inventory: DataFrame, header: Header) -> Iterator[tuple[str, Column]]:
    """Each of our columns as text.

    Raises
    ------
    UsageError
        If there is no column candidate, or one holds what is no text.
    """
    places = header.places()
    faults = []
    if "candidate" not in places:
        faults.append(
            "the inventory has no column candidate; name each car in one: rows of a frame have no"
            " number"
        )
    for column, at in places.items():
        field = inventory.schema.fields[at]
        kind = field.dataType.simpleString()
        text = _as_text(field.name, kind)
        if text is None:
            faults.append(f"the inventory: column {column} holds {kind[:60]}; write it as text")
        else:
            yield column, text
    if faults:
        raise UsageError("\n".join(faults))


def _as_text(name: str, kind: str) -> Column | None:
    """A cell as a person would type it; None: no text is the one that everybody would write."""
    from pyspark.sql import functions as f

    column = f.col("`" + name.replace("`", "``") + "`")
    text = column.cast("string")
    if kind in _PLAIN or kind.startswith(("string", "varchar", "char")):
        return text
    if kind.startswith("decimal"):
        # Programs that keep every number with so many decimals write 2021.0000 and 4400.500000; in
        # some sessions a 0 of many decimals is written as 0E-10.
        whole = f.regexp_replace(text, "[.]0+$", "")
        short = f.regexp_replace(whole, "([.][0-9]{2,}?)0+$", "$1")
        return f.when(column == 0, "0").otherwise(short)
    if kind in ("double", "float"):
        # A whole number of a column with gaps comes as 2021.0, and a gap as NaN.
        is_whole = (f.abs(column) < 1e15) & (f.floor(column) == column)
        whole = column.cast("bigint").cast("string")
        return f.when(f.isnan(column), None).when(is_whole, whole).otherwise(text)
    if kind == "timestamp_ntz":
        day = column.cast("date")
        return f.when(day.cast(kind) == column, day.cast("string")).otherwise(text)
    if kind == "timestamp":
        # A moment is one day here and another there: it is read in its own zone, UTC, everywhere.
        moment = f.unix_micros(column)
        since = f.pmod(moment, f.lit(_DAY_MICROS))
        day = f.date_from_unix_date(((moment - since) / _DAY_MICROS).cast("int")).cast("string")
        clock = [(since / size).cast("int") % count for size, count in _CLOCK]
        return f.when(since == 0, day).otherwise(
            f.printf(f.lit("%s %02d:%02d:%02d+00"), day, *clock)
        )
    return None


def _read(inventory: DataFrame, cells: Mapping[str, Column], reader: CarReader) -> DataFrame:
    """The rows as the contract's own reader reads them."""
    from pyspark.sql import functions as f

    read = f.udf(reader.__call__, _READ, useArrow=False)
    wrong = f.lit(f"candidate: {TWICE.message}; {TWICE.remedy}")
    rows = inventory.select(read(f.array(*cells.values())).alias("r"))
    return rows.select("r.*", wrong.alias("named_twice"))


# ------------------------------------------------------------ relations


def _screened(shop: Workshop, read: DataFrame, handed: Handed) -> DataFrame:
    """The verdict table, and beside it the rows that cannot be read."""
    # Shuffled once, by what two cars may have in common: whatever builds on it starts behind that.
    rows = shop.bring(read, shop.session).repartition(shop.parts, "candidate")
    shop.enter("read_row", rows)
    for name, table in handed.tables.items():
        told = shop.session.createDataFrame(table.rows, table.schema, verifySchema=False)
        told = told.coalesce(1)
        shop.enter(name, told.hint("broadcast") if name in BESIDE_EVERY_CAR else told)
    for name, body in ROUNDED.items():
        shop.session.sql(
            f"CREATE TEMPORARY FUNCTION {name}(kg DECIMAL(38,10)) RETURNS DOUBLE RETURN {body}"
        )
    texts = {name: (_SQL / f"{name}.sql").read_text("utf-8") for name in _PREPARED}
    texts |= {name: engine.relation_sql(name) for name in THERE}
    texts["verdict"] = engine.output_sql("verdict", ordered=False)
    return shop.build({**texts, "row_of_inventory": _beside_the_unreadable()})


@cache
def _beside_the_unreadable() -> str:
    columns = columns_of(engine.output_sql("verdict"))
    kept = {"candidate": "r.candidate", "coach": "n.coach"}
    empty = ", ".join(kept.get(column, "NULL") for column in columns)
    return (
        f"SELECT {', '.join(columns)}, CAST(NULL AS STRING) AS unreadable FROM verdict"
        f" UNION ALL SELECT {empty}, r.unreadable FROM car AS r CROSS JOIN coach_name AS n"
        " WHERE r.unreadable IS NOT NULL"
    )
