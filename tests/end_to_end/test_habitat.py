"""`hushwalk habitat` over a small made country: patches, known birds and moved assumptions."""

from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import geopandas as gpd
import numpy as np
import pytest
import rasterio
from click.testing import CliRunner
from rasterio.transform import from_origin
from scipy import ndimage
from shapely import Point

from hushwalk.cli import hushwalk
from hushwalk.habitat.density import density
from hushwalk.habitat.suitability import suitability
from hushwalk.notes.ledger import Entry, write_notes
from hushwalk.notes.notes import LogNote, VisitNote
from hushwalk.season.validation import evidence_against, same_bird
from hushwalk.site.assumption_ranges import tornado
from hushwalk.site.site import Site, read_site
from hushwalk.site.trip_file import read_trip

WEST, NORTH, CELL, SIZE = 498_000.0, 5_202_000.0, 20.0, 200
TRIP = """
[place]
name = "Made country"
car = "46.9700, -93.0000"
[morning]
date = 2027-04-25
time_zone = "America/Chicago"
back_by = 08:30:00
[ground]
reach_m = 1800.0
cell_m = 20.0
[[layer]]
kind = "cover"
path = "cover.tif"
[layer.classes]
1 = "aspen"
2 = "pine"
3 = "northern_hardwood"
4 = "alder_swamp"
[[layer]]
kind = "elevation"
path = "dem.tif"
"""


@pytest.fixture(scope="module")
def trip(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("woods")
    rng = np.random.default_rng(8)
    ranks = ndimage.gaussian_filter(rng.random((SIZE, SIZE)), 6)
    cover = (1 + np.searchsorted(np.quantile(ranks, [0.25, 0.5, 0.75]), ranks)).astype(np.uint8)
    profile = {"driver": "GTiff", "crs": "EPSG:32615", "transform": from_origin(WEST, NORTH, CELL, CELL), "count": 1}
    profile |= {"width": SIZE, "height": SIZE}
    with rasterio.open(folder / "cover.tif", "w", dtype="uint8", **profile) as out:
        out.write(cover, 1)
    with rasterio.open(folder / "dem.tif", "w", dtype="float32", **profile) as out:
        out.write((300 + 20 * ranks).astype(np.float32), 1)
    (folder / "trip.toml").write_text(TRIP)
    return folder / "trip.toml"


@pytest.fixture(scope="module")
def site(trip: Path) -> Site:
    return read_site(read_trip(trip))


def said(*words: object) -> str:
    result = CliRunner().invoke(hushwalk, [str(word) for word in words])
    return result.output if result.exception is None else str(result.exception)


def points(site: Site, n: int, seed: int = 1) -> np.ndarray:
    """Birds that stand as thick as the density says."""
    rng = np.random.default_rng(seed)
    worth = np.nan_to_num(site.density.values).ravel()
    cells = rng.choice(len(worth), n, p=worth / worth.sum())
    return site.grid.xy(cells // site.grid.n_cols, cells % site.grid.n_cols)


def written(site: Site, xy: np.ndarray, path: Path) -> Path:
    lonlat = gpd.GeoSeries([Point(*at) for at in xy], crs=site.grid.crs).to_crs("EPSG:4326")
    rows = [f"{p.x:.7f},{p.y:.7f},L{k}" for k, p in enumerate(lonlat)]
    path.write_text("\n".join(["longitude,latitude,name", *rows]))
    return path


def test_patches_are_told(trip: Path, site: Site) -> None:
    words = said("habitat", trip)
    assert f"{site.habitat.males.males()[1]:.1f} displaying males" in words
    assert "patches of good ground" in words


def test_birds_drawn_from_the_surface_agree_with_it(trip: Path, site: Site, tmp_path: Path) -> None:
    path = written(site, points(site, 400), tmp_path / "birds.csv")
    found, notices = evidence_against(read_trip(trip), site, path)
    assert found.birds < 400  # those within a male's own ground count as one
    assert any("nobody looked" in words for words in notices)
    words = said("habitat", trip, "--against", path)
    assert ("handful" in words) == (found.birds < 30)
    wide = points(site, 5000, 2)
    inside = site.habitat.suitability.at(wide)
    ground = site.habitat.suitability.values
    assert inside.mean() > np.nanmean(ground)


def test_a_handful_is_refused_the_name_of_a_validation(trip: Path, site: Site, tmp_path: Path) -> None:
    path = written(site, points(site, 8), tmp_path / "few.csv")
    assert "no validation" in said("habitat", trip, "--against", path)


def test_layers_of_points_are_read_too(trip: Path, site: Site, tmp_path: Path) -> None:
    xy = points(site, 12)
    table = gpd.GeoDataFrame({"name": range(12)}, geometry=[Point(*at) for at in xy], crs=site.grid.crs)
    table.to_file(tmp_path / "logs.gpkg", layer="logs", driver="GPKG")
    by_layer, _ = evidence_against(read_trip(trip), site, tmp_path / "logs.gpkg")
    by_table, _ = evidence_against(read_trip(trip), site, written(site, xy, tmp_path / "logs.csv"))
    assert by_layer.auc.value == pytest.approx(by_table.auc.value, abs=1e-6)


def test_field_notes_tell_where_somebody_looked(trip: Path, site: Site, tmp_path: Path) -> None:
    xy = points(site, 12)
    places = [
        (p.x, p.y) for p in gpd.GeoSeries([Point(*at) for at in xy], crs=site.grid.crs).to_crs("EPSG:4326").tolist()
    ]
    at = datetime(2027, 4, 25, 6, 30, tzinfo=ZoneInfo("America/Chicago"))
    logs = [LogNote(at, place, f"LOG{k:02d}", "fresh pile" if k else "none") for k, place in enumerate(places)]
    write_notes(
        tmp_path / "notes.gpkg",
        [*map(Entry, logs), Entry(VisitNote(at, places[3], "P01", heard=True, end=at + timedelta(minutes=5)))],
    )
    found, notices = evidence_against(read_trip(trip), site, tmp_path / "notes.gpkg")
    assert found.birds <= 11
    assert any("11 used logs and 1 visits" in words for words in notices)
    whole, _ = evidence_against(read_trip(trip), site, written(site, xy[1:], tmp_path / "all.csv"))
    assert whole.auc.value != pytest.approx(found.auc.value, abs=1e-6)  # only the ground near the stop is weighed


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("a,b\n1,2\n", "needs a column longitude"),
        ("lon,lat\n-93,here\n", "line 2"),
        ("lon,lat\n500000,5200000\n", "are they degrees"),
        ("lon,lat\n10,50\n", "none of its 1 points"),
    ],
)
def test_a_bad_table_is_told_in_one_sentence(trip: Path, tmp_path: Path, text: str, words: str) -> None:
    (tmp_path / "bad.csv").write_text(text)
    assert words in said("habitat", trip, "--against", tmp_path / "bad.csv")


