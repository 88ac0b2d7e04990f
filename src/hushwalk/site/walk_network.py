"""Walking on this morning: the graph of the trip's ground, and what can be reached in time.

The graph itself is the walking room's.
"""

from dataclasses import dataclass, field

import numpy as np

from hushwalk.errors import NoPlanError
from hushwalk.site.morning_clock import Clock
from hushwalk.site.settings import TripSettings
from hushwalk.site.site import Site
from hushwalk.types import BoolArray, FloatArray
from hushwalk.walking.graph import WalkGraph
from hushwalk.walking.ground import build_ground
from hushwalk.walking.shortest_paths import walking_time_from
from hushwalk.walking.traveller import traveller_of


@dataclass(frozen=True, eq=False)
class WalkNetwork:
    """The walk graph of a trip.

    Parameters
    ----------
    graph : by daylight.
    from_car_s : shape grid.shape, walking time from the car by daylight, NaN where it cannot be reached [s].
    on_trail : shape grid.shape.
    """

    graph: WalkGraph
    from_car_s: FloatArray = field(repr=False)
    on_trail: BoolArray = field(repr=False)

    def within(self, there_and_back_s: float) -> BoolArray:
        """Cells from which one can be back at the car in time, shape grid.shape.

        Notes
        -----
        The way back is taken to last as long as the way out; the plan itself uses the true times.
        """
        inside: BoolArray = np.nan_to_num(self.from_car_s, nan=np.inf) * 2 <= there_and_back_s
        return inside & ~self.graph.ground.blocked


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
    ground, shapes = site.ground, site.inputs.shapes
    traveller = traveller_of(
        settings.walker.traveller,
        settings.walker.pace,
        pace_factor=settings.walker.pace_factor,
        snow=settings.weather.snow,
    )
    walked = build_ground(
        ground.elevation,
        params=traveller.ground_params,
        pace_factor=ground.pace,
        water=ground.water,
        closed=ground.closed,
        streams=shapes("streams"),
        trails=shapes("trails"),
        roads=shapes("roads"),
    )
    graph = traveller.network(walked)
    graph.node_at(site.car.xy_m, "place.car")
    reached = walking_time_from(graph, site.car.xy_m, limit_s=clock.window_s / 2)
    if np.count_nonzero(reached.known) <= 1:
        raise NoPlanError(
            "nothing can be reached on foot from the car: water, cliffs or closed ground lie all round; "
            "move place.car, or look at the layers that close the ground"
        )
    return WalkNetwork(graph, reached.values, np.asarray(walked.on_trail))
