"""Streams, water, wetlands, trails, roads, buildings and closed ground of a trip, each with kind and name.

How shapes come onto the grid is vector_layers.py's business.
"""

import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
import shapely

from hushwalk.errors import SettingsError
from hushwalk.files.vectors import Feature, Geometry, Shape
from hushwalk.grid.align import outline
from hushwalk.grid.layer import Layer
from hushwalk.grid.systems import carried
from hushwalk.site.reading.cover import cover_kinds
from hushwalk.site.reading.georeferencing import DEGREES, Georeference
from hushwalk.site.reading.narrow_areas import CREEK_FROM_M, mean_width_m, middle_line, split_by_width
from hushwalk.site.reading.tags import Columns, FeatureTags, part_time
from hushwalk.site.reading.vector_layers import BroughtShapes, bring_shapes
from hushwalk.site.reading.ways import traits_of
from hushwalk.site.reading.wetland_codes import BARE_CLASS, misspelt_words, wetland_class, wetland_code
from hushwalk.site.settings import ClosedSettings, LayerSettings
from hushwalk.text import one_line

SHAPES: Mapping[str, tuple[Shape, ...]] = {
    "streams": ("line", "polygon"),
    "water": ("polygon",),
    "wetlands": ("polygon",),
    "trails": ("line",),
    "roads": ("line",),
    "buildings": ("polygon", "point"),
    "closed": ("polygon", "line"),
}
"""Kinds of feature layer and what they are drawn as."""

WAYS = frozenset({"trails", "roads"})
"""Kinds of feature layer that one walks on."""

Features = dict[str, tuple[Feature, ...]]


def read_features(
    specs: Sequence[tuple[str, LayerSettings]], where: Georeference
) -> tuple[Features, tuple[str, ...], tuple[str, ...]]:
    """Read all feature layers.

    Parameters
    ----------
    specs : (label, settings) of each layer.
    where : the ground.

    Returns
    -------
    tuple
        Features by kind of layer (every kind is there, maybe empty), notices, stories.
    """
    found: dict[str, list[Feature]] = {kind: [] for kind in SHAPES}
    notices: list[str] = []
    stories: list[str] = []
    for label, spec in specs:
        got = bring_shapes(spec, label, where, SHAPES[spec.kind], (spec.field,) if spec.field else ())
        notices += got.notices
        stories.append(got.story)
        naming = _NAMING.get(spec.kind, _plain)
        moved = seasonal = 0
        for shape, row in got.shapes:
            kind, called = naming(got.columns, row, spec.field)
            home = _home(spec.kind, called)
            moved += home not in {spec.kind, ""}
            seasonal += spec.kind == "streams" and part_time(got.columns, row)
            traits = traits_of(got.columns, row, spec.field) if spec.kind in WAYS else None
            for place, feature in _placed(home, Feature(shape, called, kind, traits)):
                found[place].append(feature)
        notices += _moved_words(label, spec.kind, moved, len(got.shapes))
        notices += _oddities(label, spec, got, seasonal)
    return {kind: _without_twins(listed) for kind, listed in found.items()}, tuple(notices), tuple(stories)


def water_from_cover(
    features: Features, cover: Layer | None, given: frozenset[str]
) -> tuple[Features, tuple[str, ...]]:
    """Draw water and wetlands from the land cover where no layer of them was given.

    Parameters
    ----------
    features : of :func:`read_features`.
    cover : codes of cover kinds, or None.
    given : kinds of layer that the trip file names.

    Returns
    -------
    tuple
        The features with those drawn, and what was drawn, in words.
    """
    if cover is None:
        return features, ()
    wet = {code for code, kind in cover_kinds().items() if kind.wet}
    water = {code for code, kind in cover_kinds().items() if kind.key == "open_water"}
    facts = []
    for name, codes in (("water", water), ("wetlands", wet - water)):
        if name in given or features[name]:
            continue
        mask = np.isin(cover.values, list(codes))
        drawn = tuple(Feature(shape, "lake" if name == "water" else "") for shape in outline(mask, cover.grid))
        features = {**features, name: drawn}
        facts.append(
            f"no {name} layer was given; what there is of it ({len(drawn)} areas) is taken from the land cover"
        )
    return features, tuple(facts)


