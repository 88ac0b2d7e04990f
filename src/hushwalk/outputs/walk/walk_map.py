"""The map page of a planned walk: the map with its scripts and pictures inside, and the words round it.

The map itself is drawn in kit/html_map.py, the words are filled in by walk_page.py.
"""

from hushwalk.morning.report import Report
from hushwalk.outputs.kit.html_map import drawn_map
from hushwalk.outputs.kit.page_layers import drawn_layers
from hushwalk.outputs.walk.walk_page import filled_page


def map_page(report: Report) -> str:
    """Draw the morning as one HTML page.

    Parameters
    ----------
    report : the morning.

    Returns
    -------
    str
        A page that asks for nothing outside itself, runs only its own scripts, and without scripts still
        shows picture and timetable. The same report gives the same text.
    """
    made = drawn_map(report, drawn_layers(report))
    return filled_page(report, made.frame, made.pictures, made.html, made.script)
