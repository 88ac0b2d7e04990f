"""Brings the rasters of a trip onto its grid, strip by strip, whatever their system and cell size.

What the numbers of each kind mean is measures.py's business; opening files is the files room's.
"""

from collections import Counter
from dataclasses import dataclass, field, replace
from pathlib import PurePath
from typing import Literal

import numpy as np

from hushwalk.errors import InputError
from hushwalk.files.paths import RASTER_ENDINGS, find
from hushwalk.files.rasters import RasterFile, look_at_raster, read_classes, read_measure, window_of
from hushwalk.grid.align import How, Patch, on_grid, source_cell_m, strips, way_for
from hushwalk.grid.grid import Grid
from hushwalk.grid.systems import name_of
from hushwalk.site.georeferencing import Claim, Whereabouts, settle_system
from hushwalk.site.settings import LayerSettings
from hushwalk.types import FloatArray

STRIP_CELLS = 16_000_000  # judgement: 64 MB of source cells at once
FULL_READ_CELLS = 400_000_000  # judgement: some ten seconds of reading; beyond it coarser cells are read
MOST_CELLS = 3_000_000_000  # judgement: 1 m cells over the largest ground; more is a mistake
SENTINELS = (-9999, -99999, -32768, -32767, 32767, 65535, 9999, 99999, -999, 999, 255, 127, 0, -1, -128)
"""Numbers by which makers mean "unknown" when they do not say so in the file (common practice)."""

WORDS = {"average": "averaged", "bilinear": "interpolated", "mode": "the commonest class taken", "nearest": "taken"}


@dataclass(frozen=True, eq=False)
class Brought:
    """A raster on the grid.

    Parameters
    ----------
    values : shape grid.shape, NaN where unknown.
    file : what the file says of itself.
    story : where it comes from and how it was resampled.
    notices : what a person should know.
    """

    values: FloatArray = field(repr=False)
    file: RasterFile
    story: str
    notices: tuple[str, ...]


@dataclass(frozen=True)
class Sense:
    """Which numbers can be meant.

    Parameters
    ----------
    what : ``"measure"``, ``"class"``, or ``"stand"`` for a measure that is one number a stand and never blended.
    low, high : limits of what a measure can be, in the units of the file.
    hint : how to mend a layer whose numbers lie outside.
    """

    what: Literal["measure", "class", "stand"]
    low: float = -np.inf
    high: float = np.inf
    hint: str = ""


def bring_raster(spec: LayerSettings, label: str, where: Whereabouts, sense: Sense) -> Brought:
    """Bring a raster onto the grid.

    Parameters
    ----------
    spec : what the trip file says of the layer.
    label : how to name the layer in a message.
    where : the ground.
    sense : which numbers can be meant.

    Raises
    ------
    MissingFileError, InputError
        If the file is missing, damaged, not where the trip is, or holds no usable number.
    """
    address = find(spec.path, where.folder, label, RASTER_ENDINGS, network=where.network)
    file = look_at_raster(address, label, band=spec.band, layer=spec.layer, network=where.network)
    _check_numbers(file, label, sense)
    crs, notices = settle_system(Claim(label, file.address.shown, file.crs, spec.crs, file.box), where)
    file = replace(file, crs=crs, nodata=file.nodata if spec.nodata is None else spec.nodata)
    source_m = source_cell_m(file.transform, crs, where.grid, *where.lonlat)
    how = way_for(sense.what, source_m, where.grid)
    step = _step(file, source_m, label, where.grid)
    values, foreign = _read_strips(file, label, where, sense, how, step, source_m)
    judge_foreign(foreign, file, label, sense)
    known = np.isfinite(values).mean()
    if known == 0:
        raise InputError(f"{label}: {file.address.shown} holds no known value on the ground of the trip (all nodata)")
    told = [*notices, *_foreign_words(foreign, file), *_share_words(known)]
    if file.turned:
        told.append("its lattice is turned against its map; it was laid straight")
    if step > 1:
        told.append(f"its cells of {source_m:.2g} m are so many that blocks of {step} x {step} were read as one")
    head = f"{label} ({PurePath(spec.path).name})"
    story = (
        f"{head}: cells of {source_m:.3g} m in {name_of(crs)}, {WORDS[how]} onto cells of {where.grid.cell_m:g} m "
        f"({how})"
    )
    return Brought(values, file, story, tuple(f"{head}: {words}" for words in told))


