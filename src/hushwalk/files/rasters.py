"""Opens a raster of any format and gives pieces of it as they are, never more than the piece asked for.

Bringing the pieces onto the trip's grid is grid/align.py's business; what the numbers mean is the trip's.
"""

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import rasterio
from affine import Affine
from numpy.typing import NDArray
from rasterio._err import CPLE_BaseError
from rasterio.enums import ColorInterp, Resampling
from rasterio.errors import NotGeoreferencedWarning, RasterioError
from rasterio.io import DatasetReader
from rasterio.windows import Window

from hushwalk.errors import InputError
from hushwalk.files.offline import RASTER_FORMATS, reach
from hushwalk.files.paths import Address
from hushwalk.files.virtual_rasters import check_sources
from hushwalk.grid.align import NO_CLASS, RasterPatch
from hushwalk.grid.systems import Box

LARGEST_BLOCK_BYTES = 512 * 2**20  # judgement: what a laptop can spare for one compressed block of a file
QUICK_ONLINE = {"GDAL_DISABLE_READDIR_ON_OPEN": "EMPTY_DIR", "GDAL_HTTP_TIMEOUT": "30", "GDAL_HTTP_MAX_RETRY": "2"}
CACHE = {"GDAL_CACHEMAX": 64 * 2**20}
EDGE_CELLS = 2  # definition: cells read beyond the wanted box, so that blending has neighbours


@dataclass(frozen=True)
class RasterFile:
    """What a raster file says of itself.

    Parameters
    ----------
    address : where it is.
    band, bands : the band used, counted from 1, and how many there are.
    crs : well-known text or code; empty if the file has none.
    transform : from (column, row) corners to coordinates; north up or not.
    width, height : columns and rows.
    nodata : value declared to mean "unknown", or None.
    kind : numpy type of the numbers.
    unit, name : of the band, empty if not given.
    palette : whether the numbers are indices of colours.
    picture : whether the bands are the colours of a picture.
    scale, offset : stored numbers times scale plus offset are values.
    overviews : whether coarser copies are inside.
    """

    address: Address
    band: int
    bands: int
    crs: str
    transform: Affine
    width: int
    height: int
    nodata: float | None
    kind: str
    unit: str
    name: str
    palette: bool
    picture: bool
    scale: float
    offset: float
    overviews: bool

    @property
    def box(self) -> Box:
        """Outer limits in the file's own system."""
        corners = [self.transform @ c for c in ((0, 0), (self.width, 0), (0, self.height), (self.width, self.height))]
        xs, ys = [x for x, _ in corners], [y for _, y in corners]
        return Box(min(xs), min(ys), max(xs), max(ys))

    @property
    def turned(self) -> bool:
        """Whether the lattice is rotated or sheared against its system."""
        return abs(self.transform.b) + abs(self.transform.d) > 1e-9 * (abs(self.transform.a) + abs(self.transform.e))


def look_at_raster(
    address: Address, label: str, *, band: int = 1, layer: str | None = None, network: bool = False
) -> RasterFile:
    """Read what a raster says of itself, no cell of it.

    Parameters
    ----------
    address : of :func:`hushwalk.files.paths.find`.
    label : how to name the layer in an error.
    band : counted from 1.
    layer : name of the variable or table inside, for files that hold several rasters.
    network : whether the network may be used.

    Returns
    -------
    RasterFile
        Grid, system, unit and bounds of the band.

    Raises
    ------
    InputError
        If it is no raster, has no such band or layer, is not georeferenced, or its blocks are too large to read.
    """
    with _opened(address.opens, label, address.shown, network=network) as data:
        inner = list(data.subdatasets)
        if layer is not None or (data.count == 0 and inner):
            chosen = _subdataset(inner, layer, label, address.shown)
            return look_at_raster(replace(address, opens=chosen), label, band=band, network=network)
        if not 1 <= band <= data.count:
            bands = ", ".join(f"{i} {name or ''}".strip() for i, name in enumerate(data.descriptions, start=1))
            raise InputError(f"{label}: {address.shown} has no band {band}; its bands are {bands or 'none'}")
        _check_placed(data, label, address.shown)
        _check_blocks(data, band, label, address.shown)
        colours = set(data.colorinterp)
        return RasterFile(
            address=address,
            band=band,
            bands=data.count,
            crs=data.crs.to_wkt() if data.crs else "",
            transform=data.transform,
            width=data.width,
            height=data.height,
            nodata=data.nodatavals[band - 1],
            kind=data.dtypes[band - 1],
            unit=data.units[band - 1] or "",
            name=data.descriptions[band - 1] or "",
            palette=data.colorinterp[band - 1] == ColorInterp.palette,
            picture={ColorInterp.red, ColorInterp.green, ColorInterp.blue} <= colours,
            scale=data.scales[band - 1],
            offset=data.offsets[band - 1],
            overviews=bool(data.overviews(band)),
        )


