"""A species card in words, every number with where it comes from.

Reading and checking a card is species.py's business.
"""

from hushwalk.site.species import SpeciesCard, read_card
from hushwalk.sources import all_sources, cite


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
    return "\n".join([*_head(card), "", *_needs(card), "", *_regions(card), "", *_ends(card)])


def _head(card: SpeciesCard) -> list[str]:
    title = f"{card.name} ({card.file.latin})"
    if not card.file.sound:
        return [title, "  no call on the card: its ground can be judged, but no walk planned by ear"]
    sound, display = card["sound"], card["display"]
    return [
        title,
        (
            f"  call: {sound['call']}, {sound['duration_s']:g} s, loudest at {sound['bands_hz'][0]} Hz"
            f"  [{sound['level_source']}]"
        ),
        f"  displays {display['rate_per_min']:g} times a minute while displaying  [{display['rate_source']}]",
        (
            f"  displays at all on {display['morning']['participation']:.0%} of mornings in the best weeks"
            f"  [{display['morning']['source']}]"
        ),
    ]


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
    lines = [f"displaying males on the best ground: {density.best_per_km2:g} per km2  [{density.source}], times"]
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
