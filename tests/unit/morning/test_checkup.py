"""A look over raw downloads says all that is missing at once."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
import rasterio
from rasterio.transform import from_origin
from tests.unit.site.test_inputs import CAR, settings_in

from hushwalk.errors import SettingsError
from hushwalk.morning.checkup import check_trip
from hushwalk.morning.story import plan_morning
from hushwalk.site.settings import LayerSettings, PlaceSettings


def test_everything_that_raw_downloads_lack_is_said_at_once(tmp_path: Path) -> None:
    profile = {"driver": "GTiff", "height": 9, "width": 9, "count": 1, "dtype": "uint8"}
    with rasterio.open(tmp_path / "cover.tif", "w", transform=from_origin(0, 90, 10, 10), **profile) as file:
        file.write(np.full((9, 9), 41, dtype=np.uint8), 1)
    settings = settings_in(
        tmp_path,
        LayerSettings("cover", "cover.tif"),
        LayerSettings("streams", "rivers.gpkg"),
        species="rufed_grouse",
    )
    found = check_trip(replace(settings, place=PlaceSettings("Invented ground", f"{CAR[1]}, {CAR[0]}")))
    said = "\n".join(found.mend)
    assert not found.ready
    for words in (
        "rufed_grouse",
        "legend",  # which classes the cover has
        "crs =",  # where it lies
        "rivers.gpkg",
        'no layer of kind "elevation" is named',
    ):
        assert words in said
    assert [layer.state for layer in found.layers] == ["unusable", "unusable"]


def test_a_day_that_no_compass_model_knows_is_refused_before_a_layer_is_read(tmp_path: Path) -> None:
    settings = settings_in(tmp_path, LayerSettings("elevation", "missing.tif"))
    place = PlaceSettings("Invented ground", f"{CAR[1]}, {CAR[0]}")
    late = replace(settings, place=place, morning=replace(settings.morning, date=date(2031, 4, 25)))
    assert any("World Magnetic Model" in words for words in check_trip(late).mend)
    with pytest.raises(SettingsError, match="World Magnetic Model"):
        plan_morning(late)
