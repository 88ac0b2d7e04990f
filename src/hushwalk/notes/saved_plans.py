"""The plans of a trip that are kept, each day in a folder of its own, and which of them is meant.

What a plan says is read by planned_walk.py; the folders are filled by the outputs room.
"""

import json
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from hushwalk.text import file_word

PLANS = "out"
SUMMARY = "summary.json"
EVENING = "-evening"
_FOLDER = re.compile(rf"(\d{{4}}-\d{{2}}-\d{{2}})({EVENING})?(?:_(\d{{1,4}}))?")
"""Definition: a day, whether its evening, and from the second plan of it on a number."""


@dataclass(frozen=True, order=True)
class SavedPlan:
    """One plan that is kept.

    Parameters
    ----------
    day : on the calendar.
    evening : whether it is of the evening of that day.
    number : 1 for the first plan of that day; 0 for one that lies in no folder of a day.
    folder : where it lies.
    """

    day: date
    evening: bool
    number: int
    folder: Path

    @property
    def summary(self) -> Path:
        """The file that says what was planned."""
        return self.folder / SUMMARY


def saved_plans(trip: Path, file: str = SUMMARY, person: str = "") -> tuple[SavedPlan, ...]:
    """Give the plans that lie beside a trip file, by day and in the order in which they were made.

    Parameters
    ----------
    trip : the trip file.
    file : that tells a plan; another one for searches.
    person : one of two whose plans are meant, which lie in folders inside those of the days; empty where one is alone.

    Returns
    -------
    tuple of SavedPlan
    """
    root = trip.parent / PLANS
    if person:
        return tuple(sorted(plan for folder in _folders(root) for plan in _of_person(folder, file, person)))
    found = [plan for folder in _folders(root) if (plan := _of_folder(folder)) and (folder / file).is_file()]
    if file == SUMMARY and (day := _day_of(root / SUMMARY)):
        found.append(SavedPlan(day, evening=False, number=0, folder=root))
    return tuple(sorted(found))


def new_folder(
    trip: Path, day: date, file: str = SUMMARY, same: Callable[[Path], bool] = lambda _: False, *, evening: bool = False
) -> Path:
    """Give the folder for a new plan of a day, in which nothing is written over.

    Parameters
    ----------
    trip : the trip file.
    day : of the plan.
    file : that tells a plan; another one for searches.
    same : tells whether a folder holds the very plan that is to be written, which may be written again.
    evening : whether it is of the evening of that day.

    Returns
    -------
    Path
        It may not be there yet.
    """
    own = (plan for plan in saved_plans(trip, file) if plan.day == day and plan.evening == evening and plan.number)
    last = max(own, default=None)
    if last is not None and same(last.folder):
        return last.folder
    number = 1 if last is None else last.number + 1
    name = f"{day}{EVENING if evening else ''}"
    return trip.parent / PLANS / (name if number == 1 else f"{name}_{number}")


def plan_meant(plans: Iterable[SavedPlan], days: Iterable[date], *, evening: bool = False) -> SavedPlan | None:
    """Give the last plan of the first of some days that has one, else that of the latest day; None without any.

    Parameters
    ----------
    plans : that are kept.
    days : whose plan is meant, the likeliest first.
    evening : whether a plan of the evening is meant where a day has both; else that of the morning.

    Returns
    -------
    SavedPlan or None
    """
    known = tuple(plans)
    for day in days:
        if of_day := [plan for plan in known if plan.day == day]:
            return max(of_day, key=lambda plan: (plan.evening == evening, plan))
    return max(known, default=None)


def plan_file(trip: Path, *days: date, evening: bool = False) -> Path:
    """Give the summary of the plan that is meant where no file is named.

    Parameters
    ----------
    trip : the trip file.
    days : whose plan is meant, the likeliest first; without one of them, the plan of the latest day.
    evening : whether a plan of the evening is meant where a day has both.

    Returns
    -------
    Path
        It is not there if nothing is planned yet.
    """
    meant = plan_meant(saved_plans(trip), days, evening=evening)
    return trip.parent / PLANS / SUMMARY if meant is None else meant.summary


def _folders(root: Path) -> list[Path]:
    try:
        return [path for path in root.iterdir() if path.is_dir()]
    except OSError:
        return []


def _of_folder(folder: Path) -> SavedPlan | None:
    match = _FOLDER.fullmatch(folder.name)
    try:
        if match is None:
            return None
        return SavedPlan(date.fromisoformat(match[1]), bool(match[2]), int(match[3] or 1), folder)
    except ValueError:
        return None


def _of_person(folder: Path, file: str, person: str) -> list[SavedPlan]:
    """Plans of one of two in the folder of a day, each in a folder of the own name, numbered from the second on."""
    day, own = _of_folder(folder), re.compile(rf"{re.escape(file_word(person))}(?:_(\d{{1,4}}))?")
    inside = [(own.fullmatch(path.name), path) for path in _folders(folder) if (path / file).is_file()]
    return [
        SavedPlan(day.day, day.evening, int(match[1] or 1), path) for match, path in inside if match and day is not None
    ]


def _day_of(summary: Path) -> date | None:
    """Day of a plan that lies in no folder of a day; the first of all days where it does not say it."""
    try:
        content = json.loads(summary.read_text(encoding="utf-8"))
        return date.fromisoformat(
            content.get("date") or datetime.fromisoformat(content["stops"][0]["arrive"]).date().isoformat()
        )
    except OSError:
        return None
    except (ValueError, KeyError, TypeError, AttributeError, IndexError, RecursionError):
        return date.min
