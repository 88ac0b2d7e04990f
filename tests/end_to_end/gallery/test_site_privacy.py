"""What may be shown to others gives no place away, and nothing else does either unless it is asked for."""

import base64
import importlib.util
import json
import re
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import geopandas
import gpxpy
import numpy as np
import pypdf
import pytest

from hushwalk.filming.log_places import find_log, named_apart
from hushwalk.grid.points import to_metres
from hushwalk.morning.report import Report
from hushwalk.morning.share import TITLE, shared_report
from hushwalk.morning.sun_times import EveningHours
from hushwalk.outputs.registry import walk_products
from hushwalk.outputs.walk.walk_data import summary
from hushwalk.outputs.write import write
from hushwalk.site.camera_settings import CameraSettings
from hushwalk.site.site import read_site
from hushwalk.site.trip_file import read_trip
from hushwalk.text import file_word
from hushwalk.wording.share_words import shared_words

Country = Any
Run = Any
GRID_M = 500.0


@pytest.fixture(scope="module")
def private() -> Report:
    path = Path(__file__).resolve().parents[2] / "made_search.py"
    spec = importlib.util.spec_from_file_location("made_search_to_share", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    report: Report = module.made_report(title="Secret Spur")
    report = replace(report, detections=module.made_findings(report))
    layers = (replace(report.settings.layers[0], note="owner: A. Nonymous", path="secret_layer.tif"),)
    return replace(report, settings=replace(report.settings, layers=layers), notices=("secret notice",))


@pytest.fixture(scope="module")
def shared(private: Report, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder: Path = tmp_path_factory.mktemp("shared")
    write(walk_products(shared_report(private, GRID_M)), folder)
    return folder


def coordinates(folder: Path) -> np.ndarray:
    """Every place of every data file, as easting and northing."""
    gpx = gpxpy.parse((folder / "walk.gpx").read_text())
    points = [*gpx.waypoints, *(p for r in gpx.routes for p in r.points)]
    points += [p for t in gpx.tracks for s in t.segments for p in s.points]
    lonlat = [(p.longitude, p.latitude) for p in points]
    summary = json.loads((folder / "summary.json").read_text())
    lonlat += [(place["lon_deg"], place["lat_deg"]) for place in [summary["car"], *summary["stops"]]]
    lonlat += [tuple(pair[:2]) for pair in geopandas.read_file(folder / "walk.geojson").get_coordinates().to_numpy()]
    for name in geopandas.list_layers(folder / "walk.gpkg").name:
        layer = geopandas.read_file(folder / "walk.gpkg", layer=name).to_crs(4326)
        lonlat += [tuple(pair[:2]) for pair in layer.get_coordinates().to_numpy()]
    for pair in re.findall(r"(-?\d+\.\d+),(-?\d+\.\d+)", (folder / "walk.kml").read_text()):
        lonlat.append((float(pair[0]), float(pair[1])))
    return to_metres(32615, np.array(lonlat))


def test_every_place_is_the_middle_of_a_coarse_cell(shared: Path) -> None:
    places = coordinates(shared)
    assert len(places) > 30
    np.testing.assert_allclose(places % GRID_M, GRID_M / 2, atol=0.1)


def test_the_frame_and_the_layers_lie_on_the_coarse_grid(private: Report) -> None:
    report = shared_report(private, GRID_M)
    assert report.grid.cell_m == GRID_M
    assert all(edge % GRID_M == 0 for edge in report.grid.bounds)
    for layer in (report.country.elevation, report.country.suitability, report.country.density_per_km2):
        assert layer.grid == report.grid
    here = private.country.elevation
    west, south, *_ = report.grid.bounds
    rows, cols = np.indices(here.grid.shape)
    xy = here.grid.xy(rows.ravel(), cols.ravel())
    cell = (xy[:, 0] // GRID_M == (west + 2.2 * GRID_M) // GRID_M) & (
        xy[:, 1] // GRID_M == (south + 2.2 * GRID_M) // GRID_M
    )
    mean = np.nanmean(here.values.ravel()[cell])
    assert report.country.elevation.values[-3, 2] == pytest.approx(mean)


def test_no_file_holds_a_name_a_note_or_an_exact_place(private: Report, shared: Path) -> None:
    assert private.detections is not None
    sites = [log.place for log in private.detections.logs] + [bird.middle for bird in private.detections.birds]
    exact = [private.car, *(stop.place for stop in private.stops), *sites]
    secret = [
        "LOG03",
        "LOG04",
        "main log",
        "Secret Spur",
        "A. Nonymous",
        "secret_layer",
        "secret notice",
        "out and back",
        "wade 1 stream",
    ]
    secret += [spot.usng for spot in exact] + [spot.utm for spot in exact]
    secret += [f"{spot.lat_deg:.5f}" for spot in exact] + [f"{spot.lon_deg:.5f}" for spot in exact]
    for path in shared.iterdir():
        if path.suffix == ".pdf":
            pages = pypdf.PdfReader(path)
            text = " ".join(page.extract_text() for page in pages.pages) + str(pages.metadata)
        else:
            text = path.read_bytes().decode("utf-8", errors="replace")
        flat = re.sub(r"\s+", " ", text)
        for word in secret:
            assert re.sub(r"\s+", " ", word) not in flat, f"{path.name} holds {word!r}"


def test_what_was_taken_out_is_said_where_it_is_read(shared: Path) -> None:
    summary = json.loads((shared / "summary.json").read_text())
    assert summary["title"] == TITLE
    assert summary["notices"] == list(shared_words(GRID_M))
    assert "354 m of it" in summary["notices"][0], "half the diagonal of a cell of 500 m"
    assert "Made for sharing" in (shared / "map.html").read_text()


def test_display_sites_stand_only_where_one_looks_for_them(private: Report, tmp_path: Path) -> None:
    """On the private map, sheet and GPX they are wanted; in the summary, titles and names of files they never are."""
    assert private.detections is not None
    written = [one.path for one in write(walk_products(private, ("a4",)), tmp_path / "out")]
    page = (tmp_path / "out" / "map.html").read_text()
    assert "LOG03" in page
    said = [(tmp_path / "out" / name).read_text() for name in ("summary.json", "walk.geojson", "walk.kml")]
    said += [path.name for path in written] + re.findall(r"<title>.*?</title>", page, re.DOTALL)
    said.append(str(pypdf.PdfReader(tmp_path / "out" / "sheet_a4.pdf").metadata))
    for log in private.detections.logs:
        lat, lon = (f"{angle:.7f}"[:-2] for angle in (log.place.lat_deg, log.place.lon_deg))
        for secret in (log.name, log.place.usng, rf"{lon}\d*\D{{1,20}}{lat}", rf"{lat}\d*\D{{1,20}}{lon}"):
            assert not [text[:60] for text in said if re.search(secret, text)], secret
        assert re.search(rf"{lat}\d*\D{{1,20}}{lon}", (tmp_path / "out" / "walk.gpx").read_text())


def test_pictures_hold_no_metadata(shared: Path) -> None:
    """Chunks of PNG that can carry words, times or EXIF: PNG third edition, section 11.3."""
    page = (shared / "map.html").read_text()
    pictures = [base64.b64decode(text) for text in re.findall(r"data:image/png;base64,([A-Za-z0-9+/=]+)", page)]
    assert pictures
    for picture in pictures:
        assert not [chunk for chunk in (b"tEXt", b"zTXt", b"iTXt", b"eXIf", b"tIME") if chunk in picture]


def test_the_command_writes_beside_the_private_maps_and_tells_nothing_on_the_way(country: Country, run: Run) -> None:
    trip = country.small_trip(say={"place.name": '"Secret Spur"'})
    said = run("plan", trip, "--steps", "30", "--proof", "0", "--fresh", "--share", "2000")
    assert said.code == 0, said.err
    assert not (country.folder / "out").exists()
    assert (country.folder / "shared" / "map.html").is_file()
    assert "Made for sharing: every place is the middle of a cell of 2,000 m" in said.out
    for word in ("Secret Spur", "46.94", "-91.69", "5199", "9949"):
        assert word not in said.err
        assert word not in said.out.split("written:")[0]


def test_a_log_that_is_asked_for_by_its_place_is_named_without_it(country: Country) -> None:
    site = read_site(read_trip(country.small_trip()))
    asked = ["46.9405, -91.6905", "46.9402, -91.6895"]
    places = named_apart([find_log(place, CameraSettings(), None, site) for place in asked])
    assert [place.name for place in places] == ["UNNAMED 1", "UNNAMED 2"]
    assert places[0].log.xy_m != places[1].log.xy_m
    assert file_word(places[0].name) == "unnamed_1"


def test_the_figures_of_a_stop_are_no_fingerprint(shared: Path) -> None:
    summary = json.loads((shared / "summary.json").read_text())
    for stop in summary["stops"]:
        for key, step in (("earshot_m", 50.0), ("chance_any", 0.1), ("males_expected", 0.5)):
            assert stop[key] / step == pytest.approx(round(stop[key] / step), abs=1e-6), key
    assert summary["seed"] == 1


@pytest.mark.parametrize("grid_m", [300.0, 500.0, 1000.0])
def test_an_attack_with_the_public_heights_leaves_the_whole_cell_of_the_car(private: Report, grid_m: float) -> None:
    """Whoever has the heights and the size of the frame tries every place of the car: all of its cell must fit."""
    report = shared_report(private, grid_m)
    here, shown = private.country.elevation, report.country.elevation
    rows, cols = np.indices(here.grid.shape)
    xy = here.grid.xy(rows.ravel(), cols.ravel())
    west, south, east, north = here.grid.bounds
    half_m = np.array([east - west, north - south]) / 2
    corner = np.floor(np.array(private.car.xy_m) / grid_m) * grid_m
    told = np.argwhere(shown.known)
    for share in ((0.01, 0.01), (0.99, 0.01), (0.5, 0.5), (0.01, 0.99), (0.99, 0.99)):
        car = corner + np.array(share) * grid_m
        for row, col in told:
            middle = shown.grid.xy([row], [col])[0]
            assert (np.abs(middle - car) + grid_m / 2 <= half_m).all(), (
                "the frame about this car cuts a cell that is told"
            )
            inside = (np.abs(xy - middle) < grid_m / 2).all(axis=1)
            assert shown.values[row, col] == pytest.approx(np.nanmean(here.values.ravel()[inside]))


def test_the_sun_does_not_tell_the_meridian_in_the_morning_or_in_the_evening(private: Report) -> None:
    """A second of sunrise is 0.004 degrees of longitude (the earth turns 15 degrees an hour), some 300 m."""
    rise = private.sun.sunrise
    assert rise is not None
    dusk = replace(private.sun, sunset=rise.replace(hour=20, minute=3), civil_dusk=rise.replace(hour=20, minute=36))
    hours = EveningHours(
        after_dark=True, air_assumed=True, weather_of_morning=True, best_share=0.4, best_min=-60.0, source=""
    )
    for report in (private, replace(private, sun=dusk, evening=hours)):
        said = summary(shared_report(report, GRID_M))
        times = [said[key] for key in ("civil_dawn", "sunrise", "sunset", "civil_dusk") if said.get(key)]
        assert len(times) == (2 if report is private else 4)
        for moment in map(datetime.fromisoformat, times):
            assert (moment.minute % 15, moment.second, moment.microsecond) == (0, 0, 0)
