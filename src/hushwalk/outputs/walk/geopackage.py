"""The walk for other tools: a GeoPackage with one table a kind, in the metres of the trip's grid.

GeoJSON in degrees stands in walk_data.py.
"""

from datetime import UTC
from pathlib import Path
from tempfile import TemporaryDirectory

import geopandas as gpd
from pyogrio import set_gdal_config_options
from shapely import LineString, Point

from hushwalk.morning.report import Report
from hushwalk.outputs.kit.map_layer import earshot_area
from hushwalk.outputs.walk.walk_data import leg_fields, stop_fields


def geopackage_tables(report: Report) -> dict[str, gpd.GeoDataFrame]:
    """Give stops, legs, earshot and ways back as tables; empty ones are left out."""
    rows = {
        "stops": [{**stop_fields(stop), "geometry": Point(stop.place.xy_m)} for stop in report.stops],
        "legs": [{**leg_fields(leg), "geometry": LineString(leg.line_m)} for leg in report.legs],
        "earshot": [
            {"name": stop.place.name, "chance": 0.5, "geometry": earshot_area(stop.earshot)}
            for stop in report.stops
            if stop.earshot
        ],
        "ways_back": [{"name": name, "geometry": LineString(line)} for name, line in report.bail_outs],
    }
    return {
        name: gpd.GeoDataFrame(table, geometry="geometry", crs=report.grid.crs) for name, table in rows.items() if table
    }


def geopackage_bytes(report: Report) -> bytes:
    """Give the tables as a new GeoPackage.

    Notes
    -----
    The date of change that the format asks for is that of the morning, so that the same report gives the same file.
    """
    set_gdal_config_options({"OGR_CURRENT_DATE": report.depart.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.000Z")})
    try:
        with TemporaryDirectory() as folder:
            path = Path(folder) / "walk.gpkg"
            for name, table in geopackage_tables(report).items():
                table.to_file(path, layer=name, driver="GPKG", engine="pyogrio", mode="a" if path.exists() else "w")
            return path.read_bytes()
    finally:
        set_gdal_config_options({"OGR_CURRENT_DATE": None})
