"""Looks a trip over without planning it: layer by layer what is there, what is missing, and what must be mended.

The words for it are checkup_words.py's; the plan itself is story.py's story.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal, TypeVar

from hushwalk.errors import HushwalkError
from hushwalk.grid.grid import Grid
from hushwalk.grid.points import parse_place
from hushwalk.morning.look_round import hearing_on, longest_out_s
from hushwalk.morning.males_steps import MalesSteps, males_steps
from hushwalk.morning.sun_times import EveningHours, evening_hours
from hushwalk.morning.warnings import MorningWarning, warnings
from hushwalk.progress import Progress, Step, quiet
from hushwalk.science.magnetic import declination
from hushwalk.site.bird_law import lawful
from hushwalk.site.day_of_trip import on_day
from hushwalk.site.detectability import availability_table, detectability_of
from hushwalk.site.evening_settings import EveningSettings
from hushwalk.site.grid_choice import check_memory, choose_grid
from hushwalk.site.inputs import NO_HEIGHTS
from hushwalk.site.manifest import LayerSource, read_manifest
from hushwalk.site.morning_clock import Clock, morning_clock
from hushwalk.site.reading.features import SHAPES, read_features
from hushwalk.site.reading.georeferencing import Georeference
from hushwalk.site.reading.layers import read_layer
from hushwalk.site.settings import LayerSettings, TripSettings, named_layers
from hushwalk.site.site import Site, read_site
from hushwalk.site.species import SpeciesCard, read_card
from hushwalk.site.walk_network import build_walk_network

State = Literal["good", "doubtful", "unusable"]
Thing = TypeVar("Thing")


@dataclass(frozen=True)
class LayerState:
    """One layer of the trip file.

    Parameters
    ----------
    label : its number and kind, as in every message.
    path : as the trip file has it.
    state : ``"doubtful"`` where something about it should be known, ``"unusable"`` where it stops the trip.
    story : where it comes from and how it was laid on the ground; empty where it could not be read.
    notes : what should be known of it, or what must be mended.
    """

    label: str
    path: str
    state: State
    story: str
    notes: tuple[str, ...]


@dataclass(frozen=True)
class WalkReach:
    """What the walk could hear at the very most.

    Parameters
    ----------
    ground_share : share of the ground from which one is back in time, 0..1.
    males : step by step, before any walk is chosen.
    warnings : what speaks against the place or the date.
    """

    ground_share: float
    males: MalesSteps
    warnings: tuple[MorningWarning, ...]


@dataclass(frozen=True)
class EveningReach:
    """The hours before sunset, where the trip says something of them or they are asked for.

    Parameters
    ----------
    clock : of the evening.
    hours : what is taken for granted of them.
    reach : what a walk could hear then at the very most.
    """

    clock: Clock
    hours: EveningHours | None
    reach: WalkReach


@dataclass(frozen=True, eq=False)
class Checkup:
    """What was found.

    Parameters
    ----------
    settings : of the trip.
    grid, clock, survey, reach : None where a fault stood in the way.
    layers : one entry a layer, in the order of the file.
    mend : what must be mended before a plan can be made; empty if nothing.
    gathered : what `hushwalk gather` says of the folder of the trip; empty where it was not gathered.
    evening : None where nobody asks for it, or a fault stood in the way.
    """

    settings: TripSettings
    grid: Grid | None
    clock: Clock | None
    layers: tuple[LayerState, ...]
    site: Site | None = field(repr=False)
    reach: WalkReach | None
    mend: tuple[str, ...]
    gathered: tuple[LayerSource, ...] = ()
    evening: EveningReach | None = None

    @property
    def ready(self) -> bool:
        """Whether a plan can be made."""
        return not self.mend


class _Faults(list[str]):
    """Faults met so far: one that is met does not keep the others from being found."""

    def kept(self, work: Callable[[], Thing]) -> Thing | None:
        try:
            return work()
        except HushwalkError as fault:
            if str(fault) not in self:
                self.append(str(fault))
            return None


def check_trip(settings: TripSettings, progress: Progress = quiet, *, evening: bool = False) -> Checkup:
    """Look a trip over.

    Parameters
    ----------
    settings : what the trip file says.
    progress : is told as each step begins.
    evening : whether the hours before sunset are looked at although the trip says nothing of them.

    Returns
    -------
    Checkup
        With every fault that could be found, not only the first.
    """
    faults = _Faults()
    gathered = faults.kept(lambda: read_manifest(settings.folder))
    car = faults.kept(lambda: parse_place(settings.place.car))
    grid = None if car is None else faults.kept(lambda: choose_grid(settings, car))
    card = faults.kept(lambda: read_card(settings.species))
    named = settings.ground.region
    if card is not None and named is not None:
        faults.kept(lambda: card.needs(named))
    clock = None if car is None else faults.kept(lambda: morning_clock(settings.morning, *car))
    if car is not None:
        faults.kept(lambda: declination(settings.morning.date, *car))
    if grid is None or card is None or not faults.kept(lambda: _fits(grid, card)):
        layers = () if grid is None else _each_alone(settings, grid, faults)
        return Checkup(settings, grid, clock, layers, None, None, tuple(faults), gathered or ())
    progress(Step("reading the layers"))
    site, layers = _ground(settings, grid, faults, progress)
    reach = None
    if site is not None and clock is not None:
        progress(Step("working out how far one can walk and be back in time"))
        reach = faults.kept(lambda: _reach(settings, site, clock))
    late = None
    if site is not None and (evening or settings.evening != EveningSettings() or settings.campaign.evenings):
        progress(Step("looking at the hours before sunset"))
        late = faults.kept(lambda: _evening(settings, site, wanted=evening))
    return Checkup(settings, grid, clock, layers, site, reach, tuple(faults), gathered or (), late)


def _evening(settings: TripSettings, site: Site, *, wanted: bool) -> EveningReach:
    """Look at the evening of the day, where it is asked for or planned; else at the first that is planned."""
    day, planned = settings.morning.date, settings.campaign.evenings
    day = day if wanted or day in planned else min(planned, default=day)
    late = on_day(settings, day, evening=True, car=settings.place.car)
    display = hearing_on(late, site).display
    clock = morning_clock(late.morning, site.car.lon_deg, site.car.lat_deg)
    return EveningReach(clock, evening_hours(late.morning, display, site.card), _reach(late, site, clock))


def _fits(grid: Grid, card: SpeciesCard) -> bool:
    lawful(card, grid)
    check_memory(grid)
    return True


def _ground(
    settings: TripSettings, grid: Grid, faults: _Faults, progress: Progress
) -> tuple[Site | None, tuple[LayerState, ...]]:
    """Survey the ground; only where that fails is each layer read alone, so that all faults are found at once."""
    labels = [name for name, _ in named_layers(settings.layers)]
    whole = _Faults()
    site = whole.kept(lambda: read_site(settings))
    if site is not None:
        return site, _fault_words(site, settings.layers, labels)
    progress(Step("a layer or the car is at fault; reading each layer alone to find all faults"))
    n_before = len(faults)
    layers = _each_alone(settings, grid, faults)
    bad = faults[n_before:]
    faults += [words for words in whole if words not in faults]
    usable = tuple(spec for spec, layer in zip(settings.layers, layers, strict=True) if layer.state != "unusable")
    if not bad or not any(spec.kind == "elevation" for spec in usable):
        return None, layers
    return _Faults().kept(lambda: read_site(replace(settings, layers=usable))), layers


def _each_alone(settings: TripSettings, grid: Grid, faults: _Faults) -> tuple[LayerState, ...]:
    """Read each layer alone, so that all that must be mended is said at once."""
    named = named_layers(settings.layers)
    layers = tuple(_alone(spec, label, settings, grid) for label, spec in named)
    faults += [words for layer in layers if layer.state == "unusable" for words in layer.notes]
    if not any(spec.kind == "elevation" for spec in settings.layers):
        faults.append(NO_HEIGHTS)
    return layers


def _fault_words(site: Site, specs: Sequence[LayerSettings], labels: Sequence[str]) -> tuple[LayerState, ...]:
    found = []
    for spec, label in zip(specs, labels, strict=True):
        own = (f"{label}:", f"{label} (")
        notes = tuple(words for words in site.inputs.notices if words.startswith(own))
        stories = [words for words in site.inputs.stories if words.startswith(own)]
        found.append(LayerState(label, spec.path, "doubtful" if notes else "good", "; ".join(stories[:1]), notes))
    return tuple(found)


def _alone(spec: LayerSettings, label: str, settings: TripSettings, grid: Grid) -> LayerState:
    where = Georeference(grid, settings.folder, settings.ground.network)
    try:
        if spec.kind in SHAPES:
            _, notes, stories = read_features([(label, spec)], where)
        else:
            read = read_layer(spec.kind, [(label, spec)], where, settings.morning.date.year)
            layer, notes = read if read is not None else (None, ())
            stories = () if layer is None else layer.story
    except HushwalkError as fault:
        return LayerState(label, spec.path, "unusable", "", (str(fault),))
    return LayerState(label, spec.path, "doubtful" if notes else "good", "; ".join(stories[:1]), tuple(notes))


def _reach(settings: TripSettings, site: Site, clock: Clock) -> WalkReach:
    detectability = detectability_of(settings, site)
    way = build_walk_network(settings, site, clock)
    least_stop_s = settings.morning.minutes_per_stop_min * 60.0
    within = way.within(longest_out_s(clock, settings))
    _, _, participation = availability_table(detectability, site, clock, (least_stop_s,))
    return WalkReach(
        float(within.mean()),
        males_steps(site, detectability, within, float(participation)),
        warnings(site, detectability, clock, way),
    )