def window_of(file: RasterFile, box: Box) -> Window | None:
    """Cells that a box needs, with a rim for blending; None if the raster does not reach it.

    Parameters
    ----------
    file : the raster.
    box : in the raster's own system.
    """
    back = ~file.transform
    corners = [(x, y) for x in (box.west, box.east) for y in (box.south, box.north)]
    places = np.array([back @ corner for corner in corners])
    first = np.maximum(np.floor(places.min(axis=0)) - EDGE_CELLS, 0)
    last = np.minimum(np.ceil(places.max(axis=0)) + EDGE_CELLS, [file.width, file.height])
    if not (last > first).all():
        return None
    return Window(int(first[0]), int(first[1]), int(last[0] - first[0]), int(last[1] - first[1]))


def read_measure(
    file: RasterFile, window: Window, label: str, *, step: int = 1, blend: bool = True, network: bool = False
) -> RasterPatch:
    """Read cells as 32-bit floats, NaN where the file says unknown.

    Parameters
    ----------
    file, window : of :func:`look_at_raster` and :func:`window_of`.
    label : how to name the layer in an error.
    step : read the mean of blocks of about ``step`` x ``step`` cells.
    blend : whether numbers may be averaged; else one cell of each block is read.
    network : whether the network may be used.

    Returns
    -------
    Patch
        The cells and where they lie.

    Raises
    ------
    InputError
        If the file is broken.
    """
    shape = (max(1, round(window.height / step)), max(1, round(window.width / step)))
    data = _read(file, window, shape, Resampling.average if blend else Resampling.nearest, label, network=network)
    with np.errstate(all="ignore"):  # what is beyond 32 bits is unknown
        values = data.astype(np.float32).filled(np.nan) * np.float32(file.scale) + np.float32(file.offset)
    values[~np.isfinite(values)] = np.nan
    stretch = Affine.scale(window.width / shape[1], window.height / shape[0])
    corner = file.transform @ Affine.translation(window.col_off, window.row_off) @ stretch
    return RasterPatch(values, corner, file.crs)


def read_classes(file: RasterFile, window: Window, label: str, *, network: bool = False) -> RasterPatch:
    """Read cells as whole numbers, ``NO_CLASS`` where the file says unknown.

    Parameters
    ----------
    file, window, label, network : as for :func:`read_measure`.

    Returns
    -------
    Patch
        The cells and where they lie.

    Raises
    ------
    InputError
        If the file is broken, or its numbers are not whole.
    """
    data = _read(file, window, (window.height, window.width), Resampling.nearest, label, network=network)
    if data.dtype.kind in "iu" and data.dtype.itemsize <= 2:  # noqa: PLR2004  bytes; these need no check
        whole = data.data.astype(np.int32)
        whole[np.ma.getmaskarray(data)] = NO_CLASS
    else:
        whole = _whole_numbers(data, label, file.address.shown)
    return RasterPatch(whole, file.transform @ Affine.translation(window.col_off, window.row_off), file.crs)


def _whole_numbers(data: Any, label: str, shown: str) -> NDArray[np.int32]:  # noqa: ANN401
    unknown = np.ma.getmaskarray(data) | ~np.isfinite(data.data)
    values = np.where(unknown, 0, data.data)
    rounded = np.round(values)
    odd = values[(np.abs(rounded - values) > 1e-6) | (np.abs(rounded) > np.iinfo(np.int32).max)]  # noqa: PLR2004
    if odd.size:
        raise InputError(
            f"{label}: {shown} holds numbers such as {odd.flat[0]:g}, no class codes; is it another kind of layer?"
        )
    whole = rounded.astype(np.int32)
    whole[unknown] = NO_CLASS
    return whole


