"""The rehearsal of a day as files: a picture (SVG) and its figures (JSON).

The days are played in morning/day; the words come from wording.
"""

import json
from typing import Any
from xml.sax.saxutils import escape

import numpy as np

from hushwalk.morning.day.day_worth import shares_of
from hushwalk.morning.day.rehearsed_trip import RehearsedTrip
from hushwalk.outputs.kit.palette import COLOURS
from hushwalk.outputs.walk.day_data import chance_fields
from hushwalk.types import FloatArray
from hushwalk.wording.day_words import disturbing_words, expected_sentences, share_words, time_sentence

Json = dict[str, Any]
WIDTH, PANEL, TOP = 720, 150, 70  # definition: of the picture [px]
BAR_PX, GAP_PX, LEFT_PX = 96, 22, 150
LATE_STEPS = (0.0, 5.0, 10.0, 20.0)  # definition: in time, up to 5, 10, 20 minutes late, and more


def rehearsal_svg(rehearsed: RehearsedTrip) -> str:
    """Draw the days: a row of bars each for heard, closed in, found, disturbed and minutes late."""
    played = rehearsed.played
    panels = [
        ("males heard", _by_number(shares_of(played.heard))),
        ("closed in on", _by_number(shares_of(played.closed_in))),
        ("logs found", _by_number(played.found_shares)),
        (f"males {disturbing_words()}", _by_number(shares_of(played.disturbed))),
        ("minutes late", _by_lateness(played.minutes_late)),
    ]
    height = TOP + PANEL * len(panels)
    parts = [
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{height}" '
            f'viewBox="0 0 {WIDTH} {height}" font-family="DejaVu Sans, sans-serif" fill="{COLOURS["text"]}">'
        ),
        f'<rect width="{WIDTH}" height="{height}" fill="#ffffff"/>',
        _text(16, 28, rehearsed.title, size=17),
        _text(16, 50, f"{rehearsed.day:%A %d %B %Y}, the day played {played.chances.days} times", size=13),
    ]
    for row, (name, shares) in enumerate(panels):
        parts += _panel(name, shares, TOP + row * PANEL)
    return "\n".join([*parts, "</svg>"]) + "\n"


def _by_number(shares: FloatArray) -> list[tuple[str, float]]:
    most = (WIDTH - LEFT_PX) // (GAP_PX * 2)
    last = [(f"{most - 1}+", float(shares[most - 1 :].sum()))] if len(shares) > most else []
    return [(str(k), float(share)) for k, share in enumerate(shares[: most - 1 if last else most])] + last


def _by_lateness(minutes: FloatArray) -> list[tuple[str, float]]:
    edges = [*LATE_STEPS, np.inf]
    names = ["in time", *(f"to {edge:.0f}" for edge in LATE_STEPS[1:]), f"over {LATE_STEPS[-1]:.0f}"]
    step = np.searchsorted(np.array(edges), minutes, side="left")
    return [(name, float(np.mean(step == k))) for k, name in enumerate(names)]


def _panel(name: str, shares: list[tuple[str, float]], top: int) -> list[str]:
    floor, step = top + BAR_PX + 14, (WIDTH - LEFT_PX - 16) / max(len(shares), 6)
    most = max(share for _, share in shares) or 1.0
    parts = [_text(16, floor - BAR_PX / 2, name, size=14)]
    for k, (label, share) in enumerate(shares):
        left, tall = LEFT_PX + k * step, BAR_PX * share / most * 0.85
        parts += [
            (
                f'<rect x="{left:.1f}" y="{floor - tall:.1f}" width="{step * 0.72:.1f}" height="{tall:.1f}" '
                f'fill="{COLOURS["trail"]}"/>'
            ),
            _text(left, floor + 15, label, size=11),
            _text(left, floor - tall - 4, share_words(share), size=10),
        ]
    return [*parts, f'<path d="M{LEFT_PX} {floor}H{WIDTH - 16}" stroke="{COLOURS["line"]}"/>']


def _text(x: float, y: float, words: str, *, size: int) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size}">{escape(words)}</text>'


def rehearsal_json(rehearsed: RehearsedTrip) -> str:
    """Give the figures of the days."""
    expected = rehearsed.expected
    facts = {
        "schema": "hushwalk rehearsal 1",
        "title": rehearsed.title,
        "species": rehearsed.species,
        "date": rehearsed.day.isoformat(),
        "stops": rehearsed.stops,
        "closing_in_minutes": expected.closing_in_min,
        "search_minutes": round(expected.search_min, 1),
        **chance_fields(expected.chances),
        "words": [*expected_sentences(expected), time_sentence(expected.chances)],
    }
    return json.dumps(facts, indent=1, allow_nan=False) + "\n"
