"""The walk for other tools: a GeoPackage with one table a kind, in the metres of the trip's grid.

GeoJSON in degrees stands in walk_data.py.
"""

import geopandas as gpd
from shapely import LineString, Point

from hushwalk.morning.report import Report
from hushwalk.outputs.kit.geopackage_file import geopackage_content
from hushwalk.outputs.kit.map_layer import earshot_area
from hushwalk.outputs.walk.walk_data import leg_fields, stop_fields
from hushwalk.wording.credit_words import credit_sentences


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
    """Give the walk as a GeoPackage; its date of change is that of the morning."""
    return geopackage_content(geopackage_tables(report), report.depart, credit_sentences(report.country.credits))
