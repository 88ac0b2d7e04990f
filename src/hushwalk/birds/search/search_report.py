"""A planned search laid out to be drawn: places in degrees, compass bearings, outlines of the ground.

search_plan.py plans it.
"""

from datetime import datetime

import numpy as np

from hushwalk.birds.credible_ground import outline
from hushwalk.birds.search.planned_search import Search, SearchLeg, SearchPass
from hushwalk.birds.search.search_plan import LeftOut, LinesWalked, SearchArea, SearchPlan
from hushwalk.birds.stands_on_foot import StartPlace
from hushwalk.grid.grid import Grid
from hushwalk.grid.points import convergence_deg
from hushwalk.grid.polyline import polyline_length
from hushwalk.science.magnetic import magnetic_from_true
from hushwalk.site.norths import North
from hushwalk.site.site import Site, place_of
from hushwalk.types import FloatArray

ALSO = 0.05  # judgement: another bird is named where his log is found with a chance of one in twenty or more


def search_of(
    site: Site,
    north: North,
    plan: SearchPlan,
    start: StartPlace,
    back_by: datetime,
    left_out: tuple[LeftOut, ...] = (),
    searched_before: int = 0,
) -> Search:
    """Lay a plan out.

    Parameters
    ----------
    site, north : of the trip.
    plan : of the search.
    start : where it begins.
    back_by : at the car.
    left_out : birds that were not even planned for.
    searched_before : earlier searches that lowered the ground.

    Returns
    -------
    Search
        Areas in walking order, with what is left out.
    """
    here, legs, now = np.asarray(start.xy_m), [], plan.not_before
    for area in plan.areas:
        legs.append(_leg(site, north, area, here, now))
        here, now = np.asarray(area.last_m), area.leave
    return Search(
        start=place_of(site.grid, np.asarray(start.xy_m), start.name, site.ground.elevation),
        not_before=plan.not_before,
        back=plan.back,
        back_by=back_by,
        legs=tuple(legs),
        way_back_m=plan.way_back_m,
        logs_expected=plan.logs_expected,
        params=plan.params,
        left_out=(*left_out, *plan.left_out),
        searched_before=searched_before,
    )


def _leg(site: Site, north: North, area: SearchArea, here: FloatArray, now: datetime) -> SearchLeg:
    entry = np.asarray(area.first_m)
    away = entry - here
    true = float(np.degrees(np.arctan2(away[0], away[1])) + convergence_deg(site.grid.epsg, here)) % 360
    return SearchLeg(
        number=area.number,
        bird=area.bird,
        entry=place_of(site.grid, entry, f"S{area.number}", site.ground.elevation),
        arrive=area.arrive,
        leave=area.leave,
        chance=area.by_bird.get(area.bird, 0.0),
        logs=area.logs,
        approach_m=area.approach_m,
        passes=tuple(_pass(site, north, one, area.cell_m) for one in area.passes),
        azimuth_deg=true,
        magnetic_deg=float(magnetic_from_true(true, north.declination_deg)) % 360,
        distance_m=polyline_length(area.approach_m),
        minutes=(area.arrive - now).total_seconds() / 60,
        also=tuple(bird for bird, chance in area.by_bird.items() if bird != area.bird and chance >= ALSO),
    )


def _pass(site: Site, north: North, one: LinesWalked, cell_m: float) -> SearchPass:
    true = one.towards_deg + float(convergence_deg(site.grid.epsg, one.path_m[0]))
    return SearchPass(
        line_m=one.path_m,
        lines=one.lines,
        towards_magnetic_deg=float(magnetic_from_true(true, north.declination_deg)) % 360,
        area_ha=len(one.cells_m) * cell_m**2 / 1e4,
        rings=_rings(site, one.cells_m, cell_m),
    )


def _rings(site: Site, xy_m: FloatArray, cell_m: float) -> tuple[FloatArray, ...]:
    """Outlines of some cells."""
    low, high = xy_m.min(axis=0), xy_m.max(axis=0)
    cols, rows = (int(n) for n in np.round((high - low) / cell_m) + 1)
    grid = Grid(site.grid.epsg, float(low[0]) - cell_m / 2, float(high[1]) + cell_m / 2, cell_m, rows, cols)
    inside = np.zeros(grid.shape)
    inside[grid.rowcol(xy_m)] = 1.0
    return outline(grid, inside, 0.5)
