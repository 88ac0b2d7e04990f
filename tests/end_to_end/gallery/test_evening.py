"""The hours before sunset of a tiny country, from the command line to the files; notes, replan, and what is refused."""

import json
from datetime import datetime, time
from pathlib import Path
from typing import Any

import numpy as np
import pypdf

from hushwalk.filming.after_session import after_session
from hushwalk.grid.points import to_lonlat, to_metres
from hushwalk.morning.replan import replan
from hushwalk.morning.solved_plan import RunParams
from hushwalk.morning.story import plan_morning
from hushwalk.notes.notebook import open_ledger
from hushwalk.notes.planned_walk import read_walk
from hushwalk.outputs.walk.gpx import gpx_text
from hushwalk.outputs.walk.walk_data import summary_text
from hushwalk.site.evening import in_the_evening
from hushwalk.site.trip_file import read_trip
from hushwalk.wording.plan_words import summary_words, timetable_words

Country, Run = Any, Any
QUICK = RunParams(search_s=None, iterations=30, proof_s=0.0)
RUN = ("--steps", "30", "--proof", "0")
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
    said = run("plan", trip, "--evening", *RUN)
    assert said.code == 0, said.err
    folders = [country.folder / "out" / name for name in ("2027-04-25", "2027-04-25-evening")]
    folders[0].mkdir()
    at_dawn = plan_morning(read_trip(trip), QUICK)
    (folders[0] / "summary.json").write_text(summary_text(at_dawn), encoding="utf-8")
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
    assert "Evening listening walk" in gpx_of(folders[1])
    assert "Dawn listening walk" in gpx_text(at_dawn)
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
    walk = read_walk(folders[1] / "summary.json")
    rest = replan(in_the_evening(read_trip(trip)), walk, "P01", leave.time(), QUICK)
    assert "sunset" in summary_words(rest)
    assert f"  {leave:%H:%M}  walk" in timetable_words(rest)
    late = run("replan", trip, "--at", "P01", "--clock", "20:51")
    assert late.code == 0, late.err
    assert late.out.startswith("Straight back now: ")
    assert "after 20:52: tell those who wait" in late.out


def test_a_check_says_what_the_evening_is(country: Country, run: Run) -> None:
    trip = country.small_trip(say=SMALL)
    assert "The evening" not in run("check", trip).out
    said = run("check", trip, "--evening")
    assert said.code == 0, said.err
    evening = said.out.split("\nThe evening\n")[1]
    for words in (
        "Sunday 25 April 2027, sunset 20:08, dark from 20:42",
        "Leave at 17:08, be back by 20:42: 213 minutes",
        "display on such an evening: ",
        "martin_lethbridge",
        "the walk is back before civil twilight ends",
        "`hushwalk plan --evening` the hours before sunset.",
    ):
        assert words in evening
    table = "[evening]\nleave_not_before = 19:15:00\nback_by = 20:52:00\nafter_dark = true\n"
    late = run("check", country.small_trip(say=SMALL, more=table)).out
    assert "Leave at 19:15, be back by 20:52: 97 minutes" in late
    assert "the walk back may be in the dark" in late
    wrong = run("check", country.small_trip(say=SMALL, more=table.replace("after_dark = true", "")))
    assert wrong.code == 2
    assert "evening.back_by 20:52 lies after dark" in wrong.out.split("\nTo mend first\n")[1]


LOG = """
[[camera.log]]
name = "FIRSTLOG"
place = "15T {east:.0f} {north:.0f}"
hide_m = {{ S = 14.0 }}
[evening]
back_by = 20:57:00
after_dark = true
"""


def test_after_a_session_one_starts_at_the_hide_and_what_is_shared_says_nothing_of_it(
    country: Country, run: Run
) -> None:
    east, north = country.grid.xy([20], [35])[0]
    trip = country.small_trip(say=SMALL, more=LOG.format(east=east, north=north))
    lon, lat = to_lonlat(country.grid.epsg, np.array([east, north])).tolist()
    note = ("note", trip, "log7", "fresh", "--say", "owlish", "--at", f"{lat:.6f},{lon:.6f}")
    assert run(*note, "--day", "2027-04-24", "09:10").code == 0
    settings = read_trip(trip)
    own = plan_morning(after_session(settings, in_the_evening(settings), "FIRSTLOG", time(19, 47)), QUICK)
    assert (own.legs[0].start, own.legs[-1].end) == ("START", "CAR")
    assert own.depart >= datetime(2027, 4, 25, 19, 47, tzinfo=own.depart.tzinfo)
    assert own.start is not None
    assert f"{own.depart:%H:%M} from START" in summary_words(own)
    shown = run("plan", trip, "--evening", "--after", "FIRSTLOG", "--session-ends", "19:47", "--share", "2000", *RUN)
    assert shown.code == 0, shown.err
    secrets = ["FIRSTLOG", "START", "LOG07", "owlish", "after_dark", "[evening]", "19:47", "20:57", "in the dark"]
    for place in ((lat, lon), (own.start.lat_deg, own.start.lon_deg)):
        secrets += [f"{angle:.4f}" for angle in place]
        secrets += [f"{metres:.0f}" for metres in to_metres(country.grid.epsg, np.array(place[::-1]))]
    assert {"START", "20:57", "in the dark"} <= {word for word in secrets if word in summary_text(own)}
    texts = {path.name: words_of(path) for path in sorted((country.folder / "shared").iterdir())}
    for name, text in {**texts, "terminal": shown.out.split("written:")[0]}.items():
        assert not [word for word in secrets if word in text], name


def gpx_of(folder: Path) -> str:
    return (folder / "walk.gpx").read_text(encoding="utf-8")


def words_of(path: Path) -> str:
    if path.suffix != ".pdf":
        return path.read_bytes().decode("utf-8", errors="replace")
    pages = pypdf.PdfReader(path)
    return " ".join(page.extract_text() for page in pages.pages) + str(pages.metadata)


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
