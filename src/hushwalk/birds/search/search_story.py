"""From the ledger to the search of a late morning: notes, birds, who is still to be searched for, and the walk.

search_plan.py chooses ground and draws lines, search_report.py lays them out; search_words.py makes the sentences.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from pathlib import Path

import numpy as np

from hushwalk.birds.association import named_bird
from hushwalk.birds.bird_report import Detections
from hushwalk.birds.fix import Fix
from hushwalk.birds.found_logs import found_logs
from hushwalk.birds.located_birds import located_birds, scored_logs
from hushwalk.birds.morning_fixes import MorningFixes, MorningNotes, fix_birds, morning_notes, no_bird_on
from hushwalk.birds.posterior import centres_m, chance_to_hear, displayed_share, log_heard
from hushwalk.birds.search.planned_search import SearchReport
from hushwalk.birds.search.search_effort import Likelihood, effort_of
from hushwalk.birds.search.search_ground import grounds_to_search, searched_ground
from hushwalk.birds.search.search_plan import LeftOut, SearchParams, WhyLeftOut, earliest_search, plan_search
from hushwalk.birds.search.search_report import search_of
from hushwalk.birds.search.search_walk import GraphWalk
from hushwalk.birds.stands_on_foot import start_place
from hushwalk.birds.story import clock_of_day, open_book
from hushwalk.errors import InputError, SettingsError
from hushwalk.grid.layer import Layer
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.notebook import Notebook
from hushwalk.notes.notes import SessionNote, VisitNote
from hushwalk.progress import Progress, Step, quiet
from hushwalk.science.sun import sun_events
from hushwalk.site.cautions import cautions, keeping_off
from hushwalk.site.day_of_trip import on_day
from hushwalk.site.detectability import Detectability, detectability_of
from hushwalk.site.morning_clock import Clock
from hushwalk.site.norths import north_of
from hushwalk.site.place import Place
from hushwalk.site.site import Site, read_site
from hushwalk.site.walk_network import build_walk_network
from hushwalk.walking.shortest_paths import walking_time_from

HOURS = 3.0
"""Judgement: where nobody says how long, as longer than three hours nobody searches with care."""


@dataclass(frozen=True)
class SearchRequest:
    """Which search is wanted.

    Parameters
    ----------
    day : morning of the bearings; None for the latest one.
    on : day of the search; None for the same.
    begin, back_by : wall-clock times; None for as early as may be, and for what the trip file says.
    hours : how long the search may take, instead of ``back_by`` [h].
    seen_from_m : from how far a log is just seen that day [m]; None for what the trip file says.
    start : where the search begins; None for the car. It ends at the car.
    as_noted : keep the names of birds as noted.
    birds : only these; empty for all.
    """

    day: date | None = None
    on: date | None = None
    begin: time | None = None
    back_by: time | None = None
    hours: float | None = None
    seen_from_m: float | None = None
    start: str | None = None
    as_noted: bool = False
    birds: tuple[str, ...] = ()


def search_trip(
    trip: Path,
    request: SearchRequest,
    *,
    notes: Path | None = None,
    layers: Path | None = None,
    progress: Progress = quiet,
) -> SearchReport:
    """Plan the search of a late morning.

    Parameters
    ----------
    trip : the trip file.
    request : which morning, when, from where, for which birds.
    notes, layers : the ledger, and the folder that layer paths start at; None for the trip's own.
    progress : gets each step as it starts.

    Returns
    -------
    SearchReport
        Order of the grounds, path through each, and the birds that are left out.

    Raises
    ------
    HushwalkError
        One clear message for anything a person can mend; NoPlanError if there is no way back to the car.
    """
    book = open_book(trip, notes, layers)
    noted = morning_notes(book, request.day)
    place = on_day(book.settings, request.on or noted.day).place  # the car may stand elsewhere on that day
    book = replace(book, settings=replace(book.settings, place=place))
    progress(Step("reading the layers"))
    site = read_site(book.settings)
    progress(Step(f"fixing the birds of {noted.day:%d %B}"))
    detectability = detectability_of(book.settings, site)
    fixed = fix_birds(book, site, detectability, noted, as_noted=request.as_noted)
    progress(Step("laying lines through the grounds"))
    return search_of_birds(book, site, detectability, fixed, request)


def search_of_birds(
    book: Notebook, site: Site, detectability: Detectability, fixed: MorningFixes, request: SearchRequest
) -> SearchReport:
    """Plan the search for the birds of a morning that are fixed.

    Parameters
    ----------
    book, site, detectability : of the trip.
    fixed : of the morning.
    request : when, from where, for which birds.

    Returns
    -------
    SearchReport

    Raises
    ------
    InputError
        If no bird is left to search for.
    """
    noted = fixed.notes
    clock = clock_of_day(book, site, request.on or noted.day)
    wanted, done = _still_to_find(book, fixed, request, clock)
    start = start_place(book, site, fixed, request.start or "CAR")
    window, dark = by_daylight(_window(noted, request, clock, book.settings.search.until), site.car)
    params = _params(book, request)
    graph = build_walk_network(book.settings, site, clock).graph
    before = searched_ground(book.notes("session"), site.grid.epsg, params.effort)
    reachable = walking_time_from(graph, start.xy_m)
    others = unheard_males(site, fixed, detectability.display.participation)
    grounds = grounds_to_search(wanted, others, reachable, before)
    left_out = (*done, *_out_of_reach(wanted, grounds))
    plan = plan_search(
        grounds,
        start.xy_m,
        site.car.xy_m,
        not_before=window[0],
        back_by=window[1],
        walk=GraphWalk(graph),
        params=params,
    )
    north = north_of(site, clock)
    search = search_of(site, north, plan, start, window[1], left_out, len(before))
    logs = scored_logs(site, book.notes("log"), book.notes("bearing"), book.settings.camera.log)
    return SearchReport(
        title=book.settings.place.name,
        grid=site.grid,
        car=site.car,
        north=north,
        country=site.country,
        species=site.card.name,
        day=clock.midnight.date(),
        search=search,
        detections=Detections(noted.day, located_birds(site, north, fixed), logs),
        cautions=cautions(keeping_off(book.settings, site.card)),
        notices=(*dark, *site.notices),
        unread=book.unread(),
    )


def unheard_males(site: Site, fixed: MorningFixes, participation: float) -> Layer:
    """Density of males that no stop heard: silent that morning, or displaying out of earshot [1/km2].

    Parameters
    ----------
    site : of the trip.
    fixed : where one listened, and for how long.
    participation : share of the males that display on one morning, 0..1.

    Returns
    -------
    Layer
        Zero where no bird can be.
    """
    places = centres_m(site.grid)
    silent = [
        (chance_to_hear(w, places, fixed.audible.get(w.stop), fixed.earshot), displayed_share(w, fixed.earshot))
        for w in fixed.listening
    ]
    missed = np.exp(log_heard([], silent, fixed.earshot)).reshape(-1)
    share = 1 - participation * (1 - np.broadcast_to(missed, len(places)))
    values = np.nan_to_num(site.density.values) * share.reshape(site.grid.shape)
    return Layer("males unheard", "1/km2", site.grid, np.where(no_bird_on(site).values > 0, 0.0, values))


def _params(book: Notebook, request: SearchRequest) -> SearchParams:
    said = book.settings.search
    seen = request.seen_from_m if request.seen_from_m is not None else said.log_seen_from_m
    return SearchParams(effort=effort_of(seen, said.pace_ms))


def _out_of_reach(wanted: Sequence[Fix], grounds: Sequence[Likelihood]) -> list[LeftOut]:
    reached = {bird for ground in grounds for bird in ground.by_bird}
    return [LeftOut(fix.bird, WhyLeftOut.NO_WAY) for fix in wanted if fix.bird not in reached]


def _still_to_find(
    book: Notebook, fixed: MorningFixes, request: SearchRequest, clock: Clock
) -> tuple[list[Fix], tuple[LeftOut, ...]]:
    """Leave out birds that are not wanted, were searched for that day, or whose used log was found."""
    fixes = fixed.fixes
    names = [fix.bird for fix in fixes]
    chosen = {named_bird(bird, names) for bird in request.birds}
    day = clock.midnight.date()
    sessions = [row.note for row in book.notes("session") if _searched(row, day, book)]
    searched = {said.bird for said in sessions if isinstance(said, SessionNote)}
    found = found_logs(book, fixed)
    left, left_out = [], []
    for fix in fixes:
        if chosen and fix.bird not in chosen:
            continue
        if fix.bird in searched:
            left_out.append(LeftOut(fix.bird, WhyLeftOut.SEARCHED_TODAY))
        elif fix.bird in found:
            left_out.append(LeftOut(fix.bird, WhyLeftOut.LOG_FOUND, found[fix.bird]))
        else:
            left.append(fix)
    if not left:
        why = "; ".join(f"{out.bird}: {out.reason.value}{out.log and f' ({out.log})'}" for out in left_out)
        raise InputError(f"there is no bird left to search for: {why}")
    return left, tuple(left_out)


def _searched(row: LedgerRow, day: date, book: Notebook) -> bool:
    said = row.note
    same_day = said.at.astimezone(book.zone).date() == day
    return isinstance(said, SessionNote) and said.session == "search" and bool(said.bird) and same_day


def _window(noted: MorningNotes, request: SearchRequest, clock: Clock, until: time | None) -> tuple[datetime, datetime]:
    """When the search may begin and must end."""
    zone, day = clock.midnight.tzinfo, clock.midnight.date()
    last = _last_heard(noted) if noted.day == day else None
    earliest = earliest_search(last, clock.at(clock.sunrise_s)).astimezone(zone)
    begin = datetime.combine(day, request.begin, zone) if request.begin else earliest
    if begin < earliest:
        raise SettingsError(
            f"--begin {begin:%H:%M} is too early: the search waits until {earliest:%H:%M}, when displays have mostly "
            "ended and none was heard for a while"
        )
    if request.hours is not None:
        if request.back_by is not None:
            raise SettingsError("--hours and --back-by both say when the search ends; give one of them")
        return begin, begin + timedelta(hours=request.hours)
    said = request.back_by or until
    return begin, datetime.combine(day, said, zone) if said else begin + timedelta(hours=HOURS)


def by_daylight(window: tuple[datetime, datetime], car: Place) -> tuple[tuple[datetime, datetime], tuple[str, ...]]:
    """End a search by sunset, and say so where it was to last longer.

    Parameters
    ----------
    window : when it may begin and must end.
    car : place of the car.

    Returns
    -------
    tuple
        The window, and what to know of it.

    Raises
    ------
    SettingsError
        If it would begin after sunset.
    """
    begin, end = window
    zone = begin.tzinfo
    sunsets = sun_events(begin.date(), zone, car.lon_deg, car.lat_deg, rising=False) if zone else ()
    if not sunsets or end <= sunsets[-1]:
        return window, ()
    sunset = sunsets[-1]
    if begin >= sunset:
        raise SettingsError(
            f"the search would begin at {begin:%H:%M}, after sunset ({sunset:%H:%M}); search on another day with --on"
        )
    ends = f"the search ends by sunset, {sunset:%H:%M}, not at {end:%H:%M}: logs are seen by daylight"
    return (begin, sunset), (ends,)


def _last_heard(noted: MorningNotes) -> datetime | None:
    """The last display that was noted."""
    visits = [row.note for row in noted.visits if isinstance(row.note, VisitNote) and row.note.heard]
    moments = [*(row.note.at for row in noted.bearing_rows), *(visit.end or visit.at for visit in visits)]
    return max(moments, default=None)
