"""What is gathered from services that answer as documented: cells on their lattice, features, terms, a trip file."""

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pyogrio
import pytest
import rasterio
from werkzeug import Response

from hushwalk.gather.story import Gathered, GatherParams, gather
from hushwalk.gather.transport import AskParams
from hushwalk.gather.trip_files import write_area_file, write_trip
from hushwalk.grid.systems import Box
from hushwalk.morning.checkup import check_trip
from hushwalk.regions.region_file import read_area_file
from hushwalk.site.manifest import LayerSource, credits_of, read_manifest
from hushwalk.site.site import read_site
from hushwalk.site.trip_file import read_trip
from hushwalk.wording.checkup_words import checkup_words

Start = Callable[..., Any]
Run = Callable[..., Gathered]
REACH_M = 300.0
HURRY = AskParams(contact="tests@example.org", tries=3, backoff_s=0.01, busy_s=0.0)
OF_THE_MAP = ("streams", "water", "wetlands", "closed", "trails", "roads", "buildings", "parking")


def of(gathered: Gathered, kind: str) -> LayerSource:
    return next(one for one in gathered.layers if one.kind == kind)


def site_of(gathered: Gathered, place: tuple[float, float]) -> Any:
    path, new = write_trip(gathered, "Made place", (place[1], place[0]), REACH_M, date(2027, 4, 25))
    assert new
    return read_site(read_trip(path))


@pytest.mark.parametrize(
    ("place", "expected"),
    [
        (
            "us",
            {
                "elevation": "usgs_3dep",
                "cover": "annual_nlcd",
                "canopy_cover": "tree_canopy_us",
                "streams": "nhd_flowlines",
            },
        ),
        ("ca", {"elevation": "mrdem", "cover": "canada_cover", "streams": "osm"}),
        ("se", {"elevation": "glo30", "cover": "clc_plus", "canopy_cover": "tree_density_2018", "streams": "osm"}),
    ],
)
def test_a_square_of_each_country_is_gathered_whole_and_read_as_a_site(
    services_at: Start, gathered_at: Run, place: str, expected: dict[str, str]
) -> None:
    server = services_at(place)
    gathered = gathered_at(server, half_m=1900.0)
    assert {kind: of(gathered, kind).service for kind in expected} == expected
    assert {one.state for one in gathered.layers} <= {"got", "absent"}
    site = site_of(gathered, server.place)
    # heights of the made hills: 400 m and two waves of 25 m
    assert 350 <= float(np.nanmin(site.inputs.elevation.values)) < float(np.nanmax(site.inputs.elevation.values)) <= 450
    assert np.isfinite(site.inputs.cover.values).mean() > 0.99
    assert {kind for kind in ("trails", "roads", "buildings") if site.inputs.shapes(kind)} == {
        "trails",
        "roads",
        "buildings",
    }
    agents = {request.headers["User-Agent"] for request in server.asked}
    assert all(agent.startswith("hushwalk/") and "tests@example.org" in agent for agent in agents)


def test_cells_keep_their_lattice_their_values_and_their_terms(services_at: Start, gathered_at: Run, made: Any) -> None:
    server = services_at("us")
    gathered = gathered_at(server, "cover", "stand_age", "elevation")
    cover = of(gathered, "cover")
    with rasterio.open(gathered.folder / cover.file) as data:
        # edges of the national grids lie at 30 n + 15 m in EPSG:5070
        assert (data.transform.c % 30, data.transform.f % 30, data.res) == (15, 15, (30, 30))
        assert data.crs.to_epsg() == 5070
        x, y = data.xy(20, 20)
        lon, lat = rasterio.warp.transform(data.crs, "EPSG:4326", [x], [y])
        assert data.read(1)[20, 20] == made.CODES["nlcd"][int(made.woods(np.array(lon[0]), np.array(lat[0])))]
        assert "U.S. Geological Survey" in data.tags()["credit"]
    age = of(gathered, "stand_age")
    with rasterio.open(gathered.folder / age.file) as data:
        # codes 5 and 12 are losses of 2005 and 2012; 0 is none
        assert set(np.unique(data.read(1)).tolist()) == {0, 2005, 2012}
        assert data.nodata == 0
    assert age.unit == "calendar_year"


def test_four_tiles_of_two_widths_meet_without_a_seam(services_at: Start, gathered_at: Run, made: Any) -> None:
    # 50 N is where columns of the heights widen: 3,600 a degree south of it, 2,400 north of it
    server = services_at("ca", '[defaults.ca]\nelevation = ["glo30"]\n')
    gathered = gathered_at(server, "elevation", half_m=1200.0)
    with rasterio.open(gathered.folder / of(gathered, "elevation").file) as data:
        values = data.read(1)
        cols, rows = np.meshgrid(np.arange(data.width) + 0.5, np.arange(data.height) + 0.5)
        lon, lat = data.transform.a * cols + data.transform.c, data.transform.e * rows + data.transform.f
    box = gathered.box
    inside = (lon > box.west) & (lon < box.east) & (lat > box.south) & (lat < box.north)
    assert np.isfinite(values[inside]).all()
    # interpolating waves of 780 m between cells of 31 m is good to half a metre
    assert float(np.abs(values - made.heights(lon, lat))[inside].max()) < 0.5


