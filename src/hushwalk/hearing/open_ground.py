"""What a sound loses over open level ground, and what it needs at the ear: all that does not depend on the map.

What cover and hills take besides lives in path.py for one path and in footprint.py for many.
"""

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from hushwalk.hearing.background import band_noise_db
from hushwalk.science.detection import heard_chance
from hushwalk.science.hearing_threshold import masked_threshold_db
from hushwalk.science.sound_air import air_db_per_m
from hushwalk.science.sound_foliage import foliage_db_per_m
from hushwalk.science.sound_ground import ground_db, snow_db
from hushwalk.science.sound_spreading import spreading_db
from hushwalk.science.sound_tables import sound_table
from hushwalk.types import FloatArray

if TYPE_CHECKING:
    from hushwalk.hearing.call import Call
    from hushwalk.hearing.conditions import Conditions
    from hushwalk.hearing.listener import Listener


@dataclass(frozen=True, eq=False)
class OpenLosses:
    """Losses by band and distance [dB], each of shape (n_bands, n_distances); negative is a gain."""

    spreading: FloatArray = field(repr=False)
    air: FloatArray = field(repr=False)
    ground: FloatArray = field(repr=False)
    snow: FloatArray = field(repr=False)
    weather: FloatArray = field(repr=False)

    @property
    def but_ground(self) -> FloatArray:
        """All but the ground, which a hill may take out again."""
        return self.spreading + self.air + self.snow + self.weather


def open_losses(
    call: "Call", conditions: "Conditions", ear_height_m: float, distance_m: FloatArray, ground_factor: float = 1.0
) -> OpenLosses:
    """Work out what open level ground takes.

    Parameters
    ----------
    call : the source.
    conditions : air and snow.
    ear_height_m : above the ground [m].
    distance_m : shape (n,) [m].
    ground_factor : 0 for hard to 1 for porous ground.

    References
    ----------
    iso_9613_1_1993, iso_9613_2_1996
    """
    bands, far = call.bands, np.atleast_1d(np.asarray(distance_m, dtype=float))
    one = np.ones((len(bands), len(far)))
    per_m = air_db_per_m(bands, conditions.temperature_c, conditions.humidity_pct)
    return OpenLosses(
        spreading=one * spreading_db(far),
        air=per_m[:, np.newaxis] * far,
        ground=ground_db(bands, far, call.height_m, ear_height_m, ground_factor),
        snow=one * snow_db(bands, conditions.snow)[:, np.newaxis],
        weather=one * conditions.weather_db,
    )


def needed_db(call: "Call", conditions: "Conditions", stream_dba: float = float("nan")) -> FloatArray:
    """Level that each band needs at an average ear to be heard half of the time.

    Parameters
    ----------
    call : for its bands.
    conditions : for the wind.
    stream_dba : running water at the ear; NaN for none [dB(A)].

    Returns
    -------
    ndarray, shape (n_bands,)
        [dB re 20 uPa].
    """
    return masked_threshold_db(call.bands, band_noise_db(call.bands, conditions.wind_at_ear_ms, stream_dba))


def open_chance(
    call: "Call",
    conditions: "Conditions",
    listener: "Listener",
    distance_m: FloatArray,
    foliage_factor: float = 0.0,
    stream_dba: float = float("nan"),
) -> FloatArray:
    """Chance to hear one display over level ground under the same cover everywhere.

    Parameters
    ----------
    call, conditions, listener : source, air and ear.
    distance_m : shape (n,) [m].
    foliage_factor : 0 for open ground, 0.25 leafless hardwood, 0.5 mixed wood, 1 dense conifers.
    stream_dba : running water at the ear; NaN for none [dB(A)].

    Returns
    -------
    ndarray, shape (n,)
        [1].
    """
    far = np.atleast_1d(np.asarray(distance_m, dtype=float))
    losses = open_losses(call, conditions, listener.ear_height_m, far)
    leaf = sound_table("foliage")
    crossed = foliage_factor * np.where(far >= leaf["from_m"], np.minimum(far, leaf["to_m"]), 0.0)
    taken = losses.but_ground + losses.ground + foliage_db_per_m(call.bands)[:, np.newaxis] * crossed
    needed = needed_db(call, conditions, stream_dba)
    margin = (call.levels + listener.gain_db - needed)[:, np.newaxis] - taken
    return heard_chance(margin.max(axis=0), listener.sd_db)
