"""Where one may walk and stand: ways that are open to feet, motorways, houses and built-up ground.

What a road is called in a layer is ways.py's business; how long a walk takes, the walking room's.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from hushwalk.files.vectors import Feature
from hushwalk.grid.align import burn
from hushwalk.grid.grid import Grid
from hushwalk.grid.nearby import distance_to
from hushwalk.site.reading.cover_kinds import kind_by_key
from hushwalk.site.reading.ways import WayTraits
from hushwalk.site.settings import HouseDistances
from hushwalk.types import BoolArray

Geometry = Any
Features = Mapping[str, Sequence[Feature]]

BUILT_UP = "developed"
"""Definition: key of the cover kind of built-up ground."""

TRAILS = frozenset({"path", "track"})
"""Definition: classes that are no street, whichever layer they come in."""

MOTORWAY_STRIP_M = 30.0
"""Judgement: from the middle of a carriageway to the fence of its strip; motorways are fenced or forbidden to feet."""

ROAD_STRIP_M = 45.0
"""Judgement: cover of 30 m cells shows a road as built-up ground a cell and a half to either side."""

ROUND = 1.01  # judgement: a circle drawn with 32 corners is half a per cent too small


@dataclass(frozen=True)
class PassageFacts:
    """What is known of where one may walk, and what is not.

    Parameters
    ----------
    ways_km : roads and trails on the ground.
    unclassed_km, unsaid_km : those whose class no layer says, and those that may be walked as far as their class tells
        while nobody says so.
    private_km, motorway_km : left out of the walk.
    houses : how many shapes of houses; None where no layer shows them.
    built_up_km2 : built-up ground of the land cover.
    keep : how far one keeps from houses.
    leave : whether private ways are walked by leave of their owners.
    """

    ways_km: float = 0.0
    unclassed_km: float = 0.0
    unsaid_km: float = 0.0
    private_km: float = 0.0
    motorway_km: float = 0.0
    houses: int | None = None
    built_up_km2: float = 0.0
    keep: HouseDistances = field(default_factory=HouseDistances)
    leave: bool = False


@dataclass(frozen=True, eq=False)
class Passage:
    """Where one may walk and stand on a piece of ground.

    Parameters
    ----------
    trails, roads : lines that may be walked, on the level of the ground.
    raised : bridges and tunnels that may be walked, which meet other ways at their ends only.
    slow : ways with a bad tread.
    motorways : lines that no trail crosses on the level.
    bars : shape grid.shape each, what is not entered off roads and trails.
    private : shape grid.shape, cells of ways that are somebody's: not walked, and crossed the short way.
    no_stop : shape grid.shape, where nobody stands and listens.
    facts : what is known and what is not.
    """

    trails: tuple[Geometry, ...] = field(repr=False)
    roads: tuple[Geometry, ...] = field(repr=False)
    raised: tuple[Geometry, ...] = field(repr=False)
    slow: tuple[Geometry, ...] = field(repr=False)
    motorways: tuple[Geometry, ...] = field(repr=False)
    bars: Mapping[str, BoolArray] = field(repr=False)
    private: BoolArray = field(repr=False)
    no_stop: BoolArray = field(repr=False)
    facts: PassageFacts

    @property
    def barred(self) -> BoolArray:
        """Cells that are not entered off roads and trails, for whatever reason."""
        return np.asarray(np.logical_or.reduce(list(self.bars.values())))


def passage_of(
    features: Features,
    cover: NDArray[Any] | None,
    grid: Grid,
    houses: HouseDistances | None = None,
    *,
    rough: bool = False,
    leave: bool = False,
) -> Passage:
    """Tell where one may walk and stand.

    Parameters
    ----------
    features : by kind of layer: ``"trails"``, ``"roads"``, ``"buildings"`` and ``"water"``, in metres of the grid.
    cover : shape grid.shape, codes of cover kinds, or None.
    grid : the ground.
    houses : how far one keeps from houses.
    rough : measure from house to cell by their middles, to half a cell; quick enough for thousands of pieces of ground
        that are compared and not walked.
    leave : whether the owners of private ways let the walker use them.

    Returns
    -------
    Passage

    Notes
    -----
    What one may cross a motorway on goes by the class of a way, and where that is not told by the kind of its layer.
    Built-up cover along a mapped road is the road itself; without any road, strips narrower than a road's are taken for
    roads. Where no layer shows houses, the built-up cover that is left stands for them.
    """
    keep = houses or HouseDistances()
    ways = [(kind, one, _traits(one)) for kind in ("trails", "roads") for one in features.get(kind, ())]
    motor = [(one.geometry, traits) for _, one, traits in ways if traits.motor_only]
    owned = [(kind, one.geometry, traits) for kind, one, traits in ways if traits.private and not traits.motor_only]
    walked = [(kind, one.geometry, traits) for kind, one, traits in ways if traits.walked] + (owned if leave else [])
    private = [] if leave else [line for _, line, _ in owned]
    built = _built_up(cover, [one.geometry for _, one, _ in ways], grid)
    homes = [one.geometry for one in features.get("buildings", ())]
    open_air = [line for line, traits in motor if traits.level != "tunnel"]
    bars = {
        "motorway": _within(open_air, MOTORWAY_STRIP_M, grid),
        "houses": _near_houses(homes, built, keep.leg_m, grid, rough=rough),
        "built-up": built,
    }
    private_cells = burn(private, grid, touched=True)
    stands = _near_houses(homes, built, keep.stop_m, grid, rough=rough)
    shore = burn([one.geometry for one in features.get("water", ())], grid, touched=True)
    return Passage(
        trails=tuple(line for kind, line, traits in walked if _is_trail(kind, traits) and not traits.level),
        roads=tuple(line for kind, line, traits in walked if not _is_trail(kind, traits) and not traits.level),
        raised=tuple(line for _, line, traits in walked if traits.level),
        slow=tuple(line for _, line, traits in walked if traits.slow),
        motorways=tuple(line for line, traits in motor if not traits.level),
        bars=bars,
        private=private_cells,
        no_stop=stands | built | bars["motorway"] | private_cells | shore,
        facts=replace(_facts(ways, homes or None, built, grid), keep=keep, leave=leave),
    )


def traffic_lines(features: Features) -> dict[str, list[Geometry]]:
    """Lines of roads whose traffic is heard, by the row of data/tables/traffic.toml; none in a tunnel."""
    found: dict[str, list[Geometry]] = {}
    for kind in ("roads", "trails"):
        for one in features.get(kind, ()):
            traits = _traits(one)
            if traits.traffic and traits.level != "tunnel":
                found.setdefault(traits.traffic, []).append(one.geometry)
    return found


def roads_that(features: Features, hold: Callable[[WayTraits], bool]) -> tuple[Geometry, ...]:
    """Lines of the layers of roads whose traits hold."""
    return tuple(one.geometry for one in features.get("roads", ()) if hold(_traits(one)))


def _is_trail(layer: str, traits: WayTraits) -> bool:
    return traits.kind in TRAILS if traits.kind else layer == "trails"


def _traits(one: Feature) -> WayTraits:
    return one.traits if isinstance(one.traits, WayTraits) else WayTraits()


def _within(shapes: Sequence[Geometry], far_m: float, grid: Grid) -> BoolArray:
    """Cells that hold a point nearer than this to any of the shapes."""
    if not shapes or far_m <= 0:
        return np.zeros(grid.shape, dtype=bool)
    return burn(shapely.buffer(np.array(shapes, dtype=object), far_m * ROUND), grid, touched=True)


def _near_houses(homes: Sequence[Geometry], built: BoolArray, far_m: float, grid: Grid, *, rough: bool) -> BoolArray:
    if homes and not rough:
        return _within(homes, far_m, grid)
    held = burn(homes, grid, touched=True) if homes else built
    if far_m <= 0 or not held.any():
        return np.zeros(grid.shape, dtype=bool)
    return np.asarray(distance_to(held, grid) <= far_m)


def _built_up(cover: NDArray[Any] | None, ways: Sequence[Geometry], grid: Grid) -> BoolArray:
    """Built-up ground that is no road."""
    if cover is None:
        return np.zeros(grid.shape, dtype=bool)
    built = np.asarray(cover == kind_by_key(BUILT_UP).code)
    if not built.any() or built.all():
        return built
    if ways:
        return built & (distance_to(burn(ways, grid, touched=True), grid) > ROAD_STRIP_M)
    core = distance_to(~built, grid) > ROAD_STRIP_M
    return built & (distance_to(core, grid) <= ROAD_STRIP_M) if core.any() else core


def _facts(
    ways: Sequence[tuple[str, Feature, WayTraits]], homes: Sequence[Geometry] | None, built: BoolArray, grid: Grid
) -> PassageFacts:
    def km(chosen: Sequence[bool]) -> float:
        lengths = (one.geometry.length for (_, one, _), is_one in zip(ways, chosen, strict=True) if is_one)
        return float(sum(lengths)) / 1000

    return PassageFacts(
        ways_km=km([True for _ in ways]),
        unclassed_km=km([not traits.kind for _, _, traits in ways]),
        unsaid_km=km([traits.walked and not traits.access for _, _, traits in ways]),
        private_km=km([traits.private and not traits.motor_only for _, _, traits in ways]),
        motorway_km=km([traits.motor_only for _, _, traits in ways]),
        houses=None if homes is None else len(homes),
        built_up_km2=float(np.count_nonzero(built)) * grid.cell_area_km2,
    )
