"""Asks the open map database for the things on some ground, and makes shapes of its answer.

Which thing is of which kind of layer is map_kinds.py's business.
"""

import json
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import shapely

from hushwalk.errors import ServiceError
from hushwalk.files.vectors import Shapes
from hushwalk.gather.feature_service import clipped
from hushwalk.gather.services import Service, address
from hushwalk.gather.transport import Transport, quoted
from hushwalk.grid.systems import Box
from hushwalk.progress import Progress, Step

LEAST_RING = 4  # definition: points of the smallest closed ring
LEAST_LINE = 2  # definition
AREA_KEYS = (
    "natural",
    "landuse",
    "building",
    "leisure",
    "boundary",
    "military",
    "amenity",
    "place",
    "tourism",
    "access",
)
"""Common practice: a closed way with one of these is an area, one with a highway or a barrier is a line."""


def read_map(one: Service, box: Box, transport: Transport, progress: Progress) -> tuple[Shapes, str]:
    """Read the things of the open map database on some ground.

    Parameters
    ----------
    one : of the family ``"overpass"``.
    box : limits [deg].
    transport : asks, and keeps the answer.
    progress : is called before the question.

    Returns
    -------
    tuple of Shapes and str
        In degrees, with a column for each tag that occurs; and of when the data are.

    Raises
    ------
    ServiceError
        If no server answers in full.
    """
    progress(Step(f"gathering {one.label},", "one answer, up to two minutes"))
    query = query_of(one, box)
    content = transport.kept(f"{one.key} {one.edition} {query}", lambda: _ask(one, query, transport), one.keep_days)
    answer = json.loads(content)
    return shapes_of(answer.get("elements") or [], box), str((answer.get("osm3s") or {}).get("timestamp_osm_base", ""))


def query_of(one: Service, box: Box) -> str:
    """Give the question for some ground."""
    return one.query.strip().format(south=box.south, west=box.west, north=box.north, east=box.east) + "\n"


def _ask(one: Service, query: str, transport: Transport) -> bytes:
    """Ask the servers one after another, never side by side."""
    faults = []
    for pattern in one.patterns:
        try:
            content = transport.post(address(pattern), {"data": query}).content
            _check(content, one)
        except ServiceError as fault:
            faults.append(str(fault))
        else:
            return content
    raise ServiceError("; then ".join(faults))


def _check(content: bytes, one: Service) -> None:
    try:
        answer = json.loads(content)
    except ValueError:
        raise ServiceError(f"{one.label} answers with something else than map data: {quoted(content)}") from None
    remark = str(answer.get("remark", ""))
    if "error" in remark or "timed out" in remark:
        raise ServiceError(f"{one.label} breaks off its answer: {quoted(remark)}")


def shapes_of(elements: Sequence[Mapping[str, Any]], box: Box) -> Shapes:
    """Make shapes of the elements of an answer, clipped to some ground.

    Parameters
    ----------
    elements : nodes, ways and relations with their geometry.
    box : limits [deg].

    Returns
    -------
    Shapes
        With ``osm_id`` and a column for each tag; shapes that cannot be put together are left out.
    """
    drawn, tags = [], []
    for element in elements:
        shape = _shape(element)
        if shape is not None and element.get("tags"):
            drawn.append(shape)
            tags.append({"osm_id": f"{element['type']}/{element.get('id', '')}", **element["tags"]})
    if not drawn:
        return Shapes(np.empty(0, dtype=object), {})
    on_ground = clipped(np.array(drawn, dtype=object), box)
    near = ~shapely.is_empty(on_ground)
    names = dict.fromkeys(name for one in tags for name in one)
    columns = {name: np.array([one.get(name) for one in tags], dtype=object)[near] for name in names}
    return Shapes(on_ground[near], columns)


def _shape(element: Mapping[str, Any]) -> Any:  # noqa: ANN401 - a geometry, or None
    if element["type"] == "node":
        return shapely.Point(element["lon"], element["lat"]) if "lon" in element else None
    if element["type"] == "way":
        return _way(_line(element.get("geometry")), element.get("tags") or {})
    members = [m for m in element.get("members") or [] if m.get("type") == "way"]
    outer = _area([_line(m.get("geometry")) for m in members if m.get("role") != "inner"])
    inner = _area([_line(m.get("geometry")) for m in members if m.get("role") == "inner"])
    if outer is None:
        return None
    return outer if inner is None else shapely.difference(outer, inner)


def _line(points: Sequence[Mapping[str, float] | None] | None) -> list[tuple[float, float]]:
    return [(p["lon"], p["lat"]) for p in points or [] if p]


def _way(line: list[tuple[float, float]], tags: Mapping[str, str]) -> Any:  # noqa: ANN401 - a geometry, or None
    if len(line) < LEAST_LINE:
        return None
    drawn = "highway" in tags or "barrier" in tags or tags.get("waterway") not in {None, "riverbank", "dock"}
    area = tags.get("area") == "yes" or (not drawn and (any(key in tags for key in AREA_KEYS) or "waterway" in tags))
    if area and line[0] == line[-1] and len(line) >= LEAST_RING:
        return shapely.Polygon(line)
    return shapely.LineString(line)


def _area(lines: Sequence[list[tuple[float, float]]]) -> Any:  # noqa: ANN401 - a geometry, or None
    """Put rings together from lines that share their ends; what does not close is left out."""
    usable = [shapely.LineString(line) for line in lines if len(line) >= LEAST_LINE]
    if not usable:
        return None
    rings = shapely.polygonize([shapely.node(shapely.union_all(usable))])
    parts = [part for part in rings.geoms if not part.is_empty]
    return shapely.union_all([shapely.make_valid(part) for part in parts]) if parts else None
