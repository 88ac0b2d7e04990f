"""Wide ground judged as a whole: every window, the surface on disk and the patches on it.

One window is window.py's business, streaming them tiles.py's; car places are ranked in story.py.
"""

import json
from dataclasses import asdict, dataclass, field
from functools import partial
from hashlib import sha256
from pathlib import Path
from typing import Any
from zipfile import BadZipFile

import numpy as np
from numpy.typing import NDArray

from hushwalk import __version__
from hushwalk.errors import OutputError
from hushwalk.files.mosaics import Stored, write_mosaic
from hushwalk.files.tiles import Engine, Tile, TileStore, cut, pool_of, stream
from hushwalk.grid.grid import Grid
from hushwalk.habitat.density import DensityParams
from hushwalk.habitat.tiled_patches import Pieces, WidePatch, joined, wide_patches
from hushwalk.progress import Progress, Step, quiet
from hushwalk.regions.region_file import AreaSettings
from hushwalk.regions.region_grid import region_grid
from hushwalk.regions.window import PARTS, UNKNOWN, ScoringConfig, parsed_card, score_window
from hushwalk.site.bird_law import BirdLaw, lawful
from hushwalk.site.bird_range import BirdRegion, region_of_ground
from hushwalk.site.measuring import overlap_of
from hushwalk.site.reading.georeferencing import Georeference
from hushwalk.site.reading.layers import Layers, open_layers
from hushwalk.site.species_file import read_card_text

