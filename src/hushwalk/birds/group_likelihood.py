"""How well one bird explains a set of bearings of one morning, place by place.

association.py asks it which bearings belong together, averaged_place.py where the bird then is.
"""

from collections import Counter
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from hushwalk.birds.loudness import NODES, TINY, heard_table, over_loudness, silent_table
from hushwalk.birds.posterior import (
    EarshotParams,
    chance_to_hear,
    density_at_stop,
    displayed_share,
    log_habitat,
    over_turns,
    within_reach,
)
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import Bearing, Listening
from hushwalk.types import FloatArray, IntArray

Members = frozenset[int]
"""Bearings of one bird, by their place in the list of all."""
Stop = tuple[tuple[float, float], str]
"""Where bearings were taken [m], and the name of the stop."""


class GroupLikelihood:
    """Evidence of every set of bearings at every place; what does not change is laid out once.

    Parameters
    ----------
    bearings, listening : of one morning.
    places_m : shape (n, 2) [m].
    log_males : shape (n,), log of the expected number of males at each place that display.
    earshot : how hearing weighs in.
    audible : by name of stop, the chance that one display in a cell is heard there.
    cells : grid whose cells stand for the places in them as far as hearing goes; None for each place its own.

    Notes
    -----
    A bird at x with these bearings has there the likelihood p(bearings | x) p(heard and silent stops | x). Chances are
    multiplied as they are, without logarithms: for each stop that heard the bird the table of all stops silent is
    multiplied by the ratio of heard to silent.
    """

    def __init__(
        self,
        bearings: Sequence[Bearing],
        listening: Sequence[Listening],
        places_m: FloatArray,
        log_males: FloatArray,
        earshot: EarshotParams,
        *,
        audible: Mapping[str, Layer] | None = None,
        cells: Grid | None = None,
    ) -> None:
        self.bearings, self.listening = tuple(bearings), tuple(listening)
        self.places, self.log_males = places_m, log_males
        self.earshot, self.audible = earshot, audible or {}
        self._males = np.exp(log_males)
        self._spots, self._spot_of = _spots(places_m, cells)
        self._silent = self._silence()
        self._all_silent = np.multiply.reduce([np.ones((len(self._spots), len(NODES))), *self._silent])
        self._heard: dict[Stop, FloatArray] = {}
        self._reach: dict[tuple[float, float], NDArray[np.bool_]] = {}
        self._aimed: dict[Members, FloatArray] = {}
        self._sets: dict[tuple[Stop, ...], tuple[IntArray, FloatArray]] = {}
        self._known: dict[Members, float] = {}
        self._beyond = False

    def __call__(self, members: Members) -> float:
        """Log of the expected number of birds that explain just these bearings."""
        if members not in self._known:
            _, chance = self.by_place(members)
            self._known[members] = float(np.log(max(float(chance.sum()), TINY)))
        return self._known[members]

    def at(self, places_m: FloatArray, cells: IntArray, grid: Grid) -> "GroupLikelihood":
        """Give the same evidence at finer places, each in one of the cells of this.

        Parameters
        ----------
        places_m : shape (k, 2) [m].
        cells : shape (k,), number of the cell that holds each place.
        grid : of the layers of hearing, which say no more than one figure a cell.

        Returns
        -------
        GroupLikelihood
            Of the same morning.
        """
        males, spots = self.log_males[cells], grid if self.audible else None
        return GroupLikelihood(
            self.bearings, self.listening, places_m, males, self.earshot, audible=self.audible, cells=spots
        )

    def by_place(self, members: Members) -> tuple[IntArray, FloatArray]:
        """Places in reach of all stations of these bearings, and the expected number of such birds at each."""
        stops: dict[tuple[float, float], list[int]] = {}
        for i in sorted(members):
            stops.setdefault(self.bearings[i].xy_m, []).append(i)
        near, heard = self._heard_from(tuple(sorted((xy, self.bearings[own[-1]].stop) for xy, own in stops.items())))
        aimed = over_turns([self._aimed_at(frozenset(own))[near] for own in stops.values()], self.earshot)
        return near, heard * aimed

    def in_reach(self, members: Members) -> bool:
        """Whether there is a place in reach of the stations of all these bearings."""
        stops = {self.bearings[i].xy_m for i in members}
        return bool(np.logical_and.reduce([self._in_reach(xy) for xy in stops]).any())

    def _heard_from(self, stops: tuple[Stop, ...]) -> tuple[IntArray, FloatArray]:
        """Places in reach of all these stops, and the expected number of birds at each that just they hear."""
        if stops not in self._sets:
            near = self._near({xy for xy, _ in stops})
            self._sets[stops] = near, self._males[near] * self._hearing(stops, near)
        return self._sets[stops]

    def _hearing(self, stops: tuple[Stop, ...], near: IntArray) -> FloatArray:
        """Chance of these stops to hear the bird and of all others not to, shape of ``near``."""
        spots: IntArray | slice = near if self._spot_of is None else slice(None)
        table = self._all_silent[spots].copy()
        for stop in stops:
            table *= self._heard_at(stop)[spots]
        for k, times in Counter(k for stop in stops for k in self._listening_of(stop)).items():
            if times > 1:  # two places with the name of one stop: its silence is taken off once
                table *= self._silent[k][spots] ** (times - 1)
        found = over_loudness(table)
        return found if self._spot_of is None else found[self._spot_of[near]]

    def _heard_at(self, key: Stop) -> FloatArray:
        """Chance to be heard at a stop over the chance not to be, by loudness, shape (spots, 9)."""
        if key not in self._heard:
            xy, stop = key
            some = slice(None) if self._spot_of is not None else self._worked_out(xy)
            chance = chance_to_hear(Listening(stop, xy), self._spots[some], self.audible.get(stop), self.earshot)
            part = heard_table(chance, self.earshot.shared_loudness)
            for k in self._listening_of(key):
                part /= self._silent[k][some]
            self._heard[key] = np.zeros((len(self._spots), len(NODES)))
            self._heard[key][some] = part
        return self._heard[key]

    def _listening_of(self, key: Stop) -> tuple[int, ...]:
        xy, stop = key
        return tuple(k for k, w in enumerate(self.listening) if (stop and w.stop == stop) or w.xy_m == xy)

    def _silence(self) -> list[FloatArray]:
        """Chance of each stop not to hear the bird, by loudness, each of shape (spots, 9)."""
        earshot = self.earshot
        return [
            silent_table(
                chance_to_hear(where, self._spots, self.audible.get(where.stop), earshot),
                displayed_share(where, earshot),
                earshot.shared_loudness,
            )
            for where in self.listening
        ]

    def _near(self, stops: set[tuple[float, float]]) -> IntArray:
        inside = np.logical_and.reduce([self._in_reach(xy) for xy in stops])
        if not inside.any():
            inside = within_reach(np.array(list(stops)), self.places, self.earshot)
            self._beyond = True
            self._heard.clear()
            self._aimed.clear()
        return np.flatnonzero(inside)

    def _in_reach(self, xy: tuple[float, float]) -> NDArray[np.bool_]:
        if xy not in self._reach:
            self._reach[xy] = within_reach(np.array([xy]), self.places, self.earshot)
        return self._reach[xy]

    def _worked_out(self, xy: tuple[float, float]) -> IntArray | slice:
        """Places that a stop is worked out for: those in its reach, as long as no group needs others."""
        return slice(None) if self._beyond else np.flatnonzero(self._in_reach(xy))

    def _aimed_at(self, stop: Members) -> FloatArray:
        if stop not in self._aimed:
            own = [self.bearings[i] for i in sorted(stop)]
            some = self._worked_out(own[0].xy_m)
            part = density_at_stop(own, self.places[some], self.earshot)
            self._aimed[stop] = np.zeros((len(self.places), part.shape[1]))
            self._aimed[stop][some] = part
        return self._aimed[stop]


