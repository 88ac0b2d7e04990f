"""A second process for what can be worked out while the first one thinks: concurrent.futures with two promises more.

The answer is the same whatever happens to the second process, and it never outlives the first.
"""

import copyreg
import gc
import os
import signal
from collections.abc import Callable
from concurrent.futures import BrokenExecutor, Future, ProcessPoolExecutor, wait
from importlib import import_module
from multiprocessing import active_children, get_context, parent_process
from multiprocessing.connection import wait as wait_for
from threading import Thread
from types import MappingProxyType, TracebackType
from typing import Any, Generic, Self, TypeVar

T = TypeVar("T")


class Pending(Generic[T]):
    """A result to come.

    Parameters
    ----------
    work : makes the result here, where no other process has made it.
    future : of the other process, None where there is none.
    """

    def __init__(self, work: Callable[[], T], future: Future[T] | None = None) -> None:
        self._work = work
        self._future = future

    def result(self) -> T:
        """Wait for the result; what the work raised is raised here."""
        if self._future is not None:
            try:
                return self._future.result()
            except BrokenExecutor:
                self._future = None
        return self._work()


class Worker:
    """One process beside this one, until the ``with`` block ends.

    Parameters
    ----------
    modules : what it loads first, while it has nothing else to do.

    Notes
    -----
    If this process ends or is killed, the other one ends at once. If the other one is killed, its work is done here.
    It leaves Ctrl-C to this one.

    Examples
    --------
    >>> with Worker() as worker:
    ...     worker.submit(max, 6, 7).result()
    7
    """

    def __init__(self, *modules: str) -> None:
        before = {child.pid for child in active_children()}
        spawn = get_context("spawn")  # the same on every system, and safe beside threads
        self._pool = ProcessPoolExecutor(1, mp_context=spawn, initializer=_prepare, initargs=gc.get_threshold())
        self._futures: list[Future[Any]] = [self._pool.submit(_load, modules)]
        self._children = [child for child in active_children() if child.pid not in before]

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._pool.shutdown(wait=False, cancel_futures=True)
        for child in self._children:
            child.terminate()
            child.join()

    def submit(self, work: Callable[..., T], *of: object) -> Pending[T]:
        """Hand over a call; both the function and what it is given must be able to travel between processes."""
        try:
            future = self._pool.submit(work, *of)
        except BrokenExecutor:
            return Pending(lambda: work(*of))
        self._futures.append(future)
        return Pending(lambda: work(*of), future)

    def finish(self) -> None:
        """Wait until nothing that was handed over is still being worked at."""
        wait(self._futures)


def submit(worker: Worker | None, work: Callable[..., T], *of: object) -> Pending[T]:
    """Hand a call to the worker if there is one; if not, the call is made here when its result is wanted."""
    return Pending(lambda: work(*of)) if worker is None else worker.submit(work, *of)


def _load(modules: tuple[str, ...]) -> None:
    """Load modules; what cannot be loaded shows where it is used."""
    for module in modules:
        import_module(module)


def _prepare(*thresholds: int) -> None:
    """Make the second process leave Ctrl-C to the first, end with it, and look for cycles of objects as seldom."""
    gc.set_threshold(*thresholds)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=end_with_the_first, daemon=True).start()


def end_with_the_first() -> None:
    """Wait for the process that began this one, and end as soon as it has ended."""
    first = parent_process()
    if first is not None:
        wait_for([first.sentinel])
        os._exit(1)


def _view(of: dict[object, object]) -> MappingProxyType[object, object]:
    return MappingProxyType(of)


copyreg.pickle(MappingProxyType, lambda view: (_view, (dict(view),)))  # a read-only view travels as its dict
