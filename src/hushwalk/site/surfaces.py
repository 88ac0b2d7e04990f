"""The ground as the rooms need it: plain layers and masks, made from the inputs of a trip.

What grows where is cover.py's business; no room sees a cover class.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from hushwalk.grid.align import burn
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.nearby import distance_to
from hushwalk.hearing.background import road_noise, stream_noise
from hushwalk.science.going import off_path_time_factors
from hushwalk.site.inputs import Inputs
from hushwalk.site.passage import Passage, passage_of, traffic_lines
from hushwalk.site.reading.cover import kind_property
from hushwalk.site.reading.cover_kinds import cover_kinds
from hushwalk.site.reading.narrow_areas import split_by_width
from hushwalk.site.settings import HouseDistances, TripSettings
from hushwalk.types import BoolArray, FloatArray

HOUSE_M = 12.0  # judgement: side of the square that a house known as a point is drawn by [m]
NOISE_OF_STREAM = {"brook": "brook", "creek": "creek", "river": "creek", "still": ""}
"""Which noise class a stream of a size has; judgement: slow rivers are quiet, rapids unmapped, arms of lakes silent."""


@dataclass(frozen=True, eq=False)
class Surfaces:
    """Layers and masks on the grid of a trip.

    Parameters
    ----------
    elevation : heights without gaps where the inputs allow [m].
    foliage : factor of foliage loss 0..1, or None without a cover layer.
    pace : multiplies walking time off trails, or None without a cover layer.
    stream_noise : level of running water [dB(A)], or None where no stream is known.
    traffic_noise : level of traffic [dB(A)], or None where no busy road is known.
    water, closed : cells that are open water, and cells that may not be entered.
    wet : cells where feet get wet: wetlands, and cover that is wet.
    closed_shapes : closed ground as drawn, from layers and from the trip file.
    passage : where one may walk and stand.
    """

    elevation: Layer
    foliage: Layer | None
    pace: Layer | None
    stream_noise: Layer | None
    traffic_noise: Layer | None
    water: BoolArray = field(repr=False)
    closed: BoolArray = field(repr=False)
    wet: BoolArray = field(repr=False)
    closed_shapes: tuple[Any, ...] = field(repr=False)
    passage: Passage = field(repr=False)

    @property
    def no_entry(self) -> BoolArray:
        """Cells that nobody enters off roads and trails."""
        return self.water | self.closed | self.passage.barred


def surfaces_of(settings: TripSettings, inputs: Inputs) -> Surfaces:
    """Turn inputs into surfaces."""
    grid, cover = inputs.grid, inputs.cover
    shut = inputs.shapes("closed")
    keep = HouseDistances(settings.ground.stop_from_houses_m, settings.ground.walk_from_houses_m)
    codes = None if cover is None else cover.values
    passage = passage_of(inputs.features, codes, grid, keep, leave=settings.ground.private_ways == "walk")
    wetlands = wet_ground(inputs.shapes("wetlands"), None, grid)
    return Surfaces(
        elevation=inputs.elevation,
        foliage=None if cover is None else _filled(kind_property(cover, "foliage_factor"), 0.25),
        pace=_pace(inputs, wetlands, passage),
        stream_noise=_stream_noise(inputs),
        traffic_noise=_traffic_noise(inputs),
        water=inputs.cells["water"],
        closed=burn(shut, grid, touched=True),
        wet=wetlands | wet_ground((), codes, grid),
        closed_shapes=shut,
        passage=passage,
    )


def wet_ground(wetlands: Sequence[Any], cover: NDArray[Any] | None, grid: Grid) -> BoolArray:
    """Cells where feet get wet: wetlands, however narrow, and kinds of cover that are wet.

    Parameters
    ----------
    wetlands : polygons [m].
    cover : shape grid.shape, codes of cover kinds, or None.
    grid : the ground.

    Returns
    -------
    ndarray of bool, shape grid.shape
    """
    narrow = [part for shape in wetlands for part in split_by_width(shape, grid.cell_m)[1]]
    drawn = burn(wetlands, grid) | burn(narrow, grid, touched=True)
    kinds = [code for code, kind in cover_kinds().items() if kind.wet and kind.walkable]
    return drawn if cover is None else drawn | np.isin(cover, kinds)


def pace_over(pace: FloatArray, wetlands: BoolArray, private: BoolArray) -> FloatArray:
    """Time factors off trails, where wetlands cost what the same ground costs as cover.

    Parameters
    ----------
    pace : shape grid.shape, time factors of the cover.
    wetlands : shape grid.shape, cells of a layer of wetlands.
    private : shape grid.shape, cells of ways that are somebody's.

    Returns
    -------
    ndarray, shape grid.shape
        A private way is slow, so that it is crossed the short way and never followed.
    """
    growth = off_path_time_factors()
    wet = np.where(wetlands, np.maximum(pace, growth["bog"]), pace)
    return np.where(private, np.maximum(wet, growth["private_way"]), wet)


def _pace(inputs: Inputs, wetlands: BoolArray, passage: Passage) -> Layer | None:
    if inputs.cover is None:
        if not (wetlands.any() or passage.private.any()):
            return None
        plain = Layer("pace factor", "1", inputs.grid, np.ones(inputs.grid.shape))
    else:
        plain = _filled(kind_property(inputs.cover, "pace_factor"), 1.0)
    return plain.with_values(
        pace_over(plain.values, wetlands, passage.private), step="wetlands and private ways slower"
    )


def _filled(layer: Layer, unknown: float) -> Layer:
    """Judgement: ground of unknown cover is taken for leafless hardwood with ordinary undergrowth."""
    values = np.where(layer.known, layer.values, unknown)
    return layer.with_values(values, step=f"unknown cover taken as {unknown:g}")


def _stream_noise(inputs: Inputs) -> Layer | None:
    distances: dict[str, Layer] = {}
    for noise in dict.fromkeys(filter(None, NOISE_OF_STREAM.values())):
        lines = [f.geometry for f in inputs.features["streams"] if NOISE_OF_STREAM.get(f.kind, "brook") == noise]
        if lines:
            far = distance_to(burn(lines, inputs.grid, touched=True), inputs.grid)
            distances[noise] = Layer(f"distance to {noise}", "m", inputs.grid, far)
    return stream_noise(distances) if distances else None


def _traffic_noise(inputs: Inputs) -> Layer | None:
    distances = {
        kind: Layer(
            f"distance to {kind}", "m", inputs.grid, distance_to(burn(lines, inputs.grid, touched=True), inputs.grid)
        )
        for kind, lines in traffic_lines(inputs.features).items()
    }
    return road_noise(distances) if distances else None


def drawn(shapes: Iterable[Any], grid: Grid) -> tuple[Any, ...]:
    """Shapes cut to the grid, ready to be drawn."""
    frame = shapely.box(*grid.bounds)
    cut = (shapely.intersection(shape, frame) for shape in shapes)
    return tuple(piece for shape in cut for piece in shapely.get_parts(shape) if not piece.is_empty)


def houses_drawn(shapes: Iterable[Any]) -> tuple[Any, ...]:
    """Houses ready to be drawn: those that are known as points become small squares."""
    return tuple(
        shape.buffer(HOUSE_M / 2, cap_style="square") if shape.geom_type == "Point" else shape for shape in shapes
    )
