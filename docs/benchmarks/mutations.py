"""Breaks one line at a time in the readers and writers, in a copy of the code, and counts how many the tests notice.

Run: ``python docs/benchmarks/mutations.py [WORKERS]``. Nothing of the checkout is changed. Each set of tests is first
run on the whole code, where it must pass: a test that fails anyway notices nothing.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
GALLERY = "tests/end_to_end/gallery"
RASTERS, VECTORS, HOSTILE = (f"{GALLERY}/test_{name}.py" for name in ("raster_faults", "vector_faults", "hostile_text"))
TABLES, GPX_OUT = "tests/unit/outputs/test_walk_tables.py", "tests/unit/outputs/test_gpx.py"
GPX_IN, NOTES = "tests/unit/files/test_gpx_in.py", "tests/unit/notes"
LAYERS, TILES = "tests/unit/files/test_layer_files.py", "tests/unit/files/test_tiles.py"
SHEETS, SEARCH_OUT = "tests/unit/outputs/test_print_sheet.py", "tests/unit/outputs/test_search_outputs.py"
TRIP = "tests/unit/site/test_trip_file.py"


@dataclass(frozen=True)
class Break:
    """One line: the file below src/hushwalk, what stands there, what is put there, and the tests of that file."""

    file: str
    old: str
    new: str
    tests: str
    only: str = ""


SOUND = Break("files/paths.py", "", "", "")
"""Nothing is broken."""

BREAKS = (
    Break("files/paths.py", "full.stat().st_size == 0", "full.stat().st_size < 0", RASTERS, "empty"),
    Break("files/paths.py", "        if not network:\n", "        if network:\n", HOSTILE, "network"),
    Break("files/rasters.py", "if not 1 <= band <= data.count", "if not 0 <= band <= data.count + 9", RASTERS, "band"),
    Break("files/rasters.py", ".min(axis=0)) - EDGE_CELLS", ".min(axis=0)) + EDGE_CELLS", RASTERS, "sound or strips"),
    Break("files/rasters.py", "if size > LARGEST_BLOCK_BYTES", "if size < 0", RASTERS),
    Break("site/reading/raster_layers.py", "if known == 0:", "if known < 0:", RASTERS, "nodata"),
    Break("site/reading/raster_layers.py", "low) | (values", "low) & (values", RASTERS, "nodata or feet"),
    Break("site/measures.py", "np.clip(values * percent", "np.clip(values * 1.0", RASTERS, "canopy"),
    Break("site/reading/vector_layers.py", "if file.n_features == 0:", "if file.n_features < 0:", VECTORS, "empty"),
    Break(
        "site/reading/georeferencing.py",
        "crs = claim.said or claim.own",
        "crs = claim.own or claim.said",
        RASTERS,
        "crs",
    ),
    Break("site/reading/georeferencing.py", "box.swapped().meets(ground)", "box.meets(ground)", VECTORS, "swapped"),
    Break("site/trip_file.py", "stop_min > morning.minutes", "stop_min < morning.minutes", TRIP),
    Break(
        "files/points_csv.py", "(LONGITUDE, LATITUDE))", "(LATITUDE, LONGITUDE))", "tests/unit/files/test_points_csv.py"
    ),
    Break("files/gpx_in.py", "-90 <= lat <= 90", "-190 <= lat <= 190", GPX_IN),
    Break(
        "files/gpx_in.py", "forbid_dtd=True", "forbid_dtd=False", "tests/end_to_end/test_notes_fuzz.py", "not random"
    ),
    Break("files/notes_csv.py", 'if "\\x00" in joined:', 'if "\\x01" in joined:', "tests/unit/files/test_notes_csv.py"),
    Break(
        "outputs/walk/walk_data.py",
        "        return orient(turned)",
        "        return turned",
        "tests/published/test_rfc_7946_geojson.py",
    ),
    Break("outputs/walk/walk_data.py", '"lat_deg": stop.place.lat_deg}', '"lat_deg": stop.place.lon_deg}', TABLES),
    Break("outputs/walk/gpx.py", "return moment.astimezone(UTC)", "return moment.replace(tzinfo=UTC)", GPX_OUT),
    Break("outputs/walk/gpx.py", "len(points) - 1, most - 1)", "len(points) - 1, most)", GPX_OUT),
    Break("outputs/walk/kml.py", 'f"{lon:.7f},{lat:.7f}" for', 'f"{lat:.7f},{lon:.7f}" for', TABLES),
    Break(
        "outputs/regions/areas_tables.py", "value.startswith(FORMULA)", "value.endswith(FORMULA)", HOSTILE, "formula"
    ),
    # chosen later, in files not among those above, before their tests were looked at
    Break("files/mosaics.py", "Window(tile.col, tile.row,", "Window(tile.row, tile.col,", TILES),
    Break("files/mosaics.py", "= (stored.scale,)", "= (1.0,)", f"{TILES} tests/end_to_end/test_areas.py"),
    Break("files/vectors.py", "(limits[1] > box.north)", "(limits[1] > box.south)", f"{VECTORS} {LAYERS}"),
    Break("files/vectors.py", "if len(drawn) > 1:", "if len(drawn) > 2:", f"{VECTORS} {LAYERS}"),
    Break("outputs/walk/geopackage.py", "if stop.earshot\n", "if not stop.earshot\n", TABLES),
    Break("outputs/kit/geo_pdf.py", "[:, ::-1]", "[:, ::1]", SHEETS),
    Break(
        "outputs/search/search_files.py",
        "GPXRoutePoint(latitude=round(place.lat_deg",
        "GPXRoutePoint(latitude=round(place.lon_deg",
        SEARCH_OUT,
    ),
    Break(
        "outputs/kit/staging.py",
        "and not _alive(",
        "and _alive(",
        f"tests/unit/outputs/test_write.py {GALLERY}/test_interruptions.py",
    ),
    Break("notes/ledger_file.py", "SET feature_count = NULL", "SET feature_count = 0", NOTES),
    Break("notes/reading/waypoints.py", "min(times), words", "max(times), words", NOTES),
    Break("notes/reading/walk_table.py", "if not cells.get(word) and", "if cells.get(word) and", NOTES),
    Break("morning/share.py", "grid.xy([row], [col])[0]", "place.xy_m", f"{GALLERY}/test_site_privacy.py"),
)


def pytest_ends(folder: Path, tests: str, only: str) -> int:
    """Run tests in a folder that holds a copy, and give the exit code."""
    words = [sys.executable, "-m", "pytest", "-q", "-x", "-n", "0", *tests.split(), *(("-k", only) if only else ())]
    around = {**os.environ, "PYTHONPATH": str(folder / "src")}
    done = subprocess.run(words, cwd=folder, env=around, capture_output=True, text=True, check=False)  # noqa: S603
    return done.returncode


@contextmanager
def broken_copy(one: Break) -> Iterator[Path]:
    """Give a folder with a copy of the code, one line of it broken."""
    with tempfile.TemporaryDirectory(prefix="hushwalk-broken-") as folder:
        copy = Path(folder)
        for name in ("src", "tests", "data_demo", "docs"):
            shutil.copytree(ROOT / name, copy / name)  # compiled loops too: they are told apart by time and size
        shutil.copy(ROOT / "pyproject.toml", copy)
        path = copy / "src" / "hushwalk" / one.file
        text = path.read_text(encoding="utf-8")
        if one.old not in text:
            raise SystemExit(f"{one.file} does not hold {one.old!r}; mend the list")
        path.write_text(text.replace(one.old, one.new, 1), encoding="utf-8")
        yield copy


def passes_whole(tests: tuple[str, str]) -> bool:
    """Run the tests of some breaks on code that nothing is broken in."""
    with broken_copy(SOUND) as copy:
        return pytest_ends(copy, *tests) == 0


def noticed(number: int, one: Break) -> bool:
    """Break one line in a copy and run its tests."""
    with broken_copy(one) as copy:
        ended = pytest_ends(copy, one.tests, one.only)
    said = {0: "MISSED", 1: "noticed"}.get(ended, f"NOT RUN ({ended})")
    print(f"{number:2d}. {said:8s} {one.file}: {one.old.strip()}  ->  {one.new.strip()}", flush=True)
    return ended == 1


def main() -> None:
    """Break all lines and print the count."""
    sets = sorted({(one.tests, one.only) for one in BREAKS})
    with ThreadPoolExecutor(int(sys.argv[1]) if len(sys.argv) > 1 else 2) as pool:
        fail = [tests for tests, good in zip(sets, pool.map(passes_whole, sets), strict=True) if not good]
        if fail:
            raise SystemExit(f"these tests fail with nothing broken: {fail}")
        print(f"{len(sets)} sets of tests pass with nothing broken", flush=True)
        found = list(pool.map(noticed, range(1, len(BREAKS) + 1), BREAKS))
    print(f"{sum(found)} of {len(found)} broken lines noticed")


if __name__ == "__main__":
    main()
