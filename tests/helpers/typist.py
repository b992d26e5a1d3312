"""Types a command line in a folder of its own, within the test's process, and says what came."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import ParamSpec, TypeVar

import pytest

from tests.conftest import DEMO
from towdb import Screening, UsageError, screen
from towdb.cli import _status, app

ON = "2026-01-31"
Answer = TypeVar("Answer")
Given = ParamSpec("Given")


def screened(release: Path) -> Screening:
    """The demo's shortlist behind the demo's coach."""
    return screen(DEMO / "shortlist.csv", coach=DEMO / "coach.toml", reference=release, on=ON)


def answered(
    ask: Callable[Given, Answer], *given: Given.args, **named: Given.kwargs
) -> Answer | None:
    """An answer, or none where the question was refused, in one line."""
    told = None
    try:
        return ask(*given, **named)
    except UsageError as error:
        told = str(error)
    assert len(told.splitlines()) == 1, told
    return None


def content(folder: Path) -> dict[str, bytes | None]:
    """Every file of a folder, and every folder in it."""
    return {
        str(path.relative_to(folder)): path.read_bytes() if path.is_file() else None
        for path in sorted(folder.rglob("*"))
    }


def stock_file(folder: Path, name: str = "stock.csv") -> Path:
    """A small table of somebody's own."""
    path = folder / name
    path.write_text("stock_no,make\n1,Quillon\n2,Bessarin\n", "utf-8")
    return path


@dataclass
class Typist:
    """Types in a folder; says exit status, output and complaints."""

    folder: Path
    read: Callable[[], tuple[str, str]]
    put: Callable[[list[str]], None]

    def type(self, *parts: object) -> tuple[int, str, str]:
        self.put(["towdb", *map(str, parts)])
        status = _status(app)
        return status, *self.read()

    def good(self, *parts: object) -> str:
        """What a call prints that is right."""
        status, out, err = self.type(*parts)
        assert (status, err) == (0, ""), err
        return out

    def refused(self, *parts: object) -> str:
        """The one line of a refusal that leaves the folder as it was."""
        before = content(self.folder)
        status, out, err = self.type(*parts)
        assert (status, out) == (2, ""), (out[:200], err)
        lines = err.splitlines()
        assert len(lines) == 1, err
        assert lines[0].startswith("towdb: "), err
        assert content(self.folder) == before
        return lines[0].removeprefix("towdb: ")


def typist_in(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Typist:
    """A typist in this folder."""
    monkeypatch.chdir(folder)
    monkeypatch.delenv("COLUMNS", raising=False)

    def read() -> tuple[str, str]:
        told = capsys.readouterr()
        return told.out, told.err

    return Typist(folder, read, lambda parts: monkeypatch.setattr(sys, "argv", parts))
