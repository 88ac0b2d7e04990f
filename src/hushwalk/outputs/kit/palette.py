"""The one palette of everything that is drawn, on the page and on paper, and the type scale of the sheet.

How things are drawn with them is the business of the page and the sheet.
"""

from dataclasses import dataclass

from hushwalk.site.reading.cover_kinds import cover_kinds


@dataclass(frozen=True)
class Band:
    """One step of the suitability: values from ``low`` (counted in) to ``high``, its word and its colour."""

    low: float
    high: float
    word: str
    colour: str


# judgement: own ramp, straw to plum; lightness L* falls by 15 a step (93, 78, 63, 48, 33) and the hue turns with it,
# so that the steps are even, keep their order in grey and in every colour blindness, and leave blue to the water
BANDS = (
    Band(0.0, 0.2, "poor", "#fde9c1"),
    Band(0.2, 0.4, "fair", "#efb58a"),
    Band(0.4, 0.6, "good", "#dd7e73"),
    Band(0.6, 0.8, "very good", "#b25371"),
    Band(0.8, 1.0, "best", "#75366c"),
)

# judgement: quiet tones, light enough that black letters and lines stay clear on them
TONES = {
    "water": "#c9dff0",
    "bare": "#ebe7e2",
    "built": "#e2dede",
    "open": "#f7f3da",
    "hardwood": "#e4edcd",
    "aspen": "#eef2bd",
    "mixed": "#cfe2c8",
    "conifer": "#b6d3c2",
    "shrub": "#e9e2c4",
    "young": "#f2e6b0",
    "": "#efefef",
}

COLOURS = {
    "paper": "#ffffff",
    "text": "#16181d",
    "quiet": "#565b66",
    "line": "#c9ccd3",
    "walk": "#10131a",
    "casing": "#ffffff",
    "stop": "#ffd84a",
    "earshot": "#10131a",
    "way_back": "#3f444f",
    "plain": "#6b7080",
    "contour": "#a97c48",
    "stream": "#1f5f98",
    "water": "#9fc6e6",
    "wetland": "#2b6ea6",
    "trail": "#4a3b2a",
    "road": "#6f6a66",
    "closed": "#8e1f2f",
    "house": "#5a4a42",
    "grid": "#3c5a86",
    "warn": "#8e1f2f",
    "bird": "#14504a",
    "log": "#5b2a86",
}

# judgement: factor about 1.25 from size to size [pt]; those of the page stand in page.css
SHEET_PT = {"tiny": 7.0, "small": 7.5, "text": 9.5, "lead": 12.0, "head": 15.0}


def cover_tone(key: str) -> str:
    """Give the tone of a cover kind; an unknown kind is drawn like unknown ground.

    Examples
    --------
    >>> cover_tone("aspen")
    '#eef2bd'
    """
    groups = {kind.key: kind.group for kind in cover_kinds().values()}
    return TONES.get(groups.get(key, ""), TONES[""])


def rgb(colour: str) -> tuple[int, int, int]:
    """Give a ``#rrggbb`` colour as whole numbers 0..255.

    Examples
    --------
    >>> rgb("#ff8000")
    (255, 128, 0)
    """
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)
