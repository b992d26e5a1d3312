"""Change the engine in many small ways, and say which changes nothing notices.

python3 scripts/mutate.py sql [--sample N] [--seed N] [--only NAME] [--jobs N] [--suite]
python3 scripts/mutate.py python [--sample N] [--seed N] [--only NAME] [--jobs N]

`sql` changes one thing in a SELECT of a screening: a comparison, a term, a branch, a
constant, a join, an end of an interval. Drawn worlds are screened with the changed file, and what
comes out is held against the oracles; the files that no drawn world reaches are tried on tests of
their own. `--suite` tries what survives on the tests of screening too, which takes long.

`python` changes the Python around it by mutmut: a sample of 300 changes, each tried on the tests
that reach the changed function. Wordings are left as they are.

The same seed takes the same sample; `--only` takes files of which the name holds a text. What no
test notices is printed as the lines that differ; a table of all files comes last.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from scripts.environment import ROOT, python

if TYPE_CHECKING:
    from tests.helpers.mutants import Detector, Differ, Mutant, Told
    from tests.helpers.worlds import World

    Trial = Mutant | None

# Set in the environment of the second start, which runs inside the tests' environment.
_INSIDE = "TOWDB_MUTATE_INSIDE"
_SAID_EVERY = 20.0
# Seconds of processor; a change that takes longer than this is noticed by whoever waits.
FAST_S, SUITE_S = 400, 900
JOBS = 2
SUITE = "screening"
# Tests of what drawn worlds do not reach, by the beginning of the file's name; the quickest first.
TESTS: dict[str, list[tuple[str, ...]]] = {
    "reference/show/behind": [("screening/test_diff.py", "-k", "row_is_named or verdicts")],
    "reference/show/": [
        ("reference/test_show.py", "-k", "withdrawn or open or nearest or csv"),
        ("reference/test_show.py",),
    ],
    "screening/reference_gaps/": [("inventory/test_gaps.py",)],
    "screening/summary/": [("screening/test_summary.py",)],
    "intake/": [("intake/test_versions.py", "-k", "demo or leaves or years or statement")],
    "screening/output/options": [("screening/test_hostile_inputs.py", "-k", "test_options_count")],
    "screening/output/to_find_out": [("screening/test_questions.py", "-k", "told_once")],
}
# What is asked: found cases, then answers that are typed, then forty unknowns.
ASKING: tuple[tuple[str, ...], ...] = (
    ("screening/test_question_oracle.py", "-k", "not drawn"),
    ("screening/test_questions.py",),
    ("screening/test_many_unknowns.py",),
)
# Where only some outputs show what a file says.
SHOWN_BY = {
    "screening/explain/verdict_check": ("check_outcome", "citation"),
    "screening/explain/verdict_citation": ("citation",),
    "screening/explain/verdict_condition": ("condition", "citation"),
    "screening/explain/verdict_remark": ("remark",),
}
SURVIVED = 0
PYTHON = (
    *(f"towdb/screening/{name}.py" for name in ("configure", "questions", "conditions")),
    *(f"towdb/screening/{name}.py" for name in ("session", "screening", "files", "document")),
    *(f"towdb/intake/{name}.py" for name in ("candidates", "policy", "coaches")),
    *(f"towdb/presentation/{name}.py" for name in ("verdicts", "explanation", "procedure")),
    *("towdb/reference/conditions.py", "towdb/wording/sentences.py", "towdb/verdict_checks.py"),
    *(f"towdb/contract/{name}.py" for name in ("typed", "quantities", "grammar")),
)
# Tests that reach these, but for the slow ones; of a changed function, mutmut runs those that do.
PYTHON_TESTS = (
    *("tests/contract", "tests/report/test_text_out.py", "tests/screening/test_outputs.py"),
    *("tests/screening/test_screen.py", "tests/screening/test_questions.py"),
    *("tests/presentation/test_wording.py", "tests/test_verdict_checks.py"),
    *("tests/screening/test_hostile_inputs.py", "tests/presentation/test_units.py"),
    "-k",
    "not (ctrl_c or 100000 or terminal or text_is_only or whole_process or heavy or thousand"
    " or typed_brings or every_shape or fits_the_screen or typed_and_a_tenth)",
)
MUTMUT = """
[tool.mutmut]
source_paths = ["towdb"]
only_mutate = {files}
also_copy = ["schema", "data", "scripts", "README.md", "DEVELOPERS.md"]
pytest_add_cli_args = ["-n", "0", "-p", "no:cacheprovider"]
pytest_add_cli_args_test_selection = {tests}
process_isolation = "forkserver"
"""
PYTHON_SAMPLE = 300
# Exit codes of mutmut: no test failed, or none reaches it.
UNNOTICED = (0, 5, 33)


class Bench:
    """All that notices a mutant, made once; by the beginning of the file's name."""

    def __init__(self, folder: Path) -> None:
        from tests.helpers import mutants

        self.folder = folder
        few = self.ready("few", mutants.few_worlds(), mutants.verdicts_differ)
        many = self.ready("many", mutants.many_worlds(), mutants.verdicts_differ)
        self.differ = mutants.OutputsDiffer()
        self.outputs = self.ready("outputs", mutants.worlds_told(), self.differ)
        asked = self.ready("asked", mutants.forgotten_worlds(), mutants.questions_differ)
        anew = [each.disagreements_anew for each in (few, self.outputs, many, asked)]
        shown = SHOWN_BY | {f"screening/output/{name}": (name,) for name in self.differ.outputs}
        asking = [asked.disagreements, *(tested(*each) for each in ASKING)]
        self.kinds: dict[str, list[Told]] = {
            **{start: [tested(*each) for each in tests] for start, tests in TESTS.items()},
            **{start: [self.shown(*outputs)] for start, outputs in shown.items()},
            "screening/output/question": asking,
            "screening/ask/": asking,
            "screening/configure/": anew,
            "": [each.disagreements for each in (few, many, self.outputs, asked)],
        }

    def ready(self, name: str, worlds: Sequence[World], told: Differ) -> Detector:
        """A detector with a folder of its own."""
        from tests.helpers.mutants import Detector

        (self.folder / name).mkdir()
        return Detector(worlds, self.folder / name, told)

    def shown(self, *outputs: str) -> Told:
        """What some outputs say differently."""

        def told() -> Iterator[str]:
            self.differ.outputs = outputs
            return self.outputs.disagreements()

        return told

    def detectors(self, name: str) -> list[Told]:
        """Who looks at a relation, the quickest first."""
        return next(each for start, each in self.kinds.items() if name.startswith(start))


