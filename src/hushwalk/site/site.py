"""The ground of a trip, looked at once: grid, inputs, surfaces, how good it is for the bird and how many there are.

Nothing here depends on the hour or on the walker.
"""

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from hushwalk.errors import SettingsError
from hushwalk.grid.align import burn
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.points import parse_place, to_lonlat, to_metres, usng_text, utm_text
from hushwalk.site.bird_law import BirdLaw, lawful
from hushwalk.site.bird_range import BirdRegion, region_of_ground
from hushwalk.site.country import Country
from hushwalk.site.grid_choice import choose_grid
from hushwalk.site.inputs import Inputs, read_inputs, with_closed
from hushwalk.site.passage import roads_that
from hushwalk.site.place import Place
from hushwalk.site.reading.cover import cover_kinds
from hushwalk.site.scoring import SiteHabitat, score_habitat
from hushwalk.site.settings import TripSettings
from hushwalk.site.species import SpeciesCard, read_card
from hushwalk.site.surfaces import Surfaces, drawn, houses_drawn, surfaces_of
from hushwalk.sources import JUDGEMENT
from hushwalk.types import FloatArray

WORTH_NAMING = 0.2  # judgement: a kind that holds less than a fifth of the males is no reason to stop
USNG_DIGITS = 10  # definition: a square of one metre


@dataclass(frozen=True, eq=False)
class Site:
    """The ground of a trip.

    Parameters
    ----------
    grid, car : where it lies and where the car stands on it.
    card, region : species card, and the region of it that the place lies in.
    inputs, ground : layers as read, and surfaces for the rooms.
    habitat : suitability, its ingredients and the density of displaying males.
    laws : what the law says of seeking the bird there, where it does not forbid it.
    """

    grid: Grid
    car: Place
    card: SpeciesCard
    region: BirdRegion
    inputs: Inputs = field(repr=False)
    ground: Surfaces = field(repr=False)
    habitat: SiteHabitat = field(repr=False)
    laws: tuple[BirdLaw, ...] = ()

    @property
    def density(self) -> Layer:
        """Displaying males, the middle figure [1/km2]."""
        return self.habitat.density_per_km2

    @property
    def notices(self) -> tuple[str, ...]:
        """What a person should know of the ground before trusting it."""
        return (*self.inputs.notices, *self.habitat.notices)

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What no source supports and moves the answer, in the species card's own words."""
        needs = [need for need in self.habitat.surface.needs if need.assumed and need.weight > 0]
        of_needs = [f"{need.label}: {_judged(need.source)}" for need in needs]
        display = self.card["display"]
        of_bird = {
            "males that display at all": display["morning"]["source"],
            "hours of the display": display["hours"]["source"],
            "loudness": self.card["sound"]["level_source"],
            "season": display["season"]["source"],
        }
        return (*of_needs, *(f"{words}: {_judged(source)}" for words, source in of_bird.items()))

    @property
    def source_keys(self) -> tuple[str, ...]:
        """Keys of the sources that the species card rests on."""
        return self.card.sources

    @cached_property
    def country(self) -> Country:
        """The ground as it is drawn."""
        shapes = self.inputs.shapes
        names = {kind.code: (kind.key, kind.label) for kind in cover_kinds().values()}
        return Country(
            elevation=self.inputs.elevation,
            cover=self.inputs.cover,
            kinds=names,
            suitability=self.habitat.suitability,
            ingredients=self.habitat.ingredients,
            density_per_km2=self.density,
            good_from=self.card.patch.good_from,
            streams=shapes("streams"),
            water=shapes("water"),
            wetlands=shapes("wetlands"),
            trails=shapes("trails"),
            roads=shapes("roads"),
            busy_roads=roads_that(self.inputs.features, lambda traits: bool(traits.traffic)),
            tracks=roads_that(self.inputs.features, lambda traits: traits.kind == "track"),
            closed=drawn(self.ground.closed_shapes, self.grid),
            buildings=houses_drawn(shapes("buildings")),
            credits=self.inputs.credits,
        )

    def best_cover_near(self, xy_m: FloatArray, radius_m: float) -> str:
        """Name the cover kinds that hold most males near a place, at most two, or an empty text."""
        cover = self.inputs.cover
        if cover is None:
            return ""
        rows, cols = np.indices(self.grid.shape)
        near = np.hypot(*(self.grid.xy(rows.ravel(), cols.ravel()) - xy_m).T).reshape(self.grid.shape) <= radius_m
        known = near & cover.known
        males = np.bincount(
            cover.values[known].astype(int), weights=np.nan_to_num(self.density.values[known]), minlength=1
        )
        kinds = {kind.code: kind.label for kind in cover_kinds().values()}
        best = [int(code) for code in np.argsort(-males)[:2] if males[code] > WORTH_NAMING * males.sum()]
        return " and ".join(kinds[code] for code in best)


