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
from hushwalk.grid.nearby import disc_total
from hushwalk.habitat.density import DensityParams
from hushwalk.habitat.suitability import Suitability
from hushwalk.habitat.tiled_patches import pieces_of
from hushwalk.site.scoring import score_ground, seen_of
from hushwalk.site.species import Cycle, SpeciesCard
from hushwalk.site.species_file import parse_card

PARTS = 10_000
"""Definition: suitability is stored in parts of ten thousand."""

UNKNOWN = 65_535
"""Definition: stored where suitability is unknown."""


@dataclass(frozen=True)
class ScoringConfig:
    """All that a window needs beside its cells; plain, so that it can travel to another machine.

    Parameters
    ----------
    grid : the whole ground.
    key, card_text : of the species card.
    region, cycle : of the card.
    wet_known : whether any layer tells where water and wet ground lie.
    streams_mapped : False where the lie of the land tells where water gathers; only for ground of one window, because
        what drains into a window from beyond it is not seen.
    """

    grid: Grid
    key: str
    card_text: str = field(repr=False)
    region: str
    cycle: Cycle
    wet_known: bool
    streams_mapped: bool = True

    @property
    def card(self) -> SpeciesCard:
        """The species card."""
        return parsed_card(self.card_text, self.key)

    @property
    def males(self) -> DensityParams:
        """What the best ground holds."""
        return self.card.density(self.region, self.cycle)

    @property
    def least_cells(self) -> float:
        """Size of the smallest patch [cells]."""
        return self.card.patch.least_ha * 1e4 / self.grid.cell_m**2


@lru_cache(maxsize=4)
def parsed_card(text: str, key: str) -> SpeciesCard:
    """Species card of a text, parsed once."""
    file, raw = parse_card(text, key)
    return SpeciesCard(key, file, MappingProxyType(raw))


def score_window(scoring: ScoringConfig, held: Arrays, tile: Tile) -> dict[str, NDArray[Any]]:
    """Judge one window.

    Parameters
    ----------
    scoring : how ground is scored, the same for all windows.
    held : cells that the window looks at, by kind of layer: ``"cover"`` codes of cover kinds (0 unknown),
        ``"elevation"`` [m], ``"stand_age"`` [a], ``"canopy_cover"`` 0..1, ``"canopy_height"`` [m], each NaN where
        unknown; ``"wet"`` and ``"water"`` marks. Only ``"cover"`` and ``"water"`` must be there; water holds the
        cover that feet cannot cross.
    tile : which window.

    Returns
    -------
    dict
        ``"suitability"`` in parts of ``PARTS``, and the pieces of good ground: ``"table"`` and the four sides.

    Notes
    -----
    Every step gives the same to the last bit as on the whole ground, because the overlap holds all that it looks at.
    """
    grid = scoring.grid.window(*tile.outer)
    worth = surface_of(scoring, held, grid).layer.values
    good = np.nan_to_num(worth) >= scoring.card.patch.good_from
    deep = disc_total((~good).astype(np.int64), scoring.card.patch.edge_m, grid) == 0
    inside = tile.inner(deep), tile.inner(worth)
    pieces = pieces_of(_rimmed(good, tile), *inside, tile.row, tile.col, scoring.least_cells)
    inner = tile.inner(worth)
    known = np.isfinite(inner)
    parts = np.where(known, np.rint(np.where(known, inner, 0.0) * PARTS), UNKNOWN).astype(np.uint16)
    sides = {name: getattr(pieces, name) for name in ("table", "top", "bottom", "left", "right")}
    return {"suitability": parts, **sides}


def surface_of(scoring: ScoringConfig, held: Arrays, grid: Grid) -> Suitability:
    """Score every ingredient of the cells of a window, and join them.

    Parameters
    ----------
    scoring, held : as for :func:`score_window`; near its edge a window shows less than the whole ground does.
    grid : of the window.

    Returns
    -------
    Suitability
    """
    seen = seen_of(held, grid, wet_known=scoring.wet_known, streams_mapped=scoring.streams_mapped)
    return score_ground(seen, held["water"], scoring.card, scoring.region)


def _rimmed(good: NDArray[np.bool_], tile: Tile) -> NDArray[np.bool_]:
    """Give the cells of the window and of one round it, False beyond the ground."""
    padded = np.pad(good, 1)
    return padded[tile.top : tile.top + tile.n_rows + 2, tile.left : tile.left + tile.n_cols + 2]
