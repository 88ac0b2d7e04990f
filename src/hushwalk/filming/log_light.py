"""Light at the log by minute as a band, what ISO and shutter it needs, and from when each picture is possible.

The equations are in science/exposure.py; the sky is sky_day.py's business.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

import numpy as np

from hushwalk.errors import SettingsError
from hushwalk.filming.framing import camera_table
from hushwalk.filming.sky_day import SUN, SkyDay
from hushwalk.science.exposure import cloud_transmittance, exposure_table, iso_needed, sky_share, snow_gain
from hushwalk.science.optics import shutter_for_blur_s, tip_speed_ms
from hushwalk.science.side_light import around_lux, ball_share, beam_gap, phase_deg, thickness_of, upright_lux
from hushwalk.types import FloatArray, IntArray

SKIES = ("clear", "broken", "overcast")
SNOWS = {"none": "litter", "old": "old_snow", "fresh": "fresh_snow"}


@dataclass(frozen=True)
class LightParams:
    """What stands between the sky and the log.

    Parameters
    ----------
    sky : ``"clear"``, ``"broken"`` or ``"overcast"``.
    canopy : a key of the canopies in the table of light, such as ``"leafless_aspen"``.
    snow : ``"none"``, ``"old"`` or ``"fresh"`` on the ground.
    transmittance : measured at the log, light below the crowns over light in the open; replaces the canopy's.

    Raises
    ------
    SettingsError
        If a word is unknown or the transmittance is not in 0..1.
    """

    sky: str = "clear"
    canopy: str = "leafless_aspen"
    snow: str = "none"
    transmittance: float | None = None

    def __post_init__(self) -> None:
        for name, word, known in (
            ("sky", self.sky, SKIES),
            ("canopy", self.canopy, tuple(exposure_table()["canopy"])),
            ("snow", self.snow, tuple(SNOWS)),
        ):
            if word not in known:
                raise SettingsError(f"{name} {word!r} is unknown; write one of {', '.join(known)}")
        if self.transmittance is not None and not 0 < self.transmittance <= 1:
            raise SettingsError(f"transmittance must lie in 0..1, above 0, got {self.transmittance:g}")

    @property
    def below_crowns(self) -> float:
        """Light below the crowns over light in the open, 0..1."""
        return float(self.transmittance or exposure_table()["canopy"][self.canopy]["transmittance"])


@dataclass(frozen=True, eq=False)
class LogLight:
    """Light at the log by minute of the day, shape (n,).

    Parameters
    ----------
    sky_lux : of the sky on level ground [lux].
    beam_lux : of the sun, square to its beam, in a fleck [lux].
    gap : share of the time that the beam comes through the crowns, 0..1.
    altitude_deg, azimuth_deg : of the sun [deg].
    albedo : of the ground, 0..1.
    side_deg : azimuth from the bird of the camera that looks at it; None for level ground [deg].
    upright_deg : azimuth that one upright part of the bird looks along; None for the whole of it [deg].
    """

    sky_lux: FloatArray = field(repr=False)
    beam_lux: FloatArray = field(repr=False)
    gap: FloatArray = field(repr=False)
    altitude_deg: FloatArray = field(repr=False)
    azimuth_deg: FloatArray = field(repr=False)
    albedo: float
    side_deg: float | None = None
    upright_deg: float | None = None

    def from_side(self, side_deg: float) -> "LogLight":
        """Give the light on the side of the bird that a camera at an azimuth sees."""
        return replace(self, side_deg=side_deg)

    def on_upright(self, azimuth_deg: float) -> "LogLight":
        """Give the light on an upright part of the bird, such as its flank, that looks along an azimuth."""
        return replace(self, upright_deg=azimuth_deg)

    @property
    def level_lux(self) -> FloatArray:
        """On level ground, flecks averaged [lux]."""
        high = np.sin(np.radians(np.maximum(self.altitude_deg, 0.0)))
        return self.sky_lux + self.beam_lux * self.gap * high

    @property
    def around_lux(self) -> FloatArray:
        """On what the sun does not shine on, from sky and ground [lux]."""
        return around_lux(self.sky_lux, self.level_lux, self.albedo)

    @property
    def middle_lux(self) -> FloatArray:
        """Middle figure of what the camera sees: on a part of the bird, on it from its side, or level ground [lux]."""
        if self.upright_deg is not None:
            beam = upright_lux(self.beam_lux * self.gap, self.altitude_deg, self.azimuth_deg - self.upright_deg)
            return self.around_lux + beam
        if self.side_deg is None:
            return self.level_lux
        phase = phase_deg(self.altitude_deg, self.azimuth_deg - self.side_deg)
        return self.around_lux + self.beam_lux * self.gap * ball_share(phase)

    @property
    def low_lux(self) -> FloatArray:
        """Dark end of the band [lux]."""
        return np.asarray(self.middle_lux / 2.0 ** exposure_table()["doubt"]["stops"])

    @property
    def high_lux(self) -> FloatArray:
        """Bright end of the band [lux]."""
        return np.asarray(self.middle_lux * 2.0 ** exposure_table()["doubt"]["stops"])

    @property
    def contrast_stops(self) -> FloatArray:
        """What a fleck of sun is brighter than the shade next to it; 0 without sun [stops]."""
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(self.beam_lux > 0, np.log2(1 + self.beam_lux / self.around_lux), 0.0)


class ShotKind(StrEnum):
    """What a picture shows of the wings."""

    PORTRAIT = "portrait"
    VIDEO = "video"
    SWEPT = "swept"
    HALF_BLURRED = "half blurred"
    SLOW_FROZEN = "slow frozen"
    ROLL_FROZEN = "roll frozen"


@dataclass(frozen=True)
class Shot:
    """A picture to be taken: its kind, the f-number in use and the shutter [s]."""

    kind: ShotKind
    f_number: float
    shutter_s: float


@dataclass(frozen=True)
class Chance:
    """From when a shot is possible at the highest ISO, and until when in the evening [min since midnight].

    ``surely_from`` holds at the dark end of the band, ``hardly_from`` at the bright end; None if never.
    """

    shot: Shot
    hardly_from: int | None
    likely_from: int | None
    surely_from: int | None
    likely_until: int | None


def light_at_log(sky: SkyDay, states: IntArray, params: LightParams | None = None, sky_view: float = 1.0) -> LogLight:
    """Work out the light at a log for every minute of a day.

    Parameters
    ----------
    sky : of the day.
    states : of :func:`hushwalk.filming.sky_day.shade`, shape (n,).
    params : cloud, crowns and snow.
    sky_view : share of the sky that the ridges leave open, 0..1.

    Returns
    -------
    LogLight

    Notes
    -----
    Clear-sky light of level open ground, split into sky and sun. The light of the sky goes times cloud, crowns, snow
    and open sky; that of the sun through the gaps in the crowns at its height, for the share of the time that cloud
    leaves it free: no beam in shade, none under full cloud. Snow counts against leaf litter under the same cloud. The
    sky is taken as even: the glow before sunrise favours the east more than is said here.

    References
    ----------
    usno_circular_171, kasten_czeplak_1980, boreas_old_aspen, constabel_lieffers_1996, ies_1984, monsi_saeki_1953
    """
    params = params or LightParams()
    table = exposure_table()
    above = table["sky"][params.sky]
    cloud_albedo = table["ground"][f"cloud_{params.sky}"]
    white = table["ground"][SNOWS[params.snow]], table["ground"]["litter"]
    gain = snow_gain(white[0], cloud_albedo) / snow_gain(white[1], cloud_albedo)
    from_sky = sky_share(sky.sun_altitude_deg)
    total = float(cloud_transmittance(above["oktas"]))
    sun_level = np.where(sky.sun_altitude_deg > 0, sky.lux * (1 - from_sky) * above["beam"], 0.0)
    high = np.sin(np.radians(np.maximum(sky.sun_altitude_deg, 1.0)))
    crowns = params.below_crowns
    return LogLight(
        sky_lux=(sky.lux * total - np.minimum(sun_level, sky.lux) * total) * crowns * gain * sky_view,
        beam_lux=np.where(states == SUN, sun_level * total / high, 0.0),
        gap=beam_gap(thickness_of(crowns), sky.sun_altitude_deg),
        altitude_deg=sky.sun_altitude_deg,
        azimuth_deg=sky.sun_azimuth_deg,
        albedo=white[0],
    )


def wing_shots(f_number: float, field_m: float) -> tuple[Shot, ...]:
    """Shutters for frozen, half-blurred and swept wings.

    Parameters
    ----------
    f_number : in use.
    field_m : width of the field [m].

    Returns
    -------
    tuple of Shot
        The slow opening beats frozen; half-blurred and swept at the middle rate; the final roll frozen.

    Notes
    -----
    The tip moves at most pi f A r; the shutter lets it cross 10, 100 or 600 of 3840 dots.

    References
    ----------
    drum_kinematics
    """
    table = camera_table()
    beats, blur, wing = table["beats"], table["blur"], table["bird"]["wing_m"]

    def shot(kind: ShotKind, beat: str, dots: str) -> Shot:
        speed = tip_speed_ms(beats[beat], beats["stroke_deg"], wing)
        return Shot(kind, f_number, shutter_for_blur_s(speed, blur[dots], field_m, blur["across_dots"]))

    return (
        shot(ShotKind.SWEPT, "mid_hz", "swept_dots"),
        shot(ShotKind.HALF_BLURRED, "mid_hz", "half_dots"),
        shot(ShotKind.SLOW_FROZEN, "slow_hz", "frozen_dots"),
        shot(ShotKind.ROLL_FROZEN, "roll_hz", "frozen_dots"),
    )


def video_shot(f_number: float, frames_per_s: float) -> Shot:
    """Video with the shutter open half of each frame: wings are always a fan."""
    return Shot(ShotKind.VIDEO, f_number, 1 / (2 * frames_per_s))


def portrait_shot(f_number: float) -> Shot:
    """A still of the bird as he stands between two displays."""
    return Shot(ShotKind.PORTRAIT, f_number, 1 / camera_table()["portrait"]["shutter_per_s"])


def iso_at(light: LogLight, shot: Shot, minutes: Sequence[int]) -> FloatArray:
    """ISO that a shot needs at some minutes.

    Parameters
    ----------
    light : at the log.
    shot : aperture and shutter.
    minutes : since midnight [min].

    Returns
    -------
    ndarray, shape (3, len(minutes))
        At the middle, the dark and the bright end of the band.
    """
    at = np.asarray(minutes, dtype=int)
    rows = (light.middle_lux, light.low_lux, light.high_lux)
    return np.array([iso_needed(row[at], shot.f_number, shot.shutter_s) for row in rows])


def chance_of(light: LogLight, shot: Shot, iso_max: float) -> Chance:
    """Find from when a shot is possible.

    Parameters
    ----------
    light : at the log.
    shot : aperture and shutter.
    iso_max : the highest ISO that the person puts up with.

    Returns
    -------
    Chance
    """

    def first(lux: FloatArray) -> int | None:
        there = np.flatnonzero(iso_needed(lux, shot.f_number, shot.shutter_s) <= iso_max)
        return int(there[0]) if there.size else None

    likely = np.flatnonzero(iso_needed(light.middle_lux, shot.f_number, shot.shutter_s) <= iso_max)
    return Chance(
        shot,
        hardly_from=first(light.high_lux),
        likely_from=int(likely[0]) if likely.size else None,
        surely_from=first(light.low_lux),
        likely_until=int(likely[-1]) if likely.size else None,
    )