def _spots(places_m: FloatArray, cells: Grid | None) -> tuple[FloatArray, IntArray | None]:
    """Places that hearing is worked out at, and the number of that of each place; None where each is its own."""
    if cells is None:
        return places_m, None
    rows, cols = cells.rowcol(places_m)
    rows, cols = rows - rows.min(initial=0), cols - cols.min(initial=0)
    _, first, of = np.unique(rows * (cols.max(initial=0) + 1) + cols, return_index=True, return_inverse=True)
    rows, cols = cells.rowcol(places_m[first])
    return cells.xy(rows, cols), of


def log_males(
    habitat: Layer | None, closed: Layer | None, places_m: FloatArray, males_a_cell: float, earshot: EarshotParams
) -> FloatArray:
    """Log of the expected number of males at each place before anything was heard.

    Parameters
    ----------
    habitat : density or suitability in any unit, or None.
    closed : above 0 where no bird can be, or None.
    places_m : shape (n, 2) [m].
    males_a_cell : mean number of males a place [1].
    earshot : share of birds that pay no heed to the layer.

    Returns
    -------
    ndarray
        Shape (n,); minus a thousand where no bird can be.
    """
    found = log_habitat(habitat, places_m, earshot) + np.log(males_a_cell)
    if closed is not None:
        found = np.where(closed.at(places_m) > 0, NO_BIRD, found)
    return np.asarray(found, dtype=np.float64)


NO_BIRD = -1000.0
"""Judgement: the log of a chance so small that it stands for none, and still finite."""
