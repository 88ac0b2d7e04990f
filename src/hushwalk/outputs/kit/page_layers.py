"""What lies on the page's map, as GeoJSON in degrees with its style, and the labels that stand on it.

How they become a page is html_map.py's business.
"""

from collections.abc import Callable, Iterable, Sequence
from typing import Any

import numpy as np
from shapely import LineString, get_coordinates, set_coordinates
from shapely.geometry import mapping

from hushwalk.grid.polyline import distances_along, points_along, rings_area
from hushwalk.morning.report import Report
from hushwalk.outputs.kit.contours import Contour, contour_interval, contours, label_place
from hushwalk.outputs.kit.crossing_signs import crossing_layers
from hushwalk.outputs.kit.detection_layers import detection_layers
from hushwalk.outputs.kit.labels import free_places, round_box
from hushwalk.outputs.kit.map_layer import MapLayer, Style, area, line
from hushwalk.outputs.kit.palette import COLOURS
from hushwalk.outputs.kit.pictures import on_page
from hushwalk.site.country import Geometry
from hushwalk.site.scene import Scene
from hushwalk.types import FloatArray
from hushwalk.wording.measures import height

ARROW_EVERY_M = 50.0  # judgement: so close that one stands free of stops at most zooms; the page hides those too near
LABEL_M = 70.0
ASIDE_PX = 24.0  # judgement: nearer to a number than this the car would hide it


def drawn_layers(report: Report) -> tuple[MapLayer, ...]:
    """Give every layer of lines and areas of a morning, from the lowest to the topmost."""
    return (
        *ground_layers(report),
        MapLayer("earshot", "Earshot of the stops", _earshot_parts(report), shown=True),
        *(detection_layers(report.detections) if report.detections else ()),
        MapLayer("plain", "Plain walk to compare", ((line(COLOURS["plain"], 3, "2 6"), _plain(report)),), shown=False),
        MapLayer(
            "back",
            "Straight back to the car",
            ((line(COLOURS["way_back"], 2.5, "3 5"), tuple(LineString(path) for _, path in report.bail_outs)),),
            shown=False,
        ),
        *_quiet_ways(report),
        *crossing_layers(report),
        MapLayer("walk", "The walk", walk_parts(leg.line_m for leg in report.legs), shown=True),
        MapLayer("stops", "Stops and times", (), shown=True),
    )


def ground_layers(scene: Scene) -> tuple[MapLayer, ...]:
    """Give the ground: contour lines, water, trails, closed ground and the grid."""
    country = scene.country
    return (
        MapLayer("contours", "Contour lines", _contour_parts(scene), shown=True),
        MapLayer(
            "water",
            "Water and wet ground",
            (
                (area(COLOURS["wetland"], "url(#wet)", 0), country.wetlands),
                (area(COLOURS["stream"], COLOURS["water"]), country.water),
                (line(COLOURS["stream"], 2.2), country.streams),
            ),
            shown=True,
        ),
        MapLayer(
            "trails",
            "Trails and roads",
            (
                (line(COLOURS["casing"], 6), country.roads),
                (line(COLOURS["road"], 3.5), country.roads),
                (line(COLOURS["casing"], 4.5, opacity=0.8), country.trails),
                (line(COLOURS["trail"], 2.2, "9 5"), country.trails),
            ),
            shown=True,
        ),
        MapLayer(
            "closed", "Closed ground", ((area(COLOURS["closed"], "url(#hatch)", 2.0), country.closed),), shown=True
        ),
        *_houses(scene),
        MapLayer("grid", "UTM grid", ((line(COLOURS["grid"], 1.0, opacity=0.7), grid_lines(scene)[0]),), shown=False),
    )


def _houses(scene: Scene) -> tuple[MapLayer, ...]:
    """Give the houses, where a layer has any: a switch that shows nothing only puzzles."""
    drawn = ((area(COLOURS["house"], COLOURS["house"], 1.0), scene.country.buildings),)
    return (MapLayer("houses", "Houses", drawn, shown=True),) if len(scene.country.buildings) else ()


def as_features(scene: Scene, shapes: Iterable[Geometry]) -> dict[str, Any]:
    """Turn shapes on the grid of the trip into a feature collection in degrees."""
    return {
        "type": "FeatureCollection",
        "features": [
            {"type": "Feature", "properties": {}, "geometry": mapping(_turned(scene, shape))} for shape in shapes
        ],
    }