MALES_PARTS = 1000
"""Definition: density is stored in thousandths of a male per square kilometre."""

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
    scoring : what every window was judged with.
    bird : region of the species card that its middle lies in.
    males : what the best ground holds.
    surface, density : rasters on disk.
    patches : of good ground, with the most males first.
    notices, stories : as for a trip.
    laws : what the law says of seeking the bird there, where it does not forbid it.
    """

    grid: Grid
    scoring: ScoringConfig = field(repr=False)
    bird: BirdRegion
    males: DensityParams
    surface: Path
    density: Path
    patches: tuple[WidePatch, ...] = field(repr=False)
    notices: tuple[str, ...] = ()
    stories: tuple[str, ...] = ()
    laws: tuple[BirdLaw, ...] = ()


def score_region(
    settings: AreaSettings, folder: Path, params: WideParams | None = None, progress: Progress = quiet
) -> JudgedRegion:
    """Judge a region window by window.

    Parameters
    ----------
    settings : what the area file says.
    folder : where rasters go; finished windows wait in a folder inside it, and a stopped run goes on from there.
    params : how the work is done.
    progress : is called with a few words as the work goes on.

    Returns
    -------
    JudgedRegion
        Surface, males and patches.

    Raises
    ------
    HushwalkError
        One clear message for anything a person can mend.
    """
    params = params or WideParams()
    key, text = read_card_text(settings.species)
    grid = region_grid(settings)
    card = parsed_card(text, key)
    laws = lawful(card, grid)
    where = Georeference(grid, settings.folder, settings.region.network)
    ground = open_layers(settings.layers, where, settings.morning.date.year)
    chosen = region_of_ground(card, settings.region.region, grid)
    overlap, step = overlap_of(card, chosen.key, grid.cell_m)
    tiles = cut(grid.shape, params.window_cells, overlap, step)
    streams, notices = _streams(ground, tiles)
    scoring = ScoringConfig(grid, key, text, chosen.key, settings.region.cycle, ground.wet_known, streams)
    progress(Step(f"{grid.n_rows} x {grid.n_cols} cells of {grid.cell_m:g} m in {len(tiles)} windows"))
    named = _print(settings, scoring, params, tiles)
    table = _finished(folder, named)
    if table is not None:
        progress(Step("the region was judged before"))
    else:
        table = _judged(tiles, ground, scoring, params, folder, named, progress)
    return JudgedRegion(
        grid=grid,
        scoring=scoring,
        bird=chosen,
        laws=laws,
        males=scoring.males,
        surface=folder / SURFACE,
        density=folder / MALES,
        patches=wide_patches(table, grid, scoring.males),
        notices=(*_raster_notices(ground), *notices, *ground.notices),
        stories=(*(raster.story for opened in ground.rasters.values() for raster in opened), *ground.stories),
    )


def _streams(ground: Layers, tiles: tuple[Tile, ...]) -> tuple[bool, tuple[str, ...]]:
    """Whether streams are taken as mapped, and what it means that they are not.

    Water gathers from far beyond a window, so that only ground of one window is asked where; every window of a wider
    region is scored without, and so the same whatever the cut.
    """
    if "streams" in ground.given:
        return True, ()
    if len(tiles) == 1:
        return False, ("no streams were given: the heights only hint where the ground is wet",)
    return True, ("no streams were given: over wide ground the lie of the land is not asked where water gathers",)


def _raster_notices(ground: Layers) -> tuple[str, ...]:
    opened = [raster for rasters in ground.rasters.values() for raster in rasters]
    return tuple(words for raster in opened for words in raster.notices)


def _judged(
    tiles: tuple[Tile, ...],
    ground: Layers,
    scoring: ScoringConfig,
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
        _stream(tiles, store, ground, scoring, params, progress)
        progress(Step("joining windows"))
        table = _joined(tiles, store, scoring, folder)
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
    ground: Layers,
    scoring: ScoringConfig,
    params: WideParams,
    progress: Progress,
) -> None:
    def read(tile: Tile) -> dict[str, NDArray[Any]]:
        return {name: values for name, values in ground.read(tile.outer).items() if name != "closed"}

    def report_windows(done: int, of: int) -> None:
        if done == of or done * 20 // of > (done - 1) * 20 // of:
            progress(Step(f"{done} of {of} windows"))

    with pool_of(params.workers, params.engine, params.scheduler) as pool:
        stream(tiles, store, read, partial(score_window, scoring), pool, 2 * params.workers, report_windows)


def _joined(tiles: tuple[Tile, ...], store: TileStore, scoring: ScoringConfig, folder: Path) -> NDArray[np.int64]:
    males = scoring.males

    def surface(tile: Tile) -> NDArray[Any]:
        return store.get(tile.number)["suitability"]

    def held(tile: Tile) -> NDArray[Any]:
        parts = surface(tile)
        per_km2 = np.rint(parts * (males.middle_per_km2 * MALES_PARTS / PARTS))
        return np.where(parts == UNKNOWN, UNKNOWN, np.minimum(per_km2, UNKNOWN - 1)).astype(np.uint16)

    tags = {"SPECIES": scoring.key, "REGION": scoring.region, "MALES_PER_KM2_AT_1": f"{males.middle_per_km2:.6g}"}
    stored = Stored("uint16", UNKNOWN, 1 / PARTS, "1", "suitability")
    write_mosaic(folder / SURFACE, scoring.grid, tiles, surface, stored, tags)
    stored = Stored("uint16", UNKNOWN, 1 / MALES_PARTS, "1/km2", "displaying males, middle figure")
    write_mosaic(folder / MALES, scoring.grid, tiles, held, stored, tags)
    names = ("table", "top", "bottom", "left", "right")
    pieces = (
        Pieces(tile.row, tile.col, *(window[name] for name in names))
        for tile in tiles
        for window in (store.get(tile.number),)
    )
    return joined(pieces, scoring.grid.n_cols, scoring.least_cells)


def _print(settings: AreaSettings, scoring: ScoringConfig, params: WideParams, tiles: tuple[Tile, ...]) -> str:
    """Fingerprint of all that the windows depend on: settings, card, files by size and time, and the cut."""
    seen = [
        [str(path), path.stat().st_size, path.stat().st_mtime_ns]
        for spec in settings.layers
        if (path := settings.folder / spec.path.partition("!")[0]).exists()
    ]
    said = [
        __version__,
        asdict(scoring),
        [asdict(spec) for spec in settings.layers],
        seen,
        params.window_cells,
        len(tiles),
        settings.morning.date.year,
    ]
    return sha256(json.dumps(said, sort_keys=True, default=str).encode()).hexdigest()
