"""The one writer of lengths, areas, wind and warmth, in the units that the reader uses: metric or those of the US.

Facts stay in SI. Files for machines, bearings, times and the grid of the map are written the same for everybody; so is
what a layer, a lens or a sensor is by its maker.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Literal

from hushwalk.site.units import Units

Measure = Literal["short", "long", "height", "area", "wide", "wind", "pace"]

FOOT_M, YARD_M, MILE_M = 0.3048, 0.9144, 1609.344  # definition: international foot, yard and mile
ACRE_HA, SQUARE_MILE_KM2 = 0.40468564224, 2.589988110336  # definition: an acre is 4,840 square yards
MPH_MS, KMH_MS = 0.44704, 1 / 3.6  # definition
PER_DEGREE_F, FREEZING_F = 1.8, 32.0  # definition: the scale of Fahrenheit over that of Celsius
TAPE_M = 3.0  # judgement: below ten feet a tenth of a foot matters

_SIZES: dict[Units, dict[Measure, tuple[str, float]]] = {
    "metric": {
        "short": ("m", 1.0),
        "long": ("km", 1000.0),
        "height": ("m", 1.0),
        "area": ("ha", 1.0),
        "wide": ("km²", 1.0),
        "wind": ("m/s", 1.0),
        "pace": ("km/h", KMH_MS),
    },
    "us": {
        "short": ("yards", YARD_M),
        "long": ("miles", MILE_M),
        "height": ("ft", FOOT_M),
        "area": ("acres", ACRE_HA),
        "wide": ("square miles", SQUARE_MILE_KM2),
        "wind": ("mph", MPH_MS),
        "pace": ("mph", MPH_MS),
    },
}
_UNITS: ContextVar[Units] = ContextVar("units", default="metric")


@contextmanager
def written_in(units: Units) -> Iterator[None]:
    """Write measures in these units for as long as the context lasts."""
    before = _UNITS.set(units)
    try:
        yield
    finally:
        _UNITS.reset(before)


def units_now() -> Units:
    """Give the units in which measures are written now."""
    return _UNITS.get()


def unit(of: Measure) -> tuple[str, float]:
    """Give the word of a unit and its size in m, ha, km² or m/s, for scale bars, contour lines and heads of tables.

    Examples
    --------
    >>> unit("short")
    ('m', 1.0)
    """
    return _SIZES[units_now()][of]


def distance(metres: float) -> str:
    """Write how far something is on foot: metres or yards.

    Examples
    --------
    >>> distance(100.0)
    '100 m'
    >>> with written_in("us"):
    ...     distance(100.0)
    '109 yards'
    """
    return _written(metres, "short", 0)


def spans(*metres: float) -> str:
    """Write a range of distances, or several of them.

    Examples
    --------
    >>> spans(50.0, 80.0), spans(50.0, 100.0, 200.0)
    ('50 to 80 m', '50, 100, 200 m')
    """
    *before, last = metres
    plain = [distance(one).partition(" ")[0] for one in before]
    return f"{', '.join(plain)}{' to ' if len(plain) == 1 else ', '}{distance(last)}"


def as_noted(metres: float) -> str:
    """Write what was measured with the eye or a tape: metres as they were noted, or feet.

    Examples
    --------
    >>> as_noted(0.4), as_noted(12.0)
    ('0.4 m', '12 m')
    >>> with written_in("us"):
    ...     as_noted(0.4), as_noted(12.0)
    ('1.3 ft', '39 ft')
    """
    return height(metres, int(metres < TAPE_M)) if units_now() == "us" else f"{metres:g} m"


def height(metres: float, digits: int = 0) -> str:
    """Write a height, a climb or what is near at hand: metres or feet.

    Examples
    --------
    >>> height(-0.2), height(0.42, 1)
    ('0 m', '0.4 m')
    >>> with written_in("us"):
    ...     height(100.0)
    '328 ft'
    """
    return _written(metres, "height", digits)


def route(metres: float, digits: int = 1) -> str:
    """Write the length of a walk or of a way: kilometres or miles.

    Examples
    --------
    >>> with written_in("us"):
    ...     route(5000.0)
    '3.1 miles'
    """
    return _written(metres, "long", digits)


def small_area(hectares: float, digits: int = 1) -> str:
    """Write a piece of ground: hectares or acres.

    Examples
    --------
    >>> with written_in("us"):
    ...     small_area(1.0)
    '2.5 acres'
    """
    return _written(hectares, "area", digits)


def wide_area(square_km: float, digits: int = 1) -> str:
    """Write a stretch of country: square kilometres or square miles."""
    return _written(square_km, "wide", digits)


def per_area(per_km2: float) -> str:
    """Write how many stand on a square kilometre, or on a square mile.

    Examples
    --------
    >>> per_area(4.0)
    '4.0 per km²'
    """
    word, size = unit("wide")
    return f"{per_km2 * size:.1f} per {word.removesuffix('s')}"


def speed(ms: float, of: Literal["wind", "pace"] = "wind") -> str:
    """Write a wind (metres a second) or a pace (kilometres an hour); both in miles an hour where miles are read."""
    return _written(ms, of, 1)


def temperature(celsius: float) -> str:
    """Write a temperature.

    Examples
    --------
    >>> temperature(-0.3)
    '0 °C'
    >>> with written_in("us"):
    ...     temperature(-40.0)
    '-40 °F'
    """
    return f"{round(FREEZING_F + PER_DEGREE_F * celsius)} °F" if units_now() == "us" else f"{round(celsius)} °C"


def _written(value: float, of: Measure, digits: int) -> str:
    """Write a value with its unit; what rounds to nothing has no sign."""
    word, size = unit(of)
    return f"{round(value / size, digits) + 0.0:,.{digits}f} {word}"
