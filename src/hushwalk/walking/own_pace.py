"""A person's own pace from pieces that were walked: on paths, off them, uphill and in the dark, and how sure it is.

How a track is cut into pieces is track_pieces.py's; the published curves are science/gait.py's.
"""

from dataclasses import dataclass, field

import numpy as np

from hushwalk.science.gait import Gait
from hushwalk.science.going import night_speed_factor
from hushwalk.types import BoolArray, FloatArray, IntArray

DEEP_NIGHT_DEG = -90.0  # definition: a sun so low that the night factor is the full one
STEEP = 0.1  # judgement: steeper than one in ten, height begins to count
BLOCK = 6  # judgement: pieces of 50 m taken together, so that one slow piece says little
FEWEST = 3  # judgement: blocks from which a spread can be told
ENOUGH_M = 500.0  # judgement: half a kilometre of a kind says something of it
ENOUGH_FOR_RESERVE_M = 3000.0  # judgement: an hour's walk and more
NORMAL_95 = 1.959964  # definition: half width of a 95 % interval, in standard errors
ONE_SIDED_95 = 1.644854  # definition: 95 % lie below it, in standard deviations
MEDIAN_ERROR = 1.2533  # definition: standard error of a median over that of a mean
MAD = 1.4826  # definition: median absolute deviation to standard deviation
LEAST_ERROR = 0.02  # judgement: no track says more, for lengths and heights err too
BETWEEN_DAYS = 0.06  # judgement: one walks so much faster or slower on another morning, where tracks do not say it
FEW_TRACKS = 3  # judgement: days from which their spread is taken
RESERVES = (0.05, 0.4)  # judgement: no less is safe, and more is no plan
FACTORS = (0.3, 5.0)  # definition: bounds of the keys of a trip file


@dataclass(frozen=True, eq=False)
class WalkedPieces:
    """Pieces that were walked, with what lies under them; each array has one entry a piece.

    Parameters
    ----------
    seconds, length_m : time and length [s, m].
    slope : rise over run, uphill positive.
    on_path : whether it was on a trail or road.
    growth : time factor of the growth off paths; 1 is closed forest.
    dark : whether it was before civil dawn or after dusk.
    track : which track it belongs to.
    """

    seconds: FloatArray = field(repr=False)
    length_m: FloatArray = field(repr=False)
    slope: FloatArray = field(repr=False)
    on_path: BoolArray = field(repr=False)
    growth: FloatArray = field(repr=False)
    dark: BoolArray = field(repr=False)
    track: IntArray = field(repr=False)


@dataclass(frozen=True)
class LearntFactor:
    """One factor on the published time.

    Parameters
    ----------
    value, low, high : with its 95 % interval.
    metres : walked, that it was learnt from [m].
    """

    value: float
    low: float
    high: float
    metres: float


@dataclass(frozen=True)
class OwnPace:
    """What was learnt; None where too little was walked of a kind.

    Parameters
    ----------
    pace : on the flat, on paths; off them where no path was walked.
    off_path : off paths, on top of ``pace``.
    climb : on what height adds uphill.
    dark : in the dark, on top of the published factors.
    reserve : with which 19 of 20 mornings take no longer than planned.
    walked_m : in all [m].
    """

    pace: LearntFactor | None
    off_path: LearntFactor | None
    climb: LearntFactor | None
    dark: LearntFactor | None
    reserve: float | None
    walked_m: float


def learn_pace(pieces: WalkedPieces, gait: Gait) -> OwnPace:
    """Learn a person's own pace.

    Parameters
    ----------
    pieces : that were walked.
    gait : the published curves, without any factor of a person.

    Returns
    -------
    OwnPace

    Notes
    -----
    Each factor is the median over blocks of 300 m of true over published time, which a slow block hardly moves. The
    reserve is 1.64 standard deviations of the time of a whole morning: the error of what was learnt, and how mornings
    differ - by three tracks or more, else 6 %.
    """
    flat = np.abs(pieces.slope) < STEEP
    path, by_day = pieces.on_path, ~pieces.dark
    published = _published(pieces, gait, pieces.slope)
    pace = _factor(pieces, published, flat & path & by_day)
    off = _factor(pieces, published, flat & ~path & by_day)
    if pace is None:
        pace, off_path = off, None
    else:
        off_path = off and _over(off, pace)
    if pace is None:
        return OwnPace(None, None, None, None, None, float(pieces.length_m.sum()))
    own = np.where(path, pace.value, pace.value * (off_path.value if off_path else 1.0))
    level = _published(pieces, gait, np.zeros_like(pieces.slope))
    climb = _climb(pieces, own, published, level, by_day)
    own_s = own * (level + (climb.value if climb else 1.0) * (published - level))
    own_s = np.where(pieces.slope > 0, own_s, own * published)
    night = np.where(path, *(1 / night_speed_factor(DEEP_NIGHT_DEG, on_trail=on) for on in (True, False)))
    dark = _factor(pieces, own_s * night, pieces.dark)
    reserve = _reserve(pieces, own_s, pace, by_day)
    return OwnPace(pace, off_path, climb, dark, reserve, float(pieces.length_m.sum()))


