"""Measures in the units of the reader; conversions typed from NIST Handbook 44 (2024), appendix C, from memory."""

import json
from pathlib import Path

import pytest

from hushwalk.outputs.registry import MAKERS, Product
from hushwalk.site.units import units_in, units_of, us_zones
from hushwalk.wording.formats import way_sentence
from hushwalk.wording.measures import (
    distance,
    height,
    per_area,
    route,
    small_area,
    speed,
    temperature,
    unit,
    wide_area,
    written_in,
)


@pytest.mark.parametrize(
    ("written", "metric", "us"),
    [
        (lambda: distance(914.4), "914 m", "1,000 yards"),  # 1 yd = 0.9144 m
        (lambda: height(304.8), "305 m", "1,000 ft"),  # 1 ft = 0.3048 m
        (lambda: route(16093.44), "16.1 km", "10.0 miles"),  # 1 mi = 1.609344 km
        (lambda: small_area(4.046856), "4.0 ha", "10.0 acres"),  # 1 acre = 0.4046856 ha
        (lambda: wide_area(25.89988), "25.9 km²", "10.0 square miles"),  # 1 sq mi = 2.589988 km²
        (lambda: per_area(3.861022), "3.9 per km²", "10.0 per square mile"),
        (lambda: speed(4.4704), "4.5 m/s", "10.0 mph"),  # 1 mi/h = 0.44704 m/s
        (lambda: temperature(37.0), "37 °C", "99 °F"),  # 98.6 °F
    ],
)
def test_measures_follow_the_units_of_the_reader(written, metric, us):
    assert written() == metric
    with written_in("us"):
        assert written() == us
    assert written() == metric  # what was before comes back


def test_a_nothing_has_no_sign():
    assert height(-0.3) == "0 m"


def test_zones_of_the_united_states_are_known_and_no_others():
    # ISO 3166 "US" of zone.tab: 29 zones; Puerto Rico and Guam have codes of their own
    assert {"America/New_York", "America/Anchorage", "Pacific/Honolulu", "America/Detroit"} <= us_zones()
    assert not {"America/Toronto", "America/Puerto_Rico", "Europe/London", "America/Mexico_City"} & us_zones()
    assert units_of(None, "Europe/Oslo") == "metric"
    assert units_of("us", "Europe/Oslo") == "us"


@pytest.mark.parametrize(
    ("text", "units"),
    [
        ('units = "us"\n[morning]\ntime_zone = "Europe/Oslo"\n', "us"),
        ('[morning]\ntime_zone = "America/Denver"\n', "us"),
        ('[morning]\ntime_zone = "America/Winnipeg"\n', "metric"),
        ('[place]\ncar = "47.62, -91.70"\n[morning]\n', "us"),  # Minnesota
        ('[place]\ncar = "61.50, 23.75"\n[morning]\n', "metric"),  # Finland
        ("[region]\nbounds = [-91.0, 46.5, -90.0, 47.0]\n[morning]\n", "us"),
        ('[place]\ncar = "nowhere"\n[morning]\n', "metric"),
        ('units = "furlongs"\n[morning]\ntime_zone = "Europe/Oslo"\n', "metric"),
        ("no toml at all", "metric"),
    ],
)
def test_units_of_a_file(tmp_path: Path, text, units):
    path = tmp_path / "trip.toml"
    path.write_text(text, encoding="utf-8")
    assert units_in(path) == units
    assert units_in(tmp_path / "absent.toml") == "metric"


def test_a_product_is_written_in_the_units_it_was_ordered_in_and_machines_get_metres(monkeypatch):
    monkeypatch.setitem(MAKERS, "a way", f"{__name__}:_way")
    with written_in("us"):
        page, data = Product("walk.html", "a way", ()), Product("walk.json", "a way", ())
    assert page.content().decode() == json.dumps(["3.1 miles, 50 % on trail or road.", "ft"])
    assert data.content().decode() == json.dumps(["5.0 km, 50 % on trail or road.", "m"])


def _way() -> str:
    return json.dumps([way_sentence(5000.0, 0.5, 0, 0), unit("height")[0]])
