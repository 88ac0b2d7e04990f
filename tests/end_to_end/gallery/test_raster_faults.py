"""Rasters with one fault each: the right answer, or one clear message that names layer, file and mend."""

import functools
import re
import threading
import zipfile
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

import numpy as np
import pytest
import rasterio
from affine import Affine

from hushwalk.errors import InputError, MissingFileError, SettingsError
from hushwalk.files import rasters
from hushwalk.site.grid_choice import choose_grid
from hushwalk.site.settings import GroundSettings, LayerSettings

Country = Any


class QuietHandler(SimpleHTTPRequestHandler):
    def log_message(self, *words: object) -> None:
        """Say nothing on the terminal."""


def heights(**keys: Any) -> LayerSettings:
    return LayerSettings("elevation", keys.pop("path", "dem.tif"), **keys)


def cover(**keys: Any) -> LayerSettings:
    return LayerSettings("cover", keys.pop("path", "cover.tif"), **({"legend": "nlcd"} | keys))


def inner(country: Country, values: np.ndarray) -> np.ndarray:
    return values[10 : 10 + country.grid.n_rows, 10 : 10 + country.grid.n_cols]


def said(country: Country, *layers: LayerSettings, fault: type[Exception] = InputError) -> str:
    with pytest.raises(fault) as caught:
        country.read(*layers)
    words = str(caught.value)
    assert words.startswith(f"layer {layers[0].kind}")
    assert "\n" not in words
    return words


def test_sound_layers_land_cell_on_cell(country: Country) -> None:
    country.raster("dem.tif", country.heights())
    country.raster("cover.tif", country.classes())
    got = country.read(heights(), cover())
    np.testing.assert_allclose(got.elevation.values, inner(country, country.heights()), atol=1e-3)
    assert got.cover is not None
    water = inner(country, country.classes()) == 11
    assert np.array_equal(got.cover.values == 1, water)
    assert not [n for n in got.notices if "layer" in n and "elevation" in n]


def test_a_missing_file_is_told_with_the_nearest_names(country: Country) -> None:
    country.raster("dem_10m.tif", country.heights())
    assert "dem_10m.tif" in said(country, heights(path="dem_1m.tif"), fault=MissingFileError)
    assert "there is no folder" in said(country, heights(path="layers/dem.tif"), fault=MissingFileError)
    words = said(country, heights(path="NETCDF:dem.nc:height"), fault=MissingFileError)
    assert "layer = 'height'" in words


def test_an_empty_file_is_told(country: Country) -> None:
    (country.folder / "dem.tif").write_bytes(b"")
    assert "0 bytes" in said(country, heights())


@pytest.mark.parametrize("content", [b"<html><body>please log in</body></html>", b"not a raster at all", b"II*\x00"])
def test_what_is_no_raster_is_told(country: Country, content: bytes) -> None:
    (country.folder / "dem.tif").write_bytes(content)
    assert "raster" in said(country, heights())


def test_a_vector_file_is_no_raster(country: Country) -> None:
    country.vector("roads.geojson", [country.line((0, 0), (500, 500))], crs=country.grid.crs)
    assert "not a raster" in said(country, heights(path="roads.geojson"))


@pytest.mark.parametrize("share", [0.05, 0.5, 0.9])
def test_a_truncated_file_is_told(country: Country, share: float) -> None:
    path = country.raster("dem.tif", np.random.default_rng(0).normal(400, 9, country.shape).astype(np.float32))
    whole = path.read_bytes()
    path.write_bytes(whole[: int(len(whole) * share)])
    words = said(country, heights())
    assert "dem.tif" in words
    assert "again" in words or "not a raster" in words


def test_a_raster_without_system_is_told_which_would_fit(country: Country) -> None:
    country.raster("dem.tif", country.heights(), crs=None)
    words = said(country, heights())
    assert "no reference system" in words
    assert 'crs = "EPSG:26915"' in words
    country.read(heights(crs="EPSG:32615"))


