"""The name of a stop as somebody wrote it, matched with the name that the plan gave it.

Where a stop lies is the plan's business.
"""

import re
from collections.abc import Iterable

_PARTS = re.compile(r"([A-Z]*)[ _-]?0*(\d+)")


def planned_name(written: str, stops: Iterable[str]) -> str:
    """Give the plan's own name of a stop; a name that the plan does not know is only put in capitals.

    Parameters
    ----------
    written : such as ``"p3"``, ``"P-03"`` or ``"P03"``.
    stops : names of the plan.

    Examples
    --------
    >>> planned_name("p3", ["P03", "P13"])
    'P03'
    >>> planned_name("l4", ["P03"])
    'L4'
    """
    name = written.strip().upper()
    names = list(stops)
    if name in names:
        return name
    key = _key(name)
    same = [stop for stop in names if key is not None and _key(stop.upper()) == key]
    return same[0] if len(same) == 1 else name


def _key(name: str) -> tuple[str, int] | None:
    match = _PARTS.fullmatch(name)
    return (match[1], int(match[2])) if match else None
