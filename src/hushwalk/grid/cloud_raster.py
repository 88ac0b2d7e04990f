"""A layer as a cloud-optimised GeoTIFF (OGC 21-026), in bytes, so that it is written like every other product.

Which layers are written, and what their tags say, is the business of outputs/ground/.
"""

from collections.abc import Mapping

import numpy as np
import rasterio
from rasterio.errors import RasterioError
from rasterio.io import MemoryFile

from hushwalk.errors import OutputError
from hushwalk.grid.grid import Grid
from hushwalk.types import FloatArray

SMALLEST_BLOCK = 128  # definition: the least side of a block that the driver of the library takes
BLOCK = 512  # judgement: a quarter of a million cells a request, as most readers of such files use


def cloud_raster(
    values: FloatArray, grid: Grid, *, name: str, unit: str, tags: Mapping[str, str] | None = None
) -> bytes:
    """Give cell values as the bytes of a cloud-optimised GeoTIFF.

    Parameters
    ----------
    values : shape grid.shape; NaN where unknown, kept as 32-bit floats, with NaN as the mark of no data.
    grid : where they lie.
    name : of the quantity, kept as description of the band.
    unit : of the values, ``"1"`` for fractions, kept as unit of the band.
    tags : further words, kept as tags of the file.

    Returns
    -------
    bytes
        Tiled and compressed, with smaller copies of itself where it is larger than a block.

    Raises
    ------
    OutputError
        If the library cannot write it.
    """
    profile = {
        "driver": "COG",
        "crs": grid.crs,
        "transform": grid.transform,
        "width": grid.n_cols,
        "height": grid.n_rows,
        "count": 1,
        "dtype": "float32",
        "nodata": float("nan"),
        "compress": "deflate",
        "predictor": "yes",
        "blocksize": BLOCK if min(grid.shape) >= BLOCK else SMALLEST_BLOCK,
        "overview_resampling": "average",
        "num_threads": 1,
    }
    try:
        with rasterio.Env(GDAL_PAM_ENABLED=False), MemoryFile() as memory:
            with memory.open(**profile) as out:
                out.write(values.astype(np.float32), 1)
                out.units = (unit,)
                out.set_band_description(1, name)
                out.update_tags(**(tags or {}))
            return bytes(memory.getbuffer())
    except (RasterioError, OSError) as fault:
        raise OutputError(f"layer {name!r} cannot be written as a GeoTIFF: {fault}") from fault
