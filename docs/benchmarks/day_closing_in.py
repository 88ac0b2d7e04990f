"""Closing in on one bird as the card of the sheet says it, stand by stand; nothing of hushwalk is used here.

The person keeps a guess of where the bird is, goes to 65 m of it round to the side, so that bearings cross, and reads
whichever bird there is nearest to the guess. Two silent stands end the try, and so do forty minutes.
"""

import math
from dataclasses import dataclass, field

import numpy as np
from day_world import FOLLOWED_SPEED_MS, Day, Heard

XY = tuple[float, float]
STAND_MIN = 8.0
TRY_MIN = 40.0
STOP_M = 65.0
CROSSING_DEG, CROSSED_DEG = 60.0, 40.0
STEP_M = 120.0
FARTHEST_M = 350.0
POINTS_DEG, JUDGES_LOG = 14.0, 0.55  # what the person thinks of the own ear when the guess is made anew


@dataclass(frozen=True)
class Stand:
    """One stand of a try: where and when, all that was heard, and the drums that were taken for the bird's."""

    xy: XY
    begin: float
    end: float
    heard: list[Heard]
    own: list[Heard]


@dataclass(eq=False)
class Try:
    """A try: its stands, when and where it ended, the mark (None where he was lost), and the male read last."""

    stands: list[Stand] = field(default_factory=list)
    clock: float = 0.0
    here: XY = (0.0, 0.0)
    mark: XY | None = None
    male: int = -1


def told_apart(heard: list[Heard]) -> list[list[Heard]]:
    """Drums of one stand as birds, by what an ear can tell: bearings more than 35 degrees apart are two birds."""
    birds: list[list[Heard]] = []
    for drum in heard:
        near = [b for b in birds if turned(b[0].azimuth_deg, drum.azimuth_deg) < 35]
        (near[0] if near else birds.append([]) or birds[-1]).append(drum)
    return sorted(birds, key=judged_m)


def turned(a: float, b: float) -> float:
    """Angle between two bearings [deg]."""
    return abs((a - b + 180) % 360 - 180)


def mean_deg(drums: list[Heard]) -> float:
    """Mean bearing of drums [deg]."""
    rad = np.radians([h.azimuth_deg for h in drums])
    return math.degrees(math.atan2(np.sin(rad).mean(), np.cos(rad).mean())) % 360


def judged_m(drums: list[Heard]) -> float:
    """Distance judged, the mean on the logarithm [m]."""
    return float(np.exp(np.mean([math.log(h.judged_m) for h in drums])))


def guess_of(bird: list[Heard]) -> np.ndarray:
    """Where a bird seems to be, from the place where he was heard [m]."""
    return np.array(bird[0].xy) + min(judged_m(bird), FARTHEST_M) * _unit(mean_deg(bird))


def close_in(day: Day, bird: list[Heard], here: XY, clock: float) -> Try:
    """Go nearer to one bird, who was heard here or somewhere before.

    Parameters
    ----------
    day, bird : the drums that made one go.
    here, clock : where and when it begins [m, min from sunrise].
    """
    done = Try(clock=clock, here=here, male=bird[0].male)
    lines = [(np.array(bird[0].xy), mean_deg(bird), judged_m(bird))]
    guess = guess_of(bird)
    first = math.degrees(math.atan2(*(guess - here)))
    silent = 0
    while done.clock - clock < TRY_MIN and silent < 2:
        seen_from = math.degrees(math.atan2(*(guess - done.here)))
        near = math.dist(done.here, guess) < 1.3 * STOP_M
        crossed = turned(seen_from, mean_deg(bird)) > CROSSED_DEG
        if near and len(lines) > 1 and crossed:
            break
        there = _beside(day, guess, done.here, first)
        if there is None:
            break
        stand = _stand(day, done, there, guess)
        done.stands.append(stand)
        if not stand.own:
            silent += 1
            continue
        done.male = stand.own[0].male
        lines.append((np.array(done.here), mean_deg(stand.own), judged_m(stand.own)))
        guess = _guess(lines, guess)
    if len(lines) > 1 and silent < 2:
        done.mark = (float(guess[0]), float(guess[1]))
    return done


def _beside(day: Day, guess: np.ndarray, here: XY, first_deg: float) -> XY | None:
    """Next place to stand: towards the nearer of the two places at 65 m from which bearings cross the first one."""
    ends = [guess + STOP_M * _unit(first_deg + 180 + side * CROSSING_DEG) for side in (1, -1)]
    open_ends = [end for end in ends if day.country.speed[day.country.cell(tuple(end))] > 0]
    if not open_ends:
        return None
    end = min(open_ends, key=lambda p: math.dist(here, p))
    share = min(1.0, STEP_M / max(math.dist(here, end), 1e-9))
    there = np.array(here) + share * (end - here)
    return tuple(there) if day.country.speed[day.country.cell(tuple(there))] > 0 else None


def _stand(day: Day, done: Try, there: XY, guess: np.ndarray) -> Stand:
    day.walk(np.array([done.here, there]), done.clock)
    done.clock += math.dist(done.here, there) / FOLLOWED_SPEED_MS / 60 / 0.8
    done.here, begin = there, done.clock
    heard = day.listen(there, begin, begin + STAND_MIN)
    own = _nearest_to(guess, there, heard)
    done.clock += STAND_MIN if len(own) < 2 else min(STAND_MIN, own[1].minute - begin)  # two drums read are enough
    upto = [h for h in heard if h.minute <= done.clock]
    return Stand(there, begin, done.clock, upto, [h for h in own if h.minute <= done.clock])


def _nearest_to(guess: np.ndarray, there: XY, heard: list[Heard]) -> list[Heard]:
    toward, away = math.degrees(math.atan2(*(guess - there))), math.dist(there, guess)

    def off(drums: list[Heard]) -> float:
        return turned(mean_deg(drums), toward) / 30 + abs(math.log(judged_m(drums) / away)) / 0.8

    bird = min(told_apart(heard), key=off, default=[])
    return bird if bird and off(bird) < 3.5 and turned(mean_deg(bird), toward) < 75 else []


def _guess(lines: list[tuple[np.ndarray, float, float]], guess: np.ndarray) -> np.ndarray:
    """Where he is, after all bearings and distances: least squares, weighted by what each is worth at its distance."""
    for _ in range(8):
        rows, values = [], []
        for place, azimuth, judged in lines:
            away, along = max(math.dist(guess, place), 20.0), _unit(azimuth)
            across = np.array([along[1], -along[0]])
            for unit, value, sd in (
                (across, across @ place, away * math.radians(POINTS_DEG)),
                (along, along @ place + min(judged, FARTHEST_M), JUDGES_LOG * away),
            ):
                rows.append(unit / sd)
                values.append(value / sd)
        guess = np.linalg.lstsq(np.array(rows), np.array(values), rcond=None)[0]
    return guess


def _unit(azimuth_deg: float) -> np.ndarray:
    return np.array([math.sin(math.radians(azimuth_deg)), math.cos(math.radians(azimuth_deg))])
