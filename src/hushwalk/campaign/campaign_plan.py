"""What a campaign of days is, as frozen values; its words are campaign_words.py's.

How it is planned is story.py's story.
"""

from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from hushwalk.campaign.crossings import CrossingEffect
from hushwalk.morning.report import Report


class Outing(NamedTuple):
    """One walk of a campaign: its day, whether in the evening, and which of two people walks it, 0 or 1."""

    day: date
    evening: bool = False
    person: int = 0


@dataclass(frozen=True, eq=False)
class PlannedDay:
    """One walk of a campaign.

    Parameters
    ----------
    day : on the calendar.
    car : where the car stands, as it was typed.
    report : the plan of the day by itself.
    new_males : expected to be heard that are heard on no walk before it.
    evening : whether it is of the evening of the day.
    person : who walks, where there are two; empty where one is alone.
    walked_twice : share of the way back that lies on the way out, 0..1; None where another way back is not wished.
    """

    day: date
    car: str
    report: Report = field(repr=False)
    new_males: float
    evening: bool = False
    person: str = ""
    walked_twice: float | None = None


@dataclass(frozen=True)
class RainedOut:
    """A campaign of which one morning or evening is lost, for both where two walk.

    Parameters
    ----------
    day : that is lost.
    males_kept : heard on the other days with their plans as they are.
    males_anew : heard if the days after it are planned anew; None where none comes after it.
    evening : whether the evening of that day is lost.
    """

    day: date
    males_kept: float
    males_anew: float | None
    evening: bool = False


@dataclass(frozen=True, eq=False)
class Campaign:
    """Days planned together.

    Parameters
    ----------
    title : name of the place.
    days : the walks in their order.
    males : different males expected to be heard on all days together.
    bound : what no plans of these days from these posts can exceed, males; None where no proof was asked for.
    repeated : males if the best single walk were walked on every day; None where places of the car or weather differ.
    rained_out : what a lost day costs.
    crossings : what seeking crossings costs and gives, of each morning and evening of two people; none for one.
    """

    title: str
    days: tuple[PlannedDay, ...]
    males: float
    bound: float | None
    repeated: float | None
    rained_out: tuple[RainedOut, ...]
    crossings: tuple[CrossingEffect, ...] = ()
