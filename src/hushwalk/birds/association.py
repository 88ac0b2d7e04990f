"""Which bearings belong to which bird when several display at once: by likelihood, open to be changed.

fix.py then finds where each bird is.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations

import numpy as np

from hushwalk.birds.loudness import NODES, heard_table, over_loudness, silent_table
from hushwalk.birds.posterior import (
    EarshotParams,
    centres_m,
    chance_to_hear,
    displayed_share,
    log_bearing,
    log_habitat,
    split_stops,
    window,
    within_reach,
)
from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import Bearing, Listening, stations_m
from hushwalk.notes.figures import figure

Track = tuple[int, ...]
"""Bearings that belong together beforehand, by their place in the list."""
Group = frozenset[Track]


@dataclass(frozen=True)
class AssociationParams:
    """What is expected before anything was heard.

    Parameters
    ----------
    males_per_km2 : where no layer says it.
    displaying_share : of the males, on one morning.
    said_same : weight of the person's own name for a bird at two stops [log odds].
    earshot : how hearing weighs in; its cell is that of the sums here.
    """

    males_per_km2: float = figure("birds", "males_per_km2")
    displaying_share: float = figure("birds", "displaying_share")
    said_same: float = figure("birds", "said_same")
    earshot: EarshotParams = field(default_factory=lambda: EarshotParams(cell_m=figure("birds", "cell_m")))


@dataclass(frozen=True)
class AssociatedBird:
    """One bird: its name, the keys of its bearings, and how sure each is (odds against its next best place).

    No odds where names are kept as noted.
    """

    name: str
    uids: tuple[str, ...]
    odds: tuple[float, ...]


@dataclass(frozen=True)
class Association:
    """Which bearing belongs to which bird, as proposed."""

    birds: tuple[AssociatedBird, ...]

    @property
    def bird_of(self) -> dict[str, str]:
        """Name of the bird by key of the bearing."""
        return {uid: bird.name for bird in self.birds for uid in bird.uids}


def bearings_by_bird(bearings: Sequence[Bearing], bird_of: Mapping[str, str]) -> dict[str, tuple[Bearing, ...]]:
    """Sort bearings by bird, as proposed or as the person has changed it.

    Parameters
    ----------
    bearings : all of them.
    bird_of : name of the bird by key of the bearing; a bearing that is not in it keeps the bird that was noted.

    Returns
    -------
    dict
        Bearings by name of the bird; bearings of no bird are left out.
    """
    found: dict[str, list[Bearing]] = {}
    for bearing in bearings:
        bird = bird_of.get(bearing.uid, bearing.bird)
        if bird:
            found.setdefault(bird, []).append(replace(bearing, bird=bird))
    return {bird: tuple(found[bird]) for bird in sorted(found)}


def associate(
    bearings: Sequence[Bearing],
    listening: Sequence[Listening],
    grid: Grid,
    *,
    habitat: Layer | None = None,
    audible: Mapping[str, Layer] | None = None,
    params: AssociationParams | None = None,
) -> Association:
    """Propose which bearings are of one bird.

    Parameters
    ----------
    bearings : of one morning. Two names at one stop are two birds; pinned names are kept.
    listening : all stops of that morning.
    grid : of the trip.
    habitat, audible : as for a fix.
    params : what is expected beforehand.

    Returns
    -------
    Association
        Every bearing in one bird, with the odds of it; birds in the order of their first bearing.

    Raises
    ------
    InputError
        If there is no bearing, or pinned names contradict each other.

    Notes
    -----
    Birds are a Poisson process of density l(x). A way to share the bearings out has the likelihood of the product over
    birds of the integral of l(x) p(bearings | x) p(heard and not heard | x). The best is sought by joining groups
    while that gains, then by moving one at a time.
    """
    if not bearings:
        raise InputError("there is no bearing to share out")
    score = _Score(bearings, listening, grid, habitat, audible, params or AssociationParams())
    tracks = _tracks(bearings)
    groups = _moved(_joined([frozenset([t]) for t in tracks], score, bearings), score, bearings)
    return _association(groups, score, bearings)


class _Score:
    """Log evidence of a group of bearings, remembered between calls; what does not change is laid out beforehand."""

    def __init__(
        self,
        bearings: Sequence[Bearing],
        listening: Sequence[Listening],
        grid: Grid,
        habitat: Layer | None,
        audible: Mapping[str, Layer] | None,
        params: AssociationParams,
    ) -> None:
        self.bearings, self.listening, self.params = bearings, listening, params
        earshot, layers = params.earshot, audible or {}
        fine = window(grid, stations_m(bearings), earshot)
        self.places = centres_m(fine)
        self.aimed = [log_bearing(b, self.places, earshot) for b in bearings]
        rate = params.males_per_km2 * params.displaying_share * fine.cell_area_km2
        self.prior = log_habitat(habitat, self.places, earshot) + np.log(rate)
        self.reach = {xy: within_reach(np.array([xy]), self.places, earshot) for xy in {b.xy_m for b in bearings}}
        self.heard = {
            b.xy_m: heard_table(
                chance_to_hear(Listening(b.stop, b.xy_m), self.places, layers.get(b.stop), earshot),
                earshot.shared_loudness,
            )
            for b in {b.xy_m: b for b in bearings}.values()
        }
        self.silent = [
            silent_table(
                chance_to_hear(w, self.places, layers.get(w.stop), earshot),
                displayed_share(w, earshot),
                earshot.shared_loudness,
            )
            for w in listening
        ]
        self.all_silent = np.sum(self.silent, axis=0) if self.silent else np.zeros((len(NODES), len(self.places)))
        self.known: dict[Group, float] = {}

    def __call__(self, group: Group) -> float:
        """Log of the expected number of birds that explain the group, and the weight of the names given."""
        if group not in self.known:
            self.known[group] = self._evidence(group)
        return self.known[group]

    def _evidence(self, group: Group) -> float:
        members = sorted(i for track in group for i in track)
        chosen = [self.bearings[i] for i in members]
        inside = np.logical_and.reduce([self.reach[b.xy_m] for b in chosen])
        if not inside.any():
            inside = within_reach(stations_m(chosen), self.places, self.params.earshot)
        near = np.flatnonzero(inside)
        heard, silent = split_stops(chosen, self.listening)
        kept = {id(w) for w in silent}
        table = self.all_silent[:, near]
        for where, own in zip(self.listening, self.silent, strict=True):
            if id(where) not in kept:
                table = table - own[:, near]
        for where in heard:
            table = table + self.heard[where.xy_m][:, near]
        total = self.prior[near] + over_loudness(table) + sum(self.aimed[i][near] for i in members)
        names = [b.bird for b in chosen if b.bird]
        bonus = self.params.said_same * (len(names) - len(set(names)))
        return float(np.logaddexp.reduce(total)) + bonus


def _tracks(bearings: Sequence[Bearing]) -> list[Track]:
    found: dict[tuple[str, ...], list[int]] = {}
    for i, bearing in enumerate(bearings):
        own = bearing.stop or f"{bearing.xy_m}"
        key = ("pinned", bearing.bird) if bearing.pinned else (own, bearing.bird) if bearing.bird else ("alone", str(i))
        found.setdefault(key, []).append(i)
    return [tuple(t) for t in found.values()]


def _may_join(a: Group, b: Group, bearings: Sequence[Bearing]) -> bool:
    pairs = [(bearings[i], bearings[j]) for s in a for t in b for i in s for j in t]
    apart = any(
        x.bird and y.bird and x.bird != y.bird and ((x.stop == y.stop) or (x.pinned and y.pinned)) for x, y in pairs
    )
    return not apart


def _joined(groups: list[Group], score: _Score, bearings: Sequence[Bearing]) -> list[Group]:
    while True:
        gains = [
            (score(a | b) - score(a) - score(b), a, b) for a, b in combinations(groups, 2) if _may_join(a, b, bearings)
        ]
        best = max(gains, key=lambda g: g[0], default=(0.0, None, None))
        if best[0] <= 0 or best[1] is None or best[2] is None:
            return groups
        groups = [g for g in groups if g not in {best[1], best[2]}] + [best[1] | best[2]]


def _options(
    track: Track, groups: list[Group], score: _Score, bearings: Sequence[Bearing]
) -> list[tuple[float, list[Group]]]:
    home = next(g for g in groups if track in g)
    rest = home - {track}
    left = [g for g in groups if g != home] + ([rest] if rest else [])
    stay = score(home)
    alone: Group = frozenset([track])
    found = [(score(rest) + score(alone) - stay, [*left, alone])] if rest else []
    for other in [g for g in groups if g != home]:
        if _may_join(alone, other, bearings):
            gain = (score(rest) if rest else 0.0) + score(other | alone) - stay - score(other)
            found.append((gain, [*(g for g in left if g != other), other | alone]))
    return found


def _moved(groups: list[Group], score: _Score, bearings: Sequence[Bearing]) -> list[Group]:
    while True:
        moves = [option for g in groups for t in sorted(g) for option in _options(t, groups, score, bearings)]
        best = max(moves, key=lambda m: m[0], default=(0.0, groups))
        if best[0] <= 1e-9:  # noqa: PLR2004 - judgement: rounding is no gain
            return groups
        groups = best[1]


def _association(groups: list[Group], score: _Score, bearings: Sequence[Bearing]) -> Association:
    ordered = sorted(groups, key=lambda g: min(t for track in g for t in track))
    taken: set[str] = set()
    birds = []
    for group in ordered:
        members = sorted(i for track in group for i in track)
        name = _name([bearings[i] for i in members], taken)
        taken.add(name)
        odds: dict[int, float] = {}
        for track in group:
            worst = max((gain for gain, _ in _options(track, groups, score, bearings)), default=-np.inf)
            odds |= dict.fromkeys(track, float(np.exp(min(-worst, 50.0))))
        birds.append(AssociatedBird(name, tuple(bearings[i].uid for i in members), tuple(odds[i] for i in members)))
    return Association(tuple(birds))


def _name(members: Sequence[Bearing], taken: set[str]) -> str:
    pinned = [b.bird for b in members if b.pinned and b.bird]
    names = [b.bird for b in members if b.bird]
    wanted = pinned or sorted(set(names), key=lambda n: (-names.count(n), n))
    free = [n for n in wanted if n not in taken]
    number = 1
    while f"B{number}" in taken:
        number += 1
    return free[0] if free else f"B{number}"
