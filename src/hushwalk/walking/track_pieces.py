"""A track with times cut into pieces that were walked: pauses, stops and jumps of the receiver are left out.

What the pieces say of the pace is own_pace.py's.
"""

from dataclasses import dataclass, field

import numpy as np

from hushwalk.grid.polyline import distances_along
from hushwalk.types import BoolArray, FloatArray

TOO_FAST_MS = 3.0  # judgement: nobody walks so fast; the receiver jumped, or it was a car
GAP_S = 120.0  # judgement: after two minutes without a point nobody knows whether one walked
STEP_S = 5.0  # definition: places are read this often
EVEN_S = 30.0  # judgement: the wander of a receiver is evened out over half a minute
LOOK_S = 60.0  # judgement: one stands where a minute has led nowhere
STILL_MS = 0.25  # judgement: a receiver that lies still wanders some seven metres in a minute
RIM_S = 15.0  # judgement: at the ends of a stretch, standing and walking are mixed up
PIECE_M = 50.0  # judgement: short enough for one slope, long enough for a receiver's error


@dataclass(frozen=True, eq=False)
class TrackPieces:
    """Pieces of a track that were walked without a pause, each array with one entry a piece.

    Parameters
    ----------
    begin_m, end_m : shape (n, 2) [m].
    length_m : along the way [m].
    seconds : that it took [s].
    at_s : when it began, on the clock of the track [s].
    """

    begin_m: FloatArray = field(repr=False)
    end_m: FloatArray = field(repr=False)
    length_m: FloatArray = field(repr=False)
    seconds: FloatArray = field(repr=False)
    at_s: FloatArray = field(repr=False)


def walked_pieces(xy_m: FloatArray, at_s: FloatArray) -> TrackPieces:
    """Cut a track into pieces of some 50 m that were walked.

    Parameters
    ----------
    xy_m : places in the order of the track, shape (n, 2) [m].
    at_s : when each was reached, shape (n,) [s].

    Returns
    -------
    TrackPieces
        None where nothing was walked.

    Notes
    -----
    Points that go back in time, or that no walker reaches from the one before, are dropped. Where a minute leads less
    than 15 m away one stands; so the slow steps of a search still count as walking.
    """
    xy, at = _plausible(np.asarray(xy_m, dtype=float).reshape(-1, 2), np.asarray(at_s, dtype=float))
    found = [np.zeros((0, 7))]
    for run in np.split(np.arange(len(at)), np.flatnonzero(np.diff(at) > GAP_S) + 1):
        if len(run) > 1:
            found += _of_run(xy[run], at[run])
    table = np.concatenate(found)
    return TrackPieces(table[:, :2], table[:, 2:4], table[:, 4], table[:, 5], table[:, 6])


def _plausible(xy: FloatArray, at: FloatArray) -> tuple[FloatArray, FloatArray]:
    kept: list[int] = []
    for k in range(len(at)):
        if kept:
            seconds = at[k] - at[kept[-1]]
            if seconds <= 0 or np.hypot(*(xy[k] - xy[kept[-1]])) > TOO_FAST_MS * seconds:
                if seconds > GAP_S:
                    kept.append(k)  # after a gap one may be anywhere; a new run begins
                continue
        kept.append(k)
    return xy[kept], at[kept]


def _of_run(xy: FloatArray, at: FloatArray) -> list[FloatArray]:
    """Pieces of a run of points without a gap, a row each."""
    clock = np.arange(at[0], at[-1] + STEP_S / 2, STEP_S)
    places = np.stack([np.interp(clock, at, xy[:, 0]), np.interp(clock, at, xy[:, 1])], axis=1)
    pieces = []
    for walked in _stretches(places):
        pieces += _cut(_even(places)[walked], clock[walked])
    return pieces


def _even(places: FloatArray) -> FloatArray:
    """Mean place over half a minute; a shorter time at both ends of the run."""
    half = int(EVEN_S / STEP_S / 2)
    total = np.concatenate([np.zeros((1, 2)), np.cumsum(places, axis=0)])
    k = np.arange(len(places))
    wide = np.minimum(half, np.minimum(k, len(places) - 1 - k))
    return np.asarray((total[k + wide + 1] - total[k - wide]) / (2 * wide + 1)[:, None])


def _stretches(places: FloatArray) -> list[slice]:
    half, rim = int(LOOK_S / STEP_S / 2), int(RIM_S / STEP_S)
    k = np.arange(len(places))
    low, high = np.maximum(k - half, 0), np.minimum(k + half, len(places) - 1)
    net = np.hypot(*(places[high] - places[low]).T)
    moving: BoolArray = net >= STILL_MS * STEP_S * np.maximum(high - low, 1)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], moving, [False]]).astype(int)))
    return [slice(a + rim, b - rim) for a, b in edges.reshape(-1, 2) if b - a > 2 * rim + 1]


def _cut(places: FloatArray, clock: FloatArray) -> list[FloatArray]:
    along = distances_along(places)
    count = int(along[-1] / PIECE_M)
    if count == 0:
        return []
    marks = np.linspace(0, along[-1], count + 1)
    rising = np.concatenate([[True], np.diff(along) > 0])
    when = np.interp(marks, along[rising], clock[rising])
    ends = np.stack([np.interp(marks, along[rising], places[rising, k]) for k in (0, 1)], axis=1)
    length = np.diff(marks)
    return [np.column_stack([ends[:-1], ends[1:], length, np.diff(when), when[:-1]])]
