"""Which lens fits the room at a log: how far off the hide stands, what is in the frame, how deep it is sharp.

The optics themselves are in science/optics.py; where the hide stands is logs/sides.py's business.
"""

import math
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np

from hushwalk.errors import SettingsError
from hushwalk.science.optics import (
    SharpZone,
    distance_for_width_m,
    f_number_for_depth,
    field_width_m,
    sharp_zone,
)


@cache
def camera_table() -> dict[str, Any]:
    """Read sensors, extenders, the size of the bird and the beat of its wings."""
    text = (files("hushwalk") / "data" / "tables" / "filming_camera.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@dataclass(frozen=True)
class Sensor:
    """An image area: width, height, and the largest blur on it that counts as sharp [mm]."""

    name: str
    width_mm: float
    height_mm: float
    confusion_mm: float

    def __post_init__(self) -> None:
        if not (self.width_mm > 0 and self.height_mm > 0 and 0 < self.confusion_mm < self.width_mm):
            raise SettingsError(
                f"sensor {self.name!r} needs width, height and confusion above 0, "
                f"got {self.width_mm} x {self.height_mm} mm, {self.confusion_mm} mm"
            )

    def for_video(self, crop: float = 1.0) -> "Sensor":
        """Give the 16:9 part that video uses, cut down further by ``crop`` where a mode does so."""
        aspect = float(camera_table()["video"]["aspect"])
        width = min(self.width_mm, self.height_mm * aspect) / crop
        return replace(self, name=f"{self.name}, 16:9", width_mm=width, height_mm=width / aspect)


def sensor_named(name: str) -> Sensor:
    """Give a usual sensor.

    Raises
    ------
    SettingsError
        If there is none of that name.

    Examples
    --------
    >>> sensor_named("full_frame").for_video().height_mm
    20.25
    """
    known = camera_table()["sensor"]
    if name not in known:
        raise SettingsError(f"sensor {name!r} is unknown; known are {', '.join(known)}, or give width and height in mm")
    row = known[name]
    return Sensor(name.replace("_", " "), row["width_mm"], row["height_mm"], row["confusion_mm"])


@dataclass(frozen=True)
class Lens:
    """A lens that the person owns.

    Parameters
    ----------
    name : as the person calls it.
    focal_mm : focal length; of a zoom, the longest.
    f_number : widest aperture there.
    nearest_m : nearest focus, from the sensor [m].
    widest_mm : shortest focal length of a zoom, or None.
    f_number_wide : widest aperture of a zoom at its short end; None for the same as at the long end.
    """

    name: str
    focal_mm: float
    f_number: float
    nearest_m: float
    widest_mm: float | None = None
    f_number_wide: float | None = None

    def __post_init__(self) -> None:
        if not (self.focal_mm > 0 and self.f_number > 0 and self.nearest_m * 1000 > self.focal_mm):
            raise SettingsError(
                f"lens {self.name!r} needs focal_mm and f_number above 0 and nearest_m beyond the focal length, "
                f"got {self.focal_mm}, {self.f_number}, {self.nearest_m}"
            )
        if self.widest_mm is not None and not 0 < self.widest_mm <= self.focal_mm:
            raise SettingsError(
                f"lens {self.name!r}: widest_mm must lie in 0..{self.focal_mm:g}, got {self.widest_mm:g}"
            )
        if self.f_number_wide is not None and not (self.widest_mm and 0 < self.f_number_wide <= self.f_number):
            raise SettingsError(
                f"lens {self.name!r}: f_number_wide is for the short end of a zoom and must lie in "
                f"0..{self.f_number:g}, got {self.f_number_wide:g}; give widest_mm too"
            )

    def extended(self, factor: float) -> "Lens":
        """Give the same lens behind an extender: longer, darker, with the nearest focus unchanged."""
        if factor == 1:
            return self
        wide = None if self.widest_mm is None else self.widest_mm * factor
        dark = None if self.f_number_wide is None else self.f_number_wide * factor
        name = f"{self.name} x{factor:g}"
        if self.nearest_m * 1000 <= self.focal_mm * factor:
            raise SettingsError(f"lens {name!r} could not focus: its focal length exceeds its nearest focus")
        return Lens(name, self.focal_mm * factor, self.f_number * factor, self.nearest_m, wide, dark)

    def f_number_at(self, focal_mm: float) -> float:
        """Widest aperture at a focal length, straight between the ends of a zoom."""
        if self.widest_mm is None or self.f_number_wide is None:
            return self.f_number
        return float(np.interp(focal_mm, [self.widest_mm, self.focal_mm], [self.f_number_wide, self.f_number]))


@dataclass(frozen=True)
class Room:
    """Where a hide may stand on one side of a log.

    Parameters
    ----------
    nearest_m : never nearer to the bird than this [m].
    farthest_m : how far off a hide can stand; where nobody noted it the usual, which refuses no lens [m].
    noted : whether ``farthest_m`` was noted.
    at_m : where the hide stands already, or None where the lens decides [m].
    """

    nearest_m: float
    farthest_m: float
    noted: bool = True
    at_m: float | None = None

    def __post_init__(self) -> None:
        if not 0 < self.nearest_m <= self.farthest_m:
            raise SettingsError(
                f"room for a hide needs 0 < nearest_m <= farthest_m, got {self.nearest_m:g} and {self.farthest_m:g}"
            )
        if self.at_m is not None and self.at_m < self.nearest_m:
            raise SettingsError(
                f"the hide stands at {self.at_m:g} m, nearer than the {self.nearest_m:g} m that the bird needs; "
                "move it back"
            )


class Fit(StrEnum):
    """What the picture gives way to where the hide stands."""

    FITS = "fits"
    TIGHT = "tight"
    WIDE = "wide"
    NEAREST_FOCUS = "nearest focus"
    CUT = "cut"
    OUT_OF_FOCUS = "out of focus"


REFUSED = frozenset({Fit.CUT, Fit.OUT_OF_FOCUS})
"""The bird is not in the picture whole, or cannot be sharp."""


@dataclass(frozen=True)
class Framing:
    """One lens on one image area, where the hide stands.

    Parameters
    ----------
    lens, sensor : names.
    focal_mm, f_number : used, extender included.
    distance_m : from the sensor mark to the bird; the lens's own length is left out of account [m].
    field_m, field_height_m : width and height of the field there [m].
    sharp : depth of field, wide open.
    bird_f_number : aperture that keeps the whole bird sharp.
    nearest_m : nearest focus of the lens [m].
    ideal_m : distance at which the field would be as wide as wanted [m].
    fit : what the picture gives way to.
    cost_stops : what this choice costs against a picture that fits at f/1, in stops of light.
    """

    lens: str
    sensor: str
    focal_mm: float
    f_number: float
    distance_m: float
    field_m: float
    field_height_m: float
    sharp: SharpZone
    bird_f_number: float
    nearest_m: float
    ideal_m: float
    fit: Fit
    cost_stops: float

    @property
    def fits(self) -> bool:
        """Whether the bird is whole in the picture and can be sharp."""
        return self.fit not in REFUSED

    @property
    def whole_bird_f_number(self) -> float:
        """Aperture to use for the whole bird: what its depth asks for, or wide open where that is darker already."""
        return max(self.f_number, self.bird_f_number)


@dataclass(frozen=True)
class LensChoice:
    """One lens where the hide stands: the picture of the video, and that of a still from the same place.

    ``owned`` is the name of the lens without its extender.
    """

    owned: str
    video: Framing
    still: Framing


def frame(lens: Lens, sensor: Sensor, wanted_m: float, room: Room) -> Framing:
    """Find where a lens frames the bird, and what it shows there.

    Parameters
    ----------
    lens, sensor : used, extender and video crop included.
    wanted_m : width of the field [m].
    room : for the hide.

    Returns
    -------
    Framing
        At the place of the hide where one stands; else at the distance where the field is as wide as wanted, moved into
        the room. A zoom stands as far off as the room allows.

    Raises
    ------
    SettingsError
        If the width is not above 0.

    Notes
    -----
    The cost in stops is 2 log2 N for the aperture, 2 log2(field / wanted) for a field that is cropped afterwards (the
    light that is thrown away), twice that for one that is tight, and a little for every metre nearer than usual.

    References
    ----------
    greenleaf_1950
    """
    focal, distance = _stand(lens, sensor, wanted_m, room)
    return _framing(lens, sensor, focal, distance, wanted_m)


def _stand(lens: Lens, sensor: Sensor, wanted_m: float, room: Room) -> tuple[float, float]:
    """Focal length [mm] and distance [m]."""
    focal = lens.focal_mm
    ideal = distance_for_width_m(focal, sensor.width_mm, wanted_m)
    place = room.at_m or (min(ideal, room.farthest_m) if room.noted or lens.widest_mm is not None else ideal)
    place = max(place, room.nearest_m)
    if room.at_m is None:
        place = max(place, min(lens.nearest_m, room.farthest_m) if room.noted else lens.nearest_m)
    if lens.widest_mm is not None:
        shown = place * 1000 / (1 + wanted_m * 1000 / sensor.width_mm)
        focal = min(max(lens.widest_mm, shown), lens.focal_mm)
    return focal, place


def _framing(lens: Lens, sensor: Sensor, focal_mm: float, distance_m: float, wanted_m: float) -> Framing:
    f_number = lens.f_number_at(focal_mm)
    field = field_width_m(focal_mm, sensor.width_mm, distance_m)
    height = field * sensor.height_mm / sensor.width_mm
    return Framing(
        lens=lens.name,
        sensor=sensor.name,
        focal_mm=focal_mm,
        f_number=f_number,
        distance_m=distance_m,
        field_m=field,
        field_height_m=height,
        sharp=sharp_zone(focal_mm, f_number, sensor.confusion_mm, distance_m),
        bird_f_number=f_number_for_depth(
            focal_mm, sensor.confusion_mm, distance_m, float(camera_table()["bird"]["length_m"])
        ),
        nearest_m=lens.nearest_m,
        ideal_m=distance_for_width_m(focal_mm, sensor.width_mm, wanted_m),
        fit=_fit(lens, (field, height), distance_m, wanted_m),
        cost_stops=_cost_stops(f_number, field, wanted_m, distance_m),
    )


def _fit(lens: Lens, field_m: tuple[float, float], distance_m: float, wanted_m: float) -> Fit:
    table, bird = camera_table()["frame"], camera_table()["bird"]
    if distance_m < lens.nearest_m * (1 - 1e-9):
        return Fit.OUT_OF_FOCUS
    if field_m[0] < bird["span_m"] * table["margin"] or field_m[1] < bird["height_m"] * table["margin"]:
        return Fit.CUT
    if field_m[0] < wanted_m * (1 - table["alike"]):
        return Fit.TIGHT
    if field_m[0] <= wanted_m * (1 + table["alike"]):
        return Fit.FITS
    return Fit.NEAREST_FOCUS if distance_m <= lens.nearest_m * (1 + 1e-9) else Fit.WIDE


def _cost_stops(f_number: float, field_m: float, wanted_m: float, distance_m: float) -> float:
    table = camera_table()["frame"]
    off = 2 * math.log2(field_m / wanted_m)
    beyond = 2 * math.log2(1 + table["alike"])  # within this pictures are framed alike
    crop = max(off - beyond, 0.0) if off > 0 else table["tight_times"] * max(-off - beyond, 0.0)
    nearer = table["nearer_stops_per_m"] * max(table["usual_m"] - distance_m, 0.0)
    return float(2 * math.log2(f_number) + crop + nearer)


def choose_lenses(
    lenses: Sequence[Lens], sensors: tuple[Sensor, Sensor], factors: Sequence[float], wanted_m: float, room: Room
) -> tuple[LensChoice, ...]:
    """Frame the bird with every lens; the picture of the video decides.

    Parameters
    ----------
    lenses : owned.
    sensors : image area of the video, its crop included, and of a still.
    factors : of the extenders, 1 for none; of each lens the best one is kept.
    wanted_m : width of the field [m].
    room : for the hide.

    Returns
    -------
    tuple of LensChoice
        One a lens: those that show the whole bird first, then by cost in stops, then the farther from the bird.
    """
    video, still = sensors
    best = []
    for lens in lenses:
        rows = []
        for factor in (f for f in factors if lens.nearest_m * 1000 > lens.focal_mm * f):
            long = lens.extended(factor)
            one = frame(long, video, wanted_m, room)
            rows.append(LensChoice(lens.name, one, _framing(long, still, one.focal_mm, one.distance_m, wanted_m)))
        best.append(min(rows, key=_order))
    return tuple(sorted(best, key=_order))


def _order(choice: LensChoice) -> tuple[bool, float, float]:
    return not choice.video.fits, round(choice.video.cost_stops, 3), -choice.video.distance_m
