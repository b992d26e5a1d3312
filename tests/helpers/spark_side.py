"""Spark's side of the tests: one session, asked and answering in a line of JSON each.

python spark_side.py FOLDER

It runs in an environment of its own, with whatever Spark writes in FOLDER. What comes in and what
goes out lies in files.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
from pyspark.sql import DataFrame, SparkSession
from pyspark.sql import functions as f

import towdb.spark
from towdb.errors import UsageError

Asked = dict[str, Any]


def session_in(folder: Path) -> SparkSession:
    """A session on this machine alone: nothing listens beyond it, nothing is shown."""
    settings = {
        "spark.ui.enabled": "false",
        "spark.driver.host": "127.0.0.1",
        "spark.driver.bindAddress": "127.0.0.1",
        # Most of it runs once: to compile it well would take longer than all of it.
        "spark.driver.extraJavaOptions": "-XX:TieredStopAtLevel=1 -XX:ReservedCodeCacheSize=256m"
        f" -XX:+UseSerialGC -Djava.io.tmpdir={folder}",
        "spark.local.dir": str(folder),
        "spark.sql.warehouse.dir": str(folder / "warehouse"),
        "spark.sql.shuffle.partitions": "2",
        # Half a day from UTC: a moment that is read in the wrong zone is another day.
        "spark.sql.session.timeZone": "Pacific/Auckland",
        "spark.ui.showConsoleProgress": "false",
    }
    builder = SparkSession.builder.master("local[2]").appName("towdb")
    for key, value in settings.items():
        builder = builder.config(key, value)
    session = builder.getOrCreate()
    session.sparkContext.setLogLevel("ERROR")
    return session


# ------------------------------------------------------------ towdb.spark.screen


def inventory_of(session: SparkSession, asked: Asked) -> DataFrame:
    """The cars: a file, or rows of text."""
    if "rows" in asked:
        frame = session.createDataFrame(asked["rows"], asked["schema"])
    elif asked["path"].endswith(".csv"):
        frame = session.read.csv(asked["path"], header=True, multiLine=True, escape='"')
    else:
        frame = session.read.parquet(asked["path"])
    for name, sql in asked.get("columns", {}).items():
        frame = frame.withColumn(name, f.expr(sql))
    return frame.repartition(asked["parts"]) if "parts" in asked else frame


def screen(session: SparkSession, asked: Asked) -> Asked:
    """Screen, and write the frame; what ran before anybody asked for rows."""
    frame = inventory_of(session, asked)
    seen = session.sparkContext.accumulator(0)
    if asked.get("counted"):
        frame = frame.withColumn("candidate", f.udf(counting(seen), useArrow=False)("candidate"))
    before = state_of(session)
    with jobs(session) as ran:
        found = towdb.spark.screen(session, frame, asked["release"], asked["coach"], **asked["by"])
    told = {
        "jobs": ran,
        "is_untouched": state_of(session) == before,
        "columns": found.columns,
        "metadata": found.schema["verdict"].metadata,
        "is_of_the_session": found.sparkSession is session,
        "modules": sorted({name.partition(".")[0] for name in sys.modules}),
    }
    if "into" in asked:
        with jobs(session) as ran:
            found.write.parquet(asked["into"])
        told |= {"jobs_of_the_action": len(ran), "seen": seen.value}
    return told


def counting(seen: Any) -> Callable[[str], str]:
    """A column that counts how often a row of it is made."""

    def count(name: str) -> str:
        seen.add(1)
        return name

    return count


def poisoned(session: SparkSession, asked: Asked) -> Asked:
    """Screen a source that breaks as soon as a row of it is read."""
    frame = inventory_of(session, asked).withColumn("trim", f.expr("raise_error('was read')"))
    found = towdb.spark.screen(session, frame, asked["release"], asked["coach"])
    try:
        found.collect()
    except Exception as error:
        return {"broke": "was read" in str(error)}
    return {"broke": False}


def by_few(_: SparkSession, asked: Asked) -> Asked:
    """What a worker makes of a file that comes in batches of 2 cars, of which it screens 5 at once.

    It runs here, where what is at once can be changed.
    """
    cars = pq.read_table(asked["path"])
    call = towdb.spark.read_call(asked["release"], asked["coach"], **asked["by"])
    call = replace(call, sent=SimpleNamespace(value=Path(asked["release"]).read_bytes()))
    limits = {name: getattr(towdb.spark, name) for name in asked["limits"]}
    vars(towdb.spark).update(asked["limits"])
    try:
        made = list(call(cars.to_batches(max_chunksize=2)))
    finally:
        vars(towdb.spark).update(limits)
    pq.write_table(pa.Table.from_batches(made), asked["into"])
    return {}


def state_of(session: SparkSession) -> Any:
    """What of a session a caller would miss, or find and wonder."""
    catalog = session.catalog
    return (
        sorted(table.name for table in catalog.listTables()),
        sorted(database.name for database in catalog.listDatabases()),
        sorted(row[0] for row in session.sql("SHOW USER FUNCTIONS").collect()),
        dict(session.conf.getAll),
    )


@contextmanager
def jobs(session: SparkSession) -> Iterator[list[int]]:
    """The jobs that ran meanwhile."""
    context, ran = session.sparkContext, list[int]()
    context.setJobGroup("meanwhile", "")
    known = set(context.statusTracker().getJobIdsForGroup("meanwhile"))
    try:
        yield ran
    finally:
        ran += sorted(set(context.statusTracker().getJobIdsForGroup("meanwhile")) - known)
        context.setJobGroup("other", "")


def program(_: SparkSession, asked: Asked) -> Asked:
    """Run a program of the documents; the session that it asks for is there."""
    exec(asked["text"], {})
    return {}


VERBS = {"screen": screen, "by_few": by_few, "poisoned": poisoned, "program": program}


def main() -> None:
    """Answer until nobody asks any more."""
    # What Spark prints is no answer.
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)
    os.environ["PYSPARK_PYTHON"] = sys.executable
    session = session_in(Path(sys.argv[1]))
    for line in sys.stdin:
        asked = json.loads(line)
        try:
            told = VERBS[asked["do"]](session, asked)
        except UsageError as error:
            told = {"refused": str(error)}
        except Exception as error:
            told = {"failed": f"{type(error).__name__}: {error}"[:4000]}
        print(json.dumps(told), file=answers, flush=True)
    session.stop()


if __name__ == "__main__":
    main()
