"""One measured or computed quantity on a grid.

How files become layers is align.py's business.
"""

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from hushwalk.errors import GridMismatchError
from hushwalk.grid.grid import Grid
from hushwalk.types import FloatArray


@dataclass(frozen=True, eq=False)
class Layer:
    """A named quantity with its unit on a grid.

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
                f"layers {self.name!r} and {other.name!r} lie on different grids: {self.grid} and {other.grid}"
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
