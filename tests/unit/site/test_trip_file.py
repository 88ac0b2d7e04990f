"""Reading trip.toml: right files become settings, every wrong one is told with its line and the nearest right key."""

import re
from datetime import date, time
from pathlib import Path

import pytest

from hushwalk.errors import MissingFileError, OutputError, SettingsError
from hushwalk.notes.figures import figure
from hushwalk.site.bird_range import bird_region
from hushwalk.site.detectability import evidence_weights
from hushwalk.site.settings import WalkerSettings
from hushwalk.site.species import read_card
from hushwalk.site.starter import STARTER, write_starter
from hushwalk.site.time_zone import zone_at
from hushwalk.site.toml_lines import key_lines
from hushwalk.site.trip_file import parse_trip, read_trip
from hushwalk.site.units import units_of

GOOD = """\
seed = 7
[place]
name = "Hollow Alder"
car = "47.62, -91.70"
[morning]
date = 2027-04-25
time_zone = "America/Chicago"
back_by = 09:30:00
[[layer]]
kind = "elevation"
path = "elevation.tif"
[[layer]]
kind = "cover"
path = "cover.tif"
[layer.classes]
41 = "aspen"
[[closed]]
name = "Parcel"
corners = [[-91.7, 47.6], [-91.6, 47.6], [-91.6, 47.7]]
"""


def said(text: str) -> str:
    with pytest.raises(SettingsError) as fault:
        parse_trip(text)
    return str(fault.value)


def test_a_good_file_becomes_settings() -> None:
    trip = parse_trip(GOOD)
    assert trip.seed == 7
    assert trip.morning.date == date(2027, 4, 25)
    assert trip.morning.back_by == time(9, 30)
    assert trip.layers[1].classes == {"41": "aspen"}
    assert trip.closed[0].corners[2] == (-91.6, 47.7)
    assert trip.walker.stand_off_m == 80


def test_a_zone_that_is_left_out_is_that_of_the_car() -> None:
    trip = parse_trip(GOOD.replace('time_zone = "America/Chicago"\n', ""))
    assert (trip.morning.time_zone, trip.derived_zone) == ("America/Chicago", "America/Chicago")
    assert parse_trip(GOOD).derived_zone == ""
    europe = GOOD.replace('time_zone = "America/Chicago"\n', "").replace("47.62, -91.70", "47.14, 9.52")
    assert parse_trip(europe).morning.time_zone == "Europe/Vaduz"
    assert "unknown key 'zone_derived'" in said("zone_derived = true\n" + GOOD)


@pytest.mark.parametrize(
    ("kind", "key", "value"),
    [
        ("elevation", "where", '"a = 1"'),
        ("elevation", "legend", '"nlcd"'),
        ("stand_age", "field", '"AGE"'),
        ("cover", "unit", '"m"'),
        ("trails", "scale", "0.1"),
        ("closed", "nodata", "0.0"),
        ("closed", "band", "2"),
    ],
)
def test_a_key_without_effect_for_the_kind_is_refused_with_its_line(kind: str, key: str, value: str) -> None:
    words = said(f'{GOOD}[[layer]]\nkind = "{kind}"\npath = "x"\n{key} = {value}\n')
    assert f"line {GOOD.count(chr(10)) + 4}: layer {kind}" in words
    assert f"key {key!r} has no effect for this kind; take it out; the keys here are kind, path, " in words


def test_a_filter_at_fault_names_line_layer_and_position() -> None:
    words = said(f'{GOOD}[[layer]]\nkind = "trails"\npath = "x.gpkg"\nwhere = "highway = path"\n')
    assert f"line {GOOD.count(chr(10)) + 4}: layer trails: where: position 11 of 'highway = path': " in words
    assert parse_trip(f'{GOOD}[[layer]]\nkind = "trails"\npath = "x"\nwhere = "a = 1"\n').layers[2].where == "a = 1"


def test_the_starter_file_can_be_read_back(tmp_path: Path) -> None:
    path = write_starter(tmp_path / "new")
    assert read_trip(path).folder == (tmp_path / "new").resolve()


