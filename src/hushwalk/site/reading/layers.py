"""Layers of a piece of ground, opened once and read a window at a time; a trip is a region of one window.

What a trip makes of them is inputs.py's business.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from hushwalk.errors import ElsewhereError, SettingsError
from hushwalk.files.vectors import Feature, Geometry
from hushwalk.grid.align import burn
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.site.reading.cover_kinds import cover_kinds, refined
from hushwalk.site.reading.cover_shapes import CoverShapes, is_drawn, open_cover_shapes
from hushwalk.site.reading.features import SHAPES, read_features
from hushwalk.site.reading.georeferencing import Georeference
from hushwalk.site.reading.narrow_areas import WADED_M, split_by_width
from hushwalk.site.reading.point_heights import PointHeights, is_points, open_point_heights
from hushwalk.site.reading.raster_layers import Cells, RasterLayer, open_raster
from hushwalk.site.reading.taken_ground import TAKEN, taken_share
from hushwalk.site.settings import LayerSettings, named_layers
from hushwalk.types import BoolArray

Arrays = dict[str, NDArray[Any]]
"""Cells of a window by kind of layer: ``"cover"`` codes of cover kinds (0 unknown), ``"elevation"`` [m],
``"stand_age"`` [a], ``"canopy_cover"`` 0..1, ``"canopy_height"`` [m], each NaN where unknown, if there is a layer;
marks ``"wet"`` (streams, water, wetlands), ``"water"`` and ``"closed"`` always; ``"open_share"`` without roads and
houses, 0..1, where the cover does not tell it everywhere."""

UNITS = {"elevation": "m", "cover": "class", "canopy_cover": "1", "canopy_height": "m", "stand_age": "yr"}
"""Kinds of raster layer, and the unit of their values."""

NEEDED = ("elevation", "cover")
"""Kinds of raster layer of which one at least must reach the ground, where any is named."""

Raster = RasterLayer | CoverShapes | PointHeights


@dataclass(frozen=True, eq=False)
class Layers:
    """All layers of a piece of ground, ready to be read.

    Parameters
    ----------
    where : all of the ground.
    rasters : by kind; of several the first that knows a cell is asked.
    features : by kind of layer, every kind is there.
    trees : kind of feature layer -> tree of its shapes.
    given : kinds of layer that are named.
    notices, stories : of the feature layers.
    """

    where: Georeference
    rasters: Mapping[str, Sequence[Raster]]
    features: Mapping[str, tuple[Feature, ...]] = field(repr=False)
    trees: Mapping[str, shapely.STRtree] = field(repr=False)
    given: frozenset[str]
    notices: tuple[str, ...]
    stories: tuple[str, ...]

    @property
    def wet_known(self) -> bool:
        """Whether any layer tells where water and wet ground lie."""
        return bool(self.given & {"streams", "water", "wetlands", "cover"})

    def read(self, window: Cells, notices: Callable[[str], list[str] | None] = lambda _: None) -> Arrays:
        """Read a window.

        Parameters
        ----------
        window : which cells of the ground.
        notices : gives, by kind of layer, the list that takes what should be known of the window.

        Raises
        ------
        InputError
            If a layer is damaged or holds numbers that cannot be meant.
        """
        found = {
            kind: read_first_known(kind, rasters, self.where, window, notices(kind))
            for kind, rasters in self.rasters.items()
        }
        grid, cover = self.where.grid.window(*window), found.get("cover")
        return {**found, **self._marks(grid, cover), **self._open_share(grid, cover)}

    def _open_share(self, grid: Grid, cover: NDArray[Any] | None) -> Arrays:
        """Tell what roads and houses leave of each cell, if no cover does."""
        if cover is not None and cover.all():
            return {}
        share = taken_share({kind: self.features_near(kind, grid) for kind in TAKEN}, grid)
        return {} if share is None else {"open_share": 1 - share}

    def near(self, kind: str, grid: Grid) -> list[Any]:
        """Shapes of a kind that reach a window."""
        return [one.geometry for one in self.features_near(kind, grid)]

    def features_near(self, kind: str, grid: Grid) -> list[Feature]:
        """Features of a kind that reach a window."""
        tree = self.trees.get(kind)
        if tree is None:
            return []
        return [self.features[kind][k] for k in np.sort(tree.query(shapely.box(*grid.bounds)))]

    def _marks(self, grid: Grid, cover: NDArray[Any] | None) -> dict[str, BoolArray]:
        """Mark wet ground, open water and closed ground; cover tells what no layer of water or wetlands does.

        Water holds all cover that feet cannot cross, for trips and regions alike.
        """
        touched = {kind: burn(self.near(kind, grid), grid, touched=True) for kind in _TOUCHED}
        waters = self.near("water", grid)
        narrow = [part for shape in waters for part in self._narrow(shape, grid.cell_m)]
        water = burn(waters, grid) | burn(narrow, grid, touched=True)
        wet = touched["streams"] | touched["water"] | touched["wetlands"]
        if cover is not None:
            water |= np.isin(cover, [code for code, kind in cover_kinds().items() if not kind.walkable])
            if not ("wetlands" in self.given or self.features["wetlands"]):
                wet |= np.isin(cover, [code for code, kind in cover_kinds().items() if kind.wet])
        return {"wet": wet | water, "water": water, "closed": touched["closed"]}

    @staticmethod
    def _narrow(area: Geometry, cell_m: float) -> list[Geometry]:
        """Parts of an area of water that slip between the middles of cells."""
        return split_by_width(area, cell_m)[1] if cell_m > WADED_M else []


_TOUCHED = ("streams", "water", "wetlands", "closed")


def open_layers(specs: Sequence[LayerSettings], where: Georeference, year: int) -> Layers:
    """Open all layers of a piece of ground.

    Parameters
    ----------
    specs : which files, and what they mean.
    where : the ground.
    year : of the trip, for ages given as calendar years.

    Returns
    -------
    Layers
        Opened, nothing read.

    Raises
    ------
    MissingFileError, InputError
        If a layer cannot be used; the layer, the file and the mend are named.
    """
    labelled = named_layers(specs)
    rasters, elsewhere = _opened_rasters(labelled, where, year)
    features, notices, stories = read_features([(n, s) for n, s in labelled if s.kind in SHAPES], where)
    return Layers(
        where=where,
        rasters=rasters,
        features=features,
        trees={kind: shapely.STRtree([f.geometry for f in found]) for kind, found in features.items() if found},
        given=frozenset(spec.kind for spec in specs),
        notices=(*elsewhere, *notices),
        stories=stories,
    )


def _opened_rasters(
    labelled: Sequence[tuple[str, LayerSettings]], where: Georeference, year: int
) -> tuple[dict[str, list[Raster]], tuple[str, ...]]:
    """Open the rasters by kind; one that lies elsewhere is left out, unless the trip cannot do without it."""
    found: dict[str, list[Raster]] = {}
    notices = []
    for kind in UNITS:
        own = [(label, spec) for label, spec in labelled if spec.kind == kind]
        missed: list[ElsewhereError] = []
        for label, spec in own:
            try:
                found.setdefault(kind, []).append(_opened(spec, label, where, year))
            except ElsewhereError as far:
                missed.append(far)
        if missed and not found.get(kind) and kind in NEEDED:
            raise missed[0]
        notices += [str(far) for far in missed]
    return {kind: found[kind] for kind in UNITS if found.get(kind)}, tuple(notices)


def read_layer(
    kind: str, specs: Sequence[tuple[str, LayerSettings]], where: Georeference, year: int
) -> tuple[Layer, tuple[str, ...]] | None:
    """Read all rasters of one kind over the whole ground; where one says nothing, the next is asked.

    Parameters
    ----------
    kind : a key of ``UNITS``.
    specs : (label, settings) of each layer of the kind.
    where : the ground.
    year : of the trip, for ages given as calendar years.

    Returns
    -------
    tuple or None
        The layer and notices; None if there is none of this kind.

    Raises
    ------
    MissingFileError, InputError
        If a layer cannot be used.
    """
    if not specs:
        return None
    rasters = [_opened(spec, label, where, year) for label, spec in specs]
    notices: list[str] = []
    values = read_first_known(kind, rasters, where, (0, 0, *where.grid.shape), notices)
    return as_layer(kind, values, where.grid, tuple(raster.story for raster in rasters)), tuple(notices)


def as_layer(kind: str, values: NDArray[Any], grid: Grid, story: tuple[str, ...] = ()) -> Layer:
    """Layer of the values of one kind, as ``Arrays`` holds them.

    Parameters
    ----------
    kind : of the layer.
    values : of every cell, of the shape of the grid.
    grid : of the trip or the window.
    story : what was done to the values.

    Returns
    -------
    Layer
        In the unit of the kind.
    """
    plain = np.where(values == 0, np.nan, values) if kind == "cover" else values
    return Layer(kind, UNITS[kind], grid, plain, story)


def read_first_known(
    kind: str, rasters: Sequence[Raster], where: Georeference, window: Cells, notices: list[str] | None = None
) -> NDArray[Any]:
    """Read a window of the rasters of one kind; of several the first that knows a cell is asked.

    Of several layers of cover a later one refines the earlier ones.

    Parameters
    ----------
    kind : a key of ``UNITS``.
    rasters : one or more.
    where : the whole ground.
    window : which cells of it.
    notices : takes what should be known of the window.

    Returns
    -------
    ndarray
        Of the shape of the window.

    Raises
    ------
    InputError
        If a layer is damaged or holds numbers that cannot be meant.
    """
    values = rasters[0].read(where, window, notices)
    for raster in rasters[1:]:
        other = raster.read(where, window, notices)
        values = (
            refined(values, other, raster.refines) if kind == "cover" else np.where(np.isnan(values), other, values)
        )
    return values


def _opened(spec: LayerSettings, label: str, where: Georeference, year: int) -> Raster:
    if spec.kind == "cover" and is_drawn(spec):
        return open_cover_shapes(spec, label, where)
    if spec.kind == "elevation" and is_points(spec):
        return open_point_heights(spec, label, where)
    if spec.where is not None:
        raise SettingsError(f"{label}: where chooses among features, and {spec.path} is a raster; leave `where` out")
    return open_raster(spec, label, where, year)
