"""One window of wide ground: cells with their overlap in, suitability and pieces of good ground out.

The same function runs in threads, in processes and on a cluster; streaming the windows is surface.py's business.
"""

from dataclasses import dataclass, field
from functools import lru_cache
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hushwalk.files.tiles import Arrays, Tile
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.nearby import disc_total
from hushwalk.habitat.density import DensityParams
from hushwalk.habitat.suitability import Suitability, suitability
from hushwalk.habitat.tiled_patches import pieces_of
from hushwalk.site.cover_kinds import cover_kinds
from hushwalk.site.measuring import Seen, measure
from hushwalk.site.species import Cycle, SpeciesCard
from hushwalk.site.species_file import parse_card

PARTS = 10_000
"""Definition: suitability is stored in parts of ten thousand."""

UNKNOWN = 65_535
"""Definition: stored where suitability is unknown."""


@dataclass(frozen=True)
class Recipe:
    """All that a window needs beside its cells; plain, so that it can travel to another machine.

    Parameters
    ----------
    grid : the whole ground.
    key, card_text : of the species card.
    region, cycle : of the card.
    wet_known : whether streams, water or wetlands are known anywhere on the ground.
    """

    grid: Grid
    key: str
    card_text: str = field(repr=False)
    region: str
    cycle: Cycle
    wet_known: bool

    @property
    def card(self) -> SpeciesCard:
        """The species card."""
        return _card(self.card_text, self.key)

    @property
    def males(self) -> DensityParams:
        """What the best ground holds."""
        return self.card.density(self.region, self.cycle)

    @property
    def least_cells(self) -> float:
        """Size of the smallest patch [cells]."""
        return self.card.patch.least_ha * 1e4 / self.grid.cell_m**2


@lru_cache(maxsize=4)
def _card(text: str, key: str) -> SpeciesCard:
    file, raw = parse_card(text, key)
    return SpeciesCard(key, file, MappingProxyType(raw))


def judge_window(recipe: Recipe, held: Arrays, tile: Tile) -> dict[str, NDArray[Any]]:
    """Judge one window.

    Parameters
    ----------
    recipe : the same for all windows.
    held : cells that the window looks at, by kind of layer: ``"cover"`` codes of cover kinds (0 unknown),
        ``"elevation"`` [m], ``"stand_age"`` [a], ``"canopy_cover"`` 0..1, ``"canopy_height"`` [m], each NaN where
        unknown; ``"wet"`` and ``"water"`` marks. Only ``"cover"`` must be there.
    tile : which window.

    Returns
    -------
    dict
        ``"suitability"`` in parts of ``PARTS``, and the pieces of good ground: ``"table"`` and the four sides.

    Notes
    -----
    Every step gives the same to the last bit as on the whole ground, because the overlap holds all that it looks at.
    """
    grid = recipe.grid.window(*tile.outer)
    worth = _worth(recipe, held, grid)
    good = np.nan_to_num(worth) >= recipe.card.patch.good_from
    deep = disc_total((~good).astype(np.int64), recipe.card.patch.edge_m, grid) == 0
    inside = tile.inner(deep), tile.inner(worth)
    pieces = pieces_of(_rimmed(good, tile), *inside, tile.row, tile.col, recipe.least_cells)
    inner = tile.inner(worth)
    known = np.isfinite(inner)
    parts = np.where(known, np.rint(np.where(known, inner, 0.0) * PARTS), UNKNOWN).astype(np.uint16)
    sides = {name: getattr(pieces, name) for name in ("table", "top", "bottom", "left", "right")}
    return {"suitability": parts, **sides}


def _worth(recipe: Recipe, held: Arrays, grid: Grid) -> NDArray[np.float64]:
    kinds = np.asarray(held["cover"])
    wet = np.isin(kinds, [code for code, kind in cover_kinds().items() if not kind.walkable])
    wet = wet | held["water"] if "water" in held else wet
    return np.where(wet, 0.0, surface_of(recipe, held, grid).layer.values)


def surface_of(recipe: Recipe, held: Arrays, grid: Grid) -> Suitability:
    """Score every ingredient of the cells of a window, and join them.

    Parameters
    ----------
    recipe, held : as for :func:`judge_window`; near its edge a window shows less than the whole ground does.
    grid : of the window.
    """
    kinds = np.asarray(held["cover"])
    cover = Layer("cover", "class", grid, np.where(kinds == 0, np.nan, kinds))
    seen = Seen(
        elevation=_layer("elevation", "m", held, grid),
        cover=cover,
        stand_age=_layer("stand_age", "yr", held, grid),
        canopy_cover=_layer("canopy_cover", "1", held, grid),
        canopy_height=_layer("canopy_height", "m", held, grid),
        wet=np.asarray(held["wet"], dtype=bool) if recipe.wet_known else None,
    )
    needs = recipe.card.needs(recipe.region)
    wanted = {need.key for need in needs}
    measured = {key: layer for key, layer in measure(seen, recipe.card, recipe.region).items() if key in wanted}
    return suitability(needs, measured, recipe.card.surface)


def _layer(name: str, unit: str, held: Arrays, grid: Grid) -> Layer | None:
    return Layer(name, unit, grid, np.asarray(held[name], dtype=float)) if name in held else None


def _rimmed(good: NDArray[np.bool_], tile: Tile) -> NDArray[np.bool_]:
    """Give the cells of the window and of one round it, False beyond the ground."""
    padded = np.pad(good, 1)
    return padded[tile.top : tile.top + tile.n_rows + 2, tile.left : tile.left + tile.n_cols + 2]
