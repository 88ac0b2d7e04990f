"""What is known of a morning before posts are chosen: the ground, the clock, what is heard and the ways.

The posts are morning_problem.py's.
"""

from dataclasses import dataclass

import numpy as np

from hushwalk.errors import SettingsError
from hushwalk.grid.points import parse_place, to_metres
from hushwalk.progress import Progress, Step, quiet
from hushwalk.site.detectability import Detectability, detectability_of
from hushwalk.site.grid_choice import check_memory, choose_grid
from hushwalk.site.morning_clock import Clock, morning_clock
from hushwalk.site.settings import TripSettings
from hushwalk.site.site import Site, read_site
from hushwalk.site.walk_network import WalkNetwork, build_walk_network
from hushwalk.types import FloatArray

# shares of a plan's time that have gone: judgement, as measured on the demo, and good to a factor
READING = Step("reading the layers")
REACHING = Step("working out how quickly each place is reached", done_before=0.1)
LAST_RESERVE_S = (
    420.0  # judgement: with it and the reserve on legs 95 % of slower walkers are back (docs/benchmarks/on_time.py)
)
FARTHER_S = 600.0  # judgement: a few minutes more open no ground that is worth walking to
DWELL_CHOICES = 4  # judgement: four lengths of a stop between the least and the most are fine enough
LAST_RESERVE_MOST = 0.05  # judgement: a short morning is not eaten by it


@dataclass(frozen=True, eq=False)
class Morning:
    """All that is known before posts are chosen.

    Parameters
    ----------
    settings : what the trip file says.
    site : the ground.
    clock : of the morning.
    detectability : what can be heard there.
    way : the walk network.
    kept_free_s : kept free for closing in on birds; the plan does without it [s].
    """

    settings: TripSettings
    site: Site
    clock: Clock
    detectability: Detectability
    way: WalkNetwork
    kept_free_s: float = 0.0

    @property
    def start_m(self) -> FloatArray | None:
        """Where one is set down, shape (2,) [m]; None where one starts at the car.

        Raises
        ------
        PlaceError
            If it lies off the ground of the trip.
        """
        said = self.settings.wishes.start
        if said is None:
            return None
        place = to_metres(self.site.grid.epsg, np.array(parse_place(said)))
        self.site.grid.cell_at(place, f"wishes.start {said!r}")
        return place

    @property
    def due_s(self) -> float:
        """Clock at which one is back at the latest: minutes before the promise, for errors on the last legs [s]."""
        return self.clock.latest_s - min(LAST_RESERVE_S, LAST_RESERVE_MOST * self.clock.window_s)

    @property
    def last_s(self) -> float:
        """Clock at which a plan is back that uses nothing of what is kept free [s]."""
        return self.due_s - self.kept_free_s

    @property
    def window_s(self) -> float:
        """Time that a plan may take [s]."""
        return self.clock.window_s - (self.clock.latest_s - self.last_s)

    @property
    def dwell_s(self) -> tuple[float, ...]:
        """How long a stop may last, from the least to the most minutes [s]."""
        least, most = self.settings.morning.minutes_per_stop_min, self.settings.morning.minutes_per_stop_max
        return tuple(float(m) * 60 for m in np.unique(np.round(np.linspace(least, most, DWELL_CHOICES))))


def longest_out_s(clock: Clock, settings: TripSettings) -> float:
    """Time of a morning that is left for walking where one stops once, for the least minutes [s]."""
    return clock.window_s - settings.morning.minutes_per_stop_min * 60.0


def on_another_day(morning: Morning, settings: TripSettings) -> Morning:
    """Give the same ground on another day: its hours, its weather and its ways.

    Parameters
    ----------
    morning : from the same place of the car.
    settings : with the other day.

    Returns
    -------
    Morning
    """
    site, before = morning.site, morning.settings
    clock = morning_clock(settings.morning, site.car.lon_deg, site.car.lat_deg)
    far = clock.window_s > morning.clock.window_s + FARTHER_S
    way = morning.way
    if far or settings.weather.snow != before.weather.snow:
        way = build_walk_network(settings, site, clock)
    return Morning(settings, site, clock, detectability_of(settings, site), way)


def ground_checked(settings: TripSettings) -> TripSettings:
    """Give settings whose ground fits into the memory of this machine.

    Raises
    ------
    SettingsError
        If it does not.
    """
    check_memory(choose_grid(settings, parse_place(settings.place.car)))
    return settings


def hearing_on(settings: TripSettings, site: Site) -> Detectability:
    """Give what decides detection at the hours of the walk.

    Raises
    ------
    SettingsError
        If the card of the bird tells nothing of these hours.
    """
    detectability = detectability_of(settings, site)
    if settings.morning.evening and not detectability.display.minutes_from_sunset:
        raise SettingsError(
            f"the card of the {site.card.name} tells nothing of evenings; add [display.evening] with "
            "minutes_from_sunset, factor and source to a card of your own, or plan the morning"
        )
    return detectability


def look_round(settings: TripSettings, progress: Progress = quiet, site: Site | None = None) -> Morning:
    """Read the layers, set the clock, and reach out from the car.

    Parameters
    ----------
    settings : what the trip file says.
    progress : is told as each step begins.
    site : the ground, where it was read before; None to read it.

    Returns
    -------
    Morning

    Raises
    ------
    HushwalkError
        One clear message for anything a person can mend.
    """
    progress(READING)
    site = site or read_site(ground_checked(settings))
    clock = morning_clock(settings.morning, site.car.lon_deg, site.car.lat_deg)
    detectability = hearing_on(settings, site)
    progress(REACHING)
    return Morning(settings, site, clock, detectability, build_walk_network(settings, site, clock))
