"""What a day is worth: from played mornings to grounds, logs found, disturbance, and the facts that are reported.

The formulation, with every number, is in docs/science/day.md.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from scipy.special import ndtr

from hushwalk.morning.day.day_figures import day_figure
from hushwalk.morning.day.day_walk import DayWalk
from hushwalk.morning.day.drawn_days import DrawnDays
from hushwalk.morning.day.late_search import LateSearch, found_chances
from hushwalk.morning.day.played_morning import LOG, NEAR, PlayedMornings, play_mornings, spread_log
from hushwalk.morning.day_chances import DayChances, Spread
from hushwalk.notes.figures import figure
from hushwalk.types import BoolArray, FloatArray, IntArray

MANY = 3  # definition: three and more are one class
HEARD_AGAIN = 0.5  # judgement: on half of the tries that fail he is heard once more from nearer
MIDDLE_SHARES = (0.1, 0.9)  # definition: eight days in ten lie between


@dataclass(frozen=True, eq=False)
class PlayedDays:
    """Each day that was played, for drawing; every array but one of shape (days,).

    Parameters
    ----------
    chances : what they come to.
    heard, closed_in, disturbed : males.
    found_shares : shape (k,), share of days on which 0, 1, 2, ... logs are found, after the chance of each.
    minutes_late : after the promise [min].
    """

    chances: DayChances
    heard: FloatArray = field(repr=False)
    closed_in: FloatArray = field(repr=False)
    found_shares: FloatArray = field(repr=False)
    disturbed: FloatArray = field(repr=False)
    minutes_late: FloatArray = field(repr=False)


@dataclass(frozen=True, eq=False)
class DayParams:
    """What is the same for every way of working.

    Parameters
    ----------
    hour_factor : how active the hour is, minute by minute as in the drawn days, 0..1.
    bearing_sd_deg : of one reading [deg].
    search : of the late morning.
    """

    hour_factor: FloatArray = field(repr=False)
    bearing_sd_deg: float
    search: LateSearch


def play_days(days: DrawnDays, walk: DayWalk, heard: FloatArray, params: DayParams) -> PlayedDays:
    """Play whole days.

    Parameters
    ----------
    days : what was drawn.
    walk : the timetable.
    heard : shape (levels, s, n_cells), chance to hear one drum from each cell, by level of evidence, 0..1.
    params : hours, ear and search.

    Returns
    -------
    PlayedDays
    """
    played = play_mornings(days, walk, heard, params.hour_factor)
    ground = ground_sizes(days, walk, played, params.bearing_sd_deg)
    chance = found_chances(params.search, days.first, days.xy_m, ground)
    found = np.asarray(days.luck[:, LOG] < chance)
    crossed = np.asarray(played.heard.sum(axis=1) > 1)
    heard_any = np.asarray(played.heard.any(axis=1))
    later = day_figure("later", "placed_worth") * (heard_any & (crossed | played.closed_in)) * (1 - chance)
    late = np.maximum(played.back_min - walk.promise_min, 0.0)

    def a_day(birds: BoolArray | FloatArray) -> FloatArray:
        return np.asarray(np.bincount(days.day, weights=birds, minlength=days.days), dtype=np.float64)

    counts = {
        "heard": a_day(heard_any),
        "tried": a_day(played.tried),
        "closed_in": a_day(played.closed_in),
        "crossed": a_day(crossed & ~played.closed_in),
        "found": a_day(found),
        "disturbed": a_day(disturbed(days, walk, played)),
        "minutes_late": late,
    }
    logs = a_day(chance)  # its mean is that of the logs found, with less noise
    spreads = {name: spread_of(values) for name, values in counts.items()}
    spreads["found"] = Spread(float(logs.mean()), spreads["found"].low, spreads["found"].high)
    chances = DayChances(
        days=days.days,
        heard_chances=heard_chances(counts["heard"]),
        log_chance=float(np.mean(1 - np.exp(a_day(np.log1p(-np.minimum(chance, 1 - 1e-9)))))),
        on_time=float(np.mean(late <= 0)),
        found_error=float(logs.std() / np.sqrt(max(days.days, 1))),
        worth=float(logs.mean() + a_day(later).mean()),
        stops_stood=float(played.stood.mean()),
        **spreads,
    )
    shares = found_shares(days.day, chance, days.days)
    return PlayedDays(chances, counts["heard"], counts["closed_in"], shares, counts["disturbed"], late)


def shares_of(counts: FloatArray) -> FloatArray:
    """Share of days on which a number was 0, 1, 2, ..., shape (k,)."""
    whole = np.bincount(np.asarray(counts, dtype=np.int64), minlength=1)
    return np.asarray(whole / max(whole.sum(), 1))


def found_shares(day: IntArray, chance: FloatArray, days: int) -> FloatArray:
    """Share of days on which 0, 1, 2, ... logs are found: the mean over days of the sum of independent finds.

    Parameters
    ----------
    day : shape (n,), day of each bird, rising.
    chance : shape (n,), to find his log, 0..1.
    days : how many.

    Returns
    -------
    ndarray
        Shape (k,), sums to 1.
    """
    most = int(np.bincount(day[chance > 0], minlength=1).max())
    by_day = np.zeros((max(days, 1), most + 1))
    by_day[:, 0] = 1.0
    for own, found in zip(day, chance, strict=True):
        if found > 0:
            by_day[own, 1:] += found * (by_day[own, :-1] - by_day[own, 1:])
            by_day[own, 0] *= 1 - found
    return np.asarray(by_day.mean(axis=0))


def spread_of(values: Sequence[float] | FloatArray) -> Spread:
    """Give the mean of a number over days, and between what eight days in ten lie."""
    low, high = np.quantile(values, MIDDLE_SHARES, method="inverted_cdf")
    return Spread(float(np.mean(values)), float(low), float(high))


def heard_chances(heard: FloatArray) -> tuple[float, float, float, float]:
    """Give the shares of days with none, one, two, three and more males heard."""
    none, one, two = (float(np.mean(heard == k)) for k in range(MANY))
    return none, one, two, float(np.mean(heard >= MANY))


def ground_sizes(days: DrawnDays, walk: DayWalk, played: PlayedMornings, bearing_sd_deg: float) -> FloatArray:
    """Size of the ground that each bird is placed on.

    Parameters
    ----------
    days : what was drawn.
    walk : the timetable.
    played : who was heard and closed in on.
    bearing_sd_deg : of one reading [deg].

    Returns
    -------
    ndarray
        Shape (n,), ``pi s1 s2`` of a normal place; infinite where a bird was not heard [m2].

    Notes
    -----
    The precision of a place (the inverse of its covariance) is a sum: a bearing from d metres gives
    ``1 / (d sd)^2`` across its line, the distance judged ``1 / (d s)^2`` along it, the cover ``1 / cover^2`` in every
    direction, a mark by closing in ``1 / mark^2``; a try that failed half a bearing from half as far, across the first.
    Ground of birds that were not closed in on is larger by the factor ``1 + mixed k``, with k the other males heard at
    the same stops (their mean), for whose drum it was is not known.
    """
    sd = np.radians(bearing_sd_deg)
    away = days.xy_m[:, None, :] - walk.stops_m[None, :, :]
    metres = np.maximum(np.hypot(away[..., 0], away[..., 1]), 1.0)
    ahead = away / metres[..., None]
    across = np.where(played.heard, 1 / (metres * sd) ** 2, 0.0)
    along = np.where(played.heard, 1 / (metres * spread_log(metres)) ** 2, 0.0)
    first = np.zeros_like(along)
    nearest = np.argmin(np.where(played.heard, metres, np.inf), axis=1)
    first[np.arange(len(first)), nearest] = played.tried & ~played.closed_in
    along += HEARD_AGAIN * first / (metres / 2 * sd) ** 2
    marked = np.where(played.closed_in, 1 / day_figure("closing_in", "mark_sd_m") ** 2, 0.0)
    own = marked + 1 / day_figure("placing", "cover_sd_m") ** 2
    xx = (along * ahead[..., 0] ** 2 + across * ahead[..., 1] ** 2).sum(axis=1) + own
    yy = (along * ahead[..., 1] ** 2 + across * ahead[..., 0] ** 2).sum(axis=1) + own
    xy = ((along - across) * ahead[..., 0] * ahead[..., 1]).sum(axis=1)
    size = np.pi / np.sqrt(np.maximum(xx * yy - xy**2, 1e-30))
    size *= np.where(played.closed_in, 1.0, 1 + day_figure("placing", "mixed") * others_heard(days, played))
    return np.where(played.heard.any(axis=1), size, np.inf)


def others_heard(days: DrawnDays, played: PlayedMornings) -> FloatArray:
    """Other males heard at the stops that heard each male, mean over these stops, shape (n,); 0 where none did."""
    heard = played.heard.astype(float)
    at_stop = np.zeros((days.days, heard.shape[1]))
    np.add.at(at_stop, days.day, heard)
    others = (heard * (at_stop[days.day] - 1)).sum(axis=1)
    return np.asarray(others / np.maximum(heard.sum(axis=1), 1))


def disturbed(days: DrawnDays, walk: DayWalk, played: PlayedMornings) -> BoolArray:
    """Males that the walker comes nearer to than a male stays on his log.

    Parameters
    ----------
    days : what was drawn.
    walk : the timetable, with its lines.
    played : who was closed in on.

    Returns
    -------
    ndarray
        Shape (n,). The lines as planned count, whatever was left out; a try ends too near where the distance was
        judged too long.
    """
    near_m, ending_m = figure("closing_in", "disturbed_m"), figure("closing_in", "end_m")
    too_near = ndtr(np.log(near_m / ending_m) / day_figure("closing_in", "near_sd_log"))
    found = played.tried & (days.luck[:, NEAR] < too_near)
    for line in walk.lines_m:
        found |= distance_to_line(days.xy_m, line) < near_m
    return np.asarray(found)


def distance_to_line(xy_m: FloatArray, line_m: FloatArray) -> FloatArray:
    """Distance of each place, shape (n, 2), from a line, shape (k, 2) [m]."""
    nearest = np.full(len(xy_m), np.inf)
    for begin, end in pairwise(line_m):
        step = end - begin
        length = float(step @ step)
        share = np.clip((xy_m - begin) @ step / length, 0, 1) if length > 0 else np.zeros(len(xy_m))
        off = xy_m - begin - share[:, None] * step
        nearest = np.minimum(nearest, np.hypot(off[:, 0], off[:, 1]))
    return nearest
