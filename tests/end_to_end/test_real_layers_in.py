"""Real open layers onto one grid: five systems, six areas, held against what their notes and their makers say.

The numbers beside a check marked "notes" were measured on the same files with other programs, and are kept in
the SOURCES.md beside the layers. Trips are made here by hand.
"""

import time as clock
from datetime import date, time
from pathlib import Path

import numpy as np
import pytest
import rasterio
from pyproj import Transformer
from scipy.stats import rankdata

from hushwalk.errors import InputError
from hushwalk.grid.align import burn
from hushwalk.grid.drainage import wetness
from hushwalk.grid.nearby import distance_to
from hushwalk.site.grid_choice import choose_grid
from hushwalk.site.inputs import Inputs, read_inputs
from hushwalk.site.reading.cover import kind_by_key
from hushwalk.site.settings import GroundSettings, LayerSettings, MorningSettings, PlaceSettings, TripSettings

pytestmark = pytest.mark.real_layers
SAGEHEN = (-120.275, 39.433)


def read(folder: Path, lonlat: tuple[float, float], *layers: LayerSettings, **ground: float) -> Inputs:
    settings = TripSettings(
        PlaceSettings("Real ground", ""),
        MorningSettings(date(2027, 4, 25), time(9, 30), "America/Denver"),
        layers,
        ground=GroundSettings(**ground),  # type: ignore[arg-type]
        folder=folder,
    )
    return read_inputs(settings, choose_grid(settings, lonlat))


def sagehen(folder: Path, **ground: float) -> Inputs:
    return read(
        folder / "areas" / "sagehen_ca",
        SAGEHEN,
        LayerSettings("elevation", "ned10m_nad83.img"),
        LayerSettings("cover", "us_140evt.img", legend="landfire_evt"),
        LayerSettings("streams", "NHDFlowline.shp"),
        LayerSettings("closed", "watershed.shp"),  # the watershed stands in for a parcel
        **ground,
    )


def kind_of(inputs: Inputs, key: str) -> np.ndarray:
    assert inputs.cover is not None
    found: np.ndarray = inputs.cover.values == kind_by_key(key).code
    return found


def test_three_systems_meet_in_one_place(shared_data: Path) -> None:
    got = sagehen(shared_data, reach_m=3000.0)
    assert got.elevation.known.all()
    assert got.cover is not None
    assert got.cover.known.all()
    # heights read straight from the file at places inside cells, by another way: rasterio's sampling in degrees
    xy = got.grid.xy(np.arange(5, 600, 40), np.arange(10, 605, 40)[:15])
    lon, lat = Transformer.from_crs(got.grid.crs, "EPSG:4269", always_xy=True).transform(xy[:, 0], xy[:, 1])
    with rasterio.open(shared_data / "areas" / "sagehen_ca" / "ned10m_nad83.img") as file:
        direct = np.array([value[0] for value in file.sample(zip(lon, lat, strict=True))])
    assert np.abs(got.elevation.at(xy) - direct).max() < 6  # half a cell down a slope of 45 degrees
    assert np.abs(np.mean(got.elevation.at(xy) - direct)) < 0.8


def test_streams_run_in_valleys_and_riparian_cover_along_streams(shared_data: Path) -> None:
    got = sagehen(shared_data, reach_m=4500.0)
    ends = [line.interpolate(d) for line in got.shapes("streams") for d in np.arange(30.0, line.length - 1, 30.0)]
    lines = [line for line in got.shapes("streams") for _ in np.arange(30.0, line.length - 1, 30.0)]
    along = np.array([[p.x, p.y] for p in ends])
    ahead = np.array(
        [[q.x, q.y] for q in (ln.interpolate(ln.project(p) + 1) for ln, p in zip(lines, ends, strict=True))]
    )
    across = (ahead - along)[:, ::-1] * [1, -1] * 60
    worker = (got.elevation.at(along + across) + got.elevation.at(along - across)) / 2
    drop_m = worker - got.elevation.at(along)
    drop_m = drop_m[np.isfinite(drop_m)]
    assert (drop_m > 0).mean() == pytest.approx(0.937, abs=0.03)  # notes: 93.7 % of 3,369 points
    assert np.median(drop_m) == pytest.approx(2.8, abs=0.5)  # notes: 2.8 m
    watershed = burn(got.shapes("closed"), got.grid)
    away_m = distance_to(burn(got.shapes("streams"), got.grid, touched=True), got.grid)
    riparian = kind_of(got, "riparian_forest") | kind_of(got, "riparian_shrub")
    assert np.median(away_m[riparian & watershed]) < 40  # notes: 20 m for two of the three riparian classes
    assert np.median(away_m[watershed]) == pytest.approx(108, abs=15)  # notes: 108 m for all ground


def test_a_trip_of_five_kilometres_is_read_in_two_seconds(shared_data: Path) -> None:
    sagehen(shared_data, reach_m=300.0)  # libraries are loaded once
    start = clock.process_time()
    sagehen(shared_data)
    assert clock.process_time() - start < 2.0


def test_a_lake_without_heights_gets_the_level_of_its_record(shared_data: Path) -> None:
    got = read(
        shared_data / "areas" / "sunapee_nh",
        (-72.05, 43.36),
        LayerSettings("elevation", "lake__elev.tif"),
        LayerSettings("cover", "lake__nlcd.tif", legend="nlcd"),
    )
    lake = max(got.shapes("water"), key=lambda shape: shape.area)
    middle = np.array([[lake.representative_point().x, lake.representative_point().y]])
    assert got.elevation.at(middle)[0] == pytest.approx(333, abs=3)  # notes: the lake's own attribute, 333 m
    assert any("laid level" in n for n in got.notices)
    assert any("has no height" in n for n in got.notices)


