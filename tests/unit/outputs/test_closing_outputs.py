"""Closing in on page, sheet, receiver and in data, and nothing of it where it is not spoken of or shared."""

import io
import json
from dataclasses import replace
from datetime import timedelta

import gpxpy
import numpy as np
import pytest
from pypdf import PdfReader

from hushwalk.morning import closing_in as c
from hushwalk.morning.report import Report
from hushwalk.morning.share import shared_report
from hushwalk.morning.way_of_working import Way, WayOfWorking, WhyWay
from hushwalk.outputs.walk.gpx import gpx_text
from hushwalk.outputs.walk.print_sheet import print_sheet
from hushwalk.outputs.walk.walk_data import summary
from hushwalk.outputs.walk.walk_map import map_page
from hushwalk.wording.card_of_bearings import CLOSING, READING, conduct_lines
from hushwalk.wording.formats import clock
from hushwalk.wording.plan_words import summary_words


@pytest.fixture
def closing_report(report: Report) -> Report:
    stops = []
    for stop in report.stops:
        place = replace(stop.place, name="")
        line = np.array([stop.place.xy_m, (stop.place.xy_m[0] + 90.0, stop.place.xy_m[1] + 60.0)])
        way = c.WayIn(c.WaySide.LEFT, 55.0, 56.0, line, 108.0, 2.6, place, 120.0, 121.0, 55.0, 0)
        stand = c.SideStand(place, 140.0, 3.4, 10.0, 11.0, 99.0, 100.0, 75.0)
        ground = c.LikelyGround(90.0, 91.0, 150.0, 0.2, way, None, stand)
        until = stop.leave + timedelta(minutes=40)
        times = c.TryTimes(
            stop.leave,
            until,
            until - timedelta(minutes=21),
            until + timedelta(minutes=24),
            (c.LaterWithout("P05", until + timedelta(minutes=13)),) if stop.number < 5 else (),
        )
        stops.append(c.StopClosing(stop.place.name, times, (ground,)))
    last = report.stops[-1]
    further = c.FurtherStop(replace(last.place, name="P06"), last.leave, last.leave + timedelta(minutes=8), 0.3)
    working = WayOfWorking(Way.CLOSE_IN, WhyWay.PAYS, 5100.0, 300.0, 3.1)
    due = report.back + timedelta(minutes=85)
    closing = c.ClosingIn(working, due, due, tuple(stops), c.UnheardWalk("P05", (further,), 0.3, due))
    return replace(report, closing=closing)


def sheet_words(report: Report) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(print_sheet(report))).pages]


def test_the_sheet_has_times_ways_and_both_cards(closing_report: Report) -> None:
    pages = sheet_words(closing_report)
    whole = " ".join(pages)
    assert len(pages) <= 5
    assert READING in whole
    assert CLOSING in whole
    assert all(line in whole for line in conduct_lines())
    for stop in closing_report.stops:
        assert f"close in: until {clock(stop.leave + timedelta(minutes=40))}" in whole
    assert "P06" in whole
    assert "later without P05" in whole


def test_a_receiver_shows_the_latest_begin_within_thirty_characters(closing_report: Report) -> None:
    found = {point.name: point for point in gpxpy.parse(gpx_text(closing_report)).waypoints}
    for stop in closing_report.stops:
        assert f"try until {clock(stop.leave + timedelta(minutes=40))}" in found[stop.place.name].comment[:30]
        assert "in by the left, set off 056°" in found[stop.place.name].description
    assert found["P06"].comment.endswith("if none was heard, after P05")


def test_the_page_shows_the_column_the_cards_and_the_ways(closing_report: Report) -> None:
    page = map_page(closing_report)
    assert "close in until" in page
    assert READING in page
    assert "Quiet ways in" in page


def test_the_summary_holds_facts_with_words(closing_report: Report) -> None:
    said = json.loads(json.dumps(summary(closing_report)))["closing_in"]
    assert (said["way"], said["kept_free_minutes"]) == ("listen and close in", 85.0)
    assert said["stops"][0]["without"][0]["stop"] == "P05"
    assert said["stops"][0]["likely_ground"][0]["way_in"]["side"] == "left"
    assert said["if_nothing_heard"]["stops"][0]["name"] == "P06"
    assert said["if_nothing_heard"]["words"].startswith("Nothing heard")


def test_both_times_of_being_back_are_given_and_others_are_told_the_later(closing_report: Report) -> None:
    soon, late = clock(closing_report.back), clock(closing_report.back + timedelta(minutes=85))
    whole = " ".join(sheet_words(closing_report))
    assert f"back at the car without a try {soon}, back at the car with all tries {late}" in whole
    assert f"{clock(closing_report.depart)}, back by {late}" in whole
    assert f"back at the car with all tries</span><b>{late}</b>" in map_page(closing_report)
    assert f"back {soon}, after closing in {late}" in gpx_text(closing_report)
    assert f"{soon}; {late} with the 85 min kept for closing in" in summary_words(closing_report)


def test_nothing_of_it_is_shown_where_it_is_not_spoken_of_or_shared(report: Report, closing_report: Report) -> None:
    for one in (report, shared_report(closing_report, 2000.0)):
        assert summary(one)["closing_in"] is None
        assert "Quiet ways in" not in map_page(one)
        assert CLOSING not in " ".join(sheet_words(one))
        assert "try until" not in gpx_text(one)
        assert "after closing in" not in f"{map_page(one)} {gpx_text(one)}"