def test_pages_are_followed_until_the_count_is_reached(services_at: Start, gathered_at: Run) -> None:
    server = services_at("us")
    gathered = gathered_at(server, "streams", "wetlands")
    assert of(gathered, "streams").n_features == 3  # those of seven that meet the small square
    pages = [path for path in server.paths("nhd/MapServer/6") if "resultOffset" in path]
    assert ["resultOffset=0" in pages[0], "resultOffset=3" in pages[1], "resultOffset=6" in pages[2]] == [True] * 3
    assert pyogrio.read_info(gathered.folder / of(gathered, "streams").file)["fields"].tolist() == [
        "gnis_name",
        "fcode",
        "ftype",
    ]


def test_names_with_a_table_before_them_are_known_by_their_last_part(services_at: Start, gathered_at: Run) -> None:
    gathered = gathered_at(services_at("us"), "wetlands", half_m=2500.0)
    table = pyogrio.read_dataframe(gathered.folder / of(gathered, "wetlands").file)
    assert table["ATTRIBUTE"].tolist() == ["PFO1B"]


def test_things_of_the_map_are_sorted_by_their_tags(services_at: Start, gathered_at: Run) -> None:
    gathered = gathered_at(services_at("se"), *OF_THE_MAP, half_m=3500.0)
    table = pyogrio.read_dataframe(gathered.folder / of(gathered, "streams").file)
    assert table["osm_id"].tolist() == ["way/4"]  # not the one in a pipe
    lake = pyogrio.read_dataframe(gathered.folder / of(gathered, "water").file).geometry[0]
    assert len(lake.interiors) == 1  # two half rings and an island
    assert lake.area == pytest.approx(0.008**2 - 0.002**2)
    assert pyogrio.read_dataframe(gathered.folder / of(gathered, "parking").file)["osm_id"].tolist() == ["node/10"]
    closed = pyogrio.read_dataframe(gathered.folder / of(gathered, "closed").file)
    assert closed["other_tags"].tolist() == ['"access:conditional"=>"no @ (Apr-May)"']
    assert of(gathered, "roads").data_date == "2026-11-28T21:00:00Z"


def test_the_map_database_is_asked_once_for_all_kinds(services_at: Start, gathered_at: Run) -> None:
    server = services_at("se")
    gathered_at(server, *OF_THE_MAP)
    assert len(server.paths("interpreter")) == 1


def test_the_manifest_says_from_where_when_and_on_which_terms(services_at: Start, gathered_at: Run) -> None:
    server = services_at("se")
    gathered = gathered_at(server, "elevation", "cover", "roads", half_m=1900.0)
    words = json.loads((gathered.folder / "sources.json").read_text(encoding="utf-8"))
    assert words["schema"] == "hushwalk sources 1"
    assert read_manifest(gathered.folder) == gathered.layers
    heights = of(gathered, "elevation")
    assert heights.addresses[0].endswith("Copernicus_DSM_COG_10_N60_00_E015_00_DEM.tif")
    assert heights.fetched_at.endswith("Z")
    assert heights.valid_share == 1.0
    assert "clipped to" in heights.changes
    assert heights.credit == (
        "produced using Copernicus WorldDEM-30 © DLR e.V. 2010-2014 and © Airbus Defence and Space GmbH 2014-2018 "
        "provided under COPERNICUS by the European Union and ESA; all rights reserved"
    )
    path, _ = write_trip(gathered, "Made place", (15.5, 60.5), REACH_M, date(2027, 4, 25))
    settings = read_trip(path)
    assert any(one.sentence == "© OpenStreetMap contributors" for one in credits_of(settings.folder, settings.layers))


def test_what_is_whole_is_not_asked_for_again_and_a_trip_file_is_left_alone(
    services_at: Start, gathered_at: Run
) -> None:
    server = services_at("ca")
    first = gathered_at(server, "cover", "streams", "roads")
    path, _ = write_trip(first, "Made place", (-115.0, 50.0), REACH_M, date(2027, 4, 25))
    path.write_text(path.read_text(encoding="utf-8") + "# mine\n", encoding="utf-8")
    asked = len(server.asked)
    again = gathered_at(server, "cover", "streams", "roads")
    assert again.layers == first.layers
    assert len(server.asked) == asked
    assert write_trip(again, "Made place", (-115.0, 50.0), REACH_M, date(2027, 4, 25)) == (path, False)
    gathered_at(server, "cover", "streams", "roads", refresh=("cover",))
    assert {"landcover-2020" in path for path in server.paths()[asked:]} == {True}


