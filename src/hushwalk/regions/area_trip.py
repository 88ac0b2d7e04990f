"""From a ranked area to the trip file of its first morning.

The commented file of a trip that starts from nothing is starter.py's business.
"""

import json
import os
from dataclasses import dataclass, fields, replace
from datetime import date, time
from pathlib import Path
from typing import Any

from hushwalk.errors import ElsewhereError, InputError, MissingFileError
from hushwalk.files.paths import RASTER_ENDINGS, VECTOR_ENDINGS, find, is_extract
from hushwalk.files.rasters import look_at_raster
from hushwalk.files.vectors import look_at_vector
from hushwalk.grid.grid import Grid
from hushwalk.grid.points import to_metres, utm_epsg
from hushwalk.regions.region_file import AreaSettings, read_area_file
from hushwalk.site.bird_range import bird_region
from hushwalk.site.reading.cover_shapes import is_drawn
from hushwalk.site.reading.features import SHAPES
from hushwalk.site.reading.georeferencing import Georeference
from hushwalk.site.reading.point_heights import is_points
from hushwalk.site.reading.tags import extract_layers
from hushwalk.site.settings import LayerSettings, MorningSettings, WalkerSettings, WeatherSettings
from hushwalk.site.species import read_card
from hushwalk.site.starter import write_starter
from hushwalk.site.time_zone import zone_at
from hushwalk.site.trip_file import parse_trip
from hushwalk.text import one_line

SCHEMA = "hushwalk areas 1"
COARSE_M = 100.0  # definition: cells to measure the ground of a trip by
MOST_WHY = 400  # judgement: signs of the comment that heads a trip file
REACH_M = 2500.0  # judgement: a morning's walk seldom leads farther from the car


@dataclass(frozen=True)
class RankedArea:
    """What areas.json says of one area, as far as a trip needs it; a place that was pointed at has no rank."""

    rank: int | None
    name: str
    lat_deg: float
    lon_deg: float
    why: str

    def __post_init__(self) -> None:
        if not (-90 <= self.lat_deg <= 90 and -180 <= self.lon_deg <= 180):  # noqa: PLR2004 - the globe
            raise InputError(f"latitude {self.lat_deg:g}, longitude {self.lon_deg:g} is no place on earth")


def write_area_trip(folder: Path, number: int, areas_json: Path) -> Path:
    """Write the trip file of one ranked area.

    Parameters
    ----------
    folder : of the new trip; is made if it is not there.
    number : rank of the area.
    areas_json : that ``hushwalk areas`` wrote.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    MissingFileError
        If there are no ranked areas there, or their area file is gone.
    InputError
        If the file is none of ranked areas, or has no area of that number.
    OutputError
        If there is a trip.toml already, or the folder cannot be written.
    """
    return write_starter(folder, area_trip_text(folder, number, areas_json))


def area_trip_text(folder: Path, number: int, areas_json: Path) -> str:
    """Give the text of the trip file of one ranked area.

    Parameters
    ----------
    folder : of the new trip.
    number : rank of the area.
    areas_json : that ``hushwalk areas`` wrote.

    Returns
    -------
    str
        TOML.

    Raises
    ------
    MissingFileError
        If there are no ranked areas there, or their area file is gone.
    InputError
        If the file is none of ranked areas, or has no area of that number.
    """
    areas, area_file = _read(areas_json)
    found = [area for area in areas if area.rank == number]
    if not found:
        raise InputError(f"{areas_json} has no area {number}; it ranks 1 to {len(areas)}")
    return _checked_text(read_area_file(area_file), found[0], area_file.parent, folder)


