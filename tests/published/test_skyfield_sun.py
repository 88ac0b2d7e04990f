"""Sun and moon against an independent library: Skyfield on the DE421 ephemeris of the Jet Propulsion Laboratory.

A year of sunrises, sunsets and twilights at five sites, positions of sun and moon, and the light of named mornings
(worked out with the same library, to the second).
"""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest
import skyfield_data
from skyfield import almanac
from skyfield.api import Loader, wgs84

from hushwalk.science.moon import moon_altitude_deg, moon_azimuth_deg, moon_lit_fraction
from hushwalk.science.sun import (
    CIVIL_DEG,
    NAUTICAL_DEG,
    SUNRISE_DEG,
    evening_light,
    sun_altitude_deg,
    sun_azimuth_deg,
    sun_events,
)

SITES = {
    "inland sea, north shore": (ZoneInfo("America/Chicago"), -92.10, 46.79),
    "front range": (ZoneInfo("America/Denver"), -105.1786, 39.7425),
    "eastern ridges": (ZoneInfo("America/New_York"), -77.86, 40.79),
    "foothills": (ZoneInfo("America/Edmonton"), -114.92, 52.37),
    "prime meridian": (ZoneInfo("Europe/London"), 0.0, 51.4779),
}
MORNINGS = [  # zone, longitude, latitude, nautical dawn, civil dawn, sunrise on 25 April 2026
    ("America/Chicago", -92.10, 46.79, "04:49:22", "05:30:05", "06:03:00"),
    ("America/New_York", -77.86, 40.79, "05:13:17", "05:48:39", "06:17:50"),
    ("America/Edmonton", -114.92, 52.37, "04:53:43", "05:42:20", "06:20:20"),
    ("America/Anchorage", -147.72, 64.84, None, "04:32:30", "05:38:26"),
]
POSITIONS = [  # UTC, sun altitude, azimuth, moon altitude, azimuth, lit at 92.10 W 46.79 N
    ("2026-04-25T10:30", -6.0144, 63.3111, -16.259, 314.111, 0.6450),
    ("2026-04-25T12:00", 8.5702, 79.6882, -25.245, 334.296, 0.6514),
    ("2026-04-25T17:00", 53.7849, 151.9732, -16.263, 48.839, 0.6725),
    ("2026-11-25T13:30", -0.1283, 121.1042, 12.253, 296.060, 0.9852),
    ("2027-05-01T11:00", 0.1811, 67.8739, 21.103, 126.613, 0.2598),
]


@pytest.fixture(scope="module")
def sky() -> Iterator[tuple[Any, Any]]:
    load = Loader(Path(skyfield_data.__file__).parent / "data", verbose=False)
    ephemeris = load("de421.bsp")
    yield ephemeris, load.timescale(builtin=True)
    ephemeris.close()


@pytest.mark.parametrize("site", SITES)
@pytest.mark.parametrize(
    ("altitude", "rising"),
    [(SUNRISE_DEG, True), (SUNRISE_DEG, False), (CIVIL_DEG, True), (CIVIL_DEG, False), (NAUTICAL_DEG, True)],
)
def test_a_year_of_events_within_two_seconds(sky: tuple[Any, Any], site: str, altitude: float, rising: bool) -> None:
    zone, lon, lat = SITES[site]
    eph, ts = sky
    start, end = datetime(2026, 1, 1, tzinfo=zone), datetime(2027, 1, 1, tzinfo=zone)
    find = almanac.find_risings if rising else almanac.find_settings
    observer = eph["earth"] + wgs84.latlon(lat, lon)
    times, happened = find(observer, eph["sun"], ts.from_datetime(start), ts.from_datetime(end), altitude)
    theirs = {t.astimezone(zone).date(): t.utc_datetime() for t, yes in zip(times, happened, strict=True) if yes}
    for k in range(0, 365, 7):
        day = date(2026, 1, 1) + timedelta(days=k)
        (ours,) = sun_events(day, zone, lon, lat, altitude, rising=rising)
        assert abs((ours - theirs[day]).total_seconds()) <= 2, day


@pytest.mark.parametrize("site", SITES)
def test_evenings_of_a_year_within_two_seconds(sky: tuple[Any, Any], site: str) -> None:
    zone, lon, lat = SITES[site]
    eph, ts = sky
    observer = eph["earth"] + wgs84.latlon(lat, lon)
    for k in range(3, 365, 40):
        day = date(2026, 1, 1) + timedelta(days=k)
        noon = datetime(day.year, day.month, day.day, 12, tzinfo=zone)
        ours = evening_light(day, zone, lon, lat)
        for altitude, found in ((SUNRISE_DEG, ours.sunset), (CIVIL_DEG, ours.civil_dusk)):
            until = ts.from_datetime(noon + timedelta(hours=14))
            times, happened = almanac.find_settings(observer, eph["sun"], ts.from_datetime(noon), until, altitude)
            theirs = next(t.utc_datetime() for t, yes in zip(times, happened, strict=True) if yes)
            assert found is not None
            assert abs((found - theirs).total_seconds()) <= 2, day


