"""How coarsely the places of animals that are easily disturbed are published, by steps of a degree.

Moving the places of a plan is morning/share.py's business; this file never shifts a place at random.
"""

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.errors import SettingsError
from hushwalk.types import FloatArray

DECIMALS: Mapping[int, int] = MappingProxyType({2: 1, 3: 2, 4: 3})
"""Category of sensitivity -> decimals of a degree that are kept (chapman_2020, table 7); category 1 keeps none."""

METRES_PER_DEGREE = 111_195.0  # definition: of a great circle on a sphere of 6,371 km


def generalised(lonlat: ArrayLike, category: int) -> FloatArray:
    """Round places to the step of a category.

    Parameters
    ----------
    lonlat : shape (..., 2) [deg].
    category : of sensitivity, 2 (high) to 4 (low).

    Raises
    ------
    SettingsError
        If the category keeps no place at all, or is none.

    References
    ----------
    chapman_2020

    Examples
    --------
    >>> generalised([-93.45678, 44.98765], 2).tolist()
    [-93.5, 45.0]
    """
    if category not in DECIMALS:
        raise SettingsError(f"places of category {category} are not published at all; categories 2 to 4 are rounded")
    return np.asarray(np.round(np.asarray(lonlat, dtype=float), DECIMALS[category]))


def category_of(step_m: float) -> int | None:
    """Give the most sensitive category for which places moved to cells of a size are coarse enough, or None.

    Parameters
    ----------
    step_m : side of the cells [m].

    Examples
    --------
    >>> category_of(12_000.0), category_of(2_000.0), category_of(50.0)
    (2, 3, None)
    """
    return next((key for key, kept in sorted(DECIMALS.items()) if step_m >= METRES_PER_DEGREE * 10.0**-kept), None)
