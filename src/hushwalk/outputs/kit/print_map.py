"""Draws one map page of the sheet: ground, grid, walk and stops, in vectors, true to scale.

What stands round the frame is print_margin.py's business.
"""

import itertools
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace

import numpy as np
from contourpy import FillType, contour_generator
from scipy.ndimage import gaussian_filter
from shapely import LineString, box, get_parts, make_valid
from shapely.geometry import Polygon

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.points import to_lonlat, usng_text
from hushwalk.grid.polyline import distances_along, points_along, rings_area
from hushwalk.morning.report import Report
from hushwalk.outputs.kit.contours import contour_interval, contours, label_place
from hushwalk.outputs.kit.crossing_signs import draw_crossings, draw_others
from hushwalk.outputs.kit.good_ground import good_ground
from hushwalk.outputs.kit.labels import free_places
from hushwalk.outputs.kit.palette import COLOURS, SHEET_PT
from hushwalk.outputs.kit.paper import MM, MapPage
from hushwalk.outputs.kit.pen import Pen, inside
from hushwalk.outputs.kit.pen import box as frame_box
from hushwalk.outputs.kit.print_detections import draw_birds, draw_logs
from hushwalk.site.country import Geometry
from hushwalk.site.scene import Scene
from hushwalk.types import FloatArray
from hushwalk.wording.formats import clock
from hushwalk.wording.measures import height

GOOD_GREY = "#e6e6e6"  # judgement: the lightest grey that a home printer still lays down evenly
GRID_TO = {3_000: 100.0, 6_000: 200.0, 12_000: 500.0}  # judgement: at larger scales lines leave too much open ground
BUILT = "developed"  # definition: key of the cover kind of built-up ground and roads


STREAM_PT, INDEX_PT, CONTOUR_PT = 1.3, 0.8, 0.35  # judgement: streams are darker and wider, also in grey
Strokes = tuple[tuple[str, float, tuple[float, ...]], ...]
# judgement: the wider, the more cars; a track is a road with gaps
ROAD: Strokes = ((COLOURS["text"], 2.4, ()), ("#ffffff", 1.2, ()))
BUSY_ROAD: Strokes = ((COLOURS["text"], 3.8, ()), ("#b9b9b9", 2.4, ()))
TRACK: Strokes = (("#ffffff", 3.0, ()), (COLOURS["text"], 2.0, (7.0, 2.5)), ("#ffffff", 1.0, ()))


def draw_map(pen: Pen, report: Report, page: MapPage, *, times: bool = True) -> None:
    """Draw the ground and the walk inside the frame, and the grid's numbers round it; ``times`` beside the stops.

    Parameters
    ----------
    pen, page : where to draw.
    report : the morning.
    times : writes arrival and departure beside the stops.
    """
    lines = [leg.line_m for leg in report.legs]
    stops = [(str(stop.number), stop.place.xy_m) for stop in report.stops]
    with on_ground(pen, report, page):
        _earshot(pen, report, page)
        if report.detections:
            draw_birds(pen, report.detections, page)
        for _, line in report.bail_outs:
            pen.line(page.points(line), COLOURS["way_back"], 0.7, (2, 2))
        draw_crossings(pen, report, page)
        draw_walk(pen, lines, page)
        if times:
            words = [f"{clock(stop.arrive)} to {clock(stop.leave)}" for stop in report.stops]
            draw_times(pen, words, [xy for _, xy in stops], (report.car.xy_m, lines), page)
        draw_numbers(pen, stops, report.car.xy_m, page)
        draw_others(pen, report, page)
        if report.detections:
            draw_logs(pen, report.detections, page)


@contextmanager
def on_ground(pen: Pen, scene: Scene, page: MapPage) -> Iterator[None]:
    """Draw the ground, keep what is drawn in the ``with`` block inside the frame, and number the grid round it.

    Parameters
    ----------
    pen, page : where to draw.
    scene : the ground.
    """
    left, bottom, width, height = page.sheet.frame_mm
    frame = frame_box(left * MM, bottom * MM, width * MM, height * MM)
    with inside(pen.canvas, [frame]):
        _good_ground(pen, scene, page)
        _built_ground(pen, scene, page)
        _country(pen, scene, page)
        _grid(pen, page)
        yield
    pen.area([frame], None, COLOURS["text"], 0.8)
    _grid_numbers(pen, page)


def grid_step_m(page: MapPage) -> float:
    """Distance of the grid lines on a page [m]."""
    return next((step for scale, step in GRID_TO.items() if page.scale <= scale), 1000.0)


