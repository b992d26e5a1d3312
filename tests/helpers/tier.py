"""Two tiers of tests: the whole, and the quick one, which `scripts/test.py` runs without `--all`.

pytest alone runs the whole. A test of the whole tier only is marked ``whole``; one that tries the
same on many drawn worlds, or at many moments, takes fewer of them from `by_tier`.
"""

from __future__ import annotations

import os
from typing import TypeVar

QUICK = os.environ.get("TOWDB_TIER") == "quick"
T = TypeVar("T")


def by_tier(*, quick: T, whole: T) -> T:
    """What a test works with in the tier that runs."""
    return quick if QUICK else whole
