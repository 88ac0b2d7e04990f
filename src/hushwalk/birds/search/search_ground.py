"""Ground to search: whose log lies where, no cell twice, without ground that no path leads to, and what was searched.

search_effort.py says which of it is worth the time.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from hushwalk.birds.fix import Fix
from hushwalk.birds.search.search_effort import EffortParams, Likelihood
from hushwalk.grid.layer import Layer
from hushwalk.grid.polyline import polyline_length
from hushwalk.notes.bearing import metres_of
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.notes import LonLat, SessionNote
from hushwalk.science.search_theory import after_search
from hushwalk.types import FloatArray

FAINT = 1e-3  # judgement: a cell with less than a thousandth of the best cell's chance is never walked
STEP_M = 2.0  # judgement: a line is looked at every two metres
BEYOND = 4.0  # judgement: beyond four standard deviations nothing is seen
_LINE = re.compile(r"sweep ([\d.]+) m along ((?:-?\d+\.\d+ -?\d+\.\d+(?:, )?)+)")


@dataclass(frozen=True, eq=False)
class Searched:
    """Ground that was searched.

    Parameters
    ----------
    line_m : as walked, shape (k, 2) [m]; a single place where only that was noted.
    sweep_m : width seen from it [m].
    length_m : of what was walked [m].
    """

    line_m: FloatArray = field(repr=False)
    sweep_m: float
    length_m: float

    def coverage(self, xy_m: FloatArray) -> FloatArray:
        """Effort ``W L / A`` at some places, of shape (n, 2) [m]; shape (n,).

        Notes
        -----
        What is seen falls off from the line as a normal curve whose standard deviation is half the sweep width. Where
        only a place is known, what was walked is spread evenly over the disc that strips of the usual width would fill.
        """
        if len(self.line_m) < 2:  # noqa: PLR2004 - a line has two ends
            radius = np.sqrt(self.length_m * EffortParams().strip_m / np.pi)
            inside = np.hypot(*(xy_m - self.line_m[0]).T) <= radius
            return np.asarray(inside * self.sweep_m / EffortParams().strip_m)
        points, sd, density = _dense(self.line_m), self.sweep_m / 2, np.zeros(len(xy_m))
        low, high = points.min(axis=0) - BEYOND * sd, points.max(axis=0) + BEYOND * sd
        for k in np.flatnonzero(((xy_m >= low) & (xy_m <= high)).all(axis=1)):
            away = ((points - xy_m[k]) ** 2).sum(axis=1)
            density[k] = np.exp(-away / (2 * sd**2)).sum() * STEP_M / (2 * np.pi * sd**2)
        return self.sweep_m * density


def search_remark(lonlat: Sequence[LonLat], sweep_m: float) -> str:
    """Write what was walked into the remark of a session, to be read back by :func:`searched_ground`.

    Examples
    --------
    >>> search_remark([(-90.33012, 47.38123), (-90.33, 47.3812)], 9.6)
    'sweep 9.6 m along 47.38123 -90.33012, 47.38120 -90.33000'
    """
    return f"sweep {sweep_m:.1f} m along " + ", ".join(f"{lat:.5f} {lon:.5f}" for lon, lat in lonlat)


def searched_ground(sessions: Sequence[LedgerRow], epsg: int, params: EffortParams) -> tuple[Searched, ...]:
    """Read what was searched from the sessions of the ledger.

    Parameters
    ----------
    sessions : rows of the ledger; only those that say search count.
    epsg : projected system of the grid to work on.
    params : how ground is searched, where a note only says from when to when.

    Returns
    -------
    tuple of Searched
        One a session that says what was walked, or at least where and for how long.
    """
    found = []
    for row in sessions:
        said = row.note
        if not isinstance(said, SessionNote) or said.session != "search":
            continue
        if match := _LINE.search(said.remark):
            places = [tuple(map(float, pair.split())) for pair in match[2].rstrip(", ").split(", ")]
            line = np.array([metres_of((lon, lat), epsg) for lat, lon in places])
            found.append(Searched(line, float(match[1]), polyline_length(line)))
        elif said.place and said.end:
            length = (said.end - said.at).total_seconds() * params.pace_ms
            found.append(Searched(np.array([metres_of(said.place, epsg)]), params.sweep_m, length))
    return tuple(found)


def grounds_to_search(
    fixes: Sequence[Fix],
    others: Layer | None = None,
    reachable: Layer | None = None,
    searched: Sequence[Searched] = (),
) -> tuple[Likelihood, ...]:
    """Share ground out to birds: each cell goes to the bird whose log it most likely holds.

    Parameters
    ----------
    fixes : one a bird still to be found.
    others : logs of males that were not heard, as a density [1/km2]; None for none.
    reachable : known where a path leads; None for everywhere.
    searched : earlier searches, which lower the chance of what they covered and never clear it.

    Returns
    -------
    tuple of Likelihood
        One a bird that has ground of its own; a bird whose ground all lies under another's is found there.
    """
    cells = [_cells(fix, reachable) for fix in fixes]
    kept = [k for k, (xy, _) in enumerate(cells) if len(xy)]
    if not kept:
        return ()
    cell_m = min(fixes[k].chance.grid.cell_m for k in kept)
    origin = cells[kept[0]][0][0]
    steps = [np.round((cells[k][0] - origin) / cell_m).astype(np.int64) for k in kept]
    whole, of = np.unique(np.concatenate(steps), axis=0, return_inverse=True)
    at = np.split(of.ravel(), np.cumsum([len(own) for own in steps])[:-1])
    chance, here = np.zeros((len(kept), len(whole))), np.zeros((len(kept), len(whole)), dtype=bool)
    for row, k in enumerate(kept):
        chance[row, at[row]], here[row, at[row]] = _lowered(*cells[k], searched), True
    owner = np.where(chance.max(axis=0) > 0, chance.argmax(axis=0), -1)
    made = []
    for row, k in enumerate(kept):
        own = at[row][owner[at[row]] == row]
        if not len(own):
            continue
        xy = origin + whole[own] * cell_m
        among = [j for j in range(len(kept)) if here[j, own].any()]
        among.sort(key=lambda j: int(np.argmax(here[j, own])))
        by_bird = {fixes[kept[j]].bird: chance[j, own] for j in among}
        total = np.sum(list(by_bird.values()), axis=0) + _unheard(others, xy, cell_m, searched)
        made.append(Likelihood(fixes[k].bird, xy, total, cell_m, by_bird))
    return tuple(made)


def _cells(fix: Fix, reachable: Layer | None) -> tuple[FloatArray, FloatArray]:
    """Centres of the cells of a fix that are worth a look and can be walked to, and their chance."""
    values = np.nan_to_num(fix.chance.values)
    rows, cols = np.nonzero(values > FAINT * values.max())
    xy, chance = fix.chance.grid.xy(rows, cols), values[rows, cols]
    if reachable is not None:
        known = np.isfinite(reachable.at(xy))
        xy, chance = xy[known], chance[known]
    return xy, chance


def _lowered(xy_m: FloatArray, chance: FloatArray, searched: Sequence[Searched]) -> FloatArray:
    if not searched:
        return chance
    effort = np.sum([one.coverage(xy_m) for one in searched], axis=0)
    return after_search(chance, -np.expm1(-effort))


def _unheard(others: Layer | None, xy_m: FloatArray, cell_m: float, searched: Sequence[Searched]) -> FloatArray:
    if others is None:
        return np.zeros(len(xy_m))
    density = np.nan_to_num(others.at(xy_m)) * cell_m**2 / 1e6
    effort = np.sum([one.coverage(xy_m) for one in searched], axis=0) if searched else np.zeros(len(xy_m))
    return np.asarray(density * np.exp(-effort))


def _dense(line_m: FloatArray) -> FloatArray:
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line_m, axis=0).T))])
    at = np.arange(STEP_M / 2, along[-1], STEP_M)
    return np.column_stack([np.interp(at, along, line_m[:, 0]), np.interp(at, along, line_m[:, 1])])
