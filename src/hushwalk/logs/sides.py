"""Where to sit at a log: eight sides, each scored by all criteria, so that the alternatives are seen too.

The criteria themselves are in criteria.py; how far off a lens stands is filming/framing.py's business.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from hushwalk.grid.layer import Layer
from hushwalk.grid.points import convergence_deg
from hushwalk.grid.profile import bilinear
from hushwalk.logs import criteria
from hushwalk.logs.log import HideGround, Log, SessionSun, log_table
from hushwalk.logs.observations import NO_HIDE, Criterion
from hushwalk.logs.sectors import SECTORS, sector_azimuth_deg


@dataclass(frozen=True)
class Side:
    """A side to sit on.

    Parameters
    ----------
    name, azimuth_deg : of the hide as seen from the log; the lens looks the other way.
    distance_m, xy_m : of the hide.
    tilt_deg : how much the lens looks down on the bird; negative is up.
    score : weighted geometric mean of the criteria, 0..1.
    criteria : what it is scored by.
    """

    name: str
    azimuth_deg: float
    distance_m: float
    xy_m: tuple[float, float]
    tilt_deg: float
    score: float
    criteria: tuple[Criterion, ...]

    @property
    def raise_m(self) -> float:
        """How much higher the lens would have to stand to be level with the bird; below 0 lower [m]."""
        return -self.distance_m * float(np.tan(np.radians(self.tilt_deg)))

    @property
    def lens_deg(self) -> float:
        """Azimuth that the lens looks along, from true north [deg]."""
        return (self.azimuth_deg + 180) % 360


def score_sides(
    log: Log, ground: HideGround, sun: SessionSun | None = None, distance_m: Mapping[str, float] | None = None
) -> tuple[Side, ...]:
    """Score all eight sides.

    Parameters
    ----------
    log : and what was noted round it.
    ground : where a hide can stand.
    sun : in the minutes of the session; None where no session is meant, which leaves the light out.
    distance_m : of the hide by sector, as the lens asks for; else where a hide stands, or the usual, as far as there is
        room [m].

    Returns
    -------
    tuple of Side
        All eight, the best first.

    Notes
    -----
    score = exp(sum of w ln s / sum of w) over the criteria, s at least 0.02; w is 1, and 0.5 for the wind. So no
    criterion makes up for the lack of another. Where no hide can stand - room was noted on other sides only, or is too
    near, or the ground is blocked - the score is cut once more: a seat that somebody found goes before it.
    """
    sides = [_side(log, ground, sun, sector, (distance_m or {}).get(sector)) for sector in SECTORS]
    return tuple(sorted(sides, key=lambda side: -side.score))


def _side(log: Log, ground: HideGround, sun: SessionSun | None, sector: str, wanted_m: float | None) -> Side:
    azimuth, table = sector_azimuth_deg(sector), log_table()["hide"]
    usual = log.stands_m.get(sector) or min(table["usual_m"], log.room_m.get(sector, table["usual_m"]))
    distance = max(wanted_m or usual, table["nearest_m"])
    bearing = np.radians(azimuth - float(convergence_deg(ground.elevation.grid.epsg, np.asarray(log.xy_m))))
    xy = (log.xy_m[0] + distance * float(np.sin(bearing)), log.xy_m[1] + distance * float(np.cos(bearing)))
    lens_m = log.tripod_m.get(sector, table["lens_height_m"])
    tilt = _tilt_deg(log, ground.elevation, xy, (distance, lens_m))
    scored = (
        criteria.facing_of(log, azimuth),
        *(() if sun is None else (criteria.light_of(sun, azimuth),)),
        criteria.backdrop_of(log, sector),
        criteria.room_of(log, sector),
        criteria.view_of(log, sector),
        criteria.footing_of(ground, xy),
        criteria.level_of(tilt),
        criteria.approach_of(log, sector),
        criteria.wind_of(log, azimuth),
    )
    return Side(sector, azimuth, distance, xy, tilt, _geometric_mean(scored) * _forbidden(scored), scored)


def _geometric_mean(scored: tuple[Criterion, ...]) -> float:
    table = log_table()["score"]
    score = np.maximum([one.score for one in scored], table["least"])
    weight = np.array([table["wind_weight"] if one.name == "wind" else 1.0 for one in scored])
    return float(np.exp(np.log(score) @ weight / weight.sum()))


def _forbidden(scored: tuple[Criterion, ...]) -> float:
    found = {fact.what for one in scored for fact in one.observed}
    return float(log_table()["score"]["forbidden"]) if found & NO_HIDE else 1.0


def _tilt_deg(log: Log, elevation: Layer, xy_m: tuple[float, float], lens: tuple[float, float]) -> float:
    """How far the lens at a distance and height looks down on the bird [deg]."""
    distance_m, lens_m = lens
    at_log, at_hide = bilinear(elevation, np.array([log.xy_m, xy_m]))
    bird = at_log + log.top_m + log_table()["bird"]["height_m"] / 2
    return float(np.degrees(np.arctan2(at_hide + lens_m - bird, distance_m)))
