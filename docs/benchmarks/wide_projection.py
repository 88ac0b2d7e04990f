"""Projects what a state at 10 m and a country at 30 m cost on a cluster, from rates measured in the same run.

    python docs/benchmarks/wide_projection.py --side 3000

Two squares are judged at each cell size, each in a process of its own with one worker: seconds of the processor and
memory of client and worker, and bytes of the rasters. Costs grow with the cells.
"""

import argparse
import json
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

import wide_ground

from hushwalk.regions.region_file import read_area_file
from hushwalk.regions.surface import WideParams, score_region

STATE_KM2, COUNTRY_KM2 = 220_000.0, 9_800_000.0  # a wide state and a wide country, rounded
CORES = (8, 32)
TABLE_MB_A_CELL = (1076 - 859) / (20_000**2 - 2_500**2)  # the table of patches: peaks of wide_ground.md, 2026-11-25
AREA_FILE = wide_ground.AREA_FILE.replace('name = "Made region"', 'name = "Made region"\ncell_m = {cell_m}')


def made(folder: Path, side: int, cell_m: float) -> Path:
    """Make cover and heights of a square."""
    own = folder / f"{cell_m:.0f}_{side}"
    own.mkdir()
    wide_ground.CELL_M = cell_m
    wide_ground.make_cover(own / "cover.tif", side, 1)
    wide_ground.make_heights(own, side)
    heights = '[[layer]]\nkind = "elevation"\npath = "dem.tif"\n'
    (own / "areas.toml").write_text(AREA_FILE.format(cell_m=cell_m) + heights)
    return own


def judge(own: Path) -> dict[str, float]:
    """Judge a square with one worker process; seconds and memory of client and worker, by cell where they grow."""
    region = score_region(read_area_file(own / "areas.toml"), own / "out", WideParams(1024, 1, "processes"))
    client = resource.getrusage(resource.RUSAGE_SELF)
    worker = resource.getrusage(resource.RUSAGE_CHILDREN)  # its pool is closed, so that it has been waited for
    written = sum(path.stat().st_size for path in (own / "out").rglob("*") if path.is_file())
    return {
        "cells": region.grid.n_cells,
        "worker_s": worker.ru_utime + worker.ru_stime,
        "client_s": client.ru_utime + client.ru_stime,
        "worker_mb": worker.ru_maxrss / 1024,
        "client_mb": client.ru_maxrss / 1024,
        "written": written,
        "patches": len(region.patches),
    }


def slope(small: dict[str, float], large: dict[str, float], key: str) -> float:
    """What a cell adds, so that the start of a process does not count."""
    return (large[key] - small[key]) / (large["cells"] - small["cells"])


def projected(km2: float, cell_m: float, small: dict[str, float], large: dict[str, float]) -> str:
    """A row of the table."""
    cells = km2 * 1e6 / cell_m**2
    work_h = cells * slope(small, large, "worker_s") / 3600
    client_h = cells * slope(small, large, "client_s") / 3600
    memory_gb = (large["client_mb"] + (cells - large["cells"]) * TABLE_MB_A_CELL) / 1000
    disk_gb = cells * slope(small, large, "written") / 1e9
    hours = ", ".join(f"{60 * max(work_h / cores, client_h):.0f} min on {cores}" for cores in CORES)
    return (
        f"{km2:12,.0f} km2 at {cell_m:.0f} m: {cells / 1e9:5.1f} thousand million cells, {work_h:.1f} core hours of "
        f"workers ({hours}), {60 * client_h:.0f} min of the client, memory {large['worker_mb'] / 1000:.1f} GB a worker "
        f"and {memory_gb:.1f} GB the client, {disk_gb:.0f} GB of rasters"
    )


def main() -> None:
    """Measure and print."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--side", type=int, default=3000)
    words.add_argument("--folder", type=Path)
    words.add_argument("--judge", type=Path, help=argparse.SUPPRESS)
    asked = words.parse_args()
    if asked.judge:
        print(json.dumps(judge(asked.judge)))
        return
    with tempfile.TemporaryDirectory(dir=asked.folder) as folder:
        for cell_m, km2 in ((10.0, STATE_KM2), (30.0, COUNTRY_KM2)):
            found = []
            for side in (asked.side // 2, asked.side):
                own = made(Path(folder), side, cell_m)
                said = subprocess.run(  # noqa: S603
                    [sys.executable, __file__, "--judge", str(own)], capture_output=True, text=True, check=True
                )
                found.append(json.loads(said.stdout.splitlines()[-1]))
                print(f"{side} x {side} cells of {cell_m:.0f} m: {found[-1]}")
            rates = [slope(*found, key) * 1e6 for key in ("worker_s", "client_s")]
            print(f"a cell of {cell_m:.0f} m: {rates[0]:.2f} us of a worker, {rates[1]:.2f} us of the client")
            print(projected(km2, cell_m, *found))


if __name__ == "__main__":
    main()
