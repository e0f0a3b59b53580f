"""Processes beside the main one, which end when it ends, however that comes about."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from typing import Any

Each = Callable[..., Iterator[Any]]  # as ``map``: a function and rows of its arguments
_LOOK = 0.5  # s between looks at whether the parent is still there


def one_by_one(function: Callable[..., Any], *rows: Any) -> Iterator[Any]:
    """Do as the ``map`` of processes does, in this one, and nothing before it is asked for."""
    return (function(*row) for row in zip(*rows, strict=True))


@contextmanager
def helpers(jobs: int) -> Iterator[Each]:
    """Give the ``map`` of ``jobs`` processes; of none but this one where that is 1."""
    if jobs <= 1:
        yield one_by_one
        return
    with processes(jobs) as each:
        yield each


@contextmanager
def processes(count: int) -> Iterator[Each]:
    """Give the ``map`` of ``count`` processes.

    Whoever interrupts means the main one, which ends them.

    The pool's own ``map`` cancels what is left when it is cut off, while the pool's thread marks
    the same calls as broken: one of the two then prints a traceback. Here nothing but that thread
    does.
    """
    with ProcessPoolExecutor(count, None, _begin, (os.getpid(),)) as workers:

        def each(function: Callable[..., Any], *rows: Any) -> Iterator[Any]:
            calls = [workers.submit(function, *row) for row in zip(*rows, strict=True)]
            return (call.result() for call in calls)

        try:
            yield each
        except BaseException:
            workers.shutdown(wait=False, cancel_futures=True)
            # Killed, not asked: a child that was only just forked may hear a SIGTERM in the midst
            # of that, where what its handler raises is lost; and they hold nothing that a kill
            # could spoil.
            for child in multiprocessing.active_children():
                child.kill()
            raise


def _begin(parent: int) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    threading.Thread(target=_watch, args=(parent,), daemon=True).start()


def _watch(parent: int) -> None:
    """End this process when its parent is gone: killed, it could not say so."""
    while os.getppid() == parent:
        time.sleep(_LOOK)
    os._exit(1)
