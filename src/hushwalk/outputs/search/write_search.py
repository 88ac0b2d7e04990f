"""Writes everything that a search gives into one folder: whole, or not at all.

What stands in the files is the business of the files beside this one.
"""

from pathlib import Path

from hushwalk.birds.search_report import SearchReport
from hushwalk.errors import OutputError
from hushwalk.outputs.kit.staging import aside_in
from hushwalk.outputs.search.search_files import search_geojson_text, search_gpx_text
from hushwalk.outputs.search.search_page import search_page
from hushwalk.outputs.search.search_sheet import search_sheet


def write_search(report: SearchReport, folder: Path, papers: tuple[str, ...] = ("a4", "letter")) -> tuple[Path, ...]:
    """Write map page, print sheets, GPS and data file of a search.

    Parameters
    ----------
    report : the search.
    folder : is made where it is missing; files of the same names are replaced.
    papers : of the print sheet, ``"a4"`` and ``"letter"``.

    Returns
    -------
    tuple of Path
        The files, the map page first.

    Raises
    ------
    OutputError
        If the folder cannot be written to; the files that stood there before are left as they were.
    """
    made = {
        "search.html": search_page(report).encode("utf-8"),
        **{f"search_{paper}.pdf": search_sheet(report, paper) for paper in papers},
        "search.gpx": search_gpx_text(report).encode("utf-8"),
        "search.geojson": search_geojson_text(report).encode("utf-8"),
    }
    try:
        with aside_in(folder) as aside:
            for name, written in made.items():
                (aside / name).write_bytes(written)
            return tuple((aside / name).replace(folder / name) for name in made)
    except OSError as fault:
        raise OutputError(
            f"the search cannot be written to {folder}: {fault.strerror or fault}; choose another folder with --out, "
            "or free its space and rights"
        ) from fault
