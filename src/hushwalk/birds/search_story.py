"""From the ledger to the search of a late morning: notes, birds, who is still to be searched for, and the walk.

search_order.py orders the areas and sweep.py draws the path through each; search_words.py makes the sentences.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from pathlib import Path

import numpy as np

from hushwalk.birds.bird_report import Detections, Search, SearchLeg, SearchReport
from hushwalk.birds.fix import Fix
from hushwalk.birds.located_birds import located_birds, scored_logs
from hushwalk.birds.morning_fixes import MorningNotes, fix_birds, morning_notes
from hushwalk.birds.search_order import (
    XY,
    LeftOut,
    SearchArea,
    SearchPlan,
    Walk,
    WalkLeg,
    WhyLeftOut,
    earliest_search,
    plan_search,
)
from hushwalk.birds.stands_on_foot import StartPlace, start_place
from hushwalk.birds.story import open_book
from hushwalk.errors import InputError, PlaceError, SettingsError
from hushwalk.grid.points import convergence_deg
from hushwalk.grid.polyline import polyline_length
from hushwalk.notes.ledger import LedgerRow
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
from hushwalk.walking.graph import WalkGraph
from hushwalk.walking.lines import draw_line
from hushwalk.walking.shortest_paths import reach_from

HOURS = 3.0
"""Judgement: longer than three hours nobody searches with care."""


@dataclass(frozen=True)
class SearchRequest:
    """Which search is wanted.

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
    progress(Step("reading the layers"))
    site = read_site(book.settings)
    clock = morning_clock(
        replace(book.settings.morning, date=request.on or noted.day, leave_not_before=None, back_by=time(23, 59)),
        site.car.lon_deg,
        site.car.lat_deg,
    )
    progress(Step(f"fixing the birds of {noted.day:%d %B}"))
    fixed = fix_birds(book, site, detectability_of(book.settings, site), noted, as_noted=request.as_noted)
    wanted, left_out = _still_to_find(book, fixed.fixes, request, clock)
    start = start_place(book, site, fixed, request.start or "CAR")
    window = _window(noted, request, clock)
    progress(Step("laying paths through the grounds"))
    way = build_walk_network(book.settings, site, clock)
    plan = plan_search(
        wanted, start.xy_m, site.car.xy_m, not_before=window[0], back_by=window[1], walk=walk_on_graph(way.graph)
    )
    north = north_of(site, clock)
    search = _search(site, north, plan, start, window[1], left_out)
    logs = scored_logs(site, book.notes("log"), book.notes("bearing"))
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
        cautions=cautions(book.settings),
        notices=site.notices,
    )


def _still_to_find(
    book: Notebook, fixes: Sequence[Fix], request: SearchRequest, clock: Clock
) -> tuple[list[Fix], tuple[LeftOut, ...]]:
    """Leave out birds that are not wanted, were searched for that day, or whose used log was found."""
    names = [fix.bird for fix in fixes]
    strange = [bird for bird in request.birds if bird not in names]
    if strange:
        raise InputError(f"no bird is called {strange[0]!r} that morning; there are {', '.join(names)}")
    day = clock.midnight.date()
    sessions = [row.note for row in book.notes("session") if _searched(row, day, book)]
    searched = {said.bird for said in sessions if isinstance(said, SessionNote)}
    found = {row.note.bird: row.note.name for row in book.notes("log") if isinstance(row.note, LogNote) and _used(row)}
    left, left_out = [], []
    for fix in fixes:
        if request.birds and fix.bird not in request.birds:
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


def _used(row: LedgerRow) -> bool:
    return isinstance(row.note, LogNote) and bool(row.note.bird) and row.note.droppings.endswith("pile")


def _window(noted: MorningNotes, request: SearchRequest, clock: Clock) -> tuple[datetime, datetime]:
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
    back_by = datetime.combine(day, request.back_by, zone) if request.back_by else begin + timedelta(hours=HOURS)
    return begin, back_by


def _last_heard(noted: MorningNotes) -> datetime | None:
    """The last display that was noted."""
    visits = [row.note for row in noted.visits if isinstance(row.note, VisitNote) and row.note.heard]
    moments = [*(row.note.at for row in noted.bearing_rows), *(visit.end or visit.at for visit in visits)]
    return max(moments, default=None)


def _search(
    site: Site, north: North, plan: SearchPlan, start: StartPlace, back_by: datetime, left_out: tuple[LeftOut, ...]
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
        params=plan.params,
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


NOWHERE: FloatArray = np.empty((0, 2))


def walk_on_graph(graph: WalkGraph) -> Walk:
    """Give the walk between two places by daylight; endless where one of them cannot be stood on.

    Parameters
    ----------
    graph : by daylight.
    """
    known: dict[tuple[XY, XY], WalkLeg] = {}

    def walk(start: XY, end: XY) -> WalkLeg:
        if (start, end) not in known:
            known[start, end] = _walk(graph, start, end)
        return known[start, end]

    return walk


def _walk(graph: WalkGraph, start: XY, end: XY) -> WalkLeg:
    a, b = (_node(graph, xy) for xy in (start, end))
    if a is None or b is None:
        return WalkLeg(np.inf, NOWHERE)
    reach = reach_from(graph, a, targets=np.array([b], dtype=np.int32))
    nodes = reach.nodes_to(b)
    if not nodes:
        return WalkLeg(np.inf, NOWHERE)
    line = draw_line(graph, nodes, float(reach.seconds[b]), np.asarray(start), np.asarray(end))
    return WalkLeg(line.seconds, line.line_m)


def _node(graph: WalkGraph, xy_m: XY) -> int | None:
    try:
        return graph.node_at(xy_m, "a place of the search")
    except PlaceError:
        return None
