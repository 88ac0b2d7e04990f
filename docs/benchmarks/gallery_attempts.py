"""Bad input for the gallery, made by a seed: trip files and layers, beside a sound little trip.

Here are trip files and layers; what is typed is gallery_words.py's, running and judging gallery.py's.
"""

import os
import random
import sqlite3
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pyogrio
import rasterio
import shapely
from affine import Affine
from pyproj import Transformer

CAR = (-91.69, 46.94)
CRS = "EPSG:32615"
TRIP = """\
seed = 1

[place]
name = "Invented ground"
car = "46.94, -91.69"

[morning]
date = 2027-04-25
time_zone = "America/Chicago"
back_by = 08:00:00

[ground]
cell_m = 20.0
reach_m = 400.0

[[layer]]
kind = "elevation"
path = "heights.tif"

[[layer]]
kind = "cover"
path = "cover.tif"
legend = "nlcd"

[[layer]]
kind = "streams"
path = "streams.gpkg"
"""
CLOSED = '\n[[layer]]\nkind = "closed"\npath = "{}"\n'
STREAMS = 'path = "streams.gpkg"'


@dataclass(frozen=True)
class Attempt:
    """One attempt: its class and name, what it does to the folder of a sound trip, and what is typed there.

    Parameters
    ----------
    kind, name : of the attempt.
    spoil : changes the folder.
    words : of the command, run in the folder.
    codes : exit codes that are right.
    """

    kind: str
    name: str
    spoil: Callable[[Path], object]
    words: tuple[str, ...] = ("check", "trip.toml")
    codes: tuple[int, ...] = (0, 2)


def make_country(folder: Path) -> None:
    """Write a sound little trip: heights, cover, a brook."""
    east, north = Transformer.from_crs("EPSG:4326", CRS, always_xy=True).transform(*CAR)
    corner = Affine(20, 0, round(east, -2) - 800, 0, -20, round(north, -2) + 800)
    rows, cols = np.indices((80, 80))
    profile = {"driver": "GTiff", "width": 80, "height": 80, "count": 1, "crs": CRS, "transform": corner}
    heights = (400 + 0.6 * cols + 0.3 * rows).astype(np.float32)
    for name, values in (("heights.tif", heights), ("cover.tif", np.where(cols > 40, 42, 41).astype(np.uint8))):
        with rasterio.open(folder / name, "w", dtype=values.dtype, compress="lzw", **profile) as file:
            file.write(values, 1)
    brooks = [shapely.LineString([(east - 700, north + k * 60), (east + 700, north + k * 70)]) for k in range(-6, 7)]
    wkb = np.array([shapely.to_wkb(brook) for brook in brooks], dtype=object)
    for name in ("streams.gpkg", "streams.shp", "streams.geojson", "streams.fgb"):
        pyogrio.raw.write(folder / name, wkb, [np.arange(13)], ["n"], geometry_type="LineString", crs=CRS)
    (folder / "trip.toml").write_text(TRIP, encoding="utf-8")


def trip(*changes: tuple[str, str], more: str = "") -> Callable[[Path], object]:
    """A trip file with some lines replaced and some added."""

    def spoil(folder: Path) -> None:
        text = TRIP
        for old, new in changes:
            text = text.replace(old, new)
        (folder / "trip.toml").write_text(text + more, encoding="utf-8")

    return spoil


def written(name: str, content: bytes, then: Callable[[Path], object] = lambda _: None) -> Callable[[Path], object]:
    """One file with stated bytes."""

    def spoil(folder: Path) -> None:
        (folder / name).write_bytes(content)
        then(folder)

    return spoil


# trip files
HOSTILE = (
    *('""', '"x"', "-1", "0", "nan", "inf", "-inf", "1e308", "99999999999999999999", "true", "[]", "{}", "[[]]"),
    *(
        "2027-04-25",
        "09:30:00",
        '"\\u0000"',
        '"\\u202e"',
        '"' + "a" * 5000 + '"',
        "0x7fffffff",
        "9" * 5000,
        '"../../x"',
    ),
)
KEYS = (
    *("place.name", "place.car", "morning.date", "morning.time_zone", "morning.back_by", "ground.cell_m"),
    *("ground.reach_m", "seed", "layer.kind", "layer.path", "layer.legend", "morning.leave_not_before"),
    *("morning.minutes_per_stop_min", "morning.longest_walk_km", "morning.stops_max", "walker.reserve", "species"),
    *("walker.evidence_weights", "weather.temperature_c", "weather.humidity_pct", "camera.lens", "wishes.must"),
    *("layer.crs", "layer.where", "layer.classes", "closed.corners", "search.until"),
)
SLIPS = {
    "back_by without seconds": ("back_by = 08:00:00", "back_by = 08:00"),
    "back_by with a point": ("back_by = 08:00:00", "back_by = 08.00"),
    "date in quotes": ("date = 2027-04-25", 'date = "2027-04-25"'),
    "date with points": ("date = 2027-04-25", "date = 25.04.2027"),
    "comma for a point": ("cell_m = 20.0", "cell_m = 20,0"),
    "curly quotes": ('name = "Invented ground"', "name = “Invented ground”"),
    "no quotes": ('name = "Invented ground"', "name = Invented ground"),
    "tab": ("cell_m = 20.0", "\tcell_m\t=\t20.0"),
    "windows path": ('"heights.tif"', '"C:\\Users\\me\\heights.tif"'),
    "missing bracket": ("[morning]", "[morning"),
    "missing brackets": ("[[layer]]", "[layer]"),
    "unclosed quote": ('"heights.tif"', '"heights.tif'),
    "two values": ("seed = 1", "seed = 1 2"),
    "colon": ("seed = 1", "seed: 1"),
    "no value": ("seed = 1", "seed ="),
}
DAYS = ("0001-01-01", "1600-02-29", "1899-12-31", "2011-12-30", "2024-02-29", "2027-02-29", "9999-12-31", "9999-01-01")
ZONES = ("UTC", "Factory", "localtime", "posixrules", "Pacific/Apia", "Etc/GMT+6", "../etc/passwd", "America", "/", "")
CARS = (
    "0, 0",
    "90, 0",
    "-90, 180",
    "52.0, 180.0",
    "91, 0",
    "46.94; -91.69",
    "46,94, -91,69",
    "15T YN 0 0",
    "nan, nan",
    "°",
)


