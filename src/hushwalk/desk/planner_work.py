"""What a planning process works out for the desk: the ground to draw, walks that a person shapes, and whole plans.

The process itself is planner.py's; what is worked out are the stories' answers, as the page reads them.
"""

import signal
from collections.abc import Callable
from multiprocessing.connection import Connection
from multiprocessing.synchronize import Event
from pathlib import Path
from typing import Any

from hushwalk.desk.ground_view import ground_view
from hushwalk.desk.walk_view import plan_view
from hushwalk.errors import HushwalkError
from hushwalk.morning.solved_plan import RunParams
from hushwalk.morning.story import looked_round, plan_morning
from hushwalk.notes.notebook import ledger_file
from hushwalk.progress import Step
from hushwalk.site.trip_file import trip_of_text

STEPS, PROOF_NODES = 3000, 12  # judgement: as `make demo`; the same steps give the same plan on every machine
Send = Callable[[str, Any], None]


class StopNow(BaseException):
    """Is raised between two steps when the work is stopped."""


class Work:
    """What one process knows: the last trip and what was worked out of it."""

    def __init__(self, send: Send, stop: Event) -> None:
        self.send, self._stop = send, stop

    def progress(self, step: Step) -> None:
        """Say which step begins, or end where the work is stopped."""
        if self._stop.is_set():
            raise StopNow
        self.send("step", {"words": step.words, "share": step.done_before})

    def ground(self, text: str, path: str) -> dict[str, Any]:
        """Give the ground of a trip as it is drawn."""
        return ground_view(looked_round(trip_of_text(text, Path(path)), None, progress=self.progress).morning)

    def plan(self, text: str, path: str) -> dict[str, Any]:
        """Plan a morning as the command line does."""
        settings = trip_of_text(text, Path(path))
        params = RunParams(search_s=None, iterations=STEPS, proof_nodes=PROOF_NODES)
        report = plan_morning(settings, params, self.progress, notes=ledger_file(Path(path)))
        return plan_view(report)


WORK = ("ground", "plan")
"""Names of what may be asked of the process."""


def serve(connection: Connection, stop: Event) -> None:
    """Answer questions until the other side is gone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the server's
    work = Work(lambda kind, said: connection.send((kind, said)), stop)
    while True:
        try:
            name, of = connection.recv()
        except (EOFError, OSError):
            return
        connection.send(_answered(work, name, of))


def _answered(work: Work, name: str, of: tuple[Any, ...]) -> tuple[str, Any]:
    try:
        return "done", getattr(work, name)(*of) if name in WORK else None
    except StopNow:
        return "gone", None
    except HushwalkError as fault:
        return "fault", fault
