"""Whether two birds of the list are one: the stand from which a further bearing decides it.

association.py says how likely it is; next_bearing.py finds the stand that shrinks the ground of one bird.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hushwalk.birds.association import MaybeOne, SharingOut
from hushwalk.birds.fix import Fix
from hushwalk.birds.group_likelihood import Members
from hushwalk.birds.next_bearing import StandParams, clear_of_birds, whole_chance
from hushwalk.birds.posterior import chance_to_hear
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import Listening
from hushwalk.science.bearing_error import kappa_of_sd, von_mises_density
from hushwalk.science.crossing import azimuth_to
from hushwalk.types import FloatArray

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
) -> DecidingStand | None:
    """Find the stand whose bearing differs most between one bird and two.

    Parameters
    ----------
    pair : two birds that may be one.
    sharing : all ways to share the bearings out.
    fixes : of all birds, which are kept clear of.
    seconds : walking time from here [s]; unknown where nobody comes in time.
    params : stand-off and error.

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
    one, two = _chance(sharing, a | b), (_chance(sharing, a), _chance(sharing, b))
    known = [(fix, *whole_chance(fix.chance)) for fix in fixes]
    best: DecidingStand | None = None
    for place, travel_s in zip(*_candidates(seconds, fixes, pair, params), strict=True):
        right = _right(place, sharing.evidence.places, one, two, params)
        if right < LEAST_DECISION or (best and right <= best.right) or not clear_of_birds(place, known, params):
            continue
        middles = [_azimuth(place, sharing.evidence.places, chance) for chance in (one, *two)]
        xy = (float(place[0]), float(place[1]))
        best = DecidingStand(pair, xy, float(travel_s), middles[0], (middles[1], middles[2]), right)
    return best


def _members(sharing: SharingOut, fix: Fix) -> Members:
    uids = {b.uid for b in fix.bearings}
    return frozenset(i for i, b in enumerate(sharing.evidence.bearings) if b.uid in uids)


def _chance(sharing: SharingOut, members: Members) -> FloatArray:
    near, number = sharing.evidence.by_place(members)
    chance = np.zeros(len(sharing.evidence.places))
    chance[near] = number
    return np.asarray(chance / number.sum(), dtype=np.float64)


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


def _right(
    place: FloatArray, places: FloatArray, one: FloatArray, two: tuple[FloatArray, FloatArray], params: StandParams
) -> float:
    here = Listening("", (float(place[0]), float(place[1])), params.minutes)
    hear = chance_to_hear(here, places, None, params.earshot)
    azimuth = azimuth_to(place, places)
    laws = [_law(azimuth, chance * hear, params.sd_deg) for chance in (one, *two)]
    heard = min(float(law.sum()) for law in laws)
    if heard <= 0:
        return 0.5
    single, pair = laws[0] / laws[0].sum(), (laws[1] / laws[1].sum() + laws[2] / laws[2].sum()) / 2
    return 0.5 + 0.25 * heard * float(np.abs(single - pair).sum())


def _law(azimuth_deg: FloatArray, weight: FloatArray, sd_deg: float) -> FloatArray:
    """Law of a bearing in steps of the circle, shape (BINS,)."""
    step = 360.0 / BINS
    read = np.bincount((azimuth_deg // step).astype(int) % BINS, weights=weight, minlength=BINS)
    blur = von_mises_density(np.arange(BINS) * step, kappa_of_sd(sd_deg))
    spread = np.fft.irfft(np.fft.rfft(read) * np.fft.rfft(blur / blur.sum()), BINS)
    return np.asarray(np.maximum(spread, 0.0), dtype=np.float64)


def _azimuth(place: FloatArray, places: FloatArray, chance: FloatArray) -> float:
    middle = (places * chance[:, None]).sum(axis=0)
    return float(azimuth_to(place, middle))
