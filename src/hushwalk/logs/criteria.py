"""Each criterion that a side of a log is scored by, 0..1, with what was observed.

How they are put together is sides.py's business.
"""

import numpy as np

from hushwalk.logs.log import HideGround, Log, SessionSun, log_table
from hushwalk.logs.observations import Criterion, Observation, Observed
from hushwalk.logs.sectors import SECTORS, opposite, sector_azimuth_deg
from hushwalk.types import BoolArray, FloatArray

ASPECTS = (
    Observed.FACES_CAMERA,
    Observed.THREE_QUARTER_FRONT,
    Observed.FROM_SIDE,
    Observed.FROM_BEHIND,
    Observed.TAIL_ONLY,
)
"""How he shows himself to the camera, by steps of 45 degrees off where he faces."""


def light_score(off_deg: FloatArray, lit: BoolArray) -> FloatArray:
    """Score the light by minute for a side, 0..1.

    Parameters
    ----------
    off_deg : between the azimuths of the sun and of the hide from the log: 0 is front light, 180 back light [deg].
    lit : whether the log lies in sun.
    """
    score = log_table()["score"]
    return np.asarray(np.where(lit, np.interp(off_deg, score["light_off_deg"], score["light"]), score["soft_light"]))


def apart_deg(one_deg: FloatArray | float, other_deg: FloatArray | float) -> FloatArray:
    """Angle between two azimuths, 0..180 [deg].

    Examples
    --------
    >>> float(apart_deg(350.0, 20.0))
    30.0
    """
    return np.asarray(np.abs(np.mod(np.asarray(one_deg) - np.asarray(other_deg) + 180.0, 360.0) - 180.0))


def facing_of(log: Log, azimuth_deg: float) -> Criterion:
    """How he turns to the camera; of two ways the mean."""
    score = log_table()["score"]
    if not log.facing_deg:
        return _unknown("facing", Observed.FACING_UNKNOWN)
    off = np.array([float(apart_deg(front, azimuth_deg)) for front in log.facing_deg])
    mean = float(np.interp(off, score["facing_off_deg"], score["facing"]).mean())
    seen = dict.fromkeys(ASPECTS[round(angle / 45)] for angle in off.tolist())
    return Criterion("facing", mean, tuple(Observation(what) for what in seen))


def light_of(sun: SessionSun, azimuth_deg: float) -> Criterion:
    """Front, side and back light through the session."""
    off = apart_deg(sun.azimuth_deg, azimuth_deg)
    total = float(sun.weight.sum())
    score = float(light_score(off, sun.lit) @ sun.weight / total) if total > 0 else log_table()["score"]["soft_light"]
    kinds = (
        (Observed.FRONT_LIGHT, off < 45),  # noqa: PLR2004 - definition
        (Observed.SIDE_LIGHT, (off >= 45) & (off <= 135)),  # noqa: PLR2004
        (Observed.BACK_LIGHT, off > 135),  # noqa: PLR2004
    )
    minutes = [Observation(what, float(np.count_nonzero(sun.lit & kind))) for what, kind in kinds]
    shines = tuple(one for one in minutes if one.value)
    return Criterion("light", score, shines or (Observation(Observed.NO_SUN),))


def backdrop_of(log: Log, sector: str) -> Criterion:
    """How far off the backdrop is."""
    table, far = log_table()["hide"], log.backdrop_m.get(opposite(sector))
    if far is None:
        return _unknown("backdrop", Observed.BACKDROP_UNKNOWN)
    near, good = table["backdrop_near_m"], table["backdrop_good_m"]
    score = float(np.clip((far - near) / (good - near), 0, 1))
    return Criterion("backdrop", score, (Observation(Observed.BACKDROP, far),))


def room_of(log: Log, sector: str) -> Criterion:
    """Whether a hide was noted to fit in."""
    table, poor = log_table()["hide"], log_table()["score"]["no_room"]
    noted = log.stands_m.get(sector, log.room_m.get(sector))
    if not log.room_m and not log.stands_m:
        return _unknown("room", Observed.ROOM_UNKNOWN)
    if noted is None:
        return Criterion("room", poor, (Observation(Observed.NO_ROOM),))
    if noted < table["nearest_m"]:
        return Criterion("room", poor, (Observation(Observed.ROOM_TOO_NEAR, noted),))
    stands = sector in log.stands_m
    return Criterion("room", 1.0, (Observation(Observed.HIDE_STANDS if stands else Observed.ROOM, noted),))