def height_labels(scene: Scene) -> list[tuple[float, float, float, str]]:
    """Give heights for the heavier contour lines: latitude, longitude, turn [deg, clockwise], text."""
    facts = []
    for contour in _contours(scene):
        place = label_place(contour.line_m, LABEL_M) if contour.index else None
        if place:
            lon, lat = on_page(scene.grid, np.asarray(place.xy_m)).tolist()
            turn = round(scene.north.convergence_deg - place.angle_deg, 1)
            facts.append((lat, lon, turn, height(contour.height_m).partition(" ")[0]))
    return facts


def arrows(scene: Scene, lines_m: Iterable[FloatArray]) -> list[tuple[float, float, float]]:
    """Give arrows along lines that are walked: latitude, longitude, direction [deg from true north]."""
    facts = []
    for line_m in lines_m:
        length_m = distances_along(line_m)[-1]
        for where in np.arange(min(ARROW_EVERY_M, length_m) / 2, length_m, ARROW_EVERY_M):
            at, ahead = (points_along(line_m, where + step) for step in (-6.0, 6.0))
            turn = np.degrees(np.arctan2(*(ahead - at))) + scene.north.convergence_deg
            lon, lat = on_page(scene.grid, (at + ahead) / 2).tolist()
            facts.append((lat, lon, round(float(turn) % 360, 1)))
    return facts


def grid_lines(scene: Scene) -> tuple[tuple[Geometry, ...], list[tuple[float, float, str]]]:
    """Give the lines of the UTM grid, and their kilometres as latitude, longitude, text."""
    west, south, east, north = scene.grid.bounds
    step = 500.0 if east - west < 4000 else 1000.0  # noqa: PLR2004 - judgement: four to nine lines on the ground
    lines: list[Geometry] = []
    words = []
    for x in np.arange(np.ceil(west / step) * step, east, step):
        lines.append(LineString([(x, south), (x, north)]))
        words.append((x + 12, south + 30, f"{x / 1000:g} E"))
    for y in np.arange(np.ceil(south / step) * step, north, step):
        lines.append(LineString([(west, y), (east, y)]))
        words.append((west + 12, y + 30, f"{y / 1000:g} N"))
    facts = []
    for x, y, text in words:
        lon, lat = on_page(scene.grid, np.array([x, y])).tolist()
        facts.append((lat, lon, text))
    return tuple(lines), facts


def plain_drawing(
    layers: Sequence[MapLayer],
    pins: Sequence[tuple[str, tuple[float, float]]],
    place: Callable[[FloatArray], FloatArray],
    size_px: tuple[int, int],
    times: Sequence[str] = (),
) -> str:
    """Draw a map as SVG over the relief, for readers that run no scripts.

    Parameters
    ----------
    layers : of lines and areas, from the lowest to the topmost.
    pins : the car, which has no number, then numbers and their places [m].
    place : turns points of the grid, shape (n, 2), into pixels.
    size_px : width and height of the picture.
    times : written beside the numbered places, in their order, where there is room.

    Returns
    -------
    str
        One SVG element.
    """
    width, height = size_px
    unit = max(size_px) / 500
    facts = [f'<svg viewBox="0 0 {width} {height}" role="img" aria-label="The walk and its numbered places">']
    for layer in layers:
        for style, shapes in layer.parts if layer.shown else ():
            facts += [_svg(style, ring, place, unit) for shape in shapes for ring in _rings(shape)]
    spots = [place(np.array([xy]))[0] for _, xy in pins]
    facts += [_pin_svg(number, spot, spots, unit) for (number, _), spot in zip(pins, spots, strict=True)][::-1]
    facts += _times_svg(times, spots, size_px, unit)
    return "".join([*facts, "</svg>"])


def _pin_svg(number: str, spot: FloatArray, spots: Sequence[FloatArray], unit: float) -> str:
    """Draw a numbered place, or the car: aside with a leader where it would hide a number."""
    x, y = spot.round(1)
    ring = f'stroke="{COLOURS["text"]}" stroke-width="{1.5 * unit:.1f}"'
    if number:
        return f'<circle cx="{x}" cy="{y}" r="{9 * unit:.1f}" fill="{COLOURS["stop"]}" {ring}/>' + _text_svg(
            (x, y + 4 * unit), number, 12 * unit, COLOURS["text"]
        )
    near = [other for other in spots[1:] if float(np.hypot(*(other - spot))) < ASIDE_PX * unit]
    away = spot - np.mean(near, axis=0) if near else np.zeros(2)
    way = away / max(float(np.hypot(*away)), 1e-9) if near and float(np.hypot(*away)) > 0 else np.array([1.0, -1.0])
    at = spot + ASIDE_PX * unit * way if near else spot
    left, top = (at - np.array([15.0, 8.0]) * unit).round(1)
    leader = f'<path d="M{x} {y}L{at[0]:.1f} {at[1]:.1f}" {ring}/>' if near else ""
    box = (
        f'<rect x="{left}" y="{top}" width="{30 * unit:.1f}" height="{16 * unit:.1f}" fill="{COLOURS["walk"]}" {ring}/>'
    )
    return leader + box + _text_svg((float(at[0]), float(at[1]) + 4 * unit), "CAR", 11 * unit, COLOURS["paper"])


