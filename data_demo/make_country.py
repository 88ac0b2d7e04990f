"""Make the invented country of the demo: run `python data_demo/make_country.py`, with `--out FOLDER` for elsewhere.

The same seed gives the same files. trip.toml is written by hand and not made here.
"""

import argparse
import csv
import json
import os
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import geopandas as gpd
import numpy as np
import rasterio
import shapely
from numpy.typing import NDArray
from pyproj import Transformer
from rasterio.features import shapes
from rasterio.transform import from_origin

from birds import Bearing, listening_places, make_bearings, make_birds, quality
from hushwalk.grid.points import convergence_deg, to_lonlat
from hushwalk.science.magnetic import declination, magnetic_from_true
from hushwalk.science.sun import morning_light
from relief import CELL_M, FloatArray, Relief, make_relief
from waters import Waters, make_waters
from ways import Ways, make_ways
from woods import NO_AGE, Woods, make_woods

SEED = 20270424
GROUND_EPSG, LAND_COVER_EPSG, VECTOR_EPSG = 26915, 5070, 4326
WEST_M, NORTH_M = 697_200.0, 5_253_600.0  # in the middle of a great lake, so that no real ground is meant
TIME_ZONE = ZoneInfo("America/Chicago")
BEARING_DAY = date(2027, 4, 23)
PONDS = (
    "Kettlelid Pond",
    "Lantern Pond",
    "Twin Spoon Pond",
    "Mitten Pond",
    "Pocket Pond",
    "Thimble Pond",
    "Button Pond",
)


@dataclass(frozen=True, eq=False)
class Land:
    """The whole invented country on its cells."""

    relief: Relief
    waters: Waters
    ways: Ways
    woods: Woods
    birds: FloatArray
    stops: FloatArray
    bearings: tuple[Bearing, ...]


def make_land(seed: int = SEED) -> Land:
    """Make the country from one seed."""
    rng = np.random.default_rng(seed)
    relief = make_relief(rng)
    down, across = np.gradient(relief.height_m, CELL_M)
    slope_deg = np.degrees(np.arctan(np.hypot(down, across)))
    waters = make_waters(relief, slope_deg)
    ways = make_ways(rng, relief, waters)
    woods = make_woods(rng, relief, waters, ways, slope_deg)
    birds = make_birds(rng, quality(woods, waters))
    stops = listening_places(ways) + 0.5
    return Land(relief, waters, ways, woods, birds, stops, make_bearings(rng, stops, birds))


def metres(corners: FloatArray) -> FloatArray:
    """Rows and columns, counted from the north-west corner, as easting and northing."""
    return np.stack([WEST_M + CELL_M * corners[:, 1], NORTH_M - CELL_M * corners[:, 0]], axis=-1)


def write_raster(
    path: Path, values: NDArray[Any], epsg: int, west_m: float, north_m: float, cell_m: float, nodata: float | None
) -> None:
    """Write one small tiled GeoTIFF."""
    profile = {
        "driver": "GTiff",
        "height": values.shape[0],
        "width": values.shape[1],
        "count": 1,
        "dtype": values.dtype,
        "crs": f"EPSG:{epsg}",
        "transform": from_origin(west_m, north_m, cell_m, cell_m),
        "nodata": nodata,
        "compress": "deflate",
        "zlevel": 9,
        "predictor": 3 if values.dtype.kind == "f" else 2,
        "tiled": True,
    }
    with rasterio.open(path, "w", **profile) as file:
        file.write(values, 1)


def on_land_cover_cells(
    values: NDArray[np.uint8], cell_m: float
) -> tuple[NDArray[np.uint8], float, float, NDArray[np.bool_]]:
    """Turn cells of the ground into cells of the land-cover projection; also its corner, and where ground is."""
    side = values.shape[0]
    there = Transformer.from_crs(GROUND_EPSG, LAND_COVER_EPSG, always_xy=True)
    x, y = there.transform(*metres(np.array([(0, 0), (0, side), (side, 0), (side, side)], dtype=float)).T)
    west, north = np.floor(min(x) / cell_m) * cell_m, np.ceil(max(y) / cell_m) * cell_m
    n_cols, n_rows = int(np.ceil((max(x) - west) / cell_m)), int(np.ceil((north - min(y)) / cell_m))
    east = west + cell_m * (np.arange(n_cols) + 0.5)
    down = north - cell_m * (np.arange(n_rows) + 0.5)
    back = Transformer.from_crs(LAND_COVER_EPSG, GROUND_EPSG, always_xy=True)
    e, n = back.transform(*np.meshgrid(east, down))
    cols, rows = np.floor((e - WEST_M) / CELL_M).astype(int), np.floor((NORTH_M - n) / CELL_M).astype(int)
    inside = (rows >= 0) & (rows < side) & (cols >= 0) & (cols < side)
    return values[rows.clip(0, side - 1), cols.clip(0, side - 1)], float(west), float(north), inside


