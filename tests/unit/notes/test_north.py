from datetime import UTC, date, datetime

import pytest

from hushwalk.errors import InputError
from hushwalk.notes.north import norths_of
from hushwalk.notes.note_warnings import WarningKind
from hushwalk.science.magnetic import declination
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


def test_only_a_magnetic_reading_needs_the_model():
    norths = norths_of(32615, "UTC")
    for year in (1991, 2027, 2099):
        for north in ("T", "G"):
            here = norths(-92.1, 46.79, datetime(year, 5, 1, tzinfo=UTC), north)
            assert (here.declination_deg, here.warnings) == (0.0, ())
            assert here.convergence_deg == pytest.approx(0.656, abs=0.001)
    with pytest.raises(InputError, match="such as 085T"):
        norths(-92.1, 46.79, datetime(2019, 5, 1, tzinfo=UTC), "M")


def test_after_its_end_the_last_model_is_carried_on_with_its_error():
    norths = norths_of(32615, "UTC")
    last = declination(date(2029, 12, 31), -92.1, 46.79)
    late = norths(-92.1, 46.79, datetime(2032, 1, 1, tzinfo=UTC), "M")
    assert late.declination_deg == pytest.approx(last.declination_deg + 2 * last.rate_deg_per_year, abs=0.01)
    (ended,) = [w for w in late.warnings if w.kind is WarningKind.MODEL_ENDED]
    assert ended.value == pytest.approx((last.error_deg**2 + (2 * last.rate_deg_per_year) ** 2) ** 0.5, abs=0.01)
    assert "is good to 0.4 degrees" in warning_words(ended)