def trip_files() -> Iterator[Attempt]:
    """Keys with values that nobody means, the commonest slips, odd days, zones and places, encodings."""
    for key in KEYS:
        table, _, name = key.rpartition(".")
        for k, value in enumerate(HOSTILE):
            head = f"\n[[{table}]]\n" if table in {"layer", "closed"} else f"\n[{table}]\n" if table else ""
            line = f"{name} = {value}\n"
            own = next((old for old in TRIP.splitlines() if old.startswith(f"{name} =")), "")
            first = written("trip.toml", (line + TRIP.replace("seed = 1\n", "")).encode()) if not table else None
            spoil = first or (trip((own + "\n", line)) if own else trip(more=head + line))
            yield Attempt("trip file: values", f"{key} = {k}", spoil)
    for name, change in SLIPS.items():
        yield Attempt("trip file: slips", name, trip(change))
    for day in DAYS:
        yield Attempt("trip file: days and places", day, trip(("2027-04-25", day)))
    for zone in ZONES:
        for day in ("2027-04-25", "2011-12-30"):
            yield Attempt(
                "trip file: days and places", f"{zone} {day}", trip(("America/Chicago", zone), ("2027-04-25", day))
            )
    for car in CARS:
        yield Attempt("trip file: days and places", car, trip(("46.94, -91.69", car)))
    yield from _odd_bytes()


def _odd_bytes() -> Iterator[Attempt]:
    """Encodings, endless nests, huge files, spoilt bytes."""
    for code in ("utf-8-sig", "utf-16", "utf-32", "cp037", "latin-1"):
        yield Attempt(
            "trip file: bytes", code, written("trip.toml", TRIP.replace("Inv", "Ünv").encode(code, "replace"))
        )
    nested = "[" * 20000
    for name, text in {
        "dotted": "a" + ".a" * 20000 + " = 1",
        "arrays": f"a = {nested}",
        "tables": "a = " + "{a=" * 20000,
        "long": TRIP + "#" * 3_000_000,
        "zeros": "\0" * 1000,
        "lines": TRIP + "\n" * 500_000,
        "empty": "",
        "same key": TRIP + "[place]\n",
        "digits": "seed = " + "9" * 20000,
        "binary": "".join(map(chr, range(256))),
        "long path": TRIP.replace("heights.tif", "a" * 5000),
        "zero in a path": TRIP.replace("heights.tif", "a\\u0000b"),
    }.items():
        yield Attempt("trip file: bytes", name, written("trip.toml", text.encode()))
    for k in range(120):
        rng = random.Random(k)  # noqa: S311
        raw = bytearray(TRIP.encode())
        for _ in range(rng.choice([1, 3, 20])):
            raw[rng.randrange(len(raw))] = rng.randrange(256)
        yield Attempt("trip file: bytes", f"bits {k}", written("trip.toml", bytes(raw)))


def _damaged(name: str, k: int) -> Callable[[Path], object]:
    def spoil(folder: Path) -> None:
        rng = random.Random(f"{name} {k}")  # noqa: S311
        raw = bytearray((folder / name).read_bytes())
        for _ in range(rng.choice([1, 3, 30])):
            raw[rng.randrange(min(len(raw), rng.choice([100, 1000, 10**9])))] = rng.randrange(256)
        if k % 3 == 0:
            del raw[rng.randrange(len(raw)) :]
        (folder / name).write_bytes(bytes(raw))
        if name.startswith("streams"):
            trip((STREAMS, f'path = "{Path(name).stem}.{"shp" if name[-3:] in SHAPE else name.rpartition(".")[2]}"'))(
                folder
            )

    return spoil


SHAPE = ("shp", "shx", "dbf", "prj")
FILES = ("heights.tif", "cover.tif", *(f"streams.{end}" for end in ("gpkg", "geojson", "fgb", *SHAPE)))


