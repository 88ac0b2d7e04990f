"""Layers of a wide region, opened once and read a window at a time.

Layers of a trip, which fit into memory as a whole, are inputs.py's business.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from hushwalk.errors import InputError
from hushwalk.files.mosaics import plain_reader
from hushwalk.files.paths import RASTER_ENDINGS, find
from hushwalk.files.rasters import RasterFile, look_at_raster
from hushwalk.files.vectors import Feature
from hushwalk.grid.align import burn, source_cell_m, way_for
from hushwalk.grid.grid import Grid
from hushwalk.grid.systems import name_of
from hushwalk.grid.window_invariant import samples_for
from hushwalk.regions.region_file import AreaSettings
from hushwalk.regions.tiled_values import Cells, carried_numbers, shared_corner, stored_numbers, turn_of
from hushwalk.site.cover_kinds import cover_kinds
from hushwalk.site.features import SHAPES, read_features
from hushwalk.site.georeferencing import Claim, Whereabouts, settle_system
from hushwalk.site.layer_names import named_layers
from hushwalk.site.measures import sense_of
from hushwalk.site.raster_layers import WORDS, Sense
from hushwalk.site.settings import LayerSettings

Arrays = dict[str, NDArray[Any]]
Read = Callable[[int, int, int, int], NDArray[Any]]

MEASURES = ("elevation", "stand_age", "canopy_cover", "canopy_height")


@dataclass(frozen=True, eq=False)
class WideRaster:
    """One raster layer.

    Parameters
    ----------
    label : how to name it in a message.
    file : what the file says of itself.
    sense : which numbers can be meant.
    samples : along the side of a cell, where the two do not share a lattice.
    corner : row and column of the file where the region begins, if the two share a lattice.
    turned : turns numbers of the file into values: kinds of cover, metres, years, shares.
    story : where it comes from.
    """

    label: str
    file: RasterFile
    sense: Sense
    samples: int
    corner: tuple[int, int] | None
    turned: Callable[[NDArray[Any]], NDArray[Any]]
    story: str


@dataclass(frozen=True, eq=False)
class WideGround:
    """A wide region, ready to be read.

    Parameters
    ----------
    where : all of it.
    rasters : by kind; of several the first that knows a cell is asked.
    readers : by label, for rasters that share the lattice of the grid.
    features : by kind of layer, every kind is there.
    shapes : kind of feature layer -> tree of its shapes.
    given : kinds of layer that the area file names.
    notices, stories : as for a trip.
    """

    where: Whereabouts
    rasters: Mapping[str, Sequence[WideRaster]]
    readers: Mapping[str, Read] = field(repr=False)
    features: Mapping[str, Sequence[Feature]] = field(repr=False)
    shapes: Mapping[str, shapely.STRtree] = field(repr=False)
    given: frozenset[str]
    notices: tuple[str, ...]
    stories: tuple[str, ...]

    def read(self, row: int, col: int, n_rows: int, n_cols: int) -> Arrays:
        """Read a window, as :func:`hushwalk.regions.window.judge_window` takes it, and with closed ground."""
        grid = self.where.grid.window(row, col, n_rows, n_cols)
        found = {kind: self._raster(kind, (row, col, n_rows, n_cols)) for kind in self.rasters}
        marks = {kind: self.burnt(kind, grid) for kind in ("streams", "water", "wetlands", "closed")}
        wet = marks["streams"] | marks["water"] | marks["wetlands"]
        kinds = cover_kinds().values()
        for kind, codes in (
            ("water", [k.code for k in kinds if k.key == "open_water"]),
            ("wetlands", [k.code for k in kinds if k.wet and k.key != "open_water"]),
        ):
            if kind not in self.given:
                wet = wet | np.isin(found["cover"], codes)
        drowned = burn(self.near("water", grid), grid)
        return {**found, "wet": wet, "water": drowned, "closed": marks["closed"]}

    def near(self, kind: str, grid: Grid) -> list[Any]:
        """Shapes of a kind that reach a window."""
        tree = self.shapes.get(kind)
        if tree is None:
            return []
        return [tree.geometries[k] for k in np.sort(tree.query(shapely.box(*grid.bounds)))]

    def burnt(self, kind: str, grid: Grid) -> NDArray[np.bool_]:
        """Cells of a window that shapes of a kind touch."""
        return burn(self.near(kind, grid), grid, touched=True)

    def _raster(self, kind: str, window: Cells) -> NDArray[Any]:
        values: NDArray[Any] | None = None
        for raster in self.rasters[kind]:
            part = self._one(raster, window)
            if values is None:
                values = part
            elif kind == "cover":
                values = np.where(values == 0, part, values)
            else:
                values = np.where(np.isnan(values), part, values)
        assert values is not None  # noqa: S101  a kind without a raster is not in the mapping
        return values

    def _one(self, raster: WideRaster, window: Cells) -> NDArray[Any]:
        if raster.corner is not None:
            row, col, n_rows, n_cols = window
            stored = self.readers[raster.label](row + raster.corner[0], col + raster.corner[1], n_rows, n_cols)
            return raster.turned(stored_numbers(stored, raster.file, raster.label, raster.sense))
        return raster.turned(
            carried_numbers(raster.file, raster.label, raster.sense, raster.samples, self.where, window)
        )


@contextmanager
def open_ground(settings: AreaSettings, where: Whereabouts) -> Iterator[WideGround]:
    """Open all layers of a region.

    Parameters
    ----------
    settings : which files, and what they mean.
    where : the region.

    Yields
    ------
    WideGround

    Raises
    ------
    MissingFileError, InputError
        If a layer cannot be used; the layer, the file and the mend are told.
    """
    labelled = named_layers(settings.layers)
    rasters: dict[str, list[WideRaster]] = {}
    notices: list[str] = []
    with ExitStack() as stack:
        readers: dict[str, Read] = {}
        for label, spec in labelled:
            if spec.kind in SHAPES:
                continue
            if spec.kind not in ("cover", *MEASURES):
                notices.append(f"{label}: layers of this kind are not used over wide ground")
                continue
            raster, told = _look(label, spec, where, settings.morning.date.year)
            rasters.setdefault(spec.kind, []).append(raster)
            notices += told
            if raster.corner is not None:
                readers[label] = stack.enter_context(plain_reader(raster.file.address.opens, raster.file.band, label))
        if "cover" not in rasters:
            raise InputError('no raster of kind "cover" is named; wide ground is judged by its land cover')
        if not any(spec.kind == "streams" for _, spec in labelled):
            notices.append(
                "no streams were given: over wide ground the lie of the land is not asked where water gathers"
            )
        features, more, stories = read_features([(n, s) for n, s in labelled if s.kind in SHAPES], where)
        yield WideGround(
            where=where,
            rasters=rasters,
            readers=readers,
            features=features,
            shapes={kind: shapely.STRtree([f.geometry for f in found]) for kind, found in features.items() if found},
            given=frozenset(spec.kind for spec in settings.layers),
            notices=(*notices, *more),
            stories=(*(raster.story for found in rasters.values() for raster in found), *stories),
        )


def _look(label: str, spec: LayerSettings, where: Whereabouts, year: int) -> tuple[WideRaster, tuple[str, ...]]:
    address = find(spec.path, where.folder, label, RASTER_ENDINGS, network=where.network)
    file = look_at_raster(address, label, band=spec.band, layer=spec.layer, network=where.network)
    crs, notices = settle_system(Claim(label, file.address.shown, file.crs, spec.crs, file.box), where)
    file = replace(file, crs=crs, nodata=file.nodata if spec.nodata is None else spec.nodata)
    source_m = source_cell_m(file.transform, crs, where.grid, *where.lonlat)
    sense = Sense("class") if spec.kind == "cover" else sense_of(spec.kind, label, spec)[0]
    how = way_for(sense.what, source_m, where.grid)
    corner = shared_corner(file, where.grid)
    turned, more = turn_of(spec, label, file, year)
    done = "read as they lie" if corner is not None else f"{WORDS[how]} onto cells of {where.grid.cell_m:g} m"
    story = f"{label}: cells of {source_m:.3g} m in {name_of(crs)}, {done}"
    samples = samples_for(where.grid.cell_m, source_m, finer=how in {"average", "mode"})
    return WideRaster(label, file, sense, samples, corner, turned, story), (*notices, *more)
