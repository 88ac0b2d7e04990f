"""Which way a morning is worked: time kept free to close in on birds that are heard, or stops only.

The rule that needs no plan stands here; chosen_way.py plays days to choose. What closing in asks of each stop is
closing_in.py's.
"""

from dataclasses import dataclass
from enum import Enum

from hushwalk.morning.day_chances import WayWorth
from hushwalk.notes.figures import figure
from hushwalk.site.settings import MorningSettings

MINUTE_S = 60.0  # definition
WHOLE_S = 60.0  # definition: time is kept free in whole minutes [s]


class Way(Enum):
    """How a morning is worked."""

    CLOSE_IN = "listen and close in"
    CROSS = "listen and cross"


class WhyWay(Enum):
    """Why it is worked like that."""

    CHOSEN = "the trip file says so"
    PAYS = "earshot and males are enough"
    POOR_EARSHOT = "the earshot is short"
    FEW_MALES = "few males are expected"
    SHORT_MORNING = "the morning is short"
    MOST_LOGS = "on played days no other number of minutes finds clearly more logs"
    WINS_LITTLE = "closing in finds hardly more"
    KEPT_OFF = "the card of the bird keeps farther off"
    EVENING = "after an evening it is dark"


@dataclass(frozen=True)
class WayOfWorking:
    """How a morning is worked, and what it rests on.

    Parameters
    ----------
    way : to close in, or to cross bearings from stops only.
    why : the reason.
    kept_free_s : kept free for closing in; 0 where bearings are crossed only [s].
    earshot_m : distance at which one display is heard half of the time over level leafless hardwood [m].
    males : expected to be heard on a walk that keeps nothing free.
    compared : what each number of minutes kept free would give, where it was played.
    """

    way: Way
    why: WhyWay
    kept_free_s: float
    earshot_m: float
    males: float
    compared: tuple[WayWorth, ...] = ()


def way_of_working(morning: MorningSettings, earshot_m: float, males: float, window_s: float) -> WayOfWorking:
    """Choose how a morning is worked.

    Parameters
    ----------
    morning : what the trip file says; it goes before any rule.
    earshot_m : distance at which one display is heard half of the time over level leafless hardwood [m].
    males : expected to be heard on a walk that keeps nothing free.
    window_s : time that a walk may take [s].

    Returns
    -------
    WayOfWorking

    Notes
    -----
    Where the file says nothing, closing in is for an earshot of ``earshot_min_m`` or more and ``males_min`` males or
    more, if at least one try fits. What is kept free is never more than ``most_share`` of the window.
    """
    usual_s, most_s = figure("closing_in", "minutes") * MINUTE_S, _whole(figure("closing_in", "most_share") * window_s)
    said = morning.closing_in_minutes
    if morning.way is not None or said is not None:
        crossing = said == 0 or morning.way == "listen and cross"
        kept_s = 0.0 if crossing else min(usual_s, most_s) if said is None else said * MINUTE_S
        return WayOfWorking(Way.CROSS if crossing else Way.CLOSE_IN, WhyWay.CHOSEN, kept_s, earshot_m, males)
    against = _against(earshot_m, males, most_s)
    if against is not None:
        return WayOfWorking(Way.CROSS, against, 0.0, earshot_m, males)
    return WayOfWorking(Way.CLOSE_IN, WhyWay.PAYS, min(usual_s, most_s), earshot_m, males)


def _against(earshot_m: float, males: float, most_s: float) -> WhyWay | None:
    """What speaks against closing in, or None."""
    if earshot_m < figure("closing_in", "earshot_min_m"):
        return WhyWay.POOR_EARSHOT
    if males < figure("closing_in", "males_min"):
        return WhyWay.FEW_MALES
    return WhyWay.SHORT_MORNING if most_s < figure("closing_in", "try_min") * MINUTE_S else None


def _whole(seconds: float) -> float:
    return seconds // WHOLE_S * WHOLE_S