def test_a_sunset_after_midnight_belongs_to_the_evening_before_it(sky: tuple[Any, Any]) -> None:
    """Fairbanks, 20 June 2026: the sun sets after midnight by the clock, and civil twilight lasts all night."""
    eph, ts = sky
    zone, lon, lat = ZoneInfo("America/Anchorage"), -147.72, 64.84
    ours = evening_light(date(2026, 6, 20), zone, lon, lat)
    start = datetime(2026, 6, 20, 14, tzinfo=zone)
    times, happened = almanac.find_settings(
        eph["earth"] + wgs84.latlon(lat, lon),
        eph["sun"],
        ts.from_datetime(start),
        ts.from_datetime(start + timedelta(hours=14)),
        SUNRISE_DEG,
    )
    theirs = next(t.utc_datetime() for t, yes in zip(times, happened, strict=True) if yes)
    assert ours.sunset is not None
    assert ours.sunset.astimezone(zone).date() == date(2026, 6, 21)
    assert abs((ours.sunset - theirs).total_seconds()) <= 2
    assert ours.civil_dusk is None


def test_days_with_no_sunset_and_with_two(sky: tuple[Any, Any]) -> None:
    """Skyfield gives a closest approach with a False flag where there is none."""
    eph, ts = sky
    zone, lon, lat = ZoneInfo("America/Anchorage"), -147.72, 64.84
    observer = eph["earth"] + wgs84.latlon(lat, lon)
    start, end = datetime(2026, 5, 10, tzinfo=zone), datetime(2026, 7, 29, tzinfo=zone)
    times, happened = almanac.find_settings(
        observer, eph["sun"], ts.from_datetime(start), ts.from_datetime(end), SUNRISE_DEG
    )
    theirs = [t.astimezone(zone).date() for t, yes in zip(times, happened, strict=True) if yes]
    days = [date(2026, 5, 10) + timedelta(days=k) for k in range(80)]
    counts = {day: theirs.count(day) for day in days}
    assert set(counts.values()) == {0, 1, 2}
    ours = {day: len(sun_events(day, zone, lon, lat, rising=False)) for day in days}
    assert ours == counts


@pytest.mark.parametrize(("zone", "lon", "lat", "nautical", "civil", "rise"), MORNINGS)
def test_dawns_of_named_mornings(
    zone: str, lon: float, lat: float, nautical: str | None, civil: str, rise: str
) -> None:
    for altitude, said in ((NAUTICAL_DEG, nautical), (CIVIL_DEG, civil), (SUNRISE_DEG, rise)):
        found = sun_events(date(2026, 4, 25), ZoneInfo(zone), lon, lat, altitude)
        if said is None:
            assert found == ()
        else:
            expected = datetime.fromisoformat(f"2026-04-25T{said}").replace(tzinfo=ZoneInfo(zone))
            assert abs(found[0] - expected) <= timedelta(seconds=2)


@pytest.mark.parametrize(("when", "sun_alt", "sun_az", "moon_alt", "moon_az", "lit"), POSITIONS)
def test_positions_of_sun_and_moon(
    when: str, sun_alt: float, sun_az: float, moon_alt: float, moon_az: float, lit: float
) -> None:
    time = datetime.fromisoformat(when).replace(tzinfo=UTC)
    place = (-92.10, 46.79)
    assert float(sun_altitude_deg(time, *place)) == pytest.approx(sun_alt, abs=0.001)
    assert float(sun_azimuth_deg(time, *place)) == pytest.approx(sun_az, abs=0.001)
    assert float(moon_altitude_deg(time, *place)) == pytest.approx(moon_alt, abs=0.002)
    assert float(moon_azimuth_deg(time, *place)) == pytest.approx(moon_az, abs=0.002)
    assert float(moon_lit_fraction(time)) == pytest.approx(
        lit, abs=0.005
    )  # from the ground and from the earth's middle


def test_a_year_of_positions(sky: tuple[Any, Any]) -> None:
    eph, ts = sky
    times = np.arange("2026-01-01", "2027-01-01", np.timedelta64(37, "h"), dtype="datetime64[h]")
    stamps = ts.from_datetimes([t.astype("datetime64[s]").item().replace(tzinfo=UTC) for t in times])
    there = (eph["earth"] + wgs84.latlon(46.79, -92.10)).at(stamps)
    for name, altitude_of in (("sun", sun_altitude_deg), ("moon", moon_altitude_deg)):
        altitude, _, _ = there.observe(eph[name]).apparent().altaz()
        assert np.abs(altitude_of(times, -92.10, 46.79) - altitude.degrees).max() < 0.003
