"""Two people on one morning or on several days: no bird is planned for twice, stands of the same minutes are known.

How walks share the males is joint_days.py's; one morning is morning/story.py's.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path

from hushwalk.campaign.campaign_plan import Campaign, Outing, PlannedDay
from hushwalk.campaign.crossings import FAR_M, LEAST_S, NEAR_M, CrossingEffect
from hushwalk.campaign.outings import People
from hushwalk.campaign.story import plan_campaign
from hushwalk.errors import SettingsError
from hushwalk.morning.report import Report, Stop
from hushwalk.morning.solved_plan import RunParams
from hushwalk.progress import Progress, quiet
from hushwalk.site.settings import TripSettings
from hushwalk.worker import Worker

TWO = 2  # definition


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
    """Two stands of the same minutes: names of both stops, when, and how far apart [m]."""

    stops: tuple[str, str]
    begin: datetime
    end: datetime
    apart_m: float


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
    walkers = tuple(Walker(day.person, day.report, day.new_males, day.walked_twice) for day in (first, second))
    return TwoPeople(
        title,
        first.day,
        first.evening,
        (walkers[0], walkers[1]),
        first.new_males + second.new_males,
        max(first.report.males.expected, second.report.males.expected),
        max(first.report.back_at_latest, second.report.back_at_latest),
        people.second_car is None,
        shared_stands(first.report.stops, second.report.stops),
        crossing,
    )


def shared_stands(one: Sequence[Stop], other: Sequence[Stop]) -> tuple[SharedStand, ...]:
    """Give the stands of two walks that share some minutes, neither too near to each other nor too far apart."""
    found = []
    for mine in one:
        for yours in other:
            begin, end = max(mine.arrive, yours.arrive), min(mine.leave, yours.leave)
            apart_m = math.dist(mine.place.xy_m, yours.place.xy_m)
            if NEAR_M <= apart_m <= FAR_M and (end - begin).total_seconds() >= LEAST_S:
                found.append(SharedStand((mine.place.name, yours.place.name), begin, end, apart_m))
    return tuple(sorted(found, key=lambda stand: stand.begin))
