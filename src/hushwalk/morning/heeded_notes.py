"""The ground of a morning as the field notes leave it: kept off birds that are known, and worth what is left to learn.

What the notes say is read in birds/noted_season.py; what they change is a value of notes_effect.py.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from hashlib import blake2b
from pathlib import Path

import numpy as np
from scipy.ndimage import label

from hushwalk.birds.bird_report import Detections
from hushwalk.birds.distinct_logs import distinct_logs
from hushwalk.birds.heard_ground import density_belief, on_the_ground, unheard_by_level
from hushwalk.birds.located_birds import detections_of, located_males
from hushwalk.birds.noted_season import NotedSeason, noted_season
from hushwalk.birds.season_birds import SeasonBird
from hushwalk.errors import HushwalkError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.polyline import distances_along, points_along
from hushwalk.habitat.density import males_on
from hushwalk.morning.day.day_figures import day_figure
from hushwalk.morning.look_round import Morning
from hushwalk.morning.notes_effect import DensityUpdate, LogPassed, MaleLeft, NotesEffect
from hushwalk.morning.posts import log_chance
from hushwalk.morning.report import Report
from hushwalk.notes.bearing import metres_of
from hushwalk.notes.figures import figure
from hushwalk.notes.notebook import Notebook
from hushwalk.notes.notes import Kind, LogNote
from hushwalk.progress import Progress, Step, quiet
from hushwalk.site.cautions import keeping_off
from hushwalk.site.detectability import Detectability
from hushwalk.site.norths import north_of
from hushwalk.site.site import Site
from hushwalk.site.walk_network import build_walk_network
from hushwalk.types import BoolArray, FloatArray

HALF_DIAGONAL = 0.71  # definition: of a cell, so that no point of a free cell lies nearer than the stand-off
KINDS: tuple[Kind, ...] = ("visit", "bearing", "log")

Logs = Mapping[str, tuple[float, float]]
"""Noted logs by name [m]."""


@dataclass(frozen=True, eq=False)
class HeededNotes:
    """A morning with its field notes.

    Parameters
    ----------
    morning : as the notes leave it; as it was where there are none.
    before : as it was.
    mark : stands for all that was noted; empty where nothing was.
    season, effect, detections : None where nothing was noted.
    logs : that are kept off.
    fault : why the notes cannot be used; empty where they can.
    """

    morning: Morning
    before: Morning
    mark: str = ""
    season: NotedSeason | None = None
    effect: NotesEffect | None = None
    detections: Detections | None = None
    logs: Logs = field(default_factory=dict)
    fault: str = ""

    def step(self, name: str) -> str:
        """Name of a step that rests on the notes."""
        return f"{name} (notes {self.mark})" if self.mark else name

    def with_notes(self, report: Report) -> Report:
        """Give a report with birds, logs and what the notes change; the map of the ground stays that without notes."""
        if self.fault:
            return replace(report, notices=(*report.notices, f"the field notes are not drawn: {self.fault}"))
        if self.effect is None:
            return report
        effect = replace(self.effect, passed=logs_passed(report, self.logs))
        return replace(report, detections=self.detections, notes_effect=effect, country=self.before.site.country)


Noted = Callable[[Notebook, Site, Detectability], NotedSeason | None]
"""Gives what a ledger says of a season: noted_season, or whoever keeps what that gave."""


def heed_notes(
    morning: Morning, notes: Path | None, progress: Progress = quiet, season_of: Noted = noted_season
) -> HeededNotes:
    """Give the morning as the field notes leave it; notes that cannot be used never stop a plan.

    Parameters
    ----------
    morning : ground, clock, hearing and ways.
    notes : the ledger; None for none.
    progress : is told as the step begins.
    season_of : gives what the ledger says.

    Returns
    -------
    HeededNotes
    """
    if notes is None or not notes.is_file():
        return HeededNotes(morning, morning)
    progress(Step("fixing the birds of the field notes"))
    site = morning.site
    book = Notebook(morning.settings, notes, site.grid.epsg)
    try:
        noted = season_of(book, site, morning.detectability)
        if noted is None:
            return HeededNotes(morning, morning)
        detections = detections_of(noted, site, north_of(site, morning.clock))
        logs = logs_kept_off(noted, site.grid)
        heeded, effect = heeded_morning(morning, noted, logs)
        mark = _mark([repr(row.note) for kind in KINDS for row in book.notes(kind)])
    except HushwalkError as fault:
        return HeededNotes(morning, morning, fault=str(fault))
    return HeededNotes(heeded, morning, mark, noted, effect, detections, logs)


def _mark(notes: Sequence[str]) -> str:
    return blake2b("\n".join(notes).encode(), digest_size=8).hexdigest()


def logs_kept_off(noted: NotedSeason, grid: Grid) -> dict[str, tuple[float, float]]:
    """Noted logs on the ground of a trip by name, those without droppings left out [m]."""
    found = {
        name: metres_of(row.note.place, grid.epsg)
        for name, row in distinct_logs(noted.logs).items()
        if isinstance(row.note, LogNote) and row.note.droppings != "none"
    }
    return {name: xy for name, xy in found.items() if grid.contains(np.atleast_2d(xy))[0]}


def heeded_morning(morning: Morning, noted: NotedSeason, logs: Logs) -> tuple[Morning, NotesEffect]:
    """Lower, raise and close the ground of a morning by what was noted.

    Parameters
    ----------
    morning : ground, clock, hearing and ways.
    noted : all that was noted.
    logs : noted logs by name, to be kept off [m].

    Returns
    -------
    tuple
        The morning, and what was changed.

    Notes
    -----
    Males of the model are Poisson with density ``D(x)``. A male at x was heard on none of the mornings with chance
    ``u(x)`` (birds/heard_ground.py), so those heard and those not heard are Poisson of their own (thinning). From the
    y different males heard, where ``m = sum D (1 - u)`` were expected, the density is corrected by the mean of
    ``f ~ Gamma(a + y, a + m)``. A known male counts for the part of him that is left to learn, ``w_k``, spread over
    his ground ``p_k(x)``. A stop is worth what it hears of ``f D(x) u(x) + sum_k w_k p_k(x)``.
    """
    site = morning.site
    places = [_density_of(male, site.grid) for male in noted.males]
    left = [left_to_learn(area_ha, morning.detectability.mean_earshot_m) for area_ha in _areas(noted, morning)]
    density, update = _updated(morning, noted)
    worth = density + sum((w * place for w, place in zip(left, places, strict=True)), np.zeros(site.grid.shape))
    stand_off_m = keeping_off(morning.settings, morning.site.card).walker.stand_off_m
    known = site.density.with_values(np.sum([np.zeros(site.grid.shape), *places], axis=0))
    off = _kept_off(known, logs, stand_off_m, figure("noted", "near_chance"))
    barred = _kept_off(known, logs, stand_off_m, figure("noted", "probable"))
    effect = NotesEffect(
        days=tuple(sorted(noted.listened)),
        stops=sum(len(on_the_ground(site, stops)) for stops in noted.listened.values()),
        males=tuple(MaleLeft(male, w) for male, w in zip(located_males(site, noted.males), left, strict=True)),
        density=update,
        stand_off_m=stand_off_m,
        logs=tuple(logs),
        no_stop_ha=_hectares(off, site.grid),
        no_leg_ha=_hectares(barred, site.grid),
        this_morning=morning.settings.morning.date in noted.listened and not morning.clock.evening,
    )
    return _on_ground(morning, worth, off, barred), effect


def _hectares(cells: BoolArray, grid: Grid) -> float:
    return float(np.count_nonzero(cells)) * grid.cell_area_km2 * 100


def left_to_learn(area_ha: float, earshot_m: float) -> float:
    """How much of a known male is left to learn by listening, 0..1.

    Parameters
    ----------
    area_ha : of the 80 % ground of his log.
    earshot_m : distance at which half are heard [m].

    Notes
    -----
    ``ln(A / A0) / ln(A1 / A0)``, held between 0 and 1: the doubt about his place on the scale of information, from A1,
    all ground in earshot, which is what one knows of a male that is heard without a direction, down to A0, ground that
    another bearing would not narrow by what it costs.

    Examples
    --------
    >>> left_to_learn(0.1, 200.0), left_to_learn(50.0, 200.0)
    (0.0, 1.0)
    """
    done_ha, all_ha = figure("noted", "done_ha"), np.pi * earshot_m**2 / 1e4
    if all_ha <= done_ha:
        return float(area_ha > done_ha)
    return float(np.clip(np.log(max(area_ha, done_ha) / done_ha) / np.log(all_ha / done_ha), 0.0, 1.0))


def _areas(noted: NotedSeason, morning: Morning) -> list[float]:
    return [male.area_ha for male in located_males(morning.site, noted.males)]


def _density_of(male: SeasonBird, grid: Grid) -> FloatArray:
    """One male spread over his ground, shape grid.shape [1/km2]."""
    rows, cols = np.indices(grid.shape)
    chance = np.nan_to_num(male.place.at(grid.xy(rows.ravel(), cols.ravel())))
    return chance.reshape(grid.shape) / male.place.grid.cell_area_km2


def _updated(morning: Morning, noted: NotedSeason) -> tuple[FloatArray, DensityUpdate | None]:
    """Density of males that were not heard, NaN where the model says nothing [1/km2]."""
    before, grid = morning.site.density, morning.site.grid
    levels = unheard_by_level(noted.book, morning.site, morning.detectability, noted.listened)
    if not levels:
        return before.values, None
    heard = sum(bool(male.mornings) for male in noted.males)
    males = males_on(before, levels[0][1].grid)
    weights, expected = zip(*((w, float(males @ (1 - one.values.ravel()))) for w, one in levels), strict=True)
    belief = density_belief(weights, expected, heard, day_figure("clusters", "males"))
    parts = zip(belief.weights, belief.factors, levels, strict=True)
    left = np.sum([weight * factor * _on_grid(one, grid) for weight, factor, (_, one) in parts], axis=0)
    in_all, not_heard = (float(np.nansum(d)) * grid.cell_area_km2 for d in (before.values, before.values * left))
    mean = float(np.dot(weights, expected))
    return before.values * left, DensityUpdate(mean, heard, belief.mean, belief.low, belief.high, in_all, not_heard)


def _on_grid(layer: Layer, grid: Grid) -> FloatArray:
    """Values of a coarser layer on the grid of the trip; 1 where it says nothing."""
    rows, cols = np.indices(grid.shape)
    return np.nan_to_num(layer.at(grid.xy(rows.ravel(), cols.ravel())), nan=1.0).reshape(grid.shape)


def _kept_off(known: Layer, logs: Logs, stand_off_m: float, chance: float) -> BoolArray:
    """Cells nearer than the stand-off to a noted log, or with more than a chance to a known male, shape grid.shape."""
    off = np.asarray(log_chance(known, stand_off_m).values > chance)
    rows, cols = np.indices(known.grid.shape)
    places = known.grid.xy(rows.ravel(), cols.ravel())
    for xy in logs.values():
        away = np.hypot(*(places - np.asarray(xy)).T).reshape(known.grid.shape)
        off |= away <= stand_off_m + HALF_DIAGONAL * known.grid.cell_m
    return off


def _on_ground(morning: Morning, worth: FloatArray, off: BoolArray, barred: BoolArray) -> Morning:
    """The same morning with other worth of the ground and ground that is kept off; one may always leave one's start."""
    site = morning.site
    males = site.habitat.males.with_middle(worth, "males not heard so far, and what is left to learn of the others")
    parts, _ = label(barred, structure=np.ones((3, 3)))
    left_from = [site.car.xy_m] if morning.start_m is None else [site.car.xy_m, tuple(morning.start_m.tolist())]
    one_leaves = {int(parts[site.grid.cell_at(place, "place.car")]) for place in left_from} - {0}
    passage = site.ground.passage
    bars = {**passage.bars, "noted birds": barred & ~np.isin(parts, list(one_leaves))}
    kept = replace(passage, bars=bars, no_stop=passage.no_stop | off)
    heeded = replace(site, habitat=replace(site.habitat, males=males), ground=replace(site.ground, passage=kept))
    return replace(morning, site=heeded, way=build_walk_network(morning.settings, heeded, morning.clock))


def logs_passed(report: Report, logs: Logs) -> tuple[LogPassed, ...]:
    """Noted logs that a leg passes nearer than the stand-off: a trail leads by.

    Parameters
    ----------
    report : with its legs.
    logs : by name [m].
    """
    found = []
    for leg in report.legs:
        along = points_along(leg.line_m, np.arange(0.0, distances_along(leg.line_m)[-1] + 1.0, 2.0))
        for name, xy in logs.items():
            away_m = float(np.hypot(*(along - np.asarray(xy)).T).min())
            if away_m < report.settings.walker.stand_off_m:
                found.append(LogPassed(name, leg.start, leg.end, away_m))
    return tuple(found)
