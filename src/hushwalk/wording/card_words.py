"""A species card in words, every number with where it comes from.

Reading and checking a card is species.py's business.
"""

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from hushwalk.site.bird_law import bird_laws
from hushwalk.site.species import SpeciesCard, read_card
from hushwalk.sources import all_sources, cite
from hushwalk.wording.measures import height, per_area

RULES = {"refuse": "refused", "caution": "a caution"}


def card_words(name: str) -> str:
    """Explain a species card.

    Parameters
    ----------
    name : a card that comes with hushwalk, or the path of one's own.

    Returns
    -------
    str

    Raises
    ------
    HushwalkError
        If there is no such card, or it says something that cannot be.
    """
    card = read_card(name)
    return "\n".join([*_head(card), "", *_needs(card), "", *_regions(card), "", *_laws(card), *_ends(card)])


def _head(card: SpeciesCard) -> list[str]:
    title = f"{card.name} ({card.file.latin})"
    if not card.file.sound:
        return [title, "  no call on the card: its ground can be judged, but no walk planned by ear"]
    sound, display = card["sound"], card["display"]
    return [
        title,
        (
            f"  call: {sound['call']}, {sound['duration_s']:g} s, {sound['bands_hz'][0]:g} to "
            f"{sound['bands_hz'][-1]:g} Hz  [{sound.get('band_source', '')}]"
        ),
        (
            f"  at most {max(sound['level_at_1m_db']):g} dB in a third of an octave a metre away"
            f"  [{sound['level_source']}]"
        ),
        f"  displays {display['rate_per_min']:g} times a minute while displaying  [{display['rate_source']}]",
        f"  season: {_season(display['season'])}  [{display['season']['source']}]",
        f"  hours: {_hours(display['hours'])}  [{display['hours']['source']}]",
        (
            f"  displays at all on {display['morning']['participation']:.0%} of mornings in the best weeks"
            f"  [{display['morning']['source']}]"
        ),
    ]


def _season(season: Mapping[str, Any]) -> str:
    peak = date(2001, 1, 1) + timedelta(days=round(season["peak_day"]) - 1)
    return (
        f"most about {peak:%d %B} at {season['latitude_deg']:g} degrees and {height(season['elevation_m'])}, "
        f"{season['days_per_degree']:g} days later a degree of latitude and {100 * season['days_per_m']:g} days later "
        f"{height(100.0)} higher up"
    )


def _hours(hours: Mapping[str, Any]) -> str:
    most = [
        at
        for at, share in zip(hours["minutes_from_sunrise"], hours["factor"], strict=True)
        if share >= 0.9 * max(hours["factor"])
    ]
    return f"most from {most[0]:g} to {most[-1]:g} minutes after sunrise"


def _laws(card: SpeciesCard) -> list[str]:
    """Say where the law speaks of seeking the bird; nothing for a bird that no law is known of."""
    own = [law for law in bird_laws() if card.file.latin in law.birds and law.law]
    lines = [f"  {law.country}: {RULES[law.rule]}; the {law.law} {law.says}  [{law.source}]" for law in own]
    return (
        ["what the law says of seeking it on its display ground; elsewhere none was looked up:", *lines, ""]
        if own
        else []
    )


def _needs(card: SpeciesCard) -> list[str]:
    lines = ["what it needs of the ground (limiting needs multiply, compensating ones average):"]
    for need in card.file.need:
        knees = ", ".join(f"{x:g} -> {y:g}" for x, y in need.curve)
        lines.append(f"  {need.label} [{need.unit}], {need.role}, weight {need.weight:g}, {need.grade}")
        lines.append(f"      {knees}")
        lines.append(f"      {need.source}")
    return lines


def _regions(card: SpeciesCard) -> list[str]:
    density = card.file.density
    lines = [f"displaying males on the best ground: {per_area(density.best_per_km2)}  [{density.source}], times"]
    lines += [
        f"  {key:20} x {region.factor:<5g} {region.label}  [{region.source}]"
        for key, region in card.file.region.items()
    ]
    lines.append(f"  year of the cycle: peak {density.peak:g}, unknown {density.unknown:g}, low {density.low:g}")
    return lines


def _ends(card: SpeciesCard) -> list[str]:
    lines = ["sources:"]
    known = all_sources()
    lines += [f"  {key} [{known[key].found}]: {cite(key)}" for key in card.sources]
    return lines
