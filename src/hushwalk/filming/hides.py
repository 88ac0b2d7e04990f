"""Where to sit at a log: eight sides, each judged part by part, so that the alternatives are seen too.

The reasons themselves are in hide_parts.py; how far off a lens wants to stand is framing.py's business.
"""

from dataclasses import dataclass

import numpy as np

from hushwalk.filming import hide_parts as parts
from hushwalk.filming.framing import camera_table
from hushwalk.filming.hide_scene import SIDES, HideGround, LogScene, Part, SunThen, set_table
from hushwalk.grid.layer import Layer
from hushwalk.grid.points import convergence_deg
from hushwalk.grid.profile import bilinear


@dataclass(frozen=True)
class Side:
    """A side to sit on.

    Parameters
    ----------
    name, azimuth_deg : of the hide as seen from the log; the lens looks the other way.
    distance_m, xy_m : of the hide.
    tilt_deg : how much the lens looks down on the bird; negative is up.
    score : weighted geometric mean of the parts, 0..1.
    parts : the reasons.
    """

    name: str
    azimuth_deg: float
    distance_m: float
    xy_m: tuple[float, float]
    tilt_deg: float
    score: float
    parts: tuple[Part, ...]

    @property
    def lens_deg(self) -> float:
        """Azimuth that the lens looks along, from true north [deg]."""
        return (self.azimuth_deg + 180) % 360


def sides_of(scene: LogScene, ground: HideGround, sun: SunThen, distance_m: float | None = None) -> tuple[Side, ...]:
    """Judge all eight sides.

    Parameters
    ----------
    scene : the log.
    ground : where a hide can stand.
    sun : in the minutes of the session.
    distance_m : that the lens wants; what was noted for a side goes before it, the usual distance after it [m].

    Returns
    -------
    tuple of Side
        All eight, the best first.
    """
    found = [_side(scene, ground, sun, name, distance_m) for name in SIDES]
    return tuple(sorted(found, key=lambda side: -side.score))


def _side(scene: LogScene, ground: HideGround, sun: SunThen, name: str, wanted_m: float | None) -> Side:
    azimuth, table = SIDES[name], set_table()["hide"]
    noted = scene.room_m.get(name)
    distance = max(noted or wanted_m or table["usual_m"], table["nearest_m"])
    turn = float(convergence_deg(ground.elevation.grid.epsg, np.asarray(scene.xy_m)))
    bearing = np.radians(azimuth - turn)
    xy = (scene.xy_m[0] + distance * float(np.sin(bearing)), scene.xy_m[1] + distance * float(np.cos(bearing)))
    tilt = _tilt_deg(scene, ground.elevation, xy, distance)
    judged = (
        parts.facing_part(scene, azimuth),
        parts.light_part(sun, azimuth),
        parts.backdrop_part(scene, name),
        parts.room_part(scene, noted),
        parts.view_part(scene, name),
        parts.footing_part(ground, xy),
        parts.level_part(tilt),
        parts.approach_part(scene, name),
        parts.wind_part(scene, azimuth),
    )
    worth = np.maximum([part.worth for part in judged], set_table()["worth"]["least"])
    weight = np.array([0.5 if part.name == "wind" else 1.0 for part in judged])
    score = float(np.exp(np.log(worth) @ weight / weight.sum()))
    return Side(name, azimuth, distance, xy, tilt, score, judged)


def _tilt_deg(scene: LogScene, elevation: Layer, xy: tuple[float, float], distance_m: float) -> float:
    here, there = bilinear(elevation, np.array([scene.xy_m, xy]))
    lens = there + set_table()["hide"]["lens_height_m"]
    bird = here + scene.height_m + camera_table()["bird"]["height_m"] / 2
    return float(np.degrees(np.arctan2(lens - bird, distance_m)))