def view_of(log: Log, sector: str) -> Criterion:
    """How open the view is."""
    share = log.view_share.get(sector)
    return _unknown("view") if share is None else Criterion("view", share, (Observation(Observed.VIEW_OPEN, share),))


def footing_of(ground: HideGround, xy_m: tuple[float, float]) -> Criterion:
    """Whether chair and tripod stand there."""
    table, place = log_table()["hide"], np.array([xy_m])
    rows, cols = ground.slope.grid.rowcol(place)
    steep = float(ground.slope.at(place)[0])
    if not bool(ground.slope.grid.contains(place)[0]) or not np.isfinite(steep):
        return _unknown("footing", Observed.GROUND_UNKNOWN)
    if ground.blocked[int(rows[0]), int(cols[0])]:
        return Criterion("footing", 0.0, (Observation(Observed.GROUND_BLOCKED),))
    span = [table["easy_deg"], table["steep_deg"]]
    score = float(np.interp(steep, span, [1.0, log_table()["score"]["steep"]]))
    return Criterion("footing", score, (Observation(Observed.HIDE_SLOPE, steep),))


def level_of(tilt_deg: float) -> Criterion:
    """Whether the lens is level with the bird; it looks down where the tilt is above 0."""
    table = log_table()["hide"]
    if not np.isfinite(tilt_deg):
        return _unknown("level")
    span = [table["level_deg"], table["tilted_deg"]]
    score = float(np.interp(abs(tilt_deg), span, [1.0, log_table()["score"]["tilted"]]))
    way = Observed.LENS_DOWN if tilt_deg > 0 else Observed.LENS_UP
    level = abs(tilt_deg) <= table["level_deg"]
    return Criterion("level", score, (Observation(Observed.LENS_LEVEL if level else way, abs(tilt_deg)),))


def approach_of(log: Log, sector: str) -> Criterion:
    """Whether one comes there in the dark out of his sight; the worse of what was noted and of the way in."""
    ways = []
    if log.access is not None:
        ways.append(_access(log.access, sector))
    if log.approach_deg is not None:
        ways.append(_way_in(log.approach_deg, sector))
    if not ways:
        return _unknown("approach")
    score, what = min(ways, key=lambda way: way[0])
    return Criterion("approach", score, (Observation(what),))


def _access(access: tuple[str, ...], sector: str) -> tuple[float, Observed]:
    score = log_table()["score"]
    next_to = {SECTORS[(SECTORS.index(sector) + turn) % 8] for turn in (-1, 1)}
    if sector in access:
        return score["unseen"], Observed.UNSEEN
    return score["unseen_beside"] if next_to & set(access) else score["seen"], Observed.PARTLY_SEEN


def _way_in(approach_deg: float, sector: str) -> tuple[float, Observed]:
    score, off = log_table()["score"], float(apart_deg(approach_deg, sector_azimuth_deg(sector)))
    if off <= 67.5:  # noqa: PLR2004 - definition: this sector and the next
        return score["come_from_behind"], Observed.COME_FROM_BEHIND
    if off <= 112.5:  # noqa: PLR2004 - definition: a quarter turn
        return score["come_from_beside"], Observed.COME_FROM_FLANK
    return score["come_round"], Observed.COME_ROUND


def wind_of(log: Log, azimuth_deg: float) -> Criterion:
    """On which side of the wind the hide is."""
    if log.wind_from_deg is None or log.wind_ms < log_table()["hide"]["windy_ms"]:
        return Criterion("wind", 1.0)
    off = float(apart_deg(log.wind_from_deg, azimuth_deg))
    what = Observed.DOWNWIND if off > 90 else Observed.UPWIND  # noqa: PLR2004 - definition: the lee half
    score = float(np.interp(off, [0, 180], [log_table()["score"]["upwind"], 1.0]))
    return Criterion("wind", score, (Observation(what),))


def _unknown(name: str, *observed: Observed) -> Criterion:
    return Criterion(name, log_table()["score"]["unknown"], tuple(Observation(what) for what in observed))
