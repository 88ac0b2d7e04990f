from datetime import UTC, datetime

import pytest

from hushwalk.errors import SettingsError
from hushwalk.notes.north import norths_of
from hushwalk.wording.note_words import warning_words


@pytest.mark.parametrize(
    ("epsg", "lon", "lat", "declination", "convergence"),
    [
        (32615, -92.10, 46.79, -1.226, 0.655990),
        (32618, -77.86, 40.79, -10.524, None),
        (32611, -114.1, 54.0, None, 2.346846),
    ],
)
def test_norths_of_the_reference_notes(epsg, lon, lat, declination, convergence):
    # 25 April 2027 at 0.3 km: pygeomag and pyproj in the notes; the height moves it by 0.001 degrees.
    here = norths_of(epsg, "America/Chicago")(lon, lat, datetime(2027, 4, 25, 12, tzinfo=UTC))
    if declination is not None:
        assert here.declination_deg == pytest.approx(declination, abs=0.003)
    if convergence is not None:
        assert here.convergence_deg == pytest.approx(convergence, abs=1e-5)
    assert here.warnings == ()


def test_warnings_at_the_end_of_the_model_and_near_the_pole():
    last = norths_of(32615, "UTC")(-92.1, 46.79, datetime(2029, 5, 1, tzinfo=UTC)).warnings[0]
    assert "ends with 2029" in warning_words(last)
    north = norths_of(32614, "UTC")(-99.0, 83.5, datetime(2027, 5, 1, tzinfo=UTC))
    assert any("compass is" in warning_words(warning) for warning in north.warnings)
    with pytest.raises(SettingsError):
        norths_of(32615, "UTC")(-92.1, 46.79, datetime(2031, 5, 1, tzinfo=UTC))
