"""Logs scored by the chance that they are in use and as film sets, and the logs of one male grouped.

The sides of a log are sides.py's business; what a morning there is worth is log_worth.py's.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hushwalk.logs.log import HideGround, Log, log_table
from hushwalk.logs.observations import Criterion, Observation, Observed
from hushwalk.logs.sides import Side, score_sides

DROPPINGS = {
    "none": Observed.DROPPINGS_NONE,
    "few": Observed.DROPPINGS_FEW,
    "old pile": Observed.DROPPINGS_OLD,
    "fresh pile": Observed.DROPPINGS_FRESH,
}


@dataclass(frozen=True)
class LogSigns:
    """Signs of use noted at a log; None means not noted.

    Parameters
    ----------
    droppings : ``"none"``, ``"few"``, ``"old pile"`` or ``"fresh pile"``; empty where nobody looked.
    worn, litter_blown : moss and bark worn off where he stands; leaves blown clear.
    cover_share : dense cover from knee to head round about, 0..1.
    floor_open_m : how far the floor is open [m].
    heard : whether a bird was heard that is known to display there.
    """

    droppings: str = ""
    worn: bool | None = None
    litter_blown: bool | None = None
    cover_share: float | None = None
    floor_open_m: float | None = None
    heard: bool = False


@dataclass(frozen=True)
class LogScore:
    """A log, scored.

    Parameters
    ----------
    uid, name : of the log.
    xy_m : easting and northing [m].
    use : chance that it is in use, 0..1, from the signs.
    film : worth as a film set from its best side, 0..1.
    score : both together, 0..1.
    sides : all eight, the best first.
    observed : for use and film.
    """

    uid: str
    name: str
    xy_m: tuple[float, float]
    use: float
    film: float
    score: float
    sides: tuple[Side, ...]
    observed: tuple[Observation, ...]

    @property
    def best(self) -> Side:
        """The best side to film from."""
        return self.sides[0]


@dataclass(frozen=True)
class Territory:
    """The logs of one male: the main one, the lesser ones, and the better film set if it is not the main log."""

    main: LogScore
    lesser: tuple[LogScore, ...]
    better: LogScore | None


def score_log(names: tuple[str, str], log: Log, signs: LogSigns, ground: HideGround) -> LogScore:
    """Score one log.

    Parameters
    ----------
    names : key and name of the log.
    log, signs : as noted.
    ground : where a hide can stand.

    Returns
    -------
    LogScore

    Notes
    -----
    Film is the geometric mean of the best side and of how the log lies, and the score that of use and film, so that
    neither can make up for the lack of the other. The light is left out: it belongs to a day.
    """
    lies = _stance(log)
    use = use_of(signs)
    sides = score_sides(log, ground)
    film = float(np.sqrt(sides[0].score * float(np.sqrt(lies[0].score * lies[1].score))))
    seen = _signs_seen(signs)
    more = (fact for one in (_film_from(sides[0]), *sides[0].criteria, *lies) for fact in one.observed)
    return LogScore(*names, log.xy_m, use, film, float(np.sqrt(use * film)), sides, (*seen, *more))


def use_of(signs: LogSigns) -> float:
    """Chance that a log is in use, 0..1; its size carries no weight.

    Notes
    -----
    The odds that its droppings give, times one ratio for each other sign that was noted; cover and open floor count
    between the ratio at their worst and that at their best, straight in its logarithm.
    """
    table = log_table()["use"]
    odds = table["odds"][signs.droppings.split()[0] if signs.droppings else "unknown"]
    for value, ratios in (
        (signs.worn, table["worn_ratio"]),
        (signs.litter_blown, table["litter_ratio"]),
        (signs.cover_share, table["cover_ratio"]),
        (_floor(signs.floor_open_m), table["floor_ratio"]),
        (True if signs.heard else None, table["heard_ratio"]),
    ):
        if value is not None:
            low, high = ratios
            odds *= low * (high / low) ** float(value)
    return float(odds / (1 + odds))


def group_logs(
    logs: Sequence[LogScore], *, apart: Sequence[tuple[str, str]] = (), merge_m: float | None = None
) -> tuple[Territory, ...]:
    """Group the logs of one male.

    Parameters
    ----------
    logs : scored.
    apart : pairs of keys of logs that were displayed on at the same time: two males.
    merge_m : logs nearer to a main log than this belong to it; None for the usual [m].

    Returns
    -------
    tuple of Territory
        The surest main log first.

    Notes
    -----
    The log most surely in use is a main log; logs within ``merge_m`` of it that no other male was heard on are its
    lesser ones; and so on with those that are left.
    """
    within = float(log_table()["male"]["merge_m"]) if merge_m is None else merge_m
    two_males = {frozenset(pair) for pair in apart}
    left = sorted(logs, key=lambda p: (-p.use, -p.score, p.name, p.uid))
    territories = []
    while left:
        main, left = left[0], left[1:]
        lesser: list[LogScore] = []
        for other in left:
            near = float(np.hypot(other.xy_m[0] - main.xy_m[0], other.xy_m[1] - main.xy_m[1])) <= within
            if near and not any(frozenset((other.uid, own.uid)) in two_males for own in (main, *lesser)):
                lesser.append(other)
        left = [p for p in left if p not in lesser]
        better = max(lesser, key=lambda p: p.score, default=main)
        territories.append(Territory(main, tuple(lesser), better if better.score > main.score else None))
    return tuple(territories)


def _film_from(side: Side) -> Criterion:
    return Criterion("film from", side.score, (Observation(Observed.FILM_FROM, side.azimuth_deg),))


def _signs_seen(signs: LogSigns) -> tuple[Observation, ...]:
    flags = (
        (signs.worn, Observed.STANCE_WORN, Observed.STANCE_NOT_WORN),
        (signs.litter_blown, Observed.LITTER_BLOWN, Observed.LITTER_LIES),
    )
    figures = ((signs.cover_share, Observed.COVER), (signs.floor_open_m, Observed.FLOOR_OPEN))
    return (
        *([Observation(DROPPINGS[signs.droppings])] if signs.droppings else []),
        *(Observation(yes if value else no) for value, yes, no in flags if value is not None),
        *(Observation(what, value) for value, what in figures if value is not None),
        *([Observation(Observed.HEARD_THERE)] if signs.heard else []),
    )


def _floor(open_m: float | None) -> float | None:
    return None if open_m is None else min(1.0, open_m / float(log_table()["use"]["floor_good_m"]))


def _stance(log: Log) -> tuple[Criterion, Criterion]:
    """How high and how level the log lies."""
    table = log_table()["stance"]
    height = None if log.height_m is None else float(np.interp(log.height_m, table["height_m"], table["height_score"]))
    low = height is not None and height < log_table()["score"]["unknown"]
    slope = log.slope_deg
    level = None if slope is None else float(np.clip(1 - slope / table["slope_bad_deg"], table["slope_least"], 1))
    return (
        _figure("height", log.height_m, height, Observed.TOP_LOW if low else Observed.TOP_HEIGHT),
        _figure("slope", slope, level, Observed.LOG_SLOPE),
    )


def _figure(name: str, value: float | None, score: float | None, what: Observed) -> Criterion:
    if value is None or score is None:
        return Criterion(name, log_table()["score"]["unknown"])
    return Criterion(name, score, (Observation(what, value),))
