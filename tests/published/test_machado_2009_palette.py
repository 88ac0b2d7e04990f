"""The suitability colours keep their order and stay apart for colour-blind eyes.

Source: Machado, Oliveira and Fernandes 2009, matrices for full protanopia, deuteranopia and tritanopia in linear RGB
(typed from memory). Differences are CIE 1976 Delta E; 10 is common practice for colours told apart at a glance.
"""

import re

import numpy as np
import pytest

from hushwalk.outputs.kit.palette import BANDS, COLOURS, SHEET_PT, rgb
from hushwalk.outputs.walk.walk_page import asset

SEEN = {
    "common": np.eye(3),
    "protanopia": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "deuteranopia": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "tritanopia": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}
TO_XYZ = np.array(
    [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]]
)
WHITE = TO_XYZ.sum(axis=1)


def linear(colour: str) -> np.ndarray:
    channel = np.array(rgb(colour)) / 255
    return np.where(channel <= 0.04045, channel / 12.92, ((channel + 0.055) / 1.055) ** 2.4)


def lab(colour: str, eye: np.ndarray) -> np.ndarray:
    t = TO_XYZ @ np.clip(eye @ linear(colour), 0, 1) / WHITE
    f = np.where(t > 216 / 24389, np.cbrt(t), (24389 / 27 * t + 16) / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


@pytest.mark.parametrize("eye", SEEN)
def test_steps_keep_their_order_and_stay_apart(eye: str) -> None:
    seen = np.array([lab(band.colour, SEEN[eye]) for band in BANDS])
    assert (np.diff(seen[:, 0]) < -10).all(), "lightness falls from step to step"
    steps = np.hypot(*np.diff(seen, axis=0)[:, :2].T)
    assert steps.min() > 10
    full = np.linalg.norm(np.diff(seen, axis=0), axis=1)
    assert full.max() / full.min() < 2.0


def test_water_and_walk_are_never_taken_for_suitability() -> None:
    for eye in SEEN.values():
        for name in ("water", "stop", "walk"):
            apart = [np.linalg.norm(lab(COLOURS[name], eye) - lab(band.colour, eye)) for band in BANDS]
            assert min(apart) > 10, name


def contrast(one: str, other: str) -> float:
    """WCAG 2 contrast: (L1 + 0.05) / (L2 + 0.05) of the relative luminances."""
    light = sorted(float(linear(c) @ [0.2126, 0.7152, 0.0722]) for c in (one, other))
    return (light[1] + 0.05) / (light[0] + 0.05)


def test_words_have_the_contrast_that_wcag_asks_for() -> None:
    for ink, ground in (("text", "paper"), ("quiet", "paper"), ("text", "stop"), ("warn", "paper")):
        assert contrast(COLOURS[ink], COLOURS[ground]) >= 4.5
    assert contrast("#ff7a66", "#000000") >= 4.5, "red light"
    assert contrast("#e0604e", "#000000") >= 4.5
    sizes = [float(size) for size in re.findall(r"font(?:-size)?: [^;]*?([\d.]+)px", asset("page.css"))]
    assert sizes[0] >= 16, "running text"
    assert min(sizes) >= 11, "labels on the map"
    assert min(SHEET_PT.values()) >= 6
