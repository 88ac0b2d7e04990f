"""Brings a small map onto a page: as vectors of the page (SVG) or of the sheet (PDF), from one drawing.

What is drawn is area_map.py's business.
"""

import base64
import io
from html import escape

import numpy as np
from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable

from hushwalk.outputs.kit.palette import COLOURS
from hushwalk.outputs.kit.paper import MM
from hushwalk.outputs.kit.pen import Pen, box, inside
from hushwalk.outputs.regions.area_map import Drawing, Picture, Stroke, Word
from hushwalk.types import FloatArray

HATCH_MM = 1.6
HATCH = (
    f'<pattern id="hatch" width="{HATCH_MM}" height="{HATCH_MM}" patternUnits="userSpaceOnUse" '
    f'patternTransform="rotate(45)"><path d="M0 0V{HATCH_MM}" stroke="{COLOURS["text"]}" stroke-width=".4"/></pattern>'
)
"""The hatching that every map of a page refers to; stands once in the page."""

ANCHOR = {"left": "start", "centre": "middle", "right": "end"}


def svg_of(drawing: Drawing) -> str:
    """Give a map as SVG; a unit is a millimetre of paper, so that all maps of equal width have one scale."""
    parts = "".join(_svg_item(item, drawing.height) for item in drawing.items)
    named = f'role="img" aria-label="{escape(drawing.label)}"' if drawing.label else 'aria-hidden="true"'
    return f'<svg {named} viewBox="0 0 {drawing.width:.2f} {drawing.height:.2f}">{parts}</svg>'


def _svg_item(item: Stroke | Word | Picture, height: float) -> str:
    if isinstance(item, Picture):
        return _svg_picture(item, height)
    if isinstance(item, Word):
        x, y = item.at
        return (
            f'<text x="{x:.2f}" y="{height - y:.2f}" font-size="{item.size}" font-weight="700" fill="{item.colour}" '
            f'text-anchor="{ANCHOR[item.place]}">{escape(item.words)}</text>'
        )
    if not item.lines:
        return ""
    path = "".join(_svg_path(line, height, closed=item.rings) for line in item.lines)
    fill = "url(#hatch)" if item.hatched else item.fill or "none"
    edge = f' stroke="{item.edge}" stroke-width="{item.width}" stroke-linejoin="round"' if item.edge else ""
    dash = f' stroke-dasharray="{" ".join(map(str, item.dash))}"' if item.dash else ""
    return f'<path d="{path}" fill="{fill}" fill-rule="evenodd"{edge}{dash}/>'


def _svg_path(line: FloatArray, height: float, *, closed: bool) -> str:
    points = " ".join(f"{x:.2f} {height - y:.2f}" for x, y in line.tolist())
    return f"M{points}{'Z' if closed else ''}"


def _svg_picture(item: Picture, height: float) -> str:
    kept = io.BytesIO()
    item.image.save(kept, "PNG", optimize=True)
    left, bottom, wide, high = item.place
    address = base64.b64encode(kept.getvalue()).decode()
    return (
        f'<image x="{left:.3f}" y="{height - bottom - high:.3f}" width="{wide:.3f}" height="{high:.3f}" '
        f'preserveAspectRatio="none" style="image-rendering:pixelated" href="data:image/png;base64,{address}"/>'
    )


class MapFlow(Flowable):  # type: ignore[misc] # reportlab gives no types here
    """A map as a part of a sheet's flow, true to its scale."""

    def __init__(self, drawing: Drawing) -> None:
        super().__init__()
        self.drawing = drawing
        self.width, self.height = drawing.width * MM, drawing.height * MM

    def wrap(self, *_: float) -> tuple[float, float]:
        """Give the size [pt], whatever room there is."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw with the lower left corner at the origin."""
        pen = Pen(self.canv)
        with inside(self.canv, [box(0, 0, self.width, self.height)]):
            for item in self.drawing.items[:-1]:
                _colour(pen, item)
        _colour(pen, self.drawing.items[-1])


def _colour(pen: Pen, item: Stroke | Word | Picture) -> None:
    if isinstance(item, Picture):
        left, bottom, wide, high = (side * MM for side in item.place)
        image = ImageReader(item.image.convert("RGBA"))
        pen.canvas.drawImage(image, left, bottom, wide, high, mask="auto")
    elif isinstance(item, Word):
        at = item.at[0] * MM, item.at[1] * MM
        pen.text(at, item.words, item.size * MM, bold=True, colour=item.colour, place=item.place, cleared=item.cleared)
    elif item.lines:
        _colour_stroke(pen, item)


def _colour_stroke(pen: Pen, item: Stroke) -> None:
    lines = [np.asarray(line) * MM for line in item.lines]
    if item.hatched:
        pen.hatch(lines, item.edge or COLOURS["text"], HATCH_MM * MM)
    if item.rings:
        pen.area(lines, item.fill, item.edge, item.width * MM)
        return
    for line in lines:
        pen.line(line, item.edge or COLOURS["text"], item.width * MM, tuple(part * MM for part in item.dash))
