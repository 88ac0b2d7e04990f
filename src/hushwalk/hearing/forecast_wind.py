"""Wind at the ear from the wind that a forecast gives: at 10 m over open ground, by the hour.

What wind does to hearing is background.py's business.
"""

from collections.abc import Mapping

UNDER_TREES = 0.3
"""judgement: share of the wind at 10 m that is left at the ear under leafless trees. Tables for fires take 0.3 of the
wind 6 m above partly sheltered ground (baughman_albini_1980), which is 1/1.15 of that at 10 m; 0.26 would follow, and
0.3 is kept because too much wind is the safer fault. Under dense conifers it is 0.1 or less, in the open 0.4."""
UNITS_MS: Mapping[str, float] = {"ms": 1.0, "kmh": 1 / 3.6, "mph": 0.44704, "kn": 1852 / 3600}
"""definition: metre, kilometre, international mile and nautical mile, and the hour."""
DIGITS = 2  # judgement: a hundredth of a metre a second is more than any forecast knows


def wind_at_ear_ms(forecast_ms: float) -> float:
    """Give the wind at the ear under leafless trees [m/s].

    Parameters
    ----------
    forecast_ms : wind at 10 m over open ground [m/s].

    References
    ----------
    baughman_albini_1980

    Examples
    --------
    >>> wind_at_ear_ms(5.0)
    1.5
    """
    return round(UNDER_TREES * forecast_ms, DIGITS)
