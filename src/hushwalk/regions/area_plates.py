"""A closer look at the best places of a region: the ground round each, its reach and its land.

Which places are the best is story.py's business; what to think of them is said in wording/plate_words.py.
"""

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from hushwalk.files.mosaics import plain_reader
from hushwalk.files.vectors import Feature
from hushwalk.grid.align import outline
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.points import usng_text
from hushwalk.habitat.why import why_over
from hushwalk.regions.area_report import Area, Look, Plate
from hushwalk.regions.area_rounds import surroundings, window_round
from hushwalk.regions.area_score import PlaceParams, Surroundings, reach_of
from hushwalk.regions.surface import JudgedRegion
from hushwalk.regions.window import PARTS, UNKNOWN, surface_of
from hushwalk.site.country import Geometry
from hushwalk.site.reading.features import SHAPES
from hushwalk.site.reading.layers import Layers

NEAR_ROAD_M = 30.0  # judgement: drawn roads and places beside them differ by no more
NAMED_KINDS = ("streams", "water", "roads", "trails")
MOST_NAMES = 6  # judgement: more names hide the ground of a small map
OVERVIEW_CELLS = 400  # judgement: finer blocks are not told apart on a page
USNG_DIGITS = 8  # judgement: ten metres are near enough to find a place to park


def plates_of(
    areas: Sequence[Area], most: int, ground: Layers, region: JudgedRegion, place_params: PlaceParams
) -> tuple[Plate, ...]:
    """Look at the best areas once more.

    Parameters
    ----------
    areas : all of them, the best first.
    most : how many to look at.
    ground, region : the region, open and judged.
    place_params : the same for all places.

    Returns
    -------
    tuple of Plate
        One an area.
    """
    with (
        plain_reader(str(region.surface), 1, "the surface") as worth,
        plain_reader(str(region.density), 1, "the surface") as density,
    ):
        found = []
        for area in areas[:most]:
            near = surroundings(area.place, ground, region, place_params, density)
            stored = worth(*window_round(area.place.xy_m, region.grid, place_params)).astype(float)
            suitability = Layer("suitability", "1", near.grid, np.where(stored == UNKNOWN, np.nan, stored / PARTS))
            _, within = reach_of(place_params, near)
            look = Look(
                good_km2=_good_km2(suitability, within, region.scoring.card.patch.good_from),
                ingredients=why_over(surface_of(region.scoring, near.held, near.grid), within),
                closed_known="closed" in ground.given,
                closed_names=_names(ground.features["closed"], near.grid),
                road=_road(ground.features["roads"], area.place.xy_m),
            )
            shapes = {kind: _clipped(ground.near(kind, near.grid), near.grid) for kind in SHAPES}
            plate = Plate(
                area=area,
                usng=usng_text((area.lon_deg, area.lat_deg), USNG_DIGITS),
                suitability=suitability,
                reach=shapely.union_all(outline(within, near.grid)),
                shapes=shapes,
                look=look,
                elevation=_heights(near),
                names=_named_places(ground, near.grid),
            )
            found.append(plate)
    return tuple(found)


def overview_of(region: JudgedRegion) -> Layer:
    """Average the suitability of a region over blocks, a row of blocks at a time."""
    grid = region.grid
    block = -(-max(grid.shape) // OVERVIEW_CELLS)
    coarse = grid.coarsened(block)
    edges = np.arange(0, grid.n_cols, block)
    rows = []
    with plain_reader(str(region.surface), 1, "the surface") as worth:
        for row in range(0, grid.n_rows, block):
            stored = worth(row, 0, min(block, grid.n_rows - row), grid.n_cols)
            known = stored != UNKNOWN
            held = np.add.reduceat(np.where(known, stored, 0).sum(axis=0, dtype=float), edges)
            cells = np.add.reduceat(known.sum(axis=0, dtype=float), edges)
            rows.append(np.where(cells > 0, held / np.maximum(cells, 1) / PARTS, np.nan))
    return Layer("suitability", "1", coarse, np.array(rows))


def _good_km2(suitability: Layer, within: NDArray[np.bool_], good_from: float) -> float:
    good = np.nan_to_num(suitability.values) >= good_from
    return float(np.count_nonzero(good & within)) * suitability.grid.cell_area_km2


def _names(closed: Sequence[Feature], grid: Grid) -> tuple[str, ...]:
    """Names of the closed ground that reaches a window."""
    window = shapely.box(*grid.bounds)
    return tuple(dict.fromkeys(f.name for f in closed if f.name and f.geometry.intersects(window)))


def _heights(near: Surroundings) -> Layer | None:
    """Heights round a place [m], where they were given."""
    held = near.held.get("elevation")
    return None if held is None else Layer("elevation", "m", near.grid, np.asarray(held, dtype=float))


def _named_places(ground: Layers, grid: Grid) -> tuple[tuple[str, tuple[float, float]], ...]:
    """Names of waters, roads and trails, the largest first, each once, with a place on it [m]."""
    window = shapely.box(*grid.bounds)
    found: dict[str, tuple[float, tuple[float, float]]] = {}
    for one in (feature for kind in NAMED_KINDS for feature in ground.features[kind] if feature.name):
        part = one.geometry.intersection(window)
        if part.is_empty:
            continue
        at = part.representative_point()
        if part.length > found.get(one.name, (0.0,))[0]:
            found[one.name] = (part.length, (at.x, at.y))
    ranked = sorted(found.items(), key=lambda item: -item[1][0])
    return tuple((name, at) for name, (_, at) in ranked[:MOST_NAMES])


def _road(roads: Sequence[Feature], xy_m: tuple[float, float]) -> str:
    """Kind of the road that a place lies at, or an empty text."""
    if not roads:
        return ""
    tree = shapely.STRtree([road.geometry for road in roads])
    nearest = roads[int(tree.nearest(shapely.Point(xy_m)))]
    return nearest.kind if nearest.geometry.distance(shapely.Point(xy_m)) <= NEAR_ROAD_M else ""


def _clipped(shapes: Sequence[Geometry], grid: Grid) -> tuple[Geometry, ...]:
    cut = (shapely.clip_by_rect(shape, *grid.bounds) for shape in shapes)
    return tuple(part for shape in cut for part in shapely.get_parts(shape) if not part.is_empty)
