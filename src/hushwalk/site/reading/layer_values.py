"""What the numbers of a raster file mean: kinds of cover, metres, years and shares, and which numbers cannot be meant.

How the cells come onto the grid is raster_layers.py's business.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal, TypeVar

import numpy as np
from numpy.typing import NDArray

from hushwalk.errors import InputError, MissingFileError
from hushwalk.files.rasters import RasterFile
from hushwalk.grid.align import NO_CLASS
from hushwalk.habitat.stand_age import age_from_disturbance_date, looks_like_disturbance
from hushwalk.site.reading.cover import Crosswalk, crosswalk, crosswalk_from_classes, foreign_words
from hushwalk.site.settings import LayerSettings
from hushwalk.types import FloatArray

First = TypeVar("First")
Second = TypeVar("Second")

Meaning = Callable[[NDArray[Any]], NDArray[Any]]
"""From the numbers of a file to values."""

FOREIGN = 255
"""Definition: marks a class code that the legend does not know; cover kinds have lower codes."""

FOOT_M = 0.3048  # definition: the international foot
HEIGHT_UNITS: Mapping[str, float] = {
    **dict.fromkeys(("", "m", "metre", "meter", "metres", "meters"), 1.0),
    **dict.fromkeys(("ft", "foot", "feet"), FOOT_M),
    **dict.fromkeys(("us_ft", "us survey foot", "us_survey_foot", "ftus"), 1200 / 3937),
}
SHARE_UNITS: Mapping[str, float] = {"1": 1.0, "fraction": 1.0, "%": 0.01, "percent": 0.01, "pct": 0.01}
CLASSED_UNITS = {
    "canopy_cover": ("landfire_evc", "landfire_evc_2014"),
    "canopy_height": ("landfire_evh",),
}
"""Units of class codes that stand for per cent or metres, by kind of layer."""

DISTURBANCE = "nlcd_disturbance_date"
"""Unit of the codes of the NLCD forest disturbance date."""

AGE_UNITS = ("", "yr", "year", "years", "calendar_year", DISTURBANCE)
SENTINELS = (-9999, -99999, -32768, -32767, 32767, 65535, 9999, 99999, -999, 999, 255, 127, 0, -1, -128)
"""Numbers by which makers mean "unknown" when they do not say so in the file (common practice)."""


@dataclass(frozen=True)
class Sense:
    """Which numbers can be meant.

    Parameters
    ----------
    what : ``"measure"``, ``"class"``, or ``"stand"`` for a measure that is one number a stand and never blended.
    low, high : limits of what a measure can be, in the units of the file.
    hint : how to mend a layer whose numbers lie outside.
    """

    what: Literal["measure", "class", "stand"]
    low: float = -np.inf
    high: float = np.inf
    hint: str = ""


def sense_of(kind: str, label: str, spec: LayerSettings) -> tuple[Sense, str]:
    """Tell which numbers a layer of measurements may hold, and in which unit they are kept.

    Parameters
    ----------
    kind : of the layer.
    label : of the layer, for messages.
    spec : what the trip file says of the layer.

    Returns
    -------
    tuple of Sense and str
        The numbers that can be, and the unit kept.

    Raises
    ------
    InputError
        If the unit of the trip file is not known for the kind.
    """
    requested = (spec.unit or "").strip().lower()
    allowed = {"canopy_cover": ("", *SHARE_UNITS), "stand_age": AGE_UNITS}.get(kind, tuple(HEIGHT_UNITS))
    allowed = (*allowed, *CLASSED_UNITS.get(kind, ()))
    unit_of = "1" if kind == "canopy_cover" else "m"
    if requested not in allowed:
        raise InputError(
            f"{label}: unit {spec.unit!r} is not known for {kind}; known: {', '.join(filter(None, allowed))}"
        )
    if requested in CLASSED_UNITS.get(kind, ()):
        return Sense("stand", 0.0, 400.0, "LANDFIRE codes reach from 11 to 399 (nodata, band)"), unit_of
    scale = spec.scale * HEIGHT_UNITS.get(requested, 1.0)
    senses = {  # judgement: no ground, tree or stand on earth lies outside these
        "elevation": (-450.0, 9000.0, 'are these feet, or is it another band? (unit = "ft", scale, band)', "m"),
        "canopy_cover": (0.0, 100.0, "are these class codes, or is it another band? (unit, scale, band, nodata)", "1"),
        "canopy_height": (
            0.0,
            120.0,
            "are these decimetres, feet or class codes? (scale = 0.1, unit, band, nodata)",
            "m",
        ),
        "stand_age": (0.0, 1500.0, 'are these years of disturbance? (unit = "calendar_year", band, nodata)', "yr"),
    }
    low, high, hint, unit = senses[kind]
    if requested == DISTURBANCE:
        low, high, hint = 0.0, 200.0, "codes of the forest disturbance date reach from 0 to 200 (nodata, band)"
    if requested == "calendar_year":
        low, high, hint = 1500.0, 2200.0, "a year such as 1998 is expected (nodata, band)"
    if kind == "canopy_cover" and SHARE_UNITS.get(requested) == 1.0:
        high = 1.0
    return Sense("stand" if kind == "stand_age" else "measure", low / scale, high / scale, hint), unit


def meaning_of(
    spec: LayerSettings, label: str, file: RasterFile, year: int, largest: Callable[[], float]
) -> tuple[Meaning, tuple[str, ...]]:
    """Say how the numbers of a layer of measurements become metres, years or shares.

    Parameters
    ----------
    spec, label, file : of the layer.
    year : of the trip, for ages given as calendar years.
    largest : gives the largest number of the file on the ground; it decides between per cent and fractions of 1
        where no unit does.

    Returns
    -------
    tuple
        The function, and notices about what was assumed.
    """
    unit = (spec.unit or file.unit or "").strip().lower()
    if unit in CLASSED_UNITS.get(spec.kind, ()):
        return (lambda values: classed_values(values, unit, label)), ()
    if spec.kind in {"elevation", "canopy_height"}:
        metres = HEIGHT_UNITS.get(unit, 1.0)
        factor = np.float32(spec.scale * metres)
        notice = (f"{label}: taken as {unit} and turned into metres",) if metres != 1 else ()
        return (lambda values: values * factor), notice
    if spec.kind == "canopy_cover":
        share = SHARE_UNITS.get(unit, 0.0) or (0.01 if largest() * spec.scale > 1 else 1.0)
        words = "per cent" if share < 1 else "fractions of 1"
        notice = () if unit in SHARE_UNITS else (f'{label}: taken as {words}; give unit = "%" or "1" to say so',)
        return (lambda values: np.clip(values * np.float32(spec.scale * share), 0, 1)), notice
    return (lambda values: age_in_years(values * np.float32(spec.scale), unit, year, label)), ()


def classed_values(codes: FloatArray, unit: str, label: str) -> FloatArray:
    """Turn class codes of LANDFIRE existing vegetation cover or height into what is measured.

    Parameters
    ----------
    codes : any shape, NaN where unknown.
    unit : one of ``CLASSED_UNITS``.
    label : of the layer.

    Returns
    -------
    ndarray
        Share of the ground under trees, 0..1, or height [m]; 0 where no plant has the height or no tree stands.

    Raises
    ------
    InputError
        If the codes are those of another release.

    References
    ----------
    landfire_cover_height

    Examples
    --------
    >>> classed_values(np.array([160.0, 11.0]), "landfire_evc", "layer canopy_cover").tolist()
    [0.6, 0.0]
    """
    tree = (codes > 100) & (codes < 200)  # noqa: PLR2004  definition
    old = tree & (codes < 110)  # noqa: PLR2004  definition: no code of a tree class from 2016 on
    if unit == "landfire_evc" and old.any():
        raise InputError(f'{label}: codes 101 to 109 are those of releases to 2014; give unit = "landfire_evc_2014"')
    if unit == "landfire_evc_2014":
        if (codes > 199).any():  # noqa: PLR2004  definition
            raise InputError(f'{label}: its codes are those of releases from 2016 on; give unit = "landfire_evc"')
        found = np.where(old, (codes - 100) / 10 + 0.05, 0.0)  # the middle of each class
    elif unit == "landfire_evc":
        found = np.where(tree, (codes - 100) / 100, 0.0)
    else:
        low = np.where((codes > 200) & (codes < 400), (codes % 100) / 10, 0.0)  # noqa: PLR2004  shrubs and herbs
        found = np.where(tree, codes - 100, low)
    return np.where(np.isnan(codes), np.nan, found)


def all_or_faults(label: str, first: Callable[[], First], second: Callable[[], Second]) -> tuple[First, Second]:
    """Do two pieces of work that do not need each other, and name the faults of both at once.

    Parameters
    ----------
    label : of the layer; each fault begins with it.
    first, second : the work.

    Returns
    -------
    tuple
        What they give.

    Raises
    ------
    InputError
        If both fail, with both faults; else what one of them raises.
    """
    try:
        one = first()
    except InputError as fault:
        try:
            second()
        except (InputError, MissingFileError) as other:
            both = f"{fault}; and {str(other).removeprefix(f'{label}: ')}"
            raise InputError(both) from None
        raise
    return one, second()


def check_one_legend(spec: LayerSettings, label: str) -> None:
    """Refuse a cover layer whose classes are explained twice or not at all.

    Raises
    ------
    InputError
        If it has neither ``legend`` nor ``classes``, or both.
    """
    if (spec.legend is None) == (spec.classes is None):
        which = "neither legend nor" if spec.legend is None else "both legend and"
        raise InputError(f"{label}: {which} classes given; give one of them, to say what the classes mean")


def legend_of(spec: LayerSettings, label: str) -> Crosswalk:
    """Crosswalk of a cover layer.

    Raises
    ------
    InputError
        If the layer has neither ``legend`` nor ``classes``, or both, or they cannot be read.
    """
    check_one_legend(spec, label)
    try:
        return crosswalk(spec.legend) if spec.legend else crosswalk_from_classes(spec.classes or {})
    except InputError as fault:  # the crosswalk does not know which layer it works for
        raise InputError(f"{label}: {fault}") from None


def undeclared_codes(walk: Crosswalk) -> tuple[int, ...]:
    """Codes that a legend does not hold and by which makers mean "unknown"."""
    return tuple(code for code in SENTINELS if code not in walk.kinds and code not in walk.no_data)


def age_in_years(values: FloatArray, unit: str, year: int, label: str) -> FloatArray:
    """Turn the numbers of a layer of stand ages into years.

    Parameters
    ----------
    values : as they stand in the file, any shape, NaN where unknown.
    unit : one of ``AGE_UNITS``.
    year : of the trip.
    label : of the layer.

    Returns
    -------
    ndarray
        Years, NaN where unknown.

    Raises
    ------
    InputError
        If codes of disturbance are not in their legend, or lie after the trip.
    """
    if unit == "calendar_year":
        return np.maximum(year - values, 0.0)
    if unit == "" and looks_like_disturbance(values):
        raise InputError(
            f"{label}: its numbers are those of the NLCD forest disturbance date; give unit = {DISTURBANCE!r}, or "
            'unit = "yr" if they are years'
        )
    if unit != DISTURBANCE:
        return values
    try:
        return age_from_disturbance_date(values, year)
    except InputError as fault:
        raise InputError(f"{label}: {fault}") from None


def kinds_by_table(walk: Crosswalk, label: str, name: str, nodata: float | None) -> Meaning:
    """Look kinds of cover up by class code.

    Parameters
    ----------
    walk : the legend.
    label, name : how to name the layer and its file in an error.
    nodata : of the file.

    Returns
    -------
    callable
        Whole numbers -> codes of cover kinds as bytes, 0 where unknown. It raises an InputError that names the codes
        which the legend does not know.

    Raises
    ------
    InputError
        If something does not fit, naming what.
    """
    unknown = {*walk.no_data, *(code for code in SENTINELS if code not in walk.kinds), NO_CLASS}
    if nodata is not None and np.isfinite(nodata) and nodata == int(nodata):
        unknown.add(int(nodata))
    low, high = min([0, *walk.kinds]), max([*walk.kinds, 255])
    table = np.full(high - low + 1, FOREIGN, dtype=np.uint8)
    for code, kind in [*((code, 0) for code in unknown), *walk.kinds.items()]:
        if low <= code <= high:
            table[code - low] = kind
    for code in unknown - set(walk.kinds):
        if low <= code <= high:
            table[code - low] = 0
    if nodata is not None and low <= nodata <= high:
        table[int(nodata) - low] = 0

    def turned(codes: NDArray[Any]) -> NDArray[Any]:
        if codes.dtype == np.uint8 and low == 0:
            found = table[:256][codes]
        else:
            whole = codes.astype(np.int64) - low
            far = (whole < 0) | (whole >= len(table))
            found = table[np.where(far, 0, whole)]
            found[far] = np.where(np.isin(codes[far], list(unknown)), 0, FOREIGN)
        if (found == FOREIGN).any():
            foreign = np.unique(codes[found == FOREIGN]).tolist()
            raise InputError(f"{label}: {foreign_words(foreign, walk, name)}")
        return np.asarray(found)

    return turned
