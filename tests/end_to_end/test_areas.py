"""`hushwalk areas` over a made region: from rasters and roads to a ranking, and from the ranking to a trip file."""

import base64
import ctypes
import importlib.util
import io
import json
import re
from pathlib import Path

import geopandas as gpd
import numpy as np
import pandas as pd
import pypdfium2
import pytest
import rasterio
from click.testing import CliRunner
from lxml import html
from PIL import Image
from shapely import Point

from hushwalk.cli import hushwalk
from hushwalk.outputs.kit.palette import BANDS, COLOURS, rgb
from hushwalk.outputs.kit.paper import PAPERS
from hushwalk.regions.region_file import parse_area_file
from hushwalk.site.trip_file import read_trip
from hushwalk.wording.area_words import SIGNS
from hushwalk.wording.plate_words import FAR_MIN

_spec = importlib.util.spec_from_file_location("made_region", Path(__file__).parents[1] / "made_region.py")
assert _spec
assert _spec.loader
made = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(made)
AREA_FILE, CELL, NORTH, UTM, WEST = made.AREA_FILE, made.CELL, made.NORTH, made.UTM, made.WEST


@pytest.fixture(scope="module")
def country(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Pines, with young cover in the north-west and in the south-east, which is closed; one road through both."""
    return made.make_region(tmp_path_factory.mktemp("country"))


def run(*words: object) -> str:
    said = CliRunner().invoke(hushwalk, [str(word) for word in words], catch_exceptions=False)
    assert said.exit_code == 0, said.output
    return said.output


@pytest.fixture(scope="module")
def ranked(country: Path) -> Path:
    run("areas", country / "areas.toml", "--window", 128)
    return country / "areas"


def test_the_ranking_begins_where_the_young_cover_is(ranked: Path) -> None:
    table = pd.read_csv(ranked / "areas.csv")
    assert list(table["rank"]) == list(range(1, len(table) + 1))
    assert len(table) >= 4
    assert (table["males_heard_new"] <= table["males_heard"] + 1e-9).all()
    assert table["males_heard_new"].is_monotonic_decreasing
    best = gpd.read_file(ranked / "areas.gpkg", layer="areas").iloc[0].geometry
    assert (
        min(
            np.hypot(best.x - WEST - 2850, best.y - NORTH + 2850), np.hypot(best.x - WEST - 9150, best.y - NORTH + 9150)
        )
        < 2500
    )
    assert table["drive_min"].between(0, 120).all()
    assert table["closed_share"].max() > 0.05
    assert "nothing is heard" in (ranked / "areas.json").read_text() or table["males_heard"].min() > 0


def test_the_files_say_the_same(ranked: Path) -> None:
    table = pd.read_csv(ranked / "areas.csv")
    points = gpd.read_file(ranked / "areas.geojson")
    said = json.loads((ranked / "areas.json").read_text())
    assert [area["rank"] for area in said["areas"]] == list(table["rank"]) == list(points["rank"])
    np.testing.assert_allclose(points.geometry.x, table["longitude_deg"], atol=1e-6)
    own = gpd.read_file(ranked / "areas.gpkg", layer="areas").to_crs("EPSG:4326")
    np.testing.assert_allclose(own.geometry.y, table["latitude_deg"], atol=1e-6)
    patches = pd.read_csv(ranked / "patches.csv")
    assert patches["males"].is_monotonic_decreasing
    with rasterio.open(ranked / "males_per_km2.tif") as data:
        males = data.read(1, masked=True) * data.scales[0]
        assert patches["males"].sum() <= float(males.sum()) * (CELL**2 / 1e6) * 1.01
    assert not (ranked / "windows.part").exists()


def test_another_cut_and_one_worker_give_the_same(country: Path, ranked: Path, tmp_path: Path) -> None:
    run("areas", country / "areas.toml", "--out", tmp_path / "again", "--window", 200, "--workers", 1)
    for name in ("areas.csv", "areas.geojson", "patches.csv"):
        assert (tmp_path / "again" / name).read_text() == (ranked / name).read_text()
    for name in ("suitability.tif", "males_per_km2.tif"):
        with rasterio.open(ranked / name) as one, rasterio.open(tmp_path / "again" / name) as other:
            np.testing.assert_array_equal(one.read(), other.read())


def test_scouted_ground_sends_one_elsewhere(country: Path, ranked: Path) -> None:
    best = gpd.read_file(ranked / "areas.gpkg", layer="areas").iloc[[0]]
    best.to_file(country / "known.gpkg", layer="known", driver="GPKG")
    text = AREA_FILE.replace("[drive]", '[scouted]\npath = "known.gpkg"\nradius_m = 3000.0\n\n[drive]')
    (country / "second.toml").write_text(text)
    run("areas", country / "second.toml", "--out", country / "areas")  # the region itself was judged before
    again = gpd.read_file(country / "areas" / "areas.gpkg", layer="areas").iloc[0]
    assert again.geometry.distance(best.geometry.iloc[0]) > 2000
    run("areas", country / "areas.toml", "--out", country / "areas")


def test_a_trip_starts_from_an_area(country: Path, ranked: Path) -> None:
    table = pd.read_csv(ranked / "areas.csv")
    run("start", country / "trips" / "first", "--from-area", 2, "--areas", ranked / "areas.json")
    trip = read_trip(country / "trips" / "first" / "trip.toml")
    lat, lon = (float(word) for word in trip.place.car.split(","))
    assert lat == pytest.approx(table["latitude_deg"][1], abs=1e-6)
    assert lon == pytest.approx(table["longitude_deg"][1], abs=1e-6)
    assert trip.morning == parse_area_file(AREA_FILE).morning
    closed_reaches = int(table["closed_share"][1] > 0)
    assert [layer.kind for layer in trip.layers] == ["cover", "elevation", "roads", *(["closed"] * closed_reaches)]
    run("start", country / "trips" / "every", "--from-area", 1, "--areas", ranked / "areas.json")
    assert {layer.kind for layer in read_trip(country / "trips" / "every" / "trip.toml").layers} >= {
        "cover",
        "elevation",
    }
    assert all((trip.folder / layer.path).resolve().is_file() for layer in trip.layers)
    said = CliRunner().invoke(
        hushwalk, ["start", str(country / "x"), "--from-area", "99", "--areas", str(ranked / "areas.json")]
    )
    assert "ranks 1 to" in str(said.exception)


def test_given_points_are_taken_as_they_are(country: Path, tmp_path: Path) -> None:
    points = [Point(WEST + 2850, NORTH - 2850), Point(WEST + 9150, NORTH - 9150), Point(WEST + 6060, NORTH - 600)]
    named = gpd.GeoDataFrame({"label": ["pull-off", "gate", "landing"]}, geometry=points, crs=UTM).to_crs("EPSG:4326")
    named.to_file(country / "stops.geojson", driver="GeoJSON")
    text = AREA_FILE.replace("spacing_m = 1500.0", 'path = "stops.geojson"\nname_field = "label"')
    (country / "third.toml").write_text(text)
    said = run("areas", country / "third.toml", "--out", tmp_path / "given")
    assert "pull-off" in said
    assert said.count("landing") == 1
    assert "left out because nobody can walk (landing)" in said  # it stands in the lake


def test_the_report_ranks_and_tells_for_each_place_what_is_good_and_what_holds_it_back(ranked: Path) -> None:
    table = pd.read_csv(ranked / "areas.csv")
    page = html.fromstring((ranked / "areas.html").read_text())
    key = [sign.text_content() for sign in page.xpath('//ul[@class="key"]/li')]
    assert key == [SIGNS[sign] for sign in ("reach", "stop", "road", "closed")], "what no map shows is not explained"
    rows = page.xpath("//table/tbody/tr")
    assert [row.xpath("string(th)") for row in rows] == [str(rank) for rank in table["rank"]]
    assert [row.xpath("string(td[1])") for row in rows] == list(table["name"])
    assert [float(row.xpath("string(td[2])")) for row in rows] == pytest.approx(list(table["males_heard"]), abs=0.051)
    cards = page.xpath("//section")
    assert len(cards) == min(10, len(table))
    for card, (_, row) in zip(cards, table.iterrows(), strict=False):
        said = card.text_content()
        assert f"{row['rank']}. {row['name']}" in said
        heard, stops = re.search(r"could hear (\d+\.\d) of them from (\d+) stops", said).groups()
        assert float(heard) == pytest.approx(row["males_heard"], abs=0.056)
        assert int(stops) == row["stops"]
        assert f"{max(row['drive_min'], 1):.0f} min to drive" in said
        place = [float(number) for number in re.search(r"(-?\d+\.\d{5}), (-?\d+\.\d{5})$", said).groups()]
        assert place == pytest.approx([row["latitude_deg"], row["longitude_deg"]], abs=1.1e-5)
        assert ("(parcel), hatched on the map" in said) == (row["closed_share"] > 0.005)
        assert "whether the ground may be entered is for you to find out" in said
    worst = cards[table["walk_in_min"].to_numpy().argmax()].text_content()
    assert ("from the car, in the dark" in worst) == (table["walk_in_min"].max() >= FAR_MIN)
    assert "Only local law and the owner decide" in page.text_content()


def test_all_small_maps_of_the_page_have_one_scale_and_the_colours_of_the_palette(ranked: Path) -> None:
    page = html.fromstring((ranked / "areas.html").read_text())
    maps = page.xpath("//section//*[local-name()='svg']")
    assert len({(m.get("viewbox") or m.get("viewBox")) for m in maps}) == 1
    bars = [m.xpath(".//*[local-name()='text' and contains(., 'km')]")[0].text for m in maps]
    assert len(set(bars)) == 1
    assert all(m.get("aria-label", "").startswith("Map of area") for m in maps)
    picture = maps[0].xpath(".//*[local-name()='image']/@href")[0].split(",", 1)[1]
    drawn = Image.open(io.BytesIO(base64.b64decode(picture))).convert("RGBA")
    said = {colour[:3] for _, colour in drawn.getcolors(1 << 16) if colour[3]}
    assert said <= {rgb(band.colour) for band in BANDS}
    with rasterio.open(ranked / "suitability.tif") as data:
        worth = data.read(1) * data.scales[0]
    assert len(said) == len(np.unique(np.minimum(np.digitize(worth, [band.high for band in BANDS]), len(BANDS) - 1)))


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_printed_report_is_true_to_scale(ranked: Path, paper: str) -> None:
    """Grid lines 1 km apart, measured by an independent reader (PDFium) on every small map."""
    document = pypdfium2.PdfDocument(ranked / f"areas_{paper}.pdf")
    words = " ".join(page.get_textpage().get_text_range() for page in document)
    scale = int(re.search(r"all maps 1:([\d ]+\d)", words)[1].replace(" ", ""))
    gap_pt = 1000 * 1000 / scale / 25.4 * 72
    measured = 0
    for page in document:
        for places in grid_lines(page):
            gaps = np.diff(sorted(places))
            assert gaps == pytest.approx(np.full(len(gaps), gap_pt), rel=0.003)
            measured += len(gaps)
        width, height = (side / 72 * 25.4 for side in page.get_size())
        size = PAPERS[paper]
        assert (width, height) == pytest.approx((size.width_mm, size.height_mm), abs=0.05)
    table = pd.read_csv(ranked / "areas.csv")
    assert measured >= 4 * len(table)
    for name in table["name"]:
        assert name in words
    assert "Only local law and the owner decide" in words.replace("\r\n", " ")


def grid_lines(page: pypdfium2.PdfPage) -> list[list[float]]:
    """Places of the upright and of the level lines in the colour of the grid, map by map [pt]."""
    upright: dict[tuple[int, int], list[float]] = {}
    level: list[float] = []
    for thing in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_PATH]):
        parts = [ctypes.c_uint() for _ in range(4)]
        pypdfium2.raw.FPDFPageObj_GetStrokeColor(thing.raw, *parts)
        if tuple(part.value for part in parts[:3]) != rgb(COLOURS["grid"]):
            continue
        left, bottom, right, top = thing.get_bounds()
        if right - left < 2:
            upright.setdefault((round(bottom), round(top)), []).append((left + right) / 2)
        else:
            level.append((bottom + top) / 2)
    across = [[y for y in level if bottom < y < top] for bottom, top in upright]
    assert sum(map(len, across)) == len(level)
    return [*upright.values(), *across]


def test_a_fault_is_told_in_one_sentence(country: Path) -> None:
    (country / "bad.toml").write_text(AREA_FILE.replace('legend = "nlcd"', 'legend = "worldcover"'))
    said = CliRunner().invoke(hushwalk, ["areas", str(country / "bad.toml"), "--out", str(country / "bad")])
    assert "layer 'cover.tif' holds class 11" in str(said.exception)
    (country / "bad.toml").write_text(AREA_FILE.replace("spacing_m", "spacing"))
    said = CliRunner().invoke(hushwalk, ["areas", str(country / "bad.toml")])
    assert "did you mean 'spacing_m'" in str(said.exception)