def place_trip_text(folder: Path, lonlat: tuple[float, float], area_file: Path) -> str:
    """Give the text of a trip file for any place of a region, with its layers, its morning and its walker.

    Parameters
    ----------
    folder : of the new trip.
    lonlat : longitude and latitude of the place of the car [deg].
    area_file : of the region.

    Returns
    -------
    str
        TOML.

    Raises
    ------
    ElsewhereError
        If the heights of the region do not reach the place.
    SettingsError
        If the area file cannot be used.
    """
    settings, (lon, lat) = read_area_file(area_file), lonlat
    place = RankedArea(None, f"{lat:.4f}, {lon:.4f}", lat, lon, "pointed at on the map")
    where = _ground_round(settings, place)
    if not any(layer.kind == "elevation" and _reaches(layer, where) for layer in settings.layers):
        raise ElsewhereError(
            f"no layer of heights that {area_file.name} names reaches {place.name}; "
            f"point at a place of {settings.region.name}, or name more layers there"
        )
    return _checked_text(settings, place, area_file.parent, folder)


def _checked_text(settings: AreaSettings, area: RankedArea, old: Path, new: Path) -> str:
    text = trip_text(_here(settings, area), area, old, new)
    parse_trip(text, "the new trip file")
    return text


def _here(settings: AreaSettings, area: RankedArea) -> AreaSettings:
    """Leave out the layers of the region that do not reach the ground of the trip."""
    where = _ground_round(settings, area)
    return replace(settings, layers=tuple(layer for layer in settings.layers if _reaches(layer, where)))


def _ground_round(settings: AreaSettings, area: RankedArea) -> Georeference:
    """Give the ground of a trip there, measured by coarse cells."""
    epsg, reach_m = utm_epsg(area.lon_deg, area.lat_deg), _reach_m(settings)
    east, north = (float(v) for v in to_metres(epsg, [area.lon_deg, area.lat_deg]))
    cells = int(2 * reach_m / COARSE_M)
    grid = Grid(epsg, east - reach_m, north + reach_m, COARSE_M, cells, cells)
    return Georeference(grid, settings.folder, settings.region.network)


def _reaches(layer: LayerSettings, where: Georeference) -> bool:
    label = f"layer {layer.kind}"
    drawn = (layer.kind == "cover" and is_drawn(layer)) or (layer.kind == "elevation" and is_points(layer))
    if layer.kind in SHAPES or drawn:
        address = find(layer.path, where.folder, label, VECTOR_ENDINGS, network=where.network)
        name = layer.layer or next(iter(extract_layers(layer.kind)), None) if is_extract(address) else layer.layer
        vector = look_at_vector(address, label, layer=name, network=where.network, counted=False)
        crs, box = vector.crs, vector.box
    else:
        address = find(layer.path, where.folder, label, RASTER_ENDINGS, network=where.network)
        raster = look_at_raster(address, label, band=layer.band, layer=layer.layer, network=where.network)
        crs, box = raster.crs, raster.box
    crs = layer.crs or crs
    return box is None or any(box.meets(ground) for ground in where.boxes(crs))


def _reach_m(settings: AreaSettings) -> float:
    return max(REACH_M, 500 * settings.morning.longest_walk_km)


