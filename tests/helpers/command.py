"""The command line inside the test's own process: what it prints, and its exit status."""

from __future__ import annotations

import sys
from dataclasses import dataclass

import pytest

from towdb.cli import _status, app


@dataclass(frozen=True)
class Said:
    """What a command came to."""

    status: int
    out: str
    err: str


@dataclass(frozen=True)
class Command:
    """Types commands, and catches what they say."""

    patch: pytest.MonkeyPatch
    captured: pytest.CaptureFixture[str]

    def __call__(self, *arguments: object) -> Said:
        self.patch.setattr(sys, "argv", ["towdb", *map(str, arguments)])
        status = _status(app)
        out, err = self.captured.readouterr()
        return Said(status, out, err)

    def refused(self, *arguments: object) -> str:
        """The one line by which a wrong call is refused; nothing else is printed."""
        said = self(*arguments)
        assert (said.status, said.out) == (2, "")
        (line,) = said.err.splitlines()
        return line


def unwrapped(text: str) -> str:
    """Text without its line ends: what wraps on a screen reads as one line."""
    return " ".join(text.split())
