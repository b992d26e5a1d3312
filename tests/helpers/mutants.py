"""Relations with one thing otherwise, and whether anybody notices.

A mutant is the SELECT of a relation with one comparison, term, branch, constant, join or end of an
interval changed. The detectors are what the tests themselves compare: drawn worlds, whose cars the
engine screens and the oracle judges. Everything up to the relations is prepared once; a mutant is
tried in a forked process, in which only the relations are made anew.
"""

from __future__ import annotations

import contextlib
import importlib
import os
import resource
import sys
import warnings
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from difflib import unified_diff
from functools import wraps
from itertools import islice
from pathlib import Path
from typing import Any
from unittest import mock

import sqlglot
from sqlglot import exp

import towdb
from tests.helpers import agreement, oracle, question_oracle
from tests.helpers.worlds import World, presence_patterns
from tests.screening import (
    test_bounds,
    test_outputs,
    test_question_oracle,
    test_which_statements_count,
)
from towdb.duck import sql_files as texts
from towdb.screening import engine, questions

# What an operator or a function could have been by mistake.
CONFUSED: dict[type[exp.Expr], tuple[type[exp.Expr], ...]] = {
    exp.LT: (exp.LTE, exp.GTE),
    exp.LTE: (exp.LT, exp.GT),
    exp.GT: (exp.GTE, exp.LTE),
    exp.GTE: (exp.GT, exp.LT),
    exp.EQ: (exp.NEQ,),
    exp.NEQ: (exp.EQ,),
    exp.NullSafeEQ: (exp.EQ, exp.NullSafeNEQ),
    exp.NullSafeNEQ: (exp.NEQ, exp.NullSafeEQ),
    exp.Add: (exp.Sub,),
    exp.Sub: (exp.Add,),
    exp.Min: (exp.Max,),
    exp.Max: (exp.Min,),
}
ROUNDED = {"lb_up": "lb_down", "lb_down": "lb_up", "lb_margin": "lb_up"}
MEMORY = 8 << 30  # bytes of addresses; a process that screens has 3 GB of them
ENDS = {"low": "high", "high": "low", "least": "most", "most": "least"}
TOWDB = Path(towdb.__file__).parent


@dataclass(frozen=True)
class Mutant:
    """A changed SELECT of a relation, and the lines in which it differs."""

    name: str
    sql: str
    lines: tuple[str, ...]


# ---------------------------------------------------------------- what could be otherwise


def sql_mutants(name: str, sql: str) -> Iterator[Mutant]:
    """Every SELECT in which one thing is otherwise.

    Parameters
    ----------
    name : str
        The relation.
    sql : str
        Its SELECT.

    Yields
    ------
    Mutant
        No two alike.
    """
    tree = sqlglot.parse_one(sql, dialect="duckdb")
    plain = _written(tree)
    # `describe` reads what a file says in its head.
    head = "".join(line for line in sql.splitlines(keepends=True) if line.startswith("--"))
    names = {column.name for column in tree.find_all(exp.Column)}
    texts = sorted({text.this for text in tree.find_all(exp.Literal) if text.is_string})
    seen = {plain}
    for place, node in enumerate(tree.walk()):
        for other in (*_otherwise(node), *_other_value(node, texts), *_other_name(node, names)):
            text = _written(_replaced(tree, place, other))
            if text not in seen:
                seen.add(text)
                yield Mutant(name, f"{head}{text}\n", tuple(changed_lines(plain, text)))


def changed_lines(old: str, new: str) -> Iterator[str]:
    """The lines in which two texts differ, with - and +."""
    told = unified_diff(old.splitlines(), new.splitlines(), n=0, lineterm="")
    return (line for line in islice(told, 2, None) if not line.startswith("@@"))


def _written(tree: exp.Expr) -> str:
    return tree.sql(dialect="duckdb", pretty=True, comments=False)


def _replaced(tree: exp.Expr, place: int, other: exp.Expr | None) -> exp.Expr:
    """A copy of a tree in which another node stands in a place, or none."""
    copy = tree.copy()
    node = next(islice(copy.walk(), place, None))
    if node is copy:
        assert other is not None
        other.set("with_", copy.args.get("with_"))
        return other
    if other is None:
        node.pop()
    else:
        node.replace(other)
    return copy