def test_a_raster_without_place_is_told(country: Country) -> None:
    with pytest.warns(rasterio.errors.NotGeoreferencedWarning):
        country.raster("dem.tif", country.heights(), transform=None)
    assert "georeference" in said(country, heights())


def test_a_wrong_zone_is_told_with_distance_and_the_right_one(country: Country) -> None:
    country.raster("dem.tif", country.heights(), crs="EPSG:32617")
    words = said(country, heights())
    km = float(re.search(r"(\d+) km apart", words)[1])  # type: ignore[index]
    # two zones are 12 degrees of longitude: 12 x 111.3 km x cos(46.94)
    assert km == pytest.approx(12 * 111.3 * np.cos(np.radians(46.94)), rel=0.02)
    assert 'crs = "EPSG:26915"' in words
    assert "the trip longitude" in words


def test_a_crs_key_that_names_nothing_is_told(country: Country) -> None:
    country.raster("dem.tif", country.heights())
    assert "crs: 'UTM 15' is no reference system" in said(country, heights(crs="UTM 15"))


def test_a_crs_key_that_contradicts_the_file_is_told(country: Country) -> None:
    country.raster("dem.tif", country.heights())
    got = country.read(heights(crs="EPSG:26915"))
    assert any("as the trip file says" in n for n in got.notices)


def test_metres_called_degrees_are_told(country: Country) -> None:
    country.raster("dem.tif", country.heights(), crs="EPSG:4326")
    words = said(country, heights())
    assert "said to be in degrees" in words
    assert 'crs = "EPSG:26915"' in words


def in_degrees() -> tuple[Affine, np.ndarray]:
    step = 0.0002
    return Affine(step, 0, -91.71, 0, -step, 46.96), np.full((200, 200), 412.0, dtype=np.float32)


def test_degrees_called_metres_are_told(country: Country) -> None:
    transform, values = in_degrees()
    country.raster("dem.tif", values, transform=transform, crs="EPSG:32615")
    words = said(country, heights())
    assert "its numbers are degrees" in words
    assert 'crs = "EPSG:4326"' in words


def test_swapped_axes_are_told(country: Country) -> None:
    transform, values = in_degrees()
    swapped = Affine(0.0002, 0, 46.92, 0, -0.0002, -91.67)
    country.raster("dem.tif", values, transform=transform, crs="EPSG:4326")
    country.read(heights())
    country.raster("dem.tif", values, transform=swapped, crs="EPSG:4326")
    assert "latitude and longitude swapped" in said(country, heights())


def test_all_nodata_is_told(country: Country) -> None:
    country.raster("dem.tif", np.full(country.shape, -9999, dtype=np.float32), nodata=-9999)
    assert "all nodata" in said(country, heights())


def test_heights_that_are_mostly_missing_are_told(country: Country) -> None:
    values = country.heights()
    values[:, 25:] = -9999
    country.raster("dem.tif", values, nodata=-9999)
    assert re.search(r"\d\d% of the ground has no height", said(country, heights()))


@pytest.mark.parametrize("sentinel", [-9999.0, -32768.0, -3.4028234663852886e38])
def test_undeclared_nodata_is_found_and_named_and_does_not_bleed(country: Country, sentinel: float) -> None:
    values = country.heights()
    sound = values.copy()
    values[24:27, 24:27] = sentinel
    country.raster("dem.tif", values)
    got = country.read(heights())
    assert any(f"give nodata = {sentinel:g}" in n for n in got.notices)
    assert any("small holes in the heights" in n for n in got.notices)
    np.testing.assert_allclose(got.elevation.values, inner(country, sound), atol=1.5)


def test_a_nodata_key_is_used(country: Country) -> None:
    values = country.heights()
    values[24:27, 24:27] = 777
    country.raster("dem.tif", values)
    got = country.read(heights(nodata=777.0))
    assert np.nanmax(got.elevation.values) < 480
    assert not any("cannot be meant" in n for n in got.notices)


