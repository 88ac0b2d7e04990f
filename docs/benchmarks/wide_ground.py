"""Measures wide ground: speed, memory, growth, a cluster, and the ranking of car places; prints one table.

    python docs/benchmarks/wide_ground.py --size 20000 --folder /somewhere/with/5/GB

Everything is made up from one seed and thrown away. Each measured run is a process of its own, so that its peak memory
is its own. Ratios are of processor seconds, which other work on the machine hardly moves; the raster was just written,
so reading it once means decoding it from the cache of the system, not waiting for a disk.
"""

import argparse
import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import geopandas as gpd
import numpy as np
import rasterio
from rasterio.transform import from_origin
from rasterio.windows import Window
from scipy import ndimage
from shapely import LineString, Point

from hushwalk.grid.grid import Grid
from hushwalk.habitat.surroundings import coarsening
from hushwalk.regions.region_file import parse_area_file, read_area_file
from hushwalk.regions.story import rank_areas
from hushwalk.regions.surface import WideParams, score_region
from hushwalk.regions.window import ScoringConfig
from hushwalk.site.measuring import overlap_of
from hushwalk.site.reading.cover_kinds import cover_kinds
from hushwalk.site.species_file import read_card_text

CELL_M = 30.0
BLOTCH = 25
CLASSES = np.array([11, 21, 41, 41, 42, 43, 52, 71, 82, 90, 95], dtype=np.uint8)
TILE = 1024
AREA_FILE = """
[region]
name = "Made region"
[morning]
date = 2027-04-25
time_zone = "America/Chicago"
back_by = 08:30:00
longest_walk_km = 8.0
[[layer]]
kind = "cover"
path = "cover.tif"
legend = "nlcd"
"""


