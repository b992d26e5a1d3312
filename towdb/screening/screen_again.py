"""What was screened, kept as plain text, and screened again by another release."""

from __future__ import annotations

import os
from typing import Any

from towdb.intake.coaches import coach_fields, coach_of
from towdb.intake.policy import Policy
from towdb.screening.screen import screen
from towdb.screening.screening import Screening
from towdb.screening.session import Session

Record = dict[str, Any]


def inputs(session: Session) -> Record:
    """What was screened, as plain text: enough to screen it again by another release."""
    columns, rows = session.typed()
    return {
        "candidates": [
            {column: cell for column, cell in zip(columns, row, strict=True) if cell is not None}
            for row in rows
        ],
        "coaches": [coach_fields(coach) for coach in session.coaches],
        "on": session.on.isoformat(),
        "policy": session.policy.values,
        "assumed": session.assumed,
    }


def screen_again(given: Record, reference: str | os.PathLike[str]) -> Screening:
    """Screen what `inputs` kept.

    Raises
    ------
    UsageError
        If the release cannot be read, or does not know the inputs.
    """
    import pandas as pd

    frame = pd.DataFrame(given["candidates"], dtype="str")
    return screen(
        frame,
        coach=[coach_of(coach) for coach in given["coaches"]],
        reference=reference,
        on=given["on"],
        policy=Policy(given["policy"]),
        assume=given["assumed"],
    )
