"""The story of `hushwalk search` in reading order: notes, birds, who is still to be searched for, and the way.

The order of the areas and the path through each are the field room's; the words are search_words.py's.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from pathlib import Path

import numpy as np

from hushwalk.birds.detections import Findings, Search, SearchLeg
from hushwalk.birds.finding import found_birds, found_logs
from hushwalk.birds.fix import Fix
from hushwalk.birds.fixes import MorningNotes, fix_birds, morning_notes
from hushwalk.birds.next_stand import FromHere, here_of
from hushwalk.birds.on_foot import walk_on_graph
from hushwalk.birds.search import SearchArea, SearchPlan, earliest_search, plan_search
from hushwalk.birds.search_report import SearchReport
from hushwalk.birds.story import open_book
from hushwalk.errors import InputError, SettingsError
from hushwalk.grid.points import convergence_deg
from hushwalk.grid.polyline import polyline_length
from hushwalk.notes.ledger import Kept
from hushwalk.notes.notebook import Notebook
from hushwalk.notes.notes import LogNote, SessionNote, VisitNote
from hushwalk.progress import Progress, Step, quiet
from hushwalk.science.magnetic import magnetic_from_true
from hushwalk.site.cautions import cautions
from hushwalk.site.detectability import detectability_of
from hushwalk.site.morning_clock import Clock, morning_clock
from hushwalk.site.norths import North, north_of
from hushwalk.site.site import Site, place_of, read_site
from hushwalk.site.walk_network import build_walk_network
from hushwalk.types import FloatArray

HOURS = 3.0
"""Judgement: longer than three hours nobody searches with care."""


@dataclass(frozen=True)
class SearchAsk:
    """What is asked for.

    Parameters
    ----------
    day : morning of the bearings; None for the latest one.
    on : day of the search; None for the same.
    begin, back_by : wall-clock times; None for as early as may be, and three hours later.
    start : where the search begins; None for the car. It ends at the car.
    as_noted : keep the names of birds as noted.
    birds : only these; empty for all.
    """

    day: date | None = None
    on: date | None = None
    begin: time | None = None
    back_by: time | None = None
    start: str | None = None
    as_noted: bool = False
    birds: tuple[str, ...] = ()


def search_trip(
    trip: Path,
    ask: SearchAsk,
    *,
    notes: Path | None = None,
    layers: Path | None = None,
    progress: Progress = quiet,
) -> SearchReport:
    """Plan the search of a late morning.

    Parameters
    ----------
    trip : the trip file.
    ask : which morning, when, from where, for which birds.
    notes, layers : the ledger, and the folder that layer paths start at; None for the trip's own.
    progress : is told as each step begins.

    Raises
    ------
    HushwalkError
        One clear message for anything a person can mend; NoPlanError if there is no way back to the car.
    """
    book = open_book(trip, notes, layers)
    noted = morning_notes(book, ask.day)
    progress(Step("reading the layers"))
    site = read_site(book.settings)
    clock = morning_clock(
        replace(book.settings.morning, date=ask.on or noted.day, leave_not_before=None, back_by=time(23, 59)),
        site.car.lon_deg,
        site.car.lat_deg,
    )
    progress(Step(f"fixing the birds of {noted.day:%d %B}"))
    fixed = fix_birds(book, site, detectability_of(book.settings, site), noted, as_noted=ask.as_noted)
    wanted, left_out = _still_to_find(book, fixed.fixes, ask, clock)
    start = here_of(book, site, fixed, ask.start or "CAR")
    window = _window(noted, ask, clock)
    progress(Step("laying paths through the grounds"))
    way = build_walk_network(book.settings, site, clock)
    plan = plan_search(
        wanted, start.xy_m, site.car.xy_m, not_before=window[0], back_by=window[1], walk=walk_on_graph(way.graph)
    )
    north = north_of(site, clock)
    search = _told(site, north, plan, start, window[1], left_out)
    logs = found_logs(site, book.notes("log"), book.notes("bearing"))
    return SearchReport(
        title=book.settings.place.name,
        grid=site.grid,
        car=site.car,
        north=north,
        country=site.country,
        species=site.card.name,
        day=clock.midnight.date(),
        search=search,
        findings=Findings(noted.day, found_birds(site, north, fixed), logs),
        cautions=cautions(book.settings),
        notices=site.notices,
    )


def _still_to_find(
    book: Notebook, fixes: Sequence[Fix], ask: SearchAsk, clock: Clock
) -> tuple[list[Fix], tuple[str, ...]]:
    """Leave out birds that are not asked for, were searched for that day, or whose used log was found."""
    names = [fix.bird for fix in fixes]
    strange = [bird for bird in ask.birds if bird not in names]
    if strange:
        raise InputError(f"no bird is called {strange[0]!r} that morning; there are {', '.join(names)}")
    day = clock.midnight.date()
    sessions = [row.note for row in book.notes("session") if _searched(row, day, book)]
    searched = {said.bird for said in sessions if isinstance(said, SessionNote)}
    found = {row.note.bird: row.note.name for row in book.notes("log") if isinstance(row.note, LogNote) and _used(row)}
    left, told = [], []
    for fix in fixes:
        if ask.birds and fix.bird not in ask.birds:
            continue
        if fix.bird in searched:
            told.append(f"{fix.bird}: searched for already that day; no return the same day")
        elif fix.bird in found:
            told.append(f"{fix.bird}: its log {found[fix.bird]} is found; do not go back without need")
        else:
            left.append(fix)
    if not left:
        raise InputError(f"there is no bird left to search for: {'; '.join(told)}")
    return left, tuple(told)


def _searched(row: Kept, day: date, book: Notebook) -> bool:
    said = row.note
    same_day = said.at.astimezone(book.zone).date() == day
    return isinstance(said, SessionNote) and said.session == "search" and bool(said.bird) and same_day


def _used(row: Kept) -> bool:
    return isinstance(row.note, LogNote) and bool(row.note.bird) and row.note.droppings.endswith("pile")


def _window(noted: MorningNotes, ask: SearchAsk, clock: Clock) -> tuple[datetime, datetime]:
    """When the search may begin and must end."""
    zone, day = clock.midnight.tzinfo, clock.midnight.date()
    last = _last_heard(noted) if noted.day == day else None
    earliest = earliest_search(last, clock.at(clock.sunrise_s)).astimezone(zone)
    begin = datetime.combine(day, ask.begin, zone) if ask.begin else earliest
    if begin < earliest:
        raise SettingsError(
            f"--begin {begin:%H:%M} is too early: the search waits until {earliest:%H:%M}, when displays have mostly "
            "ended and none was heard for a while"
        )
    back_by = datetime.combine(day, ask.back_by, zone) if ask.back_by else begin + timedelta(hours=HOURS)
    return begin, back_by


def _last_heard(noted: MorningNotes) -> datetime | None:
    """The last display that was noted."""
    visits = [row.note for row in noted.visits if isinstance(row.note, VisitNote) and row.note.heard]
    moments = [*(row.note.at for row in noted.bearing_rows), *(visit.end or visit.at for visit in visits)]
    return max(moments, default=None)


def _told(
    site: Site, north: North, plan: SearchPlan, start: FromHere, back_by: datetime, left_out: tuple[str, ...]
) -> Search:
    here, legs, now = np.asarray(start.xy_m), [], plan.not_before
    for area in plan.areas:
        legs.append(_leg(site, north, area, here, now))
        here, now = area.path_m[-1], area.leave
    return Search(
        start=place_of(site.grid, np.asarray(start.xy_m), start.name, site.ground.elevation),
        not_before=plan.not_before,
        back=plan.back,
        back_by=back_by,
        legs=tuple(legs),
        way_back_m=plan.way_back_m,
        logs_expected=plan.logs_expected,
        rules=plan.rules,
        left_out=(*left_out, *plan.left_out),
    )


def _leg(site: Site, north: North, area: SearchArea, here: FloatArray, now: datetime) -> SearchLeg:
    entry = area.path_m[0]
    away = entry - here
    true = float(np.degrees(np.arctan2(away[0], away[1])) + convergence_deg(site.grid.epsg, here)) % 360
    return SearchLeg(
        number=area.number,
        bird=area.bird,
        entry=place_of(site.grid, entry, f"S{area.number}", site.ground.elevation),
        arrive=area.arrive,
        leave=area.leave,
        chance=area.chance,
        area_ha=area.ground.area_ha,
        whole=area.sweep.whole,
        rings=area.ground.rings,
        approach_m=area.approach_m,
        path_m=area.path_m,
        azimuth_deg=true,
        magnetic_deg=float(magnetic_from_true(true, north.declination_deg)) % 360,
        distance_m=polyline_length(area.approach_m),
        minutes=(area.arrive - now).total_seconds() / 60,
    )
