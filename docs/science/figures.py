"""Draw one figure a term of the sound science, with the published points on it: python docs/science/figures.py.

The figures are written beside this file as SVG; nothing is computed here that the package does not compute.
"""

import tomllib
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path
from xml.sax.saxutils import escape

import numpy as np

from hushwalk.hearing.background import wind_noise_db
from hushwalk.hearing.call import call_from_card
from hushwalk.hearing.conditions import CALM, Conditions
from hushwalk.hearing.level_soundscape import LevelSoundscape
from hushwalk.hearing.listener import Listener
from hushwalk.science.bouts import cue_chance
from hushwalk.science.hearing_threshold import threshold_db
from hushwalk.science.sound_air import air_db_per_m
from hushwalk.science.sound_foliage import foliage_db
from hushwalk.science.sound_ground import octave_ground_db
from hushwalk.science.sound_screen import edge_loss_db

HERE = Path(__file__).parent
WIDE, HIGH, LEFT, TOP = 960, 400, 70, 50
LEGEND = 340
COLOURS = ("#1b4965", "#bc4b51", "#5b8e7d", "#8c6d1f", "#6a4c93")


def rounded(low: float, high: float) -> list[float]:
    """Round numbers between two ends."""
    step = 10 ** np.floor(np.log10(high - low))
    step *= next(part for part in (0.1, 0.2, 0.5, 1, 2) if (high - low) / (step * part) <= 8)
    return [float(f"{k * step:g}") for k in range(int(np.ceil(low / step)), int(high / step + 1e-9) + 1)]


def decades(low: float, high: float) -> list[float]:
    """Numbers 1, 2 and 5 of each decade between two ends."""
    every = [part * 10.0**k for k in range(-4, 6) for part in (1, 2, 5)]
    return [x for x in every if low * 0.999 <= x <= high * 1.001]


@dataclass
class Figure:
    """Curves and points in one frame; ``log`` draws x by its logarithm."""

    title: str
    x_name: str
    y_name: str
    log: bool = False
    curves: list[tuple[str, np.ndarray, np.ndarray]] = field(default_factory=list)
    points: list[tuple[str, np.ndarray, np.ndarray]] = field(default_factory=list)

    def svg(self) -> str:
        """Write the figure as SVG text."""
        every = [*self.curves, *self.points]
        xs = self.across(np.concatenate([np.asarray(x, dtype=float) for _, x, _ in every]))
        ys = np.concatenate([np.asarray(y, dtype=float) for _, _, y in every])
        (x0, x1), (y0, y1) = (xs.min(), xs.max()), (min(ys.min(), 0.0), ys.max())
        inner_w, inner_h = WIDE - LEFT - LEGEND, HIGH - TOP - 60

        def point(x: float, y: float) -> tuple[float, float]:
            at = float(self.across(np.array(x)))
            return LEFT + inner_w * (at - x0) / (x1 - x0), TOP + inner_h * (1 - (y - y0) / (y1 - y0))

        lines = [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {HIGH}" ',
            'font-family="sans-serif" font-size="12">',
            f'<rect width="{WIDE}" height="{HIGH}" fill="white"/>',
            f'<text x="{LEFT}" y="24" font-size="15">{escape(self.title)}</text>',
            f'<rect x="{LEFT}" y="{TOP}" width="{inner_w}" height="{inner_h}" fill="none" stroke="#888"/>',
            f'<text x="{LEFT + inner_w / 2}" y="{HIGH - 14}" text-anchor="middle">{escape(self.x_name)}</text>',
            f'<text transform="translate(16 {TOP + inner_h / 2}) rotate(-90)" ',
            f'text-anchor="middle">{escape(self.y_name)}</text>',
        ]
        for tick in decades(2**x0, 2**x1) if self.log else rounded(x0, x1):
            at, _ = point(tick, y0)
            lines.append(f'<text x="{at:.1f}" y="{TOP + inner_h + 18}" text-anchor="middle">{tick:g}</text>')
        for tick in rounded(y0, y1):
            _, at = point(2**x0 if self.log else x0, tick)
            lines.append(f'<text x="{LEFT - 8}" y="{at + 4:.1f}" text-anchor="end">{tick:g}</text>')
        for i, (name, x, y) in enumerate(self.curves):
            line = " ".join("{:.1f},{:.1f}".format(*point(a, b)) for a, b in zip(x, y, strict=True))
            lines.append(f'<polyline points="{line}" fill="none" stroke="{COLOURS[i % 5]}" stroke-width="2"/>')
            lines.append(
                f'<text x="{WIDE - LEGEND + 20}" y="{TOP + 18 + 16 * i}" fill="{COLOURS[i % 5]}">{escape(name)}</text>'
            )
        for i, (name, x, y) in enumerate(self.points):
            row = len(self.curves) + i
            for a, b in zip(x, y, strict=True):
                lines.append('<circle cx="{:.1f}" cy="{:.1f}" r="4" fill="none" stroke="black"/>'.format(*point(a, b)))
            lines.append(f'<text x="{WIDE - LEGEND + 20}" y="{TOP + 18 + 16 * row}">o {escape(name)}</text>')
        return "\n".join([*lines, "</svg>\n"])

    def across(self, x: np.ndarray) -> np.ndarray:
        """Where x lies on its axis."""
        return np.log2(x) if self.log else x


