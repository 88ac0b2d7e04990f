"""A rehearsal: birds at known places, bearings with the usual error, and how well the search ground holds them.

It plays a morning on made-up birds to say what a plan's own stops can do; nothing here looks at real notes.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from scipy.special import ndtri

from hushwalk.birds.association import AssociationParams, associate, bearings_by_bird
from hushwalk.birds.averaged_place import averaged_place
from hushwalk.birds.fix import Fix, FixParams, find_bird
from hushwalk.birds.loudness import SURE
from hushwalk.birds.posterior import chance_to_hear, displayed_share
from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import Bearing, BearingError, Listening
from hushwalk.science.bearing_error import kappa_of_sd
from hushwalk.science.crossing import azimuth_to
from hushwalk.types import FloatArray

ALONE = 2  # definition: fewer stops than this give no crossing


@dataclass(frozen=True)
class Rehearsed:
    """One bird of the list that came out.

    Parameters
    ----------
    bearings : stops it was heard from.
    areas_m2 : ground to search by chance [m2].
    held : by chance, 1 where the ground holds the bird that most bearings are of; of several such birds the mean.
    held_any : share of its bearings whose bird each holds.
    mixed : whether its bearings are of two birds or more.
    pointed : whether the lines give a point.
    """

    bearings: int
    areas_m2: Mapping[float, float]
    held: Mapping[float, float]
    pointed: bool
    held_any: Mapping[float, float] = field(default_factory=dict)
    mixed: bool = False


@dataclass(frozen=True)
class Rehearsal:
    """Many mornings played."""

    mornings: int
    displayed: int
    birds: tuple[Rehearsed, ...] = field(repr=False)

    def hit_rate(self, share: float, *, least_bearings: int = 1) -> float:
        """Share of birds that lie in their ground for a chance, with at least so many bearings."""
        held = [b.held[share] for b in self.birds if b.bearings >= least_bearings]
        return float(np.mean(held)) if held else float("nan")

    def hit_rate_any(self, share: float, *, least_bearings: int = 1) -> float:
        """Share of the ground's hold on the bird of one of its bearings, drawn at random."""
        held = [b.held_any[share] for b in self.birds if b.bearings >= least_bearings]
        return float(np.mean(held)) if held else float("nan")

    def median_area_ha(self, share: float, *, least_bearings: int = 1) -> float:
        """Median ground to search for a chance [ha]."""
        areas = [b.areas_m2[share] for b in self.birds if b.bearings >= least_bearings]
        return float(np.median(areas)) / 1e4 if areas else float("nan")


def rehearse(
    stops: Sequence[Listening],
    density_per_km2: Layer,
    rng: np.random.Generator,
    *,
    mornings: int = 50,
    displaying_share: float = 0.5,
    audible: Mapping[str, Layer] | None = None,
    bearing_error: BearingError | None = None,
    params: FixParams | None = None,
    share_out: AssociationParams | None = None,
    birds_per_km2: Layer | None = None,
) -> Rehearsal:
    """Play mornings on made-up birds.

    Parameters
    ----------
    stops : the plan's own.
    density_per_km2 : males, where birds are drawn from and the prior of the fixes [1/km2].
    rng : the source of chance.
    mornings : how many.
    displaying_share : of the males, on one morning.
    audible : by name of stop, chance that one display in a cell is heard there.
    bearing_error : error of the bearings.
    params : of the fixes.
    share_out : let the bearings be shared out to birds by likelihood with what is expected here, instead of knowing
        whose each is.
    birds_per_km2 : where birds are drawn from, if it is not the density that the fixes go by [1/km2].

    Returns
    -------
    Rehearsal
        The birds that were heard, with the ground each fix gave and whether it held the bird.

    Raises
    ------
    InputError
        If there are no stops.
    """
    if not stops:
        raise InputError("a rehearsal needs stops")
    bearing_error, params = bearing_error or BearingError(), params or FixParams()
    found: list[Rehearsed] = []
    displayed = 0
    for _ in range(mornings):
        birds = draw_birds(density_per_km2 if birds_per_km2 is None else birds_per_km2, rng, displaying_share)
        displayed += len(birds)
        truth, bearings = draw_bearings(birds, stops, rng, audible or {}, bearing_error, params)
        if bearings:
            found += _play(truth, bearings, stops, density_per_km2, audible, params, share_out)
    return Rehearsal(mornings, displayed, tuple(found))


