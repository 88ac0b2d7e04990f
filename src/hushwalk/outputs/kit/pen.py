"""Drawing on a page in vectors: lines, areas, patterns, arrows and labels, in one pen for all sheets.

It knows points of the page only; where things lie is print_map.py's business.
"""

import io
from contextlib import AbstractContextManager
from functools import cache
from importlib.resources import as_file, files

import numpy as np
from reportlab.lib.colors import Color, HexColor
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from shapely import LineString

from hushwalk.types import FloatArray

MANY, UNSEEN_PT = 30, 0.06  # judgement: 0.02 mm, a tenth of the thinnest stroke
PLAIN, BOLD = "DejaVuSans", "DejaVuSans-Bold"


@cache
def load_fonts() -> None:
    """Make the shipped fonts known; they are embedded into every sheet."""
    for name in (PLAIN, BOLD):
        with as_file(files("hushwalk") / "outputs" / "assets" / f"{name}.ttf") as path:
            pdfmetrics.registerFont(TTFont(name, io.BytesIO(path.read_bytes())))


class Pen:
    """A canvas with the few strokes that a map needs. Colours are ``#rrggbb``, lengths in points."""

    def __init__(self, canvas: Canvas) -> None:
        load_fonts()
        self.canvas = canvas

    def line(self, points: FloatArray, colour: str, width: float, dash: tuple[float, ...] = ()) -> None:
        """Draw a line through points, shape (n, 2).

        Parameters
        ----------
        points : shape (n, 2) [pt]; fewer than two draw nothing.
        colour : ``#rrggbb``.
        width : of the line [pt].
        dash : lengths of strokes and gaps [pt]; empty for a full line.
        """
        if len(points) < 2:  # noqa: PLR2004 - a line has two ends
            return
        self._stroke(colour, width, dash)
        path = self.canvas.beginPath()
        _trace(path, points)
        self.canvas.drawPath(path, stroke=1, fill=0)

    def area(self, rings: list[FloatArray], fill: str | None, edge: str | None = None, width: float = 0.5) -> None:
        """Fill an area; a ring inside another is a hole.

        Parameters
        ----------
        rings : each of shape (n, 2) [pt].
        fill : ``#rrggbb``, or None to leave it empty.
        edge : ``#rrggbb``, or None for no edge.
        width : of the edge [pt].
        """
        path = self.canvas.beginPath()
        for ring in rings:
            _trace(path, ring)
            path.close()
        if edge:
            self._stroke(edge, width, ())
        if fill:
            self.canvas.setFillColor(_colour(fill))
        self.canvas.drawPath(path, stroke=int(bool(edge)), fill=int(bool(fill)), fillMode=0)

    def hatch(self, rings: list[FloatArray], colour: str, step: float, width: float = 0.5) -> None:
        """Fill an area with slanted lines.

        Parameters
        ----------
        rings : each of shape (n, 2) [pt].
        colour : ``#rrggbb``.
        step : from line to line along the bottom [pt].
        width : of a line [pt].
        """
        low, high = _box(rings)
        starts = np.arange(low[0] - (high[1] - low[1]), high[0], step)
        with _Clip(self.canvas, rings):
            for x in starts:
                self.line(np.array([[x, low[1]], [x + high[1] - low[1], high[1]]]), colour, width)

    def dots(self, rings: list[FloatArray], colour: str, step: float = 3.6) -> None:
        """Fill an area with dots in staggered rows.

        Parameters
        ----------
        rings : each of shape (n, 2) [pt].
        colour : ``#rrggbb``.
        step : from dot to dot, and from row to row [pt].
        """
        low, high = _box(rings)
        with _Clip(self.canvas, rings):
            for row, y in enumerate(np.arange(low[1], high[1], step)):
                shift = (row % 2) * step / 2
                self.line(np.array([[low[0] + shift, y], [high[0], y]]), colour, 0.9, (0.9, step - 0.9))

    def reeds(self, rings: list[FloatArray], colour: str, step: float = 5.0) -> None:
        """Fill an area with short dashes in staggered rows, the map-maker's sign of wet ground.

        Parameters
        ----------
        rings : each of shape (n, 2) [pt].
        colour : ``#rrggbb``.
        step : from row to row, and length of a dash [pt].
        """
        low, high = _box(rings)
        with _Clip(self.canvas, rings):
            for row, y in enumerate(np.arange(low[1], high[1], step)):
                shift = (row % 2) * step
                self.line(np.array([[low[0] + shift, y], [high[0], y]]), colour, 0.5, (step, step))

    def arrow(self, at: FloatArray, azimuth_deg: float, size: float, colour: str) -> None:
        """Draw an arrow head that points the way, clockwise from the top of the page.

        Parameters
        ----------
        at : shape (2,), middle of the head [pt].
        azimuth_deg : direction [deg], clockwise from the top of the page.
        size : length of the head [pt].
        colour : ``#rrggbb``.
        """
        shape = np.array([[0.0, 0.62], [0.5, -0.5], [0.0, -0.22], [-0.5, -0.5]]) * size
        turn = -np.radians(azimuth_deg)
        spun = shape @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
        self.area([spun + at], colour, "#ffffff", 0.6)

    def circle(self, at: FloatArray, radius: float, fill: str, edge: str, width: float) -> None:
        """Draw a disc.

        Parameters
        ----------
        at : shape (2,), its middle [pt].
        radius : of the disc [pt].
        fill, edge : ``#rrggbb``.
        width : of the edge [pt].
        """
        self.canvas.setFillColor(_colour(fill))
        self._stroke(edge, width, ())
        self.canvas.circle(float(at[0]), float(at[1]), radius, stroke=1, fill=1)

    def text(
        self,
        at: tuple[float, float] | FloatArray,
        words: str,
        size: float,
        *,
        bold: bool = False,
        colour: str = "#16181d",
        place: str = "left",
        angle_deg: float = 0.0,
        cleared: bool = False,
    ) -> None:
        """Write words; ``place`` is left, centre or right of them; ``cleared`` whitens the ground below.

        Parameters
        ----------
        at : foot of the words [pt].
        words : on one line.
        size : of the type [pt].
        bold : in the heavier type.
        colour : ``#rrggbb``.
        place : which part of the words stands at ``at``: left, centre or right.
        angle_deg : turn of the words [deg], anticlockwise.
        cleared : whitens the ground below.
        """
        font = BOLD if bold else PLAIN
        width = self.width(words, size, bold=bold)
        start = {"left": 0.0, "centre": -width / 2, "right": -width}[place]
        canvas = self.canvas
        canvas.saveState()
        canvas.translate(float(at[0]), float(at[1]))
        canvas.rotate(angle_deg)
        if cleared:
            canvas.setFillColor(_colour("#ffffff"))
            canvas.rect(start - 1, -0.28 * size, width + 2, 1.12 * size, stroke=0, fill=1)
        canvas.setFillColor(_colour(colour))
        canvas.setFont(font, size)
        canvas.drawString(start, 0, words)
        canvas.restoreState()

    def inside(self, left: float, bottom: float, width: float, height: float) -> AbstractContextManager[object]:
        """Keep what is drawn in a ``with`` block inside a rectangle.

        Parameters
        ----------
        left, bottom : lower left corner [pt].
        width, height : of the rectangle [pt].

        Returns
        -------
        context manager
            That keeps to it.
        """
        return inside(self.canvas, [box(left, bottom, width, height)])

    def width(self, words: str, size: float, *, bold: bool = False) -> float:
        """Length of words on the page [pt].

        Parameters
        ----------
        words : on one line.
        size : of the type [pt].
        bold : in the heavier type.

        Returns
        -------
        float
            The length [pt].
        """
        return float(pdfmetrics.stringWidth(words, BOLD if bold else PLAIN, size))

    def _stroke(self, colour: str, width: float, dash: tuple[float, ...]) -> None:
        self.canvas.setStrokeColor(_colour(colour))
        self.canvas.setLineWidth(width)
        self.canvas.setLineJoin(1)
        self.canvas.setLineCap(1 if not dash else 0)
        self.canvas.setDash(list(dash))