def _read(areas_json: Path) -> tuple[tuple[RankedArea, ...], Path]:
    try:
        words = json.loads(areas_json.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise MissingFileError(
            f"there are no ranked areas {areas_json}; make them with: hushwalk areas areas.toml, and name their "
            "areas.json with --areas"
        ) from None
    except (OSError, ValueError, RecursionError) as fault:
        raise InputError(f"{areas_json} cannot be read as ranked areas: {fault}") from None
    if not isinstance(words, dict) or words.get("schema") != SCHEMA:
        raise InputError(f"{areas_json} is no file of ranked areas; name the areas.json that `hushwalk areas` wrote")
    try:
        return tuple(_ranked(area) for area in words["areas"]), (areas_json.parent / words["area_file"]).resolve()
    except (KeyError, TypeError, ValueError, OSError) as fault:
        raise InputError(f"{areas_json} is damaged ({type(fault).__name__}: {fault}); make it anew") from None


def _ranked(words: dict[str, Any]) -> RankedArea:
    place = float(words["latitude_deg"]), float(words["longitude_deg"])
    return RankedArea(int(words["rank"]), str(words["name"]), *place, str(words["why"]))


def trip_text(settings: AreaSettings, area: RankedArea, old: Path, new: Path) -> str:
    """Text of a trip file for one area, with the layers, the morning and the walker of the region.

    Parameters
    ----------
    settings : of the region.
    area : one entry of areas.json.
    old, new : folders that the layer paths start at, and shall start at.

    Returns
    -------
    str
        TOML.
    """
    ranked = "A place" if area.rank is None else f"Area {area.rank}"
    lines = [
        one_line(f"# {ranked} of {settings.region.name}: {area.why}.", most=MOST_WHY),
        f"species = {_toml(_moved(_species(settings, old), old, new))}",
        *([f"units = {_toml(settings.units)}"] if settings.units else []),
        "",
        "[place]",
        f"name = {_toml(one_line(area.name))}",
        f"car = {_toml(f'{area.lat_deg:.6f}, {area.lon_deg:.6f}')}",
        "",
        "[ground]",
        f"reach_m = {_reach_m(settings)}",
        *_region(settings, area),
        _cycle(settings),
        f"network = {_toml(settings.region.network)}",
    ]
    parts: list[tuple[str, MorningSettings | WalkerSettings | WeatherSettings]] = [
        ("morning", settings.morning),
        ("walker", settings.walker),
        ("weather", settings.weather),
    ]
    for name, part in parts:
        lines += ["", f"[{name}]", *_keys(part, ("time_zone",) if settings.zone_derived else ())]
        if name == "morning" and settings.zone_derived:
            lines.append(f"# time_zone = {_toml(zone_at(area.lon_deg, area.lat_deg))}   # derived from the place")
    for layer in settings.layers:
        lines += ["", "[[layer]]", *_layer(layer, old, new)]
    return "\n".join(lines) + "\n"


def _species(settings: AreaSettings, old: Path) -> str:
    """Name of the species card, or its path from the area file where it lies below that one's folder."""
    path = Path(settings.species)
    return path.relative_to(old.resolve()).as_posix() if path.is_relative_to(old.resolve()) else settings.species


def _region(settings: AreaSettings, area: RankedArea) -> list[str]:
    """Region of the species card: as the area file names it, else as a remark what the place makes of it."""
    named = settings.region.region
    if named is not None:
        return [f"region = {_toml(named)}"]
    found = bird_region(read_card(settings.species), None, area.lon_deg, area.lat_deg)
    far = f"; OUT OF RANGE of the bird by {found.out_of_range_km:.0f} km" if found.out_of_range_km else ""
    return [f"# region = {_toml(found.key)}   # assumed from the place{far}"]


def _cycle(settings: AreaSettings) -> str:
    """Year of the cycle: as the area file names it, else as a remark what is assumed."""
    known = settings.region.cycle != "unknown"
    return f"cycle = {_toml(settings.region.cycle)}" if known else '# cycle = "unknown"   # assumed; or "peak" or "low"'


def _keys(part: Any, skip: tuple[str, ...] = ()) -> list[str]:  # noqa: ANN401  any settings table
    words = {item.name: getattr(part, item.name) for item in fields(part) if item.name not in skip}
    return [f"{name} = {_toml(value)}" for name, value in words.items() if value not in (None, "")]


def _layer(layer: LayerSettings, old: Path, new: Path) -> list[str]:
    words = [f"kind = {_toml(layer.kind)}", f"path = {_toml(_moved(layer.path, old, new))}"]
    words += _keys(layer, ("kind", "path", "classes"))
    if layer.classes:
        words += ["[layer.classes]", *(f"{_toml(code)} = {_toml(kind)}" for code, kind in layer.classes.items())]
    return words


def _moved(path: str, old: Path, new: Path) -> str:
    """Name a file from the new folder; names that are no files beside the area file stay as they are."""
    outer, mark, inner = path.partition("!")
    if Path(outer).is_absolute() or not (old / outer).exists():
        return path
    return Path(os.path.relpath(old / outer, new.resolve())).as_posix() + mark + inner


def _toml(value: Any) -> str:  # noqa: ANN401  whatever a TOML file can hold
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, date | time):
        return value.isoformat()
    return json.dumps(value, ensure_ascii=False) if isinstance(value, str) else str(value)
