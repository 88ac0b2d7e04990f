"""Reads the cells of some ground out of large files on the web, no more of them than it needs.

Such files (cloud-optimised GeoTIFF) say at their head where which cells lie; the library asks for those bytes alone.
"""

from math import ceil, floor
from time import sleep

import numpy as np
import rasterio
from affine import Affine
from rasterio.enums import Resampling
from rasterio.errors import RasterioError
from rasterio.warp import transform_bounds
from rasterio.windows import Window

from hushwalk.errors import NothingThereError, RefusedError, ServiceError
from hushwalk.gather.raster_cells import GotCells, content_of, opened_tiff
from hushwalk.gather.services import Service, address
from hushwalk.gather.square import KM_PER_DEG, tiles_of
from hushwalk.gather.transport import AskParams, Transport
from hushwalk.grid.systems import Box
from hushwalk.progress import Progress, Step

EDGE_CELLS = 2  # definition: cells read beyond the ground, so that blending has neighbours
GROSS = 1.5  # judgement: cells this many times smaller than wanted are averaged while they are read
ABSENT = ("response code: 404", "response code: 410")  # definition: RFC 9110, as the library quotes it
REFUSED = "response code: 403"  # definition: RFC 9110
LESS_THAN_THIS_IS_NOTHING = 2  # definition: a window of one row or column has no neighbours


def read_tiles(
    one: Service, box: Box, transport: Transport, progress: Progress, cell_m: float | None = None
) -> tuple[list[GotCells], list[str]]:
    """Read the cells of some ground from the files of a service.

    Parameters
    ----------
    one : of the family ``"cog"``.
    box : limits [deg].
    transport : keeps the answers.
    progress : is called before each file.
    cell_m : cells that are wanted, where they are larger than those of the service [m].

    Returns
    -------
    tuple of list and list
        Cells of each file, and the names of files that are not there, as at sea.

    Raises
    ------
    NothingThereError
        If none of the files is there.
    ServiceError
        If a file cannot be read.
    """
    got, absent, refused = [], [], 0
    names = tiles_of(box, one)
    for number, tile in enumerate(names, start=1):
        progress(Step(f"gathering {one.label},", f"file {number} of {len(names)}"))
        label = " ".join(str(value) for value in tile.values()) or "the one file"
        key = f"{one.key} {one.edition} {tile} {box} {cell_m}"
        try:
            content = transport.kept(key, lambda tile=tile: content_of(_read(one, tile, box, transport, cell_m)))  # type: ignore[misc]
        except NothingThereError:
            absent.append(label)
        except RefusedError:
            refused += 1
            absent.append(label)
        else:
            got.append(opened_tiff(content, one))
            transport.n_bytes += len(content)
    if not got and refused == len(names):
        raise ServiceError(f"{one.label} refuses every file (403): it has been shut, or asks for an account now")
    if not got:
        raise NothingThereError(f"{one.label} has no file for this ground")
    return got, absent


def _read(one: Service, tile: dict[str, object], box: Box, transport: Transport, cell_m: float | None) -> GotCells:
    """Ask each address in turn; a fault at the last is the fault."""
    for number, pattern in enumerate(one.patterns):
        full = address(pattern, **tile)
        transport.note(full)
        try:
            return _read_patiently(one, full, box, transport.params, cell_m)
        except ServiceError:
            if number == len(one.patterns) - 1:
                raise
    raise ServiceError(f"{one.label} has no address")


