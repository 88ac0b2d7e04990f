"""Keeps in memory what a plan of a trip took long for, so that the next plan after a small change is soon there.

What is kept is what the stories give, by all that it rests on; the answer is the same as without.
"""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field, replace
from datetime import time
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

from hushwalk.birds.noted_season import NotedSeason, noted_season
from hushwalk.morning.cache import StepCache, marks_of_layers
from hushwalk.morning.chosen_way import chosen_way, with_time_kept_free
from hushwalk.morning.heeded_notes import HeededNotes, heed_notes
from hushwalk.morning.known_places import KnownHearing, KnownPlaces
from hushwalk.morning.look_round import REACHING, READING, Morning, ground_checked, hearing_on
from hushwalk.morning.morning_problem import MorningProblem, build_problem, posts_of
from hushwalk.morning.plain_plan import plain_plans
from hushwalk.morning.plain_walk import PlainRoute, plain_routes
from hushwalk.morning.shaped_walk import WalkShaper
from hushwalk.morning.solved_plan import RunParams, as_wished
from hushwalk.morning.story import HEARING, THE_NOTES
from hushwalk.morning.way_of_working import WayOfWorking
from hushwalk.morning.wishes import lines_closed, shorter_walk, wished_problem, with_must
from hushwalk.notes.notebook import Notebook
from hushwalk.planning.model.plan import Result
from hushwalk.progress import Progress, quiet
from hushwalk.site.detectability import Detectability
from hushwalk.site.morning_clock import Clock, morning_clock
from hushwalk.site.settings import SearchSettings, TripSettings, WalkerSettings, WeatherSettings
from hushwalk.site.site import Site, closed_as_drawn, read_open_site
from hushwalk.site.walk_network import WalkNetwork, graph_of_site, reached_in_time
from hushwalk.site.wish_settings import WishSettings
from hushwalk.types import FloatArray
from hushwalk.walking.times import KnownLegs

Value = TypeVar("Value")
NEAR = 12  # judgement: walks over such legs are worth as much as over all, on three trips; 8 are too few
MOST_KEPT = 4  # judgement: what stands, what stood before it, and two that are tried; each may take 100 MB


@dataclass(frozen=True, eq=False)
class SolvedMorning:
    """A plan with all that it rests on; its morning and its problem end before what is kept free for closing in."""

    morning: Morning
    morning_problem: MorningProblem
    result: Result
    working: WayOfWorking


