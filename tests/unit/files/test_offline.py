"""Without the network nothing leaves, whatever a layer names: a listener on the loopback and files that reach for it.

The ways in are those of the two reading libraries' own documentation: virtual formats, web services, links to reference
systems, schema locations, overviews and masks beside a file, functions of SQL.
"""

import json
import os
import shutil
import sqlite3
import subprocess
import sys
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from html import escape
from pathlib import Path

import numpy as np
import pyogrio
import pytest
import rasterio
import shapely
from affine import Affine

from hushwalk.errors import HushwalkError
from hushwalk.files.offline import VECTOR_FORMATS, reach
from hushwalk.files.paths import RASTER_ENDINGS, VECTOR_ENDINGS, find
from hushwalk.files.rasters import look_at_raster, read_measure, window_of
from hushwalk.files.vectors import look_at_vector, read_shapes
from hushwalk.grid.systems import Box

Make = Callable[[Path, str], None]

LINE = {"type": "LineString", "coordinates": [[-91.7, 46.9], [-91.6, 46.95]]}
SERVICES = ("WFS:", "OAPIF:", "CSW:", "ES:", "NGW:", "ESRIJSON:", "GeoJSON:", "TopoJSON:", "OGCAPI:", "PLScenes:", "")
WMS = (
    '<GDAL_WMS><Service name="TMS"><ServerUrl>{url}/${{z}}/${{x}}/${{y}}.png</ServerUrl></Service><DataWindow>'
    "<UpperLeftX>-92</UpperLeftX><UpperLeftY>47</UpperLeftY><LowerRightX>-91</LowerRightX><LowerRightY>46</LowerRightY>"
    "<TileLevel>2</TileLevel><SizeX>512</SizeX><SizeY>512</SizeY><YOrigin>top</YOrigin></DataWindow>"
    "<Projection>EPSG:4326</Projection><BandsCount>1</BandsCount><BlockSizeX>256</BlockSizeX>"
    "<BlockSizeY>256</BlockSizeY></GDAL_WMS>"
)


LISTEN = """
import socket, sys
server = socket.create_server(("127.0.0.1", 0))
print(server.getsockname()[1], flush=True)
while True:
    one, _ = server.accept()
    with open(sys.argv[1], "a") as log:
        log.write("came\\n")
    one.settimeout(1)
    try:
        one.recv(65536)
        one.sendall(b"HTTP/1.1 404 Not Found\\r\\nContent-Length: 0\\r\\nConnection: close\\r\\n\\r\\n")
    except OSError:
        pass
    one.close()
"""
"""In a process of its own: the vectors' library lets no other thread run while it waits for an answer."""


@dataclass(frozen=True)
class Listener:
    """An address on the loopback, and the file in which every connection is noted."""

    url: str
    log: Path

    @property
    def came(self) -> int:
        return len(self.log.read_text().splitlines())


