"""The scene of one morning made ready for many paths: layers checked, losses over open ground tabled once.

Following the paths is the business of rays.py.
"""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from hushwalk.errors import InputError
from hushwalk.grid.layer import Layer
from hushwalk.hearing.open_ground import needed_db, open_losses
from hushwalk.science.sound_foliage import factor_steps
from hushwalk.types import FloatArray

if TYPE_CHECKING:
    from hushwalk.hearing.call import Call
    from hushwalk.hearing.conditions import Conditions
    from hushwalk.hearing.listener import Listener


@dataclass(frozen=True, eq=False)
class Scene:
    """Ground, air and ear, made ready for many paths. Build it with :func:`make_scene`."""

    elevation: Layer
    foliage: NDArray[np.int8]
    stream_dba: Layer | None
    call: "Call"
    conditions: "Conditions"
    listener: "Listener"
    reach_m: float
    but_ground_db: FloatArray
    ground_db: FloatArray

    @property
    def heights_m(self) -> FloatArray:
        """Ear and bird above the ground [m]."""
        return np.array([self.listener.ear_height_m, self.call.height_m])

    def stream_at(self, ear_m: FloatArray) -> float:
        """Give the level of running water at the ear [dB(A)], NaN for none."""
        return float("nan") if self.stream_dba is None else float(self.stream_dba.at(ear_m)[0])

    def above_need_db(self, ear_m: FloatArray) -> FloatArray:
        """Give the level at 1 m above what an ear there needs, shape (n_bands,) [dB]."""
        needed = needed_db(self.call, self.conditions, self.stream_at(ear_m))
        return self.call.levels + self.listener.gain_db - needed


def make_scene(
    elevation: Layer,
    foliage: Layer | None,
    stream_noise_dba: Layer | None,
    call: "Call",
    conditions: "Conditions",
    listener: "Listener",
    reach_m: float,
    ground_factor: float = 1.0,
) -> Scene:
    """Check the layers and work out once what holds for every path.

    Parameters
    ----------
    elevation : [m].
    foliage : cover factor 0 (open), 0.25 (leafless hardwood), 0.5 (mixed) to 1 (dense conifers); None for open ground.
    stream_noise_dba : level of running water at the listener; None or NaN for none [dB(A)].
    call, conditions, listener : source, air and ear.
    reach_m : longest path that will be asked for [m].
    ground_factor : 0 for hard to 1 for porous ground.

    Raises
    ------
    InputError
        If a cover factor lies outside 0..1.
    GridMismatchError
        If the layers lie on different grids.
    """
    for other in (foliage, stream_noise_dba):
        if other is not None:
            elevation.beside(other)
    steps = np.zeros(elevation.grid.shape, dtype=np.int8)
    if foliage is not None:
        known = foliage.values[foliage.known]
        if known.size and (known.min() < 0 or known.max() > 1):
            raise InputError(
                f"layer {foliage.name!r} holds cover factors from {known.min():g} to {known.max():g}; "
                "they must lie between 0 (open) and 1 (dense conifers)"
            )
        steps = factor_steps(foliage.values)
    # one row a metre: between the rows the straight line errs by less than 0.01 dB from 12 m on
    rings = np.arange(math.ceil(reach_m) + 2, dtype=float)
    losses = open_losses(call, conditions, listener.ear_height_m, rings, ground_factor)
    but_ground, ground = np.ascontiguousarray(losses.but_ground), np.ascontiguousarray(losses.ground)
    return Scene(elevation, steps, stream_noise_dba, call, conditions, listener, reach_m, but_ground, ground)
