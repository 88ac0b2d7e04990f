"""Whose data a map is made of stands on the page, the sheet, in the GPX file and in the tables."""

import io
from dataclasses import replace
from pathlib import Path

import pyogrio
import pytest
from lxml import etree
from pypdf import PdfReader

from hushwalk.morning.report import Report
from hushwalk.outputs.walk.geopackage import geopackage_bytes
from hushwalk.outputs.walk.gpx import gpx_text
from hushwalk.outputs.walk.kml import kml_text
from hushwalk.outputs.walk.print_sheet import print_sheet
from hushwalk.outputs.walk.walk_map import map_page
from hushwalk.site.manifest import Credit

OSM = Credit("OpenStreetMap", "© OpenStreetMap contributors", "ODbL 1.0", "https://www.openstreetmap.org/copyright")
# the sentence that the licence of these heights asks for, to the letter
HEIGHTS = Credit(
    "Copernicus GLO-30",
    "produced using Copernicus WorldDEM-30 © DLR e.V. 2010-2014 and © Airbus Defence and Space GmbH 2014-2018 provided "
    "under COPERNICUS by the European Union and ESA; all rights reserved",
    "Copernicus DEM licence",
    "https://spacedata.copernicus.eu",
)
LINE = "Map data: © OpenStreetMap contributors, Copernicus GLO-30"


@pytest.fixture
def owing(report: Report) -> Report:
    return replace(report, country=replace(report.country, credits=(HEIGHTS, OSM)))


def test_the_page_names_them_in_one_line_and_in_full(owing: Report) -> None:
    page = map_page(owing)
    assert LINE in page
    assert HEIGHTS.sentence in page
    assert "openstreetmap.org/copyright" in page


def test_the_sheet_names_them_on_the_map_and_in_full_with_the_cautions(owing: Report) -> None:
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(print_sheet(owing))).pages]
    assert LINE in pages[0]
    assert HEIGHTS.sentence in " ".join("".join(pages).split())


def test_files_for_other_tools_carry_them(owing: Report, tmp_path: Path) -> None:
    assert LINE in gpx_text(owing)
    described = etree.fromstring(kml_text(owing).encode()).find(".//{*}Document/{*}description")
    assert described is not None
    assert HEIGHTS.sentence in (described.text or "")
    assert OSM.licence_link in (described.text or "")
    (tmp_path / "walk.gpkg").write_bytes(geopackage_bytes(owing))
    assert OSM.sentence in pyogrio.read_info(tmp_path / "walk.gpkg", layer="stops")["layer_metadata"]["credit"]


def test_a_report_without_them_stays_as_it_was(report: Report) -> None:
    assert "Map data:" not in map_page(report)
    assert "Map data:" not in gpx_text(report)
    assert "clipped and reprojected" not in kml_text(report)
