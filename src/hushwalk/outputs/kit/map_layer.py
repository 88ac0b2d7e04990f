"""One layer of a map page: its shapes by style, and how a style is written.

What lies on a page is page_layers.py's and detection_layers.py's business.
"""

from dataclasses import dataclass
from typing import Any

from hushwalk.site.country import Geometry

Style = dict[str, Any]


@dataclass(frozen=True)
class MapLayer:
    """One layer of the map: its key, its name in the list of layers, whether it is shown at first, shapes by style."""

    key: str
    name: str
    parts: tuple[tuple[Style, tuple[Geometry, ...]], ...]
    shown: bool = True


def line(colour: str, width: float, dash: str = "", opacity: float = 1.0) -> Style:
    """Style of a line.

    Parameters
    ----------
    colour : ``#rrggbb``.
    width : of the line [px].
    dash : lengths of strokes and gaps [px], as in SVG; empty for a full line.
    opacity : 0..1.

    Returns
    -------
    dict
        The style in Leaflet's terms.
    """
    return {
        "color": colour,
        "weight": width,
        "opacity": opacity,
        "fill": False,
        **({"dashArray": dash} if dash else {}),
    }


def area(colour: str, fill: str, width: float = 1.0, dash: str = "") -> Style:
    """Style of an area; ``fill`` may be a pattern of the page.

    Parameters
    ----------
    colour : of the edge, ``#rrggbb``.
    fill : a colour, or the address of a pattern.
    width : of the edge [px].
    dash : of the edge, as in SVG; empty for a full line.

    Returns
    -------
    dict
        The style in Leaflet's terms.
    """
    return {**line(colour, width, dash), "fill": True, "fillColor": fill, "fillOpacity": 1.0}
