"""Several days as one series: which log on which morning, from which side, when to set up and when the log rests.

What a day at a log is worth comes with its plan.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum

from hushwalk.filming.day_at_log import DayAtLog
from hushwalk.filming.seats import Seat
from hushwalk.filming.session_report import LogPlan
from hushwalk.filming.sessions import hours_table, rest_rule
from hushwalk.logs.log_worth import Part

LOGS_MAX = 3  # judgement: more hides than that nobody keeps


class Doing(StrEnum):
    """What a day of the series is for."""

    SET_UP = "set up"
    SIT = "sit"
    FREE = "free"


@dataclass(frozen=True)
class SeriesDay:
    """One thing to do on one day: at which log, from which side; ``at`` is the day there, ``worth`` in good hours."""

    day: date
    doing: Doing
    log: str = ""
    side: str = ""
    distance_m: float = 0.0
    second_side: bool = False
    at: DayAtLog | None = field(default=None, repr=False)
    worth: float = 0.0


@dataclass(frozen=True)
class Series:
    """A series in the order of the days, the logs in it, and the day on which most males display there."""

    days: tuple[SeriesDay, ...]
    logs: tuple[str, ...]
    peak: date

    @property
    def sittings(self) -> tuple[SeriesDay, ...]:
        """The days on which somebody sits."""
        return tuple(one for one in self.days if one.doing is Doing.SIT)


_Sitting = tuple[int, int]
"""Which log, and which half of the day: 0 in the morning, 1 in the evening."""
_State = tuple[bool, tuple[tuple[int, int], ...]]
"""Whether one comes home late, and for each log how often it was sat at since its last rest and how long it rested."""


def plan_series(plans: Sequence[LogPlan], peak: date) -> Series:
    """Choose the days and logs that give most, within the rule of rest.

    Parameters
    ----------
    plans : of the logs, the best first, over one span of days.
    peak : day on which most males display.

    Returns
    -------
    Series
        With a set-up afternoon so many days before the first sitting from each side.

    Notes
    -----
    Exact over all ways to sit at the three best logs in turn, one sitting a day, in the morning or in the evening: by
    day, the sittings at each log since its last rest and the days that it has rested; a rest shorter than the rule does
    not count. A sitting costs a part of the best one, an evening less than a morning, so that poor days are slept
    through; after an evening nobody gets up for the next morning. Nobody sits out of season.
    """
    taken = plans[:LOGS_MAX]
    days = [_halves(plan) for plan in taken]
    values = [[(_value(plan, one), _value(plan, two)) for one, two in days[k]] for k, plan in enumerate(taken)]
    best = max((value for row in values for pair in row for value in pair), default=0.0)
    table = hours_table()["series"]
    chosen = _choose(values, (table["sitting_costs"] * best, table["evening_costs"] * best))
    sat = [None if got is None else (got[0], days[got[0]][k][got[1]]) for k, got in enumerate(chosen)]
    return Series(_days(taken, sat), tuple(plan.name for plan in taken), peak)


def _halves(plan: LogPlan) -> list[tuple[DayAtLog, DayAtLog]]:
    """Give morning and evening of every day of the span."""
    return list(zip(plan.half("morning"), plan.half("evening"), strict=True))


def _value(plan: LogPlan, day: DayAtLog) -> float:
    """Good hours to be expected of a sitting."""
    if day.session is None or not day.in_season:
        return 0.0
    parts = plan.worth.parts
    return day.session.score * parts[Part.USE] * parts[Part.SIDE] * parts[Part.CALM] * parts[Part.MALE]


def _choose(values: Sequence[Sequence[tuple[float, float]]], cost: tuple[float, float]) -> list[_Sitting | None]:
    """Which log on each day, in the morning or in the evening, or None; backwards over the days."""
    most, rest = rest_rule()
    n_days = len(values[0]) if values else 0
    memo: dict[tuple[int, _State], tuple[float, _Sitting | None]] = {}

    def value(day: int, state: _State) -> float:
        if day == n_days:
            return 0.0
        if (day, state) not in memo:
            options: list[tuple[float, _Sitting | None]] = [(value(day + 1, _after(state, None, rest)), None)]
            for k, (times, _) in enumerate(state[1]):
                for half in (1,) if state[0] else (0, 1):
                    gain = values[k][day][half] - cost[half]
                    if times < most and gain > 0:
                        options.append((gain + value(day + 1, _after(state, (k, half), rest)), (k, half)))
            memo[day, state] = max(options, key=lambda option: option[0])
        return memo[day, state][0]

    state: _State = (False, tuple((0, 0) for _ in values))
    chosen: list[_Sitting | None] = []
    for day in range(n_days):
        value(day, state)
        chosen.append(memo[day, state][1])
        state = _after(state, chosen[-1], rest)
    return chosen


def _after(state: _State, sat: _Sitting | None, rest: int) -> _State:
    """Give the state on the day after a sitting, or after a day without one."""
    moved = []
    for k, (times, rested) in enumerate(state[1]):
        if sat is not None and k == sat[0]:
            moved.append((times + 1, 0))
        else:
            moved.append((0, 0) if rested + 1 >= rest else (times, rested + 1))
    return sat is not None and sat[1] == 1, tuple(moved)


def _days(plans: Sequence[LogPlan], sat: Sequence[tuple[int, DayAtLog] | None]) -> tuple[SeriesDay, ...]:
    ahead = timedelta(days=int(hours_table()["series"]["set_up_days_before"]))
    found: list[SeriesDay] = []
    number: dict[int, int] = {}
    last: dict[int, date] = {}
    for k, one in enumerate(sat):
        if one is None:
            found.append(SeriesDay(plans[0].days[k].day, Doing.FREE))
            continue
        who, day = one
        plan = plans[who]
        rested = who in last and day.day - last[who] > ahead
        number[who] = number.get(who, 0) + rested
        seat, second = _seat(plan, number[who])
        if who not in last or (rested and seat is not _seat(plan, number[who] - 1)[0]):
            found.append(_doing(day.day - ahead, Doing.SET_UP, plan, seat, second=second))
        last[who] = day.day
        found.append(_doing(day.day, Doing.SIT, plan, seat, second=second, at=day, worth=_value(plan, day)))
    busy = {one.day for one in found if one.doing is not Doing.FREE}
    kept = [one for one in found if one.doing is not Doing.FREE or one.day not in busy]
    return tuple(sorted(kept, key=lambda one: (one.day, one.doing is Doing.SET_UP)))


def _seat(plan: LogPlan, number: int) -> tuple[Seat, bool]:
    """Give the best side, and after each rest the other one of the two best on which a hide can stand."""
    possible = [seat for seat in plan.seats if seat.possible][:2] or list(plan.seats[:1])
    return possible[number % len(possible)], number % len(possible) > 0


def _doing(
    day: date,
    doing: Doing,
    plan: LogPlan,
    seat: Seat,
    *,
    second: bool,
    at: DayAtLog | None = None,
    worth: float = 0.0,
) -> SeriesDay:
    return SeriesDay(day, doing, plan.name, seat.side.name, seat.side.distance_m, second, at, worth)
