"""The ground of a whole region as it is drawn before anything is ranked: its layers and its suitability on a screen.

Ranking the region is story.py's business, the ground of one trip the room site's.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely

from hushwalk.grid.grid import Grid
from hushwalk.grid.points import to_metres
from hushwalk.regions.region_file import AreaSettings
from hushwalk.regions.region_grid import region_grid
from hushwalk.regions.window import ScoringConfig, parsed_card, surface_of
from hushwalk.site.bird_range import region_of_ground
from hushwalk.site.country import Country, Geometry
from hushwalk.site.manifest import credits_of
from hushwalk.site.place import Place
from hushwalk.site.reading.cover import cover_kinds
from hushwalk.site.reading.features import SHAPES
from hushwalk.site.reading.georeferencing import Georeference
from hushwalk.site.reading.layers import as_layer, open_layers
from hushwalk.site.site import place_of
from hushwalk.site.species_file import read_card_text

MOST_CELLS = 400  # judgement: a side of more cells is not told apart on a screen
MOST_CORNERS = 60_000  # judgement: of the shapes of one kind; more makes a page slow and is not told apart


@dataclass(frozen=True, eq=False)
class RegionGround:
    """A region as drawn: its grid, the middle of it, the country, and the cells that ranking looks at [m]."""

    grid: Grid
    middle: Place
    country: Country
    fine_m: float


def region_ground(settings: AreaSettings) -> RegionGround:
    """Read the layers of a region on cells that a screen tells apart, and score them there.

    Parameters
    ----------
    settings : what the area file says.

    Returns
    -------
    RegionGround
        Suitability is that of its own cells: where they are coarser than those of the region, ranking sees more.

    Raises
    ------
    HushwalkError
        One clear message for anything in the area file or its layers that cannot be used.
    """
    fine = region_grid(settings)
    grid = fine.coarsened(-(-max(fine.shape) // MOST_CELLS))
    where = Georeference(grid, settings.folder, settings.region.network)
    ground = open_layers(settings.layers, where, settings.morning.date.year)
    held = ground.read((0, 0, *grid.shape))
    key, text = read_card_text(settings.species)
    card = parsed_card(text, key)
    chosen = region_of_ground(card, settings.region.region, grid)
    streams = "streams" in ground.given or grid.cell_m > fine.cell_m
    scoring = ScoringConfig(grid, key, text, chosen.key, settings.region.cycle, ground.wet_known, streams)
    surface = surface_of(scoring, held, grid)
    unknown = np.full(grid.shape, np.nan)
    elevation = as_layer("elevation", held.get("elevation", unknown), grid)
    shapes = {kind: _drawn(ground.near(kind, grid), grid) for kind in SHAPES}
    names = {kind.code: (kind.key, kind.label) for kind in cover_kinds().values()}
    country = Country(
        elevation=elevation,
        cover=as_layer("cover", held["cover"], grid),
        kinds=names,
        suitability=surface.layer,
        ingredients=(),
        density_per_km2=surface.layer.with_values(surface.layer.values * scoring.males.middle_per_km2),
        good_from=card.patch.good_from,
        streams=shapes["streams"],
        water=shapes["water"],
        wetlands=shapes["wetlands"],
        trails=shapes["trails"],
        roads=shapes["roads"],
        closed=shapes["closed"],
        credits=credits_of(settings.folder, settings.layers),
    )
    middle = to_metres(grid.epsg, np.array(where.lonlat))
    return RegionGround(grid, place_of(grid, middle, settings.region.name, elevation), country, fine.cell_m)


def _drawn(shapes: Iterable[Geometry], grid: Grid) -> tuple[Geometry, ...]:
    """Cut shapes to the ground, leave out what lies within a cell, and keep the largest where there are too many."""
    cut = (shapely.clip_by_rect(shapely.simplify(shape, grid.cell_m / 2), *grid.bounds) for shape in shapes)
    parts = [part for shape in cut for part in shapely.get_parts(shape) if part.length > grid.cell_m]
    parts.sort(key=lambda part: -part.length)
    corners = np.cumsum(shapely.get_num_coordinates(parts)) if parts else np.zeros(0)
    return tuple(parts[: int(np.searchsorted(corners, MOST_CORNERS, side="right"))])
