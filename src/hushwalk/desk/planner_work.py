"""What a planning process works out for the desk: the ground to draw, walks that a person shapes, and whole plans.

The process itself is planner.py's; what is worked out are the stories' answers, as the page reads them.
"""

import signal
from collections.abc import Callable, Hashable
from multiprocessing.connection import Connection
from multiprocessing.synchronize import Event
from pathlib import Path
from threading import Thread
from typing import Any

from hushwalk.desk.ground_view import ground_view
from hushwalk.desk.walk_view import plan_view, shape_said, shaped_view
from hushwalk.errors import HushwalkError, SettingsError
from hushwalk.morning.report import Report
from hushwalk.morning.shaped_walk import WalkShaper, walk_of_plan
from hushwalk.morning.solved_plan import RunParams
from hushwalk.morning.story import plan_morning
from hushwalk.morning.warm_morning import WarmMorning
from hushwalk.notes.notebook import ledger_file
from hushwalk.planning.warm_up import warm_up
from hushwalk.progress import Step
from hushwalk.site.forecast import FORECAST
from hushwalk.site.settings import TripSettings
from hushwalk.site.trip_file import trip_of_text
from hushwalk.wording.measures import written_in
from hushwalk.worker import end_with_the_first

STEPS, PROOF_NODES = 3000, 12  # judgement: as `make demo`; the same steps give the same plan on every machine
FIRST_STEPS = 400  # judgement: within one to two percent of the plan, in half a second on a laptop
FIRST = RunParams(search_s=None, iterations=FIRST_STEPS, proof_s=0.0)
WHOLE = RunParams(search_s=None, iterations=STEPS, proof_nodes=PROOF_NODES)
Send = Callable[[str, Any], None]


class StopNow(BaseException):
    """Is raised between two steps when the work is stopped."""


