"""What to expect of a planned day, with birds of its own: in groups, with year, ear and weather drawn.

The planner's smooth density has no part in it but for how many males there are; the playing is day_worth.py's.
"""

from dataclasses import replace

import numpy as np

from hushwalk.grid.grid import Grid
from hushwalk.morning.day.day_figures import day_figure
from hushwalk.morning.day.day_inputs import (
    bird_ground,
    cells_near,
    day_params,
    heard_by_level,
    walk_of_plan,
)
from hushwalk.morning.day.day_walk import DayWalk
from hushwalk.morning.day.day_worth import PlayedDays, play_days
from hushwalk.morning.day.drawn_days import DayChanges, clustered, draw_days
from hushwalk.morning.day_chances import ExpectedDay
from hushwalk.morning.look_round import Morning
from hushwalk.morning.morning_problem import MorningProblem
from hushwalk.planning.model.plan import Plan
from hushwalk.types import FloatArray

DAYS = 300  # judgement: standard errors of a twentieth of a log, and a second or two
SLOWER = 0.15  # judgement: walkers up to so much slower than their own pace, as the promise is made for
ALMOST_ALL = 0.95  # judgement: no morning is known on which every male displayed


def expected_of_plan(morning: Morning, morning_problem: MorningProblem, plan: Plan) -> ExpectedDay | None:
    """Play the planned day.

    Parameters
    ----------
    morning : ground, clock, hearing and ways, with what is kept free for closing in.
    morning_problem : posts, times and chances.
    plan : of that problem.

    Returns
    -------
    ExpectedDay or None
        None where nothing is planned.
    """
    if not plan.visits:
        return None
    walk = walk_of_plan(morning, morning_problem, plan, morning.kept_free_s / 60)
    own = replace(walk, column=np.arange(walk.stops))
    return expected_of_walk(morning, own, morning_problem.heard.grid)[0]


def expected_of_walk(morning: Morning, walk: DayWalk, grid: Grid, days: int = DAYS) -> tuple[ExpectedDay, PlayedDays]:
    """Play a timetable on days with birds in groups, and with year, ear and weather drawn.

    Parameters
    ----------
    morning : ground, clock, hearing and ways.
    walk : the timetable, stop k in column k.
    grid : of the cells where males live.
    days : how many.

    Returns
    -------
    tuple of ExpectedDay and PlayedDays
        What they come to, and each of them.
    """
    rng = np.random.default_rng(morning.settings.seed)
    ground = bird_ground(morning, grid, cells_near(grid, walk.stops_m))
    detectability = morning.detectability
    changes = changes_of_days(ground.participation, detectability.level_weights, days, rng)
    drawn = draw_days(ground, changes, clustered, walk.stops, rng)
    params = day_params(morning, ground)
    heard = heard_by_level(detectability, detectability.soundscape.coverage(walk.stops_m), range(walk.stops))
    played = play_days(drawn, walk, heard, params)
    return ExpectedDay(walk.closing_in_min, params.search.minutes, played.chances), played


def changes_of_days(participation: float, level_weights: FloatArray, days: int, rng: np.random.Generator) -> DayChanges:
    """Draw year, weather, ear and walker of each day.

    Parameters
    ----------
    participation : share of the males that displays on such a morning, as planned with, 0..1.
    level_weights : shape (levels,), of the levels of evidence; they sum to 1.
    days : how many.
    rng : where all chance comes from.

    Returns
    -------
    DayChanges
        The year is evenly spread on the logarithm between factors that lie 2.1 apart, and its mean is 1; the weather is
        as forecast or worse; the ear hears by one level of evidence, as often as that level weighs.
    """
    span = np.log(day_figure("year", "factor"))
    year = np.exp(span * (rng.random(days) - 0.5)) * span / (2 * np.sinh(span / 2))
    worse = rng.random(days) < day_figure("weather", "worse_chance")
    weather = np.where(worse, day_figure("weather", "worse_factor"), 1.0)
    return DayChanges(
        participation=np.minimum(participation * year * weather, ALMOST_ALL),
        level=rng.choice(len(level_weights), days, p=level_weights),
        slower=SLOWER * rng.random(days),
    )
