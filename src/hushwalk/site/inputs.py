"""Everything that a trip brings along, on one grid: heights, cover, measures, features, and what was done to them.

How layers are opened and read is layers.py's business.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from hushwalk.errors import SettingsError
from hushwalk.files.vectors import Feature
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.systems import DROPPED
from hushwalk.site.manifest import Credit, credits_of
from hushwalk.site.reading.cover import kind_by_key
from hushwalk.site.reading.features import classify_streams, closed_by_hand, water_from_cover
from hushwalk.site.reading.georeferencing import Georeference
from hushwalk.site.reading.heights import whole_heights
from hushwalk.site.reading.layers import Arrays, as_layer, open_layers, read_layer
from hushwalk.site.settings import TripSettings, named_layers

MEASURES = ("canopy_cover", "canopy_height", "stand_age")
NO_HEIGHTS = (
    'no layer of kind "elevation" is named; add a [[layer]] with a raster of heights: without it nobody can '
    "tell how one walks, how far one hears, or when the sun comes over the ridge"
)
WITHOUT: Mapping[str, str] = {
    "cover": "no land cover was given: every place counts as unknown ground",
    "streams": "no streams were given: their noise, their fords and their strips of cover are not planned with",
    "trails": "no trails were given: every step is planned off trail",
    "closed": "no closed ground was given: whether all of it may be entered is for you to find out",
}
"""What the absence of a kind of layer means."""


@dataclass(frozen=True, eq=False)
class Inputs:
    """All layers of a trip on one grid.

    Parameters
    ----------
    grid : the grid all layers lie on.
    elevation : heights with lakes and small holes filled [m], NaN where unknown.
    cover : codes of cover kinds, NaN where unknown; None if no layer was given.
    measures : optional layers by kind: ``"canopy_cover"`` 0..1, ``"canopy_height"`` [m], ``"stand_age"`` [yr].
    features : by kind of layer, every kind is there; streams are ``"brook"``, ``"creek"`` or ``"river"``.
    cells : every layer and mark of the ground as it was read, nothing filled in.
    wet_known : whether any layer tells where water and wet ground lie.
    notices : what a person should know: what is missing, doubtful, repaired, assumed.
    stories : where each layer comes from and how it was resampled, one sentence a layer.
    credits : owed on everything that is made of the layers.
    """

    grid: Grid
    elevation: Layer
    cover: Layer | None
    measures: Mapping[str, Layer]
    features: Mapping[str, tuple[Feature, ...]] = field(repr=False)
    cells: Arrays = field(repr=False)
    wet_known: bool
    notices: tuple[str, ...] = ()
    stories: tuple[str, ...] = ()
    credits: tuple[Credit, ...] = ()

    def shapes(self, kind: str) -> tuple[Any, ...]:
        """Geometries of one kind of feature layer, in metres of the grid."""
        return tuple(feature.geometry for feature in self.features[kind])


def read_inputs(settings: TripSettings, grid: Grid) -> Inputs:
    """Read all layers of a trip and lay them on its grid.

    Parameters
    ----------
    settings : which files, and what they mean.
    grid : of :func:`hushwalk.site.grid_choice.choose_grid`.

    Returns
    -------
    Inputs

    Raises
    ------
    SettingsError
        If no elevation is named.
    MissingFileError, InputError
        If a layer cannot be used; the layer, the file and the mend are told.
    """
    where = Georeference(grid, settings.folder, settings.ground.network)
    _need_heights(settings, where)
    layers = open_layers(settings.layers, where, settings.morning.date.year)
    notes: dict[str, list[str]] = {kind: [] for kind in layers.rasters}
    cells = layers.read((0, 0, *grid.shape), notes.get)
    rasters = {
        kind: as_layer(kind, cells[kind], grid, tuple(raster.story for raster in opened))
        for kind, opened in layers.rasters.items()
    }
    cover = rasters.get("cover")
    elevation, filled = _whole_heights(rasters["elevation"], cover, settings)
    given, features = layers.given, dict(layers.features)
    features, cover_notes = water_from_cover(features, cover, given)
    features, stream_notes = classify_streams(features)
    measures = {kind: rasters[kind] for kind in MEASURES if kind in rasters}
    drawn = [elevation, *([cover] if cover is not None else []), *measures.values()]
    inputs = Inputs(
        grid,
        elevation,
        cover,
        measures,
        features,
        cells=cells,
        wet_known=layers.wet_known,
        notices=(
            *_surroundings(),
            *notes["elevation"],
            *filled,
            *(words for kind in ("cover", *MEASURES) for words in notes.get(kind, ())),
            *layers.notices,
            *cover_notes,
            *stream_notes,
            *(words for kind, words in WITHOUT.items() if kind not in given),
        ),
        stories=(*(step for layer in drawn for step in layer.story), *layers.stories),
        credits=credits_of(settings.folder, settings.layers),
    )
    return with_closed(inputs, settings)


def with_closed(inputs: Inputs, settings: TripSettings) -> Inputs:
    """Give inputs that were read without the ground that a trip file closes by hand with it; nothing else rests on it.

    Parameters
    ----------
    inputs : of the same trip with nothing closed by hand.
    settings : what the trip file says.

    Raises
    ------
    SettingsError
        If corners are no ground.
    """
    if not settings.closed:
        return inputs
    where = Georeference(inputs.grid, settings.folder, settings.ground.network)
    by_hand, notes = closed_by_hand(settings.closed, where)
    features = {**inputs.features, "closed": inputs.features["closed"] + by_hand}
    said = tuple(words for words in inputs.notices if words != WITHOUT["closed"])
    return replace(inputs, features=features, notices=(*said, *notes))


def _need_heights(settings: TripSettings, where: Georeference) -> None:
    """Refuse a trip without heights, after what is wrong with its cover was said."""
    if any(spec.kind == "elevation" for spec in settings.layers):
        return
    covers = [(name, spec) for name, spec in named_layers(settings.layers) if spec.kind == "cover"]
    read_layer("cover", covers, where, settings.morning.date.year)
    raise SettingsError(NO_HEIGHTS)


def _whole_heights(elevation: Layer, cover: Layer | None, settings: TripSettings) -> tuple[Layer, tuple[str, ...]]:
    label = next(name for name, spec in named_layers(settings.layers) if spec.kind == "elevation")
    water = None if cover is None else np.equal(cover.values, kind_by_key("open_water").code)
    return whole_heights(elevation, water, label)


def _surroundings() -> tuple[str, ...]:
    if not DROPPED:
        return ()
    return (f"{', '.join(DROPPED)} of another install was set in the surroundings and left aside",)
