"""What every map needs, of whichever story it tells: the ground, its name, the car and the norths.

A planned morning is a scene, and so is the search of a late morning.
"""

from typing import Protocol

from hushwalk.grid.grid import Grid
from hushwalk.site.country import Country
from hushwalk.site.norths import North
from hushwalk.site.place import Place


class Scene(Protocol):
    """Ground that can be drawn."""

    @property
    def title(self) -> str:
        """Name of the place."""

    @property
    def grid(self) -> Grid:
        """Grid of the trip."""

    @property
    def car(self) -> Place:
        """Where the car stands."""

    @property
    def north(self) -> North:
        """How the norths lie on the day."""

    @property
    def country(self) -> Country:
        """The ground as drawn."""
