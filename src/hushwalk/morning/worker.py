"""A second pair of hands: work that goes on in a process of its own while the first one thinks.

What is asked of it is plain functions of plain data; whatever happens to it, the answer is the same.
"""

import copyreg
import os
import pickle
import signal
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from importlib import import_module
from multiprocessing import get_context, parent_process
from multiprocessing.connection import Connection
from multiprocessing.connection import wait as wait_for
from threading import Thread
from types import MappingProxyType, TracebackType
from typing import Generic, Self, TypeVar, cast

Answer = TypeVar("Answer")


class Asked(Generic[Answer]):
    """Something that was asked for; :meth:`result` waits for it."""

    def __init__(self, wait: Callable[[], Answer]) -> None:
        self._wait = wait

    def result(self) -> Answer:
        """Wait for the answer; what the work raised is raised here."""
        return self._wait()


class Worker:
    """A process that works beside this one, one call after the other, until the ``with`` block ends.

    Parameters
    ----------
    modules : what it loads first, while nothing is asked of it yet.

    Notes
    -----
    If this process ends or is killed, the other one ends at once. If the other one is killed, its calls are
    made here. It leaves Ctrl-C to this one.

    Examples
    --------
    >>> with Beside() as beside:
    ...     asked = beside.ask(max, 6, 7)
    ...     asked.result()
    7
    """

    def __init__(self, *modules: str) -> None:
        context = get_context("spawn")  # the same on every system, and safe beside threads
        self._pipe, theirs = context.Pipe()
        self._process = context.Process(target=_serve, args=(theirs, modules), daemon=True)
        self._answers: list[tuple[bool, object]] = []
        self._asked = 0
        self._process.start()
        theirs.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._pipe.close()
        self._process.terminate()
        self._process.join()

    def ask(self, work: Callable[..., Answer], *of: object) -> Asked[Answer]:
        """Hand over a call; both the function and what it is given must be possible to pickle."""
        call = partial(work, *of)
        try:
            self._pipe.send(call)
        except OSError:
            return Asked(call)
        self._asked += 1
        return Asked(partial(self._result, self._asked, call))

    def finish(self) -> None:
        """Wait until nothing that was asked for is still being worked at."""
        with suppress(EOFError, OSError):
            self._receive(self._asked)

    def _receive(self, number: int) -> None:
        while len(self._answers) < number:
            self._answers.append(self._pipe.recv())

    def _result(self, number: int, call: Callable[[], Answer]) -> Answer:
        try:
            self._receive(number)
        except (EOFError, OSError):
            return call()
        good, answer = self._answers[number - 1]
        if not good:
            raise cast("Exception", answer)
        return cast("Answer", answer)


def asked_of(beside: Worker | None, work: Callable[..., Answer], *of: object) -> Asked[Answer]:
    """Ask a process beside this one if there is one; if not, the call is made here when its result is wanted."""
    return Asked(partial(work, *of)) if beside is None else beside.ask(work, *of)


def _end_with_the_first() -> None:
    """End at once when the process that started this one is no more."""
    first = parent_process()
    if first is not None:
        wait_for([first.sentinel])
        os._exit(1)


def _serve(pipe: Connection, modules: tuple[str, ...]) -> None:
    """Work off one call after the other until nobody asks any more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_end_with_the_first, daemon=True).start()
    for module in modules:
        import_module(module)
    while True:
        try:
            asked = pipe.recv_bytes()
        except (EOFError, OSError):
            return
        try:
            answer = (True, pickle.loads(asked)())  # noqa: S301 - from the process that started this one
        except Exception as fault:  # noqa: BLE001 - raised where the answer is asked for
            answer = (False, fault)
        try:
            pipe.send(answer)
        except OSError:
            return


def _view(of: dict[object, object]) -> MappingProxyType[object, object]:
    return MappingProxyType(of)


copyreg.pickle(MappingProxyType, lambda view: (_view, (dict(view),)))  # a read-only view travels as its dict
