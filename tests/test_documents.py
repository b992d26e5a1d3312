"""What the documents show runs: README and guides, the worked page, the rendered files."""

from __future__ import annotations

import doctest
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import duckdb
import pytest

import towdb
from scripts.render import rendered
from tests.conftest import DEMO, ROOT
from towdb.cli import app
from towdb.reference.demo import FILES, FOLDERS, RELEASE
from towdb.resources import guides

README = (ROOT / "README.md").read_text("utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text("utf-8")
GUIDES = {f"towdb/guide/{name}.md": text for name, text in guides().items()}
DOCUMENTS = {"README.md": README, "DEVELOPERS.md": DEVELOPERS, **GUIDES}
SHOP = GUIDES["towdb/guide/shop.md"]
# How many commands each document shows.
SHOWN = {
    "README.md": 4,
    "DEVELOPERS.md": 0,
    "towdb/guide/buyer.md": 6,
    "towdb/guide/commands.md": 0,
    "towdb/guide/inventories.md": 4,
    "towdb/guide/shop.md": 18,
    "towdb/guide/spark.md": 0,
    "towdb/guide/speed.md": 7,
    "towdb/guide/sql.md": 4,
    "towdb/guide/words.md": 0,
}


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


def tour_folder(folder: Path, release: Path) -> Path:
    """The folder in which a guide's commands are typed: a demo, and the scripts of the checkout."""
    for name in FOLDERS:
        shutil.copytree(DEMO / name, folder / name)
    for name in FILES:
        shutil.copyfile(DEMO / name, folder / name)
    shutil.copyfile(release, folder / RELEASE)
    (folder / "scripts").symlink_to(ROOT / "scripts")
    return folder


def run_sessions(text: str, folder: Path, **variables: str) -> int:
    """Run the commands of a text, and compare what they print with what it shows."""
    scripts = Path(sys.executable).parent
    environment = {**os.environ, "PATH": f"{scripts}{os.pathsep}{os.environ['PATH']}"}
    environment |= {"COLUMNS": "100", "NO_COLOR": "1", "PYTHONIOENCODING": "utf-8", **variables}
    checker = doctest.OutputChecker()
    ran = 0
    for command, shown in sessions(text):
        ran += 1
        if command.startswith("cd "):
            # Each command has a shell of its own, which a change of folder would not outlive.
            folder = folder / command.removeprefix("cd ")
            assert folder.is_dir()
            assert shown == ""
            continue
        done = subprocess.run(
            command, shell=True, cwd=folder, env=environment, check=False,
            capture_output=True, text=True, encoding="utf-8",
        )  # fmt: skip
        lines = [line.rstrip() for line in (done.stdout + done.stderr).splitlines()]
        got = "\n".join(lines).strip() + "\n"
        want = shown.strip() + "\n"
        assert checker.check_output(want, got, doctest.ELLIPSIS), f"$ {command}\n{got}"
    return ran


def test_the_readme_runs_and_prints_what_it_shows(tmp_path: Path) -> None:
    assert run_sessions(README, tmp_path) == SHOWN["README.md"]


# The shop's guide runs on either database: tests/record/test_shop_tour.py.
@pytest.mark.parametrize(
    "name",
    [
        pytest.param(name, marks=pytest.mark.whole if "make_inventory.py" in text else ())
        for name, text in GUIDES.items()
        if SHOWN[name] and text != SHOP
    ],
)
def test_a_guide_runs_and_prints_what_it_shows(
    name: str, tmp_path: Path, demo_release: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tour_folder(tmp_path, demo_release)
    assert run_sessions(GUIDES[name], folder) == SHOWN[name]
    monkeypatch.chdir(folder)
    for query in re.findall(r"```sql\n(.*?)```", GUIDES[name], re.DOTALL):
        with duckdb.connect() as con:
            assert con.execute(query).fetchall()


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_command_of_a_document_is_in_a_console_block(name: str) -> None:
    prompts = re.findall(r"^\$ ", DOCUMENTS[name], re.MULTILINE)
    assert len(prompts) == len(sessions(DOCUMENTS[name])) == SHOWN[name]


@pytest.mark.parametrize("name", DOCUMENTS)
def test_links_lead_to_files(name: str) -> None:
    for target in re.findall(r"\]\(([^)\s]+)\)", DOCUMENTS[name]):
        assert target.startswith("https://") or (ROOT / name).parent.joinpath(target).is_file()
    for guide in re.findall(r"`towdb guide ([a-z]+)`", DOCUMENTS[name]):
        assert guide in guides()


def test_the_readme_links_every_guide() -> None:
    linked = re.findall(r"\]\((towdb/guide/[^)]+)\)", README)
    assert sorted(linked) == sorted(GUIDES)


@pytest.mark.parametrize("command", app.commands)
def test_every_command_has_help_with_an_example_and_is_in_the_readme(command: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "towdb", command, "--help"],
        capture_output=True, text=True, cwd=ROOT, check=True,
    )  # fmt: skip
    assert f"Example: towdb {command}" in " ".join(done.stdout.split())
    assert f"| `towdb {command}` |" in README
    assert f"`towdb {command}" in GUIDES["towdb/guide/commands.md"]


@pytest.mark.parametrize("name", towdb.__all__)
def test_every_public_name_is_documented(name: str) -> None:
    documented = "".join(DOCUMENTS.values())
    assert name == "__version__" or re.search(rf"\b{name}\b", documented)