def tested(*selection: str) -> Told:
    """What pytest says of some tests."""

    def failures() -> Iterator[str]:
        import pytest

        quiet = ("-x", "-q", "-n", "0", "-p", "no:cacheprovider", "--assert=plain")
        if pytest.main([*quiet, f"tests/{selection[0]}", *selection[1:]]):
            yield "failed"

    return failures


def tried(
    work: Sequence[tuple[Trial, Sequence[Told]]], cpu_s: int, jobs: int = JOBS
) -> Iterator[tuple[Trial, int]]:
    """Each mutant, in the order in which they end, with the number of who noticed it.

    Below 0: it was out of time.
    """
    from tests.helpers.mutants import forked, noticed_by

    running: dict[int, Trial] = {}
    waiting = list(reversed(work))
    while waiting or running:
        while waiting and len(running) < jobs:
            mutant, detectors = waiting.pop()
            running[forked(partial(noticed_by, mutant, detectors), cpu_s)] = mutant
        number, status = os.wait()
        yield running.pop(number), os.waitstatus_to_exitcode(status)


def mutate_sql(wanted: argparse.Namespace) -> int:
    """Try all mutants of the SQL; the exit status."""
    from tests.helpers.mutants import sql_files, sql_mutants

    files = {name: path for name, path in sql_files().items() if (wanted.only or "") in name}
    mutants = [
        m for name, path in files.items() for m in sql_mutants(name, path.read_text("utf-8"))
    ]
    if wanted.sample:
        mutants = Random(wanted.seed).sample(mutants, min(wanted.sample, len(mutants)))
    print(f"{len(mutants):,} mutants of {len(files)} files; entering worlds …", flush=True)
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(Path(folder))
        plainly(bench)
        work = [(mutant, bench.detectors(mutant.name)) for mutant in mutants]
        noticed = dict(progress(tried(work, FAST_S, wanted.jobs), len(work)))
        survivors = [mutant for mutant, by in noticed.items() if by == SURVIVED]
        if wanted.suite and survivors:
            print(f"trying the {len(survivors)} on tests/{SUITE} …", flush=True)
            late = [(mutant, [tested(SUITE)]) for mutant in survivors]
            noticed |= progress(tried(late, SUITE_S, wanted.jobs), len(late))
    return report([(mutant.name, by) for mutant, by in noticed.items() if mutant])


def said(mutant: Mutant) -> None:
    """Print what survived."""
    print(f"{mutant.name} survived:", *mutant.lines, sep="\n  ", flush=True)


def plainly(bench: Bench) -> None:
    """Make sure that nothing is noticed where nothing was changed."""
    for start, detectors in bench.kinds.items():
        for _, by in tried([(None, detectors)], SUITE_S):
            if by != SURVIVED:
                sys.exit(f"without any change, of {start or 'all else'}, detector {by} objects")


def progress(each: Iterable[tuple[Trial, int]], total: int) -> Iterator[tuple[Trial, int]]:
    """Say now and then how far this is."""
    told = time.monotonic()
    survived = 0
    for number, (mutant, by) in enumerate(each, start=1):
        if by == SURVIVED and mutant:
            survived += 1
            said(mutant)
        if time.monotonic() - told >= _SAID_EVERY or number == total:
            told = time.monotonic()
            print(f"  {number:,} of {total:,}, {survived} survived", flush=True)
        yield mutant, by