def test_points_one_beside_the_other_are_one_bird() -> None:
    found = same_bird(np.array([[0.0, 0], [90, 0], [180, 0], [500, 0]]), 100.0)
    assert len(set(found.tolist())) == 2
    assert found[0] == found[1] == found[2]


def test_region_and_year_move_males_by_their_factors_and_a_kind_by_its_own(trip: Path, site: Site) -> None:
    found = {swing.label: swing for swing in tornado(site)}
    middle = found["what the region holds"].males
    params = site.habitat.males.params
    assert found["what the region holds"].males_high == pytest.approx(middle * np.exp(params.region_log_sd))
    aspen = next(swing for label, swing in found.items() if label.startswith("quality of aspen"))
    assert aspen.males_low < middle < aspen.males_high
    assert (aspen.at_low, aspen.at_high) == ("0.37", "0.77")  # by hand: 0.57 of the best, a fifth of the scale each way
    spans = [swing.span for swing in tornado(site)]
    assert spans == sorted(spans, reverse=True)
    words = said("habitat", trip, "--assumptions")
    assert "radius of the landscape" in words
    assert f"{middle:.1f}" in words


def test_the_middle_is_the_surface_itself(site: Site) -> None:
    needs = site.card.needs("lake_states")
    surface = suitability(needs, site.habitat.surface.measured, site.habitat.surface.params)
    males = density(surface.layer, site.habitat.males.params).males()[1]
    assert tornado(site)[0].males == pytest.approx(males)


def test_the_rasters_are_read_back_with_unit_sources_and_the_same_numbers(trip: Path, tmp_path: Path) -> None:
    said = CliRunner().invoke(hushwalk, ["habitat", str(trip), "--out", str(tmp_path / "rasters")])
    assert said.exit_code == 0, said.output
    site = read_site(read_trip(trip))
    found = {}
    for path in sorted((tmp_path / "rasters").iterdir()):
        with rasterio.open(path) as data:
            assert data.tags(ns="IMAGE_STRUCTURE")["LAYOUT"] == "COG", path.name
            assert data.crs.to_epsg() == site.grid.epsg
            assert data.units[0] == data.tags()["UNIT"]
            assert data.tags()["SOURCES"], path.name
            assert data.tags()["TIFFTAG_IMAGEDESCRIPTION"].endswith("."), path.name
            assert data.tags()["SPECIES"] == "ruffed grouse (Bonasa umbellus)"
            found[path.stem] = (data.read(1), data.units[0], data.transform.a)
    assert {need.key for need in site.habitat.surface.needs} == {
        name.removeprefix("score_") for name in found if name.startswith("score_")
    }
    np.testing.assert_array_equal(found["suitability"][0], site.habitat.suitability.values.astype(np.float32))
    np.testing.assert_array_equal(found["males_per_km2"][0], site.density.values.astype(np.float32))
    assert found["males_per_km2"][1] == "1/km2"
    assert found["earshot_m"][1:] == ("m", 100.0)
    assert 30.0 < np.nanmedian(found["earshot_m"][0]) < 800.0
