"""Writes everything that a morning gives into one folder: whole, or not at all.

What stands in the files is the business of the files beside this one.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from hushwalk.errors import OutputError
from hushwalk.morning.report import Report
from hushwalk.outputs.kit.staging import aside_in
from hushwalk.outputs.walk.gpx import gpx_text
from hushwalk.outputs.walk.kml import kml_text
from hushwalk.outputs.walk.print_sheet import print_sheet
from hushwalk.outputs.walk.walk_data import geojson_text, summary_text
from hushwalk.worker import Worker, submit

Writer = Callable[[Path], None]
DRAWN_BESIDE = ("hushwalk.outputs.kit.html_map", "hushwalk.outputs.walk.geopackage")
"""Modules that stand on big libraries: loaded only when they draw, and beside the rest where that can be."""


@dataclass(frozen=True)
class Written:
    """One file that was written, and what it took."""

    path: Path
    seconds: float
    size_bytes: int


def write_all(
    report: Report, folder: Path, papers: tuple[str, ...] = ("a4", "letter"), worker: Worker | None = None
) -> tuple[Path, ...]:
    """Write map page, print sheets, GPS and data files.

    Parameters
    ----------
    report : the morning.
    folder : is made where it is missing; files of the same names are replaced.
    papers : of the print sheet, ``"a4"`` and ``"letter"``.
    beside : draws the page while the sheets are drawn here; None to draw one after the other.

    Returns
    -------
    tuple of Path
        The files, the map page first.

    Raises
    ------
    OutputError
        If the folder cannot be written to; the files that stood there before are left as they were.
    """
    return tuple(written.path for written in write_timed(report, folder, papers, worker))


def write_timed(
    report: Report, folder: Path, papers: tuple[str, ...] = ("a4", "letter"), worker: Worker | None = None
) -> tuple[Written, ...]:
    """Write like :func:`write_all` and tell what each file took.

    Notes
    -----
    All files are written into a folder beside their place first and moved only when the last one is done.
    """
    try:
        with aside_in(folder) as aside:
            made = _made(report, aside, papers, worker)
            return tuple(_moved(one, folder) for one in made)
    except OutputError:
        raise
    except OSError as fault:
        raise OutputError(
            f"the results cannot be written to {folder}: {fault.strerror or fault}; "
            "choose another folder with --out, or free its space and rights"
        ) from fault


def _made(report: Report, aside: Path, papers: tuple[str, ...], worker: Worker | None) -> list[Written]:
    big: dict[str, Writer] = {"map.html": partial(_page, report), "walk.gpkg": partial(_geopackage, report)}
    asked = [submit(worker, _write, aside / name, writer) for name, writer in big.items()]
    try:
        here = [_write(aside / name, writer) for name, writer in _writers(report, papers).items()]
        return [*(one.result() for one in asked), *here]
    finally:
        if worker is not None:
            worker.finish()  # the folder aside must stay until nobody writes into it


def _writers(report: Report, papers: tuple[str, ...]) -> dict[str, Writer]:
    sheets = {f"sheet_{paper}.pdf": _bytes(partial(print_sheet, report, paper)) for paper in papers}
    return {
        **sheets,
        "walk.gpx": _text(lambda: gpx_text(report)),
        "walk.kml": _text(lambda: kml_text(report)),
        "walk.geojson": _text(lambda: geojson_text(report)),
        "summary.json": _text(lambda: summary_text(report)),
    }


def _page(report: Report, path: Path) -> None:
    from hushwalk.outputs.kit.html_map import map_page

    _text(lambda: map_page(report))(path)


def _geopackage(report: Report, path: Path) -> None:
    from hushwalk.outputs.walk.geopackage import write_geopackage

    write_geopackage(report, path)


def _text(make: Callable[[], str]) -> Writer:
    return lambda path: _none(path.write_bytes(make().encode("utf-8")))


def _bytes(make: Callable[[], bytes]) -> Writer:
    return lambda path: _none(path.write_bytes(make()))


def _none(_: int) -> None:
    return None


def _write(path: Path, writer: Writer) -> Written:
    start = time.perf_counter()
    writer(path)
    return Written(path, time.perf_counter() - start, path.stat().st_size)


def _moved(written: Written, folder: Path) -> Written:
    target = folder / written.path.name
    written.path.replace(target)
    return Written(target, written.seconds, written.size_bytes)
