"""The hours before sunset of a tiny country, from the command line to the files; notes, replan, and what is refused."""

import json
from datetime import datetime
from pathlib import Path
from typing import Any

from hushwalk.notes.notebook import open_ledger

Country, Run = Any, Any
RUN = ("--steps", "30", "--proof-steps", "1")
SMALL = {"ground.reach_m": "400.0"}
SUNSET, DUSK = "2027-04-25T20:08:5", "2027-04-25T20:42:0"
"""46.94 N, 91.69 W on 25 April 2027: 20:08:53 and 20:42:01 (skyfield with DE421)."""


def plan_of(folder: Path) -> Any:
    return json.loads((folder / "summary.json").read_text(encoding="utf-8"))


def test_an_evening_has_its_own_folder_hours_words_notes_and_rest(country: Country, run: Run) -> None:
    trip = country.small_trip(
        say={**SMALL, "morning.back_by": "06:30:00"},
        more="[evening]\nleave_not_before = 19:15:00\nback_by = 20:52:00\nafter_dark = true\n",
    )
    assert run("plan", trip, *RUN).code == 0
    said = run("plan", trip, "--evening", *RUN)
    assert said.code == 0, said.err
    folders = [country.folder / "out" / name for name in ("2027-04-25", "2027-04-25-evening")]
    morning, evening = map(plan_of, folders)
    assert "part_of_day" not in morning
    assert evening["part_of_day"] == "evening"
    assert evening["sunset"].startswith(SUNSET)
    assert evening["civil_dusk"].startswith(DUSK)
    assert "2027-04-25T19:15" <= evening["depart"] < evening["back"] <= "2027-04-25T20:52"
    assert evening["closing_in"]["kept_free_minutes"] == 0
    assert evening["worth_going"]["log_found"] is None
    assert "this evening" in said.out
    assert "sunset            20:08" in said.out
    for words in ("this morning", "late in the morning", "before dawn", "sunrise  "):
        assert words not in said.out
    assumed = " ".join(evening["assumptions"])
    assert "martin_lethbridge" in assumed
    assert "the walk back may be in the dark" in assumed
    assert "Evening listening walk" in (folders[1] / "walk.gpx").read_text(encoding="utf-8")
    assert "Dawn listening walk" in (folders[0] / "walk.gpx").read_text(encoding="utf-8")
    page = (folders[1] / "map.html").read_text(encoding="utf-8")
    assert "lamp needed from" in page
    assert "Light before dawn" not in page

    for clock in ("06:10", "19:40"):
        assert run("note", trip, "P01", "nil", clock, "--day", "2027-04-25").code == 0
    places = [(plan["stops"][0]["lon_deg"], plan["stops"][0]["lat_deg"]) for plan in (morning, evening)]
    book = open_ledger(trip)
    noted = {row.note.at.astimezone(book.zone).hour: row.note.place for row in book.notes("visit")}
    assert [noted[6], noted[19]] == places
    listed = run("plans", trip).out
    assert "Sun 25 Apr 2027  " in listed
    assert "Sun 25 Apr 2027, evening  " in listed
    assert listed.count("1 stop noted") == 2

    leave = datetime.fromisoformat(evening["stops"][0]["leave"])
    rest = run("replan", trip, "--at", "P01", "--clock", f"{leave:%H:%M}")
    assert rest.code == 0, rest.err
    assert "sunset" in rest.out
    assert f"  {leave:%H:%M}  walk" in rest.out


def test_after_a_session_one_starts_at_the_hide_and_ends_at_the_car(country: Country, run: Run) -> None:
    east, north = country.grid.xy([20], [35])[0]
    log = f'[[camera.log]]\nname = "FIRST"\nplace = "15T {east:.0f} {north:.0f}"\nhide_m = {{ S = 14.0 }}\n'
    trip = country.small_trip(say=SMALL, more=log)
    more = ("--after", "FIRST", "--session-ends", "19:45", "--out", country.folder)
    said = run("plan", trip, "--evening", *more, *RUN)
    assert said.code == 0, said.err
    plan = plan_of(country.folder)
    assert (plan["legs"][0]["start"], plan["legs"][-1]["end"]) == ("START", "CAR")
    assert plan["depart"] >= "2027-04-25T19:45"
    assert "from START" in said.out


def test_what_cannot_be_an_evening_is_refused_in_one_line(country: Country, run: Run) -> None:
    trip = country.small_trip(say=SMALL, more="[evening]\nback_by = 22:30:00\n")
    for words, asked in (
        ("evening.back_by 22:30 lies after dark", ("--evening",)),
        ("say --evening as well", ("--after", "FIRST")),
    ):
        said = run("plan", trip, *asked, *RUN)
        assert said.code == 2, said.out
        assert words in said.err
        assert not (country.folder / "out").exists()
    unknown = run("plan", country.small_trip(say=SMALL), "--evening", "--after", "NOBODY", *RUN)
    assert unknown.code == 2
    assert "NOBODY" in unknown.err
