"""Maekawa 1968 and Kurze & Anderson 1971: loss behind a thin screen against the Fresnel number (formulas, second hand).

ISO 9613-2 counts the path difference half (C2 = 20 instead of 40) because its ground reflections are included; with the
path difference doubled and no weather factor its formula must be Maekawa's fit, and follow Kurze & Anderson closely.
"""

import math

import pytest

from hushwalk.science.sound_screen import edge_loss_db

MAEKAWA_DB = [(0.01, 5.05), (0.1, 6.99), (0.5, 11.14), (1.0, 13.62), (2.0, 16.33)]


@pytest.mark.parametrize(("fresnel", "chart_db"), MAEKAWA_DB)
def test_one_edge_is_maekawas_screen(fresnel: float, chart_db: float) -> None:
    wave = 1.0
    # legs near nothing switch the weather factor off
    loss = edge_loss_db(2 * fresnel * wave / 2, 1e-9, 1e-9, 1e-9, 0.0, 0.0, wave)
    assert loss == pytest.approx(chart_db, abs=0.005)
    root = math.sqrt(2 * math.pi * fresnel)
    assert loss == pytest.approx(5 + 20 * math.log10(root / math.tanh(root)), abs=0.7)
