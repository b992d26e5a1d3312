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

__version__ = "0.1.0"

_HOME = {
    "schema": "towdb.contract.frames",
    "check": "towdb.reference.check",
    "CheckResult": "towdb.reference.check",
    "build": "towdb.reference.release",
    "BuildResult": "towdb.reference.release",
    "open": "towdb.reference.query",
    "Reference": "towdb.reference.query",
    "TowdbError": "towdb.errors",
    "UsageError": "towdb.errors",
    "DataError": "towdb.errors",
}
__all__ = [
    "BuildResult",
    "CheckResult",
    "DataError",
    "Reference",
    "TowdbError",
    "UsageError",
    "__version__",
    "build",
    "check",
    "open",
    "schema",
]


def __getattr__(name: str) -> Any:
    if name in _HOME:
        return getattr(importlib.import_module(_HOME[name]), name)
    raise AttributeError(f"module 'towdb' has no attribute {name!r}")


def __dir__() -> list[str]:
    return list(__all__)