def test_zeros_amid_high_ground_are_unknown(country: Country) -> None:
    values = country.heights()
    values[12:15, 12:15] = 0
    country.raster("dem.tif", values)
    got = country.read(heights())
    assert got.elevation.values.min() > 390
    assert any("exactly 0 m" in n for n in got.notices)


def test_feet_as_metres_are_told_and_a_unit_is_used(country: Country) -> None:
    country.raster("dem.tif", country.heights() * 30)
    assert 'unit = "ft"' in said(country, heights())
    country.raster("dem.tif", country.heights() / np.float32(0.3048))
    got = country.read(heights(unit="ft"))
    np.testing.assert_allclose(got.elevation.values, inner(country, country.heights()), atol=1e-3)
    assert "not known for elevation" in said(country, heights(unit="furlong"))


def test_south_up_and_turned_rasters_are_laid_right(country: Country) -> None:
    flipped = country.lattice @ Affine.translation(0, country.shape[0]) @ Affine.scale(1, -1)
    country.raster("dem.tif", country.heights()[::-1].copy(), transform=flipped)
    got = country.read(heights())
    np.testing.assert_allclose(got.elevation.values, inner(country, country.heights()), atol=1e-3)
    quarter = country.lattice @ Affine.translation(0, country.shape[0]) @ Affine.rotation(-90)
    country.raster("dem.tif", np.rot90(country.heights(), -1).copy(), transform=quarter)
    got = country.read(heights())
    np.testing.assert_allclose(got.elevation.values, inner(country, country.heights()), atol=1e-3)
    assert any("turned against its map" in n for n in got.notices)


def test_pictures_and_palettes_are_no_heights(country: Country) -> None:
    country.raster("dem.tif", country.classes(), colours={41: (0, 99, 0), 42: (0, 50, 0), 11: (0, 0, 255)})
    assert "palette" in said(country, heights())
    country.raster("cover.tif", country.classes(), colours={41: (0, 99, 0), 42: (0, 50, 0), 11: (0, 0, 255)})
    country.raster("heights.tif", country.heights())
    assert country.read(heights(path="heights.tif"), cover()).cover is not None
    country.raster("dem.tif", np.stack([country.classes()] * 3), photometric="RGB")
    assert "coloured picture" in said(country, heights())


def test_a_band_that_is_not_there_is_told(country: Country) -> None:
    country.raster("dem.tif", country.heights())
    assert "no band 3; its bands are 1" in said(country, heights(band=3))


def test_class_codes_that_no_legend_knows_are_told(country: Country) -> None:
    classes = country.classes()
    classes[30:32] = 77
    country.raster("cover.tif", classes)
    words = said(country, cover())
    assert "77" in words
    assert "legend" in words


def test_a_measure_is_no_cover(country: Country) -> None:
    country.raster("cover.tif", country.heights() + np.float32(0.37))
    assert "no class codes" in said(country, cover())


def test_undeclared_nodata_among_classes_is_unknown(country: Country) -> None:
    classes = country.classes().astype(np.int16)
    classes[30:32] = -9999
    country.raster("cover.tif", classes)
    got = country.read_beside_heights(cover())
    assert any("-9999 is in no legend" in n for n in got.notices)


def test_cover_needs_to_say_what_its_classes_mean(country: Country) -> None:
    country.raster("cover.tif", country.classes())
    assert "neither legend nor classes" in said(country, cover(legend=None))


def test_a_raster_of_one_cell_is_read(country: Country) -> None:
    west, south, east, north = country.grid.bounds
    one = Affine(2 * (east - west), 0, west - 100, 0, -2 * (north - south), north + 100)
    country.raster("dem.tif", np.array([[444.0]], dtype=np.float32), transform=one)
    np.testing.assert_allclose(country.read(heights()).elevation.values, 444.0)