@dataclass(frozen=True, eq=False)
class WarmMorning:
    """What was worked out for the last few trips, mostly one trip as it is changed.

    Parameters
    ----------
    kept : by step and by what the step rests on, the newest last.
    """

    kept: dict[str, OrderedDict[Any, Any]] = field(default_factory=dict, repr=False)

    def heeded(
        self, settings: TripSettings, notes: Path | None, progress: Progress = quiet, *, first: bool = False
    ) -> HeededNotes:
        """Give the ground and the ways, closed and kept off as wished and noted, as story.looked_round does.

        Parameters
        ----------
        settings : what the trip file says, back so much sooner as is wished.
        notes : the ledger; None for none.
        progress : is told as each step begins.
        first : whether the birds of the same notes may stand where they were fixed before the ground or the weather
            changed, for a first answer.

        Returns
        -------
        HeededNotes
        """
        closed = self.looked(settings, progress, with_lines=True)
        stat = notes.stat() if notes is not None and notes.is_file() else None
        if stat is None:
            return HeededNotes(closed, closed)
        noted: tuple[Hashable, ...] = (str(notes), stat.st_mtime_ns, stat.st_size)
        ways = (id(closed.way), id(closed.detectability), settings.wishes.start)
        parts = (*noted, *ways, repr(bare(settings)))
        if first and parts not in self.kept.get("notes", {}):
            before = [one[0] for key, one in self.kept.get("season", {}).items() if key[:3] == noted]
            if before:
                return heed_notes(closed, notes, progress, lambda *_: before[-1])

        def season_of(book: Notebook, site: Site, detectability: Detectability) -> NotedSeason | None:
            own = (*noted, id(site), id(detectability), repr(of_notes(settings)))
            found, _ = self._keep("season", own, lambda: (noted_season(book, site, detectability), closed))
            return None if found is None else replace(found, book=book)

        heeded, _ = self._keep("notes", parts, lambda: (heed_notes(closed, notes, progress, season_of), closed))
        return replace(heeded, morning=replace(heeded.morning, settings=settings))

    def looked(self, settings: TripSettings, progress: Progress = quiet, *, with_lines: bool = False) -> Morning:
        """Give the ground and the ways as look_round does, those parts anew that changed.

        Parameters
        ----------
        settings : what the trip file says.
        progress : is told as each step begins.
        with_lines : whether the lines are closed that nobody crosses, as story.looked_round does.

        Returns
        -------
        Morning
        """
        open_ground = replace(of_ground(settings), closed=())
        key = (repr(open_ground), str(settings.folder), tuple(marks_of_layers(settings)))
        progress(READING)
        read, _ = self._keep("ground", key, lambda: (read_open_site(ground_checked(settings)), None))
        wished = settings.wishes if with_lines else WishSettings()
        drawn = (id(read), repr(settings.closed), wished.not_across)
        site, _ = self._keep("site", drawn, lambda: (lines_closed(closed_as_drawn(read, settings), wished), read))
        clock = morning_clock(settings.morning, site.car.lon_deg, site.car.lat_deg)
        walker = replace(settings.walker, reserve=WalkerSettings().reserve)
        listening = (id(read), repr(settings.weather), repr(walker), settings.morning.evening)
        detectability, _ = self._keep("hearing", listening, lambda: (hearing_on(settings, read), read))
        progress(REACHING)
        return Morning(settings, site, clock, detectability, self._way(settings, site, clock))

    def _way(self, settings: TripSettings, site: Site, clock: Clock) -> WalkNetwork:
        """Give the walk network of a site; the graph serves all hours."""
        walking = (id(site), repr(settings.walker), settings.weather.snow)
        graph, _ = self._keep("graphs", walking, lambda: (graph_of_site(settings, site), site))
        return self._keep(
            "ways", (id(graph), clock.window_s), lambda: (reached_in_time(graph, site, clock), (graph, site))
        )[0]

    def problem(self, morning: Morning, progress: Progress = quiet) -> MorningProblem:
        """Choose posts and state the problem as story.heard_and_walked does, from places that are known already."""
        progress(HEARING)
        wished = (*_parts(morning), repr(morning.settings.wishes))
        return self._keep("problem", wished, lambda: (self._problem_among(morning, *self._posts(morning)), morning))[0]

    def first_problem(self, morning: Morning, progress: Progress = quiet) -> MorningProblem:
        """State a problem for a first answer, with legs to near posts only where the others are not known.

        Where the ground, the ways or the hours are new, the posts are those of the last problem: choosing them anew
        takes as long as all else together.
        """
        own = self.kept.get("posts", OrderedDict())
        here = [value for value in own.values() if value[1].site.grid == morning.site.grid]
        if not here or (*_parts(morning), repr(morning.settings.wishes)) in self.kept.get("problem", {}):
            return self.problem(morning, progress)
        progress(HEARING)
        if (*_parts(morning), morning.settings.wishes.start) in own:
            return self._problem_among(morning, *self._posts(morning), near=NEAR)
        posts = here[-1][0][1]
        rows, cols = morning.site.grid.rowcol(posts)
        posts = posts[np.isfinite(morning.way.from_car_s[rows, cols]) & ~morning.way.no_stop[rows, cols]]
        return self._problem_among(morning, (), posts, near=NEAR)

    def _posts(self, morning: Morning) -> tuple[tuple[PlainRoute, ...], FloatArray]:
        """Give the plain walks and the posts off them."""
        start = morning.settings.wishes.start

        def chosen() -> tuple[Any, Any]:
            plain = () if start is not None else plain_routes(morning)
            return (plain, posts_of(morning, sum(len(route.stops_xy) for route in plain))), morning

        found: tuple[tuple[PlainRoute, ...], FloatArray] = self._keep("posts", (*_parts(morning), start), chosen)[0]
        return found

    def _problem_among(
        self, morning: Morning, plain: tuple[PlainRoute, ...], posts: FloatArray, near: int | None = None
    ) -> MorningProblem:
        known = self.places(morning)
        return wished_problem(morning, build_problem(morning, with_must(morning, posts), plain, known, near))

    def places(self, morning: Morning) -> KnownPlaces:
        """Give what is known of places on the ground of a morning."""
        soundscape, graph = morning.detectability.soundscape, morning.way.graph
        heard, _ = self._keep("heard", id(soundscape), lambda: (KnownHearing(), soundscape))
        walked = (id(graph), id(morning.site))
        dark = morning.settings.morning.off_trail_in_the_dark
        legs, _ = self._keep("legs", (*walked, dark), lambda: (KnownLegs(), (graph, morning.site)))
        return KnownPlaces(heard, legs)

    def shaper(self, settings: TripSettings, notes: Path | None, progress: Progress = quiet) -> WalkShaper:
        """Give what evaluates walks that a person shapes on this ground.

        Parameters
        ----------
        settings : what the trip file says.
        notes : the ledger; None for none.
        progress : is told as each step begins.

        Returns
        -------
        WalkShaper
        """
        morning = self.heeded(shorter_walk(settings), notes, progress).morning
        own = (*_parts(morning), morning.settings.wishes.start)
        return self._keep("shaper", own, lambda: (WalkShaper(morning, self.places(morning)), morning))[0]

    def solved(
        self, settings: TripSettings, notes: Path | None, params: RunParams, progress: Progress = quiet
    ) -> SolvedMorning:
        """Give a first plan of a morning, as plan_morning does where no more than wishes changed.

        Parameters
        ----------
        settings : what the trip file says.
        notes : the ledger; None for none.
        params : how long to think.
        progress : is told as each step begins.

        Returns
        -------
        SolvedMorning

        Notes
        -----
        The way of working is that of the first plan of the bird from this place, and where the ground, the ways or the
        hours changed, so are the posts; legs to far posts lead by way of near ones, and birds of the notes stand where
        they were fixed before. A full plan works all of these out anew.
        """
        morning = self.heeded(shorter_walk(settings), notes, progress, first=True).morning
        morning_problem = self.first_problem(morning, progress)
        own_way = (settings.morning.way, settings.morning.closing_in_minutes, settings.species, settings.place.car)
        working, _ = self._keep("working", own_way, lambda: (chosen_way(morning, morning_problem), None))
        morning, morning_problem = with_time_kept_free(morning, morning_problem, working)
        plain = plain_plans(morning_problem, settings.morning.longest_walk_km * 1000)
        result = as_wished(morning, morning_problem, plain, params, progress)
        return SolvedMorning(morning, morning_problem, result, working)

    def steps(self, settings: TripSettings, notes: Path | None, progress: Progress = quiet) -> StepCache:
        """Give a cache for plan_morning that takes the first steps from what is kept here.

        Parameters
        ----------
        settings : what the trip file says.
        notes : the ledger; None for none.
        progress : is told as each step begins.

        Returns
        -------
        StepCache
        """
        return _WarmSteps(self, settings, notes, progress)

    def _keep(self, step: str, key: Hashable, work: Callable[[], tuple[Value, Any]]) -> tuple[Value, Any]:
        """Give a value and what must live as long as it does, from before where the key is the same."""
        own = self.kept.setdefault(step, OrderedDict())
        if key not in own:
            own[key] = work()
        own.move_to_end(key)
        while len(own) > MOST_KEPT:
            own.popitem(last=False)
        found: tuple[Value, Any] = own[key]
        return found


