"""A check of a trip in words: what is there, what is missing, what is assumed, and how good a plan can be.

The looking is checkup.py's business.
"""

from dataclasses import Field, fields

from hushwalk.hearing.level_soundscape import LEAFLESS
from hushwalk.morning.checkup import Checkup, LayerState
from hushwalk.morning.outlook import evidence_levels
from hushwalk.site.detectability import detectability_of
from hushwalk.site.grid_choice import memory_mb
from hushwalk.site.inputs import WITHOUT
from hushwalk.site.settings import WalkerSettings, WeatherSettings
from hushwalk.site.site import Site
from hushwalk.text import counted
from hushwalk.wording.closing_words import way_rule
from hushwalk.wording.evening_words import evening_sentences
from hushwalk.wording.formats import percent
from hushwalk.wording.gather_words import NOT_PERMISSION, ungathered_words
from hushwalk.wording.males_words import steps_sentences
from hushwalk.wording.measures import wide_area
from hushwalk.wording.morning_words import evidence_sentence, verdict_sentence
from hushwalk.wording.passage_words import passage_sentences
from hushwalk.wording.range_words import region_sentences
from hushwalk.wording.warning_words import warning_sentence

MARK = {"good": "good    ", "doubtful": "look    ", "unusable": "UNUSABLE"}
GAINS = {
    "cover": "add land cover: nothing tells good ground from bad without it",
    "streams": "add streams: their noise, their fords and their strips of cover come into the plan",
    "trails": "add trails: walking on them is quick and quiet, and open before civil dawn",
    "roads": "add roads: the walk before civil dawn keeps to them",
    "buildings": "add houses: no stop and no step off a path is planned near a house that is known",
    "closed": "add closed ground, or draw it by hand: no walk may lead over land that you may not enter",
    "stand_age": "add ages of stands: young forest is told from old",
    "canopy_cover": "add canopy cover: open woods are told from closed ones",
}
"""What a layer that was left out would give."""


def checkup_words(found: Checkup) -> str:
    """Tell a check of a trip, one heading a question.

    Returns
    -------
    str
        The last line says whether a plan can be made, and with which command.
    """
    parts = [
        *_ground(found),
        *_headed("Layers", [line for layer in found.layers for line in _layer(layer)]),
        *_headed("Missing", _missing(found)),
        *_headed("Assumed", _assumed(found)),
        *_headed("How good a plan can be", _promise(found)),
        *_headed("The evening", _evening(found)),
        *_headed("To mend first", [f"  {words}" for words in found.mend]),
    ]
    late = "" if found.evening is None else ", and `hushwalk plan --evening` the hours before sunset"
    last = f"Nothing stands in the way: `hushwalk plan` can plan this morning{late}."
    if not found.ready:
        last = f"{counted(len(found.mend), 'thing')} to mend before this morning can be planned."
    return "\n".join([*parts, "", last])


def _headed(head: str, lines: list[str]) -> list[str]:
    return ["", head, *lines] if lines else []


def _ground(found: Checkup) -> list[str]:
    settings, lines = found.settings, [found.settings.place.name]
    if found.grid is not None:
        area = found.grid.n_cells * found.grid.cell_area_km2
        lines.append(
            f"  ground   {wide_area(area)} round the car, {found.grid.n_rows} x {found.grid.n_cols} cells of "
            f"{found.grid.cell_m:g} m, EPSG:{found.grid.epsg}; a plan takes about "
            f"{memory_mb(found.grid.n_cells) / 1000:.1f} GB of memory"
        )
    if found.clock is not None:
        clock = found.clock
        lines.append(
            f"  morning  {settings.morning.date:%A %d %B %Y}, sunrise {clock.at(clock.sunrise_s):%H:%M}, "
            f"{clock.at(clock.earliest_s):%H:%M} to {clock.at(clock.latest_s):%H:%M}: "
            f"{clock.window_s / 60:.0f} minutes on foot and listening"
        )
    return lines


def _layer(layer: LayerState) -> list[str]:
    head = f"  {MARK[layer.state]}  {layer.label} {layer.path}"
    if layer.state == "unusable":
        return [head]
    text = [words.removeprefix(layer.label).strip() for words in (layer.story, *layer.notes)]
    return [head, *(f"            {_without_name(words)}" for words in text if words)]


