"""The air and the ground of the morning as the sound meets them.

What the weather does to the birds lives in availability.py; what it does to the plan, in morning_verdict.py.
"""

from dataclasses import dataclass
from typing import Literal, get_args

from hushwalk.errors import SettingsError
from hushwalk.science.sound_tables import sound_table

Snow = Literal["none", "old", "fresh"]
Air = Literal["calm dawn", "neutral", "upwind"]


@dataclass(frozen=True)
class Conditions:
    """What lies between bird and ear besides the land.

    Parameters
    ----------
    temperature_c, humidity_pct : of the air [degrees C], [%].
    wind_at_ear_ms : wind at the listener's ear, about 0.3 of the forecast under leafless trees [m/s].
    snow : deep snow on the ground: ``"none"`` (also less than 0.1 m), ``"old"`` (old or wet), ``"fresh"`` (soft).
    air : ``"calm dawn"`` (inversion, sound bends down), ``"neutral"`` or ``"upwind"`` (also sunny lapse).

    Raises
    ------
    SettingsError
        If a value cannot be.
    """

    temperature_c: float = 2.0
    humidity_pct: float = 80.0
    wind_at_ear_ms: float = 0.5
    snow: Snow = "none"
    air: Air = "calm dawn"

    def __post_init__(self) -> None:
        limits = {"temperature_c": (-40, 45), "humidity_pct": (1, 100), "wind_at_ear_ms": (0, 30)}
        for key, (low, high) in limits.items():
            value = getattr(self, key)
            if not low <= value <= high:
                raise SettingsError(f"{key} is {value}, expected {low} to {high}")
        words = {"snow": get_args(Snow), "air": get_args(Air)}
        for key, allowed in words.items():
            word = getattr(self, key)
            if word not in allowed:
                raise SettingsError(f"{key} is {word!r}, expected one of: {', '.join(allowed)}")

    @property
    def weather_db(self) -> float:
        """Loss against propagation under a calm dawn inversion [dB]."""
        return float(sound_table("weather")[self.air.replace(" ", "_") + "_db"])


CALM = Conditions(wind_at_ear_ms=0.0)
"""The morning that every other is measured against: no wind, bare ground, a calm dawn."""
