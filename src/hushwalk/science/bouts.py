"""Displays over minutes, at random or in bouts with pauses between: the chance of one, and of silence.

How many males display at all on a morning is the business of the hearing room.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.types import FloatArray

MINUTES = tuple[float, float]
"""From when to when one listens [min]."""


def cue_chance(rate_per_min: float, minutes: ArrayLike) -> FloatArray:
    """Chance of at least one display in some minutes, ``1 - exp(-phi t)``.

    Parameters
    ----------
    rate_per_min : phi [1/min].
    minutes : any shape [min].

    References
    ----------
    farnsworth_2002

    Examples
    --------
    >>> round(float(cue_chance(0.2578, 4.0)), 3)
    0.643
    """
    chance: FloatArray = -np.expm1(-rate_per_min * np.asarray(minutes, dtype=float))
    return chance


@dataclass(frozen=True)
class Bouts:
    """A two-state process: in a bout a male displays at random times, in a pause not at all.

    Parameters
    ----------
    rate_per_min : phi, displays while a bout lasts [1/min].
    bout_min : mean length of a bout [min].
    share : q, of the time spent in bouts, above 0 and at most 1; 1 is a process without pauses.

    Raises
    ------
    ValueError
        If a number cannot be.
    """

    rate_per_min: float
    bout_min: float
    share: float

    def __post_init__(self) -> None:
        if not (self.rate_per_min > 0 and self.bout_min > 0 and 0 < self.share <= 1):
            raise ValueError(
                f"rate_per_min is {self.rate_per_min}, bout_min {self.bout_min} and share {self.share}; "
                "expected above 0, above 0, and above 0 to 1"
            )

    @property
    def pause_min(self) -> float:
        """Mean length of a pause, ``bout (1 - q) / q`` [min]."""
        return self.bout_min * (1 - self.share) / self.share

    @property
    def memory_min(self) -> float:
        """Time after which the correlation between now and then has fallen to 1/e, ``bout (1 - q)`` [min]."""
        return self.bout_min * (1 - self.share)

    def heard_chance(self, minutes: ArrayLike) -> FloatArray:
        """Chance of at least one display in a stand.

        Parameters
        ----------
        minutes : length of the stand, any shape [min].

        Returns
        -------
        ndarray
            ``1 - pi exp((Q - Phi) t) 1`` with the generator Q of bouts and pauses, and Phi the rate in a bout. For
            q = 1 this is ``1 - exp(-phi t)``.

        References
        ----------
        fischer_meierhellstern_1993
        """
        t = np.asarray(minutes, dtype=float)
        if self.share == 1:
            return cue_chance(self.rate_per_min, t)
        slow, fast, weight = self._silent_modes()
        chance: FloatArray = 1 - (weight * np.exp(-slow * t) + (1 - weight) * np.exp(-fast * t))
        return chance

    def silent_chance(self, stands: Sequence[MINUTES], certainty: Sequence[float] | None = None) -> float:
        """Chance that nothing is heard in several stands of one morning.

        Parameters
        ----------
        stands : from when to when one listens, in rising order without overlap [min].
        certainty : chance to hear a display that is made, for each stand; 1 if not given.

        Returns
        -------
        float
            Joint chance of silence: stands close together share a bout or a pause, stands far apart do not.

        References
        ----------
        fischer_meierhellstern_1993
        """
        heard = [1.0] * len(stands) if certainty is None else list(certainty)
        state, clock = np.array([self.share, 1 - self.share]), None
        for (begin, end), sure in zip(stands, heard, strict=True):
            if clock is not None:
                state = self._over_gap(state, begin - clock)
            state = state @ self.step(end - begin, sure)
            clock = end
        return float(state.sum())

    def silent_after(self, stands: Sequence[MINUTES], carried: FloatArray) -> FloatArray:
        """Chance of silence so far after each of several stands, for many males at once.

        Parameters
        ----------
        stands : from when to when one listens, in rising order without overlap [min].
        carried : shape (k, m), chance that what a male does in a stand can be heard there at all; drawn once a stand,
            so that with it every display is heard and without it none.

        Returns
        -------
        ndarray
            Shape (k + 1, m); the first row is ones. One male's state is his chance to be silent so far and in a bout,
            and silent so far and in a pause: a stand multiplies it by ``(1 - c) exp(Q t) + c exp((Q - Phi) t)``.

        References
        ----------
        fischer_meierhellstern_1993
        """
        many = np.asarray(carried).shape[1]
        state = np.repeat([[self.share, 1 - self.share]], many, axis=0)
        silent, clock = [np.ones(many)], None
        for (begin, end), one in zip(stands, carried, strict=True):
            if clock is not None:
                state = self._over_gap(state, max(begin - clock, 0.0))
            unheard, heard = state @ self.step(end - begin, 0.0), state @ self.step(end - begin, 1.0)
            state = unheard + (heard - unheard) * np.asarray(one)[:, np.newaxis]
            silent.append(state.sum(axis=1))
            clock = end
        return np.array(silent)

    def _over_gap(self, state: FloatArray, minutes: float) -> FloatArray:
        """Carry the state, shape (..., 2), over a time in which one does not listen."""
        if self.share == 1:
            return state
        settled = state.sum(axis=-1, keepdims=True) * np.array([self.share, 1 - self.share])
        carried: FloatArray = settled + (state - settled) * np.exp(-minutes / self.memory_min)
        return carried

    def step(self, minutes: float, certainty: float) -> FloatArray:
        """Matrix ``exp((Q - c Phi) t)``, shape (2, 2), by its two eigenvalues; rows from bout and pause, to columns."""
        heard = self.rate_per_min * certainty
        if self.share == 1:
            return np.diag([np.exp(-heard * minutes), 1.0])
        out, back = 1 / self.bout_min, 1 / self.pause_min
        generator = np.array([[-out - heard, out], [back, -back]])
        middle = np.trace(generator) / 2
        spread = np.sqrt(middle**2 - np.linalg.det(generator))
        # Sylvester's formula for two real eigenvalues; they differ because out and back are above 0
        identity = np.eye(2)
        high, low = middle + spread, middle - spread
        step: FloatArray = (
            np.exp(high * minutes) * (generator - low * identity)
            - np.exp(low * minutes) * (generator - high * identity)
        ) / (high - low)
        return step

    def _silent_modes(self) -> tuple[float, float, float]:
        """Slow and fast rate of falling silence [1/min], and the weight of the slow one."""
        out, back, phi = 1 / self.bout_min, 1 / self.pause_min, self.rate_per_min
        middle = (out + back + phi) / 2
        spread = np.sqrt(middle**2 - back * phi)
        slow, fast = middle - spread, middle + spread
        # at t = 0 silence falls at the rate q phi, which fixes the weight of each mode
        weight = (fast - self.share * phi) / (fast - slow)
        return float(slow), float(fast), float(weight)
