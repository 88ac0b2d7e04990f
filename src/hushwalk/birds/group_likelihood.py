"""How well one bird explains a set of bearings, place by place, of one morning or of several.

association.py asks it which bearings belong together, averaged_place.py where the bird then is.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from hushwalk.birds.alternate_logs import AlternateLogs
from hushwalk.birds.loudness import NODES, heard_table, log_sum, over_loudness, silent_table
from hushwalk.birds.posterior import (
    EarshotParams,
    chance_to_hear,
    displayed_share,
    log_at_stop,
    log_habitat,
    over_turns,
    split_stops,
    within_reach,
)
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import Bearing, Listening, stations_m
from hushwalk.types import FloatArray

Members = frozenset[int]
"""Bearings of one bird, by their place in the list of all."""


@dataclass(frozen=True, eq=False)
class HeardMorning:
    """What was heard and listened to on one morning.

    Parameters
    ----------
    bearings, listening : of that morning.
    audible : by name of stop, the chance that one display in a cell is heard there.
    displaying_share : of the males, on that morning.
    """

    bearings: tuple[Bearing, ...]
    listening: tuple[Listening, ...]
    audible: Mapping[str, Layer] = field(repr=False)
    displaying_share: float


class GroupLikelihood:
    """Log evidence of every set of bearings at every place; what does not change is laid out once.

    Parameters
    ----------
    mornings : one or several; with several, the place is that of the main log.
    places_m : shape (n, 2) [m].
    log_males : shape (n,), log of the expected number of males at each place.
    earshot : how hearing weighs in.
    logs : how a male changes logs between mornings; None where there is one morning only.

    Notes
    -----
    A bird at x with bearings on morning d has there the likelihood s_d p(bearings | x) p(heard and silent stops | x),
    s_d the share of males that display that morning; on a morning without bearings of it 1 - s_d + s_d p(silent | x).
    """

    def __init__(
        self,
        mornings: Sequence[HeardMorning],
        places_m: FloatArray,
        log_males: FloatArray,
        earshot: EarshotParams,
        logs: AlternateLogs | None = None,
    ) -> None:
        self.mornings, self.places, self.log_males = tuple(mornings), places_m, log_males
        self.earshot, self.logs = earshot, logs
        self.bearings = [b for morning in mornings for b in morning.bearings]
        self.morning_of = [k for k, morning in enumerate(mornings) for _ in morning.bearings]
        self._silent = [self._silence(morning) for morning in mornings]
        self._all_silent = [np.sum(s, axis=0) if s else np.zeros((len(NODES), len(places_m))) for s in self._silent]
        self._heard: dict[tuple[int, tuple[float, float]], FloatArray] = {}
        self._reach: dict[tuple[float, float], NDArray[np.bool_]] = {}
        self._aimed: dict[Members, FloatArray] = {}
        self._nothing = [self._unheard(k) for k in range(len(self.mornings))]
        self._known: dict[Members, float] = {}

    def __call__(self, members: Members) -> float:
        """Log of the expected number of birds that explain just these bearings."""
        if members not in self._known:
            _, total = self.by_place(members)
            self._known[members] = float(log_sum(total))
        return self._known[members]

    def at(self, places_m: FloatArray, cells: NDArray[np.int64]) -> "GroupLikelihood":
        """Give the same evidence at finer places, each in one of the cells of this.

        Parameters
        ----------
        places_m : shape (k, 2) [m].
        cells : shape (k,), number of the cell that holds each place.

        Returns
        -------
        GroupLikelihood
            Where a male changes logs, by the coarse grid.
        """
        return GroupLikelihood(self.mornings, places_m, self.log_males[cells], self.earshot)

    def by_place(self, members: Members) -> tuple[NDArray[np.int64], FloatArray]:
        """Places in reach of all stations of these bearings, and the log evidence at each."""
        near = self._near(members)
        total = self.log_males[near]
        for k in range(len(self.mornings)):
            own = frozenset(i for i in members if self.morning_of[i] == k)
            total = total + (self._displayed(k, own, near) if own else self._nothing[k][near])
        return near, total

    def in_reach(self, members: Members) -> bool:
        """Whether one bird can be in reach of the stations of all these bearings."""
        stations = stations_m([self.bearings[i] for i in members])
        return bool(np.ptp(stations, axis=0).max() <= 2 * self.earshot.cap_m)

    def _displayed(self, k: int, own: Members, near: NDArray[np.int64]) -> FloatArray:
        chosen = [self.bearings[i] for i in sorted(own)]
        morning = self.mornings[k]
        heard, silent = split_stops(chosen, morning.listening)
        kept = {id(w) for w in silent}
        table = self._all_silent[k][:, near]
        for where, one in zip(morning.listening, self._silent[k], strict=True):
            if id(where) not in kept:
                table = table - one[:, near]
        for where in heard:
            table = table + self._heard_at(k, where)[:, near]
        places = dict.fromkeys(b.xy_m for b in chosen)
        stops = [frozenset(i for i in own if self.bearings[i].xy_m == xy) for xy in places]
        aimed = over_turns([self._aimed_at(stop)[:, near] for stop in stops], self.earshot)
        found = over_loudness(table) + aimed + np.log(morning.displaying_share)
        return found if self.logs is None else self.logs.spread(near, found, len(self.places))

    def _unheard(self, k: int) -> FloatArray:
        share = self.mornings[k].displaying_share
        if len(self.mornings) == 1:
            return np.zeros(len(self.places))
        return np.asarray(np.log1p(-share + share * np.exp(over_loudness(self._all_silent[k]))), dtype=np.float64)

    def _near(self, members: Members) -> NDArray[np.int64]:
        chosen = [self.bearings[i] for i in members]
        for b in chosen:
            if b.xy_m not in self._reach:
                self._reach[b.xy_m] = within_reach(np.array([b.xy_m]), self.places, self.earshot)
        inside = np.logical_and.reduce([self._reach[b.xy_m] for b in chosen])
        if not inside.any():
            inside = within_reach(stations_m(chosen), self.places, self.earshot)
        return np.flatnonzero(inside)

    def _silence(self, morning: HeardMorning) -> list[FloatArray]:
        earshot = self.earshot
        return [
            silent_table(
                chance_to_hear(where, self.places, morning.audible.get(where.stop), earshot),
                displayed_share(where, earshot),
                earshot.shared_loudness,
            )
            for where in morning.listening
        ]

    def _heard_at(self, k: int, where: Listening) -> FloatArray:
        if (k, where.xy_m) not in self._heard:
            chance = chance_to_hear(where, self.places, self.mornings[k].audible.get(where.stop), self.earshot)
            self._heard[k, where.xy_m] = heard_table(chance, self.earshot.shared_loudness)
        return self._heard[k, where.xy_m]

    def _aimed_at(self, stop: Members) -> FloatArray:
        if stop not in self._aimed:
            self._aimed[stop] = log_at_stop([self.bearings[i] for i in sorted(stop)], self.places, self.earshot)
        return self._aimed[stop]


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
