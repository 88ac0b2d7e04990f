"""How a feature is drawn, as a text of the open feature style specification of GDAL/OGR, kept in a field of its table.

Any program that opens files with that library draws the walk as meant, or shows the field and draws as it likes.
"""

STYLE_FIELD = "OGR_STYLE"
"""Definition: the field in which the library looks for the style of a feature."""
DOT = "ogr-sym-3"
"""Definition: a filled circle."""


def line_style(colour: str, width_pt: float, dash_pt: str = "") -> str:
    """Style of a line, or of the edge of an area.

    Parameters
    ----------
    colour : ``#rrggbb``.
    width_pt : of the line [pt].
    dash_pt : lengths of dash and gap in turn, such as ``"4pt 3pt"``; empty for a full line.

    Returns
    -------
    str
        One pen.

    References
    ----------
    ogr_feature_style

    Examples
    --------
    >>> line_style("#10131a", 2.0, "4pt 3pt")
    'PEN(c:#10131A,w:2pt,p:"4pt 3pt")'
    """
    dash = f',p:"{dash_pt}"' if dash_pt else ""
    return f"PEN(c:{colour.upper()},w:{width_pt:g}pt{dash})"


def edge_style(colour: str, width_pt: float, dash_pt: str = "") -> str:
    """Style of an area that is drawn by its edge alone: a clear fill, then the pen.

    Parameters
    ----------
    colour : ``#rrggbb``.
    width_pt : of the edge [pt].
    dash_pt : as in :func:`line_style`.

    Returns
    -------
    str
        A brush that is clear, and a pen.
    """
    return f'BRUSH(fc:#FFFFFF00,id:"ogr-brush-1");{line_style(colour, width_pt, dash_pt)}'


def dot_style(colour: str, edge: str, size_pt: float, label: str) -> str:
    """Style of a point: a filled circle with a label beside it.

    Parameters
    ----------
    colour, edge : of the circle, ``#rrggbb``.
    size_pt : of the circle [pt].
    label : what stands beside it; quotes in it are taken out.

    Returns
    -------
    str
        A symbol, and a label.
    """
    words = label.replace('"', "")
    return (
        f'SYMBOL(id:"{DOT}",c:{colour.upper()},o:{edge.upper()},s:{size_pt:g}pt);'
        f'LABEL(f:"sans-serif",s:{size_pt:g}pt,t:"{words}",c:{edge.upper()},p:7,dx:{size_pt / 2:g}pt)'
    )
