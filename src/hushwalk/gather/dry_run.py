"""What would be asked for some ground: addresses and about how much they weigh; and a small question to every service.

Gathering itself is story.py's story.
"""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from time import monotonic

from hushwalk.errors import HushwalkError
from hushwalk.gather.cog_windows import read_tiles
from hushwalk.gather.feature_service import page_address, page_names, read_features_of
from hushwalk.gather.image_service import read_rectangle, rectangle_names
from hushwalk.gather.overpass import read_map
from hushwalk.gather.raster_cells import cleaned, together, valid_share
from hushwalk.gather.services import Service, address, defaults, service, services
from hushwalk.gather.square import cells_of, region_of, size_km, square_round, tiles_of
from hushwalk.gather.story import OSM, REGION_FROM_KM
from hushwalk.gather.transport import AskParams, Transport
from hushwalk.gather.weather import ask_forecast
from hushwalk.grid.systems import Box
from hushwalk.progress import quiet

PROBE_ALTITUDE_M = 300.0  # judgement: near enough to be answered
PROBE_M = 300.0  # judgement: a handful of cells of every service
SQUARE_KM2 = 100.0  # definition: the unit of the table


@dataclass(frozen=True)
class WouldAsk:
    """One question that gathering would begin with: kind of layer, service, addresses, and megabytes; 0 if unknown."""

    kind: str
    label: str
    addresses: tuple[str, ...]
    megabytes: float
    instead: tuple[str, ...]


@dataclass(frozen=True)
class Probed:
    """What a service answered to a small question: whether as expected, in words, and after how long [s]."""

    key: str
    label: str
    good: bool
    said: str
    seconds: float


def would_ask(box: Box) -> tuple[WouldAsk, ...]:
    """Give what gathering would ask first for each kind of layer, and what instead if that fails."""
    wide = max(size_km(box)) > REGION_FROM_KM
    wide_km, tall_km = size_km(box)
    made: list[WouldAsk] = []
    for kind, choices in defaults(region_of(box)).items():
        first = [service("osm_extract" if key == OSM and wide else key) for key in choices[0]]
        instead = tuple(" + ".join(service(key).label for key in choice) for choice in choices[1:])
        for one in first:
            weight = one.mb_per_100km2 * wide_km * tall_km / SQUARE_KM2
            weight = 0.0 if one.key == OSM and any(row.label == one.label for row in made) else weight  # asked once
            made.append(WouldAsk(kind, one.label, tuple(addresses_of(one, box)), weight, instead))
    return tuple(made)


def addresses_of(one: Service, box: Box) -> Iterator[str]:
    """Give the addresses that a service is asked by for some ground; of pages the first."""
    if one.family == "cog":
        for tile in tiles_of(box, one):
            yield address(one.address, **tile)
    elif one.family == "image":
        yield address(one.address, **rectangle_names(cells_of(box, one)))
    elif one.family == "features":
        yield page_address(one, page_names(box, "OBJECTID", one.fields, 0, 1000))
    else:
        yield address(one.address.partition("{")[0])


def probe(params: AskParams) -> Iterator[Probed]:
    """Ask every service a small question at a place that it covers, and tell what comes of it.

    Parameters
    ----------
    params : how services are asked; nothing that was kept is taken.

    Yields
    ------
    Probed
        One a service, as soon as it has answered.
    """
    with TemporaryDirectory() as folder:
        for one in services().values():
            began = monotonic()
            transport = Transport(Path(folder), params)
            try:
                said, good = _tried(one, transport), True
            except (HushwalkError, ValueError, KeyError) as fault:
                said, good = str(fault), False
            yield Probed(one.key, one.label, good, said, monotonic() - began)


def _tried(one: Service, transport: Transport) -> str:
    if one.family == "forecast":
        return f"{len(ask_forecast(*one.example, PROBE_ALTITUDE_M, transport).hours)} hours"
    if one.family == "extract":
        index = json.loads(transport.get(address(one.address)).content)
        return f"{len(index['features'])} extracts"
    box = square_round(*one.example, PROBE_M)
    if one.family == "overpass":
        shapes, _ = read_map(one, box, transport, quiet)
        return f"{len(shapes.geometries)} things"
    if one.family == "features":
        return f"{len(read_features_of(one, box, transport, quiet).geometries)} features"
    parts = (
        read_tiles(one, box, transport, quiet)[0] if one.family == "cog" else read_rectangle(one, box, transport, quiet)
    )
    cells = cleaned(together(parts, one, box), one)
    rows, cols = cells.values.shape
    return f"{cols} x {rows} cells in {cells.crs.to_string()[:30]}, {valid_share(cells):.0%} known"
