"""Days drawn by chance: where males sit, when each drums, how loud he is, and how the walker does that day.

The same days serve every walk that is compared (common random numbers); what a walk makes of them is
played_morning.py's.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from hushwalk.grid.grid import Grid
from hushwalk.morning.day.day_figures import day_figure
from hushwalk.science.bouts import Bouts
from hushwalk.types import BoolArray, FloatArray, IntArray

LUCKS = 5  # definition: success, time taken, distance judged, log found, nearness of a try
GOOD = 0.15  # judgement: a male of a group sits on ground of this share of the best or better, most times
PILOT = 40  # judgement: enough to know the share of a group that finds room to a few hundredths
MOST_FULL = 3.0  # judgement: where fewer than a third of the males find room, so many are not there
TRIES = 20  # judgement: places looked at for a male of a group before he is left out


@dataclass(frozen=True, eq=False)
class BirdGround:
    """Where males live and when they drum.

    Parameters
    ----------
    grid : of the cells.
    males : shape (grid.n_cells,), males that live in each cell and would display on a morning that suits all.
    participation : share of them that display at all this morning, 0..1.
    first_min : minute from sunrise at which ``activity`` begins [min].
    activity : shape (t,), chance that a displaying male is in a bout, minute by minute, 0..1.
    bouts : how he drums in one, and how long it lasts.
    """

    grid: Grid
    males: FloatArray = field(repr=False)
    participation: float
    first_min: int
    activity: FloatArray = field(repr=False)
    bouts: Bouts

    @cached_property
    def cells(self) -> IntArray:
        """Cells where males live."""
        return np.flatnonzero(self.males > 0)

    @cached_property
    def shares(self) -> FloatArray:
        """Share of all males that live in each of these cells."""
        return np.asarray(self.males[self.cells] / self.males[self.cells].sum())

    @cached_property
    def most(self) -> float:
        """Males of the best cell."""
        return float(self.males.max(initial=0.0))

    def middles(self, count: int, rng: np.random.Generator) -> FloatArray:
        """Middles of cells drawn as often as males live in them, shape (count, 2) [m]."""
        own = rng.choice(self.cells, count, p=self.shares) if count else np.zeros(0, np.int64)
        return self.grid.xy(own // self.grid.n_cols, own % self.grid.n_cols).reshape(-1, 2)


@dataclass(frozen=True, eq=False)
class DayChanges:
    """What differs from day to day and is the same for all birds, each of shape (days,).

    Parameters
    ----------
    participation : share of the males that display at all, 0..1.
    level : which level of evidence the ear has.
    slower : share by which the walker is slower than the own pace.
    """

    participation: FloatArray
    level: IntArray
    slower: FloatArray


@dataclass(frozen=True, eq=False)
class DrawnDays:
    """Some hundreds of days.

    Parameters
    ----------
    first : shape (days + 1,); the birds of day d are ``first[d] .. first[d + 1]``.
    xy_m : shape (n, 2), where each sits [m].
    cell : shape (n,), his cell.
    first_min : minute from sunrise of the first column of ``drums`` [min].
    drums : shape (n, t), whether he drums in each minute.
    loud : shape (n,), standard normal, how faint he is at all places.
    path : shape (n, places), standard normal, how faint he is at each place.
    luck : shape (n, LUCKS), 0..1.
    level, slower : as in :class:`DayChanges`.
    leg_error : shape (days, legs), standard normal.
    """

    first: IntArray
    xy_m: FloatArray = field(repr=False)
    cell: IntArray = field(repr=False)
    first_min: int
    drums: BoolArray = field(repr=False)
    loud: FloatArray = field(repr=False)
    path: FloatArray = field(repr=False)
    luck: FloatArray = field(repr=False)
    level: IntArray = field(repr=False)
    slower: FloatArray = field(repr=False)
    leg_error: FloatArray = field(repr=False)

    @property
    def days(self) -> int:
        """How many."""
        return len(self.first) - 1

    @property
    def day(self) -> IntArray:
        """Day of each bird, shape (n,)."""
        return np.repeat(np.arange(self.days), np.diff(self.first))


PlaceBirds = Callable[[BirdGround, FloatArray, np.random.Generator], list[FloatArray]]
"""Draws the displaying males of each day, by the share that displays: a list of places, each of shape (k, 2) [m]."""


def draw_days(
    ground: BirdGround, changes: DayChanges, place: PlaceBirds, places: int, rng: np.random.Generator
) -> DrawnDays:
    """Draw days.

    Parameters
    ----------
    ground : where males live and when they drum.
    changes : of each day.
    place : how males lie to each other, :func:`scattered` or :func:`clustered`.
    places : how many places one may stand at.
    rng : where all chance comes from.

    Returns
    -------
    DrawnDays
    """
    by_day = place(ground, changes.participation, rng)
    xy = np.concatenate([np.zeros((0, 2)), *by_day])
    rows, cols = ground.grid.rowcol(xy)
    n = len(xy)
    return DrawnDays(
        first=np.concatenate([[0], np.cumsum([len(own) for own in by_day])]).astype(np.int64),
        xy_m=xy,
        cell=np.asarray(rows * ground.grid.n_cols + cols, dtype=np.int64),
        first_min=ground.first_min,
        drums=drums_in_bouts(n, ground.activity, ground.bouts, rng),
        loud=rng.standard_normal(n),
        path=rng.standard_normal((n, places)),
        luck=rng.random((n, LUCKS)),
        level=changes.level,
        slower=changes.slower,
        leg_error=rng.standard_normal((len(by_day), places + 1)),
    )


def scattered(ground: BirdGround, participation: FloatArray, rng: np.random.Generator) -> list[FloatArray]:
    """Draw males that take no note of each other: as many in a cell as a Poisson number of its mean.

    Parameters
    ----------
    ground : where males live.
    participation : share that displays, shape (days,).
    rng : where all chance comes from.

    Returns
    -------
    list of ndarray
        Places of the displaying males of each day, each of shape (k, 2) [m].
    """
    return [
        ground.middles(count, rng) + (rng.random((count, 2)) - 0.5) * ground.grid.cell_m
        for count in rng.poisson(participation * ground.males.sum())
    ]


def clustered(ground: BirdGround, participation: FloatArray, rng: np.random.Generator) -> list[FloatArray]:
    """Draw males that live in groups: some in a hollow, 80 m apart or more, and none in the next.

    Parameters
    ----------
    ground : where males live.
    participation : share that displays, shape (days,).
    rng : where all chance comes from.

    Returns
    -------
    list of ndarray
        Places of the displaying males of each day, each of shape (k, 2) [m].

    Notes
    -----
    Groups are a Poisson number and lie by the worth of the ground; a group holds ``1 + Poisson(m - 1)`` males, normally
    scattered round its middle (a Neyman-Scott process, thinned by the worth of the ground and by distance). So many
    groups are drawn that the mean of the males is that of the ground; PILOT draws say how many of a group find room.
    """
    total = float(ground.males.sum())
    groups = total / day_figure("clusters", "males")
    pilot = sum(len(_groups(ground, groups, rng)) for _ in range(PILOT)) / PILOT
    groups *= min(total / pilot, MOST_FULL) if pilot > 0 else 0.0
    found = []
    for displays in participation:
        males = _groups(ground, groups, rng)
        found.append(males[rng.random(len(males)) < displays])
    return found


def _groups(ground: BirdGround, mean: float, rng: np.random.Generator) -> FloatArray:
    """Places of the males of a Poisson number of groups, shape (k, 2) [m]."""
    own: list[FloatArray] = []
    for middle in ground.middles(rng.poisson(mean), rng):
        for _ in range(1 + rng.poisson(day_figure("clusters", "males") - 1)):
            male = _near(middle, own, ground, rng)
            if male is not None:
                own.append(male)
    return np.array(own).reshape(-1, 2)


def _near(
    middle: FloatArray, others: list[FloatArray], ground: BirdGround, rng: np.random.Generator
) -> FloatArray | None:
    """Draw a male of a group; None where the hollow is full."""
    spots = middle + day_figure("clusters", "spread_m") * rng.standard_normal((TRIES, 2))
    inside, worth = ground.grid.contains(spots), np.zeros(TRIES)
    rows, cols = ground.grid.rowcol(spots[inside])
    worth[inside] = ground.males[rows * ground.grid.n_cols + cols]
    usable = worth > GOOD * ground.most * rng.random(TRIES)
    if others:
        away_m = np.hypot(*(spots[:, None] - np.array(others)[None]).transpose(2, 0, 1))
        usable &= away_m.min(axis=1) >= day_figure("clusters", "apart_m")
    return spots[np.argmax(usable)] if usable.any() else None


def drums_in_bouts(n: int, activity: FloatArray, bouts: Bouts, rng: np.random.Generator) -> BoolArray:
    """Draw for each of n males the minutes in which he drums: bouts with pauses between.

    Parameters
    ----------
    n : males.
    activity : shape (t,), chance to be in a bout, minute by minute, 0..1.
    bouts : displays while a bout lasts, and its length.
    rng : where all chance comes from.

    Returns
    -------
    ndarray
        Shape (n, t), whether he drums at least once in each minute.

    Notes
    -----
    A chain of two states whose chance to be in a bout is ``activity`` at every minute, with a memory of
    ``bout (1 - activity)`` minutes as in science/bouts.py: with ``keep = exp(-1 / memory)`` a male stays as he was,
    else he is drawn anew.
    """
    heard = np.zeros((n, len(activity)), dtype=bool)
    if not len(activity):
        return heard
    drum = -np.expm1(-bouts.rate_per_min)
    level = rng.random(n)  # in a bout while below the activity: the order of males stays as the hour changes
    for k, chance in enumerate(activity):
        keep = np.exp(-1 / max(bouts.bout_min * (1 - chance), 1.0))
        level = np.where(rng.random(n) < keep, level, rng.random(n))
        heard[:, k] = (level < chance) & (rng.random(n) < drum)
    return heard
