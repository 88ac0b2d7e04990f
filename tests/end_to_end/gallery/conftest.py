"""Makes small invented country as files, right or with one fault, for the gallery of bad input."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, time
from pathlib import Path
from typing import Any

import numpy as np
import pyogrio
import pytest
import rasterio
import shapely
from affine import Affine

from hushwalk.cli import main
from hushwalk.grid.grid import Grid
from hushwalk.site.grid_choice import choose_grid
from hushwalk.site.inputs import Inputs, read_inputs
from hushwalk.site.settings import GroundSettings, LayerSettings, MorningSettings, PlaceSettings, TripSettings

LON, LAT = -91.69, 46.94
GROUND = GroundSettings(cell_m=20.0, reach_m=500.0)


TRIP = {
    "place.name": '"Invented ground"',
    "place.car": f'"{LAT}, {LON}"',
    "morning.date": "2027-04-25",
    "morning.time_zone": '"America/Chicago"',
    "morning.back_by": "08:00:00",
    "ground.cell_m": "20.0",
    "ground.reach_m": "500.0",
}
LAYERS = {
    "elevation": 'path = "heights.tif"',
    "cover": 'path = "cover.tif"\nlegend = "nlcd"',
    "streams": 'path = "streams.gpkg"',
    "trails": 'path = "trails.gpkg"',
}


@dataclass(frozen=True)
class PlanContext:
    """What a command said, and how it ended."""

    code: int
    out: str
    err: str


Run = Callable[..., PlanContext]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command in this process, as the command line does; a traceback is an error of the test."""

    def run_command(*words: object) -> PlanContext:
        code: Any = 0
        try:
            main([str(word) for word in words])
        except SystemExit as end:
            code = end.code
        said = capsys.readouterr()
        return PlanContext(int(code or 0), said.out, said.err)

    return run_command


@dataclass(frozen=True)
class Country:
    """A folder to write layers into, and the grid that they should land on."""

    folder: Path
    grid: Grid

    @property
    def lattice(self) -> Affine:
        """20 m cells over the ground and 200 m beyond it."""
        return self.grid.transform @ Affine.translation(-10, -10)

    @property
    def shape(self) -> tuple[int, int]:
        return self.grid.n_rows + 20, self.grid.n_cols + 20

    def heights(self) -> np.ndarray:
        rows, cols = np.indices(self.shape)
        return (400 + 0.6 * cols + 0.3 * rows).astype(np.float32)

    def classes(self) -> np.ndarray:
        classes = np.full(self.shape, 41, dtype=np.uint8)
        classes[:, 30:] = 42
        classes[20:30, 20:30] = 11
        return classes

    def raster(self, name: str, values: np.ndarray, **profile: Any) -> Path:
        bands = values if values.ndim == 3 else values[None]
        settings = {"crs": self.grid.crs, "transform": self.lattice, "driver": "GTiff", **profile}
        colours = settings.pop("colours", None)
        with rasterio.open(
            self.folder / name,
            "w",
            height=bands.shape[1],
            width=bands.shape[2],
            count=len(bands),
            dtype=bands.dtype,
            **{key: value for key, value in settings.items() if value is not None},
        ) as file:
            file.write(bands)
            if colours:
                file.write_colormap(1, colours)
        return self.folder / name

    def vector(
        self,
        name: str,
        shapes: Sequence[Any],
        kind: str = "Unknown",
        crs: str | None = "grid",
        fields: dict[str, Sequence[Any]] | None = None,
        layer: str | None = None,
        **options: Any,
    ) -> Path:
        fields = fields or {"n": list(range(len(shapes)))}
        wkb = np.array([None if s is None else shapely.to_wkb(s, include_srid=False) for s in shapes], dtype=object)
        pyogrio.raw.write(
            self.folder / name,
            wkb,
            [np.array(v) for v in fields.values()],
            list(fields),
            geometry_type=kind,
            crs=self.grid.crs if crs == "grid" else crs,
            layer=layer,
            **options,
        )
        return self.folder / name

    def at(self, east_m: float, north_m: float) -> tuple[float, float]:
        """A point by its metres from the south-west corner of the ground."""
        return self.grid.bounds[0] + east_m, self.grid.bounds[1] + north_m

    def line(self, *points: tuple[float, float]) -> shapely.LineString:
        return shapely.LineString([self.at(*point) for point in points])

    def area(self, *points: tuple[float, float]) -> shapely.Polygon:
        return shapely.Polygon([self.at(*point) for point in points])

    def trip(self, *layers: LayerSettings, **more: Any) -> TripSettings:
        return TripSettings(
            place=PlaceSettings("Invented ground", f"{LAT}, {LON}"),
            morning=MorningSettings(date(2027, 4, 25), time(9, 30), "America/Chicago"),
            layers=layers,
            ground=more.pop("ground", GROUND),
            folder=self.folder,
            **more,
        )

    def small_trip(self, *, left_out: Sequence[str] = (), say: dict[str, str] | None = None, more: str = "") -> Path:
        """Write a whole little trip: heights, cover, a brook and a trail, and the file that names them.

        ``say`` replaces lines of the file by their key, as ``{"morning.back_by": "08:00:00"}``; ``more`` is added.
        """
        self.raster("heights.tif", self.heights())
        self.raster("cover.tif", self.classes())
        self.vector("streams.gpkg", [self.line((0, 700), (1000, 900))])
        self.vector("trails.gpkg", [self.line((0, 480), (1100, 520))])
        said = TRIP | (say or {})
        tables: dict[str, list[str]] = {"": []}
        for key, value in said.items():
            table, _, name = key.rpartition(".")
            tables.setdefault(table, []).append(f"{name} = {value}")
        blocks = ["\n".join([f"[{table}]" if table else "", *lines]) for table, lines in tables.items() if lines]
        for kind, words in LAYERS.items():
            if kind not in left_out:
                blocks.append(f'[[layer]]\nkind = "{kind}"\n{words}')
        path = self.folder / "trip.toml"
        path.write_text("\n\n".join([*blocks, more]) + "\n", encoding="utf-8")
        return path

    def read(self, *layers: LayerSettings, **more: Any) -> Inputs:
        return read_inputs(self.trip(*layers, **more), self.grid)

    def read_beside_heights(self, *layers: LayerSettings, **more: Any) -> Inputs:
        """Read layers together with sound heights, which every trip needs."""
        self.raster("heights.tif", self.heights())
        return self.read(LayerSettings("elevation", "heights.tif"), *layers, **more)


@pytest.fixture
def country(tmp_path: Path) -> Country:
    bare = TripSettings(
        PlaceSettings("Invented ground", ""),
        MorningSettings(date(2027, 4, 25), time(9, 30), "America/Chicago"),
        (LayerSettings("elevation", "heights.tif"),),
        ground=GROUND,
    )
    return Country(tmp_path, choose_grid(bare, (LON, LAT)))
