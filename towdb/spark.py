"""Past one machine: a Spark frame of cars, of which each partition runs `towdb.screen`.

In go a Spark session, a frame of cars in the columns of a shortlist, a release and coaches. Out
comes a lazy frame of verdicts. Here is only how cars reach a worker and verdicts leave it: how a
cell is read and what a verdict means is decided in `towdb.screening`.
"""

from __future__ import annotations

import datetime
import os
import tempfile
import warnings
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import duckdb

from towdb.contract.typed import read_date
from towdb.duck.literals import literal
from towdb.duck.sql_files import columns_of
from towdb.errors import UsageError
from towdb.intake.candidates import read_assumptions
from towdb.intake.cells import TWICE
from towdb.intake.coaches import Coach, CoachLike, find_coaches
from towdb.intake.headers import ColumnMap, Header, MappingLike, read_header, read_mapping
from towdb.intake.policy import Policy, read_policy
from towdb.reference.opening import attach, digest_of, release_read
from towdb.screening.engine import output_sql
from towdb.screening.screen import screen as screen_cars
from towdb.version import __version__

if TYPE_CHECKING:
    import pyarrow as pa
    from pyspark.sql import Column, DataFrame, SparkSession

__all__ = ["screen"]

_TEXT = ("string", "varchar", "char")
# Other types whose values have one text that everybody would write.
_PLAIN = ("tinyint", "smallint", "int", "bigint", "boolean", "date", "void", "decimal", "double",
          "float", "timestamp", "timestamp_ntz")  # fmt: skip
# What DuckDB's trim removes from a name: the blanks of Unicode, and no other white space.
_BLANKS = "".join(map(chr, (0x20, 0xA0, 0x1680, *range(0x2000, 0x200B), 0x202F, 0x205F, 0x3000)))
# The name of a car, which goes past the screening: there a row without a name has a number of its
# partition, and two partitions may each have a car of one name.
_NAME, _IS_TWICE = "name_of_car", "is_named_twice"
# Cars that a worker screens at once, and bytes of them: enough that opening the release counts for
# little, and few enough that several workers have room side by side.
_AT_ONCE, _BYTES_AT_ONCE = 250_000, 256_000_000
_BATCH = 10_000


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

    Nothing of the inventory is read before rows are fetched. So a cell that cannot be read stops
    nothing: its row has no verdict, and ``unreadable`` names the cell and what is wrong.

    Parameters
    ----------
    session : SparkSession
        A classic session. Its workers have the same version of towdb installed.
    inventory : DataFrame
        The cars: columns of a shortlist, text or typed. ``candidate`` names each car, as a row of a
        frame has no number.
    release : path
        The release, within reach of the driver, which sends it to the workers.
    coach : path, Coach, coach_id, or several of these
        As `towdb.screen` takes them.
    on : date or str, optional
        Date for withdrawals and effective dates; by default the day of this call.
    policy : path or Policy, optional
        A policy file (TOML).
    assume : mapping, optional
        Attribute to word, for every car whose cell is empty.
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
    call = read_call(release, coach, on, policy, assume, mapping)
    with _spark_used():
        cars = _cars(inventory, read_header("the inventory", list(inventory.columns), call.by))
        sent = session.sparkContext.broadcast(Path(release).read_bytes())
        verdicts = cars.mapInArrow(replace(call, sent=sent), _schema())
        return verdicts.withMetadata("verdict", call.about)


def _require_spark(session: Any, inventory: Any) -> None:
    try:
        from pyspark.sql.classic.dataframe import DataFrame
    except ImportError:
        raise UsageError("Spark is not installed; pip install 'towdb[spark]'") from None
    if not hasattr(session, "_jsparkSession"):
        what = type(session).__name__
        raise UsageError(f"a {what} is not a classic Spark session; pass one (not Spark Connect)")
    if not isinstance(inventory, DataFrame):
        what = type(inventory).__name__
        raise UsageError(f"a {what} is not a Spark frame; read the inventory with session.read")


@contextmanager
def _spark_used() -> Iterator[None]:
    """While Spark plans: what it finds wrong, as a `UsageError`."""
    from py4j.protocol import Py4JError
    from pyspark.errors import PySparkException

    with warnings.catch_warnings():
        # It warns of a pandas that is newer than itself; here it only gets Arrow.
        warnings.filterwarnings("ignore", ".*pandas", FutureWarning)
        try:
            yield
        except (PySparkException, Py4JError) as error:
            reason = " ".join(str(error).split())[:300]
            if isinstance(error, ImportError):
                reason += " pip install 'towdb[spark]'"
            raise UsageError(f"Spark cannot plan it: {reason}") from None


