"""Run a query so that Ctrl-C or a time limit ends it: DuckDB looks only between its tasks."""

from __future__ import annotations

import signal
import threading
import time
from collections.abc import Callable
from typing import TypeVar

import duckdb

from towdb.errors import UsageError

Result = TypeVar("Result")
# How long Ctrl-C may go unnoticed.
_SECONDS = 0.05


class Allowance:
    """The time that one query may still take, over all that is fetched of it."""

    def __init__(self, limit_s: float | None) -> None:
        self._limit_s = limit_s
        # Only the work of DuckDB counts: a person who reads a result page by page may take a day.
        self._left_s = limit_s or 0.0

    def spend(self, con: duckdb.DuckDBPyConnection, work: Callable[[], Result]) -> Result:
        """Do some work of a connection, and interrupt it when the time is over.

        Raises
        ------
        UsageError
            If the time was over.
        KeyboardInterrupt
            If Ctrl-C came; the work has ended.
        """
        if self._limit_s is None:
            return interruptibly(con, work)
        done, over = threading.Event(), threading.Event()

        def watch() -> None:
            if not done.wait(min(max(self._left_s, 0), threading.TIMEOUT_MAX)):
                over.set()
                while not done.wait(_SECONDS):
                    con.interrupt()

        watcher = threading.Thread(target=watch, daemon=True)
        begun = time.monotonic()
        watcher.start()
        try:
            return interruptibly(con, work)
        except (duckdb.Error, RuntimeError):
            if not over.is_set():
                raise
            raise UsageError(
                f"the query was ended at its time limit of {self._limit_s:g} s; allow more"
                " (--time-limit, in Python time_limit_s), or query less"
            ) from None
        finally:
            done.set()
            watcher.join()
            self._left_s -= time.monotonic() - begun


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
        # Not Thread.join: when interrupted, it can report a running thread as ended.
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
