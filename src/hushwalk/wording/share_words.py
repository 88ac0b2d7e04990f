"""What a plan that was made fit to be shown holds, and what it does not.

The taking out is morning/share.py's.
"""

import numpy as np

from hushwalk.grid.generalised import DECIMALS, category_of

LEFT_OUT = "left out for sharing"


def shared_words(grid_m: float) -> tuple[str, ...]:
    """Say what a shared plan does not hold, one sentence each."""
    made = (
        f"Made for sharing: every place is the middle of a cell of {grid_m:,.0f} m; the true one lies within "
        f"{grid_m * np.sqrt(0.5):,.0f} m of it, {_sensitivity_words(grid_m)}."
    )
    taken = (
        "Taken out: the name of the place, the lines of the walk and the ways back, rings of earshot, streams, water, "
        "trails, roads, closed ground, birds and logs of the notes, remarks, names of layers and files, and what "
        "depends on the exact ground: bearings, the proof, delays and the plain walk."
    )
    rounded = (
        "Clock times are rounded to a quarter of an hour, lengths to 500 m, earshot to 50 m, chances to 10 % and males "
        "to half a bird. Pictures carry no data about where or with what they were made. Nobody can walk by this."
    )
    once = (
        "Share one walk with one size of cells only: two shares with different cells can be laid over each other, and "
        "each place then lies where the two cells meet."
    )
    return made, taken, rounded, once


def _sensitivity_words(grid_m: float) -> str:
    category = category_of(grid_m)
    if category is None:
        return "too fine for any category of sensitive places"
    step = f"{10.0 ** -DECIMALS[category]:g}"
    return f"coarse enough for sensitive places of category {category}, which are published to {step} degree"
