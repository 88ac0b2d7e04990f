"""The rehearsal of a trip: the planned day played some hundreds of times, as facts for words and pictures.

It walks the plan that was written (its summary.json); what a day is played with is expected_day.py's.
"""

from dataclasses import dataclass, field
from datetime import date, datetime
from itertools import pairwise
from pathlib import Path

import numpy as np

from hushwalk.birds.association import AssociationParams
from hushwalk.birds.rehearsal import Rehearsal, rehearse
from hushwalk.errors import InputError
from hushwalk.grid.points import to_metres
from hushwalk.morning.day.day_inputs import bird_ground, light_off_trail_min
from hushwalk.morning.day.day_walk import DayWalk, with_planned_legs
from hushwalk.morning.day.day_worth import PlayedDays
from hushwalk.morning.day.expected_day import DAYS, expected_of_walk
from hushwalk.morning.day_chances import ExpectedDay
from hushwalk.morning.look_round import Morning, look_round
from hushwalk.notes.bearing import BearingError, Listening
from hushwalk.notes.planned_walk import PlannedTimetable, read_timetable
from hushwalk.progress import Progress, Step, quiet
from hushwalk.site.settings import TripSettings
from hushwalk.types import FloatArray
from hushwalk.walking.times import travel_times

PLAYING = Step("playing the day")


@dataclass(frozen=True, eq=False)
class RehearsedTrip:
    """A planned day that was played.

    Parameters
    ----------
    title, species : of the trip.
    day : of the plan.
    stops : of its timetable.
    expected : what the days come to.
    played : each of them.
    grounds : what its bearings alone place, where that was asked for.
    """

    title: str
    species: str
    day: date
    stops: int
    expected: ExpectedDay
    played: PlayedDays = field(repr=False)
    grounds: Rehearsal | None = None


def rehearse_trip(
    settings: TripSettings, summary: Path, *, days: int = DAYS, bearings: int = 0, progress: Progress = quiet
) -> RehearsedTrip:
    """Play the planned day of a trip.

    Parameters
    ----------
    settings : what the trip file says.
    summary : summary.json of its plan.
    days : how often.
    bearings : mornings on which bearings are drawn and crossed as well; 0 for none.
    progress : is called as each step begins.

    Returns
    -------
    RehearsedTrip

    Raises
    ------
    MissingFileError
        If there is no summary.
    InputError
        If it is none, it holds no stop, or it is of another day or another place than the trip file.
    """
    timetable = read_timetable(summary)
    if not timetable.stops:
        raise InputError(f"the plan {summary} holds no stop, so that there is nothing to play; plan another morning")
    if timetable.day != settings.morning.date:
        raise InputError(
            f"the plan {summary} is for {timetable.day}, the trip file for {settings.morning.date}; plan anew"
        )
    morning = look_round(settings, progress)
    walk = walk_of_timetable(morning, timetable)
    progress(PLAYING)
    expected, played = expected_of_walk(morning, walk, morning.detectability.soundscape.target_grid, days)
    grounds = grounds_of(morning, timetable, walk, bearings, progress) if bearings else None
    site = morning.site
    return RehearsedTrip(settings.place.name, site.card.name, timetable.day, walk.stops, expected, played, grounds)


def grounds_of(
    morning: Morning, timetable: PlannedTimetable, walk: DayWalk, mornings: int, progress: Progress = quiet
) -> Rehearsal:
    """Draw bearings from the stops of a plan, cross them, and see how well the grounds hold the birds.

    Parameters
    ----------
    morning : ground, clock, hearing and ways.
    timetable, walk : the plan.
    mornings : how many.
    progress : is called as it starts.

    Returns
    -------
    Rehearsal
    """
    progress(Step(f"crossing the bearings of {mornings} mornings"))
    walker, names = morning.settings.walker, [stop.name for stop in timetable.stops]
    stops = [
        Listening(name, (float(xy[0]), float(xy[1])), minutes)
        for name, xy, minutes in zip(names, walk.stops_m, timetable.stand_min, strict=True)
    ]
    soundscape = morning.detectability.soundscape
    return rehearse(
        stops,
        morning.site.density,
        np.random.default_rng(morning.settings.seed),
        mornings=mornings,
        displaying_share=bird_ground(morning, soundscape.target_grid).participation,
        audible={name: soundscape.footprint(xy) for name, xy in zip(names, walk.stops_m, strict=True)},
        bearing_error=BearingError(walker.bearing_error_deg, stray_share=walker.bearing_strays),
        share_out=AssociationParams(),
    )


def walk_of_timetable(morning: Morning, timetable: PlannedTimetable) -> DayWalk:
    """Turn a plan that was written into the timetable that is played.

    Parameters
    ----------
    morning : ground, clock, hearing and ways.
    timetable : as written.

    Returns
    -------
    DayWalk

    Raises
    ------
    InputError
        If a stop does not lie on the ground of the trip.
    """
    site, clock = morning.site, morning.clock
    places = np.array([(stop.lon_deg, stop.lat_deg) for stop in timetable.stops])
    stops = to_metres(site.grid.epsg, places).reshape(-1, 2)
    outside = ~site.grid.contains(stops)
    if outside.any():
        name = timetable.stops[int(np.argmax(outside))].name
        raise InputError(f"stop {name} of the plan lies outside the ground of the trip file; plan anew")
    names = ["place.car", *(stop.name for stop in timetable.stops)]
    times = travel_times(
        morning.way.graph,
        np.vstack([site.car.xy_m, stops]),
        off_trail_in_the_dark=morning.settings.morning.off_trail_in_the_dark,
        names=names,
    )

    def minutes(moments: list[datetime]) -> FloatArray:
        return (np.array([clock.seconds(moment) for moment in moments]) - clock.sunrise_s) / 60

    departs, arrives = (minutes([leg[k] for leg in timetable.legs]) for k in (0, 1))
    places_in_turn = [*range(len(names)), 0]
    return DayWalk(
        depart_min=float(departs[0]),
        stops_m=stops,
        column=np.arange(len(stops)),
        arrive_min=minutes([stop.begin for stop in timetable.stops]),
        leave_min=minutes([stop.leave for stop in timetable.stops]),
        stand_min=np.array(timetable.stand_min),
        walk_min=with_planned_legs(times.day_s / 60, departs.tolist(), arrives.tolist()),
        promise_min=(clock.latest_s - clock.sunrise_s) / 60,
        closing_in_min=timetable.closing_in_min,
        light_min=light_off_trail_min(morning),
        reserve=timetable.reserve,
        lines_m=tuple(times.path(a, b).line_m for a, b in pairwise(places_in_turn)),
    )
