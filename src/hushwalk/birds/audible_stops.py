"""How well each stop of a morning hears, over the real ground, by name of the stop.

posterior.py says what is taken where there is no such layer.
"""

from collections.abc import Sequence

import numpy as np

from hushwalk.birds.listening_visits import SAME_PLACE_M
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import Listening
from hushwalk.site.detectability import Detectability
from hushwalk.site.site import Site


def audible_from(site: Site, detectability: Detectability, listening: Sequence[Listening]) -> dict[str, Layer]:
    """Chance that one display in a cell is heard at each stop, by name of the stop, over the real ground.

    Parameters
    ----------
    site, detectability : of the trip.
    listening : the stops of a morning.

    Returns
    -------
    dict
        Layers of chance, 0..1, on the grid of the trip, by name of the stop.

    Notes
    -----
    A stop without a name, one off the ground of the trip, and a name that stands for two places have no layer; there
    the chance falls off with distance alone.
    """
    places: dict[str, list[tuple[float, float]]] = {}
    for where in listening:
        if where.stop and site.grid.contains(np.atleast_2d(where.xy_m))[0]:
            places.setdefault(where.stop, []).append(where.xy_m)
    one = {name: found[0] for name, found in places.items() if np.ptp(np.array(found), axis=0).max() <= SAME_PLACE_M}
    return {name: detectability.soundscape.footprint(np.array(xy)) for name, xy in one.items()}
