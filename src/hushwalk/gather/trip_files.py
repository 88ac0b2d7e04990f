"""The trip file, or the area file, of ground that was gathered, ready to be planned.

The commented file itself is site/starter.py's; gathering is story.py's story.
"""

import json
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from hushwalk.errors import OutputError
from hushwalk.gather.story import Gathered
from hushwalk.site.bird_range import bird_region
from hushwalk.site.manifest import LayerSource
from hushwalk.site.settings import LayerKind
from hushwalk.site.species import read_card
from hushwalk.site.starter import KnownTrip, known_starter, write_starter
from hushwalk.site.time_zone import zone_at

BIRDS = ("ruffed_grouse", "sooty_grouse", "hazel_grouse", "black_grouse")
"""Judgement: which card is taken where a person names none: the first whose bird lives there."""
SPRING = (4, 25)  # judgement: month and day in the display time of most grouse at middle latitudes
IN_TRIPS: tuple[LayerKind, ...] = (
    *("elevation", "cover", "canopy_cover", "canopy_height", "stand_age", "streams", "water", "wetlands"),
    *("trails", "roads", "buildings", "closed"),
)


def write_trip(gathered: Gathered, name: str, car: tuple[float, float], reach_m: float, day: date) -> tuple[Path, bool]:
    """Write the trip file of a gathered square, unless there is one.

    Parameters
    ----------
    gathered : the layers.
    name : of the place.
    car : longitude and latitude of the car [deg].
    reach_m : half the side of the square of country [m].
    day : the morning.

    Returns
    -------
    tuple of Path and bool
        The file, and whether it was written now; one that is there is a person's and stays as it is.

    Raises
    ------
    OutputError
        If the folder cannot be written.
    """
    path = gathered.folder / "trip.toml"
    if path.exists():
        return path, False
    known = KnownTrip(name, car[1], car[0], day, reach_m, bird_of(*car), layer_tables(gathered.layers))
    return write_starter(gathered.folder, known_starter(known)), True


def write_area_file(gathered: Gathered, name: str, day: date) -> tuple[Path, bool]:
    """Write the area file of a gathered region, unless there is one.

    Parameters
    ----------
    gathered : the layers.
    name : of the region.
    day : the morning.

    Returns
    -------
    tuple of Path and bool
        As for :func:`write_trip`.

    Raises
    ------
    OutputError
        If the folder cannot be written.
    """
    path, box = gathered.folder / "areas.toml", gathered.box
    middle = (box.west + box.east) / 2, (box.south + box.north) / 2
    parking = [one for one in gathered.layers if one.kind == "parking" and one.is_there]
    lines = [
        f"species = {json.dumps(bird_of(*middle))}",
        "",
        "[region]",
        f"name = {json.dumps(name, ensure_ascii=False)}",
        f"bounds = [{box.west}, {box.south}, {box.east}, {box.north}]",
        "",
        "[morning]",
        f"date = {day.isoformat()}",
        "back_by = 09:30:00",
        f"# time_zone = {json.dumps(zone_at(*middle))}   # derived from the place",
        "",
        "# Where a car can stand: ends and sides of roads, or only car parks and trail heads that are mapped:",
        *_places(parking),
        "",
        layer_tables(gathered.layers),
    ]
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write("\n".join(lines))
    except FileExistsError:
        return path, False
    except OSError as fault:
        raise OutputError(f"{path} cannot be written: {fault.strerror}") from None
    return path, True


def next_spring(today: date) -> date:
    """Give the next morning of the display time.

    Examples
    --------
    >>> next_spring(date(2026, 11, 29))
    datetime.date(2027, 4, 25)
    """
    this_year = date(today.year, *SPRING)
    return this_year if this_year >= today else date(today.year + 1, *SPRING)


def bird_of(lon_deg: float, lat_deg: float) -> str:
    """Choose the card of a bird that lives at a place; the first of all where none is known to."""
    for key in BIRDS:
        found = bird_region(read_card(key), None, lon_deg, lat_deg)
        if found.out_of_range_km is not None and not found.out_of_range:
            return key
    return BIRDS[0]


def layer_tables(layers: Sequence[LayerSource]) -> str:
    """Give the layers as tables of a trip file, each with its credit as a remark."""
    parts = ["# Layers that were gathered; sources.json beside this file says from where, when, and on which terms."]
    shown = (one for one in layers if one.kind in IN_TRIPS)
    parts += ["\n".join(_table(one) if one.is_there else _missing(one)) for one in shown]
    return "\n\n".join(parts) + "\n"


def _table(one: LayerSource) -> list[str]:
    keys = {"kind": one.kind, "path": one.file, "layer": one.layer}
    keys |= {"legend": one.legend, "unit": one.unit, "where": one.where}
    note = [f"# {one.note}"] if one.note else []
    return [
        f"# {one.label} ({one.edition}); {one.licence}; {one.credit}",
        *note,
        "[[layer]]",
        *(f"{key} = {json.dumps(value, ensure_ascii=False)}" for key, value in keys.items() if value),
    ]


def _missing(one: LayerSource) -> list[str]:
    reason = " ".join(one.reason.split())
    return [f"# {one.kind}: {one.state}. {reason}"]


def _places(parking: Sequence[LayerSource]) -> list[str]:
    if not parking:
        return ["# no car park is mapped here"]
    return [
        "# [places]",
        *(f'# path = "{one.file}"\n# layer = "{one.layer}"\n# name_field = "name"' for one in parking[:1]),
    ]
