"""Which walks a campaign has: mornings and evenings of one or two people, each as a trip of its own.

How they are planned together is story.py's story.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from hushwalk.campaign.campaign_plan import Outing
from hushwalk.errors import SettingsError
from hushwalk.morning.wishes import shorter_walk
from hushwalk.site.day_of_trip import cars_on, on_day
from hushwalk.site.settings import TripSettings

DAYS_MOST = 14  # judgement: beyond two weeks neither weather nor birds are what the plan says


@dataclass(frozen=True)
class People:
    """Two who walk on the same days: their names, none where one is alone, and where the second one's car stands."""

    names: tuple[str, ...] = ()
    second_car: str | None = None

    def name(self, outing: Outing) -> str:
        """Who walks; empty where one is alone."""
        return self.names[outing.person] if self.names else ""


NOBODY_ELSE = People()


def checked_days(settings: TripSettings, outings: Sequence[Outing]) -> tuple[Outing, ...]:
    """Give the walks in their order.

    Raises
    ------
    SettingsError
        If one comes twice, there are too many, or a ``[[campaign.exception]]`` is of none of them.
    """
    said = settings.campaign
    twice = [one for one, many in Counter(outings).items() if many > 1]
    if twice:
        key = "campaign.evenings" if twice[0].evening else "campaign.days"
        raise SettingsError(f"{key} names {twice[0].day} twice; name each day once")
    days = {one.day for one in outings}
    if len(days) > DAYS_MOST:
        raise SettingsError(f"{len(days)} days are more than the {DAYS_MOST} that can be planned together; name fewer")
    own = Counter((one.date, one.evening) for one in said.exception)
    for (day, evening), many in own.items():
        if many > 1:
            raise SettingsError(f"two tables [[campaign.exception]] are of {day}; make one of them")
        key, named = ("campaign.evenings", said.evenings) if evening else ("campaign.days", said.days)
        if named and day not in named:
            raise SettingsError(f"[[campaign.exception]] is of {day}, which is none of {key}; add it there")
    return tuple(sorted(outings))


def campaign_days(
    settings: TripSettings,
    many: int | None,
    *,
    evening: bool = False,
    evenings: bool = False,
    only: Sequence[date] = (),
) -> tuple[Outing, ...]:
    """Give the walks that are planned: of some days, of so many from that of the trip on, else those of the trip file.

    Parameters
    ----------
    settings : of the trip.
    many : how many days; None for those that the trip file names.
    evening : evenings instead of mornings.
    evenings : evenings as well as mornings.
    only : these days instead of those of the trip file; none for those.

    Returns
    -------
    tuple of Outing

    Raises
    ------
    SettingsError
        If days are both named and counted.
    """
    said, days = settings.campaign, tuple(only)
    if len(days) > 1 and many is not None:
        raise SettingsError("--days counts days from one --day on; name one --day, or all of them without --days")
    if many is not None:
        days = tuple(settings.morning.date + timedelta(days=k) for k in range(many))
    late = days if evening or evenings else ()
    if not days:
        days = said.days
        late = days if days and (evening or evenings) else said.evenings
    return (*(Outing(day) for day in days if not evening), *(Outing(day, evening=True) for day in late))


def cars_of(settings: TripSettings, outing: Outing, people: People = NOBODY_ELSE) -> tuple[str, ...]:
    """Places where the car may stand for a walk.

    Parameters
    ----------
    settings : of the trip.
    outing : which walk.
    people : of whom the second one may have a car of the own.

    Returns
    -------
    tuple of str
    """
    if outing.person and people.second_car is not None:
        return (people.second_car,)
    return cars_on(settings, outing.day, evening=outing.evening)


def day_settings(settings: TripSettings, outing: Outing, car: str) -> TripSettings:
    """Give the trip for one walk of a campaign, from one place of the car as it was typed."""
    return shorter_walk(on_day(settings, outing.day, evening=outing.evening, car=car))
