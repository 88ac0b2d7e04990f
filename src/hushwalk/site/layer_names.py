"""How the layers of a trip are called in messages.

What is in them is inputs.py's business.
"""

from collections import Counter
from collections.abc import Sequence

from hushwalk.site.settings import LayerSettings


def named_layers(specs: Sequence[LayerSettings]) -> list[tuple[str, LayerSettings]]:
    """Give each layer with its name: its kind, and where a kind comes several times, which of them it is.

    Examples
    --------
    >>> tiles = [LayerSettings("elevation", "west.tif"), LayerSettings("elevation", "east.tif")]
    >>> [name for name, _ in named_layers([*tiles, LayerSettings("stand_age", "age.tif")])]
    ['layer elevation (1 of 2)', 'layer elevation (2 of 2)', 'layer stand_age']
    """
    of_kind, seen = Counter(spec.kind for spec in specs), Counter[str]()
    named = []
    for spec in specs:
        seen[spec.kind] += 1
        which = f" ({seen[spec.kind]} of {of_kind[spec.kind]})" if of_kind[spec.kind] > 1 else ""
        named.append((f"layer {spec.kind}{which}", spec))
    return named