def _parts(morning: Morning) -> tuple[Hashable, ...]:
    """What posts rest on; whoever keeps something by it keeps the morning as well."""
    return id(morning.way), id(morning.site), id(morning.detectability), repr(bare(morning.settings))


class _WarmSteps(StepCache):
    """The steps of plan_morning that a WarmMorning knows; all others are done anew."""

    def __init__(self, warm: WarmMorning, settings: TripSettings, notes: Path | None, progress: Progress) -> None:
        super().__init__(None)
        self._warm, self._settings, self._notes, self._progress = warm, shorter_walk(settings), notes, progress

    def cached(self, name: str, work: Callable[[], Value], progress: Progress = quiet) -> Value:
        """Give the result of a step."""
        found: Any = None
        if name == "the ground and the ways":
            found = self._warm.looked(self._settings, progress)
        elif name.startswith("what is heard from each post"):
            found = self._warm.problem(self._warm.heeded(self._settings, self._notes).morning, progress)
        return work() if found is None else found

    def remembered(self, name: str, work: Callable[[], Value]) -> Value:
        """Give the result of a step that is remembered here."""
        found: Any = None
        if name == THE_NOTES:
            found = self._warm.heeded(self._settings, self._notes, self._progress)
        return work() if found is None else found


def bare(settings: TripSettings) -> TripSettings:
    """Give settings without what no ground, way or post rests on."""
    return replace(settings, wishes=WishSettings(), search=SearchSettings(), seed=1, forecast=None)


def of_notes(settings: TripSettings) -> TripSettings:
    """Give settings with what the birds of the field notes rest on: neither the hours of the walk nor the reserve."""
    plain, morning = bare(settings), replace(settings.morning, back_by=time(23), leave_not_before=None)
    return replace(plain, morning=morning, walker=replace(settings.walker, reserve=WalkerSettings().reserve))


def of_ground(settings: TripSettings) -> TripSettings:
    """Give settings with what the ground itself rests on, as site.Site says: neither the hour nor the walker."""
    plain, morning = bare(settings), settings.morning
    if morning.evening:
        return replace(plain, walker=WalkerSettings(), weather=WeatherSettings())
    day = replace(
        morning, date=morning.date.replace(month=6, day=1), back_by=time(23), leave_not_before=None, time_zone=""
    )
    return replace(plain, morning=day, walker=WalkerSettings(), weather=WeatherSettings())
