"""Everything that a trip brings along, on one grid: heights, cover, measures, features, and what was done to them.

Each kind of layer is read in its own file; this one only tells the story.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from hushwalk.errors import SettingsError
from hushwalk.files.vectors import Feature
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.systems import DROPPED
from hushwalk.site.cover import kind_by_key
from hushwalk.site.features import SHAPES, closed_by_hand, read_features, settle_streams, water_from_cover
from hushwalk.site.georeferencing import Whereabouts
from hushwalk.site.heights import whole_heights
from hushwalk.site.layer_names import named_layers
from hushwalk.site.measures import read_cover_layers, read_measure_layers
from hushwalk.site.settings import LayerSettings, TripSettings

MEASURES = ("canopy_cover", "canopy_height", "stand_age")
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
    elevation : heights [m], NaN where unknown.
    cover : codes of cover kinds, NaN where unknown; None if no layer was given.
    measures : optional layers by kind: ``"canopy_cover"`` 0..1, ``"canopy_height"`` [m], ``"stand_age"`` [yr].
    features : by kind of layer, every kind is there; streams are ``"brook"``, ``"creek"`` or ``"river"``.
    notices : what a person should know: what is missing, doubtful, repaired, assumed.
    stories : where each layer comes from and how it was resampled, one sentence a layer.
    """

    grid: Grid
    elevation: Layer
    cover: Layer | None
    measures: Mapping[str, Layer]
    features: Mapping[str, tuple[Feature, ...]] = field(repr=False)
    notices: tuple[str, ...] = ()
    stories: tuple[str, ...] = ()

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
    where = Whereabouts(grid, settings.folder, settings.ground.network)
    labelled = named_layers(settings.layers)
    cover, cover_told = read_cover_layers(_of("cover", labelled), where) or (None, ())
    elevation, height_told = _heights(labelled, where, cover, settings)
    measures: dict[str, Layer] = {}
    measured: list[str] = []
    for kind in MEASURES:
        got = read_measure_layers(kind, _of(kind, labelled), where, settings.morning.date.year)
        if got is not None:
            measures[kind], told = got
            measured += told
    features, feature_told, stories = read_features([(n, s) for n, s in labelled if s.kind in SHAPES], where)
    by_hand, hand_told = closed_by_hand(settings.closed, where)
    features["closed"] += by_hand
    given = frozenset(spec.kind for spec in settings.layers) | ({"closed"} if settings.closed else frozenset())
    features, drawn_told = water_from_cover(features, cover, given)
    features, stream_told = settle_streams(features)
    rasters = [elevation, *([cover] if cover is not None else []), *measures.values()]
    return Inputs(
        grid,
        elevation,
        cover,
        measures,
        features,
        notices=(
            *_surroundings(),
            *height_told,
            *cover_told,
            *measured,
            *feature_told,
            *hand_told,
            *drawn_told,
            *stream_told,
            *(words for kind, words in WITHOUT.items() if kind not in given),
        ),
        stories=(*(step for layer in rasters for step in layer.story), *stories),
    )


def _of(kind: str, labelled: list[tuple[str, LayerSettings]]) -> list[tuple[str, LayerSettings]]:
    return [(label, spec) for label, spec in labelled if spec.kind == kind]


def _heights(
    labelled: list[tuple[str, LayerSettings]], where: Whereabouts, cover: Layer | None, settings: TripSettings
) -> tuple[Layer, tuple[str, ...]]:
    specs = _of("elevation", labelled)
    got = read_measure_layers("elevation", specs, where, settings.morning.date.year)
    if got is None:
        raise SettingsError(
            'no layer of kind "elevation" is named; add a [[layer]] with a raster of heights: without it nobody can '
            "tell how one walks, how far one hears, or when the sun comes over the ridge"
        )
    layer, told = got
    water = None if cover is None else np.equal(cover.values, kind_by_key("open_water").code)
    whole, filled = whole_heights(layer, water, specs[0][0])
    return whole, (*told, *filled)


def _surroundings() -> tuple[str, ...]:
    if not DROPPED:
        return ()
    return (f"{', '.join(DROPPED)} of another install was set in the surroundings and left aside",)