def test_wide_ground_of_two_cell_sizes_keeps_its_order_of_heights(shared_data: Path) -> None:
    got = read(
        shared_data / "areas" / "zion_ut",
        (-113.045, 37.32),
        LayerSettings("elevation", "srtm.tif"),
        LayerSettings("cover", "nlcd2011.tif", legend="nlcd"),
        LayerSettings("closed", "zion.gpkg"),
        reach_m=22_000.0,
        cell_m=32.0,
    )
    # notes: medians over the whole layer, which lies within this ground
    for key, height_m in (
        ("deciduous_forest", 2392),
        ("evergreen_forest", 1887),
        ("mixed_forest", 2527),
        ("shrub", 1594),
        ("woody_wetland", 1197),
    ):
        assert np.nanmedian(got.elevation.values[kind_of(got, key)]) == pytest.approx(height_m, abs=5), key
    assert any("does not say on which datum" in n for n in got.notices)


def test_an_old_datum_and_no_cover_are_told(shared_data: Path) -> None:
    got = read(
        shared_data / "areas" / "medford_wi",
        (-90.66, 45.21),
        LayerSettings("elevation", "dem.tif"),
        LayerSettings("streams", "flowlines_clipped.shp"),
        LayerSettings("water", "waterbodies_clipped.shp"),
        reach_m=12_000.0,
        cell_m=30.0,
    )
    assert got.cover is None
    assert len(got.features["water"]) > len(got.features["wetlands"]) > 0
    assert any("NAD27" in n for n in got.notices)
    assert any("no land cover was given" in n for n in got.notices)
    names = {f.name: f.kind for f in got.features["streams"]}
    assert names["Yellow River"] == "river"
    assert names["Hay Creek"] == "creek"
    # lakes are level: the shift of the old datum, over 200 m here, would put them on slopes
    lakes = burn([f.geometry for f in got.features["water"] if f.geometry.area > 2e5], got.grid)
    spread = np.nanstd(got.elevation.values[lakes] - np.nanmedian(got.elevation.values[lakes]))
    assert spread < np.nanstd(got.elevation.values)


def test_bands_of_one_file_are_different_layers(shared_data: Path) -> None:
    path = "example_lcp.tif"
    got = read(
        shared_data / "areas" / "bitterroot_mt",
        (-114.177, 46.692),
        LayerSettings("elevation", path),
        LayerSettings("cover", path, band=4, legend="fuel_model_40"),
        LayerSettings("canopy_cover", path, band=5, unit="%"),
        LayerSettings("canopy_height", path, band=6, scale=0.1),
        reach_m=7_500.0,
        cell_m=30.0,
    )
    water_km2 = kind_of(got, "open_water").sum() * got.grid.cell_area_km2
    assert water_km2 == pytest.approx(957 * 0.0009, rel=0.05)  # notes: 957 cells of 30 m
    assert 0 <= np.nanmin(got.measures["canopy_cover"].values) <= np.nanmax(got.measures["canopy_cover"].values) <= 1
    assert 10 < np.nanmax(got.measures["canopy_height"].values) < 60


def test_variables_of_a_netcdf_file_are_layers(shared_data: Path) -> None:
    layers = [
        LayerSettings("elevation", "topo.nc", layer="dem"),
        LayerSettings("cover", "topo.nc", layer="veg_type", legend="landfire_evt"),
        LayerSettings("canopy_height", "topo.nc", layer="veg_height"),
    ]
    folder = shared_data / "areas" / "mammoth_lakes_ca"
    got = read(folder, (-118.995, 37.592), *layers, reach_m=4_200.0, cell_m=50.0)
    water_km2 = kind_of(got, "open_water").sum() * got.grid.cell_area_km2
    aspen_km2 = kind_of(got, "aspen").sum() * got.grid.cell_area_km2
    assert water_km2 == pytest.approx(638 * 0.0025, rel=0.05)  # notes: 638 cells of 50 m
    assert aspen_km2 == pytest.approx(588 * 0.0025, rel=0.05)  # notes: 588 cells
    assert np.nanmin(got.elevation.values) == pytest.approx(2384, abs=3)  # notes: 2384..3581 m
    assert np.nanmax(got.elevation.values) == pytest.approx(3581, abs=15)
    with pytest.raises(InputError, match="dem, mask, veg_type"):
        read(folder, (-118.995, 37.592), LayerSettings("elevation", "topo.nc"))


def test_two_areas_that_do_not_meet_are_told_apart(shared_data: Path) -> None:
    with pytest.raises(InputError, match="km apart"):
        read(
            shared_data / "areas" / "bitterroot_mt",
            (-114.17, 46.70),
            LayerSettings("elevation", "missoula_valley.tif"),
        )


def test_water_gathers_where_streams_are_mapped(shared_data: Path) -> None:
    """Wetness comes from the heights alone; streams and streamside woods were mapped by others, by other means."""
    got = sagehen(shared_data, reach_m=4500.0)
    wet = wetness(got.elevation).values
    watershed = burn(got.shapes("closed"), got.grid)
    streams = burn(got.shapes("streams"), got.grid, touched=True)
    ranks = rankdata(wet[watershed])
    n_wet, n_dry = (streams & watershed).sum(), (~streams & watershed).sum()
    chance = (ranks[streams[watershed]].sum() - n_wet * (n_wet + 1) / 2) / (n_wet * n_dry)
    assert chance > 0.8  # a stream cell is wetter than another one in more than four of five draws
    riparian = kind_of(got, "riparian_forest") | kind_of(got, "riparian_shrub")
    upland = kind_of(got, "upland_conifer") | kind_of(got, "pine")
    assert np.median(wet[riparian & watershed]) > np.percentile(wet[upland & watershed], 85)
