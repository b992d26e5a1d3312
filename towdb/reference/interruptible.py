"""Run a query so that Ctrl-C ends it at once: DuckDB by itself looks only between its tasks."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable
from typing import TypeVar

import duckdb

Result = TypeVar("Result")
# How long Ctrl-C may go unnoticed.
_SECONDS = 0.05


def interruptibly(con: duckdb.DuckDBPyConnection, work: Callable[[], Result]) -> Result:
    """Do some work of a connection on another thread, and interrupt it on Ctrl-C.

    Raises
    ------
    KeyboardInterrupt
        If Ctrl-C came; the work has ended.
    """
    is_ours = signal.getsignal(signal.SIGINT) is signal.default_int_handler
    if not is_ours or threading.current_thread() is not threading.main_thread():
        return work()
    hit, done = threading.Event(), threading.Event()
    results: list[Result] = []
    errors: list[BaseException] = []

    def run() -> None:
        try:
            results.append(work())
        except BaseException as error:
            errors.append(error)
        finally:
            done.set()

    signal.signal(signal.SIGINT, lambda *_: hit.set())
    try:
        threading.Thread(target=run, daemon=True).start()
        # Not Thread.join: interrupted, it takes a thread for ended that is not.
        while not done.wait(_SECONDS):
            if hit.is_set():
                con.interrupt()
    finally:
        signal.signal(signal.SIGINT, signal.default_int_handler)
    if hit.is_set():
        raise KeyboardInterrupt
    if errors:
        raise errors[0]
    return results[0]
