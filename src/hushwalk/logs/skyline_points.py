"""A skyline as it is written in the field: azimuths with angles in degrees or in fists.

What it hides is the filming room's business; norths are turned where the place is known.
"""

import re
from collections.abc import Callable, Sequence

from hushwalk.errors import InputError
from hushwalk.logs.log import log_table

_POINT = re.compile(
    r"([MTG]?)\s*([0-9.]+)\s*(?:°|deg)?\s*([MTG]?)\s*[:= ]\s*(-?[0-9.]+)\s*(f|fist|fists|°|deg)?", re.IGNORECASE
)
LOWEST_DEG, HIGHEST_DEG, TURN_DEG = -30.0, 90.0, 360.0


def skyline_points(text: str, turn: Callable[[float, str], float] | None = None) -> tuple[tuple[float, float], ...]:
    """Read a skyline such as ``"60 14, 80 12"`` or ``"M60 1.5f; T80 12"``.

    Parameters
    ----------
    text : azimuth and angle of each point, divided by commas or semicolons; a letter M, T or G before or behind the
        azimuth says which north it counts from, an f behind the angle that it was counted in fists at arm's length.
    turn : gives the true azimuth of one from M, T, G or an empty text; None where all are true [deg].

    Returns
    -------
    tuple of (azimuth, angle)
        From true north, and above the level [deg].

    Raises
    ------
    InputError
        If a point cannot be read or cannot be.

    Examples
    --------
    >>> skyline_points("60 14, T80 1.5f")
    ((60.0, 14.0), (80.0, 15.0))
    """
    points = []
    for part in (p.strip() for p in re.split(r"[,;]", text) if p.strip()):
        match = _POINT.fullmatch(part)
        try:
            azimuth, angle = (float(match[2]), float(match[4])) if match else (-1.0, 0.0)
        except ValueError:
            azimuth, angle = -1.0, 0.0
        if match and (match[5] or "").lower().startswith("f"):
            angle *= float(log_table()["fist"]["deg"])
        if match is None or not 0 <= azimuth <= TURN_DEG or not LOWEST_DEG <= angle <= HIGHEST_DEG:
            raise InputError(
                f"skyline {part!r} cannot be used; write azimuth and angle of each point, such as '60 14, 80 12', "
                "with M, T or G for the north and f for fists, such as 'M60 1.5f'"
            )
        north = (match[1] or match[3]).upper()
        points.append((azimuth if turn is None else turn(azimuth, north) % TURN_DEG, angle))
    return tuple(points)


def skyline_text(points: Sequence[tuple[float, float]]) -> str:
    """Write the points of a skyline, azimuths from true north.

    Examples
    --------
    >>> skyline_text([(60.04, 14.0), (80.0, 12.5)])
    '60 14, 80 12.5'
    """
    return ", ".join(f"{round(azimuth, 1):g} {round(angle, 1):g}" for azimuth, angle in points)
