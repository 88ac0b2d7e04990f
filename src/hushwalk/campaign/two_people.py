"""Two people on one morning or on several days: no bird is planned for twice, stands of the same minutes are known.

How walks share the males is joint_days.py's; one morning is morning/story.py's.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from pathlib import Path

import numpy as np
import shapely

from hushwalk.campaign.campaign_plan import Campaign, Outing, PlannedDay
from hushwalk.campaign.crossings import FAR_M, LEAST_S, NEAR_M, CrossingEffect
from hushwalk.campaign.outings import People
from hushwalk.campaign.story import plan_campaign
from hushwalk.errors import SettingsError
from hushwalk.grid.polyline import rings_area
from hushwalk.morning.crossing_stop import CrossingStop
from hushwalk.morning.report import Report, Stop
from hushwalk.morning.solved_plan import RunParams
from hushwalk.progress import Progress, quiet
from hushwalk.science.crossing import azimuth_to, turned
from hushwalk.science.magnetic import magnetic_from_true
from hushwalk.site.norths import North
from hushwalk.site.place import Place
from hushwalk.site.settings import TripSettings
from hushwalk.worker import Worker

TWO = 2  # definition
SAMPLES = 40  # judgement: places across the ground that both hear; more move no angle by a degree
QUARTILES = (25.0, 75.0)  # definition: the middle half


@dataclass(frozen=True, eq=False)
class Walker:
    """One of the two: the name, the plan, and males heard that the one named before does not hear.

    ``walked_twice`` is the share of the way back on the way out; None where another way back is not wished.
    """

    name: str
    report: Report = field(repr=False)
    new_males: float
    walked_twice: float | None = None


@dataclass(frozen=True)
class SharedStand:
    """Two stands of the same minutes: both stops, when, how far apart [m], and at which angles bearings cross [deg].

    The angles are those of :class:`hushwalk.morning.crossing_stop.CrossingStop`.
    """

    stops: tuple[str, str]
    places: tuple[Place, Place]
    begin: datetime
    end: datetime
    apart_m: float
    angle_deg: tuple[float, float] | None = None

    def seen_by(self, k: int, other: str, north: North) -> CrossingStop:
        """Give it as one of the two sees it.

        Parameters
        ----------
        k : which of the two, 0 or 1.
        other : name of the other.
        north : at the car of the first.

        Returns
        -------
        CrossingStop
        """
        here, there = np.array([place.xy_m for place in (self.places[k], self.places[1 - k])])
        azimuth = (float(azimuth_to(here, there)) + north.convergence_deg) % 360
        compass = float(magnetic_from_true(azimuth, north.declination_deg)) % 360
        place = replace(self.places[1 - k], name=f"{other} {self.stops[1 - k]}")
        hours, angles = (self.begin, self.end), self.angle_deg
        return CrossingStop(
            self.stops[k], other, self.stops[1 - k], place, *hours, self.apart_m, azimuth, compass, angles
        )


@dataclass(frozen=True, eq=False)
class TwoPeople:
    """A morning of two people.

    Parameters
    ----------
    title : name of the place.
    day, evening : of the walks.
    walkers : the two.
    males : different males expected to be heard by both together, on no walk before.
    alone : by the better of the two walks by itself.
    meet : when both are back at the latest; at the car of the first.
    one_car : whether both walk from the same car.
    shared : stands of the same minutes from which bearings cross.
    crossing : what seeking them costs and gives.
    """

    title: str
    day: date
    evening: bool
    walkers: tuple[Walker, Walker]
    males: float
    alone: float
    meet: datetime
    one_car: bool
    shared: tuple[SharedStand, ...]
    crossing: CrossingEffect


def plan_two(
    settings: TripSettings,
    names: Sequence[str],
    outings: Sequence[Outing] = (),
    second_car: str | None = None,
    params: RunParams | None = None,
    progress: Progress = quiet,
    worker: Worker | None = None,
    notes: Path | None = None,
) -> tuple[Campaign, tuple[TwoPeople, ...]]:
    """Plan the walks of two people, on one morning or on several days.

    Parameters
    ----------
    settings : what the trip file says.
    names : of the two.
    outings : mornings and evenings; none for the morning of the trip.
    second_car : where the second one's car stands; None for one car.
    params : how long to think, for each walk.
    progress : is called as each step begins.
    worker : a second process, if there is one.
    notes : the ledger; None for none.

    Returns
    -------
    tuple of Campaign and of TwoPeople
        All walks together, and each morning or evening of the two.

    Raises
    ------
    HushwalkError
        One clear message for anything a person can mend.
    """
    if len(names) != TWO or len({name.strip().casefold() for name in names}) != TWO or not all(map(str.strip, names)):
        raise SettingsError(f"two people need two different names, got {', '.join(map(repr, names))}")
    hours = outings or (Outing(settings.morning.date, settings.morning.evening),)
    walks = [one._replace(person=person) for one in hours for person in (0, 1)]
    people = People(tuple(names), second_car)
    campaign = plan_campaign(settings, walks, params, progress, worker, notes, people)
    pairs = zip(campaign.days[::TWO], campaign.days[1::TWO], strict=True)
    sought = zip(pairs, campaign.crossings, strict=True)
    return campaign, tuple(_pair(settings.place.name, *pair, people, effect) for pair, effect in sought)


def _pair(title: str, first: PlannedDay, second: PlannedDay, people: People, crossing: CrossingEffect) -> TwoPeople:
    shared = shared_stands(first.report.stops, second.report.stops)
    both = (first, second)
    walkers = tuple(
        Walker(day.person, _with_crossings(day.report, shared, k, both[1 - k].person), day.new_males, day.walked_twice)
        for k, day in enumerate(both)
    )
    return TwoPeople(
        title,
        first.day,
        first.evening,
        (walkers[0], walkers[1]),
        first.new_males + second.new_males,
        max(first.report.males.expected, second.report.males.expected),
        max(first.report.back_at_latest, second.report.back_at_latest),
        people.second_car is None,
        shared,
        crossing,
    )


def _with_crossings(report: Report, shared: Sequence[SharedStand], k: int, other: str) -> Report:
    return replace(report, crossings=tuple(stand.seen_by(k, other, report.north) for stand in shared))


def shared_stands(one: Sequence[Stop], other: Sequence[Stop]) -> tuple[SharedStand, ...]:
    """Give the stands of two walks that share some minutes, neither too near to each other nor too far apart."""
    found = []
    for mine in one:
        for yours in other:
            begin, end = max(mine.arrive, yours.arrive), min(mine.leave, yours.leave)
            apart_m = math.dist(mine.place.xy_m, yours.place.xy_m)
            if NEAR_M <= apart_m <= FAR_M and (end - begin).total_seconds() >= LEAST_S:
                names, places = (mine.place.name, yours.place.name), (mine.place, yours.place)
                found.append(SharedStand(names, places, begin, end, apart_m, crossing_angles_deg(mine, yours)))
    return tuple(sorted(found, key=lambda stand: stand.begin))


def crossing_angles_deg(mine: Stop, yours: Stop) -> tuple[float, float] | None:
    """Angles at which bearings from two stops cross, of the middle half of the ground within earshot of both.

    Parameters
    ----------
    mine, yours : with the rings within which half of the displays are heard.

    Returns
    -------
    tuple of float or None
        Quartiles of the angle over that ground, 0..90 [deg]; None where no ground is within earshot of both.
    """
    ground = rings_area(mine.earshot).intersection(rings_area(yours.earshot))
    if ground.is_empty:
        return None
    west, south, east, north = ground.bounds
    x, y = np.meshgrid(np.linspace(west, east, SAMPLES), np.linspace(south, north, SAMPLES))
    inside = shapely.contains_xy(ground, x.ravel(), y.ravel())
    places = np.column_stack([x.ravel(), y.ravel()])[inside]
    if len(places) == 0:
        return None
    between = np.abs(
        turned(azimuth_to(np.array(mine.place.xy_m), places) - azimuth_to(np.array(yours.place.xy_m), places))
    )
    low, high = np.percentile(np.minimum(between, 180 - between), QUARTILES)
    return float(low), float(high)
