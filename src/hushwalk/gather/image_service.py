"""Asks services that draw a rectangle of cells for one address: image services and coverage services.

Both families differ in the words of their address only, which stand in the table.
"""

from collections.abc import Iterator
from math import ceil

from rasterio.crs import CRS

from hushwalk.errors import ServiceError
from hushwalk.gather.raster_cells import GotCells, opened_tiff
from hushwalk.gather.services import Service, address
from hushwalk.gather.square import Cells, cells_of
from hushwalk.gather.transport import Transport
from hushwalk.grid.systems import Box
from hushwalk.progress import Progress, Step


def read_rectangle(
    one: Service, box: Box, transport: Transport, progress: Progress, cell_m: float | None = None
) -> list[GotCells]:
    """Read the cells of some ground, in as many answers as the service needs.

    Parameters
    ----------
    one : of the family ``"image"``.
    box : limits [deg].
    transport : asks, and keeps the answers.
    progress : is called before each answer.
    cell_m : cells that are wanted, where they are larger than those of the service [m].

    Returns
    -------
    list of GotCells
        On the lattice of the service.

    Raises
    ------
    ServiceError
        If it cannot be reached, refuses, or answers something else.
    """
    wanted = list(_blocks(cells_of(box, one, cell_m), one.most_cells))
    got = []
    for number, part in enumerate(wanted, start=1):
        progress(Step(f"gathering {one.label},", f"answer {number} of {len(wanted)}"))
        key = f"{one.key} {one.edition} {part}"
        content = transport.kept(key, lambda part=part: _ask(one, part, transport), one.keep_days)  # type: ignore[misc]
        got.append(opened_tiff(content, one))
    return got


def rectangle_names(cells: Cells) -> dict[str, str | int]:
    """Give what stands in the address of a rectangle of cells."""
    box = cells.box
    limits = {name: _number(getattr(box, name)) for name in ("west", "south", "east", "north")}
    return {**limits, "epsg": cells.epsg, "cols": cells.cols, "rows": cells.rows}


def _ask(one: Service, part: Cells, transport: Transport) -> bytes:
    """Ask each address in turn; an answer that is not what was asked for is a fault too."""
    for number, pattern in enumerate(one.patterns):
        try:
            content = transport.get(address(pattern, **rectangle_names(part))).content
            _check(opened_tiff(content, one), one, part)
        except ServiceError:
            if number == len(one.patterns) - 1:
                raise
        else:
            return content
    raise ServiceError(f"{one.label} has no address")


def _check(got: GotCells, one: Service, part: Cells) -> None:
    rows, cols = got.values.shape
    if CRS.from_epsg(part.epsg) != got.crs and got.crs.to_epsg() != part.epsg and _named_otherwise(got.crs, part.epsg):
        raise ServiceError(f"{one.label} answers in {got.crs.to_string()[:60]} instead of EPSG:{part.epsg}")
    if abs(rows - part.rows) > 1 or abs(cols - part.cols) > 1:
        raise ServiceError(f"{one.label} answers with {cols} x {rows} cells instead of {part.cols} x {part.rows}")


def _named_otherwise(crs: CRS, epsg: int) -> bool:
    """Whether a system that carries no code is another one than that of a code."""
    ours, theirs = CRS.from_epsg(epsg).to_dict(), crs.to_dict()
    drawn = ("proj", "lat_0", "lat_1", "lat_2", "lon_0", "x_0", "y_0")
    return any(ours.get(name) != theirs.get(name) for name in drawn)


def _blocks(cells: Cells, most: int) -> Iterator[Cells]:
    step = most * cells.cell_m
    box = cells.box
    for row in range(ceil(cells.rows / most)):
        for col in range(ceil(cells.cols / most)):
            west, north = box.west + col * step, box.north - row * step
            part = Box(west, max(box.south, north - step), min(box.east, west + step), north)
            yield Cells(part, cells.epsg, cells.cell_m)


def _number(value: float) -> str:
    return str(int(value)) if value == int(value) else f"{value:.3f}"
