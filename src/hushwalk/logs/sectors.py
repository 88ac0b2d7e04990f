"""Eight sectors of the compass round a log, and figures noted by sector.

What the figures are good for is criteria.py's business.
"""

import math
import re

from hushwalk.errors import InputError

SECTORS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")
SECTOR_DEG = 45.0
"""Definition: a full turn over eight."""

_PAIR = re.compile(r"\s*([A-Za-z]{1,2})\s*[:= ]?\s*([0-9.]+)\s*")


def sector_azimuth_deg(sector: str) -> float:
    """Azimuth of the middle of a sector.

    Examples
    --------
    >>> sector_azimuth_deg("SE")
    135.0
    """
    return SECTORS.index(sector) * SECTOR_DEG


def opposite(sector: str) -> str:
    """Sector on the other side.

    Examples
    --------
    >>> opposite("NE")
    'SW'
    """
    return SECTORS[(SECTORS.index(sector) + 4) % 8]


def sector_values(text: str, name: str, low: float, high: float) -> dict[str, float]:
    """Read figures by sector, such as ``"N 12, NE 8, S 3.5"``.

    Parameters
    ----------
    text : pairs of sector and figure, divided by commas or semicolons; may be empty.
    name : what to call it in an error.
    low, high : the figures allowed.

    Returns
    -------
    dict of str to float

    Raises
    ------
    InputError
        If a pair cannot be read, a sector stands twice or a figure lies outside.

    Examples
    --------
    >>> sector_values("N 12, sw:3.5", "backdrop_m", 0, 1000)
    {'N': 12.0, 'SW': 3.5}
    """
    found: dict[str, float] = {}
    for part in (p for p in re.split(r"[,;]", text) if p.strip()):
        match = _PAIR.fullmatch(part)
        sector = match[1].upper() if match else ""
        try:
            value = float(match[2]) if match else math.nan
        except ValueError:
            value = math.nan
        if sector not in SECTORS or not low <= value <= high or sector in found:
            raise InputError(
                f"{name} {part.strip()!r} cannot be used; write pairs such as 'N 12, NE 8', "
                f"each sector once, figures {low:g} to {high:g}"
            )
        found[sector] = value
    return found


def sector_list(text: str, name: str) -> tuple[str, ...]:
    """Read a list of sectors, such as ``"S SW"``.

    Raises
    ------
    InputError
        If a word is no sector.

    Examples
    --------
    >>> sector_list("s, sw", "access")
    ('S', 'SW')
    """
    words = tuple(w.upper() for w in re.split(r"[\s,;]+", text) if w)
    if words == ("NONE",):
        return ()
    for word in words:
        if word not in SECTORS:
            raise InputError(f"{name} {word!r} is no compass sector; write such as 'S SW', or 'none'")
    return words
