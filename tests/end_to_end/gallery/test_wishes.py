"""The person decides, on tiny ground: a stop that must be, a line not to cross, a shorter walk, a stop left out."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import gpxpy
import numpy as np
import pytest
import shapely

from hushwalk.campaign.campaign_plan import Outing
from hushwalk.campaign.story import plan_campaign
from hushwalk.errors import PlaceError, SettingsError
from hushwalk.grid.points import to_lonlat, to_metres
from hushwalk.morning.replan import replan
from hushwalk.morning.report import Report
from hushwalk.morning.share import shared_report
from hushwalk.morning.solved_plan import RunParams
from hushwalk.morning.story import plan_morning
from hushwalk.morning.straight_back import TooLateError
from hushwalk.notes.planned_walk import PlannedStop, read_walk
from hushwalk.outputs.walk.gpx import gpx_text
from hushwalk.outputs.walk.walk_data import summary, summary_text
from hushwalk.site.settings import TripSettings
from hushwalk.site.trip_file import read_trip
from hushwalk.site.wish_settings import WishSettings
from hushwalk.wording.campaign_words import day_words
from hushwalk.wording.plan_words import summary_words
from hushwalk.wording.straight_back_words import straight_back_words

Country = Any
QUICK = RunParams(search_s=None, iterations=30, proof_s=0.0)


def lonlat(country: Country, east_m: float, north_m: float) -> str:
    """A place by its metres from the south-west corner of the ground, as a person would type it."""
    east, north = country.at(east_m, north_m)
    return f"15T {east:.0f} {north:.0f}"


def wished(settings: TripSettings, **wishes: Any) -> TripSettings:
    return replace(settings, wishes=WishSettings(**wishes))


def test_a_plan_keeps_to_what_is_decided_and_says_what_it_costs(country: Country, tmp_path: Path) -> None:
    settings = read_trip(country.small_trip())
    must, line = lonlat(country, 300, 650), (lonlat(country, 700, 50), lonlat(country, 700, 950))
    report = plan_morning(wished(settings, must=(must,), not_across=(line,), shorter_minutes=20), QUICK)
    stands_there(report, must)
    crosses_nothing(report, country)
    assert report.back.time() <= time(7, 40)
    effect = report.wish_effect
    assert effect is not None
    assert (effect.lines, effect.shorter_min) == (1, 20)
    assert effect.males_before is not None
    assert effect.males <= effect.males_before * 1.05
    said = summary(report)["wishes"]
    assert said["must"] == effect.must
    assert "instead of" in said["words"][1]
    assert "wishes" not in summary(shared_report(report, 200.0))
    assert shared_report(report, 200.0).settings.wishes == WishSettings()
    (tmp_path / "summary.json").write_text(summary_text(report), encoding="utf-8")
    leaves_out_the_first(settings, tmp_path / "summary.json")
    rest = replan(wished(settings, must=(must,)), read_walk(tmp_path / "summary.json"), "CAR", time(4, 50), QUICK)
    assert min(away_m(stop.place.xy_m, must) for stop in rest.stops) < 1


def test_one_may_be_set_down_elsewhere_and_walk_to_the_car(country: Country) -> None:
    settings = read_trip(country.small_trip())
    start = lonlat(country, 100, 480)
    report = plan_morning(wished(settings, start=start), QUICK)
    assert (report.legs[0].start, report.legs[-1].end) == ("START", "CAR")
    assert report.start is not None
    assert away_m(report.start.xy_m, start) < 1
    assert away_m((report.legs[0].line_m[0][0], report.legs[0].line_m[0][1]), start) < 30
    assert report.back.time() <= settings.morning.back_by
    assert report.expected is not None  # the day is played from the place where one is set down
    assert "set out" in summary_words(report)
    gpx = gpxpy.parse(gpx_text(report))
    assert {"CAR", "START"} <= {point.name for point in gpx.waypoints}
    shared = shared_report(report, 200.0)
    assert shared.start is None
    assert "START" not in gpx_text(shared)
    with pytest.raises(PlaceError, match=r"wishes\.start '10\.0, 20\.0'"):
        plan_morning(wished(settings, start="10.0, 20.0"), QUICK)


def away_m(xy_m: tuple[float, float], place: str) -> float:
    east, north = (float(word) for word in place.split()[1:])
    return float(np.hypot(xy_m[0] - east, xy_m[1] - north))


def stands_there(report: Report, place: str) -> None:
    assert report.wish_effect is not None
    ((said, name),) = report.wish_effect.must
    assert said == place
    stop = next(stop for stop in report.stops if stop.place.name == name)
    assert away_m(stop.place.xy_m, place) < 1


def crosses_nothing(report: Report, country: Country) -> None:
    wall = shapely.LineString([country.at(700, 50), country.at(700, 950)])
    assert not any(shapely.LineString(leg.line_m).crosses(wall) for leg in report.legs)


def leaves_out_the_first(settings: TripSettings, plan: Path) -> None:
    """From the car, without P01: no stop near it, and the cost is said; one that is done cannot be left out."""
    walk = read_walk(plan)
    rest = replan(settings, walk, "CAR", time(4, 50), QUICK, without=("P01",))
    assert rest.legs[0].start == "CAR"
    first = to_metres(rest.grid.epsg, np.array([walk[0].lon_deg, walk[0].lat_deg]))
    assert all(np.hypot(*(np.array(stop.place.xy_m) - first)) > 60 for stop in rest.stops)
    assert rest.wish_effect is not None
    assert rest.wish_effect.without == ("P01",)
    with pytest.raises(SettingsError, match="P01 is done"):
        replan(settings, walk, "P01", time(5, 30), QUICK, without=("P01",))
    with pytest.raises(SettingsError, match="no stop 'P99'"):
        replan(settings, walk, "CAR", time(5, 30), QUICK, without=("P99",))


@pytest.mark.parametrize(
    ("wishes", "fault", "words"),
    [
        ({"must": ("nowhere",)}, PlaceError, "wishes.must: "),
        ({"must": ("10.0, 20.0",)}, PlaceError, "wishes.must '10.0, 20.0'"),
        ({"not_across": (("46.94, -91.69",),)}, SettingsError, "two places"),
        ({"shorter_minutes": 500}, SettingsError, "500 minutes shorter"),
    ],
)
def test_a_wish_that_cannot_be_is_one_clear_message(
    country: Country, wishes: dict[str, Any], fault: type[Exception], words: str
) -> None:
    with pytest.raises(fault, match=words):
        plan_morning(wished(read_trip(country.small_trip()), **wishes), QUICK)


def test_a_place_cannot_be_both(country: Country) -> None:
    place = lonlat(country, 300, 650)
    with pytest.raises(SettingsError, match="take one of the two out"):
        plan_morning(wished(read_trip(country.small_trip()), must=(place,), must_not=(place,)), QUICK)


def test_another_way_back_is_a_loop_and_is_priced(country: Country) -> None:
    settings = read_trip(country.small_trip(say={"morning.back_by": "06:40:00"}))
    report = plan_morning(wished(settings, other_way_back=True), QUICK)
    effect = report.wish_effect
    assert effect is not None
    assert effect.walked_twice is not None
    assert effect.walked_twice_before is not None
    assert effect.walked_twice <= max(0.25, effect.walked_twice_before)
    assert effect.walked_twice == pytest.approx(lies_on_the_way_out(report), abs=0.06)
    said = " ".join(summary(report)["wishes"]["words"])
    assert "way back" in said
    assert "instead of" in said
    assert "way back" not in " ".join(summary(plan_morning(settings, QUICK)).get("wishes", {}).get("words", []))


def lies_on_the_way_out(report: Report) -> float:
    """Share of the way back within 50 m of the way out, off the surroundings of the car, by shapely alone."""
    lines = [leg.line_m for leg in report.legs]
    far = int(np.argmax([np.hypot(*(np.array(stop.place.xy_m) - report.car.xy_m)) for stop in report.stops]))
    out = shapely.MultiLineString(lines[: far + 1])
    points = np.vstack(
        [shapely.get_coordinates(shapely.LineString(line).segmentize(10.0)) for line in lines[far + 1 :]]
    )
    points = points[np.hypot(*(points - report.car.xy_m).T) > 150.0]
    again = shapely.distance(out, shapely.points(points)) <= 50.0
    return float(again.mean()) if len(again) else 0.0


def test_each_of_several_days_has_another_way_back(country: Country) -> None:
    settings = read_trip(country.small_trip(say={"morning.back_by": "06:40:00", "ground.reach_m": "400.0"}))
    days = (Outing(date(2027, 4, 25)), Outing(date(2027, 4, 26)))
    campaign = plan_campaign(wished(settings, other_way_back=True), days, replace(QUICK, proof_nodes=1))
    for day in campaign.days:
        assert day.walked_twice == pytest.approx(lies_on_the_way_out(day.report), abs=0.06)
        assert f"{day.walked_twice:.0%} of it lies within 50 m of the way out" in day_words(day)
        assert day.report.back.time() <= time(6, 40)
    assert campaign.bound is not None
    assert campaign.males <= campaign.bound


def test_where_nothing_more_fits_a_replan_says_the_way_home(country: Country) -> None:
    """In the last minutes before the promise, which a plan keeps for errors, no walk is planned but the way home."""
    settings = read_trip(country.small_trip())
    lon, lat = to_lonlat(country.grid.epsg, np.array(country.at(300, 650))).tolist()
    when = datetime(2027, 4, 25, 11, tzinfo=UTC)
    walk = (PlannedStop("P01", lon, lat, when, when),)
    with pytest.raises(TooLateError) as too_late:
        replan(settings, walk, "P01", time(8, 0), QUICK)
    home = too_late.value.way
    now = home.due - timedelta(minutes=home.minutes + 1)
    with pytest.raises(TooLateError, match="no walk with another stop is back in time") as too_late:
        replan(settings, walk, "P01", now.time(), QUICK)
    assert too_late.value.way.back < home.due
    assert too_late.value.way.magnetic_deg == home.magnetic_deg
    must = lonlat(country, 300, 650)
    with pytest.raises(TooLateError, match="from here no walk by 15T") as too_late:
        replan(wished(settings, must=(must,)), walk, "CAR", time(7, 50), QUICK)
    said = straight_back_words(too_late.value.way, too_late.value.reason)
    assert said.startswith("Straight home now: you stand at the car")
    assert "take the place out of wishes.must" in said