def write_rasters(land: Land, out: Path) -> None:
    """Write heights, cover, canopy and age, each on the grid that such a product would have."""
    height = land.relief.height_m.astype(np.float32)
    write_raster(out / "elevation.tif", height, GROUND_EPSG, WEST_M, NORTH_M, CELL_M, -9999.0)
    cover, west, north, inside = on_land_cover_cells(land.woods.cover, CELL_M)
    write_raster(
        out / "cover.tif", np.where(inside, cover, 0).astype(np.uint8), LAND_COVER_EPSG, west, north, CELL_M, 0
    )
    canopy, west, north, inside = on_land_cover_cells(land.woods.canopy_pct, 3 * CELL_M)
    canopy = np.where(inside, canopy, 255).astype(np.uint8)
    write_raster(out / "canopy_cover.tif", canopy, LAND_COVER_EPSG, west, north, 3 * CELL_M, 255)
    age = np.ascontiguousarray(land.woods.age_years[::2, ::2])
    write_raster(out / "stand_age.tif", age, GROUND_EPSG, WEST_M, NORTH_M, 2 * CELL_M, NO_AGE)


def layer(rows: list[dict[str, Any]]) -> gpd.GeoDataFrame:
    """Rows with a geometry in metres as a layer in degrees, to a tenth of a metre."""
    frame = gpd.GeoDataFrame(rows, crs=f"EPSG:{GROUND_EPSG}").to_crs(VECTOR_EPSG)
    frame["geometry"] = shapely.set_precision(frame.geometry.values, 1e-6)
    return frame


def areas(mask: NDArray[np.bool_], round_m: float) -> list[shapely.Polygon]:
    """Outlines of a mask with rounded corners, the largest first."""
    found = shapes(mask.astype(np.uint8), mask=mask, transform=from_origin(WEST_M, NORTH_M, CELL_M, CELL_M))
    outlines = [shapely.geometry.shape(shape) for shape, _ in found]
    smooth = shapely.simplify(
        shapely.buffer(shapely.buffer(shapely.buffer(outlines, round_m), -2 * round_m), round_m), 2.0
    )
    singles = [part for whole in smooth for part in getattr(whole, "geoms", [whole]) if not part.is_empty]
    return sorted(singles, key=lambda part: -part.area)


def line(cells: FloatArray, *, smooth: int = 0) -> shapely.LineString:
    """Cell numbers as a line through their middles; the ends stay where they are."""
    places = cells.astype(float) + 0.5
    for _ in range(smooth):
        places[1:-1] = (places[:-2] + 2 * places[1:-1] + places[2:]) / 4
    return shapely.LineString(metres(places))


def vector_layers(land: Land) -> dict[str, gpd.GeoDataFrame]:
    """Make the layers of lines and areas."""
    streams = [
        {
            "kind": reach.kind,
            "name": "Hollow Alder Creek" if reach.kind == "creek" else "",
            "geometry": line(reach.cells, smooth=1),
        }
        for reach in land.waters.streams
    ]
    ponds = zip(PONDS, areas(land.relief.ponds > 0, 6.0), strict=False)
    lines = [{"kind": way.kind, "name": way.name, "geometry": line(way.places)} for way in land.ways.ways]
    return {
        "streams": layer(streams),
        "water": layer([{"kind": "pond", "name": name, "geometry": shape} for name, shape in ponds]),
        "wetlands": layer([{"kind": "wetland", "geometry": a} for a in areas(land.waters.wet, 8.0) if a.area > 2500]),
        "trails": layer([row for row in lines if row["kind"] != "gravel road"]),
        "roads": layer([row for row in lines if row["kind"] == "gravel road"]),
    }


