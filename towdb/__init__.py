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
    from towdb.intake.coaches import Coach
    from towdb.intake.policy import Policy
    from towdb.inventory.check import InventoryCheck, check_inventory
    from towdb.inventory.draft import draft_mapping
    from towdb.inventory.gaps import Gaps, gaps
    from towdb.inventory.weights import Weights, weights
    from towdb.meanings import Description, describe
    from towdb.reference.check import CheckResult, check
    from towdb.reference.demo import Demo, demo
    from towdb.reference.query import Reference, open
    from towdb.reference.release import BuildResult, build
    from towdb.reference.show import Showing, show
    from towdb.screening.diff import Diff, diff
    from towdb.screening.screen import screen
    from towdb.screening.screening import Screening

from towdb.version import __version__

_HOME = {
    "schema": "towdb.contract.frames",
    "check": "towdb.reference.check",
    "CheckResult": "towdb.reference.check",
    "demo": "towdb.reference.demo",
    "Demo": "towdb.reference.demo",
    "build": "towdb.reference.release",
    "BuildResult": "towdb.reference.release",
    "open": "towdb.reference.query",
    "Reference": "towdb.reference.query",
    "screen": "towdb.screening.screen",
    "Screening": "towdb.screening.screening",
    "show": "towdb.reference.show",
    "Showing": "towdb.reference.show",
    "Coach": "towdb.intake.coaches",
    "Policy": "towdb.intake.policy",
    "diff": "towdb.screening.diff",
    "Diff": "towdb.screening.diff",
    "describe": "towdb.meanings",
    "Description": "towdb.meanings",
    "check_inventory": "towdb.inventory.check",
    "InventoryCheck": "towdb.inventory.check",
    "draft_mapping": "towdb.inventory.draft",
    "gaps": "towdb.inventory.gaps",
    "Gaps": "towdb.inventory.gaps",
    "weights": "towdb.inventory.weights",
    "Weights": "towdb.inventory.weights",
    "TowdbError": "towdb.errors",
    "UsageError": "towdb.errors",
    "DataError": "towdb.errors",
}
__all__ = [
    "BuildResult",
    "CheckResult",
    "Coach",
    "DataError",
    "Demo",
    "Description",
    "Diff",
    "InventoryCheck",
    "Gaps",
    "Policy",
    "Reference",
    "Screening",
    "Showing",
    "TowdbError",
    "UsageError",
    "Weights",
    "__version__",
    "build",
    "check",
    "check_inventory",
    "demo",
    "describe",
    "diff",
    "draft_mapping",
    "gaps",
    "open",
    "schema",
    "screen",
    "show",
    "weights",
]


def __getattr__(name: str) -> Any:
    if name in _HOME:
        return getattr(importlib.import_module(_HOME[name]), name)
    raise AttributeError(f"module 'towdb' has no attribute {name!r}")


def __dir__() -> list[str]:
    return list(__all__)
