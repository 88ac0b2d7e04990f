"""Ctrl-C: the command ends within two seconds, whatever it is busy with, and says so in plain words.

What it leaves alone is the writers' business: they write aside and rename.
"""

import os
import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager

EXIT_INTERRUPTED = 130
PATIENCE_S = 1.2
"""judgement: how long a command may tidy up after itself before it is ended."""
STOPPED = "hushwalk: stopped; the files that stood there before are as they were"


class Watch:
    """What is known of a Ctrl-C: whether it came, whether the command has ended by itself, and whether it was said."""

    def __init__(self) -> None:
        self.heard = threading.Event()
        self.ended = threading.Event()
        self.said = threading.Event()

    def say(self) -> None:
        """Say that the command was stopped, once."""
        if not self.said.is_set():
            self.said.set()
            os.write(2, f"{STOPPED}\n".encode())

    def until_stopped(self, pipe: int) -> None:
        """Wait for the signal; end the process if the command has not ended soon after."""
        while sign := os.read(pipe, 1):
            if self.ended.is_set():
                return
            if sign[0] == signal.SIGINT and not self.ended.wait(PATIENCE_S):
                self.say()
                os._exit(EXIT_INTERRUPTED)

    def hear(self, *_: object) -> None:
        """Note the signal and interrupt the work, wherever it is."""
        self.heard.set()
        raise KeyboardInterrupt


@contextmanager
def stops_soon() -> Iterator[Watch]:
    """Watch for Ctrl-C beside the work: compiled loops and solvers hear of it only when they are done.

    Notes
    -----
    The signal itself raises KeyboardInterrupt as usual, and is noted, because compiled loops turn the interrupt that
    they meet into other faults. If the process has not ended ``PATIENCE_S`` later, be it that
    other threads are still busy, a thread ends it. On Windows the system's own handler is left alone.
    """
    watch = Watch()
    if threading.current_thread() is not threading.main_thread() or os.name == "nt":
        yield watch
        return
    here, there = os.pipe()
    os.set_blocking(there, False)
    before = signal.set_wakeup_fd(there, warn_on_full_buffer=False)
    handler = signal.signal(signal.SIGINT, watch.hear)
    threading.Thread(target=watch.until_stopped, args=(here,), daemon=True).start()
    try:
        yield watch
    finally:
        signal.signal(signal.SIGINT, handler)
        signal.set_wakeup_fd(before)
        if not watch.said.is_set():  # else it keeps watching until the last thread has ended
            watch.ended.set()
            os.write(there, b"\0")
