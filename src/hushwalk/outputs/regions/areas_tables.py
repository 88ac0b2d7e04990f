"""Ranked areas and patches as tables: CSV, GeoJSON, GeoPackage, and the JSON that a trip can be started from.

What the numbers mean is told in regions/area_report.py; the report itself is area_page.py's and area_sheet.py's.
"""

import csv
import io
import json
import os
from pathlib import Path
from typing import Any

import geopandas as gpd
from shapely import Point, box

from hushwalk.habitat.tiled_patches import WidePatch
from hushwalk.outputs.kit.geopackage_file import geopackage_content
from hushwalk.regions.area_report import Area, Areas
from hushwalk.wording.area_words import area_reasons, unranked_words
from hushwalk.wording.credit_words import credit_sentences

FORMULA = ("=", "+", "-", "@", "\t", "\r")
SCHEMA = "hushwalk areas 1"
Json = dict[str, Any]


def area_fields(area: Area) -> Json:
    """Everything told of an area, flat, with units in the names."""
    score = area.score
    return {
        "rank": area.rank,
        "name": area.place.name,
        "kind": area.place.kind,
        "longitude_deg": round(area.lon_deg, 6),
        "latitude_deg": round(area.lat_deg, 6),
        "males_heard": round(score.males, 2),
        "males_heard_new": round(area.new_males, 2),
        "stops": score.stops,
        "walk_in_min": round(score.walk_in_min, 1),
        "walk_min": round(score.used_min),
        "reach_km2": round(score.reach_km2, 2),
        "males_in_reach": round(score.males_in_reach, 1),
        "earshot_m": round(score.half_m),
        "closed_share": round(score.closed_share, 3),
        "drive_min": None if area.drive_min is None else round(area.drive_min),
        "why": area_reasons(area),
    }


def patch_fields(patch: WidePatch) -> Json:
    """Everything told of a patch, flat, with units in the names."""
    return {
        "patch": patch.number,
        "area_ha": round(patch.area_ha, 2),
        "core_ha": round(patch.core_ha, 2),
        "rim_m": round(patch.rim_m),
        "shape": round(patch.shape, 2),
        "suitability": round(patch.suitability, 3),
        "males_low": round(patch.males_low, 2),
        "males": round(patch.males, 2),
        "males_high": round(patch.males_high, 2),
        "east_m": round(patch.centre_m[0], 1),
        "north_m": round(patch.centre_m[1], 1),
    }


def csv_text(rows: list[Json]) -> str:
    """Rows as CSV with a header; an empty text where there are none.

    Notes
    -----
    Words that a program for tables would take for a formula get an apostrophe in front (common practice).
    """
    if not rows:
        return ""
    content = io.StringIO()
    table = csv.DictWriter(content, list(rows[0]), lineterminator="\n")
    table.writeheader()
    table.writerows({key: _no_formula(value) for key, value in row.items()} for row in rows)
    return content.getvalue()


def _no_formula(value: object) -> object:
    return f"'{value}" if isinstance(value, str) and value.startswith(FORMULA) else value


def areas_geojson(areas: Areas) -> str:
    """Areas as a feature collection in longitude and latitude on WGS 84.

    References
    ----------
    rfc_7946
    """
    features = [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [round(area.lon_deg, 7), round(area.lat_deg, 7)]},
            "properties": area_fields(area),
        }
        for area in areas.areas
    ]
    return json.dumps({"type": "FeatureCollection", "features": features}, indent=1, allow_nan=False) + "\n"


def areas_json(areas: Areas, area_file: Path, folder: Path) -> str:
    """Areas in the form that ``hushwalk start --from-area`` reads; the area file is named from the folder.

    Parameters
    ----------
    areas : ranked.
    area_file : that they come from.
    folder : in which the file will lie.

    Returns
    -------
    str
        JSON.
    """
    content = {
        "schema": SCHEMA,
        "area_file": Path(os.path.relpath(area_file.resolve(), folder.resolve())).as_posix(),
        "region": areas.settings.region.name,
        "areas": [area_fields(area) for area in areas.areas],
        "left_out": [unranked_words(one) for one in areas.unranked],
        "notices": list(areas.notices),
        "credits": list(credit_sentences(areas.credits)),
    }
    return json.dumps(content, indent=1, allow_nan=False) + "\n"


def areas_csv(areas: Areas) -> str:
    """Areas as CSV."""
    return csv_text([area_fields(area) for area in areas.areas])


def patches_csv(areas: Areas) -> str:
    """Patches of the region as CSV."""
    return csv_text([patch_fields(patch) for patch in areas.region.patches])


def areas_geopackage(areas: Areas) -> bytes:
    """Areas, and the bounds of the patches, as a GeoPackage in the metres of the region's grid."""
    grid = areas.region.grid
    rows = [{**area_fields(area), "geometry": Point(area.place.xy_m)} for area in areas.areas]
    found = [{**patch_fields(patch), "geometry": box(*patch.bounds_m)} for patch in areas.region.patches]
    tables = {"areas": rows, "patch_bounds": found}
    drawn = {
        name: gpd.GeoDataFrame(table, geometry="geometry", crs=grid.crs) for name, table in tables.items() if table
    }
    return geopackage_content(drawn, credit=credit_sentences(areas.credits))
