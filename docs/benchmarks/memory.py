"""Memory that `hushwalk plan` takes at its peak, both processes together, on made ground of several sizes.

Run on Linux: ``python docs/benchmarks/memory.py 500 2500 5000`` (half-widths of the ground in metres).
"""

import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import rasterio
from affine import Affine
from scipy.ndimage import gaussian_filter

CLASSES = (11, 90, 43, 42, 41)  # open water, wetland, mixed, conifer and deciduous wood of NLCD
TRIP = """\
[place]
name = "Made ground"
car = "15T 600000 5200000"
[morning]
date = 2027-04-25
time_zone = "America/Chicago"
back_by = 09:30:00
[ground]
reach_m = {reach_m}
[[layer]]
kind = "elevation"
path = "heights.tif"
[[layer]]
kind = "cover"
path = "cover.tif"
legend = "nlcd"
"""


def made_ground(folder: Path, reach_m: float) -> Path:
    """Write a trip of blotches of wood and water on gentle hills, dry at the car."""
    side = int(2 * reach_m / 10) + 60
    rough = gaussian_filter(np.random.default_rng(1).normal(size=(side, side)), 30, mode="wrap")
    rough /= rough.std()
    cover = np.select([rough > limit for limit in (1.8, 1.2, 0.5, -0.5)], CLASSES[:4], CLASSES[4]).astype(np.uint8)
    middle = slice(side // 2 - 10, side // 2 + 10)
    cover[middle, middle] = 41
    where = Affine(10, 0, 600000 - side * 5, 0, -10, 5200000 + side * 5)
    for name, values in (("heights.tif", (400 + 20 * rough).astype(np.float32)), ("cover.tif", cover)):
        profile = {"driver": "GTiff", "height": side, "width": side, "count": 1, "dtype": values.dtype}
        with rasterio.open(folder / name, "w", crs="EPSG:32615", transform=where, **profile) as file:
            file.write(values, 1)
    trip = folder / "trip.toml"
    trip.write_text(TRIP.format(reach_m=float(reach_m)), encoding="utf-8")
    return trip


def family_mb(first: int) -> float:
    """Memory of a process and its children now, shared pages counted once [MB]."""
    total = 0.0
    for status in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = status.read_text().rsplit(")", 1)[1].split()
            if int(status.parent.name) == first or int(fields[1]) == first:
                rolled = (status.parent / "smaps_rollup").read_text()
                total += next(float(line.split()[1]) for line in rolled.splitlines() if line.startswith("Pss:")) / 1024
        except (OSError, StopIteration):
            continue
    return total


def main() -> None:
    """Plan on every size and print the peak."""
    for reach_m in map(float, sys.argv[1:] or ("500", "2500")):
        with tempfile.TemporaryDirectory() as folder:
            trip = made_ground(Path(folder), reach_m)
            words = [sys.executable, "-m", "hushwalk", "plan", str(trip), "--steps", "30", "--proof", "0", "--fresh"]
            began, peak = time.monotonic(), 0.0
            with subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as run:  # noqa: S603
                while run.poll() is None:
                    peak = max(peak, family_mb(run.pid))
                    time.sleep(0.2)
            cells = (2 * reach_m / 10 + 10) ** 2
            took = time.monotonic() - began
            print(f"{cells / 1e6:6.3f} million cells: {peak:6.0f} MB at the peak, {took:.0f} s, exit {run.returncode}")


if __name__ == "__main__":
    main()
