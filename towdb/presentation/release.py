"""A release that was built, and a demo, in a few lines."""

from __future__ import annotations

import shlex
from collections.abc import Iterator

from towdb.reference.demo import FILES, FOLDERS, RELEASE, Demo
from towdb.reference.release import BuildResult
from towdb.report.caution import INVENTED


def built_lines(built: BuildResult) -> Iterator[str]:
    """How much is in a release, and its id."""
    count, warnings = sum(built.rows.values()), built.check.warnings
    yield f"{built.path}: {count:,} rows of {len(built.rows)} tables, {warnings} warning(s)"
    yield f"release {built.release_id}"


def demo_lines(made: Demo) -> Iterator[str]:
    """What is in a demo, and what to type next."""
    folders = " ".join(f"{name}/" for name in FOLDERS)
    yield f"{made.folder}: {folders} {RELEASE} {' '.join(FILES)}"
    yield INVENTED
    yield "What to type next:"
    yield f"  cd {shlex.quote(str(made.folder))}"
    yield f"  towdb screen shortlist.csv --coach coach.toml --reference {RELEASE}"
    yield f"  towdb screen --years 2021 --coach coach.toml --reference {RELEASE}"
    yield f"  towdb show Quillon Pika 2021 --reference {RELEASE}"
    yield "  towdb describe"
