"""Raster layers: opened once, and read a window at a time, the same for a trip and for a wide region.

What the numbers mean is layer_values.py's business; opening files is the files room's.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import PurePath
from typing import Any

import numpy as np
from numpy.typing import NDArray
from rasterio.windows import Window

from hushwalk.errors import InputError
from hushwalk.files.paths import RASTER_ENDINGS, find
from hushwalk.files.rasters import RasterFile, look_at_raster, read_classes, read_measure, window_of
from hushwalk.grid.align import NO_CLASS, RasterPatch, source_cell_m, way_for
from hushwalk.grid.grid import Grid
from hushwalk.grid.systems import carried, name_of, system
from hushwalk.grid.window_invariant import (
    Positions,
    invariant_classes,
    invariant_measures,
    invariant_stands,
    positions,
    samples_for,
)
from hushwalk.site.reading.class_names import class_names_of
from hushwalk.site.reading.cover import EVT_LEGENDS, Crosswalk, by_vegetation_names
from hushwalk.site.reading.georeferencing import Claim, Georeference, resolve_system
from hushwalk.site.reading.heights import suspect_zeros
from hushwalk.site.reading.layer_values import (
    Meaning,
    Sense,
    all_or_faults,
    kinds_by_table,
    legend_of,
    meaning_of,
    sense_of,
    undeclared_codes,
)
from hushwalk.site.reading.raster_faults import (
    check_foreign,
    check_numbers,
    coarse_heights_words,
    coarser_step,
    foreign_number_words,
    hide_foreign,
    unknown_share_words,
    zero_words,
)
from hushwalk.site.settings import LayerSettings

Cells = tuple[int, int, int, int]
"""First row and column, numbers of rows and columns of a window."""

STRIP_CELLS = 16_000_000  # judgement: 64 MB of source cells at once
LOOK_CELLS = 4_000_000  # judgement: so many cells tell per cent from fractions
NEAR = 1e-6  # definition: two lattices are the same where they differ by less than this share of a cell
WORDS = {"average": "averaged", "bilinear": "interpolated", "mode": "the commonest class taken", "nearest": "taken"}


@dataclass(frozen=True, eq=False)
class RasterLayer:
    """One raster layer.

    Parameters
    ----------
    label, kind : how to name it in a message, and what it holds.
    file : what the file says of itself.
    sense : which numbers can be meant.
    source_m : size of its cells on the ground [m].
    step : blocks of so many cells along a side are read as one.
    samples : along the side of a cell of the grid, where the two do not share a lattice.
    corner : row and column of the file where the grid begins, if the two share a lattice.
    meaning : from numbers of the file to values: kinds of cover (0 unknown), metres, years, shares (NaN unknown).
    undeclared : class codes that mean "unknown" by custom and are not in the legend.
    head : the label with the name of the file.
    story : where it comes from and how it is resampled.
    notices, assumed : doubts about its place, and what was assumed about its numbers.
    refines : codes of the kinds of cover of an earlier layer that it tells more of; empty for all.
    """

    label: str
    kind: str
    file: RasterFile
    sense: Sense
    source_m: float
    step: int
    samples: int
    corner: tuple[int, int] | None
    meaning: Meaning
    undeclared: tuple[int, ...]
    head: str
    story: str
    notices: tuple[str, ...]
    assumed: tuple[str, ...]
    refines: tuple[int, ...] = ()

    def read(self, where: Georeference, window: Cells, notices: list[str] | None = None) -> NDArray[Any]:
        """Read a window.

        Parameters
        ----------
        where : the whole ground.
        window : which cells of it.
        notices : takes what should be known of the window; without it, a window may hold nothing.

        Returns
        -------
        ndarray, shape of the window
            Values, unknown as in ``meaning``.

        Raises
        ------
        InputError
            If the file is damaged or holds numbers that cannot be meant, or if a window with notices holds nothing.
        """
        numbers, foreign = self._numbers(where, window)
        check_foreign(foreign, self.file, self.label, self.sense)
        if notices is not None:
            notices += self._window_words(numbers, foreign)
        values = self.meaning(numbers)
        zeros = suspect_zeros(values) if self.kind == "elevation" else np.zeros((1, 1), dtype=bool)
        if zeros.any():
            values = np.where(zeros, np.nan, values)
        if notices is not None:
            notices += self.assumed
            notices += zero_words(self.label, zeros)
        return values

    def _numbers(self, where: Georeference, window: Cells) -> tuple[NDArray[Any], Counter[float]]:
        """Numbers of the file on a window: whole with ``NO_CLASS``, or 32-bit floats with NaN."""
        row, col, n_rows, n_cols = window
        rows_each = max(1, int(STRIP_CELLS * (self.source_m / where.grid.cell_m) ** 2 / n_cols))
        foreign: Counter[float] = Counter()
        parts = []
        for first in range(row, row + n_rows, rows_each):
            part, odd = self._strip(where, (first, col, min(rows_each, row + n_rows - first), n_cols))
            parts.append(part)
            foreign += odd
        return (parts[0] if len(parts) == 1 else np.concatenate(parts)), foreign

    def _strip(self, where: Georeference, window: Cells) -> tuple[NDArray[Any], Counter[float]]:
        row, col, n_rows, n_cols = window
        if self.corner is not None:
            patch, odd = self._patch(where, (row + self.corner[0], col + self.corner[1], n_rows, n_cols))
            return patch.values, odd
        way = where.way_to(self.file.crs)
        at = positions(where.grid, window, lambda xy: carried(xy, way), self.file.transform)
        classes = self.sense.what == "class"
        found: NDArray[Any] = np.full((n_rows, n_cols), NO_CLASS if classes else np.nan, dtype=_KINDS[classes])
        foreign: Counter[float] = Counter()
        for turn in _turns(at, self.file):
            at_step = replace(turn, cols=turn.cols / self.step, rows=turn.rows / self.step)
            needed = at_step.needed(self.file.height // self.step, self.file.width // self.step)
            if needed is None:
                continue
            patch, odd = self._patch(where, tuple(self.step * n for n in needed))  # type: ignore[arg-type]
            foreign += odd
            part = self._resampled(patch.values, needed[:2], at_step)
            found = np.where(found == NO_CLASS if classes else np.isnan(found), part, found)
        return found, foreign

    def _patch(self, where: Georeference, cells: Cells) -> tuple[RasterPatch, Counter[float]]:
        row, col, n_rows, n_cols = cells
        window, network = Window(col, row, n_cols, n_rows), where.network
        if self.sense.what == "class":
            return read_classes(self.file, window, self.label, network=network), Counter()
        blend = self.sense.what == "measure"
        patch = read_measure(self.file, window, self.label, step=self.step, blend=blend, network=network)
        return patch, hide_foreign(patch, self.sense)

    def _resampled(self, source: NDArray[Any], corner: tuple[int, int], at: Positions) -> NDArray[Any]:
        if self.sense.what == "class":
            return invariant_classes(source, corner, at, self.samples)
        if self.sense.what == "stand":
            return invariant_stands(source, corner, at)
        return invariant_measures(source, corner, at, self.samples)

    def _window_words(self, numbers: NDArray[Any], foreign: Counter[float]) -> list[str]:
        classes = self.sense.what == "class"
        known = float((numbers != NO_CLASS if classes else np.isfinite(numbers)).mean())
        if known == 0:
            raise InputError(
                f"{self.label}: {self.file.address.shown} holds no known value on the ground of the trip (all nodata)"
            )
        lines = [*self.notices, *foreign_number_words(foreign, self.file), *unknown_share_words(known)]
        if self.file.turned:
            lines.append("its lattice is turned against its map; it was laid straight")
        if self.step > 1:
            lines.append(
                f"its cells of {self.source_m:.2g} m are so many that blocks of {self.step} x {self.step} were read "
                "as one"
            )
        lines = [f"{self.head}: {words}" for words in lines]
        odd = [code for code in self.undeclared if np.any(numbers == code)]
        if odd:
            codes = ", ".join(str(code) for code in odd)
            lines.append(
                f"{self.label}: {codes} is in no legend and was taken as unknown; give nodata = {odd[0]} to say so"
            )
        return lines


_KINDS = {True: np.int32, False: np.float32}


def open_raster(spec: LayerSettings, label: str, where: Georeference, year: int) -> RasterLayer:
    """Open a raster layer, no cell of it read but to tell per cent from fractions.

    Parameters
    ----------
    spec : what the trip file says of the layer.
    label : how to name the layer in a message.
    where : the ground.
    year : of the trip, for ages given as calendar years.

    Returns
    -------
    RasterLayer
        Opened.

    Raises
    ------
    MissingFileError, InputError
        If the file is missing, damaged or not where the ground is, or its meaning is not told.
    """
    meant, located = all_or_faults(label, lambda: _meant(spec, label), lambda: _located(spec, label, where))
    (walk, sense), (file, notices) = meant, located
    address, crs = file.address, file.crs
    if walk is not None and walk.legend in EVT_LEGENDS:
        names = class_names_of(address.opens)
        walk = by_vegetation_names(walk, names) if names else walk
    check_numbers(file, label, sense)
    source_m = source_cell_m(file.transform, crs, where.grid, *where.lonlat)
    how = way_for(sense.what, source_m, where.grid)
    step = 1 if walk is not None else coarser_step(file, source_m, label, where.grid)
    name = PurePath(spec.path).name
    assumed: tuple[str, ...] = ()
    if walk is not None:
        meaning = kinds_by_table(walk, label, name, file.nodata)
    else:
        meaning, assumed = meaning_of(spec, label, file, year, lambda: _largest(file, label, where, sense))
    story = (
        f"{label} ({name}): cells of {source_m:.3g} m in {name_of(crs)}, {WORDS[how]} onto cells of "
        f"{where.grid.cell_m:g} m ({how})"
    )
    return RasterLayer(
        label=label,
        kind=spec.kind,
        file=file,
        sense=sense,
        source_m=source_m,
        step=step,
        samples=samples_for(where.grid.cell_m, source_m * step, finer=how in {"average", "mode"}),
        corner=shared_corner(file, where.grid),
        meaning=meaning,
        undeclared=undeclared_codes(walk) if walk is not None else (),
        head=f"{label} ({name})",
        story=story if walk is None else f"{story}; classes read by {walk.label}",
        notices=(*notices, *(coarse_heights_words(source_m) if spec.kind == "elevation" else ())),
        assumed=assumed,
        refines=walk.refines if walk is not None else (),
    )


def _meant(spec: LayerSettings, label: str) -> tuple[Crosswalk | None, Sense]:
    walk = legend_of(spec, label) if spec.kind == "cover" else None
    return walk, Sense("class") if walk is not None else sense_of(spec.kind, label, spec)[0]


def _located(spec: LayerSettings, label: str, where: Georeference) -> tuple[RasterFile, tuple[str, ...]]:
    """Find the file and where it lies."""
    address = find(spec.path, where.folder, label, RASTER_ENDINGS, network=where.network)
    file = look_at_raster(address, label, band=spec.band, layer=spec.layer, network=where.network)
    crs, notices = resolve_system(Claim(label, file.address.shown, file.crs, spec.crs, file.box), where)
    return replace(file, crs=crs, nodata=file.nodata if spec.nodata is None else spec.nodata), notices


def _turns(at: Positions, file: RasterFile) -> Iterator[Positions]:
    """Positions on a raster, and the same a turn of the earth east and west if it is in degrees."""
    if not system(file.crs).is_geographic or file.turned or not np.isfinite(at.cols).any():
        yield at
        return
    turn = 360 / abs(file.transform.a)
    first = at.cols[np.isfinite(at.cols)][0]
    whole = replace(at, cols=at.cols - turn * np.round((at.cols - first) / turn))
    for turns in (0, 1, -1):
        yield replace(whole, cols=whole.cols + turns * turn)


def _largest(file: RasterFile, label: str, where: Georeference, sense: Sense) -> float:
    """Largest number of a raster on the ground, looked up from afar where it has many cells."""
    found = [0.0]
    for box in where.boxes(file.crs):
        window = window_of(file, box)
        if window is not None:
            step = max(1, int(np.ceil(np.sqrt(window.width * window.height / LOOK_CELLS))))
            patch = read_measure(file, window, label, step=step, blend=False, network=where.network)
            hide_foreign(patch, sense)
            found.append(float(np.nanmax(patch.values, initial=0.0)))
    return max(found)


def shared_corner(file: RasterFile, grid: Grid) -> tuple[int, int] | None:
    """Row and column of a raster where the grid begins, if the two share a lattice and the raster covers it all."""
    same = system(file.crs).to_json_dict().get("id") == system(grid.crs).to_json_dict().get("id")
    step = file.transform.a, file.transform.e
    if not same or file.turned or max(abs(step[0] - grid.cell_m), abs(step[1] + grid.cell_m)) > NEAR * grid.cell_m:
        return None
    col, row = ~file.transform @ (grid.west_m, grid.north_m)
    corner = round(row), round(col)
    inside = corner[0] >= 0 and corner[1] >= 0 and corner[0] + grid.n_rows <= file.height
    if max(abs(row - corner[0]), abs(col - corner[1])) > NEAR or not (inside and corner[1] + grid.n_cols <= file.width):
        return None
    return corner