def _read_patiently(one: Service, full: str, box: Box, params: AskParams, cell_m: float | None) -> GotCells:
    """Read, and once more: the library remembers that an address has failed, unless a setting has it forget."""
    for attempt in (1, 2):
        forget = {"CPL_VSIL_CURL_NON_CACHED": f"/vsicurl/{full}"} if attempt > 1 else {}
        try:
            with rasterio.Env(**options(params), **forget), rasterio.open(f"/vsicurl/{full}") as data:
                return _window(data, one, box, cell_m)
        except RasterioError as fault:
            said = str(fault.__cause__ or fault.__context__ or fault) + str(fault)
            if any(status in said for status in ABSENT):
                raise NothingThereError(f"{one.label} has no such file") from None
            if REFUSED in said:
                raise RefusedError(f"{one.label} refuses the file (403)") from None
            if attempt > 1:
                raise ServiceError(f"{one.label} cannot be read: {said.splitlines()[0][:200]}") from None
            sleep(params.backoff_s)
    raise ServiceError(f"{one.label} cannot be read")


def options(params: AskParams) -> dict[str, str | int | float]:
    """Give how the library asks: no listing of folders, several tries, our own name."""
    return {
        "GDAL_DISABLE_READDIR_ON_OPEN": "EMPTY_DIR",
        "GDAL_HTTP_MAX_RETRY": params.tries - 1,
        "GDAL_HTTP_RETRY_DELAY": params.backoff_s,
        "GDAL_HTTP_TIMEOUT": 120,
        "GDAL_HTTP_CONNECTTIMEOUT": 15,
        "GDAL_HTTP_USERAGENT": params.agent,
        "GDAL_INGESTED_BYTES_AT_OPEN": 32768,
        "GDAL_HTTP_MERGE_CONSECUTIVE_RANGES": "YES",
    }


def _window(data: rasterio.io.DatasetReader, one: Service, box: Box, cell_m: float | None) -> GotCells:
    if data.count != 1:
        raise ServiceError(f"{one.label} has {data.count} bands instead of one")
    limits = transform_bounds("EPSG:4326", data.crs, box.west, box.south, box.east, box.north, densify_pts=21)
    back = ~data.transform
    left, top = back @ (limits[0], limits[3])
    right, bottom = back @ (limits[2], limits[1])
    first = max(floor(left) - EDGE_CELLS, 0), max(floor(top) - EDGE_CELLS, 0)
    last = min(ceil(right) + EDGE_CELLS, data.width), min(ceil(bottom) + EDGE_CELLS, data.height)
    wide, tall = last[0] - first[0], last[1] - first[1]
    if min(wide, tall) < LESS_THAN_THIS_IS_NOTHING:
        raise NothingThereError(f"{one.label} does not reach this ground")
    step = _step(data, box, max(cell_m or 0.0, one.cell_m if one.averaged else 0.0))
    shape = max(1, round(tall / step)), max(1, round(wide / step))
    how = Resampling.average if one.measured else Resampling.nearest
    window = Window(first[0], first[1], wide, tall)
    try:
        values = data.read(1, window=window, out_shape=shape, resampling=how)
    except MemoryError:
        raise ServiceError(f"{one.label}: {wide} x {tall} cells do not fit into memory") from None
    stretch = Affine.scale(wide / shape[1], tall / shape[0])
    corner = data.transform @ Affine.translation(*first) @ stretch
    return GotCells(np.ascontiguousarray(values), corner, data.crs, data.nodata)


def _step(data: rasterio.io.DatasetReader, box: Box, wanted_m: float) -> float:
    """How many cells of the file make one that is wanted, at least 1."""
    if not wanted_m:
        return 1.0
    if data.crs.is_geographic:
        own_m = abs(data.transform.e) * KM_PER_DEG * 1000
    else:  # maps such as Web Mercator stretch the ground: measured on the ground itself
        limits = transform_bounds(data.crs, "EPSG:4326", *_one_cell(data, box))
        own_m = (limits[3] - limits[1]) * KM_PER_DEG * 1000
    return max(1.0, wanted_m / own_m) if wanted_m > GROSS * own_m else 1.0


def _one_cell(data: rasterio.io.DatasetReader, box: Box) -> tuple[float, float, float, float]:
    x, y = transform_bounds("EPSG:4326", data.crs, box.west, box.south, box.east, box.north)[:2]
    return x, y, x + abs(data.transform.a), y + abs(data.transform.e)