def _without_name(words: str) -> str:
    """Leave the file name out that messages carry behind the label; the line above has it."""
    return words.partition("): ")[2] if words.startswith("(") and "): " in words else words.removeprefix(": ")


def _missing(found: Checkup) -> list[str]:
    given = {spec.kind for spec in found.settings.layers} | ({"closed"} if found.settings.closed else set())
    lost = {one.kind: f" ({ungathered_words(one)})" for one in found.gathered if not one.is_there}
    lines = [
        f"  no {kind.replace('_', ' ')}{lost.get(kind, '')}: {words}"
        for kind, words in GAINS.items()
        if kind not in given
    ]
    return [*lines, *([f"  {NOT_PERMISSION}"] if found.gathered else [])]


def _assumed(found: Checkup) -> list[str]:
    text = _left_out(found.settings.weather, "weather") + _left_out(found.settings.walker, "walker")
    if found.site is not None:
        of_layers = [words for layer in found.layers for words in layer.notes]
        text += [w for w in found.site.notices if w not in of_layers and w not in WITHOUT.values()]
        text += passage_sentences(found.site.ground.passage.facts)
        text += region_sentences(found.site.region, found.settings.ground.cycle, found.settings.derived_zone)
        text += found.site.assumptions
        morning = found.settings.morning
        if morning.way is None and morning.closing_in_minutes is None:
            far_m, own_m = found.site.card.stand_off_m, found.settings.walker.stand_off_m
            earshot_m = detectability_of(found.settings, found.site).level.earshot_m(LEAFLESS)
            text.append(way_rule(earshot_m, far_m if far_m > own_m else None))
    return [f"  {words}" for words in text]


def _left_out(table: WeatherSettings | WalkerSettings, name: str) -> list[str]:
    """Values that the trip file leaves as they are unless said otherwise."""
    usual = [item for item in fields(table) if item.default is not None and getattr(table, item.name) == item.default]
    if not usual:
        return []
    return [f"{name}, as it is unless the file says otherwise: " + ", ".join(_pair(item) for item in usual)]


def _pair(item: Field[object]) -> str:
    value = f"{item.default:g}" if isinstance(item.default, float) else str(item.default)
    return f"{item.name} {value}"


def _promise(found: Checkup) -> list[str]:
    site, reach = found.site, found.reach
    if site is None:
        return []
    detectability = detectability_of(found.settings, site)
    sure = site.habitat.surface.confidence
    lines = [
        *(f"  {warning_sentence(one)}" for one in (reach.warnings if reach else ())),
        f"  {verdict_sentence(detectability.verdict())}",
        f"  How far the layers tell good ground from poor: {percent(sure)}. The judgement rests on {_needs(site)}.",
        f"  {evidence_sentence(evidence_levels(detectability))}",
    ]
    if reach is not None:
        lines += [
            f"  From {reach.ground_share:.0%} of the ground you can be back at the car in time.",
            *(f"  {sentence}" for sentence in steps_sentences(reach.males, None)),
        ]
    if not found.ready:
        lines.append("  This holds for the layers that can be read.")
    return lines


def _evening(found: Checkup) -> list[str]:
    """Say when the evening is, what a walk could hear then, and what is taken for granted of it."""
    if found.evening is None:
        return []
    clock, reach = found.evening.clock, found.evening.reach
    sunset, dusk = clock.dusk.sunset, clock.dusk.civil_dusk
    zone = clock.midnight.tzinfo
    sun = [
        *([f"sunset {sunset.astimezone(zone):%H:%M}"] if sunset else []),
        *([f"dark from {dusk.astimezone(zone):%H:%M}"] if dusk else []),
    ]
    lines = [
        f"{clock.midnight:%A %d %B %Y}, {', '.join(sun)}",
        (
            f"Leave at {clock.at(clock.earliest_s):%H:%M}, be back by {clock.at(clock.latest_s):%H:%M}: "
            f"{clock.window_s / 60:.0f} minutes on foot and listening."
        ),
        f"From {reach.ground_share:.0%} of the ground you can be back at the car in time.",
        *steps_sentences(reach.males, None, evening=True)[1:-1],
        *(f"Assumed: {sentence}." for sentence in evening_sentences(found.evening.hours)),
    ]
    return [f"  {line}" for line in lines]


def _needs(site: Site) -> str:
    surface = site.habitat.surface
    measured = [need.label for need in surface.needs if need.key in surface.measured and need.weight > 0]
    return ", ".join(measured) or "nothing that was measured"
