"""How much of the way back lies on the way out: there and back, or a loop.

Looking for another way back is other_way_back.py's business.
"""

import numpy as np
import shapely

from hushwalk.grid.polyline import distances_along, points_along
from hushwalk.morning.morning_problem import CAR, MorningProblem, way_line
from hushwalk.planning.model.plan import Plan
from hushwalk.types import FloatArray

NEAR_M = 50.0  # judgement: so near one walks past the same birds again; the distance at which a male is disturbed
ROUND_CAR_M = 150.0  # judgement: every walk begins and ends at the car, and so near it one way is the other
APART = 0.25  # judgement: a way back of which three quarters are new is another one
STEP_M = 10.0  # judgement: fine enough beside NEAR_M


def way_out_and_back(morning_problem: MorningProblem, plan: Plan) -> tuple[list[FloatArray], list[FloatArray]]:
    """Lines of the legs to the stop that is farthest from the car, and of those from there on, each shape (k, 2) [m].

    Parameters
    ----------
    morning_problem : posts and ways.
    plan : of it, with a stop.

    Returns
    -------
    tuple
        The way out, and the way back.
    """
    places = [morning_problem.problem.start, *plan.posts, CAR]
    departs = [plan.depart_s, *(visit.leave_s for visit in plan.visits)]
    legs = zip(places[:-1], places[1:], departs, strict=True)
    lines = [way_line(morning_problem, (here, there), depart_s).line_m for here, there, depart_s in legs]
    stops = morning_problem.posts_xy[np.array(plan.posts) - 1]
    far = int(np.argmax(np.hypot(*(stops - lines[-1][-1]).T)))
    return lines[: far + 1], lines[far + 1 :]


def walked_twice(morning_problem: MorningProblem, plan: Plan) -> float:
    """Share of the way back that lies within 50 m of the way out, off the surroundings of the car, 0..1.

    Parameters
    ----------
    morning_problem : posts and ways.
    plan : of it.
    """
    if not plan.visits:
        return 0.0
    out, back = way_out_and_back(morning_problem, plan)
    along = [points_along(line, np.arange(0.0, distances_along(line)[-1] + 1e-6, STEP_M)) for line in back]
    points = np.vstack(along)
    points = points[np.hypot(*(points - back[-1][-1]).T) > ROUND_CAR_M]
    if len(points) == 0:
        return 0.0
    whole_way_out = shapely.MultiLineString([line for line in out if len(line) > 1])
    return float(np.mean(shapely.distance(whole_way_out, shapely.points(points)) <= NEAR_M))
