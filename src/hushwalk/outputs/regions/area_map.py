"""Small maps of areas, all at one scale: what is drawn, in millimetres, the same for page and paper.

How it comes onto a page is area_canvas.py's business.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from PIL import Image
from shapely import box

from hushwalk.errors import OutputError
from hushwalk.grid.layer import Layer
from hushwalk.grid.terrain import hillshade
from hushwalk.outputs.kit.palette import BANDS, COLOURS, TONES, rgb
from hushwalk.regions.area_report import Areas, Plate
from hushwalk.site.country import Geometry
from hushwalk.types import FloatArray
from hushwalk.wording.measures import unit

SIDE_MM = 76.0  # judgement: three maps and their words to a page
SCALES = (20_000, 25_000, 40_000, 50_000, 60_000, 75_000, 100_000, 125_000, 150_000, 200_000, 250_000, 300_000, 400_000)
ROUND_M = 150.0  # judgement: ground kept free round the reach, so that its edge can be read
GRID_M = 1000.0
HAIR, THIN, LINE = 0.12, 0.25, 0.45
NAME_MM, EDGE_MM = 2.2, 8.0  # judgement: readable on paper, and clear of scale bar and numbers
CORNER_MM = 5.0  # judgement: nearer to a corner the numbers of the two sides run into one another or off the map
BAR_MM = 30.0
ONE = {"miles": "mile"}
BAR_LENGTHS = (0.5, 1, 2, 5, 10, 20, 50, 100, 200)
CHEAPEST = 255  # definition: index of clear in the picture
FLAT = 0.7071  # definition: brightness of level ground under a light at 45 degrees
STEEP, DEEPEST = 0.15, 0.45  # judgement: a slope that is drawn as dark as any, and how dark that is


@dataclass(frozen=True, eq=False)
class Stroke:
    """Lines or rings [mm]: an edge, a fill, a hatching, or several of them."""

    lines: tuple[FloatArray, ...] = field(repr=False)
    edge: str | None = None
    width: float = LINE
    dash: tuple[float, ...] = ()
    fill: str | None = None
    hatched: bool = False
    rings: bool = False


@dataclass(frozen=True)
class Word:
    """Words on a map; size in mm; ``cleared`` whitens the ground below."""

    at: tuple[float, float]
    words: str
    size: float
    place: str = "centre"
    colour: str = COLOURS["text"]
    cleared: bool = False


@dataclass(frozen=True, eq=False)
class Picture:
    """An image with its left, bottom, width and height [mm]."""

    image: Image.Image = field(repr=False)
    place: tuple[float, float, float, float]


@dataclass(frozen=True, eq=False)
class Drawing:
    """A map: its size [mm], its scale, and what is drawn, the lowest first."""

    width: float
    height: float
    scale: int
    items: tuple[Stroke | Word | Picture, ...] = field(repr=False)
    label: str = ""


@dataclass(frozen=True)
class _View:
    """Where a map looks: size [mm], scale, and its south-west corner [m]."""

    width: float
    height: float
    scale: int
    corner: tuple[float, float]

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        west, south = self.corner
        return west, south, west + self.width * self.scale / 1000, south + self.height * self.scale / 1000

    def at(self, xy_m: FloatArray) -> FloatArray:
        placed: FloatArray = (np.asarray(xy_m, dtype=float) - self.corner) * (1000 / self.scale)
        return placed


def one_scale(plates: Sequence[Plate]) -> int:
    """Give the largest scale at which the reach of every plate fits its map.

    Raises
    ------
    OutputError
        If none does.
    """
    need = max((float(np.ptp(_reach_box(plate), axis=0).max()) for plate in plates), default=0.0)
    for scale in SCALES:
        if need <= SIDE_MM * scale / 1000:
            return scale
    raise OutputError(f"a reach of {need / 1000:.0f} km fits no map of the report; shorten longest_walk_km")


def plate_drawing(plate: Plate, scale: int) -> Drawing:
    """Draw the ground of one area."""
    middle = _reach_box(plate).mean(axis=0)
    corner = middle - SIDE_MM * scale / 2000
    view = _View(SIDE_MM, SIDE_MM, scale, (float(corner[0]), float(corner[1])))
    words = f"Map of area {plate.area.rank}, {plate.area.place.name}: suitability, reach on foot, and the car"
    items = (*_ground(plate, view), *_walk(plate, view), *_names(plate, view), *_bar(view), _frame(view))
    return Drawing(SIDE_MM, SIDE_MM, scale, items, words)


def overview_drawing(areas: Areas, room_mm: tuple[float, float] = (180.0, 120.0)) -> Drawing:
    """Draw the region with every place into a room; the areas looked at closer carry their rank."""
    grid = areas.overview.grid
    west, south, east, north = grid.bounds
    scale = max((east - west) * 1000 / room_mm[0], (north - south) * 1000 / room_mm[1])
    scale = float(np.ceil(scale / 10 ** np.floor(np.log10(scale) - 1)) * 10 ** np.floor(np.log10(scale) - 1))
    view = _View((east - west) * 1000 / scale, (north - south) * 1000 / scale, int(scale), (west, south))
    looked = {plate.area.rank for plate in areas.plates}
    rest = [_spot(view.at(np.array(a.place.xy_m)), 0.8) for a in areas.areas if a.rank not in looked]
    items: list[Stroke | Word | Picture] = [_picture(areas.overview, view)]
    items += [Stroke((spot,), COLOURS["text"], THIN, fill="#ffffff", rings=True) for spot in rest]
    for plate in reversed(areas.plates):
        at = view.at(np.array(plate.area.place.xy_m))
        items.append(Stroke((_spot(at, 2.4),), COLOURS["casing"], THIN, fill=COLOURS["text"], rings=True))
        items.append(Word((float(at[0]), float(at[1]) - 1.0), str(plate.area.rank), 2.8, colour="#ffffff"))
    words = f"Map of {areas.settings.region.name} with the ranked places"
    return Drawing(view.width, view.height, int(scale), (*items, *_bar(view), _frame(view)), words)


def signs_shown(plates: Sequence[Plate]) -> tuple[str, ...]:
    """Give the signs of the key that the maps of areas show."""
    kinds = {"road": "roads", "trail": "trails", "stream": "streams", "closed": "closed"}
    return ("reach", "stop", *(sign for sign, kind in kinds.items() if any(plate.shapes[kind] for plate in plates)))


def key_drawing(sign: str) -> Drawing:
    """Draw the sign of a line or an area for the key."""
    wide, high = 9.0, 4.6
    line = (np.array([[0.3, high / 2], [wide - 0.3, high / 2]]),)
    patch = (_box(0.3, 0.5, wide - 0.6, high - 1),)
    signs = {
        "reach": (Stroke(line, "#ffffff", 1.1), Stroke(line, COLOURS["walk"], 0.5)),
        "stop": (
            Stroke((_spot(np.array([wide / 2, high / 2]), 0.9),), COLOURS["text"], 0.3, fill="#ffffff", rings=True),
        ),
        "road": (Stroke(line, COLOURS["text"], 0.8), Stroke(line, "#ffffff", 0.4)),
        "trail": (Stroke(line, COLOURS["trail"], THIN, (1.4, 0.7)),),
        "stream": (Stroke(line, COLOURS["stream"], THIN),),
        "closed": (Stroke(patch, COLOURS["text"], THIN, hatched=True, rings=True),),
    }
    return Drawing(wide, high, 1, signs[sign])


def picture_of(layer: Layer) -> Image.Image:
    """Suitability in the steps of the palette, a pixel a cell; unknown ground is clear."""
    step = np.searchsorted([band.low for band in BANDS[1:]], np.nan_to_num(layer.values), side="right")
    image = Image.fromarray(np.where(layer.known, step, CHEAPEST).astype(np.uint8), "P")
    colours = [part for band in BANDS for part in rgb(band.colour)]
    image.putpalette(bytes(colours) + bytes(3 * 256 - len(colours)))
    image.info["transparency"] = CHEAPEST
    return image


def relief_of(elevation: Layer) -> Image.Image:
    """Shadow of the ground as a black veil, clear where it faces the light or no height is known, a pixel a cell."""
    shade = hillshade(elevation, exaggeration=2.0)
    turned = np.nan_to_num(FLAT - shade.values)
    deepest = max(float(np.percentile(turned, 98)), STEEP)  # a gentle country keeps gentle shadows
    veil = (np.clip(turned / deepest, 0.0, 1.0) * DEEPEST * CHEAPEST).astype(np.uint8)
    return Image.merge("LA", (Image.new("L", (veil.shape[1], veil.shape[0]), 0), Image.fromarray(veil, "L")))


def _reach_box(plate: Plate) -> FloatArray:
    west, south, east, north = plate.reach.bounds
    return np.array([[west - ROUND_M, south - ROUND_M], [east + ROUND_M, north + ROUND_M]])


def _picture(layer: Layer, view: _View) -> Picture:
    return _placed(picture_of(layer), layer, view)


def _placed(image: Image.Image, layer: Layer, view: _View) -> Picture:
    west, south, east, north = layer.grid.bounds
    low, high = view.at(np.array([[west, south], [east, north]]))
    return Picture(image, (float(low[0]), float(low[1]), float(high[0] - low[0]), float(high[1] - low[1])))


def _ground(plate: Plate, view: _View) -> Iterable[Stroke | Picture]:
    shapes = {kind: _lines(plate.shapes[kind], view) for kind in ("streams", "roads", "trails")}
    yield _picture(plate.suitability, view)
    if plate.elevation is not None and plate.elevation.known.any():
        yield _placed(relief_of(plate.elevation), plate.elevation, view)
    for pond in plate.shapes["water"]:
        yield Stroke(_lines([pond], view), COLOURS["stream"], HAIR, fill=TONES["water"], rings=True)
    yield Stroke(tuple(_grid(view)), COLOURS["grid"], HAIR)
    yield Stroke(shapes["streams"], COLOURS["stream"], THIN)
    yield Stroke(shapes["roads"], COLOURS["text"], 0.8)
    yield Stroke(shapes["roads"], "#ffffff", 0.4)
    yield Stroke(shapes["trails"], "#ffffff", 0.5)
    yield Stroke(shapes["trails"], COLOURS["trail"], THIN, (1.4, 0.7))
    for parcel in plate.shapes["closed"]:
        fence = parcel.geom_type == "LineString"
        yield Stroke(_lines([parcel], view), COLOURS["text"], THIN, hatched=not fence, rings=not fence)


def _walk(plate: Plate, view: _View) -> Iterable[Stroke | Word]:
    parts = [part for part in getattr(plate.reach, "geoms", [plate.reach]) if part.area > 0]
    edge = _lines([part.exterior for part in parts], view)
    yield Stroke(_lines([hole for part in parts for hole in part.interiors], view), COLOURS["walk"], THIN, rings=True)
    yield Stroke(edge, "#ffffff", 1.1, rings=True)
    yield Stroke(edge, COLOURS["walk"], 0.5, rings=True)
    for at in view.at(plate.stops_m):
        yield Stroke((_spot(at, 0.9),), COLOURS["text"], 0.3, fill="#ffffff", rings=True)
    x, y = view.at(np.array(plate.area.place.xy_m)).tolist()
    yield Stroke((_box(x - 3.6, y - 1.7, 7.2, 3.4),), "#ffffff", 0.3, fill=COLOURS["text"], rings=True)
    yield Word((x, y - 0.9), "CAR", 2.5, colour="#ffffff")


def _names(plate: Plate, view: _View) -> Iterable[Word]:
    """Names of waters and ways that lie clear of the car and of one another, and the kilometres of the grid."""
    taken = [view.at(np.array(plate.area.place.xy_m))]
    for name, xy in plate.names:
        at = view.at(np.array(xy))
        wide = NAME_MM * 0.6 * len(name) / 2
        inside = wide < at[0] < view.width - wide and EDGE_MM < at[1] < view.height - EDGE_MM
        if inside and all(np.abs(at - other)[1] > 2 * NAME_MM or np.abs(at - other)[0] > 2 * wide for other in taken):
            taken.append(at)
            yield Word((float(at[0]), float(at[1])), name, NAME_MM, colour=COLOURS["text"], cleared=True)
    west, south, east, north = view.bounds
    step = GRID_M * max(1, round(view.scale / 50_000))
    for x in np.arange(np.ceil(west / step) * step, east, step):
        across = float(view.at(np.array([x, south]))[0])
        if CORNER_MM < across < view.width - CORNER_MM:
            yield Word((across, view.height - 2.6), _km(x), 1.9, colour=COLOURS["grid"])
    for y in np.arange(np.ceil(south / step) * step, north, step):
        up = float(view.at(np.array([west, y]))[1])
        if up < view.height - CORNER_MM:
            yield Word((view.width - 2.2, up + 0.4), _km(y), 1.9, colour=COLOURS["grid"])


def _km(metres: float) -> str:
    return f"{int(metres // 1000) % 100:02d}"


def _bar(view: _View) -> tuple[Stroke | Word, ...]:
    words, unit_m = unit("long")
    per_unit = 1000 * unit_m / view.scale
    long = max((length for length in BAR_LENGTHS if length * per_unit <= BAR_MM), default=BAR_LENGTHS[0])
    wide = long * per_unit
    back = Stroke((_box(0, 0, wide + 5, 6.2),), fill="#ffffff", rings=True)
    bar = Stroke((np.array([[2.5, 2.9], [2.5, 1.7], [2.5 + wide, 1.7], [2.5 + wide, 2.9]]),), COLOURS["text"], 0.4)
    return back, bar, Word((2.5 + wide / 2, 3.1), f"{long:g} {ONE.get(words, words) if long == 1 else words}", 2.4)


def _frame(view: _View) -> Stroke:
    return Stroke((_box(0, 0, view.width, view.height),), COLOURS["text"], 0.3, rings=True)


def _grid(view: _View) -> Iterable[FloatArray]:
    west, south, east, north = view.bounds
    for x in np.arange(np.ceil(west / GRID_M) * GRID_M, east, GRID_M):
        yield view.at(np.array([[x, south], [x, north]]))
    for y in np.arange(np.ceil(south / GRID_M) * GRID_M, north, GRID_M):
        yield view.at(np.array([[west, y], [east, y]]))


def _lines(shapes: Iterable[Geometry], view: _View) -> tuple[FloatArray, ...]:
    """Lines, and the rings of areas, as far as the map shows them [mm]."""
    frame = box(*view.bounds).buffer(0.002 * view.scale)
    cut = (shape.intersection(frame) for shape in shapes)
    parts = [part for shape in cut for part in getattr(shape, "geoms", [shape]) if not part.is_empty]
    rings = [(part.exterior, *part.interiors) if part.geom_type == "Polygon" else (part,) for part in parts]
    return tuple(view.at(np.asarray(ring.coords)[:, :2]) for found in rings for ring in found)


def _spot(at: FloatArray, radius: float) -> FloatArray:
    turn = np.linspace(0, 2 * np.pi, 25)[:-1]
    return at + radius * np.stack([np.cos(turn), np.sin(turn)], axis=-1)


def _box(left: float, bottom: float, width: float, height: float) -> FloatArray:
    return np.array([[left, bottom], [left + width, bottom], [left + width, bottom + height], [left, bottom + height]])
