"""Changes of the desk are the entries that a person would write; remarks, order and line ends stay to the letter."""

from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import Any

import pytest

from hushwalk.desk.trip_edits import CHANGES, edited
from hushwalk.errors import SettingsError
from hushwalk.site.trip_file import parse_trip
from hushwalk.wording.desk_words import change_words, headline_words
from hushwalk.wording.measures import written_in

TRIP = """\
# the first remark
seed = 24

[place]
name = "North ridge"   # said by Ada
car = "47.62, -91.70"

[morning]  # of the trip
date = 2027-04-25
back_by = 09:30:00     # the bus leaves at ten
time_zone = "America/Chicago"

[weather]
forecast_wind_kmh = 8.0

[[layer]]
kind = "elevation"
path = "heights.tif"

[[closed]]
name = "the farm"
corners = [[-91.7, 47.6], [-91.69, 47.6], [-91.69, 47.61]]
"""
HERE, THERE = [47.63, -91.71], [47.625, -91.705]
PLACE, OTHER = "47.630000, -91.710000", "47.625000, -91.705000"


def changed(*changes: tuple[str, dict[str, Any]], text: str = TRIP) -> str:
    for kind, said in changes:
        text = edited(text, kind, said)
    return text


def wishes(*changes: tuple[str, dict[str, Any]]) -> Any:
    return parse_trip(changed(*changes)).wishes


def test_what_is_not_changed_stays_to_the_letter() -> None:
    after = changed(
        ("add stop", {"at": HERE}), ("set reserve", {"reserve": 0.2}), ("set wind", {"wind_at_ear_ms": 1.5})
    )
    kept = [line for line in TRIP.splitlines() if not line.startswith("forecast_wind")]
    rest = iter(after.splitlines())
    assert all(line in rest for line in kept), "every old line is there, in the old order"


@pytest.mark.parametrize("ends", ["\r\n", "\n"])
def test_line_ends_stay_as_they_are(ends: str) -> None:
    after = changed(("set hours", {"back_by": "08:00:00"}), text=TRIP.replace("\n", ends))
    assert after == TRIP.replace("09:30:00", "08:00:00").replace("\n", ends)


def test_a_change_and_its_opposite_give_the_same_text() -> None:
    for there, back in (
        (("add stop", {"at": HERE}), ("unlock stop", {"must": 0})),
        (("forbid stop", {"at": HERE}), ("allow stop", {"must_not": 0})),
        (("add line", {"places": [HERE, THERE]}), ("remove line", {"line": 0})),
        (("close ground", {"places": [HERE, THERE, [47.62, -91.70]]}), ("open ground", {"closed": 1})),
        (("set start", {"at": HERE}), ("set start", {"at": None})),
    ):
        assert changed(there, back).rstrip() == TRIP.rstrip()


def test_stops_are_wishes() -> None:
    assert wishes(("add stop", {"at": HERE}), ("lock stop", {"at": THERE})).must == (PLACE, OTHER)
    assert wishes(("add stop", {"at": HERE}), ("move stop", {"at": THERE, "must": 0})).must == (OTHER,)
    assert wishes(("move stop", {"at": THERE, "must": None})).must == (OTHER,)
    assert wishes(("lock stops", {"places": [HERE, THERE]})).must == (PLACE, OTHER)
    after = wishes(("add stop", {"at": HERE}), ("forbid stop", {"at": HERE, "must": 0}))
    assert (after.must, after.must_not) == ((), (PLACE,))
    assert wishes(("add line", {"places": [HERE, THERE]})).not_across == ((PLACE, OTHER),)
    assert wishes(("set shorter", {"minutes": 30})).shorter_minutes == 30
    assert wishes(("set start", {"at": HERE})).start == PLACE


def test_ground_hours_reserve_and_wind() -> None:
    trip = parse_trip(
        changed(
            ("close ground", {"places": [HERE, THERE, [47.62, -91.70]], "name": 'a "farm"\n[place]\nname = "x"'}),
            ("set hours", {"date": "2027-05-01", "back_by": "08:45:00", "leave_not_before": "04:30:00"}),
            ("set reserve", {"reserve": 0.25}),
            ("set wind", {"wind_at_ear_ms": 1.25}),
            ("set car", {"at": HERE}),
        )
    )
    assert [one.name for one in trip.closed] == ["the farm", 'a "farm" [place] name = "x"']
    assert trip.closed[1].corners[0] == (-91.71, 47.63)
    assert (trip.morning.date, trip.morning.back_by) == (date(2027, 5, 1), time(8, 45))
    assert trip.morning.leave_not_before == time(4, 30)
    assert (trip.walker.reserve, trip.weather.wind_at_ear_ms) == (0.25, 1.25)
    assert trip.weather.forecast_wind_kmh is None
    assert (trip.place.name, trip.place.car) == ("North ridge", PLACE)
    assert "leave_not_before" not in changed(
        ("set hours", {"leave_not_before": "04:30:00"}), ("set hours", {"leave_not_before": ""})
    )


def test_figures_are_said_in_the_units_that_people_read() -> None:
    wind, length_m = {"wind_at_ear_ms": 2.235}, 8046.72
    early = datetime(2027, 5, 1, 5, 0, tzinfo=UTC)
    assert change_words("set wind", wind) == "wind at the ear 2.2 m/s"
    assert headline_words(early, early, 1.0, 3, length_m)[-1] == ["walk", "8.0 km"]
    with written_in("us"):
        assert change_words("set wind", wind) == "wind at the ear 5.0 mph"
        assert headline_words(early, early, 1.0, 3, length_m)[-1] == ["walk", "5.0 miles"]
    assert change_words("set wind", {"wind_at_ear_ms": "x"}) == "set wind"


@pytest.mark.parametrize("kind", CHANGES)
@pytest.mark.parametrize(
    "said", [{}, {"at": "x", "must": "x", "line": {}, "places": 3}, {"at": [1], "must": 7, "closed": 9}]
)
def test_what_cannot_be_read_is_one_clear_fault(kind: str, said: dict[str, Any]) -> None:
    try:
        edited(TRIP, kind, said)
    except SettingsError as fault:
        assert "\n" not in str(fault)  # noqa: PT017 - some changes say something even of nothing


def test_no_change_of_an_unknown_kind_and_none_of_a_broken_file() -> None:
    with pytest.raises(SettingsError, match="knows no change '__class__'"):
        edited(TRIP, "__class__", {})
    with pytest.raises(SettingsError, match="mend it there first"):
        edited("[place", "add stop", {"at": HERE})
    with pytest.raises(SettingsError, match="wishes"):
        edited("wishes = 3\n", "add stop", {"at": HERE})


def test_the_demo_keeps_its_remarks(demo_folder: Path) -> None:
    text = (demo_folder / "trip.toml").read_text(encoding="utf-8")
    after = edited(text, "add stop", {"at": [47.384, -90.361]})
    assert after == text.rstrip("\n") + '\n\n[wishes]\nmust = ["47.384000, -90.361000"]\n'
