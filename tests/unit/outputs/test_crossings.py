"""Stops of the same minutes of two people: told in page, sheet and data, and drawn on the sheet."""

import io
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pypdfium2
import pytest
from pypdf import PdfReader

from hushwalk.morning.crossing_stop import CrossingStop
from hushwalk.morning.report import Report
from hushwalk.morning.share import shared_report
from hushwalk.outputs.walk.print_sheet import print_sheet
from hushwalk.outputs.walk.walk_data import summary
from hushwalk.outputs.walk.walk_map import map_page
from hushwalk.wording.crossing_words import WHY, crossing_row


@pytest.fixture(scope="module")
def shared(report: Report) -> Report:
    mine = report.stops[1]
    x, y = mine.place.xy_m
    place = replace(mine.place, name="Bo P04", xy_m=(x + 180.0, y + 60.0))
    begin = mine.arrive + timedelta(minutes=1)
    one = CrossingStop(mine.place.name, "Bo", "P04", place, begin, mine.leave, 190.0, 70.4, 72.1, (38.0, 71.0))
    return replace(report, crossings=(one,))


def test_page_and_data_tell_which_stops_cross_when_and_how(shared: Report, report: Report) -> None:
    page = map_page(shared)
    (one,) = shared.crossings
    told = crossing_row(one)[1]
    assert told.endswith("Bo at P04, 190 m towards 072° (070°); bearings cross at 40 to 70°")
    assert told in page
    assert WHY in page
    assert "where the other listens in the same minutes" in page
    assert summary(shared)["crossings"][0]["angle_deg"] == [38.0, 71.0]
    assert WHY not in map_page(report)
    assert "crossings" not in summary(report)
    assert "crossings" not in summary(shared_report(shared, 500.0))


def test_the_sheet_draws_a_line_and_a_diamond_and_sets_a_table(shared: Report, report: Report) -> None:
    drawn, bare = print_sheet(shared), print_sheet(report)
    words = [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(drawn)).pages]
    (one,) = shared.crossings
    assert "Bo P04" in words[0]
    assert "the other, same minutes" in words[0]
    assert any(f"{one.stop} Bo at P04 190 m towards 072° (070°) 40 to 70°" in page for page in words)
    teal = np.array([0x14, 0x50, 0x4A])
    ink = []
    for sheet in (drawn, bare):
        image = np.asarray(pypdfium2.PdfDocument(sheet)[0].render(scale=3).to_pil().convert("RGB"), dtype=int)
        ink.append(int((np.abs(image - teal).max(axis=2) < 8).sum()))
    assert ink[0] > ink[1] + 200