class Work:
    """What one process knows: the last trips and what was worked out of them."""

    def __init__(self, send: Send, stop: Event) -> None:
        self.send, self._stop, self._warm = send, stop, WarmMorning()
        self._planned: tuple[Hashable, Report] | None = None
        self._shaping: tuple[Hashable, WalkShaper] | None = None

    @property
    def stopped(self) -> bool:
        """Whether the work is stopped."""
        return self._stop.is_set()

    def progress(self, step: Step) -> None:
        """Say which step begins, or end where the work is stopped."""
        if self.stopped:
            raise StopNow
        self.send("step", {"words": step.words, "share": step.done_before})

    def ground(self, text: str, path: str) -> dict[str, Any]:
        """Give the ground of a trip as it is drawn."""
        settings, notes = _trip(text, path)
        with written_in(settings.reader_units):
            view = ground_view(self._warm.looked(settings, self.progress))
        self._warm.shaper(settings, notes)
        return view

    def shape(self, text: str, path: str, said: dict[str, Any]) -> dict[str, Any]:
        """Evaluate a walk that a person shapes.

        Parameters
        ----------
        text, path : of the trip file.
        said : the walk, as walk_view.shape_said reads it.

        Returns
        -------
        dict
            As walk_view.shaped_view gives it.

        Raises
        ------
        SettingsError
            If the page said no walk.
        """
        shaper = self._shaper(text, path)
        try:
            shape = shape_said(said, shaper.morning)
            musts = [stop.get("must") for stop in said["stops"]]
        except (KeyError, TypeError, ValueError, IndexError, AttributeError) as fault:
            raise SettingsError("the page said no walk that can be read") from fault
        with written_in(shaper.morning.settings.reader_units):
            return shaped_view(shaper.morning, shaper.evaluate(shape), musts)

    def _shaper(self, text: str, path: str) -> WalkShaper:
        """What evaluates walks of a trip, the same as long as trip, notes and forecast are."""
        files = (ledger_file(Path(path)), Path(path).with_name(FORECAST))
        key = (text, path, *(file.stat().st_mtime_ns if file.is_file() else 0 for file in files))
        if self._shaping is None or self._shaping[0] != key:
            settings, notes = _trip(text, path)
            self._shaping = key, self._warm.shaper(settings, notes)
        return self._shaping[1]

    def plan(self, text: str, path: str) -> dict[str, Any]:
        """Plan a morning: a first answer as soon as there is one, then what the command line gives."""
        settings, notes = _trip(text, path)
        with written_in(settings.reader_units):
            return self._planned_view(settings, notes, _mark(text, notes))

    def _planned_view(self, settings: TripSettings, notes: Path, mark: Hashable) -> dict[str, Any]:
        warm_up()
        first = self._warm.solved(settings, notes, FIRST, self.progress)
        plan, locked = first.result.plan, len(settings.wishes.must)
        walk = walk_of_plan(first.morning, first.morning_problem, plan)
        musts = [post - 1 if post <= locked else None for post in plan.posts]
        if self.stopped:  # an interrupt ends a search with the best so far
            raise StopNow
        self.send("plan", shaped_view(first.morning, walk, musts))
        steps = self._warm.steps(settings, notes)
        report = plan_morning(settings, WHOLE, self.progress, None, steps, notes)
        if self.stopped:
            raise StopNow
        self._planned = mark, report
        return plan_view(report)

    def take(self, text: str, path: str) -> dict[str, Any]:
        """Write the plan that stands as the command line writes it; it is planned first where it is not known."""
        from hushwalk.desk.take_along import take_along  # noqa: PLC0415 - draws; not every process does

        notes = ledger_file(Path(path))
        if self._planned is None or self._planned[0] != _mark(text, notes):
            self.plan(text, path)
        assert self._planned is not None  # noqa: S101 - by plan
        return take_along(Path(path), self._planned[1], self.progress)

    def after_walk(self, name: str, path: str, said: dict[str, Any]) -> dict[str, Any]:
        """Work out one thing after the walk.

        Parameters
        ----------
        name : of it, a key of after_walk.WORKS.
        path : of the trip file.
        said : what the page says of it.

        Returns
        -------
        dict
            As the page reads it.
        """
        from hushwalk.desk.after_walk import after_walk  # noqa: PLC0415 - much to load; not every process needs it

        return after_walk(name, path, said, self.progress)

    def country(self, name: str, folder: str, said: dict[str, Any]) -> dict[str, Any]:
        """Work one thing out before there is a morning.

        Parameters
        ----------
        name : of it, a key of country_work.WORKS.
        folder : of the desk.
        said : what the page says of it.

        Returns
        -------
        dict
            As the page reads it.
        """
        from hushwalk.desk.country_work import country_work  # noqa: PLC0415 - much to load; not every process needs it

        return country_work(name, folder, said, self.progress)


WORK = ("ground", "shape", "plan", "take", "after_walk", "country")
"""Names of what may be asked of the process."""


def _trip(text: str, path: str) -> tuple[TripSettings, Path]:
    return trip_of_text(text, Path(path)), ledger_file(Path(path))


def _mark(text: str, notes: Path) -> Hashable:
    stat = notes.stat() if notes.is_file() else None
    return text, None if stat is None else (stat.st_mtime_ns, stat.st_size)


def serve(connection: Connection, stop: Event) -> None:
    """Answer questions until the other side is gone."""
    busy = False

    def hear(*_: object) -> None:
        if busy and stop.is_set():  # a Ctrl-C is the server's
            raise KeyboardInterrupt

    signal.signal(signal.SIGINT, hear)
    Thread(target=end_with_the_first, daemon=True).start()
    work = Work(lambda kind, said: connection.send((kind, said)), stop)
    while True:
        try:
            name, of = connection.recv()
        except (EOFError, OSError):
            return
        answer: tuple[str, Any] = ("stopped", None)
        try:
            busy = True
            answer = _answered(work, name, of)
            busy = False
        except KeyboardInterrupt:
            busy = False
        connection.send(answer)


def _answered(work: Work, name: str, of: tuple[Any, ...]) -> tuple[str, Any]:
    try:
        return "done", getattr(work, name)(*of) if name in WORK else None
    except StopNow:
        return "stopped", None
    except HushwalkError as fault:
        return ("stopped", None) if work.stopped else ("fault", fault)
    except Exception:
        if work.stopped:  # compiled loops turn the interrupt that they meet into other faults
            return "stopped", None
        raise
