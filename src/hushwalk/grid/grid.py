"""The grid that a whole trip is laid on: projected, metric, north up, square cells.

Values on the grid live in layer.py.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from affine import Affine
from numpy.typing import NDArray

from hushwalk.errors import PlaceError, SettingsError
from hushwalk.types import FloatArray, IntArray

if TYPE_CHECKING:
    from collections.abc import Iterable


@dataclass(frozen=True)
class Grid:
    """A north-up raster grid of square cells in a projected, metric reference system.

    Parameters
    ----------
    epsg : EPSG code of the projected system; hushwalk uses UTM on WGS 84 (326xx, 327xx).
    west_m, north_m : easting and northing of the outer corner of cell (0, 0) [m].
    cell_m : cell size [m].
    n_rows, n_cols : rows counted from the north, columns from the west.

    Raises
    ------
    SettingsError
        If the cell size or the shape is not positive.
    """

    epsg: int
    west_m: float
    north_m: float
    cell_m: float
    n_rows: int
    n_cols: int

    def __post_init__(self) -> None:
        if not (self.cell_m > 0 and self.n_rows > 0 and self.n_cols > 0):
            raise SettingsError(
                f"a grid needs a positive cell size and shape, got {self.cell_m} m, {self.n_rows} x {self.n_cols} cells"
            )

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.n_rows, self.n_cols

    @property
    def n_cells(self) -> int:
        """Number of cells."""
        return self.n_rows * self.n_cols

    @property
    def crs(self) -> str:
        """Reference system in the form that every geospatial library takes."""
        return f"EPSG:{self.epsg}"

    @property
    def cell_area_km2(self) -> float:
        """Area of one cell [km2]."""
        return self.cell_m**2 / 1e6

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """West, south, east, north [m]."""
        return (
            self.west_m,
            self.north_m - self.n_rows * self.cell_m,
            self.west_m + self.n_cols * self.cell_m,
            self.north_m,
        )

    @property
    def transform(self) -> Affine:
        """Affine from (column, row) corners to (easting, northing)."""
        return Affine(self.cell_m, 0.0, self.west_m, 0.0, -self.cell_m, self.north_m)

    def xy(self, rows: "Iterable[int] | IntArray", cols: "Iterable[int] | IntArray") -> FloatArray:
        """Cell centres.

        Parameters
        ----------
        rows, cols : shape (n,).

        Returns
        -------
        ndarray, shape (n, 2)
            Easting and northing [m].
        """
        east = self.west_m + (np.asarray(cols, dtype=float) + 0.5) * self.cell_m
        north = self.north_m - (np.asarray(rows, dtype=float) + 0.5) * self.cell_m
        return np.stack([east, north], axis=-1)

    def rowcol(self, xy_m: FloatArray) -> tuple[IntArray, IntArray]:
        """Cells that hold the points.

        Parameters
        ----------
        xy_m : shape (n, 2) easting and northing [m].

        Returns
        -------
        tuple of ndarray
            Rows and columns, shape (n,), not checked against the shape of the grid.
        """
        points = np.asarray(xy_m, dtype=float)
        cols = np.floor((points[..., 0] - self.west_m) / self.cell_m).astype(np.int64)
        rows = np.floor((self.north_m - points[..., 1]) / self.cell_m).astype(np.int64)
        return rows, cols

    def contains(self, xy_m: FloatArray) -> NDArray[np.bool_]:
        """Tell which points lie on the grid.

        Parameters
        ----------
        xy_m : shape (n, 2) easting and northing [m].
        """
        rows, cols = self.rowcol(xy_m)
        inside: NDArray[np.bool_] = (rows >= 0) & (rows < self.n_rows) & (cols >= 0) & (cols < self.n_cols)
        return inside

    def cell_at(self, xy_m: "tuple[float, float] | FloatArray", what: str) -> tuple[int, int]:
        """Row and column of one point that must lie on the grid.

        Parameters
        ----------
        xy_m : easting and northing [m].
        what : how to name the point in the error, such as ``"place.car"``.

        Raises
        ------
        PlaceError
            If the point lies off the grid.
        """
        point = np.asarray([xy_m], dtype=float)
        if not self.contains(point)[0]:
            west, south, east, north = self.bounds
            raise PlaceError(
                f"{what} at E {point[0, 0]:.0f} N {point[0, 1]:.0f} lies outside the ground of the trip "
                f"(E {west:.0f}..{east:.0f}, N {south:.0f}..{north:.0f}); move it or enlarge ground.reach_m"
            )
        rows, cols = self.rowcol(point)
        return int(rows[0]), int(cols[0])

    def coarsened(self, factor: int) -> "Grid":
        """Grid of ``factor`` times larger cells from the same north-west corner, covering all of this one."""
        return Grid(
            self.epsg,
            self.west_m,
            self.north_m,
            self.cell_m * factor,
            -(-self.n_rows // factor),
            -(-self.n_cols // factor),
        )

    def window(self, row: int, col: int, n_rows: int, n_cols: int) -> "Grid":
        """Grid of a rectangle of cells of this one, from its north-west cell (row, col).

        Parameters
        ----------
        row : of the north-west cell.
        col : of the north-west cell.
        n_rows : of the rectangle.
        n_cols : of the rectangle.

        Returns
        -------
        Grid
            Of the rectangle.
        """
        return Grid(
            self.epsg,
            self.west_m + col * self.cell_m,
            self.north_m - row * self.cell_m,
            self.cell_m,
            n_rows,
            n_cols,
        )