def grid_squares(scene: Scene, page: MapPage) -> tuple[str, ...]:
    """Grid zone and squares of 100 km that the page shows, such as ``("15T WN",)``."""
    west, south, east, north = page.bounds_m
    corners = to_lonlat(scene.grid.epsg, [(x, y) for y in (south, north) for x in (west, east)])
    return tuple(dict.fromkeys(" ".join(usng_text(corner, 4).split()[:2]) for corner in corners))


def cropped(layer: Layer, page: MapPage) -> Layer | None:
    """Give the part of a layer that the page shows, or None where it shows none."""
    west, south, east, north = page.bounds_m
    grid = layer.grid
    (top, bottom), (left, right) = grid.rowcol(np.array([[west, north], [east, south]]))
    rows = max(int(top) - 2, 0), min(int(bottom) + 3, grid.n_rows)
    cols = max(int(left) - 2, 0), min(int(right) + 3, grid.n_cols)
    if rows[1] - rows[0] < 2 or cols[1] - cols[0] < 2:  # noqa: PLR2004 - a contour needs two rows and columns
        return None
    part = replace(
        grid,
        west_m=grid.west_m + cols[0] * grid.cell_m,
        north_m=grid.north_m - rows[0] * grid.cell_m,
        n_rows=rows[1] - rows[0],
        n_cols=cols[1] - cols[0],
    )
    return Layer(layer.name, layer.unit, part, layer.values[slice(*rows), slice(*cols)])


def _good_ground(pen: Pen, scene: Scene, page: MapPage) -> None:
    layer, good = cropped(scene.country.suitability, page), good_ground(scene.country)
    if layer is None or good is None:
        return
    for rings in _filled(layer.grid, gaussian_filter(np.nan_to_num(layer.values), 1.0), good.least, page):
        pen.area(rings, GOOD_GREY)


def _built_ground(pen: Pen, scene: Scene, page: MapPage) -> None:
    built = built_ground(scene, page)
    if built is None:
        return
    for rings in _filled(built.grid, built.values, 1 / 2, page):
        pen.dots(rings, COLOURS["house"])


def built_ground(scene: Scene, page: MapPage) -> Layer | None:
    """Give where the cover on a page is built up, 1 or 0; None where no cover is known or none of it is."""
    country = scene.country
    cover = None if country.cover is None else cropped(country.cover, page)
    if cover is None:
        return None
    codes = [code for code, (key, _) in country.kinds.items() if key == BUILT]
    built = np.isin(cover.values, codes).astype(float)
    return Layer("built-up cover", "1", cover.grid, built) if built.any() else None


def _filled(grid: Grid, values: FloatArray, least: float, page: MapPage) -> Iterator[list[FloatArray]]:
    """Give the areas where values reach a level, each as its rings on the page."""
    xs = grid.xy(np.zeros(grid.n_cols, dtype=int), np.arange(grid.n_cols))[:, 0]
    ys = grid.xy(np.arange(grid.n_rows), np.zeros(grid.n_rows, dtype=int))[:, 1]
    found = contour_generator(xs, ys, values, fill_type=FillType.OuterOffset)
    for points, offsets in zip(*found.filled(least, 2.0), strict=True):
        placed = page.points(points)
        yield [placed[a:b] for a, b in itertools.pairwise(offsets)]


def _country(pen: Pen, scene: Scene, page: MapPage) -> None:
    country = scene.country
    for shape in _seen_areas(country.wetlands, page):
        pen.reeds(_rings(shape, page), COLOURS["wetland"])
    for shape in _seen_areas(country.water, page):
        pen.area(_rings(shape, page), "#d3e3f0", COLOURS["stream"], 0.7)
    _contours(pen, scene, page)
    for shape in _seen(country.streams, page):
        _lines(pen, shape, page, COLOURS["stream"], STREAM_PT)
    for shapes, strokes in ((country.roads, ROAD), (country.tracks, TRACK), (country.busy_roads, BUSY_ROAD)):
        for shape in _seen(shapes, page):
            for colour, width, dash in strokes:
                _lines(pen, shape, page, colour, width, dash)
    for shape in _seen(country.trails, page):
        _lines(pen, shape, page, "#ffffff", 2.0)
        _lines(pen, shape, page, COLOURS["text"], 0.9, (5, 2.5))
    for shape in _seen_areas(country.buildings, page):
        pen.area(_rings(shape, page), COLOURS["house"], COLOURS["house"], 0.5)
    _closed(pen, scene, page)


