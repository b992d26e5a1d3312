"""Draw calls of the command line and the files that go with them, and say what does not hold.

python3 scripts/fuzz.py [--cases 20000] [--seed N] [--only KIND]

The same seed draws the same cases. Of what fails, the smallest case is printed and its files are
left in a folder; exit status 1.
"""

from __future__ import annotations

import argparse
import contextlib
import faulthandler
import os
import random
import shlex
import subprocess
import sys
import tempfile
import time
import warnings
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from scripts.environment import python

if TYPE_CHECKING:
    from tests.helpers.fuzz_run import Desk, Outcome
    from tests.helpers.fuzzing import Case

# Set in the environment of the second start, which runs inside the tests' environment: where the
# case that is being run is written down, lest it take the process with it.
_INSIDE = "TOWDB_FUZZ_INSIDE"
_SAID_EVERY = 5.0


class Round:
    """The cases of one kind: how many came out how, and the smallest that failed."""

    def __init__(self, desk: Desk, kind: str, wanted: int) -> None:
        self.desk, self.kind, self.wanted = desk, kind, wanted
        self.statuses: Counter[int | None] = Counter()
        self.failed: Case | None = None
        self.wrong: list[str] = []
        self.said = time.monotonic()

    def run(self, seed: int) -> None:
        """Draw and run them; of a failing case, ever smaller ones."""
        import hypothesis
        from hypothesis import HealthCheck, settings

        from tests.helpers.fuzz_kinds import KINDS

        drawn = settings(
            max_examples=self.wanted,
            deadline=None,
            database=None,
            report_multiple_bugs=False,
            suppress_health_check=list(HealthCheck),
        )
        drawn_from = hypothesis.given(KINDS[self.kind]())
        with contextlib.suppress(AssertionError):
            drawn(hypothesis.seed(seed)(drawn_from(self.holds)))()

    def holds(self, case: Case) -> None:
        """Run one case, and keep it if it fails."""
        from tests.helpers.fuzz_run import faults

        Path(os.environ[_INSIDE]).write_text(repr(case), "utf-8", "backslashreplace")
        done = self.desk.run(case)
        wrong = faults(case, done)
        if self.failed is None:
            self.count(done)
        if wrong:
            # The last that fails is the smallest.
            self.failed, self.wrong = case, wrong
            raise AssertionError

    def count(self, done: Outcome) -> None:
        """Count one, and say now and then how far this is."""
        self.statuses[done.status] += 1
        if time.monotonic() - self.said >= _SAID_EVERY:
            self.said = time.monotonic()
            print(f"  {self.kind}: {self.statuses.total():,} of {self.wanted:,}", flush=True)


def report(rounds: list[Round]) -> None:
    """How many calls of each kind ended with which exit status."""
    statuses = sorted({each for done in rounds for each in done.statuses}, key=str)
    heads = ["traceback" if each is None else f"status {each}" for each in statuses]
    print(f"{'':10}{'cases':>9}" + "".join(f"{head:>11}" for head in heads))
    for done in rounds:
        counts = "".join(f"{done.statuses[each]:>11,}" for each in statuses)
        print(f"{done.kind:10}{done.statuses.total():>9,}{counts}")


def shell_word(text: str) -> str:
    """A word as bash takes it, byte for byte."""
    if text.isascii() and text.isprintable():
        return shlex.quote(text)
    plain = (
        chr(b) if 32 <= b < 127 and b not in b"'\\" else f"\\x{b:02x}" for b in os.fsencode(text)
    )
    return f"$'{''.join(plain)}'"


def tell(failed: Round, seed: int) -> None:
    """The smallest failing case, and how to repeat it."""
    assert failed.failed
    folder = Path(tempfile.mkdtemp(prefix="towdb-fuzz-"))
    for name in failed.desk.names:
        os.link(failed.desk.folder / name, folder / name)
    here = folder / "case"
    here.mkdir()
    failed.desk.lay(failed.failed, here)
    print(f"\n{failed.kind}: the smallest case that fails")
    for wrong in failed.wrong:
        print(f"  {ascii(wrong)[1:-1]}")
    print(f"  {failed.failed!a}"[:4000])
    print(f"repeat it: cd {here} && towdb {' '.join(map(shell_word, failed.failed.call))}")
    cases = failed.wanted
    print(f"or: python3 scripts/fuzz.py --seed {seed} --only {failed.kind} --cases {cases}")


def fuzz(wanted: argparse.Namespace) -> int:
    """Run all kinds; the exit status."""
    from tests.helpers.fuzz_kinds import SHARES
    from tests.helpers.fuzz_run import Desk

    warnings.simplefilter("error")
    faulthandler.enable()
    print(f"seed {wanted.seed}", flush=True)
    with tempfile.TemporaryDirectory() as name:
        desk = Desk(Path(name))
        rounds = []
        for kind, share in SHARES.items():
            if wanted.only not in (None, kind):
                continue
            total = share if wanted.only else sum(SHARES.values())
            rounds.append(Round(desk, kind, -(-share * wanted.cases // total)))
            rounds[-1].run(wanted.seed)
        report(rounds)
        failed = [done for done in rounds if done.failed]
        for done in failed:
            tell(done, wanted.seed)
    return 1 if failed else 0


def apart() -> int:
    """Start again inside the tests' environment; say which case took the process with it."""
    with tempfile.TemporaryDirectory() as name:
        running = Path(name) / "running"
        environment = {**os.environ, _INSIDE: str(running), "PYTHONDONTWRITEBYTECODE": "1"}
        command = [str(python("dev")), __file__, *sys.argv[1:]]
        status = subprocess.run(command, env=environment, check=False).returncode
        if status not in (0, 1, 2) and running.exists():
            print(f"ended with {status} while it ran\n{running.read_text('utf-8')[:4000]}")
    return min(abs(status), 1) if status != 2 else 2


def main() -> int:
    """Parse and run; the exit status."""
    if _INSIDE not in os.environ:
        return apart()
    from tests.helpers.fuzz_kinds import SHARES

    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--cases", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=random.randrange(10**6))
    parser.add_argument("--only", choices=tuple(SHARES), help="only calls of one kind, such as sql")
    return fuzz(parser.parse_args())


if __name__ == "__main__":
    sys.exit(main())
