"""Writes the shapes that were gathered as GeoPackages that say where they are from.

Rasters are raster_cells.py's business.
"""

import hashlib
import os
from collections.abc import Mapping
from pathlib import Path

import geopandas as gpd
import pyogrio
from pyogrio.errors import DataSourceError

from hushwalk.errors import OutputError
from hushwalk.files.vectors import Shapes
from hushwalk.gather.services import Service

HASH_BLOCK = 1 << 20  # judgement


def write_shapes(tables: Mapping[str, Shapes], path: Path, one: Service) -> None:
    """Write shapes as tables of one GeoPackage, whole or not at all.

    Parameters
    ----------
    tables : name of the table -> shapes in degrees; empty ones are left out.
    path : of the file.
    one : the service they are from; its licence and credit go into the file.

    Raises
    ------
    OutputError
        If it cannot be written.
    """
    part = path.with_name(f"{path.stem}.part.gpkg")
    part.unlink(missing_ok=True)
    says = {"source": one.label, "licence": one.licence, "licence_link": one.licence_link, "credit": one.credit}
    try:
        for name, shapes in tables.items():
            if len(shapes.geometries):
                table = gpd.GeoDataFrame(dict(shapes.columns), geometry=shapes.geometries, crs="EPSG:4326")
                pyogrio.write_dataframe(
                    table, part, layer=name, driver="GPKG", geometry_type="Unknown", layer_metadata=says
                )
        os.replace(part, path)  # noqa: PTH105 - over a file that is there, on every system
    except (DataSourceError, OSError) as fault:
        part.unlink(missing_ok=True)
        raise OutputError(f"{path} cannot be written: {fault}; free some space and run it again") from None


def sha256_of(path: Path) -> str:
    """Give the checksum of a file."""
    found = hashlib.sha256()
    with path.open("rb") as file:
        while block := file.read(HASH_BLOCK):
            found.update(block)
    return found.hexdigest()
