"""How many males there are, step by step: on the ground, near enough, displaying, heard.

The males that a walk hears are outlook.py's.
"""

from dataclasses import dataclass

import numpy as np

from hushwalk.grid.nearby import distance_to
from hushwalk.hearing.level_soundscape import LEAFLESS
from hushwalk.site.detectability import Detectability
from hushwalk.site.site import Site
from hushwalk.types import BoolArray


@dataclass(frozen=True)
class MalesSteps:
    """Males on the way from the ground to the ear; each number is a part of the one before it.

    Parameters
    ----------
    on_ground : males that live on the ground of the trip.
    in_earshot : of them, those in earshot of places from which one is back in time.
    participation : share of males that display at all on such a morning, 0..1.
    low_share, high_share : published ends of the density over its middle.
    """

    on_ground: float
    in_earshot: float
    participation: float
    low_share: float
    high_share: float

    @property
    def displaying(self) -> float:
        """Males in earshot that display on such a morning."""
        return self.in_earshot * self.participation


def males_steps(site: Site, detectability: Detectability, within: BoolArray, participation: float) -> MalesSteps:
    """Count the males step by step, before any walk is chosen.

    Parameters
    ----------
    site : the ground of the trip.
    detectability : what can be heard there.
    within : shape grid.shape, places from which one is back in time.
    participation : share of males that display at all on the morning, 0..1.

    Returns
    -------
    MalesSteps
    """
    per_cell = np.nan_to_num(site.density.values) * site.grid.cell_area_km2
    heard = distance_to(within, site.grid) <= detectability.level.earshot_m(LEAFLESS)
    low, high = site.habitat.density_range
    return MalesSteps(float(per_cell.sum()), float(per_cell[heard].sum()), participation, low, high)
