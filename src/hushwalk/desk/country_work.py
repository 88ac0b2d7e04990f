"""What the planning process works out before there is a morning: the ground of a place, gathering, ranked areas.

What the page asks is country_room.py's; the stories are those of `hushwalk gather` and `hushwalk areas`.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from hushwalk.desk.ground_view import TripScene, scene_view
from hushwalk.desk.trip_document import TRIP_FILE
from hushwalk.desk.trip_edits import place_text
from hushwalk.errors import ElsewhereError, SettingsError
from hushwalk.gather.chosen_ground import chosen_ground
from hushwalk.gather.story import GatherParams, gather
from hushwalk.gather.transport import AskParams
from hushwalk.gather.trip_files import bird_of, layer_tables, next_spring
from hushwalk.outputs.registry import areas_products
from hushwalk.outputs.write import write
from hushwalk.progress import Progress, Step
from hushwalk.regions.area_trip import place_trip_text
from hushwalk.regions.region_file import read_area_file
from hushwalk.regions.region_ground import region_ground
from hushwalk.regions.story import rank_areas
from hushwalk.site.car_place import car_in_water, nearest_road
from hushwalk.site.layers_found import FoundLayers, layers_found
from hushwalk.site.manifest import read_manifest
from hushwalk.site.morning_clock import morning_clock
from hushwalk.site.norths import north_at, north_of
from hushwalk.site.site import read_site
from hushwalk.site.starter import KnownTrip, known_starter
from hushwalk.site.trip_file import read_trip, trip_of_text
from hushwalk.site.units import units_in
from hushwalk.text import one_line
from hushwalk.wording.area_words import area_reasons, cells, columns, lead, unranked_lines
from hushwalk.wording.desk_words import region_drawn_words, road_words
from hushwalk.wording.gather_words import gathered_words
from hushwalk.wording.measures import written_in

Said = dict[str, Any]
AREA_FILE, AREAS = "areas.toml", "areas"
REACH_M = 2500.0  # judgement: a morning's walk seldom leads farther from the car
TOP = 10  # judgement: more are not compared side by side
NO_LAYERS = (
    "there are no layers in this folder: put elevation.tif there, better with cover.tif and streams, trails and roads, "
    "or gather them with the network switch on"
)


def found_here(folder: Path) -> FoundLayers:
    """Give the layers of a folder: those that were gathered, or else files named after what they hold."""
    gathered = read_manifest(folder)
    found = layers_found(folder)
    if not any(one.is_there for one in gathered):
        return found
    return FoundLayers(tuple(one.kind for one in gathered if one.is_there), layer_tables(gathered), found.middle)


def started_trip(folder: Path, said: Said) -> str:
    """Give the text of a trip file for a place that was pointed at, with the layers of the region or of the folder.

    Raises
    ------
    SettingsError
        If there are no layers.
    ElsewhereError
        If those of the region lie elsewhere, and there are no others.
    """
    lat, lon = (float(value) for value in said["at"])
    found, area_file = found_here(folder), folder / AREA_FILE
    if area_file.is_file():
        try:
            return place_trip_text(folder, (lon, lat), area_file)
        except ElsewhereError:
            if "elevation" not in found.kinds:
                raise
    if not found.kinds:
        raise SettingsError(NO_LAYERS)
    name = one_line(str(said.get("name") or "")) or f"{lat:.4f}, {lon:.4f}"
    day = date.fromisoformat(str(said["day"])) if said.get("day") else next_spring(date.today())  # noqa: DTZ011
    return known_starter(KnownTrip(name, lat, lon, day, REACH_M, bird_of(lon, lat), found.tables))


def _base(progress: Progress, folder: Path, said: Said) -> Said:
    """Draw the layers of a folder round a place, of its region, or round their middle; say where the next road is."""
    path, at = folder / TRIP_FILE, said.get("at")
    if path.exists():
        trip = read_trip(path)
        car = trip.place.car if at is None else place_text(at)
        settings = replace(trip, place=replace(trip.place, car=car))
    elif at is None and (folder / AREA_FILE).is_file():
        return _whole_region(progress, folder)
    else:
        found = found_here(folder)
        at = at or (found.middle and [found.middle[1], found.middle[0]])
        if at is None or not (found.kinds or (folder / AREA_FILE).is_file()):
            return {"ground": None, "words": [NO_LAYERS], "asked": said.get("at")}
        settings = trip_of_text(started_trip(folder, {**said, "at": at}), path)
    progress(Step("reading the layers"))
    site = read_site(settings)
    north = north_of(site, morning_clock(settings.morning, site.car.lon_deg, site.car.lat_deg))
    view = scene_view(TripScene(settings.place.name, site.grid, site.car, north, site.country))
    road = road_words(nearest_road(site), in_water=car_in_water(site))
    return {"ground": view, "road": road, "words": [], "asked": said.get("at")}


def _whole_region(progress: Progress, folder: Path) -> Said:
    """Draw a whole region on cells that a screen tells apart."""
    progress(Step("reading the layers of the region"))
    settings = read_area_file(folder / AREA_FILE)
    found = region_ground(settings)
    north = north_at(found.grid, found.middle, settings.morning.date)
    view = scene_view(TripScene(settings.region.name, found.grid, found.middle, north, found.country))
    words = region_drawn_words(settings.region.name, found.grid.cell_m, found.fine_m)
    return {"ground": view, "road": "", "words": words, "asked": None}


def _gather(progress: Progress, folder: Path, said: Said) -> Said:
    """Gather the layers of a place; the network is asked only with the person's leave."""
    lat, lon = (float(value) for value in said["at"])
    ground = chosen_ground(f"{lat:.6f}, {lon:.6f}", None, REACH_M, None)
    params = GatherParams(AskParams(offline=said.get("network") is not True))
    gathered = gather(folder, ground.box, params, progress)
    there = sum(one.is_there for one in gathered.layers)
    return {"words": gathered_words(gathered).splitlines(), "there": there, "of": len(gathered.layers)}


def _areas(progress: Progress, folder: Path, _: Said) -> Said:
    """Rank the areas of the region whose area file lies in the folder, and write their report as the command does."""
    path, out = folder / AREA_FILE, folder / AREAS
    areas = rank_areas(read_area_file(path), out, None, progress, TOP)
    progress(Step("drawing the report"))
    write(areas_products(areas, path, out), out)
    return {
        "lead": lead(areas),
        "head": list(columns(areas)),
        "areas": [
            {
                "rank": area.rank,
                "name": area.place.name,
                "at": [area.lat_deg, area.lon_deg],
                "cells": list(cells(area)),
                "why": area_reasons(area),
            }
            for area in areas.areas[:TOP]
        ],
        "left_out": list(unranked_lines(areas)),
    }


WORKS: dict[str, Callable[[Progress, Path, Said], Said]] = {"base": _base, "gather": _gather, "areas": _areas}
"""What may be asked of the process, by name."""


def country_work(name: str, folder: str, said: Said, progress: Progress) -> Said:
    """Work one thing out, in the units that the owner of the region reads.

    Parameters
    ----------
    name : a key of ``WORKS``.
    folder : of the desk.
    said : what the page says of it.
    progress : is told as each step begins.

    Returns
    -------
    dict
        As the page reads it.

    Raises
    ------
    HushwalkError
        One clear message for anything a person can mend.
    """
    here = Path(folder)
    with written_in(units_in(here / AREA_FILE)):
        return WORKS[name](progress, here, said)
