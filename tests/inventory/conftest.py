"""Commands on inventories, typed as a user types them."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.helpers.command import Command


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Command:
    return Command(monkeypatch, capsys)


@pytest.fixture
def type_in(command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Command:
    """The same, in a folder of its own."""
    monkeypatch.chdir(tmp_path)
    return command