def _times_svg(times: Sequence[str], spots: Sequence[FloatArray], size_px: tuple[int, int], unit: float) -> list[str]:
    """Write times beside their places where they hide nothing."""
    wide, high = 34 * unit, 13 * unit
    points = spots[1 : 1 + len(times)]
    taken = [round_box(spots[0], 16 * unit)] if len(spots) else []
    frame = (0.0, 0.0, float(size_px[0]), float(size_px[1]))
    places = free_places(points, (wide, high), 11 * unit, taken, frame, np.empty((0, 2)))
    return [
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="{high:.1f}" fill="{COLOURS["paper"]}" '
        f'fill-opacity=".9"/>' + _text_svg((x + wide / 2, y + 0.8 * high), words, 11 * unit, COLOURS["text"])
        for words, (x, y) in ((w, p) for w, p in zip(times, places, strict=True) if p is not None)
    ]


def _text_svg(at: tuple[float, float], words: str, size: float, colour: str) -> str:
    return (
        f'<text x="{at[0]:.1f}" y="{at[1]:.1f}" font-size="{size:.1f}" font-weight="700" text-anchor="middle" '
        f'fill="{colour}">{words}</text>'
    )


def _svg(style: Style, ring: FloatArray, place: Callable[[FloatArray], FloatArray], unit: float) -> str:
    path = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in place(ring))
    dash = f' stroke-dasharray="{style["dashArray"]}"' if "dashArray" in style else ""
    fill = style["fillColor"] if style["fill"] else "none"
    return (
        f'<path d="{path}" fill="{fill}" stroke="{style["color"]}" stroke-width="{0.6 * style["weight"] * unit:.1f}" '
        f'stroke-opacity="{style["opacity"]}"{dash}/>'
    )


def _rings(shape: Geometry) -> list[FloatArray]:
    parts = getattr(shape, "geoms", [shape])
    return [np.asarray(getattr(part, "exterior", part).coords)[:, :2] for part in parts if not part.is_empty]


def _turned(scene: Scene, shape: Geometry) -> Geometry:
    points = get_coordinates(shape)
    return set_coordinates(shape, on_page(scene.grid, points)) if len(points) else shape


def _contours(scene: Scene) -> tuple[Contour, ...]:
    elevation = scene.country.elevation
    return contours(elevation, contour_interval(elevation))


def _contour_parts(scene: Scene) -> tuple[tuple[Style, tuple[Geometry, ...]], ...]:
    found = _contours(scene)
    styles = ((False, line(COLOURS["contour"], 0.8, opacity=0.75)), (True, line(COLOURS["contour"], 1.8, opacity=0.9)))
    return tuple(
        (style, tuple(LineString(c.line_m).simplify(1.5) for c in found if c.index is heavy)) for heavy, style in styles
    )


def _earshot_parts(report: Report) -> tuple[tuple[Style, tuple[Geometry, ...]], ...]:
    rings = tuple(rings_area(stop.earshot) for stop in report.stops if stop.earshot)
    return ((line(COLOURS["casing"], 4, opacity=0.7), rings), (line(COLOURS["earshot"], 1.6, "2 5"), rings))


def _quiet_ways(report: Report) -> tuple[MapLayer, ...]:
    """Give the ways in to likely ground; no layer where there is none."""
    stops = report.closing.stops if report.closing else ()
    ways = tuple(LineString(ground.way_in.line_m) for one in stops for ground in one.grounds if ground.way_in)
    if not ways:
        return ()
    parts = ((line(COLOURS["casing"], 5, opacity=0.8), ways), (line(COLOURS["bird"], 2.2, "1 5"), ways))
    return (MapLayer("ways_in", "Quiet ways in", parts, shown=False),)


def walk_parts(lines_m: Iterable[FloatArray]) -> tuple[tuple[Style, tuple[Geometry, ...]], ...]:
    """Draw lines that are walked, dark on a light casing."""
    legs = tuple(LineString(line_m) for line_m in lines_m)
    return ((line(COLOURS["casing"], 8), legs), (line(COLOURS["walk"], 4), legs))


def _plain(report: Report) -> tuple[Geometry, ...]:
    return () if report.plain.line_m is None else (LineString(report.plain.line_m),)