def test_a_far_too_fine_raster_is_refused_before_it_is_read(country: Country) -> None:
    west, _, east, north = country.grid.bounds
    size = 2_000_000
    cell = (east - west) / size
    country.raster("tiny.tif", np.ones((2, 2), dtype=np.float32))
    (country.folder / "dem.vrt").write_text(
        f'<VRTDataset rasterXSize="{size}" rasterYSize="{size}"><SRS>{country.grid.crs}</SRS>'
        f"<GeoTransform>{west},{cell},0,{north},0,{-cell}</GeoTransform>"
        '<VRTRasterBand dataType="Float32" band="1"><SimpleSource><SourceFilename relativeToVRT="1">tiny.tif'
        "</SourceFilename><SourceBand>1</SourceBand></SimpleSource></VRTRasterBand></VRTDataset>"
    )
    assert "4e+12" in said(country, heights(path="dem.vrt"))


def test_the_network_is_used_only_if_the_trip_says_so(country: Country) -> None:
    for path in ("https://example.org/dem.tif", "/vsicurl/https://example.org/dem.tif", "s3://bucket/dem.tif"):
        assert "ground.network = true" in said(country, heights(path=path))
    (country.folder / "dem.vrt").write_text(
        '<VRTDataset rasterXSize="5" rasterYSize="5"><VRTRasterBand dataType="Float32" band="1"><SimpleSource>'
        "<SourceFilename>/vsicurl/http://example.org/dem.tif</SourceFilename></SimpleSource></VRTRasterBand></VRTDataset>"
    )
    assert "draws on the network" in said(country, heights(path="dem.vrt"))
    (country.folder / "dem.xml").write_text(
        '<GDAL_WMS><Service name="TMS"><ServerUrl>http://127.0.0.1:9/${z}</ServerUrl></Service></GDAL_WMS>'
    )
    assert "not a raster" in said(country, heights(path="dem.xml"))


def test_archives_are_opened_and_told(country: Country) -> None:
    path = country.raster("dem.tif", country.heights())
    with zipfile.ZipFile(country.folder / "one.zip", "w") as archive:
        archive.write(path, "deep/dem.tif")
    with zipfile.ZipFile(country.folder / "two.zip", "w") as archive:
        archive.write(path, "a.tif")
        archive.write(path, "b.tif")
    country.read(heights(path="one.zip"))
    country.read(heights(path="two.zip!b.tif"))
    assert "several layers, a.tif, b.tif" in said(country, heights(path="two.zip"))
    assert "holds no 'c.tif'" in said(country, heights(path="two.zip!c.tif"), fault=MissingFileError)
    (country.folder / "bad.zip").write_bytes(b"PK nonsense")
    assert "no readable zip" in said(country, heights(path="bad.zip"))


def test_finer_rasters_are_summarised_and_coarser_ones_interpolated_and_it_is_said(country: Country) -> None:
    fine = np.kron(country.heights(), np.ones((5, 5), dtype=np.float32))
    country.raster("dem.tif", fine, transform=country.lattice @ Affine.scale(0.2))
    got = country.read(heights())
    np.testing.assert_allclose(got.elevation.values, inner(country, country.heights()), atol=1e-3)
    assert "cells of 4 m" in got.stories[0]
    assert "(average)" in got.stories[0]
    classes = np.kron(country.classes(), np.ones((5, 5), dtype=np.uint8))
    country.raster("cover.tif", classes, transform=country.lattice @ Affine.scale(0.2))
    got = country.read_beside_heights(cover())
    assert "(mode)" in " ".join(got.stories)
    assert got.cover is not None
    assert np.array_equal(got.cover.values == 1, inner(country, country.classes()) == 11)


def test_a_large_ground_read_in_strips_has_no_seams(country: Country, monkeypatch: pytest.MonkeyPatch) -> None:
    country.raster("dem.tif", country.heights())
    whole = country.read(heights()).elevation.values
    monkeypatch.setattr("hushwalk.site.reading.raster_layers.STRIP_CELLS", 150)
    np.testing.assert_allclose(country.read(heights()).elevation.values, whole, atol=1e-6)