def _but(node: exp.Expr, **changed: object) -> exp.Expr:
    """A copy of a node in which some of its parts are otherwise."""
    copy = node.copy()
    for name, part in changed.items():
        copy.set(name, part)
    return copy


def _without(node: exp.Expr, name: str) -> Iterator[exp.Expr]:
    """Copies of a node that each lack one of several parts."""
    parts = node.args.get(name) or ()
    for gone in range(len(parts) if len(parts) > 1 else 0):
        yield _but(node, **{name: [part.copy() for n, part in enumerate(parts) if n != gone]})


def _other_terms(node: exp.Connector) -> Iterator[exp.Expr]:
    """AND for OR and OR for AND, and either term dropped; a longer chain is taken apart inside."""
    opposite = exp.Or if isinstance(node, exp.And) else exp.And
    yield exp.paren(opposite(**node.copy().args), copy=False)
    yield node.left.copy()
    if type(node.left) is not type(node):
        yield node.right.copy()


def _other_branches(node: exp.Case) -> Iterator[exp.Expr]:
    """A branch dropped, or what is left otherwise dropped; of one branch, always or never it."""
    yield from _without(node, "ifs")
    default = node.args.get("default")
    if len(node.args["ifs"]) == 1:
        yield node.args["ifs"][0].args["true"].copy()
        yield (default or exp.null()).copy()
    if default:
        yield _but(node, default=None)


def _other_join(node: exp.Join) -> Iterator[exp.Expr]:
    """An inner join for a left one, and its only condition dropped."""
    if node.side:
        yield _but(node, side=None)
    if "on" in node.args and not isinstance(node.args["on"], exp.Connector):
        yield _but(node, on=exp.true())


def _one_bound(node: exp.Between) -> Iterator[exp.Expr]:
    yield exp.GTE(this=node.this.copy(), expression=node.args["low"].copy())
    yield exp.LTE(this=node.this.copy(), expression=node.args["high"].copy())


def _no_condition(node: exp.Where) -> Iterator[exp.Expr | None]:
    if not isinstance(node.this, exp.Connector):
        yield _but(node, this=exp.true()) if isinstance(node.parent, exp.Filter) else None


def _bare(node: exp.Not | exp.Coalesce) -> Iterator[exp.Expr]:
    yield node.this.copy()


def _negated(node: exp.Is) -> Iterator[exp.Expr]:
    if not isinstance(node.parent, exp.Not):
        yield exp.not_(node.copy())


def _not_distinct(node: exp.Select) -> Iterator[exp.Expr]:
    if node.args.get("distinct"):
        yield _but(node, distinct=None)


def _one_side(node: exp.Union) -> Iterator[exp.Expr]:
    yield node.left.copy()
    yield node.right.copy()


OTHERWISE: dict[type[exp.Expr], Callable[[Any], Iterator[exp.Expr | None]]] = {
    exp.And: _other_terms,
    exp.Or: _other_terms,
    exp.Not: _bare,
    exp.Coalesce: _bare,
    exp.Is: _negated,
    exp.Where: _no_condition,
    exp.Join: _other_join,
    exp.Case: _other_branches,
    exp.Between: _one_bound,
    exp.In: lambda node: _without(node, "expressions"),
    exp.Select: _not_distinct,
    exp.Union: _one_side,
}


def _is_choice(node: exp.Expr) -> bool:
    """Whether the smaller or the larger of two is taken: of two that are equal it is either."""
    branch = node.find_ancestor(exp.If)
    if branch is None or not isinstance(node, (exp.LT, exp.GT)):
        return False
    case = branch.parent
    return isinstance(case, exp.Case) and {case.args.get("default"), branch.args["true"]} == {
        node.left,
        node.right,
    }


def _otherwise(node: exp.Expr) -> Iterator[exp.Expr | None]:
    """What could stand in place of a node; None: nothing."""
    for other in CONFUSED.get(type(node), ())[1 if _is_choice(node) else 0 :]:
        yield other(**node.copy().args)
    if type(node) in OTHERWISE:
        yield from OTHERWISE[type(node)](node)