# ------------------------------------------------------------ at the driver


def read_call(
    release: str | os.PathLike[str],
    coach: CoachLike | Iterable[CoachLike],
    on: datetime.date | str | None = None,
    policy: str | Path | Policy | None = None,
    assume: Mapping[str, str] | None = None,
    mapping: MappingLike | None = None,
) -> Call:
    """Read all that workers need beside cars, once: no worker reads a file or a clock of its own.

    Raises
    ------
    UsageError
        If any of it cannot be used.
    """
    date, rules = read_date(on), read_policy(policy)
    assumed, by = read_assumptions(assume), read_mapping(mapping)
    path = Path(release)
    con, (release_id, _, _, invented) = attach(path)
    with con, release_read(path):
        on_record = dict(con.execute("SELECT coach_id, name FROM towdb_data.coach").fetchall())
        digest = digest_of(con, "reference")
    about = {"release_id": release_id, "invented": invented, "towdb_version": __version__,
             "on": date.isoformat()}  # fmt: skip
    return Call(digest, find_coaches(coach, on_record), date, rules, assumed, by, about)


def _cars(inventory: DataFrame, header: Header) -> DataFrame:
    """The columns that a screening reads, by our names, and the name of each car.

    Raises
    ------
    UsageError
        If there is no column candidate, or a column has a type that is not read as text.
    """
    from pyspark.sql import functions as f

    places = header.places()
    kinds = {c: inventory.schema.fields[at].dataType.simpleString() for c, at in places.items()}
    faults = [
        f"the inventory: column {column} is of type {kind[:60]}; write it as text"
        for column, kind in kinds.items()
        if not kind.startswith(_TEXT) and kind.partition("(")[0] not in _PLAIN
    ]
    if "candidate" not in places:
        faults.insert(0, "the inventory has no column candidate; name each car in one: rows of a"
                      " frame have no number")  # fmt: skip
    if faults:
        raise UsageError("\n".join(faults))
    # By place: two of the columns that are not read may have one name.
    placed = inventory.toDF(*(f"c{at}" for at in range(len(inventory.columns))))
    cells = {column: _cell(f.col(f"c{at}"), kinds[column]) for column, at in places.items()}
    name = _name(cells.pop("candidate"), kinds["candidate"])
    cars = placed.select(name.alias(_NAME), *(cell.alias(our) for our, cell in cells.items()))
    # Cars without a name are not counted; they may be most of them, and are spread out.
    row = ", ".join(f"`{column}`" for column in (_NAME, *cells))
    alike = f"{_NAME}, IF({_NAME} IS NULL, xxhash64({row}), NULL)"
    is_twice = f"count({_NAME}) OVER (PARTITION BY {alike}) > 1 AS {_IS_TWICE}"
    return cars.selectExpr("*", is_twice, "'' AS candidate")


def _cell(column: Column, kind: str) -> Column:
    # Typed values stay typed until `towdb.screen` reads them, which decides what their text is.
    return column.cast("string") if kind.startswith(_TEXT) else column


def _name(column: Column, kind: str) -> Column:
    from pyspark.sql import functions as f

    if kind.startswith(_TEXT):
        return f.nullif(f.btrim(column, f.lit(_BLANKS)), f.lit(""))
    # A gap of a column of numbers comes as NaN.
    return f.nanvl(column, f.lit(None).cast(kind)) if kind in ("double", "float") else column


def _verdict_columns() -> list[str]:
    return columns_of(output_sql("verdict"))


def _schema() -> str:
    """The columns that come out, as Spark writes them: the verdict table, and ``unreadable``."""
    columns = (*_verdict_columns(), "unreadable")
    # A name that ends in a unit is that of a number.
    return ", ".join(f"{c} {'DOUBLE' if c.endswith(('_lb', '_kg')) else 'STRING'}" for c in columns)


# ------------------------------------------------------------ at a worker