def test_every_key_the_starter_shows_is_a_key_with_its_value_when_left_out() -> None:
    tables = re.findall(r"# \[(?:campaign|evening)\].*?\n\n", STARTER, re.DOTALL)
    assert len(tables) == 2  # their keys are shown with values that they do not have when they are left out
    starter = STARTER.replace(tables[0], "").replace(tables[1], "")
    shown = "\n".join(
        line.removeprefix("# ") if line.startswith("# ") and " = " in line.split("#")[1] else line
        for line in starter.split("# [layer.classes]")[0].splitlines()
    )
    shown = shown.replace("leave_not_before = 04:30:00", "").replace("until = 13:00:00", "")
    shown = shown.replace('way = "listen and close in"', "").replace("forecast_wind_kmh = 6.0", "")
    shown = re.sub(r'\nstart = "[^"]*".*', "", shown)
    assert bird_region(read_card("ruffed_grouse"), None, -91.70, 47.62).key == "lake_states"  # what it shows of its car
    shown = shown.replace('region = "lake_states"', "")
    assert units_of(None, zone_at(-91.70, 47.62)) == "us"
    shown = shown.replace('units = "us"', "")
    usual_weights = f"evidence_weights = {list(evidence_weights(WalkerSettings()))}"
    assert usual_weights in shown
    shown = shown.replace(usual_weights, "")
    usual = {
        "pace_ms": figure("search", "pace_ms"),
        "log_seen_from_m": figure("search", "seen_from_m"),
        "closing_in_minutes": figure("closing_in", "minutes"),
    }
    for key, value in usual.items():
        line = re.search(rf"\n{key} = ([\d.]+).*", shown)
        assert line is not None
        assert float(line[1]) == value
        shown = shown.replace(line[0], "")
    assert parse_trip(shown) == parse_trip(STARTER)


def test_the_camera_that_the_starter_shows_is_the_usual_one_and_its_lens_and_log_can_be_read() -> None:
    shown = "\n".join(line.removeprefix("# ") for line in STARTER[STARTER.index("# [camera]") :].splitlines())
    usual, _, more = shown.partition("[[camera.lens]]")
    alone = STARTER.split("# For `hushwalk session`")[0]
    assert parse_trip(alone + usual.rstrip("#\n")) == parse_trip(alone)
    camera = parse_trip(f"{alone}[[camera.lens]]{more.replace(chr(10) + '#' + chr(10), chr(10))}").camera
    assert camera.lens[0].nearest_m == pytest.approx(3.7)
    assert camera.log[0].hide_m == {"S": 14.0}


def test_a_wrong_key_of_a_lens_is_told_with_its_line() -> None:
    with pytest.raises(SettingsError, match=r"line \d+: unknown key 'camera.lens.1.focal'; did you mean 'focal_mm'"):
        parse_trip(STARTER + '[[camera.lens]]\nname = "x"\nfocal = 500.0\nf_number = 4.0\nnearest_m = 3.0\n')


