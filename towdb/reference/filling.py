"""Fills an attached database as a release: the rows, what is derived, and the digests."""

from __future__ import annotations

import duckdb
import pandas as pd

from towdb.contract import ddl
from towdb.contract.model import contract
from towdb.reference.digests import enter_digests
from towdb.reference.relations import COPIED, DERIVED, PASSING, view_sql
from towdb.reference.release_info import ReleaseInfo
from towdb.version import __version__


def fill(
    con: duckdb.DuckDBPyConnection, catalog: str, findings: pd.DataFrame, identity: str
) -> None:
    """Fill an empty attached database from the relations that the rules were checked with.

    Parameters
    ----------
    con : DuckDBPyConnection
        A connection whose catalog ``memory`` was staged.
    catalog : str
        The database to fill.
    findings : DataFrame
        What the check found.
    identity : str
        The release_id.
    """
    con.execute(f"CREATE SCHEMA {catalog}.towdb_data")
    for table in contract().tables.values():
        con.execute(ddl.create_table(table, catalog=catalog))
        con.execute(
            f"INSERT INTO {catalog}.towdb_data.{table.name}"
            f" SELECT * FROM memory.towdb_data.{table.name} ORDER BY {table.key}"
        )
    con.register("finding_frame", findings)
    con.execute(f"CREATE TABLE {catalog}.towdb_data.finding AS SELECT * FROM finding_frame")
    con.unregister("finding_frame")
    con.execute(f"SELECT COALESCE(BOOL_OR(invented), FALSE) FROM {catalog}.towdb_data.source")
    (invented,) = con.fetchone() or (False,)
    # What follows names its relations towdb_data.x: they must be those of the release.
    con.execute(f"USE {catalog}")
    for statement in (*ddl.vocabulary_relations(), *ddl.macros().values()):
        con.execute(statement)
    for name in COPIED:
        con.execute(f"CREATE TABLE towdb_data.{name} AS FROM memory.towdb_data.{name} ORDER BY ALL")
    for name in PASSING:
        con.execute(f"CREATE VIEW towdb_data.{name} AS {view_sql(name)}")
    for name in DERIVED:
        con.execute(f"CREATE TABLE towdb_data.{name} AS {view_sql(name)}")
    # A release contains nothing that runs; code that opens it creates what queries call.
    for name in PASSING:
        con.execute(f"DROP VIEW towdb_data.{name}")
    for macro in reversed(ddl.macros()):
        con.execute(f"DROP MACRO towdb_data.{macro}")
    about = ReleaseInfo(identity, contract().version, __version__, bool(invented))
    enter_digests(con, catalog, about)
    con.execute("USE memory")
