"""Wide ground judged as a whole: which grid, every window, the surface on disk and the patches on it.

One window is window.py's business, streaming them tiles.py's; car places are ranked in story.py.
"""

import json
from dataclasses import asdict, dataclass, field, replace
from functools import partial
from hashlib import sha256
from math import ceil, floor
from pathlib import Path
from typing import Any
from zipfile import BadZipFile

import numpy as np
from numpy.typing import NDArray

from hushwalk import __version__
from hushwalk.errors import InputError, OutputError, SettingsError
from hushwalk.files.mosaics import Stored, write_mosaic
from hushwalk.files.paths import RASTER_ENDINGS, find
from hushwalk.files.rasters import RasterFile, look_at_raster
from hushwalk.files.tiles import Engine, Tile, TileStore, cut, pool_of, stream
from hushwalk.grid.grid import Grid
from hushwalk.grid.points import utm_epsg
from hushwalk.grid.systems import Box, boxes_in, carried, system, transformer
from hushwalk.habitat.density import DensityParams
from hushwalk.habitat.tiled_patches import Pieces, WidePatch, joined, wide_patches
from hushwalk.progress import Progress, Step, quiet
from hushwalk.regions.region_file import AreaSettings
from hushwalk.regions.tiled_layers import WideGround, open_ground
from hushwalk.regions.window import PARTS, UNKNOWN, Recipe, judge_window
from hushwalk.site.georeferencing import DEGREES, Whereabouts
from hushwalk.site.layer_names import named_layers
from hushwalk.site.measuring import overlap_of
from hushwalk.site.species_file import read_card_text

MALES_PARTS = 1000
"""Definition: density is stored in thousandths of a male per square kilometre."""

NEAR = 1e-6  # definition: numbers are the same where they differ by less than this share of a cell
SNAP_M = 300.0  # definition: corners of a region lie on round numbers, so that regions side by side share their cells
SURFACE, MALES, TABLE = "suitability.tif", "males_per_km2.tif", "patches.npz"


@dataclass(frozen=True)
class WideParams:
    """How the work is done; the result is the same for all.

    Parameters
    ----------
    window_cells : side of a window.
    workers : threads or processes.
    engine : which of the two.
    scheduler : address of a Dask scheduler, whose workers are used instead.
    """

    window_cells: int = 1024
    workers: int = 2
    engine: Engine = "threads"
    scheduler: str | None = None


@dataclass(frozen=True, eq=False)
class JudgedRegion:
    """What is known of a region after every window was judged.

    Parameters
    ----------
    grid : all of it.
    recipe : what every window was judged with.
    males : what the best ground holds.
    surface, density : rasters on disk.
    patches : of good ground, with the most males first.
    notices, stories : as for a trip.
    """

    grid: Grid
    recipe: Recipe = field(repr=False)
    males: DensityParams
    surface: Path
    density: Path
    patches: tuple[WidePatch, ...] = field(repr=False)
    notices: tuple[str, ...] = ()
    stories: tuple[str, ...] = ()


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
        if spec.kind == "cover":
            address = find(spec.path, settings.folder, label, RASTER_ENDINGS, network=settings.region.network)
            file = look_at_raster(address, label, band=spec.band, layer=spec.layer, network=settings.region.network)
            crs = spec.crs or file.crs
            if not crs:
                raise InputError(f'{label}: {address.shown} has no reference system; give crs = "EPSG:..." for it')
            return _grid_on(replace(file, crs=crs), settings)
    raise SettingsError('no raster of kind "cover" is named; wide ground is judged by its land cover')


def _grid_on(file: RasterFile, settings: AreaSettings) -> Grid:
    region, cell_m = settings.region, settings.region.cell_m
    lon, lat = _middle(file, region.bounds)
    own = _own_code(file, cell_m)
    epsg = own or utm_epsg(lon, lat)
    limits = file.box if own else boxes_in(file.box, transformer(file.crs, f"EPSG:{epsg}", lon, lat))[0]
    if region.bounds is not None:
        asked = boxes_in(Box(*region.bounds), transformer(DEGREES, f"EPSG:{epsg}", lon, lat))[0]
        if not asked.meets(limits):
            raise SettingsError("region.bounds do not meet the cover layer; look at the layer's own limits")
        limits = Box(
            max(asked.west, limits.west),
            max(asked.south, limits.south),
            min(asked.east, limits.east),
            min(asked.north, limits.north),
        )
    west_m, north_m, step_m = (file.box.west, file.box.north, cell_m) if own else (0.0, 0.0, SNAP_M)
    west_m += floor((limits.west - west_m) / step_m + NEAR) * step_m
    north_m -= floor((north_m - limits.north) / step_m + NEAR) * step_m
    n_cols, n_rows = (ceil(length / cell_m - NEAR) for length in (limits.east - west_m, north_m - limits.south))
    return Grid(epsg, west_m, north_m, cell_m, n_rows, n_cols)


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


