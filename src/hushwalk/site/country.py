"""The ground as it is drawn: heights, cover, suitability with its ingredients, lines and areas.

How it is drawn is the outputs' business.
"""

from dataclasses import dataclass
from typing import Any, Literal

from hushwalk.grid.layer import Layer
from hushwalk.site.manifest import Credit

Geometry = Any  # a shapely geometry in the metres of the report's grid


@dataclass(frozen=True, eq=False)
class Ingredient:
    """One ingredient of the suitability: its own score 0..1, in words what it is and where it comes from."""

    key: str
    label: str
    layer: Layer
    weight: float
    role: Literal["limiting", "compensating"]
    source: str
    assumed: bool = False


@dataclass(frozen=True, eq=False)
class Country:
    """The ground as drawn.

    ``kinds`` names the codes of ``cover``: code -> (key, label); ``good_from`` is the suitability of good ground for
    the bird; ``busy_roads`` and ``tracks`` are those of ``roads`` that carry traffic or are no more than a track;
    ``credits`` are owed on it.
    """

    elevation: Layer
    cover: Layer | None
    kinds: dict[int, tuple[str, str]]
    suitability: Layer
    ingredients: tuple[Ingredient, ...]
    density_per_km2: Layer
    good_from: float
    streams: tuple[Geometry, ...] = ()
    water: tuple[Geometry, ...] = ()
    wetlands: tuple[Geometry, ...] = ()
    trails: tuple[Geometry, ...] = ()
    roads: tuple[Geometry, ...] = ()
    busy_roads: tuple[Geometry, ...] = ()
    tracks: tuple[Geometry, ...] = ()
    closed: tuple[Geometry, ...] = ()
    buildings: tuple[Geometry, ...] = ()
    credits: tuple[Credit, ...] = ()
