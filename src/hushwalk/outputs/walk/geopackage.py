"""The walk for other tools: a GeoPackage with one table a kind, in the metres of the trip's grid.

GeoJSON in degrees stands in walk_data.py.
"""

import geopandas as gpd
from shapely import LineString, Point

from hushwalk.grid.polyline import rings_area
from hushwalk.morning.report import Report
from hushwalk.outputs.kit.feature_style import STYLE_FIELD, dot_style, edge_style, line_style
from hushwalk.outputs.kit.geopackage_file import geopackage_content
from hushwalk.outputs.kit.palette import COLOURS
from hushwalk.outputs.walk.walk_data import leg_fields, stop_fields
from hushwalk.wording.credit_words import credit_sentences

STOP_PT = 9.0  # judgement: as large as the words of the sheet
LINES = {
    "legs": line_style(COLOURS["walk"], 2.0),
    "earshot": edge_style(COLOURS["earshot"], 0.8, "4pt 3pt"),
    "ways_back": line_style(COLOURS["way_back"], 1.5, "2pt 3pt"),
}
"""Judgement: as thick as on the sheet."""


def geopackage_tables(report: Report) -> dict[str, gpd.GeoDataFrame]:
    """Give stops, legs, earshot and ways back as tables; empty ones are left out."""
    rows = {
        "stops": [{**stop_fields(stop), "geometry": Point(stop.place.xy_m)} for stop in report.stops],
        "legs": [{**leg_fields(leg), "geometry": LineString(leg.line_m)} for leg in report.legs],
        "earshot": [
            {"name": stop.place.name, "chance": 0.5, "geometry": rings_area(stop.earshot)}
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
    drawn = {
        name: table.assign(**{STYLE_FIELD: _styles(name, table)}) for name, table in geopackage_tables(report).items()
    }
    return geopackage_content(drawn, report.depart, credit_sentences(report.country.credits))


def _styles(name: str, table: gpd.GeoDataFrame) -> list[str]:
    """Say how each row is drawn, in the colours of page and sheet."""
    if name == "stops":
        return [dot_style(COLOURS["stop"], COLOURS["walk"], STOP_PT, label) for label in table["name"]]
    return [LINES[name]] * len(table)