def _closed(pen: Pen, scene: Scene, page: MapPage) -> None:
    closed = scene.country.closed
    for shape in _seen(closed, page):
        _lines(pen, shape, page, COLOURS["text"], 1.6, (1.0, 2.0))
    for shape in _seen_areas(closed, page):
        rings = _rings(shape, page)
        pen.hatch(rings, COLOURS["text"], 5.0)
        pen.area(rings, None, COLOURS["text"], 1.1)
        if np.ptp(rings[0][:, 0]) > pen.width("CLOSED", SHEET_PT["text"], bold=True):
            middle = page.points(np.asarray(shape.representative_point().coords))[0]
            pen.text(middle, "CLOSED", SHEET_PT["text"], bold=True, place="centre", cleared=True)


def _contours(pen: Pen, scene: Scene, page: MapPage) -> None:
    heights = cropped(scene.country.elevation, page)
    if heights is None:
        return
    found = contours(heights, contour_interval(scene.country.elevation))
    for contour in found:
        pen.line(page.points(contour.line_m), COLOURS["contour"], INDEX_PT if contour.index else CONTOUR_PT)
    for contour in (c for c in found if c.index):
        words = height(contour.height_m).partition(" ")[0]
        place = label_place(contour.line_m, 0.011 * page.scale)
        if place:
            at = page.points(np.array([place.xy_m]))[0]
            shift = np.radians(place.angle_deg + 90)
            down = at - 0.36 * SHEET_PT["small"] * np.array([np.cos(shift), np.sin(shift)])
            pen.text(
                down,
                words,
                SHEET_PT["small"],
                colour=COLOURS["contour"],
                place="centre",
                angle_deg=place.angle_deg,
                cleared=True,
            )


def _grid_at(page: MapPage) -> tuple[FloatArray, FloatArray]:
    west, south, east, north = page.bounds_m
    step = grid_step_m(page)
    return (
        np.arange(np.ceil(west / step) * step, east, step),
        np.arange(np.ceil(south / step) * step, north, step),
    )


def _grid(pen: Pen, page: MapPage) -> None:
    west, south, east, north = page.bounds_m
    xs, ys = _grid_at(page)
    for x in xs:
        pen.line(page.points(np.array([[x, south], [x, north]])), COLOURS["grid"], 0.45 if x % 1000 == 0 else 0.25)
    for y in ys:
        pen.line(page.points(np.array([[west, y], [east, y]])), COLOURS["grid"], 0.45 if y % 1000 == 0 else 0.25)


def _grid_numbers(pen: Pen, page: MapPage) -> None:
    """Write the grid's numbers: as many digits at every line, those of whole kilometres heavier."""
    west, south, east, north = page.bounds_m
    xs, ys = _grid_at(page)
    for x in xs:
        for y, drop in ((south, -8.5), (north, 3.0)):
            at = page.points(np.array([[x, y]]))[0] + (0, drop)
            pen.text(
                at, _digits(x, page), SHEET_PT["small"], bold=x % 1000 == 0, place="centre", colour=COLOURS["grid"]
            )
    for y in ys:
        for x, shift, place in ((west, -3.0, "right"), (east, 3.0, "left")):
            at = page.points(np.array([[x, y]]))[0] + (shift, -2.5)
            pen.text(at, _digits(y, page), SHEET_PT["small"], bold=y % 1000 == 0, place=place, colour=COLOURS["grid"])


def _digits(metres: float, page: MapPage) -> str:
    """Two digits of the kilometre; three where lines lie between kilometres, those of whole kilometres too."""
    return f"{int(metres // 1000) % 100:02d}" if grid_step_m(page) >= 1000 else f"{int(metres // 100) % 1000:03d}"  # noqa: PLR2004


def _earshot(pen: Pen, report: Report, page: MapPage) -> None:
    for stop in report.stops:
        if stop.earshot:
            for ring in _rings(rings_area(stop.earshot), page):
                pen.line(ring, COLOURS["text"], 0.7, (0.8, 2.6))


