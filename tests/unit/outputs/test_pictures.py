import base64
import io

import numpy as np
import pytest
from PIL import Image
from pyproj import Transformer

from hushwalk.morning.report import Report
from hushwalk.outputs.kit.palette import BANDS, cover_tone, rgb
from hushwalk.outputs.kit.pictures import cover_picture, frame_of, on_page, relief_picture, suitability_picture


def opened(address: str) -> Image.Image:
    return Image.open(io.BytesIO(base64.b64decode(address.split(",", 1)[1])))


def test_the_frame_agrees_with_proj(report: Report) -> None:
    frame = frame_of(report.grid)
    west, south, east, north = report.grid.bounds
    xy = np.array([[west, south], [east, north], [(west + east) / 2, (south + north) / 2]])
    said = frame.place(on_page(report.grid, xy))
    x, y = Transformer.from_crs(report.grid.crs, "EPSG:3857", always_xy=True).transform(*xy.T)
    left, bottom, right, top = frame.mercator
    width, height = frame.size_px
    assert said[:, 0] == pytest.approx((np.array(x) - left) / (right - left) * width, abs=0.1)
    assert said[:, 1] == pytest.approx((top - np.array(y)) / (top - bottom) * height, abs=0.1)


def test_a_cell_shows_the_colour_of_its_own_value(report: Report) -> None:
    frame = frame_of(report.grid)
    good = opened(suitability_picture(report.country.suitability, frame)).convert("RGBA")
    cover = opened(cover_picture(report.country.cover, report.country.kinds, frame)).convert("RGBA")
    rng = np.random.default_rng(3)
    xy = report.grid.xy(rng.integers(20, 240, 200), rng.integers(25, 240, 200))
    pixels = np.floor(frame.place(on_page(report.grid, xy))).astype(int)
    right = 0
    for (x, y), value, code in zip(pixels, report.country.suitability.at(xy), report.country.cover.at(xy), strict=True):
        assert cover.getpixel((int(x), int(y)))[:3] == rgb(cover_tone(report.country.kinds[int(code)][0]))
        band = next(b for b in reversed(BANDS) if value >= b.low)
        right += good.getpixel((int(x), int(y)))[:3] == rgb(band.colour)
    assert right >= 190  # the rest lie within half a cell of a step's edge


def test_unknown_ground_is_clear(report: Report) -> None:
    frame = frame_of(report.grid)
    good = opened(suitability_picture(report.country.suitability, frame)).convert("RGBA")
    x, y = np.floor(frame.place(on_page(report.grid, report.grid.xy([5], [5])))).astype(int)[0]
    assert good.getpixel((int(x), int(y)))[3] == 0


def test_the_relief_is_light_where_it_faces_north_west(report: Report) -> None:
    frame = frame_of(report.grid)
    picture = np.asarray(opened(relief_picture(report.country.elevation, frame)).convert("L"), dtype=float)
    assert picture.shape[::-1] == frame.size_px
    assert picture.min() < 190
    assert picture.max() > 240
    rows, cols = (part.ravel() for part in np.indices(report.grid.shape)[:, 5:-5, 5:-5])
    x, y = np.floor(frame.place(on_page(report.grid, report.grid.xy(rows, cols)))).astype(int).T
    z = report.country.elevation.values
    rises_to_south_east = (z[rows + 1, cols] - z[rows - 1, cols]) + (z[rows, cols + 1] - z[rows, cols - 1])
    assert np.corrcoef(rises_to_south_east, picture[y, x])[0, 1] > 0.9
