"""Each reason for or against a side of a log, judged 0..1 and told in words.

How they are put together is hides.py's business.
"""

import numpy as np

from hushwalk.filming.hide_scene import SIDES, HideGround, LogScene, Part, SunThen, set_table
from hushwalk.filming.sun_hours import SUN
from hushwalk.types import FloatArray, IntArray


def light_worth(off_deg: FloatArray, states: IntArray) -> FloatArray:
    """Worth of the light by minute for a side, 0..1.

    Parameters
    ----------
    off_deg : between the azimuths of the sun and of the hide from the log: 0 is front light, 180 back light [deg].
    states : of :func:`hushwalk.filming.sun_hours.shade`.
    """
    worth = set_table()["worth"]
    lit = np.interp(off_deg, worth["light_off_deg"], worth["light"])
    return np.asarray(np.where(states == SUN, lit, worth["soft_light"]))


def apart_deg(one_deg: FloatArray | float, other_deg: FloatArray | float) -> FloatArray:
    """Angle between two azimuths, 0..180 [deg].

    Examples
    --------
    >>> float(apart_deg(350.0, 20.0))
    30.0
    """
    return np.asarray(np.abs(np.mod(np.asarray(one_deg) - np.asarray(other_deg) + 180.0, 360.0) - 180.0))


def facing_part(scene: LogScene, azimuth: float) -> Part:
    """How he turns to the camera; of two ways the mean."""
    worth = set_table()["worth"]
    if not scene.facing_deg:
        return Part("facing", worth["unknown"], "where he faces is not known")
    off = np.array([float(apart_deg(front, azimuth)) for front in scene.facing_deg])
    mean = float(np.interp(off, worth["facing_off_deg"], worth["facing"]).mean())
    seen = {0: "he faces the camera", 1: "three-quarter front", 2: "from the side", 3: "from behind", 4: "tail only"}
    words = " or ".join(dict.fromkeys(seen[round(angle / 45)] for angle in off.tolist()))
    return Part("facing", mean, words)


def light_part(sun: SunThen, azimuth: float) -> Part:
    """Front, side and back light through the session."""
    off, lit = apart_deg(sun.azimuth_deg, azimuth), sun.states == SUN
    total = float(sun.weight.sum())
    soft = set_table()["worth"]["soft_light"]
    worth = float(light_worth(off, sun.states) @ sun.weight / total) if total > 0 else soft
    kinds = (("front", off < 45), ("side", (off >= 45) & (off <= 135)), ("back", off > 135))  # noqa: PLR2004 - definition
    spans = [(name, int(np.count_nonzero(lit & kind))) for name, kind in kinds]
    told = ", ".join(f"{name} light {minutes} min" for name, minutes in spans if minutes)
    return Part("light", worth, told or "no sun on the log: soft light")


def backdrop_part(scene: LogScene, name: str) -> Part:
    """How far off the backdrop is."""
    table, names = set_table()["hide"], list(SIDES)
    behind = names[(names.index(name) + 4) % 8]
    if behind not in scene.backdrop_m:
        return Part("backdrop", set_table()["worth"]["unknown"], "backdrop not noted")
    far = scene.backdrop_m[behind]
    near, good = table["backdrop_near_m"], table["backdrop_good_m"]
    return Part("backdrop", float(np.clip((far - near) / (good - near), 0, 1)), f"backdrop {far:g} m behind the log")


def room_part(scene: LogScene, noted: float | None) -> Part:
    """Whether a hide was noted to fit in."""
    table = set_table()["hide"]
    if not scene.room_m:
        return Part("room", set_table()["worth"]["unknown"], "room for a hide not noted")
    if noted is None:
        return Part("room", 0.1, "no room for a hide was noted")
    if noted < table["nearest_m"]:
        return Part("room", 0.1, f"room at {noted:g} m is too near the bird")
    return Part("room", min(1.0, table["farthest_m"] / noted), f"room for a hide at {noted:g} m")


def view_part(scene: LogScene, name: str) -> Part:
    """How open the view is."""
    if name not in scene.view_share:
        return Part("view", set_table()["worth"]["unknown"], "")
    share = scene.view_share[name]
    return Part("view", share, f"view {share:.0%} open")


def footing_part(ground: HideGround, xy: tuple[float, float]) -> Part:
    """Whether chair and tripod stand there."""
    table = set_table()["hide"]
    place = np.array([xy])
    rows, cols = ground.slope.grid.rowcol(place)
    inside = bool(ground.slope.grid.contains(place)[0])
    steep = float(ground.slope.at(place)[0])
    if not inside or not np.isfinite(steep):
        return Part("footing", set_table()["worth"]["unknown"], "ground not known")
    if ground.blocked[int(rows[0]), int(cols[0])]:
        return Part("footing", 0.0, "water or closed ground: no hide here")
    worth = float(np.interp(steep, [table["easy_deg"], table["steep_deg"]], [1.0, 0.05]))
    return Part("footing", worth, f"ground slopes {steep:.0f}°")


def level_part(tilt: float) -> Part:
    """Whether the lens is level with the bird."""
    table = set_table()["hide"]
    if not np.isfinite(tilt):
        return Part("level", set_table()["worth"]["unknown"], "")
    worth = float(np.interp(abs(tilt), [table["level_deg"], table["tilted_deg"]], [1.0, 0.3]))
    way = (
        "level lens"
        if abs(tilt) <= table["level_deg"]
        else f"lens looks {'down' if tilt > 0 else 'up'} {abs(tilt):.0f}°"
    )
    return Part("level", worth, way)


def approach_part(scene: LogScene, name: str) -> Part:
    """Whether one comes there in the dark out of his sight."""
    worths = []
    if scene.access is not None:
        names = list(SIDES)
        beside = {names[(names.index(name) + turn) % 8] for turn in (-1, 1)}
        near = 0.7 if beside & set(scene.access) else 0.2
        worths.append((1.0, "reached unseen") if name in scene.access else (near, "partly in his sight"))
    if scene.approach_deg is not None:
        off = float(apart_deg(scene.approach_deg, SIDES[name]))
        worths.append(
            (1.0, "you come from behind the hide")
            if off <= 67.5  # noqa: PLR2004 - definition: this sector and the next
            else (0.6, "you come from beside")
            if off <= 112.5  # noqa: PLR2004
            else (0.25, "you must go round the log, wide")
        )
    if not worths:
        return Part("approach", set_table()["worth"]["unknown"], "")
    worth, words = min(worths)
    return Part("approach", worth, words)


def wind_part(scene: LogScene, azimuth: float) -> Part:
    """On which side of the wind the hide is."""
    if scene.wind_from_deg is None or scene.wind_ms < set_table()["hide"]["windy_ms"]:
        return Part("wind", 1.0, "")
    off = float(apart_deg(scene.wind_from_deg, azimuth))
    downwind = off > 90  # noqa: PLR2004 - definition: the lee half
    words = "downwind: his drum carries to you" if downwind else "upwind: every rustle drifts to the log"
    return Part("wind", float(np.interp(off, [0, 180], [0.5, 1.0])), words)
