"""The ground as sound meets it: heights, foliage, running water, traffic and porosity, on one grid.

The air over it lives in conditions.py; what both do to a sound, in soundscape.py.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from hushwalk.errors import InputError, SettingsError
from hushwalk.grid.layer import Layer
from hushwalk.science.sound_foliage import factor_steps
from hushwalk.types import FloatArray


@dataclass(frozen=True, eq=False)
class AcousticGround:
    """Ground that sound travels over.

    Parameters
    ----------
    elevation : [m].
    foliage : cover factor 0 (open), 0.25 (leafless hardwood), 0.5 (mixed) to 1 (dense conifers); None for open ground.
    stream_noise : level of running water at a listener; None or NaN for none [dB(A)].
    traffic_noise : level of traffic at a listener; None or NaN for none [dB(A)].
    ground_factor : G of ISO 9613-2, 0 for hard to 1 for porous ground, the same everywhere.

    Raises
    ------
    InputError
        If a cover factor lies outside 0..1.
    SettingsError
        If the ground factor lies outside 0..1.
    GridMismatchError
        If the layers lie on different grids.
    """

    elevation: Layer
    foliage: Layer | None = None
    stream_noise: Layer | None = None
    traffic_noise: Layer | None = None
    ground_factor: float = 1.0

    def __post_init__(self) -> None:
        for other in (self.foliage, self.stream_noise, self.traffic_noise):
            if other is not None:
                self.elevation.checked_against(other)
        if not 0 <= self.ground_factor <= 1:
            raise SettingsError(f"ground_factor is {self.ground_factor}, expected 0 (hard) to 1 (porous)")
        if self.foliage is not None:
            known = self.foliage.values[self.foliage.known]
            if known.size and (known.min() < 0 or known.max() > 1):
                raise InputError(
                    f"layer {self.foliage.name!r} holds cover factors from {known.min():g} to {known.max():g}; "
                    "they must lie between 0 (open) and 1 (dense conifers)"
                )

    @cached_property
    def foliage_steps(self) -> NDArray[np.int8]:
        """Cover factors in whole steps for compiled code, shape grid.shape; -1 where unknown."""
        if self.foliage is None:
            return np.zeros(self.elevation.grid.shape, dtype=np.int8)
        return factor_steps(self.foliage.values)

    def stream_dba(self, ear_m: FloatArray) -> float:
        """Level of running water at an ear [dB(A)], NaN for none."""
        return float("nan") if self.stream_noise is None else float(self.stream_noise.at(ear_m)[0])

    def traffic_dba(self, ear_m: FloatArray) -> float:
        """Level of traffic at an ear [dB(A)], NaN for none."""
        return float("nan") if self.traffic_noise is None else float(self.traffic_noise.at(ear_m)[0])
