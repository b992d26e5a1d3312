"""Imports run one way, and a verb imports no more than it needs."""

from __future__ import annotations

import ast
import subprocess
import sys
from fnmatch import fnmatch
from pathlib import Path

import pytest

from tests.conftest import ROOT

# What each folder may import of towdb, itself aside.
MAY_IMPORT = {
    "contract": {"errors", "resources", "unseen"},
    "duck": set(),
    "reference": {"contract", "duck", "errors", "resources", "unseen", "__init__"},
    "screening": {"contract", "duck", "reference", "report", "errors", "resources", "__init__"},
    "record": {
        "contract",
        "reference",
        "screening",
        "report",
        "errors",
        "resources",
        "unseen",
        "__init__",
    },
    "inventory": {
        "contract",
        "duck",
        "reference",
        "screening",
        "report",
        "errors",
        "resources",
        "unseen",
    },
    "spark": {"contract", "reference", "screening", "errors", "__init__"},
    "report": {"errors", "unseen"},
    "errors": set(),
    "unseen": set(),
    "resources": set(),
    "__init__": {"contract", "reference", "screening", "inventory", "errors"},
    "__main__": {"cli"},
    "cli": {
        "contract",
        "reference",
        "screening",
        "inventory",
        "record",
        "report",
        "errors",
        "resources",
        "__init__",
    },
}
FILES = sorted((ROOT / "towdb").rglob("*.py"))


def part_of(path: Path) -> str:
    relative = path.relative_to(ROOT / "towdb")
    return relative.parts[0] if len(relative.parts) > 1 else relative.stem


def imported(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        names = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            assert node.level == 0, f"{path}: imports are absolute"
            names = [node.module]
        for name in names:
            if name.split(".")[0] == "towdb":
                found.add(name.split(".")[1] if "." in name else "__init__")
    return found


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_imports_run_one_way(path: Path) -> None:
    part = part_of(path)
    assert imported(path) - {part} <= MAY_IMPORT[part]


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_files_stay_readable(path: Path) -> None:
    text = path.read_text("utf-8")
    assert len(text.splitlines()) <= 400
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            body = node.body[1:] if ast.get_docstring(node) else node.body
            length = (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0
            assert length <= 40, f"{node.name} has {length} lines"


@pytest.mark.parametrize(
    "arguments",
    [
        *(["--help"], ["sql", "--help"], ["--version"], ["sql", "select 1"]),
        *(["weights", "nothing.csv"], ["guide"], ["guide", "shop"]),
    ],
)
def test_light_verbs_import_no_heavy_library(arguments: list[str]) -> None:
    program = (
        "import sys; from towdb.cli import _status, app\n"
        f"sys.argv[1:] = {arguments!r}\n"
        "_status(app)\n"
        "heavy = {'pandas', 'pandera', 'sqlalchemy', 'numpy', 'matplotlib'} & set(sys.modules)\n"
        "sys.exit(f'imported {heavy}' if heavy else 0)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, cwd=ROOT, check=False
    )
    assert done.returncode == 0, done.stderr


def test_the_facade_names_what_it_offers() -> None:
    import towdb

    for name in towdb.__all__:
        assert getattr(towdb, name).__doc__ or name == "__version__"


def test_the_top_level_holds_no_more_than_it_needs() -> None:
    # What is built or left behind here, git ignores.
    ignored = [line.rstrip("/") for line in (ROOT / ".gitignore").read_text("utf-8").splitlines()]
    names = {path.name for path in ROOT.iterdir()}
    visible = {
        name
        for name in names
        if not name.startswith(".") and not any(fnmatch(name, each) for each in ignored)
    }
    documents = {"README.md", "DEVELOPERS.md", "pyproject.toml"}
    assert visible == {*documents, "towdb", "schema", "data", "scripts", "tests"}
