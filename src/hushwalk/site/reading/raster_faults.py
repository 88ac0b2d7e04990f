"""What is wrong with the cells of a raster layer: pictures, too many cells, numbers that cannot be meant.

Reading the cells is raster_layers.py's business.
"""

from collections import Counter

import numpy as np
from numpy.typing import NDArray

from hushwalk.errors import InputError
from hushwalk.files.rasters import RasterFile
from hushwalk.grid.align import RasterPatch
from hushwalk.grid.grid import Grid
from hushwalk.site.reading.layer_values import SENTINELS, Sense

FULL_READ_CELLS = 400_000_000  # judgement: some ten seconds of reading; beyond it coarser cells are read
MOST_CELLS = 3_000_000_000  # judgement: 1 m cells over the largest ground; more is a mistake
COARSE_HEIGHTS_M = 60.0  # judgement: two cells of 30 m; the lie of the land within a walk of some minutes is lost


def check_numbers(file: RasterFile, label: str, sense: Sense) -> None:
    """Refuse a raster whose bands hold no plain numbers.

    Parameters
    ----------
    file, label, sense : of the layer.

    Raises
    ------
    InputError
        If it is a picture, a palette or holds complex numbers.
    """
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


def coarser_step(file: RasterFile, source_m: float, label: str, grid: Grid) -> int:
    """Side of the blocks of cells that are read as one, so that a layer is read in some seconds.

    Parameters
    ----------
    file, source_m, label : of the layer, and the size of its cells [m].
    grid : of the ground.

    Returns
    -------
    int
        1 where all cells are read.

    Raises
    ------
    InputError
        If the layer has more cells on the ground than anybody can mean.
    """
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


def hide_foreign(patch: RasterPatch, sense: Sense) -> Counter[float]:
    """Make numbers that cannot be meant unknown, before they bleed into their neighbours, and count them."""
    values = patch.values
    with np.errstate(invalid="ignore"):
        outside = (values < sense.low) | (values > sense.high)
    numbers, counts = np.unique(values[outside], return_counts=True)
    values[outside] = np.nan
    return Counter(dict(zip(numbers.tolist(), counts.tolist(), strict=True)))


def check_foreign(foreign: Counter[float], file: RasterFile, label: str, sense: Sense) -> None:
    """Refuse a layer that holds numbers which neither can be meant nor stand for "unknown" by custom.

    Parameters
    ----------
    foreign : class codes or numbers that are not known, with how often where counted.
    file : the raster.
    label : of the layer, for messages.
    sense : which numbers make sense.

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


def foreign_number_words(foreign: Counter[float], file: RasterFile) -> list[str]:
    """Say which numbers were taken as unknown, though the file does not call them so."""
    return [
        f"{number:g} cannot be meant and was taken as unknown ({count} cells), though the file declares "
        f"{'no nodata value' if file.nodata is None else f'{file.nodata:g}'}; give nodata = {number:g} to say so"
        for number, count in sorted(foreign.items())
    ]


def unknown_share_words(known: float) -> list[str]:
    """Say how much of the ground has no value."""
    return [f"{(1 - known):.1%} of the ground has no value"] if known < 0.9995 else []  # noqa: PLR2004


def zero_words(label: str, zeros: NDArray[np.bool_]) -> list[str]:
    """Say that heights of 0 m were taken as unknown."""
    if not zeros.any():
        return []
    words = "of the ground is exactly 0 m high amid high ground and was taken as unknown; give nodata = 0 to say so"
    return [f"{label}: {zeros.mean():.1%} {words}"]


def coarse_heights_words(apart_m: float) -> list[str]:
    """Say what heights that lie far apart do not show."""
    if apart_m <= COARSE_HEIGHTS_M:
        return []
    words = (
        f"heights every {apart_m:.0f} m show no hollow, bank or ledge smaller than that: climbs come out too small, "
        "earshot over broken ground too far, and the hour of the first light too even; heights of 30 m or finer mend it"
    )
    return [words]
