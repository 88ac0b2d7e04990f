"""Looks at every place of a region from which a walk could begin: the morning, the window round each, the scores.

One place is area_score.py's business, the ranking story.py's.
"""

from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, wait
from dataclasses import replace
from math import ceil
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from hushwalk.files.mosaics import plain_reader
from hushwalk.files.tiles import pool_of
from hushwalk.files.vectors import Feature
from hushwalk.grid.grid import Grid
from hushwalk.habitat.areas import WalkParams
from hushwalk.hearing.availability import availability, display_from_card
from hushwalk.progress import Progress, Step
from hushwalk.regions.area_score import PlaceParams, PlaceScore, Surroundings, score_place
from hushwalk.regions.car_places import CarPlace
from hushwalk.regions.region_file import AreaSettings
from hushwalk.regions.surface import MALES_PARTS, JudgedRegion, WideParams
from hushwalk.regions.window import UNKNOWN
from hushwalk.site.detectability import level_soundscape_of, weather_of
from hushwalk.site.morning_clock import morning_clock
from hushwalk.site.passage import passage_of
from hushwalk.site.reading.georeferencing import Georeference
from hushwalk.site.reading.layers import Layers

BLOCK_M = 120.0  # judgement: a fifth to a half of an earshot, so that what is heard is told apart well enough
Read = Callable[[int, int, int, int], NDArray[Any]]

FOLIAGE = 11  # definition: factors 0, 0.1 .. 1
QUICKEST_MS = 1.6  # judgement: nobody walks out faster, so that no farther ground need be read
KNOT_S = 600.0  # judgement: availability changes little within ten minutes


def place_params_of(settings: AreaSettings, region: JudgedRegion) -> PlaceParams:
    """Work out what is the same for all places: the morning, the earshot and the blocks of ground.

    Raises
    ------
    SettingsError
        If the sun does not rise, the window is empty, or the card lacks a call.
    """
    grid, morning, card = region.grid, settings.morning, region.scoring.card
    where = Georeference(grid, settings.folder, settings.region.network)
    lon, lat = where.lonlat
    clock = morning_clock(morning, lon, lat)
    level = level_soundscape_of(card, settings.weather, settings.walker)
    display = display_from_card(card.raw)
    dwell_s = 30.0 * (morning.minutes_per_stop_min + morning.minutes_per_stop_max)
    begins = np.arange(clock.earliest_s, clock.latest_s, KNOT_S)
    available = availability(
        display,
        (begins + dwell_s / 2 - clock.sunrise_s) / 60,
        dwell_s,
        day_of_year=clock.midnight.timetuple().tm_yday,
        latitude_deg=lat,
        elevation_m=display.peak_elevation_m,
        weather=weather_of(settings.weather),
    )
    walk = WalkParams(
        budget_s=clock.window_s,
        dwell_s=dwell_s,
        earshot_sd_m=1.0,
        stop_chance=float(np.mean(available.hour_factor * available.cue)),
        participation=available.participation,
        stops_max=morning.stops_max,
    )
    half_m = tuple(level.earshot_m(factor) for factor in np.linspace(0, 1, FOLIAGE).tolist())
    block = max(1, round(BLOCK_M / grid.cell_m))
    return PlaceParams(half_m, walk, settings.walker, settings.weather.snow, morning.longest_walk_km * 1000, block)


def scores_of(
    places: Sequence[CarPlace],
    ground: Layers,
    region: JudgedRegion,
    place_params: PlaceParams,
    params: WideParams,
    progress: Progress,
) -> list[PlaceScore]:
    """Score every place; files are read in this thread only.

    Parameters
    ----------
    places : where a car can stand.
    ground, region : the region, open and judged.
    place_params : of :func:`place_params_of`.
    params : how the work is done.
    progress : is called with a few words as the work goes on.

    Returns
    -------
    list of PlaceScore
        One a place.
    """
    found: dict[int, PlaceScore] = {}
    waiting: dict[Future[PlaceScore], int] = {}

    def take() -> None:
        finished, _ = wait(waiting, return_when=FIRST_COMPLETED)
        for future in finished:
            found[waiting.pop(future)] = future.result()
            if len(found) % 200 == 0:
                progress(Step(f"{len(found)} of {len(places)} places"))

    with (
        plain_reader(str(region.density), 1, "the surface") as density,
        pool_of(params.workers, params.engine, params.scheduler) as pool,
    ):
        try:
            for k, place in enumerate(places):
                while len(waiting) >= 2 * params.workers:
                    take()
                near = surroundings(place, ground, region, place_params, density)
                waiting[pool.submit(score_place, place_params, near)] = k
            while waiting:
                take()
        finally:
            for future in waiting:
                future.cancel()
    return [found[k] for k in range(len(places))]


def surroundings(
    place: CarPlace, ground: Layers, region: JudgedRegion, place_params: PlaceParams, density: Read
) -> Surroundings:
    """Read what is known round a place; ``density`` reads the males of the judged region.

    Parameters
    ----------
    place : where a car can stand.
    ground : layers of the region.
    region : the region as scored.
    place_params : what is the same for all places.
    density : reads males per square kilometre of a window.

    Returns
    -------
    Surroundings
        The window round the place.
    """
    window = window_round(place.xy_m, region.grid, place_params)
    stored = density(*window).astype(float)
    males = np.where(stored == UNKNOWN, np.nan, stored / MALES_PARTS)
    grid = region.grid.window(*window)
    held = ground.read(window)
    near = {kind: ground.features_near(kind, grid) for kind in ("trails", "roads", "buildings", "water")}
    return Surroundings(
        place.xy_m,
        grid,
        held,
        males,
        streams=_cut(ground.near("streams", grid), grid),
        wetlands=tuple(ground.near("wetlands", grid)),
        closed=tuple(ground.near("closed", grid)),
        passage=passage_of(
            {**near, **{kind: _cut_features(near[kind], grid) for kind in ("trails", "roads")}},
            held["cover"],
            grid,
            rough=True,
        ),
    )


def _cut(lines: Sequence[Any], grid: Grid) -> tuple[Any, ...]:
    west, south, east, north = grid.bounds
    cut = (shapely.clip_by_rect(line, west, south, east, north) for line in lines)
    return tuple(part for line in cut for part in shapely.get_parts(line) if part.length > 0)


def _cut_features(features: Sequence[Feature], grid: Grid) -> tuple[Feature, ...]:
    return tuple(replace(one, geometry=part) for one in features for part in _cut([one.geometry], grid))


def window_round(xy_m: tuple[float, float], grid: Grid, place_params: PlaceParams) -> tuple[int, int, int, int]:
    """Cells that a walk from a place can reach or hear, beginning on a whole block: row, column, rows, columns.

    Parameters
    ----------
    xy_m : easting and northing [m].
    grid : of the trip or the window.
    place_params : what is the same for all places.

    Returns
    -------
    tuple of int
        Row, column, rows and columns.
    """
    half_walk_m = min(
        place_params.longest_walk_m / 2, (place_params.walk.budget_s - place_params.walk.dwell_s) / 2 * QUICKEST_MS
    )
    cells = ceil((half_walk_m + 2 * max(place_params.half_m)) / grid.cell_m)
    rows, cols = grid.rowcol(np.array([xy_m]))
    block = place_params.target_cells
    top, left = (max(0, int(at[0]) - cells) // block * block for at in (rows, cols))
    bottom, right = min(grid.n_rows, int(rows[0]) + cells + 1), min(grid.n_cols, int(cols[0]) + cells + 1)
    return top, left, bottom - top, right - left
