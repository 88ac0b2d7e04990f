"""Pictures for the page: layers of the grid as images on the page's own projection (Mercator).

Values that are read by a click stay on the grid; they are packed in cell_values.py.
"""

import base64
import io
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from rasterio.transform import from_bounds
from rasterio.warp import Resampling, reproject, transform_bounds

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.points import to_lonlat
from hushwalk.grid.terrain import hillshade
from hushwalk.outputs.kit.palette import BANDS, TONES, cover_tone, rgb
from hushwalk.types import FloatArray

MERCATOR = "EPSG:3857"
SIDE_PX = 1500  # judgement: finer than a screen at the zoom where the ground still fits, small enough for a phone
PER_CELL_MAX = 4
FLAT, DARKEST = 0.93, 0.68  # judgement: of white


@dataclass(frozen=True)
class Frame:
    """Where the pictures lie: metres of Mercator (west, south, east, north), degrees, and pixels (width, height)."""

    mercator: tuple[float, float, float, float]
    degrees: tuple[float, float, float, float]
    size_px: tuple[int, int]

    def place(self, lonlat: FloatArray) -> FloatArray:
        """Longitudes and latitudes, shape (n, 2), as pixels from the upper left, shape (n, 2)."""
        west, south, east, north = self.mercator
        points = _mercator(lonlat)
        width, height = self.size_px
        right = (points[:, 0] - west) / (east - west) * width
        down = (north - points[:, 1]) / (north - south) * height
        return np.stack([right, down], axis=-1)


def frame_of(grid: Grid) -> Frame:
    """Give the frame that holds a grid."""
    west, south, east, north = transform_bounds(grid.crs, MERCATOR, *grid.bounds, densify_pts=51)
    per_cell = max(1, min(PER_CELL_MAX, SIDE_PX // max(grid.shape)))
    step = max(grid.shape) * per_cell / SIDE_PX
    scale = per_cell / max(step, 1.0)
    size = (round(grid.n_cols * scale), round(grid.n_rows * scale))
    corners = _degrees(np.array([[west, south], [east, north]]))
    degrees = (float(corners[0, 0]), float(corners[0, 1]), float(corners[1, 0]), float(corners[1, 1]))
    return Frame((west, south, east, north), degrees, size)


def relief_picture(elevation: Layer, frame: Frame) -> str:
    """Hillshade as a WebP data address: light grey on flat ground, so that colours laid over it stay themselves.

    Notes
    -----
    The contrast follows the ground (judgement): its steepest fiftieth turned away from the light is as dark as any.
    """
    shade = hillshade(elevation, exaggeration=2.0)
    turned = shade.values - np.sin(np.radians(45.0))
    deepest = float(np.nanpercentile(-turned, 98)) if shade.known.any() else 1.0
    bright = np.clip(FLAT + (FLAT - DARKEST) * turned / max(deepest, 0.02), DARKEST, 1.0)
    grey = _warped(shade.with_values(bright), frame, Resampling.cubic)
    image = Image.fromarray(np.where(np.isfinite(grey), np.clip(grey, 0, 1) * 255, 255).astype(np.uint8), "L")
    return _address(image, "WEBP", quality=82, method=6)


def suitability_picture(suitability: Layer, frame: Frame) -> str:
    """Suitability in the steps of the palette as a PNG data address; unknown ground is clear."""
    values = _warped(suitability, frame, Resampling.bilinear)
    step = np.searchsorted([band.low for band in BANDS[1:]], np.nan_to_num(values), side="right")
    return _indexed(np.where(np.isfinite(values), step, 255), [band.colour for band in BANDS])


def cover_picture(cover: Layer, kinds: dict[int, tuple[str, str]], frame: Frame) -> str:
    """Cover in quiet tones as a PNG data address; unknown ground is clear.

    Parameters
    ----------
    cover : codes of cover.
    kinds : code -> key and label.
    frame : of the picture.

    Returns
    -------
    str
        A data address.
    """
    values = _warped(cover, frame, Resampling.nearest)
    tones = sorted(set(TONES.values()))
    index = np.full(values.shape, 255)
    for code, (key, _) in kinds.items():
        index[values == code] = tones.index(cover_tone(key))
    return _indexed(index, tones)


def _warped(layer: Layer, frame: Frame, how: Resampling) -> FloatArray:
    width, height = frame.size_px
    target = np.full((height, width), np.nan)
    reproject(
        np.array(layer.values),
        target,
        src_transform=layer.grid.transform,
        src_crs=layer.grid.crs,
        src_nodata=np.nan,
        dst_transform=from_bounds(*frame.mercator, width, height),
        dst_crs=MERCATOR,
        dst_nodata=np.nan,
        resampling=how,
    )
    return target


def _indexed(index: NDArray[np.int64], colours: list[str]) -> str:
    image = Image.fromarray(index.astype(np.uint8), "P")
    palette = np.zeros((256, 3), dtype=np.uint8)
    palette[: len(colours)] = [rgb(colour) for colour in colours]
    image.putpalette(palette.tobytes())
    return _address(image, "PNG", transparency=255, optimize=True)


def _address(image: Image.Image, form: str, **options: int | bool) -> str:
    kept = io.BytesIO()
    image.save(kept, form, **options)
    return f"data:image/{form.lower()};base64," + base64.b64encode(kept.getvalue()).decode()


RADIUS_M = 6378137.0  # definition: the sphere of EPSG:3857


def _mercator(lonlat: FloatArray) -> FloatArray:
    lon, lat = np.radians(np.asarray(lonlat, dtype=float)).T
    found: FloatArray = RADIUS_M * np.stack([lon, np.log(np.tan(np.pi / 4 + lat / 2))], axis=-1)
    return found


def _degrees(points: FloatArray) -> FloatArray:
    x, y = (np.asarray(points, dtype=float) / RADIUS_M).T
    found: FloatArray = np.degrees(np.stack([x, 2 * np.arctan(np.exp(y)) - np.pi / 2], axis=-1))
    return found


def on_page(grid: Grid, xy_m: FloatArray) -> FloatArray:
    """Points of the grid, shape (n, 2) [m], as longitude and latitude rounded to a decimetre."""
    return np.round(to_lonlat(grid.epsg, xy_m), 6)
