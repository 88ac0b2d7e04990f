"""How far apart to stop: the distance between stops that hears most males per hour here, computed.

Where the stops then lie is the planner's business.
"""

from dataclasses import dataclass, field

import numpy as np

from hushwalk.errors import InputError, SettingsError
from hushwalk.hearing.availability import Display
from hushwalk.hearing.coverage import Coverage
from hushwalk.science.bouts import Bouts
from hushwalk.types import FloatArray

POSTS_MAX = 200
"""Judgement: more posts than these do not move a mean."""
STEP_M = 10.0
"""Definition: the piece of ground that the integration counts."""


@dataclass(frozen=True)
class SpacingParams:
    """The plain walk that spacings are compared on: stops in a straight line.

    Parameters
    ----------
    stops : how many.
    dwell_s : at each [s].
    pace_ms : between them [m/s].
    males_per_km2 : density, even everywhere.
    shortest_m, longest_m, step_m : spacings to try [m].
    even_share : spacings that hear at least this share of the best count as good as the best.

    Raises
    ------
    SettingsError
        If a value cannot be.
    """

    stops: int = 10
    dwell_s: float = 480.0
    pace_ms: float = 3.0 / 3.6
    males_per_km2: float = 5.0
    shortest_m: float = 50.0
    longest_m: float = 800.0
    step_m: float = 25.0
    even_share: float = 0.97

    def __post_init__(self) -> None:
        good = self.stops > 1 and min(self.dwell_s, self.pace_ms, self.males_per_km2, self.step_m) > 0
        if not (good and 0 < self.shortest_m <= self.longest_m and 0 < self.even_share <= 1):
            raise SettingsError(f"spacing needs at least 2 stops and positive times and distances, got {self}")


@dataclass(frozen=True, eq=False)
class SpacingAdvice:
    """The advice and what it rests on.

    Parameters
    ----------
    spacing_m : hears most males per hour [m].
    low_m, high_m : between these it makes next to no difference [m].
    tried_m, males, per_hour, twice_per_hour : for each spacing tried: males heard on the whole line, per hour, and
        those heard from two stops or more per hour, which gives crossing bearings.
    """

    spacing_m: float
    low_m: float
    high_m: float
    tried_m: FloatArray = field(repr=False)
    males: FloatArray = field(repr=False)
    per_hour: FloatArray = field(repr=False)
    twice_per_hour: FloatArray = field(repr=False)


def distance_curve(
    cover: Coverage, posts_m: FloatArray, reach_m: float, ring_m: float = 25.0
) -> tuple[FloatArray, FloatArray]:
    """Mean chance to hear one display by distance, over posts and directions.

    Parameters
    ----------
    cover : of the posts.
    posts_m : shape (n, 2) easting and northing [m].
    reach_m : that the coverage was computed with [m].
    ring_m : width of the distance classes; not less than half a cell of the coverage is sensible [m].

    Returns
    -------
    tuple of ndarray
        Distances [m] and chances, each of shape (k,).

    Raises
    ------
    InputError
        If there are no posts.
    """
    posts = np.asarray(posts_m, dtype=float)
    if not len(posts):
        raise InputError("a distance curve needs at least one post")
    chosen = np.unique(np.linspace(0, len(posts) - 1, POSTS_MAX).astype(int))
    rows, cols = (part.ravel() for part in np.indices(cover.grid.shape))
    cells = cover.grid.xy(rows, cols)
    edges = np.arange(0, reach_m + ring_m, ring_m)
    heard, there = np.zeros(len(edges) - 1), np.zeros(len(edges) - 1)
    for at in chosen:
        far = np.hypot(cells[:, 0] - posts[at, 0], cells[:, 1] - posts[at, 1])
        row = cover.chance[[at], :].toarray().ravel()
        heard += np.histogram(far, edges, weights=row)[0]
        there += np.histogram(far, edges)[0]
    met = there > 0
    return (edges[:-1] + ring_m / 2)[met], heard[met] / there[met]


def _line(
    far: FloatArray, chance: FloatArray, bouts: Bouts, how: SpacingParams, spacing_m: float
) -> tuple[float, float]:
    """Ground on which a displaying male is heard at all, and from two stops or more [m2], for a line of stops."""
    reach = float(far[-1])
    east = np.arange(-reach, (how.stops - 1) * spacing_m + reach, STEP_M) + STEP_M / 2
    north = np.arange(0, reach, STEP_M) + STEP_M / 2
    free, silent = (bouts.step(how.dwell_s / 60, sure) for sure in (0.0, 1.0))
    gap = bouts.step(spacing_m / how.pace_ms / 60, 0.0)
    shape = (len(north), len(east))
    none = np.array([np.full(shape, bouts.share), np.full(shape, 1 - bouts.share)])  # in a bout, and in a pause
    once = np.zeros_like(none)
    for k in range(how.stops):
        away = np.hypot(east - k * spacing_m, north[:, np.newaxis])
        carried = np.interp(away, far, chance, right=0.0)
        missed, kept = (carried * (_stepped(silent, part) - _stepped(free, part)) for part in (none, once))
        once = _stepped(gap, _stepped(free, once) + kept - missed)
        none = _stepped(gap, _stepped(free, none) + missed)
    cell_m2 = 2 * STEP_M**2  # the other side of the line is its mirror
    return float((1 - none.sum(axis=0)).sum()) * cell_m2, float((1 - (none + once).sum(axis=0)).sum()) * cell_m2


def _stepped(step: FloatArray, state: FloatArray) -> FloatArray:
    moved: FloatArray = np.tensordot(step, state, axes=(0, 0))
    return moved


def spacing_advice(
    distance_m: FloatArray, chance: FloatArray, display: Display, params: SpacingParams | None = None
) -> SpacingAdvice:
    """Find the distance between stops that hears most males per hour.

    Parameters
    ----------
    distance_m, chance : shape (n,) rising distances [m] and the chance to hear one display there, as from
        :func:`distance_curve`.
    display : how often males display.
    params : the plain walk to compare on.

    Returns
    -------
    SpacingAdvice

    Raises
    ------
    InputError
        If nothing is heard at any distance.

    Notes
    -----
    Whether a male's path to a stop carries holds for the whole stop; a male counts once however many stops hear him.
    Neighbouring stops share his bout or pause (:class:`~hushwalk.science.bouts.Bouts`).
    """
    how = params or SpacingParams()
    far, heard = np.asarray(distance_m, dtype=float), np.asarray(chance, dtype=float)
    if not np.any(heard > 0):
        raise InputError("nothing is heard at any distance in these conditions, so no spacing is better than another")
    tried = np.arange(how.shortest_m, how.longest_m + how.step_m / 2, how.step_m)
    both = np.array([_line(far, heard, display.bouts, how, float(spacing)) for spacing in tried])
    males, twice = (display.participation * how.males_per_km2 * both / 1e6).T
    hours = (how.stops * how.dwell_s + (how.stops - 1) * tried / how.pace_ms) / 3600
    per_hour = males / hours
    even = np.flatnonzero(per_hour >= how.even_share * per_hour.max())
    return SpacingAdvice(
        float(tried[per_hour.argmax()]), float(tried[even[0]]), float(tried[even[-1]]),
        tried, males, per_hour, twice / hours,
    )  # fmt: skip
