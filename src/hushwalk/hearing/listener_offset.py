"""How far a person's ear lies above or below the average, learnt from males at known places.

Where a bird was found, and from which stops it was heard, is the business of the field notes.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hushwalk.errors import InputError
from hushwalk.science.detection import heard_chance
from hushwalk.types import FloatArray

PRIOR_SD_DB = 5.0
"""Spread of thresholds between persons (moller_pedersen_2004, from memory)."""
LOUDNESS_NODES = 15
"""Judgement: more change no figure that is printed."""
KNOT_STEPS = 5
"""Judgement: a likelihood of six decibels' width is straight enough between knots a quarter of a decibel apart."""
INTERVAL = (0.025, 0.5, 0.975)


@dataclass(frozen=True)
class HeardRecord:
    """One known male and one stop.

    Parameters
    ----------
    margin_db : margin of the path as its sound budget gives it for an average ear [dB].
    heard : whether he was heard.
    display_chance : chance that he displayed at least once meanwhile, 1 if he is known to have.
    known_by_ear : name of this male on this morning where he is known only because he was heard at one of that
        morning's stops; all its stops then have a record of that name. An empty text where he is known otherwise.
    """

    margin_db: float
    heard: bool
    display_chance: float = 1.0
    known_by_ear: str = ""

    def __post_init__(self) -> None:
        if not (np.isfinite(self.margin_db) and 0 < self.display_chance <= 1):
            raise InputError(
                f"a heard record needs a finite margin_db and a display_chance above 0 and at most 1, "
                f"got {self.margin_db} and {self.display_chance}"
            )


@dataclass(frozen=True)
class OffsetFit:
    """A person's offset with its 95 % interval [dB], from n records."""

    offset_db: float
    low_db: float
    high_db: float
    n: int


def _quantiles(places: FloatArray, log_weights: FloatArray) -> FloatArray:
    """Median and ends of the 95 % interval of a posterior on a grid."""
    weights = np.exp(log_weights - log_weights.max())
    upto = np.cumsum(weights) / weights.sum()
    found: FloatArray = np.interp(INTERVAL, upto, places)
    return found


def refit(records: Sequence[HeardRecord], *, sd_db: float = 6.0, shared: float = 0.0) -> OffsetFit:
    """Learn a person's offset from males later found at known places.

    Parameters
    ----------
    records : one for each pair of known male and stop, heard or not.
    sd_db : spread as in :class:`Listener` [dB].
    shared : share of that variance which is the same at all stops of one male and morning, 0..1; used where
        ``known_by_ear`` tells them.

    Returns
    -------
    OffsetFit
        Median and 95 % interval of the posterior; without records that of the prior.

    Raises
    ------
    InputError
        If a male known by ear was heard nowhere, or the share is not one.

    Notes
    -----
    A record has the likelihood ``a Phi((m + x) / sd)`` if heard and one less that if not, with margin m, chance to
    display a and offset x. The prior is normal with mean 0 and an sd of 5 dB, about the spread between persons
    (moller_pedersen_2004, from memory). A male known by ear would not be in the notes had nobody heard him: the
    product over his stops is divided by the chance to hear him at one of them at least (conditional likelihood, as
    huggins_1989), both being means over a loudness that his stops share. Other records count as independent.
    """
    places = np.arange(-40.0, 40.01, 0.05)
    weights = _log_prior(places) + _log_likelihood(records, places, sd_db, shared)
    low, middle, high = _quantiles(places, weights)
    return OffsetFit(float(middle), float(low), float(high), len(records))


def level_chances(
    records: Sequence[HeardRecord],
    added_db: Sequence[float],
    before: Sequence[float],
    *,
    sd_db: float = 6.0,
    shared: float = 0.0,
) -> tuple[float, ...]:
    """Learn how probable each level of evidence is, whatever the person's offset.

    Parameters
    ----------
    records : as for :func:`refit`, their margins at the level that adds nothing.
    added_db : what each level adds to every margin [dB].
    before : how probable each level is without records, summing to 1.
    sd_db, shared : as for :func:`refit`.

    Returns
    -------
    tuple of float
        One a level, summing to 1: ``before`` times the mean likelihood over the offset's prior (Bayes).
    """
    places = np.arange(-60.0, 40.01, 0.05)
    log_seen = _log_likelihood(records, places, sd_db, shared)
    log_level = [np.logaddexp.reduce(_log_prior(places - added) + log_seen) for added in added_db]
    chances = np.array(before) * np.exp(np.array(log_level) - max(log_level))
    return tuple(float(one) for one in chances / chances.sum())


def _log_prior(offset_db: FloatArray) -> FloatArray:
    return np.asarray(-0.5 * (offset_db / PRIOR_SD_DB) ** 2)


def _log_likelihood(records: Sequence[HeardRecord], places: FloatArray, sd_db: float, shared: float) -> FloatArray:
    """Log likelihood of all records by offset, shape of ``places``."""
    if not 0 <= shared < 1:
        raise InputError(f"shared is a share of the variance, 0 or more and below 1, got {shared}")
    weights = np.zeros_like(places)
    by_ear: dict[str, list[HeardRecord]] = {}
    for record in records:
        if record.known_by_ear:
            by_ear.setdefault(record.known_by_ear, []).append(record)
        else:
            chance = record.display_chance * heard_chance(record.margin_db + places, sd_db)
            weights += np.log(np.clip(chance if record.heard else 1 - chance, 1e-300, None))
    for name, own in by_ear.items():
        if not any(record.heard for record in own):
            raise InputError(f"male {name!r} is said to be known by ear, but no record of him was heard")
        weights += _log_by_ear(own, places, sd_db, shared)
    return weights


def _log_by_ear(records: Sequence[HeardRecord], places: FloatArray, sd_db: float, shared: float) -> FloatArray:
    """Log likelihood by offset of one male's stops, given that he was heard at one of them."""
    nodes, node_weights = np.polynomial.hermite_e.hermegauss(LOUDNESS_NODES if shared else 1)
    node_weights = node_weights / node_weights.sum()
    knots = places[::KNOT_STEPS]
    level = knots[:, np.newaxis] + sd_db * np.sqrt(shared) * nodes
    seen, log_nowhere = np.ones_like(level), np.zeros_like(level)
    for record in records:
        chance = record.display_chance * heard_chance(record.margin_db + level, sd_db * np.sqrt(1 - shared))
        chance = np.clip(chance, 1e-100, 1 - 1e-12)
        seen *= chance if record.heard else 1 - chance
        log_nowhere += np.log1p(-chance)
    some_stop = -np.expm1(log_nowhere) @ node_weights
    log_seen = np.log(np.clip(seen @ node_weights, 1e-300, None)) - np.log(some_stop)
    found: FloatArray = np.interp(places, knots, log_seen)
    return found