def _other_value(node: exp.Expr, texts: Sequence[str]) -> Iterator[exp.Expr]:
    """Another constant: 0 for 1, 1 more, or another text of the same SELECT."""
    if isinstance(node, exp.Boolean):
        yield exp.Boolean(this=not node.this)
    if not isinstance(node, exp.Literal) or isinstance(node.parent, exp.DataTypeParam):
        return
    if node.is_string:
        yield exp.Literal.string([*texts, f"{texts[0]}_"][texts.index(node.this) + 1])
    else:
        yield exp.Literal.number("0" if node.this == "1" else f"{float(node.this) + 1:g}")


def _other_name(node: exp.Expr, names: set[str]) -> Iterator[exp.Expr]:
    """The other end of an interval, or the other direction of rounding."""
    if isinstance(node, exp.Anonymous) and node.name in ROUNDED:
        yield _but(node, this=ROUNDED[node.name])
    if isinstance(node, exp.Column):
        for end, other in ENDS.items():
            name = node.name.replace(end, other)
            if end in node.name.split("_") and name in names:
                yield _but(node, this=exp.to_identifier(name))


# ---------------------------------------------------------------- who would notice

Told = Callable[[], Iterator[str]]
# What is said differently of worlds, by a release of them; a folder to write to.
Differ = Callable[[Sequence[World], Path, Path], Iterator[str]]


def _remembered(function: Callable[..., Any], *by: str) -> Callable[..., Any]:
    """A slow, pure function of rows that stay where they are, asked once."""
    # With what was given: a number of an object that is gone may be another object's.
    known: dict[tuple[int, ...], tuple[Any, Any]] = {}

    @wraps(function)
    def asked(*given: Any) -> Any:
        key = tuple(id(getattr(given[0], name)) for name in by) or (id(given[0]),)
        if key not in known:
            known[key] = (given, function(*given))
        return known[key][1]

    return asked


class Detector:
    """Worlds ready to be screened, and what a comparison of engine and oracle says of them.

    Parameters
    ----------
    worlds : sequence of World
        They are entered, and their oracle asked, once.
    folder : Path
        An empty folder for the release.
    told : callable
        What is said differently; takes worlds, release and folder, and screens by
        `agreement.screened`.
    """

    def __init__(
        self,
        worlds: Sequence[World],
        folder: Path,
        told: Differ,
    ) -> None:
        self.release = agreement.merged_release(worlds, folder, judged=False)
        self.told: Told = lambda: told(worlds, self.release, folder)
        self.oracle = _remembered(oracle.screen)
        self.asker = _remembered(question_oracle.questions, "row", "reference")
        self.ready: dict[tuple[int, ...], towdb.Screening] = {}
        real, parts = agreement.screened, list[list[int]]()

        def noted(worlds: Any, numbers: Any, *others: Any) -> towdb.Screening:
            parts.append(list(numbers))
            return real(worlds, numbers, *others)

        wrong = list(self._say(noted))
        assert wrong == [], wrong[:3]
        with mock.patch.object(engine, "run"):
            for numbers in parts:
                screening = real(worlds, numbers, self.release, folder)
                # Of threads a forked process would have none but the one that forked.
                screening.con.execute("SET threads = 1")
                self.ready[tuple(numbers)] = screening

    def disagreements(self) -> Iterator[str]:
        """What is said differently, with the relations made anew: in a forked process only."""

        def made(_: Any, numbers: Any, *__: Any) -> towdb.Screening:
            screening = self.ready[tuple(numbers)]
            engine.run(screening.con)
            return screening

        # To close would wait for threads that this process has not.
        with mock.patch.object(towdb.Screening, "close"):
            yield from self._say(made)

    def disagreements_anew(self) -> Iterator[str]:
        """The same, with the candidates prepared anew too."""
        yield from self._say(agreement.screened)

    def _say(self, screened: Callable[..., towdb.Screening]) -> Iterator[str]:
        with contextlib.ExitStack() as stack:
            for module, name, stand_in in (
                (agreement, "screened", screened),
                (agreement, "merged_release", lambda *_, **__: self.release),
                (oracle, "screen", self.oracle),
                (test_question_oracle, "questions", self.asker),
            ):
                stack.enter_context(mock.patch.object(module, name, stand_in))
            yield from self.told()


