"""The desk: one folder, its trip file as the document, the history of it, and the plan of what stands.

What a room answers is the room's own business; this is what all rooms share.
"""

import asyncio
import traceback
from collections.abc import Coroutine
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial
from hashlib import blake2b
from pathlib import Path
from typing import Any

from hushwalk import __version__
from hushwalk.desk.history import Version
from hushwalk.desk.kept_trip import KeptTrip
from hushwalk.desk.planner import Planner, StoppedError
from hushwalk.desk.trip_edits import edited
from hushwalk.desk.walk_view import trip_view
from hushwalk.errors import HushwalkError, SettingsError
from hushwalk.morning.cache import marks_of_layers
from hushwalk.notes.notebook import ledger_file
from hushwalk.site.settings import TripSettings
from hushwalk.site.trip_file import trip_of_text
from hushwalk.site.units import units_in
from hushwalk.text import message
from hushwalk.wording.desk_words import change_words, cost_words
from hushwalk.wording.measures import written_in

PLAN_FORM = f"{__version__} 2"
"""Definition: program and form of a kept plan; others are planned again."""
LOOK_EVERY_S = 1.0  # judgement: a change from outside is seen before a person has turned back to the page
News = dict[str, Any]


@dataclass
class Desk:
    """What all rooms share.

    Parameters
    ----------
    folder : whose trip file is the document; nothing outside it is read or written.
    """

    folder: Path
    trip: KeptTrip = field(init=False)

    def __post_init__(self) -> None:
        self.trip = KeptTrip(self.folder)
        self.folder, self.path, self.history = self.trip.folder, self.trip.path, self.trip.history
        self.shaping, self.planning = Planner(), Planner()
        self.plan: News | None = None
        self.work: News | None = None
        self.busy: News | None = None
        self.phone = ""
        self.fault = ""
        self.said = ""
        self._number = 0
        self._before: News | None = None
        self._shown: tuple[str, News] | None = None
        self._changed = asyncio.Condition()
        self._writing = asyncio.Lock()
        self._tasks: set[asyncio.Task[None]] = set()

    # the document

    @property
    def version(self) -> Version | None:
        """The version that stands; None in a folder without a trip file."""
        return self.trip.now

    def settings(self) -> TripSettings:
        """Give what the version that stands says.

        Raises
        ------
        SettingsError
            If there is none, or it has a fault.
        """
        return self.trip.settings()

    async def start(self) -> None:
        """Take up the folder as it was left: finish a write that was cut off, take over what others changed."""
        async with self._writing:
            self.trip.take_up()
        self.replan()
        self._begin(self._watch())

    async def take_up(self) -> None:
        """Take over what was changed outside, and plan it."""
        async with self._writing:
            said = self.trip.take_up()
        if said:
            self.said = said
            self.replan()

    async def edit(self, kind: str, said: dict[str, Any]) -> Version:
        """Change the trip file, keep the version, and plan anew.

        Parameters
        ----------
        kind : of the change, a key of trip_edits.CHANGES.
        said : what the page says of it.

        Returns
        -------
        Version
            That stands now.

        Raises
        ------
        HushwalkError
            If the change cannot be made; everything is as it was.
        """
        await self.take_up()
        with written_in(units_in(self.path)):
            words = change_words(kind, said)
        return await self.put(edited(self.trip.stands().trip, kind, said), words)

    async def put(self, text: str, change: str) -> Version:
        """Let a text be the trip file, as a new version, and plan it.

        Parameters
        ----------
        text : of the whole file.
        change : what was changed, in words.

        Returns
        -------
        Version
            That stands now.

        Raises
        ------
        HushwalkError
            If the text is no trip file; everything is as it was.
        """
        async with self._writing:
            version = self.trip.put(text, change)
        self.said = change
        self.replan()
        return version

    async def go(self, number: int | None) -> None:
        """Let an earlier or later version stand; None is nowhere to go."""
        with suppress(SettingsError):  # a file that is no text any more: going back is the way out
            await self.take_up()
        async with self._writing:
            version = None if number is None else self.trip.go(number)
        if version is not None:
            self.said = version.change
            self.replan()

    async def _watch(self) -> None:
        while True:
            await asyncio.sleep(LOOK_EVERY_S)
            try:
                await self.take_up()
            except HushwalkError as fault:
                self._say_fault(str(fault))

    # the plan

    def replan(self) -> None:
        """Plan what stands, and stop planning what does not stand any more."""
        version = self.version
        if version is None:
            return
        self.fault = ""
        kept = self._kept(version)
        if self.plan is not None and self.plan.get("of") != version.number:
            self._before = self.plan
        self.plan = kept or (self.plan and {**self.plan, "of": None, "cost": ""})
        self._begin(self._plan(version, again=kept is None))

    async def stop(self) -> None:
        """Stop planning; the newest plan that is there stays."""
        await self.planning.stop()

    async def _plan(self, version: Version, *, again: bool) -> None:
        await self.planning.stop()
        if not again and self._is_now(version):
            self.work = None
        if not again or not self._is_now(version):
            await self.publish()
            return
        self.work = {"words": "", "share": 0.0}
        await self.publish()
        try:
            plan = await self.planning.ask(
                "plan",
                version.trip,
                str(self.path),
                news=partial(self._news, version),
                wanted=lambda: self._is_now(version),
            )
            self._keep(version, plan)
        except StoppedError:
            pass
        except HushwalkError as fault:
            self._say_fault(str(fault))
        if self._is_now(version):
            self.work = None
        await self.publish()

    def _is_now(self, version: Version) -> bool:
        now = self.version
        return now is not None and now.number == version.number

    def _keep(self, version: Version, plan: News) -> None:
        parent = None if version.parent is None else self.history.version(version.parent)
        before = (None if parent is None else self._kept(parent)) or self._before
        if plan["whole"] and self.plan is not None and self.plan.get("of") == version.number:
            plan = {**plan, "first": self.plan.get("first")}
        elif not plan["whole"]:
            plan = {**plan, "first": {"males": plan["males"], "minutes": plan["minutes"]}}
        plan = {**plan, "of": version.number, "cost": _cost(before, plan), "mark": self._mark(version)}
        if plan["whole"]:
            self.history.keep_plan(version.number, plan)
        if self._is_now(version):
            self.plan = plan

    def _kept(self, version: Version) -> News | None:
        """The kept plan of a version, where program, layers and notes are still those that it was made with."""
        plan = self.history.plan(version.number)
        return plan if plan is not None and plan.get("mark") == self._mark(version) else None

    def _mark(self, version: Version) -> str:
        try:
            layers = marks_of_layers(trip_of_text(version.trip, self.path))
        except HushwalkError:
            return ""
        notes = ledger_file(self.path)
        stat = notes.stat() if notes.is_file() else None
        noted = None if stat is None else (stat.st_mtime_ns, stat.st_size)
        return blake2b(repr((PLAN_FORM, layers, noted)).encode(), digest_size=16).hexdigest()

    def _news(self, version: Version, kind: str, said: Any) -> None:  # noqa: ANN401 - as the work says it
        if kind == "step" and self._is_now(version):
            self.work = said
        elif kind == "plan":
            self._keep(version, said)
        self._begin(self.publish())

    def _say_fault(self, words: str) -> None:
        if words != self.fault:
            self.fault = message(words)
            self._begin(self.publish())

    async def work_out(self, *work: Any) -> News:  # noqa: ANN401 - as planner.Planner.ask takes it
        """Ask the process that is free something that takes long; the pages hear how far it is."""

        def news(kind: str, said: Any) -> None:  # noqa: ANN401 - as the work says it
            self.busy = said if kind == "step" else self.busy
            self.announce()

        self.busy = {"words": "", "share": 0.0}
        self.announce()
        try:
            found: News = await self.shaping.ask(*work, news=news)
        finally:
            self.busy = None
            self.announce()
        return found

    # the page

    def news(self) -> News:
        """Give everything that the page shows of the document and the plan."""
        version = self.version
        parent = None if version is None else version.parent
        return {
            "news": self._number,
            "version": None if version is None else version.number,
            "undo": parent,
            "redo": None if version is None else version.last_child,
            "said": self.said,
            "fault": self.fault,
            "work": self.work,
            "busy": self.busy,
            "plan": self.plan,
            "trip": self._trip_view(version),
        }

    def _trip_view(self, version: Version | None) -> News | None:
        if version is None:
            return None
        if self._shown is None or self._shown[0] != version.trip:
            try:
                self._shown = version.trip, trip_view(trip_of_text(version.trip, self.path))
            except HushwalkError:  # the fault is said where it is planned
                return None
        return self._shown[1]

    def announce(self) -> None:
        """Let all pages that wait know, from where nothing is awaited."""
        self._begin(self.publish())

    async def publish(self) -> None:
        """Let all pages that wait know that something is new."""
        async with self._changed:
            self._number += 1
            self._changed.notify_all()

    async def wait_for_news(self, after: int, longest_s: float) -> News:
        """Give what is new as soon as there is something after that number, or after a while what there is.

        Parameters
        ----------
        after : number of the news that the page has.
        longest_s : how long to wait [s].

        Returns
        -------
        dict
        """
        async with self._changed:
            with suppress(TimeoutError):
                await asyncio.wait_for(self._changed.wait_for(lambda: self._number != after), longest_s)
        return self.news()

    def _begin(self, work: Coroutine[Any, Any, None]) -> None:
        task = asyncio.get_running_loop().create_task(work)
        self._tasks.add(task)
        task.add_done_callback(self._ended)

    def _ended(self, task: asyncio.Task[None]) -> None:
        self._tasks.discard(task)
        if not task.cancelled() and task.exception() is not None:
            traceback.print_exception(task.exception())  # our own fault: where the desk was started, it is seen

    async def close(self) -> None:
        """End all work and let go of the folder."""
        for task in tuple(self._tasks):
            task.cancel()
        self.shaping.close()
        self.planning.close()
        self.history.close()


def _cost(before: News | None, plan: News) -> str:
    """What a plan gains or costs against the one before: whole plans with each other, or else first answers."""
    if before is None or (plan["whole"] and before["whole"]):
        return cost_words(before, plan)
    return cost_words(before.get("first") or before, plan.get("first") or plan)
