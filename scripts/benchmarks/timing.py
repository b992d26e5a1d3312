"""How things are measured: the best of several runs, whole processes beside whole processes."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable

# Ends a program that tells the most memory that it held, in KiB, on standard error. On Linux a
# process inherits ru_maxrss from whoever started it; the mark of its own memory begins anew.
PEAK = """
import resource, sys
if sys.platform == "linux":
    (told,) = (line for line in open("/proc/self/status") if line.startswith("VmHWM:"))
    peak = int(told.split()[1])
else:
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    peak //= 2**10 if sys.platform == "darwin" else 1
print(peak, file=sys.stderr)
"""
# What was measured, the figure, the target.
Result = tuple[str, str, str]


def seconds(work: Callable[[], object], repeats: int = 1) -> float:
    """The best of so many runs."""
    best = float("inf")
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best


def process(*arguments: str) -> Callable[[], object]:
    """A whole process of this interpreter, as something to measure."""
    return lambda: subprocess.run([sys.executable, *arguments], capture_output=True, check=True)


def beyond_pass(*arguments: str) -> float:
    """Seconds that a whole process takes beyond one that does nothing."""
    return seconds(process(*arguments), 5) - seconds(process("-c", "pass"), 5)


def memory(program: str, *arguments: str) -> float:
    """The most memory that a program held, in GiB."""
    command = [sys.executable, "-c", program + PEAK, *arguments]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return int(done.stderr.split()[-1]) / 1024**2
