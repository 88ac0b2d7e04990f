"""Words of a typed line, in any order, sorted into notes."""

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hushwalk.errors import InputError
from hushwalk.notes.reading.entry import COLUMNS
from hushwalk.notes.reading.typed_line import read_line, sort_words
from hushwalk.notes.reading.vocabulary import planned_name
from hushwalk.notes.reading.waypoints import read_name

STOPS = ("P01", "P03", "P12")


def only(*words):
    (said,) = read_line(words, STOPS)
    return said.kind, dict(said.cells)


@pytest.mark.parametrize("words", list(permutations(["p3", "b2", "085m", "far"])))
def test_the_order_of_words_does_not_matter(words):
    cells = {"stop": "P03", "bird": "B2", "reading_deg": "085", "north": "M", "distance": "far"}
    assert only(*words) == ("bearing", cells)


@pytest.mark.parametrize(
    ("line", "kind", "cells"),
    [
        ("P03 085", "bearing", {"stop": "P03", "reading_deg": "085"}),
        ("P03 45", "bearing", {"stop": "P03", "reading_deg": "45"}),
        ("P03 045 0545", "bearing", {"stop": "P03", "reading_deg": "045", "start": "0545"}),
        ("P03 7.5T rough near 5:45", "bearing", {"north": "T", "error": "rough", "distance": "near", "start": "5:45"}),
        ("b12 pin P03 120G", "bearing", {"bird": "B12", "pinned": "yes", "north": "G"}),
        ("P04 nil", "visit", {"stop": "P04", "heard": "no"}),
        ("p-3 heard 0612-0618 wind=calm", "visit", {"stop": "P03", "heard": "yes", "start": "0612", "end": "0618"}),
        ("log3 fresh", "log", {"name": "LOG03", "droppings": "fresh"}),
        ("LOG-12 none b2 worn blown", "log", {"bird": "B2", "worn": "yes", "litter_blown": "yes"}),
        ("log name=OAK few side=NE len=4.5", "log", {"name": "OAK", "dropping_side": "NE", "length_m": "4.5"}),
        ("hide 05:10-08:40", "session", {"session": "hide set up", "start": "05:10", "end": "08:40"}),
        ("watch b2 dist=hen", "session", {"session": "watch", "bird": "B2", "disturbance": "hen"}),
    ],
)
def test_lines_that_are_notes(line, kind, cells):
    found = only(*line.split())
    assert found[0] == kind
    assert cells.items() <= found[1].items()


def test_a_bearing_with_a_span_is_a_visit_too():
    visit, bearing = read_line(["P03", "085", "06:12-06:18", "wind=calm", "far"], STOPS)
    assert (visit.kind, bearing.kind) == ("visit", "bearing")
    assert visit.cells == {"stop": "P03", "start": "06:12", "end": "06:18", "heard": "yes", "wind": "calm"}
    assert bearing.cells == {"stop": "P03", "reading_deg": "085", "start": "06:12", "distance": "far"}


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("P03", "no note yet"),
        ("", "no note yet"),
        ("P03 085 095", "stands twice"),
        ("P03 P01 085", "stands twice"),
        ("P03 085 wurst", "'wurst' is not understood in a bearing"),
        ("P03 085 loud=3", "loud= is not clear; the names of a bearing are"),
        ("log3 fresh d=3", "d= is not clear; is it date or droppings or dropping_side or diameter_m"),
        ("log3 fresh 085", "'085' is not understood in a log"),
        ("P03 nil 85x", "'85x' is not understood"),
    ],
)
def test_lines_that_are_not(line, words):
    with pytest.raises(InputError, match=words):
        read_line(line.split(), STOPS)


@given(st.lists(st.one_of(st.text(max_size=8), st.sampled_from(["P03", "085", "log", "b", "nil", "x=1", "=", "6:1"]))))
def test_any_words_are_a_note_or_one_clear_error(words):
    try:
        found = read_line(words, STOPS)
    except InputError:
        return
    columns = {*COLUMNS["bearing"], *COLUMNS["visit"], *COLUMNS["log"], *COLUMNS["session"]}
    assert all(set(said.cells) <= columns for said in found)


@pytest.mark.parametrize("name", ["P03 B2 085M", "P03 B2 085T FAR", "P03 NIL", "LOG3 FRESH"])
def test_the_rule_of_waypoint_names_is_understood_when_typed(name):
    read = read_name(name)
    kind, cells = only(*name.split())
    output = {k: v for k, v in read.cells.items() if v}
    assert kind == read.kind
    if kind == "bearing":
        output["reading_deg"], output["north"] = output["reading_deg"][:-1], output["reading_deg"][-1]
    assert cells == output


def test_a_plan_may_use_names_that_look_like_birds_or_logs():
    (said,) = read_line(["b2", "b7", "085"], ("B2",))
    assert said.cells == {"stop": "B2", "bird": "B7", "reading_deg": "085"}


def test_names_of_stops():
    assert planned_name("p1", STOPS) == "P01"
    assert planned_name("p-012", STOPS) == "P12"
    assert planned_name("Ford", STOPS) == "FORD"
    assert planned_name("p1", ("P1", "P01")) == "P1"
    assert planned_name("p001", ("P1", "P01")) == "P001"  # two could be meant, so neither is taken


def test_words_of_a_known_kind():
    assert sort_words(["095T"], "bearing", STOPS) == {"reading_deg": "095", "north": "T"}
    assert sort_words(["old"], "log", STOPS) == {"droppings": "old"}
    assert sort_words(["bird="], "bearing", STOPS) == {"bird": ""}
