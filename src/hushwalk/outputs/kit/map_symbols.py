"""The symbols of the page's key, as small drawings beside their words.

The colours are palette.py's; which symbols stand on a page is the page's own business.
"""

from hushwalk.outputs.kit.map_layer import Style
from hushwalk.outputs.kit.palette import COLOURS
from hushwalk.wording.measures import unit


def stroke(colour: str, width: float, dash: str = "") -> str:
    """Draw a line.

    Parameters
    ----------
    colour : ``#rrggbb``.
    width : of the line [px].
    dash : lengths of strokes and gaps [px]; empty for a full line.

    Returns
    -------
    str
        SVG of 34 by 18 pixels.
    """
    return (
        f'<svg aria-hidden="true"><path d="M0 9h34" stroke="{colour}" stroke-width="{width}" '
        f'stroke-dasharray="{dash}"/></svg>'
    )


def box(fill: str, edge: str) -> str:
    """Draw an area."""
    return f'<svg aria-hidden="true"><rect x="1" y="1" width="32" height="16" fill="{fill}" stroke="{edge}"/></svg>'


def style_symbol(style: Style, words: str) -> tuple[str, str]:
    """Draw the symbol of a line as it is drawn on the map, and give its words."""
    return stroke(style["color"], style["weight"], style.get("dashArray", "")), words


def ground_symbols(*, houses: bool = False) -> list[tuple[str, str]]:
    """Give the symbols of what lies on the ground itself; that of houses where a layer shows some."""
    own = [(box(COLOURS["house"], COLOURS["house"]), "house")] if houses else []
    return [
        *own,
        (stroke(COLOURS["trail"], 2.2, "9 5"), "trail"),
        (stroke(COLOURS["road"], 3.5), "road"),
        (stroke(COLOURS["stream"], 2.2), "stream"),
        (box("url(#wet)", COLOURS["wetland"]), "wet ground"),
        (box("url(#hatch)", COLOURS["closed"]), "closed ground: keep out"),
        (stroke(COLOURS["contour"], 1.8), f"contour line, height in {unit('height')[0]}"),
    ]