def draw_birds(density: Layer, rng: np.random.Generator, share: float) -> FloatArray:
    """Draw males by a density.

    Parameters
    ----------
    density : males [1/km2].
    rng : the source of chance.
    share : of the males that display.

    Returns
    -------
    ndarray
        Their places, shape (n, 2) [m].
    """
    rate = np.nan_to_num(density.values).clip(0) * density.grid.cell_area_km2 * share
    rows, cols = np.nonzero(rng.random(rate.shape) < -np.expm1(-rate))
    centres = density.grid.xy(rows, cols)
    return np.asarray(centres + (rng.random(centres.shape) - 0.5) * density.grid.cell_m, dtype=np.float64)


def draw_bearings(
    birds: FloatArray,
    stops: Sequence[Listening],
    rng: np.random.Generator,
    audible: Mapping[str, Layer],
    bearing_error: BearingError,
    params: FixParams,
) -> tuple[dict[str, FloatArray], list[Bearing]]:
    """Draw the bearings of a morning.

    Parameters
    ----------
    birds : that display, shape (n, 2) [m].
    stops : that listen.
    rng : the source of chance.
    audible : by name of stop, chance that one display in a cell is heard there.
    bearing_error : spread and strays.
    params : of hearing, and of the error that a morning shares.

    Returns
    -------
    tuple
        The place of the bird by key of the bearing [m], and the bearings, which are named after their bird.
    """
    loud = rng.standard_normal(len(birds))
    rho = params.earshot.shared_loudness
    turn = params.earshot.shared_sd_deg * float(rng.standard_normal())
    truth: dict[str, FloatArray] = {}
    found: list[Bearing] = []
    for stop in stops:
        chance = chance_to_hear(stop, birds, audible.get(stop.stop), params.earshot)
        edge = ndtri(np.clip(chance, SURE, 1 - SURE))
        level = np.sqrt(rho) * loud + np.sqrt(1 - rho) * rng.standard_normal(len(birds))
        heard = (-level < edge) & (rng.random(len(birds)) < displayed_share(stop, params.earshot))
        for i in np.flatnonzero(heard):
            error = turn + float(np.degrees(rng.vonmises(0.0, kappa_of_sd(bearing_error.sd_deg))))
            if rng.random() < bearing_error.stray_share:
                error = float(rng.uniform(0.0, 360.0))
            azimuth = (float(azimuth_to(np.asarray(stop.xy_m), birds[i])) + error) % 360.0
            uid = f"{stop.stop}/{i}"
            truth[uid] = birds[i]
            found.append(Bearing(uid, stop.xy_m, azimuth, bearing_error.sd_deg, stop.stop, f"B{i}"))
    return truth, found


def _play(
    truth: Mapping[str, FloatArray],
    bearings: Sequence[Bearing],
    stops: Sequence[Listening],
    density: Layer,
    audible: Mapping[str, Layer] | None,
    params: FixParams,
    expected: AssociationParams | None,
) -> list[Rehearsed]:
    grid: Grid = density.grid
    own, sharing = {b.uid: b.bird for b in bearings}, None
    if expected is not None:
        # A person tells birds apart at one stop, but not which is which at the next: names that hold for a stop only.
        named_anew = [replace(b, bird=b.uid) for b in bearings]
        found = associate(named_anew, stops, grid, habitat=density, audible=audible, params=expected)
        own, sharing = found.bird_of, found.sharing
    fixes = []
    for group in bearings_by_bird(bearings, own).values():
        groups = None if sharing is None else sharing.groups_of([b.uid for b in group])
        chance = None if sharing is None or groups is None else averaged_place(sharing, groups, grid, params.earshot)
        fixes.append(find_bird(group, stops, grid, habitat=density, audible=audible, chance=chance, params=params))
    return [_rehearsed(fix, truth) for fix in fixes]


def _rehearsed(fix: Fix, truth: Mapping[str, FloatArray]) -> Rehearsed:
    # A group with bearings of two birds stands for the one that most of them belong to.
    places = [tuple(truth[b.uid]) for b in fix.bearings]
    most = max(map(places.count, places))
    meant = np.array([place for place in dict.fromkeys(places) if places.count(place) == most])
    return Rehearsed(
        len({b.xy_m for b in fix.bearings}),
        {g.share: g.area_m2 for g in fix.grounds},
        {g.share: float(g.holds(meant).mean()) for g in fix.grounds},
        fix.point is not None,
        {g.share: float(g.holds(np.array(places)).mean()) for g in fix.grounds},
        len(set(places)) > 1,
    )