@pytest.fixture(scope="module")
def listener(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Listener]:
    log: Path = tmp_path_factory.mktemp("listener") / "log"
    log.touch()
    with subprocess.Popen([sys.executable, "-c", LISTEN, str(log)], stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        yield Listener(f"http://127.0.0.1:{int(process.stdout.readline())}", log)
        process.kill()


def text(name: str, content: str) -> Make:
    def make(folder: Path, url: str) -> None:
        (folder / name).write_text(content.replace("{url}", url), encoding="utf-8")

    return make


def vrt(source: str, relative: int = 0) -> str:
    return (
        '<VRTDataset rasterXSize="64" rasterYSize="64"><SRS>EPSG:4326</SRS>'
        "<GeoTransform>-92,0.01,0,47,0,-0.01</GeoTransform>"
        '<VRTRasterBand dataType="Float32" band="1"><SimpleSource>'
        f'<SourceFilename relativeToVRT="{relative}">{source}</SourceFilename><SourceBand>1</SourceBand>'
        "</SimpleSource></VRTRasterBand></VRTDataset>"
    )


def ogr_vrt(source: str) -> str:
    return (
        f'<OGRVRTDataSource><OGRVRTLayer name="x"><SrcDataSource>{source}</SrcDataSource>'
        "</OGRVRTLayer></OGRVRTDataSource>"
    )


def geojson(crs: object) -> str:
    feature = {"type": "Feature", "properties": {}, "geometry": LINE}
    return json.dumps({"type": "FeatureCollection", "crs": crs, "features": [feature]})


def gml(head: str = "", srs: str = "EPSG:4326") -> str:
    return (
        '<?xml version="1.0"?><ogr:FeatureCollection xmlns:ogr="http://ogr.maptools.org/" '
        f'xmlns:gml="http://www.opengis.net/gml" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" {head}>'
        f'<gml:featureMember><ogr:x><ogr:g><gml:LineString srsName="{srs}"><gml:coordinates>-91.7,46.9 -91.6,46.95'
        "</gml:coordinates></gml:LineString></ogr:g></ogr:x></gml:featureMember></ogr:FeatureCollection>"
    )


def with_tiff(beside: str, content: str) -> Make:
    """A sound raster of heights, and a file beside it that reaches out."""

    def make(folder: Path, url: str) -> None:
        values = np.full((1, 64, 64), 400, np.float32)
        profile = {"driver": "GTiff", "width": 64, "height": 64, "count": 1, "dtype": "float32", "crs": "EPSG:4326"}
        with rasterio.open(folder / "a.tif", "w", transform=Affine(0.01, 0, -92, 0, -0.01, 47), **profile) as file:
            file.write(values)
        text(beside, content)(folder, url)

    return make


def with_service_file(name: str, content: str) -> Make:
    def make(folder: Path, url: str) -> None:
        text("service.xml", WMS.replace("{{", "{").replace("}}", "}"))(folder, url)
        text(name, content.replace("{folder}", str(folder)))(folder, url)

    return make


def sqlite_view(name: str, select: str) -> Make:
    def make(folder: Path, url: str) -> None:
        path = folder / name
        wkb = np.array([shapely.to_wkb(shapely.LineString([(-91.7, 46.9), (-91.6, 46.95)]))], dtype=object)
        pyogrio.raw.write(path, wkb, [np.array([1])], ["n"], geometry_type="LineString", crs="EPSG:4326", layer="t")
        with sqlite3.connect(path) as base:
            base.execute(f"create view v as {select.replace('{url}', url)}")
            if name.endswith(".gpkg"):
                base.execute(
                    "insert into gpkg_contents (table_name, identifier, data_type) values ('v', 'v', 'attributes')"
                )

    return make


def nested(deep: int) -> Make:
    def make(folder: Path, url: str) -> None:
        for k in range(deep):
            text(f"{k}.vrt", vrt(f"{k + 1}.vrt", 1))(folder, url)
        text(f"{deep}.vrt", vrt("{url}/a.tif"))(folder, url)
        shutil.copy(folder / "0.vrt", folder / "nested.vrt")

    return make


PLACES = {"wfs": "{url}/wfs?SERVICE=WFS", "plain": "{url}/a.geojson", "curl": "/vsicurl/{url}/a.geojson"}
LINKED = {kind: {"type": kind, "properties": {"href": "{url}/crs.wkt", "type": "ogcwkt"}} for kind in ("link", "url")}
NAMED = {"type": "name", "properties": {"name": "{url}/crs.wkt"}}
PIPELINE = {"type": "gdal_streamed_alg", "command_line": "gdal vector pipeline ! read {url}/a.geojson"}
VECTORS: dict[str, Make] = {
    **{f"vrt of {service}.gml": text("x.gml", ogr_vrt(service + "{url}/a")) for service in SERVICES},
    **{f"vrt of {service}.vrt": text("x.vrt", ogr_vrt(service + "{url}/a")) for service in SERVICES},
    "vrt in cdata": text("x.vrt", ogr_vrt("<![CDATA[{url}/a.geojson]]>")),
    "vrt with entities": text("x.vrt", ogr_vrt("&#104;ttp:&#47;&#47;{url}").replace("ttp:&#47;&#47;{url}", "ttp{url}")),
    "vrt of a curl file": text("x.geojson", ogr_vrt("/vsicurl/{url}/a.geojson")),
    "wfs description": text("x.gml", "<OGRWFSDataSource><URL>{url}/wfs</URL></OGRWFSDataSource>"),
    "oapif description": text("x.gml", "<OGROAPIFDataSource><URL>{url}/o</URL></OGROAPIFDataSource>"),
    "csw description": text("x.gml", "<OGRCSWDataSource><URL>{url}/o</URL></OGRCSWDataSource>"),
    **{f"geojson crs {kind}": text("x.geojson", geojson(crs)) for kind, crs in LINKED.items()},
    "geojson crs name": text("x.geojson", geojson(NAMED)),
    "geojson crs link, spelt out": text("x.geojson", geojson(LINKED["link"]).replace('"link"', '"\\u006cink"')),
    "pipeline": text("x.gdalg.json", json.dumps(PIPELINE)),
    "pipeline as geojson": text("x.geojson", json.dumps(PIPELINE)),
    "gml schema": text("x.gml", gml('xsi:schemaLocation="http://a {url}/s.xsd?REQUEST=DescribeFeatureType"')),
    "gml schema and service": text(
        "x.gml",
        gml('xsi:schemaLocation="http://a {url}/w?SERVICE=WFS&amp;REQUEST=DescribeFeatureType"'),
    ),
    "gml srs": text("x.gml", gml(srs="{url}/srs.xml")),
    "gml entity": text("x.gml", gml().replace("?>", '?><!DOCTYPE a SYSTEM "{url}/a.dtd">', 1)),
    "kml link": text(
        "x.kml",
        '<kml xmlns="http://www.opengis.net/kml/2.2"><Document><NetworkLink><Link><href>{url}/a.kml</href></Link>'
        "</NetworkLink></Document></kml>",
    ),
    "gpx schema": text("x.gpx", '<gpx version="1.1" xmlns:x="{url}/a" xsi:schemaLocation="{url}/a {url}/b"></gpx>'),
    "geocoding view": sqlite_view("x.sqlite", "select ogr_geocode('somewhere') as geometry, 1 as n"),
    "geocoding view of a geopackage": sqlite_view("x.gpkg", "select ogr_geocode('somewhere') as n"),
    "pixel view": sqlite_view("x.gpkg", "select gdal_get_pixel_value('{url}/a.tif', 1, 'georef', 1, 1) as n"),
    "feature service": text("x.json", '{"type": "FeatureCollection", "links": [{"rel": "next", "href": "{url}"}]}'),
}
OVERVIEW = '<PAMDataset><Metadata domain="OVERVIEWS"><MDI key="OVERVIEW_FILE">{}</MDI></Metadata></PAMDataset>'
WMS_TEXT = WMS.replace("{{", "{").replace("}}", "}")
RASTERS: dict[str, Make] = {
    "vrt of http": text("x.vrt", vrt("{url}/a.tif")),
    "vrt of curl": text("x.vrt", vrt("/vsicurl/{url}/a.tif")),
    "vrt of streaming curl": text("x.vrt", vrt("/vsicurl_streaming/{url}/a.tif")),
    "vrt named tif": text("x.tif", vrt("/vsicurl/{url}/a.tif")),
    "vrt in cdata": text("x.vrt", vrt("<![CDATA[/vsicurl/{url}/a.tif]]>")),
    "vrt with entities": text("x.vrt", vrt("&#47;vsicurl&#47;{url}/a.tif")),
    "vrt of wms text": text("x.vrt", vrt(escape(WMS_TEXT))),
    "vrt of wms in cdata": text("x.vrt", vrt(f"<![CDATA[{WMS_TEXT}]]>")),
    "vrt of a local wms file": with_service_file("x.vrt", vrt("service.xml", 1)),
    "vrt of a local wms file by its whole path": with_service_file("x.tif", vrt("{folder}/service.xml")),
    "vrt of netcdf": text("x.vrt", vrt("NETCDF:&quot;{url}/a.nc&quot;:v")),
    "vrt of netcdf in bytes": text("x.vrt", vrt("NETCDF:&quot;{url}/a.nc#mode=bytes&quot;:v")),
    "vrt of wcs": text("x.vrt", vrt("WCS:{url}/w?coverage=a")),
    "vrt of wmts": text("x.vrt", vrt("WMTS:{url}/w")),
    "vrt of stac": text("x.vrt", vrt('STACIT:"{url}/s"')),
    "vrt of another": nested(1),
    "vrt of another of another": nested(4),
    "vrt of many others": nested(12),
    "wms file": text("x.tif", WMS_TEXT),
    "wcs file": text("x.tif", "<WCS_GDAL><ServiceURL>{url}/w?</ServiceURL><CoverageName>a</CoverageName></WCS_GDAL>"),
    "wmts file": text("x.tif", "<GDAL_WMTS><GetCapabilitiesUrl>{url}/c.xml</GetCapabilitiesUrl></GDAL_WMTS>"),
    "tile index": text("x.vrt", "<GDALTileIndexDataset><IndexDataset>{url}/i</IndexDataset></GDALTileIndexDataset>"),
    "overview of wms": with_tiff("a.tif.ovr", WMS_TEXT),
    "mask of wms": with_tiff("a.tif.msk", WMS_TEXT),
    "overview by address": with_tiff("a.tif.aux.xml", OVERVIEW.format("/vsicurl/{url}/o.tif")),
    "overview of netcdf": with_tiff("a.tif.aux.xml", OVERVIEW.format('NETCDF:"{url}/a.nc":v')),
    "reference system beside": with_tiff("a.tif.aux.xml", "<PAMDataset><SRS>{url}/crs.wkt</SRS></PAMDataset>"),
}


def read_vector(path: Path) -> None:
    label = "layer streams"
    file = look_at_vector(find(path.name, path.parent, label, VECTOR_ENDINGS), label)
    read_shapes(file, [Box(-92, 46, -91, 47)], label)


def read_raster(path: Path) -> None:
    label = "layer elevation"
    file = look_at_raster(find(path.name, path.parent, label, RASTER_ENDINGS), label)
    window = window_of(file, file.box)
    assert window is not None
    for step in (1, 4):
        read_measure(file, window, label, step=step)


def layer_in(folder: Path) -> Path:
    named = [path for path in folder.iterdir() if path.stem in {"x", "x.gdalg", "nested"} or path.name == "a.tif"]
    return named[0]


@pytest.fixture(autouse=True)
def armed(monkeypatch: pytest.MonkeyPatch, listener: Listener) -> None:
    """Surroundings that would help a layer: no proxy, grids fetched, programs run, places looked up at the listener."""
    monkeypatch.setenv("NO_PROXY", "*")
    monkeypatch.setenv("no_proxy", "*")
    monkeypatch.setenv("PROJ_NETWORK", "ON")
    monkeypatch.setenv("PROJ_NETWORK_ENDPOINT", listener.url)
    monkeypatch.setenv("GDAL_VRT_ENABLE_PYTHON", "YES")
    monkeypatch.setenv("OGR_SQLITE_ALLOW_EXTERNAL_ACCESS", "YES")
    monkeypatch.setenv("OGR_GEOCODE_QUERY_TEMPLATE", listener.url + "/g?q=%s")


@pytest.mark.parametrize("name", [*(f"vector: {n}" for n in VECTORS), *(f"raster: {n}" for n in RASTERS)])
def test_no_request_leaves(tmp_path: Path, listener: Listener, name: str) -> None:
    kind, _, which = name.partition(": ")
    (VECTORS if kind == "vector" else RASTERS)[which](tmp_path, listener.url)
    before = listener.came
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        said = ""
        try:
            (read_vector if kind == "vector" else read_raster)(layer_in(tmp_path))
        except HushwalkError as fault:
            said = str(fault)
    assert not said or (said.startswith("layer ") and "\n" not in said)
    assert listener.came == before


def test_there_are_many_ways_out_and_the_listener_hears_one_that_is_open(tmp_path: Path, listener: Listener) -> None:
    assert len(VECTORS) + len(RASTERS) >= 60
    path = tmp_path / "x.geojson"
    text(path.name, geojson(LINKED["link"]))(tmp_path, listener.url)
    before = listener.came
    with reach(network=True):
        pyogrio.read_info(path)
    assert listener.came > before


def test_no_layer_brings_a_program(tmp_path: Path) -> None:
    marker = tmp_path / "ran"
    code = f"def f(*_, **__):\n    open({str(marker)!r}, 'w').close()\n"
    band = (
        '<VRTRasterBand dataType="Float32" band="1" subClass="VRTDerivedRasterBand">'
        f"<PixelFunctionLanguage>Python</PixelFunctionLanguage><PixelFunctionType>f</PixelFunctionType>"
        f"<PixelFunctionCode><![CDATA[{code}]]></PixelFunctionCode></VRTRasterBand>"
    )
    head = '<VRTDataset rasterXSize="8" rasterYSize="8"><GeoTransform>-92,0.01,0,47,0,-0.01</GeoTransform>'
    (tmp_path / "x.vrt").write_text(f"{head}{band}</VRTDataset>")
    with pytest.raises(HushwalkError):
        read_raster(tmp_path / "x.vrt")
    assert not marker.exists()


def test_nothing_is_written_beside_a_layer(tmp_path: Path) -> None:
    """The reader of GML keeps a .gfs file beside each file that it reads."""
    text("x.gml", gml())(tmp_path, "")
    read_vector(tmp_path / "x.gml")
    assert [path.name for path in tmp_path.iterdir()] == ["x.gml"]


def test_the_surroundings_are_as_before(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GDAL_HTTP_PROXY", "http://127.0.0.1:3128")
    before = dict(os.environ)
    with reach(network=False):
        assert os.environ["GDAL_HTTP_PROXY"] != before["GDAL_HTTP_PROXY"]
        assert pyogrio.get_gdal_config_option("GDAL_HTTP_PROXY") != before["GDAL_HTTP_PROXY"]
    assert dict(os.environ) == before
    assert pyogrio.get_gdal_config_option("GDAL_HTTP_PROXY") == before["GDAL_HTTP_PROXY"]


def test_only_plain_formats_are_known_to_the_vector_library() -> None:
    assert set(pyogrio.list_drivers()) <= set(VECTOR_FORMATS)


def test_a_mosaic_of_plain_tiles_is_read(tmp_path: Path) -> None:
    with_tiff("a.tif.txt", "")(tmp_path, "")
    (tmp_path / "x.vrt").write_text(vrt("a.tif", 1))
    (tmp_path / "y.vrt").write_text(vrt(str(tmp_path / "x.vrt")))
    for name in ("x.vrt", "y.vrt"):
        file = look_at_raster(find(name, tmp_path, "layer elevation", RASTER_ENDINGS), "layer elevation")
        window = window_of(file, file.box)
        assert window is not None
        assert (read_measure(file, window, "layer elevation").values == 400).all()
