"""What listening tells of the ground: which males would have been heard from where one stood, and what it says of all.

Whose bearing is whose is association.py's business; where a bird is, fix.py's.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
from scipy.optimize import brentq
from scipy.special import gammaln
from scipy.stats import gamma

from hushwalk.birds.story import clock_of_day
from hushwalk.errors import InputError
from hushwalk.grid.layer import Layer
from hushwalk.hearing.coverage import Coverage
from hushwalk.notes.bearing import Listening
from hushwalk.notes.figures import figure
from hushwalk.notes.notebook import Notebook
from hushwalk.site.detectability import Detectability, availability_at
from hushwalk.site.morning_clock import Clock
from hushwalk.site.site import Site
from hushwalk.types import FloatArray

LOW, HIGH = 0.05, 0.95  # definition: a 90 % interval
LEAST_EXPECTED = 1e-6  # judgement: where nothing could be heard, nothing is learnt
SAME = 1e-9  # definition: two ends of an interval that differ by rounding only


def on_the_ground(site: Site, stops: Sequence[Listening]) -> list[Listening]:
    """Give the stops that lie on the ground of the trip."""
    return [stop for stop in stops if site.grid.contains(np.atleast_2d(stop.xy_m))[0]]


def share_heard(
    site: Site, detectability: Detectability, heard: Coverage, clock: Clock, stops: Sequence[Listening]
) -> FloatArray:
    """Chance that a male in each cell is heard by at least one stop of a morning, silent mornings of his included.

    Parameters
    ----------
    site, detectability : of the trip.
    heard : chance that one display is heard, a row a stop.
    clock : of that morning.
    stops : in the order of the rows.

    Returns
    -------
    ndarray
        Shape (heard.grid.n_cells,), 0..1: for the minutes listened and the hour of the day.
    """
    missed = np.ones(heard.grid.n_cells)
    participation = 0.0
    for k, stop in enumerate(stops):
        factor, participation = _available(detectability, site, clock, stop)
        missed *= 1 - np.asarray(heard.chance[[k]].todense()).ravel() * factor
    return participation * (1 - missed)


def _available(detectability: Detectability, site: Site, clock: Clock, stop: Listening) -> tuple[float, float]:
    """Chance that a male that displays that morning does so in the minutes of a stop, and how many do at all."""
    minutes = figure("earshot", "minutes_unknown") if stop.minutes is None else stop.minutes
    begin = clock.seconds(stop.at) if stop.at else clock.sunrise_s
    available = availability_at(detectability, site, clock, np.array([begin]), minutes * 60)
    return float((available.hour_factor * available.cue)[0]), float(available.participation)


def unheard_by_level(
    book: Notebook, site: Site, detectability: Detectability, listened: Mapping[date, Sequence[Listening]]
) -> tuple[tuple[float, Layer], ...]:
    """Chance that a male in each cell was heard on none of the mornings, at each level of evidence.

    Parameters
    ----------
    book, site, detectability : of the trip; the weather of the trip file stands for that of every morning.
    listened : stops of each morning.

    Returns
    -------
    tuple
        Weight of each level that is planned with, and 0..1 on the target cells of the soundscape; none where nobody
        listened on the ground of the trip.

    Notes
    -----
    ``prod over mornings (1 - h)``, h of :func:`share_heard`: whether a male displays is drawn anew each morning.
    """
    days = {day: inside for day, stops in sorted(listened.items()) if (inside := on_the_ground(site, stops))}
    if not days:
        return ()
    ends = np.cumsum([len(stops) for stops in days.values()])
    heard = detectability.soundscape.coverage(np.array([stop.xy_m for stops in days.values() for stop in stops]))
    found = []
    for weight, one in detectability.at_levels(heard):
        missed = np.ones(heard.grid.n_cells)
        for (day, stops), end in zip(days.items(), ends.tolist(), strict=True):
            own = one.of_posts(range(end - len(stops), end))
            missed *= 1 - share_heard(site, detectability, own, clock_of_day(book, site, day), stops)
        found.append((weight, Layer("chance unheard so far", "1", heard.grid, missed.reshape(heard.grid.shape))))
    return tuple(found)


@dataclass(frozen=True)
class DensityBelief:
    """True density over the model's, once males were listened for.

    Parameters
    ----------
    weights, factors : of each level of evidence after the count; the weights sum to 1.
    mean, low, high : of the factor over all levels, with its 90 % interval.
    """

    weights: tuple[float, ...]
    factors: tuple[float, ...]
    mean: float
    low: float
    high: float


def density_belief(weights: Sequence[float], expected: Sequence[float], heard: int, group: float) -> DensityBelief:
    """Learn from a count at several levels of evidence: many males heard mean many males, or that one hears far.

    Parameters
    ----------
    weights : of the levels; they sum to 1.
    expected : males that the model says are heard, at each level.
    heard : different males that were heard.
    group : males that live together, so that they are met together; they count as one.

    Returns
    -------
    DensityBelief

    Notes
    -----
    At each level :func:`density_after` of ``y / g`` among ``m / g``; the weight of a level is multiplied by the chance
    of that count, ``Gamma(a + y) / Gamma(a) / Gamma(y + 1) (a / (a + m))^a (m / (a + m))^y`` (Poisson over gamma).
    """
    a, y, m = figure("season", "shape"), heard / group, np.maximum(np.asarray(expected), LEAST_EXPECTED) / group
    log_chance = gammaln(a + y) - gammaln(y + 1) + y * np.log(m / (a + m)) + a * np.log(a / (a + m))
    after = np.asarray(weights) * np.exp(log_chance - log_chance.max())
    after /= after.sum()
    levels = [density_after(float(one), y) for one in m]
    factors = tuple(float(level.mean()) for level in levels)

    def below(factor: float, share: float) -> float:
        return float(sum(w * level.cdf(factor) for w, level in zip(after, levels, strict=True))) - share

    def end(share: float) -> float:
        ends = [float(level.ppf(share)) for level in levels]
        if max(ends) - min(ends) < SAME:
            return ends[0]
        return float(brentq(below, min(ends), max(ends), args=(share,)))

    mean = float(after @ np.array(factors))
    return DensityBelief(tuple(after.tolist()), factors, mean, end(LOW), end(HIGH))


def density_after(expected: float, heard: float, *, shape: float | None = None) -> Any:  # noqa: ANN401 - of scipy
    """Distribution of true density over the model's once males were listened for.

    Parameters
    ----------
    expected : males that the model says are heard.
    heard : males heard.
    shape : how far the model is trusted; None for the usual.

    Returns
    -------
    frozen distribution of scipy.stats

    Raises
    ------
    InputError
        If the shape is not above 0.

    Notes
    -----
    y ~ Poisson(f m) males are heard where the model expects m; f ~ Gamma(a, a) of mean 1 before, Gamma(a + y, a + m)
    after (conjugate). Males that were not heard are Poisson of their own given f, so that their number scales with f.

    Examples
    --------
    >>> round(density_after(2.0, 4, shape=2.0).mean(), 3)
    1.5
    """
    a = figure("season", "shape") if shape is None else shape
    if a <= 0:
        raise InputError(f"a trust of {a:g} in the model cannot be; it is above 0")
    return gamma(a + heard, scale=1 / (a + expected))