def verdicts_differ(worlds: Sequence[World], _: Path, folder: Path) -> Iterator[str]:
    """Verdicts, checks, margins and capacities."""
    return agreement.disagreements(worlds, folder)


def questions_differ(worlds: Sequence[World], _: Path, folder: Path) -> Iterator[str]:
    """What is asked, and what each answer would bring."""
    return test_question_oracle.disagreements(worlds, folder)


class OutputsDiffer:
    """Rows of some outputs, or of all; what the oracle has is counted once."""

    def __init__(self) -> None:
        self.outputs = tuple(test_outputs.EXPECTED)
        self.wanted: dict[tuple[str, int], Any] = {}

    def __call__(self, worlds: Sequence[World], release: Path, folder: Path) -> Iterator[str]:
        for n, (own, screening) in enumerate(test_outputs.screenings(worlds, release, folder)):
            for output in self.outputs:
                if (output, n) not in self.wanted:
                    self.wanted[output, n] = test_outputs.expected(output, own)
                there = test_outputs.found(output, own, screening)
                yield from test_outputs.differences(self.wanted[output, n], there)


# ---------------------------------------------------------------- a mutant in a process of its own


def sql_files() -> dict[str, Path]:
    """The SQL of screening: by folder and name, as ``screening/weights/towed``."""
    return {
        str(path.relative_to(TOWDB).with_suffix("")).replace("/sql/", "/"): path
        for folder in ("screening/sql", "reference/sql/show", "reference/sql/wording", "intake/sql")
        for path in sorted((TOWDB / folder).rglob("*.sql"))
    }


def swap(name: str, sql: str) -> None:
    """Put another SELECT in the place of a file's, for good: in a forked process only."""
    real, changed = texts.sql_text, sql_files()[name]

    def read(folder: Path, asked: str) -> str:
        return sql if folder / f"{asked}.sql" == changed else real(folder, asked)

    for module in list(sys.modules.values()):
        if getattr(module, "sql_text", None) is real:
            setattr(module, "sql_text", read)  # noqa: B010 - mypy knows no such attribute
    # It reads some of them while it is imported.
    importlib.reload(questions)


def noticed_by(mutant: Mutant | None, detectors: Iterable[Told]) -> int:
    """Which detector, counted from 1, says something of a mutant; 0: none. None is no mutant.

    What raises counts as noticed. In a forked process only.
    """
    if mutant:
        swap(mutant.name, mutant.sql)
    for number, told in enumerate(detectors, start=1):
        try:
            if next(told(), None) is not None:
                return number
        except Exception:
            return number
    return 0


def forked(work: Callable[[], int], cpu_s: int) -> int:
    """The number of a process of its own that ends with what `work` says, or with its time."""
    sys.stdout.flush()
    sys.stderr.flush()
    with warnings.catch_warnings():
        # Of threads: none but this one has anything to do with what the new process does.
        warnings.simplefilter("ignore", DeprecationWarning)
        number = os.fork()
    if number == 0:
        try:
            resource.setrlimit(resource.RLIMIT_CPU, (cpu_s, cpu_s))
            # A join without its condition would take all memory there is.
            resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
            silence = os.open(os.devnull, os.O_WRONLY)
            os.dup2(silence, 1)
            os.dup2(silence, 2)
            os._exit(work())
        finally:
            os._exit(99)
    return number


def few_worlds() -> list[World]:
    """Few worlds, which most mutants do not survive."""
    bounds = test_bounds.tight_worlds(803, 12)
    return [*agreement.drawn(501, 24), *bounds, *test_which_statements_count.tangles(30)]


def many_worlds() -> list[World]:
    """More of them, and every presence of statements."""
    drawn = [*agreement.drawn(502, 200), *test_bounds.tight_worlds(801, 150)]
    counted = [world for kind in test_which_statements_count.KINDS.values() for world in kind()]
    return [*drawn, *presence_patterns(), *counted]


def worlds_told() -> list[World]:
    """Worlds of which every output is compared."""
    return test_outputs.worlds()


def forgotten_worlds() -> list[World]:
    """Worlds of which every question is compared."""
    return test_question_oracle.half_forgotten(603, 40)
