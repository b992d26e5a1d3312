"""Past one machine: an inventory that lies in Spark, screened there by the same relations.

In come a Spark session, a frame of cars in the columns of a shortlist, a release and coaches. Out
goes a lazy frame of verdicts: nothing of the inventory is looked at before somebody asks for rows.
What lies here is how Spark reads cells, by the contract's own reader, and what it starts at; what a
verdict means lies in `towdb.screening`, and is not said again.
"""

from towdb.spark.frame import screen

__all__ = ["screen"]
