"""The list of tomorrow in words and figures: each choice with its chance and minutes, a long list cut short."""

import shlex
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import click
import pytest

from hushwalk.cli import hushwalk
from hushwalk.morning.tomorrow import Choice, ChoiceKind, Tomorrow, TripFiles
from hushwalk.outputs.walk.tomorrow_data import tomorrow_fields
from hushwalk.site.place import Place
from hushwalk.wording.tomorrow_words import tomorrow_words

PLACE = Place("", (0.0, 0.0), -90.35, 47.38, 300.0, "15T 700000 5250000", "15T YN 00000 50000")
FILES = TripFiles(Path("north/trip.toml"))


def at(hour: int, minute: int) -> datetime:
    return datetime(2027, 4, 24, hour, minute, tzinfo=UTC)


def tomorrow(males: int) -> Tomorrow:
    close = [
        Choice(ChoiceKind.CLOSE_IN, f"male {k}", 0.4 - 0.05 * k, 60.0 + k, at(5, 23), at(5, 47), PLACE)
        for k in range(males)
    ]
    film = Choice(ChoiceKind.FILM, "LOG02", 0.45, 171.0, at(4, 56), at(7, 26), PLACE)
    listen = Choice(ChoiceKind.LISTEN, "north", 0.6, 230.0, at(5, 0), at(8, 0), males=1.3, log_chance=0.2)
    late = [Choice(ChoiceKind.SEARCH, f"B{k}", 0.5, 70.0, at(10 + k, 0), at(10 + k, 50), PLACE) for k in range(2)]
    return Tomorrow("Invented ground", date(2027, 4, 24), (film, *close, listen), tuple(late), 0.6, FILES)


def test_each_choice_has_its_chance_and_its_minutes() -> None:
    said = tomorrow_words(tomorrow(2))
    assert " 45%  171 min  film at LOG02" in said
    assert " 40%   60 min  close in on male 0" in said
    assert "listen in the north: a male is heard, 1.3 to learn of on average; a log is found that day with 20%" in said
    assert "10:00 to 10:50, 47.38000, -90.35000" in said
    assert (
        "a day of it: film at LOG02 (45%), then the search, which finds at least one log with 75%, until 11:50" in said
    )
    assert "more to" not in said
    assert "hushwalk plan" not in said


def test_the_evening_is_offered_with_what_it_gives_and_how_to_plan_it() -> None:
    evening = Choice(ChoiceKind.LISTEN, "evening", 0.55, 200.0, at(17, 40), at(20, 10), males=0.8)
    said = tomorrow_words(replace(tomorrow(1), evening=evening))
    assert "hushwalk plan north/trip.toml --evening --day 2027-04-24\n" in said
    assert " 55%  200 min  listen in the evening: a male is heard, 0.8 to learn of on average" in said
    assert "17:40 to 20:10" in said
    assert tomorrow_fields(replace(tomorrow(1), evening=evening))["evening"]["males"] == 0.8
    assert tomorrow_fields(tomorrow(1))["evening"] is None


@pytest.mark.parametrize(
    "files",
    [FILES, TripFiles(Path("my trip/trip.toml"), Path("Bo's notes.gpkg")), TripFiles(Path("trip.toml"), layers=Path())],
)
def test_the_commands_can_be_typed_as_they_stand(files: TripFiles) -> None:
    evening = Choice(ChoiceKind.LISTEN, "evening", 0.55, 200.0, at(17, 40), at(20, 10), males=0.8)
    said = tomorrow_words(replace(tomorrow(1), evening=evening, files=files))
    printed = [shlex.split(line) for line in said.splitlines() if line.strip().startswith("hushwalk")]
    assert [words[:2] for words in printed] == [["hushwalk", "search"], ["hushwalk", "plan"]]
    for _, name, *options in printed:
        command = hushwalk.get_command(click.Context(hushwalk), name)
        assert command is not None
        params = command.make_context(name, options).params
        assert (params["trip"], params["notes"]) == (files.trip, files.notes)
        assert (params["layers"] is None) == (files.layers is None)
    assert params["only"] == (date(2027, 4, 24),)
    assert params["evening"]


def test_a_long_list_is_cut_short_and_kept_in_figures() -> None:
    assert "and 3 more to close in, with 15% and less" in tomorrow_words(tomorrow(8))
    fields = tomorrow_fields(tomorrow(8))
    assert len(fields["dawn"]) == 10
    assert fields["dawn"][0]["activity"] == "film"
    assert fields["dawn"][0]["minutes"] == 171.0
    assert fields["late"][1]["end"] == "2027-04-24T11:50:00+00:00"


def test_an_empty_day_says_so() -> None:
    said = tomorrow_words(Tomorrow("Invented ground", date(2027, 4, 24), (), (), 0.6, FILES))
    assert "nothing can be reached in time" in said
    assert "no ground is left to search" in said
    assert "a day of it" not in said
