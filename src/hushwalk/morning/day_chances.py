"""What to expect of a day, as frozen values: chances, and numbers a day with what they lie between.

How days are played is the business of morning/day; the sentences are day_words.py's.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Spread:
    """A number over many days.

    Parameters
    ----------
    mean : over the days.
    low, high : eight days in ten lie between.
    """

    mean: float
    low: float
    high: float


@dataclass(frozen=True)
class DayChances:
    """What to expect of a day.

    Parameters
    ----------
    days : that were played.
    heard_chances : of none, one, two, three and more heard, each 0..1.
    log_chance : of at least one log found, 0..1.
    on_time : share of days back by the promise, 0..1.
    heard, tried, closed_in, crossed, found, disturbed : males a day.
    minutes_late : after the promise, 0 where one is in time [min].
    found_error : standard error of the mean of logs found.
    worth : logs found that day, and birds placed for other days at less worth.
    stops_stood : of the timetable.
    """

    days: int
    heard_chances: tuple[float, float, float, float]
    log_chance: float
    on_time: float
    heard: Spread
    tried: Spread
    closed_in: Spread
    crossed: Spread
    found: Spread
    disturbed: Spread
    minutes_late: Spread
    found_error: float
    worth: float
    stops_stood: float


@dataclass(frozen=True)
class ExpectedDay:
    """What to expect of the planned day.

    Parameters
    ----------
    closing_in_min : minutes that the timetable keeps for closing in [min].
    search_min : minutes of the late-morning search [min].
    chances : over the days that were played.
    """

    closing_in_min: float
    search_min: float
    chances: DayChances


@dataclass(frozen=True)
class WayWorth:
    """What one way of working would give.

    Parameters
    ----------
    closing_in_min : minutes that a plan keeps for closing in; 0 to listen and cross [min].
    males : expected to be heard on the plan, as the planner counts them.
    chances : over the days that were played.
    """

    closing_in_min: float
    males: float
    chances: DayChances
