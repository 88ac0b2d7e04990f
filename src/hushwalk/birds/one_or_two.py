"""Whether two birds of the list are one: the stand from which a further bearing decides it.

association.py says how likely it is; next_bearing.py finds the stand that shrinks the ground of one bird.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hushwalk.birds.association import MaybeOne, SharingOut
from hushwalk.birds.averaged_place import chance_of_group
from hushwalk.birds.fix import Fix
from hushwalk.birds.group_likelihood import Members
from hushwalk.birds.next_bearing import HARDLY, ClearOfBirds, StandParams
from hushwalk.birds.posterior import chance_to_hear
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import Listening
from hushwalk.science.bearing_error import kappa_of_sd, von_mises_density
from hushwalk.science.crossing import azimuth_to
from hushwalk.types import FloatArray, IntArray

BINS = 120
"""Judgement: steps of three degrees, a fifth of the error of a bearing."""
LEAST_DECISION = 0.6
"""Judgement: a bearing that is right six times in ten is hardly better than a coin."""


@dataclass(frozen=True)
class DecidingStand:
    """A stand whose bearing says whether two birds are one.

    Parameters
    ----------
    pair : the two, and the chance that they are one.
    xy_m : easting and northing [m].
    travel_s : on foot from here [s].
    towards_one_deg : grid azimuth of the middle of where one bird would be [deg].
    towards_two_deg : of the two middles, if they are two [deg].
    right : chance that one more bearing decides rightly, 0.5 to 1.
    """

    pair: MaybeOne
    xy_m: tuple[float, float]
    travel_s: float
    towards_one_deg: float
    towards_two_deg: tuple[float, float]
    right: float


def deciding_stand(
    pair: MaybeOne,
    sharing: SharingOut,
    fixes: Sequence[Fix],
    seconds: Layer,
    params: StandParams | None = None,
    clear: ClearOfBirds | None = None,
) -> DecidingStand | None:
    """Find the stand whose bearing differs most between one bird and two.

    Parameters
    ----------
    pair : two birds that may be one.
    sharing : all ways to share the bearings out.
    fixes : of all birds, which are kept clear of.
    seconds : walking time from here [s]; unknown where nobody comes in time.
    params : stand-off and error.
    clear : which places are far enough from all birds, where it was asked before; None to find out.

    Returns
    -------
    DecidingStand or None
        None where no place that is reached decides it.

    Notes
    -----
    A bearing from a place has one law if all bearings of the pair are of one bird, and another, the mean of two, if
    they are of two. The chance to decide rightly is half of one plus their total variation, weighed with the chance
    to hear the bird there.
    """
    params = params or StandParams()
    own = {fix.bird: _members(sharing, fix) for fix in fixes}
    if not all(name in own for name in pair.names):
        return None
    a, b = (own[name] for name in pair.names)
    one, *two = (chance_of_group(sharing.evidence, members) for members in (a | b, a, b))
    clear = clear or ClearOfBirds(fixes, params)
    laws = _laws(sharing.evidence.places, (one, *two), params)
    best: DecidingStand | None = None
    for place, travel_s in zip(*_candidates(seconds, fixes, pair, params), strict=True):
        if not clear(place):
            continue
        right = laws.right(place)
        if right < LEAST_DECISION or (best and right <= best.right):
            continue
        middles = [_azimuth(place, sharing.evidence.places, chance) for chance in (one, *two)]
        xy = (float(place[0]), float(place[1]))
        best = DecidingStand(pair, xy, float(travel_s), middles[0], (middles[1], middles[2]), right)
    return best


def _members(sharing: SharingOut, fix: Fix) -> Members:
    uids = {b.uid for b in fix.bearings}
    return frozenset(i for i, b in enumerate(sharing.evidence.bearings) if b.uid in uids)


def _candidates(
    seconds: Layer, fixes: Sequence[Fix], pair: MaybeOne, params: StandParams
) -> tuple[FloatArray, FloatArray]:
    """Places within earshot of both birds, thinned to a few hundred."""
    rows, cols = np.nonzero(seconds.known)
    places, travel_s = seconds.grid.xy(rows, cols), seconds.values[rows, cols]
    middles = [np.asarray(fix.median_m) for fix in fixes if fix.bird in pair.names]
    away = np.stack([np.hypot(*(places - middle).T) for middle in middles])
    some = np.flatnonzero((away.max(axis=0) <= 2 * params.earshot.half_m) & (away.min(axis=0) >= params.stand_off_m))
    every = max(1, len(some) // CANDIDATES)
    return places[some[::every]], travel_s[some[::every]]


CANDIDATES = 250
"""Judgement: places some 50 m apart; what a bearing decides changes little between them."""


@dataclass(frozen=True, eq=False)
class _Laws:
    """Where the bird is if the two are one, and where each is if they are two; cells that hold none are left out."""

    places: FloatArray
    chances: tuple[FloatArray, ...]
    blur: NDArray[np.complex128]
    params: StandParams

    def right(self, place: FloatArray) -> float:
        """Chance that a bearing from a place decides rightly, 0.5 to 1."""
        here = Listening("", (float(place[0]), float(place[1])), self.params.minutes)
        hear = chance_to_hear(here, self.places, None, self.params.earshot)
        bins = (azimuth_to(place, self.places) // (360.0 / BINS)).astype(int) % BINS
        one, *two = (self._law(bins, chance * hear) for chance in self.chances)
        heard = min(float(law.sum()) for law in (one, *two))
        if heard <= 0:
            return 0.5
        single, pair = one / one.sum(), sum(law / law.sum() for law in two) / 2
        return 0.5 + 0.25 * heard * float(np.abs(single - pair).sum())

    def _law(self, bins: IntArray, weight: FloatArray) -> FloatArray:
        """Law of a bearing in steps of the circle, shape (BINS,)."""
        read = np.bincount(bins, weights=weight, minlength=BINS)
        return np.asarray(np.maximum(np.fft.irfft(np.fft.rfft(read) * self.blur, BINS), 0.0), dtype=np.float64)


def _laws(places: FloatArray, chances: tuple[FloatArray, ...], params: StandParams) -> _Laws:
    some = np.logical_or.reduce([chance > chance.max() * HARDLY for chance in chances])
    blur = von_mises_density(np.arange(BINS) * (360.0 / BINS), kappa_of_sd(params.sd_deg))
    kept = tuple(chance[some] for chance in chances)
    return _Laws(places[some], kept, np.fft.rfft(blur / blur.sum()), params)


def _azimuth(place: FloatArray, places: FloatArray, chance: FloatArray) -> float:
    middle = (places * chance[:, None]).sum(axis=0)
    return float(azimuth_to(place, middle))