def judge_region(
    settings: AreaSettings, folder: Path, params: WideParams | None = None, progress: Progress = quiet
) -> JudgedRegion:
    """Judge a region window by window.

    Parameters
    ----------
    settings : what the area file says.
    folder : where rasters go; finished windows wait in a folder inside it, and a stopped run goes on from there.
    params : how the work is done.
    progress : is called with a few words as the work goes on.

    Raises
    ------
    HushwalkError
        One clear message for anything a person can mend.
    """
    params = params or WideParams()
    key, text = read_card_text(settings.species)
    grid = region_grid(settings)
    where = Whereabouts(grid, settings.folder, settings.region.network)
    with open_ground(settings, where) as ground:
        recipe = Recipe(grid, key, text, settings.region.region, settings.region.cycle, wet_known=True)
        males = recipe.males
        overlap, step = overlap_of(recipe.card, recipe.region, grid.cell_m)
        tiles = cut(grid.shape, params.window_cells, overlap, step)
        progress(Step(f"{grid.n_rows} x {grid.n_cols} cells of {grid.cell_m:g} m in {len(tiles)} windows"))
        named = _print(settings, recipe, params, tiles)
        table = _finished(folder, named)
        if table is not None:
            progress(Step("the region was judged before"))
        else:
            table = _judged(tiles, ground, recipe, params, folder, named, progress)
        return JudgedRegion(
            grid=grid,
            recipe=recipe,
            males=males,
            surface=folder / SURFACE,
            density=folder / MALES,
            patches=wide_patches(table, grid, males),
            notices=ground.notices,
            stories=ground.stories,
        )


def _judged(
    tiles: tuple[Tile, ...],
    ground: WideGround,
    recipe: Recipe,
    params: WideParams,
    folder: Path,
    named: str,
    progress: Progress,
) -> NDArray[np.int64]:
    """Judge all windows and write the rasters; give the table of patches."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise OutputError(f"{folder} cannot be made: {fault.strerror}") from None
    with TileStore(folder / "windows.part", named) as store:
        if store.done:
            progress(Step(f"{len(store.done)} windows were finished before"))
        _stream(tiles, store, ground, recipe, params, progress)
        progress(Step("joining windows"))
        table = _joined(tiles, store, recipe, folder)
        half = folder / (TABLE + ".part")
        with half.open("wb") as file:
            np.savez(file, table=table, named=np.array(named))
        half.replace(folder / TABLE)
        store.clear()
    return table


def _finished(folder: Path, named: str) -> NDArray[np.int64] | None:
    """Table of patches of an earlier run over the same inputs, if all its files are there."""
    if not all((folder / name).is_file() for name in (SURFACE, MALES, TABLE)):
        return None
    try:
        with np.load(folder / TABLE) as held:
            return np.asarray(held["table"]) if str(held["named"]) == named else None
    except (OSError, ValueError, KeyError, BadZipFile):
        return None


def _stream(
    tiles: tuple[Tile, ...],
    store: TileStore,
    ground: WideGround,
    recipe: Recipe,
    params: WideParams,
    progress: Progress,
) -> None:
    def read(tile: Tile) -> dict[str, NDArray[Any]]:
        return {name: values for name, values in ground.read(*tile.outer).items() if name != "closed"}

    def told(done: int, of: int) -> None:
        if done == of or done * 20 // of > (done - 1) * 20 // of:
            progress(Step(f"{done} of {of} windows"))

    with pool_of(params.workers, params.engine, params.scheduler) as pool:
        stream(tiles, store, read, partial(judge_window, recipe), pool, 2 * params.workers, told)


def _joined(tiles: tuple[Tile, ...], store: TileStore, recipe: Recipe, folder: Path) -> NDArray[np.int64]:
    males = recipe.males

    def surface(tile: Tile) -> NDArray[Any]:
        return store.get(tile.number)["suitability"]

    def held(tile: Tile) -> NDArray[Any]:
        parts = surface(tile)
        per_km2 = np.rint(parts * (males.middle_per_km2 * MALES_PARTS / PARTS))
        return np.where(parts == UNKNOWN, UNKNOWN, np.minimum(per_km2, UNKNOWN - 1)).astype(np.uint16)

    tags = {"SPECIES": recipe.key, "REGION": recipe.region, "MALES_PER_KM2_AT_1": f"{males.middle_per_km2:.6g}"}
    stored = Stored("uint16", UNKNOWN, 1 / PARTS, "1", "suitability")
    write_mosaic(folder / SURFACE, recipe.grid, tiles, surface, stored, tags)
    stored = Stored("uint16", UNKNOWN, 1 / MALES_PARTS, "1/km2", "displaying males, middle figure")
    write_mosaic(folder / MALES, recipe.grid, tiles, held, stored, tags)
    names = ("table", "top", "bottom", "left", "right")
    pieces = (
        Pieces(tile.row, tile.col, *(window[name] for name in names))
        for tile in tiles
        for window in (store.get(tile.number),)
    )
    return joined(pieces, recipe.grid.n_cols, recipe.least_cells)


def _print(settings: AreaSettings, recipe: Recipe, params: WideParams, tiles: tuple[Tile, ...]) -> str:
    """Fingerprint of all that the windows depend on: settings, card, files by size and time, and the cut."""
    seen = [
        [str(path), path.stat().st_size, path.stat().st_mtime_ns]
        for spec in settings.layers
        if (path := settings.folder / spec.path.partition("!")[0]).exists()
    ]
    said = [
        __version__,
        asdict(recipe),
        [asdict(spec) for spec in settings.layers],
        seen,
        params.window_cells,
        len(tiles),
        settings.morning.date.year,
    ]
    return sha256(json.dumps(said, sort_keys=True, default=str).encode()).hexdigest()
