"""Writes the plan that stands into the folder of its day, as `hushwalk plan` does, for the desk.

What is written is the registry's business.
"""

from pathlib import Path
from typing import Any

from hushwalk.morning.report import Report
from hushwalk.morning.story import DRAWING
from hushwalk.outputs.day_folder import day_folder
from hushwalk.outputs.registry import walk_products
from hushwalk.outputs.write import write
from hushwalk.progress import Progress
from hushwalk.site.units import units_in
from hushwalk.wording.measures import written_in


def take_along(trip: Path, report: Report, progress: Progress) -> dict[str, Any]:
    """Write map page, print sheets, GPS and data files of a plan.

    Parameters
    ----------
    trip : the trip file.
    report : the plan.
    progress : is told as each step begins.

    Returns
    -------
    dict
        The files, named below the folder of the trip.

    Raises
    ------
    OutputError
        If they cannot be written; what stood there is as it was.
    """
    progress(DRAWING)
    with written_in(units_in(trip)):
        products = walk_products(report)
        folder = day_folder(trip, report.settings.morning.date, products)
        written = write(products, folder)
    return {"files": [one.path.relative_to(trip.parent).as_posix() for one in written]}
