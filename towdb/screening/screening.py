"""A screening: cars behind coaches, with their verdicts, explanations and questions."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from towdb.screening.files import write
from towdb.screening.session import Session
from towdb.screening.summary import RAISES, Summary, summarise

if TYPE_CHECKING:
    import pandas as pd


class Screening(Session):
    """The result of `screen`. Its tables stay in DuckDB; a frame is made when it is read.

    Attributes
    ----------
    on : date
        The date for which withdrawals and effective dates were taken.
    coaches : tuple of Coach
        The coaches, in the order given.
    policy : Policy
        What the house decides.
    assumed : dict
        What was assumed for cars whose cell is empty.
    release_id : str
        The release that the verdicts rest on.
    invented : bool
        Whether that release has invented rows.
    set_aside : SetAside or None
        Where rows that cannot be read were set aside, and how many; None: not requested.
    read : RowsRead or None
        How many rows were read, how many of them set aside, and how many cells left empty; None:
        without a shortlist.
    notes : tuple of str
        What a person should know about how the candidates were read.
    """

    @property
    def verdicts(self) -> pd.DataFrame:
        """One row a candidate and coach, in the order given; with the columns that it carries."""
        return self._frame("verdict")

    @property
    def checks(self) -> pd.DataFrame:
        """One row a candidate, coach and check: all seven, in the order of checks."""
        return self._frame("check_outcome")

    @property
    def conditions(self) -> pd.DataFrame:
        """What the statements that may apply require, where towing is permitted.

        Where their procedures differ, ``depends_on`` has the cars that each is for.
        """
        return self._frame("condition")

    @property
    def citations(self) -> pd.DataFrame:
        """The rows that every check and condition rests on, each with its page."""
        return self._frame("citation")

    @property
    def remarks(self) -> pd.DataFrame:
        """What a person should know beside the checks, one row a remark.

        For the first 500 names that are not on record, in the order of the cars, the nearest name
        is found; a remark on any other has a kind that ends in ``_among_many``.
        """
        return self._frame("remark")

    @property
    def questions(self) -> pd.DataFrame:
        """What is still to find out: one row a candidate, coach, question and answer.

        The most decisive question of a car comes first; one that no answer about the car settles
        has one row, without an answer. Of more than 20,000 cars, only one of each configuration
        whose checks all agree has questions, of the commonest 200,000.
        """
        return self._frame("question")

    @property
    def to_find_out(self) -> pd.DataFrame:
        """What is still to find out about all cars together, what settles most of them first."""
        return self._frame("to_find_out")

    def summary(self, by: Iterable[str] | str = (), *, raises: Iterable[str] = RAISES) -> Summary:
        """The screening in numbers: verdicts, what governs, and what would change most of them.

        Parameters
        ----------
        by : str or several, optional
            Attributes to group cars by.
        raises : several str
            By how much the ratings of what a coach may pull are raised, to show what that adds.

        Returns
        -------
        Summary

        Raises
        ------
        UsageError
            If there is no such attribute, or a raise is not a weight.
        """
        return summarise(self, by, raises)

    def write(self, path: str | os.PathLike[str]) -> None:
        """Write the verdict table to a CSV or Parquet file, or everything to a JSON file.

        Verdicts of more than 100,000 cars are in no particular order.

        A DuckDB file has ``verdict``, and what joins it to the release: ``car`` (candidate,
        configuration_no), ``counted_statement`` (configuration_no,
        eligibility_id) and ``screening`` (release_id, towdb_version, on_date).

        Raises
        ------
        UsageError
            If the name ends otherwise, or the file cannot be written.
        """
        write(self, Path(path))

    def _frame(self, output: str) -> pd.DataFrame:
        import pandas as pd

        columns, rows = self.rows(output)
        return pd.DataFrame(rows, columns=columns)