class _Clip:
    """Keeps what is drawn inside some rings."""

    def __init__(self, canvas: Canvas, rings: list[FloatArray]) -> None:
        self.canvas, self.rings = canvas, rings

    def __enter__(self) -> None:
        self.canvas.saveState()
        path = self.canvas.beginPath()
        for ring in self.rings:
            _trace(path, ring)
            path.close()
        self.canvas.clipPath(path, stroke=0, fill=0, fillMode=0)

    def __exit__(self, *_: object) -> None:
        self.canvas.restoreState()


def inside(canvas: Canvas, rings: list[FloatArray]) -> _Clip:
    """Keep what is drawn in a ``with`` block inside the rings."""
    return _Clip(canvas, rings)


def box(left: float, bottom: float, width: float, height: float) -> FloatArray:
    """Give the corners of a rectangle, shape (4, 2).

    Parameters
    ----------
    left, bottom : lower left corner [pt].
    width, height : of the rectangle [pt].

    Returns
    -------
    array
        Shape (4, 2), anticlockwise from the lower left corner.
    """
    return np.array([[left, bottom], [left + width, bottom], [left + width, bottom + height], [left, bottom + height]])


def _trace(path: object, points: FloatArray) -> None:
    move, draw = path.moveTo, path.lineTo  # type: ignore[attr-defined] # reportlab's path has no type
    if len(points) > MANY:
        points = np.asarray(LineString(points).simplify(UNSEEN_PT, preserve_topology=False).coords)
    move(*map(float, points[0]))
    for x, y in points[1:]:
        draw(float(x), float(y))


def _box(rings: list[FloatArray]) -> tuple[FloatArray, FloatArray]:
    points = np.concatenate(rings)
    return points.min(axis=0), points.max(axis=0)


@cache
def _colour(colour: str) -> Color:
    return HexColor(colour)
