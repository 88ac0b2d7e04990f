"""The pen of the sheets, for the page: the same strokes as SVG, in colours that follow the light of the page.

What is drawn with it is the business of the drawings.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from html import escape

import numpy as np

from hushwalk.outputs.kit.palette import COLOURS
from hushwalk.outputs.kit.pen import Pen, load_fonts
from hushwalk.types import FloatArray

ANCHORS = {"left": "start", "centre": "middle", "right": "end"}
OF_PAGE = {
    COLOURS["text"]: "var(--text)",
    COLOURS["paper"]: "var(--paper)",
    COLOURS["quiet"]: "var(--quiet)",
    COLOURS["line"]: "var(--line)",
    COLOURS["stop"]: "var(--stop)",
}
"""What a colour of the sheet is on the page; greys that are not named here become the soft tone of the page."""


class SvgPen(Pen):
    """Draws into a list of SVG elements; points of a page of the given size, its origin at the lower left."""

    def __init__(self, width: float, height: float) -> None:
        load_fonts()
        self.size = width, height
        self.parts: list[str] = []

    def svg(self, label: str) -> str:
        """Give the drawing as one element with a name for those who do not see it."""
        width, height = self.size
        return (
            f'<svg role="img" aria-label="{escape(label)}" viewBox="0 0 {width:.1f} {height:.1f}">'
            f"{''.join(self.parts)}</svg>"
        )

    def line(self, points: FloatArray, colour: str, width: float, dash: tuple[float, ...] = ()) -> None:
        """Draw a line through points, shape (n, 2).

        Parameters
        ----------
        points : shape (n, 2) [pt]; fewer than two draw nothing.
        colour : ``#rrggbb``.
        width : of the line [pt].
        dash : lengths of strokes and gaps [pt]; empty for a full line.
        """
        if len(points) > 1:
            dashes = f' stroke-dasharray="{" ".join(f"{part:g}" for part in dash)}"' if dash else ""
            stroke = f'stroke="{_tone(colour)}" stroke-width="{width:g}"{dashes}'
            self.parts.append(f'<path d="{self._path(points)}" fill="none" {stroke}/>')

    def area(self, rings: list[FloatArray], fill: str | None, edge: str | None = None, width: float = 0.5) -> None:
        """Fill an area; a ring inside another is a hole.

        Parameters
        ----------
        rings : each of shape (n, 2) [pt].
        fill, edge : ``#rrggbb``, or None for none.
        width : of the edge [pt].
        """
        path = "".join(f"{self._path(ring)}Z" for ring in rings)
        stroke = "" if edge is None else f' stroke="{_tone(edge)}" stroke-width="{width:g}"'
        tone = "none" if fill is None else _tone(fill)
        self.parts.append(f'<path d="{path}" fill="{tone}" fill-rule="evenodd"{stroke}/>')

    def circle(self, at: FloatArray, radius: float, fill: str, edge: str, width: float) -> None:
        """Draw a disc.

        Parameters
        ----------
        at : shape (2,), its middle [pt].
        radius : of the disc [pt].
        fill, edge : ``#rrggbb``.
        width : of the edge [pt].
        """
        self.parts.append(
            f'<circle cx="{at[0]:.1f}" cy="{self.size[1] - at[1]:.1f}" r="{radius:g}" fill="{_tone(fill)}" '
            f'stroke="{_tone(edge)}" stroke-width="{width:g}"/>'
        )

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
        """Write words; ``place`` is left, centre or right of them; ``cleared`` clears the ground below.

        Parameters
        ----------
        at : foot of the words [pt].
        words : on one line.
        size : of the type [pt].
        bold : in the heavier type.
        colour : ``#rrggbb``.
        place : which part of the words stands at ``at``: left, centre or right.
        angle_deg : turn of the words [deg], anticlockwise.
        cleared : clears the ground below.
        """
        x, y = float(at[0]), self.size[1] - float(at[1])
        turn = f' transform="rotate({-angle_deg:g} {x:.1f} {y:.1f})"' if angle_deg else ""
        clear = ' paint-order="stroke" stroke="var(--paper)" stroke-width="3"' if cleared else ""
        weight = ' font-weight="700"' if bold else ""
        self.parts.append(
            f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:g}" text-anchor="{ANCHORS[place]}" '
            f'fill="{_tone(colour)}"{weight}{clear}{turn}>{escape(words)}</text>'
        )

    @contextmanager
    def inside(self, left: float, bottom: float, width: float, height: float) -> Iterator[None]:
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
        top = self.size[1] - bottom - height
        self.parts.append(
            f'<svg aria-hidden="true" x="{left:.1f}" y="{top:.1f}" width="{width:.1f}" height="{height:.1f}" '
            f'viewBox="{left:.1f} {top:.1f} {width:.1f} {height:.1f}">'
        )
        yield
        self.parts.append("</svg>")

    def _path(self, points: FloatArray) -> str:
        return "M" + " ".join(f"{x:.1f} {self.size[1] - y:.1f}" for x, y in np.asarray(points).tolist())


def _tone(colour: str) -> str:
    return OF_PAGE.get(colour, "var(--soft)")
