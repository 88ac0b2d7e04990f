"""The search on paper and in files: read back by independent libraries, valid by the official schema."""

import importlib.util
import io
import json
import re
from dataclasses import replace
from pathlib import Path

import gpxpy
import numpy as np
import pypdfium2
import pytest
from lxml import etree
from pypdf import PdfReader
from pyproj import Transformer
from shapely.geometry import shape

from hushwalk.outputs.registry import search_products
from hushwalk.outputs.search.search_files import search_geojson_text, search_gpx_text, search_summary_text
from hushwalk.outputs.search.search_sheet import search_sheet
from hushwalk.outputs.walk.gpx import GpxLimits, gpx_text
from hushwalk.outputs.walk.walk_data import summary_text
from hushwalk.outputs.write import write

TESTS = Path(__file__).parents[2]
_spec = importlib.util.spec_from_file_location("made_search", TESTS / "made_search.py")
made = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(made)
SCHEMA = etree.XMLSchema(etree.parse(TESTS / "published" / "data" / "gpx_1_1.xsd"))


@pytest.fixture(scope="module")
def report():
    return made.made_search(title=made.made.NAUGHTY)


def test_the_gpx_file_keeps_to_the_schema_and_reads_back(report):
    for limits in (GpxLimits(), GpxLimits(6, 10, 4, 5.0)):
        SCHEMA.assertValid(etree.fromstring(search_gpx_text(report, limits).encode("utf-8")))
    read = gpxpy.parse(search_gpx_text(report))
    names = [point.name for point in read.waypoints]
    assert names[:3] == ["CAR", "S1", "S2"]
    assert len(set(names)) == len(names)
    assert {"B1", "NB1", "LOG03"} <= set(names)
    assert [track.name for track in read.tracks] == ["TO1", "AREA1", "TO2", "AREA2", "BACK"]
    back = Transformer.from_crs(4326, report.grid.epsg, always_xy=True)
    for leg, track in zip(report.search.legs, read.tracks[1::2], strict=False):
        points = track.segments[0].points
        xy = np.array([back.transform(p.longitude, p.latitude) for p in points])
        assert xy == pytest.approx(leg.path_m, abs=0.2)


def test_the_walk_carries_birds_and_logs_and_its_summary_none(report):
    walk = replace(made.made_report(), detections=report.detections)
    SCHEMA.assertValid(etree.fromstring(gpx_text(walk).encode("utf-8")))
    assert {"B1", "B2", "LOG03", "LOG04"} <= {point.name for point in gpxpy.parse(gpx_text(walk)).waypoints}
    said = summary_text(walk)
    assert "LOG03" not in said
    for log in report.detections.logs:
        assert log.place.usng not in said
        assert f"{log.place.lat_deg:.4f}" not in said


def test_the_data_file_is_whole_and_valid(report):
    features = json.loads(search_geojson_text(report))["features"]
    kinds = [feature["properties"]["kind"] for feature in features]
    assert kinds.count("area") == 2
    assert kinds.count("ground") == 6
    assert kinds.count("log") == 2
    assert all(shape(feature["geometry"]).is_valid for feature in features)


def test_files_and_summary_agree(report):
    said = json.loads(search_summary_text(report))
    features = json.loads(search_geojson_text(report))["features"]
    areas = [feature["properties"] for feature in features if feature["properties"]["kind"] == "area"]
    paths = [f["geometry"]["coordinates"] for f in features if f["properties"]["kind"] == "path"]
    assert said["logs_expected"] == report.search.logs_expected
    for one, area, path in zip(said["areas"], areas, paths, strict=True):
        for key in ("bird", "arrive", "leave", "chance", "logs", "area_ha", "twice_ha"):
            assert one[key] == area[key]
        assert np.array(one["path_lonlat"]) == pytest.approx(np.array(path), abs=1e-5)
    assert said["left_out"] == [{"bird": "B7", "why": "B7: in the same time more is found elsewhere"}]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_sheet_says_what_one_needs_and_keeps_its_scale(report, paper):
    drawn = search_sheet(report, paper)
    assert drawn == search_sheet(report, paper)
    assert len(drawn) < 5_000_000
    pages = PdfReader(io.BytesIO(drawn)).pages
    words = " ".join(" ".join(page.extract_text() for page in pages).split())
    for said in (
        "10:00",
        "S1"[1:],
        "B1",
        "B2",
        "back at the car",
        "Search each area once",
        "What I found",
        "Lines to walk",
        "1:2 500, grid north up. Heavy: the way in.",
        "first towards 092",
    ):
        assert said in words
    assert re.search(r"Scale 1:\d+ [05]00", words)
    for leg in report.search.legs:
        assert leg.entry.usng in words
    image = pypdfium2.PdfDocument(drawn)[0].render(scale=1.0).to_numpy()
    assert (image < 128).any()


def test_all_files_are_written_or_none(report, tmp_path):
    names = [file.path.name for file in write(search_products(report), tmp_path / "out")]
    assert names == [
        "search.html",
        "search_a4.pdf",
        "search_letter.pdf",
        "search.gpx",
        "search.geojson",
        "search.json",
    ]
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == sorted(names)
