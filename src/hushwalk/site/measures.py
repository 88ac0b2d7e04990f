"""Reads the raster layers of a trip and gives their numbers one meaning: metres, shares, years, kinds of cover.

How a raster comes onto the grid is raster_layers.py's business; holes in the heights are heights.py's.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import PurePath

import numpy as np

from hushwalk.errors import InputError
from hushwalk.files.paths import RASTER_ENDINGS, VECTOR_ENDINGS
from hushwalk.grid.align import burn_codes
from hushwalk.grid.layer import Layer
from hushwalk.habitat.stand_age import age_from_disturbance_date, looks_like_disturbance
from hushwalk.site.cover import Crosswalk, crosswalk, crosswalk_from_classes, to_kinds
from hushwalk.site.georeferencing import Whereabouts
from hushwalk.site.heights import suspect_zeros
from hushwalk.site.raster_layers import SENTINELS, Sense, bring_raster
from hushwalk.site.settings import LayerSettings
from hushwalk.site.vector_layers import bring_shapes
from hushwalk.types import FloatArray

FOOT_M = 0.3048  # definition: the international foot
HEIGHT_UNITS: Mapping[str, float] = {
    **dict.fromkeys(("", "m", "metre", "meter", "metres", "meters"), 1.0),
    **dict.fromkeys(("ft", "foot", "feet"), FOOT_M),
    **dict.fromkeys(("us_ft", "us survey foot", "us_survey_foot", "ftus"), 1200 / 3937),
}
SHARE_UNITS: Mapping[str, float] = {"1": 1.0, "fraction": 1.0, "%": 0.01, "percent": 0.01, "pct": 0.01}
DISTURBANCE = "nlcd_disturbance_date"
"""Unit of the codes of the NLCD forest disturbance date."""

AGE_UNITS = ("", "yr", "year", "years", "calendar_year", DISTURBANCE)

PlanContext = tuple[Layer, tuple[str, ...]]


def read_measure_layers(
    kind: str, specs: Sequence[tuple[str, LayerSettings]], where: Whereabouts, year: int
) -> PlanContext | None:
    """Read all layers of one kind that holds measurements; where one says nothing, the next is asked.

    Parameters
    ----------
    kind : ``"elevation"``, ``"canopy_cover"``, ``"canopy_height"`` or ``"stand_age"``.
    specs : (label, settings) of each layer.
    where : the ground.
    year : the year of the trip, for ages given as calendar years.

    Returns
    -------
    tuple or None
        The layer and notices; None if there is none of this kind.
    """
    parts = [_one_measure(kind, label, spec, where, year) for label, spec in specs]
    return _joined(parts) if parts else None


def read_cover_layers(specs: Sequence[tuple[str, LayerSettings]], where: Whereabouts) -> PlanContext | None:
    """Read all cover layers, rasters or polygons, as codes of cover kinds.

    Parameters
    ----------
    specs : (label, settings) of each layer.
    where : the ground.

    Returns
    -------
    tuple or None
        The layer (NaN where unknown) and notices; None if there is no cover layer.

    Raises
    ------
    InputError
        If a layer has neither ``legend`` nor ``classes``, or holds a class that they do not know.
    """
    parts = [_one_cover(label, spec, where) for label, spec in specs]
    return _joined(parts) if parts else None


def _joined(parts: Sequence[PlanContext]) -> PlanContext:
    layer, notices = parts[0]
    for other, more in parts[1:]:
        values = np.where(layer.known, layer.values, other.values)
        layer = replace(layer, values=values, story=(*layer.story, *other.story))
        notices = (*notices, *more)
    return layer, notices


def _one_measure(kind: str, label: str, spec: LayerSettings, where: Whereabouts, year: int) -> PlanContext:
    sense, unit = sense_of(kind, label, spec)
    got = bring_raster(spec, label, where, sense)
    notices = list(got.notices)
    values = got.values * spec.scale
    told_unit = (spec.unit or got.file.unit or "").strip().lower()
    if kind in {"elevation", "canopy_height"}:
        factor = HEIGHT_UNITS.get(told_unit, 1.0)
        values = values * factor
        if factor != 1:
            notices.append(f"{label}: taken as {told_unit} and turned into metres")
    if kind == "elevation" and (zeros := suspect_zeros(values)).any():
        values[zeros] = np.nan
        notices.append(
            f"{label}: {zeros.mean():.1%} of the ground is exactly 0 m high amid high ground and was taken "
            "as unknown; give nodata = 0 to say so"
        )
    if kind == "canopy_cover":
        percent = SHARE_UNITS.get(told_unit, 0.01 if np.nanmax(values) > 1 else 1.0)
        values = np.clip(values * percent, 0.0, 1.0)
        notices += (
            []
            if told_unit in SHARE_UNITS
            else [
                f'{label}: taken as {"per cent" if percent < 1 else "fractions of 1"}; give unit = "%" or "1" to say so'
            ]
        )
    if kind == "stand_age":
        values = age_in_years(values, told_unit, year, label)
    return Layer(kind, unit, where.grid, values, (got.story,)), tuple(notices)


def age_in_years(values: FloatArray, unit: str, year: int, label: str) -> FloatArray:
    """Turn the numbers of a layer of stand ages into years.

    Parameters
    ----------
    values : as they stand in the file, any shape, NaN where unknown.
    unit : one of ``AGE_UNITS``.
    year : of the trip.
    label : of the layer.

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