def air() -> Figure:
    """Absorption in air with points of ISO 9613-1 table 1."""
    hz = np.geomspace(40, 4000, 80)
    found = Figure("Loss in air", "frequency [Hz]", "dB per km", log=True)
    for humidity in (10, 70):
        found.curves.append((f"10 degrees, {humidity} %", hz, 1000 * air_db_per_m(hz, 10, humidity)))
    found.points.append(("ISO 9613-1 table 1", np.array([125, 125, 1000, 4000]), np.array([0.788, 0.411, 3.66, 32.8])))
    return found


def ground() -> Figure:
    """Ground effect with the worked example of ISO 9613-2."""
    far = np.linspace(10, 800, 160)
    found = Figure("Loss to the ground (negative: a gain)", "distance [m]", "dB")
    for at, name in ((0, "63 Hz, porous, 0.5 and 1.6 m"), (1, "125 Hz, porous, 0.5 and 1.6 m")):
        found.curves.append((name, far, octave_ground_db(far, 0.5, 1.6)[at]))
    found.curves.append(("63 Hz, hard, 2 and 4 m", far, octave_ground_db(far, 2.0, 4.0, 0.0)[0]))
    found.points.append(("worked example of ISO 9613-2: hard, 2 and 4 m", np.array([500.0]), np.array([-4.92])))
    return found


def foliage() -> Figure:
    """Dense foliage with table A.1 of ISO 9613-2."""
    far = np.linspace(0, 400, 401)
    found = Figure("Loss in dense foliage", "way through foliage [m]", "dB")
    for hz in (63.0, 125.0, 500.0):
        found.curves.append((f"{hz:.0f} Hz", far, foliage_db(hz, far)))
    found.points.append(
        ("ISO 9613-2 table A.1", np.array([20, 200, 20, 200, 20, 200]), np.array([0.4, 4, 0.6, 6, 1, 10]))
    )
    return found


def screen() -> Figure:
    """Screening with the fit of Maekawa."""
    number = np.geomspace(0.01, 3, 60)
    loss = np.array([edge_loss_db(n, 1e-9, 1e-9, 1e-9, 0.0, 0.0, 1.0) for n in number])
    found = Figure("Loss behind one edge, no weather factor", "Fresnel number", "dB", log=True)
    found.curves.append(("ISO 9613-2 with C2 = 40", number, loss))
    root = np.sqrt(2 * np.pi * number)
    found.curves.append(("Kurze and Anderson 1971", number, 5 + 20 * np.log10(root / np.tanh(root))))
    found.points.append(
        ("Maekawa 1968, fit", np.array([0.01, 0.1, 0.5, 1, 2]), np.array([5.05, 6.99, 11.14, 13.62, 16.33]))
    )
    return found


def ear() -> Figure:
    """Threshold of hearing with the wind over it."""
    hz = np.geomspace(25, 200, 60)
    found = Figure("What the ear needs, and wind", "frequency [Hz]", "dB re 20 uPa", log=True)
    found.curves.append(("threshold in quiet", hz, threshold_db(hz)))
    for wind in (2.0, 5.0):
        found.curves.append((f"wind {wind:.0f} m/s, third octaves (Boersma 1997)", hz, wind_noise_db(hz, wind)))
    bands = np.array([25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200])
    found.points.append(("ISO 226:2023", bands, np.array([68.7, 59.5, 51.1, 44.0, 37.5, 31.5, 26.5, 22.1, 17.9, 14.4])))
    return found


def chance() -> Figure:
    """Chance by distance with the published radii, which give no chance of their own."""
    card = tomllib.loads((files("hushwalk") / "data" / "species" / "ruffed_grouse.toml").read_text(encoding="utf-8"))
    call, far = call_from_card(card), np.linspace(10, 900, 180)
    found = Figure("Chance to hear one drum, calm leafless hardwood", "distance [m]", "chance")
    for name, air_now, listener in (
        ("focal", CALM, Listener()),
        ("focal, wind 3 m/s", Conditions(wind_at_ear_ms=3.0), Listener()),
        ("pessimistic", CALM, Listener(evidence="pessimistic")),
    ):
        found.curves.append((name, far, LevelSoundscape(air_now, call, listener).chance(far, 0.25)))
    found.points.append(("half distance of the point counts, 74 m", np.array([74.0]), np.array([0.5])))
    radii = np.array([201.0, 402.0, 550.0, 805.0])
    found.points.append(("published radii, on the axis: 201, 402, 550, 805 m", radii, np.zeros(4)))
    return found


def cue() -> Figure:
    """Chance of a display by minutes, with the removal studies."""
    minutes = np.linspace(0, 15, 100)
    found = Figure("Chance of at least one display", "minutes", "chance")
    for name, rate in (("ruffed grouse", 0.2578), ("winter wren", 0.230), ("pileated woodpecker", 0.0446)):
        found.curves.append((name, minutes, cue_chance(rate, minutes)))
    found.points.append(("Farnsworth et al. 2002, in 10 min", np.array([10.0, 10.0]), np.array([0.90, 0.36])))
    return found


if __name__ == "__main__":
    for make in (air, ground, foliage, screen, ear, chance, cue):
        (HERE / f"{make.__name__}.svg").write_text(make().svg(), encoding="utf-8")
        print(HERE / f"{make.__name__}.svg")
