"""Thin lenses and moving wings: how far, how wide, how deep, how blurred.

Which lens a person owns and how much room there is are the filming room's business.
"""

from dataclasses import dataclass

import numpy as np

from hushwalk.errors import SettingsError


@dataclass(frozen=True)
class SharpZone:
    """Where the picture is sharp: nearest and farthest distance from the camera; far may be infinite [m]."""

    near_m: float
    far_m: float

    @property
    def depth_m(self) -> float:
        """From near to far [m]."""
        return self.far_m - self.near_m


def distance_for_width_m(focal_mm: float, sensor_mm: float, width_m: float) -> float:
    """Distance at which a field of a width fills the sensor.

    Parameters
    ----------
    focal_mm : focal length, extender included.
    sensor_mm : width of the sensor.
    width_m : wanted width of the field [m].

    Returns
    -------
    float
        s = f (1 + F / W) from the front principal plane; measured from the sensor it is longer by about the lens [m].

    Raises
    ------
    SettingsError
        If a length is not above 0.

    Examples
    --------
    >>> round(distance_for_width_m(400, 36, 1.0), 2)
    11.51
    """
    _positive(focal_mm=focal_mm, sensor_mm=sensor_mm, width_m=width_m)
    return focal_mm / 1000 * (1 + width_m * 1000 / sensor_mm)


def field_width_m(focal_mm: float, sensor_mm: float, distance_m: float) -> float:
    """Width of the field at a distance.

    Parameters
    ----------
    focal_mm, sensor_mm : focal length f, and width W of the sensor [mm].
    distance_m : s, from the lens [m].

    Returns
    -------
    float
        ``W (s - f) / f`` [m].

    Raises
    ------
    SettingsError
        If the distance is not beyond the focal length.

    Examples
    --------
    >>> round(field_width_m(400, 36, 10), 3)
    0.864
    """
    return sensor_mm / 1000 / magnification(focal_mm, distance_m)


def magnification(focal_mm: float, distance_m: float) -> float:
    """Size on the sensor over size in the wood, f / (s - f).

    Raises
    ------
    SettingsError
        If the distance is not beyond the focal length.
    """
    _positive(focal_mm=focal_mm, distance_m=distance_m)
    if distance_m * 1000 <= focal_mm:
        raise SettingsError(
            f"nothing nearer than the focal length of {focal_mm:g} mm can be in focus, got {distance_m:g} m"
        )
    return focal_mm / (distance_m * 1000 - focal_mm)


def hyperfocal_m(focal_mm: float, f_number: float, confusion_mm: float) -> float:
    """Focus from which all is sharp to infinity.

    Parameters
    ----------
    focal_mm, f_number : of the lens [mm], [1].
    confusion_mm : c, largest blur that counts as sharp, on the sensor [mm].

    Returns
    -------
    float
        ``f^2 / (N c) + f`` [m].

    References
    ----------
    greenleaf_1950
    """
    _positive(focal_mm=focal_mm, f_number=f_number, confusion_mm=confusion_mm)
    return (focal_mm**2 / (f_number * confusion_mm) + focal_mm) / 1000


def sharp_zone(focal_mm: float, f_number: float, confusion_mm: float, distance_m: float) -> SharpZone:
    """Depth of field.

    Parameters
    ----------
    focal_mm, f_number : of the lens, extender included.
    confusion_mm : largest blur that counts as sharp, on the sensor.
    distance_m : of the focus [m].

    Returns
    -------
    SharpZone

    Notes
    -----
    near = s (H - f) / (H + s - 2 f), far = s (H - f) / (H - s), H the hyperfocal distance.

    References
    ----------
    greenleaf_1950
    """
    magnification(focal_mm, distance_m)
    h, f, s = hyperfocal_m(focal_mm, f_number, confusion_mm), focal_mm / 1000, distance_m
    far = float("inf") if s >= h else s * (h - f) / (h - s)
    return SharpZone(s * (h - f) / (h + s - 2 * f), far)


def f_number_for_depth(focal_mm: float, confusion_mm: float, distance_m: float, depth_m: float) -> float:
    """F-number that makes a depth of field, by the closed form that holds for long lenses.

    Parameters
    ----------
    focal_mm : focal length f [mm].
    confusion_mm : c, largest blur that counts as sharp, on the sensor [mm].
    distance_m : s, of the focus [m].
    depth_m : D, wanted [m].

    Returns
    -------
    float
        [1].

    Notes
    -----
    ``N = D f^2 / (2 c s (s - f))``, within 0.3 % for telephoto lenses at bird distances.
    """
    m = magnification(focal_mm, distance_m)
    return depth_m * 1000 * m * focal_mm / (2 * confusion_mm * distance_m * 1000)


def tip_speed_ms(beat_hz: float, stroke_deg: float, wing_m: float) -> float:
    """Highest speed of a wing tip that swings like a sine.

    Parameters
    ----------
    beat_hz : f [Hz].
    stroke_deg : A, from end to end of the stroke [deg].
    wing_m : r, from shoulder to tip [m].

    Returns
    -------
    float
        ``pi f A r`` [m/s].

    Examples
    --------
    >>> round(tip_speed_ms(10, 90, 0.25), 1)
    12.3
    """
    return float(np.pi * beat_hz * np.radians(stroke_deg) * wing_m)


def shutter_for_blur_s(speed_ms: float, dots: float, field_m: float, across_dots: int) -> float:
    """Shutter time that lets a point cross so many dots.

    Parameters
    ----------
    speed_ms : across the field [m/s].
    dots : that it may cross.
    field_m : width of the field [m].
    across_dots : dots across the picture.

    Returns
    -------
    float
        [s].

    Raises
    ------
    SettingsError
        If a number is not above 0.
    """
    _positive(speed_ms=speed_ms, dots=dots, field_m=field_m)
    return dots * field_m / (across_dots * speed_ms)


def _positive(**numbers: float) -> None:
    for name, value in numbers.items():
        if not (value > 0 and np.isfinite(value)):
            raise SettingsError(f"{name} must be above 0, got {value:g}")
