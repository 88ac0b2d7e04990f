"""The plans of a trip that are kept, each day in a folder of its own, and which of them is meant.

What a plan says is read by planned_walk.py; the folders are filled by the outputs room.
"""

import json
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

PLANS = "out"
SUMMARY = "summary.json"
_FOLDER = re.compile(r"(\d{4}-\d{2}-\d{2})(?:_(\d{1,4}))?")
"""Definition: a day, and from the second plan of that day on a number."""


@dataclass(frozen=True, order=True)
class SavedPlan:
    """One plan that is kept.

    Parameters
    ----------
    day : the morning or evening.
    number : 1 for the first plan of that day; 0 for one that lies in no folder of a day.
    folder : where it lies.
    """

    day: date
    number: int
    folder: Path

    @property
    def summary(self) -> Path:
        """The file that says what was planned."""
        return self.folder / SUMMARY


def saved_plans(trip: Path, file: str = SUMMARY) -> tuple[SavedPlan, ...]:
    """Give the plans that lie beside a trip file, by day and in the order in which they were made.

    Parameters
    ----------
    trip : the trip file.
    file : that tells a plan; another one for searches.
    """
    root = trip.parent / PLANS
    found = [plan for folder in _folders(root) if (plan := _of_folder(folder)) and (folder / file).is_file()]
    if file == SUMMARY and (day := _day_of(root / SUMMARY)):
        found.append(SavedPlan(day, 0, root))
    return tuple(sorted(found))


def new_folder(trip: Path, day: date, file: str = SUMMARY, same: Callable[[Path], bool] = lambda _: False) -> Path:
    """Give the folder for a new plan of a day, in which nothing is written over.

    Parameters
    ----------
    trip : the trip file.
    day : of the plan.
    file : that tells a plan; another one for searches.
    same : tells whether a folder holds the very plan that is to be written, which may be written again.

    Returns
    -------
    Path
        It may not be there yet.
    """
    last = max((plan for plan in saved_plans(trip, file) if plan.day == day and plan.number), default=None)
    if last is not None and same(last.folder):
        return last.folder
    number = 1 if last is None else last.number + 1
    return trip.parent / PLANS / (f"{day}" if number == 1 else f"{day}_{number}")


def plan_meant(plans: Iterable[SavedPlan], days: Iterable[date]) -> SavedPlan | None:
    """Give the last plan of the first of some days that has one, else that of the latest day; None without any."""
    known = tuple(plans)
    for day in days:
        if of_day := [plan for plan in known if plan.day == day]:
            return max(of_day)
    return max(known, default=None)


def plan_file(trip: Path, *days: date) -> Path:
    """Give the summary of the plan that is meant where no file is named.

    Parameters
    ----------
    trip : the trip file.
    days : whose plan is meant, the likeliest first; without one of them, the plan of the latest day.

    Returns
    -------
    Path
        It is not there if nothing is planned yet.
    """
    meant = plan_meant(saved_plans(trip), days)
    return trip.parent / PLANS / SUMMARY if meant is None else meant.summary


def _folders(root: Path) -> list[Path]:
    try:
        return [path for path in root.iterdir() if path.is_dir()]
    except OSError:
        return []


def _of_folder(folder: Path) -> SavedPlan | None:
    match = _FOLDER.fullmatch(folder.name)
    try:
        return SavedPlan(date.fromisoformat(match[1]), int(match[2] or 1), folder) if match else None
    except ValueError:
        return None


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