def make_cover(path: Path, size: int, seed: int) -> None:
    """Blotches of land-cover classes with ragged edges, written tiled and compressed as agencies do."""
    rng = np.random.default_rng(seed)
    coarse = ndimage.gaussian_filter(rng.random((size // BLOTCH + 3,) * 2), 1.2)
    ranks = coarse.ravel().argsort().argsort().reshape(coarse.shape)
    classes = CLASSES[(ranks * len(CLASSES)) // ranks.size]
    profile = {"driver": "GTiff", "crs": "EPSG:32615", "transform": from_origin(300_000, 5_700_000, CELL_M, CELL_M)}
    profile |= {"width": size, "height": size, "count": 1, "dtype": "uint8", "tiled": True, "compress": "deflate"}
    with rasterio.open(path, "w", blockxsize=256, blockysize=256, zlevel=6, **profile) as out:
        for row in range(0, size, TILE):
            for col in range(0, size, TILE):
                n_rows, n_cols = min(TILE, size - row), min(TILE, size - col)
                ragged = rng.integers(0, BLOTCH // 2, (2, n_rows, n_cols))
                down = (row + np.arange(n_rows)[:, None] + ragged[0]) // BLOTCH
                right = (col + np.arange(n_cols)[None, :] + ragged[1]) // BLOTCH
                out.write(classes[down, right], 1, window=Window(col, row, n_cols, n_rows))


def make_heights(folder: Path, size: int) -> None:
    """Smooth hills on the lattice of the cover."""
    rng = np.random.default_rng(5)
    coarse = ndimage.gaussian_filter(rng.normal(size=(size // 20 + 2,) * 2), 3) * 600 + 300
    hills = ndimage.zoom(coarse, 20, order=1)[:size, :size].astype(np.float32)
    with rasterio.open(folder / "cover.tif") as like:
        profile = {**like.profile, "dtype": "float32"}
    with rasterio.open(folder / "dem.tif", "w", **profile) as out:
        out.write(hills, 1)


def read_once(path: Path) -> float:
    """Processor seconds to read and decode every tile of a raster once."""
    began = time.process_time()
    with rasterio.Env(GDAL_CACHEMAX=64 * 2**20), rasterio.open(path) as data:
        for row in range(0, data.height, TILE):
            for col in range(0, data.width, TILE):
                high, wide = min(TILE, data.height - row), min(TILE, data.width - col)
                data.read(1, window=Window(col, row, wide, high))
    return time.process_time() - began


def apart(*words: object) -> dict[str, float]:
    """Run a part of this file in a process of its own and give what it prints."""
    said = subprocess.run(  # noqa: S603
        [sys.executable, __file__, *map(str, words)], capture_output=True, text=True, check=True
    )
    found: dict[str, float] = json.loads(said.stdout.splitlines()[-1])
    return found


def judge(folder: Path, out: str, workers: int, scheduler: str | None = None) -> dict[str, float]:
    """Judge a made region and tell seconds by the clock and of the processor, and peak memory."""
    settings = read_area_file(folder / "areas.toml")
    began, worked = time.perf_counter(), time.process_time()
    region = score_region(settings, folder / out, WideParams(TILE, workers, scheduler=scheduler))
    seconds, cpu_s = time.perf_counter() - began, time.process_time() - worked
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return {
        "seconds": seconds,
        "cpu_s": cpu_s,
        "peak_mb": peak_mb,
        "patches": len(region.patches),
        "cells": region.grid.n_cells,
    }


def scipy_seconds(folder: Path) -> float:
    """The same discs, shares, mixture and distance with scipy.ndimage, all in memory, on a region that fits it."""
    with rasterio.open(folder / "cover.tif") as data:
        codes = data.read(1)
    scoring = ScoringConfig(
        Grid(32615, 0, 0, CELL_M, *codes.shape),
        *read_card_text("ruffed_grouse"),
        "lake_states",
        "unknown",
        wet_known=True,
    )
    radii, kinds = scoring.card.radii, cover_kinds()
    shares = scoring.card.landscape_shares("lake_states")
    table = np.zeros(256)
    for code, value in shares.items():
        table[code] = value
    groups = sorted({kind.group for kind in kinds.values()} - {"water", "built", "bare", ""})
    began = time.process_time()
    factor = coarsening(radii.landscape_m, CELL_M)
    blocks = table[codes % 60][: codes.shape[0] // factor * factor, : codes.shape[1] // factor * factor]
    coarse = blocks.reshape(blocks.shape[0] // factor, factor, -1, factor).mean(axis=(1, 3))
    scipy_disc(coarse, radii.landscape_m / CELL_M / factor)
    for number in range(len(groups)):
        scipy_disc((codes % len(groups) == number).astype(float), radii.mixture_m / CELL_M)
    scipy_disc(table[codes % 60], radii.conifer_m / CELL_M)
    scipy_disc(table[codes % 60], scoring.card.surface.home_radius_m / CELL_M)
    ndimage.distance_transform_edt(codes != 11)
    good = table[codes % 60] > 0.5
    labels, n = ndimage.label(good, structure=np.ones((3, 3)))
    ndimage.sum_labels(table[codes % 60], labels, np.arange(1, n + 1))
    return time.process_time() - began


def scipy_disc(values: np.ndarray, radius: float) -> np.ndarray:
    """Mean in a disc from running means along rows, the quickest that scipy.ndimage offers."""
    total, count = np.zeros_like(values), 0
    for down in range(-int(radius), int(radius) + 1):
        wide = 2 * int(np.sqrt(radius**2 - down**2)) + 1
        total += np.roll(ndimage.uniform_filter1d(values, wide, axis=1, mode="constant"), down, axis=0) * wide
        count += wide
    return total / count


def ranked(folder: Path, places: int) -> dict[str, float]:
    """Rank car places over a region of 100 km x 100 km with heights and roads."""
    size = round(100_000 / CELL_M)
    make_cover(folder / "cover.tif", size, 3)
    make_heights(folder, size)
    rng = np.random.default_rng(4)
    west, north, far = 300_000.0, 5_700_000.0, size * CELL_M
    lines = [LineString([(west, north - y), (west + far, north - y)]) for y in np.arange(1500, far, 4000)]
    lines += [LineString([(west + x, north), (west + x, north - far)]) for x in np.arange(1500, far, 4000)]
    gpd.GeoDataFrame({"n": range(len(lines))}, geometry=lines, crs="EPSG:32615").to_file(folder / "roads.gpkg")
    xy = [Point(west + x, north - y) for x, y in rng.uniform(2000, far - 2000, (places, 2))]
    gpd.GeoDataFrame({"n": range(places)}, geometry=xy, crs="EPSG:32615").to_file(folder / "cars.gpkg")
    text = (
        AREA_FILE + '[[layer]]\nkind = "elevation"\npath = "dem.tif"\n[[layer]]\nkind = "roads"\npath = "roads.gpkg"\n'
    )
    (folder / "areas.toml").write_text(text + '[places]\npath = "cars.gpkg"\n')
    parse_area_file(text)
    began = time.perf_counter()
    areas = rank_areas(read_area_file(folder / "areas.toml"), folder / "out", WideParams(TILE, 2))
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return {"seconds": time.perf_counter() - began, "ranked": len(areas.areas), "peak_mb": peak_mb}


def clustered(folder: Path) -> dict[str, float]:
    """Judge on a Dask cluster of one and of two workers, and compare with threads."""
    from distributed import LocalCluster  # noqa: PLC0415  an extra

    found = {}
    for workers in (1, 2):
        with LocalCluster(n_workers=workers, threads_per_worker=1, host="127.0.0.1", dashboard_address=None) as cluster:
            judge(folder, "warm", workers, cluster.scheduler_address)  # imports and compiled code
            shutil.rmtree(folder / "warm")
            shutil.rmtree(folder / f"dask{workers}", ignore_errors=True)
            found[f"workers_{workers}_s"] = judge(folder, f"dask{workers}", workers, cluster.scheduler_address)[
                "seconds"
            ]
    judge(folder, "threads", 2)
    rasters = [rasterio.open(folder / name / "suitability.tif").read(1) for name in ("threads", "dask1", "dask2")]
    found["same"] = float(all((raster == rasters[0]).all() for raster in rasters))
    return found


def made(folder: Path, size: int) -> Path:
    """Make a region of a size in a folder of its own."""
    own = folder / f"region_{size}"
    own.mkdir(parents=True, exist_ok=True)
    if not (own / "cover.tif").exists():
        make_cover(own / "cover.tif", size, 1)
    (own / "areas.toml").write_text(AREA_FILE)
    return own


def report(folder: Path, size: int) -> None:
    """Run everything and print it."""
    print(f"{os.cpu_count()} cores; cells of {CELL_M:g} m; windows of {TILE} cells")
    overlap, _ = overlap_of(
        ScoringConfig(
            Grid(32615, 0, 0, CELL_M, 9, 9), *read_card_text("ruffed_grouse"), "lake_states", "unknown", wet_known=True
        ).card,
        "lake_states",
        CELL_M,
    )
    print(f"overlap {overlap} cells: {(1 + 2 * overlap / TILE) ** 2:.2f} cells looked at for each answered for")
    sizes, seconds = [size // 8, size // 4, size // 2, size], []
    for each in sizes:
        own = made(folder, each)
        said = apart("--judge", own, "--workers", 2)
        seconds.append(said["cpu_s"])
        reading = min(read_once(own / "cover.tif") for _ in range(3))
        print(
            f"{each:6d} x {each}: {said['seconds']:7.1f} s, {said['cpu_s']:7.1f} s of the processor, peak "
            f"{said['peak_mb']:5.0f} MB, {each**2 / said['cpu_s'] / 1e6:.2f} million cells/s and core, "
            f"{said['patches']:.0f} patches; reading once {reading:.2f} s, {said['cpu_s'] / reading:.0f} times as long"
        )
    slope = np.polyfit(np.log(np.square(sizes, dtype=float)), np.log(seconds), 1)[0]
    print(f"processor time grows with cells to the power of {slope:.2f}")
    small = made(folder, 4000)
    ours, theirs = apart("--judge", small, "--workers", 1), apart("--scipy", small)
    print(
        f"4000 x 4000, one worker, of the processor: {ours['cpu_s']:.1f} s, {ours['peak_mb']:.0f} MB; scipy.ndimage in "
        f"memory {theirs['seconds']:.1f} s, {theirs['peak_mb']:.0f} MB; ours is "
        f"{theirs['seconds'] / ours['cpu_s']:.2f} times as quick"
    )
    dask = apart("--dask", small)
    print(
        f"Dask: one worker {dask['workers_1_s']:.1f} s, two {dask['workers_2_s']:.1f} s, "
        f"speed-up {dask['workers_1_s'] / dask['workers_2_s']:.2f}, same result: {bool(dask['same'])}"
    )
    areas = apart("--rank", folder / "country", "--places", 2000)
    print(
        f"2000 car places over 100 km x 100 km: {areas['seconds']:.0f} s with the surface, {areas['ranked']:.0f} "
        f"ranked, peak {areas['peak_mb']:.0f} MB"
    )


def main() -> None:
    """Read the words of the command."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--size", type=int, default=20_000)
    words.add_argument("--folder", type=Path)
    words.add_argument("--workers", type=int, default=2)
    words.add_argument("--places", type=int, default=2000)
    for part in ("judge", "scipy", "dask", "rank"):
        words.add_argument(f"--{part}", type=Path, help=argparse.SUPPRESS)
    asked = words.parse_args()
    if asked.judge:
        shutil.rmtree(asked.judge / "out", ignore_errors=True)
        said = judge(asked.judge, "out", asked.workers)
        shutil.rmtree(asked.judge / "out")
        print(json.dumps(said))
    elif asked.scipy:
        seconds = scipy_seconds(asked.scipy)
        print(json.dumps({"seconds": seconds, "peak_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024}))
    elif asked.dask:
        print(json.dumps(clustered(asked.dask)))
    elif asked.rank:
        asked.rank.mkdir(parents=True, exist_ok=True)
        print(json.dumps(ranked(asked.rank, asked.places)))
    else:
        with tempfile.TemporaryDirectory(dir=asked.folder) as folder:
            report(Path(folder), asked.size)


if __name__ == "__main__":
    main()
