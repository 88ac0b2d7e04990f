"""How coarsely the places of animals that are easily disturbed are published, by steps of a degree.

Moving the places of a plan is morning/share.py's business; this file never shifts a place at random.
"""

from collections.abc import Mapping
from types import MappingProxyType

DECIMALS: Mapping[int, int] = MappingProxyType({2: 1, 3: 2, 4: 3})
"""Category of sensitivity -> decimals of a degree that are kept (chapman_2020, table 7); category 1 keeps none."""

METRES_PER_DEGREE = 111_195.0  # definition: of a great circle on a sphere of 6,371 km


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
