"""New ground to scout: every place of a region where a car can stand, ranked by what a dawn walk from there could hear.

One place is area_score.py's business, the surface of the region surface.py's.
"""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import sparse

from hushwalk.errors import InputError, NoPlanError
from hushwalk.files.mosaics import plain_reader
from hushwalk.grid.align import burn
from hushwalk.grid.grid import Grid
from hushwalk.grid.systems import carried
from hushwalk.habitat.areas import Ranking, rank_distinct
from hushwalk.progress import Progress, Step, quiet
from hushwalk.regions.area_plates import overview_of, plates_of
from hushwalk.regions.area_report import Area, Areas, PlaceFault, Unranked
from hushwalk.regions.area_rounds import place_params_of, scores_of, window_round
from hushwalk.regions.area_score import PlaceParams, PlaceScore
from hushwalk.regions.car_places import NO_PLACES, CarPlace, car_places, drive_minutes
from hushwalk.regions.given_points import PointFile, given_points
from hushwalk.regions.region_file import AreaSettings
from hushwalk.regions.surface import MALES_PARTS, JudgedRegion, WideParams, score_region
from hushwalk.regions.window import UNKNOWN
from hushwalk.site.cautions import scouting_cautions
from hushwalk.site.manifest import credits_of
from hushwalk.site.reading.georeferencing import DEGREES, Georeference
from hushwalk.site.reading.layers import open_layers
from hushwalk.types import FloatArray

NAMED = 5  # judgement: more names on a line are not read
PLATES = 10  # judgement: as many as one looks at before choosing


def rank_areas(
    settings: AreaSettings,
    folder: Path,
    params: WideParams | None = None,
    progress: Progress = quiet,
    plates: int = PLATES,
) -> Areas:
    """Judge a region and rank the places where a car can stand.

    Parameters
    ----------
    settings : what the area file says.
    folder : where the rasters of the region go.
    params : how the work is done; the result is the same for all.
    progress : is called with a few words as the work goes on.
    plates : at how many of the best a closer look is taken.

    Returns
    -------
    Areas
        The best first.

    Raises
    ------
    HushwalkError
        One clear message for anything a person can mend; NoPlanError if there is no place from which anything is heard.
    """
    params = params or WideParams()
    if settings.places.path is None and all(spec.kind != "roads" for spec in settings.layers):
        raise InputError(NO_PLACES)  # said before hours of work, not after them
    region = score_region(settings, folder, params, progress)
    where = Georeference(region.grid, settings.folder, settings.region.network)
    ground = open_layers(settings.layers, where, settings.morning.date.year)
    places, notices = car_places(settings.places, ground.features["roads"], where)
    if not places:
        raise NoPlanError("no place where a car can stand lies in the region; look at places and roads")
    drive = drive_minutes(settings.drive, ground.features["roads"], places, where) if settings.drive else None
    progress(Step(f"looking at {len(places)} places"))
    place_params = place_params_of(settings, region)
    scores = scores_of(places, ground, region, place_params, params, progress)
    keep, unranked = _kept(settings, places, scores, drive)
    if not keep:
        faults = "; ".join(f"at {one.places} of {one.of_places} places {one.fault.value}" for one in unranked)
        raise NoPlanError(f"no place of the region is worth a walk: {faults}")
    ranking = _ranked([(places[k], scores[k]) for k in keep], region, place_params, _scouted(settings, where))
    lonlat = carried(np.array([places[k].xy_m for k in keep]), where.way_to(DEGREES))
    areas = tuple(
        _area(rank, places[keep[i]], lonlat[i], scores[keep[i]], float(ranking.new_males[i]), drive, keep[i])
        for rank, i in enumerate(ranking.order.tolist(), start=1)
    )
    progress(Step(f"looking closer at {min(plates, len(areas))} of {len(areas)}"))
    looks = plates_of(areas, plates, ground, region, place_params)
    return Areas(
        settings=settings,
        region=region,
        place_params=place_params,
        areas=areas,
        plates=looks,
        overview=overview_of(region),
        unranked=unranked,
        notices=(*region.notices, *notices),
        cautions=scouting_cautions(),
        credits=credits_of(settings.folder, settings.layers),
    )