def sense_of(kind: str, label: str, spec: LayerSettings) -> tuple[Sense, str]:
    """Tell which numbers a layer of measurements may hold, and in which unit they are kept.

    Raises
    ------
    InputError
        If the unit of the trip file is not known for the kind.
    """
    asked = (spec.unit or "").strip().lower()
    allowed = {"canopy_cover": ("", *SHARE_UNITS), "stand_age": AGE_UNITS}.get(kind, tuple(HEIGHT_UNITS))
    if asked not in allowed:
        raise InputError(
            f"{label}: unit {spec.unit!r} is not known for {kind}; known: {', '.join(filter(None, allowed))}"
        )
    scale = spec.scale * HEIGHT_UNITS.get(asked, 1.0)
    senses = {  # judgement: no ground, tree or stand on earth lies outside these
        "elevation": (-450.0, 9000.0, 'are these feet, or is it another band? (unit = "ft", scale, band)', "m"),
        "canopy_cover": (0.0, 100.0, "are these class codes, or is it another band? (scale, band, nodata)", "1"),
        "canopy_height": (0.0, 120.0, 'are these decimetres or feet? (scale = 0.1, unit = "ft", band, nodata)', "m"),
        "stand_age": (0.0, 1500.0, 'are these years of disturbance? (unit = "calendar_year", band, nodata)', "yr"),
    }
    low, high, hint, unit = senses[kind]
    if asked == DISTURBANCE:
        low, high, hint = 0.0, 200.0, "codes of the forest disturbance date reach from 0 to 200 (nodata, band)"
    if asked == "calendar_year":
        low, high, hint = 1500.0, 2200.0, "a year such as 1998 is expected (nodata, band)"
    if kind == "canopy_cover" and SHARE_UNITS.get(asked) == 1.0:
        high = 1.0
    return Sense("stand" if kind == "stand_age" else "measure", low / scale, high / scale, hint), unit


def _one_cover(label: str, spec: LayerSettings, where: Whereabouts) -> PlanContext:
    if (spec.legend is None) == (spec.classes is None):
        which = "neither legend nor" if spec.legend is None else "both legend and"
        raise InputError(f"{label}: {which} classes given; give one of them, to say what the classes mean")
    try:
        return _cover_by_words(label, spec, where)
    except InputError as fault:  # the crosswalk does not know which layer of the trip it works for
        words = str(fault)
        raise InputError(words if words.startswith(label) else f"{label}: {words}") from None


def _cover_by_words(label: str, spec: LayerSettings, where: Whereabouts) -> PlanContext:
    if spec.field is not None or _is_vector(spec.path):
        codes, walk, story, notices = _cover_shapes(label, spec, where)
    else:
        walk = crosswalk(spec.legend) if spec.legend else crosswalk_from_classes(spec.classes or {})
        got = bring_raster(spec, label, where, Sense("class"))
        codes, story, notices = got.values, got.story, got.notices
    codes, more = _without_sentinels(codes, walk, label)
    kinds = to_kinds(codes, walk, PurePath(spec.path).name).astype(float)
    kinds[kinds == 0] = np.nan
    story = f"{story}; classes read by {walk.label}"
    return Layer("cover", "class", where.grid, kinds, (story,)), (*notices, *more)


def _is_vector(path: str) -> bool:
    ending = PurePath(path.replace("!", "/")).suffix.lower()
    return ending in VECTOR_ENDINGS and ending not in RASTER_ENDINGS


def _without_sentinels(codes: FloatArray, walk: Crosswalk, label: str) -> tuple[FloatArray, list[str]]:
    foreign = [s for s in SENTINELS if s not in walk.kinds and s not in walk.no_data and np.any(codes == s)]
    if not foreign:
        return codes, []
    told = ", ".join(str(code) for code in foreign)
    words = f"{label}: {told} is in no legend and was taken as unknown; give nodata = {foreign[0]} to say so"
    return np.where(np.isin(codes, foreign), np.nan, codes), [words]


def _cover_shapes(
    label: str, spec: LayerSettings, where: Whereabouts
) -> tuple[FloatArray, Crosswalk, str, tuple[str, ...]]:
    if spec.field is None:
        raise InputError(
            f'{label}: {spec.path} is a layer of polygons; name the field of their class with field = "..."'
        )
    got = bring_shapes(spec, label, where, "polygon", (spec.field,))
    words = [str(got.columns[spec.field][row]) for _, row in got.shapes]
    plain = [word.removesuffix(".0") for word in words]
    codes = {word: n for n, word in enumerate(sorted(set(plain)), start=1)}
    if spec.legend is not None:
        walk = crosswalk(spec.legend)
        by_name = {name.lower(): code for code, name in walk.names.items()}
        codes = {word: _code(word, by_name, label, spec) for word in codes}
    else:
        classes = spec.classes or {}
        unknown = [word for word in codes if word not in classes]
        if unknown:
            raise InputError(
                f"{label}: field {spec.field!r} holds {', '.join(map(repr, unknown[:8]))}, which classes does not name"
            )
        walk = crosswalk_from_classes({str(code): classes[word] for word, code in codes.items()})
    pairs = ((shape, float(codes[word])) for (shape, _), word in zip(got.shapes, plain, strict=True))
    return burn_codes(pairs, where.grid), walk, got.story, got.notices


def _code(word: str, by_name: Mapping[str, int], label: str, spec: LayerSettings) -> int:
    if word.lower() in by_name:
        return by_name[word.lower()]
    try:
        return int(word)
    except ValueError:
        raise InputError(
            f"{label}: field {spec.field!r} holds {word!r}, which is no class of the legend {spec.legend!r}"
        ) from None
