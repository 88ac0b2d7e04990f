"""Cells that a service gave, put together on one lattice and written as one GeoTIFF that says where it is from.

Asking for them is cog_windows.py's and image_service.py's business.
"""

import io
import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import rasterio
from affine import Affine
from numpy.typing import NDArray
from rasterio.crs import CRS
from rasterio.enums import Resampling
from rasterio.errors import RasterioError
from rasterio.io import MemoryFile
from rasterio.warp import reproject, transform_bounds

from hushwalk.errors import OutputError, ServiceError
from hushwalk.gather.services import Service
from hushwalk.gather.transport import quoted
from hushwalk.grid.systems import Box

TIFF_STARTS = (b"II*\x00", b"MM\x00*", b"II+\x00", b"MM\x00+")  # definition: TIFF 6.0, and its form of 64 bits
DIGITS = 9  # judgement: decimals by which cells are told apart
RIM = 2  # definition: cells beyond the ground, so that blending has neighbours


@dataclass(frozen=True, eq=False)
class GotCells:
    """Cells as they came: values, from (column, row) corners to coordinates, system, and which number means unknown."""

    values: NDArray[Any]
    transform: Affine
    crs: CRS
    nodata: float | None

    @property
    def cell(self) -> tuple[float, float]:
        """Width and height of a cell in the units of the system."""
        return abs(self.transform.a), abs(self.transform.e)


def opened_tiff(content: bytes, one: Service) -> GotCells:
    """Read an answer that should be a raster of one band.

    Raises
    ------
    ServiceError
        If it is something else: an error page with status 200, a picture, no raster at all.
    """
    if not content.startswith(TIFF_STARTS):
        raise ServiceError(f"{one.label} answers with words instead of cells: {quoted(content)}")
    try:
        with MemoryFile(content) as memory, memory.open() as data:
            if data.count != 1:
                raise ServiceError(f"{one.label} answers with a picture of {data.count} bands instead of cells")
            if data.crs is None:
                raise ServiceError(f"{one.label} answers with cells that lie nowhere on the ground")
            return GotCells(data.read(1), data.transform, data.crs, data.nodata)
    except RasterioError as fault:
        raise ServiceError(f"{one.label} answers with a damaged raster: {fault}") from None


def content_of(cells: GotCells) -> bytes:
    """Give cells as the bytes of a GeoTIFF, so that an answer can be kept."""
    kept = io.BytesIO()
    with rasterio.open(
        kept,
        "w",
        driver="GTiff",
        height=cells.values.shape[0],
        width=cells.values.shape[1],
        count=1,
        dtype=cells.values.dtype,
        crs=cells.crs,
        transform=cells.transform,
        nodata=cells.nodata,
        compress="deflate",
    ) as data:
        data.write(cells.values, 1)
    return kept.getvalue()


def together(parts: Sequence[GotCells], one: Service, box: Box) -> GotCells:
    """Put the cells of several answers on one lattice: that of the finest.

    Parameters
    ----------
    parts : one or more, in one system; their widths may differ, as those of files of different latitudes do.
    one : the service; classes are never blended.
    box : limits of the ground [deg].

    Returns
    -------
    GotCells
        Answers of one lattice are joined before any cell is blended, so that none is seen as an edge.
    """
    if len(parts) == 1:
        return parts[0]
    by_cell: dict[tuple[float, float], list[GotCells]] = {}
    for part in parts:
        by_cell.setdefault((round(part.cell[0], DIGITS), round(part.cell[1], DIGITS)), []).append(part)
    joined = [_on_lattice(same, box, same[0], Resampling.nearest, one) for _, same in sorted(by_cell.items())]
    if len(joined) == 1:
        return joined[0]
    how = Resampling.bilinear if one.measured else Resampling.nearest
    return _on_lattice(joined, box, joined[0], how, one)


def _on_lattice(parts: Sequence[GotCells], box: Box, like: GotCells, how: Resampling, one: Service) -> GotCells:
    """Lay cells on the lattice of one of them, as far as the ground and a rim for blending reach."""
    wide, tall = like.cell
    limits = transform_bounds("EPSG:4326", like.crs, box.west, box.south, box.east, box.north, densify_pts=21)
    origin = like.transform
    west = origin.c + (np.floor((limits[0] - origin.c) / wide) - RIM) * wide
    north = origin.f - (np.floor((origin.f - limits[3]) / tall) - RIM) * tall
    cols = int(np.ceil((limits[2] - west) / wide)) + RIM
    rows = int(np.ceil((north - limits[1]) / tall)) + RIM
    unknown = _unknown(one, parts[0])
    made = np.full((rows, cols), unknown, dtype=parts[0].values.dtype)
    lattice = Affine(wide, 0.0, west, 0.0, -tall, north)
    for part in parts:
        reproject(
            part.values,
            made,
            src_transform=part.transform,
            src_crs=part.crs,
            src_nodata=part.nodata,
            dst_transform=lattice,
            dst_crs=like.crs,
            dst_nodata=unknown,
            resampling=how,
            init_dest_nodata=False,
        )
    return GotCells(made, lattice, like.crs, unknown)


def cleaned(cells: GotCells, one: Service) -> GotCells:
    """Mark what is no value as unknown, and add what the service counts from."""
    values = cells.values
    unknown = _unknown(one, cells)
    known = _known(values, unknown)
    if cells.nodata is not None:
        known &= _known(values, cells.nodata)
    if one.most_value is not None:
        known &= values <= one.most_value
    if one.plus:
        values = np.where(known, values.astype(np.int16) + one.plus, 0).astype(np.int16)
        unknown = 0
    return GotCells(np.where(known, values, values.dtype.type(unknown)), cells.transform, cells.crs, unknown)


def valid_share(cells: GotCells) -> float:
    """Give the share of cells that are known, 0..1."""
    return float(_known(cells.values, cells.nodata).mean()) if cells.values.size else 0.0


def write_cells(cells: GotCells, path: Path, tags: dict[str, str]) -> None:
    """Write cells as a GeoTIFF, whole or not at all.

    Parameters
    ----------
    cells : of :func:`cleaned`.
    path : of the file.
    tags : what the file says of itself.

    Raises
    ------
    OutputError
        If it cannot be written.
    """
    part = path.with_name(f"{path.name}.part")
    try:
        part.write_bytes(content_of(cells))
        with rasterio.open(part, "r+") as data:
            data.update_tags(**tags)
        os.replace(part, path)  # noqa: PTH105 - over a file that is there, on every system
    except (OSError, RasterioError) as fault:
        part.unlink(missing_ok=True)
        said = fault.strerror if isinstance(fault, OSError) and fault.strerror else str(fault)
        raise OutputError(f"{path} cannot be written: {said}; free some space and run it again") from None


def _unknown(one: Service, cells: GotCells) -> float:
    """Which number means unknown: that of the file, else that of the table, else one that the type leaves free."""
    for number in (cells.nodata, one.nodata):
        if number is not None and (cells.values.dtype.kind == "f" or _holds(cells.values.dtype, number)):
            return number
    return np.nan if cells.values.dtype.kind == "f" else float(np.iinfo(cells.values.dtype).max)


def _holds(kind: np.dtype[Any], number: float) -> bool:
    limits = np.iinfo(kind)
    return bool(limits.min <= number <= limits.max)


def _known(values: NDArray[Any], number: float | None) -> NDArray[np.bool_]:
    finite = np.isfinite(values) if values.dtype.kind == "f" else np.ones(values.shape, dtype=bool)
    return finite if number is None or np.isnan(number) else finite & (values != values.dtype.type(number))
