"""Cars and a coach to be screened, and the answers of a release."""

from __future__ import annotations

from pathlib import Path

import pandas as pd

import towdb
from towdb.screening.screening import Screening

COACH = "brackwater"
ON = "2025-04-02"
_PIKA = {
    "make": "Quillon", "model": "Pika", "model_year": "2020", "market": "xa",
    "powertrain": "gasoline", "drivetrain": "front_wheel_drive", "transfer_case": "none",
}  # fmt: skip
CARS = {
    "by key": _PIKA | {"transmission": "manual", "ignition": "key"},
    "by button": _PIKA | {"transmission": "manual", "ignition": "button"},
    "automatic": _PIKA | {"transmission": "automatic"},
    "vole": {"make": "Quillon", "model": "Vole", "model_year": "2021", "market": "xa"},
}


def shortlist(*names: str) -> pd.DataFrame:
    """Some of the cars as a shortlist."""
    return pd.DataFrame([{"candidate": name, **CARS[name]} for name in names or CARS], dtype="str")


def screened(release: Path, *names: str, on: str = ON) -> Screening:
    """The cars behind the coach of the base folder, by a release."""
    return towdb.screen(shortlist(*names), coach=COACH, reference=release, on=on)


def verdicts(release: Path, *names: str) -> dict[str, str]:
    """The answer of a release for each car."""
    with screened(release, *names) as screening:
        frame = screening.verdicts
    return dict(zip(frame["candidate"], frame["verdict"], strict=True))
