"""A session beside the caller's, in which relations are put together and nothing is run."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import TYPE_CHECKING

from towdb.errors import UsageError

if TYPE_CHECKING:
    from pyspark.sql import DataFrame, SparkSession


class Workshop:
    """A session of our own: views, functions and settings of the caller's stay as they are.

    Parameters
    ----------
    caller : SparkSession
        The caller's session, whose settings hold here too.

    Attributes
    ----------
    parts : int
        Into how many parts the caller shuffles an inventory.
    """

    def __init__(self, caller: SparkSession) -> None:
        self.caller, self.session = caller, caller.newSession()
        settings = self.session.conf
        for key, value in caller.conf.getAll.items():
            if settings.isModifiable(key):
                settings.set(key, value)
        # To plan a query adaptively, or to broadcast, is to run a part of it.
        settings.set("spark.sql.adaptive.enabled", "false")
        settings.set("spark.sql.autoBroadcastJoinThreshold", "-1")
        # Configurations are few, whatever the inventory is.
        few = caller.sparkContext.defaultParallelism
        self.parts = int(settings.get("spark.sql.shuffle.partitions") or few)
        settings.set("spark.sql.shuffle.partitions", str(few))

    def bring(self, frame: DataFrame, into: SparkSession) -> DataFrame:
        """A frame of one session in another."""
        return into.createDataFrame([], frame.schema).union(frame)

    def cut(self, frame: DataFrame) -> DataFrame:
        """The same rows, whose making is no longer part of the plans that ask for them."""
        from pyspark.sql import DataFrame

        inside = self.session._jsparkSession
        made = inside.createDataFrame(frame._jdf.toJavaRDD(), frame._jdf.schema())
        return DataFrame(made, self.session)

    def enter(self, name: str, frame: DataFrame) -> None:
        """Make a frame known by the name of a relation."""
        frame.createTempView(_here(name))

    def build(self, texts: Mapping[str, str]) -> DataFrame:
        """Make relations known, in the order in which they build on each other; the last of them.

        What several build on is cut off: Spark would write it out again in every place, and a
        verdict would rest on two hundred copies of the inventory.

        Parameters
        ----------
        texts : mapping
            Relation to its SELECT.
        """
        everything = " ".join(texts.values())
        for name, sql in texts.items():
            frame = self.session.sql(_here(sql))
            uses = re.findall(rf"\b(?:FROM|JOIN) {name}\b", everything)
            self.enter(name, self.cut(frame) if len(uses) > 1 else frame)
        return self.bring(frame, self.caller)


def _here(sql: str) -> str:
    # What is temporary has no schema, and none is made in a catalog that is not ours.
    return sql.replace("towdb_data.", "towdb_data_")


@contextmanager
def spark_used() -> Iterator[None]:
    """While Spark plans: what it finds wrong, as a `UsageError`."""
    from py4j.protocol import Py4JError
    from pyspark.errors import PySparkException

    try:
        yield
    except (PySparkException, Py4JError) as error:
        reason = " ".join(str(error).split())[:300]
        raise UsageError(f"Spark cannot plan it: {reason}") from None