def _kept(
    settings: AreaSettings, places: Sequence[CarPlace], scores: Sequence[PlaceScore], drive: FloatArray | None
) -> tuple[list[int], tuple[Unranked, ...]]:
    """Give the places that are worth ranking, and count the others by their first fault."""
    faults = [_fault(settings, score, None if drive is None else drive[k]) for k, score in enumerate(scores)]
    named = {
        one: [place.name for place, fault in zip(places, faults, strict=True) if fault is one] for one in PlaceFault
    }
    unranked = tuple(
        Unranked(one, len(names), len(places), tuple(names[:NAMED])) for one, names in named.items() if names
    )
    return [k for k, fault in enumerate(faults) if fault is None], unranked


def _fault(settings: AreaSettings, score: PlaceScore, drive_min: float | None) -> PlaceFault | None:
    if score.fault:
        return PlaceFault.NO_WALKING
    if score.males <= 0:
        return PlaceFault.SILENT
    if score.closed_share > settings.places.closed_share_max:
        return PlaceFault.CLOSED
    if settings.drive is not None and drive_min is not None and not drive_min <= settings.drive.longest_min:
        return PlaceFault.LONG_DRIVE
    return None


def _scouted(settings: AreaSettings, where: Georeference) -> tuple[Any, ...]:
    if settings.scouted is None:
        return ()
    scouted = settings.scouted
    points = given_points(PointFile(scouted.path, scouted.layer, scouted.crs), "scouted", where).points
    return tuple(shapely.Point(xy_m).buffer(scouted.radius_m) for _, xy_m in points)


def _ranked(
    found: Sequence[tuple[CarPlace, PlaceScore]],
    region: JudgedRegion,
    place_params: PlaceParams,
    scouted: tuple[Any, ...],
) -> Ranking:
    """Rank by what is new, over the blocks of the whole region."""
    block = place_params.target_cells
    coarse = region.grid.coarsened(block)
    rows, cols, values = [], [], []
    for k, (place, score) in enumerate(found):
        top, left, _, n_cols = window_round(place.xy_m, region.grid, place_params)
        wide = -(-n_cols // block)
        rows.append(np.full(len(score.blocks), k))
        cols.append((score.blocks // wide + top // block) * coarse.n_cols + score.blocks % wide + left // block)
        values.append(score.heard)
    shape = len(found), coarse.n_cells
    heard = sparse.csr_array((np.concatenate(values), (np.concatenate(rows), np.concatenate(cols))), shape=shape)
    used, place_of = np.unique(heard.indices, return_inverse=True)
    small = sparse.csr_array((heard.data, place_of, heard.indptr), shape=(len(found), len(used)))
    known = burn(scouted, coarse).ravel()[used].astype(float) if scouted else np.zeros(len(used))
    return rank_distinct(small, _males_of(used, region, block, coarse) * place_params.walk.participation, known)


def _males_of(used: NDArray[np.int64], region: JudgedRegion, block: int, coarse: Grid) -> FloatArray:
    """Displaying males of some blocks of the region, read a row of blocks at a time."""
    males = np.zeros(len(used))
    rows = used // coarse.n_cols
    with plain_reader(str(region.density), 1, "the surface") as density:
        for row in np.unique(rows).tolist():
            height = min(block, region.grid.n_rows - row * block)
            stored = density(row * block, 0, height, region.grid.n_cols).astype(float)
            stored[stored == UNKNOWN] = 0
            across = np.add.reduceat(stored.sum(axis=0), np.arange(0, region.grid.n_cols, block))
            here = rows == row
            males[here] = across[used[here] % coarse.n_cols] / MALES_PARTS * region.grid.cell_area_km2
    return males


def _area(
    rank: int,
    place: CarPlace,
    lonlat: FloatArray,
    score: PlaceScore,
    new: float,
    drive: FloatArray | None,
    k: int,
) -> Area:
    minutes = None if drive is None else float(drive[k])
    return Area(rank, place, float(lonlat[0]), float(lonlat[1]), score, new, minutes)
