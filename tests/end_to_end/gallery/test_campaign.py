"""Two days of a tiny country as one job, from the command line to the files; and what is refused."""

import json
from typing import Any

import pytest

from hushwalk.notes.notebook import open_ledger
from hushwalk.notes.notes import BearingNote

Country, Run = Any, Any
DAYS = """
[campaign]
days = [2027-04-25, 2027-04-26]
evenings = [2027-04-25]
[[campaign.exception]]
date = 2027-04-26
back_by = 06:30:00
[[campaign.exception]]
date = 2027-04-25
evening = true
leave_not_before = 19:00:00
"""


def test_days_are_planned_together_each_with_a_folder(country: Country, run: Run) -> None:
    trip = country.small_trip(more=DAYS, say={"morning.back_by": "06:50:00", "ground.reach_m": "400.0"})
    said = run("plan", trip, "--steps", "30", "--proof-steps", "1")
    assert said.code == 0, said.err
    first, second = (country.folder / "out" / f"2027-04-{day}" for day in (25, 26))
    assert "2 days planned together, 3 walks" in said.out
    assert "Sun 25 Apr, evening  19:" in said.out
    assert "Without Sunday 25 April: " in said.out
    assert "Without Sunday 25 April, evening: " in said.out
    late = json.loads((country.folder / "out" / "2027-04-25-evening" / "summary.json").read_text(encoding="utf-8"))
    assert late["part_of_day"] == "evening"
    whole = json.loads((first / "campaign.json").read_text(encoding="utf-8"))
    days = [json.loads((folder / "summary.json").read_text(encoding="utf-8")) for folder in (first, second)]
    assert [day["date"] for day in days] == ["2027-04-25", "2027-04-26"]
    assert whole["males"] <= sum(day["males"]["expected"] for day in (*days, late)) + 1e-3
    assert abs(sum(day["new_males"] for day in whole["days"]) - whole["males"]) < 2e-3
    assert whole["bound"] >= whole["males"]
    assert whole["rained_out"][0]["males_anew"] >= whole["rained_out"][0]["males_kept"]
    assert days[1]["back"] < "2027-04-26T06:30" < days[0]["back_by"].replace("25T", "26T")
    page = (first / "campaign.html").read_text(encoding="utf-8")
    assert "Stops of all days" in page
    assert not (second / "campaign.html").exists()
    assert "2027-04-26" in run("plans", trip).out


def test_one_day_is_planned_by_its_number_and_the_rest_of_it_from_its_own_car(country: Country, run: Run) -> None:
    elsewhere = "46.9412, -91.6915"
    own = DAYS.replace("back_by = 06:30:00", f'back_by = 06:30:00\ncar_at = "{elsewhere}"')
    trip = country.small_trip(more=own, say={"morning.back_by": "06:50:00", "ground.reach_m": "400.0"})
    said = run("plan", trip, "--day", "2", "--steps", "30", "--proof", "0")
    assert said.code == 0, said.err
    assert [path.name for path in (country.folder / "out").iterdir()] == ["2027-04-26"]
    planned = json.loads((country.folder / "out" / "2027-04-26" / "summary.json").read_text(encoding="utf-8"))
    assert planned["back"] < "2027-04-26T06:30"
    assert (planned["car"]["lat_deg"], planned["car"]["lon_deg"]) == pytest.approx((46.9412, -91.6915))
    rest = run("replan", trip, "--day", "2", "--at", "CAR", "--clock", "04:40", "--out", country.folder / "rest")
    assert rest.code == 0, rest.err
    left = json.loads((country.folder / "rest" / "summary.json").read_text(encoding="utf-8"))
    assert (left["date"], left["car"]) == ("2027-04-26", planned["car"])
    assert run("plan", trip, "--day", "3").err.startswith("hushwalk: --day 3: campaign.days names only 2027-04-25, ")


def test_what_cannot_be_a_campaign_is_refused_in_one_line(country: Country, run: Run) -> None:
    for more, words in (
        ("[campaign]\ndays = [2027-04-25, 2027-04-25]\n", "names 2027-04-25 twice"),
        (DAYS.replace("date = 2027-04-26", "date = 2027-05-26"), "none of campaign.days; add it there"),
        (DAYS.replace("evenings = [2027-04-25]", "evenings = [2027-04-26]"), "none of campaign.evenings; add it there"),
        (DAYS.replace("2027-04-26]", "2027-04-26]\ncars = ['47.9, -91.69']"), "with the car at 47.9, -91.69"),
        (DAYS.replace("back_by = 06:30:00", "rain = 3"), "rain"),
    ):
        said = run("plan", country.small_trip(more=more), "--steps", "30", "--proof", "0")
        assert said.code == 2, said.out
        assert words in said.err
        assert not (country.folder / "out").exists()
    said = run("plan", country.small_trip(more=DAYS), "--share", "2000")
    assert said.code == 2
    assert "--day 1 --share" in said.err


def test_two_people_get_a_sheet_each_and_a_place_to_meet_on_every_day(country: Country, run: Run) -> None:
    trip = country.small_trip(say={"morning.back_by": "06:45:00", "ground.reach_m": "400.0"})
    said = run("two", trip, "Ada", "Bo", "--days", "2", "--steps", "30")
    assert said.code == 0, said.err
    assert "2 days planned together, 4 walks" in said.out
    assert "Sun 25 Apr, Ada  " in said.out
    assert said.out.count("meet at the car by 06:") == 2
    assert "Without Sunday 25 April: " in said.out
    days = [country.folder / "out" / f"2027-04-{day}" for day in (25, 26)]
    folders = [day / name for day in days for name in ("ada", "bo")]
    titles = [json.loads((folder / "summary.json").read_text(encoding="utf-8"))["title"] for folder in folders]
    assert "Ada: Invented ground. Bo walks too; meet at the car by" in titles[0]
    assert "Bo: Invented ground. Ada walks too" in (folders[3] / "walk.gpx").read_text(encoding="utf-8")
    whole = json.loads((folders[0] / "campaign.json").read_text(encoding="utf-8"))
    assert [day["person"] for day in whole["days"]] == ["Ada", "Bo", "Ada", "Bo"]
    assert "place" in said.out or "never stand at the same time" in said.out
    noted = run("note", trip, "--by", "Bo", "P01", "b2", "085", "06:10", "--day", "2027-04-26")
    assert noted.code == 0, noted.err
    note = open_ledger(trip).notes("bearing")[0].note
    first = json.loads((folders[3] / "summary.json").read_text(encoding="utf-8"))["stops"][0]
    assert isinstance(note, BearingNote)
    assert (note.bird, note.remark) == ("B2-BO", "by Bo")
    assert note.place == pytest.approx((first["lon_deg"], first["lat_deg"]), abs=1e-9)
    unknown = run("note", trip, "--by", "Cy", "P01", "nil", "06:10", "--day", "2027-04-26")
    assert unknown.code == 2
    assert "no plan of Cy" in unknown.err
    again = run("two", trip, "Ada", "ada", "--steps", "30")
    assert again.code == 2
    assert "two different names" in again.err
