"""How long a query may run, and how much memory it may take."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import duckdb

from towdb.duck.faults import reason
from towdb.duck.literals import literal
from towdb.errors import UsageError

_MEMORY = re.compile(r"([0-9]{1,9}(?:\.[0-9]{1,3})?) ?((?:[KMGT]i?)?B)", re.IGNORECASE)


@dataclass(frozen=True)
class Limits:
    """What a query may take; None: as much as it needs.

    Attributes
    ----------
    time_s : float or None
        Seconds that the query may run.
    memory : str or None
        Memory that DuckDB may take for it, as ``2GB``.
    """

    time_s: float | None = None
    memory: str | None = None

    def __post_init__(self) -> None:
        if self.time_s is not None and not (self.time_s > 0 and math.isfinite(self.time_s)):
            raise UsageError(f"time limit {self.time_s}: write seconds above 0, as 60")
        if self.memory is not None:
            match = _MEMORY.fullmatch(self.memory.strip())
            if match is None or not float(match[1]):
                raise UsageError(
                    f"memory limit {self.memory[:40]!r}: write a size above 0 with its unit, as"
                    " 500MB or 2GB"
                )

    def enter(self, con: duckdb.DuckDBPyConnection) -> None:
        """Limit the memory of a connection that is not guarded yet.

        Raises
        ------
        UsageError
            If it uses more already, or DuckDB does not accept the size.
        """
        if self.memory is None:
            return
        try:
            con.execute(f"SET memory_limit = {literal(self.memory.strip())}")
        except duckdb.OutOfMemoryException:
            raise self.over_memory() from None
        except duckdb.Error as error:
            raise UsageError(f"memory limit {self.memory}: {reason(error)}; allow less") from None

    def over_memory(self) -> UsageError:
        """The error of a query that ran out of memory."""
        if self.memory is None:
            return UsageError(
                "the query needs more memory than there is; close other programs, or query less"
            )
        return UsageError(
            f"the query needs more memory than its limit of {self.memory.strip()}; allow more"
            " (--memory-limit, in Python memory_limit), or query less"
        )


UNLIMITED = Limits()
