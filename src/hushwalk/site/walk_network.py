"""Walking on this morning: the graph of the trip's ground, and what can be reached in time.

The graph itself is the walking room's.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from hushwalk.errors import NoPlanError, PlaceError
from hushwalk.grid.layer import Layer
from hushwalk.science.gait import with_own_factors
from hushwalk.site.car_place import nearest_road
from hushwalk.site.country import Geometry
from hushwalk.site.morning_clock import Clock
from hushwalk.site.passage import Passage
from hushwalk.site.reading.ways import slow_tread_factor
from hushwalk.site.settings import TripSettings, WalkerSettings
from hushwalk.site.site import Site
from hushwalk.types import BoolArray, FloatArray
from hushwalk.walking.graph import WalkGraph
from hushwalk.walking.ground import build_ground
from hushwalk.walking.shortest_paths import walking_time_from
from hushwalk.walking.trails import WaysApart
from hushwalk.walking.traveller import traveller_of


@dataclass(frozen=True, eq=False)
class WalkNetwork:
    """The walk graph of a trip.

    Parameters
    ----------
    graph : by daylight.
    from_car_s : shape grid.shape, walking time from the car by daylight, NaN where it cannot be reached [s].
    on_trail : shape grid.shape.
    no_stop : shape grid.shape, where nobody stands and listens.
    """

    graph: WalkGraph
    from_car_s: FloatArray = field(repr=False)
    on_trail: BoolArray = field(repr=False)
    no_stop: BoolArray = field(repr=False)

    def stands_from(self, xy_m: tuple[float, float], within_s: float) -> Layer:
        """Walking time from a place to where one may stand and listen [s], unknown elsewhere.

        Raises
        ------
        PlaceError
            If nobody can walk at the place.
        """
        seconds = walking_time_from(self.graph, xy_m, limit_s=within_s)
        return replace(seconds, values=np.where(self.no_stop, np.nan, seconds.values))

    def within(self, there_and_back_s: float) -> BoolArray:
        """Cells from which one can be back at the car in time, shape grid.shape.

        Notes
        -----
        The way back is taken to last as long as the way out; the plan itself uses the true times.
        """
        inside: BoolArray = np.nan_to_num(self.from_car_s, nan=np.inf) * 2 <= there_and_back_s
        return inside & ~self.graph.ground.blocked


@dataclass(frozen=True, eq=False)
class Terrain:
    """Ground that one may walk on, of a trip or of a piece of a region.

    Parameters
    ----------
    elevation : [m].
    pace : time on a metre against that on open ground [1]; None for open ground everywhere.
    water, closed : shape grid.shape, where nobody walks.
    wet : shape grid.shape, where feet get wet.
    streams : lines [m].
    passage : roads and trails that may be walked, and what is not entered off them.
    closed_shapes : closed ground as it is drawn.
    """

    elevation: Layer
    pace: Layer | None
    water: BoolArray = field(repr=False)
    closed: BoolArray = field(repr=False)
    wet: BoolArray = field(repr=False)
    streams: Sequence[Geometry] = field(repr=False)
    passage: Passage = field(repr=False)
    closed_shapes: Sequence[Geometry] = field(repr=False)


def walk_graph(walker: WalkerSettings, snow: str, terrain: Terrain) -> WalkGraph:
    """Build the graph that a walker of the trip file walks, of a trip and of a region alike.

    The reserve lengthens every time off and on trails, so that a slower walker still keeps the timetable.

    Parameters
    ----------
    walker : on foot or on snowshoes, and at which pace.
    snow : of the morning.
    terrain : to walk on.

    Returns
    -------
    WalkGraph
    """
    slower = walker.pace_factor * (1 + walker.reserve)
    usual = traveller_of(walker.traveller, walker.pace, pace_factor=slower, snow=snow)
    traveller = replace(usual, gait=with_own_factors(usual.gait, walker.off_path_factor, walker.climb_factor))
    ground = build_ground(
        terrain.elevation,
        params=traveller.ground_params,
        pace_factor=terrain.pace,
        water=terrain.water,
        closed=terrain.closed,
        bars=terrain.passage.bars,
        wet=terrain.wet,
        crossed=terrain.passage.private,
        streams=terrain.streams,
        trails=terrain.passage.trails,
        roads=terrain.passage.roads,
        apart=WaysApart(
            raised=terrain.passage.raised,
            motorways=terrain.passage.motorways,
            slow=terrain.passage.slow,
            slow_factor=slow_tread_factor(),
            closed=terrain.closed_shapes,
        ),
    )
    return replace(traveller.network(ground), dark_factor=walker.dark_factor)


def build_walk_network(settings: TripSettings, site: Site, clock: Clock) -> WalkNetwork:
    """Build the walk graph and reach out from the car.

    Parameters
    ----------
    settings : what the trip file says.
    site : the ground of the trip.
    clock : of the morning.

    Returns
    -------
    WalkNetwork
        Graph, and times from the car.

    Raises
    ------
    PlaceError
        If the car stands in water, on a cliff or on closed ground.
    NoPlanError
        If nothing can be reached from the car.
    """
    return reached_in_time(graph_of_site(settings, site), site, clock)


def graph_of_site(settings: TripSettings, site: Site) -> WalkGraph:
    """Build the walk graph of a trip, which no hour has a part in.

    Raises
    ------
    PlaceError
        If the car stands in water, on a cliff or on closed ground.
    """
    ground = site.ground
    graph = walk_graph(
        settings.walker,
        settings.weather.snow,
        Terrain(
            ground.elevation,
            ground.pace,
            ground.water,
            ground.closed,
            ground.wet,
            site.inputs.shapes("streams"),
            ground.passage,
            ground.closed_shapes,
        ),
    )
    _check_car(site, graph)
    return graph


def reached_in_time(graph: WalkGraph, site: Site, clock: Clock) -> WalkNetwork:
    """Reach out from the car as far as half of a morning leads.

    Parameters
    ----------
    graph : of :func:`graph_of_site`.
    site : the ground of the trip.
    clock : of the morning.

    Returns
    -------
    WalkNetwork

    Raises
    ------
    NoPlanError
        If nothing can be reached from the car.
    """
    reached = walking_time_from(graph, site.car.xy_m, limit_s=clock.window_s / 2)
    if np.count_nonzero(reached.known) <= 1:
        raise NoPlanError(
            "nothing can be reached on foot from the car: water, cliffs, closed or built-up ground or houses lie all "
            "round; move place.car, or look at the layers that close the ground"
        )
    return WalkNetwork(graph, reached.values, np.asarray(graph.ground.on_trail), site.ground.passage.no_stop)


def _check_car(site: Site, graph: WalkGraph) -> None:
    """Refuse a car where nobody can walk, with the nearest road as the likely mend."""
    try:
        graph.node_at(site.car.xy_m, "place.car")
    except PlaceError as fault:
        road = nearest_road(site)
        if road is None:
            raise
        near = f"the nearest road is {road.far_m:.0f} m off, at {road.lat_deg:.5f}, {road.lon_deg:.5f}"
        raise PlaceError(f"{fault} ({near})") from None
