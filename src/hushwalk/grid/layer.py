"""One measured or computed quantity on a grid.

How files become layers is align.py's business.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import DTypeLike, NDArray

from hushwalk.errors import GridMismatchError, InputError, OutputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer_arithmetic import LayerArithmetic
from hushwalk.types import FloatArray


@dataclass(frozen=True, eq=False)
class Layer(LayerArithmetic):
    """A named quantity with its unit on a grid; layers of one grid are added, multiplied and compared cell by cell.

    Parameters
    ----------
    name : what it is, such as ``"elevation"``.
    unit : SI unit, ``"1"`` for fractions, ``"class"`` for codes.
    grid : where it lies.
    values : shape grid.shape; NaN where unknown. Kept as float64 and made read-only.
    story : how it came to be, one sentence a step (source file, resampling, what was filled).

    Raises
    ------
    GridMismatchError
        If the shape of the values is not that of the grid.
    """

    name: str
    unit: str
    grid: Grid
    values: FloatArray = field(repr=False)
    story: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        values = np.array(self.values, dtype=np.float64)
        if values.shape != self.grid.shape:
            raise GridMismatchError(
                f"layer {self.name!r} has {values.shape} values for a grid of {self.grid.shape} cells"
            )
        values.setflags(write=False)
        object.__setattr__(self, "values", values)

    @property
    def known(self) -> NDArray[np.bool_]:
        """Where the layer has a value."""
        return np.isfinite(self.values)

    def checked_against(self, other: "Layer") -> "Layer":
        """Return the other layer after checking that it lies on the same grid.

        Raises
        ------
        GridMismatchError
            If the grids differ.
        """
        if self.grid != other.grid:
            raise GridMismatchError(
                f"layers {self.name!r} and {other.name!r} lie on different grids: {self.grid} and {other.grid}; take "
                "both from one trip, or resample one of them first"
            )
        return other

    def at(self, xy_m: FloatArray) -> FloatArray:
        """Values of the cells that hold the points; NaN off the grid.

        Parameters
        ----------
        xy_m : shape (n, 2) [m].

        Returns
        -------
        ndarray, shape (n,)
        """
        points = np.atleast_2d(np.asarray(xy_m, dtype=float))
        inside = self.grid.contains(points)
        rows, cols = self.grid.rowcol(points)
        found = np.full(len(points), np.nan)
        found[inside] = self.values[rows[inside], cols[inside]]
        return found

    def with_values(
        self, values: FloatArray, *, name: str | None = None, unit: str | None = None, step: str = ""
    ) -> "Layer":
        """Return a new layer on the same grid with one more sentence in its story.

        Parameters
        ----------
        values : of every cell, of the shape of the grid.
        name : of the new layer; as before if not given.
        unit : of the values; as before if not given.
        step : sentence for the story.

        Returns
        -------
        Layer
            The new layer.
        """
        return replace(
            self,
            values=values,
            name=name or self.name,
            unit=unit or self.unit,
            story=(*self.story, step) if step else self.story,
        )

    def __array__(self, dtype: DTypeLike | None = None, copy: bool | None = None) -> NDArray[Any]:
        """Give the values, so that numpy takes a layer wherever it takes an array; NaN where unknown.

        Parameters
        ----------
        dtype : of the array; that of the values if not given.
        copy : whether they are copied; numpy asks for it.

        Returns
        -------
        ndarray, shape grid.shape
            In the unit of the layer; read-only unless copied.
        """
        return np.array(self.values, dtype=dtype, copy=copy)

    def to_xarray(self) -> Any:  # noqa: ANN401 - of an extra, which types cannot name where it is not installed
        """Give the layer as an ``xarray.DataArray`` with cell centres as coordinates and CF attributes.

        Returns
        -------
        xarray.DataArray, shape grid.shape
            Dimensions ``y`` (northing [m], falling) and ``x`` (easting [m]); the reference system stands in the
            coordinate ``spatial_ref``, unit and story in the attributes.

        Raises
        ------
        InputError
            If xarray is not installed: ``pip install 'hushwalk[xarray]'``.

        References
        ----------
        cf_conventions_1_11
        """
        try:
            from xarray import DataArray  # noqa: PLC0415 - an extra
        except ImportError:
            raise InputError("to_xarray needs xarray: pip install 'hushwalk[xarray]'") from None
        from pyproj import CRS  # noqa: PLC0415 - the only place here that needs it

        grid = self.grid
        east = grid.west_m + (np.arange(grid.n_cols) + 0.5) * grid.cell_m
        north = grid.north_m - (np.arange(grid.n_rows) + 0.5) * grid.cell_m
        axis = {"units": "m", "axis": "X", "standard_name": "projection_x_coordinate"}
        return DataArray(
            self.values,
            dims=("y", "x"),
            coords={
                "y": ("y", north, axis | {"axis": "Y", "standard_name": "projection_y_coordinate"}),
                "x": ("x", east, axis),
                "spatial_ref": ((), 0, CRS.from_epsg(grid.epsg).to_cf()),
            },
            name=self.name.replace(" ", "_").replace(",", ""),
            attrs={
                "long_name": self.name,
                "units": self.unit,
                "history": "\n".join(self.story),
                "grid_mapping": "spatial_ref",
            },
        )

    def to_geotiff(self, path: str | Path, tags: Mapping[str, str] | None = None) -> Path:
        """Write the layer as a cloud-optimised GeoTIFF, with name, unit and story in it.

        Parameters
        ----------
        path : of the file; one of that name is replaced when the new one is whole.
        tags : further words for the tags of the file.

        Returns
        -------
        Path
            Of the file.

        Raises
        ------
        OutputError
            If the file cannot be written.
        """
        target = Path(path)
        half = target.with_name(f"{target.name}.part")
        try:
            half.write_bytes(self.as_geotiff(tags))
            half.replace(target)
        except OSError as fault:
            half.unlink(missing_ok=True)
            raise OutputError(f"{target} cannot be written: {fault.strerror or fault}; name another file") from fault
        return target

    def as_geotiff(self, tags: Mapping[str, str] | None = None) -> bytes:
        """Give what :meth:`to_geotiff` writes."""
        from hushwalk.grid.cloud_raster import cloud_raster  # noqa: PLC0415 - most layers are never written

        own = {"NAME": self.name, "UNIT": self.unit, "STORY": "\n".join(self.story)}
        return cloud_raster(self.values, self.grid, name=self.name, unit=self.unit, tags=own | dict(tags or {}))
