"""A log and its surroundings as noted: what the sides to sit on are judged by.

The judging is done in hide_parts.py and hides.py.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hushwalk.errors import SettingsError
from hushwalk.grid.layer import Layer
from hushwalk.types import FloatArray, IntArray

SIDES = {"N": 0.0, "NE": 45.0, "E": 90.0, "SE": 135.0, "S": 180.0, "SW": 225.0, "W": 270.0, "NW": 315.0}
"""Definition: eight sectors of the compass and their azimuths [deg]."""


@cache
def set_table() -> dict[str, Any]:
    """Read what makes a side good and an hour worth sitting."""
    text = (files("hushwalk") / "data" / "tables" / "filming_set.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@dataclass(frozen=True)
class LogScene:
    """A log and what was noted round it; what was not noted is left out.

    Parameters
    ----------
    xy_m : easting and northing [m].
    height_m : of the log's top above the ground.
    facing_deg : where the bird faces, from true north; both ways if both [deg].
    backdrop_m, room_m, view_share : by side: distance of what stands there, distance at which a hide can stand there,
        openness between hide and log 0..1.
    access : sides from which one comes unseen, or None where nobody looked.
    wind_from_deg, wind_ms : of the morning; None where it is not known.
    approach_deg : azimuth from the log to where one comes from in the dark, or None.
    """

    xy_m: tuple[float, float]
    height_m: float = 0.4
    facing_deg: tuple[float, ...] = ()
    backdrop_m: Mapping[str, float] = field(default_factory=dict)
    room_m: Mapping[str, float] = field(default_factory=dict)
    view_share: Mapping[str, float] = field(default_factory=dict)
    access: tuple[str, ...] | None = None
    wind_from_deg: float | None = None
    wind_ms: float = 0.0
    approach_deg: float | None = None

    def __post_init__(self) -> None:
        named = (*self.backdrop_m, *self.room_m, *self.view_share, *(self.access or ()))
        odd = [name for name in named if name not in SIDES]
        if odd:
            raise SettingsError(f"side {odd[0]!r} of the log is unknown; write one of {', '.join(SIDES)}")


@dataclass(frozen=True, eq=False)
class HideGround:
    """The ground that a hide must stand on.

    Parameters
    ----------
    elevation, slope : [m] and [deg].
    blocked : shape grid.shape, water and closed ground, where no hide may stand.
    """

    elevation: Layer
    slope: Layer
    blocked: NDArray[np.bool_] = field(repr=False)


@dataclass(frozen=True, eq=False)
class SunThen:
    """The sun in the minutes of a session, each weighted by how active the bird is then; shape (n,)."""

    azimuth_deg: FloatArray = field(repr=False)
    states: IntArray = field(repr=False)
    weight: FloatArray = field(repr=False)


@dataclass(frozen=True)
class Part:
    """One reason: what was judged, its worth 0..1, and the words."""

    name: str
    worth: float
    words: str
