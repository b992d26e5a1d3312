"""What the documents say runs: the README's tour, the worked page, the rendered files."""

from __future__ import annotations

import doctest
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

import towdb
from scripts.render import rendered
from tests.conftest import ROOT
from towdb.cli import app

README = (ROOT / "README.md").read_text("utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text("utf-8")


def test_rendered_files_are_fresh() -> None:
    for path, text in rendered().items():
        assert path.read_text("utf-8") == text, f"{path.name}: run python3 scripts/render.py"


def test_the_worked_page_passes(tmp_path: Path) -> None:
    blocks = re.findall(r"```csv (\w+)\n(.*?)```", DEVELOPERS, re.DOTALL)
    for table, text in blocks:
        (tmp_path / f"{table}.csv").write_text(text, "utf-8")
    result = towdb.check(tmp_path)
    # The page gives no weight, and the check says that one is missing.
    assert {f.rule for f in result.found} == {"flat_towed_groups_have_a_checked_gvwr"}
    assert result.ok
    assert len(blocks) == 6


def sessions(text: str) -> list[tuple[str, str]]:
    """Commands of the console blocks with the output that is shown below each."""
    found = []
    for block in re.findall(r"```console\n(.*?)```", text, re.DOTALL):
        for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            command, *lines = part.splitlines()
            while lines and lines[0].startswith("> "):
                command += "\n" + lines.pop(0)[2:]
            shown = "\n".join(lines)
            found.append((command, shown))
    return found


SHOP = re.compile(r"^## A year in the shop\n.*?(?=^## )", re.DOTALL | re.MULTILINE)


def run_sessions(text: str, folder: Path, **variables: str) -> int:
    """Run the commands of a text, and compare what they print with what it shows."""
    for name in ("data", "scripts"):
        (folder / name).symlink_to(ROOT / name)
    scripts = Path(sys.executable).parent
    environment = {**os.environ, "PATH": f"{scripts}{os.pathsep}{os.environ['PATH']}"}
    environment |= {"COLUMNS": "100", "NO_COLOR": "1", "PYTHONIOENCODING": "utf-8", **variables}
    checker = doctest.OutputChecker()
    ran = 0
    for command, shown in sessions(text):
        if not command.startswith(("towdb", "python -c", "python scripts/make", "head", "sed")):
            continue
        done = subprocess.run(
            command, shell=True, cwd=folder, env=environment, check=False,
            capture_output=True, text=True, encoding="utf-8",
        )  # fmt: skip
        lines = [line.rstrip() for line in (done.stdout + done.stderr).splitlines()]
        got = "\n".join(lines).strip() + "\n"
        want = shown.strip() + "\n"
        assert checker.check_output(want, got, doctest.ELLIPSIS), f"$ {command}\n{got}"
        ran += 1
    return ran


def test_the_readme_tour_runs_and_prints_what_it_shows(tmp_path: Path) -> None:
    assert run_sessions(SHOP.sub("", README), tmp_path) >= 8


@pytest.mark.parametrize("command", app.commands)
def test_every_command_has_help_with_an_example_and_stands_in_the_readme(command: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "towdb", command, "--help"],
        capture_output=True, text=True, cwd=ROOT, check=True,
    )  # fmt: skip
    assert f"Example: towdb {command}" in " ".join(done.stdout.split())
    assert f"towdb {command}" in README


@pytest.mark.parametrize("name", towdb.__all__)
def test_every_public_name_is_documented(name: str) -> None:
    assert name == "__version__" or name in README
