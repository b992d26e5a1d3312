"""The command line as a program among others: pipes, bare environments, help, completion."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import click
import pytest

import towdb
from tests.conftest import ROOT
from tests.helpers.tier import by_tier
from tests.helpers.typist import Typist, typist_in
from towdb.cli import COMMANDS, app

SCRIPT = Path(sys.executable).with_name("towdb")
MODULE = (sys.executable, "-m", "towdb")
HELD = ("--reference", "demo.duckdb")
ON = ("--on", "2026-01-31")
CARS = ("screen", "shortlist.csv", "--coach", "coach.toml", *HELD, *ON)
CALLS = {
    "sql": ("sql", "select make, model, quote from statement order by all limit 3", *HELD),
    "sql of many rows": ("sql", "select * from range(300000)", *HELD),
    "sql as CSV": ("sql", "select * from range(300000)", *HELD, "--format", "csv"),
    "sql as JSON": ("sql", "select * from range(300000)", *HELD, "--format", "json"),
    "screen": (*CARS, "--explain"),
    "screen as JSON": (*CARS, "--format", "json"),
    "show": ("show", "Quillon", *HELD, *ON),
    "describe": ("describe",),
    "describe a word": ("describe", "transfer_case"),
    "check": ("check", "reference"),
    "guide": ("guide", "commands"),
    "guides": ("guide",),
    "help": ("--help",),
}
SHORT = ("sql", "screen", "show", "describe a word", "check")
_PIPED = (
    *("sql of many rows", "sql as CSV", "sql as JSON", "screen", "show", "describe", "help"),
    *("guide", "guides"),
)
PIPED = by_tier(quick=("sql as CSV", "screen"), whole=_PIPED)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What `towdb demo` writes."""
    made = towdb.demo(tmp_path_factory.mktemp("demo") / "try-towdb")
    return made.folder


