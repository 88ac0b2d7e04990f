"""Ways to share bearings out to birds, drawn as often as they are likely: a Markov chain over partitions.

group_likelihood.py says how likely one group is; association.py keeps the best partition for names and lists.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from hushwalk.notes.figures import figure

Group = frozenset[int]
"""Tracks of one bird, by number."""
Partition = tuple[Group, ...]


@dataclass(frozen=True)
class ChainParams:
    """How long the chain runs.

    Parameters
    ----------
    burn_in, sweeps : passes over all tracks that are thrown away, and that are kept.
    never : two tracks whose evidence together falls short by so much are never of one bird [log].
    """

    burn_in: int = int(figure("birds", "burn_in"))
    sweeps: int = int(figure("birds", "sweeps"))
    never: float = figure("birds", "never")


@dataclass(frozen=True, eq=False)
class Partitions:
    """A sample of partitions.

    Parameters
    ----------
    labels : shape (n_samples, n_tracks); tracks of one bird bear one number in a sample.
    best : the likeliest partition met.
    """

    labels: NDArray[np.int32] = field(repr=False)
    best: Partition

    def together(self, tracks: Sequence[int]) -> float:
        """Chance that all these tracks are of one bird."""
        own = self.labels[:, list(tracks)]
        return float((own == own[:, :1]).all(axis=1).mean())

    def same(self, one: Sequence[int], other: Sequence[int]) -> float:
        """Mean chance that a track of one set is of the same bird as one of the other."""
        a, b = self.labels[:, list(one)], self.labels[:, list(other)]
        return float((a[:, :, None] == b[:, None, :]).mean())

    def groups_of(self, tracks: Sequence[int], weights: Sequence[float]) -> dict[Group, float]:
        """Groups that hold most of a set of tracks, with the chance of each: the bird that the set stands for.

        Parameters
        ----------
        tracks : of a bird.
        weights : of each track, such as its number of bearings.

        Returns
        -------
        dict
            Chance by group, the likeliest first; sums to 1. Where two groups hold as many, each counts half.
        """
        found: dict[Group, float] = {}
        for row in self.labels:
            held: dict[int, float] = {}
            for track, weight in zip(tracks, weights, strict=True):
                held[int(row[track])] = held.get(int(row[track]), 0.0) + weight
            most = [label for label, weight in held.items() if weight == max(held.values())]
            for label in most:
                group = frozenset(np.flatnonzero(row == label).tolist())
                found[group] = found.get(group, 0.0) + 1 / (len(most) * len(self.labels))
        return dict(sorted(found.items(), key=lambda item: (-item[1], sorted(item[0]))))


def likely_partition(
    groups: Sequence[Group], log_evidence: Callable[[Group], float], allowed: NDArray[np.bool_]
) -> Partition:
    """Join groups while that gains, then move tracks one at a time.

    Parameters
    ----------
    groups : to begin with.
    log_evidence : of a group.
    allowed : shape (n_tracks, n_tracks), whether two tracks may be of one bird.

    Returns
    -------
    tuple of frozenset
        A partition that no joining of two and no move of one makes likelier.
    """
    never = barred(allowed)

    def gains(pairs: Iterable[tuple[Group, Group]]) -> dict[tuple[Group, Group], float]:
        may = [(a, b) for a, b in pairs if all(never[track].isdisjoint(b) for track in a)]
        return {(a, b): log_evidence(a | b) - log_evidence(a) - log_evidence(b) for a, b in may}

    left = list(groups)
    known = gains(combinations(left, 2))
    while known:
        (a, b), gain = max(known.items(), key=lambda item: item[1])
        if gain <= 0:
            break
        left = [g for g in left if g not in {a, b}]
        known = {pair: own for pair, own in known.items() if not {a, b}.intersection(pair)}
        known |= gains((other, a | b) for other in left)
        left.append(a | b)
    return moved_partition(tuple(left), log_evidence, allowed)


def barred(allowed: NDArray[np.bool_]) -> list[Group]:
    """Tracks that each track may not be of one bird with."""
    return [frozenset(np.flatnonzero(~row).tolist()) for row in allowed]


def moved_partition(groups: Partition, log_evidence: Callable[[Group], float], allowed: NDArray[np.bool_]) -> Partition:
    """Move tracks one at a time while that gains.

    Parameters
    ----------
    groups : to begin with.
    log_evidence, allowed : as in :func:`likely_partition`.

    Returns
    -------
    tuple of frozenset
        The partition that came out.
    """
    while True:
        moves = [m for g in groups for track in sorted(g) for m in other_places(track, groups, log_evidence, allowed)]
        best = max(moves, key=lambda m: m[0], default=(0.0, groups))
        if best[0] <= NO_GAIN:
            return groups
        groups = best[1]


def other_places(
    track: int, groups: Partition, log_evidence: Callable[[Group], float], allowed: NDArray[np.bool_]
) -> list[tuple[float, Partition]]:
    """Where else one track can be: alone, or with any other group that it may be in.

    Parameters
    ----------
    track : its number.
    groups : a partition.
    log_evidence, allowed : as in :func:`likely_partition`.

    Returns
    -------
    list of tuple
        What each other place gains in log evidence, and the partition that it gives.
    """
    home = next(g for g in groups if track in g)
    rest = home - {track}
    left = tuple(g for g in groups if g != home) + ((rest,) if rest else ())
    stay = log_evidence(home) - (log_evidence(rest) if rest else 0.0)
    alone: Group = frozenset([track])
    found = [(log_evidence(alone) - stay, (*left, alone))] if rest else []
    for other in [g for g in groups if g != home]:
        if allowed[track, list(other)].all():
            gain = log_evidence(other | alone) - log_evidence(other) - stay
            found.append((gain, (*(g for g in left if g != other), other | alone)))
    return found


NO_GAIN = 1e-9
"""Judgement: rounding is no gain."""


def sample_partitions(
    n_tracks: int,
    log_evidence: Callable[[Group], float],
    allowed: NDArray[np.bool_],
    start: Partition,
    rng: np.random.Generator,
    params: ChainParams | None = None,
) -> Partitions:
    """Draw partitions as often as they are likely.

    Parameters
    ----------
    n_tracks : number of tracks.
    log_evidence : of a group; that of a partition is the sum over its groups.
    allowed : shape (n_tracks, n_tracks), whether two tracks may be of one bird.
    start : partition to begin at, such as the best known.
    rng : the source of chance.
    params : how long.

    Returns
    -------
    Partitions
        One a sweep, and the likeliest met.

    Notes
    -----
    A sweep draws the bird of each track anew from its full conditional (Gibbs), then splits or merges birds with the
    sequentially allocated proposal of dahl_2005, which lets whole groups pass at once.
    """
    params = params or ChainParams()
    chain = _Chain(n_tracks, log_evidence, allowed, start, rng)
    labels = []
    for sweep in range(params.burn_in + params.sweeps):
        chain.sweep()
        if sweep >= params.burn_in:
            labels.append(chain.labels.copy())
    return Partitions(np.array(labels, dtype=np.int32).reshape(-1, n_tracks), chain.best)


class _Chain:
    """The state of the chain: the number of the bird of each track."""

    def __init__(
        self,
        n_tracks: int,
        log_evidence: Callable[[Group], float],
        allowed: NDArray[np.bool_],
        start: Partition,
        rng: np.random.Generator,
    ) -> None:
        self.score, self.barred, self.rng = log_evidence, barred(allowed), rng
        self.labels = np.zeros(n_tracks, dtype=np.int32)
        self.groups: dict[int, Group] = dict(enumerate(start))
        for label, group in self.groups.items():
            self.labels[list(group)] = label
        self.fresh = len(start)
        self.best, self.best_score = start, sum(self.score(g) for g in start)

    def sweep(self) -> None:
        for track in self.rng.permutation(len(self.labels)):
            self._draw(int(track))
        if len(self.labels) > 1:
            for _ in range(max(2, len(self.labels) // 4)):
                self._split_or_merge()
        score = sum(self.score(g) for g in self.groups.values())
        if score > self.best_score + NO_GAIN:
            self.best, self.best_score = tuple(self.groups.values()), score

    def _may(self, track: int, group: Group) -> bool:
        return self.barred[track].isdisjoint(group)

    def _gain(self, track: int, group: Group) -> float:
        alone: Group = frozenset([track])
        return self.score(group | alone) - self.score(group) if group else self.score(alone)

    def _put(self, label: int, group: Group) -> None:
        if group:
            self.groups[label] = group
            self.labels[list(group)] = label
        else:
            self.groups.pop(label, None)

    def _draw(self, track: int) -> None:
        home = int(self.labels[track])
        self._put(home, self.groups[home] - {track})
        options = [(label, group) for label, group in self.groups.items() if self._may(track, group)]
        options.append((self.fresh, frozenset()))
        gains = np.array([self._gain(track, group) for _, group in options])
        label, group = options[self._one_of(gains)[0]]
        self.fresh += label == self.fresh
        self._put(label, group | {track})

    def _one_of(self, log_weights: NDArray[np.float64]) -> tuple[int, NDArray[np.float64]]:
        chance = np.exp(log_weights - log_weights.max())
        chance /= chance.sum()
        return int(
            np.searchsorted(np.cumsum(chance), self.rng.random(), side="right").clip(max=len(chance) - 1)
        ), chance

    def _split_or_merge(self) -> None:
        one, other = (int(t) for t in self.rng.choice(len(self.labels), 2, replace=False))
        a, b = int(self.labels[one]), int(self.labels[other])
        whole = self.groups[a] | self.groups[b]
        now = sum(self.score(self.groups[label]) for label in {a, b})
        if a == b:
            first, second, log_q = self._allocated(whole, one, other, None)
            log_accept = self.score(first) + self.score(second) - now - log_q
        else:
            if not all(self._may(t, self.groups[b]) for t in self.groups[a]):
                return
            _, _, log_q = self._allocated(whole, one, other, self.groups[a])
            log_accept = self.score(whole) - now + log_q
        if np.log(max(self.rng.random(), 1e-300)) >= log_accept:
            return
        if a == b:
            self._put(a, first)
            self._put(self.fresh, second)
            self.fresh += 1
        else:
            self._put(b, frozenset())
            self._put(a, whole)

    def _allocated(self, whole: Group, one: int, other: int, known: Group | None) -> tuple[Group, Group, float]:
        """Share a group out to two seeds track by track; with ``known`` retrace how its first part comes about."""
        first, second, log_q = frozenset([one]), frozenset([other]), 0.0
        rest = sorted(whole - {one, other})
        for track in (rest[i] for i in self.rng.permutation(len(rest))):
            gains = np.array([self._gain(track, first), self._gain(track, second)])
            drawn, chance = self._one_of(gains)
            choice = drawn if known is None else int(track not in known)
            log_q += float(np.log(max(chance[choice], 1e-300)))
            if choice == 0:
                first = first | {track}
            else:
                second = second | {track}
        return first, second, log_q