def draw_walk(pen: Pen, lines_m: Sequence[FloatArray], page: MapPage, width: float = 2.2) -> None:
    """Draw lines that are walked, with arrows in walking order.

    Parameters
    ----------
    pen, page : where to draw.
    lines_m : each of shape (n, 2) [m], in walking order.
    width : of the line [pt].
    """
    for line_m in lines_m:
        pen.line(page.points(line_m), "#ffffff", width + 2)
    for line_m in lines_m:
        points = page.points(line_m)
        pen.line(points, COLOURS["walk"], width)
        length = distances_along(points)[-1]
        for where in np.arange(min(50.0, length) / 2, length, 50.0):
            at, ahead = (points_along(points, where + step) for step in (-2.0, 2.0))
            pen.arrow((at + ahead) / 2, float(np.degrees(np.arctan2(*(ahead - at)))), 9.0, COLOURS["walk"])


def draw_numbers(
    pen: Pen, spots: Sequence[tuple[str, tuple[float, float]]], car_m: tuple[float, float], page: MapPage
) -> None:
    """Draw numbered places and the car.

    Parameters
    ----------
    pen, page : where to draw.
    spots : numbers and their places [m].
    car_m : place of the car [m].
    """
    for number, xy in spots:
        at = page.points(np.array([xy]))[0]
        pen.circle(at, 8.0, "#ffffff", COLOURS["text"], 1.8)
        pen.text(at - (0, 3.6), number, SHEET_PT["text"], bold=True, place="centre")
    at = page.points(np.array([car_m]))[0]
    pen.area([frame_box(at[0] - 12, at[1] - 6, 24, 12)], COLOURS["text"], "#ffffff", 1.0)
    pen.text(at - (0, 3.0), "CAR", SHEET_PT["small"], bold=True, colour="#ffffff", place="centre")


def draw_times(
    pen: Pen,
    words: Sequence[str],
    spots_m: Sequence[tuple[float, float]],
    kept_free: tuple[tuple[float, float], Sequence[FloatArray]],
    page: MapPage,
) -> None:
    """Write the times where they hide neither a stop nor one another; without room the number alone must do.

    Parameters
    ----------
    pen, page : where to draw.
    words, spots_m : one a place [m].
    kept_free : the car, and lines that are best not written on [m].
    """
    left, bottom, width, height = (side * MM for side in page.sheet.frame_mm)
    spots = [page.points(np.array([xy]))[0] for xy in spots_m]
    car = page.points(np.array([kept_free[0]]))[0]
    size = SHEET_PT["small"]
    wide = max((pen.width(facts, size, bold=True) for facts in words), default=0.0) + 2
    walk = [page.points(line_m) for line_m in kept_free[1]]
    places = free_places(
        spots,
        (wide, 1.2 * size),
        10.0,
        [(car[0] - 13, car[1] - 7, car[0] + 13, car[1] + 7)],
        (left, bottom, left + width, bottom + height),
        np.concatenate([*walk, np.empty((0, 2))]),
    )
    for facts, place in zip(words, places, strict=True):
        if place:
            pen.text((place[0] + 1, place[1] + 0.28 * size), facts, size, bold=True, cleared=True)


def shows(shapes: tuple[Geometry, ...], page: MapPage) -> bool:
    """Whether any of the shapes lies on the page."""
    frame = box(*page.bounds_m)
    return any(shape.intersects(frame) for shape in shapes)


def _seen(shapes: tuple[Geometry, ...], page: MapPage) -> list[Geometry]:
    """Give the parts of shapes that the page shows: single polygons and lines, also those of nested collections."""
    frame = box(*page.bounds_m).buffer(0.002 * page.scale)
    cut = (make_valid(shape).intersection(frame) for shape in shapes)
    parts = (part for shape in cut for one in get_parts(shape) for part in get_parts(one))
    return [part for part in parts if not part.is_empty and part.geom_type in {"Polygon", "LineString"}]


def _seen_areas(shapes: tuple[Geometry, ...], page: MapPage) -> list[Geometry]:
    """Give the areas that the page shows; an area that was repaired or cut may leave lines behind, which are none."""
    return [part for part in _seen(shapes, page) if part.geom_type == "Polygon"]


def _rings(shape: Geometry, page: MapPage) -> list[FloatArray]:
    parts = [part for part in getattr(shape, "geoms", [shape]) if isinstance(part, Polygon) and not part.is_empty]
    return [page.points(np.asarray(ring.coords)) for part in parts for ring in (part.exterior, *part.interiors)]


def _lines(pen: Pen, shape: Geometry, page: MapPage, colour: str, width: float, dash: tuple[float, ...] = ()) -> None:
    if isinstance(shape, LineString):
        pen.line(page.points(np.asarray(shape.coords)[:, :2]), colour, width, dash)
