"""The commonest slips of a settings file: the line, the key and the mend are named."""

from pathlib import Path

import pytest

from hushwalk.errors import SettingsError
from hushwalk.site.toml_text import settings_text, tables_of
from hushwalk.site.trip_file import parse_trip

TRIP = """[place]
name = "Invented ground"
car = "46.94, -91.69"

[morning]
date = 2027-04-25
time_zone = "America/Chicago"
back_by = 09:30:00

[ground]
cell_m = 20.0

[[layer]]
kind = "elevation"
path = "heights.tif"
"""
SLIPS = [
    ("back_by = 09:30:00", "back_by = 09:30", "line 8", "back_by = 09:30:00"),
    ("back_by = 09:30:00", "back_by = 9:30", "line 8", "back_by = 09:30:00"),
    ("cell_m = 20.0", "cell_m = 20,5", "line 11", "cell_m = 20.5"),
    ('"Invented ground"', "“Invented ground”", "line 2", 'name = "Invented ground"'),
    ('"Invented ground"', "Invented ground", "line 2", 'name = "Invented ground"'),
    ('"Invented ground"', '"Invented ground', "line 2", 'name = "Invented ground"'),
    ('"heights.tif"', '"C:\\Users\\me\\heights.tif"', "line 15", "with /"),
    ("[morning]", "[morning", "line 5", "[morning]"),
    ("[[layer]]", "[[layer]", "line 13", "[[layer]]"),
    ("[[layer]]", "[layer]]", "line 13", "[[layer]]"),
    ("date = 2027-04-25", "date = 25.04.2027", "line 6", "year"),
    ("date = 2027-04-25", "date = 2027-4-25", "line 6", "two digits"),
    ("date = 2027-04-25", "date = 2027-02-30", "line 6", "no such date"),
    ("cell_m = 20.0", "cell_m: 20.0", "line 11", "cell_m = 20.0"),
    ("cell_m = 20.0", "cell_m =", "line 11", "no value"),
    ("cell_m = 20.0", "cell_m = 20 30", "line 11", "behind the value"),
    ('"Invented ground"', '"Invented" ground', "line 2", "behind the value"),
    ("[[layer]]", "network = True\n[[layer]]", "line 13", "true or false"),
]


@pytest.mark.parametrize(("old", "new", "line", "mend"), SLIPS)
def test_a_slip_is_named_with_its_line_and_its_mend(old: str, new: str, line: str, mend: str) -> None:
    with pytest.raises(SettingsError) as caught:
        parse_trip(TRIP.replace(old, new, 1))
    assert str(caught.value).startswith(f"trip.toml: {line}: ")
    assert mend in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "text",
    ["a" + ".a" * 20000 + " = 1", "a = " + "[" * 20000, "a = " + "{a=" * 20000, "[" * 20000, "seed = " + "9" * 20000],
)
def test_what_nests_without_end_is_refused_at_once(text: str) -> None:
    with pytest.raises(SettingsError) as caught:
        tables_of(text, "trip.toml")
    assert len(str(caught.value)) < 200


def test_dots_and_brackets_in_texts_do_not_nest() -> None:
    name = "." * 60 + "[" * 60
    assert tables_of(f'name = "{name}"', "trip.toml") == {"name": name}
    assert len(tables_of(f"corners = [{'[1.5, 2.5], ' * 60}]", "trip.toml")["corners"]) == 60


def test_the_mark_of_an_editor_at_the_beginning_is_passed_over(tmp_path: Path) -> None:
    path = tmp_path / "trip.toml"
    path.write_text(TRIP, encoding="utf-8-sig")
    assert parse_trip(settings_text(path, "")).place.name == "Invented ground"


def test_what_is_no_settings_file_is_refused_unread(tmp_path: Path) -> None:
    large = tmp_path / "large.toml"
    large.write_bytes(b"#" * 1_000_001)
    for path, words in ((large, "larger than 1 MB"), (tmp_path, "is a folder"), (Path("/dev/zero"), "no plain file")):
        with pytest.raises(SettingsError, match=words):
            settings_text(path, "")


@pytest.mark.parametrize(("day", "zone"), [("9999-12-31", "America/Chicago"), ("2011-12-30", "Pacific/Apia")])
def test_a_day_that_no_clock_shows_is_refused(day: str, zone: str) -> None:
    """Samoa went from 29 to 31 December 2011 (IANA time zone database, Pacific/Apia)."""
    with pytest.raises(SettingsError, match=r"line 6: morning\.date"):
        parse_trip(TRIP.replace("2027-04-25", day).replace("America/Chicago", zone))
