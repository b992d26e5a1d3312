"""Make what the other scripts need: a virtual environment inside the checkout."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
# Oldest supported beside newest: a release must read and hash alike on both.
OLDEST_DUCKDB = "1.5.*"
# Environments that lie apart: what is in them may not meet the tests' tools.
APART = ("oldest", "spark")


def python(kind: str) -> Path:
    """The interpreter of an environment, made on first use.

    Parameters
    ----------
    kind : str
        ``base``: towdb as a user installs it; ``dev``: with the tests' tools;
        ``oldest``: an environment of its own with the oldest supported DuckDB;
        ``spark``: one of its own with PySpark, which pandera would import wherever it finds it.
    """
    if sys.version_info < (3, 11):  # noqa: UP036 - this script meets whatever is installed
        sys.exit("towdb needs Python 3.11 or newer")
    folder = ROOT / ".venv" / kind if kind in APART else ROOT / ".venv"
    interpreter = folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    if not interpreter.exists():
        _create(folder)
    wanted = hashlib.sha256((ROOT / "pyproject.toml").read_bytes()).hexdigest()
    stamps = [folder / f"towdb-{name}.stamp" for name in {kind, "dev"}]
    if not any(stamp.exists() and stamp.read_text() == wanted for stamp in stamps):
        print(f"installing what towdb needs ({kind}) …", flush=True)
        _pip(interpreter, "--upgrade", "pip")
        _pip(interpreter, "-e", f"{ROOT}{'[spark]' if kind == 'spark' else ''}", *_extra(kind))
        (folder / f"towdb-{kind}.stamp").write_text(wanted)
    return interpreter


def node_modules(folder: Path) -> Path:
    """A folder with the packages that a Node program asks for, installed on first use.

    Parameters
    ----------
    folder : Path
        Where the program has its ``package.json``; nothing is written there.
    """
    asked = folder / "package.json"
    wanted = hashlib.sha256(asked.read_bytes()).hexdigest()
    # The name is the stamp: a folder of this name is whole.
    packages = ROOT / ".venv" / "node" / f"{folder.name}-{wanted[:16]}"
    if packages.exists():
        return packages
    npm = shutil.which("npm")
    if npm is None or shutil.which("node") is None:
        sys.exit("there is no node or no npm; on Debian: apt-get install nodejs npm")
    print(f"installing what {folder.name} needs (node) …", flush=True)
    packages.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=packages.parent) as beside:
        making = Path(beside) / packages.name
        making.mkdir()
        shutil.copy(asked, making)
        _npm(npm, making)
        try:
            making.replace(packages)
        except OSError:
            # Tests run side by side: another may have been faster.
            if not packages.exists():
                raise
    return packages


def run(interpreter: Path, *arguments: str) -> int:
    """Run a command of the environment in the checkout; its exit status."""
    print("+", " ".join(arguments), flush=True)
    return subprocess.run([str(interpreter), *arguments], cwd=ROOT, check=False).returncode


def _extra(kind: str) -> tuple[str, ...]:
    match kind:
        case "dev":
            return ("--group", "dev")
        case "oldest":
            return (f"duckdb=={OLDEST_DUCKDB}",)
    return ()


def _create(folder: Path) -> None:
    made = subprocess.run([sys.executable, "-m", "venv", str(folder)], check=False)
    if made.returncode:
        shutil.rmtree(folder, ignore_errors=True)
        sys.exit("could not make a virtual environment; on Debian: apt-get install python3-venv")


def _pip(interpreter: Path, *arguments: str) -> None:
    command = [str(interpreter), "-m", "pip", "install", "--quiet", *arguments]
    if subprocess.run(command, cwd=ROOT, check=False).returncode:
        sys.exit("could not install what towdb needs; is a package index within reach?")


def _npm(npm: str, folder: Path) -> None:
    # No lock: it would name a registry; what is asked for is asked for exactly.
    options = ("--no-package-lock", "--ignore-scripts", "--no-audit", "--no-fund")
    # Out of reach, npm would wait for more than a minute.
    patience = ("--fetch-retry-mintimeout=1000", "--fetch-retry-maxtimeout=5000")
    command = [npm, "install", "--loglevel=error", *options, *patience]
    if subprocess.run(command, cwd=folder, check=False).returncode:
        sys.exit("could not install what Node needs; is a package registry within reach?")