def test_tiles_of_one_kind_are_joined(country: Country) -> None:
    values = country.heights()
    half = values.shape[1] // 2
    country.raster("west.tif", values[:, :half].copy())
    country.raster("east.tif", values[:, half:].copy(), transform=country.lattice @ Affine.translation(half, 0))
    got = country.read(heights(path="west.tif"), heights(path="east.tif"))
    np.testing.assert_allclose(got.elevation.values, inner(country, values), atol=1e-3)
    (country.folder / "east.tif").unlink()
    words = said(country, heights(path="west.tif"), heights(path="east.tif"), fault=MissingFileError)
    assert words.startswith("layer elevation (2 of 2)")


def test_a_lake_without_heights_is_laid_level(country: Country) -> None:
    values = country.heights()
    values[22:28, 22:28] = np.nan
    country.raster("dem.tif", values)
    country.raster("cover.tif", country.classes())
    got = country.read(heights(), cover())
    lake = np.isnan(inner(country, values))
    assert len(np.unique(got.elevation.values[lake])) == 1
    assert any("laid level with its shore" in n for n in got.notices)


def test_canopy_and_age_have_their_units(country: Country) -> None:
    country.raster("canopy.tif", np.full(country.shape, 65, dtype=np.uint8))
    country.raster("age.tif", np.full(country.shape, 2009, dtype=np.int16))
    got = country.read_beside_heights(
        LayerSettings("canopy_cover", "canopy.tif"),
        LayerSettings("stand_age", "age.tif", unit="calendar_year"),
        LayerSettings("canopy_height", "canopy.tif", scale=0.1),
    )
    np.testing.assert_allclose(got.measures["canopy_cover"].values, 0.65)
    np.testing.assert_allclose(got.measures["stand_age"].values, 18.0)  # the trip is in 2027
    np.testing.assert_allclose(got.measures["canopy_height"].values, 6.5)
    country.raster("evc.tif", np.full(country.shape, 104, dtype=np.uint8))
    with pytest.raises(InputError, match="class codes"):
        country.read_beside_heights(LayerSettings("canopy_cover", "evc.tif"))
    with pytest.raises(InputError, match="calendar_year"):
        country.read_beside_heights(LayerSettings("stand_age", "age.tif"))


def test_a_ground_too_large_for_a_laptop_is_refused_with_what_to_change(country: Country) -> None:
    trip = country.trip(heights(), ground=GroundSettings(cell_m=2.0, reach_m=25_000.0))
    with pytest.raises(SettingsError, match=r"ground.cell_m to 9 or more"):
        choose_grid(trip, (-91.69, 46.94))


def test_an_address_on_the_network_is_read_if_the_trip_says_so(country: Country) -> None:
    country.raster("dem.tif", country.heights())
    serve = functools.partial(QuietHandler, directory=str(country.folder))
    with ThreadingHTTPServer(("127.0.0.1", 0), serve) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        address = f"http://127.0.0.1:{server.server_port}"
        ground = GroundSettings(cell_m=20.0, reach_m=500.0, network=True)
        got = country.read(heights(path=f"{address}/dem.tif"), ground=ground)
        with pytest.raises(InputError, match="404"):
            country.read(heights(path=f"{address}/dam.tif"), ground=ground)
        server.shutdown()
    np.testing.assert_allclose(got.elevation.values, inner(country, country.heights()), atol=1e-3)


def test_a_raster_in_one_huge_block_is_refused_before_it_is_read(
    country: Country, monkeypatch: pytest.MonkeyPatch
) -> None:
    with rasterio.open(country.raster("dem.tif", country.heights())) as file:
        block_bytes = file.block_shapes[0][0] * file.block_shapes[0][1] * 4
    monkeypatch.setattr(rasters, "LARGEST_BLOCK_BYTES", block_bytes - 1)
    assert "in one block; make a tiled GeoTIFF of it" in said(country, heights())
    monkeypatch.setattr(rasters, "LARGEST_BLOCK_BYTES", block_bytes)
    assert country.read(heights()).elevation.known.all()