def _read_strips(
    file: RasterFile, label: str, where: Whereabouts, sense: Sense, how: How, step: int, source_m: float
) -> tuple[FloatArray, Counter[float]]:
    grid = where.grid
    foreign: Counter[float] = Counter()
    values = np.full(grid.shape, np.nan)
    rows_each = max(1, int(STRIP_CELLS * (source_m / grid.cell_m) ** 2 / grid.n_cols))
    for rows, strip in strips(grid, rows_each):
        for box in where.boxes(file.crs, strip):
            window = window_of(file, box)
            if window is None:
                continue
            if sense.what == "class":
                patch = read_classes(file, window, label, network=where.network)
            else:
                blend = sense.what == "measure"
                patch = read_measure(file, window, label, step=step, blend=blend, network=where.network)
                foreign += hide_foreign(patch, sense)
            part = on_grid(patch, strip, how)
            values[rows] = np.where(np.isnan(values[rows]), part, values[rows])
    return values, foreign


def _check_numbers(file: RasterFile, label: str, sense: Sense) -> None:
    if file.picture:
        raise InputError(
            f"{label}: {file.address.shown} is a coloured picture, not a layer of numbers; get the data file itself"
        )
    if file.palette and sense.what == "measure":
        raise InputError(
            f"{label}: band {file.band} of {file.address.shown} holds colour indices (a palette), not measurements; "
            "get the data file itself, or name another band"
        )
    if np.issubdtype(np.dtype(file.kind), np.complexfloating):
        raise InputError(f"{label}: {file.address.shown} holds complex numbers; get a layer of plain numbers")


def _step(file: RasterFile, source_m: float, label: str, grid: Grid) -> int:
    across = min(file.width, grid.n_cols * grid.cell_m / source_m)
    down = min(file.height, grid.n_rows * grid.cell_m / source_m)
    if across * down > MOST_CELLS:
        raise InputError(
            f"{label}: {file.address.shown} has cells of {source_m:.2g} m, {across * down:.2g} of them on the "
            f"ground of the trip; make a copy with cells of about {grid.cell_m:g} m, or lower ground.reach_m"
        )
    if across * down <= FULL_READ_CELLS:
        return 1
    return max(1, int(grid.cell_m / source_m / 2))


def hide_foreign(patch: Patch, sense: Sense) -> Counter[float]:
    """Make numbers that cannot be meant unknown, before they bleed into their neighbours, and count them."""
    values = patch.values
    with np.errstate(invalid="ignore"):
        outside = (values < sense.low) | (values > sense.high)
    numbers, counts = np.unique(values[outside], return_counts=True)
    values[outside] = np.nan
    return Counter(dict(zip(numbers.tolist(), counts.tolist(), strict=True)))


def judge_foreign(foreign: Counter[float], file: RasterFile, label: str, sense: Sense) -> None:
    """Refuse a layer that holds numbers which neither can be meant nor stand for "unknown" by custom.

    Raises
    ------
    InputError
        With the numbers and the mend.
    """
    odd = [number for number in foreign if number not in SENTINELS and abs(number) < 1e30]  # noqa: PLR2004
    if odd:
        raise InputError(
            f"{label}: {file.address.shown} holds {min(odd):g}..{max(odd):g}, but {sense.low:g}..{sense.high:g} is "
            f"expected; {sense.hint}"
        )


def _foreign_words(foreign: Counter[float], file: RasterFile) -> list[str]:
    return [
        f"{number:g} cannot be meant and was taken as unknown ({count} cells), though the file declares "
        f"{'no nodata value' if file.nodata is None else f'{file.nodata:g}'}; give nodata = {number:g} to say so"
        for number, count in sorted(foreign.items())
    ]


def _share_words(known: float) -> list[str]:
    return [f"{(1 - known):.1%} of the ground has no value"] if known < 0.9995 else []  # noqa: PLR2004