@dataclass(frozen=True)
class Call:
    """A call of `screen` as it travels to the workers, each of which calls it on a partition.

    Attributes
    ----------
    digest : str
        Identifies the release that the driver opened.
    coaches, on, policy, assumed, by
        What `towdb.screen` is called with.
    about : dict
        What the verdicts rest on.
    sent : Broadcast or None
        The file of the release.
    """

    digest: str
    coaches: tuple[Coach, ...]
    on: datetime.date
    policy: Policy
    assumed: dict[str, str]
    by: ColumnMap | None
    about: dict[str, Any]
    sent: Any = None

    def __call__(self, batches: Iterable[pa.RecordBatch]) -> Iterator[pa.RecordBatch]:
        """The verdicts on the cars of a partition."""
        with tempfile.TemporaryDirectory(prefix="towdb-") as folder:
            release = Path(folder, "release.duckdb")
            for cars in _some_at_once(batches):
                if not release.exists():
                    self.lay(release)
                yield from self.screened(cars, release)

    def lay(self, release: Path) -> None:
        """Write the release where `towdb.screen` can open it.

        Raises
        ------
        UsageError
            If it is not the driver's, or the driver runs another towdb.
        """
        if __version__ != self.about["towdb_version"]:
            raise UsageError(
                f"this worker has towdb {__version__} and the driver"
                f" {self.about['towdb_version']}; install the same version on both"
            )
        release.write_bytes(self.sent.value)
        con, _ = attach(release)
        with con:
            if digest_of(con, "reference") != self.digest:
                raise UsageError(
                    f"the release is not {self.about['release_id'][:12]}, which the driver opened;"
                    " it was replaced meanwhile: screen again"
                )

    def screened(self, cars: pa.Table, release: Path) -> Iterator[pa.RecordBatch]:
        """The verdicts on some cars."""
        verdicts, aside = release.with_name("verdicts.parquet"), release.with_name("aside.parquet")
        with screen_cars(
            cars, coach=self.coaches, reference=release, on=self.on, policy=self.policy,
            assume=self.assumed, mapping=self.map_of(cars.column_names), set_aside=aside,
            with_columns=(_NAME, _IS_TWICE),
        ) as screening:  # fmt: skip
            screening.write(verdicts)
            bad = screening.bad_cells()
        with duckdb.connect() as con:
            con.execute("SET threads = 1")
            con.execute(
                "CREATE TABLE bad AS SELECT unnest($1::BIGINT[]) AS row_no,"
                " unnest($2::VARCHAR[]) AS told",
                [list(bad), list(bad.values())],
            )
            query = _together(verdicts, aside, [coach.coach for coach in self.coaches])
            yield from con.sql(query).to_arrow_reader(_BATCH)

    def map_of(self, columns: Iterable[str]) -> ColumnMap:
        """The mapping for columns that have our names by now."""
        ours = {column: column for column in columns} | {_NAME: "", _IS_TWICE: ""}
        return replace(self.by or ColumnMap("the inventory"), columns=ours)


def _some_at_once(batches: Iterable[pa.RecordBatch]) -> Iterator[pa.Table]:
    import pyarrow as pa

    some: list[pa.RecordBatch] = []
    rows = size = 0
    for batch in batches:
        some.append(batch)
        rows, size = rows + batch.num_rows, size + batch.nbytes
        if rows >= _AT_ONCE or size >= _BYTES_AT_ONCE:
            yield pa.Table.from_batches(some)
            some, rows, size = [], 0, 0
    if rows:
        yield pa.Table.from_batches(some)


def _together(verdicts: Path, aside: Path, coaches: Iterable[str]) -> str:
    """The SELECT of what comes out: verdicts, and beside them the rows without one."""
    columns = ", ".join(c for c in _verdict_columns() if c != "candidate")
    twice = literal(f"candidate: {TWICE.message}; {TWICE.remedy}")
    is_twice = f"{_IS_TWICE} = 'true'"
    named = f"{_NAME} AS candidate, coach"
    return (
        f"SELECT {_NAME} AS candidate, {columns}, CAST(NULL AS VARCHAR) AS unreadable"
        f" FROM {_parquet(verdicts)} WHERE NOT {is_twice}"
        f" UNION ALL BY NAME SELECT {named}, {twice} AS unreadable"
        f" FROM {_parquet(verdicts)} WHERE {is_twice}"
        f" UNION ALL BY NAME SELECT {named},"
        f" CASE WHEN {is_twice} THEN told || ' · ' || {twice} ELSE told END AS unreadable"
        f" FROM {_parquet(aside)} JOIN bad ON row_no = line - 1"
        f" CROSS JOIN (SELECT unnest([{', '.join(map(literal, coaches))}]) AS coach)"
    )


def _parquet(path: Path) -> str:
    return f"read_parquet({literal(str(path))})"
