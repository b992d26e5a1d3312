"""towdb: which vehicles may be towed with all four wheels on the road, by which coach, and why.

The verbs of the command line as functions. Each is imported when it is first used, so that
``import towdb`` costs next to nothing.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from towdb.contract.frames import schema
    from towdb.errors import DataError, TowdbError, UsageError
    from towdb.reference.check import CheckResult, check
    from towdb.reference.query import Reference, open
    from towdb.reference.release import BuildResult, build
    from towdb.screening.coaches import Coach
    from towdb.screening.policy import Policy
    from towdb.screening.screening import Screening, screen

__version__ = "0.1.0"

_HOME = {
    "schema": "towdb.contract.frames",
    "check": "towdb.reference.check",
    "CheckResult": "towdb.reference.check",
    "build": "towdb.reference.release",
    "BuildResult": "towdb.reference.release",
    "open": "towdb.reference.query",
    "Reference": "towdb.reference.query",
    "screen": "towdb.screening.screening",
    "Screening": "towdb.screening.screening",
    "Coach": "towdb.screening.coaches",
    "Policy": "towdb.screening.policy",
    "TowdbError": "towdb.errors",
    "UsageError": "towdb.errors",
    "DataError": "towdb.errors",
}
__all__ = [
    "BuildResult",
    "CheckResult",
    "Coach",
    "DataError",
    "Policy",
    "Reference",
    "Screening",
    "TowdbError",
    "UsageError",
    "__version__",
    "build",
    "check",
    "open",
    "schema",
    "screen",
]


def __getattr__(name: str) -> Any:
    if name in _HOME:
        return getattr(importlib.import_module(_HOME[name]), name)
    raise AttributeError(f"module 'towdb' has no attribute {name!r}")


def __dir__() -> list[str]:
    return list(__all__)
