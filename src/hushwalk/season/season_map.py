"""A season on one map: where one listened and heard, what was found and searched, and where males are still unheard.

The sums are story.py's; drawing is outputs/season's business.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from hushwalk.birds.bird_report import Detections, ScoredLog, SeasonMale
from hushwalk.birds.credible_ground import credible_ground
from hushwalk.birds.heard_ground import on_the_ground, unheard_by_level
from hushwalk.birds.search.search_effort import EffortParams
from hushwalk.birds.search.search_ground import searched_ground
from hushwalk.birds.season_birds import SeasonBird
from hushwalk.birds.story import clock_of_day
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.habitat.density import males_on
from hushwalk.notes.bearing import Listening
from hushwalk.notes.notebook import Notebook
from hushwalk.site.cautions import SiteCaution, cautions, keeping_off
from hushwalk.site.country import Country
from hushwalk.site.detectability import Detectability
from hushwalk.site.norths import North, north_of
from hushwalk.site.place import Place
from hushwalk.site.site import Site, place_of
from hushwalk.types import FloatArray

HALF, MALE_SHARE = 0.5, 0.8
"""Judgement: half of what is unheard is more than one morning reaches; 80 % is the ground that is searched first."""


@dataclass(frozen=True, eq=False)
class ListenedStop:
    """A place where one listened.

    Parameters
    ----------
    day : of the morning.
    name : of that day's plan, or empty.
    place : where.
    minutes : listened; None where that was not noted [min].
    heard : whether any bird was heard.
    """

    day: date
    name: str
    place: Place
    minutes: float | None
    heard: bool


@dataclass(frozen=True, eq=False)
class SeasonMap:
    """All that the map of a season shows; a scene.

    Parameters
    ----------
    title, grid, car, north, country, species, cautions : of the trip.
    stops : in the order in which one stood there.
    males : of the season, and beside each its 80 % ground as rings [m].
    detections : the logs.
    searched : lines that were searched [m].
    unheard : rings of the smallest ground that holds half of the males not heard yet [m]; none where nobody listened.
    males_unheard, males_model : not heard yet, and by the model alone, on the ground of the trip.
    """

    title: str
    grid: Grid
    car: Place
    north: North
    country: Country = field(repr=False)
    species: str
    cautions: tuple[SiteCaution, ...]
    stops: tuple[ListenedStop, ...]
    males: tuple[tuple[SeasonMale, tuple[FloatArray, ...]], ...] = field(repr=False)
    detections: Detections
    searched: tuple[FloatArray, ...] = field(repr=False)
    unheard: tuple[FloatArray, ...] = field(repr=False)
    males_unheard: float
    males_model: float

    @property
    def days(self) -> tuple[date, ...]:
        """Days with listening."""
        return tuple(dict.fromkeys(stop.day for stop in self.stops))


def season_map(
    book: Notebook,
    site: Site,
    detectability: Detectability,
    listened: Mapping[date, Sequence[Listening]],
    males: Sequence[tuple[SeasonBird, SeasonMale]],
    logs: tuple[ScoredLog, ...],
) -> SeasonMap:
    """Put a season on one map.

    Parameters
    ----------
    book, site, detectability : of the trip.
    listened : stops of each morning.
    males : of the season.
    logs : judged.

    Returns
    -------
    SeasonMap
    """
    days = sorted(listened)
    clock = clock_of_day(book, site, days[-1] if days else book.settings.morning.date)
    known, unheard = _unheard(book, site, detectability, listened)
    sessions = searched_ground(book.notes("session"), site.grid.epsg, EffortParams())
    return SeasonMap(
        title=book.settings.place.name,
        grid=site.grid,
        car=site.car,
        north=north_of(site, clock),
        country=site.country,
        species=site.card.name,
        cautions=cautions(keeping_off(book.settings, site.card)),
        stops=tuple(
            ListenedStop(
                day,
                stop.stop,
                place_of(site.grid, np.array(stop.xy_m), stop.stop, site.ground.elevation),
                stop.minutes,
                stop.heard,
            )
            for day in days
            for stop in on_the_ground(site, listened[day])
        ),
        males=tuple((said, credible_ground(bird.place, MALE_SHARE).rings) for bird, said in males),
        detections=Detections(days[-1] if days else None, (), logs),
        searched=tuple(one.line_m for one in sessions if len(one.line_m) > 1),
        unheard=unheard,
        males_unheard=known,
        males_model=float(np.nansum(site.density.values)) * site.grid.cell_area_km2,
    )


def _unheard(
    book: Notebook, site: Site, detectability: Detectability, listened: Mapping[date, Sequence[Listening]]
) -> tuple[float, tuple[FloatArray, ...]]:
    """Males not heard on any morning, and rings round the smallest ground that holds half of them."""
    levels = unheard_by_level(book, site, detectability, listened)
    if not levels:
        return float(np.nansum(site.density.values)) * site.grid.cell_area_km2, ()
    grid = levels[0][1].grid
    left = males_on(site.density, grid) * sum(weight * one.values.ravel() for weight, one in levels)
    total = float(left.sum())
    if total <= 0:
        return 0.0, ()
    place = Layer("males not heard yet", "1", grid, (left / total).reshape(grid.shape))
    return total, credible_ground(place, HALF).rings
