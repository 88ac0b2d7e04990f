"""What is heard over level ground under even cover: all that does not depend on the map.

What the cover and the hills of a real place do lives in soundscape.py.
"""

from dataclasses import dataclass, field

import numpy as np

from hushwalk.hearing.background import band_noise_db
from hushwalk.hearing.call import Call
from hushwalk.hearing.conditions import Conditions
from hushwalk.hearing.listener import Listener
from hushwalk.science.detection import heard_chance
from hushwalk.science.hearing_threshold import masked_threshold_db
from hushwalk.science.sound_air import air_db_per_m
from hushwalk.science.sound_foliage import foliage_db_per_m
from hushwalk.science.sound_ground import ground_db, snow_db
from hushwalk.science.sound_spreading import spreading_db
from hushwalk.science.sound_tables import sound_table
from hushwalk.types import FloatArray

LEAFLESS = 0.25
"""Judgement: foliage factor of leafless hardwood, the usual cover of the bird, a quarter of dense foliage."""
EVEN_CHANCE = 0.5
"""Definition: as likely heard as not."""
DISTANCES_M = np.arange(5.0, 1500.0, 5.0)


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


@dataclass(frozen=True)
class LevelSoundscape:
    """A call, the air it goes through and who listens, over level ground.

    Parameters
    ----------
    air : what lies between bird and ear besides the land.
    call : the source.
    listener : who hears.
    """

    air: Conditions
    call: Call
    listener: Listener

    def open_losses(self, distance_m: FloatArray, ground_factor: float = 1.0) -> OpenLosses:
        """Work out what open level ground takes.

        Parameters
        ----------
        distance_m : shape (n,) [m].
        ground_factor : 0 for hard to 1 for porous ground.

        Returns
        -------
        OpenLosses

        References
        ----------
        iso_9613_1_1993, iso_9613_2_1996
        """
        bands, far = self.call.bands, np.atleast_1d(np.asarray(distance_m, dtype=float))
        one = np.ones((len(bands), len(far)))
        per_m = air_db_per_m(bands, self.air.temperature_c, self.air.humidity_pct)
        return OpenLosses(
            spreading=one * spreading_db(far),
            air=per_m[:, np.newaxis] * far,
            ground=ground_db(bands, far, self.call.height_m, self.listener.ear_height_m, ground_factor),
            snow=one * snow_db(bands, self.air.snow)[:, np.newaxis],
            weather=one * self.air.weather_db,
        )

    def needed_db(self, stream_dba: float = float("nan"), traffic_dba: float = float("nan")) -> FloatArray:
        """Level that each band needs at an average ear to be heard half of the time, shape (n_bands,) [dB re 20 uPa].

        Parameters
        ----------
        stream_dba : running water at the ear; NaN for none [dB(A)].
        traffic_dba : traffic at the ear; NaN for none [dB(A)].
        """
        noise = band_noise_db(self.call.bands, self.air.wind_at_ear_ms, stream_dba, traffic_dba)
        return masked_threshold_db(self.call.bands, noise)

    def above_need_db(self, stream_dba: float = float("nan"), traffic_dba: float = float("nan")) -> FloatArray:
        """Level at 1 m above what this listener needs, shape (n_bands,) [dB].

        Parameters
        ----------
        stream_dba : running water at the ear; NaN for none [dB(A)].
        traffic_dba : traffic at the ear; NaN for none [dB(A)].
        """
        return self.call.levels + self.listener.gain_db - self.needed_db(stream_dba, traffic_dba)

    def chance(
        self,
        distance_m: FloatArray,
        foliage_factor: float = 0.0,
        stream_dba: float = float("nan"),
        traffic_dba: float = float("nan"),
    ) -> FloatArray:
        """Chance to hear one display under the same cover everywhere.

        Parameters
        ----------
        distance_m : shape (n,) [m].
        foliage_factor : 0 for open ground, 0.25 leafless hardwood, 0.5 mixed wood, 1 dense conifers.
        stream_dba : running water at the ear; NaN for none [dB(A)].
        traffic_dba : traffic at the ear; NaN for none [dB(A)].

        Returns
        -------
        ndarray, shape (n,)
            ``Phi(max over bands of margin / sd)`` [1].
        """
        far = np.atleast_1d(np.asarray(distance_m, dtype=float))
        losses = self.open_losses(far)
        leaf = sound_table("foliage")
        crossed = foliage_factor * np.where(far >= leaf["from_m"], np.minimum(far, leaf["to_m"]), 0.0)
        taken = losses.but_ground + losses.ground + foliage_db_per_m(self.call.bands)[:, np.newaxis] * crossed
        margin = self.above_need_db(stream_dba, traffic_dba)[:, np.newaxis] - taken
        return heard_chance(margin.max(axis=0), self.listener.sd_db)

    def earshot_m(
        self, foliage_factor: float, stream_dba: float = float("nan"), traffic_dba: float = float("nan")
    ) -> float:
        """Distance at which one display is heard with an even chance [m].

        Parameters
        ----------
        foliage_factor : of the cover, the same everywhere.
        stream_dba : level of running water at the ear; NaN for none [dB(A)].
        traffic_dba : level of traffic at the ear; NaN for none [dB(A)].

        Returns
        -------
        float
            [m].
        """
        chance = self.chance(DISTANCES_M, foliage_factor, stream_dba, traffic_dba)
        return float(np.interp(-EVEN_CHANCE, -chance, DISTANCES_M))
