"""Which layers lie in a folder, told by the names of files and of the tables in them; where their middle is.

What a layer means once a trip file names it is reading/'s business; a trip or area file that is there names its own.
"""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import get_args

import pyogrio
from pyogrio.errors import DataSourceError
from pyproj import Transformer

from hushwalk.errors import HushwalkError
from hushwalk.files.paths import RASTER_ENDINGS, VECTOR_ENDINGS, find
from hushwalk.files.rasters import RasterFile, look_at_raster
from hushwalk.grid.systems import system
from hushwalk.site.settings import LayerKind

RASTERS = ("elevation", "cover", "canopy_cover", "canopy_height", "stand_age")
ASSUMED = {"cover": 'legend = "nlcd"', "canopy_cover": 'unit = "%"'}
"""What a raster of a kind is taken for; the person looks it over in the trip file."""


@dataclass(frozen=True)
class FoundLayers:
    """Layers of a folder.

    Parameters
    ----------
    kinds : of layers, in the order of the file names.
    tables : for a trip file, as TOML.
    middle : longitude and latitude of the middle of the heights; None where there are none [deg].
    """

    kinds: tuple[str, ...]
    tables: str
    middle: tuple[float, float] | None


def layers_found(folder: Path) -> FoundLayers:
    """Find the layers of a folder: rasters and vector files named after kinds of layers, and tables of such names.

    Parameters
    ----------
    folder : looked at; not the folders in it.

    Returns
    -------
    FoundLayers
        Without any, empty. A file that cannot be read is left out.
    """
    found: dict[str, list[str]] = {}
    middle = None
    for path in sorted(folder.iterdir()):
        for kind, table in _kinds_of(path):
            if kind in found:
                continue
            raster = _looked(path, kind) if kind in RASTERS else None
            if kind in RASTERS and raster is None:
                continue
            if kind == "elevation" and raster is not None:
                middle = _middle(raster)
            lines = ["[[layer]]", f'kind = "{kind}"', f"path = {json.dumps(path.name, ensure_ascii=False)}"]
            lines += [f"layer = {json.dumps(table)}"] if table else []
            lines += [f"{ASSUMED[kind]}   # assumed: look it over"] if kind in ASSUMED else []
            found[kind] = lines
    return FoundLayers(tuple(found), "\n\n".join("\n".join(lines) for lines in found.values()) + "\n", middle)


def _kinds_of(path: Path) -> Iterator[tuple[str, str]]:
    """Give the kinds of layers that a file holds, each with the name of its table; empty where the file is one."""
    ending, stem, kinds = path.suffix.lower(), path.stem.lower(), get_args(LayerKind)
    if not path.is_file() or path.is_symlink():
        return
    shapes = ending in VECTOR_ENDINGS
    if (ending in RASTER_ENDINGS and stem in RASTERS) or (shapes and stem in kinds and stem not in RASTERS):
        yield stem, ""
    elif shapes and path.name != "notes.gpkg":
        yield from ((name, name) for name in _tables(path) if name in kinds and name not in RASTERS)


def _tables(path: Path) -> list[str]:
    try:
        return [str(name) for name, _ in pyogrio.list_layers(path)]
    except (DataSourceError, ValueError):
        return []


def _looked(path: Path, kind: str) -> RasterFile | None:
    try:
        return look_at_raster(find(path.name, path.parent, f"layer {kind}", RASTER_ENDINGS, network=False), kind)
    except HushwalkError:
        return None


def _middle(raster: RasterFile) -> tuple[float, float] | None:
    if not raster.crs:
        return None
    box = raster.box
    way = Transformer.from_crs(system(raster.crs), system("EPSG:4326"), always_xy=True)
    lon, lat = way.transform((box.west + box.east) / 2, (box.south + box.north) / 2)
    return float(lon), float(lat)
