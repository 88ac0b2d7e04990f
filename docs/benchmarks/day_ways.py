"""The practitioner's own way of working a day, and what a day comes to in any way.

The day itself - birds, ears, feet, eyes - is day_world.py's; hushwalk's way is day_planned.py's.
"""

import math
from dataclasses import dataclass, field

import numpy as np
from day_closing_in import judged_m, mean_deg, told_apart, turned
from day_world import CELL_M, FOLLOWED_SPEED_MS, Country, Day, Heard

FIRST_MIN, HOME_MIN = -60.0, 210.0  # minutes from sunrise: out of the car, and back at it
SEARCH_FROM, SEARCH_UNTIL = 245.0, 425.0  # ten in the morning to one, on a late April day
STAND_MIN = 6.0


@dataclass(eq=False)
class Outcome:
    """What a day came to."""

    heard: set[int] = field(default_factory=set)
    found: set[int] = field(default_factory=set)
    tries: int = 0
    closed_in: int = 0
    back_min: float = 0.0
    promised: float = math.nan
    marks: list[float] = field(default_factory=list)  # how far each mark lies from its male [m]

    def row(self, day: Day) -> dict[str, float]:
        """Give the figures of the day."""
        return {
            "males": len(day.males),
            "drumming": day.drumming,
            "heard": len(self.heard),
            "found": len(self.found),
            "any": float(bool(self.found)),
            "tries": self.tries,
            "closed_in": self.closed_in,
            "disturbed": len(day.near),
            "back_min": self.back_min,
            "promised": self.promised,
            "mark_m": float(np.median(self.marks)) if self.marks else math.nan,
        }


def practitioner(day: Day) -> Outcome:
    """Work good cover by eye: stand and listen, close in on each male, mark him, search a circle later."""
    out, country = Outcome(), day.country
    clock, here = FIRST_MIN, country.car
    fresh = country.worth > 0.25
    marks: list[tuple[float, float]] = []
    while True:
        seconds, before = country.walk_seconds(here)
        home = country.walk_seconds(country.car)[0]
        goal = _next_by_eye(country, fresh, seconds, home, HOME_MIN - clock - STAND_MIN)
        if goal is None:
            break
        line = country.line(before, goal)
        day.walk(line, clock)
        clock += seconds[goal] / 60
        here = country.xy(*goal)
        heard = day.listen(here, clock, clock + STAND_MIN)
        clock += STAND_MIN
        _clear(country, fresh, here)
        out.heard |= {h.male for h in heard}
        for bird in told_apart(heard):
            mark = given(marks, bird)
            room = HOME_MIN - clock - home[country.cell(here)] / 60 - 25
            if mark or room < 0 or bird[0].judged_m > 350:
                continue
            clock, here, spot, male = close_in(day, bird, here, clock)
            out.tries += 1
            if spot is not None:
                marks.append(spot)
                out.closed_in += 1
                out.marks.append(math.dist(spot, day.males[male]))
    out.back_min = clock + float(country.walk_seconds(here)[0][country.cell(country.car)]) / 60
    _search_circles(day, marks, out)
    return out


def _next_by_eye(
    country: Country, fresh: np.ndarray, seconds: np.ndarray, home: np.ndarray, left_min: float
) -> tuple[int, int] | None:
    """Nearest good cover not yet listened to that still lets one be home: the eye goes to the next good strip."""
    rows, cols = np.nonzero(fresh & np.isfinite(seconds))
    if not len(rows):
        return None
    took = seconds[rows, cols]
    fits = (took + home[rows, cols]) / 60 < left_min
    far = took > 120  # a stand every hundred metres or so at the least
    cost = np.where(fits & far, took / (0.3 + country.worth[rows, cols]), np.inf)
    best = int(np.argmin(cost))
    return (int(rows[best]), int(cols[best])) if np.isfinite(cost[best]) else None


