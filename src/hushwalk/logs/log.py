"""A log and what was noted round it, the ground that a hide stands on, and the sun of a session.

How the sides are scored is sides.py's business.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any

from hushwalk.errors import SettingsError
from hushwalk.grid.layer import Layer
from hushwalk.logs.sectors import SECTORS
from hushwalk.types import BoolArray, FloatArray


@cache
def log_table() -> dict[str, Any]:
    """Read what marks a log in use, and what makes a side of it good."""
    return tomllib.loads((files("hushwalk") / "data" / "tables" / "logs.toml").read_text(encoding="utf-8"))


@dataclass(frozen=True)
class Log:
    """A log and what was noted round it; what was not noted is left out.

    Parameters
    ----------
    xy_m : easting and northing [m].
    height_m : of the log's top above the ground, or None.
    slope_deg : of the ground at the log as noted, or None.
    facing_deg : where the bird faces, from true north; both ways if both [deg].
    backdrop_m, room_m, view_share : by sector: distance of what stands there, how far off a hide can stand there,
        openness between hide and log 0..1.
    stands_m, tripod_m : by sector where a hide stands already, and the height of the lens that sees the log there [m].
    access : sectors from which one comes unseen, or None where nobody looked.
    wind_from_deg, wind_ms : of the morning; None where it is not known.
    approach_deg : azimuth from the log to where one comes from in the dark, or None.

    Raises
    ------
    SettingsError
        If a sector is unknown.
    """

    xy_m: tuple[float, float]
    height_m: float | None = None
    slope_deg: float | None = None
    facing_deg: tuple[float, ...] = ()
    backdrop_m: Mapping[str, float] = field(default_factory=dict)
    room_m: Mapping[str, float] = field(default_factory=dict)
    view_share: Mapping[str, float] = field(default_factory=dict)
    stands_m: Mapping[str, float] = field(default_factory=dict)
    tripod_m: Mapping[str, float] = field(default_factory=dict)
    access: tuple[str, ...] | None = None
    wind_from_deg: float | None = None
    wind_ms: float = 0.0
    approach_deg: float | None = None

    def __post_init__(self) -> None:
        named = (*self.backdrop_m, *self.room_m, *self.view_share, *self.stands_m, *self.tripod_m)
        named = (*named, *(self.access or ()))
        odd = [name for name in named if name not in SECTORS]
        if odd:
            raise SettingsError(f"side {odd[0]!r} of the log is unknown; write one of {', '.join(SECTORS)}")

    @property
    def top_m(self) -> float:
        """Height of its top above the ground, the usual one where it was not noted [m]."""
        return float(log_table()["stance"]["usual_height_m"]) if self.height_m is None else self.height_m


@dataclass(frozen=True, eq=False)
class HideGround:
    """The ground that a hide stands on.

    Parameters
    ----------
    elevation, slope : [m] and [deg].
    blocked : shape grid.shape, water and closed ground, where no hide may stand.
    """

    elevation: Layer
    slope: Layer
    blocked: BoolArray = field(repr=False)


@dataclass(frozen=True, eq=False)
class SessionSun:
    """The sun in the minutes of a session, each weighted by how active the bird is then; shape (n,).

    ``lit`` holds where the log lies in sun.
    """

    azimuth_deg: FloatArray = field(repr=False)
    lit: BoolArray = field(repr=False)
    weight: FloatArray = field(repr=False)
