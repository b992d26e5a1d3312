"""The same verdicts by other means: scripts of somebody who knows this very data.

They know that each model year has one group and one statement, and what these say. Each takes the
inventory, the release and the file to write.
"""

from __future__ import annotations

BY_HAND = """
WITH matched AS (
    SELECT i.candidate,
           CASE
               WHEN lower(i.transmission) = 'stick'
                AND replace(replace(lower(i.transfer_case), '-', '_'), ' ', '_')
                    = 'two_speed_with_neutral' THEN 'permitted'
               WHEN lower(i.transmission) = 'stick' AND i.transfer_case IS NULL THEN 'depends'
               ELSE 'nothing'
           END AS permission,
           CASE WHEN lower(i.transmission) = 'stick' AND i.transfer_case IS NOT NULL
                THEN CAST(p.value AS DECIMAL(18,10)) END AS gvwr,
           CASE WHEN lower(i.transmission) = 'stick'
                THEN CAST(p.value AS DECIMAL(18,10)) END AS gvwr_in_question,
           CAST(i.curb_weight AS DECIMAL(18,10)) AS curb
    FROM read_parquet('{inventory}') AS i
    LEFT JOIN r.towdb_data.vehicle_group AS g
      ON lower(g.make) = lower(i.make) AND lower(g.model) = lower(i.model)
     AND CAST(i.model_year AS INTEGER) BETWEEN g.model_year_from AND g.model_year_to
    LEFT JOIN r.towdb_data.vehicle_property AS p
      ON p.vehicle_group_id = g.vehicle_group_id AND p.property = 'gvwr'
),
judged AS (
    SELECT candidate, permission,
           CASE WHEN curb > gvwr_in_question THEN NULL ELSE gvwr END AS high,
           CASE WHEN curb > gvwr_in_question THEN NULL ELSE curb END AS low
    FROM matched
)
SELECT candidate, permission,
       CASE WHEN low > 5000 OR low + 20500 > 26000 THEN 'not_suitable'
            WHEN permission <> 'permitted' OR high IS NULL THEN 'undetermined'
            WHEN high <= 5000 AND high + 20500 <= 26000 THEN 'suitable'
            ELSE 'undetermined' END AS verdict,
       high, low, 5000 - high AS receiver_margin, 26000 - 20500 - high AS combination_margin
FROM judged
"""

_GROUPS = """
SELECT lower(g.make) AS mk, lower(g.model) AS md, g.model_year_from, g.model_year_to,
       CAST(p.value AS DOUBLE) AS gvwr
FROM r.towdb_data.vehicle_group AS g
JOIN r.towdb_data.eligibility AS e
  ON e.vehicle_group_id = g.vehicle_group_id AND e.towing_method = 'four_wheels_down'
JOIN r.towdb_data.vehicle_property AS p
  ON p.vehicle_group_id = g.vehicle_group_id AND p.property = 'gvwr'
"""
_BEGIN = f"""
import sys
import duckdb

con = duckdb.connect()
con.execute(f"ATTACH '{{sys.argv[2]}}' AS r (READ_ONLY)")
groups = con.execute('''{_GROUPS}''')
"""
_READ = """
groups = groups.df()
cars = con.execute(f"FROM read_parquet('{sys.argv[1]}')").df()
"""
# Of a frame with the columns sure, maybe, gvwr and curb.
_JUDGE = """
def judge(frame):
    gvwr = frame["gvwr"].where(frame["maybe"])
    crossed = frame["curb"] > gvwr
    low = frame["curb"].where(~crossed)
    high = gvwr.where(frame["sure"] & ~crossed)
    verdict = pd.Series("undetermined", index=frame.index)
    verdict[frame["sure"] & (high <= 5000) & (high + 20500 <= 26000)] = "suitable"
    verdict[(low > 5000) | (low + 20500 > 26000)] = "not_suitable"
    return verdict


def words(frame):
    stick = frame["transmission"].str.lower() == "stick"
    case = frame["transfer_case"].str.lower().str.replace("[- ]", "_", regex=True)
    return stick & (case == "two_speed_with_neutral"), stick
"""
_WRITE = """
answer = cars[["candidate", "verdict"]]
con.execute(f"COPY (FROM answer) TO '{sys.argv[3]}' (FORMAT parquet)")
"""

MERGED = f"""
import pandas as pd
{_BEGIN}{_READ}{_JUDGE}
cars["mk"] = cars["make"].str.lower()
cars["md"] = cars["model"].str.lower()
cars["year"] = cars["model_year"].astype(int)
pairs = cars[["candidate", "mk", "md", "year"]].merge(groups, on=["mk", "md"])
pairs = pairs[pairs["year"].between(pairs["model_year_from"], pairs["model_year_to"])]
cars = cars.merge(pairs[["candidate", "gvwr"]], on="candidate", how="left")
cars["sure"], cars["maybe"] = words(cars)
cars["curb"] = cars["curb_weight"].astype(float)
cars["verdict"] = judge(cars)
{_WRITE}"""

ONCE_EACH = f"""
import pandas as pd
{_BEGIN}{_READ}{_JUDGE}
told = ["make", "model", "model_year", "transmission", "transfer_case"]
kinds = cars[told].drop_duplicates().copy()
kinds["mk"] = kinds["make"].str.lower()
kinds["md"] = kinds["model"].str.lower()
kinds["year"] = kinds["model_year"].astype(int)
pairs = kinds[["mk", "md", "year"]].drop_duplicates().merge(groups, on=["mk", "md"])
pairs = pairs[pairs["year"].between(pairs["model_year_from"], pairs["model_year_to"])]
kinds = kinds.merge(pairs[["mk", "md", "year", "gvwr"]], on=["mk", "md", "year"], how="left")
kinds["sure"], kinds["maybe"] = words(kinds)
cars = cars.merge(kinds[[*told, "sure", "maybe", "gvwr"]], on=told, how="left")
cars["curb"] = pd.to_numeric(cars["curb_weight"])
cars["verdict"] = judge(cars)
{_WRITE}"""

POLARS = f"""
import polars as pl
{_BEGIN}
names = [column[0] for column in groups.description]
known = pl.DataFrame(groups.fetchall(), schema=names, orient="row").lazy()
stick = pl.col("transmission").str.to_lowercase() == "stick"
case = pl.col("transfer_case").str.to_lowercase().str.replace_all("[- ]", "_")
gvwr = pl.when(stick).then(pl.col("gvwr"))
curb = pl.col("curb_weight").cast(pl.Float64)
sure = (stick & (case == "two_speed_with_neutral")).fill_null(False)
crossed = (curb > gvwr).fill_null(False)
low = pl.when(~crossed).then(curb)
high = pl.when(sure & ~crossed).then(gvwr)
verdict = (
    pl.when((low > 5000) | (low + 20500 > 26000)).then(pl.lit("not_suitable"))
    .when((high <= 5000) & (high + 20500 <= 26000)).then(pl.lit("suitable"))
    .otherwise(pl.lit("undetermined"))
)
cars = pl.scan_parquet(sys.argv[1]).with_columns(
    mk=pl.col("make").str.to_lowercase(), md=pl.col("model").str.to_lowercase(),
    year=pl.col("model_year").cast(pl.Int64),
)
years = cars.select("mk", "md", "year").unique().join(known, on=["mk", "md"])
inside = pl.col("year").is_between(pl.col("model_year_from"), pl.col("model_year_to"))
years = years.filter(inside).select("mk", "md", "year", "gvwr")
answer = cars.join(years, on=["mk", "md", "year"], how="left").select("candidate", verdict=verdict)
answer.sink_parquet(sys.argv[3])
"""
