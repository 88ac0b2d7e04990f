"""The search of one late morning as a frozen bundle, ready to be drawn.

How it is filled is searching.py's story.
"""

from dataclasses import dataclass, field
from datetime import date

from hushwalk.birds.detections import Findings, Search
from hushwalk.grid.grid import Grid
from hushwalk.site.country import Country
from hushwalk.site.norths import North
from hushwalk.site.place import Place


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
    car: Place
    north: North
    country: Country = field(repr=False)
    species: str
    day: date
    search: Search
    findings: Findings
    cautions: tuple[str, ...] = ()
    notices: tuple[str, ...] = ()
