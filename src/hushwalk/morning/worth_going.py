"""Whether a planned morning is worth going for, from the facts of its report: birds, weather, season, noise, layers.

The weather alone is morning_verdict.py's; the sentence is going_words.py's.
"""

from dataclasses import dataclass
from enum import Enum

from hushwalk.morning.report import Report
from hushwalk.morning.warnings import Trouble

NEXT_TO_NONE = 0.5  # judgement: fewer males than this leave most mornings empty
FEW = 1.0  # judgement: a morning that hears one male on average is empty on a third of them or more
MOSTLY_EMPTY = 0.5  # judgement: nothing heard on more than half of the mornings
LOUD = 0.5  # judgement: traffic that takes half of the earshot leaves a quarter of the ground
LOUD_STOPS = 0.5  # judgement: at half of the stops or more
LITTLE_KNOWN = 0.4  # judgement: below it the layers hardly tell good ground from poor


class Going(Enum):
    """Whether a morning is worth going for."""

    WORTH = "worth going"
    DOUBTFUL = "doubtful"
    NOT_WORTH = "not worth this morning"


class Against(Enum):
    """What speaks against a morning."""

    NO_BIRD = "the bird is not known to live there"
    OUT_OF_SEASON = "few males display on the date"
    BAD_WEATHER = "the weather leaves little to hear"
    NEXT_TO_NONE = "next to no male is expected"
    CAR = "something is wrong about the car's place or the clock"
    SO_SO_WEATHER = "the weather takes a part"
    FEW = "few males are expected"
    MOSTLY_EMPTY = "most mornings hear nothing"
    NOT_ABOVE_PLAIN = "a plain walk hears as many"
    LOUD = "traffic takes much of the earshot"
    LITTLE_KNOWN = "the layers tell little"


FORBIDS = frozenset({Against.NO_BIRD, Against.OUT_OF_SEASON, Against.BAD_WEATHER, Against.NEXT_TO_NONE})
TROUBLES = {
    Trouble.OUT_OF_RANGE: Against.NO_BIRD,
    Trouble.OUT_OF_SEASON: Against.OUT_OF_SEASON,
    Trouble.WRONG_ZONE: Against.CAR,
    Trouble.IN_WATER: Against.CAR,
    Trouble.OFF_ROAD: Against.CAR,
    Trouble.CUT_OFF: Against.CAR,
}


@dataclass(frozen=True)
class WorthGoing:
    """Whether a morning is worth going for, and on what that rests.

    Parameters
    ----------
    going : the answer.
    against : what speaks against it, the worst first.
    males : expected to be heard.
    empty, log : shares of played days on which nothing is heard, and on which a log is found, 0..1; None if not played,
        or where nobody searches.
    over_plain : males over those of the best plain walk; None where there is none or it hears none.
    loud_stops : stops that lose half of the earshot or more to traffic.
    trust : how far the layers tell habitat apart, 0..1.
    """

    going: Going
    against: tuple[Against, ...]
    males: float
    empty: float | None
    log: float | None
    over_plain: float | None
    loud_stops: int
    trust: float


def worth_going(report: Report) -> WorthGoing | None:
    """Say whether a morning is worth going for; None for a walk that is under way or shared, which is not judged.

    Notes
    -----
    It is not where the bird does not live, the season is over, the weather leaves next to nothing or fewer than
    ``NEXT_TO_NONE`` males are expected; doubtful where anything else speaks against it.
    """
    if report.verdict is None or report.expected is None:
        return None
    chances, plain = report.expected.chances, report.plain
    loud = sum(stop.noise is not None and stop.noise.traffic_takes >= LOUD for stop in report.stops)
    over_plain = report.males.expected / plain.males_expected if plain.males_expected > 0 else None
    empty, males = chances.heard_chances[0], report.males.expected
    found = {TROUBLES[one.trouble] for one in report.warnings if one.trouble in TROUBLES}
    found |= {"stay in bed": {Against.BAD_WEATHER}, "go, but": {Against.SO_SO_WEATHER}, "go": set()}[
        report.verdict.word
    ]
    for doubt, holds in (
        (Against.NEXT_TO_NONE, males < NEXT_TO_NONE),
        (Against.FEW, NEXT_TO_NONE <= males < FEW),
        (Against.MOSTLY_EMPTY, males >= FEW and empty > MOSTLY_EMPTY),
        (Against.NOT_ABOVE_PLAIN, over_plain is not None and over_plain <= 1),
        (Against.LOUD, bool(report.stops) and loud >= LOUD_STOPS * len(report.stops)),
        (Against.LITTLE_KNOWN, report.trust < LITTLE_KNOWN),
    ):
        if holds:
            found.add(doubt)
    against = tuple(one for one in Against if one in found)
    going = Going.NOT_WORTH if found & FORBIDS else Going.DOUBTFUL if found else Going.WORTH
    log = chances.log_chance if report.expected.search_min > 0 else None
    return WorthGoing(going, against, males, empty, log, over_plain, loud, report.trust)