def test_starting_twice_does_not_overwrite(tmp_path: Path) -> None:
    path = write_starter(tmp_path)
    path.write_text("mine", encoding="utf-8")
    with pytest.raises(OutputError, match="is there already"):
        write_starter(tmp_path)
    assert path.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize(
    ("wrong", "right", "words"),
    [
        ("seed = 7", 'seed = "7"', ["line 1", "seed must be a whole number"]),
        ("seed = 7", "sed = 7", ["line 1", "unknown key 'sed'", "did you mean 'seed'"]),
        ('name = "Hollow Alder"', "", ["line 2", "'place.name' is missing"]),
        ("back_by = 09:30:00", 'back_by = "9.30"', ["line 8", "morning.back_by must be a time like 09:30:00"]),
        ("back_by = 09:30:00", "bak_by = 09:30:00", ["line 8", "did you mean 'back_by'"]),
        ('kind = "cover"', 'kind = "kover"', ["line 13", "layer.2.kind must be one of", "did you mean 'cover'"]),
        ('path = "cover.tif"', "", ["line 12", "'layer.2.path' is missing"]),
        ("America/Chicago", "America/Chigaco", ["line 7", "not a time zone of the IANA list"]),
        ("-91.6, 47.7]]", "-91.6]]", ["closed.1.corners"]),
        (", [-91.6, 47.6], [-91.6, 47.7]]", "]", ["closed.1.corners needs at least 3"]),
        ("seed = 7", "seed = 7\nfolder = 'x'", ["unknown key 'folder'"]),
        ("seed = 7", "seed = = 7", ["not valid TOML", "line 1"]),
        ("back_by = 09:30:00", "back_by = 09:30:00\nlongest_walk_km = inf", ["line 9", "finite"]),
        ("back_by = 09:30:00", "back_by = 09:30:00\nlongest_walk_km = -1.0", ["line 9", "above 0"]),
        ("back_by = 09:30:00", "back_by = 09:30:00\nminutes_per_stop_min = 12", ["line 9", "swap them"]),
        ("back_by = 09:30:00", "back_by = 09:30:00\nleave_not_before = 10:00:00", ["line 9", "not before"]),
        ("back_by = 09:30:00", 'back_by = 09:30:00\nway = "close in"', ["line 9", "'listen and close in'"]),
        ("back_by = 09:30:00", "back_by = 09:30:00\nclosing_in_minutes = -1", ["line 9", "at least 0"]),
        (
            "back_by = 09:30:00",
            'back_by = 09:30:00\nway = "listen and cross"\nclosing_in_minutes = 85',
            ["line 10", "set it to 0, or leave one of the two out"],
        ),
        (
            "back_by = 09:30:00",
            'back_by = 09:30:00\nway = "listen and close in"\nclosing_in_minutes = 0',
            ["line 10", "give it minutes"],
        ),
        ("[[closed]]", "[walker]\nstand_off_m = 20\n[[closed]]", ["walker.stand_off_m must be at least 60"]),
    ],
)
def test_a_fault_is_told_with_its_line(wrong: str, right: str, words: list[str]) -> None:
    assert wrong in GOOD
    output = said(GOOD.replace(wrong, right, 1))
    for word in words:
        assert word in output


def test_all_faults_are_told_at_once_in_the_order_of_the_file() -> None:
    output = said(GOOD.replace("seed = 7", "sed = 7").replace('kind = "cover"', "kind = 3").replace("09:30:00", "true"))
    assert "has 3 faults" in output
    assert output.index("line 1") < output.index("line 8") < output.index("line 13")


def test_a_file_that_is_not_there_is_told_with_the_command_that_makes_one(tmp_path: Path) -> None:
    with pytest.raises(MissingFileError, match="hushwalk start"):
        read_trip(tmp_path / "trip.toml")


def test_a_file_that_is_no_text_is_told(tmp_path: Path) -> None:
    path = tmp_path / "trip.toml"
    path.write_bytes(b"\xff\xfe\x00s")
    with pytest.raises(SettingsError, match="not UTF-8"):
        read_trip(path)


def test_lines_of_tables_inside_the_last_array_table() -> None:
    lines = key_lines(GOOD)
    assert lines["layer", 1, "classes"] == 15
    assert lines["layer", 1, "classes", "41"] == 16


def test_keys_without_effect_and_a_wrong_zone_are_said_at_once() -> None:
    text = GOOD.replace('kind = "elevation"', 'kind = "elevation"\nlegend = "nlcd"\nwhere = "a = 1"', 1)
    output = said(text.replace("America/Chicago", "America/Chikago"))
    assert "has 3 faults" in output
    for words in ("'legend' has no effect", "'where' has no effect", "'America/Chikago' is not a time zone"):
        assert words in output


def test_a_wish_that_cannot_be_read_names_its_key_once() -> None:
    text = re.sub(r"\n# must = \[\] .*", '\nmust = ["nowhere"]', STARTER)
    with pytest.raises(SettingsError) as fault:
        parse_trip(text)
    assert str(fault.value).count("wishes") == 1
