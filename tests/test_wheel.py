"""The wheel, as somebody installs it: no checkout, no tools of the tests."""

from __future__ import annotations

import os
import shlex
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

import towdb
from tests.conftest import DEMO, ROOT
from towdb.reference.demo import FILES, FOLDERS, RELEASE
from towdb.resources import guides

pytestmark = pytest.mark.whole


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    command = [
        sys.executable,
        "-m",
        "pip",
        "wheel",
        "--no-deps",
        "-q",
        "-w",
        str(folder),
        str(ROOT),
    ]
    subprocess.run(command, check=True, capture_output=True)
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The scripts of an environment that holds the wheel and what it asks for."""
    folder = tmp_path_factory.mktemp("elsewhere")
    venv.create(folder, with_pip=True)
    scripts = folder / ("Scripts" if os.name == "nt" else "bin")
    command = [str(scripts / "python"), "-m", "pip", "install", "-q", str(wheel)]
    subprocess.run(command, check=True, capture_output=True)
    return scripts


def run(scripts: Path, folder: Path, *words: str, notes: str = "", **variables: str) -> str:
    """What a command prints, with nothing of this checkout in sight; `notes` is beside it."""
    environment = {"PATH": f"{scripts}{os.pathsep}{os.defpath}", "PYTHONIOENCODING": "utf-8"}
    environment |= variables
    done = subprocess.run(
        [str(scripts / words[0]), *words[1:]], cwd=folder, env=environment, check=False,
        capture_output=True, text=True, encoding="utf-8",
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, notes), words
    return done.stdout


def test_the_wheel_carries_contract_and_demo_and_nothing_else(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        names = set(archive.namelist())
    # Pictures are for readers of the repository.
    shipped = {"_schema": ROOT / "schema", "_data/demo": ROOT / "data" / "demo"}
    for inside, folder in shipped.items():
        files = {
            path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()
        }
        found = {
            n.removeprefix(f"towdb/{inside}/") for n in names if n.startswith(f"towdb/{inside}/")
        }
        assert found == files
    package = {
        p.relative_to(ROOT).as_posix()
        for p in (ROOT / "towdb").rglob("*")
        if p.suffix in (".py", ".sql", ".html", ".md") or p.name == "py.typed"
    }
    rest = {n for n in names if not n.startswith(("towdb/_schema/", "towdb/_data/", "towdb-"))}
    assert {"towdb/py.typed", "towdb/guide/shop.md"} <= package
    assert rest == package


def test_only_what_a_user_needs_is_installed(installed: Path, tmp_path: Path) -> None:
    program = (
        "from importlib.metadata import distributions as d; print(*[x.name.lower() for x in d()])"
    )
    listed = run(installed, tmp_path, "python", "-c", program).split()
    assert {"towdb", "pandera"} <= set(listed)
    tools = {"pytest", "hypothesis", "mypy", "ruff", "frictionless", "scipy", "sqlglot"}
    assert not tools & set(listed)


def test_the_demo_of_the_wheel_runs(installed: Path, tmp_path: Path) -> None:
    assert run(installed, tmp_path, "towdb", "--version") == f"towdb {towdb.__version__}\n"
    told = run(installed, tmp_path, "towdb", "demo", "try")
    commands = [line.strip() for line in told.splitlines() if line.startswith("  towdb ")]
    assert len(commands) >= 3
    for command in commands:
        words = command.split()
        assert run(installed, tmp_path / "try", *words) != ""
        assert run(installed, tmp_path / "try", "python", "-m", *words) != ""
    checked = run(installed, tmp_path / "try", "towdb", "check", "reference")
    assert "reference: 0 error(s)" in checked
    assert (tmp_path / "try" / "shortlist.csv").read_bytes() == (
        DEMO / "shortlist.csv"
    ).read_bytes()


@pytest.fixture(scope="module")
def desk(wheel: Path, installed: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What `towdb demo` of the wheel writes, and what it takes to read its manuals."""
    folder = tmp_path_factory.mktemp("home")
    # PDFs are an extra, as the guides say.
    extra = [str(installed / "python"), "-m", "pip", "install", "-q", f"{wheel}[pdf]"]
    subprocess.run(extra, check=True, capture_output=True)
    run(installed, folder, "towdb", "demo", "try")
    return folder / "try"


def shown(command: str) -> list[str]:
    """The words of a command of the guides, as they are typed in the folder of the demo."""
    lines = "\n".join(guides().values()).splitlines()
    (line,) = [line for line in lines if line.startswith(f"$ {command}")]
    return shlex.split(line.removeprefix("$ ").partition(" | ")[0])


def test_tours_that_need_the_manuals_run_from_a_wheel(installed: Path, desk: Path) -> None:
    who = {"TOWDB_RECORD": "shop.sqlite", "TOWDB_USER": "Imre Solvang"}
    run(installed, desk, *shown("towdb record init"), **who)
    run(installed, desk, *shown("towdb record import reference"), **who)
    kept = run(installed, desk, *shown("towdb record attach manuals"), **who)
    manuals = [path.name for path in (desk / "manuals").iterdir()]
    assert len(manuals) == len(list((DEMO / "manuals").iterdir())) > 0
    for name in manuals:
        assert f"{name}: attached to {name.removesuffix('.pdf')}, SHA-256 " in " ".join(
            kept.split()
        )


def test_tours_that_need_the_mapping_run_from_a_wheel(installed: Path, desk: Path) -> None:
    notes = (
        "Note: 1 column(s) left aside: Salesman\n1 row(s) set aside in aside.csv\n"
        "unreadable cells left empty: listed_on 1\n"
    )
    told = run(installed, desk, *shown("towdb gaps stock.csv"), notes=notes)
    assert told.startswith("6 rows read, 1 set aside; unreadable cells left empty: listed_on 1\n")
    assert "H-1053" in (desk / "aside.csv").read_text("utf-8")


def test_the_demo_of_the_wheel_holds_what_the_guides_use(desk: Path) -> None:
    # The guides run in a folder of these (test_documents); other files here are the tests' own.
    assert {*FOLDERS, *FILES, RELEASE} <= {path.name for path in desk.iterdir()}


def test_the_guides_are_in_the_wheel(installed: Path, tmp_path: Path) -> None:
    listed = run(installed, tmp_path, "towdb", "guide")
    for name, text in guides().items():
        assert f" {name} " in listed
        assert run(installed, tmp_path, "towdb", "guide", name) == text


def test_a_shell_completes_commands_of_the_wheel(installed: Path, tmp_path: Path) -> None:
    program = (
        "import os, sys; os.environ.update(_TOWDB_COMPLETE=sys.argv[1], COMP_WORDS='towdb sc',"
    )
    program += " COMP_CWORD='1'); sys.argv = ['towdb']; from towdb.cli import main; main()"
    said = run(installed, tmp_path, "python", "-c", program, "bash_complete")
    assert said.split() == ["plain,screen"]
    for shell in ("bash", "zsh", "fish"):
        assert "_TOWDB_COMPLETE" in run(
            installed, tmp_path, "python", "-c", program, f"{shell}_source"
        )
