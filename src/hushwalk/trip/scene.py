"""What every map needs, of whichever story it tells: the ground, its name, the car and the norths.

A planned morning is a scene, and so is the search of a late morning.
"""

from dataclasses import dataclass, field
from datetime import date
from typing import Protocol

from hushwalk.grid.grid import Grid
from hushwalk.trip.found import Findings, Search
from hushwalk.trip.report import Country, North
from hushwalk.trip.spot import Spot


class Scene(Protocol):
    """Ground that can be drawn."""

    @property
    def title(self) -> str:
        """Name of the place."""

    @property
    def grid(self) -> Grid:
        """Grid of the trip."""

    @property
    def car(self) -> Spot:
        """Where the car stands."""

    @property
    def north(self) -> North:
        """How the norths lie on the day."""

    @property
    def country(self) -> Country:
        """The ground as drawn."""


@dataclass(frozen=True, eq=False)
class SearchReport:
    """The search of one late morning, ready to be drawn.

    Parameters
    ----------
    title, grid, car, north, country : a scene.
    species : of the bird.
    day : of the search.
    search, findings : the areas in order, and all that the notes gave.
    cautions, notices : one sentence each.
    """

    title: str
    grid: Grid
    car: Spot
    north: North
    country: Country = field(repr=False)
    species: str
    day: date
    search: Search
    findings: Findings
    cautions: tuple[str, ...] = ()
    notices: tuple[str, ...] = ()
