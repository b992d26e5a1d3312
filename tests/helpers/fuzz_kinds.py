"""All kinds of calls that a fuzz draws, and how many of each."""

from __future__ import annotations

from tests.helpers import fuzz_inventories, fuzzing

KINDS = {**fuzzing.KINDS, **fuzz_inventories.KINDS}
SHARES = {**fuzzing.SHARES, **fuzz_inventories.SHARES}
