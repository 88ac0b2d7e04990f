"""Which bearings belong to which bird when several display at once: by likelihood, open to be changed.

group_likelihood.py weighs a group, partitions.py draws ways to share out; fix.py then finds where each bird is.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from itertools import combinations, pairwise

import numpy as np
from numpy.typing import NDArray

from hushwalk.birds.group_likelihood import GroupLikelihood, Members, log_males
from hushwalk.birds.partitions import (
    ChainParams,
    Group,
    Partition,
    Partitions,
    likely_partition,
    moved_partition,
    other_places,
    sample_partitions,
)
from hushwalk.birds.posterior import EarshotParams, centres_m, window
from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import Bearing, Listening, stations_m
from hushwalk.notes.figures import figure

Track = tuple[int, ...]
"""Bearings that belong together beforehand, by their place in the list."""
ONE_MINUTE = timedelta(minutes=1)
"""Definition: two bearings of one minute at one stop are of two birds."""
NO_TIME = datetime.min.replace(tzinfo=UTC)
"""Definition: sorts a bearing without a time before all others."""
SEED = 24
"""Definition: the same notes give the same answer every time."""


@dataclass(frozen=True)
class AssociationParams:
    """What is expected before anything was heard.

    Parameters
    ----------
    males_per_km2 : where no layer says it.
    displaying_share : of the males, on one morning.
    said_same, said_other : weight of the person's own name for a bird at two stops, and against joining two names
        of which each was given at two stops [log odds].
    said_closing : weight of the same name where the second bearing followed the first within ``closing_min`` minutes
        and ``closing_m`` metres, as on the way towards a bird that goes on displaying [log odds].
    earshot : how hearing weighs in; its cell is that of the sums here.
    chain : how many ways to share out are drawn.
    """

    males_per_km2: float = figure("birds", "males_per_km2")
    displaying_share: float = figure("birds", "displaying_share")
    said_same: float = figure("birds", "said_same")
    said_other: float = figure("birds", "said_other")
    said_closing: float = figure("birds", "said_closing")
    closing_min: float = figure("birds", "closing_min")
    closing_m: float = figure("birds", "closing_m")
    earshot: EarshotParams = field(default_factory=lambda: EarshotParams(cell_m=figure("birds", "cell_m")))
    chain: ChainParams = field(default_factory=ChainParams)


@dataclass(frozen=True)
class AssociatedBird:
    """One bird: its name, the keys of its bearings, and how sure each is (odds against its next best place).

    ``one_bird`` is the chance that all of them are of one bird. No odds and no chance where names are kept as noted.
    """

    name: str
    uids: tuple[str, ...]
    odds: tuple[float, ...]
    one_bird: float | None = None


@dataclass(frozen=True)
class MaybeOne:
    """Two birds of the list that may be one, and the chance of it."""

    names: tuple[str, str]
    chance: float


@dataclass(frozen=True, eq=False)
class SharingOut:
    """All ways to share bearings out, as often as they are likely.

    Parameters
    ----------
    evidence : of every group of bearings, on the grid.
    grid : of the evidence.
    tracks : bearings that belong together beforehand.
    partitions : of the tracks.
    """

    evidence: GroupLikelihood = field(repr=False)
    grid: Grid
    tracks: tuple[Track, ...]
    partitions: Partitions = field(repr=False)

    def groups_of(self, uids: Sequence[str]) -> dict[Members, float]:
        """Groups of bearings that hold a bearing of a set, by the chance of each; sums to 1."""
        wanted = set(uids)
        own = [k for k, track in enumerate(self.tracks) if self.evidence.bearings[track[0]].uid in wanted]
        found = self.partitions.groups_of(own, [len(self.tracks[k]) for k in own])
        return {_members(group, self.tracks): chance for group, chance in found.items()}


@dataclass(frozen=True)
class Association:
    """Which bearing belongs to which bird, as proposed; other ways to share out are in ``sharing``."""

    birds: tuple[AssociatedBird, ...]
    maybe_one: tuple[MaybeOne, ...] = ()
    sharing: SharingOut | None = field(default=None, repr=False)

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


def named_bird(said: str, names: Collection[str]) -> str:
    """Give the bird of a list that is meant: in small letters, or by its number alone, it is the same.

    Raises
    ------
    InputError
        If there is none of that name.
    """
    wanted = said.strip().upper()
    for name in (said, wanted, f"B{wanted}", f"B0{wanted}"):
        if name in names:
            return name
    raise InputError(f"no bird is called {said!r} that morning; there are {', '.join(names)}")


def associate(
    bearings: Sequence[Bearing],
    listening: Sequence[Listening],
    grid: Grid,
    *,
    habitat: Layer | None = None,
    audible: Mapping[str, Layer] | None = None,
    closed: Layer | None = None,
    params: AssociationParams | None = None,
) -> Association:
    """Propose which bearings are of one bird.

    Parameters
    ----------
    bearings : of one morning. Two names at one stop are two birds, and so are two bearings of one minute there;
        pinned names are kept.
    listening : all stops of that morning.
    grid : of the trip.
    habitat, audible, closed : as for a fix.
    params : what is expected beforehand.

    Returns
    -------
    Association
        Every bearing in one bird, with the odds of it; birds in the order of their first bearing.

    Raises
    ------
    InputError
        If there is no bearing.

    Notes
    -----
    Birds are a Poisson process of density l(x). A way to share the bearings out has the likelihood of the product over
    birds of the integral of l(x) p(bearings | x) p(heard and not heard | x). The best is sought by joining groups
    while that gains, by moving one at a time, and by a Markov chain that also says how likely the others are.
    """
    if not bearings:
        raise InputError("there is no bearing to share out")
    params = params or AssociationParams()
    fine = window(grid, stations_m(bearings), params.earshot)
    places = centres_m(fine)
    males_a_cell = params.males_per_km2 * fine.cell_area_km2 * params.displaying_share
    displaying = log_males(habitat, closed, places, males_a_cell, params.earshot)
    evidence = GroupLikelihood(bearings, listening, places, displaying, params.earshot, audible=audible)
    return share_out(evidence, fine, params)


def share_out(evidence: GroupLikelihood, grid: Grid, params: AssociationParams) -> Association:
    """Share bearings out by their evidence.

    Parameters
    ----------
    evidence : of every group of bearings.
    grid : that its places lie on.
    params : weight of names, length of the chain.

    Returns
    -------
    Association
        The likeliest way found, and the chain of all.
    """
    tracks = _tracks(evidence)
    score = _Score(evidence, tracks, params)
    allowed = _allowed(score, params.chain)
    alone: list[Group] = [frozenset([k]) for k in range(len(tracks))]
    start = likely_partition(alone, score, allowed)
    chain = sample_partitions(len(tracks), score, allowed, start, np.random.default_rng(SEED), params.chain)
    best = moved_partition(chain.best, score, allowed)
    birds = _birds(best, score, allowed, chain)
    return Association(
        tuple(bird for _, bird in birds),
        _maybe_one([(group, bird.name) for group, bird in birds], chain),
        SharingOut(evidence, grid, tuple(tracks), chain),
    )


class _Score:
    """Log evidence of a group of tracks, and the weight of the names given; remembered between calls."""

    def __init__(self, evidence: GroupLikelihood, tracks: Sequence[Track], params: AssociationParams) -> None:
        self.evidence, self.tracks, self.params = evidence, tracks, params
        self.bearings = evidence.bearings
        places: dict[str, set[tuple[float, float]]] = {}
        for bearing in evidence.bearings:
            places.setdefault(bearing.bird, set()).add(bearing.xy_m)
        self.kept_up = {name for name, where in places.items() if name and len(where) > 1}
        self.known: dict[Group, float] = {}

    def __call__(self, group: Group) -> float:
        """Log of the expected number of birds that explain the group, with a weight for each name given again."""
        if group not in self.known:
            members = _members(group, self.tracks)
            names = {self.bearings[i].bird for i in members} - {""}
            again = sum(
                self._said([self.bearings[i] for i in members if self.bearings[i].bird == name]) for name in names
            )
            others = max(len(self.kept_up.intersection(names)) - 1, 0)
            self.known[group] = self.evidence(members) + again - self.params.said_other * others
        return self.known[group]

    def _said(self, own: Sequence[Bearing]) -> float:
        """Weight of one name given again and again: each time by how near it followed another of that name."""
        params, weight = self.params, 0.0
        for x, y in pairwise(sorted(own, key=lambda b: (b.at or NO_TIME, b.uid))):
            near = x.at is not None and y.at is not None and y.at - x.at <= timedelta(minutes=params.closing_min)
            near = near and float(np.hypot(x.xy_m[0] - y.xy_m[0], x.xy_m[1] - y.xy_m[1])) <= params.closing_m
            weight += params.said_closing if near else params.said_same
        return weight


def _members(group: Group, tracks: Sequence[Track]) -> Members:
    return frozenset(i for k in group for i in tracks[k])


def _tracks(evidence: GroupLikelihood) -> list[Track]:
    found: dict[tuple[object, ...], list[int]] = {}
    for i, bearing in enumerate(evidence.bearings):
        own = bearing.stop or f"{bearing.xy_m}"
        key: tuple[object, ...] = ("alone", i)
        if bearing.pinned or bearing.bird:
            key = ("pinned" if bearing.pinned else own, bearing.bird)
        found.setdefault(key, []).append(i)
    return [tuple(t) for t in found.values()]


def _allowed(score: _Score, chain: ChainParams) -> NDArray[np.bool_]:
    """Whether two tracks may be of one bird: by what was noted, and unless the evidence is far against it."""
    count = len(score.tracks)
    allowed = np.ones((count, count), dtype=bool)
    alone = [score(frozenset([k])) for k in range(count)]
    for a, b in combinations(range(count), 2):
        may = _may_be_one(score.tracks[a], score.tracks[b], score.evidence)
        may = may and score.evidence.in_reach(_members(frozenset([a, b]), score.tracks))
        may = may and score(frozenset([a, b])) - alone[a] - alone[b] > -chain.never
        allowed[a, b] = allowed[b, a] = may
    return allowed


def _may_be_one(one: Track, other: Track, evidence: GroupLikelihood) -> bool:
    return not any(_two_birds(evidence.bearings[i], evidence.bearings[j]) for i in one for j in other)


def _two_birds(x: Bearing, y: Bearing) -> bool:
    """Whether two bearings of one morning are surely of two birds."""
    here = x.stop == y.stop if x.stop or y.stop else x.xy_m == y.xy_m
    if x.bird and y.bird:
        return x.bird != y.bird and (here or (x.pinned and y.pinned))
    return here and x.at is not None and y.at is not None and abs(x.at - y.at) < ONE_MINUTE


def _birds(
    groups: Partition, score: _Score, allowed: NDArray[np.bool_], chain: Partitions
) -> list[tuple[Group, AssociatedBird]]:
    bearings, tracks = score.bearings, score.tracks
    taken: set[str] = set()
    birds = []
    for group in sorted(groups, key=lambda g: min(i for k in g for i in tracks[k])):
        members = sorted(_members(group, tracks))
        name = _name([bearings[i] for i in members], taken)
        taken.add(name)
        odds: dict[int, float] = {}
        for track in group:
            worst = max((gain for gain, _ in other_places(track, groups, score, allowed)), default=-np.inf)
            odds |= dict.fromkeys(tracks[track], float(np.exp(min(-worst, 50.0))))
        uids = tuple(bearings[i].uid for i in members)
        sure = chain.together(sorted(group))
        birds.append((group, AssociatedBird(name, uids, tuple(odds[i] for i in members), sure)))
    return birds


def _maybe_one(birds: Sequence[tuple[Group, str]], chain: Partitions) -> tuple[MaybeOne, ...]:
    """Pairs of birds that may be one, the likeliest first."""
    least = figure("birds", "maybe_one")
    pairs = [
        MaybeOne((one, other), chain.same(sorted(a), sorted(b))) for (a, one), (b, other) in combinations(birds, 2)
    ]
    return tuple(sorted((p for p in pairs if p.chance >= least), key=lambda p: -p.chance))


def _name(members: Sequence[Bearing], taken: set[str]) -> str:
    pinned = [b.bird for b in members if b.pinned and b.bird]
    names = [b.bird for b in members if b.bird]
    wanted = pinned or sorted(set(names), key=lambda n: (-names.count(n), n))
    free = [n for n in wanted if n not in taken]
    number = 1
    while f"B{number}" in taken:
        number += 1
    return free[0] if free else f"B{number}"
