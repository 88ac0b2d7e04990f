"""Which lens fits the room at a log: how far off the hide stands, what is in the frame, how deep it is sharp.

The optics themselves are in science/optics.py; where the hide stands is logs/sides.py's business.
"""

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from importlib.resources import files
from typing import Any

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
    """

    name: str
    focal_mm: float
    f_number: float
    nearest_m: float
    widest_mm: float | None = None

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

    def extended(self, factor: float) -> "Lens":
        """Give the same lens behind an extender: longer, darker, with the nearest focus unchanged."""
        if factor == 1:
            return self
        wide = None if self.widest_mm is None else self.widest_mm * factor
        name = f"{self.name} x{factor:g}"
        if self.nearest_m * 1000 <= self.focal_mm * factor:
            raise SettingsError(f"lens {name!r} could not focus: its focal length exceeds its nearest focus")
        return Lens(name, self.focal_mm * factor, self.f_number * factor, self.nearest_m, wide)


@dataclass(frozen=True)
class Room:
    """How near the hide may stand, and how far off it can stand [m]."""

    nearest_m: float
    farthest_m: float

    def __post_init__(self) -> None:
        if not 0 < self.nearest_m <= self.farthest_m:
            raise SettingsError(
                f"room for a hide needs 0 < nearest_m <= farthest_m, got {self.nearest_m:g} and {self.farthest_m:g}"
            )


class Fit(StrEnum):
    """Whether a lens fits the room for the hide."""

    FITS = "fits"
    TOO_FAR = "too far"
    NEAREST_FOCUS = "nearest focus"
    TOO_NEAR = "too near"


@dataclass(frozen=True)
class Framing:
    """One lens on one sensor, at the distance it asks for.

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
    fit : whether the hide can stand there, and what the field gives way to.
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

    @property
    def fits(self) -> bool:
        """Whether the hide can stand there."""
        return self.fit is not Fit.TOO_FAR


def frame(lens: Lens, sensor: Sensor, wanted_m: float, room: Room) -> Framing:
    """Find where a lens frames the bird.

    Parameters
    ----------
    lens, sensor : used, extender and video crop included.
    wanted_m : width of the field [m].
    room : for the hide.

    Returns
    -------
    Framing
        At the distance where the field is as wide as wanted, or wider where nearest focus or the stand-off force the
        hide back. A zoom stands as far off as the room allows. A wider field never brings the hide nearer.

    Raises
    ------
    SettingsError
        If the width is not above 0.

    References
    ----------
    greenleaf_1950
    """
    focal = lens.focal_mm
    ideal = distance_for_width_m(focal, sensor.width_mm, wanted_m)
    if lens.widest_mm is not None and ideal > room.farthest_m:
        focal = max(lens.widest_mm, room.farthest_m * 1000 / (1 + wanted_m * 1000 / sensor.width_mm))
        ideal = distance_for_width_m(focal, sensor.width_mm, wanted_m)
    distance = max(ideal, room.nearest_m, lens.nearest_m)
    field = field_width_m(focal, sensor.width_mm, distance)
    return Framing(
        lens=lens.name,
        sensor=sensor.name,
        focal_mm=focal,
        f_number=lens.f_number,
        distance_m=distance,
        field_m=field,
        field_height_m=field * sensor.height_mm / sensor.width_mm,
        sharp=sharp_zone(focal, lens.f_number, sensor.confusion_mm, distance),
        bird_f_number=f_number_for_depth(
            focal, sensor.confusion_mm, distance, float(camera_table()["bird"]["length_m"])
        ),
        nearest_m=lens.nearest_m,
        ideal_m=ideal,
        fit=_fit(lens, ideal, distance, room),
    )


def _fit(lens: Lens, ideal_m: float, distance_m: float, room: Room) -> Fit:
    if distance_m > room.farthest_m * (1 + 1e-9):
        return Fit.TOO_FAR
    if ideal_m < lens.nearest_m and lens.nearest_m >= room.nearest_m:
        return Fit.NEAREST_FOCUS
    return Fit.TOO_NEAR if ideal_m < room.nearest_m else Fit.FITS


def frame_all(
    lenses: Sequence[Lens], sensors: Sequence[Sensor], factors: Sequence[float], wanted_m: float, room: Room
) -> tuple[Framing, ...]:
    """Frame the bird with every lens, extender and sensor.

    Parameters
    ----------
    lenses, sensors : owned.
    factors : of the extenders, 1 for none; one that leaves no focus is left out.
    wanted_m : width of the field [m].
    room : for the hide.

    Returns
    -------
    tuple of Framing
        Those that fit first, then by how near the field is to the wanted one, then the brighter.
    """
    rows = []
    for sensor in sensors:
        for lens in lenses:
            longer = [f for f in factors if lens.nearest_m * 1000 > lens.focal_mm * f]
            rows += [frame(lens.extended(factor), sensor, wanted_m, room) for factor in longer]
    return tuple(sorted(rows, key=lambda row: (not row.fits, round(row.field_m / wanted_m, 2), row.f_number)))
