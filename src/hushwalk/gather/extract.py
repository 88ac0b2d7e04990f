"""Gets the extract of the open map database that holds a region, and reads what lies on its ground.

A square for one morning is asked for directly: overpass.py.
"""

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from pyogrio import raw

from hushwalk.errors import NothingThereError, ServiceError
from hushwalk.files.vectors import FAULTS, Shapes
from hushwalk.gather.feature_service import clipped
from hushwalk.gather.services import Service, address, redirected
from hushwalk.gather.transport import Transport
from hushwalk.grid.systems import Box
from hushwalk.progress import Progress, Step

LAYERS = ("points", "lines", "multipolygons")
"""Definition: tables in which the reader of extracts gives the things that layers are made of."""


def read_extract(one: Service, box: Box, transport: Transport, progress: Progress) -> tuple[Shapes, str]:
    """Read the things of a region from the extracts that hold it.

    Parameters
    ----------
    one : of the family ``"extract"``.
    box : limits [deg].
    transport : downloads, and keeps the extracts.
    progress : is called as the download goes on.

    Returns
    -------
    tuple of Shapes and str
        In degrees, with the columns of the reader; and which extracts were read.

    Raises
    ------
    NothingThereError
        If no extract holds the region.
    ServiceError
        If one cannot be downloaded or read.
    """
    index = json.loads(
        transport.kept(f"{one.key} index", lambda: transport.get(address(one.address)).content, one.keep_days)
    )
    chosen = extracts_for(index, box)
    parts = []
    for full in chosen:
        path = _downloaded(one, full, transport, progress)
        progress(Step(f"reading {path.name}", "(minutes, where it is large)"))
        parts.extend(_read(path, box))
    return _joined(parts), ", ".join(full.rpartition("/")[2] for full in chosen)


def extracts_for(index: Mapping[str, Any], box: Box) -> tuple[str, ...]:
    """Choose the smallest extracts that together hold a region.

    Parameters
    ----------
    index : GeoJSON of extracts, each with its outline and address.
    box : limits [deg].

    Returns
    -------
    tuple of str
        Addresses.

    Raises
    ------
    NothingThereError
        If a part of the region is in none of them.
    """
    ground = shapely.box(box.west, box.south, box.east, box.north)
    found = []
    for feature in index.get("features") or []:
        full = ((feature.get("properties") or {}).get("urls") or {}).get("pbf")
        outline = shapely.make_valid(shapely.from_geojson(json.dumps(feature["geometry"]))) if full else None
        if outline is not None and outline.intersects(ground):
            found.append((outline.area, full, outline))
    chosen, left = [], ground
    for _, full, outline in sorted(found, key=lambda row: row[:2]):
        if left.intersects(outline) and left.intersection(outline).area > 0:
            chosen.append(str(full))
            left = left.difference(outline)
        if left.is_empty:
            return tuple(chosen)
    if not chosen:
        raise NothingThereError("no extract holds this region")
    return tuple(chosen)  # what is left is sea


def _downloaded(one: Service, full: str, transport: Transport, progress: Progress) -> Path:
    name = full.rpartition("/")[2]
    path = transport.folder / name
    if path.exists() and (not transport.refresh or transport.params.offline):
        return path

    def report(there_mb: float, left_mb: float) -> None:
        whole = there_mb + left_mb
        progress(Step(f"downloading {name},", f"{there_mb:.0f} of {whole:.0f} MB", there_mb / whole if whole else 0.0))

    if transport.params.offline:
        raise ServiceError(f"{one.label}: {name} is not among the kept answers, and --offline forbids to ask for it")
    return transport.download(redirected(full), path, report)


def _read(path: Path, box: Box) -> list[Shapes]:
    limits = (box.west, box.south, box.east, box.north)
    parts = []
    for layer in LAYERS:
        try:
            meta, _, wkb, columns = raw.read(path, layer=layer, bbox=limits, datetime_as_string=True)
        except FAULTS as fault:
            raise ServiceError(f"{path.name} cannot be read ({fault}); delete {path} and gather again") from None
        drawn = clipped(shapely.from_wkb(wkb, on_invalid="ignore"), box)
        near = ~(shapely.is_empty(drawn) | shapely.is_missing(drawn))
        named = dict(zip(meta["fields"], columns, strict=True))
        parts.append(Shapes(drawn[near], {name: column[near] for name, column in named.items()}))
    return parts


def _joined(parts: Sequence[Shapes]) -> Shapes:
    names = dict.fromkeys(name for part in parts for name in part.columns)
    columns = {
        name: np.concatenate([part.columns.get(name, np.full(len(part.geometries), None, object)) for part in parts])
        for name in names
    }
    return Shapes(np.concatenate([part.geometries for part in parts]), columns)
