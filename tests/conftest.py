"""Shared by all tests: where things are, and that nothing is skipped where nothing may be."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

import towdb
from tests.helpers.command import Command
from tests.helpers.tier import QUICK

ROOT = Path(__file__).resolve().parent.parent
DEMO = ROOT / "data" / "demo"

settings.register_profile(
    "towdb", deadline=None, suppress_health_check=[HealthCheck.too_slow], print_blob=True
)
settings.load_profile("towdb")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if QUICK:
        config.hook.pytest_deselected(items=[i for i in items if i.get_closest_marker("whole")])
        items[:] = [item for item in items if not item.get_closest_marker("whole")]


def pytest_sessionfinish(session: pytest.Session) -> None:
    # On a machine of one's own a test may lack a server or a client; in CI all are installed.
    reporter = session.config.pluginmanager.get_plugin("terminalreporter")
    if os.environ.get("CI") == "true" and reporter and reporter.stats.get("skipped"):
        reporter.write_line("skipped tests are failures in CI")
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


@pytest.fixture(autouse=True)
def _no_reference_from_outside(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("TOWDB_REFERENCE", "TOWDB_RECORD", "TOWDB_USER"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture(scope="session")
def demo_release(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo reference, built once."""
    return towdb.build(DEMO / "reference", tmp_path_factory.mktemp("release") / "demo.duckdb").path


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Command:
    return Command(monkeypatch, capsys)


@pytest.fixture
def type_in(command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Command:
    """The same, in a folder of its own."""
    monkeypatch.chdir(tmp_path)
    return command
