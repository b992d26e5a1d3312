"""Imports run one way, and a verb imports no more than it needs."""

from __future__ import annotations

import ast
import subprocess
import sys
from fnmatch import fnmatch
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

from tests.conftest import ROOT

# From the ground up: each part may import what stands before it here, and itself.
LAYERS = (
    "version",
    "errors",
    "invisible",
    "resources",
    "duck",
    "contract",
    "files",
    "wording",
    "verdict_checks",
    "report",
    "reference",
    "intake",
    "screening",
    "inventory",
    "record",
    "meanings",
    "presentation",
    "spark",
    "__init__",
    "cli",
    "__main__",
)
FILES = sorted((ROOT / "towdb").rglob("*.py"))


def part_of(path: Path) -> str:
    relative = path.relative_to(ROOT / "towdb")
    return relative.parts[0] if len(relative.parts) > 1 else relative.stem


def module_of(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


MODULES = {module_of(path): path for path in FILES}


def imported(path: Path) -> set[str]:
    """Modules of towdb that a file imports anywhere: at its head, in a function, for types."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        names = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            assert node.level == 0, f"{path}: imports are absolute"
            below = [f"{node.module}.{alias.name}" for alias in node.names]
            names = [name if name in MODULES else node.module for name in below]
        found |= {name for name in names if name.split(".")[0] == "towdb"}
    return found


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_imports_run_one_way(path: Path) -> None:
    part = part_of(path)
    used = {part_of(MODULES[module]) for module in imported(path)}
    assert used - {part} <= {*LAYERS[: LAYERS.index(part)]}


def circle(imports: dict[str, set[str]]) -> list[str]:
    """Modules that import each other in a circle; empty: there is none."""
    try:
        TopologicalSorter(imports).prepare()
    except CycleError as error:
        return list(error.args[1])
    return []


def test_no_modules_import_each_other_in_a_circle() -> None:
    assert circle({name: imported(path) - {name} for name, path in MODULES.items()}) == []


def test_a_circle_is_found_however_it_is_defused(tmp_path: Path) -> None:
    """An import inside a function, or for types only, closes a circle too."""
    one, other = tmp_path / "one.py", tmp_path / "other.py"
    one.write_text("def work():\n    from towdb.screening import summary\n", "utf-8")
    other.write_text(
        "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    import towdb.screening.screen\n",
        "utf-8",
    )
    found = {"towdb.screening.screen": imported(one), "towdb.screening.summary": imported(other)}
    assert {*circle(found)} == {*found}


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
