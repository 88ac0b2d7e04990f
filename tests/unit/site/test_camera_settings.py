import tomllib

import pytest
from pydantic import TypeAdapter, ValidationError

from hushwalk.errors import SettingsError
from hushwalk.site.camera_settings import CameraSettings, LogSettings

TEXT = """
sensor = "aps_c"
extenders = [1.4]
iso_max = 12800.0
sky = "overcast"

[[lens]]
name = "long"
focal_mm = 500.0
f_number = 5.6
nearest_m = 3.7

[[log]]
name = "LOG01"
facing_deg = [80.0, 260.0]
skyline = [[90.0, 12.0], [110.0, 9.5]]
hide_m = {S = 14.0}
"""


def read(text: str) -> CameraSettings:
    import json  # noqa: PLC0415

    return TypeAdapter(CameraSettings).validate_json(json.dumps(tomllib.loads(text)))


def test_a_camera_table_becomes_settings() -> None:
    got = read(TEXT)
    assert (got.sensor, got.iso_max, got.sky, got.extenders) == ("aps_c", 12800.0, "overcast", (1.4,))
    assert got.lens[0].widest_mm is None
    assert got.log[0].skyline == ((90.0, 12.0), (110.0, 9.5))
    assert got.log[0].hide_m == {"S": 14.0}


def test_an_empty_table_is_the_usual_camera() -> None:
    assert read("") == CameraSettings()


@pytest.mark.parametrize(
    "text",
    [
        "sensr = 'full_frame'",
        "sensor = 'half'",
        "iso_max = 0.0",
        "extenders = [0.5]",
        "sky = 'grey'",
        "transmittance = 1.5",
        "[[lens]]\nname = 'x'\nfocal_mm = -5.0\nf_number = 4.0\nnearest_m = 2.0",
        "[[log]]\nname = ''",
        "[[log]]\nname = 'A'\nskyline = [[400.0, 3.0]]",
    ],
)
def test_what_cannot_be_is_refused(text: str) -> None:
    with pytest.raises(ValidationError):
        read(text)


def test_two_logs_of_one_name_and_a_blank_name_are_refused() -> None:
    one, same = LogSettings("ALDER", "47.38, -90.33"), LogSettings("alder ", "47.39, -90.34")
    with pytest.raises(SettingsError, match=r"two \[\[camera.log\]\] are called ALDER"):
        CameraSettings(log=(one, same))
    with pytest.raises(SettingsError, match="blank name"):
        LogSettings("   ", "47.38, -90.33")
