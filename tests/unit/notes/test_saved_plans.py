"""Plans in folders of their days: nothing is written over, and stops are those of the day of a note."""

import json
from datetime import date
from pathlib import Path

import pytest

from hushwalk.notes.notebook import open_ledger
from hushwalk.notes.plan_list import list_plans
from hushwalk.notes.saved_plans import new_folder, plan_file, saved_plans
from hushwalk.notes.typed_notes import TypedLine, note_line
from hushwalk.wording.plan_list_words import plan_list_words

SATURDAY, SUNDAY = date(2027, 4, 24), date(2027, 4, 25)


def saved(trip: Path, folder: str, day: date, lat_deg: float) -> Path:
    """A plan with the one stop P01."""
    hours = {"arrive": f"{day}T06:00:00-05:00", "leave": f"{day}T06:05:00-05:00"}
    stop = {"name": "P01", "lon_deg": -91.7, "lat_deg": lat_deg} | hours
    said = {
        "date": f"{day}",
        "depart": f"{day}T05:10:00-05:00",
        "back": f"{day}T08:40:00-05:00",
        "males": {"expected": 2.25},
        "car": {"usng": "15T WN 97 75"},
        "stops": [stop],
    }
    path = trip.parent / "out" / folder / "summary.json"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps(said), encoding="utf-8")
    return path


def test_every_plan_gets_a_folder_and_the_same_plan_its_own(trip: Path) -> None:
    root = trip.parent / "out"
    assert new_folder(trip, SATURDAY) == root / "2027-04-24"
    for made in ("2027-04-24", "2027-04-24_2", "2027-04-24_10"):
        saved(trip, made, SATURDAY, 47.62)
    assert new_folder(trip, SATURDAY) == root / "2027-04-24_11"
    assert new_folder(trip, SATURDAY, same=lambda folder: folder.name.endswith("_10")) == root / "2027-04-24_10"
    assert new_folder(trip, SUNDAY) == root / "2027-04-25"
    (root / "2027-13-45").mkdir()
    assert [plan.folder.name for plan in saved_plans(trip)] == ["2027-04-24", "2027-04-24_2", "2027-04-24_10", "out"]


def test_the_plan_that_is_meant_is_the_last_of_the_likeliest_day(trip: Path) -> None:
    first, second = (saved(trip, f"2027-04-24{more}", SATURDAY, 47.62) for more in ("", "_2"))
    assert first != second
    assert plan_file(trip, SATURDAY) == second
    assert plan_file(trip, date(2027, 4, 20), SATURDAY) == second
    assert plan_file(trip) == trip.parent / "out" / "summary.json"  # of the Sunday, as older versions left it
    assert plan_file(trip.parent / "elsewhere" / "trip.toml") == trip.parent / "elsewhere" / "out" / "summary.json"


def test_a_name_of_a_stop_is_that_of_the_day(trip: Path) -> None:
    saved(trip, "2027-04-24", SATURDAY, 47.70)
    saved(trip, "2027-04-25", SUNDAY, 47.80)
    book = open_ledger(trip)
    for day in (SATURDAY, SUNDAY):
        note_line(book, TypedLine(("P01", "085", "06:12"), day=day))
        note_line(book, TypedLine(("log3", "fresh", "p1", "09:40"), day=day))
    assert [row.note.place for row in book.notes("bearing")] == [(-91.7, 47.70), (-91.7, 47.80)]
    assert [row.note.place[1] for row in book.notes("log") if row.note.place] == pytest.approx([47.70, 47.80])


def test_a_damaged_plan_of_another_day_does_not_stop_the_notes(trip: Path) -> None:
    saved(trip, "2027-04-24", SATURDAY, 47.70).write_text("{", encoding="utf-8")
    saved(trip, "2027-04-25", SUNDAY, 47.80)
    assert set(open_ledger(trip).plans) == {SUNDAY}
    assert "cannot be read; plan that day anew" in plan_list_words(list_plans(trip), trip)


def test_the_list_says_what_was_planned_and_noted(trip: Path) -> None:
    (trip.parent / "out" / "summary.json").unlink()
    assert "hushwalk plan" in plan_list_words(list_plans(trip), trip)
    for folder, day in (("2027-04-24", SATURDAY), ("2027-04-24_2", SATURDAY), ("2027-04-25", SUNDAY)):
        saved(trip, folder, day, 47.62)
    note_line(open_ledger(trip), TypedLine(("P01", "085", "06:12"), day=SUNDAY))
    plans = list_plans(trip)
    assert [(one.plan.folder.name, one.latest, one.noted) for one in plans] == [
        ("2027-04-24", False, 0),
        ("2027-04-24_2", True, 0),
        ("2027-04-25", True, 1),
    ]
    lines = plan_list_words(plans, trip).splitlines()
    assert "05:10 to 08:40, 1 stop, 2.2 males; a later plan of the day is below" in lines[0]
    assert "1 stop noted" in lines[2]
    assert "--plan" in lines[3]
