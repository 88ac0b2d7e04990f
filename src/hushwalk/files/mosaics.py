"""Joins finished windows to one tiled, compressed raster, and reads plain windows of rasters that lie on the grid.

Which windows there are is tiles.py's business.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import rasterio
from numpy.typing import NDArray
from rasterio.errors import RasterioError
from rasterio.windows import Window

from hushwalk.errors import InputError, OutputError
from hushwalk.files.tiles import Tile
from hushwalk.grid.grid import Grid

BLOCK = 512
CACHE = {"GDAL_CACHEMAX": 64 * 2**20}


@dataclass(frozen=True)
class Stored:
    """How numbers are stored.

    Parameters
    ----------
    dtype : numpy type in the file.
    nodata : stored number that means unknown.
    scale : stored numbers times this are values.
    unit, name : of the values.
    """

    dtype: str
    nodata: float
    scale: float
    unit: str
    name: str


def write_mosaic(
    path: Path,
    grid: Grid,
    tiles: Sequence[Tile],
    get: Callable[[Tile], NDArray[Any]],
    stored: Stored,
    tags: Mapping[str, str],
) -> None:
    """Write a raster from its windows; a file of that name is replaced when the new one is whole.

    Parameters
    ----------
    path : a GeoTIFF.
    grid : the whole ground.
    tiles : its windows.
    get : gives the stored numbers of the cells a window answers for.
    stored, tags : what the numbers mean.

    Raises
    ------
    OutputError
        If the file cannot be written.
    """
    half = path.with_name(path.name + ".part")
    profile = {
        "driver": "GTiff",
        "crs": grid.crs,
        "transform": grid.transform,
        "width": grid.n_cols,
        "height": grid.n_rows,
        "count": 1,
        "dtype": stored.dtype,
        "nodata": stored.nodata,
        "tiled": True,
        "blockxsize": BLOCK,
        "blockysize": BLOCK,
        "compress": "deflate",
        "zlevel": 1,
        "predictor": 2,
        "bigtiff": "if_safer",
        "num_threads": 2,
    }
    try:
        with rasterio.Env(**CACHE), rasterio.open(half, "w", **profile) as out:
            out.scales, out.units = (stored.scale,), (stored.unit,)
            out.set_band_description(1, stored.name)
            out.update_tags(**tags)
            for tile in tiles:
                out.write(get(tile), 1, window=Window(tile.col, tile.row, tile.n_cols, tile.n_rows))
        half.replace(path)
    except (RasterioError, OSError) as fault:
        half.unlink(missing_ok=True)
        raise OutputError(f"{path} cannot be written: {fault}") from None


@contextmanager
def plain_reader(path: str, band: int, label: str) -> Iterator[Callable[[int, int, int, int], NDArray[Any]]]:
    """Open a raster once and give a reader of its windows, as its numbers stand in the file.

    Parameters
    ----------
    path : what the library opens.
    band : counted from 1.
    label : how to name the layer in an error.

    Yields
    ------
    callable
        (first row, first column, rows, columns) -> array of that shape; the window lies on the raster.

    Raises
    ------
    InputError
        If the raster cannot be read.
    """
    try:
        with rasterio.Env(**CACHE), rasterio.open(path) as data:

            def read(row: int, col: int, n_rows: int, n_cols: int) -> NDArray[Any]:
                try:
                    return np.asarray(data.read(band, window=Window(col, row, n_cols, n_rows)))
                except RasterioError as fault:
                    raise InputError(f"{label}: {path} breaks off or is damaged ({fault}); download it again") from None

            yield read
    except RasterioError as fault:
        raise InputError(f"{label}: {path} cannot be opened as a raster ({fault})") from None