def classify_streams(features: Features) -> tuple[Features, tuple[str, ...]]:
    """Take out of the streams what runs through lakes, where no water is heard running.

    Lines that their maker marks as drawn through a water body are cut by every water area, other streams by lakes only.
    """
    lakes = shapely.union_all([f.geometry for f in features["water"] if f.kind != "river"])
    waters = shapely.union_all([f.geometry for f in features["water"]])
    kept: list[Feature] = []
    cut_m = 0.0
    for stream in features["streams"]:
        left = shapely.difference(stream.geometry, waters if stream.kind.startswith("path ") else lakes)
        cut_m += stream.geometry.length - left.length
        kind = stream.kind.removeprefix("path ")
        kept += [Feature(p, kind, stream.name) for p in shapely.get_parts(left) if not p.is_empty]
    words = (f"{cut_m / 1000:.1f} km of stream lines run through lakes and do not count as running water",)
    return {**features, "streams": tuple(kept)}, words if cut_m > 1 else ()


def closed_by_hand(
    closed: Sequence[ClosedSettings], where: Georeference
) -> tuple[tuple[Feature, ...], tuple[str, ...]]:
    """Turn the closed ground that the trip file draws into features.

    Parameters
    ----------
    closed : corners as longitude and latitude.
    where : the ground.

    Raises
    ------
    SettingsError
        If corners are no longitude and latitude, do not go round in order, or enclose no ground.
    """
    found: list[Feature] = []
    facts: list[str] = []
    ground = shapely.box(*where.grid.bounds)
    for area in closed:
        corners = np.asarray(area.corners, dtype=float)
        if np.abs(corners[:, 0]).max() > 180 or np.abs(corners[:, 1]).max() > 90:  # noqa: PLR2004
            raise SettingsError(f"closed {area.name!r}: corners are [longitude, latitude] in degrees, longitude first")
        ring = shapely.Polygon(carried(corners, where.way_from(DEGREES)))
        if not shapely.make_valid(ring).area > 0:
            raise SettingsError(f"closed {area.name!r}: its corners enclose no ground")
        if not ring.is_valid:
            raise SettingsError(
                f"closed {area.name!r}: its corners do not go round in order ({shapely.is_valid_reason(ring)}); list "
                "them one after another along its edge"
            )
        parts = [p for p in shapely.get_parts(shapely.intersection(ring, ground)) if p.area > 0]
        found += [Feature(part, "", area.name) for part in parts]
        if not parts:
            turned = shapely.Polygon(carried(corners[:, ::-1], where.way_from(DEGREES)))
            swapped = np.isfinite(turned.bounds).all() and turned.intersects(ground)
            hint = "; longitude and latitude look swapped" if swapped else ""
            facts.append(f"closed {area.name!r} lies outside the ground of the trip{hint}")
    return tuple(found), tuple(facts)


def _stream(columns: Columns, row: int, field: str | None) -> tuple[str, str]:
    words = _words()["streams"]
    name = _text(columns, row, words["name"]["fields"])
    said = FeatureTags(columns, row)([field] if field else words["fields"])
    if any(word in words["no_stream"] for word in said):
        return name, "no stream"
    size = _by_order(columns, row, words["order"]) or _by_words(said, words)
    last = name.lower().split()[-1:]
    by_name = next((size for size in ("river", "creek") if last and last[0] in words["name"][size]), "")
    path = "path " if any(word in words["path"] for word in said) else ""
    # a plain "stream" is no word about its size, so a name may still tell more
    return name, path + (size if size not in {"", "brook"} else by_name or "brook")


def _water(columns: Columns, row: int, field: str | None) -> tuple[str, str]:
    words = _words()["water"]
    name = _text(columns, row, _words()["streams"]["name"]["fields"])
    said = FeatureTags(columns, row)([field] if field else words["fields"])
    kind = next((k for k in ("wetland", "river", "dry") if any(word in words[k] for word in said)), "lake")
    return name, kind


def _wetland(columns: Columns, row: int, field: str | None) -> tuple[str, str]:
    words = _words()["water"]
    said = FeatureTags(columns, row)([field] if field else words["fields"])
    code = wetland_code(_text(columns, row, [field] if field else words["code_fields"]))
    if code is not None:
        running = "river" if code.system == "R" else "lake"
        name = _text(columns, row, _words()["streams"]["name"]["fields"])
        return name, running if code.is_water else "dry" if wetland_class(code) == BARE_CLASS else "wetland"
    lake = any(word in {"lakepond", "390", "39000", "39004", "lake", "pond", "reservoir"} for word in said)
    name, kind = _water(columns, row, field)
    return name, "lake" if lake else "wetland" if kind != "dry" else kind


def _plain(columns: Columns, row: int, field: str | None) -> tuple[str, str]:
    name = _text(columns, row, _words()["streams"]["name"]["fields"])
    return name, _text(columns, row, [field] if field else ["highway", "kind", "class", "type"])


