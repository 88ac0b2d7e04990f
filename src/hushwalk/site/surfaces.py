"""The ground as the rooms need it: plain layers and masks, made from the inputs of a trip.

What grows where is cover.py's business; no room sees a cover class.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely

from hushwalk.errors import SettingsError
from hushwalk.grid.align import burn
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.nearby import distance_to
from hushwalk.grid.points import to_metres
from hushwalk.hearing.background import stream_noise
from hushwalk.site.inputs import Inputs
from hushwalk.site.reading.cover import kind_property
from hushwalk.site.settings import ClosedSettings, TripSettings
from hushwalk.types import BoolArray

NOISE_OF_STREAM = {"brook": "brook", "creek": "creek", "river": "creek"}
"""Which noise class a stream of a size has; judgement: slow rivers are quiet, rapids unmapped."""


@dataclass(frozen=True, eq=False)
class Surfaces:
    """Layers and masks on the grid of a trip.

    Parameters
    ----------
    elevation : heights without gaps where the inputs allow [m].
    foliage : factor of foliage loss 0..1, or None without a cover layer.
    pace : multiplies walking time off trails, or None without a cover layer.
    stream_noise : level of running water [dB(A)], or None where no stream is known.
    water, closed : cells that are open water, and cells that may not be entered.
    closed_shapes : closed ground as drawn, from layers and from the trip file.
    """

    elevation: Layer
    foliage: Layer | None
    pace: Layer | None
    stream_noise: Layer | None
    water: BoolArray = field(repr=False)
    closed: BoolArray = field(repr=False)
    closed_shapes: tuple[Any, ...] = field(repr=False)


def surfaces_of(settings: TripSettings, inputs: Inputs) -> Surfaces:
    """Turn inputs into surfaces.

    Raises
    ------
    SettingsError
        If a hand-drawn closed parcel is no polygon.
    """
    grid, cover = inputs.grid, inputs.cover
    shut = (*inputs.shapes("closed"), *(_parcel(item, grid) for item in settings.closed))
    return Surfaces(
        elevation=inputs.elevation,
        foliage=None if cover is None else _filled(kind_property(cover, "foliage_factor"), 0.25),
        pace=None if cover is None else _filled(kind_property(cover, "pace_factor"), 1.0),
        stream_noise=_stream_noise(inputs),
        water=inputs.cells["water"],
        closed=burn(shut, grid, touched=True),
        closed_shapes=shut,
    )


def _filled(layer: Layer, unknown: float) -> Layer:
    """Judgement: ground of unknown cover is taken for leafless hardwood with ordinary undergrowth."""
    values = np.where(layer.known, layer.values, unknown)
    return layer.with_values(values, step=f"unknown cover taken as {unknown:g}")


def _stream_noise(inputs: Inputs) -> Layer | None:
    distances: dict[str, Layer] = {}
    for noise in dict.fromkeys(NOISE_OF_STREAM.values()):
        lines = [f.geometry for f in inputs.features["streams"] if NOISE_OF_STREAM.get(f.kind, "brook") == noise]
        if lines:
            far = distance_to(burn(lines, inputs.grid, touched=True), inputs.grid)
            distances[noise] = Layer(f"distance to {noise}", "m", inputs.grid, far)
    return stream_noise(distances) if distances else None


def _parcel(item: ClosedSettings, grid: Grid) -> shapely.Polygon:
    corners = to_metres(grid.epsg, np.array(item.corners, dtype=float))
    parcel = shapely.Polygon(corners)
    if not parcel.is_valid or parcel.area == 0:
        raise SettingsError(
            f"closed parcel {item.name!r}: its corners do not go round in order "
            f"({shapely.is_valid_reason(parcel)}); list them one after another along its edge"
        )
    return parcel


def drawn(shapes: Iterable[Any], grid: Grid) -> tuple[Any, ...]:
    """Shapes cut to the grid, ready to be drawn."""
    frame = shapely.box(*grid.bounds)
    cut = (shapely.intersection(shape, frame) for shape in shapes)
    return tuple(piece for shape in cut for piece in shapely.get_parts(shape) if not piece.is_empty)
