"""A made country behind the true path patterns of open data services, on a loopback server that knows ranges.

Nothing here was recorded: tiles are made with the systems, cells, types and names of the real ones, and answers in
words after the schemas that the providers publish.
"""

import io
import json
import logging
import math
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs

import numpy as np
import pyproj
from affine import Affine
from pytest_httpserver import HTTPServer
from rasterio.io import MemoryFile
from werkzeug import Request, Response
from werkzeug.utils import send_file

PLACES = {"us": (47.62, -91.70), "ca": (50.0, -115.0), "se": (60.5, 15.5)}
RUNS = count()  # addresses are new each time: a library remembers those that failed
HALF_KM = 2.2  # ground that the made tiles hold round a place, unless more is wanted
TILES: dict[tuple[str, tuple[float, float], float], bytes | None] = {}
"""Tiles that were made already; making them takes longer than all the rest."""
Fault = Callable[[Request], Response | None]


def heights(lon: Any, lat: Any) -> Any:
    """Gentle hills [m]."""
    return 400 + 25 * np.sin(lon * 900) + 25 * np.cos(lat * 900)


def woods(lon: Any, lat: Any) -> Any:
    """Kind of cover by place: 0 broad leaves, 1 needles, 2 mixed, 3 wet, 4 grass, 5 water."""
    mosaic = (np.floor(lon * 180).astype(int) * 7 + np.floor(lat * 300).astype(int) * 3) % 12
    kinds = np.array([0, 0, 0, 0, 1, 1, 1, 2, 2, 2, 3, 4])[mosaic]
    return np.where((np.sin(lon * 410) > 0.985) & (np.cos(lat * 410) > 0.9), 5, kinds)


CODES = {
    "nlcd": [41, 42, 43, 90, 71, 11],
    "clc": [3, 2, 2, 8, 6, 10],
    "canada": [5, 1, 6, 14, 10, 18],
    "worldcover": [10, 10, 10, 90, 30, 80],
    "lc100": [4, 1, 5, 0, 0, 0],
    "leaf": [1, 2, 2, 0, 0, 0],
    "evt": [7009, 7010, 7011, 7012, 7013, 7292],
}


