"""A region where the law forbids to seek the bird is refused before anything is read or written."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import rasterio
from rasterio.transform import from_origin

from hushwalk.errors import SettingsError
from hushwalk.regions.region_file import parse_area_file
from hushwalk.regions.surface import score_region

FILE = """\
species = "black_grouse"
[region]
name = "High heath"
bounds = [9.9, 50.4, 10.1, 50.5]
[morning]
date = 2027-04-25
back_by = 08:30:00
[[layer]]
kind = "cover"
path = "cover.tif"
legend = "nlcd"
[[layer]]
kind = "roads"
path = "no_such_file.gpkg"
"""


def test_a_region_in_a_country_that_forbids_it_is_refused(tmp_path: Path) -> None:
    profile = {"driver": "GTiff", "height": 400, "width": 500, "count": 1, "dtype": "uint8", "crs": "EPSG:32632"}
    transform = from_origin(563_000, 5_597_000, 30.0, 30.0)
    with rasterio.open(tmp_path / "cover.tif", "w", transform=transform, **profile) as file:
        file.write(np.full((1, 400, 500), 43, dtype=np.uint8))
    settings = replace(parse_area_file(FILE), folder=tmp_path)
    assert settings.derived_zone == "Europe/Berlin"
    with pytest.raises(
        SettingsError, match=r"black grouse is not sought on its display ground in Germany.*section 19a"
    ):
        score_region(settings, tmp_path / "out")
    assert [path.name for path in tmp_path.iterdir()] == ["cover.tif"]