@pytest.fixture
def typist(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Typist:
    return typist_in(folder, capsys, monkeypatch)


def run(
    folder: Path, *parts: str, program: tuple[str, ...] = MODULE, **environment: str
) -> tuple[int, str, str]:
    """In an environment that holds nothing else."""
    done = subprocess.run(
        [*program, *parts],
        stdin=subprocess.DEVNULL, capture_output=True, text=True, encoding="utf-8",
        errors="surrogateescape", cwd=folder, check=False, timeout=60,
        env={"PATH": os.defpath, "PYTHONPATH": str(ROOT), **environment},
    )  # fmt: skip
    return done.returncode, done.stdout, done.stderr


def shell(folder: Path, line: str) -> tuple[int, str, str]:
    """A line of a shell in which `towdb` is what is under test."""
    program = shlex.join(MODULE)
    done = subprocess.run(
        ["bash", "-c", f"set -o pipefail; towdb() {{ {program} \"$@\"; }}; {line}"],
        stdin=subprocess.DEVNULL, capture_output=True, text=True, encoding="utf-8", cwd=folder,
        check=False, timeout=60, env={"PATH": os.defpath, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    return done.returncode, done.stdout, done.stderr


# ---------------------------------------------------------------- pipes


@pytest.mark.parametrize("name", PIPED)
def test_a_closed_pipe_is_no_fault(folder: Path, name: str) -> None:
    status, out, err = shell(folder, f"towdb {shlex.join(CALLS[name])} | head -n 1")
    assert (status, err) == (0, "")
    assert len(out.splitlines()) == 1


@pytest.mark.parametrize("name", ["sql as CSV", "screen", "check", "guide", "guides", "help"])
@pytest.mark.parametrize("to", [">/dev/full", ">&-"])
def test_an_output_that_takes_nothing_is_told_in_one_line(folder: Path, name: str, to: str) -> None:
    status, _, err = shell(folder, f"towdb {shlex.join(CALLS[name])} {to}")
    assert "Traceback" not in err
    assert status == 2
    assert [line[:7] for line in err.splitlines()] == ["towdb: "]


@pytest.mark.parametrize("name", by_tier(quick=["sql"], whole=["sql", "screen", "check"]))
@pytest.mark.parametrize("end", ["2>&-", "<&-"])
def test_nobody_need_read_complaints_or_type(
    folder: Path, plain: dict[str, str], name: str, end: str
) -> None:
    assert shell(folder, f"towdb {shlex.join(CALLS[name])} {end}") == (0, plain[name], "")


# ---------------------------------------------------------------- environments


@pytest.fixture(scope="module")
def plain(folder: Path) -> dict[str, str]:
    """What each call prints with only PATH set."""
    printed = {}
    for name in SHORT:
        status, out, err = run(folder, *CALLS[name])
        assert (status, err) == (0, ""), name
        assert out.strip()
        printed[name] = out
    return printed


@pytest.mark.parametrize(
    "setting",
    [
        {"LC_ALL": "C"}, {"LC_ALL": "POSIX"}, {"LANG": "nowhere"}, {"TERM": "dumb"}, {"TERM": ""},
        {"NO_COLOR": "1"}, {"LINES": "abc"}, {"PYTHONUNBUFFERED": "1"},
    ][: by_tier(quick=2, whole=8)],
    ids=str,
)  # fmt: skip
def test_an_environment_changes_nothing(
    folder: Path, plain: dict[str, str], setting: dict[str, str]
) -> None:
    assert run(folder, *CALLS["screen"], program=MODULE, **setting) == (0, plain["screen"], "")


def squeezed(text: str) -> str:
    return "".join(text.split())


@pytest.mark.parametrize(
    "columns", ["20", "abc", *by_tier(quick=[], whole=["40", "300", "0", "-5", "", "1e3"])]
)
def test_everything_is_said_at_any_width(
    typist: Typist, plain: dict[str, str], monkeypatch: pytest.MonkeyPatch, columns: str
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    width = int(columns) if columns.isdigit() and int(columns) > 0 else 100
    for name in SHORT:
        out = typist.good(*CALLS[name])
        assert max(map(len, out.splitlines()), default=0) <= width
        # Columns wrap each for itself; what stands below a table reads on.
        assert squeezed(plain[name])[-60:] in squeezed(out)
        assert len(squeezed(out)) > 0.6 * len(squeezed(plain[name]))


@pytest.mark.whole
@pytest.mark.parametrize(
    "setting",
    [
        {"PYTHONIOENCODING": "ascii"},
        {"PYTHONIOENCODING": "latin-1"},
        {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"},
    ],
    ids=str,
)
def test_an_output_of_few_characters_is_no_fault(folder: Path, setting: dict[str, str]) -> None:
    (folder / "cars.csv").write_text("candidate\n青い車 Å ü ☂\n", "utf-8")
    cars = ("screen", "cars.csv", *CARS[2:])
    for call in (cars, (*cars, "--format", "csv"), CALLS["check"], CALLS["show"]):
        status, out, err = run(folder, *call, program=MODULE, **setting)
        assert (status, err) == (0, ""), call
        assert out.strip()


def test_module_and_script_give_the_same(folder: Path, plain: dict[str, str]) -> None:
    for name in ("sql", "screen"):
        assert run(folder, *CALLS[name], program=(str(SCRIPT),)) == (0, plain[name], "")
    for parts in ((), ("sql", "drop table release", *HELD)):
        found = run(folder, *parts)
        assert found == run(folder, *parts, program=(str(SCRIPT),))
        assert found[0] == 2


# ---------------------------------------------------------------- completion


@pytest.mark.parametrize("kind", ["bash", "zsh", "fish"])
def test_a_shell_gets_its_completion(folder: Path, kind: str) -> None:
    script = (str(SCRIPT),)
    status, out, err = run(folder, program=script, _TOWDB_COMPLETE=f"{kind}_source")
    assert (status, err) == (0, "")
    assert "_TOWDB_COMPLETE" in out
    asked = {"COMP_WORDS": "towdb sc", "COMP_CWORD": "sc" if kind == "fish" else "1"}
    status, out, err = run(folder, program=script, _TOWDB_COMPLETE=f"{kind}_complete", **asked)
    assert (status, err) == (0, "")
    assert "screen" in out
    assert "show" not in out
    asked = {"COMP_WORDS": "towdb screen --ex", "COMP_CWORD": "--ex" if kind == "fish" else "2"}
    status, out, err = run(folder, program=script, _TOWDB_COMPLETE=f"{kind}_complete", **asked)
    assert (status, err) == (0, "")
    assert "--explain" in out


def test_bash_takes_the_script(folder: Path) -> None:
    script = run(folder, program=(str(SCRIPT),), _TOWDB_COMPLETE="bash_source")[1]
    done = subprocess.run(["bash", "-n"], input=script, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")


# ---------------------------------------------------------------- help


@pytest.mark.parametrize("command", [app, *COMMANDS], ids=lambda command: command.name)
def test_help_fits_and_names_every_option(
    typist: Typist, monkeypatch: pytest.MonkeyPatch, command: click.Command
) -> None:
    name = () if command is app else (str(command.name),)
    for columns in (None, "100", "200"):
        if columns:
            monkeypatch.setenv("COLUMNS", columns)
        out = typist.good(*name, "--help")
        assert max(map(len, out.splitlines())) <= 100
        assert typist.good(*name, "-h") == out
        # Marks for click are no text for people.
        assert "\\" not in out
        assert "\b" not in out
    assert command.help
    for option in command.params:
        if isinstance(option, click.Option):
            assert option.help
            assert all(spelling in out for spelling in option.opts)
            assert option.help.split(";")[0].split(".")[0][:20] in " ".join(out.split())


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command.name)
def test_every_example_runs(typist: Typist, command: click.Command) -> None:
    out = typist.good(str(command.name), "--help")
    example = re.search(r"Example: (towdb .+?)\n\s*\n", out, re.DOTALL)
    assert example, out
    # An example is for copying: it stands on one line.
    assert "\n" not in example[1]
    program, *parts = shlex.split(example[1].replace("data/demo/", ""))
    assert (program, parts[0]) == ("towdb", command.name)
    again = [part if part != "demo.duckdb" else "again.duckdb" for part in parts]
    assert typist.good(*(again if command.name == "build" else parts))
