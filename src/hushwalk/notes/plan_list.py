"""The plans of a trip as a list: what each says, and how much was noted on its day.

Which plans are kept is saved_plans.py's business; the list in words is wording/plan_list_words.py's.
"""

import json
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from hushwalk.notes.notebook import Notebook, open_ledger
from hushwalk.notes.notes import BearingNote, Kind, VisitNote
from hushwalk.notes.saved_plans import SavedPlan, saved_plans
from hushwalk.site.settings import NOON

LISTENING: tuple[Kind, ...] = ("visit", "bearing")


@dataclass(frozen=True)
class PlanFacts:
    """What a saved plan says of itself.

    Parameters
    ----------
    plan : which.
    latest : whether it is the last one of its day, which notes and commands take.
    depart, back : from the car and back; None where the summary cannot be read.
    stops : how many.
    males : expected to be heard.
    car : where the car stands, as USNG.
    noted : stops with a note of that day.
    """

    plan: SavedPlan
    latest: bool
    depart: datetime | None = None
    back: datetime | None = None
    stops: int = 0
    males: float = 0.0
    car: str = ""
    noted: int = 0


def list_plans(trip: Path, notes: Path | None = None) -> tuple[PlanFacts, ...]:
    """List the plans of a trip by day.

    Parameters
    ----------
    trip : the trip file.
    notes : the ledger; None for the trip's own.

    Returns
    -------
    tuple of PlanFacts

    Raises
    ------
    HushwalkError
        If the trip file or the ledger cannot be used.
    """
    book, plans = open_ledger(trip, notes=notes), saved_plans(trip)
    last = {(plan.day, plan.evening): plan for plan in plans}
    return tuple(_facts(book, plan, latest=last[plan.day, plan.evening] == plan) for plan in plans)


def _facts(book: Notebook, plan: SavedPlan, *, latest: bool) -> PlanFacts:
    try:
        said = json.loads(plan.summary.read_text(encoding="utf-8"))
        return PlanFacts(
            plan,
            latest,
            datetime.fromisoformat(said["depart"]),
            datetime.fromisoformat(said["back"]),
            len(said["stops"]),
            float(said["males"]["expected"]),
            str(said["car"]["usng"]),
            len(_stops_noted(book, plan)) if latest else 0,
        )
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return PlanFacts(plan, latest)


def _stops_noted(book: Notebook, plan: SavedPlan) -> set[str]:
    notes = [row.note for kind in LISTENING for row in book.notes(kind)]
    return {
        note.stop
        for note in notes
        if isinstance(note, VisitNote | BearingNote) and _is_of(note, book, plan) and note.stop
    }


def _is_of(note: VisitNote | BearingNote, book: Notebook, plan: SavedPlan) -> bool:
    """Whether a note is of a plan's day and of its half of it, where both are planned."""
    local = note.at.astimezone(book.zone)
    both = plan.day in book.plans and plan.day in book.evenings
    return local.date() == plan.day and (not both or (local.time() >= NOON) == plan.evening)
