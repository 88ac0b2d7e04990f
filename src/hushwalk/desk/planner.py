"""A process of its own that plans: questions go in, answers and steps come out, and it can be stopped at any time.

What it works out is planner_work.py's business.
"""

import asyncio
import os
import signal
import threading
from collections.abc import Callable
from contextlib import suppress
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any

from hushwalk.desk.planner_work import serve
from hushwalk.errors import HushwalkError, InputError

PATIENCE_S = 4.0  # judgement: the longest compiled step; a process that is ended has all to read anew
LOOKS = 80


GONE = "the planning ended by itself; what it said last stands where the desk was started"


class StoppedError(HushwalkError):
    """The work was stopped, by the person or because something newer is wanted."""


Notify = Callable[[str, Any], None]
"""Definition: is called in the event loop with the kind of news and what it says."""


class Planner:
    """One planning process; it answers one question at a time, in the order of the questions."""

    def __init__(self) -> None:
        self._context = get_context("spawn")
        self._lock = asyncio.Lock()
        self._process: BaseProcess | None = None
        self._connection: Connection | None = None
        self._stop = self._context.Event()
        self.busy = False

    async def ask(
        self, name: str, *of: object, news: Notify | None = None, wanted: Callable[[], bool] = lambda: True
    ) -> Any:  # noqa: ANN401 - as the work answers
        """Ask one question.

        Parameters
        ----------
        name : of the work, a key of planner_work.WORK.
        of : what it is given.
        news : is called with what becomes known on the way.
        wanted : whether the answer is still wanted once it is this question's turn.

        Returns
        -------
        Any
            The answer.

        Raises
        ------
        StoppedError
            If it was stopped.
        HushwalkError
            What the work itself found wrong.
        """
        async with self._lock:
            if not wanted():
                raise StoppedError("something newer is wanted")
            self._stop.clear()
            self.busy = True
            try:
                return await self._answer(name, of, news)
            finally:
                self.busy = False

    async def stop(self) -> None:
        """Stop what is being worked at, soon; what waits behind it is still answered."""
        if not self.busy:
            return
        self._stop.set()
        process = self._process
        _interrupt(process)
        for _ in range(LOOKS):
            await asyncio.sleep(PATIENCE_S / LOOKS)
            if not self.busy or not self._stop.is_set():
                return
        if process is not None and process is self._process and self.busy:
            process.kill()

    def close(self) -> None:
        """End the process."""
        if self._process is not None:
            self._process.kill()
            self._process.join()
        self._process = None

    async def _answer(self, name: str, of: tuple[object, ...], news: Notify | None) -> Any:  # noqa: ANN401
        loop, answers = asyncio.get_running_loop(), asyncio.Queue[tuple[str, Any]]()
        try:
            connection = self._open()
            connection.send((name, of))
        except OSError:
            self.close()
            connection = self._open()
            connection.send((name, of))
        threading.Thread(target=_read, args=(connection, loop, answers), daemon=True).start()
        while True:
            kind, said = await answers.get()
            if kind == "done":
                return said
            if kind == "fault":
                raise said
            if kind in {"gone", "stopped"}:
                if kind == "gone":
                    self.close()
                if kind == "gone" and not self._stop.is_set():
                    raise InputError(GONE)
                raise StoppedError("the planning was stopped")
            if news is not None:
                news(kind, said)

    def _open(self) -> Connection:
        if self._process is None or not self._process.is_alive() or self._connection is None:
            here, there = self._context.Pipe()
            self._stop = self._context.Event()
            self._process = self._context.Process(target=serve, args=(there, self._stop), daemon=True)
            self._process.start()
            there.close()
            self._connection = here
        return self._connection


def _interrupt(process: BaseProcess | None) -> None:
    """End a step; between two steps the work looks by itself whether it is stopped, and on Windows only there."""
    if process is not None and process.pid is not None and os.name != "nt":
        with suppress(ProcessLookupError):
            os.kill(process.pid, signal.SIGINT)


def _read(connection: Connection, loop: asyncio.AbstractEventLoop, answers: "asyncio.Queue[tuple[str, Any]]") -> None:
    """Hand on what the process says, until it has answered or is gone."""
    while True:
        try:
            kind, said = connection.recv()
        except (EOFError, OSError):
            kind, said = "gone", None
        with suppress(RuntimeError):  # the loop has ended
            loop.call_soon_threadsafe(answers.put_nowait, (kind, said))
        if kind in {"done", "fault", "stopped", "gone"}:
            return