def test_a_layer_file_that_was_spoilt_is_made_again_from_kept_answers(services_at: Start, gathered_at: Run) -> None:
    server = services_at("ca")
    first = gathered_at(server, "cover")
    Path(first.folder / of(first, "cover").file).write_bytes(b"half")
    asked = len(server.asked)
    again = gathered_at(server, "cover")
    assert of(again, "cover").sha256 == of(first, "cover").sha256
    assert len(server.asked) == asked


def test_a_check_says_which_layer_was_not_gathered_and_why(services_at: Start, gathered_at: Run) -> None:
    server = services_at("se")
    server.fault("lossyear", lambda _: Response("AccessDenied", status=403))
    gathered = gathered_at(server, "elevation", "cover", "stand_age", half_m=1900.0)
    path, _ = write_trip(gathered, "Made place", (15.5, 60.5), REACH_M, date(2027, 4, 25))
    said = checkup_words(check_trip(read_trip(path)))
    assert "no stand age (not gathered, failed: Global forest change, year of loss refuses every file (403)" in said
    assert "absence of a closure is never permission to enter" in said


OSM_XML = """<?xml version="1.0" encoding="UTF-8"?>
<osm version="0.6">
<node id="1" lat="60.50" lon="15.40" version="1"/><node id="2" lat="60.52" lon="15.60" version="1"/>
<node id="3" lat="60.51" lon="15.50" version="1"><tag k="amenity" v="parking"/><tag k="name" v="Made Car Park"/></node>
<node id="4" lat="60.55" lon="15.45" version="1"/><node id="5" lat="60.56" lon="15.47" version="1"/>
<way id="1" version="1"><nd ref="1"/><nd ref="2"/><tag k="highway" v="tertiary"/></way>
<way id="2" version="1"><nd ref="4"/><nd ref="5"/><tag k="waterway" v="stream"/><tag k="intermittent" v="yes"/></way>
<way id="3" version="1"><nd ref="5"/><nd ref="2"/><tag k="waterway" v="stream"/><tag k="tunnel" v="culvert"/></way>
</osm>
"""


def test_a_wide_region_takes_the_smallest_extract_that_holds_it(services_at: Start, tmp_path: Path) -> None:
    server = services_at("se")

    def outline(west: float, east: float) -> dict[str, Any]:
        return {"type": "Polygon", "coordinates": [[[west, 55], [east, 55], [east, 65], [west, 65], [west, 55]]]}

    def extract(name: str, west: float, east: float) -> dict[str, Any]:
        full = f"https://download.geofabrik.de/europe/{name}-latest.osm.pbf"
        return {"type": "Feature", "geometry": outline(west, east), "properties": {"urls": {"pbf": full}}}

    index = {"features": [extract("whole", -20, 40), extract("made", 10, 20), extract("far", 30, 40)]}
    server.fault("index-v1.json", lambda _: Response(json.dumps(index)))
    server.fault("made-latest", lambda _: Response(OSM_XML))
    box = Box(15.0, 60.3, 16.0, 60.7)  # 55 km across
    gathered = gather(tmp_path / "region", box, GatherParams(HURRY, (), ("streams", "roads", "parking")))
    assert [(one.kind, one.service, one.state, one.n_features) for one in gathered.layers] == [
        ("streams", "osm_extract", "got", 1),
        ("roads", "osm_extract", "got", 1),
        ("parking", "osm_extract", "got", 1),
    ]
    assert len(server.paths("latest")) == 1
    streams = pyogrio.read_dataframe(gathered.folder / of(gathered, "streams").file)
    assert '"intermittent"=>"yes"' in streams["other_tags"][0]
    path, new = write_area_file(gathered, "Made region", date(2027, 4, 25))
    assert new
    settings = read_area_file(path)
    assert settings.region.bounds == (15.0, 60.3, 16.0, 60.7)
    assert [layer.kind for layer in settings.layers] == ["streams", "roads"]
    assert settings.morning.time_zone == "Europe/Stockholm"


def test_a_wide_region_is_read_in_cells_of_its_own_size(services_at: Start, gathered_at: Run) -> None:
    server = services_at("us")
    gathered = gathered_at(server, "cover", "elevation", half_m=16_000.0)
    cover = of(gathered, "cover")
    assert (cover.service, cover.cell_m) == ("annual_nlcd", 30.0)
    with rasterio.open(gathered.folder / of(gathered, "elevation").file) as data:
        assert data.res[1] * 111_195 == pytest.approx(30.0, rel=0.15)  # read coarser than the 10 m of its file