_NAMING: Mapping[str, Callable[[Columns, int, str | None], tuple[str, str]]] = {
    "streams": _stream,
    "water": _water,
    "wetlands": _wetland,
}


def _home(layer: str, kind: str) -> str:
    if layer in {"water", "wetlands"}:
        return {"wetland": "wetlands", "lake": "water", "river": "water"}.get(kind, "")
    return "" if kind == "no stream" else layer


def _placed(home: str, one: Feature) -> list[tuple[str, Feature]]:
    """Say under which kinds of layer a shape goes: wide water is water, and narrow water a stream along its middle."""
    if home not in {"streams", "water"} or one.geometry.geom_type != "Polygon":
        return [(home, one)] if home else []
    wide, narrow = split_by_width(one.geometry)
    running = home == "streams" or not wide
    found = [("water", replace(one, geometry=part, kind="river" if running else one.kind)) for part in wide]
    for part in narrow:
        kind = _size(one, part) if running else "still"
        found += [("streams", replace(one, geometry=middle, kind=kind)) for middle in middle_line(part)]
    return found


def _size(one: Feature, part: Geometry) -> str:
    """Size of a stream that is drawn as an area: what its layer says, else its width."""
    by_width = "creek" if mean_width_m(part) >= CREEK_FROM_M else "brook"
    return by_width if one.kind in {"", "brook", "lake"} else one.kind


def _moved_words(label: str, kind: str, moved: int, n: int) -> list[str]:
    other = {"water": "wetlands", "wetlands": "water"}.get(kind)
    return [f"{label}: {moved} of {n} areas are marked as {other} and count as such"] if moved and other else []


def _oddities(label: str, spec: LayerSettings, got: BroughtShapes, seasonal: int) -> list[str]:
    """Say what runs for a part of the year, and which features look like those of another kind of layer."""
    lines: list[str] = []
    if spec.kind == "wetlands":
        fields = [spec.field] if spec.field else _words()["water"]["code_fields"]
        codes = [_text(got.columns, row, fields) for row in sorted({row for _, row in got.shapes})]
        coded = sum(wetland_code(code) is not None for code in codes)
        lines += misspelt_words([c for c in codes if c], label) if coded > len(codes) / 3 else []
    if seasonal:
        lines.append(f"{label}: {seasonal} of {len(got.shapes)} run for a part of the year; they are taken as running")
    rows = sorted({row for _, row in got.shapes}) if spec.kind in {"streams", *WAYS} else []
    streams = _words()["streams"]
    watery = {word for size in ("river", "creek", "brook", "path", "no_stream") for word in streams[size]}
    odd = 0
    for row in rows:
        fields = streams["fields"] if spec.kind == "streams" else ["waterway", "fcode", "ftype"]
        said = FeatureTags(got.columns, row)([spec.field] if spec.field else fields)
        wet, way = any(word in watery for word in said), bool(traits_of(got.columns, row, spec.field).kind)
        odd += (way and not wet) if spec.kind == "streams" else (wet and not way)
    if odd:
        other = "roads or trails" if spec.kind == "streams" else "streams"
        lines.append(
            f"{label}: {odd} of {len(rows)} features say that they are {other}, and count as {spec.kind} all the same; "
            "leave them out with `where`"
        )
    return lines


def _by_order(columns: Columns, row: int, words: Mapping[str, Any]) -> str:
    for value in FeatureTags(columns, row)(words["fields"]):
        if value.isdigit() and int(value) > 0:
            order = int(value)
            return "river" if order >= words["river_from"] else "creek" if order >= words["creek_from"] else "brook"
    return ""


def _by_words(said: Sequence[str], words: Mapping[str, Any]) -> str:
    return next((size for size in ("river", "creek", "brook") if any(word in words[size] for word in said)), "")


def _text(columns: Columns, row: int, names: Sequence[str]) -> str:
    for name, column in columns.items():
        if name.lower() in {n.lower() for n in names} and column[row] is not None:
            text = one_line(str(column[row]))
            if text and text.lower() != "nan":
                return text
    return ""


def _without_twins(features: Sequence[Feature]) -> tuple[Feature, ...]:
    return tuple({shapely.to_wkb(shapely.normalize(f.geometry)): f for f in reversed(features)}.values())[::-1]


@cache
def _words() -> dict[str, dict[str, Any]]:
    path = files("hushwalk") / "data" / "tables" / "feature_words.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))