def _read(
    file: RasterFile, window: Window, shape: tuple[int, int], how: Resampling, label: str, *, network: bool
) -> Any:  # noqa: ANN401  a numpy masked array, which has no useful type
    with _opened(file.address.opens, label, file.address.shown, network=network) as data:
        try:
            found = data.read(file.band, window=window, out_shape=shape, resampling=how, masked=True)
        except (RasterioError, MemoryError, ValueError) as fault:
            raise InputError(
                f"{label}: {file.address.shown} breaks off or is damaged ({_first(fault)}); download it again"
            ) from None
    if file.nodata is not None and np.isfinite(file.nodata):
        found = np.ma.masked_where(_equals(found.data, file.nodata) | np.ma.getmaskarray(found), found.data)
    return found


def _equals(values: NDArray[Any], number: float) -> NDArray[np.bool_]:
    if np.issubdtype(values.dtype, np.floating):
        same: NDArray[np.bool_] = np.isclose(values, number, rtol=1e-6, atol=0.0)
        return same
    return np.asarray(values == number)


@contextmanager
def _opened(opens: str, label: str, shown: str, *, network: bool) -> Iterator[Any]:
    if not network:
        check_sources(opens, label, shown)
    options = {**CACHE, **(QUICK_ONLINE if network else {})}
    with reach(network=network), rasterio.Env(**options) as surroundings:
        drivers = sorted(set(surroundings.drivers()) & set(RASTER_FORMATS))
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", NotGeoreferencedWarning)  # said in our own words below
            try:
                data = DatasetReader(opens, driver=drivers)
            except (RasterioError, CPLE_BaseError, MemoryError) as fault:
                raise InputError(f"{label}: {shown} {_why_not(fault)}") from None
            try:
                with data:
                    yield data
            except (RasterioError, CPLE_BaseError) as fault:
                raise InputError(f"{label}: {shown} is damaged ({_first(fault)}); download it again") from None


def _why_not(fault: BaseException) -> str:
    said = _first(fault)
    if "not recognized" in said:
        return "is not a raster (of a format that is read); is it a vector file, a web page or a service?"
    if "HTTP" in said or "CURL" in said:
        return f"cannot be fetched: {said}"
    return f"cannot be opened as a raster ({said}); download it again"


def _first(fault: BaseException) -> str:
    cause = fault.__cause__ or fault.__context__ or fault
    return (str(cause) or type(cause).__name__).splitlines()[0][:160]


def _subdataset(inner: list[str], layer: str | None, label: str, shown: str) -> str:
    names = {address.rsplit(":", 1)[-1].strip('"'): address for address in inner}
    if layer in names:
        return names[str(layer)]
    if layer is None and len(names) == 1:
        return next(iter(names.values()))
    content = f"holds the layers {', '.join(names)}" if names else "holds one raster only, so leave the key out"
    wanted = f"layer = {layer!r}" if layer else 'a key layer = "NAME"'
    raise InputError(f"{label}: {shown} {content}; {wanted} {'does not fit' if layer else 'must say which'}")


def _check_placed(data: Any, label: str, shown: str) -> None:  # noqa: ANN401
    if data.transform == Affine.identity() or data.transform.determinant == 0:
        by = "only by control points; warp it" if data.gcps[0] or data.rpcs else "nowhere on the ground; export it"
        raise InputError(f"{label}: {shown} is located {by} with georeference first")


def _check_blocks(data: Any, band: int, label: str, shown: str) -> None:  # noqa: ANN401
    rows, cols = data.block_shapes[band - 1]
    size = rows * cols * np.dtype(data.dtypes[band - 1]).itemsize
    if size > LARGEST_BLOCK_BYTES:
        raise InputError(f"{label}: {shown} stores {size / 2**30:.1f} GB in one block; make a tiled GeoTIFF of it")