def damaged_layers() -> Iterator[Attempt]:
    """Layers with spoilt bytes or cut short."""
    for name in FILES:
        for k in range(30):
            yield Attempt("layers: damaged", f"{name} {k}", _damaged(name, k))


def _zipped(name: str, size: int) -> Callable[[Path], object]:
    def spoil(folder: Path) -> None:
        with zipfile.ZipFile(folder / "x.zip", "w", zipfile.ZIP_DEFLATED) as archive, archive.open(name, "w") as file:
            for _ in range(size // 10**7):
                file.write(b" " * 10**7)
        trip((STREAMS, 'path = "x.zip"'))(folder)

    return spoil


def _star(corners: int) -> Callable[[Path], object]:
    def spoil(folder: Path) -> None:
        turn = np.arange(corners) * (np.pi * (1 - 1 / corners))
        ring = np.stack([CAR[0] + 0.003 * np.cos(turn), CAR[1] + 0.003 * np.sin(turn)], axis=1)
        shape = np.array([shapely.to_wkb(shapely.Polygon(ring))], dtype=object)
        pyogrio.raw.write(folder / "x.gpkg", shape, [np.array([1])], ["n"], geometry_type="Polygon", crs="EPSG:4326")
        trip(more=CLOSED.format("x.gpkg"))(folder)

    return spoil


def _locked(folder: Path) -> None:
    base = sqlite3.connect(folder / "streams.gpkg")
    base.execute("pragma locking_mode=exclusive")
    base.execute("begin exclusive")
    KEPT.append(base)


KEPT: list[object] = []
"""Locks that are held until the process ends."""

AROUND = {
    "the whole earth": [(-180, -90), (180, -90), (180, 90), (-180, 90)],
    "two thirds of it": [(-179.9, 40), (-60, 40), (-60, 60), (-179.9, 60)],
    "half of it": [(-170, 0), (0, 0), (0, 80), (-170, 80)],
    "the wrong way round": [(-60, 40), (-179.9, 40), (-179.9, 60), (-60, 60)],
    "a pole": [(-180, 40), (180, 40), (180, 90), (-180, 90)],
    "a sliver": [(-91.69, 46.9), (-91.69, 47), (-91.69, 47.1)],
    "beside the reach": [(-91.67, 46.94), (-91.66, 46.94), (-91.66, 46.95)],
    "beyond numbers": [(-1e308, -1e308), (1e308, -1e308), (1e308, 1e308)],
    "swapped": [(46.9, -91.7), (47.0, -91.7), (47.0, -91.6)],
}


def odd_layers() -> Iterator[Attempt]:
    """Closed ground round the earth, pipes, devices, archives that swell, shapes that cross themselves everywhere."""
    for name, ring in AROUND.items():
        corners = ",".join(f"[{x},{y}]" for x, y in [*ring, ring[0]])
        text = f'{{"type":"Feature","properties":{{}},"geometry":{{"type":"Polygon","coordinates":[[{corners}]]}}}}'
        yield Attempt(
            "layers: odd", f"closed: {name}", written("x.geojson", text.encode(), trip(more=CLOSED.format("x.geojson")))
        )
    for corners in (5, 501, 20001):
        yield Attempt("layers: odd", f"star of {corners}", _star(corners))
    for name in ("a.geojson", "a.gml", "a.kml", "a.shp"):
        yield Attempt("layers: odd", f"swelling {name}", _zipped(name, 2 * 10**9))
    yield Attempt(
        "layers: odd",
        "a pipe",
        lambda folder: (os.mkfifo(folder / "x.gpkg"), trip((STREAMS, 'path = "x.gpkg"'))(folder)),
    )
    yield Attempt(
        "layers: odd", "a pipe as trip file", lambda folder: os.mkfifo(folder / "p.toml"), ("check", "p.toml")
    )
    yield Attempt("layers: odd", "locked", _locked)
    for device in ("/dev/zero", "/dev/null", "/dev/stdin", "/", "/proc/self/mem", "/etc/shadow"):
        yield Attempt("layers: odd", device, trip((STREAMS, f'path = "{device}"')))
        yield Attempt("layers: odd", f"{device} as trip file", lambda _: None, ("check", device), (2,))
    for cell in (1e300, 1e-300, -20, 1e9, float("nan")):
        yield Attempt("layers: odd", f"cells of {cell}", _cells(cell))


def _cells(size: float) -> Callable[[Path], object]:
    def spoil(folder: Path) -> None:
        place = f"<GeoTransform>-92,{size},0,47,0,{-size}</GeoTransform><SRS>{CRS}</SRS>"
        source = '<SimpleSource><SourceFilename relativeToVRT="1">heights.tif</SourceFilename></SimpleSource>'
        band = f'<VRTRasterBand dataType="Float32" band="1">{source}</VRTRasterBand>'
        (folder / "x.vrt").write_text(f'<VRTDataset rasterXSize="80" rasterYSize="80">{place}{band}</VRTDataset>')
        trip(('"heights.tif"', '"x.vrt"'))(folder)

    return spoil
