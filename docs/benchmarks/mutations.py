"""Breaks one line at a time in the readers and writers, in a copy of the code, and counts how many the tests notice.

Run: ``python docs/benchmarks/mutations.py``. Nothing of the checkout is changed.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
GALLERY = "tests/end_to_end/gallery"
RASTERS, VECTORS, HOSTILE = (f"{GALLERY}/test_{name}.py" for name in ("raster_faults", "vector_faults", "hostile_text"))
TABLES, GPX_OUT = "tests/unit/outputs/test_walk_tables.py", "tests/unit/outputs/test_gpx.py"
GPX_IN, NOTES = "tests/unit/files/test_gpx_in.py", "tests/unit/field"
TRIP = "tests/unit/trip/test_trip_file.py"


@dataclass(frozen=True)
class Break:
    """One line: the file below src/hushwalk, what stands there, what is put there, and the tests of that file."""

    file: str
    old: str
    new: str
    tests: str
    only: str = ""


BREAKS = (
    Break("files/paths.py", "full.stat().st_size == 0", "full.stat().st_size < 0", RASTERS, "empty"),
    Break("files/paths.py", "        if not network:\n", "        if network:\n", HOSTILE, "network"),
    Break("files/rasters.py", "if not 1 <= band <= data.count", "if not 0 <= band <= data.count + 9", RASTERS, "band"),
    Break("files/rasters.py", ".min(axis=0)) - EDGE_CELLS", ".min(axis=0)) + EDGE_CELLS", RASTERS, "sound or strips"),
    Break("files/rasters.py", "if size > LARGEST_BLOCK_BYTES", "if size < 0", RASTERS),
    Break("trip/raster_layers.py", "if known == 0:", "if known < 0:", RASTERS, "nodata"),
    Break("trip/raster_layers.py", "low) | (values", "low) & (values", RASTERS, "nodata or feet"),
    Break("trip/measures.py", "np.clip(values * percent", "np.clip(values * 1.0", RASTERS, "canopy"),
    Break("trip/vector_layers.py", "if file.n_features == 0:", "if file.n_features < 0:", VECTORS, "empty"),
    Break("trip/whereabouts.py", "crs = claim.said or claim.own", "crs = claim.own or claim.said", RASTERS, "crs"),
    Break("trip/whereabouts.py", "box.swapped().meets(ground)", "box.meets(ground)", VECTORS, "swapped"),
    Break("trip/trip_file.py", "stop_min > morning.minutes", "stop_min < morning.minutes", TRIP),
    Break(
        "files/points_csv.py", "(LONGITUDE, LATITUDE))", "(LATITUDE, LONGITUDE))", "tests/unit/files/test_points_csv.py"
    ),
    Break("files/gpx_in.py", "-90 <= lat <= 90", "-190 <= lat <= 190", GPX_IN),
    Break(
        "files/gpx_in.py", "forbid_dtd=True", "forbid_dtd=False", "tests/end_to_end/test_notes_fuzz.py", "not random"
    ),
    Break(
        "files/notes_csv.py", 'if "\\x00" in joined:', 'if "\\x01" in joined:', "tests/end_to_end/test_notes_fuzz.py"
    ),
    Break(
        "outputs/tables.py",
        "        return orient(turned)",
        "        return turned",
        "tests/published/test_rfc_7946_geojson.py",
    ),
    Break("outputs/tables.py", '"lat_deg": stop.spot.lat_deg}', '"lat_deg": stop.spot.lon_deg}', TABLES),
    Break("outputs/gpx.py", "return moment.astimezone(UTC)", "return moment.replace(tzinfo=UTC)", GPX_OUT),
    Break("outputs/gpx.py", "len(points) - 1, most - 1)", "len(points) - 1, most)", GPX_OUT),
    Break("outputs/kml.py", 'f"{lon:.7f},{lat:.7f}" for', 'f"{lat:.7f},{lon:.7f}" for', TABLES),
    Break("outputs/areas_tables.py", "value.startswith(FORMULA)", "value.endswith(FORMULA)", HOSTILE, "formula"),
)


def noticed(number: int, one: Break) -> bool:
    """Break one line in a copy and run its tests."""
    with tempfile.TemporaryDirectory(prefix="hushwalk-broken-") as folder:
        copy = Path(folder)
        for name in ("src", "tests", "data_demo", "docs"):
            shutil.copytree(ROOT / name, copy / name)  # compiled loops too: they are told apart by time and size
        shutil.copy(ROOT / "pyproject.toml", copy)
        path = copy / "src" / "hushwalk" / one.file
        text = path.read_text(encoding="utf-8")
        if text.count(one.old) < 1:
            raise SystemExit(f"{one.file} does not hold {one.old!r}; mend the list")
        path.write_text(text.replace(one.old, one.new, 1), encoding="utf-8")
        words = [
            sys.executable,
            "-m",
            "pytest",
            "-q",
            "-x",
            "-n",
            "0",
            one.tests,
            *(("-k", one.only) if one.only else ()),
        ]
        around = {**os.environ, "PYTHONPATH": str(copy / "src")}
        done = subprocess.run(words, cwd=copy, env=around, capture_output=True, text=True, check=False)  # noqa: S603
        told = {0: "MISSED", 1: "noticed"}.get(done.returncode, f"NOT RUN ({done.returncode})")
        print(f"{number:2d}. {told:8s} {one.file}: {one.old.strip()}  ->  {one.new.strip()}", flush=True)
        return done.returncode == 1


def main() -> None:
    """Break all lines, two at a time, and print the count."""
    with ThreadPoolExecutor(2) as pool:
        found = list(pool.map(noticed, range(1, len(BREAKS) + 1), BREAKS))
    print(f"{sum(found)} of {len(found)} broken lines noticed")


if __name__ == "__main__":
    main()