def _judged(source: str) -> str:
    return source.removeprefix(JUDGEMENT).strip()


def car_height_m(settings: TripSettings, site: Site) -> tuple[float, float, float]:
    """Give longitude, latitude [deg] and height [m] of the car; 0 m where no height is known there."""
    lon, lat = parse_place(settings.place.car)
    height = float(site.inputs.elevation.at(np.array([to_metres(site.grid.epsg, [lon, lat])]))[0])
    return lon, lat, height if np.isfinite(height) else 0.0


def read_site(settings: TripSettings) -> Site:
    """Read and score the ground of a trip.

    Raises
    ------
    HushwalkError
        One clear message for anything in the trip file or its layers that cannot be used.
    """
    return closed_as_drawn(read_open_site(settings), settings)


def closed_as_drawn(site: Site, settings: TripSettings) -> Site:
    """Close the ground that a trip file draws on a site of :func:`read_open_site`.

    Parameters
    ----------
    site : of the same trip with nothing closed by hand.
    settings : what the trip file says.

    Raises
    ------
    SettingsError
        If what is drawn is no ground.
    """
    if not settings.closed:
        return site
    inputs = with_closed(site.inputs, settings)
    shut = inputs.shapes("closed")
    closed = burn(shut, site.grid, touched=True)
    return replace(site, inputs=inputs, ground=replace(site.ground, closed=closed, closed_shapes=shut))


def read_open_site(settings: TripSettings) -> Site:
    """Read and score the ground of a trip, but for what its file closes by hand; no layer rests on that.

    Raises
    ------
    HushwalkError
        One clear message for anything in the trip file or its layers that cannot be used.
    """
    settings = replace(settings, closed=())
    lonlat = parse_place(settings.place.car)
    grid = choose_grid(settings, lonlat)
    card = read_card(settings.species)
    laws = lawful(card, grid)
    region = region_of_ground(card, settings.ground.region, grid)
    inputs = read_inputs(settings, grid)
    ground = surfaces_of(settings, inputs)
    xy = to_metres(grid.epsg, np.array(lonlat))
    row, col = grid.cell_at(xy, "place.car")
    if not np.isfinite(inputs.elevation.values[row, col]):
        raise SettingsError(
            f"place.car ({settings.place.car}) lies where the elevation layer has no heights; "
            "move the car, or give an elevation layer that covers it"
        )
    return Site(
        grid=grid,
        car=place_of(grid, xy, "CAR", inputs.elevation),
        card=card,
        region=region,
        inputs=inputs,
        ground=ground,
        habitat=score_habitat(settings, inputs, card, region.key),
        laws=laws,
    )


def place_of(grid: Grid, xy_m: FloatArray, name: str, elevation: Layer) -> Place:
    """A place on the grid in every form that a person may need.

    Parameters
    ----------
    grid : of the trip or the window.
    xy_m : easting and northing [m].
    name : of the place or file.
    elevation : heights [m].

    Returns
    -------
    Place
        In every form.
    """
    lonlat = to_lonlat(grid.epsg, xy_m)
    return Place(
        name=name,
        xy_m=(float(xy_m[0]), float(xy_m[1])),
        lon_deg=float(lonlat[0]),
        lat_deg=float(lonlat[1]),
        elevation_m=float(elevation.at(xy_m)[0]),
        utm=utm_text(grid.epsg, xy_m),
        usng=usng_text(lonlat, USNG_DIGITS),
    )
