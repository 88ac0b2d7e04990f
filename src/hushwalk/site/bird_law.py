"""What the law of a country says of seeking a bird on its display ground: refused, or a caution.

The laws stand in data/tables/bird_laws.toml; a country is told by its time zones.
"""

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal

from hushwalk.errors import SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.site.bird_range import places_over
from hushwalk.site.species import SpeciesCard
from hushwalk.site.time_zone import zone_at


@dataclass(frozen=True)
class BirdLaw:
    """One law, or the lack of one.

    Parameters
    ----------
    country : as people call it; empty where no law was looked up.
    zones : time zones that lie in it; empty for everywhere else.
    birds : scientific names.
    rule : whether a walk is refused, or goes with a caution.
    law, says : name of the law, and what it says.
    source : key of the sources.
    """

    country: str
    zones: tuple[str, ...]
    birds: tuple[str, ...]
    rule: Literal["refuse", "caution"]
    law: str
    says: str
    source: str


@cache
def bird_laws() -> tuple[BirdLaw, ...]:
    """Give every law that is known."""
    text = (files("hushwalk") / "data" / "tables" / "bird_laws.toml").read_text(encoding="utf-8")
    rows = [row for row in tomllib.loads(text).values() if isinstance(row, dict)]
    return tuple(BirdLaw(**{**row, "zones": tuple(row["zones"]), "birds": tuple(row["birds"])}) for row in rows)


def lawful(card: SpeciesCard, grid: Grid) -> tuple[BirdLaw, ...]:
    """Give what the law says of seeking a bird on some ground, where it does not forbid it.

    Parameters
    ----------
    card : species card; its scientific name finds the laws.
    grid : the ground, whose corners may lie in another country than its middle.

    Returns
    -------
    tuple of BirdLaw
        Cautions; none for a bird that no law is known of.

    Raises
    ------
    SettingsError
        If the law of a country that the ground lies in or reaches into forbids it.
    """
    own = [law for law in bird_laws() if card.file.latin in law.birds]
    if not own:
        return ()
    zones = _zones(grid)
    here = [law for law in own if set(law.zones) & set(zones)]
    for law in here:
        if law.rule == "refuse":
            raise SettingsError(_refusal(card, law, inside=zones[0] in law.zones))
    unknown = not any(zones[0] in law.zones for law in own)
    return (*here, *(law for law in own if unknown and not law.zones))


def _zones(grid: Grid) -> Sequence[str]:
    """Time zones of the ground, that of its middle first."""
    return list(dict.fromkeys(zone_at(*place) for place in places_over(grid)))


def _refusal(card: SpeciesCard, law: BirdLaw, *, inside: bool) -> str:
    there = f"the ground lies in {law.country}" if inside else f"the ground reaches into {law.country}"
    mend = "" if inside else "; keep the ground out of that country (a smaller reach_m, or other bounds)"
    return (
        f"the {card.name} is not sought on its display ground in {law.country}, and {there}: the {law.law} "
        f"{law.says}. No walk is planned there; whoever has leave asks the authority that gave it{mend}"
    )