def _clear(country: Country, fresh: np.ndarray, here: tuple[float, float], radius_m: float = 180.0) -> None:
    row, col = country.cell(here)
    reach = int(radius_m // CELL_M)
    r0, r1, c0, c1 = max(row - reach, 0), row + reach + 1, max(col - reach, 0), col + reach + 1
    rows, cols = np.mgrid[r0 : min(r1, fresh.shape[0]), c0 : min(c1, fresh.shape[1])]
    fresh[rows, cols] &= np.hypot(rows - row, cols - col) * CELL_M > radius_m


def given(marks: list[tuple[float, float]], bird: list[Heard]) -> bool:
    """Whether a bird may well be one that is marked already: its mark lies near the line and the distance judged."""
    first = bird[0]
    for mark in marks:
        off = math.degrees(math.atan2(mark[0] - first.xy[0], mark[1] - first.xy[1])) - first.azimuth_deg
        if abs((off + 180) % 360 - 180) < 25 and math.dist(mark, first.xy) < 2.2 * first.judged_m:
            return True
    return False


def close_in(
    day: Day, bird: list[Heard], here: tuple[float, float], clock: float, ending_m: float = 65.0, off_deg: float = 0.0
) -> tuple[float, tuple[float, float], tuple[float, float] | None, int]:
    """Go nearer to one bird drum by drum; give the clock, the place, the mark (None where he was lost) and the male.

    Parameters
    ----------
    day, bird : the drums that made one go.
    here, clock : where and when it begins [m, min from sunrise].
    ending_m : distance judged at which one stops [m].
    off_deg : angle off the line at which one goes, so that bearings cross [deg].
    """
    male, azimuth = bird[0].male, mean_deg(bird)
    judged = judged_m(bird)
    lines = [(here, azimuth)]
    silent, start = 0, clock
    while clock - start < 45:
        if judged < ending_m * 1.15 and len(lines) > 1:
            break
        ahead = min(max(judged - ending_m, 15.0), 80.0)
        side = math.radians(azimuth + off_deg)
        there = (here[0] + ahead * math.sin(side), here[1] + ahead * math.cos(side))
        if day.country.speed[day.country.cell(there)] == 0:
            break
        day.walk(np.array([here, there]), clock)
        clock += ahead / FOLLOWED_SPEED_MS / 60 / 0.8
        here = there
        stand = [h for h in day.listen(here, clock, clock + 8) if turned(h.azimuth_deg, azimuth) < 70]
        clock += min(8.0, (stand[-1].minute - clock) if len(stand) > 1 else 8.0)
        if not stand:
            silent += 1
            judged = max(judged - ahead, ending_m)
            if silent == 2:
                return clock, here, None, male
            continue
        male = stand[0].male
        azimuth = mean_deg([h for h in stand if h.male == male])
        judged = judged_m(stand)
        lines.append((here, azimuth))
    reach = min(judged, 100.0)
    spot = (here[0] + reach * math.sin(math.radians(azimuth)), here[1] + reach * math.cos(math.radians(azimuth)))
    return clock, here, spot, male


def _search_circles(day: Day, marks: list[tuple[float, float]], out: Outcome, radius_m: float = 45.0) -> None:
    """Search a circle round each mark, the nearest next, in strips, once and then again while time is left."""
    clock, here = SEARCH_FROM, day.country.car
    for _ in range(2):
        left = list(marks)
        while left:
            seconds = day.country.walk_seconds(here)[0]
            mark = min(left, key=lambda m: seconds[day.country.cell(m)])
            left.remove(mark)
            clock += float(seconds[day.country.cell(mark)]) / 60
            home = float(day.country.walk_seconds(mark)[0][day.country.cell(day.country.car)]) / 60
            room = SEARCH_UNTIL - clock - home
            if room < 5:
                return
            spent, new = day.search(strips(mark, radius_m), room, out.found)
            out.found |= new
            clock, here = clock + spent, mark


def strips(middle: tuple[float, float], radius_m: float, apart_m: float = 9.0) -> np.ndarray:
    """Lines to and fro through a circle, the middle first."""
    turns: list[tuple[float, float]] = []
    offsets = sorted(np.arange(-radius_m + apart_m / 2, radius_m, apart_m), key=abs)
    for k, y in enumerate(offsets):
        half = math.sqrt(max(radius_m**2 - y**2, 0.0))
        ends = [(middle[0] - half, middle[1] + y), (middle[0] + half, middle[1] + y)]
        turns += ends if k % 2 == 0 else ends[::-1]
    return np.array(turns)
