"""Which walks a campaign has: mornings and evenings of one or two people, each as a trip of its own.

How they are planned together is story.py's story.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import timedelta

from hushwalk.campaign.campaign_plan import Outing
from hushwalk.errors import SettingsError
from hushwalk.morning.wishes import shorter_walk
from hushwalk.site.campaign_settings import HOURS, WEATHER, CampaignDay
from hushwalk.site.evening import in_the_evening
from hushwalk.site.forecast import on_morning, read_forecast
from hushwalk.site.settings import TripSettings, WeatherSettings

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
    settings: TripSettings, many: int | None, *, evening: bool = False, evenings: bool = False
) -> tuple[Outing, ...]:
    """Give the walks that are planned: of so many days from that of the trip on, else those of the trip file.

    Parameters
    ----------
    settings : of the trip.
    many : how many days; None for those that the trip file names.
    evening : evenings instead of mornings.
    evenings : evenings as well as mornings.

    Returns
    -------
    tuple of Outing
    """
    said = settings.campaign
    days = said.days if many is None else tuple(settings.morning.date + timedelta(days=k) for k in range(many))
    late = days if evening or evenings else said.evenings if many is None else ()
    return (*(Outing(day) for day in days if not evening), *(Outing(day, evening=True) for day in late))


def cars_of(settings: TripSettings, outing: Outing, people: People = NOBODY_ELSE) -> tuple[str, ...]:
    """Places where the car may stand for a walk: that of the day alone where it has one, else all of the trip.

    Parameters
    ----------
    settings : of the trip.
    outing : which walk.
    people : of whom the second one may have a car of the own.

    Returns
    -------
    tuple of str
    """
    own = _own(settings, outing)
    if outing.person and people.second_car is not None:
        return (people.second_car,)
    return (
        (own.car_at,) if own.car_at is not None else tuple(dict.fromkeys((settings.place.car, *settings.campaign.cars)))
    )


def day_settings(settings: TripSettings, outing: Outing, car: str) -> TripSettings:
    """Give the trip for one walk of a campaign, from one place of the car.

    Parameters
    ----------
    settings : of the trip.
    outing : which morning or evening.
    car : as it was typed.

    Returns
    -------
    TripSettings
    """
    own = _own(settings, outing)
    place = replace(settings.place, car=car)
    if outing.evening:
        said = replace(settings.evening, **own.said(*HOURS), **own.said(*WEATHER))
        return shorter_walk(in_the_evening(replace(settings, place=place, evening=said), outing.day))
    morning = replace(settings.morning, date=outing.day, **own.said(*HOURS))
    there = _as_forecast(replace(settings, place=place, morning=morning))
    return shorter_walk(replace(there, weather=replace(there.weather, **own.said(*WEATHER))))


def _as_forecast(settings: TripSettings) -> TripSettings:
    """Give the weather that is forecast for the day, where that of the trip is; else that of the trip."""
    forecast = None if settings.forecast is None else read_forecast(settings.folder)
    if settings.forecast is None or forecast is None:
        return settings
    said = {item.name for item in fields(WeatherSettings) if getattr(settings.weather, item.name) is not None}
    given = said - set(settings.forecast.taken)
    return on_morning(settings, forecast, settings.morning.date, given)


def _own(settings: TripSettings, outing: Outing) -> CampaignDay:
    of_it = (one for one in settings.campaign.exception if (one.date, one.evening) == (outing.day, outing.evening))
    return next(of_it, CampaignDay(date=outing.day))