def write_vectors(land: Land, out: Path) -> None:
    """Write the layers into one GeoPackage, and the closed parcel as GeoJSON."""
    path = out / "country.gpkg"
    path.unlink(missing_ok=True)
    os.environ["OGR_CURRENT_DATE"] = "2027-01-01T00:00:00.000Z"  # else every run writes another file
    for name, frame in vector_layers(land).items():
        frame.to_file(path, layer=name, driver="GPKG", engine="pyogrio")
    ring = to_lonlat(GROUND_EPSG, metres(land.ways.parcel)).round(6).tolist()
    parcel = {"type": "Polygon", "coordinates": [ring[::-1]]}
    write_geojson(out / "closed.geojson", [({"name": "Tamsley parcel, closed to all"}, parcel)])


def write_geojson(path: Path, features: list[tuple[dict[str, Any], dict[str, Any]]]) -> None:
    """Write features as GeoJSON, one a line."""
    rows = [json.dumps({"type": "Feature", "properties": p, "geometry": g}) for p, g in features]
    path.write_text('{"type": "FeatureCollection", "features": [\n' + ",\n".join(rows) + "\n]}\n", encoding="utf-8")


def write_birds(land: Land, out: Path) -> None:
    """Write the males, which no planner may see, and the bearings that were taken to them."""
    places = to_lonlat(GROUND_EPSG, metres(land.birds)).round(6).tolist()
    features = [
        ({"id": f"B{n:02d}", "simulated": True}, {"type": "Point", "coordinates": place})
        for n, place in enumerate(places, start=1)
    ]
    write_geojson(out / "known_birds.geojson", features)
    with (out / "bearings.csv").open("w", encoding="utf-8", newline="") as file:
        rows = bearing_rows(land)
        table = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        table.writeheader()
        table.writerows(rows)


def bearing_rows(land: Land) -> list[dict[str, str]]:
    """Rows of the fill-in table as a walker with a compass would have filled them."""
    places = to_lonlat(GROUND_EPSG, metres(land.stops))
    sunrise = morning_light(BEARING_DAY, TIME_ZONE, *places[0]).sunrise
    if sunrise is None:
        raise RuntimeError("no sunrise on the day of the bearings")
    first = sunrise.replace(second=0) - timedelta(minutes=50)
    rows = []
    for stop, (lon, lat) in enumerate(places.tolist()):
        start = first + timedelta(minutes=12 * stop)
        east = declination(BEARING_DAY, lon, lat).declination_deg
        turn = float(convergence_deg(GROUND_EPSG, metres(land.stops)[stop]))
        heard = [b for b in land.bearings if b.stop == stop]
        for n, bearing in enumerate(heard or [None], start=1):
            reading = 0.0 if bearing is None else float(magnetic_from_true(bearing.azimuth_deg + turn, east))
            rows.append(
                {
                    "line": f"P{stop + 1:02d}-{n}",
                    "stop": f"P{stop + 1:02d}",
                    "place": f"{lat:.6f}, {lon:.6f}",
                    "date": BEARING_DAY.isoformat(),
                    "start": start.strftime("%H:%M"),
                    "end": (start + timedelta(minutes=6)).strftime("%H:%M"),
                    "heard": "no" if bearing is None else "yes",
                    "wind": "calm" if n == 1 else "",
                    "sky": "clear" if n == 1 else "",
                    "bird": "" if bearing is None else f"B{bearing.bird + 1:02d}",
                    "reading_deg": "" if bearing is None else f"{round(reading) % 360:03d}",
                    "north": "M",
                    "error": "usual",
                    "distance": "",
                    "remark": "",
                }
            )
    return rows


def main() -> None:
    """Make the country and write its files."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=Path(__file__).parent, help="folder for the files")
    out = parser.parse_args().out
    out.mkdir(parents=True, exist_ok=True)
    land = make_land()
    write_rasters(land, out)
    write_vectors(land, out)
    write_birds(land, out)
    car = metres(np.array([land.ways.car_park], dtype=float) + 0.5)[0]
    print(f"car park: 15T {car[0]:.0f} {car[1]:.0f}; {len(land.birds)} birds, {len(land.bearings)} bearings")


if __name__ == "__main__":
    main()