# ---------------------------------------------------------------- the Python around it


def mutate_python(wanted: argparse.Namespace) -> int:
    """Try a sample of the mutants of the Python; the exit status."""
    with tempfile.TemporaryDirectory() as folder:
        # What is edited while this runs does not disturb it; and mutmut writes beside the code.
        copy = Path(folder) / "checkout"
        left_out = shutil.ignore_patterns(".git", ".venv", "__pycache__", ".*_cache")
        shutil.copytree(ROOT, copy, ignore=left_out)
        with (copy / "pyproject.toml").open("a", encoding="utf-8") as project:
            project.write(MUTMUT.format(files=list(PYTHON), tests=list(PYTHON_TESTS)))
        with contextlib.chdir(copy):
            files = [file for file in PYTHON if (wanted.only or "") in file and Path(file).exists()]
            mutants = {n: (file, lines) for file in files for n, lines in python_mutants(file)}
            count = min(wanted.sample or PYTHON_SAMPLE, len(mutants))
            names = Random(wanted.seed).sample(sorted(mutants), count)
            print(f"{count:,} of {len(mutants):,} mutants of {len(files)} files", flush=True)
            command = [
                sys.executable,
                "-m",
                "mutmut",
                "run",
                "--max-children",
                str(wanted.jobs),
                *names,
            ]
            if subprocess.run(command, check=False).returncode:
                return 1
            ended = exit_codes(Path("mutants"))
    for name in names:
        if ended[name] in UNNOTICED:
            file, lines = mutants[name]
            print(f"{file} survived:", *lines, sep="\n  ")
    return report([(mutants[n][0], 0 if ended[n] in UNNOTICED else ended[n]) for n in names])


def python_mutants(file: str) -> Iterator[tuple[str, list[str]]]:
    """Mutants of a file below the working folder, by mutmut's names; the lines they change."""
    from mutmut.mutation.file_mutation import mutate_file_contents
    from mutmut.utils.format_utils import get_mutant_name, mangled_name_from_mutant_name

    from tests.helpers.mutants import changed_lines

    made = mutate_file_contents(file, Path(file).read_text("utf-8"))
    texts = {
        node.name: ast.unparse(node.body)  # type: ignore[arg-type]
        for node in ast.walk(ast.parse(made.code))
        if isinstance(node, ast.FunctionDef)
    }
    for name in made.mutant_names:
        plain = texts[f"{mangled_name_from_mutant_name(name)}__mutmut_orig"]
        lines = list(changed_lines(plain, texts[name]))
        if not is_wording(lines):
            yield get_mutant_name(Path(file), name), lines


def is_wording(lines: Sequence[str]) -> bool:
    """Whether a change is one of letters: sentences are free, and SQL is read in any case."""
    old, new = ("".join(line[1:] for line in lines if line[0] == sign).lower() for sign in "-+")
    return old == new.replace("xx", "")


def exit_codes(folder: Path) -> dict[str, int]:
    """How each mutant ended: 1 where a test failed, 0 where none did."""
    ended: dict[str, int] = {}
    for path in folder.rglob("*.meta"):
        ended |= json.loads(path.read_text("utf-8"))["exit_code_by_key"]
    return ended


def report(told: Sequence[tuple[str, int]]) -> int:
    """Print a table of all; the exit status."""
    made = Counter(name for name, _ in told)
    killed = Counter(name for name, by in told if by != SURVIVED)
    late = Counter(name for name, by in told if by < 0)
    width = max(map(len, made), default=0) + 2
    print(f"\n{'file':{width}}{'mutants':>9}{'killed':>9}{'timed out':>11}{'share':>8}")
    for name in [*sorted(made), ""]:
        m, k, t = (sum(c.values()) if not name else c[name] for c in (made, killed, late))
        print(f"{name or 'all':{width}}{m:>9,}{k:>9,}{t:>11,}{k / max(m, 1):>8.1%}")
    return 0


def main() -> int:
    """Parse and run; the exit status."""
    if _INSIDE not in os.environ:
        environment = {**os.environ, _INSIDE: "yes"}
        command = [str(python("dev")), __file__, *sys.argv[1:]]
        return subprocess.run(command, env=environment, cwd=ROOT, check=False).returncode
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("what", choices=("sql", "python"))
    parser.add_argument("--sample", type=int, help="try so many, drawn by the seed")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=JOBS, help="try so many at once")
    parser.add_argument("--only", help="only files of which the name holds this")
    parser.add_argument("--suite", action="store_true", help="try what survives on more tests")
    wanted = parser.parse_args()
    return mutate_sql(wanted) if wanted.what == "sql" else mutate_python(wanted)


if __name__ == "__main__":
    sys.exit(main())
