"""The mornings that a forecast reaches, ranked by the males that display and that the weather lets be heard.

The plan of one of them is story.py's story.
"""

from dataclasses import dataclass, replace
from datetime import date, timedelta

from hushwalk.grid.points import parse_place
from hushwalk.hearing.morning_verdict import Verdict
from hushwalk.site.detectability import availability_table, detectability_of
from hushwalk.site.forecast import Forecast, on_morning
from hushwalk.site.forecast_use import ForecastUse
from hushwalk.site.morning_clock import morning_clock
from hushwalk.site.settings import TripSettings, WeatherSettings
from hushwalk.site.site import Site

MORNINGS = 7  # judgement: beyond a week a forecast of wind is worth little


@dataclass(frozen=True)
class MorningAhead:
    """One morning that a forecast reaches.

    Parameters
    ----------
    day : of it.
    weather : as forecast.
    forecast : what it was taken from.
    displaying : males on the ground that display that morning.
    verdict : what the weather leaves of a calm morning.
    """

    day: date
    weather: WeatherSettings
    forecast: ForecastUse
    displaying: float
    verdict: Verdict

    @property
    def worth(self) -> float:
        """Males that display, times the share that the weather lets be heard."""
        return self.displaying * self.verdict.share_of_calm


def mornings_ahead(settings: TripSettings, site: Site, forecast: Forecast, today: date) -> tuple[MorningAhead, ...]:
    """Rank the mornings of the next days.

    Parameters
    ----------
    settings, site : of the trip.
    forecast : of its place.
    today : the first morning that is looked at.

    Returns
    -------
    tuple of MorningAhead
        The best first; those that the forecast does not reach are left out.
    """
    found = []
    males = site.habitat.males.males()[1]
    for day in (today + timedelta(days=k) for k in range(MORNINGS + 1)):
        there = on_morning(settings, forecast, day)
        if there.forecast is None:
            continue
        clock = morning_clock(there.morning, *parse_place(there.place.car))
        calm = detectability_of(replace(there, weather=WeatherSettings()), site)
        _, _, participation = availability_table(calm, site, clock, (there.morning.minutes_per_stop_min * 60.0,))
        verdict = detectability_of(there, site).verdict()
        found.append(MorningAhead(day, there.weather, there.forecast, males * float(participation), verdict))
    return tuple(sorted(found, key=lambda one: (-one.worth, one.day)))