class MadeServices:
    """The server, what it was asked, and the faults that it shall show."""

    def __init__(self, server: HTTPServer, place: tuple[float, float], half_km: float = HALF_KM) -> None:
        logging.getLogger("werkzeug").setLevel(logging.ERROR)
        self.server = server
        self.place = place
        self.half_km = half_km
        self.asked: list[Request] = []
        self.faults: list[tuple[str, Fault]] = []
        server.expect_request(re.compile(".*")).respond_with_handler(self.answer)

    def table(self, folder: Path, more: str = "") -> Path:
        """Write a person's own table that sends every address to this server."""
        path = folder / "own_services.toml"
        start = f"{self.server.url_for('').rstrip('/')}/{next(RUNS)}"
        path.write_text(f'[hosts]\n"*" = "{start}/{{host}}"\n{more}', encoding="utf-8")
        return path

    def fault(self, part: str, fault: Fault) -> None:
        """Show a fault wherever the address holds a text; a fault that gives None lets the true answer through."""
        self.faults.append((part, fault))

    def paths(self, part: str = "") -> list[str]:
        """Addresses that were asked and hold a text."""
        return [request.full_path for request in self.asked if part in request.full_path]

    def answer(self, request: Request) -> Response:
        self.asked.append(request)
        for part, fault in self.faults:
            if part in request.full_path:
                shown = fault(request)
                if shown is not None:
                    return shown
        path = request.path
        if "Hansen" in path or path.endswith(".tif") or "files=ETH" in request.full_path or "zenodo" in path:
            return self._tile(request)
        if "exportImage" in path or "/wcs" in path:
            return self._image(request)
        if "interpreter" in path:
            return self._map(request)
        if "MapServer" in path or "FeatureServer" in path:
            return self._features(request)
        return Response("there is no such thing", status=404)

    # tiles

    def _tile(self, request: Request) -> Response:
        name = request.path + request.args.get("files", "")
        key = (name, self.place, self.half_km)
        if key not in TILES:
            TILES[key] = self._make_tile(name)
        made = TILES[key]
        if made is None:
            return Response("NoSuchKey", status=404)
        content = io.BytesIO(made)
        return send_file(content, environ=request.environ, conditional=True, mimetype="image/tiff", etag=name)

    def _make_tile(self, name: str) -> bytes | None:  # noqa: PLR0911 - one for each service
        if "Copernicus" in name:
            south, west = _signed(name, r"_([NS])(\d\d)_00_([EW])(\d\d\d)_00")
            cols = 3600 if south < 50 else 2400 if south < 60 else 1800
            wide, tall = 1 / cols, 1 / 3600
            origin = west - wide / 2, south + 1 + tall / 2
            return self._cut(origin, (wide, tall), (cols, 3600), "EPSG:4326", heights, "float32", None)
        if "USGS_13" in name:
            north, west = _signed(name, r"USGS_13_([ns])(\d\d)([ew])(\d\d\d)")
            cell = 1 / 10800
            return self._cut(
                (west - 6 * cell, north + 6 * cell),
                (cell, cell),
                (10812, 10812),
                "EPSG:4269",
                heights,
                "float32",
                -999999,
            )
        if "WorldCover" in name or "GlobalCanopyHeight" in name:
            south, west = _signed(name, r"_([NS])(\d\d)([EW])(\d\d\d)_Map")
            codes = CODES["worldcover"] if "WorldCover" in name else [12, 18, 15, 4, 0, 0]
            cell = 3 / 36000
            return self._cut(
                (west, south + 3),
                (cell, cell),
                (36000, 36000),
                "EPSG:4326",
                _by(codes),
                "uint8",
                0 if "WorldCover" in name else 255,
            )
        if "lossyear" in name:
            north, west = _signed(name, r"lossyear_(\d\d)([NS])_(\d\d\d)([EW])")
            return self._cut(
                (west, north), (0.00025, 0.00025), (40000, 40000), "EPSG:4326", _by([0, 5, 12, 0, 0, 0]), "uint8", None
            )
        if "LC100" in name:
            cell = 1 / 1008
            return self._cut(
                (-180, 80), (cell, cell), (360 * 1008, 140 * 1008), "EPSG:4326", _by(CODES["lc100"]), "uint8", 255
            )
        if "chm" in name:
            quadkey = Path(name).stem
            x, y = (
                sum(int(digit) >> bit & 1 << 0 and 1 << (9 - k) for k, digit in enumerate(quadkey)) for bit in (0, 1)
            )
            size = 2 * 20037508.342789244 / 1024
            origin = -20037508.342789244 + x * size, 20037508.342789244 - y * size
            cell = size / 32768
            return self._cut(
                origin, (cell, cell), (32768, 32768), "EPSG:3857", _by([12, 18, 15, 4, 0, 0]), "uint8", None, thin=4
            )
        if "mrdem" in name:
            return self._cut(
                self._corner("EPSG:3979", 30), (30, 30), (500, 500), "EPSG:3979", heights, "float32", -32767
            )
        if "landcover-2020" in name:
            return self._cut(
                self._corner("EPSG:3979", 30), (30, 30), (500, 500), "EPSG:3979", _by(CODES["canada"]), "uint8", 0
            )
        return None

    def _corner(self, crs: str, cell: float) -> tuple[float, float]:
        x, y = pyproj.Transformer.from_crs(4326, crs, always_xy=True).transform(self.place[1], self.place[0])
        return float((x // cell - 250) * cell), float((y // cell + 250) * cell)

    def _cut(
        self,
        origin: tuple[float, float],
        cell: tuple[float, float],
        size: tuple[int, int],
        crs: str,
        made: Callable[[Any, Any], Any],
        kind: str,
        nodata: float | None,
        thin: int = 1,
    ) -> bytes | None:
        """Make the part of a tile that lies round the place, on the true lattice."""
        ahead = pyproj.Transformer.from_crs(4326, crs, always_xy=True)
        lat, lon = self.place
        tall = self.half_km / 111
        wide = tall / math.cos(math.radians(lat))
        corners = ahead.transform_bounds(lon - wide, lat - tall, lon + wide, lat + tall)
        first = max(int((corners[0] - origin[0]) / cell[0]), 0), max(int((origin[1] - corners[3]) / cell[1]), 0)
        last = (
            min(int((corners[2] - origin[0]) / cell[0]), size[0]),
            min(int((origin[1] - corners[1]) / cell[1]), size[1]),
        )
        cols, rows = (last[0] - first[0]) // thin, (last[1] - first[1]) // thin
        if cols < 1 or rows < 1:
            return None
        step = cell[0] * thin, cell[1] * thin
        transform = Affine(step[0], 0, origin[0] + first[0] * cell[0], 0, -step[1], origin[1] - first[1] * cell[1])
        return cog(transform, (rows, cols), crs, made, kind, nodata)

    # rectangles

    def _image(self, request: Request) -> Response:
        words = {name.lower(): value for name, value in request.args.items()}
        if "subset" in words:
            limits = [re.findall(r"[-\d.]+", text) for text in request.args.getlist("subset")]
            west, east, south, north = (float(limits[k][j]) for k, j in ((0, 0), (0, 1), (1, 0), (1, 1)))
        else:
            west, south, east, north = (float(v) for v in words["bbox"].split(","))
        epsg = words.get("bboxsr") or words.get("crs", "EPSG:5070").rpartition(":")[2]
        cols, rows = (
            (int(v) for v in words["size"].split(","))
            if "size" in words
            else (round((east - west) / 30), round((north - south) / 30))
        )
        made, kind, nodata = self._kind_of_image(request.full_path)
        transform = Affine((east - west) / cols, 0, west, 0, -(north - south) / rows, north)
        return Response(
            cog(transform, (rows, cols), f"EPSG:{epsg}", made, kind, nodata, driver="GTiff"), mimetype="image/tiff"
        )

    @staticmethod
    def _kind_of_image(path: str) -> tuple[Callable[[Any, Any], Any], str, float | None]:
        if "3DEPElevation" in path:
            return heights, "float32", -999999
        if "CLCplus" in path:
            return _by(CODES["clc"]), "uint8", None
        if "LeafType" in path:
            return _by(CODES["leaf"]), "uint8", None
        if "TreeCoverDensity" in path or "TCC" in path:
            return _by([85, 70, 80, 40, 0, 0]), "uint8", 255
        if "EVT" in path:
            return _by(CODES["evt"]), "int16", -9999
        return _by(CODES["nlcd"]), "uint8", 250

    # features

    def _features(self, request: Request) -> Response:
        lat, lon = self.place
        prefix = "Wetlands." if "Wetlands" in request.path else ""
        if not request.path.endswith("/query"):
            names = [f"{prefix}{name}" for name in ("OBJECTID", *_fields_of(request.path))]
            fields = [
                {"name": name, "type": "esriFieldTypeOID" if "OBJECTID" in name else "esriFieldTypeString"}
                for name in names
            ]
            return _json(
                {
                    "maxRecordCount": 3,
                    "objectIdField": f"{prefix}OBJECTID",
                    "fields": fields,
                    "supportedQueryFormats": "JSON, geoJSON",
                }
            )
        rows = [
            {
                "type": "Feature",
                "id": k,
                "geometry": geometry,
                "properties": {f"{prefix}OBJECTID": k, **{f"{prefix}{n}": v for n, v in words.items()}},
            }
            for k, (geometry, words) in enumerate(_things(request.path, lat, lon), start=1)
        ]
        if request.args.get("returnCountOnly"):
            return _json({"count": len(rows)})
        first, n = int(request.args["resultOffset"]), int(request.args["resultRecordCount"])
        page = rows[first : first + n]
        more = {"properties": {"exceededTransferLimit": True}} if first + n < len(rows) else {}
        return _json({"type": "FeatureCollection", "features": page, **more})

    # the open map database

    def _map(self, request: Request) -> Response:
        agent = request.headers.get("User-Agent", "")
        if not agent.startswith("hushwalk/"):
            return Response("Not Acceptable", status=406)
        query = parse_qs(request.get_data(as_text=True))["data"][0]
        south, west, north, east = (float(v) for v in re.search(r"bbox:([-\d.,]+)", query)[1].split(","))  # type: ignore[index]
        lat, lon = (south + north) / 2, (west + east) / 2
        return _json(
            {
                "version": 0.6,
                "osm3s": {"timestamp_osm_base": "2026-11-28T21:00:00Z"},
                "elements": map_elements(lat, lon),
            }
        )


def map_elements(lat: float, lon: float) -> list[dict[str, Any]]:
    """Elements of an answer: a road, trails, a stream, a culvert, a lake with an island, a house, car parks."""

    def line(*points: tuple[float, float]) -> list[dict[str, float]]:
        return [{"lat": round(lat + y, 7), "lon": round(lon + x, 7)} for x, y in points]

    def ring(x: float, y: float, half: float) -> list[dict[str, float]]:
        return line(
            (x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half), (x - half, y - half)
        )

    lake, island = ring(0.02, 0.018, 0.004), ring(0.02, 0.018, 0.001)
    return [
        {
            "type": "way",
            "id": 1,
            "tags": {"highway": "unclassified", "surface": "gravel"},
            "geometry": line((-0.06, 0.0), (0.0, 0.0), (0.06, 0.001)),
        },
        {
            "type": "way",
            "id": 2,
            "tags": {"highway": "path", "foot": "yes", "name": "Made Loop"},
            "geometry": line((0.0, 0.0), (0.006, 0.009), (0.0, 0.016), (-0.012, 0.012), (0.0, 0.0)),
        },
        {
            "type": "way",
            "id": 3,
            "tags": {"highway": "track", "access": "private"},
            "geometry": line((0.01, 0.0), (0.012, -0.01)),
        },
        {
            "type": "way",
            "id": 4,
            "tags": {"waterway": "stream", "intermittent": "yes"},
            "geometry": line((-0.03, -0.012), (0.03, -0.006)),
        },
        {
            "type": "way",
            "id": 5,
            "tags": {"waterway": "stream", "tunnel": "culvert"},
            "geometry": line((0.03, -0.006), (0.031, -0.006)),
        },
        {
            "type": "relation",
            "id": 6,
            "tags": {"type": "multipolygon", "natural": "water", "name": "Made Lake"},
            "members": [
                {"type": "way", "ref": 61, "role": "outer", "geometry": lake[:3]},
                {"type": "way", "ref": 62, "role": "outer", "geometry": lake[2:]},
                {"type": "way", "ref": 63, "role": "inner", "geometry": island},
            ],
        },
        {
            "type": "way",
            "id": 7,
            "tags": {"natural": "wetland", "wetland": "bog"},
            "geometry": ring(-0.02, 0.015, 0.003),
        },
        {"type": "way", "id": 8, "tags": {"building": "cabin"}, "geometry": ring(0.004, -0.0006, 0.0001)},
        {
            "type": "way",
            "id": 9,
            "tags": {"landuse": "military", "access:conditional": "no @ (Apr-May)"},
            "geometry": ring(-0.012, -0.01, 0.003),
        },
        {"type": "node", "id": 10, "lat": lat, "lon": lon, "tags": {"amenity": "parking"}},
        {"type": "node", "id": 11, "lat": lat + 0.001, "lon": lon, "tags": {"amenity": "parking", "access": "private"}},
        {"type": "way", "id": 12, "tags": {"railway": "rail"}, "geometry": line((-0.03, 0.03), (0.03, 0.03))},
    ]


def cog(
    transform: Affine,
    shape: tuple[int, int],
    crs: str,
    made: Callable[[Any, Any], Any],
    kind: str,
    nodata: float | None,
    driver: str = "COG",
) -> bytes:
    """Make a raster of the made country."""
    cols, rows = np.meshgrid(np.arange(shape[1]) + 0.5, np.arange(shape[0]) + 0.5)
    x, y = transform.a * cols + transform.c, transform.e * rows + transform.f
    lon, lat = pyproj.Transformer.from_crs(crs, 4326, always_xy=True).transform(x, y)
    profile = {
        "driver": driver,
        "height": shape[0],
        "width": shape[1],
        "count": 1,
        "dtype": kind,
        "crs": crs,
        "transform": transform,
        "nodata": nodata,
        "compress": "deflate",
    }
    with MemoryFile() as memory:
        with memory.open(**profile) as data:
            data.write(made(lon, lat).astype(kind), 1)
        return bytes(memory.read())


def _by(codes: list[int]) -> Callable[[Any, Any], Any]:
    return lambda lon, lat: np.array(codes)[woods(lon, lat)]


def _signed(name: str, pattern: str) -> tuple[int, int]:
    found = re.search(pattern, name)
    assert found, name
    parts = list(found.groups())
    if parts[0].isdigit():
        parts = [parts[1], parts[0], parts[3], parts[2]]
    lat, lon = int(parts[1]), int(parts[3])
    return (-lat if parts[0] in "Ss" else lat), (-lon if parts[2] in "Ww" else lon)


def _fields_of(path: str) -> tuple[str, ...]:
    if "Wetlands" in path:
        return ("WETLAND_TYPE", "ATTRIBUTE")
    if "PADUS" in path:
        return ("Unit_Nm", "Pub_Access", "MngNm_Desc", "MngTp_Desc", "DesTp_Desc", "GIS_Acres")
    if "Trail" in path:
        return ("TRAIL_NAME", "TRAIL_NO", "TRAIL_CLASS")
    if "CPCAD" in path:
        return ("NAME_E", "TYPE_E", "BIOME", "MGMT_E")
    return ("GNIS_NAME", "FCODE", "FTYPE")


def _things(path: str, lat: float, lon: float) -> list[tuple[dict[str, Any], dict[str, Any]]]:  # noqa: PLR0911
    def line(x: float, y: float) -> dict[str, Any]:
        return {
            "type": "LineString",
            "coordinates": [[lon - 0.03, lat + y], [lon + x, lat + y + 0.002], [lon + 0.03, lat + y]],
        }

    def area(x: float, y: float, half: float) -> dict[str, Any]:
        corners = [(-half, -half), (half, -half), (half, half), (-half, half), (-half, -half)]
        return {"type": "Polygon", "coordinates": [[[lon + x + a, lat + y + b] for a, b in corners]]}

    if "nhd/MapServer/6" in path:
        codes = [46006, 46003, 46006, 55800, 46006, 42813, 46007]
        return [
            (line(0.0, 0.006 * (k - 3)), {"GNIS_NAME": f"Brook {k}", "FCODE": code, "FTYPE": code // 100})
            for k, code in enumerate(codes)
        ]
    if "nhd/MapServer/12" in path:
        return [(area(0.02, 0.018, 0.004), {"GNIS_NAME": "Made Lake", "FCODE": 39004, "FTYPE": 390})]
    if "Wetlands" in path:
        return [
            (area(-0.02, 0.015, 0.003), {"WETLAND_TYPE": "Freshwater Forested/Shrub Wetland", "ATTRIBUTE": "PFO1B"})
        ]
    if "PADUS" in path:
        return [
            (area(-0.012, -0.01, 0.003), {"Unit_Nm": "Closed Range", "Pub_Access": "XA"}),
            (area(0.0, 0.0, 0.05), {"Unit_Nm": "Made Forest", "Pub_Access": "OA"}),
        ]
    if "Trail" in path:
        return [(line(0.0, 0.011), {"TRAIL_NAME": "RIDGE", "TRAIL_NO": "7", "TRAIL_CLASS": "2"})]
    if "CPCAD" in path:
        return [(area(0.0, 0.0, 0.02), {"NAME_E": "Made Park", "TYPE_E": "Park", "BIOME": "T", "MGMT_E": "Province"})]
    return []


def _json(words: Any) -> Response:
    return Response(json.dumps(words), mimetype="application/json")


@contextmanager
def made_services(place: tuple[float, float], half_km: float = HALF_KM) -> Iterator[MadeServices]:
    """Run the server for a place."""
    with HTTPServer(host="127.0.0.1", threaded=True) as server:
        yield MadeServices(server, place, half_km)
