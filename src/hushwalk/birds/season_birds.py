"""Birds of the season: birds of several mornings and logs with droppings, joined where they are of one male.

morning_fixes.py shares out the bearings of each morning; here whole birds of mornings are joined by their places.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import map_coordinates

from hushwalk.birds.alternate_logs import AlternateLogs
from hushwalk.birds.loudness import NODES, TINY, over_loudness, silent_table
from hushwalk.birds.partitions import (
    ChainParams,
    Group,
    Partitions,
    likely_partition,
    moved_partition,
    sample_partitions,
)
from hushwalk.birds.posterior import EarshotParams, centres_m, chance_to_hear, displayed_share
from hushwalk.birds.season_numbers import NumberChange, season_numbers
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import Listening
from hushwalk.notes.figures import figure
from hushwalk.types import FloatArray, IntArray

EVERYWHERE = slice(None)
"""Definition: all cells."""
NEGLIGIBLE = 30.0
"""Judgement: cells so much less likely than the likeliest add nothing to a sum [log]."""
NOWHERE = -700.0
"""Judgement: the log of a chance that is none, and still a number."""
SEED = 25
"""Definition: the same notes give the same answer every time."""
ENDS = (0.05, 0.95)
"""Definition: of a 90 % interval."""


@dataclass(frozen=True, eq=False)
class MorningBird:
    """A bird of one morning.

    Parameters
    ----------
    day, name : of the morning, and there.
    place : chance of every cell of the season's grid to hold it by that morning's notes alone; sums to 1.
    log_evidence : of its bearings, as they were shared out that morning.
    """

    day: date
    name: str
    place: FloatArray = field(repr=False)
    log_evidence: float


@dataclass(frozen=True)
class UsedLog:
    """A log with droppings: its name, its place [m], the day, and the bird that was noted with it."""

    name: str
    xy_m: tuple[float, float]
    day: date
    bird: str = ""


Track = MorningBird | UsedLog


@dataclass(frozen=True, eq=False)
class SeasonGround:
    """What is known of the ground before and between the mornings, on one grid.

    Parameters
    ----------
    grid : of all.
    log_males : shape (n_cells,), log of the expected number of males in each cell.
    log_quiet : by day, shape (n_cells,), log chance that a male there is not heard that morning.
    """

    grid: Grid
    log_males: FloatArray = field(repr=False)
    log_quiet: Mapping[date, FloatArray] = field(repr=False)


@dataclass(frozen=True, eq=False)
class SeasonBird:
    """One male of the season.

    Parameters
    ----------
    number : for the season.
    mornings : day and name there of each bird of a morning that is this one.
    logs : names of its logs with droppings.
    place : chance of every cell to hold its main log; sums to 1.
    one_bird : chance that all of this is of one male.
    """

    number: int
    mornings: tuple[tuple[date, str], ...]
    logs: tuple[str, ...]
    place: Layer = field(repr=False)
    one_bird: float


@dataclass(frozen=True, eq=False)
class SeasonBirds:
    """All males of the season.

    Parameters
    ----------
    birds : by number.
    males : fewest, likeliest and most different males that were heard or have a log, a 90 % interval.
    changes : merges and splits of numbers, by day.
    """

    birds: tuple[SeasonBird, ...]
    males: tuple[int, int, int]
    changes: tuple[NumberChange, ...]
    _joined: "_Joined | None" = field(default=None, repr=False)

    def of(self, day: date, name: str) -> SeasonBird | None:
        """Give the male that a bird of a morning is, or None."""
        return next((bird for bird in self.birds if (day, name) in bird.mornings), None)

    def place_of(self, day: date, name: str, place: Layer) -> Layer:
        """Give the chance of every cell to hold a bird, with what other mornings and logs say of it.

        Parameters
        ----------
        day, name : of the bird.
        place : the same by that morning's notes alone; its grid is kept.

        Returns
        -------
        Layer
            Sums to 1.
        """
        return place if self._joined is None else self._joined.place_of(day, name, place)


def season_birds(
    tracks: Sequence[Track],
    ground: SeasonGround,
    *,
    more: Mapping[date, IntArray] | None = None,
    chain: ChainParams | None = None,
    logs: AlternateLogs | None = None,
) -> SeasonBirds:
    """Join birds of mornings and logs that are of one male.

    Parameters
    ----------
    tracks : birds of all mornings and logs with droppings.
    ground : males expected, and how likely it is not to hear one each morning.
    more : by day, birds more than the list of that morning has, for each way drawn to share its bearings out.
    chain : how many ways to join are drawn.
    logs : how a male changes logs; None for the usual.

    Returns
    -------
    SeasonBirds
        Numbers go by the first morning; a number stays with its birds while later mornings are added.

    Notes
    -----
    A male whose main log is at x is heard on a morning from there or from another log near it, or is not heard, as
    he is silent or too far; a log with droppings is his main log or another near it. The likelihood of a group is the
    integral over x of the product of all these, that of all groups together the product over groups, as within a
    morning. Two birds of one morning are two males.
    """
    if not tracks:
        return SeasonBirds((), (0, 0, 0), ())
    chain = chain or ChainParams()
    score = _Score(tracks, ground, logs or AlternateLogs(ground.grid))
    allowed = _allowed(score, chain)
    start = likely_partition([frozenset([k]) for k in range(len(tracks))], score, allowed)
    drawn = sample_partitions(len(tracks), score, allowed, start, np.random.default_rng(SEED), chain)
    best = moved_partition(drawn.best, score, allowed)
    numbers, changes = season_numbers([t.day for t in tracks], best, score, allowed)
    low, high = (int(np.quantile(_counts(tracks, drawn, more or {}), end, method="nearest")) for end in ENDS)
    birds = tuple(
        SeasonBird(
            number,
            tuple((t.day, t.name) for t in (tracks[k] for k in sorted(group)) if isinstance(t, MorningBird)),
            tuple(t.name for t in (tracks[k] for k in sorted(group)) if isinstance(t, UsedLog)),
            score.place(group),
            drawn.together(sorted(group)),
        )
        for number, group in sorted((n, g) for g, n in numbers.items())
    )
    males = (max(1, min(low, len(best))), len(best), max(high, len(best)))
    return SeasonBirds(birds, males, changes, _Joined(tuple(tracks), score, drawn))


def log_quiet(
    listening: Sequence[Listening],
    places: FloatArray,
    audible: Mapping[str, Layer],
    displaying_share: float,
    earshot: EarshotParams,
) -> FloatArray:
    """Log chance that a male is not heard on a morning: he is silent, or displays where no stop hears him.

    Parameters
    ----------
    listening : the stops of that morning.
    places : of the male, shape (n, 2) [m].
    audible : by name of stop, the chance that one display in a cell is heard there.
    displaying_share : of the males, on that morning.
    earshot : how hearing weighs in.

    Returns
    -------
    ndarray
        Shape (n,), at most 0.
    """
    table = np.ones((len(places), len(NODES)))
    for where in listening:
        chance = chance_to_hear(where, places, audible.get(where.stop), earshot)
        table *= silent_table(chance, displayed_share(where, earshot), earshot.shared_loudness)
    return np.asarray(np.log1p(-displaying_share * (1 - over_loudness(table))), dtype=np.float64)


def _counts(tracks: Sequence[Track], drawn: Partitions, more: Mapping[date, IntArray]) -> FloatArray:
    """Males of each sample; a bird more on a morning is one male more as far as its birds are heard that day only."""
    rng = np.random.default_rng(SEED)
    counts = np.array([float(len(set(row.tolist()))) for row in drawn.labels])
    for day, extra in sorted(more.items()):
        own = [k for k, t in enumerate(tracks) if isinstance(t, MorningBird) and t.day == day]
        if own:
            only = np.array([[np.sum(row == row[k]) == 1 for k in own] for row in drawn.labels]).mean(axis=1)
            counts += rng.choice(extra, len(counts)) * only
    return counts


class _Score:
    """Log evidence that a group of birds of mornings and of logs is one male; remembered between calls."""

    def __init__(self, tracks: Sequence[Track], ground: SeasonGround, logs: AlternateLogs) -> None:
        self.tracks, self.ground, self.logs = tracks, ground, logs
        everywhere = np.arange(ground.grid.n_cells)
        self.plain = [self._likelihood(track) for track in tracks]
        self.spread = [logs.spread(everywhere, one, len(everywhere)) for one in self.plain]
        self.cells = [np.flatnonzero(one > one.max() - NEGLIGIBLE) for one in self.spread]
        self.base = np.sum([ground.log_males, *ground.log_quiet.values()], axis=0)
        self.known: dict[Group, float] = {}

    def _likelihood(self, track: Track) -> FloatArray:
        """Log likelihood of a track by the place of the log, shape (n_cells,)."""
        if isinstance(track, UsedLog):
            sd = figure("alternate", "place_sd_m")
            rows, cols = np.divmod(np.arange(self.ground.grid.n_cells), self.ground.grid.n_cols)
            away = np.hypot(*(self.ground.grid.xy(rows, cols) - np.asarray(track.xy_m)).T)
            found = -0.5 * (away / max(sd, self.ground.grid.cell_m / 2)) ** 2
            return np.asarray(np.maximum(found - np.log(np.exp(found).sum()), NOWHERE), dtype=np.float64)
        some = (track.place > 0) & (self.ground.log_males > NOWHERE)  # what is water holds neither male nor log
        found = np.full(self.ground.grid.n_cells, NOWHERE)
        found[some] = np.log(track.place[some]) - self.ground.log_males[some] + track.log_evidence
        return np.asarray(np.maximum(found, NOWHERE), dtype=np.float64)

    def __call__(self, group: Group) -> float:
        if group not in self.known:
            total = self.by_cell(group, cells=min((self.cells[k] for k in group), key=len))
            top = float(total.max())
            self.known[group] = top + float(np.log(np.exp(total - top).sum())) + self._names(group)
        return self.known[group]

    def by_cell(self, group: Group, *, without: int | None = None, cells: IntArray | slice = EVERYWHERE) -> FloatArray:
        """Log evidence by the cell of the main log; without one track, what all others say."""
        total = self.base[cells]
        for day in sorted({t.day for t in (self.tracks[k] for k in group) if isinstance(t, MorningBird)}):
            total = total - self.ground.log_quiet[day][cells]
        if len(group) == 1 and without is None:
            return np.asarray(total + self.plain[next(iter(group))][cells], dtype=np.float64)
        return np.asarray(total + sum(self.spread[k][cells] for k in sorted(group) if k != without), dtype=np.float64)

    def place(self, group: Group) -> Layer:
        """Chance of every cell to hold the main log of the male of a group; sums to 1."""
        total = self.by_cell(group)
        chance = np.exp(total - total.max())
        grid = self.ground.grid
        return Layer("chance of place", "1", grid, (chance / chance.sum()).reshape(grid.shape))

    def _names(self, group: Group) -> float:
        """Weight of the names that were noted with logs."""
        own = [self.tracks[k] for k in group]
        said = sum(
            isinstance(log, UsedLog) and isinstance(bird, MorningBird) and _named_for(log, bird, self.tracks)
            for log in own
            for bird in own
        )
        return figure("birds", "said_same") * said


def _named_for(log: UsedLog, bird: MorningBird, tracks: Sequence[Track]) -> bool:
    """Whether a log bears the name of this bird, on the last morning up to its day that has the name."""
    if not log.bird or log.bird != bird.name or bird.day > log.day:
        return False
    days = [t.day for t in tracks if isinstance(t, MorningBird) and t.name == log.bird and t.day <= log.day]
    return bird.day == max(days)


def _allowed(score: _Score, chain: ChainParams) -> NDArray[np.bool_]:
    tracks = score.tracks
    allowed = np.ones((len(tracks), len(tracks)), dtype=bool)
    alone = [score(frozenset([k])) for k in range(len(tracks))]
    for a, one in enumerate(tracks):
        for b, other in enumerate(tracks[:a]):
            two = isinstance(one, MorningBird) and isinstance(other, MorningBird) and one.day == other.day
            may = not two and score(frozenset([a, b])) - alone[a] - alone[b] > -chain.never
            allowed[a, b] = allowed[b, a] = may
    return allowed


@dataclass(frozen=True, eq=False)
class _Joined:
    """All ways to join, to give a bird of a morning the ground that other mornings and logs leave it."""

    tracks: tuple[Track, ...]
    score: _Score
    drawn: Partitions

    def place_of(self, day: date, name: str, place: Layer) -> Layer:
        own = [k for k, t in enumerate(self.tracks) if isinstance(t, MorningBird) and (t.day, t.name) == (day, name)]
        if not own:
            return place
        alone, joined = self._others(own[0])
        ground, logs = self.score.ground, self.score.logs
        fine = np.nan_to_num(place.values).ravel()
        spread = _chance(ground.log_males + self.score.spread[own[0]])
        places = centres_m(place.grid)
        rows, cols = ground.grid.rowcol(places)
        near = np.clip(rows, 0, ground.grid.n_rows - 1) * ground.grid.n_cols + np.clip(cols, 0, ground.grid.n_cols - 1)
        some = np.flatnonzero((fine > 0) | (spread[near] > spread.max() * SLIGHT))
        other = _between(spread, ground.grid, places[some]) * (place.grid.cell_m / ground.grid.cell_m) ** 2
        mixed = (1 - logs.share) * fine[some] + logs.share * other
        values = np.zeros(fine.size)
        values[some] = fine[some] * np.exp(_between(alone, ground.grid, places[some]))
        values[some] += mixed * np.exp(_between(joined, ground.grid, places[some]))
        return place.with_values((values / values.sum()).reshape(place.values.shape))

    def _others(self, track: int) -> tuple[FloatArray, FloatArray]:
        """Log of what all else says of each cell, over the ways to join: alone, and with others; each of (n_cells,)."""
        score, males = self.score, self.score.ground.log_males
        own = (_chance(males + score.plain[track]), _chance(males + score.spread[track]))
        found = [np.full(len(males), TINY), np.full(len(males), TINY)]
        for group, share in self.drawn.groups_of([track], [1.0]).items():
            with_others = len(group) > 1
            others = score.by_cell(group, without=track) - males
            factor = np.exp(others - others[own[with_others] > 0].max())
            found[with_others] += share * factor / max(float((own[with_others] * factor).sum()), TINY)
        return np.log(found[0]), np.log(found[1])


SLIGHT = 1e-6
"""Judgement: of the likeliest cell; what is less likely is in no ground."""


def _chance(log_weight: FloatArray) -> FloatArray:
    """Chance of each cell by the logarithm of its weight; sums to 1."""
    chance = np.exp(log_weight - log_weight.max())
    return np.asarray(chance / chance.sum(), dtype=np.float64)


def _between(values: FloatArray, grid: Grid, places_m: FloatArray) -> FloatArray:
    """Values of a grid at places, between cell centres by proportion, shape (n,)."""
    at = np.stack(
        [(grid.north_m - places_m[:, 1]) / grid.cell_m - 0.5, (places_m[:, 0] - grid.west_m) / grid.cell_m - 0.5]
    )
    return np.asarray(map_coordinates(values.reshape(grid.shape), at, order=1, mode="nearest"), dtype=np.float64)