def _published(pieces: WalkedPieces, gait: Gait, slope: FloatArray) -> FloatArray:
    """Time of each piece by the published curves [s]."""
    off = gait.off_path_seconds_per_metre(slope) * pieces.growth
    return np.asarray(pieces.length_m * np.where(pieces.on_path, gait.on_path_seconds_per_metre(slope), off))


def _factor(pieces: WalkedPieces, published: FloatArray, chosen: BoolArray) -> LearntFactor | None:
    own = np.flatnonzero(chosen)
    metres = float(pieces.length_m[own].sum())
    blocks = _blocks(own)
    if metres < ENOUGH_M or len(blocks) < FEWEST:
        return None
    return _learnt(np.array([pieces.seconds[b].sum() / published[b].sum() for b in blocks]), metres)


def _climb(
    pieces: WalkedPieces, own: FloatArray, published: FloatArray, level: FloatArray, by_day: BoolArray
) -> LearntFactor | None:
    """Factor on what height adds uphill."""
    steep = np.flatnonzero((pieces.slope >= STEEP) & by_day & (published > level))
    metres, blocks = float(pieces.length_m[steep].sum()), _blocks(steep)
    if metres < ENOUGH_M or len(blocks) < FEWEST:
        return None
    added = [(pieces.seconds[b] / own[b] - level[b]).sum() / (published[b] - level[b]).sum() for b in blocks]
    return _learnt(np.array(added), metres)


def _blocks(own: IntArray) -> list[IntArray]:
    return [own[k : k + BLOCK] for k in range(0, len(own) - BLOCK // 2, BLOCK)]


def _learnt(ratios: FloatArray, metres: float) -> LearntFactor:
    middle = float(np.median(ratios))
    spread = MAD * float(np.median(np.abs(ratios - middle)))
    error = max(MEDIAN_ERROR * spread / np.sqrt(len(ratios)), LEAST_ERROR * abs(middle))
    low, value, high = np.clip([middle - NORMAL_95 * error, middle, middle + NORMAL_95 * error], *FACTORS)
    return LearntFactor(float(value), float(low), float(high), metres)


def _over(one: LearntFactor, other: LearntFactor) -> LearntFactor:
    """A factor on top of another one; their errors add as squares."""
    value = one.value / other.value
    share = np.hypot(_error(one), _error(other)) * NORMAL_95
    low, middle, high = np.clip([value * (1 - share), value, value * (1 + share)], *FACTORS)
    return LearntFactor(float(middle), float(low), float(high), one.metres)


def _error(factor: LearntFactor) -> float:
    """Standard error as a share of the value."""
    return (factor.high - factor.low) / 2 / NORMAL_95 / factor.value


def _reserve(pieces: WalkedPieces, own_s: FloatArray, pace: LearntFactor, by_day: BoolArray) -> float | None:
    if pieces.length_m[by_day].sum() < ENOUGH_FOR_RESERVE_M:
        return None
    each = [by_day & (pieces.track == track) for track in np.unique(pieces.track)]
    ratios = [pieces.seconds[own].sum() / own_s[own].sum() for own in each if pieces.length_m[own].sum() >= ENOUGH_M]
    between = BETWEEN_DAYS
    if len(ratios) >= FEW_TRACKS:
        between = max(float(np.std(np.log(ratios), ddof=1)), LEAST_ERROR)
    reserve = np.expm1(ONE_SIDED_95 * np.hypot(_error(pace), between))
    return float(np.clip(np.ceil(100 * reserve - 1e-9) / 100, *RESERVES))
