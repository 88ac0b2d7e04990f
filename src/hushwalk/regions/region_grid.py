"""Chooses the grid of a region: the lattice of its land cover, or UTM.

What lies on the grid is surface.py's business.
"""

from dataclasses import replace
from math import ceil, floor

import numpy as np

from hushwalk.errors import InputError, SettingsError
from hushwalk.files.paths import RASTER_ENDINGS, find
from hushwalk.files.rasters import RasterFile, look_at_raster
from hushwalk.grid.grid import Grid
from hushwalk.grid.points import utm_epsg
from hushwalk.grid.systems import Box, boxes_in, carried, system, transformer
from hushwalk.regions.region_file import AreaSettings
from hushwalk.site.reading.cover_shapes import is_drawn
from hushwalk.site.reading.georeferencing import DEGREES
from hushwalk.site.settings import named_layers

NEAR = 1e-6  # definition: numbers are the same where they differ by less than this share of a cell
SNAP_M = 300.0  # definition: corners of a region lie on round numbers, so that regions side by side share their cells


def region_grid(settings: AreaSettings) -> Grid:
    """Choose the grid of a region: the cover layer's own lattice if that is metric and carries a code, else UTM.

    Raises
    ------
    SettingsError
        If the bounds do not meet the cover layer.
    MissingFileError, InputError
        If the cover layer cannot be read.
    """
    for label, spec in named_layers(settings.layers):
        if spec.kind == "cover" and is_drawn(spec):
            if settings.region.bounds is None:
                raise SettingsError(f"{label}: a layer of polygons has no lattice; give [region] bounds")
            return _grid_of(Box(*settings.region.bounds), settings.region.cell_m)
        if spec.kind == "cover":
            address = find(spec.path, settings.folder, label, RASTER_ENDINGS, network=settings.region.network)
            file = look_at_raster(address, label, band=spec.band, layer=spec.layer, network=settings.region.network)
            crs = spec.crs or file.crs
            if not crs:
                raise InputError(f'{label}: {address.shown} has no reference system; give crs = "EPSG:..." for it')
            return _grid_on(replace(file, crs=crs), settings)
    raise SettingsError('no layer of kind "cover" is named; wide ground is judged by its land cover')


def _grid_of(bounds: Box, cell_m: float) -> Grid:
    """Grid in UTM over limits in degrees."""
    lon, lat = (bounds.west + bounds.east) / 2, (bounds.south + bounds.north) / 2
    epsg = utm_epsg(lon, lat)
    return _snapped(boxes_in(bounds, transformer(DEGREES, f"EPSG:{epsg}", lon, lat))[0], epsg, cell_m, SNAP_M)


def _snapped(limits: Box, epsg: int, cell_m: float, step_m: float, corner_m: tuple[float, float] = (0.0, 0.0)) -> Grid:
    west_m = corner_m[0] + floor((limits.west - corner_m[0]) / step_m + NEAR) * step_m
    north_m = corner_m[1] - floor((corner_m[1] - limits.north) / step_m + NEAR) * step_m
    n_cols, n_rows = (ceil(length / cell_m - NEAR) for length in (limits.east - west_m, north_m - limits.south))
    return Grid(epsg, west_m, north_m, cell_m, n_rows, n_cols)


def _grid_on(file: RasterFile, settings: AreaSettings) -> Grid:
    region, cell_m = settings.region, settings.region.cell_m
    lon, lat = _middle(file, region.bounds)
    own = _own_code(file, cell_m)
    epsg = own or utm_epsg(lon, lat)
    limits = file.box if own else boxes_in(file.box, transformer(file.crs, f"EPSG:{epsg}", lon, lat))[0]
    if region.bounds is not None:
        requested = boxes_in(Box(*region.bounds), transformer(DEGREES, f"EPSG:{epsg}", lon, lat))[0]
        if not requested.meets(limits):
            raise SettingsError("region.bounds do not meet the cover layer; look at the layer's own limits")
        limits = Box(
            max(requested.west, limits.west),
            max(requested.south, limits.south),
            min(requested.east, limits.east),
            min(requested.north, limits.north),
        )
    corner_m = (file.box.west, file.box.north) if own else (0.0, 0.0)
    return _snapped(limits, epsg, cell_m, cell_m if own else SNAP_M, corner_m)


def _middle(file: RasterFile, bounds: tuple[float, ...] | None) -> tuple[float, float]:
    if bounds is not None:
        return (bounds[0] + bounds[2]) / 2, (bounds[1] + bounds[3]) / 2
    box = file.box
    middle = np.array([[(box.west + box.east) / 2, (box.south + box.north) / 2]])
    lon, lat = carried(middle, transformer(file.crs, DEGREES, 0.0, 0.0))[0].tolist()
    return lon, lat


def _own_code(file: RasterFile, cell_m: float) -> int | None:
    """EPSG code of a raster whose lattice can be the region's: metric, square, north up and of the wanted cell size."""
    found = system(file.crs)
    code = found.to_json_dict().get("id", {})
    metric = found.is_projected and all(axis.unit_name == "metre" for axis in found.axis_info)
    step = file.transform.a, -file.transform.e
    same = not file.turned and max(abs(size - cell_m) for size in step) <= NEAR * cell_m
    return int(code["code"]) if metric and same and code.get("authority") == "EPSG" else None
