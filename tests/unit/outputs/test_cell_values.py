import base64
import json
from dataclasses import replace

import numpy as np
import pytest

from hushwalk.morning.report import Report
from hushwalk.outputs.kit.cell_values import UNKNOWN, cell_values, pack


def unpacked(said: dict, shape: tuple[int, int]) -> np.ndarray:
    number = np.frombuffer(base64.b64decode(said["cells"]), dtype=np.uint8).reshape(shape)
    return np.where(number == UNKNOWN, np.nan, said["offset"] + number * said["step"])


def test_every_value_comes_back_within_half_a_step(report: Report) -> None:
    said = json.loads(json.dumps(cell_values(report)))
    shape = said["grid"]["rows"], said["grid"]["cols"]
    assert shape == report.grid.shape
    for key, layer in (
        ("suitability", report.country.suitability),
        ("elevation", report.country.elevation),
        ("density", report.country.density_per_km2),
        ("cover", report.country.cover),
    ):
        assert unpacked(said[key], shape) == pytest.approx(layer.values, abs=said[key]["step"] / 2 + 1e-9, nan_ok=True)
    assert [part["label"] for part in said["ingredients"]] == [i.label for i in report.country.ingredients]


def test_large_ground_is_thinned_to_the_middles_of_its_blocks(report: Report) -> None:
    layer = report.country.elevation
    said = pack(layer, 3, low=400.0, high=500.0)
    shape = (83, 83)
    assert unpacked(said.as_json(), shape)[10, 20] == pytest.approx(layer.values[31, 61], abs=0.3)


def test_a_trip_without_cover_says_so(report: Report) -> None:
    bare = replace(report, country=replace(report.country, cover=None))
    assert cell_values(bare)["cover"] is None
