"""Facts as tables of pandas and geopandas, with units at the end of column names.

What the facts are is the rooms' business; geometries are in the metres of the grid of the trip.
"""

from typing import Any

import geopandas as gpd
import numpy as np
import pandas as pd
from shapely import Point

from hushwalk.birds.bird_report import LocatedBird
from hushwalk.birds.story import FixReport
from hushwalk.filming.session_report import SessionReport
from hushwalk.grid.grid import Grid
from hushwalk.grid.polyline import rings_area
from hushwalk.habitat.patches import Patches
from hushwalk.habitat.why import Why
from hushwalk.hearing.earshot import Earshot
from hushwalk.hearing.sound_budget import SoundBudget


def patch_table(found: Patches) -> gpd.GeoDataFrame:
    """Give patches of good ground as a table, the point of each in its centre of gravity."""
    rows = [
        {
            "patch": one.number,
            "area_ha": one.area_ha,
            "core_ha": one.core_ha,
            "shape": one.shape,
            "suitability": one.suitability,
            "males_low": one.males_low,
            "males": one.males,
            "males_high": one.males_high,
            "territories": one.territories,
            "geometry": Point(one.centre_m),
        }
        for one in found.patches
    ]
    return _geo(rows, ["patch"], found.numbers.grid)


def reason_table(facts: Why) -> pd.DataFrame:
    """Give the reasons of a place as a table, those that count most first."""
    return pd.DataFrame(
        [
            {
                "need": reason.need.key,
                "label": reason.need.label,
                "measured": reason.value,
                "unit": reason.need.unit,
                "score": reason.score,
                "weight": reason.weight,
                "factor": reason.factor,
                "rating": reason.rating.value,
                "assumed": reason.need.assumed,
                "source": reason.need.source,
            }
            for reason in facts.reasons
        ]
    ).set_index("need")


def earshot_table(edge: Earshot) -> pd.DataFrame:
    """Give the edge of hearing by direction."""
    return pd.DataFrame({"azimuth_deg": edge.azimuth_deg, "radius_m": edge.radius_m})


def earshot_outline(edge: Earshot, grid: Grid) -> gpd.GeoDataFrame:
    """Give the ground within earshot as one row."""
    ground = rings_area(edge.rings)
    return _geo([{"chance": edge.level, "area_km2": ground.area / 1e6, "geometry": ground}], ["chance"], grid)


def sound_table_of(budget: SoundBudget) -> pd.DataFrame:
    """Give a sound budget as a table, one row a band."""
    columns = {
        "level_at_1m_db": budget.level_at_1m_db,
        **{f"{term.name}_db": term.loss_db for term in budget.losses},
        "received_db": budget.received_db,
        "needed_db": budget.needed_db,
        "margin_db": budget.margins_db,
    }
    return pd.DataFrame(columns, index=pd.Index(budget.bands_hz, name="band_hz"))


def bird_table(report: FixReport, grid: Grid) -> gpd.GeoDataFrame:
    """Give the birds of a morning as a table, the point of each its median place."""
    return _geo([_bird_row(bird) for bird in report.birds], ["bird"], grid)


def _bird_row(bird: LocatedBird) -> dict[str, Any]:
    stand = bird.stand
    return {
        "bird": bird.name,
        "bearings": len(bird.lines),
        **{f"area_{100 * ground.share:.0f}_ha": ground.area_ha for ground in bird.grounds},
        "lon_deg": bird.middle.lon_deg,
        "lat_deg": bird.middle.lat_deg,
        "usng": bird.middle.usng,
        "lines_cross": bird.point is not None,
        "next_bearing_usng": None if stand is None else stand.place.usng,
        "next_bearing_min": np.nan if stand is None else stand.minutes,
        "geometry": Point(bird.middle.xy_m),
    }


def bird_grounds(report: FixReport, grid: Grid) -> gpd.GeoDataFrame:
    """Give the smallest grounds that hold each bird, one row a bird and chance."""
    rows = [
        {"bird": bird.name, "chance": ground.share, "area_ha": ground.area_ha, "geometry": rings_area(ground.rings)}
        for bird in report.birds
        for ground in bird.grounds
    ]
    return _geo(rows, ["bird", "chance"], grid)


def session_table(report: SessionReport) -> pd.DataFrame:
    """Give the days at every log as a table."""
    rows = []
    for log in report.logs:
        for day in log.days:
            session = day.session
            rows.append(
                {
                    "log": log.name,
                    "day": day.day,
                    "leave_car_by": None if session is None else session.leave_car_by,
                    "in_hide_by": None if session is None else session.in_hide_by,
                    "until": None if session is None else session.until,
                    "back_at": None if session is None else session.back_at,
                    "season": day.season,
                    "score_h": np.nan if session is None else session.score,
                    "side": log.side.name,
                    "best": log.best is not None and day.day == log.best.day,
                }
            )
    return pd.DataFrame(rows).set_index(["log", "day"])


def _geo(rows: list[dict[str, Any]], columns: list[str], grid: Grid) -> gpd.GeoDataFrame:
    """Rows with geometries as a table; one without rows keeps its first columns."""
    if not rows:
        return gpd.GeoDataFrame({name: [] for name in columns}, geometry=[], crs=grid.crs)
    return gpd.GeoDataFrame(rows, geometry="geometry", crs=grid.crs)
