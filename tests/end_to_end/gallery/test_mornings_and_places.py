"""Hard mornings and hard places on tiny ground: the right answer, or one clear message, and nothing half-written."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import numpy as np
import pyproj
import pytest
import shapely

from hushwalk.errors import HushwalkError, SettingsError
from hushwalk.morning.report import Report
from hushwalk.morning.solved_plan import RunParams
from hushwalk.morning.story import plan_morning
from hushwalk.site.grid_choice import choose_grid
from hushwalk.site.morning_clock import morning_clock
from hushwalk.site.settings import LayerSettings, MorningSettings
from hushwalk.site.trip_file import read_trip
from hushwalk.wording.morning_words import notice_sentences

Country = Any
Run = Any
QUICK = RunParams(search_s=None, iterations=30, proof_s=0.0)


WATER_AND_ROAD = (("water", "river"), ("roads", "roads"))


def read_car(country: Country) -> tuple[float, float]:
    way = pyproj.Transformer.from_crs("EPSG:4326", country.grid.crs, always_xy=True)
    east, north = way.transform(-91.69, 46.94)
    return east, north


def planned(trip: Any) -> Report:
    return plan_morning(read_trip(trip), QUICK)


def at(country: Country, lon: float, lat: float) -> Country:
    """The same little country elsewhere on earth."""
    return replace(country, grid=choose_grid(country.trip(LayerSettings("elevation", "heights.tif")), (lon, lat)))


def in_time(report: Report) -> None:
    """The walk is one unbroken line in time, and ends before one must be back."""
    moments = [report.depart]
    for leg, stop in zip(report.legs, (*report.stops, None), strict=True):
        moments += [leg.depart, leg.arrive] + ([stop.leave] if stop else [])
    assert moments == sorted(moments)
    morning = report.settings.morning
    assert report.back.date() == morning.date
    assert report.back.time() <= morning.back_by


def refused(run: Run, trip: Any, code: int, *words: str) -> None:
    before = {path.name for path in trip.parent.iterdir()}
    said = run("plan", trip, "--steps", "30", "--proof", "0")
    assert said.code == code, said.out
    assert said.out == ""
    fault = [line for line in said.err.splitlines() if not line.startswith("[")]
    assert len(fault) == 1, said.err
    for word in words:
        assert word in fault[0]
    assert {path.name for path in trip.parent.iterdir()} == before


# --- the clock ---------------------------------------------------------------------------------------------------
# Dates of the changes of the clock: US Energy Policy Act of 2005, second Sunday of March and first of November.


def test_a_time_in_the_skipped_hour_is_refused(country: Country, run: Run) -> None:
    trip = country.small_trip(say={"morning.date": "2027-03-14", "morning.leave_not_before": "02:30:00"})
    refused(run, trip, 2, "morning.leave_not_before 02:30 does not exist on 2027-03-14", "skipped hour")


def test_the_morning_after_the_skipped_hour_is_an_hour_shorter_than_the_wall_clock_says(country: Country) -> None:
    settings = MorningSettings(date(2027, 3, 14), time(9, 0), "America/Chicago", time(1, 30))
    clock = morning_clock(settings, -91.69, 46.94)
    assert clock.window_s == 6.5 * 3600
    report = planned(country.small_trip(say={"morning.date": "2027-03-14", "morning.leave_not_before": "01:30:00"}))
    in_time(report)
    assert report.back.utcoffset() == timedelta(hours=-5)


def test_a_time_in_the_doubled_hour_is_the_first_of_the_two() -> None:
    settings = MorningSettings(date(2027, 11, 7), time(9, 0), "America/Chicago", time(1, 30))
    clock = morning_clock(settings, -91.69, 46.94)
    assert clock.at(clock.earliest_s).astimezone(UTC) == datetime(2027, 11, 7, 6, 30, tzinfo=UTC)
    assert clock.window_s == 8.5 * 3600
    back = morning_clock(replace(settings, leave_not_before=time(0, 30), back_by=time(1, 30)), -91.69, 46.94)
    assert back.window_s == 3600, "of two times to be back by, the earlier is the safe one"


# --- places ------------------------------------------------------------------------------------------------------


def test_south_of_the_equator_the_walk_is_right_and_the_season_is_doubted(country: Country) -> None:
    south = at(country, 147.0, -42.0)
    trip = south.small_trip(
        say={"place.car": '"-42.0, 147.0"', "morning.time_zone": '"Australia/Hobart"', "morning.date": "2027-10-20"}
    )
    report = planned(trip)
    in_time(report)
    assert report.grid.epsg == 32755
    assert report.car.lat_deg == pytest.approx(-42.0, abs=1e-6)
    assert "55G" in report.car.usng.replace(" ", "")[:3]
    assert report.males.expected < 0.01
    assert any("other side of the equator" in sentence for sentence in notice_sentences(report)[:2])
    # sunrise at Hobart, 20 October: 05:15 AEDT, from memory of almanac tables, good to ten minutes; here a little north
    assert report.sun.sunrise is not None
    assert abs(report.sun.sunrise - report.sun.sunrise.replace(hour=6, minute=15)) < timedelta(minutes=10)


def test_out_of_season_is_said_with_the_peak_of_the_place(country: Country) -> None:
    report = planned(country.small_trip(say={"morning.date": "2027-07-04"}))
    assert notice_sentences(report)[0].startswith("Out of season: on 04 July 0%")
    assert "April" in notice_sentences(report)[0] or "May" in notice_sentences(report)[0]
    assert not any("Out of season" in n for n in notice_sentences(planned(country.small_trip())))


def test_layers_in_the_next_utm_zone_land_where_they_lie(country: Country) -> None:
    """The zones 15 and 16 meet at 90 degrees west; a lake is drawn in zone 16 and found where pyproj has it."""
    seam = at(country, -90.0005, 46.94)
    trip = seam.small_trip(say={"place.car": '"46.94, -90.0005"'}, more='[[layer]]\nkind = "water"\npath = "lake.gpkg"')
    assert seam.grid.epsg == 32615
    lake = shapely.Point(seam.at(850, 300)).buffer(120)
    way = pyproj.Transformer.from_crs(32615, 32616, always_xy=True)
    seam.vector("lake.gpkg", [shapely.transform(lake, way.transform, interleaved=False)], "Polygon", crs="EPSG:32616")
    report = planned(trip)
    in_time(report)
    (drawn,) = report.country.water
    assert drawn.symmetric_difference(lake).area < 0.001 * lake.area
    for leg in report.legs:
        assert not shapely.LineString(leg.line_m).intersects(lake.buffer(-report.grid.cell_m))


@pytest.mark.parametrize(
    ("day", "words"), [("2027-06-10", "the sun does not set"), ("2027-12-20", "the sun does not rise")]
)
def test_above_the_arctic_circle_a_day_without_dawn_is_refused(
    country: Country, run: Run, day: str, words: str
) -> None:
    north = at(country, 20.0, 69.5)
    say = {"place.car": '"69.5, 20.0"', "morning.time_zone": '"Europe/Oslo"', "morning.date": day}
    refused(run, north.small_trip(say=say), 2, words, "morning.date")


def test_above_the_arctic_circle_a_night_without_darkness_is_walked(country: Country) -> None:
    north = at(country, 20.0, 69.5)
    say = {"place.car": '"69.5, 20.0"', "morning.time_zone": '"Europe/Oslo"', "morning.date": "2027-05-10"}
    report = planned(north.small_trip(say=say))
    in_time(report)
    assert report.sun.civil_dawn is None, "in May the sun there is never 6 degrees down"
    assert len(report.stops) > 1


def test_the_far_side_of_the_antimeridian_is_ground_like_any_other(country: Country) -> None:
    edge = at(country, 179.9995, 66.0)
    trip = edge.small_trip(say={"place.car": '"66.0, 179.9995"', "morning.time_zone": '"Asia/Anadyr"'})
    ring = shapely.Point(edge.at(900, 300)).buffer(100)
    way = pyproj.Transformer.from_crs(edge.grid.crs, "EPSG:4326", always_xy=True)
    lonlat = shapely.transform(ring, way.transform, interleaved=False)
    assert lonlat.bounds[0] < 0, "this lake lies beyond 180 degrees"
    edge.vector("lake.geojson", [lonlat], "Polygon", crs="EPSG:4326")
    trip.write_text(trip.read_text() + '[[layer]]\nkind = "water"\npath = "lake.geojson"\n')
    report = planned(trip)
    in_time(report)
    (drawn,) = report.country.water
    assert drawn.symmetric_difference(ring).area < 0.01 * ring.area


def test_beyond_the_grid_of_zones_is_refused(country: Country, run: Run) -> None:
    refused(run, country.small_trip(say={"place.car": '"86.0, 20.0"'}), 2, "latitude 86", "-80..84")


# --- the ground --------------------------------------------------------------------------------------------------


def test_a_car_on_water_is_refused(country: Country, run: Run) -> None:
    trip = country.small_trip()
    country.raster("cover.tif", np.full(country.shape, 11, np.uint8))
    refused(run, trip, 2, "place.car", "open water")


def test_a_car_on_closed_ground_is_refused(country: Country, run: Run) -> None:
    lon, lat = -91.69, 46.94
    corners = [[lon - 0.002, lat - 0.002], [lon + 0.002, lat - 0.002], [lon, lat + 0.002]]
    trip = country.small_trip(more=f'[[closed]]\nname = "Parcel"\ncorners = {corners}')
    refused(run, trip, 2, "place.car", "closed")


def test_a_start_cut_off_by_a_river_stays_on_its_bank_and_is_told(country: Country) -> None:
    middle = shapely.Point(country.at(550, 550))
    river, bank = middle.buffer(260).difference(middle.buffer(140)), middle.buffer(150)
    country.vector("river.gpkg", [river], "Polygon")
    trip = country.small_trip(left_out=("trails",), more='[[layer]]\nkind = "water"\npath = "river.gpkg"')
    report = planned(trip)
    in_time(report)
    assert notice_sentences(report)[0].startswith("Cut off: from the car one comes to ")
    for leg in report.legs:
        assert bank.contains(shapely.LineString(leg.line_m))
    country.vector("roads.gpkg", [country.line((550, 550), (1100, 560))])
    water, road = (f'[[layer]]\nkind = "{kind}"\npath = "{name}.gpkg"\n' for kind, name in WATER_AND_ROAD)
    bridged = planned(country.small_trip(left_out=("trails",), more=water + road))
    assert not any("Cut off" in n for n in notice_sentences(bridged))
    assert bridged.males.expected > report.males.expected


def test_a_car_on_a_rock_amid_water_is_no_plan(country: Country, run: Run) -> None:
    trip = country.small_trip(left_out=("trails",), more='[[layer]]\nkind = "water"\npath = "lake.gpkg"')
    row, col = country.grid.cell_at(read_car(country), "the car")
    rock = shapely.Point(*country.grid.xy(row, col)).buffer(9)
    country.vector("lake.gpkg", [rock.buffer(3000).difference(rock)], "Polygon")
    refused(run, trip, 2, "nothing can be reached on foot from the car")


def test_a_budget_too_short_for_one_stop_is_no_plan(country: Country, run: Run) -> None:
    trip = country.small_trip(say={"morning.leave_not_before": "05:55:00", "morning.back_by": "05:57:00"})
    refused(run, trip, 2, "within 2 minutes")


@pytest.mark.parametrize("code", [82, 31])
def test_a_region_without_habitat_is_no_plan(country: Country, run: Run, code: int) -> None:
    trip = country.small_trip()
    country.raster("cover.tif", np.full(country.shape, code, np.uint8))  # nlcd: cropland, bare rock
    refused(run, trip, 2, "good cover in earshot", "park elsewhere")


def test_a_town_without_streets_is_not_walked(country: Country, run: Run) -> None:
    trip = country.small_trip()
    country.raster("cover.tif", np.full(country.shape, 24, np.uint8))  # nlcd: built-up
    refused(run, trip, 2, "built-up ground or houses lie all round", "move place.car")


def test_a_fault_is_never_half_a_report(country: Country) -> None:
    with pytest.raises(HushwalkError):
        planned(country.small_trip(say={"morning.back_by": "03:00:00"}))
    with pytest.raises(SettingsError):
        read_trip(country.small_trip(say={"place.name": "7"}))
