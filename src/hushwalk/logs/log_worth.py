"""What a morning at a log is worth: minutes of display in good light, and all that they are multiplied by.

The side and the signs of use are sides.py's and use.py's business; minutes and walking times arrive as numbers.
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from hushwalk.logs.log import log_table


class Part(StrEnum):
    """What the worth of a log is made of."""

    MINUTES = "minutes"
    USE = "use"
    SIDE = "side"
    WAY = "way"
    CALM = "calm"
    MALE = "male"


@dataclass(frozen=True)
class LogEvidence:
    """What is known of a log as a place to film.

    Parameters
    ----------
    minutes : of display in light that is good enough, on the best day, if he displays there [min].
    use : chance that the log is in use, 0..1.
    side : worth of the best side, 0..1.
    walk_min : from the car in the dark [min].
    fords, wet_m : streams to wade, and wet ground to cross [m].
    seen : whether one comes to the hide in his sight.
    hide_m : from the hide to the log [m].
    people_m : to the next road or trail [m]; infinite where there is none.
    lesser : whether it is a lesser log of a male who has a surer one.
    neighbour_m : to the next log in use of another male [m]; infinite where none is known.
    """

    minutes: float
    use: float
    side: float
    walk_min: float
    fords: int = 0
    wet_m: float = 0.0
    seen: bool = False
    hide_m: float = 15.0
    people_m: float = float("inf")
    lesser: bool = False
    neighbour_m: float = float("inf")


@dataclass(frozen=True)
class LogWorth:
    """Good minutes to be expected of a morning, with the parts that they are the product of: minutes, then factors."""

    parts: dict[Part, float]
    evidence: LogEvidence

    @property
    def minutes(self) -> float:
        """Good minutes to be expected [min]."""
        return float(np.prod(list(self.parts.values())))


def worth_of(evidence: LogEvidence) -> LogWorth:
    """Weigh a log.

    Notes
    -----
    The minutes times the chance that the log is in use, the worth of its best side, and factors for the way in, for
    disturbance and for whose log it is. No part makes up for the lack of another.
    """
    table, usual_m = log_table()["worth"], log_table()["hide"]["usual_m"]
    way = float(np.interp(evidence.walk_min, table["walk_min"], table["walk_factor"]))
    way *= table["ford_factor"] ** evidence.fords * table["wet_factor_per_100_m"] ** (evidence.wet_m / 100)
    calm = table["seen_factor"] if evidence.seen else 1.0
    calm *= table["near_factor"] if evidence.hide_m < usual_m - 1 else 1.0
    calm *= table["people_factor"] if evidence.people_m < table["people_m"] else 1.0
    male = table["lesser_factor"] if evidence.lesser else 1.0
    male *= 1.0 if evidence.neighbour_m <= table["neighbour_m"] else table["neighbour_factor"]
    factors = (evidence.minutes, evidence.use, evidence.side, way, calm, male)
    return LogWorth(dict(zip(Part, factors, strict=True)), evidence)
