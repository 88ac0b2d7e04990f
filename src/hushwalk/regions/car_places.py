"""Places where a car can stand: points of a layer, or ends of roads and places along them; and how long the drive is.

How good a place is to walk from is area_score.py's business.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import networkx as nx
import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from hushwalk.errors import InputError
from hushwalk.grid.points import parse_place
from hushwalk.grid.polyline import segment_lengths
from hushwalk.grid.systems import carried
from hushwalk.regions.given_points import PointFile, given_points
from hushwalk.regions.region_file import DriveSettings, PlacesSettings
from hushwalk.site.reading.georeferencing import DEGREES, Georeference
from hushwalk.types import FloatArray

if TYPE_CHECKING:
    from hushwalk.files.vectors import Feature

SAME_M = 1.0  # definition: vertices nearer than a metre are one
REACH_M = 300.0  # judgement: farther from a road than this a place is not reached by car
WIDER = 1.2  # judgement: the spacing grows by a fifth until there are no more places than asked for
KMH = 3.6  # definition: m/s to km/h


NO_PLACES = (
    "there is no place to begin from: name a layer of points with [places] path = ..., or a layer of kind "
    '"roads", whose ends and sides are taken'
)


@dataclass(frozen=True)
class CarPlace:
    """Where a car can stand: a name, what kind of place it is, and where [m]."""

    name: str
    kind: str
    xy_m: tuple[float, float]


def car_places(
    settings: PlacesSettings, roads: Sequence["Feature"], where: Georeference
) -> tuple[tuple[CarPlace, ...], tuple[str, ...]]:
    """Find where a car can stand.

    Parameters
    ----------
    settings : a layer of points, or how to place them along roads.
    roads : roads of the region.
    where : the region.

    Returns
    -------
    tuple
        Places, and notices.

    Raises
    ------
    MissingFileError, InputError
        If the layer of points cannot be used, or there are neither points nor roads.
    """
    if settings.path is not None:
        return _from_layer(settings, where)
    if not roads:
        raise InputError(NO_PLACES)
    return _from_roads(settings, [road.geometry for road in roads], where)


def _from_layer(settings: PlacesSettings, where: Georeference) -> tuple[tuple[CarPlace, ...], tuple[str, ...]]:
    file = PointFile(str(settings.path), settings.layer, settings.crs, settings.name_field)
    got = given_points(file, "places", where)
    places = [CarPlace(name or f"place {k}", "given", xy_m) for k, (name, xy_m) in enumerate(got.points, start=1)]
    if len(places) <= settings.most:
        return tuple(places), got.notices
    words = f"places: {len(places)} are given, the first {settings.most} are looked at; raise places.most for all"
    return tuple(places[: settings.most]), (*got.notices, words)


def _from_roads(
    settings: PlacesSettings, lines: Sequence[Any], where: Georeference
) -> tuple[tuple[CarPlace, ...], tuple[str, ...]]:
    ends, along_roads = _inside(road_ends(lines), where), along(lines, settings.spacing_m)
    both = np.concatenate([ends, along_roads])
    spacing_m, kept = settings.spacing_m, thinned(both, settings.spacing_m)
    while len(kept) > settings.most:
        spacing_m *= WIDER
        kept = thinned(both, spacing_m)
    kinds = ["end of a road" if k < len(ends) else "beside a road" for k in kept]
    places = tuple(
        CarPlace(f"{kind} {n}", kind, (float(both[k, 0]), float(both[k, 1])))
        for n, (k, kind) in enumerate(zip(kept, kinds, strict=True), start=1)
    )
    words = [f"no places were given: {len(places)} were taken at ends of roads and along them, {spacing_m:.0f} m apart"]
    words.append("whether a car may stand there is for you to find out")
    return places, tuple(words)


def _inside(xy_m: FloatArray, where: Georeference) -> FloatArray:
    """Leave out ends that are only made by cutting roads at the rim of the region."""
    west, south, east, north = where.grid.bounds
    off_m = np.min([xy_m[:, 0] - west, east - xy_m[:, 0], xy_m[:, 1] - south, north - xy_m[:, 1]], axis=0)
    return np.asarray(xy_m[off_m > where.grid.cell_m])


def road_ends(lines: Sequence[Any]) -> FloatArray:
    """Ends of lines that no other line touches with a vertex, shape (n, 2) [m]."""
    tips = np.array([shapely.get_coordinates(line)[[0, -1]] for line in lines]).reshape(-1, 2)
    every = np.round(np.concatenate([shapely.get_coordinates(line) for line in lines]) / SAME_M).astype(np.int64)
    keys, counts = np.unique(every, axis=0, return_counts=True)
    once = {tuple(key) for key, count in zip(keys.tolist(), counts.tolist(), strict=True) if count == 1}
    lonely = [tuple(key) in once for key in np.round(tips / SAME_M).astype(np.int64).tolist()]
    return np.asarray(tips[np.array(lonely, dtype=bool)])


def along(lines: Sequence[Any], spacing_m: float) -> FloatArray:
    """Places along lines, the first half a spacing from the end, shape (n, 2) [m]."""
    found = [
        shapely.line_interpolate_point(line, np.arange(spacing_m / 2, line.length, spacing_m))
        for line in lines
        if line.length > spacing_m / 2
    ]
    return np.asarray(shapely.get_coordinates(np.concatenate(found))) if found else np.empty((0, 2))


def thinned(xy_m: FloatArray, spacing_m: float) -> NDArray[np.int64]:
    """Numbers of the points that are kept when none may lie nearer to an earlier one than the spacing."""
    if len(xy_m) == 0:
        return np.empty(0, dtype=np.int64)
    near = cKDTree(xy_m)
    free = np.ones(len(xy_m), dtype=bool)
    kept = []
    for k in range(len(xy_m)):
        if free[k]:
            kept.append(k)
            free[near.query_ball_point(xy_m[k], spacing_m * (1 - 1e-9))] = False
    return np.array(kept, dtype=np.int64)


def drive_minutes(
    settings: DriveSettings, roads: Sequence["Feature"], places: Sequence[CarPlace], where: Georeference
) -> FloatArray:
    """How long the drive from home to each place lasts.

    Parameters
    ----------
    settings : where the drive begins, and speeds by kind of road.
    roads : of the region.
    places : where it may end.
    where : the region.

    Returns
    -------
    ndarray, shape (len(places),)
        [min]; infinite where no road leads.

    Raises
    ------
    InputError
        If home lies on no road of the region, or there are no roads.
    """
    if not roads:
        raise InputError('a drive time needs a layer of kind "roads"; add one, or leave [drive] out')
    graph = road_graph(roads, settings)
    nodes = np.array(graph.nodes, dtype=float) * SAME_M
    tree = cKDTree(nodes)
    home = carried(np.array([parse_place(settings.home)]), where.way_from(DEGREES))[0]
    away_m, start = tree.query(home)
    if away_m > 10 * REACH_M:
        raise InputError(f"drive.home lies {away_m / 1000:.1f} km from the nearest road of the region; move it")
    key = list(graph.nodes)
    seconds = nx.single_source_dijkstra_path_length(graph, key[int(start)], weight="seconds")
    off_m, ends = tree.query(np.array([place.xy_m for place in places]))
    words = np.array([seconds.get(key[int(end)], np.inf) for end in ends]) / 60
    return np.where(off_m <= REACH_M, words, np.inf)


def road_graph(roads: Sequence["Feature"], settings: DriveSettings) -> "nx.Graph[tuple[int, int]]":
    """Roads as a graph: vertices by whole metres, seconds on the edges; long pieces are split for places to find."""
    graph: nx.Graph[tuple[int, int]] = nx.Graph()
    for road in roads:
        speed_kmh = (settings.speeds_kmh or {}).get(road.kind, settings.speed_kmh)
        line = shapely.segmentize(road.geometry, REACH_M)
        xy = shapely.get_coordinates(line)
        keys = [(x, y) for x, y in np.round(xy / SAME_M).astype(np.int64).tolist()]
        lengths = segment_lengths(xy).tolist()
        for a, b, length in zip(keys[:-1], keys[1:], lengths, strict=True):
            seconds = length * KMH / speed_kmh
            if a != b and seconds < graph.get_edge_data(a, b, {"seconds": np.inf})["seconds"]:
                graph.add_edge(a, b, seconds=seconds)
    return graph
