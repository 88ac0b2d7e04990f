"""Age of stands from the dates of disturbance that agencies publish.

What an age is worth to an animal is its need's curve, in needs.py.
"""

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.errors import InputError
from hushwalk.types import FloatArray

BASE_YEAR = 1900
"""Codes count from this year, by the legend of the product."""

FIRST_CODE, LAST_CODE = 84, 121
NO_CHANGE = 200
NOT_DATED = (0, 83, NO_CHANGE)
"""No data, non-forest or disturbed before 1983, and no change, by the legend of the product."""


def looks_like_disturbance(values: ArrayLike) -> bool:
    """Tell whether numbers that are said to be years can only be codes of the disturbance date.

    Parameters
    ----------
    values : any shape; NaN where unknown.

    Returns
    -------
    bool
        True if every number is a code of the legend and "no change" is among them.

    Examples
    --------
    >>> looks_like_disturbance([84, 121, 200]), looks_like_disturbance([8, 84, 200])
    (True, False)
    """
    held = np.asarray(values, dtype=float)
    held = held[np.isfinite(held)]
    codes = (held >= FIRST_CODE) & (held <= LAST_CODE) & (held == np.floor(held)) | np.isin(held, NOT_DATED)
    return bool(codes.all() and np.any(held == NO_CHANGE))


def age_from_disturbance_date(codes: ArrayLike, year: int) -> FloatArray:
    """Read the age of stands from the NLCD 2021 forest disturbance date.

    Parameters
    ----------
    codes : any shape; NaN where unknown.
    year : of the trip.

    Returns
    -------
    ndarray
        Years since the last disturbance [a]; NaN where none is dated.

    Raises
    ------
    InputError
        If a code is not in the legend, or the disturbance lies after the trip.

    References
    ----------
    nlcd_science_2021

    Examples
    --------
    >>> age_from_disturbance_date([84, 121, 83, 200], 2027).tolist()
    [43.0, 6.0, nan, nan]
    """
    values = np.asarray(codes, dtype=float)
    dated = (values >= FIRST_CODE) & (values <= LAST_CODE) & (values == np.floor(values))
    foreign = np.unique(values[np.isfinite(values) & ~dated & ~np.isin(values, NOT_DATED)])
    if foreign.size:
        raise InputError(
            f"forest disturbance date holds code {foreign[0]:g}; its legend has {FIRST_CODE} to {LAST_CODE} (year less "
            f"{BASE_YEAR}) and {', '.join(map(str, NOT_DATED))}; is it another layer or band?"
        )
    age = np.where(dated, year - BASE_YEAR - values, np.nan)
    if np.any(age < 0):
        raise InputError(f"forest disturbance date holds years after {year}; check morning.date")
    return age
