"""The season: what was walked, heard and found, how it compares with what was predicted, and what it says of a patch.

Which patches there are is the habitat room's business.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum
from zoneinfo import ZoneInfo

import numpy as np
from scipy.stats import gamma, poisson

from hushwalk.birds.heard_ground import density_after
from hushwalk.errors import InputError
from hushwalk.notes.figures import figure
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.notes import BearingNote, LogNote, Note, SessionNote, VisitNote

LOW, HIGH = 0.05, 0.95  # definition: a 90 % interval


@dataclass(frozen=True)
class SeasonSum:
    """A season in figures, and every morning as (day, stops listened at, stops with a bird, birds, logs)."""

    mornings: int
    stops: int
    stops_heard: int
    minutes: float
    bearings: int
    birds: int
    logs: int
    logs_in_use: int
    disturbances: int
    by_morning: tuple[tuple[str, int, int, int, int], ...]


@dataclass(frozen=True)
class Outcome:
    """Listening that was predicted: where, males expected to be heard, males heard.

    Parameters
    ----------
    patch : name of the patch, or of the morning.
    expected : males that the model says are heard, as it was planned.
    heard : males heard.
    """

    patch: str
    expected: float
    heard: int

    def __post_init__(self) -> None:
        if not (np.isfinite(self.expected) and self.expected >= 0 and self.heard >= 0):
            raise InputError(f"{self.patch}: {self.expected:g} expected and {self.heard} heard cannot be")


class PatchVerdict(Enum):
    """What to do with a patch."""

    REVISIT = "revisit"
    KEEP = "keep"
    DROP = "drop"


@dataclass(frozen=True)
class PatchBelief:
    """What is believed of a patch after the season.

    Parameters
    ----------
    patch : its name.
    expected, heard : summed over the season.
    factor : mean of true density over the model's.
    low, high : its 90 % interval.
    density_per_km2 : model density times the factor, with its interval; None where the model's is not given.
    poor_chance : that it holds less than a part ``drop_below`` of what the model says, 0..1.
    good_chance : that it holds more than the model says, 0..1.
    verdict : what to do next.
    """

    patch: str
    expected: float
    heard: int
    factor: float
    low: float
    high: float
    density_per_km2: tuple[float, float, float] | None
    poor_chance: float
    good_chance: float
    verdict: PatchVerdict


@dataclass(frozen=True)
class Calibration:
    """Predicted against heard over the season: sums, and their ratio with its 90 % interval.

    ``surprise`` is the chance of a count at least as far out if the model is right.
    """

    expected: float
    heard: int
    ratio: float
    low: float
    high: float
    surprise: float


def sum_season(
    visits: Sequence[LedgerRow],
    bearing_rows: Sequence[LedgerRow],
    logs: Sequence[LedgerRow],
    sessions: Sequence[LedgerRow],
    *,
    time_zone: str = "UTC",
) -> SeasonSum:
    """Sum up the ledger.

    Parameters
    ----------
    visits, bearing_rows, logs, sessions : rows in use.
    time_zone : where a day begins at midnight.

    Returns
    -------
    SeasonSum
        Counts of mornings, stops, bearings and logs, and minutes listened [min].
    """
    zone = ZoneInfo(time_zone)
    days: dict[str, _Day] = {}
    for row in (*visits, *bearing_rows, *logs):
        days.setdefault(f"{row.note.at.astimezone(zone):%Y-%m-%d}", _Day()).take(row.note)
    found = [row.note for row in logs if isinstance(row.note, LogNote)]
    used = {log.name for log in found if log.droppings in {"fresh pile", "old pile"}}
    return SeasonSum(
        sum(1 for day in days.values() if day.stops),
        sum(len(day.stops) for day in days.values()),
        sum(len(day.heard) for day in days.values()),
        sum(row.note.minutes or 0.0 for row in visits if isinstance(row.note, VisitNote)),
        len(bearing_rows),
        sum(len(day.birds) for day in days.values()),
        len({log.name for log in found}),
        len(used),
        sum(1 for row in sessions if isinstance(row.note, SessionNote) and row.note.disturbance.strip()),
        tuple((name, len(d.stops), len(d.heard), len(d.birds), len(d.logs)) for name, d in sorted(days.items())),
    )


@dataclass
class _Day:
    """What one morning gave, by name."""

    stops: set[str] = field(default_factory=set)
    heard: set[str] = field(default_factory=set)
    birds: set[str] = field(default_factory=set)
    logs: set[str] = field(default_factory=set)

    def take(self, note: Note) -> None:
        if isinstance(note, LogNote):
            self.logs.add(note.name)
        elif isinstance(note, VisitNote | BearingNote):
            stop = note.stop or "{:.3f} {:.3f}".format(*note.place)  # within some hundred metres one place
            self.stops.add(stop)
            if isinstance(note, BearingNote) or note.heard:
                self.heard.add(stop)
        if isinstance(note, BearingNote):
            self.birds.add(note.bird or f"unnamed at {note.stop}")


def believe(
    outcomes: Sequence[Outcome], model_per_km2: Mapping[str, float] | None = None, *, shape: float | None = None
) -> tuple[PatchBelief, ...]:
    """Feed what was heard back into the density of every patch.

    Parameters
    ----------
    outcomes : any number a patch; they are summed.
    model_per_km2 : the model's density by patch [1/km2].
    shape : how far the model is trusted; None for the usual.

    Returns
    -------
    tuple of PatchBelief
        In the order of the patches' first outcome.

    Raises
    ------
    InputError
        If the shape is not above 0.

    Notes
    -----
    Males heard y ~ Poisson(f m), m the number the model expects; f ~ Gamma(a, a), mean 1. Afterwards
    f ~ Gamma(a + y, a + m). Hearing the same male on two mornings counts twice on both sides, so the interval is
    somewhat too narrow where a patch is visited often.

    Examples
    --------
    >>> round(believe([Outcome("A", 2.0, 4)], shape=2.0)[0].factor, 3)
    1.5
    """
    return tuple(_belief(patch, outcomes, shape, (model_per_km2 or {}).get(patch)) for patch in _patches(outcomes))


def _patches(outcomes: Sequence[Outcome]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(o.patch for o in outcomes))


def _belief(patch: str, outcomes: Sequence[Outcome], shape: float | None, model: float | None) -> PatchBelief:
    expected = sum(o.expected for o in outcomes if o.patch == patch)
    heard = sum(o.heard for o in outcomes if o.patch == patch)
    after = density_after(expected, heard, shape=shape)
    factor, low, high = float(after.mean()), float(after.ppf(LOW)), float(after.ppf(HIGH))
    poor = float(after.cdf(figure("season", "drop_below")))
    good = float(after.sf(1.0))
    verdict = PatchVerdict.KEEP
    if poor >= figure("season", "drop_chance"):
        verdict = PatchVerdict.DROP
    elif good >= figure("season", "revisit_chance"):
        verdict = PatchVerdict.REVISIT
    density = None if model is None else (model * factor, model * low, model * high)
    return PatchBelief(patch, expected, heard, factor, low, high, density, poor, good, verdict)


def compare(outcomes: Sequence[Outcome]) -> Calibration:
    """Compare predicted with heard over all outcomes.

    Raises
    ------
    InputError
        If nothing was expected anywhere.

    Notes
    -----
    The ratio's interval is the exact one of a Poisson count (from gamma quantiles); ``surprise`` is the two-sided
    chance of a count at least as far out if the model were right.
    """
    expected = sum(o.expected for o in outcomes)
    heard = sum(o.heard for o in outcomes)
    if expected <= 0:
        raise InputError("nothing was expected to be heard, so there is nothing to compare with")
    low = float(gamma.ppf(LOW, heard)) / expected if heard else 0.0
    high = float(gamma.ppf(HIGH, heard + 1)) / expected
    tail = min(float(poisson.cdf(heard, expected)), float(poisson.sf(heard - 1, expected)))
    surprise = min(1.0, 2 * tail)
    return Calibration(expected, heard, heard / expected, low, high, surprise)
